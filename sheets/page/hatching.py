"""Hatches: lines and dots that tell areas apart without colour, cut at the edge of an area.

In plain Python, because a page with a few hatched shapes is drawn before a geometry library is
loaded.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from shapes.affine import Point
from shapes.errors import InputError
from shapes.path import Path
from shapes.segments import is_inside, point_to_segment
from sheets.page.model import BLACK, WHITE, Colour, Fill, Role, Stroke
from sheets.page.palette import HATCHES, Hatch, contrast

Ring = Sequence[Point]
"""Corners of a closed outline, in mm; the first is not repeated."""

HATCH_SPACING = 3.2
HATCH_LINE = 0.6
_TINT = 0.15

_Edge = tuple[Point, Point]

_SHORTEST_MM = 0.3  # a hatch line shorter than this prints as a speck
_ON_EDGE = 1e-9
"""Share of a part of a line within which a crossing is taken to lie on its corner."""


def hatch_lines(rings: Sequence[Ring], kind: Hatch, spacing_mm: float) -> list[Path]:
    """The hatch of one area as paths in mm, cut at its edge and placed by its middle.

    Two equal shapes get the same hatch wherever they stand. ``solid`` and ``none`` give no paths:
    the page fills the area, or leaves it. ``dots`` are closed circles to be filled, a fifth of the
    spacing in radius, and only those that lie wholly inside; the other kinds are open lines to be
    stroked. ``rising`` goes up to the right.

    Args:
        rings: edges of the area and of its holes, which do not cross; inside is what an odd number
            of them surrounds.
        spacing_mm: distance of neighbouring lines, or of dots along a row.

    Raises:
        InputError: unknown kind, or spacing not above 0.
    """
    if kind not in HATCHES:
        raise InputError(f"no hatch {kind!r}", fix=f"choose from {', '.join(HATCHES)}")
    if not 0.0 < spacing_mm < math.inf:
        raise InputError(f"hatch spacing {spacing_mm:g} mm", fix="give a spacing above 0")
    edges = [edge for ring in rings for edge in zip(ring, [*ring[1:], ring[0]], strict=True)]
    if kind in ("solid", "none") or not edges:
        return []
    xs, ys = [x for (x, _), _ in edges], [y for (_, y), _ in edges]
    middle = ((min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0)
    reach = math.hypot(max(xs) - min(xs), max(ys) - min(ys)) / 2.0 + spacing_mm
    if kind == "dots":
        return list(_dots(edges, middle, reach, spacing_mm))
    return [
        piece for line in _lines(kind, middle, reach, spacing_mm) for piece in _clipped(edges, line)
    ]


def _dots(edges: Sequence[_Edge], middle: Point, reach: float, spacing: float) -> Iterator[Path]:
    """Dots in rows, every other row moved by half a step, so no direction stands out."""
    radius = spacing / 5.0
    rise = spacing * math.sqrt(3.0) / 2.0
    rows, columns = math.ceil(reach / rise), math.ceil(reach / spacing) + 1
    for row in range(-rows, rows + 1):
        y = middle[1] + row * rise
        near = _between(edges, y - radius, y + radius)
        for column in range(-columns, columns + 1):
            x = middle[0] + (column + (row % 2) / 2.0) * spacing
            if is_inside((x, y), near) and all(
                point_to_segment((x, y), *edge) >= radius for edge in near
            ):
                yield Path.circle((x, y), radius)


def _lines(kind: Hatch, middle: Point, reach: float, spacing: float) -> Iterator[list[Point]]:
    """Unclipped hatch lines over the circle of radius ``reach`` about the middle."""
    count = math.ceil(reach / spacing)
    for step in range(-count, count + 1):
        aside = step * spacing
        if kind == "waves":
            points = 8 * count  # sixteen to a wave, on its crests too
            along = [spacing * i / 8.0 for i in range(-points, points + 1)]
            swing = spacing / 4.0
            yield [
                (middle[0] + s, middle[1] + aside + swing * math.sin(math.pi * s / spacing))
                for s in along
            ]
        else:
            for angle_deg in {"rising": (45,), "falling": (-45,), "grid": (0, 90)}[kind]:
                dx, dy = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
                x, y = middle[0] - dy * aside, middle[1] + dx * aside
                yield [(x - dx * reach, y - dy * reach), (x + dx * reach, y + dy * reach)]


# --- cutting at the edge --------------------------------------------------------------------------


def _clipped(edges: Sequence[_Edge], line: list[Point]) -> list[Path]:
    """The parts of an open line inside that are long enough to print, from left to right."""
    kept = [piece for piece in _pieces(edges, line) if _length(piece) >= _SHORTEST_MM]
    return [Path.from_points(piece) for piece in sorted(kept)]


def _pieces(edges: Sequence[_Edge], line: Sequence[Point]) -> list[list[Point]]:
    """The parts inside of a line that begins outside."""
    heights = [y for _, y in line]
    near = _between(edges, min(heights), max(heights))
    pieces: list[list[Point]] = []
    inside = False
    for a, b in itertools.pairwise(line):
        crossings = [share for edge in near if (share := _crossing(a, b, edge)) is not None]
        if any(min(abs(share), abs(share - 1.0)) < _ON_EDGE for share in crossings):
            return _pieces_by_middles(near, line)
        for share in sorted(share for share in crossings if 0.0 <= share < 1.0):
            at = _along(a, b, share)
            if inside:
                pieces[-1].append(at)
            else:
                pieces.append([at])
            inside = not inside
        if inside:
            pieces[-1].append(b)
    return _pieces_by_middles(near, line) if inside else pieces


def _pieces_by_middles(near: Sequence[_Edge], line: Sequence[Point]) -> list[list[Point]]:
    """The same for a line with a corner on an edge, where rounding may miss a crossing or count a
    touch: every stretch between crossings is judged by its middle."""
    pieces: list[list[Point]] = []
    inside = False
    for a, b in itertools.pairwise(line):
        found = (share for edge in near if (share := _crossing(a, b, edge)) is not None)
        shares = sorted({0.0, 1.0, *(s for s in found if _ON_EDGE < s < 1.0 - _ON_EDGE)})
        for start, end in itertools.pairwise(shares):
            if not is_inside(_along(a, b, (start + end) / 2.0), near):
                inside = False
                continue
            if not inside:
                pieces.append([_along(a, b, start)])
            pieces[-1].append(_along(a, b, end))
            inside = True
    return pieces


def _along(a: Point, b: Point, share: float) -> Point:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def _crossing(a: Point, b: Point, edge: _Edge) -> float | None:
    """Where a line from ``a`` (0) to ``b`` (1), or its extension, crosses an edge; None if not."""
    (px, py), (qx, qy) = edge
    dx, dy = b[0] - a[0], b[1] - a[1]
    first = dx * (py - a[1]) - dy * (px - a[0])
    second = dx * (qy - a[1]) - dy * (qx - a[0])
    # A corner on the line counts to its left, so that two edges that meet there agree.
    if (first >= 0.0) == (second >= 0.0):
        return None
    ex, ey = qx - px, qy - py
    return ((px - a[0]) * ey - (py - a[1]) * ex) / (dx * ey - dy * ex)


def _between(edges: Sequence[_Edge], low: float, high: float) -> list[_Edge]:
    """The edges that reach between two heights."""
    return [(p, q) for p, q in edges if min(p[1], q[1]) <= high and max(p[1], q[1]) >= low]


def _length(points: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


# --- marks ----------------------------------------------------------------------------------------


def hatch_marks(rings: Sequence[Ring], hatch: Hatch, fill: Colour) -> list[Stroke | Fill]:
    """The hatch of an area in black or white, whichever stands out more from the fill.

    Args:
        rings: as :func:`hatch_lines` takes them.
    """
    lines = hatch_lines(rings, hatch, HATCH_SPACING)
    if not lines:
        return []
    ink = BLACK if contrast(fill, BLACK) >= contrast(fill, WHITE) else WHITE
    if hatch == "dots":
        return [Fill(tuple(lines), Role.ART, colour=ink)]
    return [Stroke(tuple(lines), HATCH_LINE, Role.ART, colour=ink, cap="butt")]


def tint(colour: Colour) -> Colour:
    """A colour so thin that it takes little ink."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 - (255 - part) * _TINT):02x}" for part in parts)
