"""How to cut a page with a trimmer, drawn: first the cuts across, then those down.

On the left the sheet with its numbered cuts across; on the right the strips that come of them,
stacked, with the numbered cuts down. Drawn from the cuts themselves, so it shows the page as it is.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.letters.font import MM_PER_PT
from shapes.path import BBox, Path
from sheets.page.frame import rectangle
from sheets.page.model import (
    ADULT_GREY,
    BLACK,
    WHITE,
    Anchor,
    Fill,
    Mark,
    Paper,
    Role,
    Stroke,
    Text,
)

_NUMBER_PT = 7.0
_SIDE = 7.5
"""Room for the numbers left of the sheet."""
_NUMBER_ROOM = 4.0
"""Room for the numbers above the strips."""
_NUMBER_WIDE, _LEVEL = 3.2, 2.4
"""Room for a number of two digits, and from one level of numbers to the next."""
_BETWEEN = 11.0
_STEP = 1.0
"""How far each strip of the stack shows behind the next one."""
_TICKS = 2.2
"""Height of a strip with ticks, which lies in front of the others."""
_APART = 1.6
_KEPT_TINT = "#e0e0e0"


@dataclass(frozen=True, slots=True)
class Stack:
    """Strips that are laid on each other and cut down together.

    Args:
        strips: lower and upper edge of each on the page, mm, the top one first.
        ticks: the same of the strip with the ticks of the cuts down, which goes on top; None if
            they stand on the strips themselves.
        down: x of each cut down, from left to right.
    """

    strips: tuple[tuple[float, float], ...]
    ticks: tuple[float, float] | None
    down: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """The straight cuts of one page, mm on the page, y up, numbered in this order.

    Args:
        across: y of each cut from edge to edge, from the top down.
        stacks: what is cut down afterwards, from the top.
    """

    paper: Paper
    across: tuple[float, ...]
    stacks: tuple[Stack, ...] = ()

    @property
    def strips(self) -> tuple[tuple[float, float], ...]:
        """Lower and upper edge of the strips that are kept, the top one first."""
        if self.stacks:
            return tuple(strip for stack in self.stacks for strip in stack.strips)
        ys = self.across
        if len(ys) == 1:  # both halves
            ys = (self.paper.height, *ys, 0.0)
        return tuple((low, high) for high, low in itertools.pairwise(ys))


def cutting_diagram(plan: CutPlan, x: float, middle: float, paper_mm: float) -> list[Mark]:
    """The drawing, right of x and as far above as below a middle.

    Args:
        paper_mm: height of the sheet as drawn.
    """
    paper, scale = plan.paper, paper_mm / plan.paper.height
    x += _SIDE
    sheet = BBox(x, middle - paper_mm / 2.0, x + paper.width * scale, middle + paper_mm / 2.0)
    marks = _sheet(plan, sheet, scale)
    if not plan.stacks:
        return marks
    marks += _arrow((sheet.x1 + 2.5, middle), (sheet.x1 + _BETWEEN - 2.5, middle))
    y = middle + _stacks_height(plan, scale) / 2.0
    number = len(plan.across) + 1
    for stack in plan.stacks:
        marks += _stack(stack, paper, (sheet.x1 + _BETWEEN, y), scale, number)
        number += len(stack.down)
        y -= _stack_height(stack, scale) + _APART
    return marks


def diagram_size(plan: CutPlan, paper_mm: float) -> tuple[float, float]:
    """Width and height of the drawing with the sheet so high."""
    scale = paper_mm / plan.paper.height
    wide = plan.paper.width * scale
    beside = _BETWEEN + wide if plan.stacks else 0.0
    return _SIDE + wide + beside + 1.2, max(paper_mm, _stacks_height(plan, scale))


def largest_paper(plans: Sequence[CutPlan], width: float) -> float:
    """How high the sheets can be drawn so that the drawings fit a width side by side."""
    fixed = sum(diagram_size(plan, 0.0)[0] for plan in plans)
    each = sum(diagram_size(plan, 1.0)[0] for plan in plans) - fixed
    return max(1.0, (width - fixed) / each)


def _stack_height(stack: Stack, scale: float) -> float:
    """Of the strips, each a little lower than the one behind it, and the numbers above them."""
    behind = max(high - low for low, high in stack.strips) * scale
    return (
        _number_room(stack, scale) + behind + _STEP * (len(stack.strips) - 1) + _ticks_height(stack)
    )


def _number_room(stack: Stack, scale: float) -> float:
    """Room for the numbers above the strips, on two levels where cuts are close to each other."""
    close = any((b - a) * scale < _NUMBER_WIDE for a, b in itertools.pairwise(stack.down))
    return _NUMBER_ROOM + (_LEVEL if close else 0.0)


def _ticks_height(stack: Stack) -> float:
    return _TICKS if stack.ticks else 0.0


def _stacks_height(plan: CutPlan, scale: float) -> float:
    heights = [_stack_height(stack, scale) for stack in plan.stacks]
    return sum(heights) + _APART * (len(heights) - 1) if heights else 0.0


def _sheet(plan: CutPlan, sheet: BBox, scale: float) -> list[Mark]:
    marks: list[Mark] = [Fill((rectangle(sheet),), Role.ADULT, colour=WHITE)]
    kept = (
        [(strip, stack.down) for stack in plan.stacks for strip in stack.strips]
        if plan.stacks
        else [(strip, ()) for strip in plan.strips]
    )
    for (low, high), down in kept:
        left, right = (min(down), max(down)) if down else (0.0, plan.paper.width)
        part = BBox(
            sheet.x0 + left * scale, sheet.y0 + low * scale,
            sheet.x0 + right * scale, sheet.y0 + high * scale,
        )  # fmt: skip
        marks.append(Fill((rectangle(part),), Role.ADULT, colour=_KEPT_TINT))
    marks.append(_outline(sheet))
    lowest = math.inf
    for number, y in enumerate(plan.across, start=1):
        at = sheet.y0 + y * scale
        marks.append(_cut((sheet.x0 - 1.2, at), (sheet.x1 + 1.2, at)))
        # Two cuts close to each other have their numbers one after the other.
        near = lowest - at < _NUMBER_PT * MM_PER_PT * 0.8
        marks.append(_number(sheet.x0 - (4.6 if near else 1.6), at - 0.9, number, "end"))
        lowest = math.inf if near else at
    return marks


def _stack(
    stack: Stack, paper: Paper, corner: tuple[float, float], scale: float, number: int
) -> list[Mark]:
    """The strips behind each other below an upper left corner, the one with the ticks in front."""
    x, y = corner
    top = y - _number_room(stack, scale)
    width = paper.width * scale
    marks: list[Mark] = []
    low = top
    for i, (lower, upper) in enumerate(reversed(stack.strips)):
        strip_top = top - _STEP * i
        low = min(low, strip_top - (upper - lower) * scale)
        strip = BBox(x, strip_top - (upper - lower) * scale, x + width, strip_top)
        marks += _piece(strip, _KEPT_TINT)
    if stack.ticks:
        marks += _piece(BBox(x, low - _TICKS, x + width, low + 0.6), WHITE)
        low -= _TICKS
    before = -math.inf
    for i, at in enumerate(stack.down):
        cut_x = x + at * scale
        up = _LEVEL if cut_x - before < _NUMBER_WIDE else 0.0
        before = -math.inf if up else cut_x
        marks.append(_cut((cut_x, low - 1.0), (cut_x, top + 0.8)))
        marks.append(_number(cut_x, top + 1.2 + up, number + i, "middle"))
    return marks


def _piece(box: BBox, colour: str) -> list[Mark]:
    return [Fill((rectangle(box),), Role.ADULT, colour=colour), _outline(box)]


def _outline(box: BBox) -> Stroke:
    return Stroke((rectangle(box),), 0.3, Role.ADULT, colour=ADULT_GREY, join="miter")


def _cut(start: tuple[float, float], end: tuple[float, float]) -> Stroke:
    return Stroke((Path.line(start, end),), 0.35, Role.ADULT, id="drawn-cut", colour=BLACK,
                  dash=(1.4, 0.9), cap="butt")  # fmt: skip


def _number(x: float, y: float, number: int, anchor: Anchor) -> Text:
    return Text(x, y, str(number), _NUMBER_PT, Role.ADULT, id="cut-number", anchor=anchor)


def _arrow(start: tuple[float, float], end: tuple[float, float]) -> Sequence[Mark]:
    (x, y), back = end, 1.8
    head = (Path.line((x - back, y + back * 0.6), end), Path.line(end, (x - back, y - back * 0.6)))
    return [Stroke((Path.line(start, end), *head), 0.5, Role.ADULT, id="arrow")]
