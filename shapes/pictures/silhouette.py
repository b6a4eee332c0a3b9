"""The outline of a whole picture: everything inked, seen as one dark shape.

Imported inside functions only (shapely is heavy).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import shapely
from shapely import MultiPolygon, Polygon

from shapes.affine import Affine, Point
from shapes.errors import PictureError
from shapes.ink import has_bevels, miter_tips, stroke_rings
from shapes.memory import ByIdentity
from shapes.outline.morphology import calmed, parts, polygons, quarter_segments
from shapes.path import Path
from shapes.pictures.picture import PAPER, Picture, is_seen, to_mm
from shapes.svg.read import Shape
from shapes.tangles import refuse_tangles

SAG_MM = 0.05
"""Largest gap between a curve and its chords, at print size."""

_MERGE_MM = SAG_MM / 10.0

_MANY_PIECES = 2000
_STRETCH = 200

_LARGEST_MM = 300.0
_wholes = ByIdentity[Picture, Polygon | MultiPolygon](128)

MAX_CHORDS = 20_000
"""Most straight parts of all lines of a drawing, its curves cut into chords at the largest size."""

_CAPS = {"butt": "flat", "round": "round", "square": "square"}


def silhouette(picture: Picture, longest_mm: float) -> Polygon | MultiPolygon:
    """Union of the picture's areas and lines, lines at their printed width, holes filled.

    Paint that is as white as the paper does not count: nobody would see what an outline follows.

    Args:
        longest_mm: longer side of the picture's ink, above 0.

    Returns:
        A valid polygon in mm, y up, the lower left corner of its box at the origin (to within the
        flattening, 0.05 mm); several polygons if parts of the picture do not touch. The map from
        picture units is :func:`shapes.pictures.pictures.to_mm`.

    Raises:
        PictureError: if nothing of the picture can be seen.
    """
    if picture.credit:
        return _made(picture, longest_mm)
    scale = longest_mm / _LARGEST_MM
    return shapely.transform(_whole(picture), lambda points: points * scale)


def _whole(picture: Picture) -> Polygon | MultiPolygon:
    # An own drawing is outlined at many sizes: it is put together once, finer than at any of them.
    return _wholes.get(picture, None, lambda: calmed(_made(picture, _LARGEST_MM)))


def whole_rings(picture: Picture) -> tuple[tuple[Point, ...], ...]:
    """The silhouette of an own drawing at its largest size, a ring of points for each part."""
    return tuple(tuple(part.exterior.coords) for part in parts(_whole(picture)))


def keep_whole(picture: Picture, rings: Sequence[Sequence[Point]]) -> None:
    """Take as a drawing's silhouette what :func:`whole_rings` gave for it elsewhere."""
    made = polygons(rings)
    whole = made[0] if len(made) == 1 else MultiPolygon(made)
    _wholes.get(picture, None, lambda: whole)


def _made(picture: Picture, longest_mm: float) -> Polygon | MultiPolygon:
    m = to_mm(picture, longest_mm)
    inked = [shape for shape in picture.shapes if is_seen(shape)]
    pieces = [piece for shape in inked for piece in _pieces(shape, m)]
    shape = without_holes(shapely.union_all(pieces))
    if shape.is_empty:
        raise PictureError(
            "shows nothing: its shapes have neither area nor line",
            where=picture.source,
            fix="choose another picture",
        )
    return shape


def without_holes(geometry: shapely.Geometry) -> Polygon | MultiPolygon:
    """The polygons with their holes filled and what lay in the holes taken up."""
    polygons = parts(geometry)
    filled = [Polygon(part.exterior) if part.interiors else part for part in polygons]
    if len(filled) == 1:
        return filled[0]
    if any(part.interiors for part in polygons):
        filled = parts(shapely.union_all(filled))
    return MultiPolygon(filled) if len(filled) != 1 else filled[0]


def strokes(shape: Shape, m: Affine) -> Iterator[shapely.Geometry]:
    """The inked area of a shape's lines in mm; dashes count as if they were solid."""
    half = shape.stroke_width * m.scale / 2.0
    if shape.stroke is None or half <= 0:
        return
    for path in shape.paths:
        points = _flat(path, m)
        if path.closed and len(points) > 2:
            line: shapely.Geometry = shapely.LinearRing(points)
        elif len(points) > 1:
            line = shapely.LineString(points)
        else:
            # A line without length shows its caps only (SVG 2, 13.5.4).
            if shape.cap != "butt":
                yield shapely.buffer(shapely.Point(points[0]), half, cap_style=shape.cap)
            continue
        if has_bevels(shape.nib, path):
            yield from _joined(polygons(list(stroke_rings(shape.nib, path, m, SAG_MM))))
            continue
        yield shapely.buffer(
            line,
            half,
            quad_segs=quarter_segments(half, SAG_MM),
            cap_style=_CAPS[shape.cap],
            join_style="round",
        )
        for corner in miter_tips(shape.nib, path):
            yield Polygon([m.apply(point) for point in corner])


def _joined(pieces: list[Polygon]) -> Sequence[shapely.Geometry]:
    """The pieces of a line; of very many, stretches of it, which takes half the time.

    The parts of the line come first and then, in the same order, what fills its turns.
    """
    if len(pieces) <= _MANY_PIECES:
        return pieces
    half = (len(pieces) + 1) // 2
    rows = pieces[:half], pieces[half:]
    return [
        shapely.simplify(
            shapely.union_all([p for row in rows for p in row[i : i + _STRETCH]]), _MERGE_MM
        )
        for i in range(0, half, _STRETCH)
    ]


def rings(shape: Shape, m: Affine) -> Iterator[Polygon]:
    """Every subpath of a filled shape as a valid polygon, its own crossings resolved, in mm."""
    if shape.fill is None:
        return
    for path in shape.paths:
        points = _flat(path, m)
        if len(points) < 3:
            continue
        polygon = Polygon(points)
        if polygon.is_valid:
            yield polygon
        else:
            # A line that crosses itself: every area it closes in counts.
            yield from parts(shapely.polygonize([shapely.union_all(polygon.exterior)]))


def _pieces(shape: Shape, m: Affine) -> Iterable[shapely.Geometry]:
    if shape.fill != PAPER:  # a white area is seen only by the line round it
        yield from rings(shape, m)
    yield from strokes(shape, m)


def _flat(path: Path, m: Affine) -> list[tuple[float, float]]:
    """Corner points in mm; those that all but repeat the one before are dropped."""
    flat = path.flatten(SAG_MM / m.scale)
    points = [m.apply(flat[0])]
    for point in flat[1:]:
        mapped = m.apply(point)
        if math.dist(mapped, points[-1]) > _MERGE_MM:
            points.append(mapped)
    if path.closed and len(points) > 1 and math.dist(points[0], points[-1]) <= _MERGE_MM:
        points.pop()
    return points


def check_lines(picture: Picture) -> None:
    """Look at how many lines there are and how often those of a shape cross, before any area is
    made of them.

    Raises:
        PictureError: more than :data:`MAX_CHORDS`, or they cross too often; see
            :data:`shapes.tangles.MAX_CROSSINGS`.
    """
    m = to_mm(picture, _LARGEST_MM)
    total = 0
    for shape in picture.shapes:
        flat = [(path, _flat(path, m)) for path in shape.paths]
        total += sum(len(points) - (not path.closed) for path, points in flat)
        if total > MAX_CHORDS:
            raise PictureError(
                f"has lines of more than {MAX_CHORDS:,} straight parts",
                where=picture.source,
                fix="simplify the drawing",
            )
        refuse_tangles([[*points, m.apply(path.end)] for path, points in flat], picture.source)
