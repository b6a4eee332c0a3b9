"""Growing, closing and filling areas: the mathematical morphology behind easier outlines.

Rounding is the opening or closing of J. Serra, "Image Analysis and Mathematical Morphology" (1982):
an area opened with a disc has no outward bend tighter than the disc, one closed with it no hollow
tighter than it. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.affine import Point
from shapes.errors import PictureError
from shapes.outline.deadline import look

Area: TypeAlias = Polygon | MultiPolygon

_SAG_MM = 0.02
_MANY = 1000
_CALMING_MM = (0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2)


def grown(area: BaseGeometry, by: float) -> BaseGeometry:
    """Offset with round joins, chords within 0.02 mm.

    Raises:
        PictureError: there is no time left for it, see :mod:`shapes.outline.deadline`.
    """
    look()
    if by == 0.0 or area.is_empty:
        return area
    return area.buffer(by, quad_segs=max(4, quarter_segments(abs(by), _SAG_MM)))


def closed(area: BaseGeometry, radius: float) -> BaseGeometry:
    """Hollows tighter than the radius filled up."""
    return grown(grown(area, radius), -radius)


def calmed(area: Area) -> Area:
    """The area with at most some :data:`_MANY` corners, its narrowest hollows filled up.

    To grow an area takes time with the square of its corners, and an outline grown by some mm
    shows none of its fringes. Only what has more corners is changed: hollows 0.1 mm wide go
    first, then wider ones up to 6 mm.
    """
    for radius in _CALMING_MM:
        if shapely.get_num_coordinates(area) <= _MANY:
            break
        area = filled(shapely.simplify(closed(area, radius), _SAG_MM))
    return area


def polygons(rings: Sequence[Sequence[Point]]) -> list[Polygon]:
    """A polygon of each ring of 3 corners or more, made all at once: there may be thousands."""
    if not rings:
        return []
    which = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    corners = np.array([corner for ring in rings for corner in ring])
    made: list[Polygon] = list(shapely.polygons(shapely.linearrings(corners, indices=which)))
    return made


def filled(area: BaseGeometry) -> Area:
    """The area without its holes."""
    merged = shapely.union_all([Polygon(part.exterior) for part in parts(area)])
    return merged if isinstance(merged, Polygon | MultiPolygon) else Polygon()


def parts(geometry: shapely.Geometry) -> list[Polygon]:
    """The polygons of any geometry; lines and points are dropped."""
    single = shapely.get_parts(geometry)
    if any(isinstance(part, shapely.GeometryCollection) for part in single):
        single = shapely.get_parts(single)
    return [part for part in single if isinstance(part, Polygon) and not part.is_empty]


def quarter_segments(radius_mm: float, sag_mm: float) -> int:
    """Chords to a quarter circle that keep within the sag."""
    if radius_mm <= sag_mm:
        return 2
    step = 2.0 * math.acos(1.0 - sag_mm / radius_mm)
    return max(2, math.ceil(math.pi / 2.0 / step))


def biggest(area: BaseGeometry) -> Polygon:
    """The largest polygon of an area; PictureError if there is none."""
    found = parts(area)
    if not found:
        raise PictureError("the picture has nothing to cut out")
    return max(found, key=lambda part: part.area)
