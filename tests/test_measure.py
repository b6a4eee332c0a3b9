"""Measures of finished outlines against closed forms, and what must not change them.

Angles of regular polygons and of the five-point star (tip 36, notch 252, turning 1080 degrees) are
plain geometry.
"""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from shapes.affine import Affine, Point
from shapes.measure.measure import Measures, gap, measure
from shapes.path import Arc, Cubic, Line, Path


def ring(area: Polygon) -> Path:
    return Path.from_points(list(area.exterior.coords), closed=True)


def regular(sides: int, radius: float) -> Path:
    steps = (math.tau * k / sides for k in range(sides))
    return Path.from_points(
        [(radius * math.cos(a), radius * math.sin(a)) for a in steps], closed=True
    )


def star(radius: float) -> Path:
    inner = radius * math.sin(math.radians(18)) / math.sin(math.radians(126))
    points = []
    for k in range(10):
        angle = math.radians(90 + 36 * k)
        size = inner if k % 2 else radius
        points.append((size * math.cos(angle), size * math.sin(angle)))
    return Path.from_points(points, closed=True)


def rounded_square(side: float, radius: float) -> Path:
    """A square of exact lines and arcs, its lower left corner at the origin."""
    segments: list[Line | Arc] = []
    for k in range(4):
        turn = Affine.rotation(90.0 * k).then(
            [
                Affine(),
                Affine.translation(side, 0),
                Affine.translation(side, side),
                Affine.translation(0, side),
            ][k]
        )
        edge = Path.line((radius, 0.0), (side - radius, 0.0)).transformed(turn)
        bend = Path((Arc((side - radius, radius), radius, -90.0, 90.0),)).transformed(turn)
        segments += [*edge.segments, *bend.segments]  # type: ignore[list-item]
    return Path(tuple(segments), closed=True)


def dumbbell(width: float) -> Path:
    """Two discs of radius 30, 90 mm apart, joined by a bar."""
    discs = Spot(0, 0).buffer(30, quad_segs=32).union(Spot(90, 0).buffer(30, quad_segs=32))
    return ring(discs.union(box(0, -width / 2, 90, width / 2)))


def angles(found: Measures) -> list[float]:
    return [round(corner.interior_deg, 2) for corner in found.corners]


# --- closed forms ---------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [4.0, 20.0, 57.0, 75.0])
@pytest.mark.parametrize("backwards", [False, True])
def test_circle(radius: float, backwards: bool) -> None:
    circle = Path.circle((3.0, -7.0), radius)
    found = measure(circle.reversed() if backwards else circle)
    assert found.closed
    assert found.length == pytest.approx(math.tau * radius)
    assert found.min_bend_radius == pytest.approx(radius, rel=1e-6)
    assert found.min_hollow_radius is None
    assert found.corners == ()
    assert found.neck == pytest.approx(2 * radius, abs=0.1)  # the disc itself
    assert found.notch is None
    assert found.turning_deg == pytest.approx(360.0)
    assert found.bbox.width == pytest.approx(2 * radius)


def test_square_lists_its_corners_with_their_places() -> None:
    found = measure(Path.from_points([(0, 0), (75, 0), (75, 75), (0, 75)], closed=True))
    assert angles(found) == [90.0] * 4
    assert sorted((round(x, 6), round(y, 6)) for x, y in (c.point for c in found.corners)) == [
        (0.0, 0.0),
        (0.0, 75.0),
        (75.0, 0.0),
        (75.0, 75.0),
    ]
    assert not any(corner.hollow for corner in found.corners)
    assert (found.min_bend_radius, found.min_hollow_radius) == (None, None)
    assert (found.neck, found.notch) == (75.0, None)


@pytest.mark.parametrize(
    ("sides", "angle"), [(3, 60.0), (4, 90.0), (5, 108.0), (6, 120.0), (8, 135.0)]
)
def test_regular_polygons(sides: int, angle: float) -> None:
    found = measure(regular(sides, 50.0))
    assert angles(found) == [angle] * sides
    assert found.turning_deg == pytest.approx(360.0)


def test_star() -> None:
    found = measure(star(60.0))
    assert sorted(angles(found)) == [36.0] * 5 + [252.0] * 5
    assert [c.hollow for c in found.corners].count(True) == 5
    assert all(corner.hollow == (corner.interior_deg > 180.0) for corner in found.corners)
    assert found.turning_deg == pytest.approx(1080.0)


@pytest.mark.parametrize("radius", [3.0, 8.0, 25.0])
def test_rounded_square_has_bends_and_no_corners(radius: float) -> None:
    found = measure(rounded_square(90.0, radius))
    assert found.min_bend_radius == pytest.approx(radius, rel=1e-3)
    assert found.corners == ()
    assert found.length == pytest.approx(360.0 - 8 * radius + math.tau * radius)
    assert found.neck == pytest.approx(90.0, abs=0.05)


@pytest.mark.parametrize("radius", [0.3, 1.0, 1.8])
def test_a_turn_rounded_below_2_mm_is_a_corner(radius: float) -> None:
    found = measure(rounded_square(90.0, radius))
    assert [corner.interior_deg for corner in found.corners] == pytest.approx([90.0] * 4, abs=0.5)
    assert found.min_bend_radius is None


@pytest.mark.parametrize("turn", [10.0, 14.0])
def test_a_slight_kink_is_no_corner(turn: float) -> None:
    end = (40 + 40 * math.cos(math.radians(turn)), 40 * math.sin(math.radians(turn)))
    assert measure(Path.from_points([(0, 0), (40, 0), end])).corners == ()


@pytest.mark.parametrize("turn", [16.0, 60.0, 144.0])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_open_line_corner_is_180_minus_the_turn(turn: float, side: float) -> None:
    angle = math.radians(turn * side)
    line = Path.from_points([(0, 0), (40, 0), (40 + 40 * math.cos(angle), 40 * math.sin(angle))])
    found = measure(line)
    assert angles(found) == [180.0 - turn]
    assert not found.corners[0].hollow
    assert found.corners[0].point == pytest.approx((40.0, 0.0))
    assert (found.closed, found.neck, found.notch) == (False, None, None)
    assert found.turning_deg == pytest.approx(turn)


def test_corners_less_than_a_millimetre_apart_are_one() -> None:
    chamfered = Path.from_points([(0, 0), (59.5, 0), (60, 0.5), (60, 60), (0, 60)], closed=True)
    assert angles(measure(chamfered)) == [90.0] * 4


def test_hollow_radius_of_a_bite() -> None:
    bite = Path(
        (
            Line((0, 0), (80, 0)),
            Line((80, 0), (80, 60)),
            Line((80, 60), (60, 60)),
            Arc((40, 60), 20.0, 0.0, -180.0),
            Line((20, 60), (0, 60)),
        ),
        closed=True,
    )
    found = measure(bite)
    assert found.min_hollow_radius == pytest.approx(20.0, rel=1e-3)
    assert found.min_bend_radius is None
    assert sorted(angles(found)) == pytest.approx([90.0] * 6, abs=1.5)


def test_bends_of_an_open_line_count_either_way() -> None:
    wave = Path((Arc((20, 0), 20.0, 180.0, -180.0), Arc((70, 0), 30.0, 180.0, 180.0)))
    found = measure(wave)
    assert found.min_bend_radius == pytest.approx(20.0, rel=1e-3)
    assert found.min_hollow_radius is None


@pytest.mark.parametrize("width", [3.0, 7.4, 12.0, 21.3])
def test_neck_of_a_dumbbell(width: float) -> None:
    assert measure(dumbbell(width)).neck == pytest.approx(width, abs=0.05)


@pytest.mark.parametrize("width", [0.5, 6.3, 14.0])
def test_notch_of_a_slotted_square(width: float) -> None:
    slotted = box(0, 0, 75, 75).difference(box(30, 20, 30 + width, 80))
    found = measure(ring(slotted))
    assert found.notch == pytest.approx(width, abs=0.03)
    assert found.neck == pytest.approx(20.0, abs=0.03)  # below the slot


@pytest.mark.parametrize(("length", "counts"), [(18.0, True), (8.0, False)])
def test_a_tab_is_a_neck_only_if_it_is_long(length: float, counts: bool) -> None:
    tabbed = box(0, 0, 75, 75).union(box(30, 70, 40, 75 + length))
    neck = measure(ring(tabbed)).neck
    assert neck is not None
    assert (neck == pytest.approx(10.0, abs=0.03)) is counts


@pytest.mark.parametrize("inner", [0.5, 0.6, 0.75])
def test_neck_of_a_star_is_that_of_its_body_not_of_its_hull(inner: float) -> None:
    """The largest disc touches the five hollows; the hull of this star is 144.7 mm wide."""
    points = [
        (r * math.sin(math.radians(36 * i)), r * math.cos(math.radians(36 * i)))
        for i in range(10)
        for r in [80.0 if i % 2 == 0 else 80.0 * inner]
    ]
    found = measure(Path.from_points(points, closed=True))
    assert found.neck == pytest.approx(160.0 * inner, abs=0.01)


def test_neck_of_a_pentagram_is_the_diagonal_between_its_hollows() -> None:
    """Two arms lie beyond it: four sides of R / golden ratio, 4.0 times the diagonal."""
    golden = (1.0 + math.sqrt(5.0)) / 2.0
    inner = 80.0 / golden**2  # of the pentagon the hollows stand on
    assert measure(star(80.0)).neck == pytest.approx(2 * inner * math.sin(math.radians(72)))


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8])
def test_neck_of_a_regular_polygon_is_its_largest_disc(sides: int) -> None:
    apothem = 50.0 * math.cos(math.pi / sides)
    assert measure(regular(sides, 50.0)).neck == pytest.approx(2 * apothem, abs=0.01)


def test_where_the_narrow_places_and_bends_are() -> None:
    neck = measure(dumbbell(7.4))
    assert neck.neck_at is not None
    assert neck.neck_at[0] == pytest.approx(neck.bbox.center[0], abs=25.0)
    assert neck.neck_at[1] == pytest.approx(neck.bbox.center[1], abs=0.1)
    slotted = measure(ring(box(0, 0, 75, 75).difference(box(30, 20, 36, 80))))
    assert slotted.notch_at is not None
    assert slotted.notch_at[0] == pytest.approx(33.0, abs=1.0)
    assert 20.0 < slotted.notch_at[1] < 76.0
    # One corner of the square is rounded, so the bend is there: halfway round its quarter circle.
    round_off = 8.0 * (1.0 - math.sqrt(0.5))
    path = Path(
        (
            Line((0, 0), (52, 0)),
            Arc((52, 8), 8.0, -90.0, 90.0),
            Line((60, 8), (60, 60)),
            Line((60, 60), (0, 60)),
            Line((0, 60), (0, 0)),
        ),
        closed=True,
    )
    bend = measure(path).bend_at
    assert bend is not None
    assert math.dist(bend, (60.0 - round_off, round_off)) < 5.0
    assert measure(Path.circle((30, 40), 20)).neck_at == pytest.approx((30, 40), abs=0.1)
    straight = measure(Path.line((0, 0), (50, 0)))
    assert (straight.bend_at, straight.neck_at, straight.notch_at) == (None, None, None)


def test_an_outline_that_crosses_itself_has_no_width() -> None:
    bow = Path.from_points([(0, 0), (60, 40), (60, 0), (0, 40)], closed=True)
    assert measure(bow).neck == 0.0


# --- foreign drawings: chords and curves in place of arcs -----------------------------------------


@pytest.mark.parametrize("radius", [4.0, 9.0, 20.0, 57.0])
@pytest.mark.parametrize("quarter", [8, 16, 90])
def test_chords_of_a_circle_are_no_corners(radius: float, quarter: int) -> None:
    found = measure(ring(Spot(0, 0).buffer(radius, quad_segs=quarter)))
    assert found.corners == ()
    assert found.min_bend_radius == pytest.approx(radius, rel=0.03)


def test_a_dense_polyline_with_rounded_coordinates() -> None:
    area = box(0, 0, 60, 60).buffer(3.0, quad_segs=30).segmentize(0.1)
    points = np.round(np.asarray(area.exterior.coords), 2)
    found = measure(Path.from_points([(float(x), float(y)) for x, y in points], closed=True))
    assert found.corners == ()
    assert found.min_bend_radius == pytest.approx(3.0, rel=0.05)
    assert found.turning_deg == pytest.approx(360.0, abs=1.0)


def test_sharp_corners_survive_dense_points() -> None:
    area = box(0, 0, 60, 60).segmentize(0.1)
    assert angles(measure(ring(area))) == [90.0] * 4


def test_a_stray_point_beside_a_corner_changes_nothing() -> None:
    plain = measure(Path.from_points([(0, 0), (75, 0), (75, 75), (0, 75)], closed=True))
    stray = Path.from_points(
        [(0, 0), (74.999, 0), (75, 0), (75, 0.001), (75, 75), (0, 75)], closed=True
    )
    assert angles(measure(stray)) == angles(plain)


def test_circle_of_cubics() -> None:
    quarters = tuple(Arc((0, 0), 30.0, 0.0, 360.0).cubics())
    found = measure(Path(quarters, closed=True))
    assert found.min_bend_radius == pytest.approx(30.0, rel=0.01)  # a cubic is no perfect circle
    assert found.corners == ()


def test_corner_between_two_cubics() -> None:
    lens = Path(
        (Cubic((0, 0), (20, 30), (60, 30), (80, 0)), Cubic((80, 0), (60, -30), (20, -30), (0, 0))),
        closed=True,
    )
    tip = 2.0 * math.degrees(math.atan2(30, 20))
    assert angles(measure(lens)) == pytest.approx([tip, tip], abs=1.0)


# --- gap ------------------------------------------------------------------------------------------


def test_gap() -> None:
    square = Path.from_points([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    assert gap(square, square.moved(25.4, 0)) == pytest.approx(15.4)
    assert gap(square, square.moved(5, 5)) == 0.0
    assert gap(Path.circle((0, 0), 50), Path.circle((5, 0), 30)) == pytest.approx(15.0, abs=0.02)


# --- what must not change the measures ------------------------------------------------------------


@st.composite
def blobs(draw: st.DrawFn) -> Path:
    """A random closed outline of chords: discs and boxes in one part, rounded both ways."""
    rng = random.Random(draw(st.integers(0, 10_000)))
    area = Spot(0, 0).buffer(30.0)
    for _ in range(rng.randint(1, 4)):
        x, y = rng.uniform(-35, 35), rng.uniform(-35, 35)
        piece = Spot(x, y).buffer(rng.uniform(8, 22))
        if rng.random() < 0.5:
            w, h = rng.uniform(8, 30), rng.uniform(8, 30)
            piece = box(x - w, y - h, x + w, y + h)
        area = area.union(piece).union(LineString([(0, 0), (x, y)]).buffer(7.0))
    area = area.buffer(5, quad_segs=24).buffer(-9, quad_segs=24).buffer(4, quad_segs=24)
    assume(isinstance(area, Polygon))
    return ring(Polygon(area.exterior))


def started_at(path: Path, index: int) -> Path:
    index %= len(path.segments)
    return Path((*path.segments[index:], *path.segments[:index]), closed=True)


def assert_alike(a: Measures, b: Measures, *, scale: float = 1.0, rel: float = 0.08) -> None:
    """Equal but for the scale; radii read off chords are good to some percent, not exact."""
    assert b.length == pytest.approx(a.length * scale, rel=1e-6)
    assert b.turning_deg == pytest.approx(a.turning_deg, abs=max(2.0, 0.01 * a.turning_deg))
    for name in ("min_bend_radius", "min_hollow_radius", "neck", "notch"):
        before, after = getattr(a, name), getattr(b, name)
        assert (before is None) == (after is None), name
        if before is not None:
            near = rel if name.endswith("radius") else 0.005
            assert after == pytest.approx(before * scale, rel=near, abs=0.03), name
    first, second = (sorted(c.interior_deg for c in m.corners) for m in (a, b))
    assert second == pytest.approx(first, abs=2.0)


@settings(max_examples=25, deadline=None)
@given(blobs(), st.integers(0, 400))
def test_start_point_does_not_matter(path: Path, index: int) -> None:
    assert_alike(measure(path), measure(started_at(path, index)))


@settings(max_examples=25, deadline=None)
@given(blobs())
def test_direction_does_not_matter(path: Path) -> None:
    assert_alike(measure(path), measure(path.reversed()))


@settings(max_examples=25, deadline=None)
@given(blobs(), st.floats(0, 360), st.booleans())
def test_turning_and_mirroring_do_not_matter(path: Path, angle: float, mirrored: bool) -> None:
    m = Affine.rotation(angle)
    m = Affine.scaling(-1.0, 1.0).then(m) if mirrored else m
    assert_alike(measure(path), measure(path.transformed(m)))


def exact_outlines() -> list[Path]:
    """Lines and arcs far above every threshold in mm, so that all lengths grow with the outline."""
    return [rounded_square(90.0, 12.0), star(80.0), regular(6, 50.0), Path.circle((0, 0), 40.0)]


@pytest.mark.parametrize("scale", [0.8, 1.5, 2.0])
@pytest.mark.parametrize("index", range(4))
def test_lengths_grow_with_the_outline(index: int, scale: float) -> None:
    path = exact_outlines()[index]
    grown = path.transformed(Affine.scaling(scale))
    assert_alike(measure(path), measure(grown), scale=scale, rel=0.002)


@pytest.mark.parametrize("index", range(4))
@pytest.mark.parametrize("angle", [0.0, 31.7, 90.0, 200.0])
def test_exact_outlines_measure_the_same_in_any_position(index: int, angle: float) -> None:
    path = exact_outlines()[index]
    m = Affine.scaling(-1.0, 1.0).then(Affine.rotation(angle))
    for other in (path.transformed(m), path.reversed(), started_at(path, index + 1)):
        assert_alike(measure(path), measure(other), rel=0.002)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-60, 60), st.integers(-60, 60)), min_size=3, max_size=9),
)
def test_corners_of_a_convex_polygon_add_up(points: list[Point]) -> None:
    hull = LineString(points).convex_hull
    assume(isinstance(hull, Polygon))
    corners = list(hull.exterior.coords)[:-1]
    assume(min(math.dist(a, b) for a, b in itertools.combinations(corners, 2)) > 8.0)
    found = measure(Path.from_points(corners, closed=True))
    turns = [180.0 - corner.interior_deg for corner in found.corners]
    assert found.turning_deg == pytest.approx(360.0)
    assert not any(corner.hollow for corner in found.corners)
    assert all(turn >= 15.0 for turn in turns)
    assert sum(turns) <= 360.0 + 1e-6
    if len(found.corners) == len(corners):
        assert sum(turns) == pytest.approx(360.0)
