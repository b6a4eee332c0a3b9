"""Where the ink of a page is."""

from __future__ import annotations

from sheets.page.marks import describe, mark_bbox
from sheets.page.model import Page


def ink_outside(page: Page, margin: float) -> list[str]:
    """Names of the marks whose ink comes nearer than ``margin`` mm to the paper edge."""
    paper = page.paper
    return [
        describe(mark)
        for mark in page.marks
        if (box := mark_bbox(mark)).x0 < margin
        or box.y0 < margin
        or box.x1 > paper.width - margin
        or box.y1 > paper.height - margin
    ]
