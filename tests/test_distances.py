"""Distances between marks, each against shapely as a second reader of the same geometry."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.affine import Affine
from shapes.path import BBox, Path
from sheets.check import distances
from sheets.check.distances import Ink, closest, ink_box, is_near, line_gap
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Artwork, Fill, Mark, Place, Role, Stroke, Text

CLOSE = 0.03
"""Curves of a round end are chords here and there, mm."""

coordinate = st.integers(-400, 400).map(lambda n: n / 10.0)
point = st.tuples(coordinate, coordinate)
chain = st.lists(point, min_size=2, max_size=5, unique=True)
size = st.integers(1, 60).map(lambda n: n / 10.0)
place = st.builds(
    lambda scale, turn, x, y: (
        Affine.scaling(scale).then(Affine.rotation(turn)).then(Affine.translation(x, y))
    ),
    st.sampled_from([0.4, 1.0, 2.5]),
    st.sampled_from([0.0, 30.0, 90.0, 215.0]),
    coordinate,
    coordinate,
)


def line_of(points: list[tuple[float, float]], closed: bool) -> BaseGeometry:
    return LinearRing(points) if closed else LineString(points)


def path_of(points: list[tuple[float, float]], closed: bool) -> Path:
    return Path.from_points(points, closed=closed)


def solid(points: list[tuple[float, float]]) -> bool:
    """Whether the points go round one area that a pen could fill."""
    return len(points) > 2 and Polygon(points).is_valid and Polygon(points).area > 1.0


@given(chain, chain, st.booleans(), st.booleans())
def test_lines_are_as_far_apart_as_shapely_says(
    a: list[tuple[float, float]], b: list[tuple[float, float]], round_a: bool, round_b: bool
) -> None:
    round_a, round_b = round_a and len(a) > 2, round_b and len(b) > 2
    expected = line_of(a, round_a).distance(line_of(b, round_b))
    first, second = path_of(a, round_a), path_of(b, round_b)
    assert line_gap(first, second) == pytest.approx(expected, abs=1e-6)
    kept, distances.MOST_PAIRS = distances.MOST_PAIRS, 0
    try:
        assert line_gap(first, second) == pytest.approx(expected, abs=1e-6)
    finally:
        distances.MOST_PAIRS = kept


@given(point, chain, st.booleans(), size)
def test_near_is_within_the_reach(
    at: tuple[float, float], points: list[tuple[float, float]], closed: bool, reach: float
) -> None:
    closed = closed and len(points) > 2
    expected = Point(at).distance(line_of(points, closed))
    assume(abs(expected - reach) > 1e-6)
    assert is_near(at, path_of(points, closed), reach) == (expected < reach)


@given(chain, point)
def test_a_ring_goes_round_what_lies_in_it(
    points: list[tuple[float, float]], at: tuple[float, float]
) -> None:
    assume(solid(points) and Point(at).distance(LinearRing(points)) > 1e-6)
    inside = Polygon(points).contains(Point(at))
    for ring in (points, points[::-1]):
        assert distances._goes_round([*ring, ring[0]], at) == inside


@given(chain, st.booleans(), size, chain, st.booleans(), place)
def test_a_line_is_as_far_from_ink_as_shapely_says(
    drawn: list[tuple[float, float]],
    filled: bool,
    width: float,
    points: list[tuple[float, float]],
    closed: bool,
    at: Affine,
) -> None:
    """As a mark of the page, and in a picture that is placed, turned and scaled; from an open line
    and from an outline."""
    assume(not filled or solid(drawn))
    line = path_of(points, closed and len(points) > 2)
    mark: Stroke | Fill = (
        Fill((path_of(drawn, True),), Role.ART)
        if filled
        else Stroke((path_of(drawn, False),), width, Role.ART)
    )
    ink = Polygon(drawn) if filled else LineString(drawn).buffer(width / 2.0, quad_segs=64)
    expect(mark, ink, line)

    white = Fill((Path.circle((0.0, 0.0), 60.0),), Role.ART, colour=WHITE)
    art = Artwork("a", (white, mark), mark_bbox(mark))
    m = at
    moved = [(m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f) for x, y in drawn]
    placed = (
        Polygon(moved) if filled else LineString(moved).buffer(width * m.scale / 2.0, quad_segs=64)
    )
    expect(Place(art, at), placed, line)


def expect(mark: Stroke | Fill | Place, ink: BaseGeometry, path: Path) -> None:
    """A line that runs through the ink may have any measure of 0 or less."""
    box = ink_box(mark)
    assert box is not None
    found, measured = Ink(mark, box).distance(path), Ink(mark, box).measured(path)
    expected = ink.distance(line_of([segment.start for segment in path.segments] + (
        [] if path.closed else [path.end]), path.closed))  # fmt: skip
    assert max(0.0, measured) == pytest.approx(expected, abs=CLOSE)
    assert max(0.0, found) == pytest.approx(expected, abs=CLOSE)


def test_a_hole_of_an_area_is_no_ink() -> None:
    outer, inner = Path.circle((0.0, 0.0), 30.0), Path.circle((0.0, 0.0), 20.0)
    line = path_of([(-2.0, 0.0), (2.0, 0.0)], False)
    box = BBox(-30.0, -30.0, 30.0, 30.0)
    for mark in (
        Fill((outer, inner), Role.ART, even_odd=True),
        Fill((outer, inner.reversed()), Role.ART),
    ):
        assert Ink(mark, box).distance(line) == pytest.approx(18.0, abs=CLOSE)
    assert Ink(Fill((outer, inner), Role.ART), box).distance(line) == 0.0


@pytest.mark.parametrize("level", [True, False])
def test_a_line_past_the_whole_box_is_measured_by_the_box(level: bool) -> None:
    """The box of a disc touches its ink where a long level or upright line passes. It is exact; the
    disc's chords, which start 1 degree off, are not."""
    art = Fill((Path.circle((0.0, 0.0), 10.0, 1.0),), Role.ART)
    box = BBox(-10.0, -10.0, 10.0, 10.0)
    turned = Place(Artwork("d", (art,), box), Affine.rotation(90.0))
    for left, right, away in ((-10.0, 10.0, 15.0), (-40.0, 10.0, 15.0), (-10.0, 40.0, -15.0),
                              (-40.0, 40.0, -15.0)):  # fmt: skip
        for mark in (art, turned):
            ends = [(left, away), (right, away)]
            line = ends if level else [(y, x) for x, y in ends]
            assert Ink(mark, box).distance(path_of(line, False)) == pytest.approx(5.0, abs=1e-9)
            assert Ink(mark, box).measured(path_of(line, False)) > 5.001


@pytest.mark.parametrize("level", [True, False])
@pytest.mark.parametrize(("left", "right", "away"), [
    (5.0, 40.0, 12.0), (-40.0, -5.0, 12.0), (5.0, 40.0, -12.0), (-40.0, -5.0, -12.0),
])  # fmt: skip
def test_a_line_past_half_of_the_box_is_measured_by_the_ink(
    level: bool, left: float, right: float, away: float
) -> None:
    """From (5, 12), which is 13 from the middle of a disc of 10."""
    mark, box = Fill((Path.circle((0.0, 0.0), 10.0),), Role.ART), BBox(-10.0, -10.0, 10.0, 10.0)
    ends = [(left, away), (right, away)]
    line = ends if level else [(y, x) for x, y in ends]
    assert Ink(mark, box).distance(path_of(line, False)) == pytest.approx(3.0, abs=CLOSE)


def test_a_line_through_the_box_or_past_a_slanted_picture_is_measured_by_the_ink() -> None:
    """The box of a square that stands on its corner touches it; that of the box of a line that does
    not is 2 mm nearer than the line's own ends."""
    beam = Stroke((path_of([(0.0, 0.0), (10.0, 10.0)], False),), 2.0, Role.ART)
    through = path_of([(-5.0, 8.0), (4.0, 8.0)], False)
    box = BBox(-1.0, -1.0, 11.0, 11.0)
    assert Ink(beam, box).distance(through) == pytest.approx(4.0 / math.sqrt(2.0) - 1.0)
    # Of a placed picture only the box is known, which turns with it.
    art = Artwork("d", (Fill((Path.circle((0.0, 0.0), 10.0),), Role.ART),), BBox(-10, -10, 10, 10))
    slanted = Place(art, Affine.rotation(45.0))
    wide = ink_box(slanted)
    assert wide is not None
    assert wide.y1 == pytest.approx(10.0 * math.sqrt(2.0))
    past = path_of([(-40.0, 20.0), (40.0, 20.0)], False)
    assert Ink(slanted, wide).distance(past) == pytest.approx(10.0, abs=CLOSE)
    bent = path_of([(-40.0, 20.0), (0.0, 20.0), (40.0, 20.0)], False)
    assert Ink(slanted, wide).distance(bent) == pytest.approx(10.0, abs=CLOSE)


@given(st.lists(st.tuples(size, size), max_size=8), size)
def test_the_closest_and_all_below_the_floor(
    pairs: list[tuple[float, float]], floor: float
) -> None:
    """Bounds and what lies above them; the exact measure is not always asked for."""
    asked = [(low, lambda low=low, more=more: low + more, i)
             for i, (low, more) in enumerate(pairs)]  # fmt: skip
    values = sorted((low + more, i) for i, (low, more) in enumerate(pairs))
    found = closest(asked, floor)
    assert [value for value, _ in found] == [
        value for k, (value, _) in enumerate(values) if k == 0 or value < floor
    ]


def test_the_box_of_a_text_has_room_for_what_hangs_below() -> None:
    size_pt = 20.0
    deep = 0.24 * size_pt * 25.4 / 72.0
    flat = ink_box(Text(50.0, 50.0, "no", size_pt, Role.ADULT))
    hanging = ink_box(Text(50.0, 50.0, "pong", size_pt, Role.ADULT))
    turned = ink_box(Text(50.0, 50.0, "pong", size_pt, Role.ADULT, turn_deg=90.0))
    assert flat is not None
    assert hanging is not None
    assert turned is not None
    assert hanging.y0 == pytest.approx(min(flat.y0, 50.0 - deep), abs=0.01)
    assert turned.x1 == pytest.approx(50.0 + deep, abs=0.01)
    assert ink_box(Text(50.0, 50.0, "  ", size_pt, Role.ADULT)) is None


def test_a_text_of_another_font_has_room_on_all_sides() -> None:
    size_pt = 72.0
    box = ink_box(Text(10.0, 20.0, "\ue000\ue001\ue002", size_pt, Role.ADULT))
    assert box is not None
    assert (box.x0, box.x1) == pytest.approx((10.0 - 45.72, 10.0 + 45.72))
    assert (box.y0, box.y1) == pytest.approx((20.0 - 25.4, 20.0 + 25.4))


def test_marks_without_ink_have_no_box_and_no_distance() -> None:
    empty: Mark = Stroke((), 1.0, Role.ART)
    assert ink_box(empty) is None
    nothing = Artwork("n", (Fill((), Role.ART),), BBox(0.0, 0.0, 1.0, 1.0))
    found = Ink(Place(nothing, Affine()), BBox(0.0, 0.0, 1.0, 1.0))
    assert found.measured(path_of([(5.0, 5.0), (6.0, 7.0)], False)) == math.inf
