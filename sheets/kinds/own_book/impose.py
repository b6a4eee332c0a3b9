"""Which page of a book lies where on the paper, and which way up. Lengths in mm, y up.

The tests fold the paper and look whether the pages come out in order and upright.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapes.affine import Affine
from shapes.path import BBox
from sheets.page.frame import MARGIN
from sheets.page.model import Paper

FOLD_CLEAR = 5.0
"""White beside a fold: hands fold a few millimetres askew (our setting)."""
SPINE_CLEAR = 18.0
"""White beside the spine of half sheets, for staples beside the fold or punched holes: those of ISO
838 have their middle 12 +-1 mm from the edge and are 6 +-0.5 mm wide, which ends at 16.25 mm."""

BOTTOM, TOP = (8, 1, 2, 3), (7, 6, 5, 4)
"""Pages of the folded sheet from left to right; those of the top row are turned upside down."""
FOLDED_PAGES = len(BOTTOM) + len(TOP)


@dataclass(frozen=True, slots=True)
class Panel:
    """The place of one page on the paper.

    Args:
        page: its number in the book, from 1.
        box: all of it; its sides are folds and edges of the paper.
        room: where ink may be.
        turned: whether the page stands upside down on the paper.
    """

    page: int
    box: BBox
    room: BBox
    turned: bool = False

    @property
    def to_paper(self) -> Affine:
        """From the page's own mm, upright with its lower left corner at (0, 0), to the paper."""
        if self.turned:
            return Affine(-1.0, 0.0, 0.0, -1.0, self.box.x1, self.box.y1)
        return Affine.translation(self.box.x0, self.box.y0)

    @property
    def own_room(self) -> BBox:
        """Where ink may be, in the page's own mm."""
        box, room = self.box, self.room
        if self.turned:
            return BBox(box.x1 - room.x1, box.y1 - room.y1, box.x1 - room.x0, box.y1 - room.y0)
        return BBox(room.x0 - box.x0, room.y0 - box.y0, room.x1 - box.x0, room.y1 - box.y0)


def folded(paper: Paper) -> tuple[Panel, ...]:
    """The eight panels of a sheet on its side; rooms of one size, so that all pages look alike."""
    width, height = paper.width / 4.0, paper.height / 2.0
    narrow = width - MARGIN - FOLD_CLEAR
    panels = []
    for row, pages in enumerate((BOTTOM, TOP)):
        for column, page in enumerate(pages):
            x, y = column * width, row * height
            box = BBox(x, y, x + width, y + height)
            low, high = (MARGIN, FOLD_CLEAR) if row == 0 else (FOLD_CLEAR, MARGIN)
            left = {0: MARGIN, 3: FOLD_CLEAR}.get(column, (width - narrow) / 2.0)
            room = BBox(x + left, y + low, x + left + narrow, y + height - high)
            panels.append(Panel(page, box, room, turned=row == 1))
    return tuple(panels)


def slit(paper: Paper) -> tuple[tuple[float, float], tuple[float, float]]:
    """The ends of the slit: on the middle line, across the second and third column."""
    y = paper.height / 2.0
    return (paper.width / 4.0, y), (paper.width * 3.0 / 4.0, y)


def sides(paper: Paper, pages: int) -> tuple[tuple[Panel, Panel], ...]:
    """The printed sides of half sheets laid in each other: front and back of each in turn.

    Turned over on the short edge, that is on the upright middle line of a sheet on its side.

    Args:
        paper: on its side.
        pages: of the book, a multiple of 4.
    """
    found = []
    for first in range(1, pages // 2, 2):
        last = pages + 1 - first
        found += [_side(paper, last, first), _side(paper, first + 1, last - 1)]
    return tuple(found)


def _side(paper: Paper, left: int, right: int) -> tuple[Panel, Panel]:
    middle, width, height = paper.width / 2.0, paper.width, paper.height
    low, high = MARGIN, height - MARGIN
    return (
        Panel(left, BBox(0.0, 0.0, middle, height), BBox(MARGIN, low, middle - SPINE_CLEAR, high)),
        Panel(
            right,
            BBox(middle, 0.0, width, height),
            BBox(middle + SPINE_CLEAR, low, width - MARGIN, high),
        ),
    )
