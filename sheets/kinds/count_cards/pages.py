"""Counting sheets: cards laid one to a box, groups with numbers to mark, number cards, frames.

Whatever the stage, the title and the frame of the page are the same. Groups stand above the boxes
to choose from, so that neither hand hides what is counted.
"""

from __future__ import annotations

from collections.abc import Sequence

from sheets.kinds.count_cards import drawing as draw_in
from sheets.kinds.count_cards import frames
from sheets.kinds.count_cards.task import NEAR_FROM, CountTask, Group, task
from sheets.kinds.materials import PRINTED
from sheets.kinds.options import Options, is_low
from sheets.kinds.sheet import SheetBuilder
from sheets.page.cards import cut_ticks
from sheets.page.frame import rectangle
from sheets.page.model import WHITE, Fill, Mark, Material, Role

__all__ = ["draw", "task"]

_CARD_HEIGHT, _CARD_WIDTHS = 92.0, {1: 164.0, 2: 82.0}
_WIDE_FROM = 3
"""The stage from which a card takes the width of the page: five things stand in a row on it."""
_ROWS = {1: (1, 3), 2: (2, 2), 3: (1, 3), 4: (1, 3), 5: (1, 2), 6: (1, 2)}
"""Stage -> columns and rows of groups on a page."""
_LARGE = (1, 2)
"""The same for low vision, and where cards cover the numbers."""
_LARGEST = (1, 1)
"""For low vision with amounts to ten."""


def draw(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    """The pages of a task, its cards and its key.

    Raises:
        FitError: something does not fit the paper.
    """
    sheet.entitle("count")
    form = {"lay": frames.lay, "match": frames.match, "fill": frames.fill, "mark": _mark}
    form[task.form](task, options, sheet)
    sheet.record(
        form=task.form,
        answer_with=task.answer,
        items=len(task.groups),
        amounts=[group.amount for group in task.groups],
        words=[group.step.word for group in task.groups],
        choices=[list(group.numbers) for group in task.groups],
    )


# --- groups with numbers to mark ------------------------------------------------------------------


def _mark(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    (_clipped if task.answer == "clip" else _marked)(task, options, sheet)
    sheet.record(answer=[f"choice-{k}-{g.numbers.index(g.amount) + 1}"
                         for k, g in enumerate(task.groups, start=1)])  # fmt: skip


def _marked(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    large = is_low(options) or draw_in.covers(options, task)
    columns, rows = _LARGE if large else _ROWS[task.stage]
    if is_low(options) and task.stage >= NEAR_FROM:
        columns, rows = _LARGEST
    numbered = list(enumerate(task.groups, start=1))
    for first in range(0, len(numbered), columns * rows):
        some = numbered[first : first + columns * rows]
        boxes = frames.cells(sheet.frame.work, columns, rows)
        marks: list[Mark] = []
        for (number, group), box in zip(some, boxes, strict=False):
            marks += draw_in.group_marks(box, group, number, task, options, border=True)
        way = frames.way(task, options)
        sheet.page(marks, "groups", ask=[way], caution=frames.CAUTIONS.get(way, ""))
        if task.answer == "lay":
            sheet.keep()
        _key(marks, some, sheet)
    sheet.needs(PRINTED)
    frames.supplies(task, options, sheet, len(task.groups))


def _clipped(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    columns = 2 if task.stage < _WIDE_FROM and not is_low(options) else 1
    numbered = list(enumerate(task.groups, start=1))
    for first in range(0, len(numbered), 2 * columns):
        some = numbered[first : first + 2 * columns]
        grid = sheet.grid(len(some), _CARD_WIDTHS[columns], _CARD_HEIGHT)
        marks: list[Mark] = [*cut_ticks(grid)]
        for (number, group), box in zip(some, grid.cards, strict=True):
            marks.append(Fill((rectangle(box),), Role.CARD, f"card-{number}", colour=WHITE))
            marks += draw_in.group_marks(box, group, number, task, options, border=False)
        sheet.cards_to_cut(marks, grid, "counting cards", ask=["clip"])
        _key(marks, some, sheet)
    pegs = Material("clothes pegs", len(task.groups), "tool", caution="small-parts")
    sheet.needs(pegs)
    sheet.caution(frames.PEGS_LINE)


def _key(marks: Sequence[Mark], some: Sequence[tuple[int, Group]], sheet: SheetBuilder) -> None:
    right = {f"choice-{n}-{g.numbers.index(g.amount) + 1}": n for n, g in some}
    said = ", ".join(f"{group.step.word} {group.amount}" for _, group in some)
    solved = [*marks, *draw_in.rings(marks, right)]
    sheet.key(solved, ["The last number said is how many there are."], text=said)
