"""What is wrong with a file in few words: counts, lists of a few, and twenty problems at most."""

from __future__ import annotations

import tracemalloc

import pytest

from sheets.theme.problems import Problems, ProblemsError, count_of, few, nearest, nearest_of


@pytest.mark.parametrize(
    ("number", "one", "many", "told"),
    [
        (1, "page", "", "1 page"),
        (0, "page", "", "0 pages"),
        (2, "page", "", "2 pages"),
        (1, "child", "children", "1 child"),
        (3, "child", "children", "3 children"),
    ],
)
def test_a_number_of_things(number: int, one: str, many: str, told: str) -> None:
    assert count_of(number, one, many) == told


def test_a_few_of_many() -> None:
    assert few(["a", "b"]) == "a, b"
    assert few(list("abcdefg")) == "a, b, c, d, e, f and 1 more"
    assert few([]) == ""


def test_the_nearest_word() -> None:
    assert nearest_of("cuting", ["cutting", "letters"]) == "cutting"
    assert nearest_of("zzz", ["cutting"]) == ""
    assert nearest("zzz", ["cutting", "tag"]) == "known: cutting, tag"


@pytest.mark.parametrize(("count", "last"), [(20, "19"), (21, "and 1 more problem"),
                                             (50, "and 30 more problems")])  # fmt: skip
def test_twenty_problems_are_told_and_the_rest_counted(count: int, last: str) -> None:
    problems = Problems()
    for number in range(count):
        problems.append(str(number))
    with pytest.raises(ProblemsError) as caught:
        problems.refuse(ProblemsError)

    assert len(problems) == count
    assert caught.value.problems[:20] == tuple(map(str, range(20)))
    assert caught.value.problems[-1] == last
    assert str(caught.value) == f"{count} problems, the first: 0"
    assert ProblemsError(*map(str, range(count))).problems == caught.value.problems


def test_no_problem_is_no_error() -> None:
    Problems().refuse(ProblemsError)


def test_a_million_problems_take_no_memory() -> None:
    tracemalloc.start()
    problems = Problems()
    for number in range(1_000_000):
        problems.append(f"line {number}: wrong")
    _now, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert len(problems) == 1_000_000
    assert peak < 100_000
