"""The steering law: its closed forms, and the limits of the guidance that are built on it.

J. Accot and S. Zhai, "Beyond Fitts' Law: models for trajectory-based HCI tasks", CHI 1997, doi
10.1145/258549.258760: the index of difficulty of following a path in a tunnel is the integral of
``ds / W(s)`` along it. Everything below follows from that integral by calculus, or is a figure of
the source named beside it. The law was measured on adults with a mouse or a stylus.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes import basic
from shapes.measure.difficulty import score, steering, steering_taper, steering_varying
from shapes.path import Path
from sheets.check.guidance import limit_for

INCH = 25.4


@pytest.mark.parametrize(
    ("path", "corridor", "expected"),
    [
        # A tunnel of constant width: length / width.
        (basic.straight_line(6 * INCH), INCH, 6.0),  # 6 in within 1/2 in
        (basic.straight_line(6 * INCH), INCH / 2, 12.0),  # 6 in within 1/4 in
        (basic.square(3 * INCH), INCH, 12.0),
        (basic.square(3 * INCH), INCH / 2, 24.0),
        # A ring: 2 pi R / W, so half the circle in half the corridor is as hard.
        (basic.circle(6 * INCH), INCH, 18.849556),
        (basic.circle(3 * INCH), INCH / 2, 18.849556),
        (basic.arc_line(76.2, math.degrees(2.0)), INCH, 6.0),
        # R. Pastel, CHI 2006, as given by Yamanaka et al. (below): 100 long, 12.5 wide, one right
        # angle; this is the length part.
        (basic.one_turn(50.0, 50.0, 90.0), 12.5, 8.0),
    ],
)
def test_index_is_length_over_width(path: Path, corridor: float, expected: float) -> None:
    assert steering(path, corridor) == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(
    ("length", "corridor", "index", "milliseconds"),
    [(480.0, 15.0, 32.0, 1467.788), (640.0, 45.0, 14.2222, 620.4)],
)
def test_index_on_a_published_fit(
    length: float, corridor: float, index: float, milliseconds: float
) -> None:
    """S. Yamanaka, W. Stuerzlinger and H. Miyashita, CHI 2017, slides, experiment 1 (adults, mouse,
    pixels): MT = 47.666 ID - 57.524 ms. Only the index is ours; no time is ever printed."""
    found = steering(basic.straight_line(length), corridor)

    assert found == pytest.approx(index, rel=1e-5)
    assert 47.666 * found - 57.524 == pytest.approx(milliseconds, abs=0.05)


def test_a_right_angle_costs_more_than_its_length() -> None:
    """Pastel, CHI 2006, as given by Yamanaka et al. 2017: a corner adds a term of its own. The
    index has none, the path complexity has."""
    bent, straight = basic.one_turn(50.0, 50.0, 90.0), basic.straight_line(100.0)

    assert steering(bent, 10.0) == pytest.approx(steering(straight, 10.0))
    assert score(bent) > score(straight)


@pytest.mark.parametrize(
    ("length", "start", "end", "expected"),
    [
        (152.4, 25.4, 6.35, 11.0903549),
        (152.4, 6.35, 25.4, 11.0903549),
        (100.0, 20.0, 10.0, 10.0 * math.log(2.0)),
    ],
)
def test_taper_closed_form_and_integral_agree(
    length: float, start: float, end: float, expected: float
) -> None:
    """The narrowing tunnel of the paper: L / (W2 - W1) * ln(W2 / W1)."""
    assert steering_taper(length, start, end) == pytest.approx(expected, rel=1e-8)
    numeric = steering_varying(length, lambda s: start + (end - start) * s / length)
    assert numeric == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("length", "width_at", "expected"),
    [
        # W = a e^(-k s): the integral of 1/W is (e^(k L) - 1) / (a k).
        (100.0, lambda s: 20.0 * math.exp(-0.01 * s), (math.e - 1.0) / 0.2),
        # W = a (1 + (s / b)^2): b / a * arctan(L / b).
        (100.0, lambda s: 10.0 * (1.0 + (s / 50.0) ** 2), 5.0 * math.atan(2.0)),
        # W = a / (1 + s / b): (L + L^2 / (2 b)) / a.
        (80.0, lambda s: 16.0 / (1.0 + s / 40.0), 10.0),
    ],
)
def test_other_tunnels_have_their_closed_integral(
    length: float, width_at: Callable[[float], float], expected: float
) -> None:
    assert steering_varying(length, width_at) == pytest.approx(expected, rel=1e-9)


@settings(max_examples=15)
@given(st.floats(10.0, 300.0), st.floats(2.0, 30.0), st.floats(2.0, 30.0), st.floats(0.1, 3.0))
def test_integral_agrees_with_numpy(length: float, mean: float, wave: float, turns: float) -> None:
    """Gauss-Legendre quadrature of numpy, of a tunnel that widens and narrows in waves."""

    def width_at(s: float) -> float:
        return mean + wave * (1.0 + math.sin(turns * math.tau * s / length)) / 2.0

    nodes, weights = np.polynomial.legendre.leggauss(200)
    at = (nodes + 1.0) * length / 2.0
    theirs = sum(w / width_at(float(s)) for s, w in zip(at, weights, strict=True)) * length / 2.0

    assert steering_varying(length, width_at) == pytest.approx(theirs, rel=1e-8)


def test_indices_of_consecutive_corridors_add_up() -> None:
    """Yamanaka et al., CHI 2017: A1 / W1 + A2 / W2."""
    parts = [steering(basic.straight_line(a), w) for a, w in ((100.0, 10.0), (50.0, 5.0))]
    assert sum(parts) == pytest.approx(20.0)

    first = steering_varying(100.0, lambda _s: 10.0)
    assert first + steering_varying(50.0, lambda _s: 5.0) == pytest.approx(20.0)


@given(st.floats(1.0, 500.0), st.floats(2.0, 50.0), st.floats(2.0, 50.0), st.floats(0.05, 0.95))
def test_a_taper_cut_in_two_adds_up_to_the_whole(
    length: float, start: float, end: float, part: float
) -> None:
    """An integral over a path is the sum of those over its parts."""
    between = start + (end - start) * part
    halves = steering_taper(length * part, start, between) + steering_taper(
        length * (1.0 - part), between, end
    )

    assert halves == pytest.approx(steering_taper(length, start, end), rel=1e-7)


@pytest.mark.parametrize(
    ("stage", "closed", "path", "tolerance"),
    [
        # The shape and the distance allowed on either side, as published; see the guidance.
        (1, False, basic.strip_cut(INCH), INCH / 2),  # a strip of 1 in (North Carolina 2015)
        (2, False, basic.straight_line(6 * INCH), INCH / 2),  # SLB Midland; ABC Pediatric Therapy
        (3, False, basic.straight_line(6 * INCH), INCH / 2),  # SLB Midland; ABC Pediatric Therapy
        (4, False, basic.straight_line(6 * INCH), INCH / 4),  # JewelAutism Centre, by 4 years
    ],
)
def test_the_limits_are_those_of_the_published_shapes(
    stage: int, closed: bool, path: Path, tolerance: float
) -> None:
    limit = limit_for("cutting", stage, "steering_index", closed=closed)
    allowed = limit_for("cutting", stage, "tolerance", closed=closed)

    assert limit is not None
    assert allowed is not None
    assert allowed.maximum == pytest.approx(tolerance)
    assert limit.maximum == pytest.approx(steering(path, 2.0 * tolerance), abs=0.005)
    assert "steering-law" in [source.id for source in limit.sources]
    assert limit.kind == "our setting"


@pytest.mark.parametrize(
    ("stage", "smallest"),
    [
        # "A circle of at least 6 inches", "a square at least 3 inches wide": JewelAutism Centre.
        (4, basic.circle(6 * INCH)),
        (5, basic.square(3 * INCH)),
    ],
)
def test_an_outline_may_be_larger_than_the_smallest_that_is_published(
    stage: int, smallest: Path
) -> None:
    length = limit_for("cutting", stage, "cut_length")
    index = limit_for("cutting", stage, "steering_index")
    tolerance = limit_for("cutting", stage, "tolerance")

    assert length is not None
    assert index is not None
    assert tolerance is not None
    assert tolerance.maximum is not None
    assert length.kind == index.kind == "our setting"
    assert length.allows(1.2 * smallest.length)
    # The longest cut is what the index allows, rounded up.
    assert length.maximum is not None
    assert index.allows(steering(basic.straight_line(length.maximum), 2.0 * tolerance.maximum))
