"""Why a picture makes a bad puzzle: a piece with next to nothing on it, or two that look alike.

The lines of the picture are measured, not its colours, so that a black-and-white print is judged.
Pieces are compared as they may lie: turned by half, square ones by a quarter too. None of the three
figures comes from a source; they are our settings, and were set before any picture was tried but
for :data:`SHIFT_MM`, which first was a tenth of a piece.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapes.memory import ByIdentity
from shapes.pictures.picture import Picture
from sheets.kinds.options import Options, least_line
from sheets.kinds.picture_puzzle.layout import SLACK, Layout, picture_box, placed
from sheets.theme.theme import Step

if TYPE_CHECKING:
    import shapely

LEAST_SEEN = 1.0 / 3.0
"""Longer side of the box round a piece's ink, as a share of the piece's shorter side, at least."""
SHIFT_MM = SLACK + 1.0
"""Lines that lie no further apart are the same to the eye: pieces lie loose in their frame by
:data:`SLACK`, and a cut may be 1 mm off."""
LEAST_DIFFERENT = 0.25
"""Share of the ink of two pieces that has no ink of the other within :data:`SHIFT_MM`, at least."""
GRID_MM = 0.001
"""Corners are rounded to this, so that edges which nearly run along one another do no harm."""

EMPTY, ALIKE = "a piece with next to nothing on it", "two pieces that look the same"


@dataclass(frozen=True, slots=True)
class Judged:
    """What is said of a puzzle.

    Args:
        fault: :data:`EMPTY` or :data:`ALIKE`; empty if it is good.
        least_ink: ink on the piece that has least, as a share of the piece: the more there is to
            see on every piece, the better the puzzle.
    """

    fault: str
    least_ink: float


_judged = ByIdentity[Picture, Judged](512)


def judged(steps: Sequence[Step], layout: Layout, options: Options) -> Judged:
    """Whether a picture so parted makes a good puzzle."""

    def judge() -> Judged:
        inks = pieces(steps, layout, options)
        least = min(ink.area for ink in inks) / (layout.width * layout.height)
        return Judged(_fault(inks, layout), least)

    if len(steps) > 1:
        return judge()
    return _judged.get(steps[0].picture, (layout, least_line(options)), judge)


def pieces(steps: Sequence[Step], layout: Layout, options: Options) -> tuple[shapely.Geometry, ...]:
    """The ink on each piece in reading order, about the piece's own middle, in mm."""
    import shapely
    from shapely.affinity import translate

    from shapes.outline.morphology import parts
    from sheets.kinds.picture_puzzle.ink import inked

    whole = inked(placed(steps, picture_box(layout, layout.box()), options))
    ink = shapely.set_precision(whole, GRID_MM)
    found = []
    for cell in layout.cells():
        window = shapely.box(cell.x0, cell.y0, cell.x1, cell.y1)
        # Edges that only touch the window would be lines.
        part = shapely.MultiPolygon(parts(shapely.intersection(ink, window, grid_size=GRID_MM)))
        found.append(translate(part, -cell.center[0], -cell.center[1]))
    return tuple(found)


def _fault(inks: Sequence[shapely.Geometry], layout: Layout) -> str:
    shorter = min(layout.width, layout.height)
    if any(_extent(ink) < LEAST_SEEN * shorter for ink in inks):
        return EMPTY
    turns = (0, 90, 180, 270) if layout.width == layout.height else (0, 180)
    pairs = itertools.combinations(inks, 2)
    if any(difference(a, b, turns) < LEAST_DIFFERENT for a, b in pairs):
        return ALIKE
    return ""


def _extent(ink: shapely.Geometry) -> float:
    if ink.is_empty:
        return 0.0
    x0, y0, x1, y1 = ink.bounds
    return float(max(x1 - x0, y1 - y0))


def difference(a: shapely.Geometry, b: shapely.Geometry, turns: Sequence[int]) -> float:
    """How different two pieces look, 0 (the same) to 1: the share of their ink that has none of
    the other's within :data:`SHIFT_MM`, the least over some turns of the second.

    Args:
        a, b: ink that is not empty, about the middle of its piece.
        turns: degrees.
    """
    import shapely
    from shapely.affinity import rotate

    near = shapely.buffer(a, SHIFT_MM, quad_segs=4)
    whole = a.area + b.area
    found = 1.0
    for turn in turns:
        turned = rotate(b, turn, origin=(0.0, 0.0))
        around = shapely.buffer(turned, SHIFT_MM, quad_segs=4)
        alone = shapely.difference(a, around, grid_size=GRID_MM).area
        alone += shapely.difference(turned, near, grid_size=GRID_MM).area
        found = min(found, alone / whole)
    return found
