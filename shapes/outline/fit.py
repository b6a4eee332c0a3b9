"""Lines and circular arcs through the dense points of an outline.

Buffers give outlines of hundreds of tiny chords. Here they become a few dozen lines and arcs that
join without a kink: between chosen points of the outline runs a *biarc*, two arcs that share a
tangent and have the outline's own direction at both ends (K. M. Bolton, "Biarc curves",
Computer-Aided Design 7, 1975). Lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import LineString

from shapes.measure.course import KINK_MM, Floats, distances, stands_off
from shapes.path import Arc, Line, Path, Segment

_CLEAN_MM = 0.002  # vertices closer than this to the line between their neighbours are left out
_STRAIGHT_MM = 6.0  # an edge this long stays a straight line of its own
_BARB_MM = 0.03
_BARB_TURN = math.radians(60.0)
_MUCH_LONGER = 4.0  # an edge that much longer than the next one is no chord of the same curve
_SPACING_MM = 2.5
_SPACING_TURN = math.radians(20.0)
_REACH = 24  # places that one biarc may pass
_POOR = 50.0  # costs, in segments
_NEVER = 1e5
_STEADYING_MM = (0.25, 0.5, 1.0, 2.0, 4.0)
_STEADY_TURN = math.radians(8.0)
_FLAT_MM = 0.002  # an arc flatter than this is drawn as a line
_MOST_TURN = math.radians(150.0)
_ONE_WAY = math.radians(0.5)
_STRAIGHT = 1e-4  # curvature in 1/mm
_SAME_TANGENT = math.radians(0.1)


def fit_arcs(
    points: ArrayLike,
    max_error_mm: float = 0.1,
    closed: bool = True,
    *,
    min_bend_mm: float = 0.0,
    min_hollow_mm: float = 0.0,
) -> Path:
    """Lines and arcs that pass within ``max_error_mm`` of every point.

    The ends of the biarcs are points of the input rounded to 0.01 mm, the first point among them.
    Tangents are continuous but where the input has a corner: a vertex that no smooth curve would
    come within 0.1 mm of.

    Args:
        points: shape (n, 2), in mm, along the outline; a closed one may repeat its start.
        max_error_mm: above 0.
        closed: join the end to the start.
        min_bend_mm: radius below which no arc turns outward (left on an open line), where the
            points allow it.
        min_hollow_mm: the same for turns inward (right on an open line).

    Raises:
        ValueError: fewer than two different points (three for a closed outline).
    """
    dense = _cleaned(np.asarray(points, dtype=np.float64), closed)
    if len(dense) < (3 if closed else 2):
        raise ValueError("too few different points to fit an outline to")
    if closed:
        circle = _circle(dense, max_error_mm)
        if circle is not None:
            return circle
    guide = _Guide.of(dense, closed)
    limits = (1.0 / max(1e-9, min_bend_mm), 1.0 / max(1e-9, min_hollow_mm))
    if closed and _signed_area(dense) < 0:
        limits = limits[::-1]
    return Path(tuple(_best_chain(guide, max_error_mm, limits)), closed)


def _cleaned(points: Floats, closed: bool) -> Floats:
    if closed and len(points):
        points = np.vstack([points, points[:1]])
    if len(points) < 2:
        return points
    kept = np.asarray(LineString(points).simplify(_CLEAN_MM, preserve_topology=False).coords)
    kept = kept[np.append(True, np.any(np.diff(kept, axis=0) != 0.0, axis=1))]
    return _without_barbs(kept[:-1]) if closed else kept


def _without_barbs(ring: Floats) -> Floats:
    """The ring without edges of a few hundredths of a millimetre that it turns sharply into.

    Buffers leave such barbs where arcs meet; their directions say nothing about the outline.
    """
    while len(ring) > 3:
        edges = ring - np.roll(ring, 1, axis=0)  # the edge that ends at each point
        heading = np.arctan2(edges[:, 1], edges[:, 0])
        sharp = np.abs(_wrapped(np.roll(heading, -1) - heading)) > _BARB_TURN
        barbs = (np.hypot(edges[:, 0], edges[:, 1]) < _BARB_MM) & (sharp | np.roll(sharp, 1))
        if not barbs.any():
            break
        ring = np.delete(ring, int(np.argmax(barbs)), axis=0)
    return ring


def _signed_area(points: Floats) -> float:
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2.0


def _circle(points: Floats, max_error_mm: float) -> Path | None:
    """One full circle if all points and the middles of the edges lie on it."""
    both = np.vstack([points, (points + np.roll(points, -1, axis=0)) / 2.0])
    design = np.column_stack([2.0 * both, np.ones(len(both))])
    (x, y, rest), *_ = np.linalg.lstsq(design, np.sum(both**2, axis=1), rcond=None)
    radius = math.sqrt(max(0.0, rest + x * x + y * y))
    off = np.hypot(both[:, 0] - x, both[:, 1] - y) - radius
    if np.max(np.abs(off)) > max_error_mm / 2.0:
        return None
    center = (round(float(x), 2), round(float(y), 2))
    start_deg = math.degrees(math.atan2(points[0][1] - center[1], points[0][0] - center[0]))
    sweep_deg = math.copysign(360.0, _signed_area(points))
    return Path((Arc(center, round(radius, 2), start_deg, sweep_deg),), closed=True)


class _Guide(NamedTuple):
    """Places along the outline where biarcs may join, with the outline's direction (radians).

    ``halfway`` are the points of the outline between one place and the next, to check errors at.
    ``arriving`` and ``leaving`` differ in corners only. ``stop`` marks the places that a biarc must
    not pass: corners and both ends of straight lines. A closed outline repeats its first point.
    """

    points: Floats
    halfway: Floats
    arriving: Floats
    leaving: Floats
    stop: NDArray[np.bool_]

    @classmethod
    def of(cls, points: Floats, closed: bool) -> _Guide:
        ends = np.vstack([points, points[:1]]) if closed else points
        at = distances(ends)
        arriving, leaving, course, straight, kink = _directions(ends, closed)
        stop = kink.copy()
        stop[[0, -1]] = True
        stop[:-1] |= straight
        stop[1:] |= straight
        knots = np.column_stack([at[:-1], (at[:-1] + at[1:]) / 2.0, at[1:]]).ravel()
        values = np.column_stack([leaving[:-1], course, arriving[1:]]).ravel()
        stops = at[stop]
        places = _places(knots, values, stops, straight[np.flatnonzero(stop)[:-1]])
        direction = _steadied(places, knots, values, stops)
        before, after = direction.copy(), direction
        at_stop = np.searchsorted(places, stops)
        before[at_stop], after[at_stop] = arriving[stop], leaving[stop]
        halfway = (places[:-1] + places[1:]) / 2.0
        where, between = (
            np.column_stack([np.interp(s, at, ends[:, axis]) for axis in (0, 1)])
            for s in (places, halfway)
        )
        marks = np.zeros(len(places), dtype=np.bool_)
        marks[at_stop] = True
        return cls(np.round(where, 2), between, before, after, marks)


def _places(knots: Floats, values: Floats, stops: Floats, straight: NDArray[np.bool_]) -> Floats:
    """Distances along the outline, the stops among them, closer together where it turns more.

    Nothing lies between two stops that are the ends of a straight line.
    """
    wander = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(values)))])
    pace = knots / _SPACING_MM + wander / _SPACING_TURN
    found = [stops]
    for low, high in itertools.compress(itertools.pairwise(stops), ~straight):
        # From after the stop's own turn to before the next one's.
        first, last = np.searchsorted(knots, low, "right") - 1, np.searchsorted(knots, high, "left")
        steps = math.ceil(pace[last] - pace[first])
        inner = np.linspace(pace[first], pace[last], steps + 1)[1:-1]
        places = np.interp(inner, pace[first : last + 1], knots[first : last + 1])
        found.append(places[(places > low + 0.05) & (places < high - 0.05)])
    return np.sort(np.concatenate(found))


def _directions(
    ends: Floats, closed: bool
) -> tuple[Floats, Floats, Floats, NDArray[np.bool_], NDArray[np.bool_]]:
    """Directions into and out of each vertex, of each edge; which edges are straight; corners."""
    edges = np.diff(ends, axis=0)
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    heading = np.arctan2(edges[:, 1], edges[:, 0])
    turn = np.zeros(len(ends))
    turn[1:-1] = _wrapped(np.diff(heading))
    before, after = np.append(lengths[0], lengths), np.append(lengths, lengths[-1])
    if closed:
        turn[0] = turn[-1] = _wrapped(heading[0] - heading[-1])
        before[0], after[-1] = lengths[-1], lengths[0]
    course = heading[0] + np.concatenate([[0.0], np.cumsum(turn[1:-1])])
    kink = stands_off(before, after, turn) > KINK_MM
    # A vertex of a curve divides its turn like the edges; next to a straight line it belongs there.
    share = before / (before + after)
    share[before > _MUCH_LONGER * after] = 0.0
    share[after > _MUCH_LONGER * before] = 1.0
    into, out = turn * share, turn * (1.0 - share)
    straight = (
        (lengths >= _STRAIGHT_MM)
        & (kink[:-1] | (share[:-1] == 1.0))
        & (kink[1:] | (share[1:] == 0.0))
    )
    # At a corner or a loose end the curve goes on as it came: by the turn of its other half.
    loose = kink.copy()
    if not closed:
        loose[[0, -1]] = True
    arriving = np.append(course[0] - out[0], course) + into
    leaving = np.append(course, course[-1] + into[-1]) - out
    goes_on = np.where(loose, 0.0, out)[:-1]
    came = np.where(loose, 0.0, into)[1:]
    arriving[1:] = np.where(loose[1:], course + goes_on, arriving[1:])
    leaving[:-1] = np.where(loose[:-1], course - came, leaving[:-1])
    return arriving, leaving, course, straight, kink


def _steadied(at: Floats, knots: Floats, values: Floats, stops: Floats) -> Floats:
    """Mean direction round each distance, so that a biarc does not start along a stray chord.

    The mean is taken over as much of the line on either side as turns no more than a few degrees,
    at most 4 mm, and up to the nearest stop.
    """
    knots = np.maximum.accumulate(knots)
    steps = np.diff(knots)
    area = np.concatenate([[0.0], np.cumsum(steps * (values[1:] + values[:-1]) / 2.0)])
    wander = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(values)))])
    nearest = np.searchsorted(stops, at, side="right")
    room = np.minimum(at - stops[nearest - 1], stops[np.minimum(nearest, len(stops) - 1)] - at)

    def area_to(x: Floats) -> Floats:
        k = np.clip(np.searchsorted(knots, x, side="right") - 1, 0, len(knots) - 2)
        value = np.interp(x, knots, values)
        return np.asarray(area[k] + (x - knots[k]) * (values[k] + value) / 2.0)

    direction = np.interp(at, knots, values)
    for half in _STEADYING_MM:
        fits = half <= room
        low, high = at - half, at + half
        fits &= np.interp(high, knots, wander) - np.interp(low, knots, wander) <= _STEADY_TURN
        mean = (area_to(high) - area_to(low)) / (2.0 * half)
        direction = np.where(fits, mean, direction)
    return direction


def _wrapped(angle: Floats) -> Floats:
    return np.asarray((angle + math.pi) % math.tau - math.pi)


# --- biarcs ---------------------------------------------------------------------------------------


class _Biarcs(NamedTuple):
    """Biarcs in an array of any shape, with signed curvatures, left positive.

    The last axis of the points and tangents holds x and y.
    """

    start: Floats
    joint: Floats
    end: Floats
    start_tangent: Floats
    joint_tangent: Floats
    first: Floats
    second: Floats
    sound: NDArray[np.bool_]

    @classmethod
    def between(cls, start: Floats, leaving: Floats, end: Floats, arriving: Floats) -> _Biarcs:
        start, end = np.broadcast_arrays(start, end)
        leaving, arriving = np.broadcast_arrays(leaving, arriving)
        t0 = np.stack([np.cos(leaving), np.sin(leaving)], axis=-1)
        t1 = np.stack([np.cos(arriving), np.sin(arriving)], axis=-1)
        v = end - start
        along = _dot(v, t0 + t1)
        size = _dot(v, v)
        bent = 2.0 * (1.0 - _dot(t0, t1))
        # The handle d of both arcs solves bent d^2 + 2 along d = size; stable for bent -> 0.
        root = along + np.sqrt(along**2 + bent * size)
        sound = root > 1e-9
        d = np.divide(size, root, out=np.ones_like(size), where=sound)[..., None]
        joint = (start + end + d * (t0 - t1)) / 2.0
        across = v - d * (t0 + t1)
        reach = np.sqrt(_dot(across, across))
        sound &= reach > 1e-9
        first, second = joint - start, end - joint
        return cls(
            start=start,
            joint=joint,
            end=end,
            start_tangent=t0,
            joint_tangent=across / np.maximum(reach, 1e-9)[..., None],
            first=2.0 * _cross(t0, first) / np.maximum(_dot(first, first), 1e-12),
            second=2.0 * _cross(second, t1) / np.maximum(_dot(second, second), 1e-12),
            sound=sound,
        )

    def off(self, points: Floats, at: NDArray[np.int64]) -> Floats:
        """Distance of points from the biarcs that stand in these columns."""
        px, py = points[..., 0], points[..., 1]
        jx, jy = (px - self.joint[:, at, 0], py - self.joint[:, at, 1])
        tx, ty = self.joint_tangent[:, at, 0], self.joint_tangent[:, at, 1]
        late = jx * tx + jy * ty >= 0.0
        ox = np.where(late, jx, px - self.start[:, at, 0])
        oy = np.where(late, jy, py - self.start[:, at, 1])
        tx = np.where(late, tx, self.start_tangent[:, at, 0])
        ty = np.where(late, ty, self.start_tangent[:, at, 1])
        bent = np.where(late, self.second[:, at], self.first[:, at])
        # Distance from the circle of curvature c through the origin; good for c = 0 too.
        rise = (tx * oy - ty * ox) - bent * (ox * ox + oy * oy) / 2.0
        root = np.sqrt(np.maximum(0.0, 1.0 - 2.0 * bent * rise))
        return np.asarray(np.abs(2.0 * rise / (1.0 + root)))

    def one_circle(self) -> NDArray[np.bool_]:
        """Whether the two arcs are so alike that one through both ends looks the same."""
        a, b = (np.sqrt(_dot(v, v)) for v in (self.joint - self.start, self.end - self.joint))
        return np.asarray(np.abs(self.first - self.second) * np.minimum(a, b) < _SAME_TANGENT)

    def segments(self, index: tuple[int, ...], as_one: bool) -> list[Segment]:
        start, joint, end = self.start[index], self.joint[index], self.end[index]
        first, second = float(self.first[index]), float(self.second[index])
        if as_one:
            return [_arc(start, end, (first + second) / 2.0)]
        return [_arc(start, joint, first), _arc(joint, end, second)]


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _arc(start: Floats, end: Floats, curvature: float) -> Segment:
    """The arc of at most half a turn with this signed curvature, or a line if it is flat."""
    (x0, y0), (x1, y1) = (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
    chord = math.dist((x0, y0), (x1, y1))
    bent = abs(curvature) * chord
    if bent * chord / 8.0 < _FLAT_MM and bent < 2.0 * _SAME_TANGENT:
        return Line((x0, y0), (x1, y1))
    half = math.asin(max(-1.0, min(1.0, curvature * chord / 2.0)))
    radius = chord / 2.0 / abs(math.sin(half))
    lift = radius * math.cos(half) * math.copysign(1.0, curvature)
    center = (
        (x0 + x1) / 2.0 - (y1 - y0) / chord * lift,
        (y0 + y1) / 2.0 + (x1 - x0) / chord * lift,
    )
    start_deg = math.degrees(math.atan2(y0 - center[1], x0 - center[0]))
    return Arc(center, radius, start_deg, math.degrees(2.0 * half))


def _best_chain(
    guide: _Guide, max_error_mm: float, limits: tuple[float, float]
) -> Iterator[Segment]:
    """The chain of biarcs with the fewest segments that keeps to the outline and the limits.

    Shortest path over all places (dynamic programming); a chain that breaks a limit is only taken
    where there is no other.
    """
    count = len(guide.points)
    reach = min(_REACH, count - 1)
    start = np.arange(count - 1)[:, None]
    step = np.arange(1, reach + 1)[None, :]
    end = np.minimum(start + step, count - 1)
    stops_before = np.cumsum(guide.stop)
    allowed = (start + step < count) & (stops_before[end - 1] == stops_before[start])
    biarcs = _Biarcs.between(
        guide.points[start], guide.leaving[start], guide.points[end], guide.arriving[end]
    )
    passed = np.minimum(start + step - 1, count - 2)
    # Each biarc against all places that it passes: the first one against one, the second two ...
    at = np.repeat(np.arange(reach), np.arange(1, reach + 1))
    first = np.arange(reach) * np.arange(1, reach + 1) // 2
    near = passed[:, np.arange(len(at)) - first[at]]
    errors = np.maximum(biarcs.off(guide.points[near], at), biarcs.off(guide.halfway[near], at))
    worst = np.maximum.reduceat(errors, first, axis=1)
    left, right = (_turned(guide, sign)[end] - _turned(guide, sign)[start] for sign in (1.0, -1.0))
    as_one = biarcs.one_circle()
    cost = np.where(as_one, 1.0, 2.0) + worst / max_error_mm
    cost += _cost_of_limits(biarcs, left, right, limits)
    cost[worst > max_error_mm] += _NEVER
    cost[~biarcs.sound | (left + right > _MOST_TURN)] += _NEVER
    cost[~allowed] = np.inf
    total = np.full(count, np.inf)
    total[0] = 0.0
    came = np.zeros(count, dtype=np.int64)
    for i in range(count - 1):
        ends = slice(i + 1, min(i + reach, count - 1) + 1)
        trial = total[i] + cost[i, : ends.stop - ends.start]
        better = trial < total[ends]
        total[ends][better] = trial[better]
        came[ends][better] = i
    chain = [count - 1]
    while chain[-1] > 0:
        chain.append(int(came[chain[-1]]))
    for low, high in itertools.pairwise(reversed(chain)):
        index = (low, high - low - 1)
        yield from biarcs.segments(index, bool(as_one[index]))


def _cost_of_limits(
    biarcs: _Biarcs, left: Floats, right: Floats, limits: tuple[float, float]
) -> Floats:
    highest = np.maximum(biarcs.first, biarcs.second)
    lowest = np.minimum(biarcs.first, biarcs.second)
    over = np.maximum(highest / limits[0], -lowest / limits[1])
    cost = np.where(over > 1.0, _POOR * np.minimum(over, 10.0), 0.0)
    # Where the outline turns one way only, so do the arcs: no wave that was not there.
    wave = ((left < _ONE_WAY) & (highest > _STRAIGHT)) | (
        (right < _ONE_WAY) & (lowest < -_STRAIGHT)
    )
    return np.asarray(cost + np.where(wave, _POOR, 0.0))


def _turned(guide: _Guide, sign: float) -> Floats:
    """Turns one way added up along the places, corners left out."""
    steps = np.maximum(0.0, sign * (guide.arriving[1:] - guide.leaving[:-1]))
    return np.concatenate([[0.0], np.cumsum(steps)])
