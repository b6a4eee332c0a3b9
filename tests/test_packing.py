"""Rows of boxes at true size: gap and area kept, nothing refused that fits, places evenly drawn."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.path import BBox
from sheets.page.packing import layouts, placed

CRITICAL_3 = 11.345
"""Chi-squared, 3 degrees of freedom, p = 0.01 (NIST/SEMATECH e-Handbook of Statistical Methods,
2012, section 1.3.6.7.4, itl.nist.gov/div898/handbook)."""


def distance(a: BBox, b: BBox) -> float:
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0.0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0.0)
    return math.hypot(dx, dy)


@given(
    st.lists(st.tuples(st.floats(10, 120), st.floats(10, 120)), min_size=1, max_size=6),
    st.sampled_from([0.0, 5.0, 10.0, 25.0]),
    st.integers(0, 10**6),
)
@settings(max_examples=60, deadline=None)
def test_placed_boxes_keep_their_size_the_gap_and_the_area(
    sizes: list[tuple[float, float]], gap: float, seed: int
) -> None:
    area = BBox(10, 20, 186, 220)
    for stack in layouts(tuple(sizes), area.width, area.height, gap):
        found = placed(stack, sizes, area, gap, random.Random(seed))
        assert sorted(place.number for place in found) == list(range(len(sizes)))
        for place in found:
            wide, high = sizes[place.number]
            shown = (high, wide) if place.upright else (wide, high)
            assert (place.box.width, place.box.height) == pytest.approx(shown)
            assert area.contains(place.box, 1e-4)
        for a, b in itertools.combinations(found, 2):
            assert distance(a.box, b.box) >= gap - 1e-4


@given(st.lists(st.floats(20, 90), min_size=2, max_size=5), st.integers(1, 4))
@settings(max_examples=60, deadline=None)
def test_boxes_cut_from_rows_are_never_refused(widths: list[float], rows: int) -> None:
    """A set that fits by the way it was made: every row the same boxes, 40 mm high."""
    sizes = tuple((w, 40.0) for w in widths) * rows
    if len(sizes) > 8:
        sizes = sizes[:8]
    count = math.ceil(len(sizes) / len(widths))
    width, height = sum(widths) + 10.0 * (len(widths) - 1), 40.0 * count + 10.0 * (count - 1)
    assert layouts(sizes, width, height, 10.0)


def test_a_box_is_turned_only_where_that_makes_room() -> None:
    sizes = ((90.0, 50.0), (40.0, 40.0))
    (flat,) = layouts(sizes, 140.0, 50.0, 10.0)
    assert [row.upright for row in flat] == [(False, False)]
    (turned,) = layouts(sizes, 100.0, 95.0, 10.0)
    assert [row.upright for row in turned] == [(True, False)]
    assert layouts(sizes, 100.0, 89.0, 10.0) == ()


def test_every_box_of_a_stack_is_equally_often_in_every_place() -> None:
    sizes = ((50.0, 50.0),) * 4
    stack = next(s for s in layouts(sizes, 120.0, 120.0, 10.0) if len(s) == 2)
    area = BBox(0, 0, 120, 120)
    counts: Counter[int] = Counter()
    for seed in range(1000):
        found = placed(stack, sizes, area, 10.0, random.Random(seed))
        counts[next(k for k, place in enumerate(found) if place.number == 2)] += 1
    assert sum((counts[k] - 250) ** 2 / 250 for k in range(4)) < CRITICAL_3
