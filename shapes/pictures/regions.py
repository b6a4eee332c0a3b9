"""The areas between the lines of a picture, for copying its colours.

Imported inside functions only (shapely is heavy).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from shapely import Polygon

from shapes.affine import Affine
from shapes.colour import luminance
from shapes.errors import InputError
from shapes.outline.morphology import parts, quarter_segments
from shapes.pictures.picture import Picture, to_mm
from shapes.pictures.silhouette import SAG_MM, rings, strokes, without_holes
from shapes.svg.read import Shape

# Below this a filled area is ink, above it an area to colour (WCAG luminance; our choice).
_DARK = 0.05
_LIGHT = 0.8
_LEAST_COLOUR_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Region:
    """One area that lines enclose.

    Args:
        polygon: in mm, placed as :func:`shapes.pictures.pictures.to_mm` places the picture; ink
            that lies inside it (an eye) is a hole.
        area_mm2: its area.
        neighbours: indices of the regions on the other side of its lines, ascending.
        colour: ``#rrggbb`` that the drawing gives at least half of the area, else None.
    """

    polygon: Polygon
    area_mm2: float
    neighbours: tuple[int, ...]
    colour: str | None


def regions(
    picture: Picture, longest_mm: float, half_width_mm: float, close_gap_mm: float = 0.0
) -> tuple[Region, ...]:
    """The areas of a picture that are wide enough to colour, the largest first.

    Args:
        longest_mm: longer side of the picture's ink, above 0.
        half_width_mm: an area counts if a circle of this radius fits in, above 0.
        close_gap_mm: gaps in the lines up to this width count as closed, 0 or more.

    Returns:
        Possibly nothing: a picture whose lines have gaps encloses no area until they are closed.

    Raises:
        InputError: for a measure out of range.
    """
    if longest_mm <= 0 or half_width_mm <= 0 or close_gap_mm < 0:
        raise InputError(
            f"cannot look for areas at {longest_mm:g} mm with half width {half_width_mm:g} mm and "
            f"gaps of {close_gap_mm:g} mm",
            fix="give a size and a half width above 0 and gaps of 0 or more",
        )
    m = to_mm(picture, longest_mm)
    ink = _ink(picture.line, m)
    if close_gap_mm > 0:
        half = close_gap_mm / 2.0
        segments = quarter_segments(half, SAG_MM)
        closed = shapely.buffer(shapely.buffer(ink, half, quad_segs=segments), -half)
        ink = shapely.union(ink, closed)
    enclosed = shapely.difference(without_holes(ink), ink)
    wide = [part for part in parts(enclosed) if not shapely.buffer(part, -half_width_mm).is_empty]
    wide.sort(key=lambda part: (-round(part.area, 2), *(round(v, 2) for v in part.bounds)))
    lines = [shape.stroke_width * m.scale for shape in picture.line if shape.stroke]
    near = _neighbours(wide, max(lines, default=0.0) + close_gap_mm, 2.0 * half_width_mm)
    coloured = (*picture.colour, *(shape for shape in picture.line if not _is_ink(shape)))
    fills = [
        (shape.fill, shapely.union_all(list(rings(shape, m))))
        for shape in coloured
        if shape.fill is not None
    ]
    return tuple(
        Region(part, part.area, near[i], _colour(part, fills)) for i, part in enumerate(wide)
    )


def _is_ink(shape: Shape) -> bool:
    return shape.fill is not None and luminance(shape.fill) < _DARK


def _ink(line: Iterable[Shape], m: Affine) -> shapely.Geometry:
    """What the line art leaves dark: painted in order, light paint covering what is under it."""
    ink: shapely.Geometry = Polygon()
    dark: list[shapely.Geometry] = []
    for shape in line:
        area = list(rings(shape, m))
        edge = list(strokes(shape, m))
        if shape.stroke is not None and luminance(shape.stroke) > _LIGHT:
            area, edge = area + edge, []
        if _is_ink(shape):
            dark += area
        elif area:
            ink = shapely.difference(shapely.union_all([ink, *dark]), shapely.union_all(area))
            dark = []
        dark += edge
    return shapely.union_all([ink, *dark])


def _neighbours(polygons: list[Polygon], line_mm: float, share_mm: float) -> list[tuple[int, ...]]:
    """Who lies across a line from whom, over at least ``share_mm`` of border.

    Areas that meet in a point only are no neighbours.
    """
    found: list[list[int]] = [[] for _ in polygons]
    reach = line_mm * 1.2
    grown = [shapely.buffer(polygon, reach) for polygon in polygons]
    for i, polygon in enumerate(polygons):
        for j in range(i):
            border = shapely.intersection(grown[j], polygon.boundary)
            if border.length >= share_mm:
                found[i].append(j)
                found[j].append(i)
    return [tuple(sorted(indices)) for indices in found]


def _colour(polygon: Polygon, fills: list[tuple[str, shapely.Geometry]]) -> str | None:
    """The colour that shows over at least half of the polygon; later fills lie on top."""
    left: shapely.Geometry = polygon
    shown: dict[str, float] = {}
    for colour, area in reversed(fills):
        if left.is_empty:
            break
        part = shapely.intersection(left, area)
        if part.area > 0:
            shown[colour] = shown.get(colour, 0.0) + part.area
            left = shapely.difference(left, area)
    if not shown:
        return None
    best = max(shown, key=lambda colour: (shown[colour], colour))
    return best if shown[best] >= _LEAST_COLOUR_SHARE * polygon.area else None
