"""Path complexity, turning and steering: closed forms, bad drawing, bad input.

Check values of the score are closed forms of its own formula (to 0.1 %); they say that the
formula is computed right, not that it is the right one.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shapes import basic
from shapes.affine import Affine, Point
from shapes.basic import SHAPES, practice
from shapes.errors import InputError
from shapes.measure.difficulty import score, steering, turning_deg
from shapes.path import Arc, Cubic, Line, Path
from tests.path_measures import smoothed_turning_deg

INCH = 25.4


def redrawn(path: Path, sag_mm: float) -> Path:
    """The path as a polyline with that sag."""
    return Path.from_points(path.flatten(sag_mm), closed=path.closed)


def divided(path: Path, edge_mm: float) -> list[Point]:
    """Points along the path at most ``edge_mm`` apart, corners kept."""
    points = path.flatten(0.05)
    ring = [*points, points[0]] if path.closed else points
    found: list[Point] = []
    for (ax, ay), (bx, by) in itertools.pairwise(ring):
        count = max(1, math.ceil(math.dist((ax, ay), (bx, by)) / edge_mm))
        found.extend((ax + (bx - ax) * i / count, ay + (by - ay) * i / count) for i in range(count))
    return found if path.closed else [*found, ring[-1]]


def jittered(points: list[Point], closed: bool, size_mm: float, seed: int) -> Path:
    dice = random.Random(seed)
    moved = [
        (x + dice.uniform(-size_mm, size_mm), y + dice.uniform(-size_mm, size_mm))
        for x, y in points
    ]
    return Path.from_points(moved, closed=closed)


def gear(teeth: int = 12, root_mm: float = 35.0, tip_mm: float = 45.0) -> Path:
    """Arcs on two circles joined by straight radial sides: corners between curves and lines."""
    step = 360.0 / teeth
    segments: list[Line | Arc] = []
    for tooth in range(teeth):
        low = Arc((0.0, 0.0), root_mm, tooth * step, step / 2.0)
        high = Arc((0.0, 0.0), tip_mm, tooth * step + step / 2.0, step / 2.0)
        after = Arc((0.0, 0.0), root_mm, (tooth + 1) * step, step / 2.0)
        segments += [low, Line(low.end, high.start), high, Line(high.end, after.start)]
    return Path(tuple(segments), closed=True)


def relative(value: float, reference: float) -> float:
    return abs(value / reference - 1.0)


# --- the score: closed forms ----------------------------------------------------------------------


@pytest.mark.parametrize("length", [25.4, 100.0, 152.4])
def test_straight_line_scores_its_length_over_100_mm(length: float) -> None:
    assert score(basic.straight_line(length)) == pytest.approx(length / 100.0)


@pytest.mark.parametrize(
    ("radius", "expected"),
    [(20.0, 12.5493), (37.5, 10.0282), (50.0, 8.4478), (75.0, 7.4512), (100.0, 7.8999)],
)
def test_circle(radius: float, expected: float) -> None:
    assert score(basic.circle(2.0 * radius)) == pytest.approx(expected, rel=1e-3)


@given(st.floats(15.0, 150.0))
@settings(max_examples=30, deadline=None)
def test_circle_of_any_radius_follows_the_closed_form(radius: float) -> None:
    x = 30.0 / radius
    expected = 2.0 * math.pi * radius * (1.0 + 10.0 * x**3 / (1.0 + x**2.5)) / 100.0
    assert score(basic.circle(2.0 * radius)) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("turn", "added"),
    [
        (30.0, 0.745),
        (45.0, 1.239),
        (60.0, 1.645),
        (72.0, 1.925),
        (90.0, 2.2945),
        (108.0, 2.620),
        (120.0, 2.8198),
        (135.0, 3.053),
        (144.0, 3.186),
    ],
)
def test_corner_adds_its_closed_form(turn: float, added: float) -> None:
    path = basic.one_turn(50.0, 50.0, 180.0 - turn)
    assert score(path) - 1.0 == pytest.approx(added, rel=1e-3)


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (basic.square(75.0), 12.1779),
        (basic.rectangle(100.0, 60.0), 12.3779),
        (basic.triangle(75.0), 10.7095),
        (basic.triangle(100.0), 11.4595),
        (basic.regular_polygon(60.0, 5), 12.6253),
        (basic.regular_polygon(50.0, 6), 12.8688),
    ],
)
def test_polygons(path: Path, expected: float) -> None:
    assert score(path) == pytest.approx(expected, rel=1e-3)


def test_score_is_inverse_to_the_line_width() -> None:
    path = basic.square(75.0)
    assert score(path, 6.0) == pytest.approx(score(path) / 2.0)
    assert score(path, 12.7) == pytest.approx(score(path) * 3.0 / 12.7)


def test_corners_and_lengths_add_up() -> None:
    one = score(basic.one_turn(60.0, 60.0, 90.0))
    three = score(Path.from_points([(0, 0), (60, 0), (60, 60), (120, 60), (120, 120)]))
    assert three == pytest.approx(3.0 * one - 2.0 * 0.6, rel=1e-4)


def test_small_circles_are_harder_down_to_a_radius_near_18_mm() -> None:
    radii = [100.0, 75.0, 57.15, 50.0, 37.5, 25.0, 18.0, 12.0, 8.0]
    scores = [score(basic.circle(2.0 * r)) for r in radii]
    # Known and left to the radius limit of a stage: below the peak the score falls again.
    assert scores[1:7] == sorted(scores[1:7])
    assert max(scores) == scores[6]
    assert scores[7] < scores[6]


# --- the score: how the path was drawn does not matter --------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("sag", "allowed"), [(0.05, 0.004), (0.1, 0.006), (0.5, 0.02)])
def test_flattening_changes_the_score_by_at_most(name: str, sag: float, allowed: float) -> None:
    path = practice(name)
    assert relative(score(redrawn(path, sag)), score(path)) <= allowed


@pytest.mark.parametrize(
    "path",
    [
        basic.wave(8.0, 40.0, 4.0),
        basic.wave(5.0, 50.0, 3.0),
        basic.arc_line(30.0, 120.0),
        basic.spiral(10.0, 15.0, 3.0),
        basic.heart(100.0),
        basic.flower(120.0, 5),
    ],
)
@pytest.mark.parametrize(("sag", "allowed"), [(0.05, 0.004), (0.1, 0.006), (0.5, 0.02)])
def test_flattening_of_tighter_curves(path: Path, sag: float, allowed: float) -> None:
    assert relative(score(redrawn(path, sag)), score(path)) <= allowed


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("edge", [0.5, 1.0, 3.0])
def test_jitter_of_a_twentieth_of_a_mm_changes_the_score_little(name: str, edge: float) -> None:
    path = practice(name)
    for seed in range(3):
        noisy = jittered(divided(path, edge), path.closed, 0.05, seed)
        assert relative(score(noisy), score(path)) <= 0.016


@pytest.mark.parametrize("name", SHAPES)
def test_rotation_mirror_and_reversal_change_nothing(name: str) -> None:
    path = practice(name)
    expected = score(path)
    turned = path.transformed(Affine.rotation(33.0)).moved(17.0, -250.0)
    assert score(turned) == pytest.approx(expected, rel=1e-6)
    assert score(path.transformed(Affine.scaling(-1.0, 1.0))) == pytest.approx(expected, rel=1e-6)
    assert score(path.reversed()) == pytest.approx(expected, rel=1e-6)


def folds_back(a: Point, b: Point, c: Point) -> bool:
    """True if the line turns by exactly 180 degrees at ``b``, which is neither left nor right."""
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return ux * vy == uy * vx and ux * vx + uy * vy < 0.0


@given(
    st.lists(
        st.tuples(st.integers(-40, 40), st.integers(-40, 40)).map(
            lambda p: (p[0] + 0.0, p[1] + 0.0)
        ),
        min_size=3,
        max_size=12,
        unique=True,
    )
)
@settings(max_examples=60, deadline=None)
def test_any_polyline_scores_at_least_its_length_and_the_same_backwards(
    points: list[Point],
) -> None:
    assume(
        not any(folds_back(*three) for three in zip(points, points[1:], points[2:], strict=False))
    )
    path = Path.from_points(points)
    assert score(path) >= path.length / 100.0 - 1e-9
    assert score(path.reversed()) == pytest.approx(score(path), rel=1e-9)


@pytest.mark.parametrize("name", [name for name in SHAPES if practice(name).closed])
def test_start_point_changes_the_score_by_less_than_a_ten_thousandth(name: str) -> None:
    points = practice(name).flatten(0.05)
    expected = score(Path.from_points(points, closed=True))
    for start in (1, len(points) // 3, len(points) // 2):
        moved = Path.from_points([*points[start:], *points[:start]], closed=True)
        assert relative(score(moved), expected) <= 1e-4


def test_start_in_the_middle_of_a_side_changes_nothing_either() -> None:
    corners = basic.square(75.0).flatten()
    moved = Path.from_points([(-12.3, -37.5), *corners[1:], corners[0]], closed=True)
    assert relative(score(moved), score(basic.square(75.0))) <= 1e-4


# --- three faults that an ordering test does not see ----------------------------------------------


@given(st.floats(0.0, 360.0), st.floats(1e-5, 0.01))
@settings(max_examples=40, deadline=None)
def test_stray_vertex_beside_each_corner_does_not_count(angle: float, distance: float) -> None:
    # Without the shortest edge a vertex 0.001 mm off each corner made a square 20 % harder.
    dx = distance * math.cos(math.radians(angle))
    dy = distance * math.sin(math.radians(angle))
    corners = basic.square(75.0).flatten()
    doubled = [p for x, y in corners for p in ((x, y), (x + dx, y + dy))]
    assert relative(score(Path.from_points(doubled, closed=True)), 12.1779) <= 1e-3


def test_wobbly_short_open_line_stays_a_straight_line() -> None:
    # Without the averaged lead-in the end edges of a wobbly 1 in cut made it 16 times as hard.
    line = basic.straight_line(INCH)
    for seed in range(20):
        for edge in (0.3, 0.5, 1.0):
            noisy = jittered(divided(line, edge), False, 0.05, seed)
            assert score(noisy) == pytest.approx(0.254, rel=0.016)


@pytest.mark.parametrize(
    "path", [gear(), basic.rounded_rectangle(150.0, 100.0, 30.0), basic.heart(100.0)]
)
@pytest.mark.parametrize("sag", [0.02, 0.05, 0.1])
def test_turn_does_not_leak_into_a_straight_side_next_to_an_arc(path: Path, sag: float) -> None:
    # Spreading a turn over both edges instead of the shorter one was 41 % off on a gear.
    finely = score(redrawn(path, 0.001))
    assert relative(score(redrawn(path, sag)), finely) <= 0.004


def test_outlines_smaller_than_the_shortest_edge_score_their_length() -> None:
    assert score(basic.circle(0.02)) == pytest.approx(0.02 * math.pi / 100.0)
    assert score(basic.straight_line(0.1)) == pytest.approx(0.001)


def test_fold_back_within_the_shortest_edge_counts_as_a_point() -> None:
    path = Path.from_points([(0.0, 0.0), (0.125, 0.0), (0.0, 0.0), (50.0, 0.0)])
    assert score(path) == pytest.approx(0.5025)


# --- turning: that of plain shapes is in tests/outside/test_plane_geometry.py ---------------------


def test_turning_of_a_cubic_bend() -> None:
    quarter = Path((Cubic((0.0, 0.0), (30.0, 0.0), (50.0, 20.0), (50.0, 50.0)),))
    assert turning_deg(quarter) == pytest.approx(90.0)
    # A cubic S turns left, then right; heading at the inflection by its tangent.
    bend = Cubic((0.0, 0.0), (40.0, 0.0), (20.0, 40.0), (60.0, 40.0))
    steepest = math.degrees(math.atan2(bend.tangent_at(0.5)[1], bend.tangent_at(0.5)[0]))
    assert turning_deg(Path((bend,))) == pytest.approx(2.0 * steepest, rel=1e-3)


def test_smoothed_turning_hardly_sees_wobble_that_plain_turning_counts() -> None:
    noisy = jittered(divided(basic.square(76.2), 1.0), True, 0.05, 5)
    assert turning_deg(noisy) > 3.0 * 360.0
    assert smoothed_turning_deg(noisy) == pytest.approx(360.0, rel=0.15)


@given(st.floats(0.2, 5.0))
@settings(max_examples=20, deadline=None)
def test_turning_does_not_depend_on_size(factor: float) -> None:
    path = basic.heart(60.0).transformed(Affine.scaling(factor))
    assert turning_deg(path) == pytest.approx(540.0)


# --- bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize("bad", [0.0, -3.0, math.nan, math.inf])
def test_widths_and_lengths_must_be_above_zero(bad: float) -> None:
    line = basic.straight_line(100.0)
    shown = f"{bad:g} mm; give a length above 0"
    calls: tuple[tuple[Callable[[], float], str], ...] = (
        (lambda: score(line, bad), "line width"),
        (lambda: steering(line, bad), "corridor"),
    )
    for call, what in calls:
        with pytest.raises(InputError) as caught:
            call()
        assert str(caught.value) == f"{what} is {shown}"
