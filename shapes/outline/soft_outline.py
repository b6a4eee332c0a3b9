"""A picture's own outline, softened: wide bends and hollows, no narrow places, all parts joined.

Lengths in mm, y up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

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
_CHORD_MM = 0.01
_SHARES = 128  # so finely the growth before rounding is found; a power of two
_SPARE = (1.06, 1.2, 1.5, 2.0, 3.0)
"""Bends, hollows and necks are made this much wider than asked, as fitted arcs vary by a few
percent; the next factor is taken if the finished outline, measured, still breaks a limit."""
_FINGER = 0.45
"""A narrow part that sticks out by less than this share of the neck limit is a bend, no neck."""


@dataclass(frozen=True, slots=True)
class Softened:
    """A silhouette's own outline, softened.

    Args:
        path: closed, anticlockwise, from its lowest (then leftmost) joint on.
        widened: by how many shares of the bend it was grown before it was rounded; 0: it was not.
    """

    path: Path
    widened: int = 0


def soft_outline(
    silhouette: Area,
    offset: float,
    bend: float,
    hollow: float,
    neck: float,
    near: int = 0,
    sooner: bool = False,
) -> Softened:
    """The silhouette's own outline with bends, hollows and necks a hand can follow.

    Detached parts are joined, never dropped: first by closing the gaps, then by shortest bridges.

    Args:
        near: ``widened`` of one much like it: where to look first. The same comes out.
        sooner: corners 0.01 mm from a straight line may be left out on the way.
    """
    wanted = filled(grown(silhouette, offset))
    for spare in _SPARE:
        soft = _soft_once(wanted, offset, (bend, hollow, neck), spare, near, sooner)
        if _keeps_limits(soft.path, bend, hollow, neck):
            return Softened(from_lowest(soft.path), soft.widened)
        near = soft.widened
    # Nothing with hollows keeps the limits: the rounded hull always does.
    return Softened(rounded_hull(silhouette, offset, max(bend, neck / 2.0)))


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
    wanted: Area,
    offset: float,
    least: tuple[float, float, float],
    spare: float,
    near: int,
    sooner: bool,
) -> Softened:
    bend, hollow, neck = least
    wide = hollow * spare
    body = _thickened(_one_part(wanted, wide, neck * spare), neck * spare, sooner)
    widened = 0
    if bend > offset:
        body, widened = _rounded(body, bend * spare, wide, near)
    else:
        body = biggest(filled(closed(body, wide)))
    for _ in range(4):
        smooth = _without_cusps(body, min(bend, offset))
        if smooth.buffer(_CONTAINED_MM).covers(wanted):
            body = smooth
            break
        if body.buffer(_CONTAINED_MM).covers(wanted):
            break
        body = biggest(filled(closed(body.union(wanted), wide)))
    ring = np.asarray(shapely.geometry.polygon.orient(body).exterior.coords)
    path = fit_arcs(ring, _FIT_MM, closed=True, min_bend_mm=bend, min_hollow_mm=hollow)
    return Softened(path, widened)


def _without_cusps(body: Polygon, radius: float) -> Polygon:
    """Points left where two hollows meet, rounded off."""
    return biggest(filled(grown(grown(body, -0.9 * radius), 0.9 * radius)))


def _rounded(body: Polygon, bend: float, hollow: float, near: int) -> tuple[Polygon, int]:
    """The area opened with the bend, grown before that by as few shares of it as keep all of it."""
    low, high, best = 0, _SHARES, None
    # Halved again and again; from a guess on, in steps that double until it lies between two tries.
    step = 1 if near else _SHARES
    at = near or _SHARES // 2
    while high - low > 1:
        trial = filled(closed(grown(body, _share(bend, at)), hollow))
        trial = filled(grown(grown(trial, -bend), bend))
        if isinstance(trial, Polygon) and trial.buffer(_CONTAINED_MM).covers(body):
            best, high = trial, at
            at = max(high - step, (low + high) // 2)
        else:
            low = at
            at = min(low + step, (low + high) // 2)
        step *= 2
    if best is None:
        return biggest(filled(closed(grown(body, bend), hollow))), 0
    return best, high


def _share(bend: float, at: int) -> float:
    """So many 128ths of the bend, to the same last digit in which halving comes upon them: arcs are
    fitted anew where a corner moves by no more than that."""
    if at in (0, _SHARES):
        return bend if at else 0.0
    half = at & -at
    return (_share(bend, at - half) + _share(bend, at + half)) / 2.0


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


def _thickened(body: Polygon, neck: float, sooner: bool) -> Polygon:
    """Parts narrower than ``neck`` grown until a disc of that diameter passes."""
    half = neck / 2.0 + 0.1
    for _ in range(10):
        opened = grown(grown(body, -half), half)
        if _all_within(body, opened, _FINGER * neck):
            break
        rest = body.difference(opened.buffer(0.05))
        thin = [part for part in parts(rest) if not _all_within(part, opened, _FINGER * neck)]
        added = shapely.union_all([part.buffer(0.12 * neck) for part in thin])
        body = body.union(added)
        if sooner:
            # Where edges all but meet, very short ones make the next step take long.
            body = shapely.simplify(body, _CHORD_MM)
        body = biggest(filled(body))
    return body


def _all_within(area: Polygon, other: BaseGeometry, reach: float) -> bool:
    """No corner sticks out farther than that from another area (nor lies, between two parts of it,
    farther from both); False if there is no other area."""
    shapely.prepare(other)
    return bool(np.all(shapely.dwithin(other, shapely.points(area.exterior.coords), reach)))
