"""Shapes that have a name, put round a picture: circle, square, triangle and others.

Every shape stands upright, is its own mirror image in the vertical through its middle, and is only
made larger and moved: its proportions are those of one of a few drawings (``VARIANTS``). So its
corners, and its bends as a share of its size, are known before any picture is.
Lengths in mm, y up.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from shapes.affine import Affine, Point
from shapes.outline.morphology import Area, filled, grown
from shapes.path import Arc, Line, Path, Segment, from_lowest

Floats = NDArray[np.float64]

_UNIT = 100.0  # longer side of the drawings, mm
_SPARE = 1.0002  # larger by this much than the points ask, for the chords between them
_WAYS = np.array([(math.cos(i * math.pi / 24), math.sin(i * math.pi / 24)) for i in range(24)]).T
_MORE = 1.002  # a shape whose area is at least so many times that of another is larger for certain
_TIE = 0.03
"""A simpler shape is taken that fills at most this much less. Our setting."""


@dataclass(frozen=True, slots=True)
class NamedOutline:
    """A shape round a silhouette.

    Args:
        path: closed, anticlockwise, from its lowest (then leftmost) joint on.
        fill: area of the silhouette over that of the shape less the room for the clearance
            (a band as wide as the offset along the inside), 0 to 1.
    """

    name: str
    path: Path
    fill: float


def enclosing(silhouette: Area, offset: float, name: str) -> NamedOutline:
    """The smallest shape of that name that keeps ``offset`` mm from a silhouette.

    Args:
        silhouette: not empty.
        offset: mm, 0 or more.
        name: one of :data:`NAMES`; ValueError if it is none.
    """
    if name not in CORNERS:
        raise ValueError(f"no shape is called {name!r}")
    kept_off = filled(grown(silhouette, offset))
    hull = _points(kept_off.convex_hull)
    if name == "rectangle":
        box = kept_off.bounds
        drawings: tuple[_Drawing, ...] = (_drawn(_rectangle(box[2] - box[0], box[3] - box[1])),)
    else:
        drawings = _drawings(name)
    # The likeliest first: the others are then given up the sooner.
    widths = _widths(hull)
    bounds = [drawing.area * float(np.max(widths / drawing.widths)) ** 2 for drawing in drawings]
    least, best = math.inf, (0, 1.0, (0.0, 0.0))
    for i in sorted(range(len(drawings)), key=lambda i: bounds[i]):
        if bounds[i] > least * _MORE:
            break
        points = hull if drawings[i].convex else _points(kept_off, 1.0)
        found = _smallest(drawings[i], points, least)
        if found is not None and found[0] ** 2 * drawings[i].area < least:
            least, best = found[0] ** 2 * drawings[i].area, (i, *found)
    path = drawings[best[0]].placed(*best[1:])
    room = Polygon(path.flatten(0.01)).buffer(-offset)
    fill = filled(silhouette).area / room.area
    return NamedOutline(name, path, float(fill))


def best_shape(
    silhouette: Area, offset: float, least_fill: float, max_corners: int
) -> NamedOutline | None:
    """The shape that the silhouette fills best; None if it fills none well enough.

    Of shapes that it fills within 0.03 of the best the simplest is taken, the first of
    :data:`NAMES`.

    Args:
        least_fill: 0 to 1.
        max_corners: shapes with more corners are left out.
    """
    found = [
        enclosing(silhouette, offset, name)
        for name, corners in CORNERS.items()
        if corners <= max_corners
    ]
    most = max(found, key=lambda shape: shape.fill).fill
    if most < least_fill:
        return None
    return next(shape for shape in found if shape.fill >= max(least_fill, most - _TIE))


# --- the smallest one that holds all points -------------------------------------------------------


@dataclass(frozen=True)
class _Drawing:
    """One drawing about the origin, from which all of its outline is seen.

    ``angles`` and ``inverse`` give one over the distance to the outline in every direction, which
    between neighbouring directions is as good as straight. ``steepest`` is how much the size can
    change when the origin moves by 1 mm. ``widths`` are those across :data:`_WAYS`.
    """

    path: Path
    angles: Floats
    inverse: Floats
    area: float
    convex: bool
    steepest: float
    widths: Floats

    def placed(self, size: float, at: Point) -> Path:
        """The drawing ``size`` times as large, its origin at a point."""
        m = Affine(size, 0.0, 0.0, size, *at)
        return from_lowest(_to_the_hundredth_micron(self.path.transformed(m)))


def _drawn(path: Path) -> _Drawing:
    """A closed path as a drawing of standard size, its box about the origin."""
    box = path.bbox
    size = _UNIT / max(box.width, box.height)
    (x, y) = box.center
    path = path.transformed(Affine(size, 0.0, 0.0, size, -x * size, -y * size))
    shape = Polygon(path.flatten(0.001))
    ring = shapely.get_coordinates(shapely.segmentize(shape.exterior, 0.2))[:-1]
    angles = np.arctan2(ring[:, 1], ring[:, 0])
    order = np.argsort(angles, kind="stable")
    order = np.concatenate([order[-1:], order, order[:1]])  # once round, so that all lie between
    inverse = 1.0 / np.hypot(ring[:, 0], ring[:, 1])
    convex = shape.convex_hull.area < shape.area * 1.0005
    # The size that a point asks changes along an outline by no more than one over the distance of
    # the outline's tangents from the origin.
    edges = np.roll(ring, -1, axis=0) - ring
    cross = np.abs(ring[:, 0] * edges[:, 1] - ring[:, 1] * edges[:, 0])
    steepest = float(np.max(np.hypot(edges[:, 0], edges[:, 1]) / np.maximum(cross, 1e-9)))
    around = angles[order]
    around[0], around[-1] = around[0] - math.tau, around[-1] + math.tau
    area, widths = float(shape.area), _widths(ring)
    return _Drawing(path, around, inverse[order], area, convex, steepest, widths)


def _widths(points: Floats) -> Floats:
    """How far points reach across each of :data:`_WAYS`: a shape round them reaches as far."""
    return np.asarray(np.ptp(points @ _WAYS, axis=0))


def _points(area: shapely.Geometry, step: float = 0.0) -> Floats:
    """Points of the outline, at most ``step`` mm apart if it is given."""
    thin = shapely.simplify(area, 0.01)
    if step:
        thin = shapely.segmentize(thin, step)
    return np.asarray(shapely.get_coordinates(thin), dtype=np.float64)


_GRID = np.array([(x, y) for x in (-1.0, -0.5, 0.0, 0.5, 1.0) for y in (-1.0, -0.5, 0.0, 0.5, 1.0)])
_ROUNDS = 18


def _smallest(
    drawing: _Drawing, points: Floats, most_area: float = math.inf
) -> tuple[float, Point] | None:
    """The least size of a drawing round all points, and where its origin lies then.

    For a given origin the size is that which the farthest point asks, counted in distances to the
    outline in its direction. The origin is looked for on ever finer grids.

    Args:
        most_area: None comes back as soon as it is sure that the area will be more, mm2.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    at, span = (low + high) / 2.0, (high - low) / 2.0
    best, most_size = math.inf, math.sqrt(most_area / drawing.area)
    # How much the size can fall when the origin moves by 1 mm: a chord's slope may be a little
    # more than the outline's.
    steepest = 1.05 * drawing.steepest
    for _ in range(_ROUNDS):
        origins = at + _GRID * span
        asked = _sizes(drawing, points, origins)
        sizes = np.max(asked, axis=1)
        # The middle of the grid stays where it is if nothing is better by more than a rounding.
        i = int(np.argmin(np.round(sizes, 9)))
        if sizes[i] < best - 1e-9:
            best, at = float(sizes[i]), origins[i]
        else:
            i = len(_GRID) // 2
        span = span * 0.6
        if float(np.max(span)) < 2e-4:
            break
        # All later steps together lead no farther than span / (1 - 0.6) each way, and so far apart
        # no size, nor what any point asks, is more different than this.
        change = steepest * float(np.hypot(*span)) / 0.4
        if best - change > most_size:
            return None
        points = points[asked[i] > best - 2.0 * change]
    return best * _SPARE, (float(at[0]), float(at[1]))


def _sizes(drawing: _Drawing, points: Floats, origins: Floats) -> Floats:
    """The size that every point asks (columns) for every origin (rows)."""
    apart = points[None, :, :] - origins[:, None, :]
    angles = np.arctan2(apart[..., 1], apart[..., 0])
    inverse = np.interp(angles, drawing.angles, drawing.inverse)
    return np.asarray(np.hypot(apart[..., 0], apart[..., 1]) * inverse)


def _to_the_hundredth_micron(path: Path) -> Path:
    """Corners of lines rounded, so that the same page comes out on every computer."""
    segments: list[Segment] = []
    for s in path.segments:
        if isinstance(s, Line):
            segments.append(Line(_rounded(s.start), _rounded(s.end)))
        elif isinstance(s, Arc):
            segments.append(Arc(_rounded(s.center), round(s.radius, 8), s.start_deg, s.sweep_deg))
    return Path(tuple(segments), closed=True)


def _rounded(point: Point) -> Point:
    return (round(point[0], 8), round(point[1], 8))


# --- the drawings ---------------------------------------------------------------------------------


def _polygon(*points: Point) -> Path:
    return Path.from_points(points, closed=True)


def _mirrored(right: list[Segment]) -> Path:
    """The right half of a shape, from its lowest point up to its highest, and its mirror image."""
    flip = Affine(-1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    left = [Path((s,)).transformed(flip).segments[0].reversed() for s in reversed(right)]
    return Path((*right, *left), closed=True)


def _rectangle(width: float, height: float) -> Path:
    return _polygon((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def _triangle() -> Path:
    """All angles 60 degrees: no other triangle has none below."""
    return _polygon((-1.0, 0.0), (1.0, 0.0), (0.0, math.sqrt(3.0)))


def _diamond(width: float) -> Path:
    return _polygon((0.0, -1.0), (width, 0.0), (0.0, 1.0), (-width, 0.0))


def _house(height: float, roof: float) -> Path:
    eaves = height - roof
    return _polygon((-0.5, 0.0), (0.5, 0.0), (0.5, eaves), (0.0, height), (-0.5, eaves))


def _hexagon(turn_deg: float) -> Path:
    angles = [math.radians(turn_deg + 60.0 * i) for i in range(6)]
    return _polygon(*((math.cos(a), math.sin(a)) for a in angles))


def _oval(width: float) -> Path:
    """Four arcs in the place of an ellipse ``width`` times as wide as high: the basket-handle."""
    a, b = max(width, 1.0 / width), 1.0
    diagonal = math.hypot(a, b)
    small = (diagonal**2 - (a - b) * diagonal) / (2.0 * a)
    large = (diagonal**2 + (a - b) * diagonal) / (2.0 * b)
    turn = math.degrees(math.atan2(large - b, a - small))
    lying = Path(
        (
            Arc((a - small, 0.0), small, -turn, 2.0 * turn),
            Arc((0.0, b - large), large, turn, 180.0 - 2.0 * turn),
            Arc((small - a, 0.0), small, 180.0 - turn, 2.0 * turn),
            Arc((0.0, large - b), large, 180.0 + turn, 180.0 - 2.0 * turn),
        ),
        closed=True,
    )
    return lying if width >= 1.0 else lying.transformed(Affine.rotation(90.0))


def _egg(side: float) -> Path:
    """A half circle of radius 1 with arcs of radius ``side`` on it, and a small one at the top."""
    top = side - math.sqrt(2.0) * (side - 1.0)
    return _mirrored(
        [
            Arc((0.0, 0.0), 1.0, -90.0, 90.0),
            Arc((1.0 - side, 0.0), side, 0.0, 45.0),
            Arc((0.0, side - 1.0), top, 45.0, 45.0),
        ]
    )


def _heart(tip_deg: float) -> Path:
    """Two round lobes of radius 1, straight sides to the tip, and a round dip of 0.2 the width."""
    reach = 0.85
    dip = 0.4 * (reach + 1.0)
    half = math.radians(tip_deg / 2.0)
    tip = (0.0, -(1.0 + reach * math.cos(half)) / math.sin(half))
    touch = (reach + math.cos(half), -math.sin(half))
    above = math.sqrt((1.0 + dip) ** 2 - reach**2)
    inner = math.degrees(math.atan2(above, -reach))
    return _mirrored(
        [
            Line(tip, touch),
            Arc((reach, 0.0), 1.0, -tip_deg / 2.0, inner + tip_deg / 2.0),
            Arc((0.0, above), dip, inner - 180.0, -90.0 - (inner - 180.0)),
        ]
    )


def _cloud(top: Point) -> Path:
    """A level foot, a bump at either end and one in the middle, and round dips between them."""
    side = (0.6, 0.4)
    dip = 0.4
    middle = (0.0, top[0])
    near, far = side[1] + dip, top[1] + dip
    apart = math.dist(side, middle)
    along = (near**2 - far**2 + apart**2) / (2.0 * apart)
    off = math.sqrt(near**2 - along**2)
    ux, uy = (middle[0] - side[0]) / apart, (middle[1] - side[1]) / apart
    center = (side[0] + ux * along + uy * off, side[1] + uy * along - ux * off)
    to_side = math.degrees(math.atan2(side[1] - center[1], side[0] - center[0]))
    to_middle = math.degrees(math.atan2(middle[1] - center[1], middle[0] - center[0]))
    first = to_side % 360.0 - 180.0
    second = to_middle % 360.0 - 180.0
    return _mirrored(
        [
            Line((0.0, 0.0), (side[0], 0.0)),
            Arc(side, side[1], -90.0, first + 90.0),
            Arc(center, dip, to_side, -((to_side - to_middle) % 360.0)),
            Arc(middle, top[1], second, 90.0 - second),
        ]
    )


def _steps(low: float, high: float, count: int) -> list[float]:
    """So many numbers from ``low`` to ``high``, each the same number of times the one before."""
    return [low * (high / low) ** (i / (count - 1)) for i in range(count)]


VARIANTS: Mapping[str, Callable[[], list[Path]]] = MappingProxyType(
    {
        "circle": lambda: [Path.circle((0.0, 0.0), 1.0, -90.0)],
        "square": lambda: [_rectangle(1.0, 1.0)],
        "triangle": lambda: [_triangle()],
        "rectangle": list,  # as wide and as high as the picture
        "oval": lambda: [_oval(w) for w in (*_steps(0.6, 0.93, 8), *_steps(1.07, 1.0 / 0.6, 8))],
        "diamond": lambda: [_diamond(w) for w in _steps(0.58, 1.0 / 0.58, 17)],
        "egg": lambda: [_egg(side) for side in (1.6, 1.8, 2.0)],
        "heart": lambda: [_heart(tip) for tip in (80.0, 90.0)],
        "house": lambda: [_house(h, r) for h in (0.8, 1.0, 1.25, 1.5) for r in (0.3, 0.45, 0.6)],
        "hexagon": lambda: [_hexagon(0.0), _hexagon(30.0)],
        "cloud": lambda: [_cloud((0.62, 0.55)), _cloud((0.82, 0.62))],
    }
)
"""The drawings of each name, simplest shape first; the sizes and ratios are our settings."""

CORNERS: Mapping[str, int] = MappingProxyType(
    dict.fromkeys(VARIANTS, 0)
    | {"triangle": 3, "square": 4, "rectangle": 4, "diamond": 4, "heart": 1}
    | {"house": 5, "hexagon": 6}
)
"""How many corners each shape has."""

NAMES = tuple(VARIANTS)


@functools.cache
def _drawings(name: str) -> tuple[_Drawing, ...]:
    return tuple(_drawn(path) for path in VARIANTS[name]())
