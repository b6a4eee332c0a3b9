"""Pattern pages: rows to lay, match, mend, copy, carry on, or ring; and pictures to colour alike.

Stage 0 lays large tiles on like ones and stage 1 matches a row that does not repeat; then AB is
mended, copied and carried on, and longer units follow. A row ends on a whole unit. What is filled
in are boxes to colour, draw or stick in, or places for tiles that an adult has cut; rows of
pictures take tiles unless boxes are asked for. Every colour comes with a shape of its own or with a
hatch.

``form="colour-copy"`` makes pictures to colour like the sample
(:mod:`sheets.kinds.colour_copy.pages`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sheets.kinds.colour_copy import pages as colour_copy
from sheets.kinds.colour_copy.pages import ColourCopyTask
from sheets.kinds.options import Options
from sheets.kinds.pattern.drawing import row_marks, tile_grid, tile_marks, tiles_of
from sheets.kinds.pattern.layout import Layout, Slot, lay_out, tile_side
from sheets.kinds.pattern.task import (
    PatternTask,
    pattern_from_theme,
    pattern_from_words,
)
from sheets.kinds.sheet import OTHER_RULES, Assembled, child_page, key_page
from sheets.page.cards import CardGrid
from sheets.page.frame import Frame, rectangle
from sheets.page.model import BLACK, Mark, Material, Page, Role, Sheet, Stroke
from sheets.theme.theme import Cell, Theme

__all__ = ["ColourCopyTask", "PatternTask", "draw", "from_theme", "from_words", "make"]

COLOUR_COPY = "colour-copy"
TILES_LINE = (
    "Tiles are wider than the small-parts cylinder (31.75 mm), but paper tears: stay beside a "
    "child who mouths things."
)
_SAY = {
    "lay": "Lay each tile on the one like it.",
    "match": "Make the same row, thing by thing.",
    "mend": "Say the row aloud; which thing is missing?",
    "odd": "Say the row aloud; one thing is wrong: draw a ring round it.",
    "copy": "Make the same row.",
    "carry-on": "Say the row aloud; how does it go on?",
    "unit": "Say the row aloud; draw a ring round the part that comes again and again.",
}

Answer = dict[str, str | list[str]]


# --- tasks ----------------------------------------------------------------------------------------


def from_theme(
    theme: Theme,
    stage: int,
    options: Options,
    *,
    form: str | None = None,
    unit: int | None = None,
    answer: str | None = None,
    model: str = "above",
) -> PatternTask | ColourCopyTask:
    """A task out of a theme: rows, or pictures to colour alike with ``form="colour-copy"``.

    Args:
        form, unit, answer, model: see :func:`sheets.kinds.pattern.task.pattern_from_theme`;
            pictures to colour take none of the last three.

    Raises:
        InputError: something that does not exist or does not suit the stage.
    """
    if form == COLOUR_COPY:
        colour_copy.refuse_row_options(unit, answer, model)
        return colour_copy.from_theme(theme, stage, options)
    return pattern_from_theme(
        theme, stage, options, form=form, unit=unit, answer=answer, model=model
    )


def from_words(
    words: Sequence[str],
    stage: int,
    options: Options,
    *,
    form: str | None = None,
    answer: str | None = None,
    model: str = "above",
) -> PatternTask | ColourCopyTask:
    """A task from the things of one unit in order, or from the pictures to colour alike.

    Raises:
        InputError, PictureError, FileError: see
            :func:`sheets.kinds.pattern.task.pattern_from_words` and
            :func:`sheets.kinds.colour_copy.pages.from_words`.
    """
    if form == COLOUR_COPY:
        colour_copy.refuse_row_options(None, answer, model)
        return colour_copy.from_words(words, stage, options)
    return pattern_from_words(words, stage, options, form=form, answer=answer, model=model)


def make(task: PatternTask | ColourCopyTask, options: Options) -> Sheet:
    """A pattern sheet: the page of rows and, for tiles, a page of them; or pictures to colour.

    Raises:
        FitError: places or tiles do not fit the page.
    """
    if isinstance(task, ColourCopyTask):
        return colour_copy.make(task, options)
    layout = lay_out(task, Frame(options.paper).work, options)
    tiles = tiles_of(task, options)
    grid = tile_grid(len(tiles), task, options) if tiles else None
    pages = _child_pages(task, options, layout, tiles, grid)
    return Sheet(
        kind="pattern",
        skill="pattern",
        stage=task.stage,
        title=options.title or task.title,
        pages=tuple(made.page for made in pages),
        key=(_key(task, options, layout),),
        materials=_materials(task, tiles),
        preparation=(_cut_line(grid.plan()),) if grid else (),
        cautions=(TILES_LINE, OTHER_RULES) if grid else (OTHER_RULES,),
        findings=tuple(finding for made in pages for finding in made.findings),
        parameters=_parameters(task, options, layout, tiles, grid),
        adult_lines=tuple(dict.fromkeys(line for made in pages for line in made.lines)),
        language=options.language,
    )


def draw(task: PatternTask, options: Options) -> tuple[tuple[tuple[Mark, ...], ...], Answer]:
    """What the child's pages show in the work area, and the key's answer; no page is put together.

    Raises:
        FitError: as :func:`make`.
    """
    layout = lay_out(task, Frame(options.paper).work, options)
    tiles = tiles_of(task, options)
    rows = tuple(row_marks(task, options, layout))
    if not tiles:
        return (rows,), _answer(task)
    grid = tile_grid(len(tiles), task, options)
    return (rows, tuple(tile_marks(task, options, tiles, grid))), _answer(task)


# --- pages ----------------------------------------------------------------------------------------


def _child_pages(
    task: PatternTask,
    options: Options,
    layout: Layout,
    tiles: Sequence[Cell],
    grid: CardGrid | None,
) -> tuple[Assembled, ...]:
    title = options.title or task.title

    def page(marks: Sequence[Mark], what: str, notes: Sequence[str], card: bool) -> Assembled:
        return child_page(
            options,
            marks,
            skill="pattern",
            stage=task.stage,
            title=title,
            label=f"{title}: {what}",
            badge=task.badge,
            notes=notes,
            caution=TILES_LINE if card else "",
            stock="card" if card else "plain",
        )

    how = ""
    if task.form in ("match", "mend", "copy", "carry-on"):
        how = (
            " The tiles are on a page of their own."
            if tiles
            else f" Colour, draw or stick in the boxes; colours: {_colour_words(task)}."
            if _colour_words(task)
            else " Draw or stick in the boxes."
        )
    rows = page(
        row_marks(task, options, layout), "pattern", [_SAY[task.form] + how, *task.remarks], False
    )
    if grid is None:
        return (rows,)
    marks = tile_marks(task, options, tiles, grid)
    return (rows, page(marks, "tiles", [_cut_line(grid.short_plan())], True))


def _cut_line(plan: str) -> str:
    return f"An adult cuts the tiles beforehand: {plan}"


def _colour_words(task: PatternTask) -> str:
    return ", ".join(dict.fromkeys(cell.colour for cell in task.kinds if cell.colour))


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


def _key(task: PatternTask, options: Options, layout: Layout) -> Page:
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
    title = options.title or task.title
    return key_page(
        options,
        marks,
        title=title,
        label=f"{title}: pattern, key",
        notes=[*_row_notes(task), *_also(task), *task.remarks],
    )


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


def _materials(task: PatternTask, tiles: Sequence[Cell]) -> tuple[Material, ...]:
    found = [Material("printed sheet", 1)]
    if tiles:
        found.append(Material("sheet of tiles, on card", 1, caution="small-parts"))
        found.append(Material("paper trimmer, for the adult", 1, caution="trimmer"))
    elif task.form in ("odd", "unit"):
        found.append(Material("thick pencil or crayon", 1))
    else:
        words = list(dict.fromkeys(cell.colour for cell in task.kinds if cell.colour))
        found += [Material(f"{word} crayon", 1) for word in words if word != "white"]
        if not words:
            found.append(Material("thick pencil or crayon", 1))
    return tuple(found)


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
