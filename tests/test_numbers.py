"""Numbers and colours as they are spelled in files."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheets.write.numbers import decimal, mm, places_for, rgb

LENGTHS = st.floats(-10_000, 10_000)
PLAIN = re.compile(r"-?\d+(\.\d*[1-9])?")


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (-0.004, "0"),
        (0.004, "0"),
        (3.0, "3"),
        (12.7, "12.7"),
        (100.0, "100"),
        (-1.5, "-1.5"),
        (76.2, "76.2"),
        (0.25, "0.25"),
        (1e-9, "0"),
        (10.001, "10"),
    ],
)
def test_millimetres_are_spelled_shortly(value: float, expected: str) -> None:
    assert mm(value) == expected
    assert decimal(value, 2) == expected


@given(LENGTHS)
def test_millimetres_are_plain_and_within_half_a_hundredth(value: float) -> None:
    text = mm(value)

    assert PLAIN.fullmatch(text)
    assert text != "-0"
    assert abs(float(text) - value) <= 0.005 + 1e-9


@given(LENGTHS, st.integers(1, 8))
def test_decimals_are_plain_and_within_half_a_step(value: float, places: int) -> None:
    text = decimal(value, places)

    assert PLAIN.fullmatch(text)
    assert text != "-0"
    assert abs(float(text) - value) <= 0.5 * 10.0**-places + 1e-9


@pytest.mark.parametrize(
    ("size_mm", "places"), [(200.0, 2), (20.0, 2), (19.0, 3), (2.0, 3), (1.0, 4), (0.0, 6)]
)
def test_small_drawings_are_written_finer(size_mm: float, places: int) -> None:
    assert places_for(size_mm) == places


def test_colours_are_read_as_parts_of_one() -> None:
    assert rgb("#000000") == (0.0, 0.0, 0.0)
    assert rgb("#ff0033") == (1.0, 0.0, 0.2)


@pytest.mark.parametrize("colour", ["black", "#fff", "ff0033x", "#gg0000"])
def test_colours_spelled_otherwise_are_refused(colour: str) -> None:
    with pytest.raises(ValueError, match=r"#rrggbb|invalid literal"):
        rgb(colour)
