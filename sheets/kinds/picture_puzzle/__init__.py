"""A picture in a few pieces to put together: on the picture, in its outline, in an empty frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class PuzzleChoices:
    """What only a picture puzzle is told."""

    picture: str | None = choice("Which picture: a word of the theme, a picture word or a file.")
    pieces: int | None = choice("How many pieces: 2, 3, 4, 6, 8 or 9.", least=2, most=9)
    strips: bool = choice("Two to four strips side by side, with a numeral on each.", False)
    cutting: int | None = choice(
        "Cutting stage of the child, who cuts the pieces from 3 on; else an adult does.",
        least=0,
        most=6,
    )
    cut_by: Literal["adult", "child"] | None = choice("Who cuts, whatever the cutting stage.")


KIND = Kind(
    does="puts a picture together from two to nine pieces",
    code="sheets.kinds.picture_puzzle.pages",
    choices=PuzzleChoices,
)
