"""Reads sequence pages back from their marks, and solves them knowing the right order only.

The solver is told the picture ids in their order. It finds boxes, cards and their places on the
page; it never sees the task, the layout or the key.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapes.path import BBox
from sheets.files.theme_file import load
from sheets.kinds.options import Options
from sheets.kinds.sequence.task import SequenceTask
from sheets.page.model import Fill, Mark, Place, Role, Sheet, Stroke
from tests.making import sequence

draw = sequence.drawn

STAGES = range(7)
STEPS = (2, 2, 2, 3, 4, 5, 6)
GARDEN = load("bean-row-garden")
"""Its sequence has six steps, so every stage has its full number."""


def boxes_of(marks: Sequence[Mark]) -> dict[str, BBox]:
    return {
        m.id: m.paths[0].bbox
        for m in marks
        if isinstance(m, Stroke) and m.role is Role.ANSWER_SPACE
    }


def cards_of(marks: Sequence[Mark]) -> dict[str, BBox]:
    return {m.id: m.paths[0].bbox for m in marks if isinstance(m, Fill) and m.role is Role.CARD}


def pictures_of(marks: Sequence[Mark], role: Role) -> dict[str, str]:
    """Mark id -> id of the picture it shows: an artwork's id begins with it."""
    return {m.id: m.artwork.id for m in marks if isinstance(m, Place) and m.role is role}


def shows(artwork: str, order: Sequence[str]) -> int:
    """Which step an artwork shows; the longest id that fits, for some ids begin with another."""
    fitting = [i for i in order if artwork == i or artwork.startswith(f"{i}-")]
    return order.index(max(fitting, key=len))


def read_order(boxes: dict[str, BBox], *, clockwise: bool) -> list[str]:
    """Box ids in the order a child goes: like text, or clockwise from the top."""
    if clockwise:
        cx = sum(b.center[0] for b in boxes.values()) / len(boxes)
        cy = sum(b.center[1] for b in boxes.values()) / len(boxes)

        def hour(name: str) -> float:
            x, y = boxes[name].center
            return math.atan2(x - cx, y - cy) % math.tau

        top = max(boxes, key=lambda name: boxes[name].center[1])
        return sorted(boxes, key=lambda n: round((hour(n) - hour(top)) % math.tau, 6))
    return sorted(boxes, key=lambda n: (-round(boxes[n].center[1], 3), boxes[n].center[0]))


def solve(
    marks: Sequence[Mark], order: Sequence[str], *, clockwise: bool = False
) -> dict[str, str]:
    """Card id -> box id, from the marks of all pages and the right order of the pictures."""
    boxes = read_order(boxes_of(marks), clockwise=clockwise)
    cards = pictures_of(marks, Role.CARD)
    assert len(boxes) == len(cards) == len(cards_of(marks)) == len(order)
    solved = {card: boxes[shows(artwork, order)] for card, artwork in cards.items()}
    assert len(set(solved.values())) == len(order), "two cards for one box"
    for artwork in pictures_of(marks, Role.MODEL).values():
        assert shows(artwork, order) == 0
    return solved


def printed(marks: Sequence[Mark], order: Sequence[str]) -> tuple[int, ...]:
    """Steps of the cards in the order they are printed, row by row."""
    places = cards_of(marks)
    cards = pictures_of(marks, Role.CARD)
    return tuple(shows(cards[c], order) for c in read_order(places, clockwise=False))


def ids(task: SequenceTask) -> list[str]:
    return [step.picture.id for step in task.steps]


def drawn(task: SequenceTask, options: Options) -> tuple[list[Mark], dict[str, str], int]:
    pages, answer = draw(task, options)
    return [mark for page in pages for mark in page], answer, len(pages)


def order_of(sheet: Sheet) -> list[str]:
    """The words of the steps in their order."""
    order = sheet.parameters["order"]
    assert isinstance(order, list)
    return order
