"""One answer, the key's, for a solver that reads the finished marks; and a shuffle that is fair."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from functools import cache

import pytest

from sheets.kinds.options import Options
from sheets.kinds.sequence.task import SequenceTask
from sheets.page.frame import A4
from sheets.page.model import Mark, Place, Text
from tests.making import make, sequence
from tests.sequence_reader import (
    GARDEN,
    STAGES,
    boxes_of,
    cards_of,
    drawn,
    ids,
    order_of,
    printed,
    shows,
    solve,
)

from_theme = sequence.from_theme

SEEDS = range(1000)


@cache
def task_of(stage: int) -> SequenceTask:
    made: SequenceTask = from_theme(GARDEN, stage, Options())
    return made


@cache
def garden(stage: int, seed: int) -> tuple[tuple[Mark, ...], dict[str, str], int]:
    marks, answer, pages = drawn(task_of(stage), Options(seed=seed))
    return tuple(marks), answer, pages


# --- one answer, and it is the key's --------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_the_solver_finds_the_keys_answer_for_1000_seeds(stage: int) -> None:
    order = ids(task_of(stage))
    for seed in SEEDS:
        marks, answer, _ = garden(stage, seed)
        assert solve(marks, order) == answer


@pytest.mark.parametrize("stage", [3, 4, 5, 6])
@pytest.mark.parametrize("form", ["wheel", "laminate"])
def test_so_it_does_on_a_wheel_and_with_cards_for_film(stage: int, form: str) -> None:
    task = from_theme(GARDEN, stage, Options(), wheel=form == "wheel", laminate=form == "laminate")
    for seed in range(100):
        marks, answer, pages = drawn(task, Options(seed=seed, paper=A4))
        assert solve(marks, ids(task), clockwise=form == "wheel") == answer
        assert pages == 2


@pytest.mark.parametrize("stage", STAGES)
def test_the_finished_pages_show_what_was_drawn_and_the_key_says_the_same(stage: int) -> None:
    for seed in range(10):
        options = Options(seed=seed)
        task = from_theme(GARDEN, stage, options)
        sheet = make(task, options)
        marks, answer, pages = drawn(task, options)
        on_pages = [mark for page in sheet.pages for mark in page.marks]

        assert len(sheet.pages) == len(sheet.key) == pages
        assert [m for m in on_pages if m in marks] == marks
        assert solve(on_pages, ids(task)) == answer == sheet.parameters["answer"]
        key = [mark for page in sheet.key for mark in page.marks]
        written = {
            m.id.removeprefix("key-"): m.text
            for m in key
            if isinstance(m, Text) and m.id.startswith("key-")
        }
        assert {f"card-{k}": f"box-{n}" for k, n in written.items()} == answer
        # In the key the pictures stand in the boxes in the right order.
        laid = {
            m.id: shows(m.artwork.id, ids(task))
            for m in key
            if isinstance(m, Place) and m.id.startswith("answer-")
        }
        assert laid == {f"answer-{i + 1}": i for i in range(len(order_of(sheet)))}


# --- the shuffle ----------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", [3, 4, 5, 6])
def test_never_right_never_backwards_never_under_the_own_box(stage: int) -> None:
    task = task_of(stage)
    right = tuple(range(len(task.steps)))
    for seed in SEEDS:
        marks, answer, pages = garden(stage, seed)
        order = printed(marks, ids(task))
        boxes, cards = boxes_of(marks), cards_of(marks)

        assert pages == 1
        assert order not in (right, right[::-1])
        assert len(order) == 3 or followers(order) <= 1
        for card, box in answer.items():
            x = cards[card].center[0]
            assert not boxes[box].x0 < x < boxes[box].x1
            assert cards[card].y1 < boxes[box].y0


def not_at_home(columns: Sequence[int]) -> set[tuple[int, ...]]:
    """The orders with no card under its own box, but the right one and its reverse."""
    right = tuple(range(len(columns)))
    return {
        order
        for order in itertools.permutations(right)
        if order not in (right, right[::-1])
        and all(columns[s] != columns[k] for k, s in enumerate(order))
    }


def followers(order: Sequence[int]) -> int:
    """How many cards come right after the one before them."""
    return sum(b == a + 1 for a, b in itertools.pairwise(order))


def fitting_orders(columns: Sequence[int]) -> set[tuple[int, ...]]:
    """The orders that keep all rules, counted out from columns alone."""
    found = not_at_home(columns)
    return {o for o in found if followers(o) <= 1} if len(columns) > 3 else found


COLUMNS = {3: (0, 1, 2), 4: (0, 1, 2, 3), 5: (0, 1, 2, 0, 1), 6: (0, 1, 2, 0, 1, 2)}
"""Column of each box on the page; the cards lie in the same columns."""


@pytest.mark.parametrize("stage", COLUMNS)
def test_every_other_order_is_equally_likely(stage: int) -> None:
    possible = fitting_orders(COLUMNS[stage])
    order = ids(task_of(stage))
    counts = Counter(printed(garden(stage, seed)[0], order) for seed in SEEDS)

    assert set(counts) <= possible
    assert chance(counts, len(possible)) > 0.01


@pytest.mark.parametrize(("stage", "orders"), [(3, 2), (4, 9 - 1), (6, 10 * 2**3)])
def test_how_many_orders_there_are(stage: int, orders: int) -> None:
    """Derangements of 3 and of 4, less the reverse (OEIS A000166: 2, 9), and the ways to deal two
    each of three kinds so that none lies at its own, times the ways within each pair (OEIS A000459:
    10). Both sequences from memory."""
    assert len(not_at_home(COLUMNS[stage])) == orders


@pytest.mark.parametrize(("count", "none", "one"), [(4, 11, 9), (5, 53, 44), (6, 309, 265)])
def test_how_many_orders_have_few_followers(count: int, none: int, one: int) -> None:
    """Permutations by how many numbers are followed by the next one (OEIS A010027, from memory;
    without any A000255: 11, 53, 309, with one A000166: 9, 44, 265)."""
    found = Counter(followers(order) for order in itertools.permutations(range(count)))

    assert (found[0], found[1]) == (none, one)


@pytest.mark.parametrize("stage", [0, 1, 2])
def test_two_cards_lie_one_above_the_other_and_either_is_on_top(stage: int) -> None:
    task = task_of(stage)
    counts: Counter[tuple[int, ...]] = Counter()
    for seed in SEEDS:
        marks, _, _ = garden(stage, seed)
        upper, lower = (cards_of(marks)[name] for name in ("card-1", "card-2"))
        assert upper.x0 == lower.x0
        assert upper.y0 >= lower.y1 - 1e-6
        counts[printed(marks, ids(task))] += 1

    assert set(counts) == {(0, 1), (1, 0)}
    assert chance(counts, 2) > 0.01


def test_on_a_wheel_no_turn_of_the_right_order_either_way() -> None:
    task = from_theme(GARDEN, 6, Options(), wheel=True)
    right = tuple(range(6))
    turns = {o[i:] + o[:i] for o in (right, right[::-1]) for i in range(6)}
    counts = Counter(printed(drawn(task, Options(seed=seed))[0], ids(task)) for seed in range(200))
    assert len(turns) == 12
    assert not turns & set(counts)


def chance(counts: Counter[tuple[int, ...]], cells: int) -> float:
    """P value of equal shares (Pearson's chi-squared)."""
    expected = counts.total() / cells
    statistic = sum((n - expected) ** 2 for n in counts.values()) / expected
    statistic += (cells - len(counts)) * expected
    return upper_gamma((cells - 1) / 2.0, statistic / 2.0)


def upper_gamma(a: float, x: float) -> float:
    """Regularised upper incomplete gamma function by its power series."""
    if x <= 0.0:
        return 1.0
    term = total = 1.0 / a
    n = a
    while term > total * 1e-15:
        n += 1.0
        term *= x / n
        total += term
    return 1.0 - total * math.exp(a * math.log(x) - x - math.lgamma(a))


@pytest.mark.parametrize(
    ("freedom", "statistic", "p"),
    [
        (1, 3.841, 0.05),
        (1, 6.635, 0.01),
        (7, 18.475, 0.01),
        (10, 18.307, 0.05),
        (100, 135.807, 0.01),
    ],
)
def test_the_chi_squared_of_this_file(freedom: int, statistic: float, p: float) -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4 (critical values)."""
    assert upper_gamma(freedom / 2.0, statistic / 2.0) == pytest.approx(p, rel=0.002)
