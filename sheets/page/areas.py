"""The area that one mark covers: lines by length and width, areas by their outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from shapes.memory import ByIdentity
from shapes.path import Arc, Cubic, Line, Path
from shapes.segments import is_inside
from sheets.page.model import Fill, Stroke

_SAG = 0.05


def stroked_area(stroke: Stroke, width: float) -> float:
    """What lines of a width cover: length times width, and their round ends, in mm².

    Corners are left out: a round one takes off less than a quarter of the width's square up to a
    right angle.
    """
    total = 0.0
    for path in stroke.paths:
        long, ends = path.length, 0.0 if path.closed else 1.0
        if stroke.dash:
            long, ends = _dashes(long, stroke.dash)
        elif len(path.segments) > 2:
            long -= _twice.get(path, 0, partial(_gone_back, path))
        total += long * width
        if stroke.cap == "round":
            total += ends * math.pi / 4.0 * width * width
    return total


_twice = ByIdentity[Path, float](4096)
_STRAIGHT = 0.01
"""Sine of the angle up to which two straight parts lie on one line."""


def _gone_back(path: Path) -> float:
    """The length of a path that lies on itself, as its straight parts go back and forth."""
    twice = at = low = high = 0.0
    dx = dy = 0.0  # direction of the straight run
    for segment in path.segments:
        if not isinstance(segment, Line):
            dx = dy = 0.0
            continue
        (x0, y0), (x1, y1) = segment.start, segment.end
        long = segment.length()
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        along = ux * dx + uy * dy
        if abs(ux * dy - uy * dx) > _STRAIGHT or along == 0.0:
            dx, dy, along, at, low, high = ux, uy, 1.0, 0.0, 0.0, 0.0
        at += along * long
        before = high - low
        low, high = min(low, at), max(high, at)
        twice += long - (high - low - before)
    return twice


def _dashes(length: float, dash: Sequence[float]) -> tuple[float, float]:
    """The length that is drawn of a dashed line, and how many dashes there are."""
    if len(dash) % 2:
        dash = (*dash, *dash)
    times, rest = divmod(length, sum(dash))
    drawn, count = times * sum(dash[::2]), times * len(dash) / 2.0
    for i, part in enumerate(dash):
        if rest <= 0.0:
            break
        if i % 2 == 0:
            drawn += min(part, rest)
            count += 1.0
        rest -= part
    return drawn, count


def filled_area(fill: Fill) -> float:
    """What an area covers, its holes taken off, in mm². Outlines that cross are not looked into."""
    if len(fill.paths) == 1:
        return abs(signed_area(fill.paths[0]))
    areas = [signed_area(path) for path in fill.paths]
    total = 0.0
    for path, area in zip(fill.paths, areas, strict=True):
        around = [math.copysign(1.0, other) for ring, other in zip(fill.paths, areas, strict=True)
                  if ring is not path and _is_in(path, ring)]  # fmt: skip
        if fill.even_odd:
            total += -abs(area) if len(around) % 2 else abs(area)
        else:
            outside = sum(around)
            inside = outside + math.copysign(1.0, area)
            total += abs(area) * ((inside != 0.0) - (outside != 0.0))
    return total


def _is_in(path: Path, ring: Path) -> bool:
    if not ring.bbox.contains(path.bbox):
        return False
    points = ring.flatten(_SAG)
    return is_inside(path.start, zip(points, [*points[1:], points[0]], strict=True))


def signed_area(path: Path) -> float:
    """The area a path goes round, above 0 anticlockwise; an open one is joined end to start."""
    (x1, y1), (x0, y0) = path.start, path.segments[-1].end
    total = x0 * y1 - x1 * y0
    for segment in path.segments:
        (x0, y0), (x1, y1) = segment.start, segment.end
        total += x0 * y1 - x1 * y0
        # What lies between the curve and its chord.
        if isinstance(segment, Arc):
            turn = math.radians(segment.sweep_deg)
            total += segment.radius**2 * (turn - math.sin(turn))
        elif isinstance(segment, Cubic):
            ax, ay = segment.c1[0] - x0, segment.c1[1] - y0
            bx, by = segment.c2[0] - x0, segment.c2[1] - y0
            cx, cy = x1 - x0, y1 - y0
            total += 0.3 * (ax * by - bx * ay + ax * cy - cx * ay + 2.0 * (bx * cy - cx * by))
    return total / 2.0
