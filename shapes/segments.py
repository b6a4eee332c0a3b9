"""The pieces an outline is made of: straight lines, circular arcs and cubic curves, in mm, y up."""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shapes.affine import Point


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment from ``start`` to ``end``."""

    start: Point
    end: Point

    def length(self) -> float:
        return math.dist(self.start, self.end)

    def point_at(self, t: float) -> Point:
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t)

    def tangent_at(self, t: float) -> Point:
        return _unit(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def reversed(self) -> Line:
        return Line(self.end, self.start)

    def interior_points(self, sag_mm: float) -> Iterator[Point]:
        return iter(())

    def extremes(self) -> Iterator[Point]:
        yield self.start
        yield self.end


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc about ``center``; ``sweep_deg`` > 0 runs anticlockwise (y up), at most 360."""

    center: Point
    radius: float
    start_deg: float
    sweep_deg: float

    @property
    def start(self) -> Point:
        return self.point_at(0.0)

    @property
    def end(self) -> Point:
        return self.point_at(1.0)

    def length(self) -> float:
        return self.radius * abs(math.radians(self.sweep_deg))

    def point_at(self, t: float) -> Point:
        angle = math.radians(self.start_deg + self.sweep_deg * t)
        return (
            self.center[0] + self.radius * math.cos(angle),
            self.center[1] + self.radius * math.sin(angle),
        )

    def tangent_at(self, t: float) -> Point:
        angle = math.radians(self.start_deg + self.sweep_deg * t)
        sign = 1.0 if self.sweep_deg >= 0 else -1.0
        return (-math.sin(angle) * sign, math.cos(angle) * sign)

    def reversed(self) -> Arc:
        return Arc(self.center, self.radius, self.start_deg + self.sweep_deg, -self.sweep_deg)

    def interior_points(self, sag_mm: float) -> Iterator[Point]:
        count = self._chords(sag_mm)
        for i in range(1, count):
            yield self.point_at(i / count)

    def _chords(self, sag_mm: float) -> int:
        if self.radius <= sag_mm:
            return 4
        step = 2.0 * math.acos(1.0 - sag_mm / self.radius)
        return max(1, math.ceil(abs(math.radians(self.sweep_deg)) / step))

    def extremes(self) -> Iterator[Point]:
        yield self.start
        yield self.end
        low, high = sorted((self.start_deg, self.start_deg + self.sweep_deg))
        for quarter in range(math.ceil(low / 90.0), math.floor(high / 90.0) + 1):
            yield self.point_at((quarter * 90.0 - self.start_deg) / self.sweep_deg)

    def cubics(self) -> Iterator[Cubic]:
        """The arc as cubics of at most a quarter turn each (radius error below 0.03 %)."""
        count = max(1, math.ceil(abs(self.sweep_deg) / 90.0 - 1e-9))
        step = math.radians(self.sweep_deg) / count
        handle = 4.0 / 3.0 * math.tan(step / 4.0) * self.radius
        for i in range(count):
            a0 = math.radians(self.start_deg) + step * i
            a1 = a0 + step
            p0 = (
                self.center[0] + self.radius * math.cos(a0),
                self.center[1] + self.radius * math.sin(a0),
            )
            p1 = (
                self.center[0] + self.radius * math.cos(a1),
                self.center[1] + self.radius * math.sin(a1),
            )
            c1 = (p0[0] - handle * math.sin(a0), p0[1] + handle * math.cos(a0))
            c2 = (p1[0] + handle * math.sin(a1), p1[1] - handle * math.cos(a1))
            yield Cubic(p0, c1, c2, p1)


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bezier segment."""

    start: Point
    c1: Point
    c2: Point
    end: Point

    def length(self) -> float:
        """Length, to a millionth of it for any curve, cusps and curves on a straight line too."""
        (ax, ay), (bx, by), (cx, cy) = self._differences()
        standstills = [t for t in self._standstills() if abs(t - _on_curve(t)) < _CLOSE / _PARTS]
        total = 0.0
        for u, v, w, weight in _graded(standstills) if standstills else _EVEN:
            total += weight * math.hypot(u * ax + v * bx + w * cx, u * ay + v * by + w * cy)
        return total

    def _standstills(self) -> Iterator[complex]:
        """Where the curve stands still, as complex parameters: the speed has its kinks near them.

        With x + iy for (x, y) the derivative is a quadratic with complex coefficients, and the
        speed is the product of the distances from its two roots, so only a root close to the
        curve's own parameters, 0 to 1, makes the speed hard to integrate.
        """
        first, second, third = (complex(*d) for d in self._differences())
        a, half_b = first - 2.0 * second + third, second - first
        root = cmath.sqrt(half_b * half_b - a * first)
        # The sign that does not cancel; a root that a division cannot reach is far away.
        far = -half_b - (root if (half_b.conjugate() * root).real >= 0.0 else -root)
        if abs(a) > 1e-9 * abs(far):
            yield far / a
        if abs(far) > 1e-9 * abs(first):
            yield first / far

    def point_at(self, t: float) -> Point:
        s = 1.0 - t
        b0, b1, b2, b3 = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        return (
            b0 * self.start[0] + b1 * self.c1[0] + b2 * self.c2[0] + b3 * self.end[0],
            b0 * self.start[1] + b1 * self.c1[1] + b2 * self.c2[1] + b3 * self.end[1],
        )

    def _differences(self) -> tuple[Point, Point, Point]:
        """Control points of the derivative, a quadratic Bezier."""
        p = (self.start, self.c1, self.c2, self.end)
        first, second, third = (
            (3 * (b[0] - a[0]), 3 * (b[1] - a[1])) for a, b in itertools.pairwise(p)
        )
        return first, second, third

    def _derivative(self, t: float) -> Point:
        s = 1.0 - t
        q = self._differences()
        return (
            s * s * q[0][0] + 2 * s * t * q[1][0] + t * t * q[2][0],
            s * s * q[0][1] + 2 * s * t * q[1][1] + t * t * q[2][1],
        )

    def tangent_at(self, t: float) -> Point:
        for trial in (t, min(1.0, t + 1e-4), max(0.0, t - 1e-4)):
            dx, dy = self._derivative(trial)
            if math.hypot(dx, dy) > 1e-12:
                return _unit(dx, dy)
        return _unit(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def reversed(self) -> Cubic:
        return Cubic(self.end, self.c2, self.c1, self.start)

    def interior_points(self, sag_mm: float) -> Iterator[Point]:
        # Number of equal parts whose chords stay within the sag (second-difference bound).
        d1 = math.hypot(
            self.start[0] - 2 * self.c1[0] + self.c2[0], self.start[1] - 2 * self.c1[1] + self.c2[1]
        )
        d2 = math.hypot(
            self.c1[0] - 2 * self.c2[0] + self.end[0], self.c1[1] - 2 * self.c2[1] + self.end[1]
        )
        count = max(1, math.ceil(math.sqrt(0.75 * max(d1, d2) / sag_mm)))
        for i in range(1, count):
            yield self.point_at(i / count)

    def extremes(self) -> Iterator[Point]:
        yield self.start
        yield self.end
        for axis in (0, 1):
            p0, p1, p2, p3 = self.start[axis], self.c1[axis], self.c2[axis], self.end[axis]
            for t in _quadratic_roots(p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0):
                if 0.0 < t < 1.0:
                    yield self.point_at(t)


Segment = Line | Arc | Cubic


def arc_between(start: Point, end: Point, sweep_deg: float) -> Arc:
    """The arc from one point to another that turns through ``sweep_deg`` (not 0, below 360).

    Positive sweeps turn anticlockwise (y up).
    """
    chord = math.dist(start, end)
    if chord == 0.0 or sweep_deg == 0.0 or abs(sweep_deg) >= 360.0:
        raise ValueError(f"no arc of {sweep_deg} deg from {start} to {end}")
    half = math.radians(sweep_deg) / 2.0
    radius = chord / (2.0 * abs(math.sin(half)))
    # The centre lies to the left of the chord for anticlockwise arcs below a half turn.
    along = chord / 2.0 / math.tan(half)
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    center = (
        (start[0] + end[0]) / 2.0 - uy * along,
        (start[1] + end[1]) / 2.0 + ux * along,
    )
    start_deg = math.degrees(math.atan2(start[1] - center[1], start[0] - center[0]))
    return Arc(center, radius, start_deg, sweep_deg)


def is_inside(point: Point, edges: Iterable[tuple[Point, Point]]) -> bool:
    """Whether a line from the point to the right crosses an odd number of edges."""
    x, y = point
    odd = False
    for (px, py), (qx, qy) in edges:
        if (py > y) != (qy > y) and px + (y - py) * (qx - px) / (qy - py) > x:
            odd = not odd
    return odd


def point_to_segment(p: Point, a: Point, b: Point) -> float:
    """Least distance in mm from a point to a straight part from ``a`` to ``b``."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    if size == 0.0:
        return math.dist(p, a)
    t = min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size))
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


_GAUSS5 = (
    (0.0, 0.5688888888888889),
    (0.5384693101056831, 0.47862867049936647),
    (-0.5384693101056831, 0.47862867049936647),
    (0.906179845938664, 0.23692688505618908),
    (-0.906179845938664, 0.23692688505618908),
)


_Part = tuple[float, float]  # where it begins and how long it is, 0 to 1
_Sample = tuple[float, float, float, float]  # factors of the three differences, and a weight

_PARTS = 8
_CLOSE = 0.8  # in lengths of a part: a kink farther off costs less than 1e-7 of the length
_FINEST = 2.0**-16


def _samples(parts: Iterable[_Part]) -> Iterator[_Sample]:
    """Gauss-Legendre rule of five points on each part; the powers of two keep it exact."""
    for low, size in parts:
        for node, weight in _GAUSS5:
            t = low + size * (0.5 * (1.0 + node))
            s = 1.0 - t
            yield s * s, 2 * s * t, t * t, weight * size * 0.5


def _graded(standstills: list[complex]) -> Iterator[_Sample]:
    """Samples on parts that are halved until every standstill is far off, measured in parts."""

    def halved(low: float, size: float) -> Iterator[_Part]:
        middle = low + size / 2.0
        if size > _FINEST and any(abs(t - middle) < 1.5 * size for t in standstills):
            yield from halved(low, size / 2.0)
            yield from halved(middle, size / 2.0)
        else:
            yield low, size

    return _samples(part for i in range(_PARTS) for part in halved(i / _PARTS, 1.0 / _PARTS))


_EVEN = tuple(_samples((i / _PARTS, 1.0 / _PARTS) for i in range(_PARTS)))


def _on_curve(t: complex) -> float:
    """The curve's parameter next to a complex one."""
    return min(1.0, max(0.0, t.real))


def _unit(dx: float, dy: float) -> Point:
    size = math.hypot(dx, dy)
    return (1.0, 0.0) if size == 0 else (dx / size, dy / size)


def _quadratic_roots(a: float, b: float, c: float) -> Iterator[float]:
    if abs(a) < 1e-12:
        if abs(b) > 1e-12:
            yield -c / b
        return
    disc = b * b - 4 * a * c
    if disc < 0:
        return
    root = math.sqrt(disc)
    yield (-b + root) / (2 * a)
    yield (-b - root) / (2 * a)
