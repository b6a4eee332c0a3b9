"""Boxes to lay things in one to one, frames with number cards, empty five and ten frames."""

from __future__ import annotations

from collections.abc import Sequence

from shapes.path import BBox, Path
from sheets.kinds.count_cards import drawing as draw_in
from sheets.kinds.count_cards.groups import FIVE, Places, frame_boxes, on_frame
from sheets.kinds.count_cards.task import NAME, NEAR_FROM, CountTask
from sheets.kinds.materials import PENCIL, PRINTED
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount
from sheets.kinds.sheet import SheetBuilder
from sheets.page.cards import cut_ticks, face
from sheets.page.frame import rectangle
from sheets.page.model import WHITE, Fill, Mark, Material, Role, Stroke

PEGS_LINE = "Pegs: look their springs over first, and count them out and in."
COUNTERS_LINE = (
    "Counters are small parts: none near a child under 3 or one who mouths things; count them out "
    "and in."
)
CAUTIONS = {"lay": "Counters are small parts: none near a child under 3 or one who mouths things."}
"""On the page itself, by what the child is asked."""

_SIDE, _ABOVE, _BELOW, _GAP = 2.0, 4.0, 2.0, 5.0
_LINE = 0.9
_IN_BOX = 4.0
"""A box is so much larger than its card."""
_FACE = 34.0
"""Room for dots and numeral beside the boxes of stage 0."""
_COVER_IN_FRAME = 32.0
"""Side of a card that covers a place of a frame; the small-parts cylinder is 31.75 mm wide."""
_NUMBER = 20.0
"""Height of a numeral that stands alone on a card."""


def area_of(work: BBox) -> BBox:
    """The work area but for the sides, where the words of the bar are on narrow paper."""
    return BBox(work.x0 + _SIDE, work.y0 + _BELOW, work.x1 - _SIDE, work.y1 - _ABOVE)


def cells(work: BBox, columns: int, rows: int) -> list[BBox]:
    """Boxes of one size that fill the work area, row by row."""
    area = area_of(work)
    wide = (area.width - (columns - 1) * _GAP) / columns
    high = (area.height - (rows - 1) * _GAP) / rows
    return [
        BBox(x, y - high, x + wide, y)
        for y in (area.y1 - r * (high + _GAP) for r in range(rows))
        for x in (area.x0 + c * (wide + _GAP) for c in range(columns))
    ]


def way(task: CountTask, options: Options) -> str:
    """What the child is asked: lay counters, cover with cards, or draw."""
    return "cover" if draw_in.covers(options, task) else task.answer


def supplies(task: CountTask, options: Options, sheet: SheetBuilder, count: int) -> None:
    """A pencil, or so many counters or cover cards."""
    if task.answer == "draw":
        sheet.needs(PENCIL)
    elif draw_in.covers(options, task):
        side = draw_in.COVER_SIDE if task.form == "mark" else _COVER_IN_FRAME
        _cover_cards(sheet, options, count, side)
    else:
        sheet.needs(Material("counters", count, "tool", caution="small-parts"))
        sheet.caution(COUNTERS_LINE)


def _cover_cards(sheet: SheetBuilder, options: Options, count: int, side: float) -> None:
    grid = sheet.grid(count, side, side)
    marks: list[Mark] = [*cut_ticks(grid)]
    for k, box in enumerate(grid.cards, start=1):
        name = f"card-{k}"
        circle = Path.circle(box.center, side / 3.0)
        marks.append(Fill((rectangle(box),), Role.CARD, name, colour=WHITE))
        marks.append(Stroke((circle,), draw_in.bold(_LINE, options), Role.CARD, name))
    sheet.cards_to_cut(marks, grid, "cover cards", ask=["covers"])


def _box(box: BBox, id: str, item: int, options: Options) -> Stroke:
    line = draw_in.bold(_LINE, options)
    return Stroke((rectangle(box),), line, Role.ANSWER_SPACE, id, join="miter", item=item)


# --- stage 0: one to one --------------------------------------------------------------------------


def lay(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    """A row of one box and a row of two, and a picture card for each box."""
    side = amount(NAME, task.stage, "card_side")
    marks: list[Mark] = []
    answer: list[Mark] = []
    boxes: list[BBox] = []
    for number, (group, cell) in enumerate(
        zip(task.groups, cells(sheet.frame.work, 1, len(task.groups)), strict=True), start=1
    ):
        y = cell.center[1]
        shown = BBox(cell.x0, y - _FACE / 2.0, cell.x0 + _FACE, y + _FACE / 2.0)
        marks += _shown_number(shown, group.amount, number)
        wide = side + _IN_BOX
        for i in range(group.amount):
            x = cell.x0 + _FACE + _GAP + i * (wide + _GAP / 2.0)
            box = BBox(x, y - wide / 2.0, x + wide, y + wide / 2.0)
            boxes.append(box)
            marks.append(_box(box, f"box-{number}-{i + 1}", number, options))
        placed = Places(tuple(b.grown(-2.0 * _IN_BOX) for b in boxes[-group.amount :]))
        answer += draw_in.drawn_at(placed, group, number, options)
    say = ["Lay and count together: touch each card, one number word for each."]
    sheet.page(marks, "boxes", ask=["boxes"], say=say)
    sheet.keep()
    sheet.needs(PRINTED)
    step, count = task.groups[0].step, len(boxes)
    grid = sheet.grid(count, side, side)
    faces = sheet.faces(grid, [step.picture] * count, insets=[4.0] * count)
    sheet.cards_to_cut(faces, grid, "cards", ask=["cards", "boxes"])
    amounts = ", then ".join(str(group.amount) for group in task.groups)
    sheet.key([*marks, *answer], text=f"a card in each box: {amounts}")
    sheet.record(answer=[group.amount for group in task.groups])


def _shown_number(box: BBox, value: int, number: int) -> list[Mark]:
    """Dots above a numeral: how many boxes there are."""
    name, middle = f"number-{number}", box.center[0]
    spots = [(middle + 12.0 * (i - (value - 1) / 2.0), box.center[1] + 9.0) for i in range(value)]
    return [
        Fill(tuple(Path.circle(p, 3.4) for p in spots), Role.MODEL, name, item=number),
        *draw_in.numeral(value, (middle, box.center[1] - 9.0), 18.0, Role.MODEL, name, number),
    ]


# --- number cards to frames -----------------------------------------------------------------------


def match(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    """Filled frames, each with a box for its number, and the numbers on cards."""
    ten = task.stage >= NEAR_FROM
    rows = cells(sheet.frame.work, 1, 2 if is_low(options) else 3 if ten else 4)
    below = is_low(options) and not ten
    box_side = min(50.0, rows[0].height)
    marks: list[Mark] = []
    boxes: list[BBox] = []
    for number, (group, row) in enumerate(zip(task.groups, rows, strict=False), start=1):
        box, room = (_below if below else _beside)(row, box_side, options)
        boxes.append(box)
        places = on_frame(room, group.amount, 100.0, 10 if ten else FIVE)
        marks += draw_in.drawn_at(places, group, number, options)
        marks.append(_box(box, f"box-{number}", number, options))
    sheet.page(marks, "frames", ask=["match"])
    sheet.keep()
    sheet.needs(PRINTED)
    side = box_side - _IN_BOX
    grid = sheet.grid(len(task.cards), side, side)
    with_dots = task.stage != 4  # the numeral stands alone there
    cards: list[Mark] = [*cut_ticks(grid)]
    for k, (card, value) in enumerate(zip(grid.cards, task.cards, strict=True), start=1):
        cards += face(card, None, id=f"card-{k}")
        cards += _card_face(card, value, f"card-{k}", with_dots)
    sheet.cards_to_cut(cards, grid, "number cards", ask=["numbers", "match"])
    solved = list(marks)
    for box, group in zip(boxes, task.groups, strict=True):
        solved += draw_in.numeral(group.amount, box.center, _NUMBER, Role.ADULT, "")
    said = ", ".join(f"{group.step.word} {group.amount}" for group in task.groups)
    sheet.key(solved, text=said)
    sheet.record(answer={f"box-{k}": f"card-{task.cards.index(g.amount) + 1}"
                         for k, g in enumerate(task.groups, start=1)})  # fmt: skip


def _beside(row: BBox, side: float, options: Options) -> tuple[BBox, BBox]:
    """The box for the number at the side of the hand that lays it, and the rest of the row."""
    y = row.center[1]
    if options.hand == "left":
        box = BBox(row.x0, y - side / 2.0, row.x0 + side, y + side / 2.0)
        return box, BBox(box.x1 + 2.0 * _GAP, row.y0, row.x1, row.y1)
    box = BBox(row.x1 - side, y - side / 2.0, row.x1, y + side / 2.0)
    return box, BBox(row.x0, row.y0, box.x0 - 2.0 * _GAP, row.y1)


def _below(row: BBox, side: float, options: Options) -> tuple[BBox, BBox]:
    """The box for the number below the frame, which has the whole width then."""
    x = row.center[0]
    line = draw_in.bold(_LINE, options)
    box = BBox(x - side / 2.0, row.y0, x + side / 2.0, row.y0 + side)
    return box, BBox(row.x0 + line, box.y1 + _GAP, row.x1 - line, row.y1 - line)


def _card_face(card: BBox, value: int, name: str, with_dots: bool) -> list[Mark]:
    x, y = card.center
    if not with_dots:
        return draw_in.numeral(value, (x, y + 1.0), _NUMBER, Role.CARD, name)
    lower = BBox(x - 12.0, card.y0 + 3.0, x + 12.0, card.y0 + 15.0)
    return [
        *draw_in.numeral(value, (x, card.y1 - 12.5), 15.0, Role.CARD, name),
        *draw_in.dots(lower, value, 1.6, Role.CARD, name),
    ]


# --- empty frames ---------------------------------------------------------------------------------


def fill(task: CountTask, options: Options, sheet: SheetBuilder) -> None:
    """A number and an empty frame below it, for counters or drawn dots."""
    ten = task.stage >= NEAR_FROM
    per_page = 2 if ten or is_low(options) else 3
    numbered = list(enumerate(task.groups, start=1))
    asked = f"fill-{way(task, options)}"
    for first in range(0, len(numbered), per_page):
        some = numbered[first : first + per_page]
        marks: list[Mark] = []
        solved: list[Mark] = []
        boxes = cells(sheet.frame.work, 1, per_page)
        for (number, group), cell in zip(some, boxes, strict=False):
            drawn, frame = _frame(cell, group.amount, number, task, options)
            marks += drawn
            dots = tuple(Path.circle(box.center, 8.0) for box in frame[: group.amount])
            solved.append(Fill(dots, Role.ADULT, f"answer-{number}"))
        caution = CAUTIONS.get(way(task, options), "")
        sheet.page(marks, "frames", ask=[asked], caution=caution)
        if task.answer == "lay":
            sheet.keep()
        said = ", ".join(str(group.amount) for _, group in some)
        notes = ["Also accept: the same amount in other boxes of the frame."]
        sheet.key([*marks, *solved], notes, text=said)
    sheet.needs(PRINTED)
    most = max(group.amount for group in task.groups)
    supplies(task, options, sheet, most)
    sheet.record(answer=[group.amount for group in task.groups])


def _frame(
    cell: BBox, value: int, number: int, task: CountTask, options: Options
) -> tuple[list[Mark], Sequence[BBox]]:
    """A number with or without dots, and its empty frame."""
    head = BBox(cell.x0, cell.y1 - _NUMBER - 2.0, cell.x1, cell.y1)
    room = BBox(cell.x0 + 1.0, cell.y0, cell.x1 - 1.0, head.y0 - 3.0)
    boxes = frame_boxes(room, 10 if task.stage >= NEAR_FROM else FIVE)
    name = f"number-{number}"
    middle = (boxes[0].x0 + 14.0, head.center[1])
    marks = draw_in.numeral(value, middle, 17.0, Role.MODEL, name, number)
    if task.stage % 2:  # three and five, where each frame is new; then the numeral alone
        wide = BBox(middle[0] + 16.0, head.y0 + 2.0, middle[0] + 56.0, head.y1 - 2.0)
        marks += draw_in.dots(wide, value, 2.2, Role.MODEL, name, number)
    marks += [
        _box(box, f"box-{number}-{i}", number, options) for i, box in enumerate(boxes, start=1)
    ]
    return marks, boxes
