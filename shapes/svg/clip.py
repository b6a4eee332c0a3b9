"""Shapes that need geometry to be read: cut off by a clip path, or lines drawn unevenly wide.

Imported inside functions only (shapely is heavy).
Source: CSS Masking Module Level 1, 5 (W3C).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Sequence

import shapely
from shapely import Polygon

from shapes.affine import Affine
from shapes.ink import Nib, stroke_rings
from shapes.path import BBox, Path
from shapes.svg.drawing import Shape
from shapes.tangles import refuse_tangles

_FINENESS = 4000.0
"""Chords of a clipped curve lie this many times closer to it than its box is long."""
_AS_IT_IS = Affine()
_SPECK = 1e-4
"""A ring no wider and no higher than this is left over where two edges run into one another."""


def clip_area(shapes: Iterable[Shape]) -> shapely.Geometry:
    """The area within which a clip path lets things be seen."""
    return shapely.union_all([filled_area(shape.paths, shape.even_odd) for shape in shapes])


def clipped(shape: Shape, clip: shapely.Geometry) -> Iterator[Shape]:
    """What a clip leaves of a shape: the shape itself, or areas in the place of its fill and lines.

    Args:
        clip: as :func:`clip_area` gives it, or an intersection of such areas.
    """
    boxes = [path.bbox for path in shape.paths]
    box = BBox.around(p for b in boxes for p in ((b.x0, b.y0), (b.x1, b.y1)))
    # Half a line's width, and as much again for a miter or a square end.
    around = box.grown(shape.stroke_width * max(1.0, shape.miter_limit / 2.0))
    if clip.contains(shapely.box(around.x0, around.y0, around.x1, around.y1)):
        yield shape
        return
    if shape.fill is not None:
        yield from _part(shape, shape.fill, filled_area(shape.paths, shape.even_odd), clip)
    if shape.stroke is not None:
        sag = _sag(shape.paths, shape.stroke_width)
        refuse_tangles([path.flatten(sag) for path in shape.paths])
        rings = (r for path in shape.paths for r in stroke_rings(shape.nib, path, _AS_IT_IS, sag))
        inked = shapely.union_all([Polygon(ring) for ring in rings])
        yield from _part(shape, shape.stroke, inked, clip)


def unevenly_wide(shape: Shape, paths: Sequence[Path], nib: Nib, m: Affine) -> Iterator[Shape]:
    """A shape whose lines a map makes wider one way than another: its fill, then its lines as area.

    Args:
        paths, nib: in the units before the map.
        m: not a similarity.
    """
    if shape.fill is not None:
        yield dataclasses.replace(shape, stroke=None, stroke_width=0.0, dash=())
    if shape.stroke is not None:
        sag = _sag(paths, nib.width)
        refuse_tangles([path.flatten(sag) for path in paths])
        rings = (r for path in paths for r in stroke_rings(nib, path, _AS_IT_IS, sag))
        mapped = [Polygon([m.apply(point) for point in ring]) for ring in rings]
        yield from _area(shape, shape.stroke, shapely.union_all(mapped))


def _part(
    shape: Shape, colour: str, area: shapely.Geometry, clip: shapely.Geometry
) -> Iterator[Shape]:
    yield from _area(shape, colour, shapely.intersection(area, clip))


def _area(shape: Shape, colour: str, left: shapely.Geometry) -> Iterator[Shape]:
    paths = [
        Path.from_points([(x, y) for x, y in ring.coords], closed=True)
        for part in shapely.get_parts(left)
        if isinstance(part, Polygon) and part.area > 0.0
        for ring in (part.exterior, *part.interiors)
        if _reach(ring) > _SPECK
    ]
    if paths:
        yield dataclasses.replace(
            shape,
            paths=tuple(paths),
            fill=colour,
            stroke=None,
            stroke_width=0.0,
            dash=(),
            even_odd=True,
        )


def _reach(ring: shapely.LinearRing) -> float:
    x0, y0, x1, y1 = ring.bounds
    return float(max(x1 - x0, y1 - y0))


def filled_area(paths: Sequence[Path], even_odd: bool) -> shapely.Geometry:
    """The area that paths fill under the even-odd rule; else under the nonzero rule, for rings that
    do not cross."""
    sag = _sag(paths)
    lines = [[*path.flatten(sag), path.end] for path in paths]
    refuse_tangles(lines)
    rings = [Polygon(points) for points in lines if len(points) > 3]
    return by_rule([ring for ring in rings if not ring.is_empty], even_odd)


def by_rule(rings: Sequence[Polygon], even_odd: bool) -> shapely.Geometry:
    """The area that rings fill under the even-odd rule; else under the nonzero rule, for rings that
    do not cross each other.

    Source: SVG 2, 13.4.2.
    """
    if not rings:
        return Polygon()
    valid = [shapely.make_valid(ring) for ring in rings]
    if even_odd:
        total = valid[0]
        for ring in valid[1:]:
            total = shapely.symmetric_difference(total, ring)
        return total
    levels = _levels(valid, [1 if ring.exterior.is_ccw else -1 for ring in rings])
    total = Polygon()
    for level in range(max(1, *levels) + 1):
        these = shapely.union_all([v for v, k in zip(valid, levels, strict=True) if k == level])
        change = shapely.difference if level % 2 else shapely.union
        total = change(total, these) if level else these
    return total


def _levels(rings: Sequence[shapely.Geometry], ways: Sequence[int]) -> list[int]:
    """What each ring is under the nonzero rule: 0 filled, 1 a hole in that, 2 an island in one ...

    Args:
        ways: 1 for a ring that runs anticlockwise, -1 for one that runs clockwise.
    """
    order = sorted(range(len(rings)), key=lambda i: -float(rings[i].area))
    rank = {ring: place for place, ring in enumerate(order)}
    around: list[list[int]] = [[] for _ in rings]
    within = [ring.representative_point() for ring in rings]
    for ring, other in shapely.STRtree(rings).query(within, predicate="within").T.tolist():
        if rank[other] < rank[ring]:
            around[ring].append(other)
    levels = [0] * len(rings)
    for ring in order:
        if around[ring]:
            outside = levels[max(around[ring], key=rank.__getitem__)]
            filled = ways[ring] + sum(ways[other] for other in around[ring]) != 0
            levels[ring] = outside + (filled == bool(outside % 2))
    return levels


def _sag(paths: Sequence[Path], wide: float = 0.0) -> float:
    longest = max((max(p.bbox.width, p.bbox.height) + wide for p in paths), default=0.0)
    return max(longest / _FINENESS, 1e-9)
