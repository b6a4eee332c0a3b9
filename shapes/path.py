"""The outline a hand follows: an immutable path of lines, arcs and cubic curves, in mm, y up.

A path knows nothing of pages or files. It draws itself on a *pen*, any object with the four methods
of :class:`Pen`; each output format has a pen of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from shapes.affine import Affine, Point
from shapes.segments import Arc, Cubic, Line, Segment, arc_between

DEFAULT_SAG_MM = 0.02
"""Largest gap between a curve and its chords: half a dot of a 600 dpi printer (0.021 mm)."""

_JOIN_TOLERANCE_MM = 1e-6

__all__ = [
    "Arc",
    "BBox",
    "Cubic",
    "Line",
    "Path",
    "Pen",
    "Segment",
    "arc_between",
    "from_lowest",
]


class Pen(Protocol):
    """What a path is drawn on. Coordinates in mm, y up."""

    def move_to(self, x: float, y: float) -> None: ...

    def line_to(self, x: float, y: float) -> None: ...

    def curve_to(
        self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float
    ) -> None: ...

    def close(self) -> None: ...


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

    def transformed(self, m: Affine) -> BBox:
        """The box round this one as a map moves it."""
        corners = ((self.x0, self.y0), (self.x1, self.y0), (self.x0, self.y1), (self.x1, self.y1))
        return BBox.around(m.apply(corner) for corner in corners)

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


def from_lowest(path: Path) -> Path:
    """The same closed path from its lowest, then leftmost, joint on."""
    starts = [(round(s.start[1], 2), round(s.start[0], 2), i) for i, s in enumerate(path.segments)]
    first = min(starts)[2]
    return Path((*path.segments[first:], *path.segments[:first]), closed=True)
