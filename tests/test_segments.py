"""Distances from a straight part; lengths of curves are in ``tests/outside``."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Point
from shapes.segments import point_to_segment

NUMBER = st.integers(-300, 300).map(float)
POINT = st.tuples(NUMBER, NUMBER)


@given(POINT, POINT, POINT)
def test_distance_to_a_straight_part_is_shapelys(p: Point, a: Point, b: Point) -> None:
    theirs = shapely.Point(p).distance(shapely.LineString([a, b]))

    assert point_to_segment(p, a, b) == pytest.approx(theirs, abs=1e-9)
    assert point_to_segment(p, b, a) == pytest.approx(theirs, abs=1e-9)


def test_beside_it_and_beyond_its_ends() -> None:
    a, b = (0.0, 0.0), (40.0, 0.0)

    assert point_to_segment((10.0, -3.0), a, b) == 3.0
    assert point_to_segment((43.0, 4.0), a, b) == 5.0
    assert point_to_segment((3.0, 4.0), a, a) == 5.0
