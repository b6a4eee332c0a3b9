"""The drawing of how to cut: every cut numbered, where the page has it; strips as they fall."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheets.packet.adult.diagram import (
    CutPlan,
    Stack,
    cutting_diagram,
    diagram_size,
    largest_paper,
)
from sheets.packet.adult.words import cut_plan
from sheets.packet.digest import Trim
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Stroke, Text

HALVES = CutPlan(A4, (148.5,))
STRIPS = CutPlan(LETTER, (240.0, 215.0, 190.0))
PANEL = CutPlan(LETTER, (240.0, 40.0), (Stack(((40.0, 240.0),), None, (60.0, 160.0)),))
CARDS = cut_plan(
    Trim("card.pdf", 0, "cards", (250.0, 200.0, 150.0, 145.0, 85.0),
         (20.0, 70.0, 120.0, 33.0, 93.0, 153.0), ((2, 3), (1, 3))),
    LETTER,
)  # fmt: skip
ALL = [HALVES, STRIPS, PANEL, CARDS]


def cuts(marks: list[Mark]) -> list[Stroke]:
    return [m for m in marks if isinstance(m, Stroke) and m.id == "drawn-cut"]


def numbers(marks: list[Mark]) -> list[int]:
    return [int(m.text) for m in marks if isinstance(m, Text) and m.id == "cut-number"]


def test_strips_of_a_sheet_of_cards() -> None:
    """Two blocks: each has its strips, and the strip with its ticks is what lies below it."""
    upper, lower = CARDS.stacks

    assert upper == Stack(((200.0, 250.0), (150.0, 200.0)), (145.0, 150.0), (20.0, 70.0, 120.0))
    assert lower == Stack(((85.0, 145.0),), (0.0, 85.0), (33.0, 93.0, 153.0))


def test_gaps_between_cards_are_no_strips() -> None:
    trim = Trim("card.pdf", 0, "cards", (250.0, 200.0, 192.0, 142.0), (20.0, 70.0), ((2, 2),))
    (stack,) = cut_plan(trim, LETTER).stacks

    assert stack.strips == ((200.0, 250.0), (142.0, 192.0))
    assert stack.ticks == (0.0, 142.0)


def test_a_piece_strips_and_halves() -> None:
    panel = cut_plan(Trim("card.pdf", 0, "panel", (240.0, 40.0), (60.0, 160.0)), LETTER)
    strips = cut_plan(Trim("card.pdf", 2, "panel", (240.0, 215.0, 190.0), ()), LETTER)
    halves = cut_plan(Trim("plain.pdf", 1, "half", (148.5,), ()), A4)

    assert (panel, strips, halves) == (PANEL, STRIPS, HALVES)
    assert strips.strips == ((215.0, 240.0), (190.0, 215.0))
    assert halves.strips == ((148.5, 297.0), (0.0, 148.5))


@pytest.mark.parametrize("plan", ALL)
def test_every_cut_is_drawn_once_with_its_number(plan: CutPlan) -> None:
    marks = cutting_diagram(plan, 20.0, 100.0, 40.0)
    total = len(plan.across) + sum(len(stack.down) for stack in plan.stacks)

    assert len(cuts(marks)) == total
    assert numbers(marks) == list(range(1, total + 1))


@pytest.mark.parametrize("plan", ALL)
def test_cuts_across_stand_where_the_page_has_them(plan: CutPlan) -> None:
    """Similar triangles: the drawn sheet is 40 mm high and its middle at 100."""
    marks = cutting_diagram(plan, 20.0, 100.0, 40.0)
    low, scale = 80.0, 40.0 / plan.paper.height

    for cut, y in zip(cuts(marks), plan.across, strict=False):
        (path,) = cut.paths
        assert path.start[1] == path.end[1] == pytest.approx(low + y * scale)
    sheet = mark_bbox(marks[0])
    assert isinstance(marks[0], Fill)
    assert (sheet.height, sheet.width) == pytest.approx((40.0, plan.paper.width * scale))


@pytest.mark.parametrize("plan", [PANEL, CARDS])
def test_cuts_down_stand_where_the_page_has_them(plan: CutPlan) -> None:
    marks = cutting_diagram(plan, 20.0, 100.0, 40.0)
    xs = [x for stack in plan.stacks for x in stack.down]
    drawn = [cut.paths[0].start[0] for cut in cuts(marks)[len(plan.across) :]]

    scale = 40.0 / plan.paper.height
    assert [x - drawn[0] for x in drawn] == pytest.approx([(x - xs[0]) * scale for x in xs])


def test_a_stack_shows_all_its_strips_and_the_ticks_in_front() -> None:
    fills = [m for m in cutting_diagram(CARDS, 20.0, 100.0, 40.0) if isinstance(m, Fill)]

    # The sheet, three strips kept on it; the upper stack of two, the lower of one, both with ticks.
    assert len(fills) == 1 + 3 + 3 + 2
    upper = [mark_bbox(fill) for fill in fills[4:7]]
    assert upper[0].y1 > upper[1].y1 > upper[2].y1


@given(
    st.lists(st.floats(20.0, 90.0), min_size=1, max_size=4),
    st.integers(1, 4),
    st.floats(20.0, 60.0),
)
def test_the_drawing_keeps_to_its_size(heights: list[float], columns: int, high: float) -> None:
    ys = [270.0]
    for height in heights:
        if ys[-1] - height > 10.0:
            ys.append(ys[-1] - height)
    down = tuple(20.0 + 40.0 * i for i in range(columns + 1))
    trim = Trim("card.pdf", 0, "cards", tuple(ys), down, ((len(ys) - 1, columns + 1),))
    for plan in (cut_plan(trim, LETTER), CutPlan(LETTER, tuple(ys))):
        wide, tall = diagram_size(plan, high)
        boxes = [mark_bbox(mark) for mark in cutting_diagram(plan, 20.0, 100.0, high)]
        assert min(box.x0 for box in boxes) >= 20.0 - 0.2
        assert max(box.x1 for box in boxes) <= 20.0 + wide + 0.5
        # Cuts and the lowest number reach a millimetre beyond.
        assert max(box.y1 for box in boxes) <= 100.0 + tall / 2.0 + 1.5
        assert min(box.y0 for box in boxes) >= 100.0 - tall / 2.0 - 1.5


def test_drawings_side_by_side_fill_the_width() -> None:
    size = largest_paper(ALL, 180.0)

    assert sum(diagram_size(plan, size)[0] for plan in ALL) == pytest.approx(180.0)
