"""What a hand meets along a finished outline: bends, hollows, corners, narrow places, turning.

Any path can be measured, ours or a stranger's: lines, arcs, cubics, or a dense polyline that stands
for a curve. Lengths in mm, angles in degrees. What is finer than 0.02 mm is not seen.

*Corner*: a change of direction of at least 15 degrees in one point, or rounded with a radius below
2 mm. A vertex of a polyline is a corner only if no smooth curve comes within 0.1 mm of it, so that
the chords of a curve are none. Corners less than 1.5 mm apart are one.

*Radius*: of the sharpest turn outside the corners. Over windows of 1 to 150 mm the direction in the
first third is compared with that in the last; a window counts if it turns at least 15 degrees and
is at least 0.1 mm deep. Exact for arcs that fill such a window.

*Neck* and *notch*: the shortest straight crossing, inside or outside the outline, that cuts off at
least 3.5 times its own length of line on either side. So a tab counts if it is longer than 1.25
times its width, a spike if it is sharper than 33 degrees, and a plain corner never. Where nothing
narrows so, the neck is the diameter of the largest disc that fits inside: the width of the body.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from shapes.affine import Point
from shapes.errors import PictureError
from shapes.measure.course import CORNER_TURN_DEG, UNSEEN_MM, Course, Floats, distances, thinned
from shapes.memory import ByIdentity
from shapes.path import BBox, Path

CORNER_RADIUS_MM = 2.0
"""A turn rounded with a smaller radius is a corner, not a bend."""

MOST_CORNERS = 1500
"""Corners up to which narrow places are looked for: each is compared with every other one. Of every
sixth stored outline, its arcs cut into chords, the most is 393."""
_COARSER_MM = (0.05, 0.1)  # wobble taken out of outlines that have more
_DEPTH_MM = 0.1  # least depth (sagitta) of a window whose radius counts
_TOGETHER_MM = 1.0  # corners whose windows (below) are closer than this are one
_LOOK_MM = 0.5  # window in which a rounded corner is looked for
_CUT_OFF = 3.5  # line cut off by a crossing, in crossing lengths
_LEAST_CUT_OFF_MM = 4.0
_CROSSING_STEP_MM = 2.0
_ROWS = 64  # points that are compared at once with all others
_DISC_MM = 0.001  # how exactly the largest disc is found
_SHORTEST_WINDOW_MM = 1.0
_LONGEST_WINDOW_MM = 150.0


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner.

    Args:
        point: where it is, in mm.
        interior_deg: angle inside a closed outline, 0 to 360 (a star's tip 36, the notch between
            two tips 252); on an open line 180 minus the turn.
        hollow: it points into the outline; False on an open line.
    """

    point: Point
    interior_deg: float
    hollow: bool

    @property
    def sharp_deg(self) -> float:
        """The angle on its sharp side, 0 to 180, whichever side of the line that is."""
        return min(self.interior_deg, 360.0 - self.interior_deg)


@dataclass(frozen=True, slots=True)
class Measures:
    """Everything :func:`measure` finds; lengths in mm.

    Args:
        min_bend_radius: sharpest turn outward (of an open line: either way); None if no turn
            outside the corners reaches 15 degrees.
        min_hollow_radius: sharpest turn into a closed outline; None if there is none.
        neck: narrowest place of a closed outline, or the diameter of the largest disc inside if
            that is smaller; None for an open line.
        notch: narrowest mouth of a hollow; None if no hollow is deeper than about 1.25 mouths.
        turning_deg: all change of direction added up, either way; 360 for any convex outline.
        bbox: box round the line's centre.
        bend_at, hollow_at, neck_at, notch_at: where on the path the sharpest turns are, and the
            middles of the narrowest place and mouth, to within some mm; None where there is none.
    """

    length: float
    closed: bool
    min_bend_radius: float | None
    min_hollow_radius: float | None
    corners: tuple[Corner, ...]
    neck: float | None
    notch: float | None
    turning_deg: float
    bbox: BBox
    bend_at: Point | None = None
    hollow_at: Point | None = None
    neck_at: Point | None = None
    notch_at: Point | None = None


_Found = tuple[float, Point]
"""A measure and where it was found."""


_known = ByIdentity[Path, Measures](256)
"""An outline is measured for a check, and once more for each place of its findings."""


def measure(path: Path) -> Measures:
    """All measures of one outline; see the module's text for what each one means.

    Raises:
        PictureError: a closed one has more than :data:`MOST_CORNERS` corners.
    """
    return _known.get(path, None, lambda: _measured(path))


def _measured(path: Path) -> Measures:
    course = Course.along(path)
    corners, taken = _corners(course)
    bend, hollow = _radii(course, taken)
    neck, notch = _crossings(path) if path.closed else (None, None)

    def size(found: _Found | None) -> float | None:
        return found[0] if found else None

    def spot(found: _Found | None) -> Point | None:
        return found[1] if found else None

    return Measures(
        length=path.length,
        closed=path.closed,
        min_bend_radius=size(bend),
        min_hollow_radius=size(hollow),
        corners=corners,
        neck=size(neck),
        notch=size(notch),
        turning_deg=course.turning_deg,
        bbox=path.bbox,
        bend_at=spot(bend),
        hollow_at=spot(hollow),
        neck_at=spot(neck),
        notch_at=spot(notch),
    )


def gap(a: Path, b: Path) -> float:
    """Least distance in mm between the centre lines of two outlines; 0 if they touch or cross."""
    return float(_line_string(a).distance(_line_string(b)))


def _line_string(path: Path) -> LineString:
    points = path.flatten(0.01)
    if path.closed:
        points.append(points[0])
    return LineString(points)


# --- corners and radii ----------------------------------------------------------------------------


def _corners(course: Course) -> tuple[tuple[Corner, ...], Floats]:
    """The corners in order, and the stretches they take up (rows of low and high distance)."""
    half = _LOOK_MM / 2.0
    count = math.ceil(course.length / 0.1)
    at = np.arange(count) * (course.length / count)
    hot = _turned(course, at - half, at + half) > _LOOK_MM / CORNER_RADIUS_MM
    if not hot.any() or (course.closed and hot.all()):
        return (), np.empty((0, 2))
    if course.closed:
        cold = int(np.argmin(hot))  # start where there is no corner
        hot = np.roll(hot, -cold)
        at = np.concatenate([at[cold:], at[:cold] + course.length])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], hot, [False]]).astype(np.int8)))
    runs: list[list[float]] = []
    for low, high in zip(at[edges[::2]], at[edges[1::2] - 1], strict=True):
        if runs and low - runs[-1][1] < _TOGETHER_MM:
            runs[-1][1] = float(high)
        else:
            runs.append([float(low), float(high)])
    if course.closed and len(runs) > 1 and runs[0][0] + course.length - runs[-1][1] < _TOGETHER_MM:
        runs[-1][1] = runs.pop(0)[1] + course.length
    corners: list[Corner] = []
    for low, high in runs:
        laps = course.sharp + course.length * (course.closed & (course.sharp < low - half))
        exact = laps[(laps >= low - half) & (laps <= high + half)]
        # The chords of a rounded corner spread their turn a little into the sides.
        beside = half if len(exact) else 2.0 * half
        before, after = course.heading(np.array([low - beside, high + beside]))
        turn = math.degrees(float(after - before)) * course.left
        if abs(turn) < CORNER_TURN_DEG:
            continue
        point = course.spot(float(exact.mean()) if len(exact) else (low + high) / 2.0)
        interior = 180.0 - (turn if course.closed else abs(turn))
        corners.append(Corner(point, interior, hollow=course.closed and turn < 0))
    return tuple(corners), np.array(runs) + np.array([-half, half])


def _turned(course: Course, low: Floats, high: Floats) -> Floats:
    return np.abs(course.heading(high) - course.heading(low))


def _radii(course: Course, taken: Floats) -> tuple[_Found | None, _Found | None]:
    """Radius of the sharpest bend and of the sharpest hollow outside the stretches of corners."""
    sharpest = [(0.0, 0.0), (0.0, 0.0)]  # curvature, and how far along
    lows, highs = np.sort(taken[:, 0]), np.sort(taken[:, 1])
    if course.closed:
        lows, highs = (
            np.concatenate([v - course.length, v, v + course.length]) for v in (lows, highs)
        )
    window = _SHORTEST_WINDOW_MM
    while window <= min(_LONGEST_WINDOW_MM, course.length):
        step = window / 6.0
        room = course.length if course.closed else course.length - window
        start = np.arange(math.floor(room / step) + 1) * step
        sums = course.heading_sum(np.arange(len(start) + 6) * step)
        first, last = sums[2:-4] - sums[:-6], sums[6:] - sums[4:-2]
        curvature = (last - first) / (2.0 * step) / (4.0 * step) * course.left
        free = np.searchsorted(highs, start) == np.searchsorted(lows, start + window)
        size = np.abs(curvature)
        counts = (
            free
            & (size * window >= math.radians(CORNER_TURN_DEG))
            & (size * window**2 / 8.0 >= _DEPTH_MM)
        )
        for side, sign in enumerate((1.0, -1.0)):
            found = np.where(counts, curvature * sign, 0.0)
            at = int(found.argmax())
            sharpest[side] = max(
                sharpest[side], (float(found[at]), float(start[at] + window / 2.0))
            )
        window *= 1.25
    bend, hollow = sharpest if course.closed else (max(sharpest), (0.0, 0.0))
    return _radius(course, *bend), _radius(course, *hollow)


def _radius(course: Course, curvature: float, along: float) -> _Found | None:
    return (1.0 / curvature, course.spot(along)) if curvature else None


# --- narrow places --------------------------------------------------------------------------------


def _crossings(path: Path) -> tuple[_Found, _Found | None]:
    """Narrowest place and narrowest mouth of a closed outline."""
    points = _crossing_points(path)
    ring = np.vstack([points, points[:1]])
    if not Polygon(points).is_valid:
        return (0.0, path.bbox.center), None  # it crosses itself: cut out, it falls apart
    i, j, across = _cutting_off(points, distances(ring))
    inward, way = _inward(ring), points[j] - points[i]
    # Positive where the crossing starts towards the inside, from either end.
    starts = np.sum(inward[i] * way, axis=1), -np.sum(inward[j] * way, axis=1)
    inside, outside = (starts[0] > 0) & (starts[1] > 0), (starts[0] < 0) & (starts[1] < 0)
    neck = _narrowest(ring, i[inside], j[inside], across[inside])
    notch = _narrowest(ring, i[outside], j[outside], across[outside])
    disc = _widest_disc(points)
    return (disc if neck is None else min(neck, disc)), notch


_Places = NDArray[np.int64]


def _cutting_off(points: Floats, at: Floats) -> tuple[_Places, _Places, Floats]:
    """Pairs of points whose crossing cuts off enough of the line, and how long each crossing is.

    Args:
        at: how far along the ring each point lies, and its whole length last.
    """
    found = []
    for low in range(0, len(points), _ROWS):
        rows = slice(low, low + _ROWS)
        apart = np.abs(at[:-1][rows, None] - at[None, low:-1])
        apart = np.minimum(apart, at[-1] - apart)
        dx = points[None, low:, 0] - points[rows, None, 0]
        dy = points[None, low:, 1] - points[rows, None, 1]
        # Roughly, as squares are found faster than lengths; those left over are looked at again.
        perhaps = _CUT_OFF**2 * (dx * dx + dy * dy) <= apart * apart * (1.0 + 1e-9)
        i, j = np.nonzero(np.triu(perhaps & (apart >= _LEAST_CUT_OFF_MM)))
        across = np.hypot(dx[i, j], dy[i, j])
        kept = apart[i, j] >= _CUT_OFF * across
        found.append((i[kept] + low, j[kept] + low, across[kept]))
    i, j, across = (np.concatenate(each) for each in zip(*found, strict=True))
    return i, j, across


def _crossing_points(path: Path) -> Floats:
    """Points of the outline at most 2 mm apart, its own vertices among them; anticlockwise."""
    points = thinned(np.array(path.flatten(UNSEEN_MM)), closed=True)
    for wobble in _COARSER_MM:
        if len(points) > MOST_CORNERS:
            points = thinned(points, closed=True, wobble=wobble)
    if len(points) > MOST_CORNERS:
        raise PictureError(
            f"has an outline with more than {MOST_CORNERS:,} corners", fix="simplify the drawing"
        )
    step = max(_CROSSING_STEP_MM, path.length / 300.0)
    fine = np.asarray(shapely.segmentize(LineString(np.vstack([points, points[:1]])), step).coords)[
        :-1
    ]
    return fine if shapely.LinearRing(points).is_ccw else fine[::-1]


def _inward(ring: Floats) -> Floats:
    """Direction to the inside at each point of an anticlockwise ring: mean of its two edges'."""
    edges = np.diff(ring, axis=0)
    edges /= np.hypot(edges[:, :1], edges[:, 1:])
    both = edges + np.roll(edges, 1, axis=0)
    return np.column_stack([-both[:, 1], both[:, 0]])


def _narrowest(ring: Floats, i: _Places, j: _Places, across: Floats) -> _Found | None:
    """Length and middle of the shortest crossing that meets no other part of the ring."""
    order = np.argsort(across, kind="stable")
    i, j, across = i[order], j[order], across[order]
    outline = LineString(ring)
    shapely.prepare(outline)
    best: _Found | None = None
    for low in range(0, len(i), 64):
        a, b = i[low : low + 64], j[low : low + 64]
        ends = np.stack([ring[a], ring[b]], axis=1)
        inner = ends + (ends[:, ::-1] - ends) * 0.01
        clear = ~shapely.intersects(shapely.linestrings(inner), outline)
        for k in np.flatnonzero(clear):
            size = float(across[low + k])
            if best is not None and size > best[0] + _CROSSING_STEP_MM / 2.0:
                return best
            near = min(
                size,
                _square_on(ring, int(a[k]), int(b[k])),
                _square_on(ring, int(b[k]), int(a[k])),
            )
            x, y = (ring[a[k]] + ring[b[k]]) / 2.0
            here = near, (float(x), float(y))
            best = here if best is None else min(best, here)
    return best


def _square_on(ring: Floats, i: int, j: int) -> float:
    """Distance from point ``i`` to a foot inside one of the two edges at point ``j``, else inf."""
    best = math.inf
    for k in (j - 1 if j else len(ring) - 2, j):
        (x0, y0), (x1, y1), (x, y) = ring[k], ring[k + 1], ring[i]
        size = math.hypot(x1 - x0, y1 - y0)
        foot = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / size
        if 0.0 < foot < size:
            best = min(best, abs((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / size)
    return best


def _widest_disc(points: Floats) -> _Found:
    """Diameter and middle of the largest disc inside: the hull's width leaps over every hollow."""
    spoke = shapely.maximum_inscribed_circle(Polygon(points), _DISC_MM)
    x, y = spoke.coords[0]
    return 2.0 * float(spoke.length), (float(x), float(y))
