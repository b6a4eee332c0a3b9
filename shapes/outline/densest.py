"""Many pieces on few sheets: a grid, rows that interlock, or one piece after another into gaps.

The three ways are tried and the one that needs the fewest sheets, then the least height of the last
one, is taken; the grid wins a tie, so that nothing is ever worse than it. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from shapely.geometry import Polygon

from shapes.affine import Point
from shapes.outline.gaps import in_gaps
from shapes.outline.nesting import Nest, Room, in_grid
from shapes.outline.rows import in_rows

_TIE_MM = 1e-6


def nest(rings: Sequence[Sequence[Point]], counts: Sequence[int], room: Room) -> Nest:
    """So many of each outline on sheets of one size.

    Args:
        rings: corner points of each outline, y up.
        counts: how many of each, together 1 or more.

    Raises:
        FitError: a piece is larger than a sheet.
    """
    return _nest(tuple(map(tuple, rings)), tuple(counts), room)


@lru_cache(maxsize=64)  # the children of a class have the same pieces on the same paper
def _nest(rings: tuple[tuple[Point, ...], ...], counts: tuple[int, ...], room: Room) -> Nest:
    plain = in_grid(rings, counts, room)
    found = [plain]
    if len(rings) == 1 and (rows := in_rows(rings[0], counts[0], room)):
        found.append(rows)
    if gaps := in_gaps(rings, counts, room):
        found.append(gaps)
    best = min(found, key=lambda one: (len(one.sheets), one.used - _TIE_MM * (one is plain)))
    area = sum(Polygon(ring).area * count for ring, count in zip(rings, counts, strict=True))
    density, of_grid = (float(area) / (room.width * one.used) for one in (best, plain))
    return Nest(best.sheets, best.used, best.method, density, of_grid)
