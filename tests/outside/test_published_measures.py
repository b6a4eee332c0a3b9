"""Published measures of following a path on the pairs of published cutting progressions.

The figures are as found; the path complexity has 21 of the 22 agreed pairs and 11 of the 13 others.
Of the measures that give a number without a constant of ours, total turning comes next with 20 and
7. The terms of Chen and Fels order as many agreed pairs whatever their coefficients, but without
those they give no number.

``python -m tests.outside.test_published_measures`` prints the table.
"""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes import basic
from tests.outside.published_measures import (
    MEASURES,
    Verdict,
    corner_term,
    power_law,
    total_curvature,
    verdict,
)
from tests.outside.test_progressions import LISTED, build

VERDICTS: tuple[Verdict, ...] = ("agree", "opposite", "tie", "open")


def counts(measure: str, kind: str) -> tuple[int, ...]:
    """How many pairs get each verdict."""
    found = Counter(
        verdict(MEASURES[measure], build(pair["easier"]), build(pair["harder"]))
        for pair in LISTED[kind]
    )
    return tuple(found[name] for name in VERDICTS)


def pairs_with(measure: str, wanted: Verdict) -> list[tuple[str, str]]:
    return [
        (pair["easier"], pair["harder"])
        for kind in ("pairs", "single")
        for pair in LISTED[kind]
        if verdict(MEASURES[measure], build(pair["easier"]), build(pair["harder"])) == wanted
    ]


# agree, opposite, tie, open: of the 22 agreed pairs, and of the 13 with one source
FOUND = {
    "Chen and Fels, positive coefficients": ((21, 1, 0, 0), (10, 2, 0, 1)),
    "Pastel, positive coefficients": ((18, 1, 1, 2), (11, 2, 0, 0)),
    "power law of 1/3, no floor": ((8, 1, 13, 0), (3, 2, 8, 0)),
    "power law of 1/3, floor 0.0001/mm": ((18, 2, 2, 0), (10, 3, 0, 0)),
    "power law of 1/3, floor 0.001/mm": ((18, 2, 2, 0), (10, 3, 0, 0)),
    "power law of 1/3, floor 0.01/mm": ((19, 1, 2, 0), (10, 3, 0, 0)),
    "power law of 1/3, floor 0.1/mm": ((19, 1, 2, 0), (10, 3, 0, 0)),
    "power law of 1/3, floor 1/mm": ((19, 1, 2, 0), (11, 2, 0, 0)),
    "corner term of Pastel alone": ((14, 3, 5, 0), (10, 1, 2, 0)),
    "length times total curvature": ((20, 1, 1, 0), (9, 3, 1, 0)),
    "total turning": ((20, 1, 1, 0), (7, 2, 4, 0)),
    "length / width": ((18, 1, 3, 0), (11, 2, 0, 0)),
}


@pytest.mark.parametrize("measure", MEASURES)
def test_agreement_is_as_reported(measure: str) -> None:
    assert (counts(measure, "pairs"), counts(measure, "single")) == FOUND[measure]


def test_what_length_and_total_curvature_together_leave_open_or_invert() -> None:
    measure = "Chen and Fels, positive coefficients"

    assert pairs_with(measure, "open") == [("flower_6in", "star_6in")]
    assert pairs_with(measure, "opposite") == [
        ("square_3in", "zigzag_right"),
        ("circle_6in", "circle_4_5in"),
        ("triangle_3in", "zigzag_right"),
    ]


# --- the measures themselves ----------------------------------------------------------------------


@given(st.floats(2.0, 200.0), st.floats(0.0, 1.0))
def test_the_power_law_of_a_circle_is_its_closed_form(radius: float, floor: float) -> None:
    expected = math.tau * radius * (1.0 / radius + floor) ** (1.0 / 3.0)

    assert power_law(basic.circle(2.0 * radius), floor) == pytest.approx(expected)


def test_the_power_law_takes_no_time_for_a_straight_line_and_grows_with_a_floor() -> None:
    line = basic.straight_line(100.0)

    assert power_law(line) == 0.0
    assert power_law(line, 0.001) == pytest.approx(10.0)


def test_corner_terms() -> None:
    """One corner in the middle of 150 mm: log2(150 / 6 + 1). A curve has none."""
    one = math.log2(150.0 / 6.0 + 1.0)

    assert corner_term(basic.one_turn(75.0, 75.0)) == pytest.approx(one)
    assert corner_term(basic.square(75.0)) == pytest.approx(4.0 * one)
    assert corner_term(basic.circle(100.0)) == 0.0
    # A heart has a tip and a notch, each half its length apart.
    heart = basic.heart(100.0)
    assert corner_term(heart) == pytest.approx(2.0 * math.log2(heart.length / 6.0 + 1.0))


def test_total_curvature_is_in_radians() -> None:
    assert total_curvature(basic.circle(100.0)) == pytest.approx(math.tau)


def test_verdicts() -> None:
    short, long = basic.straight_line(50.0), basic.straight_line(80.0)
    bent = basic.one_turn(25.0, 25.0)
    both = MEASURES["Chen and Fels, positive coefficients"]

    assert verdict(both, short, long) == "agree"
    assert verdict(both, long, short) == "opposite"
    assert verdict(both, short, short) == "tie"
    assert verdict(both, bent, long) == "open"


if __name__ == "__main__":
    print("| measure | agreed pairs (22) | one source (13) |\n|---|---|---|")
    for name in MEASURES:
        print(f"| {name} | {counts(name, 'pairs')} | {counts(name, 'single')} |")
