"""Stages 3 and 4: the name in hollow letters, to go along with a finger and then with a crayon."""

from __future__ import annotations

from sheets.kinds import toolkit as kit
from sheets.kinds.materials import PENCIL
from sheets.kinds.name_page.letters import Spot, hollow, start_dot
from sheets.kinds.name_page.room import Fitted, band, fitted, ink, stroke_width
from sheets.kinds.name_page.task import NAME, NameTask, least, look, usual
from sheets.kinds.toolkit import Options, SheetBuilder
from sheets.page.model import Mark

OWN_STROKES = "Where each letter begins and which stroke comes next: as your programme teaches it."
_AIR = 14.0
_DOT_ROOM = 10.0
_DOT_AWAY = 7.0
_CLOSE_SIGNS = 0.3  # many strokes in a square: much wider ones would run together


def traced(task: NameTask, options: Options, sheet: SheetBuilder) -> Fitted:
    """The name in hollow letters, as often as there is room."""
    work, lines = sheet.frame.work, look(options)
    share = kit.amount(NAME, task.stage, "widened") * (_CLOSE_SIGNS if task.even else 1.0)
    letter = usual(task, options)
    around = 2.0 * lines.edge + share * letter
    room = (work.width - 2.0 * _DOT_ROOM - around, work.height - around - _AIR)
    high_enough, wide_enough = (
        least(task.stage, name) for name in ("trace_letter_height", "corridor")
    )

    def floor(text: str) -> float:
        return max(high_enough / ink(text).height, wide_enough / (stroke_width(text) + share))

    fit = fitted(task.parts, room, letter, floor, gap=_AIR + around, level=True)
    low, high = band(fit.texts)
    tall, rows = (high - low) * fit.letter + around, len(fit.rows)
    most = max(1, int((work.height + _AIR) // (rows * (tall + _AIR))))
    copies = min(int(kit.amount(NAME, task.stage, "rows")), most)
    air = (work.height - copies * rows * tall) / (copies * rows + 1)
    half = max(ink(text).width for text in fit.texts) * fit.letter / 2.0
    begin = work.center[0] + (half if task.left else -half)
    marks: list[Mark] = []
    for i in range(copies * rows):
        text = fit.texts[i % rows]
        box = ink(text)
        y = work.y1 - (i + 1) * air - i * tall - around / 2.0 - high * fit.letter
        x = begin - (box.x1 if task.left else box.x0) * fit.letter
        spot = Spot(text, x, y, fit.letter)
        marks += hollow([spot], share * fit.letter, lines, f"own-name-{i + 1}")
        if i % rows == 0:
            at = begin + (_DOT_AWAY if task.left else -_DOT_AWAY)
            middle = y + (box.y0 + box.y1) / 2.0 * fit.letter
            marks.append(start_dot(at, middle, f"start-{i + 1}"))
    sheet.page(marks, "trace", ask=["trace"], say=[OWN_STROKES])
    sheet.needs(kit.PRINTED, PENCIL)
    return fit
