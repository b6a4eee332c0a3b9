"""Picture cards to cut apart and lay in order on a strip or a ring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice
from sheets.kinds.sequence.section import SEQUENCES


@dataclass(frozen=True, slots=True)
class SequenceChoices:
    """What only a sequence sheet is told."""

    sequence: str | None = choice("Number or title, if the theme has several.")
    steps: int | None = choice("How many pictures, 2 to 6.")
    labels: bool = choice("Words under the pictures.", False)
    wheel: bool = choice("A ring, for a cycle.", False)
    laminate: bool = choice("8 mm between cards, for the film to seal.", False)
    cutting: int | None = choice(
        "Cutting stage of the child, who cuts the cards from 3 on; else an adult does.",
        least=0,
        most=6,
    )
    cut_by: Literal["adult", "child"] | None = choice("Who cuts, whatever the cutting stage.")
    backs: Literal["fold", "long", "short"] | None = choice(
        "Places on the backs: folded over, or two sides turned on the long or short edge."
    )


KIND = Kind(
    does="lays picture cards in order and tells what comes first and next",
    code="sheets.kinds.sequence.pages",
    choices=SequenceChoices,
    section=SEQUENCES,
)
