"""How alike two outlines are: for shadow pages, decoys, and letters that are easy to mix up.

Pictures of any size are compared after both are brought to the same area (1, so that every length
below is in *sizes*: the side of the square with the shape's area) and the same centre of area. They
are not turned: an upside-down duck is another shadow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.errors import InputError

Area: TypeAlias = Polygon | MultiPolygon
"""A filled outline, with holes or in several parts, in any unit."""

TURNING_SCALE_DEG = 90.0
"""Mean difference of direction at which two outlines have no likeness left: a right angle."""

_SAMPLES = 256
_MOST_CORNERS = 300
_THINNING_SIZES = 0.002  # 0.1 mm on a 50 mm shadow, half a printed hairline


@dataclass(frozen=True, slots=True)
class Shadow:
    """A shape made ready to be compared with many others.

    Args:
        area: with area 1 and its centre of area at the origin.
        edge: its outline, prepared for distances.
        points: 256 of the outline.
        directions: of the outer edge along 256 equal stretches, radians.
    """

    area: Area
    edge: BaseGeometry
    points: NDArray[np.object_]
    directions: NDArray[np.float64]


def shadow(area: Area) -> Shadow:
    """All of a shape that :func:`alike` looks at.

    Raises:
        InputError: it is empty or has no area.
    """
    normal = _normal(area)
    edge = shapely.boundary(normal)
    shapely.prepare(edge)
    return Shadow(normal, edge, _outline_points(normal), _directions(normal))


def alike(a: Area, b: Area) -> float:
    """How alike two outlines are; see :func:`alike_shadows`.

    Raises:
        InputError: a shape is empty or has no area.
    """
    return alike_shadows(shadow(a), shadow(b))


def alike_shadows(a: Shadow, b: Shadow) -> float:
    """One number for two shadows, from 0 (nothing alike) to 1 (the same at any size).

    Half of it is the shared over the joint area; a quarter is 1 less the largest gap between the
    two outlines in sizes, and a quarter 1 less their mean difference of direction over a right
    angle, neither below 0. The area has the greater say because a shadow is one; the other two
    notice ears and tails, which are small in area. The weights are our setting, not fitted to any
    data.
    """
    return (
        0.5 * shared_area(a.area, b.area)
        + 0.25 * max(0.0, 1.0 - _hausdorff(a, b))
        + 0.25 * max(0.0, 1.0 - _turning_deg(a, b) / TURNING_SCALE_DEG)
    )


# --- measures on shapes as they lie, used for letters --------------------------------------------


def shared_area(a: BaseGeometry, b: BaseGeometry) -> float:
    """Intersection over union of two areas where they lie, 0 to 1."""
    shared = shapely.area(shapely.intersection(a, b))
    joint = a.area + b.area - shared
    return float(shared / joint) if joint > 0 else 0.0


def edge_distance(a: BaseGeometry, b: BaseGeometry) -> float:
    """Mean distance from a point of one outline to the other outline, both ways, where they lie.

    Taken at 256 evenly spaced points of each outline, holes included; in the unit of the shapes.
    """
    return float((_gaps(a, b).mean() + _gaps(b, a).mean()) / 2.0)


def stroke_width(area: Area) -> float:
    """Mean width of a shape made of strokes: twice its area over the length of its outline."""
    return float(2.0 * area.area / area.length)


def _gaps(a: BaseGeometry, b: BaseGeometry) -> NDArray[np.float64]:
    """Distance to the outline of ``b`` from evenly spaced points of the outline of ``a``."""
    other = shapely.boundary(b)
    shapely.prepare(other)
    gaps: NDArray[np.float64] = shapely.distance(_outline_points(a), other)
    return gaps


def _outline_points(area: BaseGeometry) -> NDArray[np.object_]:
    """256 points evenly spaced over all rings, since a hole is seen as much as an outer edge."""
    corners, ring = shapely.get_coordinates(
        shapely.get_parts(shapely.boundary(area)), return_index=True
    )
    steps = np.hypot(*np.diff(corners, axis=0).T)
    steps[np.diff(ring) > 0] = 0.0  # from the end of one ring to the start of the next
    walked = np.concatenate(([0.0], np.cumsum(steps)))
    at = (np.arange(_SAMPLES) + 0.5) / _SAMPLES * walked[-1]
    points: NDArray[np.object_] = shapely.points(
        np.interp(at, walked, corners[:, 0]), np.interp(at, walked, corners[:, 1])
    )
    return points


# --- inside --------------------------------------------------------------------------------------


def _normal(area: Area) -> Area:
    """The shape with area 1 and its centre of area at the origin."""
    size = area.area
    if area.is_empty or not math.isfinite(size) or size <= 0.0:
        raise InputError("an outline without any area cannot be compared", fix="give a closed one")
    scale = 1.0 / math.sqrt(size)
    centre = area.centroid
    moved = affine_transform(area, (scale, 0, 0, scale, -centre.x * scale, -centre.y * scale))
    if shapely.get_num_coordinates(moved) > _MOST_CORNERS:
        # Keeps a pair well under 5 ms; holds to 0.2 % of the size.
        moved = shapely.simplify(moved, _THINNING_SIZES)
    if not moved.is_valid:
        moved = moved.buffer(0)
    return moved


def _hausdorff(a: Shadow, b: Shadow) -> float:
    """Largest gap between the two outlines: the Hausdorff distance of the boundaries.

    Taken at 256 evenly spaced points of each, so it is at most half a point spacing too small.
    """
    gaps = shapely.distance(a.points, b.edge), shapely.distance(b.points, a.edge)
    return float(max(gaps[0].max(), gaps[1].max()))


def _turning_deg(a: Shadow, b: Shadow) -> float:
    """Mean difference of direction along the two outlines, in degrees, start points matched.

    Direction as a function of the share of the length walked, compared over all 256 relative
    starts, as in Arkin, Chew, Huttenlocher, Kedem and Mitchell, "An efficiently computable metric
    for comparing polygonal shapes", IEEE PAMI 13(3), 1991; but with the mean instead of the root
    mean square (a corner that falls between two samples then counts by its width only), and
    without turning the shapes, so a square and the same square on its tip differ by 45. Only the
    outer edge of the largest part counts. Zero for equal outlines, rarely above 90.
    """
    one, other = a.directions, b.directions
    # Row k is the first outline started k samples later; past its end a full turn is added.
    walk = np.concatenate((one, one + 2.0 * math.pi))
    rows = np.lib.stride_tricks.sliding_window_view(walk, _SAMPLES)[:_SAMPLES]
    apart = rows - other
    # Directions are equal up to whole turns.
    apart = apart - 2.0 * math.pi * np.round(apart.mean(axis=1, keepdims=True) / (2.0 * math.pi))
    return float(np.degrees(np.abs(apart).mean(axis=1).min()))


def _directions(area: Area) -> NDArray[np.float64]:
    """Direction of the outer edge in radians, averaged over 256 equal stretches of its length."""
    largest = max(area.geoms, key=lambda p: p.area) if isinstance(area, MultiPolygon) else area
    ring = np.asarray(shapely.get_coordinates(shapely.geometry.polygon.orient(largest).exterior))
    steps = np.diff(ring, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    steps, lengths = steps[lengths > 0], lengths[lengths > 0]
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turns = np.diff(heading)
    turns = (turns + math.pi) % (2.0 * math.pi) - math.pi
    heading = heading[0] + np.concatenate(([0.0], np.cumsum(turns)))
    ends = np.concatenate(([0.0], np.cumsum(lengths))) / lengths.sum()
    integral = np.concatenate(([0.0], np.cumsum(heading * np.diff(ends))))
    cuts = np.linspace(0.0, 1.0, _SAMPLES + 1)
    result: NDArray[np.float64] = np.diff(np.interp(cuts, ends, integral)) * _SAMPLES
    return result
