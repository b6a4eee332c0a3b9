"""Sequence pages: pictures to cut apart and lay in order on a strip, or on a ring for a cycle.

Stages 0 to 2 have two pictures, first and then; after that one more at each stage. At stage 0 the
cards are large and an adult has cut them, and at stages 0 and 1 the first box shows its picture, so
that laying starts as matching; the finished strip is the same kind of strip at every stage.

The cards are printed in a shuffled order: never the right one nor another accepted one, never the
right one backwards, and no card under its own box; of four or more at most one card comes right
after the one before it, and on a ring no turn of the right order either way. Every other order is
equally likely. For two cards nothing would be left, so they lie one above the other, not under one
box each, and either may be on top.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapes.errors import FitError
from shapes.letters.font import cap_height_mm
from shapes.path import BBox
from sheets.kinds.child_cuts import at_start_side, beside, line_mm, lines_to_cut, room_for
from sheets.kinds.materials import (
    GLUE,
    POUCH,
    PRINTED,
    SCISSOR_LINE,
    TRIMMER,
    laminated,
    printed,
    scissors,
)
from sheets.kinds.options import Options, least_line
from sheets.kinds.sequence.backs import (
    FOLD_LINE,
    FOLDED_FILM_LINE,
    fold_backs,
    fronts,
    other_side_line,
    page_of_backs,
)
from sheets.kinds.sequence.key import key_notes, listed, order_text, words_of
from sheets.kinds.sequence.order import Order, draw_order
from sheets.kinds.sequence.task import CARD_INSET, SequenceTask, card_size, check_task, task
from sheets.kinds.settings import setting
from sheets.kinds.sheet import SheetBuilder
from sheets.page.cards import (
    LAMINATE_GUTTER,
    CardGrid,
    cut_ticks,
    face,
    grid_in,
    picture_with_lines,
)
from sheets.page.frame import Frame, rectangle
from sheets.page.model import FURNITURE_GREY, Mark, Role, Stock, Stroke, Text
from sheets.page.places import Cue, Places, box_edges, ring, strip

__all__ = ["draw", "drawn", "task"]

ADULT_CUTS_LINE = "Trimmer: for adults only. An adult stays at the table."
MOUTHING_LINE = (
    "Every card is wider than the small-parts cylinder (31.7 mm), but paper tears: stay beside a "
    "child who mouths things."
)
_TOP_GAP = 8.0
_LEAST_GAP = 6.0
_MOST_GAP = 20.0
_BOX_LINE = 0.9

Answer = dict[str, str]


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where boxes and cards are; ``order[k]`` is the step on card k, both counted from 0.

    ``grid`` is what is cut; ``fronts`` are where the pictures go, half a cell of it each if the
    cards are folded.
    """

    places: Places
    grid: CardGrid
    apart: bool
    order: Order
    fronts: tuple[BBox, ...]

    @property
    def turns(self) -> tuple[int, ...]:
        """The place in the order of each card, from 1."""
        return tuple(step + 1 for step in self.order)


def draw(task: SequenceTask, options: Options, sheet: SheetBuilder) -> None:
    """One page with strip and cards, or two where they do not fit on one.

    Raises:
        InputError: see :func:`sheets.kinds.sequence.task.check_task`.
        FitError: boxes or cards do not fit the work area.
    """
    check_task(task, options)
    layout = _lay_out(task, options)
    _child_pages(task, options, layout, sheet)
    _key_pages(task, options, layout, sheet)
    _materials(task, options, layout, sheet)
    sheet.prepare(*_preparation(task, options, layout, sheet))
    sheet.caution(_cutting_line(task, options))
    if "mouths-objects" in options.needs:
        sheet.caution(MOUTHING_LINE)
    sheet.record(**_parameters(task, options, layout))


def drawn(task: SequenceTask, options: Options) -> tuple[tuple[tuple[Mark, ...], ...], Answer]:
    """What the child's pages show in the work area, and the key's answer; no page is put together.

    Returns:
        The marks of each page, and the id of the box of every card's id.

    Raises:
        As :func:`draw`.
    """
    check_task(task, options)
    layout = _lay_out(task, options)
    return _drawn(task, options, layout, layout.apart), _answer(layout)


# --- layout ---------------------------------------------------------------------------------------


def _card(task: SequenceTask, options: Options) -> tuple[float, float, float]:
    lines = max((len(lines) for lines in task.captions), default=0)
    return card_size(task.stage, options, lines)


def _lay_out(task: SequenceTask, options: Options) -> _Layout:
    work = Frame(options.paper).work
    count = len(task.steps)
    width, height, more = _card(task, options)
    # Folded cards are laid apart for the film after folding.
    gutter = LAMINATE_GUTTER if task.laminate and task.backs != "fold" else 0.0
    line = _line(task, options)
    columns = 1 if count == 2 else None

    def places_below(top: float) -> Places:
        area = BBox(work.x0, work.y0, work.x1, top)
        if task.wheel:
            return ring(area, count, width + more, height + more)
        return strip(area, count, width + more, height + more, _cue(task))

    def grid_below(top: float) -> CardGrid:
        area = BBox(work.x0, work.y0, work.x1, top)
        wide = 2.0 * width if task.backs == "fold" else width
        room = room_for(area, line) if line else area
        grid = grid_in(
            room, options.paper, count, wide, height, gutter=line or gutter, columns=columns
        )
        return at_start_side(grid, area, line, options) if line else grid

    places = places_below(work.y1)
    grid = None
    if not (task.wheel or task.laminate or task.stage == 0 or task.backs):
        try:
            grid = grid_below(places.box.y0 - _LEAST_GAP)
        except FitError:
            grid = None
    if grid is None:
        order = draw_order(task, options.seed, tuple((k,) for k in range(count)))
        places = places_below(work.y1 - min(_TOP_GAP, places.box.y0 - work.y0))
        try:
            grid = grid_below(work.y1 - _TOP_GAP)
        except FitError:
            grid = grid_below(work.y1)
        return _Layout(places, grid, True, order, fronts(grid, task.backs))
    spare = grid.y - beside(line) - work.y0
    places = places_below(work.y1 - min(spare * 0.2, _TOP_GAP))
    grid = grid_below(places.box.y0 - _LEAST_GAP - min(spare * 0.5, _MOST_GAP))
    above = tuple(
        tuple(s for s, box in enumerate(places.boxes) if box.x0 <= card.center[0] <= box.x1)
        for card in grid.cards
    )
    return _Layout(places, grid, False, draw_order(task, options.seed, above), grid.cards)


def _cue(task: SequenceTask) -> Cue:
    return "numbers" if setting("sequence", task.stage, "cue") == "numbers" else "dots"


# --- the child's pages ----------------------------------------------------------------------------


def _child_cuts(task: SequenceTask, options: Options) -> bool:
    return task.child_cuts_at(options) is not None


def _line(task: SequenceTask, options: Options) -> float:
    """Width of the lines a child cuts along, mm; 0 if an adult cuts at the ticks."""
    stage = task.child_cuts_at(options)
    return 0.0 if stage is None else line_mm(stage, options)


def _line_widths(options: Options) -> tuple[float, float]:
    """Width of the boxes' walls, and the thinnest line of the pictures, mm."""
    return max(_BOX_LINE, least_line(options)), least_line(options)


def _strip_marks(task: SequenceTask, options: Options, layout: _Layout) -> list[Mark]:
    wall, least = _line_widths(options)
    marks: list[Mark] = [*layout.places.cues, *box_edges(layout.places.boxes, wall)]
    if task.first_shown:
        width, height, _ = _card(task, options)
        room = _card_in(layout.places.boxes[0], width, height).grown(-CARD_INSET)
        marks.append(
            picture_with_lines(
                task.steps[0].picture,
                room,
                least_line_mm=least,
                colour=options.colour,
                role=Role.MODEL,
                id="first",
            )
        )
    return marks


def _card_marks(
    task: SequenceTask, options: Options, layout: _Layout, *, numbered: bool = False
) -> list[Mark]:
    _, least = _line_widths(options)
    line = _line(task, options)
    # Lines to cut lie below the cards, whose white paper they may not touch.
    marks: list[Mark] = [] if line else list(cut_ticks(layout.grid))
    if line and not numbered:
        marks.append(lines_to_cut(layout.grid, line, options))
    for k, (box, step) in enumerate(zip(layout.fronts, layout.order, strict=True), start=1):
        marks += face(
            box,
            task.steps[step].picture,
            id=f"card-{k}",
            role=Role.ART if numbered else Role.CARD,
            captions=task.captions[step] if task.captions else (),
            inset=CARD_INSET,
            least_line_mm=least,
            colour=options.colour,
        )
        if numbered:
            top = box.y1 - 2.0 - cap_height_mm(14.0)
            marks.append(Text(box.x0 + 2.0, top, str(step + 1), 14.0, Role.ADULT, id=f"key-{k}"))
    if numbered:
        edges = tuple(rectangle(box) for box in layout.fronts)
        marks.append(Stroke(edges, 0.35, Role.ADULT, id="card-edges", colour=FURNITURE_GREY))
    elif task.backs == "fold":
        marks += fold_backs(layout.grid, layout.turns, _cue(task))
    return marks


def _drawn(
    task: SequenceTask, options: Options, layout: _Layout, apart: bool
) -> tuple[tuple[Mark, ...], ...]:
    boxes = _strip_marks(task, options, layout)
    cards = _card_marks(task, options, layout)
    if not apart:
        return ((*boxes, *cards),)
    if task.backs is None or task.backs == "fold":
        return (tuple(boxes), tuple(cards))
    backs = page_of_backs(layout.grid, layout.turns, _cue(task), task.backs)
    return (tuple(boxes), tuple(cards), tuple(backs))


def _answer(layout: _Layout) -> Answer:
    return {f"card-{k}": f"box-{step + 1}" for k, step in enumerate(layout.order, start=1)}


def _child_pages(
    task: SequenceTask, options: Options, layout: _Layout, sheet: SheetBuilder
) -> None:
    cuts = _child_cuts(task, options)
    apart = layout.apart or (sheet.apart and not cuts)
    drawn = _drawn(task, options, layout, apart)
    plan = _cut_line(task, options, sheet, layout.grid.short_plan())
    caution = _cutting_line(task, options)
    boxes = ["ring" if task.wheel else "boxes"]
    cards = ["cut" if cuts else "cards", "strip"]
    if not apart:
        if cuts:
            sheet.page(drawn[0], "sequence", ask=cards, say=[plan], caution=caution)
        else:
            sheet.cards(
                drawn[0],
                layout.grid,
                ask=boxes,
                what="sequence",
                say=[plan],
                caution=caution,
                stock="plain",
            )
            if _laid(task, sheet):
                sheet.keep()
        return
    # The plan belongs to the page that is cut.
    alone = cuts or not sheet.apart
    say = ["The cards are on a page of their own."] if alone else [plan]
    sheet.page(drawn[0], "sequence", ask=boxes, say=say, caution=caution)
    if not cuts and _laid(task, sheet):
        sheet.keep()
    say = [plan, _backs_line(task)]
    if cuts:
        sheet.page(drawn[1], "cards", ask=cards, say=say, caution=caution)
    else:
        stock: Stock = "card" if _on_card(task) else "plain"
        sheet.cards(drawn[1], layout.grid, ask=cards, say=say, caution=caution, stock=stock)
        if _laid(task, sheet):
            sheet.keep()
    for marks in drawn[2:]:
        sheet.back(marks)


def _laid(task: SequenceTask, sheet: SheetBuilder) -> bool:
    """Whether cards are laid and taken off again: laminated ones, and in a packet all that an adult
    cuts, until the last time."""
    return sheet.apart or (task.laminate and task.backs != "fold")


def _cutting_line(task: SequenceTask, options: Options) -> str:
    return SCISSOR_LINE if _child_cuts(task, options) else ADULT_CUTS_LINE


def _on_card(task: SequenceTask) -> bool:
    """Cards that are handed out cut, laminated or turned over are worth stiff paper."""
    return task.stage == 0 or task.laminate or task.backs is not None


def _cut_line(task: SequenceTask, options: Options, sheet: SheetBuilder, plan: str) -> str:
    if _child_cuts(task, options):
        return "The child cuts along the lines, those across first."
    line = sheet.cut_line("cards", plan)
    return f"{line} Glue them on the last time only." if sheet.apart else line


def _backs_line(task: SequenceTask) -> str:
    """What an adult does about the backs; empty without any."""
    if task.backs is None:
        return ""
    return FOLD_LINE if task.backs == "fold" else other_side_line(task.backs)


# --- the adult's side -----------------------------------------------------------------------------


def _card_in(box: BBox, width: float, height: float) -> BBox:
    (x, y) = box.center
    return BBox(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0)


def _key_pages(task: SequenceTask, options: Options, layout: _Layout, sheet: SheetBuilder) -> None:
    width, height, _ = _card(task, options)
    _, least = _line_widths(options)
    solved: list[Mark] = [
        *layout.places.cues,
        *box_edges(layout.places.boxes, _BOX_LINE),
    ]
    for i, (box, step) in enumerate(zip(layout.places.boxes, task.steps, strict=True), start=1):
        room = _card_in(box, width, height).grown(-CARD_INSET)
        solved.append(
            picture_with_lines(
                step.picture, room, least_line_mm=least, colour=options.colour, id=f"answer-{i}"
            )
        )
    cards = _card_marks(task, options, layout, numbered=True)
    answers, more = key_notes(task, layout.order)
    pages = [solved, cards] if layout.apart else [[*solved, *cards]]
    of_cards = ["The number on a card is that of its box."]
    try:
        sheet.key(pages[0], [*answers, *more], text=order_text(task))
        rest: list[Mark] = []
    except FitError:
        # The foot is for a few lines; a long list of other orders gets a page.
        sheet.key(pages[0], answers, text=order_text(task))
        rest = listed(more, options)
    # Of cards that are apart only for their wide lines the order on the first page tells enough.
    if layout.apart and not _child_cuts(task, options):
        printed_order = f"cards as printed: {words_of(task, layout.order)}"
        told = printed_order if order_text(task) else ""
        sheet.key(cards, of_cards, what="key 2", text=told)
    if rest:
        sheet.key(rest, what=f"key {len(pages) + 1}")


def _preparation(
    task: SequenceTask, options: Options, layout: _Layout, sheet: SheetBuilder
) -> tuple[str, ...]:
    lines = [_cut_line(task, options, sheet, layout.grid.plan())]
    if task.backs is not None:
        lines.append(_backs_line(task))
    if task.laminate:
        lines.append(layout.grid.film_plan() or FOLDED_FILM_LINE)
    if not _child_cuts(task, options):
        lines.append(f"Lay the cards out as printed: {words_of(task, layout.order)}.")
    if task.stage == 0:
        lines.append("Hand out the page with the boxes and the cut cards.")
    return tuple(lines)


def _materials(task: SequenceTask, options: Options, layout: _Layout, sheet: SheetBuilder) -> None:
    sheet.needs(PRINTED)
    if layout.apart:
        sheet.needs(
            printed("printed sheet on card" if _on_card(task) else "printed sheet of cards")
        )
    sheet.needs(scissors(options) if _child_cuts(task, options) else TRIMMER)
    if task.laminate:
        sheet.needs(POUCH, laminated(len(task.steps)))
    if not task.laminate or task.backs == "fold":
        sheet.needs(GLUE)


def _parameters(task: SequenceTask, options: Options, layout: _Layout) -> dict[str, object]:
    width, height, more = _card(task, options)
    return {
        "steps": len(task.steps),
        "form": "ring" if task.wheel else "strip",
        "card_mm": [width, height],
        "box_mm": [width + more, height + more],
        "first_shown": task.first_shown,
        "backs": task.backs or "none",
        "cut_by": "child" if _child_cuts(task, options) else "adult",
        "cut_line_mm": _line(task, options),
        "cuts": _cuts(task, options, layout.grid),
        "film_cuts": layout.grid.film_cuts,
        "order": [step.word for step in task.steps],
        "answer": _answer(layout),
        "also": [[f"box-{i + 1}" for i in order] for order in task.also],
    }


def _cuts(task: SequenceTask, options: Options, grid: CardGrid) -> int:
    """Straight cuts of an adult, or lines of a child: where cards lie apart, one for each gap."""
    return grid.rows + grid.columns + 2 if _child_cuts(task, options) else len(grid.cuts)
