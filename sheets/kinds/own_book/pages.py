"""Puts the pages of a book on paper, and tells the adult how to make it."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from shapes.path import BBox, Path
from sheets.kinds import toolkit as kit
from sheets.kinds.materials import PENCIL, SCISSOR_LINE, printed, scissors
from sheets.kinds.options import Options, is_low
from sheets.kinds.own_book import howto, leaves
from sheets.kinds.own_book.impose import Panel, folded, sides, slit
from sheets.kinds.own_book.task import NAME, BookTask, Leaf, task
from sheets.kinds.sheet import UNDER_TITLE, SheetBuilder
from sheets.page.marks import transform_mark
from sheets.page.model import FURNITURE_GREY, Mark, Material, Paper, Role, Stroke, Text

__all__ = ["draw", "task"]

ASK = ("look", "draw", "draw-too", "read", "read", "tell", "write")
"""By stage: what the child does with the book."""
CUTS_FROM, CUTTING_FROM = 5, 3
"""A child from this stage, and from this stage of cutting, makes the slit."""
ACTUAL = "Print at actual size, 100 %."
_TICK = 10.0
_CUT_LINE = 1.5
_STAPLER = Material("stapler and tape, for the adult", 1, "adult", caution="stapler")
_SCISSORS = Material("scissors, for the adult", 1, "adult", caution="scissors")
_PUNCH = Material("hole punch, for the adult", 1, "adult", caution="hole-punch")

FOLD_STEPS = (
    "Fold each sheet into eight and open it; fold the short edges together and cut from the fold "
    "along the middle line to the next crease; open it, fold it lengthwise, push the ends together "
    "and lay the four wings round into a book."
)
HALF_STEPS = (
    "Print on both sides, turned over on the short edge; fold each sheet down the middle and lay "
    "them in each other, page 1 outside."
)
STAPLE = (
    "A desk stapler does not reach the middle of the paper: staple the folded book 7 mm beside "
    "its fold, points outward, and put tape over them; or punch two holes."
)
NO_STAPLE = (
    "Punch two holes beside the fold and put a folded strip of paper through: no staples for a "
    "child who mouths things."
)
NO_STRING = "No loose string or ribbon through the holes."
SLIT_LINE = "Scissors: an adult makes the slit before the child has the sheet."
STAPLE_LINE = "Staples: for adults only, none where a child under 3 or who mouths things plays."

NAME_TOO_LONG = "The name is too long for the cover: write it on the line."


def draw(task: BookTask, options: Options, sheet: SheetBuilder) -> None:
    """The sheets of the book, and a page that shows how to make it.

    In a packet that page is left away, for each child would get one: the adult's pages tell it.
    """
    sheet.entitle("book")
    paper = options.paper.turned()
    printed_sides = sides(paper, task.pages) if task.form == "half" else (folded(paper),)
    panels = sorted((p for side in printed_sides for p in side), key=lambda p: p.page)
    made = _pages(task, options, sheet.title, [panel.own_room for panel in panels])
    for number, side in enumerate(printed_sides, start=1):
        marks = [mark for p in side for mark in placed(made[p.page - 1], p)]
        what = "book" if len(printed_sides) == 1 else f"book, side {number}"
        sheet.back([*marks, *_folds(task, options, paper)], what, stock="plain", paper=paper)
    if not sheet.apart:
        _howto(task, options, sheet)
    _adult_side(task, options, sheet)
    sheet.prepare(*task.remarks, *_too_long(task, options, made))
    sheet.record(
        form=task.form,
        pages=task.pages,
        inside=len(task.leaves),
        words=[leaf.word.text if leaf.word else "" for leaf in task.leaves],
        pictures=[leaf.picture.id if leaf.picture else "" for leaf in task.leaves],
        panel_mm=[round(panels[0].box.width, 2), round(panels[0].box.height, 2)],
    )


def _pages(task: BookTask, options: Options, title: str, rooms: Sequence[BBox]) -> list[list[Mark]]:
    """The marks of every page, upright in its own room."""
    larger = leaves.LARGER if task.form == "half" or is_low(options) else 1.0
    see = kit.title(NAME, "see", options.words_language)
    look = leaves.Look(task.stage, options, see, larger)
    cover = Leaf(task.cover)
    front = leaves.front_cover(title, cover, rooms[0], look)
    between = [
        leaves.inside(leaf, number, room, look)
        for number, (leaf, room) in enumerate(zip(task.leaves, rooms[1:-1], strict=True), start=2)
    ]
    shown = [mark for page in between for mark in page]
    back = leaves.back_cover(cover, task.pages, shown, [ACTUAL], rooms[-1], look)
    return [front, *between, back]


def placed(marks: Sequence[Mark], panel: Panel) -> list[Mark]:
    """The marks of a page where they lie on the paper; on a turned panel they stand on the head."""
    moved = [transform_mark(mark, panel.to_paper) for mark in marks]
    if not panel.turned:
        return moved
    return [
        dataclasses.replace(mark, turn_deg=180.0) if isinstance(mark, Text) else mark
        for mark in moved
    ]


def _folds(task: BookTask, options: Options, paper: Paper) -> list[Mark]:
    """Ticks at the edges of the paper, and the slit."""
    w, h = paper.width, paper.height
    upright = [w / 2.0] if task.form == "half" else [w / 4.0, w / 2.0, w * 3.0 / 4.0]
    ticks = [((x, y), (x, y + to)) for x in upright for y, to in ((0.0, _TICK), (h, -_TICK))]
    if task.form == "fold":
        ticks += [((x, h / 2.0), (x + to, h / 2.0)) for x, to in ((0.0, _TICK), (w, -_TICK))]
    paths = tuple(Path.line(start, end) for start, end in ticks)
    marks: list[Mark] = [Stroke(paths, 0.25, Role.ADULT, "folds", FURNITURE_GREY, cap="butt")]
    if task.form == "fold":
        line = (Path.line(*slit(paper)),)
        if _child_cuts(task, options):
            marks.append(Stroke(line, _CUT_LINE, Role.CUT, "slit", cap="butt"))
        else:
            marks.append(Stroke(line, 0.35, Role.ADULT, "slit", FURNITURE_GREY, cap="butt"))
    return marks


def _child_cuts(task: BookTask, options: Options) -> bool:
    """Whether the child makes the slit: who cuts long straight lines, in a folded book."""
    able = (options.cutting_stage or 0) >= CUTTING_FROM and "not-cutting" not in options.needs
    return task.form == "fold" and task.stage >= CUTS_FROM and able


# --- the adult's side -----------------------------------------------------------------------------


def _howto(task: BookTask, options: Options, sheet: SheetBuilder) -> None:
    work = sheet.frame.work
    area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
    if task.form == "fold":
        marks, lines = howto.fold_steps(area), []
        caution = SCISSOR_LINE if _child_cuts(task, options) else SLIT_LINE
    else:
        staples = not _mouths(options)
        marks = howto.half_steps(area, task.pages, staples=staples)
        lines, caution = [_binding(options)], STAPLE_LINE if staples else NO_STRING
    sheet.page(marks, "how to make it", ask=[ASK[task.stage]], say=lines, caution=caution)


def _mouths(options: Options) -> bool:
    return "mouths-objects" in options.needs


def _binding(options: Options) -> str:
    return NO_STAPLE if _mouths(options) else f"{STAPLE} {NO_STRING}"


def _adult_side(task: BookTask, options: Options, sheet: SheetBuilder) -> None:
    """Materials, what to do beforehand, and cautions."""
    if task.form == "half":
        sheets = printed("sheet printed on both sides")
        sheet.needs(dataclasses.replace(sheets, quantity=task.pages / 4.0))
        sheet.needs(_PUNCH if _mouths(options) else _STAPLER)
        sheet.prepare(HALF_STEPS, _binding(options))
        sheet.caution(NO_STRING if _mouths(options) else STAPLE_LINE)
    elif _child_cuts(task, options):
        sheet.needs(kit.PRINTED, scissors(options))
        sheet.prepare(FOLD_STEPS)
        sheet.caution(SCISSOR_LINE)
    else:
        sheet.needs(kit.PRINTED, _SCISSORS)
        sheet.prepare(FOLD_STEPS)
        sheet.caution(SLIT_LINE)
    if task.stage > 0:
        sheet.needs(PENCIL)


def _too_long(task: BookTask, options: Options, made: Sequence[Sequence[Mark]]) -> list[str]:
    """What the adult is told of words that a page has no room for."""
    printed_ids = {mark.id for page in made for mark in page if isinstance(mark, Text)}
    words = [
        leaf.word.text
        for number, leaf in enumerate(task.leaves, start=2)
        if leaf.word is not None and f"word-{number}" not in printed_ids
    ]
    lines = [f"Too long for a page, write on the line: {', '.join(words)}."] if words else []
    return lines + ([NAME_TOO_LONG] if options.name and "name" not in printed_ids else [])
