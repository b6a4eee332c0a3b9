"""Distances between marks of a finished page: line to line, ink to paper edge, artwork to line.

Straight practice lines are measured here directly; numpy and shapely are loaded only for curves
with many points and for artwork.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from shapes.affine import Affine, Point
from shapes.errors import GlyphError
from shapes.ink import Ring, ink_of
from shapes.letters.font import MM_PER_PT
from shapes.memory import ByIdentity
from shapes.path import BBox, Line, Path
from shapes.segments import point_to_segment
from sheets.check.known import known_ink_distance
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Fill, Mark, Place, Stroke, Text

if TYPE_CHECKING:
    from shapely.geometry import LineString
    from shapely.geometry.base import BaseGeometry

SAG_MM = 0.02

MOST_PAIRS = 300_000
"""Pairs of straight parts that are looked at in plain Python: most of them by their boxes alone, so
that it takes no longer than loading the geometry library."""

_BELOW = frozenset("gjpqyQ,;()[]{}|_/$@çţȩŗķļņģŢŞşÇцщџруЦЩ")
_BELOW_EM = 0.24  # deepest of these letters in the page font
_WIDE_EM = 0.6  # guess for a letter that the page font lacks

_Label = TypeVar("_Label")


# --- boxes ----------------------------------------------------------------------------------------


def ink_box(mark: Mark) -> BBox | None:
    """Box round a mark's ink in page mm, letters below the baseline included; None without ink."""
    if isinstance(mark, Text):
        return _text_box(mark) if mark.text.strip() else None
    if not isinstance(mark, Place) and not mark.paths:
        return None
    return mark_bbox(mark)


def _text_box(text: Text) -> BBox:
    size = text.size_pt * MM_PER_PT
    try:
        box = mark_bbox(text)
    except GlyphError:  # a page from elsewhere; its text is another font's anyway
        reach = _WIDE_EM * size * len(text.text)
        box = BBox(text.x - reach, text.y - size, text.x + reach, text.y + size)
    if _BELOW.isdisjoint(text.text):
        return box
    turn = math.radians(text.turn_deg)
    down = _BELOW_EM * size
    below = box_moved(box, down * math.sin(turn), -down * math.cos(turn))
    return box.union(below)


def box_moved(box: BBox, dx: float, dy: float) -> BBox:
    """The box elsewhere."""
    return BBox(box.x0 + dx, box.y0 + dy, box.x1 + dx, box.y1 + dy)


def box_gap(a: BBox, b: BBox) -> float:
    """Distance between two upright boxes in mm; 0 if they meet."""
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0.0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0.0)
    return math.hypot(dx, dy)


def closest(
    pairs: Iterable[tuple[float, Callable[[], float], _Label]], floor: float
) -> list[tuple[float, _Label]]:
    """The smallest distance of all pairs, and every one below ``floor``, smallest first.

    Args:
        pairs: a lower bound of the distance, what measures it exactly, and a label. The exact
            measure is called only where the bounds do not decide.
    """
    found: list[tuple[float, _Label]] = []
    best = math.inf
    for low, exact, label in sorted(pairs, key=lambda pair: pair[0]):
        if low >= floor and low >= best:
            break
        value = max(low, exact())
        best = min(best, value)
        found.append((value, label))
    found.sort(key=lambda item: item[0])
    return [item for i, item in enumerate(found) if i == 0 or item[0] < floor]


# --- line to line ---------------------------------------------------------------------------------


def line_gap(a: Path, b: Path) -> float:
    """Least distance in mm between the middles of two lines; 0 if they touch or cross."""
    first, second = _chords(a), _chords(b)
    if len(first) * len(second) > MOST_PAIRS:
        from shapes.measure.measure import gap

        return gap(a, b)
    boxed = [(min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]), (p, q))
             for p, q in second]  # fmt: skip
    best = math.inf
    for s in first:
        (x0, x1), (y0, y1) = sorted((s[0][0], s[1][0])), sorted((s[0][1], s[1][1]))
        for left, low, right, high, t in boxed:
            if left - x1 < best and x0 - right < best and low - y1 < best and y0 - high < best:
                best = min(best, segment_gap(s, t))
    return best


def is_near(point: Point, path: Path, reach: float) -> bool:
    """Whether a point is at most ``reach`` mm from the middle of a line."""
    if box_gap(BBox.around((point,)), path.bbox) > reach:
        return False
    return any(point_to_segment(point, a, b) <= reach for a, b in _chords(path))


_polylines = ByIdentity[Path, list[Point]](128)
"""An outline is measured in several ways, and one drawing stands on many pages."""


def _polyline(path: Path, sag_mm: float) -> list[Point]:
    """Corner points of the flattened path, not to be changed."""
    return _polylines.get(path, sag_mm, lambda: path.flatten(sag_mm))


def _chords(path: Path) -> list[tuple[Point, Point]]:
    points = _polyline(path, SAG_MM)
    if path.closed:
        points = [*points, points[0]]
    return list(itertools.pairwise(points)) or [(points[0], points[0])]


def segment_gap(s: tuple[Point, Point], t: tuple[Point, Point]) -> float:
    """Least distance of two straight parts in mm; 0 if they cross."""
    (a, b), (c, d) = s, t
    if _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0:
        return 0.0
    return min(
        point_to_segment(a, c, d),
        point_to_segment(b, c, d),
        point_to_segment(c, a, b),
        point_to_segment(d, a, b),
    )


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _goes_round(ring: Sequence[Point], point: Point) -> bool:
    """Whether a ring goes round a point at least once, whichever way."""
    x, y = point
    turns = 0
    for (px, py), (qx, qy) in itertools.pairwise(ring):
        if (py > y) != (qy > y) and px + (y - py) * (qx - px) / (qy - py) > x:
            turns += 1 if qy > py else -1
    return turns != 0


# --- artwork to line ------------------------------------------------------------------------------


class Ink:
    """The true ink of one artwork, fill or stroke on the page, for distances to lines."""

    def __init__(self, mark: Stroke | Fill | Place, box: BBox) -> None:
        self.box = box
        self._mark = mark
        self._parts: list[tuple[float, Any]] | None = None

    def distance(self, path: Path) -> float:
        """Least distance in mm from the ink to the middle of a line; 0 if the line runs over it."""
        if self._box_is_enough(path):
            return box_gap(self.box, path.bbox)
        known = known_ink_distance(self._mark, path)
        if known is None:
            known = self._in_plain(path)
        return self.measured(path) if known is None else known

    def _in_plain(self, path: Path) -> float | None:
        """The distance without the geometry library; None if the line may lie in an area, or if
        there are so many parts that loading the library is quicker."""
        points = _polyline(path, SAG_MM)
        if path.closed:
            points = [*points, points[0]]
        lines = [(s, t, BBox.around((s, t))) for s, t in itertools.pairwise(points)]
        around = BBox.around(points)
        edges = list(_edges(self._mark))
        if len(lines) * sum(len(chain) for _, chain in edges) > MOST_PAIRS:
            return None
        best = math.inf
        for half, chain in edges:
            apart = box_gap(BBox.around(chain), around)
            if half == 0.0 and apart == 0.0 and _goes_round(chain, path.start):
                return None  # inside an area, or in a hole of it
            if apart >= best + half:
                continue
            for a, b in itertools.pairwise(chain):
                x0, x1 = (a[0], b[0]) if a[0] < b[0] else (b[0], a[0])
                y0, y1 = (a[1], b[1]) if a[1] < b[1] else (b[1], a[1])
                if box_gap(BBox(x0, y0, x1, y1), around) >= best + half:
                    continue
                for s, t, line in lines:
                    # Most parts are far off, which their boxes tell sooner.
                    reach = best + half
                    if (
                        x0 - line.x1 < reach
                        and line.x0 - x1 < reach
                        and y0 - line.y1 < reach
                        and line.y0 - y1 < reach
                    ):
                        best = min(best, segment_gap((s, t), (a, b)) - half)
        return best

    def measured(self, path: Path) -> float:
        """The distance as the geometry library measures it."""
        from shapely.geometry import LineString

        points = _polyline(path, SAG_MM)
        line = LineString([*points, points[0]] if path.closed else points)
        if self._parts is None:
            self._parts = list(_parts(self._mark))
        return min(
            (_nearest(shapes, line) - half for half, shapes in self._parts), default=math.inf
        )

    def _box_is_enough(self, path: Path) -> bool:
        """A level or upright line that runs past the whole box: the box touches the ink there."""
        if len(path.segments) != 1 or not isinstance(path.segments[0], Line):
            return False
        if isinstance(self._mark, Place) and not _upright(self._mark.at):
            return False
        line, box = path.bbox, self.box
        level = line.height == 0.0 and line.x0 <= box.x0 and box.x1 <= line.x1
        upright = line.width == 0.0 and line.y0 <= box.y0 and box.y1 <= line.y1
        return (level or upright) and box_gap(line, box) > 0.0


def _upright(m: Affine) -> bool:
    return (m.b == 0.0 and m.c == 0.0) or (m.a == 0.0 and m.d == 0.0)


def _nearest(shapes: Any, line: LineString) -> float:
    import shapely

    return float(shapely.distance(shapes, line).min())


def _parts(mark: Stroke | Fill | Place) -> Iterator[tuple[float, Any]]:
    """Half a line's width, and the middles of the lines that have it; areas with width 0."""
    import numpy as np
    from shapely.geometry import LineString

    from shapes.outline.morphology import polygons

    by_half: dict[float, list[BaseGeometry]] = {}
    for part, at in drawn_parts(mark):
        if isinstance(part, Fill):
            area = _area(part, at)
            if not area.is_empty:  # an empty one has no distance
                by_half.setdefault(0.0, []).append(area)
            continue
        for path in part.paths:
            chain, rings = inked(part, path, at)
            if chain is not None:
                by_half.setdefault(part.width * at.scale / 2.0, []).append(LineString(chain))
            if rings:
                by_half.setdefault(0.0, []).extend(polygons(rings))
    for half, shapes in by_half.items():
        yield half, np.array(shapes, dtype=object)


def drawn_parts(mark: Stroke | Fill | Place) -> Iterator[tuple[Stroke | Fill, Affine]]:
    """The strokes and fills that a mark consists of, and where they lie on the page.

    What is as white as the paper is no ink.
    """
    if isinstance(mark, Place):
        for part in mark.artwork.marks:
            if part.colour != WHITE:
                yield part, mark.at
    else:
        yield mark, Affine()


def _edges(mark: Stroke | Fill | Place) -> Iterator[tuple[float, Sequence[Point]]]:
    """The same parts as points in a row: half a line's width, or 0 and the edge of an area."""
    for part, at in drawn_parts(mark):
        for path in part.paths:
            if isinstance(part, Fill):
                points = points_of(path, at)
                yield 0.0, [*points, points[0]]
                continue
            chain, rings = inked(part, path, at)
            if chain is not None:
                yield part.width * at.scale / 2.0, chain
            for ring in rings:
                yield 0.0, (*ring, ring[0])


_inked = ByIdentity[Path, tuple[tuple[Point, ...] | None, list[Ring]]](512)


def inked(stroke: Stroke, path: Path, at: Affine) -> tuple[tuple[Point, ...] | None, list[Ring]]:
    """The ink of one of a stroke's paths; see :func:`shapes.ink.ink_of`."""
    nib = stroke.nib
    return _inked.get(path, (nib, at), lambda: ink_of(nib, path, at, SAG_MM))


def points_of(path: Path, at: Affine) -> list[Point]:
    """Corner points of a path that lies elsewhere; a closed one ends where it starts."""
    points = [at.apply(p) for p in _polyline(path, SAG_MM / max(at.scale, 1e-6))]
    return [*points, points[0]] if path.closed or len(points) == 1 else points


def _area(fill: Fill, at: Affine) -> BaseGeometry:
    """The filled area."""
    from shapely.geometry import Polygon

    from shapes.svg.clip import by_rule

    rings = [Polygon(points) for path in fill.paths if len(points := points_of(path, at)) >= 3]
    return rings[0] if len(rings) == 1 else by_rule(rings, fill.even_odd)
