"""Sequence pages: sizes, limits, furniture, and what the adult is told."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re

import pytest

from sheets.check.guidance import limits
from sheets.files.theme_file import load
from sheets.kinds.options import Hand, Options
from sheets.kinds.sequence.section import SEQUENCES
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Place, Role, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.making import make, sequence
from tests.sequence_reader import (
    GARDEN,
    STAGES,
    STEPS,
    boxes_of,
    cards_of,
    drawn,
    ids,
    order_of,
    printed,
    read_order,
)

draw = sequence.drawn
from_theme = sequence.from_theme

THEMES = FIRST_THREE


# --- sizes, limits, furniture ---------------------------------------------------------------------


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("hand", ["left", "right"])
def test_every_stage_is_within_guidance(name: str, stage: int, paper: object, hand: Hand) -> None:
    options = Options(paper=A4 if paper is A4 else LETTER, hand=hand, name="Zuzë", seed=5)
    theme = load(name)
    sheet = make(from_theme(theme, stage, options), options)

    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert len(order_of(sheet)) == min(STEPS[stage], len(theme.rows(SEQUENCES)[0].steps))
    assert len(sheet.pages) == (2 if stage == 0 else 1)


def test_sizes_stage_by_stage() -> None:
    sizes = []
    for stage in STAGES:
        marks, _, _ = drawn(from_theme(GARDEN, stage, Options()), Options())
        cards, boxes = list(cards_of(marks).values()), list(boxes_of(marks).values())
        for group in (cards, boxes):
            assert len({(round(b.width, 6), round(b.height, 6)) for b in group}) == 1
        assert min(cards[0].width, cards[0].height) > 31.75  # 16 CFR 1501.4, cylinder
        sizes.append(
            tuple(
                round(v, 6)
                for v in (boxes[0].width, boxes[0].height, cards[0].width, cards[0].height)
            )
        )
    assert sizes == [
        (84.0, 84.0, 76.0, 76.0),
        (68.0, 60.0, 60.0, 52.0),
        (68.0, 60.0, 60.0, 52.0),
        (56.0, 62.0, 50.0, 56.0),
        (44.0, 56.0, 38.0, 50.0),
        (50.0, 43.0, 45.0, 38.0),
        (44.0, 40.0, 40.0, 36.0),
    ]  # fmt: skip


def test_cards_keep_the_small_parts_and_size_limits() -> None:
    for stage in range(1, 7):
        marks, _, _ = drawn(from_theme(GARDEN, stage, Options()), Options())
        card = next(iter(cards_of(marks).values()))
        here = limits("sequence", stage)
        assert here["card_size"].allows(max(card.width, card.height))
        assert here["loose_piece_width"].allows(min(card.width, card.height))
        assert here["pictures"].allows(float(STEPS[stage]))
        assert not here["pictures"].allows(float(STEPS[stage]) + 1.0)


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_name_title_and_picture_are_the_same_at_every_stage(paper: object) -> None:
    options = Options(paper=A4 if paper is A4 else LETTER)
    seen = set()
    for stage in STAGES:
        for page in make(from_theme(GARDEN, stage, options), options).pages:
            seen.add(
                tuple(
                    (m.id, *(round(v, 3) for v in dataclasses.astuple(mark_bbox(m))))
                    for m in page.marks
                    if m.id in ("name-line", "title", "badge")
                )
            )
    assert len(seen) == 1
    assert [row[0] for row in seen.pop()] == ["name-line", "title", "badge"]


@pytest.mark.parametrize("stage", STAGES)
def test_all_marks_stay_in_the_work_area_and_apart(stage: int) -> None:
    for options in (Options(), Options(paper=A4, needs=("low-vision",))):
        task = from_theme(GARDEN, stage, options)
        pages, _ = draw(task, options)
        work = Frame(options.paper).work
        for marks in pages:
            assert all(work.grown(1.5).contains(mark_bbox(m)) for m in marks)
            cues = [mark_bbox(m) for m in marks if m.role is Role.GUIDE]
            things = [*boxes_of(marks).values(), *cards_of(marks).values()]
            for a, b in itertools.combinations([*cues, *things], 2):
                wide = min(a.x1, b.x1) - max(a.x0, b.x0)
                high = min(a.y1, b.y1) - max(a.y0, b.y0)
                assert min(wide, high) < 1e-6


@pytest.mark.parametrize("stage", STAGES)
def test_no_word_of_stage_or_level_on_the_childs_side(stage: int) -> None:
    sheet = make(from_theme(GARDEN, stage, Options()), Options())
    for page in sheet.pages:
        words = [m.text for m in page.marks if isinstance(m, Text)]
        assert not re.search(r"stage|level|score|easy|hard|\bsafe", " ".join(words), re.I)
        shown = [m.text for m in page.marks if isinstance(m, Text) and m.role is not Role.ADULT]
        assert set(shown) <= {"Planting a bean", "1", "2", "3", "4", "5", "6"}


def test_cues_count_the_boxes_with_dots_then_with_numerals() -> None:
    for stage in STAGES:
        marks, _, _ = drawn(from_theme(GARDEN, stage, Options()), Options())
        boxes = read_order(boxes_of(marks), clockwise=False)
        for number, name in enumerate(boxes, start=1):
            cue = next(m for m in marks if m.id == f"cue-{number}")
            box = boxes_of(marks)[name]
            assert mark_bbox(cue).center[0] == pytest.approx(box.center[0], abs=0.01)
            assert 0.0 < mark_bbox(cue).y0 - box.y1 < 6.0
            if stage <= 3:
                assert isinstance(cue, Fill)
                assert len(cue.paths) == number
            else:
                assert isinstance(cue, Text)
                assert (cue.text, cue.size_pt) == (str(number), 20.0)


def test_the_first_box_shows_its_picture_at_stages_0_and_1_and_on_a_wheel() -> None:
    for stage in STAGES:
        marks, _, _ = drawn(from_theme(GARDEN, stage, Options()), Options())
        models = [m for m in marks if m.role is Role.MODEL]
        assert len(models) == (1 if stage <= 1 else 0)
        if models:
            assert boxes_of(marks)["box-1"].contains(mark_bbox(models[0]))
    marks, _, _ = drawn(from_theme(GARDEN, 5, Options(), wheel=True), Options())
    model = next(m for m in marks if m.role is Role.MODEL)
    top = max(boxes_of(marks).values(), key=lambda box: box.y0)
    assert top.contains(mark_bbox(model))


@pytest.mark.parametrize("count", [3, 4, 5, 6])
def test_arrows_of_a_wheel_lead_from_each_box_to_the_next(count: int) -> None:
    task = from_theme(GARDEN, 6, Options(), wheel=True, steps=count)
    marks, _, _ = drawn(task, Options())
    boxes = [boxes_of(marks)[n] for n in read_order(boxes_of(marks), clockwise=True)]
    arrows = [m for m in marks if isinstance(m, Stroke) and m.role is Role.GUIDE]

    assert len(arrows) == count
    for i, arrow in enumerate(arrows):
        start, end = arrow.paths[0].start, arrow.paths[0].end
        nearest = [
            min(range(count), key=lambda k, at=at: math.dist(boxes[k].center, at))  # type: ignore[misc]
            for at in (start, end)
        ]
        assert nearest == [i, (i + 1) % count]


# --- the adult's side -----------------------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_the_count_of_cuts_is_printed_and_right(stage: int) -> None:
    options = Options()
    sheet = make(from_theme(GARDEN, stage, options), options)
    page = sheet.pages[-1]
    ticks = [m for m in page.marks if m.id.startswith("card-cut-")]
    text = " ".join(m.text for m in page.marks if isinstance(m, Text))
    cards = cards_of(page.marks)
    edges = {round(x, 3) for b in cards.values() for x in (b.x0, b.x1)}
    heights = {round(y, 3) for b in cards.values() for y in (b.y0, b.y1)}

    assert len(ticks) == len(edges) + len(heights) == sheet.parameters["cuts"]
    assert f"{len(ticks)} straight cuts:" in text
    assert "An adult cuts the cards beforehand:" in text


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("laminate", [False, True])
def test_cutting_at_the_printed_ticks_frees_each_card_and_crosses_none(
    stage: int, laminate: bool
) -> None:
    """Each card lies between two neighbouring cuts each way, as read off the finished page."""
    task = from_theme(GARDEN, stage, Options(), laminate=laminate)
    page = make(task, Options(seed=stage)).pages[-1]
    at: dict[str, list[float]] = {"across": [], "down": []}
    for mark in page.marks:
        if isinstance(mark, Stroke) and mark.id.startswith("card-cut-"):
            direction = dict(mark.data)["direction"]
            x, y = mark.paths[0].start
            at[direction].append(round(y if direction == "across" else x, 4))
    ways = [list(itertools.pairwise(sorted(at[d]))) for d in ("down", "across")]

    assert len(cards_of(page.marks)) == STEPS[stage]
    for card in cards_of(page.marks).values():
        assert (round(card.x0, 4), round(card.x1, 4)) in ways[0]
        assert (round(card.y0, 4), round(card.y1, 4)) in ways[1]


def test_materials_preparation_and_cautions() -> None:
    left = Options(hand="left", cutting_stage=6)
    child = make(from_theme(GARDEN, 4, left), left)
    adult = make(from_theme(GARDEN, 1, Options()), Options())
    film = make(from_theme(GARDEN, 5, Options(), laminate=True), Options())

    assert [(m.name, m.quantity, m.caution) for m in child.materials] == [
        ("printed sheet", 1, ""),
        ("left-handed scissors, blunt tips", 1, "scissors"),
        ("glue stick", 1, "glue"),
    ]
    assert [m.caution for m in adult.materials] == ["", "trimmer", "glue"]
    assert [(m.quantity, m.caution) for m in film.materials] == [
        (1, ""), (1, ""), (1, "trimmer"), (1, "laminator"), (5, "laminated"),
    ]  # fmt: skip
    assert film.preparation[1].startswith("Laminate the cut cards 8 mm apart")
    assert [page.stock for page in film.pages] == ["plain", "card"]
    order = printed(
        [m for page in film.pages for m in page.marks],
        ids(from_theme(GARDEN, 5, Options())),
    )
    words = ", ".join(order_of(film)[i] for i in order)
    assert film.preparation[2] == f"Lay the cards out as printed: {words}."
    assert child.cautions[0].startswith("Scissors:")
    assert adult.cautions[0].startswith("Trimmer:")
    assert all(s.cautions[-1].startswith("Usual caution only:") for s in (child, adult, film))


def test_needs() -> None:
    options = Options(needs=("low-vision", "mouths-objects"))
    task = from_theme(GARDEN, 6, options)
    sheet = make(task, options)
    marks = [m for page in sheet.pages for m in page.marks]

    assert len(task.steps) == 4
    assert len(cards_of(marks)) == 4
    assert any("small-parts cylinder" in line for line in sheet.cautions)
    for mark in marks:
        if isinstance(mark, Place) and mark.role is Role.CARD:
            lines = [s.width for s in mark.artwork.marks if isinstance(s, Stroke)]
            assert min(lines) * mark.at.scale >= 2.0 - 1e-6
        if isinstance(mark, Stroke) and mark.role in (Role.ANSWER_SPACE, Role.CUT):
            assert mark.width >= 2.0
        if isinstance(mark, Text) and mark.role is not Role.ADULT:
            assert mark.size_pt >= 18.0
    assert [f for f in sheet.findings if f.outside] == []
