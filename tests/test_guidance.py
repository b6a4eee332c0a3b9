"""The limits and their sources: the file is whole, and what it is asked is answered."""

from __future__ import annotations

import copy
import math
import re
import tomllib
from typing import Any

import pytest

from shapes.errors import InputError
from sheets.check import guidance
from sheets.check.guidance import (
    FILE,
    HOW_READ,
    STAGES,
    Limit,
    LimitTable,
    Source,
    limit_for,
    limits,
    load,
    parse,
    sources,
)
from sheets.check.guidance_text import render_text
from sheets.kinds import KINDS, SKILLS
from sheets.kinds.settings import by_skill, setting, settings

EVERY_TABLE = [
    pytest.param(table, id=f"{'-'.join(table.skills[:2])}-{table.name}") for table in load().tables
]


def shown(skill: str | None = None) -> str:
    return render_text(skill, by_skill())


def raw() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


# --- the file -------------------------------------------------------------------------------------


def test_skills_are_those_of_the_class_list() -> None:
    assert set(load().skills) == set(SKILLS)


def test_every_source_is_used_and_readable() -> None:
    used = {
        source.id
        for table in load().tables
        for limit in table.stages.values()
        for source in limit.sources
    }
    used |= {s.id for kind in KINDS for row in settings(kind) for s in row.sources}
    used |= {s.id for entry in load().disputed for s in entry.sources}

    assert used == set(sources())
    for source in sources().values():
        assert source.how_read in HOW_READ
        assert source.short
        assert source.title
        assert source.author
        assert source.year
        assert source.address == "" or source.address.startswith("http")


def test_short_names_are_unique() -> None:
    names = [source.short for source in sources().values()]

    assert len(names) == len(set(names))


@pytest.mark.parametrize("source", sources().values(), ids=lambda source: source.id)
def test_what_is_shown_of_a_source_names_no_practice_maker_or_author(source: Source) -> None:
    """Names are in the data, with the address; standards go by their number."""
    assert source.short[0].islower() or source.short.startswith(("16 CFR ", "WCAG "))
    names = set(re.findall(r"[A-Z][a-z]{3,}", source.author))
    assert not {name for name in names if name.lower() in source.short.lower()}
    host = source.address.removeprefix("https://").removeprefix("http://").split("/")[0]
    for label in host.split(".")[:-1]:
        assert len(label) < 4 or label not in source.short.lower().replace(" ", "")


def test_no_limit_has_two_tables_for_one_skill() -> None:
    names = [(skill, table.name) for table in load().tables for skill in table.skills]

    assert len(names) == len(set(names))


@pytest.mark.parametrize("table", EVERY_TABLE)
def test_limits_are_well_formed(table: LimitTable) -> None:
    for limit in table.stages.values():
        if limit.measured:
            assert limit.minimum is not None or limit.maximum is not None
        else:
            assert limit.words or limit.maximum or limit.minimum
        if limit.minimum is not None and limit.maximum is not None:
            assert limit.minimum <= limit.maximum
        if limit.minimum is not None and math.isinf(limit.minimum):
            assert limit.words, "a thing that must not occur needs words"
        assert limit.label
        assert "_" not in limit.label


@pytest.mark.parametrize("table", EVERY_TABLE)
def test_common_and_own_figures_are_not_passed_off_as_published(table: LimitTable) -> None:
    """What a finding says it rests on, against the file as it is written: only a published figure
    names its sources, and all of them; what our own was built on stays out of the finding."""
    (row,) = (
        r for r in raw()["limit"] if r["name"] == table.name and r["skills"] == list(table.skills)
    )
    shown = {key: entry["short"] for key, entry in raw()["sources"].items()}
    by_span = {span: content for span, content in row["stages"].items() if content != "none"}
    assert by_span
    for span, content in by_span.items():
        said = table.stages[int(span[0])].finding(1.0).sentence()
        names = "; ".join(shown[key] for key in content.get("sources", ()))

        if content["basis"] == "published":
            assert names
            assert said.endswith(f"(published: {names})")
        else:
            assert said.endswith(f"({content['basis']})")


def test_figures_of_our_own_may_be_built_on_a_source_and_the_text_says_after() -> None:
    built_on = [
        (table.skills[0], limit)
        for table in load().tables
        for limit in table.stages.values()
        if limit.basis == "our setting" and limit.sources
    ]
    assert len(built_on) > 10
    for skill, limit in built_on:
        text = " ".join(shown(skill).split())
        names = ", ".join(source.short for source in limit.sources)
        assert f"{limit.phrase()} our setting, after {names}" in text


def test_open_limits_replace_one_that_is_there() -> None:
    for skill in SKILLS:
        for stage in STAGES:
            for name in limits(skill, stage):
                if name.startswith("open_"):
                    assert name.removeprefix("open_") in limits(skill, stage)


def test_no_word_that_promises_too_much() -> None:
    text = FILE.read_text(encoding="utf-8").lower()

    assert re.findall(r"\b(safe|safely|validated|proven)\b", text) == []


def change(data: dict[str, Any], **changes: object) -> None:
    data["limit"][1].update(changes)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"unit": "inch"}, "unit 'inch' is not one of"),
        ({"stages": {"0": "none", "1-5": "none"}}, "are not 0 to 6, each once"),
        ({"stages": {"0-6": "none", "3": "none"}}, "are not 0 to 6, each once"),
        ({"stages": {"all": "none"}}, "'all' is not a stage or a span of stages"),
        ({"stages": {"0-6": {"min": 1, "basis": "folklore"}}}, "basis 'folklore' is not one of"),
        ({"stages": {"0-6": {"min": 1, "basis": "published"}}}, "needs a source"),
        (
            {"stages": {"0-6": {"min": 1, "basis": "common practice", "sources": ["slb"]}}},
            "common practice has no source",
        ),
        (
            {"stages": {"0-6": {"min": 1, "basis": "published", "sources": ["nobody"]}}},
            "source 'nobody' is not in the file",
        ),
        ({"stages": {"0-6": {"basis": "our setting"}}}, "has neither min nor max"),
        ({"stages": {"0-6": {"least": 1, "basis": "our setting"}}}, "key ['least'] is not known"),
    ],
)
def test_a_broken_file_is_refused(changes: dict[str, object], message: str) -> None:
    data = copy.deepcopy(raw())
    change(data, **changes)

    with pytest.raises(ValueError, match=re.escape(message)) as caught:
        parse(data)

    assert "line_width" in str(caught.value)


def test_a_source_read_in_an_unknown_way_is_refused() -> None:
    data = raw()
    data["sources"]["slb"]["how_read"] = "hearsay"

    with pytest.raises(ValueError, match="source slb: how_read 'hearsay'"):
        parse(data)


# --- figures: the published ones are in tests/outside/test_published_orders.py --------------------


@pytest.mark.parametrize(
    ("stage", "name", "minimum"),
    [(5, "bend_radius", 15.0), (6, "neck", 12.0), (6, "clearance", 3.0)],
)
def test_figures_of_our_own_have_no_source(stage: int, name: str, minimum: float) -> None:
    limit = limits("cutting", stage)[name]

    assert (limit.minimum, limit.maximum, limit.basis) == (minimum, None, "our setting")
    assert limit.sources == ()


def test_gaps_are_at_least_twice_the_tolerance_up_to_stage_5() -> None:
    for stage in range(1, 6):
        tolerance = limits("cutting", stage)["tolerance"].maximum
        gap = limits("cutting", stage)["outline_gap"].minimum

        assert tolerance is not None
        assert gap is not None
        assert gap >= 2 * tolerance


def test_stage_0_has_nothing_to_cut() -> None:
    limit = limits("cutting", 0)["cuts_per_page"]

    assert limit.phrase() == "none"
    assert not limit.allows(1)
    assert "line_width" not in limits("cutting", 0)


# --- asking ---------------------------------------------------------------------------------------


def test_limit_for_takes_the_one_of_open_lines_where_there_is_one() -> None:
    closed = limit_for("cutting", 4, "cut_length")
    line = limit_for("cutting", 4, "cut_length", closed=False)
    later = limit_for("cutting", 5, "cut_length", closed=False)

    assert closed is not None
    assert closed.maximum == 600.0
    assert line is not None
    assert (line.maximum, line.label) == (152.4, "cut length")
    assert later is not None
    assert later.maximum == 600.0
    assert limit_for("cutting", 0, "cut_length") is None


@pytest.mark.parametrize(
    ("stage", "name", "phrase"),
    [
        (4, "bend_radius", "at least 57 mm"),
        (4, "cut_length", "at most 600 mm"),
        (2, "bend_radius", "straight only"),
        (4, "hollow_radius", "no hollows"),
        (4, "corners", "none"),
        (5, "corners", "at most 4"),
        (3, "bar_length", "99.95 to 100.05 mm"),
        (3, "line_contrast", "at least 3 to 1"),
        (1, "stock", "heavy paper or card"),
    ],
)
def test_phrase(stage: int, name: str, phrase: str) -> None:
    assert limits("cutting", stage)[name].phrase() == phrase


def test_allows_with_and_without_tolerance() -> None:
    limit = Limit("x", "x", "mm", 10.0, 20.0, "our setting")

    assert [limit.allows(v) for v in (9.99, 10.0, 15.0, 20.0, 20.01)] == [
        False,
        True,
        True,
        True,
        False,
    ]
    assert limit.allows(9.96, 0.05)
    assert limit.allows(20.04, 0.05)
    assert not limit.allows(9.94, 0.05)


def test_finding_with_a_unit_and_with_words() -> None:
    plain = limits("cutting", 4)["bend_radius"].finding(40.0, "outline-1")
    words = limits("cutting", 2)["bend_radius"].finding(40.0, "lanes")
    absent = limits("cutting", 2)["bend_radius"].finding(None, "lanes")

    assert plain.sentence() == (
        "bend radius of outline 1: 40 mm; guidance at least 57 mm (our setting)"
    )
    assert plain.outside
    assert words.sentence() == (
        "bend radius of lanes: 40 mm; guidance straight only "
        "(published: a school service's cutting page; a health service's leaflet)"
    )
    assert words.outside
    assert absent.measured == "none"
    assert not absent.outside


@pytest.mark.parametrize("stage", range(1, 7))
def test_settings_lie_within_the_limits(stage: int) -> None:
    here = limits("cutting", stage)
    width = setting("cutting", stage, "line_width")

    assert isinstance(width, float)
    assert here["line_width"].allows(width)
    if "widest_line" in here:
        assert here["widest_line"].allows(width)
    for name in ("panel_width", "strip_width"):
        length = setting("cutting", stage, name)
        if isinstance(length, float):
            assert here["cut_length"].allows(length)
    count = setting("cutting", stage, "pieces") or setting("cutting", stage, "plain_lanes")
    if count is not None:
        assert here["cuts_per_page"].allows(float(count))


def test_settings_that_are_words_or_missing() -> None:
    assert setting("cutting", 1, "stock") == "heavy paper or card"
    assert setting("cutting", 5, "shapes") == "square triangle"
    assert setting("cutting", 4, "score_cap") is None
    assert setting("cutting", 6, "score_cap") == 40.0
    assert setting("cutting", 3, "line_width") == 10.0
    assert setting("letter-match", 3, "line_width") is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            limits,
            "`skill`: skill 'glueing' is not known; use one of cutting, matching, letters, "
            "sequence, pattern, sorting, names, tracing, number, telling",
        ),
        (
            lambda kind, stage: setting(kind, stage, "stock"),
            f"kind 'glueing' is not known; use one of: {', '.join(KINDS)}",
        ),
    ],
)
def test_unknown_skill_or_kind_and_stage(call: Any, message: str) -> None:
    with pytest.raises(InputError) as caught:
        call("glueing", 1)
    assert str(caught.value) == message
    with pytest.raises(InputError) as caught:
        call("cutting", 7)
    assert str(caught.value) == "`stage`: stage 7 does not exist; use a whole number, 0 to 6"


# --- the text -------------------------------------------------------------------------------------


def test_text_of_one_skill() -> None:
    text = shown("cutting")

    blog = "a 2006 school therapy blog"
    assert f"  stage 1-2  at least 12.7 mm              published: {blog}\n" in text
    assert f"  stage 3    at least 10 mm                our setting, after {blog}\n" in text
    assert "cut length, open lines\n" in text
    assert "stock  (not measured)\n" in text
    assert "    http://hosmerot.blogspot.com/2006_02_01_archive.html\n" in text
    assert "[practice page]" in text
    assert text.index("\nSOURCES\n") < text.index("\nDISPUTED OR NOT FOUND\n")
    assert "score cap: stage 5: 25; stage 6: 40 (our setting)" in text
    assert "LETTERS" not in text
    assert "visual memory" not in text


def test_text_of_all_skills_names_every_limit_and_source() -> None:
    text = shown()

    for skill in SKILLS:
        assert f"{skill.upper()}: limits for a printed page" in text
    for table in load().tables:
        assert table.name.removeprefix("open_").replace("_", " ") in text
    for source in sources().values():
        assert f"\n  {source.short}: " in text
        assert source.address in text


def test_text_fits_a_terminal() -> None:
    for line in shown().splitlines():
        assert len(line) <= 96 or line.strip().startswith("http")


def test_text_of_an_unknown_skill() -> None:
    with pytest.raises(InputError, match="skill 'glueing' is not known"):
        shown("glueing")


def test_loading_twice_reads_once() -> None:
    assert guidance.load() is guidance.load()
