"""Likeness of outlines: closed forms, symmetry, and independence of size and place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale, translate
from shapely.geometry import MultiPolygon, Point, Polygon, box

from shapes.errors import InputError
from shapes.measure.likeness import (
    Area,
    _hausdorff,
    _normal,
    _turning_deg,
    alike,
    edge_distance,
    shadow,
    shared_area,
    stroke_width,
)

CIRCLE = Point(3, 4).buffer(7, quad_segs=64)
SQUARE = box(0, 0, 50, 50)
TIPPED = rotate(SQUARE, 45)
RADIUS = 1 / math.sqrt(math.pi)  # of the circle of area 1


def overlap(a: Area, b: Area) -> float:
    return shared_area(_normal(a), _normal(b))


def hausdorff(a: Area, b: Area) -> float:
    return _hausdorff(shadow(a), shadow(b))


def turning_distance(a: Area, b: Area) -> float:
    return _turning_deg(shadow(a), shadow(b))


@st.composite
def stars(draw: st.DrawFn) -> Polygon:
    """A simple polygon seen whole from its middle: 5 to 14 corners, radius 5 to 30 mm."""
    radii = draw(st.lists(st.floats(5, 30), min_size=5, max_size=14))
    step = 2 * math.pi / len(radii)
    return Polygon([(r * math.cos(i * step), r * math.sin(i * step)) for i, r in enumerate(radii)])


def test_equal_shapes_of_other_size_and_place_are_wholly_alike() -> None:
    larger = translate(scale(CIRCLE, 3, 3), 100, -40)

    assert overlap(CIRCLE, larger) == pytest.approx(1.0)
    assert hausdorff(CIRCLE, larger) == pytest.approx(0.0, abs=1e-9)
    assert turning_distance(CIRCLE, larger) == pytest.approx(0.0, abs=1e-6)
    assert alike(CIRCLE, larger) == pytest.approx(1.0)


def test_overlap_of_circle_and_square_is_the_closed_form() -> None:
    """Of equal area 1: the square loses nothing but what four circle segments stick out."""
    cap = RADIUS**2 * math.acos(0.5 / RADIUS) - 0.5 * math.sqrt(RADIUS**2 - 0.25)
    shared = 1 - 4 * cap

    assert overlap(CIRCLE, SQUARE) == pytest.approx(shared / (2 - shared), abs=1e-5)
    assert overlap(CIRCLE, SQUARE) == pytest.approx(0.83394, abs=1e-5)


def test_overlap_of_a_square_and_the_square_on_its_tip_is_the_octagon() -> None:
    """The shared regular octagon has area 2 (sqrt 2 - 1), so the ratio is 1 / sqrt 2."""
    assert overlap(SQUARE, TIPPED) == pytest.approx(1 / math.sqrt(2))


def test_hausdorff_of_circle_and_square_is_the_corner_gap() -> None:
    """Corner at half a diagonal, 0.7071; the samples may miss it by half a spacing, 4 / 512."""
    assert hausdorff(CIRCLE, SQUARE) == pytest.approx(math.sqrt(0.5) - RADIUS, abs=4 / 512)


def test_turning_distance_closed_forms() -> None:
    """Circle to square: direction differs evenly by -45 to 45, so 22.5 on the mean."""
    assert turning_distance(CIRCLE, SQUARE) == pytest.approx(22.5, abs=0.01)
    assert turning_distance(SQUARE, TIPPED) == pytest.approx(45.0, abs=0.01)
    assert turning_distance(SQUARE, rotate(SQUARE, 90)) == pytest.approx(0.0, abs=1e-6)
    assert turning_distance(SQUARE, rotate(SQUARE, 10)) == pytest.approx(10.0, abs=0.01)


def test_turning_distance_does_not_depend_on_the_start_corner() -> None:
    corners = [(0, 0), (40, 0), (40, 10), (15, 10), (15, 30), (0, 30)]
    shifted = Polygon(corners[2:] + corners[:2])

    # 360 degrees of corners, each at most half a sample (1/512) out of place.
    assert turning_distance(Polygon(corners), shifted) <= 2 * 540 / 512
    assert turning_distance(Polygon(corners), Polygon(corners[::-1])) <= 2 * 540 / 512


def test_alike_is_the_stated_sum() -> None:
    expected = (
        0.5 * overlap(SQUARE, TIPPED)
        + 0.25 * (1 - hausdorff(SQUARE, TIPPED))
        + 0.25 * (1 - turning_distance(SQUARE, TIPPED) / 90)
    )

    assert alike(SQUARE, TIPPED) == pytest.approx(expected)
    assert alike(SQUARE, TIPPED) == pytest.approx(0.678, abs=0.002)


def test_alike_has_no_negative_parts() -> None:
    """A needle across a needle: the tips are several sizes apart, which counts as nothing alike."""
    needle = box(0, 0, 100, 1)
    across = rotate(needle, 90)

    assert hausdorff(needle, across) > 4.0
    assert alike(needle, across) == pytest.approx(
        0.5 * overlap(needle, across) + 0.25 * (1 - turning_distance(needle, across) / 90)
    )


def test_holes_and_parts_count() -> None:
    ring = CIRCLE.difference(Point(3, 4).buffer(4))
    two = MultiPolygon([box(0, 0, 10, 10), box(20, 0, 25, 5)])

    assert overlap(ring, CIRCLE) < 0.8
    assert turning_distance(two, SQUARE) == pytest.approx(0.0, abs=1e-6)


def test_fine_outlines_are_thinned_without_changing_the_answer() -> None:
    fine = Point(0, 0).buffer(10, quad_segs=500)

    assert overlap(fine, SQUARE) == pytest.approx(overlap(CIRCLE, SQUARE), abs=0.005)


@pytest.mark.parametrize("bad", [Polygon(), Polygon([(0, 0), (1, 1), (2, 2)])])
def test_an_outline_without_area_is_refused(bad: Polygon) -> None:
    message = "an outline without any area cannot be compared; give a closed one"

    for a, b in ((SQUARE, bad), (bad, SQUARE)):
        with pytest.raises(InputError) as caught:
            alike(a, b)
        assert str(caught.value) == message


def test_measures_where_the_shapes_lie() -> None:
    assert shared_area(box(0, 0, 2, 1), box(1, 0, 3, 1)) == pytest.approx(1 / 3)
    assert shared_area(box(0, 0, 1, 1), box(5, 0, 6, 1)) == 0.0
    # Two concentric circles of 10 and 14 mm radius are 4 mm apart all round.
    assert edge_distance(
        Point(0, 0).buffer(10, quad_segs=64), Point(0, 0).buffer(14, quad_segs=64)
    ) == pytest.approx(4.0, abs=0.01)
    # A stroke 100 by 5: twice 500 over 210.
    assert stroke_width(box(0, 0, 100, 5)) == pytest.approx(1000 / 210)


def test_edge_distance_counts_holes() -> None:
    """A ring against its filled disc: only the hole's edge, 1/3 of the ring's outline, is off."""
    disc = Point(0, 0).buffer(10, quad_segs=64)
    ring = disc.difference(Point(0, 0).buffer(5, quad_segs=64))

    assert edge_distance(ring, disc) == pytest.approx((5 / 3 + 0) / 2, abs=0.03)


@settings(max_examples=60, deadline=None)
@given(stars(), stars())
def test_every_measure_is_symmetric_and_within_its_range(a: Polygon, b: Polygon) -> None:
    assert overlap(a, b) == pytest.approx(overlap(b, a))
    assert hausdorff(a, b) == pytest.approx(hausdorff(b, a))
    assert turning_distance(a, b) == pytest.approx(turning_distance(b, a), abs=1e-6)
    assert 0.0 <= alike(a, b) <= 1.0 + 1e-9


@settings(max_examples=60, deadline=None)
@given(stars(), stars(), st.floats(0.1, 20), st.floats(-500, 500))
def test_size_and_place_do_not_matter(a: Polygon, b: Polygon, size: float, dx: float) -> None:
    other = translate(scale(b, size, size), dx, -dx)

    assert alike(a, other) == pytest.approx(alike(a, b), abs=1e-4)


@settings(max_examples=40, deadline=None)
@given(stars(), stars(), st.floats(-180, 180))
def test_turning_both_leaves_the_turning_distance(a: Polygon, b: Polygon, angle: float) -> None:
    turned = turning_distance(rotate(a, angle, origin=(0, 0)), rotate(b, angle, origin=(0, 0)))

    assert turned == pytest.approx(turning_distance(a, b), abs=0.01)


@settings(max_examples=40, deadline=None)
@given(stars())
def test_nothing_is_more_like_a_shape_than_itself(a: Polygon) -> None:
    assert alike(a, a) == pytest.approx(1.0)
