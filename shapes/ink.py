"""What a line inks: the one meaning of width, caps and corners, in plain Python.

Boxes, silhouettes, the distances of ``check`` and what touches on a page are all taken from here,
so that a line ends and turns in one way wherever it is drawn or measured. Dashes count as if they
were solid.

Source: Scalable Vector Graphics (SVG) 2, 13.5 (caps, corners, miter limit).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.affine import Affine, Point
from shapes.path import Path

Cap = Literal["butt", "round", "square"]
Join = Literal["miter", "round", "bevel"]
Ring = tuple[Point, ...]

_LEAST_SHARE = 0.05
"""A segment shorter than this share of the line's width has no direction worth a spike."""
_NO_CORNER = 1e-3


@dataclass(frozen=True, slots=True)
class Nib:
    """What draws a line.

    Args:
        width: full width, in the units of the paths it draws.
        miter_limit: where a mitred corner becomes a bevel (SVG ``stroke-miterlimit``), 1 or more.
    """

    width: float
    cap: Cap = "round"
    join: Join = "round"
    miter_limit: float = 4.0


def corners(nib: Nib, path: Path) -> Iterator[tuple[Point, Point, Point, bool]]:
    """The corners of a path: place, directions before and after, whether a miter fits there.

    Taken from the segments, not from chords, which have false corners in tight curves.
    """
    least = _LEAST_SHARE * nib.width
    segments = [s for s in path.segments if math.dist(s.start, s.end) > least]
    pairs = list(itertools.pairwise(segments))
    if path.closed and len(segments) > 1:
        pairs.append((segments[-1], segments[0]))
    for before, after in pairs:
        (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
        if math.hypot(ux - vx, uy - vy) < _NO_CORNER:
            continue
        cos_half = math.sqrt(max(0.0, (1.0 + ux * vx + uy * vy) / 2.0))
        fits = nib.join == "miter" and cos_half * nib.miter_limit >= 1.0
        yield before.end, (ux, uy), (vx, vy), fits


def miter_tips(nib: Nib, path: Path) -> Iterator[tuple[Point, Point, Point, Point]]:
    """What mitred corners add to a stroke with round ones: per corner, the quadrilateral of corner
    point, edge, tip, edge, in the units of the path.
    """
    if nib.join != "miter":
        return
    half = nib.width / 2.0
    for (x, y), (ux, uy), (vx, vy), fits in corners(nib, path):
        if not fits:
            continue  # so sharp that it is bevelled
        cos_half = math.sqrt(max(0.0, (1.0 + ux * vx + uy * vy) / 2.0))
        reach = half / cos_half / math.hypot(ux - vx, uy - vy)
        side = math.copysign(half, uy * vx - ux * vy)  # the outer side of the turn
        yield (
            (x, y),
            (x - uy * side, y + ux * side),
            (x + (ux - vx) * reach, y + (uy - vy) * reach),
            (x - vy * side, y + vx * side),
        )


def has_bevels(nib: Nib, path: Path) -> bool:
    """Whether a corner of the path is cut off straight."""
    if nib.join == "round":
        return False
    return not all(fits for _, _, _, fits in corners(nib, path))


def ink_of(
    nib: Nib, path: Path, at: Affine, sag: float
) -> tuple[tuple[Point, ...] | None, list[Ring]]:
    """The ink of a line on the page: a chain of points that half the width runs round, and areas.

    Args:
        at: from the path's units to those of the result; a similarity.
        sag: largest gap between a curve and its chords, in units of the result.

    Returns:
        The chain (a closed one ends where it starts) if all ends and corners are round but for the
        miters, which are the areas; else None, and the areas are all of the ink.
    """
    if (path.closed or nib.cap == "round") and not has_bevels(nib, path):
        flat = [at.apply(point) for point in path.flatten(sag / max(at.scale, 1e-6))]
        chain = (*flat, flat[0]) if path.closed or len(flat) == 1 else tuple(flat)
        return chain, [tuple(map(at.apply, tip)) for tip in miter_tips(nib, path)]
    return None, list(stroke_rings(nib, path, at, sag))


def stroke_rings(nib: Nib, path: Path, at: Affine, sag: float) -> Iterator[Ring]:
    """Small convex areas that together are the ink of a line; arguments as for :func:`ink_of`."""
    half = nib.width * at.scale / 2.0
    points, joints = _flat(path, at, sag)
    if len(points) < 2:
        if nib.cap == "round":
            yield _fan(points[0], half, 0.0, math.tau, sag)
        elif nib.cap == "square":
            (x, y), h = points[0], half
            yield (x - h, y - h), (x + h, y - h), (x + h, y + h), (x - h, y + h)
        return
    chords = list(itertools.pairwise([*points, points[0]] if path.closed else points))
    for a, b in chords:
        nx, ny = _across(a, b, half)
        yield (
            (a[0] + nx, a[1] + ny), (a[0] - nx, a[1] - ny),
            (b[0] - nx, b[1] - ny), (b[0] + nx, b[1] + ny),
        )  # fmt: skip
    yield from _turns(nib, chords, joints, path.closed, half, sag)
    if nib.join == "miter":
        yield from (tuple(map(at.apply, tip)) for tip in miter_tips(nib, path))
    if not path.closed:
        yield from _cap(nib, points[1], points[0], half, sag)
        yield from _cap(nib, points[-2], points[-1], half, sag)


def _flat(path: Path, at: Affine, sag: float) -> tuple[list[Point], set[Point]]:
    """Points of the line on the page, no two alike in a row, and those where segments meet."""
    within = sag / max(at.scale, 1e-6)
    points = [at.apply(path.segments[0].start)]
    joints = {points[0]}
    for segment in path.segments:
        for point in (*segment.interior_points(within), segment.end):
            mapped = at.apply(point)
            if math.dist(mapped, points[-1]) > sag / 10.0:
                points.append(mapped)
        joints.add(points[-1])
    if path.closed and len(points) > 1 and math.dist(points[0], points[-1]) <= sag / 10.0:
        points.pop()
    return points, joints


def _across(a: Point, b: Point, half: float) -> Point:
    long = math.dist(a, b)
    return (a[1] - b[1]) / long * half, (b[0] - a[0]) / long * half


def _turns(
    nib: Nib,
    chords: Sequence[tuple[Point, Point]],
    joints: set[Point],
    closed: bool,
    half: float,
    sag: float,
) -> Iterator[Ring]:
    """What fills the outer side of each turn: a fan within a curve, else what the corner has."""
    pairs = list(itertools.pairwise(chords))
    if closed:
        pairs.append((chords[-1], chords[0]))
    for (a, b), (_, c) in pairs:
        first = math.atan2(b[1] - a[1], b[0] - a[0])
        turn = math.remainder(math.atan2(c[1] - b[1], c[0] - b[0]) - first, math.tau)
        if turn == 0.0:
            continue
        begin = first - math.copysign(math.pi / 2.0, turn)
        if nib.join == "round" or b not in joints:
            yield _fan(b, half, begin, turn, sag)
        else:
            yield (b, _polar(b, half, begin), _polar(b, half, begin + turn))


def _cap(nib: Nib, before: Point, end: Point, half: float, sag: float) -> Iterator[Ring]:
    if nib.cap == "butt":
        return
    nx, ny = _across(before, end, half)
    if nib.cap == "square":
        dx, dy = ny, -nx  # straight on
        left, right = (end[0] + nx, end[1] + ny), (end[0] - nx, end[1] - ny)
        yield left, right, (right[0] + dx, right[1] + dy), (left[0] + dx, left[1] + dy)
    else:
        yield _fan(end, half, math.atan2(-ny, -nx), math.pi, sag)


def _fan(middle: Point, radius: float, begin: float, turn: float, sag: float) -> Ring:
    step = 2.0 * math.acos(1.0 - min(0.3, sag / max(radius, 1e-9)))
    count = max(1, math.ceil(abs(turn) / step))
    rim = (_polar(middle, radius, begin + turn * i / count) for i in range(count + 1))
    return (middle, *rim)


def _polar(middle: Point, radius: float, angle: float) -> Point:
    return middle[0] + radius * math.cos(angle), middle[1] + radius * math.sin(angle)
