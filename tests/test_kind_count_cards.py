"""Counting sheets: solved by counting the pictures on the finished pages; sizes and places."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter, defaultdict
from collections.abc import Sequence
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.errors import FitError, InputError
from shapes.path import BBox
from sheets.check.unmeasured import likely_skill
from sheets.files.theme_file import load
from sheets.kinds import toolkit as kit
from sheets.kinds.count_cards import groups
from sheets.kinds.count_cards.task import ANSWERS, FORMS, CountTask
from sheets.kinds.options import Options
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Page, Place, Role, Sheet, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import count_cards, make

MARKED = range(1, 7)
LARGEST = (2, 3, 3, 5, 5, 10, 10)
WAYS = [(stage, form, answer) for stage, forms in FORMS.items() for form in forms
        for answer in ANSWERS[form]]  # fmt: skip
NEEDS: tuple[tuple[str, ...], ...] = ((), ("low-vision",), ("mouths-objects",))

# Upper critical values of chi-squared at p = 0.01 (NIST/SEMATECH e-Handbook of Statistical Methods,
# 2012, section 1.3.6.7.4, itl.nist.gov/div898/handbook), by degrees of freedom.
CRITICAL = {1: 6.635, 2: 9.210}


def task_of(stage: int, options: Options | None = None, **chosen: Any) -> CountTask:
    task: CountTask = count_cards.from_theme(pond(), stage, options or Options(), **chosen)
    return task


@cache
def pond() -> Any:
    return load("reedy-pond")


def sheet_of(stage: int, options: Options | None = None, **chosen: Any) -> Sheet:
    options = options or Options()
    return make(task_of(stage, options, **chosen), options)


# --- a reader that knows marks only ---------------------------------------------------------------


def counted(marks: Sequence[Mark]) -> dict[int, list[BBox]]:
    """Item -> boxes of its pictures."""
    found: dict[int, list[BBox]] = defaultdict(list)
    for mark in marks:
        if isinstance(mark, Place) and mark.role is Role.TARGET:
            found[mark.item].append(mark_bbox(mark))
    return found


def boxes_of(marks: Sequence[Mark], role: Role) -> dict[str, tuple[int, BBox]]:
    """Id -> item and box inside the line, of frames with that role."""
    return {
        mark.id: (mark.item, mark.paths[0].bbox.grown(-mark.width / 2.0))
        for mark in marks
        if isinstance(mark, Stroke) and mark.role is role and mark.paths[0].closed
    }


def numerals_in(marks: Sequence[Mark], box: BBox, *roles: Role) -> list[int]:
    return [
        int(m.text)
        for m in marks
        if isinstance(m, Text) and m.role in roles and box.contains(mark_bbox(m))
    ]


def solved(marks: Sequence[Mark]) -> dict[int, str]:
    """Item -> the box whose numeral is how many pictures there are."""
    found = {}
    boxes = boxes_of(marks, Role.CHOICE)
    for item, pictures in counted(marks).items():
        right = [
            name
            for name, (of, box) in boxes.items()
            if of == item and numerals_in(marks, box, Role.CHOICE) == [len(pictures)]
        ]
        (found[item],) = right
    return found


@pytest.mark.parametrize("answer", ANSWERS["mark"])
@pytest.mark.parametrize("stage", MARKED)
def test_counting_finds_the_answer_of_the_key(stage: int, answer: str) -> None:
    for seed in range(4):
        sheet = sheet_of(stage, Options(seed=seed), form="mark", answer=answer, groups=5)
        found = [solved(page.marks) for page in sheet.pages]
        assert [name for page in found for name in page.values()] == sheet.parameters["answer"]
        assert len(sheet.answers) == len(found) >= 2
        for answers, page in zip(sheet.answers, found, strict=True):
            boxes = boxes_of(answers.marks, Role.CHOICE)
            rings = [m.paths[0].bbox for m in answers.marks
                     if isinstance(m, Stroke) and m.id.startswith("answer-")]  # fmt: skip
            ringed = [n for ring in rings for n, (_, b) in boxes.items() if ring.contains(b)]
            assert ringed == list(page.values())
            said = [int(part.split()[-1]) for part in answers.text.split(", ")]
            assert said == [len(pictures) for pictures in counted(answers.marks).values()]


@pytest.mark.parametrize("stage", [3, 4, 5])
def test_each_number_card_belongs_to_one_frame(stage: int) -> None:
    for seed in range(4):
        sheet = sheet_of(stage, Options(seed=seed), form="match")
        board, cards = sheet.pages
        amounts = {f"box-{item}": len(found) for item, found in counted(board.marks).items()}
        papers = {m.id: mark_bbox(m) for m in cards.marks if isinstance(m, Fill)
                  and m.role is Role.CARD and m.colour == "#ffffff"}  # fmt: skip
        shown = {name: numerals_in(cards.marks, box, Role.CARD) for name, box in papers.items()}
        assert len(set(amounts.values())) == len(amounts) == len(shown) >= 3
        laid = {box: name for box, n in amounts.items() for name, v in shown.items() if v == [n]}
        assert laid == sheet.parameters["answer"]
        # The box takes the card, with 4 mm to spare.
        inner = boxes_of(board.marks, Role.ANSWER_SPACE)
        for box, name in laid.items():
            assert inner[box][1].width - papers[name].width > 2.0


@pytest.mark.parametrize("stage", [3, 4, 5, 6])
def test_empty_frames_have_five_or_ten_equal_places(stage: int) -> None:
    sheet = sheet_of(stage, form="fill")
    (page,) = sheet.pages
    places = boxes_of(page.marks, Role.ANSWER_SPACE)
    per = Counter(item for item, _ in places.values())
    assert set(per.values()) == {5 if stage < 5 else 10}
    assert {round(box.width, 6) for _, box in places.values()} == {
        round(box.height, 6) for _, box in places.values()
    }
    numbers = [int(m.text) for m in page.marks if isinstance(m, Text) and m.role is Role.MODEL]
    assert sheet.parameters["answer"] == numbers
    (answer,) = sheet.answers
    dots = [len(m.paths) for m in answer.marks if isinstance(m, Fill) and m.role is Role.ADULT]
    assert dots == numbers
    assert all(len(m.paths) == n for m, n in zip(shown_dots(page), numbers, strict=False))
    assert bool(shown_dots(page)) == (stage % 2 == 1)


def shown_dots(page: Page) -> list[Fill]:
    return [m for m in page.marks if isinstance(m, Fill) and m.role is Role.MODEL]


def test_stage_0_has_a_card_for_each_box() -> None:
    board, cards = sheet_of(0).pages
    boxes = boxes_of(board.marks, Role.ANSWER_SPACE)
    assert Counter(item for item, _ in boxes.values()) == {1: 1, 2: 2}
    numbers = {m.item: int(m.text) for m in board.marks
               if isinstance(m, Text) and m.role is Role.MODEL}  # fmt: skip
    assert numbers == {1: 1, 2: 2} == {m.item: len(m.paths) for m in shown_dots(board)}
    papers = [m for m in cards.marks if isinstance(m, Fill) and m.role is Role.CARD]
    assert len(papers) == len(boxes)
    for paper in papers:
        assert paper.paths[0].bbox.width == pytest.approx(60.0)
        assert all(box.width > 62.0 for _, box in boxes.values())
    assert len(sheet_of(0, groups=1).parameters["answer"]) == 1  # type: ignore[arg-type]


# --- what is asked --------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", MARKED)
def test_amounts_and_numbers_of_a_thousand_seeds(stage: int) -> None:
    first, ranks = Counter[int](), Counter[int]()
    for seed in range(1000):
        task = task_of(stage, Options(seed=seed), form="mark")
        places = []
        for group in task.groups:
            assert 1 <= group.amount <= LARGEST[stage]
            assert len(set(group.numbers)) == len(group.numbers) == (2 if stage < 3 else 3)
            assert all(1 <= n <= 10 for n in group.numbers)
            wrong = [abs(n - group.amount) for n in group.numbers if n != group.amount]
            assert len(wrong) == len(group.numbers) - 1
            assert (min(wrong) == 1) if stage >= 5 else (min(wrong) >= 2)
            places.append(group.numbers.index(group.amount))
            ranks[sorted(group.numbers).index(group.amount)] += 1
        assert len(set(places)) > 1
        first[places[0]] += 1
    count = len(task.groups[0].numbers)
    assert len(first) == count == len(ranks)
    even = 1000 / count
    assert sum((n - even) ** 2 / even for n in first.values()) < CRITICAL[count - 1]


def test_the_right_number_is_not_always_the_one_in_the_middle() -> None:
    """Within a range that leaves room on both sides: seven has two numbers below and above it."""
    ranks = Counter[int]()
    for seed in range(400):
        for group in task_of(5, Options(seed=seed)).groups:
            if 7 <= group.amount <= 8:
                ranks[sorted(group.numbers).index(group.amount)] += 1
    even = sum(ranks.values()) / 3
    assert sum((n - even) ** 2 / even for n in ranks.values()) < CRITICAL[2]


def test_the_ladder_shows_on_the_page() -> None:
    """Rows, then any arrangement, frames, scattered; dots beside numerals, then numerals alone."""
    for seed in range(10):
        tops: dict[int, list[set[float]]] = {}
        for stage in MARKED:
            (page,) = sheet_of(stage, Options(seed=seed), form="mark").pages
            tops[stage] = [{round(b.center[1], 3) for b in g} for g in counted(page.marks).values()]
            dots = [m for m in page.marks if isinstance(m, Fill) and m.role is Role.CHOICE]
            assert bool(dots) == (stage <= 3)
            for mark in dots:
                (numeral,) = [m.text for m in page.marks if isinstance(m, Text) and m.id == mark.id]
                assert len(mark.paths) == int(numeral)
        assert all(len(rows) == 1 for stage in (1, 3, 4) for rows in tops[stage])
        assert all(len(rows) <= 2 for rows in tops[5])
        assert all(len(rows) > 2 for rows in tops[6])


def test_frames_are_filled_from_the_upper_left() -> None:
    for stage in (3, 5):
        (page,) = sheet_of(stage, form="mark").pages
        for item, pictures in counted(page.marks).items():
            frame = [m for m in page.marks if isinstance(m, Stroke) and m.id == f"frame-{item}"]
            places = [m.paths[0].bbox for m in frame]
            assert len(places) == (5 if stage == 3 else 10)
            taken = [i for i, place in enumerate(places) for b in pictures if place.contains(b)]
            assert taken == list(range(len(pictures)))


# --- sizes ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("needs", NEEDS, ids=str)
@pytest.mark.parametrize(("stage", "form", "answer"), WAYS)
def test_every_page_keeps_the_limits(
    stage: int, form: str, answer: str, needs: tuple[str, ...]
) -> None:
    for paper, hand, ink in ((LETTER, "left", "normal"), (A4, "right", "saver")):
        options = Options(paper=paper, hand=hand, ink=ink, seed=stage, needs=needs)  # type: ignore[arg-type]
        sheet = sheet_of(stage, options, form=form, answer=answer)
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        assert not any(ink_outside(page, 12.7 - 1e-9) for page in sheet.pages)
        assert {f.limit for f in sheet.findings} >= expected(form)


def expected(form: str) -> set[str]:
    """What has to have been measured."""
    if form == "mark":
        return {"amount", "counted size", "choices", "choice box", "items per page"}
    return {"cell size"} | ({"amount", "counted size"} if form == "match" else set())


@pytest.mark.parametrize("stage", MARKED)
def test_things_of_a_group_are_equal_apart_and_not_small(stage: int) -> None:
    for seed in range(3):
        (page,) = sheet_of(stage, Options(seed=seed), form="mark").pages
        for pictures in counted(page.marks).values():
            sizes = {(round(b.width, 3), round(b.height, 3)) for b in pictures}
            assert len(sizes) == 1
            assert max(sizes.pop()) >= (20.0 if stage < 3 else 15.0)
            for a, b in itertools.combinations(pictures, 2):
                gap = max(b.x0 - a.x1, a.x0 - b.x1, b.y0 - a.y1, a.y0 - b.y1)
                assert gap >= 3.0
        for _, box in boxes_of(page.marks, Role.CHOICE).values():
            assert min(box.width, box.height) >= 20.0


def test_large_for_low_vision() -> None:
    for stage in MARKED:
        low = Options(needs=("low-vision",))
        usual, large = (sheet_of(stage, o, form="mark") for o in (Options(), low))
        assert len(counted(large.pages[0].marks)) < len(counted(usual.pages[0].marks))
        smallest = [min(max(b.width, b.height) for g in counted(s.pages[0].marks).values()
                        for b in g) for s in (usual, large)]  # fmt: skip
        assert smallest[1] >= smallest[0]
        marks = [m for m in large.pages[0].marks if m.role is Role.CHOICE]
        assert all(m.width >= 2.0 for m in marks if isinstance(m, Stroke) and m.paths[0].closed)


def test_six_and_nine_stand_on_a_line() -> None:
    found = set()
    for (stage, form), seed in itertools.product(
        ((6, "mark"), (5, "match"), (6, "fill")), range(6)
    ):
        for page in sheet_of(stage, Options(seed=seed), form=form).pages:
            for text in page.marks:
                if (
                    not isinstance(text, Text)
                    or not text.text.isdecimal()
                    or text.role is Role.ADULT
                ):
                    continue
                box = mark_bbox(text)
                lines = [
                    m.paths[0].bbox
                    for m in page.marks
                    if isinstance(m, Stroke) and m.id == text.id and not m.paths[0].closed
                    and box.x0 - 0.1 < m.paths[0].bbox.x0 < box.x1
                ]  # fmt: skip
                assert len(lines) == (text.text in ("6", "9"))
                assert all(line.height == 0.0 and 0.5 < box.y0 - line.y0 < 6.0 for line in lines)
                found.add(text.text)
    assert {"6", "7", "8", "9", "10"} <= found


# --- care -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("stage", "form"), [(1, "mark"), (3, "mark"), (3, "fill"), (5, "fill")])
def test_cards_instead_of_counters_for_a_child_who_mouths_things(stage: int, form: str) -> None:
    plain = sheet_of(stage, form=form, answer="lay")
    assert "counters" in {m.name for m in plain.materials if m.caution == "small-parts"}
    assert any("small parts" in line for line in plain.cautions)
    assert any("small parts" in line for line in plain.adult_lines)

    mouths = Options(needs=("mouths-objects",))
    sheet = sheet_of(stage, mouths, form=form, answer="lay")
    assert "counters" not in {m.name for m in sheet.materials}
    cards = [m.paths[0].bbox for m in sheet.pages[-1].marks
             if isinstance(m, Fill) and m.role is Role.CARD]  # fmt: skip
    amounts = sheet.parameters["amounts"]
    assert isinstance(amounts, list)
    assert len(cards) == (len(amounts) if form == "mark" else max(amounts))
    # 16 CFR 1501.4: the small-parts cylinder is 31.7 mm (1.25 in) wide.
    assert all(min(card.width, card.height) > 31.75 for card in cards)
    role = Role.CHOICE if form == "mark" else Role.ANSWER_SPACE
    places = boxes_of(sheet.pages[0].marks, role).values()
    assert all(box.width >= cards[0].width - 2.0 for _, box in places)


def test_pictures_of_several_things_are_left_out() -> None:
    words = ["cherries", "duck", "grapes", "paw prints"]
    for seed in range(20):
        task: CountTask = count_cards.from_words(words, 2, Options(seed=seed))
        assert {group.step.word for group in task.groups} == {"duck"}
    for name in FIRST_THREE:
        for seed in range(20):
            drawn = count_cards.from_theme(load(name), 2, Options(seed=seed))
            assert not {g.step.picture.id.partition("-")[0] for g in drawn.groups} & kit.SEVERAL


def test_title_and_frame_are_the_same_at_every_stage() -> None:
    heads = set()
    for stage in MARKED:
        page = sheet_of(stage, form="mark").pages[0]
        heads.add(tuple(m for m in page.marks if m.id in ("title", "name-line", "badge")))
        edges = [m.paths[0].bbox for m in page.marks
                 if isinstance(m, Stroke) and m.id.startswith("cell-")]  # fmt: skip
        around = BBox.around(c for b in edges for c in ((b.x0, b.y0), (b.x1, b.y1)))
        assert (round(around.width), round(around.height)) == (172, 194)
    assert len(heads) == 1


def test_the_skill_of_a_page_is_told_from_its_marks() -> None:
    for stage, form in ((0, "lay"), (1, "mark"), (4, "match"), (6, "mark"), (3, "fill")):
        sheet = sheet_of(stage, form=form)
        skills = {likely_skill(page) for page in sheet.pages}
        assert "number" in skills
        assert skills <= {"number", "sequence", "pattern", None}


# --- places of things -----------------------------------------------------------------------------


@settings(max_examples=150, deadline=None)
@given(
    wide=st.floats(150.0, 170.0),
    high=st.floats(50.0, 120.0),
    amount=st.integers(1, 10),
    seed=st.integers(0, 10_000),
)
def test_scattered_things_never_meet(wide: float, high: float, amount: int, seed: int) -> None:
    area = BBox(20.0, 40.0, 20.0 + wide, 40.0 + high)
    places = groups.scattered(area, amount, 18.0, random.Random(seed)).things
    assert len(places) == amount
    assert len({round(box.width, 9) for box in places}) == 1
    assert 15.0 <= round(places[0].width, 9) <= 18.0
    assert all(area.contains(box) for box in places)
    for a, b in itertools.combinations(places, 2):
        across, up = abs(a.x0 - b.x0), abs(a.y0 - b.y0)
        assert max(across, up) >= a.width + groups.GAP - 1e-9


@given(
    wide=st.floats(60.0, 170.0),
    high=st.floats(35.0, 100.0),
    amount=st.integers(1, 3),
    seed=st.integers(0, 1000),
)
def test_things_as_on_dice_never_meet(wide: float, high: float, amount: int, seed: int) -> None:
    area = BBox(0.0, 0.0, wide, high)
    places = groups.as_on_dice(area, amount, 24.0, random.Random(seed)).things
    assert len(places) == amount
    assert all(area.contains(box) for box in places)
    for a, b in itertools.combinations(places, 2):
        assert max(abs(a.x0 - b.x0), abs(a.y0 - b.y0)) >= a.width + groups.GAP - 1e-9


@given(wide=st.floats(50.0, 170.0), high=st.floats(20.0, 100.0), amount=st.integers(1, 10))
def test_places_of_a_frame_are_equal_squares_side_by_side(
    wide: float, high: float, amount: int
) -> None:
    area = BBox(10.0, 10.0, 10.0 + wide, 10.0 + high)
    boxes = groups.frame_boxes(area, amount)
    side = boxes[0].width
    assert len(boxes) == (5 if amount <= 5 else 10)
    for i, box in enumerate(boxes):
        assert math.isclose(box.height, side)
        assert area.contains(box)
        assert math.isclose(box.x0, boxes[0].x0 + i % 5 * side)
        assert math.isclose(box.y1, boxes[0].y1 - i // 5 * side, abs_tol=1e-9)


# --- what is refused ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "chosen", "message"),
    [
        (1, {"form": "fill"}, "`form`: stage 1 has no task 'fill'; use mark, or a stage that has "
         "it: 3, 4, 5, 6"),
        (0, {"form": "mark"}, "`form`: stage 0 has no task 'mark'; use lay, or a stage that has "
         "it: 1, 2, 3, 4, 5, 6"),
        (3, {"form": "sing"}, "`form`: there is no task 'sing'; use mark or match or fill"),
        (3, {"answer": "shout"}, "`as`: the task mark is not answered by 'shout'; use lay or draw "
         "or clip"),
        (4, {"groups": 5}, "`groups`: the task match of stage 4 has 4 at most; use 4 or fewer, or "
         "leave it out"),
        (0, {"groups": 3}, "`groups`: the task lay of stage 0 has 2 at most; use 2 or fewer, or "
         "leave it out"),
        (4, {"answer": "draw"}, "`as`: the task match is not answered by 'draw'; use lay"),
    ],
)  # fmt: skip
def test_bad_choices(stage: int, chosen: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as caught:
        task_of(stage, **chosen)
    assert str(caught.value) == message


def test_no_picture_of_one_thing() -> None:
    with pytest.raises(InputError) as caught:
        count_cards.from_words(["cherries", "grapes"], 2, Options())
    assert str(caught.value) == (
        "words: every picture shows more than one thing, so that its amount is not clear; "
        "give a picture of one thing, such as duck"
    )
    with pytest.raises(InputError, match="0 pictures where 1 are needed"):
        count_cards.from_words([], 2, Options())


def test_scattered_things_that_do_not_fit() -> None:
    with pytest.raises(FitError, match="10 scattered things of 15 mm do not fit 60 x 40 mm"):
        groups.scattered(BBox(0.0, 0.0, 60.0, 40.0), 10, 18.0, random.Random(0))
