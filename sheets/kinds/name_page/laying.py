"""Stages 0 to 2: a name card on its like, letters on the model, letters in order."""

from __future__ import annotations

import random

from shapes.path import BBox
from sheets.kinds import toolkit as kit
from sheets.kinds.name_page.letters import card, frame, letter_in, solid, start_dot
from sheets.kinds.name_page.room import FOOT_LINE, ROW_GAP, Boxes, Fitted, boxes, fitted, tall
from sheets.kinds.name_page.task import NAME, NameTask, least, look, usual
from sheets.kinds.sheet import UNDER_TITLE
from sheets.kinds.toolkit import Options, SheetBuilder
from sheets.page.cards import TICK_ROOM, cut_ticks
from sheets.page.frame import WORK_WIDTH
from sheets.page.model import Mark, Role

CARD_WIDTH, CARD_HEIGHT = 160.0, 72.0
"""Of the card with the whole name, mm: one a hand takes, and as wide as a page of cards allows."""
TOGETHER = "Together with an adult: say the name and run a finger along it before the card is laid."
FOOT = "The grey line is the foot of each card."
JOINED = (
    "The letters of this name join: each card has its letter in the form of the name, with the "
    "stroke that joins it."
)
_BETWEEN_LIKES = 20.0
_RIM = 6.0
_CLOSE = 3.0
_MODEL = 0.6  # height of the model over that of the letters
_MODEL_HEIGHT = 60.0
_UNDER_MODEL = 8.0
_MOUTHED = 38.0
_DOT = 6.0
_ACROSS = WORK_WIDTH - 2.0 * TICK_ROOM


def name_cards(task: NameTask, options: Options, sheet: SheetBuilder) -> Fitted:
    """Two large name cards, and a page with two places that look the same."""
    room = (CARD_WIDTH - 2.0 * _RIM, CARD_HEIGHT - 2.0 * _RIM - FOOT_LINE)
    floor = least(task.stage, "letter_height")
    fit = fitted(task.parts, room, usual(task, options), floor, gap=_CLOSE)
    x, y = sheet.frame.work.center
    marks: list[Mark] = []
    for i, up in enumerate((1.0, -1.0), start=1):
        low = y + up * (CARD_HEIGHT + _BETWEEN_LIKES) / 2.0 - CARD_HEIGHT / 2.0
        box = BBox(x - CARD_WIDTH / 2.0, low, x + CARD_WIDTH / 2.0, low + CARD_HEIGHT)
        marks += frame(box, look(options), Role.TARGET, f"own-name-{i}")
        marks += solid(fit, _above_foot(box), _CLOSE, f"own-name-{i}", Role.TARGET)
    sheet.page(marks, "places", ask=["lay"], say=[TOGETHER, FOOT])
    sheet.keep()
    grid = sheet.grid(2, CARD_WIDTH, CARD_HEIGHT)
    faces: list[Mark] = [*cut_ticks(grid)]
    for i, box in enumerate(grid.cards, start=1):
        faces += card(box, Role.CARD, f"card-{i}")
        faces += solid(fit, _above_foot(box), _CLOSE, f"card-{i}", Role.CARD)
    sheet.needs(kit.PRINTED)
    sheet.cards_to_cut(faces, grid, "name cards", ask=["cards"])
    return fit


def _above_foot(box: BBox) -> BBox:
    return BBox(box.x0, box.y0 + FOOT_LINE, box.x1, box.y1)


def on_model(task: NameTask, options: Options, sheet: SheetBuilder) -> Boxes:
    """Boxes with the letters of the name, and cards to lay on them."""
    work = sheet.frame.work
    area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
    sizes = _boxes(task, options, area.height)
    places = _places(sizes, area, task)
    marks: list[Mark] = []
    for i, (box, piece) in enumerate(zip(places, task.parts, strict=True), start=1):
        marks += frame(box, look(options), Role.TARGET, f"own-letter-{i}")
        marks.append(letter_in(box, sizes, piece.shown, Role.TARGET, f"own-letter-{i}"))
    sheet.page(marks, "model", ask=["on-model"], say=_about_cards(task))
    sheet.keep()
    _letter_cards(task, sizes, sheet)
    return sizes


def in_order(task: NameTask, options: Options, sheet: SheetBuilder) -> Boxes:
    """The name, below it empty boxes in its order, and cards to put in them."""
    work = sheet.frame.work
    floor = least(task.stage, "letter_height")
    letter = kit.amount(NAME, task.stage, "letter") * _MODEL
    model = fitted(task.parts, (_ACROSS, _MODEL_HEIGHT), letter, floor, gap=_CLOSE)
    high = work.y1 - UNDER_TITLE
    top = BBox(work.x0, high - tall(model, _CLOSE), work.x1, high)
    marks = solid(model, top, _CLOSE, "model", Role.MODEL)
    room = BBox(work.x0, work.y0, work.x1, top.y0 - _UNDER_MODEL)
    sizes = _boxes(task, options, room.height)
    places = _places(sizes, room, task)
    for i, box in enumerate(places, start=1):
        marks += frame(box, look(options), Role.ANSWER_SPACE, f"own-box-{i}")
    first = places[0]
    x = first.x1 - _DOT if task.left else first.x0 + _DOT
    marks.append(start_dot(x, first.y1 - _DOT, "start"))
    sheet.page(marks, "boxes", ask=["in-order"], say=_about_cards(task))
    sheet.keep()
    _letter_cards(task, sizes, sheet)
    return sizes


def _about_cards(task: NameTask) -> list[str]:
    """What the adult is told of the cards: on the page that they are laid on, which has room."""
    return [FOOT, JOINED if any(piece.joined for piece in task.parts) else ""]


def _boxes(task: NameTask, options: Options, height: float) -> Boxes:
    side = kit.amount(NAME, task.stage, "piece")
    if "mouths-objects" in options.needs:
        side = max(side, _MOUTHED)
    floor = least(task.stage, "letter_height")
    # As wide as the grid of cards, which has ticks at its sides.
    return boxes(task.parts, (_ACROSS, height), usual(task, options), floor, side)


def _places(sizes: Boxes, area: BBox, task: NameTask) -> list[BBox]:
    """The boxes in the order of reading, in the middle of an area."""
    (x, y), wide, high = area.center, sizes.width, sizes.height
    top = y + (len(sizes.rows) * (high + ROW_GAP) - ROW_GAP) / 2.0
    half = max(sizes.rows) * wide / 2.0
    found: list[BBox] = []
    for row, count in enumerate(sizes.rows):
        low = top - row * (high + ROW_GAP) - high
        for i in range(count):
            x0 = x + half - (i + 1) * wide if task.left else x - half + i * wide
            found.append(BBox(x0, low, x0 + wide, low + high))
    return found


def _letter_cards(task: NameTask, sizes: Boxes, sheet: SheetBuilder) -> None:
    """Cards with the letters, mixed, on as many pages as they need."""
    order = list(task.parts)
    random.Random(f"{task.seed}:{task.stage}:name").shuffle(order)
    high = sheet.frame.work.height - UNDER_TITLE - TICK_ROOM
    most = int(_ACROSS // sizes.width) * int(high // sizes.height)
    sheet.needs(kit.PRINTED)
    for at in range(0, len(order), most):
        shown = [piece.shown for piece in order[at : at + most]]
        grid = sheet.grid(len(shown), sizes.width, sizes.height)
        faces: list[Mark] = [*cut_ticks(grid)]
        for i, (box, text) in enumerate(zip(grid.cards, shown, strict=True), start=at + 1):
            faces += card(box, Role.CARD, f"card-{i}")
            faces.append(letter_in(box, sizes, text, Role.CARD, f"card-{i}"))
        sheet.cards_to_cut(faces, grid, "letter cards", ask=["letters"])
