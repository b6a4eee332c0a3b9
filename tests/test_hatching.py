"""Hatches against the geometry library, which the hatching itself does not use."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import get_parts
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from shapes.errors import InputError
from shapes.path import Arc, Path
from sheets.page.hatching import _lines, hatch_lines
from sheets.page.palette import Hatch

SQUARE = box(0, 0, 20, 20)
LINES: tuple[Hatch, ...] = ("rising", "falling", "grid", "waves")


def hatch_of(area: BaseGeometry, kind: Hatch, spacing_mm: float) -> list[Path]:
    """The hatch of an area of the geometry library."""
    polygons = [part for part in get_parts(area) if not part.is_empty]
    rings = [ring for part in polygons for ring in (part.exterior, *part.interiors)]
    return hatch_lines([list(ring.coords)[:-1] for ring in rings], kind, spacing_mm)


def ends(path: Path) -> tuple[tuple[float, float], tuple[float, float]]:
    (x0, y0), (x1, y1) = path.start, path.end
    return ((round(x0, 3), round(y0, 3)), (round(x1, 3), round(y1, 3)))


def test_rising_lines_of_a_square() -> None:
    """10 by 10 with lines 5 apart: one diagonal and one on either side, each 5 root 2 along x."""
    aside = round(5 * math.sqrt(2), 3)

    assert [ends(p) for p in hatch_of(box(0, 0, 10, 10), "rising", 5.0)] == [
        ((aside, 0.0), (10.0, round(10 - 5 * math.sqrt(2), 3))),
        ((0.0, 0.0), (10.0, 10.0)),
        ((0.0, aside), (round(10 - 5 * math.sqrt(2), 3), 10.0)),
    ]


def test_falling_lines_fall() -> None:
    for path in hatch_of(SQUARE, "falling", 3.0):
        (x0, y0), (x1, y1) = path.start, path.end
        assert y1 - y0 == pytest.approx(x0 - x1)


def test_a_grid_of_a_square() -> None:
    found = [ends(p) for p in hatch_of(box(0, 0, 10, 10), "grid", 4.0)]

    assert sorted(found) == [
        ((0.0, 1.0), (10.0, 1.0)),
        ((0.0, 5.0), (10.0, 5.0)),
        ((0.0, 9.0), (10.0, 9.0)),
        ((1.0, 0.0), (1.0, 10.0)),
        ((5.0, 0.0), (5.0, 10.0)),
        ((9.0, 0.0), (9.0, 10.0)),
    ]


def test_waves_swing_a_quarter_of_the_spacing() -> None:
    middle = min(hatch_of(SQUARE, "waves", 4.0), key=lambda p: abs(p.bbox.center[1] - 10.0))

    assert middle.bbox.y0 == pytest.approx(9.0)
    assert middle.bbox.y1 == pytest.approx(11.0)
    assert middle.bbox.width == pytest.approx(20.0)


def test_dots_are_whole_and_inside() -> None:
    disc = Point(30, 30).buffer(10, quad_segs=64)

    dots = hatch_of(disc, "dots", 3.0)

    assert len(dots) > 20
    assert dots[0].closed
    for dot in dots:
        (arc,) = dot.segments
        assert isinstance(arc, Arc)
        assert arc.radius == pytest.approx(0.6)
        assert math.dist(arc.center, (30, 30)) <= 10 - 0.6 + 1e-9


def test_solid_and_none_have_no_lines() -> None:
    assert hatch_of(SQUARE, "solid", 3.0) == []
    assert hatch_of(SQUARE, "none", 3.0) == []
    assert hatch_of(Polygon(), "rising", 3.0) == []


@pytest.mark.parametrize("kind", LINES)
def test_lines_stay_inside_and_out_of_holes(kind: Hatch) -> None:
    ring = Polygon([(0, 0), (30, 0), (30, 30), (0, 30)], [[(10, 10), (20, 10), (20, 20), (10, 20)]])
    two = MultiPolygon([ring, box(40, 0, 50, 10)])

    found = hatch_of(two, kind, 2.5)

    assert any(p.bbox.x0 >= 40 for p in found)
    for path in found:
        assert two.buffer(1e-6).covers(LineString(path.flatten()))


@pytest.mark.parametrize("kind", [*LINES, "dots"])
def test_equal_shapes_get_equal_hatches_anywhere(kind: Hatch) -> None:
    shape = Polygon([(0, 0), (24, 3), (15, 20)])

    here = hatch_of(shape, kind, 2.0)
    there = hatch_of(translate(shape, 64.0, 128.0), kind, 2.0)

    assert len(here) == len(there) > 0
    for a, b in zip(here, there, strict=True):
        assert b.start == pytest.approx((a.start[0] + 64.0, a.start[1] + 128.0))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(LINES), st.floats(5, 60), st.floats(5, 60), st.floats(2, 8))
def test_hatches_reach_every_corner(
    kind: Hatch, width: float, height: float, spacing: float
) -> None:
    """No corner of a rectangle is farther from a line than the spacing and a wave's swing.

    The 0.5 mm are for pieces too short to print, left out in the corners.
    """
    area = box(0, 0, width, height)
    found = MultiLineString([p.flatten() for p in hatch_of(area, kind, spacing)])

    for corner in [(0, 0), (width, 0), (width, height), (0, height)]:
        assert found.distance(Point(corner)) <= 1.25 * spacing + 0.5


def test_bad_hatch_and_spacing() -> None:
    with pytest.raises(InputError) as kind:
        hatch_of(SQUARE, "stars", 3.0)  # type: ignore[arg-type]

    assert str(kind.value) == (
        "no hatch 'stars'; choose from dots, rising, falling, grid, waves, solid, none"
    )
    for spacing in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(InputError) as caught:
            hatch_of(SQUARE, "grid", spacing)
        assert str(caught.value) == f"hatch spacing {spacing:g} mm; give a spacing above 0"


STAR = Polygon(
    [
        (10 + r * math.cos(math.radians(36 * i)), 10 + r * math.sin(math.radians(36 * i)))
        for i, r in enumerate([10, 4] * 5)
    ]
)
RING = Polygon([(0, 0), (30, 0), (30, 30), (0, 30)], [[(8, 8), (22, 8), (22, 22), (8, 22)]])


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([STAR, RING, MultiPolygon([RING, box(40, 0, 50, 10)])]),
    st.sampled_from(LINES),
    st.floats(0, 360),
    st.floats(1.5, 8),
)
def test_lines_are_those_of_the_geometry_library(
    area: BaseGeometry, kind: Hatch, turn: float, spacing: float
) -> None:
    """The whole length inside, but for pieces too short to print (0.3 mm)."""
    area = rotate(area, turn)
    x0, y0, x1, y1 = area.bounds
    middle, reach = ((x0 + x1) / 2, (y0 + y1) / 2), math.hypot(x1 - x0, y1 - y0) / 2 + spacing
    wanted = [area.intersection(LineString(line)) for line in _lines(kind, middle, reach, spacing)]
    pieces = [p for one in wanted for p in get_parts(one) if p.length > 0.0]
    unsure = sum(p.length for p in pieces if p.length < 0.301)
    # A line that runs along an edge is inside or not, as the rounding goes.
    along = area.boundary.buffer(1e-4)
    unsure += sum(
        p.intersection(along).length for p in pieces if p.intersection(along).length > 0.1
    )

    found = sum(path.length for path in hatch_of(area, kind, spacing))

    assert found == pytest.approx(sum(p.length for p in pieces), abs=unsure + 1e-3)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([STAR, RING]), st.floats(0, 360), st.floats(1.5, 8))
def test_dots_are_those_of_the_geometry_library(
    area: BaseGeometry, turn: float, spacing: float
) -> None:
    """Every dot of the lattice that lies wholly inside, and no other."""
    area = rotate(area, turn)
    x0, y0, x1, y1 = area.bounds
    cx, cy, rise = (x0 + x1) / 2, (y0 + y1) / 2, spacing * math.sqrt(3) / 2
    lattice = [
        (cx + (column + row % 2 / 2) * spacing, cy + row * rise)
        for row in range(-40, 41)
        for column in range(-40, 41)
    ]
    edge = area.boundary
    inside = [p for p in lattice if area.covers(Point(p))]
    wanted = {p for p in inside if edge.distance(Point(p)) >= spacing / 5 + 1e-9}
    perhaps = {p for p in inside if edge.distance(Point(p)) >= spacing / 5 - 1e-9}

    arcs = [path.segments[0] for path in hatch_of(area, "dots", spacing)]
    found = {arc.center for arc in arcs if isinstance(arc, Arc)}

    assert len(wanted) <= len(found) == len(arcs) <= len(perhaps)
    for x, y in wanted:
        assert any(math.dist((x, y), center) < 1e-6 for center in found)
