"""The page with places to lay the cards in, row by row like text. Lengths in mm, y up."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

from shapes.path import BBox, Path
from sheets.kinds import toolkit as kit
from sheets.kinds.options import BOLD_LINE, Options, is_low, least_line
from sheets.kinds.order_cards.cards import ground_line, sign_marks, sign_pt, stood
from sheets.kinds.order_cards.task import DOTS, NAME, OrderTask, size_stage
from sheets.page.cards import picture_with_lines
from sheets.page.frame import FOOT_HEIGHT, HEAD_HEIGHT, WORK_WIDTH, Frame, rectangle
from sheets.page.model import FURNITURE_GREY, Fill, Mark, Paper, Role, Stroke, Text

AIR = 6.0
"""Between the line that says what to do and the first row."""
GAP = 2.0
"""Between rows."""
BAND = 15.0
"""Above a row, for what shows its order; less where there are many rows."""
_PICTURE_FROM = 13.0
_ON_SIDE, _BAR = 4, 5.0
SAME_ON_SAME, DOTS_UNTIL, GROUND_UNTIL, NO_WALLS_FROM = 0, 1, 3, 5
"""Sizes: the stage with each size in its place, the last ones with a dot for each place and with a
ground line, and the first without places."""
_WALL = 0.7
_LEAST_DOT, _MOST_DOT = 3.0, 9.0
_STAIR_GAP = 2.0
_CUE_PT = 28.0
_HEAD = 2.4
_WIDE = 44.0
_FOR_MOUTHS = ((5, 58.0, 60.0), (10, 54.0, 40.0))
"""Places of the row at most, and width and height of its cards, for a child who mouths things."""


def card_size(task: OrderTask, options: Options) -> tuple[float, float]:
    """Width and height of a card in mm."""
    if task.sizes:
        side = kit.amount(NAME, size_stage(task.stage, options), "size_card")
        return (side, side)
    if "mouths-objects" in options.needs:
        for most, width, height in _FOR_MOUTHS:
            if task.count <= most:
                return (width, height)
    wide, high = (kit.amount(NAME, task.stage, n) for n in ("row_card", "row_card_height"))
    columns = _columns(task.count, wide)
    return (max(wide, min(_WIDE, WORK_WIDTH // columns)), high)


def _columns(count: int, wide: float) -> int:
    """Places side by side, evened out over the rows."""
    rows = math.ceil(count / (WORK_WIDTH // wide))
    return math.ceil(count / rows)


@dataclass(frozen=True, slots=True)
class Board:
    """The places in the order of the row, and what is printed."""

    paper: Paper
    boxes: tuple[BBox, ...]
    marks: tuple[Mark, ...]


def board(task: OrderTask, options: Options) -> Board:
    """Places for a row; three or four large ones in one row on paper that lies on its side."""
    width, height = card_size(task, options)
    on_side = bool(task.sizes) and task.count <= _ON_SIDE
    paper = options.paper.turned() if on_side else options.paper
    area = _beside_the_bar(paper, options) if on_side else Frame(paper).work
    columns = task.count if on_side else _columns(task.count, width)
    rows = math.ceil(task.count / columns)
    stairs = _has_stairs(task) and rows == 1
    free = area.height - AIR - rows * height - (rows - 1) * GAP
    band = free if stairs else min(BAND, free / rows)
    top = area.y1 - AIR - (free - rows * band) / 3.0
    left = area.center[0] - columns * width / 2.0
    boxes = []
    for k in range(task.count):
        row, column = divmod(k, columns)
        y1 = top - row * (band + height + GAP) - band
        x0 = left + column * width
        boxes.append(BBox(x0, y1 - height, x0 + width, y1))
    marks = _sizes(boxes, task, options) if task.sizes else _signs(boxes, task, options)
    marks += _stairs(boxes, band, task, options) if stairs else _cues(boxes, band, task, options)
    return Board(paper, tuple(boxes), tuple(marks))


def _beside_the_bar(paper: Paper, options: Options) -> BBox:
    """What head, foot and the bar down the far side leave of paper on its side."""
    live = Frame(paper).live
    left, right = (_BAR, 0.0) if options.far_side == "left" else (0.0, _BAR)
    return BBox(live.x0 + left, live.y0 + FOOT_HEIGHT, live.x1 - right, live.y1 - HEAD_HEIGHT)


def _has_stairs(task: OrderTask) -> bool:
    return task.what == "numbers" and task.stage in DOTS


def _wall(options: Options) -> float:
    return BOLD_LINE if is_low(options) else _WALL


# --- places ---------------------------------------------------------------------------------------


def _sizes(boxes: list[BBox], task: OrderTask, options: Options) -> list[Mark]:
    """Places for sizes: with the pictures, with a ground line, with walls only, or a bare band."""
    line = _wall(options)
    if task.stage >= NO_WALLS_FROM:
        bands: dict[float, BBox] = {}
        for box in boxes:
            bands[box.y0] = bands.get(box.y0, box).union(box)
        boxes = list(bands.values())
    marks: list[Mark] = []
    for k, box in enumerate(boxes, start=1):
        name = f"row-{k}"
        marks.append(Stroke((rectangle(box),), line, Role.ANSWER_SPACE, name, join="miter"))
        if task.stage <= GROUND_UNTIL:
            marks.append(ground_line(box, Role.ANSWER_SPACE, name))
        if task.stage == SAME_ON_SAME:
            place = stood(task.picture, task.sizes[k - 1], box, options, ground=True)
            marks.append(dataclasses.replace(place, role=Role.ANSWER_SPACE, id=name))
    return marks


def _signs(boxes: list[BBox], task: OrderTask, options: Options) -> list[Mark]:
    """Places for numerals or letters; those that are no cards are printed."""
    line = _wall(options)
    size = sign_pt(task.row, boxes[0], dots=False)
    marks: list[Mark] = []
    for k, box in enumerate(boxes):
        if k in task.loose:
            wall = (rectangle(box),)
            marks.append(Stroke(wall, line, Role.ANSWER_SPACE, f"row-{k + 1}", join="miter"))
            continue
        name = f"given-{k + 1}"
        marks.append(Stroke((rectangle(box),), line, Role.MODEL, name, join="miter"))
        under = "6" in task.row and "9" in task.row
        marks += sign_marks(box, task.row[k], size, Role.MODEL, name, dots=False, line=under)
    return marks


# --- what shows the order -------------------------------------------------------------------------


def _stairs(boxes: list[BBox], room: float, task: OrderTask, options: Options) -> list[Mark]:
    """Above each place as many pictures as its numeral says: one, two, three, like stairs."""
    count, box = len(boxes), boxes[0]
    pitch = min((room - _STAIR_GAP) / count, box.width)
    side = pitch - _STAIR_GAP - least_line(options)
    marks: list[Mark] = []
    for k, box in enumerate(boxes, start=1):
        for step in range(k):
            x, low = box.center[0], box.y1 + _STAIR_GAP + pitch * step
            marks.append(
                picture_with_lines(
                    task.picture,
                    BBox(x - side / 2.0, low, x + side / 2.0, low + side),
                    least_line_mm=least_line(options),
                    colour=options.colour,
                    role=Role.MODEL,
                    id=f"stair-{k}-{step + 1}",
                )
            )
    return marks


def _cues(boxes: list[BBox], band: float, task: OrderTask, options: Options) -> list[Mark]:
    """Above the places: dots that grow, dots to count, letters, or a picture where it begins."""
    if task.sizes:
        return _growing(boxes, band, task)
    if _has_stairs(task):
        return [_counted(box, band, k) for k, box in enumerate(boxes, start=1)]
    if task.what == "letters" and task.stage in DOTS:
        shown = boxes if task.stage == DOTS[0] else boxes[:1]
        return [
            Text(box.center[0], box.y1 + 2.5, sign, _CUE_PT, Role.MODEL, f"cue-{sign}",
                 anchor="middle")
            for box, sign in zip(shown, task.row, strict=False)
        ]  # fmt: skip
    marks: list[Mark] = []
    if len(task.loose) == task.count and band > _PICTURE_FROM:
        box = boxes[0]
        room = BBox(box.x0, box.y1 + 1.5, box.x0 + band + 6.0, box.y1 + band)
        marks.append(
            picture_with_lines(
                task.picture,
                room.grown(-least_line(options) / 2.0),
                least_line_mm=least_line(options),
                colour=options.colour,
                role=Role.MODEL,
                id="start",
            )
        )
    rows: dict[float, BBox] = {}
    for box in boxes:
        rows[box.y0] = rows.get(box.y0, box).union(box)
    for k, row in enumerate(rows.values(), start=1):
        start = row.x0 + (band + 9.0 if k == 1 and marks else 2.0)
        marks.append(_arrow(start, row.x1 - 2.0, row.y1 + band / 2.0, f"arrow-{k}"))
    return marks


def _growing(boxes: list[BBox], band: float, task: OrderTask) -> list[Mark]:
    """A small dot above the place of the smallest, and so on; later only of the first and last."""
    last = len(boxes) - 1
    marks: list[Mark] = []
    for k, box in enumerate(boxes):
        if 0 < k < last and task.stage > DOTS_UNTIL:
            continue
        radius = (_LEAST_DOT + (_MOST_DOT - _LEAST_DOT) * k / last) / 2.0
        center = (box.center[0], box.y1 + band / 2.0)
        marks.append(Fill((Path.circle(center, radius),), Role.GUIDE, f"cue-{k + 1}"))
    return marks


def _counted(box: BBox, band: float, number: int) -> Fill:
    first, y = box.center[0] - 6.0 * (number - 1) / 2.0, box.y1 + band / 2.0
    dots = tuple(Path.circle((first + 6.0 * k, y), 2.2) for k in range(number))
    return Fill(dots, Role.GUIDE, f"cue-{number}")


def _arrow(x0: float, x1: float, y: float, id: str) -> Stroke:
    """Which way a row goes."""
    head = Path.from_points([(x1 - _HEAD, y + _HEAD), (x1, y), (x1 - _HEAD, y - _HEAD)])
    return Stroke((Path.line((x0, y), (x1, y)), head), 0.8, Role.GUIDE, id, FURNITURE_GREY)
