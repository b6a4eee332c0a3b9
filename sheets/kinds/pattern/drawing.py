"""Draws the rows of a pattern page, empty or solved, and the tiles that go with them."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from shapes.path import BBox
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low, least_line
from sheets.kinds.pattern.cells import cell_mark
from sheets.kinds.pattern.layout import Layout, Slot, tile_side, wall
from sheets.kinds.pattern.section import Cell
from sheets.kinds.pattern.task import PatternTask
from sheets.kinds.sheet import UNDER_TITLE
from sheets.page.cards import CardGrid, cut_ticks, grid_in
from sheets.page.frame import Frame, rectangle
from sheets.page.model import FURNITURE_GREY, WHITE, Fill, Mark, Role, Stroke
from sheets.page.palette import Hatch, colours, hatches

_PRINTED_WALL = 0.5
_TILE_INSET = 3.0


# --- the page of rows -----------------------------------------------------------------------------


def _hatches(task: PatternTask) -> Mapping[str, Hatch]:
    table = colours()
    used = [table[cell.colour] for cell in task.kinds if cell.colour]
    return hatches(used) if task.hatched and used else {}


def _slot_id(slot: Slot) -> str:
    name = {"model": "model", "given": "cell", "empty": "box"}[slot.kind]
    return f"{name}-{slot.row + 1}-{slot.place + 1}"


def row_marks(
    task: PatternTask, options: Options, layout: Layout, *, solved: bool = False
) -> list[Mark]:
    """Printed places, empty ones and threads; ``solved`` fills the empty places."""
    printed: list[Mark] = []
    empty: list[Mark] = []
    for slot in layout.slots:
        row = task.rows[slot.row]
        shown = row.cells[slot.place] if slot.kind == "model" else row.printed(slot.place)
        lay = task.form == "lay"
        if slot.kind == "empty":
            edge, name = (rectangle(slot.box),), _slot_id(slot)
            empty.append(
                Stroke(
                    edge,
                    wall(options),
                    Role.ANSWER_SPACE,
                    id=name,
                    join="miter",
                    item=slot.row + 1,
                )
            )
            shown = row.cells[slot.place] if lay or solved else None
        else:
            printed.append(
                Stroke(
                    (rectangle(slot.box),),
                    _PRINTED_WALL,
                    Role.MODEL,
                    id=_slot_id(slot),
                    colour=FURNITURE_GREY,
                    join="miter",
                )
            )
        if shown is not None:
            role = Role.MODEL if slot.kind != "empty" or lay else Role.ART
            name = f"like-{slot.row + 1}-{slot.place + 1}" if lay else _slot_id(slot)
            # What is laid on something is as large as what it is laid on.
            inset = (
                (slot.box.width - tile_side(task, options)) / 2.0 + _TILE_INSET
                if lay
                else max(2.0, 0.07 * slot.box.width)
            )
            empty.append(_thing(task, options, shown, slot, inset, role, name))
    return [*printed, *empty, *layout.threads]


def _thing(
    task: PatternTask,
    options: Options,
    cell: Cell,
    slot: Slot,
    inset: float,
    role: Role,
    id: str,
) -> Mark:
    return cell_mark(
        cell,
        slot.box.grown(-inset),
        role=role,
        id=id,
        hatches=_hatches(task),
        bold=least_line(options),
        saver=options.ink == "saver",
        coloured=options.colour,
    )


# --- tiles ----------------------------------------------------------------------------------------


def tiles_of(task: PatternTask, options: Options) -> tuple[Cell, ...]:
    """The tiles in a drawn order: what is needed, and from stage 2 one more of each kind.

    So the last place is a choice too. A page for low vision has at most four tiles.
    """
    if task.answer != "tiles":
        return ()
    needed = [row.cells[i] for row in task.rows for i in row.empty]
    more = list(task.kinds) if task.stage >= 2 else []
    if is_low(options):
        there = {cell.text for cell in needed}
        more = [cell for cell in more if cell.text not in there]
        more = more[: max(0, MOST_FOR_LOW_VISION - len(needed))]
    dealt = [*needed, *more]
    random.Random(f"{options.seed}:{task.stage}:tiles").shuffle(dealt)
    return tuple(dealt)


def tile_grid(count: int, task: PatternTask, options: Options) -> CardGrid:
    side = tile_side(task, options)
    work = Frame(options.paper).work
    area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
    return grid_in(area, options.paper, count, side, side)


def tile_marks(
    task: PatternTask, options: Options, tiles: Sequence[Cell], grid: CardGrid
) -> list[Mark]:
    marks: list[Mark] = list(cut_ticks(grid))
    for number, (box, cell) in enumerate(zip(grid.cards, tiles, strict=True), start=1):
        name = f"card-{number}"
        marks.append(Fill((rectangle(box),), Role.CARD, name, colour=WHITE))
        marks.append(
            cell_mark(
                cell,
                box.grown(-_TILE_INSET),
                role=Role.CARD,
                id=name,
                hatches=_hatches(task),
                bold=least_line(options),
                saver=options.ink == "saver",
                coloured=options.colour,
            )
        )
    return marks
