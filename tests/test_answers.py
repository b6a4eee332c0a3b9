"""The answer of a sheet in words is that of its picture: read from the finished marks and compared.

The readers know where things stand and what a drawing is of; no task, no layout and no record.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from functools import cache

import pytest

from shapes.path import BBox, Path
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.marks import mark_bbox
from sheets.page.model import Answer, Mark, Place, Role, Sheet, Stroke, Text
from sheets.page.rows import in_rows
from sheets.theme.theme import Theme
from tests import making
from tests.pattern_reader import rows_of, shortest_unit, solve_copy, solve_gaps, solve_odd

STAGES = range(7)
SEEDS = range(4)
NEAR = 1e-6


@cache
def pond() -> Theme:
    return load("reedy-pond")


@cache
def words() -> Mapping[str, str]:
    """What a drawing is called by the program -> the theme's word, of all of its sections."""
    theme = pond()
    found = {word.picture.name: word.text for word in theme.words}
    return found | {step.picture.name: step.word for step in theme.steps}


def word_of(mark: Mark) -> str:
    assert isinstance(mark, Place)
    return words().get(mark.artwork.alt, mark.artwork.alt)


@cache
def sheet_of(kind: str, stage: int, seed: int = 0) -> Sheet:
    return make_sheet(kind, Source(pond()), stage, Options(seed=seed, name="Zuzë"))


def named(marks: Sequence[Mark], prefix: str) -> list[Mark]:
    return [mark for mark in marks if re.fullmatch(prefix + r"\d+", getattr(mark, "id", ""))]


def told_rows(text: str) -> list[list[str]]:
    rows = text.split("; ")
    if len(rows) > 1:
        assert [row.partition(": ")[0] for row in rows] == [
            f"row {number}" for number in range(1, len(rows) + 1)
        ]
        rows = [row.partition(": ")[2] for row in rows]
    return [row.split(", ") for row in rows]


def check_rows(text: str, seen: Sequence[tuple[BBox, str]]) -> None:
    """The words of a text stand on the page as it says, in one way where some are alike."""
    rows = told_rows(text)
    names = [name for row in rows for name in row]
    assert sorted(names) == sorted(name for _, name in seen)
    boxes_of = {name: [area for area, other in seen if other == name] for name in names}
    ways = itertools.product(*(itertools.permutations(boxes) for boxes in boxes_of.values()))
    assert any(
        stand_so(rows, {name: list(boxes) for name, boxes in zip(boxes_of, way, strict=True)})
        for way in ways
    ), text


def stand_so(rows: Sequence[Sequence[str]], left: dict[str, list[BBox]]) -> bool:
    """Whether boxes, taken name by name, stand from left to right in rows below each other."""
    boxes = [[left[name].pop(0) for name in row] for row in rows]
    along = all(a.x1 <= b.x0 + NEAR for row in boxes for a, b in itertools.pairwise(row))
    down = all(
        min(box.y0 for box in above) >= max(box.y1 for box in below) - NEAR
        for above, below in itertools.pairwise(boxes)
    )
    return along and down


# --- what is kept ---------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_every_page_of_a_key_is_kept_as_an_answer_with_the_marks_it_shows(kind: str) -> None:
    for stage in STAGES:
        sheet = sheet_of(kind, stage)
        assert len(sheet.answers) == len(sheet.key)
        for answer, page in zip(sheet.answers, sheet.key, strict=True):
            start = page.marks.index(answer.marks[0])
            assert page.marks[start : start + len(answer.marks)] == answer.marks
            shown = " ".join(mark.text for mark in page.marks if isinstance(mark, Text))
            assert f"Adult key: {answer.title}" in shown
            assert all(note.split()[0] in shown for note in answer.notes)
            assert answer.paper == page.paper
            assert not answer.credit or answer.credit[:20] in shown
            assert "\n" not in answer.text


def test_a_draft_is_said_of_pages_in_a_language_that_nobody_has_checked() -> None:
    source = Source(pond())
    sheet = make_sheet("sequence", source, 3, Options(language="de"))

    assert sheet.answers[0].draft
    assert not sheet_of("sequence", 3).answers[0].draft


def test_only_pictures_to_colour_need_their_picture() -> None:
    without = {
        kind
        for kind in KINDS
        for stage in STAGES
        for answer in sheet_of(kind, stage).answers
        if not answer.text
    }

    assert without == {"colour-copy"}


# --- rows -----------------------------------------------------------------------------------------


def box(x: float, y: float, high: float = 10.0) -> BBox:
    return BBox(x, y, x + 10.0, y + high)


def test_things_are_told_row_by_row_from_the_left() -> None:
    boxes = [box(20, 0), box(0, 20), box(20, 22), box(0, 1)]

    assert in_rows(boxes, ["d", "a", "b", "c"]) == "row 1: a, b; row 2: c, d"
    assert in_rows(boxes[1:3], ["a", "b"]) == "a, b"


def test_nothing_is_told_of_things_that_stand_in_no_rows() -> None:
    assert in_rows([box(0, 0, 30), box(20, 0), box(20, 15)], ["a", "b", "c"]) == ""


# --- kinds ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("stage", STAGES)
def test_sequence(stage: int, seed: int) -> None:
    first, *more = sheet_of("sequence", stage, seed).answers
    answers = named(first.marks, "answer-")
    in_order = [word_of(mark) for mark in sorted(answers, key=lambda m: int(m.id.split("-")[1]))]

    assert first.text == ", ".join(in_order)
    for answer in more:
        numbers = {m.id: m.text for m in named(answer.marks, "key-") if isinstance(m, Text)}
        cards = [m for m in named(answer.marks, "card-") if isinstance(m, Place)]
        said = answer.text.removeprefix("cards as printed: ").split(", ")
        # The number on each card is the place of its word in the order.
        assert [word_of(card) for card in cards] == said
        assert [in_order[int(numbers[f"key-{k}"]) - 1] for k in range(1, len(said) + 1)] == said


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("stage", STAGES)
def test_shadow_match(stage: int, seed: int) -> None:
    board, cards = sheet_of("shadow-match", stage, seed).answers
    numbers = {m.id: m.text for m in named(cards.marks, "key-") if isinstance(m, Text)}
    labels = [m.text for m in board.marks if isinstance(m, Text)]
    seen = [
        (mark_bbox(mark), f"{name}{' (no card)' if f'{name}: no card' in labels else ''}")
        for mark in named(board.marks, "answer-")
        for name in [word_of(mark)]
    ]
    check_rows(board.text, seen)
    check_rows(
        cards.text,
        [
            (
                mark_bbox(mark),
                word_of(mark)
                + (
                    " (no shadow)" if "no shadow" in numbers[mark.id.replace("card", "key")] else ""
                ),
            )
            for mark in named(cards.marks, "card-")
            if isinstance(mark, Place)
        ],
    )


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("stage", STAGES)
def test_trace_match(stage: int, seed: int) -> None:
    (answer,) = sheet_of("trace-match", stage, seed).answers
    assert answer.text
    texts = [mark for mark in answer.marks if isinstance(mark, Text)]
    things = [name for row in told_rows(answer.text) for name in row]
    seen = []
    for mark in named(answer.marks, "outline-"):
        area = mark_bbox(mark)
        within = [t for t in texts if area.x0 < t.x < area.x1 and area.y0 < t.y < area.y1]
        read = " ".join(t.text for t in sorted(within, key=lambda t: -t.y))
        names = [name for name in things if name in read]
        seen.append((area, names[0] if names else "no thing"))
        assert names or read.startswith("left over: no thing fits")
    check_rows(answer.text, seen)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("stage", STAGES)
def test_letter_match(stage: int, seed: int) -> None:
    (answer,) = sheet_of("letter-match", stage, seed).answers
    lines = named(answer.marks, "answer-target-")
    choices = [m for m in answer.marks if isinstance(m, Text) and m.role is Role.CHOICE]
    if lines:
        found = []
        for line in lines:
            assert isinstance(line, Stroke)
            (target,) = [m for m in answer.marks if m.id == line.id.removeprefix("answer-")]
            shown = target.text if isinstance(target, Text) else word_of(target)
            assert abs(mark_bbox(target).center[0] - line.paths[0].start[0]) < 0.5
            found.append(f"{shown} to {nearest(choices, line.paths[0]).text}")
        assert answer.text == ", ".join(found)
        return
    below: dict[str, list[str]] = {}
    for mark in answer.marks:
        if isinstance(mark, Text) and mark.role is Role.ADULT:
            (cell,) = [c for c in choices if within_one_box(answer, mark, c)]
            below.setdefault(cell.text, []).append(mark.text.removeprefix("card "))
    told = {part.partition(": ")[0]: part.partition(": ")[2] for part in answer.text.split("; ")}
    assert {choice: sorted(names.split(", ")) for choice, names in told.items()} == {
        choice: sorted(names) for choice, names in below.items()
    }


def nearest(choices: Sequence[Text], line: Path) -> Text:
    """The choice that a line ends at."""
    x, y = line.end

    def away(choice: Text) -> float:
        area = mark_bbox(choice)
        return abs(area.center[0] - x) + max(area.y0 - y, y - area.y1, 0.0)

    return min(choices, key=away)


def within_one_box(answer: Answer, *marks: Mark) -> bool:
    boxes = [
        m.paths[0].bbox for m in answer.marks if isinstance(m, Stroke) and m.role is Role.CHOICE
    ]
    return any(all(area.contains(mark_bbox(mark)) for mark in marks) for area in boxes)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("stage", STAGES)
def test_sort_mat(stage: int, seed: int) -> None:
    for answer in sheet_of("sort-mat", stage, seed).answers:
        found = []
        for area in named(answer.marks, "area-"):
            inside = [
                m
                for m in answer.marks
                if isinstance(m, Text) and area.paths[0].bbox.x0 < m.x < area.paths[0].bbox.x1  # type: ignore[union-attr]
            ]
            (name,) = [m.text for m in inside if m.id]
            listed = [m.text for m in sorted(inside, key=lambda m: -m.y) if not m.id]
            if listed:
                found.append(f"{name}: {', '.join(listed)}")
        assert answer.text == "; ".join(found)


FORMS = [(0, "lay"), (1, "match"), (2, "mend"), (3, "copy"), (4, "copy"), (4, "mend"), (5, "odd"),
         (5, "carry-on"), (6, "carry-on"), (6, "unit"), (6, "odd")]  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("stage", "form"), FORMS)
def test_pattern(stage: int, form: str, seed: int) -> None:
    options = Options(seed=seed)
    task = making.pattern.from_theme(pond(), stage, options, form=form)
    sheet = making.make(task, options)
    (answer,) = sheet.answers
    names = dict(words())
    rows = rows_of(sheet.pages[0].marks, names)
    told = [part.removeprefix(f"row {i}: ") for i, part in enumerate(answer.text.split("; "), 1)]
    if form in ("mend", "carry-on"):
        assert told == [said(solve_gaps(row)) for row in rows]
    elif form in ("copy", "match"):
        found = solve_copy(sheet.pages[0].marks, names, above=True)
        by_row: dict[str, list[str]] = {}
        for place, shown in found.items():
            by_row.setdefault(place.split("-")[1], []).append(shown)
        assert [", ".join(row) for row in by_row.values()] == [
            part.partition(" in ")[0] for part in told
        ]
    elif form == "odd":
        for row, part in zip(rows, told, strict=True):
            changes = [
                f"place {[p.id for p in row].index(place) + 1} is "
                f"{next(p.shows for p in row if p.id == place)}, should be {other}"
                for place, other in solve_odd(row)
            ]
            assert part in changes
    elif form == "unit":
        units = [shortest_unit([p.shows for p in row]) for row in rows]
        assert told == [f"ring round {', '.join(unit)}" for unit in units]
    else:
        assert told == [", ".join(p.shows or "" for p in row) for row in rows]


def said(found: Mapping[str, str]) -> str:
    places = [int(place.rpartition("-")[2]) for place in found]
    names = ", ".join(found.values())
    if len(places) == 1:
        return f"{names} in place {places[0]}"
    if len(places) > 2 and places == list(range(places[0], places[-1] + 1)):
        return f"{names} in places {places[0]} to {places[-1]}"
    return f"{names} in places {', '.join(map(str, places[:-1]))} and {places[-1]}"
