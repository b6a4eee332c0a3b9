"""Letters to match: the same one, capital to small, picture to first letter, first-letter sort."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice
from sheets.kinds.letter_match.section import LETTERS


@dataclass(frozen=True, slots=True)
class LetterMatchChoices:
    """What only a letter sheet is told."""

    form: Literal["same", "small", "first", "sort"] | None = choice(
        "Same letter, capital to small letter, first letter of a word, or pictures to sort by it."
    )
    layout: Literal["lines", "cards"] | None = choice(
        "Lines to draw, or cards to lay on letters.", option="as"
    )
    letters: tuple[str, ...] = choice("Letters to use, separated by commas.", ())
    turned: bool = choice("Let b d p q and n u stand beside each other.", False)


KIND = Kind(
    does="finds the same letter, the small one of a capital, or the first letter of a picture",
    code="sheets.kinds.letter_match.pages",
    choices=LetterMatchChoices,
    needs_source=False,
    section=LETTERS,
)
