"""What was not measured and why, for which skill a page is by the roles and names of its marks."""

from __future__ import annotations

import dataclasses

import pytest

from shapes.errors import InputError
from shapes.path import Path
from sheets.check.check import check_page
from sheets.check.checked import checked
from sheets.check.guidance import limits
from sheets.check.unmeasured import Unmeasured, likely_skill, of_the_skill, unmeasured
from sheets.page.model import Fill, Lane, Mark, Role, Stroke, Text
from tests.mutations import box, cut, line, page

TRACE = Stroke((line(50.0),), 2.0, Role.TRACE, id="cup")
LANE = dataclasses.replace(TRACE, lane=Lane(0.5))


def thing(role: Role, id: str = "", item: int = 0) -> Fill:
    return dataclasses.replace(box(20, 20, role, id), item=item)


def word(role: Role, text: str) -> Text:
    return Text(300, 300, text, 24, role)


def told(skill: str, stage: int, *marks: Mark) -> dict[str, str]:
    """Limit -> why nothing was measured for it."""
    sheet = page(*marks)
    rows = unmeasured(sheet, skill, stage, check_page(sheet, skill, stage))
    assert len({row.limit for row in rows}) == len(rows)
    return {row.limit: row.reason for row in rows}


# --- what was not measured ------------------------------------------------------------------------


def test_the_reason_is_the_role_that_is_missing_or_what_of_it_is() -> None:
    no_lines = told("cutting", 5, box(20, 20, Role.ART, "duck"))
    cuts = 'no mark with the role "cut" or "entry" on the page'
    assert no_lines["cut length"] == no_lines["line width"] == no_lines["cuts per page"] == cuts
    assert no_lines["line contrast"] == (
        'no mark with the role "cut" or "entry" or "fold" or "trace" on the page'
    )
    assert no_lines["clearance"] == "no picture beside a line to cut"
    assert no_lines["text size"].startswith("no text for the child that is kept as text; ")
    assert no_lines["act"] == "no measure can be read off a page; the adult decides"
    assert not {"edge distance", "overlap"} & set(no_lines)

    straight = told("cutting", 5, cut(line(20.0)))
    assert straight["neck"] == straight["piece size"] == "no closed outline"
    assert straight["outline gap"] == "fewer than two lines"
    assert straight["bend radius"] == "no line bends"
    assert straight["clearance"] == 'no mark with the role "art" on the page'
    assert not {"cut length", "cuts per page", "line width", "edge distance"} & set(straight)


def test_limits_are_listed_once_in_the_order_of_the_guidance() -> None:
    """At stage 4 open lines and outlines have limits of their own, of one name in words."""
    sheet = page()
    rows = unmeasured(sheet, "cutting", 4, [])
    labels = [limit.label for limit in limits("cutting", 4).values()]
    assert len(set(labels)) < len(labels)
    assert [row.limit for row in rows] == list(dict.fromkeys(labels))
    assert rows[0] == Unmeasured("act", "no measure can be read off a page; the adult decides")


@pytest.mark.parametrize(("stage", "role", "counted"), [
    (0, Role.FOLD, True), (0, Role.CUT, True), (0, Role.ENTRY, True), (0, Role.TRACE, False),
    (0, Role.ART, False), (2, Role.FOLD, True), (2, Role.TARGET, False),
])  # fmt: skip
def test_no_cuts_are_a_count_only_where_there_is_something_to_cut_or_fold(
    stage: int, role: Role, counted: bool
) -> None:
    mark = Stroke((line(20.0),), 2.0, role, id="line")
    assert ("cuts per page" not in told("cutting", stage, mark)) is counted


def test_a_reason_without_words_of_its_own() -> None:
    dot = cut(Path.line((300, 300), (300.01, 300)))
    assert told("cutting", 5, dot)["line width"] == "no such mark that could be measured"


# --- of which skill -------------------------------------------------------------------------------


@pytest.mark.parametrize(("id", "pieces"), [
    ("adult-outline", True), ("adult-outline-2", True), ("glue-1", True), ("pieces", True),
    ("glue-box", False), ("adult", False), ("a-pieces", False),
])  # fmt: skip
def test_outlines_that_an_adult_cuts_are_of_cutting(id: str, pieces: bool) -> None:
    sheet = page(thing(Role.ADULT, id))
    assert of_the_skill(sheet, "cutting") is pieces
    assert not of_the_skill(sheet, "sequence")
    assert likely_skill(sheet) == ("cutting" if pieces else None)


@pytest.mark.parametrize(("skill", "role", "expected"), [
    ("cutting", Role.FOLD, True), ("cutting", Role.ENTRY, True), ("cutting", Role.TRACE, False),
    ("tracing", Role.TRACE, True), ("tracing", Role.TARGET, False), ("sorting", Role.CARD, True),
    ("letters", Role.LETTER, True), ("letters", Role.CARD, False), ("telling", Role.MODEL, True),
    ("matching", Role.CARD, True), ("pattern", Role.MODEL, True), ("names", Role.TRACE, True),
])  # fmt: skip
def test_a_page_is_of_a_skill_by_its_roles(skill: str, role: Role, expected: bool) -> None:
    assert of_the_skill(page(thing(Role.FURNITURE, "bar"), thing(role)), skill) is expected


CARD, CELL, MODEL = thing(Role.CARD), thing(Role.ANSWER_SPACE, "cell-1", 1), thing(Role.MODEL)


@pytest.mark.parametrize(("marks", "skill"), [
    ((), None),
    ((CARD,), None),
    ((thing(Role.ART),), None),
    ((cut(line(20.0)),), "cutting"),
    ((cut(line(20.0), role=Role.ENTRY), thing(Role.CHOICE)), "cutting"),
    ((Stroke((line(20.0),), 2.0, Role.FOLD), TRACE), "cutting"),
    ((thing(Role.CARD, "own-1"),), "names"),
    ((thing(Role.CARD, "an-own-1"),), None),
    # Pages of a book: all that is looked at or drawn in.
    ((thing(Role.TARGET, "picture-1"), thing(Role.ANSWER_SPACE, "drawing-2")), "telling"),
    ((word(Role.MODEL, "7"), thing(Role.MODEL, "word-1")), "number"),
    ((thing(Role.MODEL, "sentence-1"),), "telling"),
    ((thing(Role.TARGET, "picture-1"), thing(Role.TARGET, "other-1")), "matching"),
    ((thing(Role.TARGET, "pictures-1"),), "matching"),
    # Numerals to choose, lay or make, and groups.
    ((word(Role.CHOICE, "3"),), "number"),
    ((word(Role.CARD, " 10 "),), "number"),
    ((word(Role.MODEL, "3"),), "number"),
    ((word(Role.CHOICE, "b3"),), "letters"),
    ((word(Role.GUIDE, "3"),), None),
    ((word(Role.CHOICE, "3"), cut(line(20.0))), "cutting"),
    ((thing(Role.TARGET, "group-1", 1),), "number"),
    # Letters.
    ((thing(Role.LETTER),), "letters"),
    ((thing(Role.CHOICE), TRACE), "letters"),
    ((word(Role.TARGET, "duck"),), "letters"),
    ((word(Role.CARD, "duck"),), None),
    # Lanes to trace, and outlines on which things are set down.
    ((LANE,), "tracing"),
    ((TRACE,), "matching"),
    ((dataclasses.replace(LANE, role=Role.MODEL),), "pattern"),
    ((dataclasses.replace(LANE, role=Role.CARD),), None),
    ((LANE, thing(Role.TARGET)), "tracing"),
    ((TRACE, CELL), "matching"),
    # Places to fill, by their names.
    ((thing(Role.ANSWER_SPACE, "row-1"),), "number"),
    ((thing(Role.ANSWER_SPACE, "row-1"), thing(Role.ANSWER_SPACE, "area-1")), "pattern"),
    ((thing(Role.ANSWER_SPACE, "row-1", 1),), "pattern"),
    ((thing(Role.ANSWER_SPACE, "rows"),), "pattern"),
    ((thing(Role.TARGET, "length-1"), thing(Role.TARGET, "length-2")), "number"),
    ((thing(Role.TARGET, "length-1"), thing(Role.TARGET, "duck")), "matching"),
    ((thing(Role.ANSWER_SPACE, "box-1"), thing(Role.ANSWER_SPACE, "box-2")), "sequence"),
    ((CELL, CARD), "sequence"),
    ((thing(Role.ANSWER_SPACE, "area-1"),), "sorting"),
    ((thing(Role.ANSWER_SPACE, "area-1"), CARD), "sequence"),
    ((CELL,), "pattern"),
    ((MODEL,), "pattern"),
    ((MODEL, thing(Role.TARGET)), "pattern"),
    ((thing(Role.TARGET), CARD), "matching"),
])  # fmt: skip
def test_the_skill_that_roles_and_names_speak_for(
    marks: tuple[Mark, ...], skill: str | None
) -> None:
    assert likely_skill(page(*marks)) == skill


# --- a whole page ---------------------------------------------------------------------------------

PAGE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="250mm" viewBox="0 0 200 250">'
    b'<path d="M20 200H180" data-role="%s" stroke="#000" fill="none" stroke-width="8"/></svg>'
)


def test_a_page_is_measured_by_the_skill_that_is_asked_or_that_it_speaks_for() -> None:
    asked = checked(PAGE % b"cut", "my.svg", "cutting", 2)
    taken = checked(PAGE % b"cut", "my.svg", "auto", 2)
    assert asked == taken
    assert (asked.skill, asked.stage, asked.of_skill) == ("cutting", 2, True)
    assert [f.limit for f in asked.outside] == ["line width", "cut length", "steering index"]
    other = checked(PAGE % b"cut", "my.svg", "tracing", 2)
    assert (other.skill, other.of_skill) == ("tracing", False)
    place = asked.where(asked.outside[0])
    assert place is not None
    assert place.at == (100, 50)


@pytest.mark.parametrize(("skill", "stage", "message"), [
    ("glueing", 2, "skill 'glueing' is not known"),
    ("cutting", 7, "stage 7 does not exist"),
    ("auto", -1, "stage -1 does not exist"),
])  # fmt: skip
def test_skill_and_stage_are_looked_at_before_the_file(
    skill: str, stage: int, message: str
) -> None:
    with pytest.raises(InputError, match=message):
        checked(b"no page at all", "my.svg", skill, stage)


def test_a_page_that_speaks_for_no_skill_is_named() -> None:
    with pytest.raises(InputError) as raised:
        checked(PAGE % b"furniture", "my.svg", "auto", 2)
    assert str(raised.value) == (
        "my.svg: the roles of its marks speak for no one skill; give its `skill`"
    )


def test_of_a_page_of_very_many_marks_the_part_that_is_measured_is_kept() -> None:
    """The first hundred of a role; notes say so, of marks and of values."""
    paths = b"".join(
        b'<path d="M20 %dH40" data-role="cut" stroke="#000" fill="none"/>' % (10 + i)
        for i in range(101)
    )
    content = PAGE.replace(b"</svg>", paths + b"</svg>") % b"fold"
    found = checked(content, "my.svg", "cutting", 6)
    assert (len(found.page.marks), len(found.part.marks)) == (102, 101)
    assert '101 marks of the role "cut": the first 100 are measured' in found.notes
    assert any(note.startswith("outline gap: 100 of ") for note in found.notes)
    (count,) = (f for f in found.findings if f.limit == "cuts per page")
    assert count.measured == 100.0
    assert found.of_skill
