"""A small book of the child's own: folded from one sheet, or of half sheets laid in each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class BookChoices:
    """What only a book is told."""

    form: Literal["fold", "half"] = choice(
        "Folded from one printed side, or half sheets printed on both sides.", "fold"
    )
    pages: int | None = choice("Pages of a book of half sheets, a multiple of 4.", least=4, most=32)


KIND = Kind(
    does="draws and tells in a small book of its own, or reads its words",
    code="sheets.kinds.own_book.pages",
    choices=BookChoices,
)
