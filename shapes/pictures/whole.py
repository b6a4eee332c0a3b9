"""Makes a drawing whole: its silhouette's contour is drawn wherever no line runs along it.

OpenMoji drawings are line art over coloured areas, and lines stop where a colour shows the edge:
without the colours a neck stays open. So the edge of the coloured body is drawn there, in a line
like the others. What is no part of the body is left out of the drawing, so that it steers no
outline: *ground*, which lies under the picture from side to side without a line round it (the
water under a boat), and *loose marks*, small and far from all else (the wind about a leaf).

Imported inside functions only (shapely is heavy). ``python -m sheets.files.make_whole`` makes
the
stored file anew; a test says when it is stale.
"""

from __future__ import annotations

import dataclasses
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

import shapely
from shapely import Polygon
from shapely.ops import substring

from shapes.affine import Affine, Point
from shapes.colour import luminance
from shapes.outline.morphology import parts
from shapes.path import BBox
from shapes.pictures.closing import Closing
from shapes.pictures.picture import PAPER, Picture, ink_box, is_seen, without
from shapes.pictures.silhouette import rings, strokes, without_holes
from shapes.svg.read import Shape

_LINE = 10.0
"""Everything is measured at the size at which the drawing's line is so wide, mm."""

# Our settings in mm at that size; no published source.
_BESIDE = 4.5
"""A line runs along an edge if its ink is no farther from it than this."""
_LEAST_GAP = 2.5
_CORE = 4.0
_SHORT = 3.0
"""An edge nearer than that to a line is open all the same where it leads away from one line and
straight to another: no longer than this many times its distance from them."""
_REACH = 9.5
"""A closing line goes on at most so far to meet the middle of the line it joins, which may be
printed much thinner."""
_MEETS = 3.5
"""It meets a middle that is no farther from it than this."""
_PAST = 4.0
"""Where it meets none, it goes on this far beside the other line and then over to it."""
_THIN = 6.5
"""Half the width of a part of the body that one line is enough to show (a whisker)."""
_CHORD = 0.15
_SLACK = 0.1
_BARB = 0.2  # units of the drawing that a barb is long at least; its sides lie on each other
_DARK = 0.05

GROUND_WIDE, GROUND_FOOT, GROUND_LINED = 0.95, 0.03, 0.45
"""Ground is at least so wide (share of the picture), begins so near its foot (share of its height)
and has a line along less than this share of its edge."""
PAPER_LINED = 0.6
"""A white area counts as part of the body if a line runs along this share of its edge."""
LOOSE_AREA, LOOSE_GAP = 0.06, 0.08
"""A loose mark is at most so large (share of the largest part) and at least so far (share of the
longer side) from everything that is no loose mark."""


def closing_of(picture: Picture) -> Closing:
    """What makes a drawing whole; nothing for one without a colour layer or without lines.

    Args:
        picture: as drawn, not yet whole.
    """
    width = _line_width(picture.line)
    if not picture.colour or width <= 0.0:
        return Closing()
    m = Affine.scaling(_LINE / width)
    ink = shapely.union_all(list(_ink(picture.line, m, _BESIDE)))
    ground = _ground(picture, m, ink)
    left_out = {(i, j) for i in ground for j, _ in enumerate(picture.shapes[i].paths)}
    lines = _closing_lines(picture, m, ink, ground)
    if picture.credit:  # a teacher's own marks stand where the teacher put them
        left_out |= _loose(picture, m, left_out, lines)
    box = ink_box(s for s in without(picture, frozenset(left_out)) if is_seen(s))
    shown = tuple(
        line for points in lines if len(line := _in_units(points, m, box.grown(-width / 2.0))) > 1
    )
    return Closing(shown, width if shown else 0.0, frozenset(left_out))


def _line_width(line: Sequence[Shape]) -> float:
    """Width of the most drawn lines, in units of the drawing; 0 without any."""
    lengths: dict[float, float] = defaultdict(float)
    for shape in line:
        if shape.stroke is not None and shape.stroke_width > 0.0:
            lengths[round(shape.stroke_width, 1)] += sum(path.length for path in shape.paths)
    return max(lengths, key=lambda width: (lengths[width], width), default=0.0)


def _ink(line: Iterable[Shape], m: Affine, more: float) -> Iterator[shapely.Geometry]:
    """The dark ink of the line art, wider by ``more`` on each side, but no line longer."""
    for shape in line:
        if shape.fill is not None and luminance(shape.fill) < _DARK:
            yield from (shapely.buffer(ring, more) for ring in rings(shape, m))
        if shape.stroke is not None and shape.stroke_width > 0.0:
            wide = shape.stroke_width + 2.0 * more / m.scale
            flat = dataclasses.replace(shape, stroke_width=wide, cap="butt", join="round")
            yield from strokes(flat, m)


# --- the edge of the body -------------------------------------------------------------------------


def _body(picture: Picture, m: Affine, ink: shapely.Geometry) -> dict[int, shapely.Geometry]:
    """Number of each shape -> its share of the body: coloured areas up to the middle of their
    lines, line art as hairlines."""
    body: dict[int, shapely.Geometry] = {}
    for i, shape in enumerate(picture.shapes):
        pieces: list[shapely.Geometry] = list(rings(shape, m))
        if i >= len(picture.colour):
            pieces += _thinned(shape, 0.1, m)
        elif shape.stroke is not None:
            # A coloured line that is wider than the drawing's has an edge of its own.
            over = shape.stroke_width - _LINE / m.scale
            pieces += _thinned(shape, over, m) if over * m.scale > 0.1 else []
        area = shapely.union_all(pieces)
        is_paper = shape.fill == PAPER and i < len(picture.colour)
        if not is_paper or _lined(area, ink) >= PAPER_LINED:
            body[i] = area
    return body


def _thinned(shape: Shape, width: float, m: Affine) -> list[shapely.Geometry]:
    return list(strokes(dataclasses.replace(shape, stroke_width=width), m))


def _lined(area: shapely.Geometry, ink: shapely.Geometry) -> float:
    """Share of an area's edge that a line runs along."""
    edge = area.boundary
    if edge is None or edge.length == 0.0:
        return 0.0
    return float(shapely.intersection(edge, ink).length / edge.length)


def _ground(picture: Picture, m: Affine, ink: shapely.Geometry) -> frozenset[int]:
    """Numbers of the coloured areas that are ground."""
    foot = picture.bbox.y0 * m.scale
    wide, high = picture.bbox.width * m.scale, picture.bbox.height * m.scale
    found = set()
    for i, shape in enumerate(picture.colour):
        area = shapely.union_all(list(rings(shape, m)))
        if area.is_empty:
            continue
        left, low, right, _ = area.bounds
        reach = shape.stroke_width * m.scale if shape.stroke is not None else 0.0
        if (
            right - left + reach >= GROUND_WIDE * wide
            and low - reach / 2.0 - foot <= GROUND_FOOT * high
            and _lined(area, ink) < GROUND_LINED
        ):
            found.add(i)
    return frozenset(found)


def _closing_lines(
    picture: Picture, m: Affine, ink: shapely.Geometry, ground: frozenset[int]
) -> list[list[Point]]:
    """The edge of the body where no line runs along it, a little longer at both ends."""
    body = without_holes(
        shapely.union_all([a for i, a in _body(picture, m, ink).items() if i not in ground])
    )
    edge = shapely.union_all([part.exterior for part in parts(body)])
    solid = shapely.buffer(shapely.buffer(body, -_THIN), _THIN + _SLACK)
    middles = shapely.union_all(list(_middles(picture.line, m)))
    core = shapely.union_all(list(_ink(picture.line, m, _CORE - _LINE / 2.0)))
    bare = _lines(shapely.intersection(shapely.difference(edge, ink), solid))
    bare = [line for line in bare if line.length >= _LEAST_GAP]
    bare += [line for line in _lines(shapely.difference(edge, core)) if _is_short(line, middles)]
    if not bare:
        return []
    gaps = shapely.union_all(bare)
    near = shapely.intersection(edge, shapely.buffer(gaps, _REACH))
    return [
        list(shapely.simplify(_joined(line, gaps, middles), _CHORD).coords)
        for line in _lines(near)
        if shapely.distance(line, gaps) < _SLACK
    ]


def _is_short(line: shapely.LineString, middles: shapely.Geometry) -> bool:
    """Whether an edge leads from one line straight to the next, not along one."""
    places = shapely.line_interpolate_point(line, [0.25, 0.5, 0.75], normalized=True)
    away = float(shapely.distance(places, middles).max())
    return bool(_LEAST_GAP / 2.0 <= line.length <= _SHORT * away)


def _middles(line: Iterable[Shape], m: Affine) -> Iterator[shapely.Geometry]:
    """The middles of the line art's lines and the edges of its areas."""
    for shape in line:
        hair = dataclasses.replace(shape, stroke_width=_SLACK / m.scale)
        yield from strokes(hair, m)
        yield from (ring.exterior for ring in rings(shape, m))


def _joined(
    line: shapely.LineString, gaps: shapely.Geometry, middles: shapely.Geometry
) -> shapely.LineString:
    """A line over a gap, and at both ends on to the middle of another line."""
    if line.is_closed:
        return line
    within = [
        float(shapely.line_locate_point(line, shapely.Point(xy)))
        for xy in shapely.get_coordinates(shapely.intersection(shapely.buffer(gaps, _SLACK), line))
    ]
    start, end = min(within), max(within)
    head = _end_at(line, start, 0.0, middles)
    tail = _end_at(line, end, line.length, middles)
    body = list(substring(line, start, end).coords)
    return shapely.LineString([*reversed(head), *body, *tail])


def _end_at(
    line: shapely.LineString, here: float, last: float, middles: shapely.Geometry
) -> list[Point]:
    """How a line goes on from a place on it to the middle of the line it joins."""
    away = substring(line, here, last)  # from here outward, also towards the start
    if isinstance(away, shapely.Point):
        away = shapely.LineString([away, away])
    met = shapely.intersection(away, shapely.buffer(middles, _MEETS))
    stops = [
        float(shapely.line_locate_point(away, shapely.Point(xy)))
        for xy in shapely.get_coordinates(met)
    ]
    further = list(substring(away, 0.0, min(stops, default=_PAST)).coords)[1:]
    # Onto the middle; from where it only passed, a little ahead, so that it merges at a slant.
    place = [away.coords[0], *further][-1] if stops else away.coords[-1]
    over = shapely.shortest_line(shapely.Point(place), middles)
    return [*further, over.coords[-1]] if over.length <= _REACH else further


def _lines(geometry: shapely.Geometry) -> list[shapely.LineString]:
    merged = geometry
    if not isinstance(geometry, shapely.LineString):
        merged = shapely.line_merge(geometry)
    return [part for part in shapely.get_parts(merged) if isinstance(part, shapely.LineString)]


def _in_units(points: Iterable[Point], m: Affine, box: BBox) -> tuple[Point, ...]:
    """Points in units of the drawing, to a hundredth, moved into a box that its ink fills."""
    found: list[Point] = []
    for x, y in points:
        x, y = x / m.scale, y / m.scale
        x, y = min(max(x, box.x0), box.x1), min(max(y, box.y0), box.y1)
        point = (round(x, 2), round(y, 2))
        # The geometry library may leave a barb, where the line goes out a little and back.
        if (
            len(found) > 1
            and math.dist(found[-1], point) > _BARB
            and math.dist(found[-2], point) < _BARB / 10.0
        ):
            found.pop()
        if not found or found[-1] != point:
            found.append(point)
    return tuple(found)


# --- loose marks ----------------------------------------------------------------------------------


def _loose(
    picture: Picture, m: Affine, left_out: set[tuple[int, int]], lines: list[list[Point]]
) -> set[tuple[int, int]]:
    """The paths of all loose marks."""
    pieces: list[tuple[tuple[int, int], shapely.Geometry]] = []
    for i, shape in enumerate(picture.shapes):
        for j, path in enumerate(shape.paths):
            one = dataclasses.replace(shape, paths=(path,))
            if (i, j) not in left_out and is_seen(shape):
                pieces.append(((i, j), shapely.union_all([*rings(one, m), *strokes(one, m)])))
    bridges = [shapely.buffer(shapely.LineString(line), _LINE / 2.0) for line in lines]
    whole = without_holes(shapely.union_all([*(piece for _, piece in pieces), *bridges]))
    marks = sorted(parts(whole), key=lambda part: -part.area)
    longer = max(picture.bbox.width, picture.bbox.height) * m.scale
    body = [mark for mark in marks if mark.area > LOOSE_AREA * marks[0].area]
    rest = [mark for mark in marks if mark.area <= LOOSE_AREA * marks[0].area]
    while near := [mark for mark in rest if _gap(mark, body) < LOOSE_GAP * longer]:
        body += near
        rest = [mark for mark in rest if mark not in near]
    loose = shapely.union_all(rest)
    return {key for key, piece in pieces if shapely.intersects(piece, loose)}


def _gap(mark: Polygon, body: Iterable[Polygon]) -> float:
    return min(float(shapely.distance(mark, part)) for part in body)
