"""Colour copy by picture: a sample coloured area by area above, the same pictures blank below.

The areas are what the lines of a picture enclose, found by geometry; each is wide enough to colour
at the stage, and neighbours have different colours. Colours come from a measured palette, not from
the drawing, and each has its hatch in the sample, so that the page works in black and white. At
stage 0 one picture in two colourings is laid on its like.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from shapes.errors import FitError
from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox
from sheets.kinds.colour_copy.areas import child_marks, sample_marks, swatch, widest
from sheets.kinds.colour_copy.task import (
    BETWEEN,
    KEY_HIGH,
    SAMPLE_HIGH,
    TILE,
    TILE_INSET,
    ColourCopyTask,
    Coloured,
    blank_room,
    task,
)
from sheets.kinds.materials import PRINTED, crayon
from sheets.kinds.options import Options, least_line
from sheets.kinds.sheet import UNDER_TITLE, SheetBuilder
from sheets.page import palette
from sheets.page.cards import CardGrid, cut_ticks, grid_in
from sheets.page.frame import Frame, rectangle
from sheets.page.model import WHITE, Fill, Mark, Role, Stroke, Text
from sheets.page.palette import Hatch

__all__ = ["draw", "task"]

_SWATCH = (13.0, 10.0)
_WORD_PT = 18.0
_WALL = 0.9
_UNDER_TITLE = 4.0


# --- the page -------------------------------------------------------------------------------------


def _columns(work: BBox, count: int, y0: float, y1: float) -> list[BBox]:
    wide = (work.width - (count - 1) * BETWEEN) / count
    lefts = [work.x0 + i * (wide + BETWEEN) for i in range(count)]
    return [BBox(x, y0, x + wide, y1) for x in lefts]


def draw(task: ColourCopyTask, options: Options, sheet: SheetBuilder) -> None:
    """Sample, key of colours and blank pictures; at stage 0 a mat and two tiles."""
    work = Frame(options.paper).work
    sheet.entitle("colours")
    if task.stage == 0:
        marks = _mat(task, options, work)
        answer = _tile_pages(task, options, marks, sheet)
    else:
        marks = _drawn(task, options, work, solved=True)
        say = [_say(task), *task.remarks]
        sheet.page(_drawn(task, options, work), "colours", ask=["colour"], say=say)
        sheet.prepare(*task.remarks)
        sheet.needs(PRINTED, *(crayon(key) for key in task.colours if key != "white"))
        answer = {
            f"area-{p}-{i}": colour
            for p, one in enumerate(task.pictures, start=1)
            for i, colour in enumerate(one.colours, start=1)
        }
    _key(task, marks, sheet)
    sheet.record(
        form="colour-copy",
        pictures=[one.picture.name for one in task.pictures],
        colours=list(task.colours),
        areas=[len(one.colours) for one in task.pictures],
        narrowest_area_mm=round(min(widest(one.areas) for one in task.pictures), 1),
        closed_gap_mm=max(one.areas.closed_gaps for one in task.pictures),
        answer=answer,
    )


def _tile_pages(
    task: ColourCopyTask, options: Options, mat: Sequence[Mark], sheet: SheetBuilder
) -> dict[str, str]:
    work = Frame(options.paper).work
    area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
    grid = grid_in(area, options.paper, 2, TILE, TILE, columns=2)
    order = _tile_order(options)
    sheet.page(mat, "colours", ask=["lay"], say=task.remarks)
    sheet.used_again()
    sheet.needs(PRINTED)
    tiles = _tiles(task, options, grid, order)
    sheet.cards_to_cut(tiles, grid, "tiles", ask=["tiles", "lay"], say=task.remarks)
    return {f"card-{i}": f"place-{p + 1}" for i, p in enumerate(order, 1)}


def _say(task: ColourCopyTask) -> str:
    return (
        f"Colours: {', '.join(task.colours)}. The hatch stands for the colour where the sample is "
        "printed in black."
    )


def _hatches(task: ColourCopyTask) -> Mapping[str, Hatch]:
    table = palette.colours()
    return palette.hatches([table[key] for key in task.colours])


def _drawn(
    task: ColourCopyTask, options: Options, work: BBox, *, solved: bool = False
) -> list[Mark]:
    count = len(task.pictures)
    samples = _columns(work, count, work.y1 - SAMPLE_HIGH, work.y1 - _UNDER_TITLE)
    high = blank_room(count).height
    blanks = _columns(work, count, work.y0, work.y0 + high)
    marks: list[Mark] = []
    for number, one in enumerate(task.pictures, start=1):
        marks += _sample(task, options, one, samples[number - 1], f"{number}")
        if solved:
            marks += _sample(task, options, one, blanks[number - 1], f"answer-{number}")
        else:
            marks += child_marks(
                one.areas, blanks[number - 1], f"target-{number}", least_line(options)
            )
    y = work.y1 - SAMPLE_HIGH - BETWEEN - KEY_HIGH / 2.0
    return [*marks, *_legend(task, options, work, y)]


def _sample(
    task: ColourCopyTask,
    options: Options,
    one: Coloured,
    box: BBox,
    name: str,
    role: Role = Role.MODEL,
) -> list[Mark]:
    return sample_marks(
        one.areas,
        one.colours,
        box,
        hatches=_hatches(task),
        role=role,
        name=name,
        bold=least_line(options),
        saver=options.ink == "saver",
    )


def _legend(task: ColourCopyTask, options: Options, work: BBox, y: float) -> list[Mark]:
    """A swatch with its hatch and the colour's word, for each colour of the page."""
    language = options.language.partition("-")[0].lower()
    table = palette.colours()
    words = [table[key].names.get(language, key) for key in task.colours]
    wide, high = _SWATCH
    widths = [wide + 2.5 + text_width_mm(word, _WORD_PT) for word in words]
    free = work.width - sum(widths)
    if free < 4.0 * (len(words) - 1):
        raise FitError("the colour words do not fit one line", where="colours")
    gap = min(16.0, free / max(1, len(words) - 1))
    x = work.center[0] - (sum(widths) + gap * (len(words) - 1)) / 2.0
    marks: list[Mark] = []
    for key, word, width in zip(task.colours, words, widths, strict=True):
        box = BBox(x, y - high / 2.0, x + wide, y + high / 2.0)
        marks += swatch(box, key, _hatches(task)[key], f"swatch-{key}", least_line(options))
        low = y - cap_height_mm(_WORD_PT) / 2.0
        marks.append(Text(box.x1 + 2.5, low, word, _WORD_PT, Role.MODEL, id=f"word-{key}"))
        x += width + gap
    return marks


# --- stage 0 --------------------------------------------------------------------------------------


def _tile_order(options: Options) -> tuple[int, ...]:
    order = [0, 1]
    random.Random(f"{options.seed}:0:colour-tiles").shuffle(order)
    return tuple(order)


def _mat(task: ColourCopyTask, options: Options, work: BBox) -> list[Mark]:
    side = TILE + 4.0
    x = work.center[0] - side - 2.0
    y = work.center[1] - side / 2.0 + 15.0
    marks: list[Mark] = []
    for number, one in enumerate(task.pictures, start=1):
        box = BBox(x, y, x + side, y + side)
        edge = (rectangle(box),)
        marks.append(
            Stroke(edge, max(_WALL, least_line(options)), Role.ANSWER_SPACE, id=f"place-{number}")
        )
        marks += _sample(task, options, one, box.grown(-2.0 - TILE_INSET), f"{number}")
        x += side + 4.0
    return marks


def _tiles(
    task: ColourCopyTask, options: Options, grid: CardGrid, order: Sequence[int]
) -> list[Mark]:
    marks: list[Mark] = list(cut_ticks(grid))
    for number, (box, place) in enumerate(zip(grid.cards, order, strict=True), start=1):
        marks.append(Fill((rectangle(box),), Role.CARD, f"card-{number}", colour=WHITE))
        one = task.pictures[place]
        marks += _sample(task, options, one, box.grown(-TILE_INSET), f"card-{number}", Role.ART)
    return marks


# --- the adult's side -----------------------------------------------------------------------------


def _key(task: ColourCopyTask, marks: Sequence[Mark], sheet: SheetBuilder) -> None:
    notes = [
        f"{one.picture.name}: {', '.join(one.colours)} (the largest area first)."
        for one in task.pictures
    ]
    if task.stage > 0:
        notes.append(
            "Also accept: any shade of the colour, and the hatch or another sign instead of it."
        )
    sheet.key(marks, [*notes, *task.remarks], what="colours, key")
