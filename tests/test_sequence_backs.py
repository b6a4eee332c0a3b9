"""Backs of cards: the place on a back is the key's, and both sides meet, folded or turned."""

from __future__ import annotations

import pytest

from shapes.errors import InputError
from shapes.path import BBox
from sheets.files.theme_file import load
from sheets.kinds.options import Options
from sheets.kinds.sequence.backs import Backs
from sheets.page.card_backs import BACK_INSET
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Page, Paper, Role, Sheet, Stroke, Text
from tests.ink import ink_outside
from tests.making import make, sequence
from tests.sequence_reader import cards_of

from_theme = sequence.from_theme

GARDEN = load("bean-row-garden")
STAGES = range(7)


def sheet_of(stage: int, backs: Backs, options: Options | None = None, **more: bool) -> Sheet:
    options = options or Options()
    return make(from_theme(GARDEN, stage, options, backs=backs, **more), options)


def backs_of(page: Page) -> dict[str, Mark]:
    return {
        mark.id: mark
        for mark in page.marks
        if isinstance(mark, Text | Fill) and mark.id.startswith("back-")
    }


def place_of(mark: Mark) -> int:
    """What a back says: a number, or as many dots."""
    if isinstance(mark, Text):
        return int(mark.text)
    assert isinstance(mark, Fill)
    return len(mark.paths)


def middle_of(mark: Mark) -> tuple[float, float]:
    return mark_bbox(mark).center


def answer_of(sheet: Sheet) -> dict[str, int]:
    answer = sheet.parameters["answer"]
    assert isinstance(answer, dict)
    return {card: int(box.removeprefix("box-")) for card, box in answer.items()}


@pytest.mark.parametrize("stage", STAGES)
def test_a_back_says_the_place_of_its_card(stage: int) -> None:
    for way, page in (("fold", 1), ("long", 2), ("short", 2)):
        for seed in range(20):
            sheet = sheet_of(stage, way, Options(seed=seed))  # type: ignore[arg-type]
            found = {
                name.replace("back", "card"): place_of(mark)
                for name, mark in backs_of(sheet.pages[page]).items()
            }
            assert found == answer_of(sheet)


@pytest.mark.parametrize("stage", STAGES)
def test_a_folded_card_has_its_back_behind_its_front(stage: int) -> None:
    page = sheet_of(stage, "fold").pages[1]
    fronts, backs = cards_of(page.marks), backs_of(page)
    (folds,) = [m for m in page.marks if isinstance(m, Stroke) and m.id == "card-folds"]
    assert folds.dash
    assert len(folds.paths) == len(fronts) == len(backs)

    for (name, front), fold in zip(fronts.items(), folds.paths, strict=True):
        # The dashed line is the front's right edge; folding mirrors the back about it.
        assert fold.bbox.x0 == fold.bbox.x1 == pytest.approx(front.x1)
        assert (fold.bbox.y0, fold.bbox.y1) == pytest.approx((front.y0, front.y1))
        x, y = middle_of(backs[name.replace("card", "back")])
        assert 2.0 * front.x1 - x == pytest.approx(front.center[0], abs=0.01)
        assert y == pytest.approx(front.center[1], abs=0.01)


@pytest.mark.parametrize("paper", [LETTER, A4])
@pytest.mark.parametrize("stage", STAGES)
def test_on_two_sides_a_back_lies_behind_its_front(stage: int, paper: Paper) -> None:
    """Upright paper turned on its long edge swaps left and right, on its short edge head and foot
    (geometry of a turned sheet)."""
    for way in ("long", "short"):
        sheet = sheet_of(stage, way, Options(paper=paper))
        fronts = cards_of(sheet.pages[1].marks)
        for name, mark in backs_of(sheet.pages[2]).items():
            x, y = middle_of(mark)
            seen = (paper.width - x, y) if way == "long" else (x, paper.height - y)
            assert seen == pytest.approx(fronts[name.replace("back", "card")].center, abs=0.01)


def test_numbers_stand_upright_when_the_card_is_turned_like_a_page() -> None:
    """On paper turned on its short edge the other side is upside down."""
    turns = {}
    for way in ("long", "short"):
        page = sheet_of(6, way).pages[2]
        turns[way] = {m.turn_deg for m in backs_of(page).values() if isinstance(m, Text)}

    assert turns == {"long": {0.0}, "short": {180.0}}


@pytest.mark.parametrize("way", ["fold", "long", "short"])
@pytest.mark.parametrize("paper", [LETTER, A4])
@pytest.mark.parametrize("stage", STAGES)
def test_pages_with_backs_are_within_guidance(stage: int, paper: Paper, way: Backs) -> None:
    for more in ({}, {"laminate": True}):
        for needs in ((), ("low-vision",), ("mouths-objects",)):
            options = Options(paper=paper, needs=needs)
            sheet = sheet_of(stage, way, options, **more)
            assert not [finding for finding in sheet.findings if finding.outside]
            for page in sheet.pages:
                assert ink_outside(page, MARGIN - 0.2) == []


@pytest.mark.parametrize("stage", STAGES)
def test_what_is_printed_on_a_back_keeps_off_its_edges(stage: int) -> None:
    """Front and back of a sheet meet within some millimetres only."""
    sheet = sheet_of(stage, "long")
    wide = LETTER.width
    fronts = cards_of(sheet.pages[1].marks)
    for name, mark in backs_of(sheet.pages[2]).items():
        front = fronts[name.replace("back", "card")]
        box = BBox(wide - front.x1, front.y0, wide - front.x0, front.y1).grown(-BACK_INSET)
        assert box.contains(mark_bbox(mark))


def test_cards_with_backs_are_on_card_and_cut_by_an_adult() -> None:
    sheet = sheet_of(5, "fold")

    assert [page.stock for page in sheet.pages] == ["plain", "card"]
    assert sheet.parameters["cut_by"] == "adult"
    assert sheet.parameters["backs"] == "fold"
    assert not [m for m in sheet.pages[1].marks if isinstance(m, Stroke) and m.role is Role.CUT]
    assert "Fold each cut card backwards on the dashed line" in " ".join(sheet.preparation)
    laminated = " ".join(sheet_of(5, "fold", laminate=True).preparation)
    assert "Laminate the folded cards 8 mm apart" in laminated
    assert "turned on the short edge" in " ".join(sheet_of(5, "short").preparation)
    assert [m.name for m in sheet.materials].count("glue stick") == 1


def test_a_child_does_not_cut_cards_with_backs() -> None:
    options = Options()
    task = from_theme(GARDEN, 4, options, backs="fold", cut_by="child")
    with pytest.raises(InputError) as caught:
        make(task, options)

    assert str(caught.value) == (
        "`cut-by`: cards with backs are cut by an adult, so that both sides meet; leave it out, or "
        "print no backs"
    )
