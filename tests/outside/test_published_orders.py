"""The stages of the guidance against the orders and figures that its sources publish.

``steps.toml`` restates what each source says; here every order is walked along, and every figure
that the guidance calls published is looked up. Where a source has another order than the guidance
the list says so, and the guidance has to say that it is disputed. No limit was chosen by these
tests, and none may be changed because of them.

The list and the guidance were written by one reader, so their agreement shows that nothing was
lost between two transcriptions, not that a source was read rightly. What bears on that are the few
words of each source that stand beside its figure, out of which the number is read here again.
"""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

import pytest

from sheets.check.guidance import STAGES, Limit, limits, load, sources
from sheets.kinds.settings import setting

LISTED: Mapping[str, Any] = tomllib.loads(
    (FilePath(__file__).parent / "steps.toml").read_text(encoding="utf-8")
)
ORDERS = [
    pytest.param(order, id=f"{order['skill']}-{order['sources'][0]}") for order in LISTED["order"]
]
INCH = 25.4
LIMIT = "limit"  # key of a skill's tasks that is no task: the limit whose words name them
CUTTING_PROGRESSIONS = tomllib.loads(
    (FilePath(__file__).parent / "progressions.toml").read_text(encoding="utf-8")
)


def task(skill: str, name: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] = LISTED["tasks"][skill][name]
    return found


# --- orders ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("skill", "name"),
    [
        (skill, name)
        for skill, tasks in LISTED["tasks"].items()
        for name in tasks
        if name != "limit"
    ],
)
def test_the_stage_that_is_named_has_the_task(skill: str, name: str) -> None:
    listed = task(skill, name)
    limit = limits(skill, listed["stage"])[LISTED["tasks"][skill][LIMIT]]

    assert listed.get("words", "") in limit.words
    if "maximum" in listed:
        assert limit.maximum == listed["maximum"]
    if "form" in listed:
        first, here = (
            str(setting(skill, stage, "forms")).split()
            for stage in (listed["stage"] - 1, listed["stage"])
        )
        assert listed["form"] in here
        assert listed["form"] not in first


@pytest.mark.parametrize("order", ORDERS)
def test_sources_are_those_of_the_guidance_and_ages_do_not_fall(order: Mapping[str, Any]) -> None:
    assert set(order["sources"]) <= set(sources())
    ages = [step["months"] for step in order["steps"] if "months" in step]
    assert all(first <= last for first, last in ages)
    for before, after in itertools.pairwise(ages):
        assert before[0] <= after[0]
        assert before[1] <= after[1]


def later_pairs(order: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every task with every task of a later step."""
    for before, after in itertools.combinations(order["steps"], 2):
        yield from itertools.product(before["tasks"], after["tasks"])


@pytest.mark.parametrize("order", ORDERS)
def test_stages_follow_the_published_order_or_the_list_says_so(order: Mapping[str, Any]) -> None:
    skill = order["skill"]
    against = [
        [earlier, later]
        for earlier, later in later_pairs(order)
        if task(skill, earlier)["stage"] > task(skill, later)["stage"]
    ]

    assert against == order.get("against", [])


def test_sources_with_another_order_are_named_as_disputed() -> None:
    for order in LISTED["order"]:
        if "against" in order:
            named = {s.id for entry in load().disputed for s in entry.sources}
            assert set(order["sources"]) <= named


def test_circle_or_corners_first_is_disputed_four_against_four() -> None:
    """Lists by age put the circle before the square, lists of stages corners before curves."""
    (entry,) = (d for d in load().disputed if d.text.startswith("Circle or corners first"))
    by_age = {"slb", "hs-guide", "jewel", "ratcliffe-2007"}
    by_stage = {"swft", "cco", "touchstone", "hosmer"}
    assert {s.id for s in entry.sources} == by_age | by_stage

    for order in LISTED["order"]:
        pairs = set(later_pairs(order))
        for source in by_age & set(order["sources"]):
            assert ("circle", "shape") in pairs, source
        for source in by_stage & set(order["sources"]):
            assert {("shape", "circle"), ("corner", "curve")} & pairs, source
    # Stage 4 has both, so that neither order is taken for a rule.
    words = limits("cutting", 4)["act"].words
    assert "circle" in words
    assert "turn" in words


def test_two_events_at_five_years_stand_before_three_pictures_at_three_and_a_half() -> None:
    """The only published ages that run against our stages within one skill, source to source, in
    matching, pattern and sequence: CDC 2022 has two events at 60 months, North Carolina three to
    four pictures at 42 to 48. The guidance's note and its disputed points tell of it."""
    found = []
    for skill in ("matching", "pattern", "sequence"):
        dated = [
            (step["months"], task(skill, name)["stage"], name)
            for order in LISTED["order"]
            if order["skill"] == skill
            for step in order["steps"]
            if "months" in step
            for name in step["tasks"]
        ]
        found += [
            (early, late)
            for (first, stage, early), (second, other, late) in itertools.permutations(dated, 2)
            if stage < other and first[0] > second[1]
        ]

    assert found == [("two_events", "three_pictures"), ("two_events", "four_pictures")]
    assert any("pictures" in d.text and d.skills == ("sequence",) for d in load().disputed)


@pytest.mark.parametrize("skill", ["matching", "tracing"])
def test_pencil_orders_of_the_progressions_hold_too(skill: str) -> None:
    """A practice's list and Pratt et al. are not sources of the guidance; they are named in
    ``progressions.toml``. No stage has the diamond, which Pratt et al. find harder than the square
    at every age."""
    names = {
        "vertical line": "upright",
        "horizontal line": "level",
        "circle": "circle",
        "cross": "cross",
        "square": "square",
        "triangle": "triangle",
    }
    for order in CUTTING_PROGRESSIONS["prewriting"]:
        stages = [task(skill, names[n])["stage"] for n in order["order"] if n in names]
        assert stages == sorted(stages), order["sources"]
        assert {n for n in order["order"] if n not in names} <= {"diamond"}
    for stage in STAGES:
        limit = limits(skill, stage).get("trace_shapes")
        assert limit is None or "diamond" not in limit.words


# --- figures --------------------------------------------------------------------------------------


def published() -> Iterator[tuple[str, int, Limit]]:
    """Every limit with a number that the guidance calls published."""
    for table in load().tables:
        for skill, (stage, limit) in itertools.product(table.skills, table.stages.items()):
            if limit.basis == "published" and (limit.minimum, limit.maximum) != (None, None):
                yield skill, stage, limit


def test_every_published_figure_is_listed_once_and_no_other() -> None:
    ours = {(skill, limit.name, stage): limit for skill, stage, limit in published()}
    listed = [
        (skill, figure["limit"], stage)
        for figure in LISTED["figure"]
        for skill in figure["skills"]
        for stage in figure["stages"]
    ]

    assert len(listed) == len(set(listed))
    assert set(listed) == set(ours)


FIGURES = [
    pytest.param(f, id=f"{f['skills'][0]}-{f['limit']}-{f['stages'][0]}") for f in LISTED["figure"]
]


@pytest.mark.parametrize("figure", FIGURES)
def test_figures_are_what_the_list_says_of_the_sources(figure: Mapping[str, Any]) -> None:
    (unit,) = {"inches", "mm", "count"} & set(figure)
    value = figure[unit] * figure.get("times", 1.0) * (INCH if unit == "inches" else 1.0)
    for skill, stage in itertools.product(figure["skills"], figure["stages"]):
        limit = limits(skill, stage)[figure["limit"]]
        (ours,) = (bound for bound in (limit.minimum, limit.maximum) if bound is not None)

        assert ours == pytest.approx(value, abs=0.5 if figure.get("rounded") else 1e-6)
        assert [s.id for s in limit.sources] == list(figure["words"])
        assert limit.unit == "mm" or unit == "count"
    assert figure["says"]


NUMBERS = {"one and one-quarter": 1.25, "one": 1, "two": 2, "three": 3, "four": 4}
PARTS = {"¼": "1/4", "½": "1/2"}


def numbers_in(words: str) -> set[float]:
    """Every number of a few words: figures, fractions such as ``4 ½`` and ``1/4``, number words."""
    for sign, fraction in PARTS.items():
        words = words.replace(sign, fraction)
    found = {
        float(whole or 0) + float(over) / float(under)
        for whole, over, under in re.findall(r"(?:(\d+) )?(\d+)/(\d+)", words)
    }
    plain = re.sub(r"(?:\d+ )?\d+/\d+", " ", words)
    found |= {float(number) for number in re.findall(r"\d+(?:\.\d+)?", plain)}
    for name, value in NUMBERS.items():
        if re.search(rf"\b{name}\b", plain.lower()):
            plain = re.sub(rf"\b{name}\b", " ", plain.lower())
            found.add(float(value))
    return found


def rows_in(words: str) -> set[tuple[int, int]]:
    """Length of what repeats, and how often, of every row such as ``ABABAB``."""
    found = set()
    for row in re.findall(r"\b[ABC]{4,}\b", words):
        length = next(n for n in range(1, len(row) + 1) if row[:n] * (len(row) // n) == row)
        found.add((length, len(row) // length))
    return found


@pytest.mark.parametrize("figure", FIGURES)
def test_the_number_stands_in_the_words_of_the_source(figure: Mapping[str, Any]) -> None:
    (unit,) = {"inches", "mm", "count"} & set(figure)
    for source, words in figure["words"].items():
        assert len(words.split()) <= 10, "a few words, as evidence"
        if "word" in figure:
            assert figure["word"] in words, source
            continue
        rows = {length if figure["limit"] == "unit_length" else n for length, n in rows_in(words)}
        assert figure[unit] in numbers_in(words) | rows, source


def test_numbers_are_read_out_of_words() -> None:
    assert numbers_in("diameter of 4 ½ inches") == {4.5}
    assert numbers_in('a 6" line within 1/4" of it') == {6.0, 0.25}
    assert numbers_in("one and one-quarter inches") == {1.25}
    assert numbers_in("4.2 or 5.0 mm") == {4.2, 5.0}
    assert numbers_in("three to four pictures, someone") == {3.0, 4.0}
    assert numbers_in("3:1") == {3.0, 1.0}
    assert rows_in("ABABAB and ABBABBABB") == {(2, 3), (3, 3)}


def test_what_a_source_asks_at_least_is_not_our_most() -> None:
    """``at least`` makes a lower bound, ``within`` and ``no more than`` an upper one."""
    turned: set[tuple[str, int]] = set()
    for figure in LISTED["figure"]:
        words = " ".join(figure["words"].values())
        for skill, stage in itertools.product(figure["skills"], figure["stages"]):
            limit = limits(skill, stage)[figure["limit"]]
            if "at least" in words and limit.minimum is None:
                turned.add((limit.name, stage))
            if ("within" in words or "no more than" in words) and limit.maximum is None:
                turned.add((limit.name, stage))

    assert turned == set()


DISAGREEMENTS: list[tuple[str, int, dict[str, float]]] = [
    # First straight line: "line about 3/4th inch wide", "at least a 1/2 inch", "¼ inch wide".
    ("line_width", 3, {"dailyot": 0.75 * INCH, "hosmer": 0.5 * INCH, "jewel": 0.25 * INCH}),
    # Gentle curves and large circles, "line about ½ inch wide"; a curved line "¼ inch wide".
    ("line_width", 4, {"dailyot": 0.5 * INCH, "jewel": 0.25 * INCH}),
    # Circle "within ½ inch"; at 3;6 "at least 3/4 of the circle is within 1 cm" (second-hand).
    ("tolerance", 4, {"jewel": 0.5 * INCH, "ratcliffe-2007": 10.0}),
    # Square "within ½ inch", "within 1/4\"", at 4 years "within 5 mm" (second-hand).
    ("tolerance", 5, {"jewel": 0.5 * INCH, "hs-guide": 0.25 * INCH, "ratcliffe-2007": 5.0}),
]


@pytest.mark.parametrize(("name", "stage", "published"), DISAGREEMENTS)
def test_what_sources_disagree_on_is_told_with_every_figure(
    name: str, stage: int, published: Mapping[str, float]
) -> None:
    """Ours is one of the figures, or lies between the published steps before and after it."""
    limit = limits("cutting", stage)[name]
    ours = limit.maximum if limit.minimum is None else limit.minimum
    assert ours is not None
    if limit.basis == "published":
        followed = [published[s.id] for s in limit.sources if s.id in published]
        assert followed
        assert followed == pytest.approx([ours] * len(followed))
    else:
        before, after = (limits("cutting", n)[name] for n in (stage - 1, stage + 1))
        assert {before.basis, after.basis} == {"published"}
        assert (after.minimum or 0.0) < ours < (before.minimum or 0.0)

    told = [d.text for d in load().disputed if {s.id for s in d.sources} == set(published)]
    for figure in published.values():
        # In the text 3/4 in are 19 mm.
        assert any(abs(figure - number) < 0.1 for text in told for number in numbers_in(text)), (
            figure
        )


# --- the whole ladder -----------------------------------------------------------------------------

EASIER_AGAIN: Mapping[tuple[str, str], tuple[int, ...]] = {
    # A strip for snips is small; then the piece is as wide as the cut is long.
    ("cutting", "piece_size"): (2, 3, 4),
    ("cutting", "neck"): (2,),
    ("cutting", "clearance"): (2,),
    # Fewer and longer cuts. Our setting; no source says how many.
    ("cutting", "cuts_per_page"): (2, 3, 4),
    # Stage 4 is curves, with no corner, or an open line with a turn ("open_corners").
    ("cutting", "corners"): (4,),
    # Three or four groups of five or ten things at the most take the whole page.
    ("number", "items_per_page"): (5,),
    # A small picture says what to draw below it before pictures stand for themselves again.
    ("telling", "target_size"): (3,),
    # ABBA and OXXO are copied (four things) before units of two and three are carried on.
    ("pattern", "unit_length"): (5,),
}
"""Limits that ask for less at a later stage than before, and at which."""

TALLER_IS_HARDER = {"units_shown"}
"""Lower limits that are not of a size: more units to read before going on."""


@pytest.mark.parametrize("skill", load().skills)
def test_no_limit_gets_easier_from_stage_to_stage(skill: str) -> None:
    """Sizes, widths and gaps shrink, lengths and numbers grow. That every step is a little harder
    than the one before is how all listed progressions are built; the North Carolina progressions
    (2015) say why: one identical page frustrates some children and asks too little of others."""
    easier: dict[tuple[str, str], list[int]] = {}
    for before, after in itertools.pairwise(range(1, 7)):
        here, there = limits(skill, before), limits(skill, after)
        for name in here.keys() & there.keys():
            low, high = here[name].minimum, there[name].minimum
            if low is not None and high is not None and high > low and name not in TALLER_IS_HARDER:
                easier.setdefault((skill, name), []).append(after)
            low, high = here[name].maximum, there[name].maximum
            grows = name not in ("tolerance", "open_tolerance")
            if low is not None and high is not None and (high < low if grows else high > low):
                easier.setdefault((skill, name), []).append(after)

    expected = {key: list(at) for key, at in EASIER_AGAIN.items() if key[0] == skill}
    assert easier == expected


def test_the_published_ladder_of_line_widths() -> None:
    """A school therapy blog, 2006: "at least a 1/2 inch thick", then 1/4, then 1/8 in."""
    ladder = [limits("cutting", stage)["line_width"] for stage in range(1, 7)]
    named = [
        limit.minimum
        for limit in ladder
        if limit.basis == "published" and "hosmer" in [s.id for s in limit.sources]
    ]

    assert named == pytest.approx([0.5 * INCH, 0.5 * INCH, 0.25 * INCH, 0.125 * INCH], abs=0.03)
    used = [setting("cutting", stage, "line_width") for stage in range(1, 7)]
    assert used == sorted(used, key=lambda width: -float(width or 0.0))
