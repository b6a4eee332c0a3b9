"""A picture's own outline, softened: wide bends and hollows, no narrow places, all parts joined.

Lengths in mm, y up.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.measure.measure import measure
from shapes.outline.fit import fit_arcs
from shapes.outline.morphology import Area, biggest, closed, filled, grown, parts
from shapes.outline.rounded_hull import rounded_hull
from shapes.path import Path, from_lowest

_CONTAINED_MM = 0.05
"""An outline may cut this far into the offset silhouette: half a printer's dot and the chords."""
_FIT_MM = 0.1
_SPARE = (1.06, 1.2, 1.5, 2.0, 3.0)
"""Bends, hollows and necks are made this much wider than asked, as fitted arcs vary by a few
percent; the next factor is taken if the finished outline, measured, still breaks a limit."""
_FINGER = 0.45
"""A narrow part that sticks out by less than this share of the neck limit is a bend, no neck."""


def soft_outline(silhouette: Area, offset: float, bend: float, hollow: float, neck: float) -> Path:
    """The silhouette's own outline with bends, hollows and necks a hand can follow.

    Detached parts are joined, never dropped: first by closing the gaps, then by shortest bridges.
    """
    wanted = filled(grown(silhouette, offset))
    for spare in _SPARE:
        path = _soft_once(wanted, offset, bend, hollow, neck, spare)
        if _keeps_limits(path, bend, hollow, neck):
            return from_lowest(path)
    # Nothing with hollows keeps the limits: the rounded hull always does.
    return rounded_hull(silhouette, offset, max(bend, neck / 2.0))


def _keeps_limits(path: Path, bend: float, hollow: float, neck: float) -> bool:
    found = measure(path)
    return (
        not found.corners
        and (found.min_bend_radius or math.inf) >= bend
        and (found.min_hollow_radius or math.inf) >= hollow
        and (found.neck or math.inf) >= neck
        and (found.notch or math.inf) >= 2.0 * hollow
    )


def _soft_once(
    wanted: Area, offset: float, bend: float, hollow: float, neck: float, spare: float
) -> Path:
    wide = hollow * spare
    body = _thickened(_one_part(wanted, wide, neck * spare), neck * spare)
    body = _rounded(body, bend * spare if bend > offset else 0.0, wide)
    for _ in range(4):
        smooth = _without_cusps(body, min(bend, offset))
        if smooth.buffer(_CONTAINED_MM).covers(wanted):
            body = smooth
            break
        if body.buffer(_CONTAINED_MM).covers(wanted):
            break
        body = biggest(filled(closed(body.union(wanted), wide)))
    ring = np.asarray(shapely.geometry.polygon.orient(body).exterior.coords)
    return fit_arcs(ring, _FIT_MM, closed=True, min_bend_mm=bend, min_hollow_mm=hollow)


def _without_cusps(body: Polygon, radius: float) -> Polygon:
    """Points left where two hollows meet, rounded off."""
    return biggest(filled(grown(grown(body, -0.9 * radius), 0.9 * radius)))


def _rounded(body: Polygon, bend: float, hollow: float) -> Polygon:
    if bend <= 0.0:
        return biggest(filled(closed(body, hollow)))
    low, high = 0.0, bend
    best: Polygon | None = None
    for _ in range(7):
        middle = (low + high) / 2.0
        trial = filled(closed(grown(body, middle), hollow))
        trial = filled(grown(grown(trial, -bend), bend))
        if isinstance(trial, Polygon) and trial.buffer(_CONTAINED_MM).covers(body):
            best, high = trial, middle
        else:
            low = middle
    if best is None:
        best = biggest(filled(closed(grown(body, bend), hollow)))
    return best


def _one_part(area: Area, hollow: float, neck: float) -> Polygon:
    joined = filled(closed(area, hollow))
    while isinstance(joined, MultiPolygon):
        pieces = sorted(joined.geoms, key=lambda part: (-part.area, part.bounds))
        first = pieces[0]
        nearest = min(pieces[1:], key=lambda part: (first.distance(part), part.bounds))
        # Reach into both parts, so that the bridge is as wide at its ends as in the middle.
        (ax, ay), (bx, by) = shapely.shortest_line(first, nearest).coords
        span = math.hypot(bx - ax, by - ay) or 1.0
        ux, uy = (bx - ax) / span * neck, (by - ay) / span * neck
        bridge = shapely.LineString([(ax - ux, ay - uy), (bx + ux, by + uy)]).buffer(neck / 2 + 1)
        inside = bridge.intersection(first.convex_hull.union(nearest.convex_hull).convex_hull)
        joined = filled(closed(joined.union(inside), hollow))
    return joined


def _thickened(body: Polygon, neck: float) -> Polygon:
    """Parts narrower than ``neck`` grown until a disc of that diameter passes."""
    half = neck / 2.0 + 0.1
    for _ in range(10):
        opened = grown(grown(body, -half), half)
        rest = body.difference(opened.buffer(0.05))
        thin = [
            part for part in parts(rest) if opened.is_empty or _reach(part, opened) > _FINGER * neck
        ]
        if not thin:
            break
        added = shapely.union_all([part.buffer(0.12 * neck) for part in thin])
        body = biggest(filled(body.union(added)))
    return body


def _reach(part: Polygon, opened: BaseGeometry) -> float:
    """How far a narrow part sticks out from the wide ones (or, between two, half its length)."""
    points = shapely.points(shapely.get_coordinates(part))
    return float(np.max(shapely.distance(points, opened)))
