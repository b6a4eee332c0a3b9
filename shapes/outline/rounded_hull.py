"""The rounded convex hull of a picture: no hollows, no corners, no bend tighter than asked.

Lengths in mm, y up.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from shapes.outline.morphology import Area, grown
from shapes.path import Arc, Line, Path, Segment, from_lowest

_CONTAINED_MM = 0.025
_HULL_STEP_MM = 0.15


def rounded_hull(silhouette: Area, offset: float, bend: float) -> Path:
    """The convex hull, rounded so that no bend is tighter than ``bend``.

    The hull is grown by the smallest extra offset for which rounding it still leaves the offset
    silhouette inside. Arcs of radius ``bend`` and lines, without a kink.
    """
    hull = grown(silhouette.convex_hull, offset)
    # A thin hull grown by the bend radius always contains a disc of that radius.
    low, high = 0.0, bend
    for _ in range(14):
        middle = (low + high) / 2.0
        core = grown(hull, middle - bend)
        if not core.is_empty and grown(core, bend).buffer(_CONTAINED_MM).covers(hull):
            high = middle
        else:
            low = middle
    core = grown(hull, high - bend)
    # Fewer, longer arcs: the core's corners are thinned, and the disc makes up for what that cuts.
    return _swept(core.simplify(_HULL_STEP_MM), bend + _HULL_STEP_MM)


def _swept(core: BaseGeometry, radius: float) -> Path:
    """The outline of all discs of that radius centred in a convex core."""
    corners = np.round(shapely.get_coordinates(core), 2)
    # Rounded first: only then is the hull convex to the last digit.
    hull = shapely.MultiPoint(corners).convex_hull
    points = [(float(x), float(y)) for x, y in shapely.get_coordinates(hull)]
    if isinstance(hull, Polygon):
        points = points[:-1]
        if not hull.exterior.is_ccw:
            points.reverse()
    if len(points) == 1:
        return Path.circle(points[0], radius, -90.0)
    headings = [
        math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        for a, b in zip(points, [*points[1:], points[0]], strict=True)
    ]
    segments: list[Segment] = []
    for i, point in enumerate(points):
        before, after = headings[i - 1], headings[i]
        sweep = (after - before) % 360.0
        if sweep > 1e-9:
            arc = Arc(point, radius, before - 90.0, sweep)
            if segments and math.dist(segments[-1].end, arc.start) > 1e-9:
                segments.append(Line(segments[-1].end, arc.start))
            segments.append(arc)
    return from_lowest(Path(tuple(segments), closed=True))
