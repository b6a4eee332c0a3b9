"""Distances between boxes, lines and inked areas by closed forms, on both sides of every bound."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import pytest
from shapely import LineString, Point

from shapes.affine import Affine
from shapes.measure import measure
from shapes.path import BBox, Path
from sheets.check import distances
from sheets.check.distances import (
    Ink,
    box_gap,
    box_moved,
    closest,
    ink_box,
    is_near,
    line_gap,
    points_of,
    segment_gap,
)
from sheets.page.marks import mark_bbox
from sheets.page.model import Artwork, Fill, Place, Role, Stroke, Text

CLOSE = 0.03
"""Curves of a round end are chords, mm."""


def path_of(points: list[tuple[float, float]], closed: bool) -> Path:
    return Path.from_points(points, closed=closed)


def noted(asked: list[str], label: str, value: float) -> float:
    """The value, and a note that it was asked for."""
    asked.append(label)
    return value


# --- boxes ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "y", "gap"), [
    (13.0, 24.0, 5.0), (-5.0, -6.0, 5.0), (13.0, -6.0, 5.0), (-5.0, 24.0, 5.0), (3.0, 26.0, 6.0),
    (3.0, -9.0, 7.0), (18.0, 5.0, 8.0), (-11.0, 5.0, 9.0), (4.0, 4.0, 0.0), (10.0, 20.0, 0.0),
])  # fmt: skip
def test_the_gap_of_two_boxes(x: float, y: float, gap: float) -> None:
    """A box of 10 by 20 and one of 2 in some place round it: 3 and 4 across a corner are 5."""
    large, small = BBox(0.0, 0.0, 10.0, 20.0), box_moved(BBox(0.0, 0.0, 2.0, 2.0), x, y)
    assert small == BBox(x, y, x + 2.0, y + 2.0)
    assert box_gap(large, small) == box_gap(small, large) == gap


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, 145.0, 180.0, 270.0, 300.0])
def test_what_hangs_below_turns_with_its_text(turn_deg: float) -> None:
    """0.24 of the type size at a right angle to the line, the way that was down."""
    size_pt = 40.0
    deep, a = 0.24 * size_pt * 25.4 / 72.0, math.radians(turn_deg)
    found = ink_box(Text(50.0, 50.0, "gap", size_pt, Role.ADULT, turn_deg=turn_deg))
    bare = mark_bbox(Text(50.0, 50.0, "gap", size_pt, Role.ADULT, turn_deg=turn_deg))
    dx, dy = deep * math.sin(a), -deep * math.cos(a)
    assert found is not None
    assert (found.x0, found.x1) == pytest.approx((bare.x0 + min(0.0, dx), bare.x1 + max(0.0, dx)))
    assert (found.y0, found.y1) == pytest.approx((bare.y0 + min(0.0, dy), bare.y1 + max(0.0, dy)))


# --- closest --------------------------------------------------------------------------------------


def test_what_cannot_be_the_closest_is_not_measured() -> None:
    """Bounds at and above both the floor and the best decide; what lies below either does not."""
    asked: list[str] = []

    def pair(low: float, value: float, label: str) -> tuple[float, Callable[[], float], str]:
        return low, lambda: noted(asked, label, value), label

    pairs = [pair(6.0, 9.0, "d"), pair(2.0, 5.0, "b"), pair(5.0, 6.0, "c"), pair(1.0, 7.0, "a")]
    assert closest(pairs, 3.0) == [(5.0, "b")]
    assert asked == ["a", "b"]
    asked.clear()
    assert closest(pairs, 6.0) == [(5.0, "b")]
    assert asked == ["a", "b", "c"]
    assert closest(pairs, 6.5) == [(5.0, "b"), (6.0, "c")]
    assert closest([], 6.0) == []


def test_a_bound_holds_where_the_exact_measure_is_a_little_less() -> None:
    assert closest([(2.0, lambda: 1.99, "a")], 0.0) == [(2.0, "a")]


# --- areas ----------------------------------------------------------------------------------------


def square(x: float, side: float) -> Path:
    """About (x, 0), anticlockwise."""
    h = side / 2.0
    return path_of([(x - h, -h), (x + h, -h), (x + h, h), (x - h, h)], True)


AT = path_of([(0.0, -0.5), (0.0, 0.5)], False)
"""A short line about the middle."""


@pytest.mark.parametrize(("rings", "even_odd", "gap"), [
    ((square(0, 10),), False, 0.0),
    ((square(0, 10), square(0, 6)), True, 2.5),
    ((square(0, 10), square(0, 6)), False, 0.0),
    ((square(0, 10), square(0, 6).reversed()), False, 2.5),
    ((square(0, 6).reversed(), square(0, 10)), False, 2.5),
    ((square(0, 6), square(0, 10).reversed()), False, 2.5),
    ((square(0, 20), square(0, 10), square(0, 4)), True, 0.0),
    ((square(0, 20), square(0, 10).reversed(), square(8, 2)), False, 4.5),
    ((square(20, 10), square(-30, 10)), False, 15.0),
    ((square(-30, 10), square(20, 10)), False, 15.0),
    ((square(20, 10), square(-30, 10)), True, 15.0),
    ((square(0, 20), square(0, 10).reversed(), square(0, 4)), False, 0.0),
    ((square(30, 10), square(-20, 8).reversed()), False, 16.0),
])  # fmt: skip
@pytest.mark.parametrize("placed", [False, True])
def test_areas_and_their_holes(
    rings: tuple[Path, ...], even_odd: bool, gap: float, placed: bool
) -> None:
    """Rings in rings, one way round or the other (SVG 2, 13.4.2, fill rules)."""
    area = Fill(rings, Role.ART, even_odd=even_odd)
    mark: Fill | Place = area
    line, scale = AT, 1.0
    if placed:
        box, at = BBox(-50.0, -50.0, 50.0, 50.0), Affine.scaling(2.0).then(Affine.translation(7, 9))
        mark, line, scale = Place(Artwork("a", (area,), box), at), AT.transformed(at), 2.0
    found = Ink(mark, BBox(-90.0, -90.0, 110.0, 110.0))
    assert found.measured(line) == pytest.approx(gap * scale)
    assert found.distance(line) == pytest.approx(gap * scale)


def test_two_points_enclose_nothing() -> None:
    open_one, box = path_of([(0, -9), (0, 9)], False), BBox(-50.0, -50.0, 50.0, 50.0)
    assert Ink(Fill((open_one,), Role.ART), box).measured(AT) == math.inf
    assert Ink(Fill((open_one, square(20, 10)), Role.ART), box).measured(AT) == 15.0


def test_the_nearest_of_all_parts_counts_each_with_its_own_width() -> None:
    """Lines of 2 and 6 mm and an area, all of one picture, at (0, y) above a level line."""

    def picture(thin: float, thick: float, area: float) -> Place:
        marks = (
            Stroke((path_of([(-5, thin), (5, thin + 1)], False),), 2.0, Role.ART),
            Stroke((path_of([(-5, thick), (5, thick + 1)], False),), 6.0, Role.ART),
            Fill((path_of([(-5, area), (5, area + 1), (0, area + 8)], True),), Role.ART),
        )  # fmt: skip
        return Place(Artwork("p", marks, BBox(-8.0, -8.0, 8.0, 40.0)), Affine.scaling(0.5))

    level = path_of([(-2.5, 0.0), (9.0, 0.0)], False)
    for heights, gap in (((10, 20, 20), 9.0), ((20, 10, 20), 7.0), ((20, 20, 10), 10.0)):
        for found in (Ink.distance, Ink.measured):
            mark = picture(*heights)
            assert found(Ink(mark, mark_bbox(mark)), level) == pytest.approx(gap / 2.0, abs=CLOSE)


def test_ink_is_measured_the_same_with_and_without_the_library(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Ends that are cut off straight and corners with spikes (SVG 2, 13.5) are areas of their own:
    the spike of a right angle reaches half the width times root 2."""
    corner = path_of([(0.0, 30.0), (0.0, 0.0), (30.0, 0.0)], False)
    mark = Stroke((corner,), 4.0, Role.ART, cap="butt", join="miter")
    beside = path_of([(-9.0, 5.0 - 9.0), (-4.0, 1.0 - 9.0)], False)
    below = path_of([(35.0, -9.0), (35.0, 9.0)], False)
    box = mark_bbox(mark)
    spike = Point(-2.0, -2.0).distance(LineString([(-9.0, -4.0), (-4.0, -8.0)]))
    for most in (distances.MOST_PAIRS, 0):
        monkeypatch.setattr(distances, "MOST_PAIRS", most)
        assert Ink(mark, box).distance(beside) == pytest.approx(spike)
        assert Ink(mark, BBox(0.0, 0.0, 40.0, 40.0)).distance(below) == pytest.approx(5.0)


@pytest.mark.parametrize(("x", "y", "away"), [
    (20.0, 5.0, 3.0), (20.0, -5.0, 3.0), (-4.0, 0.5, 4.0), (46.0, -0.5, 6.0), (43.0, 6.0, 5.0),
])  # fmt: skip
def test_every_side_of_a_beam_with_straight_ends_is_an_edge(
    x: float, y: float, away: float
) -> None:
    """From (0, 0) to (40, 0), 4 mm wide; a line comes as near as a point beside its middle."""
    mark = Stroke((path_of([(0.0, 0.0), (40.0, 0.0)], False),), 4.0, Role.ART, cap="butt")
    line = path_of([(x, y), (x + (x - 20.0), y * 3.0)], False)
    ink = Ink(mark, mark_bbox(mark))
    assert ink.distance(line) == pytest.approx(away)
    assert ink.measured(line) == pytest.approx(away)


@pytest.mark.parametrize(("a", "b", "c", "d"), [
    (1.0, 0.0, 0.0, -1.0), (-2.0, 0.0, 0.0, 2.0), (0.0, 1.0, 1.0, 0.0), (0.0, -3.0, 3.0, 0.0),
    (1.0, 0.0, 0.5, 1.0), (1.0, 0.5, 0.0, 1.0), (0.0, 1.0, 1.0, 0.5), (0.0, -1.0, 1.0, -0.5),
    (0.5, 1.0, 1.0, 0.0), (-0.5, 1.0, 1.0, 0.0), (0.6, 0.8, -0.8, 0.6), (-0.6, 0.8, -0.8, -0.6),
])  # fmt: skip
def test_a_disc_is_as_far_as_its_image_is(a: float, b: float, c: float, d: float) -> None:
    """A map makes an ellipse of a disc of radius 10, as high as 10 root (b b + d d): the box that
    its box becomes is as high only without a slant."""
    disc = Fill((Path.circle((0.0, 0.0), 10.0, 1.0),), Role.ART)
    mark = Place(Artwork("d", (disc,), BBox(-10, -10, 10, 10)), Affine(a, b, c, d, 50.0, 60.0))
    slanted = bool((a or d) and (b or c))  # else the box is exact, which chords are not
    above = path_of([(-90.0, 120.0), (190.0, 120.0)], False)
    beside = path_of([(120.0, -90.0), (120.0, 190.0)], False)
    for line, distance in ((above, 60.0 - 10.0 * math.hypot(b, d)),
                           (beside, 70.0 - 10.0 * math.hypot(a, c))):  # fmt: skip
        found = Ink(mark, mark_bbox(mark)).distance(line)
        assert found == pytest.approx(distance, abs=2.0 * CLOSE if slanted else 1e-9)


@pytest.mark.parametrize(("most", "plain"), [(10, True), (9, False)])
def test_the_library_measures_what_has_very_many_parts(
    most: int, plain: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two straight parts and a line of five points, or an outline of five sides: ten pairs."""
    asked: list[str] = []
    monkeypatch.setattr(distances, "MOST_PAIRS", most)
    monkeypatch.setattr(Ink, "measured", lambda self, path: noted(asked, "ink", 7.0))
    monkeypatch.setattr(measure, "gap", lambda a, b: noted(asked, "lines", 8.0))
    bent = path_of([(-20.0, 9.0), (-19.0, 0.0), (-20.0, -9.0)], False)
    points = [(-5.0, 5.0), (-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (0.0, 6.0)]
    ink = Ink(Stroke((path_of(points, False),), 2.0, Role.ART), BBox(-6.0, -6.0, 6.0, 7.0))
    found = ink.distance(bent), line_gap(bent, path_of(points, True))
    assert found == ((13.0, 14.0) if plain else (7.0, 8.0))
    assert asked == ([] if plain else ["ink", "lines"])


def test_points_that_lie_elsewhere() -> None:
    """Doubled where there is one; an outline ends where it starts."""
    at = Affine.scaling(2.0).then(Affine.translation(1.0, 0.0))
    assert points_of(path_of([(0, 0), (3, 4)], False), at) == [(1, 0), (7, 8)]
    ring = path_of([(0, 0), (3, 4), (0, 4)], True)
    assert points_of(ring, at) == [(1, 0), (7, 8), (1, 8), (1, 0)]
    # Chords of what is drawn, not of what is stored.
    for stored, drawn in ((1.0, 50.0), (50.0, 1.0)):
        circle = points_of(Path.circle((0.0, 0.0), stored), Affine.scaling(drawn / stored))
        flat = min(math.hypot((ax + bx) / 2.0, (ay + by) / 2.0)
                   for (ax, ay), (bx, by) in itertools.pairwise(circle))  # fmt: skip
        assert 0.01 < drawn - flat <= distances.SAG_MM


@pytest.mark.parametrize(("other", "gap"), [
    (((5.0, -5.0), (5.0, 5.0)), 0.0), (((5.0, 2.0), (5.0, 9.0)), 2.0),
    (((5.0, -9.0), (5.0, -3.0)), 3.0), (((13.0, 4.0), (20.0, 4.0)), 5.0),
    (((-3.0, -4.0), (-3.0, -9.0)), 5.0), (((-9.0, 6.0), (19.0, 6.0)), 6.0),
    (((10.0, 0.0), (10.0, 9.0)), 0.0), (((12.0, -5.0), (12.0, 5.0)), 2.0),
    (((5.0, 0.0), (5.0, 9.0)), 0.0), (((5.0, 0.05), (5.0, 0.1)), 0.05),
])  # fmt: skip
def test_the_gap_of_two_straight_parts(
    other: tuple[tuple[float, float], tuple[float, float]], gap: float
) -> None:
    """From (0, 0) to (10, 0)."""
    for one in (((0.0, 0.0), (10.0, 0.0)), ((10.0, 0.0), (0.0, 0.0))):
        for two in (other, other[::-1]):
            assert segment_gap(one, two) == segment_gap(two, one) == gap


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("sign_x", [1.0, -1.0])
@pytest.mark.parametrize("sign_y", [1.0, -1.0])
def test_lines_close_to_the_corner_of_the_page(swapped: bool, sign_x: float, sign_y: float) -> None:
    """A short line ends at (0.05, 0.03), the nearer part of a bent one at (2, 0.5), as drawn on
    every side of (0, 0)."""

    def laid(points: list[tuple[float, float]]) -> Path:
        turned = [(x * sign_x, y * sign_y) for x, y in points]
        return path_of([(y, x) for x, y in turned] if swapped else turned, False)

    short = laid([(0.02, 0.01), (0.05, 0.03)])
    bent = laid([(9.0, 7.0), (6.0, 4.0), (2.0, 0.5)])
    gap = math.hypot(1.95, 0.47)
    for long in (bent, bent.reversed()):
        assert line_gap(short, long) == pytest.approx(gap)
        assert line_gap(long, short) == pytest.approx(gap)
        for line, other in ((short, long), (long, short)):
            mark = Stroke((line,), 0.5, Role.ART)
            assert Ink(mark, mark_bbox(mark)).distance(other) == pytest.approx(gap - 0.25)


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_lines_far_from_the_corner_of_the_page(swapped: bool, side: float) -> None:
    """A level line of 40 mm, and one that passes 50 mm over it and comes down 40 mm beside it."""

    def laid(points: list[tuple[float, float]]) -> Path:
        turned = [(120.0 + side * x, 900.0 + y) for x, y in points]
        return path_of([(y, x) for x, y in turned] if swapped else turned, False)

    level = laid([(-20.0, 0.0), (20.0, 0.0)])
    hook = laid([(50.0, 50.0), (-60.0, 51.0), (-60.0, -10.0)])
    for one in (level, level.reversed()):
        for other in (hook, hook.reversed()):
            assert line_gap(one, other) == line_gap(other, one) == pytest.approx(40.0)
            mark = Stroke((other,), 2.0, Role.ART)
            assert Ink(mark, mark_bbox(mark)).distance(one) == pytest.approx(39.0)


@pytest.mark.parametrize(("point", "near"), [
    ((5.0, 2.0), True), ((5.0, 2.01), False), ((5.0, -2.0), True), ((-2.0, 0.0), True),
    ((-2.01, 0.0), False), ((12.0, 0.0), True), ((11.5, 1.5), False), ((0.0, 5.0), True),
    ((0.0, 12.0), True), ((5.0, 8.0), True), ((5.0, 7.9), False), ((4.9, 5.1), False),
])  # fmt: skip
def test_near_at_exactly_the_reach(point: tuple[float, float], near: bool) -> None:
    """2 mm off an open hook: along the lower side of a square, up its left one and across."""
    hook = path_of([(10.0, 0.0), (0.0, 0.0), (0.0, 10.0), (5.0, 10.0)], False)
    assert is_near(point, hook, 2.0) is near
    ring = path_of([(10.0, 0.0), (0.0, 0.0), (0.0, 10.0), (10.0, 10.0)], True)
    assert is_near((12.0, 5.0), ring, 2.0)
    assert not is_near((12.0, 5.0), hook, 2.0)
