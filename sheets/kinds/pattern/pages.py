"""Pattern pages: rows to lay, match, mend, copy, carry on, or ring; and pictures to colour alike.

Stage 0 lays large tiles on like ones and stage 1 matches a row that does not repeat; then AB is
mended, copied and carried on, and longer units follow. A row ends on a whole unit. What is filled
in are boxes to colour, draw or stick in, or places for tiles that an adult has cut; rows of
pictures take tiles unless boxes are asked for. Every colour comes with a shape of its own or with a
hatch.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from shapes.path import BBox
from sheets.kinds.materials import PENCIL, PRINTED, crayon
from sheets.kinds.options import Options
from sheets.kinds.pattern.drawing import row_marks, tile_grid, tile_marks, tiles_of
from sheets.kinds.pattern.layout import Layout, Slot, lay_out, tile_side
from sheets.kinds.pattern.section import Cell
from sheets.kinds.pattern.task import PatternTask, task
from sheets.kinds.sheet import SheetBuilder
from sheets.page.cards import CardGrid
from sheets.page.frame import Frame, rectangle
from sheets.page.model import BLACK, Mark, Role, Stroke

__all__ = ["draw", "drawn", "task"]

Answer = dict[str, str | list[str]]
_SIDE = 2.0


def draw(task: PatternTask, options: Options, sheet: SheetBuilder) -> None:
    """The page of rows and, for tiles, a page of them.

    Raises:
        FitError: places or tiles do not fit the page.
    """
    layout = lay_out(task, area_of(options), options)
    tiles = tiles_of(task, options)
    grid = tile_grid(len(tiles), task, options) if tiles else None
    say = [_how(task, tiles), *task.remarks]
    sheet.needs(PRINTED)
    ask = f"{task.form}-{'tiles' if tiles else 'boxes'}"
    sheet.entitle(task.form)
    sheet.page(row_marks(task, options, layout), "pattern", ask=[ask], say=say)
    if grid is not None:
        sheet.keep()
        marks = tile_marks(task, options, tiles, grid)
        sheet.cards_to_cut(marks, grid, "tiles", ask=["tiles", ask])
    _key(task, options, layout, sheet)
    if grid is None:
        _pencils(task, sheet)
    sheet.record(**_parameters(task, options, layout, tiles, grid))


def drawn(task: PatternTask, options: Options) -> tuple[tuple[tuple[Mark, ...], ...], Answer]:
    """What the child's pages show in the work area, and the key's answer; no page is put together.

    Raises:
        FitError: as :func:`draw`.
    """
    layout = lay_out(task, area_of(options), options)
    tiles = tiles_of(task, options)
    rows = tuple(row_marks(task, options, layout))
    if not tiles:
        return (rows,), _answer(task)
    grid = tile_grid(len(tiles), task, options)
    return (rows, tuple(tile_marks(task, options, tiles, grid))), _answer(task)


def area_of(options: Options) -> BBox:
    """The work area but for the sides, where the words of the bar are on narrow paper."""
    work = Frame(options.paper).work
    return BBox(work.x0 + _SIDE, work.y0, work.x1 - _SIDE, work.y1)


def _how(task: PatternTask, tiles: Sequence[Cell]) -> str:
    """What the answers are made with, for the adult."""
    if task.form not in ("match", "mend", "copy", "carry-on"):
        return ""
    if tiles:
        return "The tiles are on a page of their own."
    colours = ", ".join(dict.fromkeys(cell.colour for cell in task.kinds if cell.colour))
    return (
        f"Colour, draw or stick in the boxes; colours: {colours}."
        if colours
        else "Draw or stick in the boxes."
    )


# --- the adult's side -----------------------------------------------------------------------------


def _answer(task: PatternTask) -> Answer:
    """What belongs in each box; the odd one's cell; the cells of the first unit to ring."""
    found: Answer = {}
    for number, row in enumerate(task.rows, start=1):
        if row.odd is not None:
            found[f"row-{number}"] = f"cell-{number}-{row.odd[0] + 1}"
        elif task.form == "unit":
            found[f"row-{number}"] = [f"cell-{number}-{i + 1}" for i in range(row.unit)]
        for i in row.empty:
            found[f"box-{number}-{i + 1}"] = row.cells[i].text
    return found


def _key(task: PatternTask, options: Options, layout: Layout, sheet: SheetBuilder) -> None:
    marks = row_marks(task, options, layout, solved=True)
    for number, row in enumerate(task.rows):
        places = {
            slot.place: slot for slot in layout.slots if slot.row == number and slot.kind == "given"
        }
        if row.odd is not None:
            marks.append(_ring([places[row.odd[0]]], f"ring-{number + 1}"))
        elif task.form == "unit":
            ring = [places[i] for i in range(row.unit)]
            marks.append(_ring(ring, f"ring-{number + 1}"))
    notes = [*_row_notes(task), *_also(task), *task.remarks]
    sheet.key(marks, notes, what="pattern, key", text="; ".join(_said(task)))


def _ring(slots: Sequence[Slot], id: str) -> Stroke:
    box = slots[0].box
    for slot in slots[1:]:
        box = box.union(slot.box)
    return Stroke((rectangle(box.grown(1.5)),), 1.6, Role.ADULT, id=id, colour=BLACK)


def _row_notes(task: PatternTask) -> list[str]:
    lines = []
    for number, row in enumerate(task.rows, start=1):
        name = f"Row {number}: " if len(task.rows) > 1 else ""
        texts = [cell.text for cell in row.cells]
        if row.unit == len(texts):
            lines.append(f"{name}{', '.join(texts)}; it does not repeat.")
            continue
        line = f"{name}{row.form}: {', '.join(texts[: row.unit])}, again and again."
        if row.odd is not None:
            at, wrong = row.odd
            line += f" Place {at + 1} shows {wrong.text} and should be {texts[at]}."
        elif row.empty and task.form != "copy":
            filled = ", ".join(f"{i + 1} {texts[i]}" for i in row.empty)
            line += f" Places to fill: {filled}."
        lines.append(line)
    return lines


def _said(task: PatternTask) -> Iterator[str]:
    """The answer of each row in a few words."""
    for number, row in enumerate(task.rows, start=1):
        name = f"row {number}: " if len(task.rows) > 1 else ""
        texts = [cell.text for cell in row.cells]
        if row.odd is not None:
            at, wrong = row.odd
            yield f"{name}place {at + 1} is {wrong.text}, should be {texts[at]}"
        elif task.form == "unit":
            yield f"{name}ring round {', '.join(texts[: row.unit])}"
        elif row.empty and len(row.empty) < len(texts):
            filled = ", ".join(texts[i] for i in row.empty)
            yield f"{name}{filled} in {_places(row.empty)}"
        else:
            yield name + ", ".join(texts)


def _places(empty: Sequence[int]) -> str:
    """Such as ``place 4``, ``places 2 and 5`` or ``places 10 to 12``, counted from 1."""
    numbers = [str(i + 1) for i in empty]
    if len(empty) == 1:
        return f"place {numbers[0]}"
    if len(empty) > 2 and empty[-1] - empty[0] == len(empty) - 1:
        return f"places {numbers[0]} to {numbers[-1]}"
    return f"places {', '.join(numbers[:-1])} and {numbers[-1]}"


def _also(task: PatternTask) -> list[str]:
    """Other answers that are right."""
    if task.form == "unit":
        forms = dict.fromkeys(row.form for row in task.rows)
        runs = dict.fromkeys(f"{form[i:]}{form[:i]}" for form in forms for i in range(1, len(form)))
        return [f"Also accept: a ring that begins later in the row ({' or '.join(runs)})."]
    if task.form == "odd":
        return ["Also accept: saying or showing what should be there."]
    if task.answer == "boxes":
        colours = [cell.colour for cell in task.kinds]
        alone = "the right colour without the shape, or "
        told_by_colour = all(colours) and len(set(colours)) == len(colours)
        return [
            f"Also accept: {alone if told_by_colour else ''}another sign of its own for each thing."
        ]
    if task.form == "carry-on":
        return ["Also accept: going on further with the tiles that are left."]
    return []


def _pencils(task: PatternTask, sheet: SheetBuilder) -> None:
    words = dict.fromkeys(cell.colour for cell in task.kinds if cell.colour)
    if task.form in ("odd", "unit") or not words:
        sheet.needs(PENCIL)
    else:
        sheet.needs(*(crayon(word) for word in words if word != "white"))


def _parameters(
    task: PatternTask,
    options: Options,
    layout: Layout,
    tiles: Sequence[Cell],
    grid: CardGrid | None,
) -> dict[str, object]:
    boxes = [slot.box for slot in layout.slots if slot.kind == "empty"]
    return {
        "form": task.form,
        "answer_in": task.answer,
        "units": [row.form for row in task.rows],
        "units_in_row": [len(row.cells) // row.unit for row in task.rows],
        "rows": [[cell.text for cell in row.cells] for row in task.rows],
        "cells_to_fill": [len(row.empty) for row in task.rows],
        "box_mm": [round(boxes[0].width, 2), round(boxes[0].height, 2)] if boxes else [],
        "tile_mm": tile_side(task, options) if tiles else 0.0,
        "tiles": dict(sorted(Counter(cell.text for cell in tiles).items())),
        "cuts": len(grid.cuts) if grid else 0,
        "hatched": task.hatched,
        "model": task.model,
        "answer": _answer(task),
    }
