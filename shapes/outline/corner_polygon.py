"""The smallest polygon of few corners round a picture: the outline with straight sides.

Sides lie along supporting lines of the convex hull. The area of the polygon is a sum over
neighbouring sides, so cyclic dynamic programming over a grid of directions finds the least one.
Lengths in mm.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from shapes.outline.morphology import Area
from shapes.path import Path, from_lowest

Floats = NDArray[np.float64]

_FEWER_CORNERS_FOR = 1.06
"""A polygon with fewer corners is taken if its area is at most this many times the best one's."""
_MIRROR_FOR = 1.03
_GRID_DEG = 5
_LEAST_TURN_DEG = 20
_SHORTEST_SIDE_MM = 5.0


def corner_polygon(silhouette: Area, offset: float, max_corners: int, interior_deg: float) -> Path:
    """The smallest polygon of at most ``max_corners`` sides round the offset hull.

    Sides lie along supporting lines in directions of a 5 degree grid; cyclic dynamic programming
    finds the least area. Fewer corners are taken for up to 6 % more area, a mirror-symmetric
    polygon for up to 3 % more if the hull is symmetric itself.
    """
    corners = np.asarray(silhouette.convex_hull.exterior.coords, dtype=np.float64)
    angles = np.radians(np.arange(0, 360, _GRID_DEG))
    normals = np.column_stack([np.cos(angles), np.sin(angles)])
    support = (corners @ normals.T).max(axis=0) + offset
    steps = (_LEAST_TURN_DEG // _GRID_DEG, int((180.0 - interior_deg) // _GRID_DEG))
    best: dict[int, tuple[float, tuple[int, ...]]] = {}
    for count in range(3, max_corners + 1):
        found = _smallest(support, count, steps)
        if found is not None:
            best[count] = found
    if not best:
        raise ValueError(f"no polygon of {max_corners} corners has angles of {interior_deg} deg")
    least = min(area for area, _ in best.values())
    count = min(k for k, (area, _) in best.items() if area <= least * _FEWER_CORNERS_FOR)
    area, chosen = best[count]
    mirrored = _mirrored(support, count, steps)
    if mirrored is not None and mirrored[0] <= area * _MIRROR_FOR:
        chosen = mirrored[1]
    return from_lowest(Path.from_points(_vertices(support, chosen), closed=True))


def _pair_cost(support: Floats, steps: tuple[int, int]) -> Floats:
    """Twice the area each pair of neighbouring sides adds, by first side and turn between them."""
    size = len(support)
    low, high = steps
    cost = np.full((size, high + 1), np.inf)
    for step in range(low, high + 1):
        turn = math.radians(step * _GRID_DEG)
        a, b = support, np.roll(support, -step)
        cost[:, step] = (2.0 * a * b - (a * a + b * b) * math.cos(turn)) / math.sin(turn)
    return cost


def _smallest(
    support: Floats, count: int, steps: tuple[int, int]
) -> tuple[float, tuple[int, ...]] | None:
    """Least area and side directions of a polygon with that many sides; None if there is none."""
    size = len(support)
    cost = _pair_cost(support, steps)
    starts = np.arange(size)
    total = np.full((size, size + 1), np.inf)
    total[:, 0] = 0.0
    came: list[NDArray[np.int64]] = []
    for _ in range(count):
        reached = np.full_like(total, np.inf)
        step_taken = np.zeros(total.shape, dtype=np.int64)
        for step in range(steps[0], steps[1] + 1):
            side = (starts[:, None] + np.arange(size + 1 - step)[None, :]) % size
            trial = total[:, : size + 1 - step] + cost[side, step]
            better = trial < reached[:, step:] - 1e-12
            reached[:, step:][better] = trial[better]
            step_taken[:, step:][better] = step
        total = reached
        came.append(step_taken)
    ends = total[:, size]
    for start in np.argsort(ends, kind="stable"):
        if not np.isfinite(ends[start]):
            return None
        sides: list[int] = []
        at = size
        for taken in reversed(came):
            at -= int(taken[start, at])
            sides.append(int((start + at) % size))
        chosen = tuple(sorted(sides))
        # A side of negative length means that its line misses the polygon.
        if _is_proper(support, chosen):
            return float(ends[start]) / 2.0, chosen
    return None


def _mirrored(
    support: Floats, count: int, steps: tuple[int, int]
) -> tuple[float, tuple[int, ...]] | None:
    """The smallest polygon that is its own mirror image, if the hull (nearly) is one."""
    size = len(support)
    middle = (support[0] - support[size // 2]) / 2.0
    centred = support - middle * np.cos(np.radians(np.arange(size) * _GRID_DEG))
    flipped = centred[(size // 2 - np.arange(size)) % size]
    if np.max(np.abs(centred - flipped)) > 0.02 * np.max(centred):
        return None
    right = range(-size // 4 + 1, size // 4)
    best: tuple[float, tuple[int, ...]] | None = None
    pairs = count // 2
    for own in [(size // 4,), (3 * size // 4,)] if count % 2 else [(), (size // 4, 3 * size // 4)]:
        free = (count - len(own)) // 2
        if free < 1 or free > pairs:
            continue
        for chosen_right in itertools.combinations(right, free):
            sides = {side % size for side in own}
            for side in chosen_right:
                sides |= {side % size, (size // 2 - side) % size}
            chosen = tuple(sorted(sides))
            if len(chosen) != count or not _turns_fit(chosen, size, steps):
                continue
            if not _is_proper(support, chosen):
                continue
            area = Polygon(_vertices(support, chosen)).area
            if best is None or area < best[0] - 1e-9:
                best = (area, chosen)
    return best


def _turns_fit(chosen: tuple[int, ...], size: int, steps: tuple[int, int]) -> bool:
    following = (*chosen[1:], chosen[0] + size)
    return all(steps[0] <= b - a <= steps[1] for a, b in zip(chosen, following, strict=True))


def _is_proper(support: Floats, chosen: tuple[int, ...]) -> bool:
    points = _vertices(support, chosen)
    for i, side in enumerate(chosen):
        a, b = points[i - 1], points[i]
        heading = math.radians(side * _GRID_DEG + 90.0)
        if (b[0] - a[0]) * math.cos(heading) + (b[1] - a[1]) * math.sin(
            heading
        ) < _SHORTEST_SIDE_MM:
            return False
    return True


def _vertices(support: Floats, chosen: tuple[int, ...]) -> list[tuple[float, float]]:
    """Where each side's line meets the next one's."""
    points = []
    for i, side in enumerate(chosen):
        following = chosen[(i + 1) % len(chosen)]
        a, b = math.radians(side * _GRID_DEG), math.radians(following * _GRID_DEG)
        ha, hb = float(support[side]), float(support[following])
        det = math.sin(b - a)
        points.append(
            (
                round((ha * math.sin(b) - hb * math.sin(a)) / det, 4),
                round((hb * math.cos(a) - ha * math.cos(b)) / det, 4),
            )
        )
    return points
