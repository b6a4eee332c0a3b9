"""Picture puzzles: a page to lay the pieces on, and the picture to cut into pieces.

The pieces are printed as the picture they make, a white line of 1 mm between them, so that a cut
that is a little off takes nothing of the neighbour. Where a child cuts, they lie apart by the line
of the child's cutting stage. They stay on a page of their own in a packet too: ink runs up to
their edges, where a card that is shared with others has its tag.

Where the pieces go, less is shown from stage to stage: the picture, its outline, the lines between
the pieces; then the frame is empty and the picture stands small above it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from shapes.affine import Affine
from shapes.letters.font import cap_height_mm
from shapes.path import BBox, Path
from sheets.kinds.child_cuts import at_start_side, lines_to_cut, room_for
from sheets.kinds.materials import (
    LOOSE_LINE,
    LOOSE_SHORT,
    SCISSOR_LINE,
    TRIMMER,
    printed,
    scissors,
)
from sheets.kinds.options import BOLD_LINE, Options, is_low
from sheets.kinds.picture_puzzle.layout import (
    BAND,
    SLACK,
    SMALL,
    WALL,
    Layout,
    outlines,
    picture_box,
    placed,
    shown,
)
from sheets.kinds.picture_puzzle.task import PuzzleTask, child_line, task
from sheets.kinds.sheet import UNDER_TITLE, SheetBuilder
from sheets.page.cards import CardGrid, cut_ticks, grid_in
from sheets.page.frame import Frame, rectangle
from sheets.page.model import (
    BLACK,
    FURNITURE_GREY,
    WHITE,
    Cut,
    Fill,
    Mark,
    Material,
    Place,
    Role,
    Stroke,
    Text,
)
from sheets.page.rows import in_rows

__all__ = ["draw", "task"]

FIRST_LINE = "The adult and the child lay the first piece together."
ON_PICTURE = (0, 1, 2)
"""Stages at which the pieces are laid on the picture."""
PLACE = "puzzle"
"""Frame, lines and picture where the pieces go are one thing to look at."""
HALF_GAP = 0.5
"""White inside the edges of a piece, mm: half the line that shows where to cut."""
ENVELOPE = Material("envelope", 1, "consumed")
_WALL, _BETWEEN, _OUTLINE = 0.9, 0.7, 1.2
_DASH = (3.0, 3.0)
_NUMERAL_PT = 28.0
_SMALL_LINE = 1.0


def draw(task: PuzzleTask, options: Options, sheet: SheetBuilder) -> None:
    """The page of the frame, the page of the pieces, and the whole picture as the key."""
    layout = task.layout(options)
    line = child_line(task.stage, task.cutting, task.cut_by, options)
    grid = _grid(layout, line, options)
    sheet.entitle("strips" if task.strips else "picture")
    ask = "numerals" if task.strips else "on" if task.stage in ON_PICTURE else "frame"
    say = ["The pieces are on a page of their own.", FIRST_LINE if task.stage == 0 else ""]
    sheet.page(_base(task, layout, options), "frame", ask=[ask], say=say)
    if not line:
        sheet.keep()
    _pieces_page(task, layout, grid, options, sheet)
    _key(task, layout, options, sheet)
    sheet.record(
        pieces=task.count,
        columns=task.columns,
        rows=task.rows,
        piece_mm=[layout.width, layout.height],
        shown=task.shown,
        pictures=[step.word for step in task.steps],
        cut_by="child" if line else "adult",
        cut_line_mm=line,
    )


def _grid(layout: Layout, line: float, options: Options) -> CardGrid:
    work = Frame(options.paper).work
    area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
    grid = grid_in(
        room_for(area, line) if line else area,
        options.paper,
        layout.columns * layout.rows,
        layout.width,
        layout.height,
        gutter=line,
        columns=layout.columns,
    )
    return at_start_side(grid, area, line, options) if line else grid


# --- the frame ------------------------------------------------------------------------------------


def _puzzle_box(task: PuzzleTask, layout: Layout, options: Options) -> BBox:
    """Where the puzzle lies on the page of the frame: in the middle of what is free."""
    work = Frame(options.paper).work
    top = work.y1 - UNDER_TITLE
    if task.shown.startswith("small"):
        top = _small_box(options).y0
    (wide, high), low = layout.size, work.y0
    x, y = work.center[0] - wide / 2.0, low + (top - low - high) / 2.0
    return layout.box(x, y)


def _small_box(options: Options) -> BBox:
    work = Frame(options.paper).work
    top = work.y1 - UNDER_TITLE + 4.0
    return BBox(work.x0, top - SMALL, work.x1, top)


def _base(task: PuzzleTask, layout: Layout, options: Options) -> list[Mark]:
    """The frame, and what of the picture is shown in it or above it."""
    box = _puzzle_box(task, layout, options)
    low = is_low(options)
    wall = WALL if low else _WALL
    frame = rectangle(box.grown(SLACK))
    marks: list[Mark] = [Stroke((frame,), wall, Role.TARGET, id=PLACE, join="miter")]
    marks += _model(task, layout, box, options)
    if "lines" in task.shown or task.stage in ON_PICTURE:
        marks.append(
            Stroke(
                between(layout, box),
                BOLD_LINE if low else _BETWEEN,
                Role.TARGET,
                id=PLACE,
                colour=BLACK if low else FURNITURE_GREY,
                dash=_DASH,
                cap="butt",
            )
        )
    if task.strips and task.stage < 5:
        marks += numerals(layout, layout.cells(box.x0, box.y0), Role.GUIDE, "number")
    return marks


def _model(task: PuzzleTask, layout: Layout, box: BBox, options: Options) -> list[Mark]:
    low = is_low(options)
    if task.shown.startswith("small"):
        room = _small_box(options)
        wide = layout.size[0] * SMALL / (layout.size[1] - layout.band)
        middle = room.center[0]
        inside = BBox(middle - wide / 2.0, room.y0, middle + wide / 2.0, room.y1)
        small = shown(task.steps, inside, options, rim=1.0, line_mm=_SMALL_LINE)
        return _here(small)
    inside = picture_box(layout, box)
    if task.shown.startswith("outline"):
        paths = outlines(task.steps, inside, options)
        width = BOLD_LINE if low else _OUTLINE
        colour = BLACK if low else FURNITURE_GREY
        return [Stroke(paths, width, Role.TARGET, id=PLACE, colour=colour)]
    if task.shown.startswith("pale") and not options.colour:
        lines = placed(task.steps, inside, options)
        return _here(lines if low else [_pale(one) for one in lines])
    return _here(shown(task.steps, inside, options))


def _here(places: Sequence[Place]) -> list[Mark]:
    return [dataclasses.replace(place, role=Role.TARGET, id=PLACE) for place in places]


def _pale(place: Place) -> Place:
    """A picture with grey lines, to lay the black ones on."""
    marks = tuple(
        dataclasses.replace(mark, colour=FURNITURE_GREY) if mark.colour == BLACK else mark
        for mark in place.artwork.marks
    )
    art = dataclasses.replace(place.artwork, id=f"{place.artwork.id}-pale", marks=marks)
    return dataclasses.replace(place, artwork=art)


def between(layout: Layout, box: BBox) -> tuple[Path, ...]:
    """The lines between the pieces of a puzzle in its box."""
    across = [box.y0 + row * layout.height for row in range(1, layout.rows)]
    down = [box.x0 + column * layout.width for column in range(1, layout.columns)]
    return (
        *(Path.line((box.x0, y), (box.x1, y)) for y in across),
        *(Path.line((x, box.y0), (x, box.y1)) for x in down),
    )


def numerals(layout: Layout, cells: Sequence[BBox], role: Role, id: str) -> list[Mark]:
    """1, 2, 3 in the band at the foot of strips."""
    up = (BAND - cap_height_mm(_NUMERAL_PT)) / 2.0
    return [
        Text(c.center[0], c.y0 + up, str(i), _NUMERAL_PT, role, id=f"{id}-{i}", anchor="middle")
        for i, c in enumerate(cells, start=1)
    ]


# --- the pieces -----------------------------------------------------------------------------------


def _pieces_page(
    task: PuzzleTask, layout: Layout, grid: CardGrid, options: Options, sheet: SheetBuilder
) -> None:
    line = grid.gutter
    marks = piece_marks(task, layout, grid, options)
    if line:
        plan = "The child cuts along the lines, those across first; then mix the pieces."
        marks.insert(0, lines_to_cut(grid, line, options))
        sheet.page(marks, "pieces", ask=["cut"], say=[plan], caution=SCISSOR_LINE)
        sheet.needs(printed("printed frame"), printed("printed picture"), scissors(options))
        sheet.prepare("Once the child has cut along the lines, mix the pieces.")
        sheet.caution(SCISSOR_LINE)
        return
    sheet.page(
        [*cut_ticks(grid), *marks],
        "pieces",
        ask=["pieces"],
        say=[f"An adult cuts the pieces beforehand: {grid.short_plan()}"],
        caution=LOOSE_SHORT.format("Pieces"),
        stock="card",
        cuts=[Cut(cut.direction == "across", cut.at) for cut in grid.cuts],
    )
    sheet.keep()
    sheet.needs(printed("printed frame"), printed("printed picture, on card", "small-parts"))
    sheet.needs(TRIMMER, ENVELOPE)
    sheet.prepare(
        f"An adult cuts the pieces beforehand: {grid.plan()}",
        "Keep the pieces of one puzzle in an envelope; mix them before they are laid out.",
    )
    sheet.caution(LOOSE_LINE.format("Pieces"))


def piece_marks(task: PuzzleTask, layout: Layout, grid: CardGrid, options: Options) -> list[Mark]:
    """The pieces: white paper, and the part of the picture that is on it.

    Between lines to cut there is no tint on the picture: the lines have one.
    """
    from sheets.kinds.picture_puzzle.ink import clip

    whole = shown(task.steps, picture_box(layout, layout.box()), options, tint=not grid.gutter)
    marks: list[Mark] = []
    for k, (cell, box) in enumerate(zip(layout.cells(), grid.cards, strict=True), start=1):
        to = Affine.translation(box.x0 - cell.x0, box.y0 - cell.y0)
        marks.append(Fill((rectangle(box),), Role.CARD, f"piece-{k}", colour=WHITE))
        for place in whole:
            part = clip(place, cell.grown(-HALF_GAP))
            if part is not None:
                at = part.at.then(to)
                marks.append(dataclasses.replace(part, at=at, role=Role.CARD, id=f"piece-{k}"))
    if task.strips:
        marks += numerals(layout, grid.cards, Role.CARD, "piece")
    return marks


def _key(task: PuzzleTask, layout: Layout, options: Options, sheet: SheetBuilder) -> None:
    box = _puzzle_box(task, layout, options)
    whole = shown(task.steps, picture_box(layout, box), options)
    solved: list[Mark] = [
        Stroke((rectangle(box),), _WALL, Role.GUIDE, id="frame", join="miter"),
        *(dataclasses.replace(place, id="picture") for place in whole),
        Stroke(between(layout, box), _BETWEEN, Role.ART, id="picture", colour=FURNITURE_GREY,
               dash=_DASH, cap="butt"),
    ]  # fmt: skip
    if task.strips:
        solved += numerals(layout, layout.cells(box.x0, box.y0), Role.ART, "picture-number")
    spots = [place.artwork.bbox.transformed(place.at) for place in whole]
    words = in_rows(spots, [step.word for step in task.steps])
    sheet.key(
        solved,
        ["The pieces are printed as they lie in the whole picture."],
        text=f"the whole picture, as its pieces are printed: {words}",
    )
