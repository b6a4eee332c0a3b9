"""Practice lines and shapes: exact corners, lengths, radii and angles in mm and degrees.

What plane geometry says of them is in ``tests/outside/test_plane_geometry.py``.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes import basic
from shapes.affine import Point
from shapes.basic import MAX_MM, SHAPES, practice
from shapes.errors import InputError
from shapes.path import Arc, Line, Path, Segment


def corners(path: Path) -> list[Point]:
    """Start points of the segments, rounded to a millionth of a mm."""
    return [(round(s.start[0], 6) + 0.0, round(s.start[1], 6) + 0.0) for s in path.segments]


def interior_angles(path: Path) -> list[float]:
    """Interior angles of a closed anticlockwise path at the starts of its segments."""
    found = []
    for before, after in itertools.pairwise([path.segments[-1], *path.segments]):
        (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
        turn = math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))
        found.append(180.0 - turn)
    return found


def joint_turns(path: Path) -> list[float]:
    """Absolute turns in degrees between neighbouring segments, the closing one left out."""
    found = []
    for before, after in itertools.pairwise(path.segments):
        (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
        found.append(abs(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))))
    return found


def radius_of(segment: Segment) -> float:
    """Radius of an arc, infinite for a straight line."""
    return segment.radius if isinstance(segment, Arc) else math.inf


def signed_area(path: Path) -> float:
    points = path.flatten()
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise([*points, points[0]]))


CLOSED = [name for name in SHAPES if practice(name).closed]
OPEN = [name for name in SHAPES if not practice(name).closed]


# --- every shape ----------------------------------------------------------------------------------


def test_the_table_lists_these_shapes_in_this_order() -> None:
    assert list(SHAPES) == [
        "line",
        "bend",
        "corner",
        "arc",
        "hill",
        "wave",
        "circle",
        "small-circle",
        "square",
        "rectangle",
        "triangle",
        "diamond",
        "rounded-rectangle",
        "house",
        "pentagon",
        "hexagon",
        "octagon",
        "zigzag",
        "heart",
        "flower",
        "star",
        "spiral",
    ]


def test_every_stage_after_the_snips_has_a_practice_shape() -> None:
    assert {stage for row in SHAPES.values() for stage in row.stages} == {2, 3, 4, 5, 6}


@pytest.mark.parametrize("name", CLOSED)
def test_closed_shapes_are_centred_anticlockwise_and_start_lowest_then_leftmost(name: str) -> None:
    path = practice(name)
    assert path.bbox.center == pytest.approx((0.0, 0.0), abs=1e-9)
    assert signed_area(path) > 0.0
    lowest = path.bbox.y0
    assert path.start[1] == pytest.approx(lowest, abs=1e-9)
    low = [s.start[0] for s in path.segments if abs(s.start[1] - lowest) < 1e-6]
    assert path.start[0] == pytest.approx(min(low), abs=1e-9)


@pytest.mark.parametrize("name", [name for name in OPEN if name != "spiral"])
def test_open_lines_start_at_the_origin_and_run_to_the_right(name: str) -> None:
    path = practice(name)
    assert path.start == pytest.approx((0.0, 0.0), abs=1e-9)
    assert path.end[0] > 0.0


@pytest.mark.parametrize("name", SHAPES)
def test_default_shapes_fit_the_live_area_shared_by_letter_and_a4(name: str) -> None:
    # 184.6 x 254.0 mm: A4 width and Letter height less 12.7 mm on every side.
    box = practice(name).bbox
    assert box.width <= 184.6
    assert box.height <= 254.0


# --- open lines -----------------------------------------------------------------------------------


def test_straight_line_is_one_line_of_the_given_length() -> None:
    assert basic.straight_line(152.4).segments == (Line((0.0, 0.0), (152.4, 0.0)),)


def test_one_turn_goes_left_by_the_right_angle() -> None:
    path = basic.one_turn(50.0, 30.0, 90.0)
    assert corners(path) == [(0.0, 0.0), (50.0, 0.0)]
    assert path.end == pytest.approx((50.0, 30.0))


@given(st.floats(1.0, 300.0), st.floats(1.0, 300.0), st.floats(10.0, 175.0))
def test_one_turn_keeps_both_lengths_and_the_angle(
    first: float, second: float, angle: float
) -> None:
    path = basic.one_turn(first, second, angle)
    assert [s.length() for s in path.segments] == pytest.approx([first, second])
    assert joint_turns(path) == pytest.approx([180.0 - angle], abs=1e-6)


@given(st.floats(1.0, 500.0), st.floats(1.0, 350.0), st.booleans())
def test_arc_line_is_one_arc_that_ends_level_with_its_start(
    radius: float, sweep: float, left: bool
) -> None:
    path = basic.arc_line(radius, sweep if left else -sweep)
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert (arc.radius, arc.sweep_deg) == (radius, sweep if left else -sweep)
    assert path.start == pytest.approx((0.0, 0.0), abs=1e-9)
    chord = 2.0 * radius * math.sin(math.radians(sweep) / 2.0)
    assert path.end == pytest.approx((chord, 0.0), abs=1e-9)
    middle = arc.point_at(0.5)[1]
    assert (middle < 0.0) is left


def test_arc_line_of_six_inches_on_the_six_inch_circle() -> None:
    assert basic.arc_line(76.2, math.degrees(2.0)).length == pytest.approx(152.4)


@given(st.floats(10.0, 300.0), st.floats(0.02, 0.25), st.integers(1, 8))
def test_wave_has_equal_bends_no_corners_and_the_given_height(
    wavelength: float, part: float, halves: int
) -> None:
    amplitude = part * wavelength
    path = basic.wave(amplitude, wavelength, halves / 2.0)
    chord = wavelength / 2.0
    radius = chord * chord / (8.0 * amplitude) + amplitude / 2.0
    assert [radius_of(s) for s in path.segments] == pytest.approx([radius] * halves)
    assert joint_turns(path) == pytest.approx([0.0] * (halves - 1), abs=1e-6)
    assert path.end == pytest.approx((halves * chord, 0.0), abs=1e-6)
    assert path.bbox.y1 == pytest.approx(amplitude)
    if halves > 1:
        assert path.bbox.y0 == pytest.approx(-amplitude)


def test_wave_of_half_circles_is_the_steepest() -> None:
    path = basic.wave(20.0, 80.0, 1.0)
    assert [radius_of(s) for s in path.segments] == pytest.approx([20.0, 20.0])
    assert path.length == pytest.approx(40.0 * math.pi)


def test_zigzag_corners_are_exact() -> None:
    path = basic.zigzag(120.0, 4, 90.0)
    assert corners(path) == [(0.0, 0.0), (30.0, 30.0), (60.0, 0.0), (90.0, 30.0)]
    assert path.end == (120.0, 0.0)
    assert joint_turns(path) == pytest.approx([90.0] * 3)


def test_spiral_is_smooth_and_never_tighter_than_its_inner_radius() -> None:
    path = basic.spiral(15.0, 20.0, 2.0)
    assert [radius_of(s) for s in path.segments] == [45.0, 35.0, 25.0, 15.0]
    assert joint_turns(path) == pytest.approx([0.0] * 3, abs=1e-9)
    assert all(isinstance(s, Arc) and s.sweep_deg == 180.0 for s in path.segments)
    # On the left the line crosses the middle at its start, after one turn and after two.
    crossings = [path.segments[0].start[0], path.segments[2].start[0], path.segments[3].end[0]]
    assert [b - a for a, b in itertools.pairwise(crossings)] == pytest.approx([20.0, 20.0])
    assert path.bbox.center == pytest.approx((0.0, 0.0), abs=1e-9)


# --- closed shapes --------------------------------------------------------------------------------


def test_square_and_rectangle_corners() -> None:
    assert corners(basic.square(76.2)) == [
        (-38.1, -38.1),
        (38.1, -38.1),
        (38.1, 38.1),
        (-38.1, 38.1),
    ]
    assert corners(basic.rectangle(100.0, 60.0)) == [(-50, -30), (50, -30), (50, 30), (-50, 30)]


def test_circle_has_its_radius_and_starts_at_the_bottom() -> None:
    path = basic.circle(152.4)
    assert path.segments == (Arc((0.0, 0.0), 76.2, -90.0, 360.0),)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8])
def test_regular_polygons_stand_on_a_level_side(count: int) -> None:
    first = basic.regular_polygon(40.0, count).segments[0]
    assert first.start[1] == pytest.approx(first.end[1])


def test_triangle_is_the_polygon_of_three_sides() -> None:
    assert basic.triangle(76.2) == basic.regular_polygon(76.2, 3)


def test_heart_has_one_tip_one_notch_and_smooth_lobes() -> None:
    path = basic.heart(100.0)
    assert interior_angles(path) == pytest.approx([90.0, 180.0, 270.0, 180.0])
    assert (path.bbox.width, path.bbox.height) == pytest.approx((100.0, 91.4214), abs=1e-3)
    assert [radius_of(s) for s in path.segments] == pytest.approx(
        [math.inf, 29.2893, 29.2893, math.inf], abs=1e-3
    )


def test_house_has_walls_half_as_high_as_its_roof() -> None:
    assert corners(basic.house(120.0, 100.0)) == [(-60, -50), (60, -50), (60, 0), (0, 50), (-60, 0)]


def test_diamond_stands_on_its_tip() -> None:
    assert corners(basic.diamond(80.0, 120.0)) == [(0, -60), (40, 0), (0, 60), (-40, 0)]


def test_flower_petals_are_half_circles_inside_the_given_circle() -> None:
    path = basic.flower(100.0, 6)
    radius = 50.0 / (1.0 + math.sqrt(3.0))
    assert [radius_of(s) for s in path.segments] == pytest.approx([radius] * 7)
    assert path.start == pytest.approx((0.0, -50.0))
    # Six notches of 120 degrees of turn; the seventh joint lies in the middle of a petal.
    assert joint_turns(path) == pytest.approx([120.0] * 6)
    assert interior_angles(path)[0] == pytest.approx(180.0)
    assert max(math.hypot(*p) for p in path.flatten()) == pytest.approx(50.0)


def test_rounded_rectangle_has_straight_sides_and_quarter_bends() -> None:
    path = basic.rounded_rectangle(100.0, 60.0, 15.0)
    assert corners(path)[:3] == [(-35.0, -30.0), (35.0, -30.0), (50.0, -15.0)]
    assert path.length == pytest.approx(2 * 70 + 2 * 30 + 30 * math.pi)
    assert joint_turns(path) == pytest.approx([0.0] * 7, abs=1e-9)
    assert (path.bbox.width, path.bbox.height) == pytest.approx((100.0, 60.0))


def test_fully_rounded_square_is_a_circle_of_four_quarters() -> None:
    path = basic.rounded_rectangle(60.0, 60.0, 30.0)
    assert len(path.segments) == 4
    assert path.length == pytest.approx(60.0 * math.pi)


# --- the command line's table and bad input -------------------------------------------------------


def test_practice_applies_changes_to_the_defaults() -> None:
    assert practice("square", side_mm=50.0) == basic.square(50.0)
    assert practice("star", points=6) == basic.star(152.4, 6, 54.0)


@pytest.mark.parametrize(
    ("name", "changes", "message"),
    [
        ("sqare", {}, "no practice shape is called 'sqare'; did you mean square?"),
        ("star", {"size": 3.0}, "star: no value 'size'; use diameter_mm, points, tip_deg"),
        (
            "square",
            {"side_mm": -3.0},
            "square: side_mm is -3; give a length above 0 and up to 2000 mm",
        ),
        (
            "line",
            {"length_mm": math.nan},
            "straight_line: length_mm is nan; give a length above 0 and up to 2000 mm",
        ),
        (
            "circle",
            {"diameter_mm": MAX_MM + 1},
            "circle: diameter_mm is 2001; give a length above 0 and up to 2000 mm",
        ),
        ("star", {"tip_deg": 110.0}, "star: tip_deg is 110; give a value from 10 to 103"),
        ("star", {"points": 5.5}, "star: points is 5.5; give a whole number from 4 to 20"),
        ("star", {"points": math.nan}, "star: points is nan; give a whole number from 4 to 20"),
        ("arc", {"sweep_deg": 0.0}, "arc_line: size of sweep_deg is 0; give a value from 1 to 350"),
        ("wave", {"amplitude_mm": 40.0}, "wave: amplitude_mm is 40; give a value from 0.1 to 36"),
        (
            "spiral",
            {"turns": 1.3},
            "spiral: twice the number of turns is 2.6; give a whole number from 1 to 100",
        ),
        (
            "rounded-rectangle",
            {"corner_mm": 60.0},
            "rounded_rectangle: corner_mm is 60; give a value from 0.1 to 31",
        ),
        ("corner", {"angle_deg": 180.0}, "one_turn: angle_deg is 180; give a value from 10 to 175"),
    ],
)
def test_nonsense_is_one_line_with_shape_value_and_range(
    name: str, changes: dict[str, float], message: str
) -> None:
    with pytest.raises(InputError) as caught:
        practice(name, **changes)
    assert str(caught.value) == message


def test_unknown_name_without_a_near_one_lists_the_names() -> None:
    with pytest.raises(InputError, match=r"^no practice shape is called 'xyz'; use one of line, "):
        practice("xyz")
