"""Growing, closing and filling areas: the mathematical morphology behind easier outlines.

Rounding is the opening or closing of J. Serra, "Image Analysis and Mathematical Morphology" (1982):
an area opened with a disc has no outward bend tighter than the disc, one closed with it no hollow
tighter than it. Lengths in mm.
"""

from __future__ import annotations

import math
from typing import TypeAlias

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.errors import PictureError

Area: TypeAlias = Polygon | MultiPolygon

_SAG_MM = 0.02


def grown(area: BaseGeometry, by: float) -> BaseGeometry:
    """Offset with round joins, chords within 0.02 mm."""
    if by == 0.0 or area.is_empty:
        return area
    step = 2.0 * math.acos(max(0.0, 1.0 - _SAG_MM / abs(by)))
    return area.buffer(by, quad_segs=max(4, math.ceil(math.pi / 2.0 / step)))


def closed(area: BaseGeometry, radius: float) -> BaseGeometry:
    """Hollows tighter than the radius filled up."""
    return grown(grown(area, radius), -radius)


def filled(area: BaseGeometry) -> Area:
    """The area without its holes."""
    merged = shapely.union_all([Polygon(part.exterior) for part in parts(area)])
    return merged if isinstance(merged, Polygon | MultiPolygon) else Polygon()


def parts(area: BaseGeometry) -> list[Polygon]:
    """The polygons of an area, lines and points left out."""
    return [
        part for part in shapely.get_parts(area) if isinstance(part, Polygon) and not part.is_empty
    ]


def biggest(area: BaseGeometry) -> Polygon:
    """The largest polygon of an area; PictureError if there is none."""
    found = parts(area)
    if not found:
        raise PictureError("the picture has nothing to cut out")
    return max(found, key=lambda part: part.area)
