"""The practice shapes against plane geometry: angles, lengths round, areas and turning.

Where no source is named the formula is school geometry (Euclid's Elements, books I, III and IV for
polygons and circles). Angles and areas are taken from the corner points of the finished path, by
shapely where there is an area, not by the functions that draw or score it.
"""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from shapes import basic
from shapes.affine import Point
from shapes.basic import SHAPES, practice
from shapes.measure.difficulty import turning_deg
from shapes.path import Path
from tests.path_measures import smoothed_turning_deg

SAG_MM = 0.001
GOLDEN = (1.0 + math.sqrt(5.0)) / 2.0
CLOSED = [name for name in SHAPES if practice(name).closed]


def area_of(path: Path) -> float:
    """By shapely, of the outline in chords of a thousandth of a millimetre."""
    return float(shapely.Polygon(path.flatten(SAG_MM)).area)


def turns_deg(points: list[Point]) -> list[float]:
    """Signed turn at every corner of a closed outline, by its neighbours; left is positive."""
    found = []
    for (ax, ay), (bx, by), (cx, cy) in zip(
        points, points[1:] + points[:1], points[2:] + points[:2], strict=True
    ):
        cross = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        dot = (bx - ax) * (cx - bx) + (by - ay) * (cy - by)
        found.append(math.degrees(math.atan2(cross, dot)))
    return found


# --- regular polygons and stars -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("corners", "angle"), [(3, 60.0), (4, 90.0), (5, 108.0), (6, 120.0), (8, 135.0), (12, 150.0)]
)
@pytest.mark.parametrize("side", [40.0, 76.2])
def test_regular_polygons(corners: int, angle: float, side: float) -> None:
    """Angle (n - 2) 180 / n, length round n s, area n s^2 / (4 tan(180 / n)), turning 360."""
    path = basic.regular_polygon(side, corners)

    assert [180.0 - turn for turn in turns_deg(path.flatten())] == pytest.approx([angle] * corners)
    assert angle == (corners - 2) * 180.0 / corners
    assert path.length == pytest.approx(corners * side)
    assert area_of(path) == pytest.approx(corners * side**2 / (4 * math.tan(math.pi / corners)))
    assert turning_deg(path) == pytest.approx(360.0)
    tops = {round(math.dist(p, _middle(path)), 6) for p in path.flatten()}
    assert tops == {round(side / (2 * math.sin(math.pi / corners)), 6)}


def _middle(path: Path) -> Point:
    centre = shapely.Polygon(path.flatten()).centroid
    return (centre.x, centre.y)


def test_square_and_triangle_are_the_polygons_of_three_and_four_sides() -> None:
    assert basic.triangle(76.2).length == pytest.approx(228.6)
    assert basic.square(76.2).length == pytest.approx(304.8)
    assert area_of(basic.triangle(76.2)) == pytest.approx(math.sqrt(3.0) / 4.0 * 76.2**2)
    assert area_of(basic.square(76.2)) == pytest.approx(76.2**2)


def test_five_pointed_star() -> None:
    """The star drawn in one stroke: tips of 36 degrees, notches of 252, side (R / golden ratio) *
    2 sin 36, notches on a circle of R / golden ratio^2."""
    radius = 50.0
    path = basic.star(2 * radius, 5, 36.0)
    points = path.flatten()
    inner = radius / GOLDEN**2

    # The walk starts at a tip, so the first turn found is that of a notch.
    assert [180.0 - turn for turn in turns_deg(points)] == pytest.approx([252.0, 36.0] * 5)
    assert path.length == pytest.approx(10 * radius / GOLDEN * 2 * math.sin(math.radians(36)))
    assert area_of(path) == pytest.approx(5 * radius * inner * math.sin(math.radians(36)))
    assert math.dist(points[0], points[2]) == pytest.approx(2 * radius * math.sin(math.pi / 5))
    assert turning_deg(path) == pytest.approx(5 * (180 - 36) + 5 * (252 - 180)) == 1080.0


@given(st.integers(4, 12), st.floats(10.0, 80.0))
def test_stars_have_tips_of_the_given_angle(points: int, tip: float) -> None:
    """The angles of 2 n corners add up to (2 n - 2) 180 degrees, so a notch has 360 - 360 / n less
    the tip."""
    angles = [180.0 - turn for turn in turns_deg(basic.star(100.0, points, tip).flatten())]

    assert angles[1::2] == pytest.approx([tip] * points)
    assert angles[::2] == pytest.approx([360.0 - 360.0 / points - tip] * points)


# --- lengths and areas in closed form -------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "length", "area"),
    [
        # Circle: pi d, pi d^2 / 4.
        (basic.circle(152.4), math.pi * 152.4, math.pi * 76.2**2),
        (basic.circle(114.3), math.pi * 114.3, math.pi * 57.15**2),
        (basic.rectangle(101.6, 76.2), 355.6, 101.6 * 76.2),
        (basic.diamond(88.0, 152.4), 2 * math.hypot(88.0, 152.4), 88.0 * 152.4 / 2),
        # Straight sides and one whole circle; what the corners lose is a square less a circle.
        (
            basic.rounded_rectangle(100.0, 60.0, 15.0),
            2 * (100 + 60) - 8 * 15 + math.tau * 15,
            100 * 60 - (4 - math.pi) * 15**2,
        ),
        # Walls, floor and two halves of a roof; a rectangle and a triangle.
        (basic.house(120.0, 100.0), 120 + 2 * 50 + 2 * math.hypot(60, 50), 120 * 50 + 120 * 50 / 2),
        # A square of side s = w / (1 + 1 / sqrt 2) with a half circle on two of its sides.
        (
            basic.heart(100.0),
            (2 + math.pi) * 100 / (1 + math.sqrt(0.5)),
            (1 + math.pi / 4) * (100 / (1 + math.sqrt(0.5))) ** 2,
        ),
        # A hexagon with a half circle on each side 2 r; r (1 + sqrt 3) = 60.
        (
            basic.flower(120.0, 6),
            6 * math.pi * 60 / (1 + math.sqrt(3)),
            (6 * math.sqrt(3) + 3 * math.pi) * (60 / (1 + math.sqrt(3))) ** 2,
        ),
    ],
)
def test_closed_shapes(path: Path, length: float, area: float) -> None:
    assert path.length == pytest.approx(length)
    # Chords of a curve lie inside it by at most the sag, so the area is too small by less.
    assert area_of(path) == pytest.approx(area, abs=SAG_MM * length + 1e-9)
    assert area_of(path) <= area + 1e-6


@pytest.mark.parametrize(
    ("path", "length"),
    [
        (basic.straight_line(152.4), 152.4),
        (basic.one_turn(76.2, 50.0, 120.0), 126.2),
        # An arc is its radius times its angle.
        (basic.arc_line(76.2, 90.0), 76.2 * math.pi / 2),
        (basic.arc_line(90.0, 90.0), 141.3716694),
        # Strokes of step / sin(half the tip).
        (basic.zigzag(120.0, 4, 60.0), 4 * 30.0 / math.sin(math.radians(30))),
        # Half circles of 45, 35, 25 and 15 mm.
        (basic.spiral(15.0, 20.0, 2.0), math.pi * (45 + 35 + 25 + 15)),
        # Two half circles of 20 mm.
        (basic.wave(20.0, 80.0, 1.0), 2 * math.pi * 20),
        # Bow of chord c = 50 and height h = 10: r = c^2 / 8h + h / 2 = 36.25, sin(a / 2) = c / 2r.
        (basic.wave(10.0, 100.0, 1.0), 2 * 36.25 * 2 * math.asin(25 / 36.25)),
    ],
)
def test_open_lines(path: Path, length: float) -> None:
    assert path.length == pytest.approx(length)


def test_spiral_of_half_circles_comes_near_the_spiral_of_archimedes() -> None:
    """r = g / tau * t has the length g / (2 tau) * (t sqrt(1 + t^2) + asinh t). Half circles of the
    same gap and mean radii are a little shorter: as found, by 0.67 % for this spiral."""
    inner, gap, turns = 15.0, 20.0, 2.0
    outer = inner + gap * (turns - 0.5)

    def archimedes(radius: float) -> float:
        t = math.tau * radius / gap
        return gap / (2 * math.tau) * (t * math.sqrt(1 + t * t) + math.asinh(t))

    ours = basic.spiral(inner, gap, turns).length
    # The mean radius of a half turn is that of its half circle.
    theirs = archimedes(outer + gap / 4) - archimedes(inner - gap / 4)

    assert 1.0 - ours / theirs == pytest.approx(0.0067, abs=0.0005)


# --- turning --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (basic.straight_line(100.0), 0.0),
        (basic.circle(40.0), 360.0),
        (basic.circle(152.4), 360.0),
        (basic.square(76.2), 360.0),
        (basic.triangle(76.2), 360.0),
        (basic.regular_polygon(50.0, 8), 360.0),
        (basic.rounded_rectangle(100.0, 60.0, 15.0), 360.0),
        (basic.star(150.0, 5, 36.0), 1080.0),
        (basic.one_turn(50.0, 50.0, 90.0), 90.0),
        (basic.arc_line(76.2, 114.6), 114.6),
        (basic.zigzag(120.0, 4, 90.0), 270.0),
        (basic.wave(20.0, 80.0, 2.0), 720.0),
        (basic.spiral(15.0, 20.0, 2.0), 720.0),
        # Tip and notch of a right angle, and two half circles.
        (basic.heart(150.0), 90.0 + 90.0 + 360.0),
        # Six half circles, and six notches of 120 degrees.
        (basic.flower(150.0, 6), 6 * 180.0 + 6 * 120.0),
    ],
)
def test_total_absolute_turning(path: Path, expected: float) -> None:
    assert turning_deg(path) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (basic.square(76.2), 360.0),
        (basic.circle(152.4), 360.0),
        (basic.star(150.0, 5, 36.0), 1080.0),
    ],
)
def test_smoothed_turning_of_clean_shapes_is_plain_turning(path: Path, expected: float) -> None:
    assert smoothed_turning_deg(path) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("name", CLOSED)
def test_an_outline_turns_once_in_all_and_more_only_if_it_has_a_hollow(name: str) -> None:
    """H. Hopf 1935: a simple closed curve turns by 360 degrees, left less right. W. Fenchel 1929:
    left and right together by at least 360, and by exactly that only if it is convex."""
    path = practice(name)
    points = path.flatten(SAG_MM)
    shape = shapely.Polygon(points)
    convex = shape.convex_hull.area - shape.area < 1e-6

    assert sum(turns_deg(points)) == pytest.approx(360.0)
    assert turning_deg(path) >= 360.0 - 1e-6
    assert (turning_deg(path) == pytest.approx(360.0)) == convex


@pytest.mark.parametrize("name", CLOSED)
def test_only_the_circle_holds_as_much_as_its_length_allows(name: str) -> None:
    """The isoperimetric inequality: 4 pi area <= length^2, equal for the circle alone."""
    path = practice(name)
    used = 4.0 * math.pi * area_of(path) / path.length**2

    assert used <= 1.0 + 1e-9
    assert (used == pytest.approx(1.0, abs=1e-4)) == ("circle" in name)


def test_a_longer_side_of_a_shape_is_no_longer_than_the_way_round_it() -> None:
    """Triangle inequality: two points of a closed outline are at most half its length apart."""
    for name in CLOSED:
        path = practice(name)
        furthest = max(math.dist(a, b) for a, b in itertools.combinations(path.flatten(1.0), 2))
        assert furthest <= path.length / 2.0, name
