"""The course of an outline: its direction as a function of the distance along it.

Lines, arcs and cubics give their own directions; a dense polyline is read as the curve it stands
for. This is what corners and radii are measured on, and what arcs are fitted to.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString

from shapes.affine import Point
from shapes.errors import PictureError
from shapes.path import Arc, Cubic, Line, Path, Segment

Floats = NDArray[np.floating[Any]]

CORNER_TURN_DEG = 15.0
"""Least change of direction that counts as a corner or as a bend."""

UNSEEN_MM = 0.02
"""Wobble of a polyline below this is taken out before measuring: half a dot of a 600 dpi print."""

KINK_MM = 0.1
"""A vertex of a polyline is a corner only if it stands farther than this off any smooth curve."""

MOST_POINTS = 10_000
"""Points of a line that is measured: the geometry library calls itself for each where it goes to
and fro, and brings the program down at six times as many."""

_REACH = 2.0  # a vertex's turn is spread over at most this many times the shorter edge
_SAG_MM = 0.01


class Turn(NamedTuple):
    """A change of direction ``by`` radians (left positive), spread evenly over a stretch."""

    start: float
    end: float
    by: float
    sharp: bool = False


def thinned(points: Floats, closed: bool, wobble: float = UNSEEN_MM) -> Floats:
    """The polyline without repeated points and without wobble below some mm.

    A closed one starts at the point farthest from its middle, so that the choice of vertices
    depends on the shape and neither on where the file begins nor on how the shape lies.

    Raises:
        PictureError: more than :data:`MOST_POINTS`.
    """
    if len(points) > MOST_POINTS:
        raise PictureError(
            f"has a line of more than {MOST_POINTS:,} straight parts", fix="simplify the drawing"
        )
    if closed:
        if len(points) > 1 and np.allclose(points[0], points[-1], atol=1e-9):
            points = points[:-1]
        # The middle of the line itself, which turns with it as the middle of its box does not.
        following = np.roll(points, -1, axis=0)
        lengths = np.hypot(*(following - points).T)
        middle = np.average((points + following) / 2.0, axis=0, weights=np.maximum(lengths, 1e-12))
        away = np.round(np.hypot(*(points - middle).T), 3)
        points = np.roll(points, -int(np.argmax(away)), axis=0)
        points = np.vstack([points, points[:1]])
    line = LineString(points).simplify(wobble, preserve_topology=False)
    kept = np.asarray(line.coords, dtype=np.float64)
    return kept[:-1] if closed else kept


def polyline_turns(points: Floats, closed: bool) -> tuple[Floats, list[Turn]]:
    """Directions of the edges (radians) and the turn at each vertex, by distance along the line.

    The turn of a vertex that stands for a curve is spread from the middle of one edge to the middle
    of the next, which is exact for chords of a circle, but never far along a much longer edge: that
    one is a straight line which the curve joins.
    """
    ends = np.vstack([points, points[:1]]) if closed else points
    edges = np.diff(ends, axis=0)
    at = distances(ends)
    lengths = np.diff(at)
    heading = np.arctan2(edges[:, 1], edges[:, 0])
    turns: list[Turn] = []
    for i in range(0 if closed else 1, len(lengths)):
        by = _wrapped(heading[i] - heading[i - 1])
        before, after = lengths[i - 1], lengths[i]
        shorter = min(before, after)
        kinked = stands_off(before, after, by) > KINK_MM
        if kinked and abs(by) >= math.radians(CORNER_TURN_DEG):
            turns.append(Turn(at[i], at[i], by, sharp=True))
        else:
            reach = _REACH * shorter / 2.0
            turns.append(
                Turn(at[i] - min(before / 2.0, reach), at[i] + min(after / 2.0, reach), by)
            )
    return heading, turns


def stands_off(before: Floats | float, after: Floats | float, turn: Floats | float) -> Floats:
    """How far a vertex stands off the circle that joins the two edges, from the shorter one's end.

    Args:
        before, after: lengths of the two edges in mm.
        turn: change of direction in radians.
    """
    return np.asarray(np.minimum(before, after) / 2.0 * np.tan(np.abs(turn) / 4.0))


def distances(points: Floats) -> Floats:
    """Distance along a polyline from its first point to each of its points."""
    edges = np.diff(points, axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(edges[:, 0], edges[:, 1]))])


def _wrapped(angle: float) -> float:
    return (angle + math.pi) % math.tau - math.pi


@dataclass(frozen=True)
class Course:
    """Direction along an outline, piecewise linear, with steps at the corners.

    ``s`` and ``theta`` are its knots (mm, radians). A closed course is carried on for one more
    round on either side, so that a window may run over the start. ``spots`` are points of the
    outline at the distances ``at``.
    """

    s: Floats
    theta: Floats
    at: Floats
    spots: Floats
    length: float
    closed: bool
    left: float  # +1 if the inside lies to the left, -1 if to the right
    sharp: Floats
    turning_deg: float

    @classmethod
    def along(cls, path: Path) -> Course:
        heading, turns, at, spots = _turns_of(path)
        length = float(at[-1])
        total = sum(turn.by for turn in turns)
        knots = [] if path.closed else [(0.0, heading)]
        for turn in turns:
            knots.append((turn.start, heading))
            heading += turn.by
            knots.append((turn.end, heading))
        if not path.closed:
            knots.append((length, heading))
        s, theta = np.array(knots).T
        s = np.maximum.accumulate(s)
        if path.closed:
            s = np.concatenate([s - length, s, s + length])
            theta = np.concatenate([theta - total, theta, theta + total])
        return cls(
            s=s,
            theta=theta,
            at=at,
            spots=spots,
            length=length,
            closed=path.closed,
            left=-1.0 if path.closed and total < 0 else 1.0,
            sharp=np.array([turn.start for turn in turns if turn.sharp]),
            turning_deg=math.degrees(sum(abs(turn.by) for turn in turns)),
        )

    def heading(self, at: Floats) -> Floats:
        """Direction in radians at each distance."""
        return np.asarray(np.interp(at, self.s, self.theta))

    @cached_property
    def _area(self) -> Floats:
        steps = np.diff(self.s)
        return np.concatenate([[0.0], np.cumsum(steps * (self.theta[1:] + self.theta[:-1]) / 2.0)])

    def heading_sum(self, at: Floats) -> Floats:
        """Integral of the direction from the first knot to each distance."""
        k = np.clip(np.searchsorted(self.s, at, side="right") - 1, 0, len(self.s) - 2)
        ahead = at - self.s[k]
        step = self.s[k + 1] - self.s[k]
        rise = self.theta[k + 1] - self.theta[k]
        slope = np.divide(rise, step, out=np.zeros_like(step), where=step > 1e-12)
        return np.asarray(self._area[k] + self.theta[k] * ahead + slope * ahead**2 / 2.0)

    def spot(self, at: float) -> Point:
        """The point of the outline at a distance."""
        at = at % self.length if self.closed else at
        x, y = (float(np.interp(at, self.at, self.spots[:, axis])) for axis in (0, 1))
        return (x, y)


class _Piece(NamedTuple):
    """A run of straight segments, or one curve: directions at its ends, turns, points."""

    first: float
    last: float
    turns: list[Turn]
    at: list[float]
    spots: list[Point]


def _turns_of(path: Path) -> tuple[float, list[Turn], Floats, Floats]:
    """Direction before the first turn, the turns in order, and points with their distances."""
    if path.closed and all(isinstance(segment, Line) for segment in path.segments):
        points = thinned(np.array(path.flatten()), closed=True)
        heading, turns = polyline_turns(points, closed=True)
        ring = np.vstack([points, points[:1]])
        return float(heading[-1]), turns, distances(ring), ring
    pieces: list[_Piece] = []
    for kind, run in itertools.groupby(path.segments, type):
        if kind is Line:
            pieces.append(_straight_piece([segment for segment in run if segment.length() > 0]))
        else:
            pieces += [_curved_piece(s) for s in run if not isinstance(s, Line) and s.length() > 0]
    turns = []
    at: list[float] = [0.0]
    spots: list[Point] = [pieces[0].spots[0]]
    start = last = pieces[-1].last if path.closed else pieces[0].first
    for piece in pieces:
        done = at[-1]
        by = _wrapped(piece.first - last)
        turns.append(Turn(done, done, by, sharp=abs(by) >= math.radians(CORNER_TURN_DEG)))
        turns += [Turn(t.start + done, t.end + done, t.by, t.sharp) for t in piece.turns]
        at += [distance + done for distance in piece.at[1:]]
        spots += piece.spots[1:]
        last = piece.last
    return start, turns, np.array(at), np.array(spots)


def _straight_piece(run: list[Segment]) -> _Piece:
    points = thinned(np.array([run[0].start, *(segment.end for segment in run)]), closed=False)
    heading, turns = polyline_turns(points, closed=False)
    spots = [(float(x), float(y)) for x, y in points]
    return _Piece(float(heading[0]), float(heading[-1]), turns, list(distances(points)), spots)


def _curved_piece(curve: Arc | Cubic) -> _Piece:
    count = 1 + sum(1 for _ in curve.interior_points(_SAG_MM))
    steps = [i / count for i in range(count + 1)]
    spots = [curve.point_at(t) for t in steps]
    tangents = [curve.tangent_at(t) for t in steps]
    heading = [math.atan2(dy, dx) for dx, dy in tangents]
    chords = [math.dist(a, b) for a, b in itertools.pairwise(spots)]
    stretch = curve.length() / sum(chords)
    at = [0.0, *itertools.accumulate(chord * stretch for chord in chords)]
    turns = [Turn(at[i], at[i + 1], _wrapped(heading[i + 1] - heading[i])) for i in range(count)]
    return _Piece(heading[0], heading[-1], turns, at, spots)
