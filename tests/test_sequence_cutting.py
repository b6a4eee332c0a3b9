"""Who cuts the cards of a sequence, and the lines: read off finished pages, for every stage."""

from __future__ import annotations

import itertools

import pytest

from shapes.errors import InputError
from shapes.path import BBox
from sheets.check.guidance import limits
from sheets.kinds.options import Options
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import LANE_TINT, Paper, Role, Sheet, Stroke, Text
from tests.making import make, sequence
from tests.sequence_reader import GARDEN, STAGES, boxes_of, cards_of, ids, solve

from_theme = sequence.from_theme

# Widths of the line to cut by cutting stage. 12.7, 6.35 and 3.2 mm are the published steps of the
# source `hosmer` of guidance.toml (1/2, 1/4 and 1/8 in); 10 and 4.8 mm lie between them.
LINES = {1: 12.7, 2: 12.7, 3: 10.0, 4: 6.35, 5: 4.8, 6: 3.2}


def line_of(sheet: Sheet) -> Stroke | None:
    """The lines to cut of the finished pages; None if there are none."""
    found = [m for p in sheet.pages for m in p.marks if m.role is Role.CUT]
    assert len(found) <= 1
    if not found:
        return None
    (line,) = found
    assert isinstance(line, Stroke)
    return line


def words_of(sheet: Sheet) -> str:
    return " ".join(m.text for p in sheet.pages for m in p.marks if isinstance(m, Text))


@pytest.mark.parametrize("cutting", [None, *range(7)])
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_who_cuts_and_the_line_for_every_pair_of_stages(
    stage: int, cutting: int | None, paper: Paper
) -> None:
    """The adult at cutting stages 0 to 2 and where it is unknown; at stage 0 cards come cut."""
    options = Options(paper=paper, cutting_stage=cutting, seed=stage)
    task = from_theme(GARDEN, stage, options)
    sheet = make(task, options)
    line, text = line_of(sheet), words_of(sheet)
    on_pages = [mark for page in sheet.pages for mark in page.marks]

    assert solve(on_pages, ids(task)) == sheet.parameters["answer"]
    assert [f.sentence() for f in sheet.findings if f.outside] == []
    if stage == 0 or cutting is None or cutting < 3:
        assert line is None
        assert "An adult cuts the cards beforehand:" in text
        assert (sheet.parameters["cut_by"], sheet.parameters["cut_line_mm"]) == ("adult", 0.0)
        return
    assert line is not None
    assert line.width == LINES[cutting] == sheet.parameters["cut_line_mm"]
    assert line.width >= (limits("cutting", cutting)["line_width"].minimum or 0.0)
    assert "The child cuts along the lines" in text
    assert not any(m.id.startswith("card-cut-") for m in on_pages)
    assert (line.lane is not None) == (line.width >= 4.0)
    assert line.lane is None or line.lane.tint == LANE_TINT


@pytest.mark.parametrize("cutting", range(3, 7))
@pytest.mark.parametrize("stage", range(1, 7))
@pytest.mark.parametrize("hand", ["left", "right"])
def test_lines_to_cut_lie_between_the_cards_and_free_each(
    stage: int, cutting: int, hand: str
) -> None:
    options = Options(cutting_stage=cutting, hand=hand)  # type: ignore[arg-type]
    sheet = make(from_theme(GARDEN, stage, options), options)
    line = line_of(sheet)
    assert line is not None
    page = next(p for p in sheet.pages if line in p.marks)
    cards = list(cards_of(page.marks).values())
    half = line.width / 2.0
    inked = [ink(path.bbox, half) for path in line.paths]

    # No line runs over a card or a box, and the whole of one lies along every edge of a card.
    others = [*cards, *boxes_of(page.marks).values()]
    assert not any(overlap(box, one) for box in others for one in inked)
    for card in cards:
        for edge in edges(card, line.width):
            assert any(one.contains(edge, 1e-6) for one in inked)
    # Cards are apart by the line and no more; lines across begin where the scissors come in.
    gaps = {round(b.x0 - a.x1, 6) for a, b in itertools.permutations(cards, 2) if a.y0 == b.y0
            if 0.0 < b.x0 - a.x1 < 30.0}  # fmt: skip
    assert gaps <= {line.width}
    start = 0.0 if hand == "left" else page.paper.width
    across = [path for path in line.paths if path.start[1] == path.end[1]]
    assert {path.start[0] for path in across} == {start}
    # Other marks keep away, the measure bar among them.
    for mark in page.marks:
        if mark.role in (Role.FURNITURE, Role.ADULT, Role.GUIDE, Role.MODEL):
            assert not any(overlap(mark_bbox(mark), one) for one in inked), mark.id
    assert all(one.y0 >= MARGIN for one in inked)


def ink(box: BBox, half: float) -> BBox:
    """A straight butt-ended line's ink."""
    if box.height < 1e-9:
        return BBox(box.x0, box.y0 - half, box.x1, box.y1 + half)
    return BBox(box.x0 - half, box.y0, box.x1 + half, box.y1)


def edges(card: BBox, width: float) -> tuple[BBox, ...]:
    """The four strips beside a card that a line to cut fills."""
    return (
        BBox(card.x0, card.y1, card.x1, card.y1 + width),
        BBox(card.x0, card.y0 - width, card.x1, card.y0),
        BBox(card.x0 - width, card.y0, card.x0, card.y1),
        BBox(card.x1, card.y0, card.x1 + width, card.y1),
    )


def overlap(a: BBox, b: BBox) -> bool:
    return min(a.x1, b.x1) - max(a.x0, b.x0) > 1e-6 and min(a.y1, b.y1) - max(a.y0, b.y0) > 1e-6


def cutter(stage: int, options: Options | None = None, **choices: object) -> tuple[object, object]:
    options = options or Options()
    parameters = make(from_theme(GARDEN, stage, options, **choices), options).parameters
    return parameters["cut_by"], parameters["cut_line_mm"]


def test_a_single_sheet_is_told_the_cutting_stage_or_who_cuts() -> None:
    assert cutter(5) == ("adult", 0.0)
    assert cutter(5, cutting=4) == ("child", 6.35)
    assert cutter(5, cutting=2) == ("adult", 0.0)
    assert cutter(5, Options(cutting_stage=1), cutting=6) == ("child", 3.2)
    assert cutter(5, cut_by="child") == ("child", 10.0)
    assert cutter(5, cut_by="child", cutting=2) == ("child", 12.7)
    assert cutter(5, cut_by="adult", cutting=6) == ("adult", 0.0)


def test_whatever_the_stage_an_adult_cuts() -> None:
    """Cards for film or with backs, the cards of stage 0, and those of a child who does not cut."""
    able = Options(cutting_stage=6)
    assert cutter(0, able) == ("adult", 0.0)
    assert cutter(5, able, laminate=True) == ("adult", 0.0)
    assert cutter(5, able, backs="fold") == ("adult", 0.0)
    assert cutter(5, Options(cutting_stage=6, needs=("not-cutting",))) == ("adult", 0.0)


def test_lines_are_bold_for_low_vision() -> None:
    options = Options(cutting_stage=6, needs=("low-vision",))
    assert cutter(4, options) == ("child", 3.2)  # wider than the 2 mm asked of such a page


def test_a_child_that_tears_cannot_be_told_to_cut() -> None:
    options = Options(cutting_stage=0)
    with pytest.raises(InputError) as problem:
        make(from_theme(GARDEN, 4, options, cut_by="child"), options)
    assert str(problem.value) == (
        "`cut-by`: a child at cutting stage 0 tears and does not cut; let an adult cut, or give "
        "another stage in `cutting`"
    )
