"""The outline a hand follows: an immutable path of lines, arcs and cubic curves, in mm, y up.

A path knows nothing of pages or files. It draws itself on a *pen*, any object with the four methods
of :class:`Pen`; each output format has a pen of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from shapes.affine import Affine, Point

DEFAULT_SAG_MM = 0.02
"""Largest gap between a curve and its chords: half a dot of a 600 dpi printer (0.021 mm)."""

_JOIN_TOLERANCE_MM = 1e-6


class Pen(Protocol):
    """What a path is drawn on. Coordinates in mm, y up."""

    def move_to(self, x: float, y: float) -> None: ...

    def line_to(self, x: float, y: float) -> None: ...

    def curve_to(
        self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float
    ) -> None: ...

    def close(self) -> None: ...


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

    def radius_at(self, t: float) -> float:
        return math.inf

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

    def radius_at(self, t: float) -> float:
        return self.radius

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
        # Gauss-Legendre on eight equal parts: below 1e-6 relative for curves without cusps.
        total = 0.0
        parts = 8
        for i in range(parts):
            for node, weight in _GAUSS5:
                dx, dy = self._derivative((i + 0.5 * (1.0 + node)) / parts)
                total += weight * math.hypot(dx, dy)
        return total * 0.5 / parts

    def point_at(self, t: float) -> Point:
        s = 1.0 - t
        b0, b1, b2, b3 = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        return (
            b0 * self.start[0] + b1 * self.c1[0] + b2 * self.c2[0] + b3 * self.end[0],
            b0 * self.start[1] + b1 * self.c1[1] + b2 * self.c2[1] + b3 * self.end[1],
        )

    def _derivative(self, t: float) -> Point:
        s = 1.0 - t
        p = (self.start, self.c1, self.c2, self.end)
        q = [(3 * (p[i + 1][0] - p[i][0]), 3 * (p[i + 1][1] - p[i][1])) for i in range(3)]
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

    def radius_at(self, t: float) -> float:
        s = 1.0 - t
        dx, dy = self._derivative(t)
        p = (self.start, self.c1, self.c2, self.end)
        r = [
            (p[i + 2][0] - 2 * p[i + 1][0] + p[i][0], p[i + 2][1] - 2 * p[i + 1][1] + p[i][1])
            for i in range(2)
        ]
        ddx, ddy = 6 * (s * r[0][0] + t * r[1][0]), 6 * (s * r[0][1] + t * r[1][1])
        cross = abs(dx * ddy - dy * ddx)
        speed = math.hypot(dx, dy)
        return math.inf if cross < 1e-12 else speed**3 / cross

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


@dataclass(frozen=True)
class BBox:
    """An upright box in mm."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    @property
    def center(self) -> Point:
        return ((self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0)

    def grown(self, by: float) -> BBox:
        """The box with every side moved outward by ``by`` mm (inward if negative)."""
        return BBox(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def union(self, other: BBox) -> BBox:
        return BBox(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def contains(self, other: BBox, tolerance: float = 1e-6) -> bool:
        return (
            self.x0 - tolerance <= other.x0
            and self.y0 - tolerance <= other.y0
            and self.x1 + tolerance >= other.x1
            and self.y1 + tolerance >= other.y1
        )

    @classmethod
    def around(cls, points: Iterable[Point]) -> BBox:
        """The smallest box round the points; ValueError if there are none."""
        listed = list(points)
        if not listed:
            raise ValueError("no points to put a box round")
        xs, ys = [p[0] for p in listed], [p[1] for p in listed]
        return cls(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Path:
    """One outline: consecutive segments, each starting where the one before ends.

    Args:
        segments: at least one; a gap of more than 1e-6 mm between neighbours is a ValueError.
        closed: the end is joined to the start. A closed path whose last segment does not reach the
            start gets the missing straight segment.
    """

    segments: tuple[Segment, ...]
    closed: bool = False

    def __post_init__(self) -> None:
        if not self.segments:
            raise ValueError("a path needs at least one segment")
        for before, after in itertools.pairwise(self.segments):
            if math.dist(before.end, after.start) > _JOIN_TOLERANCE_MM:
                raise ValueError(f"gap in path between {before.end} and {after.start}")
        if self.closed:
            first, last = self.segments[0].start, self.segments[-1].end
            if math.dist(first, last) > _JOIN_TOLERANCE_MM:
                object.__setattr__(self, "segments", (*self.segments, Line(last, first)))

    # --- making -----------------------------------------------------------------------------

    @classmethod
    def from_points(cls, points: Sequence[Point], *, closed: bool = False) -> Path:
        """A path of straight lines; repeated neighbouring points are dropped."""
        kept: list[Point] = []
        for x, y in points:
            if not kept or math.dist(kept[-1], (x, y)) > _JOIN_TOLERANCE_MM:
                kept.append((float(x), float(y)))
        if closed and len(kept) > 1 and math.dist(kept[0], kept[-1]) <= _JOIN_TOLERANCE_MM:
            kept.pop()
        if len(kept) < 2:
            raise ValueError("a path needs two different points")
        return cls(tuple(Line(a, b) for a, b in itertools.pairwise(kept)), closed)

    @classmethod
    def line(cls, start: Point, end: Point) -> Path:
        """A straight open path."""
        return cls((Line(start, end),))

    @classmethod
    def circle(cls, center: Point, radius: float, start_deg: float = 90.0) -> Path:
        """A full circle, anticlockwise from ``start_deg``."""
        if radius <= 0:
            raise ValueError(f"radius must be above 0, not {radius}")
        return cls((Arc(center, radius, start_deg, 360.0),), closed=True)

    # --- measuring --------------------------------------------------------------------------

    @property
    def start(self) -> Point:
        return self.segments[0].start

    @property
    def end(self) -> Point:
        return self.start if self.closed else self.segments[-1].end

    @cached_property
    def length(self) -> float:
        """Length in mm."""
        return sum(segment.length() for segment in self.segments)

    @cached_property
    def bbox(self) -> BBox:
        """Exact box round the line's centre, in mm (the printed line is half its width larger)."""
        return BBox.around(p for segment in self.segments for p in segment.extremes())

    def flatten(self, sag_mm: float = DEFAULT_SAG_MM) -> list[Point]:
        """Corner points of the polyline that stays within ``sag_mm`` of the path.

        The first point of a closed path is not repeated at the end.
        """
        points: list[Point] = [self.segments[0].start]
        for segment in self.segments:
            points.extend(segment.interior_points(sag_mm))
            points.append(segment.end)
        if self.closed:
            points.pop()
        return points

    # --- changing ---------------------------------------------------------------------------

    def transformed(self, m: Affine) -> Path:
        """The path under an affine map; arcs become cubics if circles do not stay circles."""
        segments: list[Segment] = []
        for segment in self.segments:
            if isinstance(segment, Arc) and m.is_similarity():
                turn = math.degrees(math.atan2(m.b, m.a))
                mirrored = m.determinant < 0
                start = turn - segment.start_deg if mirrored else turn + segment.start_deg
                sweep = -segment.sweep_deg if mirrored else segment.sweep_deg
                center = m.apply(segment.center)
                segments.append(Arc(center, segment.radius * m.scale, start, sweep))
                continue
            for part in segment.cubics() if isinstance(segment, Arc) else (segment,):
                if isinstance(part, Line):
                    segments.append(Line(m.apply(part.start), m.apply(part.end)))
                else:
                    segments.append(
                        Cubic(
                            m.apply(part.start),
                            m.apply(part.c1),
                            m.apply(part.c2),
                            m.apply(part.end),
                        )
                    )
        return Path(tuple(segments), self.closed)

    def moved(self, dx: float, dy: float) -> Path:
        return self.transformed(Affine.translation(dx, dy))

    def reversed(self) -> Path:
        """The same line followed the other way."""
        return Path(tuple(s.reversed() for s in reversed(self.segments)), self.closed)

    # --- drawing ----------------------------------------------------------------------------

    def draw(self, pen: Pen) -> None:
        """Draw on a pen: one move, then lines and curves, then a close if the path is closed."""
        pen.move_to(*self.start)
        for index, segment in enumerate(self.segments):
            if isinstance(segment, Line):
                if self.closed and index == len(self.segments) - 1:
                    break  # the close draws it
                pen.line_to(*segment.end)
                continue
            for part in segment.cubics() if isinstance(segment, Arc) else (segment,):
                pen.curve_to(*part.c1, *part.c2, *part.end)
        if self.closed:
            pen.close()


_GAUSS5 = (
    (0.0, 0.5688888888888889),
    (0.5384693101056831, 0.47862867049936647),
    (-0.5384693101056831, 0.47862867049936647),
    (0.906179845938664, 0.23692688505618908),
    (-0.906179845938664, 0.23692688505618908),
)


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
