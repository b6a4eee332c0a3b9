"""Where several outlines of one picture lie on a page: in rows, in columns, or one beside another.

Plain cells first; where they would be too small for the stage's smallest piece, two or three
outlines of that size are set slantwise, as near as the gap between their lines allows.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence

from shapes.affine import Point
from shapes.errors import FitError
from shapes.path import BBox, Path
from shapes.pictures.picture import Picture
from sheets.kinds.cutting.fitted import (
    FittedOutline,
    Wish,
    cells,
    fit_outline,
    least_piece,
    outline_gap,
    standard_room,
)

_HAIR = 0.05
_STEPS = 24


def several(
    picture: Picture, wish: Wish, count: int
) -> Iterator[tuple[FittedOutline, list[Point]]]:
    """Outlines for a page of ``count`` of them, and where on the standard page their middles lie.

    The picture's own shape first, the largest first; then shapes of which more fit. None is smaller
    than the stage's smallest piece.

    Raises:
        PictureError: the picture has nothing to cut.
    """
    for shape in _shapes(wish):
        own = dataclasses.replace(wish, shape=shape)
        yield from _in_cells(picture, own, count)
        yield from _slantwise(picture, own, count)


def _shapes(wish: Wish) -> Iterator[str]:
    yield wish.shape
    if wish.stage == 5 and not wish.shape:
        yield from ("oval", "circle", "soft")


def _in_cells(picture: Picture, wish: Wish, count: int) -> list[tuple[FittedOutline, list[Point]]]:
    found: list[tuple[FittedOutline, list[Point]]] = []
    for boxes in cells(standard_room(), outline_gap(wish.stage), count):
        try:
            fitted = fit_outline(picture, wish, boxes[0])
        except FitError:
            continue
        if fitted.size >= least_piece(wish.stage):
            found.append((fitted, [box.center for box in boxes]))
    return sorted(found, key=lambda row: -row[0].size)


def _slantwise(
    picture: Picture, wish: Wish, count: int
) -> Iterator[tuple[FittedOutline, list[Point]]]:
    side = least_piece(wish.stage) * 1.001 + wish.width
    try:
        fitted = fit_outline(picture, wish, BBox(0.0, 0.0, side, side))
    except FitError:
        return
    if fitted.size >= least_piece(wish.stage):
        for middles in slantwise(fitted.path, count, outline_gap(wish.stage), wish.width):
            yield fitted, middles


def middles_for(path: Path, count: int, gap: float, line: float) -> Iterator[list[Point]]:
    """Ways in which so many copies of an outline lie on the standard page: the middles.

    In cells if they fit, spread over the work area; closed ones else slantwise.

    Args:
        gap: from line edge to line edge, mm.
        line: width of the line, mm.
    """
    box = path.bbox.grown(line / 2.0 - 0.01)
    for boxes in cells(standard_room(), gap, count):
        if box.width <= boxes[0].width and box.height <= boxes[0].height:
            yield [cell.center for cell in boxes]
    if path.closed:
        yield from slantwise(path, count, gap, line)


def slantwise(path: Path, count: int, gap: float, line: float) -> Iterator[list[Point]]:
    """Middles of two or three copies of an outline in the work area, not in rows or columns.

    Two lie in opposite corners. Of three, two lie at one side and one at the other, or two at the
    head and one at the foot, or the other way about.

    Args:
        gap: from line edge to line edge, mm.
        line: width of the line, mm.
    """
    work, box = standard_room(), path.bbox
    hw, hh = (box.width + line) / 2.0, (box.height + line) / 2.0
    x0, x1, y0, y1 = work.x0 + hw, work.x1 - hw, work.y0 + hh, work.y1 - hh
    if x0 > x1 or y0 > y1:
        return
    (cx, cy) = path.bbox.center
    points = [(x - cx, y - cy) for x, y in path.flatten(0.05)]
    for middles in _patterns(count, x0, x1, y0, y1):
        apart = (
            _distance(points, (b[0] - a[0], b[1] - a[1]))
            for i, a in enumerate(middles)
            for b in middles[i + 1 :]
        )
        if all(distance >= gap + line + _HAIR for distance in apart):
            yield middles


def _patterns(count: int, x0: float, x1: float, y0: float, y1: float) -> Iterator[list[Point]]:
    if count == 2:
        yield [(x1, y1), (x0, y0)]
        yield [(x0, y1), (x1, y0)]
    elif count == 3:
        for i in range(_STEPS + 1):
            # From the middle outward: a pattern of equal distances comes first.
            share = 0.5 + (i // 2 + i % 2) / _STEPS * (1.0 if i % 2 else -1.0)
            x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
            yield [(x0, y1), (x1, y), (x0, y0)]
            yield [(x1, y1), (x0, y), (x1, y0)]
            yield [(x0, y1), (x1, y1), (x, y0)]
            yield [(x, y1), (x0, y0), (x1, y0)]


def _distance(points: Sequence[Point], move: Point) -> float:
    """From an outline to its copy elsewhere, corner points to sides; 0 if their boxes meet."""
    from shapely.affinity import translate
    from shapely.geometry import LinearRing

    ring = LinearRing(points)
    return float(ring.distance(translate(ring, *move))) if math.hypot(*move) else 0.0
