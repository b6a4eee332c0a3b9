"""How hard an outline is to follow: path complexity, total turning and the steering index.

What the score is
    An ordinal aid of our own for comparing outlines at one line width. Its length part is the
    steering law, by which the effort of following a path is the integral of ``ds / W`` (Accot and
    Zhai, Beyond Fitts' Law, CHI 1997, doi 10.1145/258549.258760). Its curvature part is ours::

        D = (3 mm / W) / 100 mm * (L + 10 * integral of h(30 mm * |k|) ds)
        h(x) = x^3 / (1 + x^2.5)

    with ``L`` the length, ``W`` the line width and ``k`` the curvature after a Gaussian of 4 mm of
    arc length.

What it is not
    Proof of anything. The constants were chosen by trying about 18,000 settings on 27 practice
    shapes whose order was assumed: a fit. Total turning, which has no constants, agreed with that
    order as well. The steering law itself was measured on adults with a mouse or a stylus, not on
    children with scissors. So the score gives no seconds and no age, and it is printed beside
    total turning and the steering index. How it fares on published orders that took no part in
    the fit is reported by ``tests/outside/test_progressions.py``.

What it does well
    A straight line is not zero, size counts (a small circle is harder than a large one, down to a
    radius of about 18 mm, below which the score falls again), it adds up along a path, and it
    hardly changes with the way the path was drawn: flattening, noise, start point, direction.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from shapes.affine import Point
from shapes.errors import InputError
from shapes.path import Arc, Cubic, Path

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# The constants of the score. Fixed: a test of the score must never lead to a change here.
_LINE_WIDTH_MM = 3.0
_LENGTH_UNIT_MM = 100.0
_CURVATURE_WEIGHT = 10.0
_CURVATURE_RADIUS_MM = 30.0
_SMOOTHING_MM = 4.0

# How a path is sampled. None of these changes the score of a cleanly drawn path.
_SAG_MM = 0.02
_SHORTEST_EDGE_MM = 0.25
_SAME_POINT_MM = 1e-9
_LEAD_IN_MM = 5.0
_STEP_MM = 0.25
_KERNEL_REACH = 5.0  # in standard deviations
_CHORD_SAG_MM = 0.6  # an edge with more sag than this is a side, not a chord,
_CHORD_TURN = math.radians(40.0)  # and so is one with a larger turn


def score(path: Path, width_mm: float = _LINE_WIDTH_MM) -> float:
    """Path complexity of an outline, for ordering outlines from easier to harder.

    Args:
        path: the outline, in mm.
        width_mm: printed line width; leave it at 3 mm to compare shapes.

    Returns:
        A number above 0 without a unit; twice the line width gives half of it. A straight line of
        100 mm has 1, a square of 75 mm 12.2.

    Raises:
        InputError: line width not above 0.
    """
    width = _positive("line width", width_mm)
    curvature, step = _smoothed_curvature(path)
    bend = _CURVATURE_RADIUS_MM * abs(curvature)
    bending = float((bend**3 / (1.0 + bend**2.5)).sum()) * step
    total = path.length + _CURVATURE_WEIGHT * bending
    return _LINE_WIDTH_MM / width * total / _LENGTH_UNIT_MM


def turning_deg(path: Path) -> float:
    """Total absolute turning in degrees: every bend and corner, left and right alike.

    A convex closed shape has 360 whatever its size, a straight line 0. Noise on the line counts
    in full.

    Args:
        path: the outline, in mm.
    """
    total = 0.0
    heading: float | None = None
    for segment in path.segments:
        if isinstance(segment, Cubic):
            points = [segment.start, *segment.interior_points(_SAG_MM), segment.end]
            chords = [_direction(a, b) for a, b in itertools.pairwise(points) if a != b]
        else:
            chords = []
            total += abs(segment.sweep_deg) if isinstance(segment, Arc) else 0.0
        enter, leave = (math.degrees(math.atan2(*segment.tangent_at(t)[::-1])) for t in (0.0, 1.0))
        if chords:
            total += sum(_turn_deg(a, b) for a, b in itertools.pairwise([enter, *chords, leave]))
        if heading is not None:
            total += _turn_deg(heading, enter)
        heading = leave
    if path.closed and heading is not None:
        start = path.segments[0].tangent_at(0.0)
        total += _turn_deg(heading, math.degrees(math.atan2(start[1], start[0])))
    return total


def _direction(start: Point, end: Point) -> float:
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def _turn_deg(before_deg: float, after_deg: float) -> float:
    return abs((after_deg - before_deg + 180.0) % 360.0 - 180.0)


def steering(path: Path, corridor_mm: float) -> float:
    """Steering index of difficulty of a path in a corridor of constant width.

    Args:
        path: the outline, in mm.
        corridor_mm: full width of the corridor the cut must stay in, twice the distance allowed
            on either side of the line.

    Returns:
        Length over corridor width (Accot and Zhai, Beyond Fitts' Law, CHI 1997).

    Raises:
        InputError: corridor not above 0.
    """
    return path.length / _positive("corridor", corridor_mm)


# --- curvature of a polyline, robust against the way it was drawn ---------------------------------


class _Turns(NamedTuple):
    """The turns of a cleaned polyline, each split between the two edges that meet at it.

    Attributes:
        length: length of the polyline in mm.
        at: arc length of every turn from the start, in mm; of an open line with both ends.
        before: signed part of the turn that belongs to the edge before, in radians.
        after: the same for the edge after.
        behind: length of the edge before that its part is spread over, in mm.
        ahead: the same for the edge after.
    """

    length: float
    at: Floats
    before: Floats
    after: Floats
    behind: Floats
    ahead: Floats


def _turns(path: Path) -> _Turns:
    import numpy as np

    points = _without_short_edges(np.array(path.flatten(_SAG_MM)), path.closed)
    if path.closed:
        points = np.concatenate([points, points[:1]])
    steps = np.diff(points, axis=0)
    edges = np.hypot(steps[:, 0], steps[:, 1])
    moving = edges > _SAME_POINT_MM
    points, steps, edges = points[np.append(True, moving)], steps[moving], edges[moving]
    headings = np.arctan2(steps[:, 1], steps[:, 0])
    at = np.concatenate([[0.0], np.cumsum(edges)])
    if path.closed:
        edge_before, edge_after = np.roll(edges, 1), edges
        turns = _wrapped(headings - np.roll(headings, 1))
    else:
        edge_before, edge_after = edges[:-1], edges[1:]
        turns = _wrapped(np.diff(headings))
    # A bend is spread over half the shorter edge, and over less of the longer one: it must not
    # leak into a straight side next to it.
    shorter = np.minimum(edge_before, edge_after)
    roundness = _roundness(turns, shorter)
    behind = 0.5 * roundness * shorter**2 / edge_before
    ahead = 0.5 * roundness * shorter**2 / edge_after
    share = edge_after / (edge_before + edge_after)
    left, right = _hidden_at_inflections(turns, roundness, path.closed)
    before, after = share * turns + left, (1.0 - share) * turns + right
    if path.closed:
        return _Turns(float(at[-1]), at[:-1], before, after, behind, ahead)
    if not len(turns):
        nothing = np.zeros(2)
        return _Turns(float(at[-1]), at, nothing, nothing, nothing, nothing)
    # The first half chord of a bend turns as much as the half before the first vertex does.
    first, last = float(before[0] * roundness[0]), float(after[-1] * roundness[-1])
    into = _lead_in_turn(points, first, float(behind[0]))
    out = -_lead_in_turn(points[::-1], -last, float(ahead[-1]))
    return _Turns(
        float(at[-1]),
        at,
        np.concatenate([[into], before, [last]]),
        np.concatenate([[first], after, [out]]),
        np.concatenate([[0.0], behind, ahead[-1:]]),
        np.concatenate([behind[:1], ahead, [0.0]]),
    )


def _wrapped(angles: Floats) -> Floats:
    import numpy as np

    return (angles + np.pi) % (2.0 * np.pi) - np.pi


def _roundness(turns: Floats, shorter: Floats) -> Floats:
    """1 for a turn between two chords of a flattened curve, 0 for a corner, with a ramp between.

    They are told apart by the sag of the curve that would have such chords, and by the turn itself.
    """
    import numpy as np

    by_sag = np.clip(2.0 - shorter * abs(turns) / 8.0 / _CHORD_SAG_MM, 0.0, 1.0)
    by_turn = np.clip(3.0 - 2.0 * abs(turns) / _CHORD_TURN, 0.0, 1.0)
    return by_sag * by_turn


def _hidden_at_inflections(turns: Floats, roundness: Floats, closed: bool) -> tuple[Floats, Floats]:
    """Bends of opposite sense that meet at a vertex and cancel in its turn, before and after it.

    Where an S changes over, the half chords on both sides bend as much as their other halves do,
    but the vertex between them shows no turn.
    """
    import numpy as np

    bends = turns * roundness
    ahead_of, behind_of = np.roll(bends, 1), np.roll(bends, -1)
    if not closed and len(bends):
        ahead_of[0] = behind_of[-1] = 0.0
    size = 0.5 * np.maximum(np.minimum(abs(ahead_of), abs(behind_of)) - abs(turns), 0.0)
    size = np.where(ahead_of * behind_of < 0.0, size, 0.0)
    return np.sign(ahead_of) * size, np.sign(behind_of) * size


def _without_short_edges(points: Floats, closed: bool) -> Floats:
    """The points with every run of edges below the shortest one replaced.

    A run that is short as a whole becomes one point, a longer one equal pieces: what a pointed
    pair of scissors cannot follow should not turn the heading.
    """
    import numpy as np

    if closed:
        points = np.concatenate([points, points[:1]])
    short = np.hypot(*np.diff(points, axis=0).T) < _SHORTEST_EDGE_MM
    if not short.any():
        return points[:-1] if closed else points
    if closed and not short.all():
        # Begin after a long edge, so that no run lies across the start.
        first = int(np.argmin(short)) + 1
        points = np.concatenate([points[first:], points[1 : first + 1]])
        short = np.roll(short, -first)
    borders = np.flatnonzero(np.diff(np.concatenate([[False], short, [False]]).astype(int)))
    kept: list[Floats] = []
    done = 0
    for start, stop in borders.reshape(-1, 2):
        kept.append(points[done:start])
        kept.append(_even_pieces(points[start : stop + 1]))
        done = stop + 1
    kept.append(points[done:])
    cleaned = np.concatenate(kept)
    return cleaned[:-1] if closed and len(cleaned) > 1 else cleaned


def _even_pieces(run: Floats) -> Floats:
    import numpy as np

    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    # The small surplus keeps the count the same when the run is summed up the other way round.
    count = math.floor(at[-1] / _SHORTEST_EDGE_MM + 1e-6)
    wanted = np.linspace(0.0, at[-1], count + 1) if count else at[-1:] / 2.0
    return np.column_stack([np.interp(wanted, at, run[:, 0]), np.interp(wanted, at, run[:, 1])])


def _smoothed_curvature(path: Path) -> tuple[Floats, float]:
    """Samples of the smoothed curvature (1/mm) along the path, and their distance in mm."""
    import numpy as np

    line = _turns(path)
    count = max(1, round(line.length / _STEP_MM))
    step = line.length / count
    if step == 0.0:
        return np.zeros(1), 0.0
    reach = math.ceil(_KERNEL_REACH * _SMOOTHING_MM / step)
    laps = np.arange(-1 - reach // count, 2 + reach // count) if path.closed else np.zeros(1)
    at = (laps[:, None] * line.length + line.at).ravel()
    before, after, behind, ahead = (np.tile(part, len(laps)) for part in line[2:])
    # Every part is a ramp of the heading, never a jump, so that a shift of the samples is harmless.
    edges = np.diff(line.at, append=line.length)
    least = 0.5 * min(step, float(edges[edges > 0.0].min()))
    ramps = np.column_stack([at - np.maximum(behind, least), at, at + np.maximum(ahead, least)])
    headings = np.cumsum(np.column_stack([np.zeros(len(at)), before, after]))
    borders = step * np.arange(-reach, count + reach + 1)
    turned = np.diff(np.interp(borders, ramps.ravel(), headings))
    kernel = np.exp(-0.5 * (step / _SMOOTHING_MM * np.arange(-reach, reach + 1)) ** 2)
    return np.convolve(turned, kernel / kernel.sum(), mode="valid") / step, step


def _lead_in_turn(points: Floats, bend: float, reach: float) -> float:
    """Turn from a straight lead-in to the start of an open line, in radians.

    The lead-in points the way of the first 5 mm as a whole, because the first edge of a wobbly
    line points anywhere.

    Args:
        points: corner points from the end in question on.
        bend: turn of the first half chord, if the line starts with a bend.
        reach: length of that half chord in mm.
    """
    import numpy as np

    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    along = min(_LEAD_IN_MM, float(at[-1]))
    ahead = np.array([np.interp(along, at, points[:, axis]) for axis in (0, 1)]) - points[0]
    edge = points[1] - points[0]
    turn = float(_wrapped(np.arctan2(edge[1], edge[0]) - np.arctan2(ahead[1], ahead[0])))
    # A chord longer than the lead-in hides how the bend starts; half the lead-in of it counts.
    seen = min(1.0, 0.5 * _LEAD_IN_MM / reach) if reach > 0.0 else 1.0
    return turn - bend * seen


def _positive(what: str, value: float) -> float:
    if not 0.0 < value < math.inf:
        raise InputError(f"{what} is {value:g} mm", fix="give a length above 0")
    return value
