"""Lengths of cubic curves, those with cusps and those that turn back on themselves too.

Held against 400,000 chords, which need no derivative, and against closed forms. Where a curve
stands still for a moment its speed has a kink, at which a quadrature with fixed steps errs.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shapes.affine import Affine, Point
from shapes.path import Cubic

Controls = tuple[Point, Point, Point, Point]

CHORDS = 400_000
EXACT = 1e-6


def by_chords(controls: Controls) -> float:
    """Length of the polyline through 400,001 points, moved to the origin to keep its digits."""
    p = [complex(*point) - complex(*controls[0]) for point in controls]
    t = np.linspace(0.0, 1.0, CHORDS + 1)
    s = 1.0 - t
    at = 3 * s * s * t * p[1] + 3 * s * t * t * p[2] + t**3 * p[3]
    return float(np.abs(np.diff(at)).sum())


def from_standstills(scale: complex, first: complex, second: complex) -> Controls:
    """The cubic from the origin with derivative ``scale (t - first) (t - second)``."""
    speeds = [
        scale * first * second,
        scale * (first * second - (first + second) / 2.0),
        scale * (1.0 - first) * (1.0 - second),
    ]
    a, b, c, d = np.cumsum([0.0, *speeds]) / 3.0
    return (a.real, a.imag), (b.real, b.imag), (c.real, c.imag), (d.real, d.imag)


# --- closed forms ---------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [0.0, 33.0])
@pytest.mark.parametrize("size", [1e-3, 1.0, 5e3])
def test_the_semicubical_parabola(size: float, turned: float) -> None:
    """x = u^2, y = u^3 for u from -1 to 1, with a cusp in the middle. The integral of
    u sqrt(4 + 9 u^2) from 0 to 1, twice: 2 (13 sqrt 13 - 8) / 27."""
    m = Affine.rotation(turned).then(Affine.scaling(size))
    points = ((1.0, -1.0), (-1 / 3, 1.0), (-1 / 3, -1.0), (1.0, 1.0))
    curve = Cubic(*(m.apply(point) for point in points))

    assert curve.length() == pytest.approx(size * 2 * (13**1.5 - 8) / 27, rel=EXACT)


def test_the_loop_of_tschirnhausen() -> None:
    """x = 3 u - u^3, y = 3 u^2 has the speed 3 (1 + u^2): from -2 to 2 that makes 28."""
    speeds = [3 * (1 - u * u) + 6j * u for u in (-2.0, 2.0)]
    ends = [3 * u - u**3 + 3j * u * u for u in (-2.0, 2.0)]
    a, b, c, d = ends[0], ends[0] + 4 * speeds[0] / 3, ends[1] - 4 * speeds[1] / 3, ends[1]

    assert Cubic(*((p.real, p.imag) for p in (a, b, c, d))).length() == pytest.approx(28.0)


@given(st.lists(st.floats(-100, 100), min_size=4, max_size=4), st.floats(0, 360))
def test_on_a_straight_line_it_is_the_way_there_and_back(at: list[float], turned: float) -> None:
    """Between its turning points such a curve runs one way: add up those ways."""
    assume(max(at) - min(at) > 1e-3)
    heading = Affine.rotation(turned)
    curve = Cubic(*(heading.apply((x, 0.0)) for x in at))
    steps = np.diff(at)
    roots = np.roots([steps[0] - 2 * steps[1] + steps[2], 2 * (steps[1] - steps[0]), steps[0]])
    t = np.array([0.0, *sorted(r.real for r in roots if 0.0 < r.real < 1.0), 1.0])
    s = 1.0 - t
    stops = s**3 * at[0] + 3 * s * s * t * at[1] + 3 * s * t * t * at[2] + t**3 * at[3]

    assert curve.length() == pytest.approx(np.abs(np.diff(stops)).sum(), rel=EXACT)


def test_a_curve_without_extent_has_no_length() -> None:
    assert Cubic((3.0, 4.0), (3.0, 4.0), (3.0, 4.0), (3.0, 4.0)).length() == 0.0


# --- any curve, by its chords ---------------------------------------------------------------------

NUMBER = st.integers(-1500, 1500).map(lambda n: n / 10.0)
POINT = st.tuples(NUMBER, NUMBER)
SMALL = st.tuples(st.integers(-2, 2), st.integers(-2, 2)).map(lambda p: (float(p[0]), float(p[1])))
ANYWHERE = st.complex_numbers(max_magnitude=3.0, allow_nan=False)


@pytest.mark.parametrize(
    "points",
    [
        ((0, 0), (0, 0), (-49.6, 33.4), (-43.2, 28.9)),  # all but straight, and back
        ((0, 0), (10, 0), (0, 0), (10, 0)),
        ((0, 0), (60, 60), (0, 60), (60, 0)),  # a cusp
        ((0, 0), (60.1, 60), (-0.1, 60), (60, 0)),  # a narrow loop in its place
        ((0, 0), (59.9, 60), (0.1, 60), (60, 0)),  # a sharp bend in its place
        ((0, 0), (100, 1e-7), (-100, -1e-7), (1, 0)),
        ((0, 0), (0, 0), (0, 0), (70, 20)),
        ((5, 5), (90, -80), (90, -80), (5, 5)),  # out and home
    ],
)
def test_curves_that_turn_back(points: Controls) -> None:
    assert Cubic(*points).length() == pytest.approx(by_chords(points), rel=EXACT)


@given(POINT, POINT, POINT, POINT)
@settings(max_examples=60, deadline=None)
def test_any_curve(a: Point, b: Point, c: Point, d: Point) -> None:
    assert Cubic(a, b, c, d).length() == pytest.approx(by_chords((a, b, c, d)), rel=EXACT)


@given(SMALL, SMALL, SMALL, SMALL)
@settings(max_examples=60, deadline=None)
def test_points_that_fall_together_or_lie_in_line(a: Point, b: Point, c: Point, d: Point) -> None:
    assert Cubic(a, b, c, d).length() == pytest.approx(by_chords((a, b, c, d)), rel=EXACT)


@given(
    ANYWHERE,
    st.floats(0.0, 1.0),
    st.sampled_from([0.0, 1e-9, 1e-6, 1e-3, 0.01, 0.03, 0.06, 0.1, 0.15]),
    ANYWHERE,
)
@settings(max_examples=60, deadline=None)
def test_cusps_and_what_is_almost_one(
    scale: complex, still: float, aside: float, other: complex
) -> None:
    """The curve stands still at ``still``, or would a little beside the real line."""
    assume(abs(scale) > 1e-3)
    points = from_standstills(scale, complex(still, aside), other)

    assert Cubic(*points).length() == pytest.approx(by_chords(points), rel=EXACT)


@given(POINT, POINT, POINT, POINT)
def test_a_curve_is_as_long_backwards_and_in_two_halves(
    a: Point, b: Point, c: Point, d: Point
) -> None:
    curve = Cubic(a, b, c, d)
    p = [complex(*point) for point in (a, b, c, d)]
    first = [(x + y) / 2 for x, y in itertools.pairwise(p)]
    second = [(x + y) / 2 for x, y in itertools.pairwise(first)]
    middle = (second[0] + second[1]) / 2
    halves = (p[0], first[0], second[0], middle), (middle, second[1], first[2], p[3])
    lengths = [Cubic(*((z.real, z.imag) for z in half)).length() for half in halves]

    assert curve.reversed().length() == pytest.approx(curve.length(), rel=EXACT)
    assert math.fsum(lengths) == pytest.approx(curve.length(), rel=EXACT)
