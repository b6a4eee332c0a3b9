"""Whether two sets of PDF files show the same pages, by their ink at 60 dpi.

pdfium draws both. It is a rough check, there to catch a page that is missing, empty, moved or
another one; it does not judge how well lines are drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

DPI = 60.0
EVERY = 12
"""Every how many pages one is compared."""

MOST_INK_APART = 0.10
"""Of the ink of our page: how much more or less ink the other may have (our setting)."""

MOST_DIFFERENCE = 0.50
"""Of the ink of our page: the sum of the differences of all dots (our setting). Neighbouring pages
of the job, which mostly show the same kind of sheet for another child, differ by more than 0.7 in
95 of 100 cases; a page differs from itself moved by one dot by 0.35 in the median."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """The worst of the compared pages, as shares of our ink."""

    compared: int
    ink_apart: float
    difference: float

    @property
    def same(self) -> bool:
        return self.ink_apart <= MOST_INK_APART and self.difference <= MOST_DIFFERENCE


def page_count(*files: Path) -> int:
    """Pages of all files together."""
    import pypdfium2

    count = 0
    for file in files:
        with pypdfium2.PdfDocument(file) as document:
            count += len(document)
    return count


def likeness(ours: Sequence[Path], theirs: Sequence[Path]) -> Likeness:
    """Compare pages of equal number.

    Raises:
        ValueError: not as many pages.
    """
    import numpy as np

    counts = page_count(*ours), page_count(*theirs)
    if counts[0] != counts[1]:
        raise ValueError(f"{counts[1]} pages where we have {counts[0]}")
    apart, difference = [], []
    wanted = range(0, counts[0], EVERY)
    for our, their in zip(_inks(ours, wanted), _inks(theirs, wanted), strict=True):
        if our.shape != their.shape:
            raise ValueError(f"a page of {their.shape} dots where ours has {our.shape}")
        apart.append(abs(float(their.sum() / our.sum()) - 1.0))
        difference.append(float(np.abs(their - our).sum() / our.sum()))
    return Likeness(len(wanted), max(apart), max(difference))


def _inks(files: Sequence[Path], wanted: range) -> list[Any]:
    """Blackness of each dot, 0 to 1, of the wanted pages of all files in a row."""
    import pypdfium2

    found, start = [], 0
    for file in files:
        with pypdfium2.PdfDocument(file) as document:
            for index in range(len(document)):
                if start + index in wanted:
                    bitmap = document[index].render(scale=DPI / 72.0, grayscale=True)
                    found.append(1.0 - bitmap.to_numpy().squeeze() / 255.0)
            start += len(document)
    return found
