"""Stages 5 and 6: lines or squares to write the name on, with help in the first ones or without."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from shapes.letters.font import cap_height_mm, x_height_mm
from shapes.path import BBox
from sheets.kinds import toolkit as kit
from sheets.kinds.materials import PENCIL
from sheets.kinds.name_page.letters import (
    Spot,
    hollow,
    solid,
    squares,
    start_dot,
    writing_lines,
)
from sheets.kinds.name_page.room import (
    Fitted,
    Parts,
    band,
    fitted,
    ink,
    runs_of,
    tall,
    text_of,
    wide,
)
from sheets.kinds.name_page.task import NAME, NameTask, least, look, usual
from sheets.kinds.name_page.tracing import OWN_STROKES
from sheets.kinds.toolkit import Options, SheetBuilder
from sheets.page.model import Mark, Role

SOME = 5
"""The stage with a model and some letters to trace."""
NO_MODEL = "The name in the head is the only model: fold it back to write without one."
_MODEL = 1.2  # height of the model over that of the lines
_MODEL_HEIGHT = 60.0
_OVER_MODEL, _UNDER_MODEL, _CLOSE = 6.0, 4.0, 3.0
_AIR = 8.0
_MOST_AIR = 20.0
_DOT_ROOM, _DOT_AWAY = 10.0, 6.0
_INDENT = 4.0
_DESCENDER = 0.35  # below the line in most scripts, in heights of a capital
_SQUARE = 1.5  # side of a square over the height of a capital


def written(task: NameTask, options: Options, sheet: SheetBuilder) -> Fitted:
    """Lines to write on; at stage 5 below the model, with letters to help in the first ones."""
    work, top = sheet.frame.work, sheet.frame.work.y1
    marks: list[Mark] = []
    if task.stage == SOME:
        room = (work.width - 2.0 * _INDENT, _MODEL_HEIGHT)
        floor = least(task.stage, "letter_height")
        model = fitted(task.parts, room, usual(task, options) * _MODEL, floor, gap=_CLOSE)
        top -= _OVER_MODEL
        head = BBox(work.x0, top - tall(model, _CLOSE), work.x1, top)
        marks += solid(model, head, _CLOSE, "model", Role.MODEL)
        top = head.y0 - _UNDER_MODEL
    area = BBox(work.x0, work.y0, work.x1, top)
    fit, rows = (_in_squares if task.even else _on_lines)(task, options, area)
    ask, say = ("some", OWN_STROKES) if task.stage == SOME else ("write", NO_MODEL)
    sheet.page([*marks, *rows], "lines", ask=[ask], say=[say])
    sheet.needs(kit.PRINTED, PENCIL)
    return fit


def _copies(task: NameTask, area: BBox, high: float) -> int:
    """How often the name is written, if once takes so much of the area's height."""
    return max(1, min(int(kit.amount(NAME, task.stage, "rows")), int(area.height // high)))


def _fitted(task: NameTask, options: Options, area: BBox, width: float) -> Fitted:
    """The name on lines of that width, and low enough to be written twice."""
    room = (width, area.height / 2.0 - _AIR)
    floor = least(task.stage, "cell_size")
    return fitted(task.parts, room, usual(task, options), floor, gap=_AIR, level=True)


# --- on lines -------------------------------------------------------------------------------------


def _on_lines(task: NameTask, options: Options, area: BBox) -> tuple[Fitted, list[Mark]]:
    lines = look(options)
    fit = _fitted(task, options, area, area.width - _DOT_ROOM - 2.0 * _INDENT)
    low, high = band([text_of(task.parts)])
    low, high = min(low, -_DESCENDER) * fit.letter, max(high, 1.0) * fit.letter
    count = len(fit.rows)
    copies = _copies(task, area, count * (high - low + _AIR))
    pitch = min(area.height / (copies * count), high - low + _MOST_AIR)
    x0, x1 = (
        area.x0 + (0.0 if task.left else _DOT_ROOM),
        area.x1 - (_DOT_ROOM if task.left else 0.0),
    )
    middle = x_height_mm(fit.letter / cap_height_mm(1.0)) if _has_small(task.name) else 0.0
    top = area.center[1] + copies * count * pitch / 2.0
    marks: list[Mark] = []
    for i in range(copies * count):
        row, parts = f"own-row-{i + 1}", fit.rows[i % count]
        base = top - (i + 0.5) * pitch - (high + low) / 2.0
        marks += writing_lines((x0, x1), base, (fit.letter, middle), lines, row)
        if i % count == 0:
            dot = x1 + _DOT_AWAY if task.left else x0 - _DOT_AWAY
            marks.append(start_dot(dot, base + fit.letter / 2.0, f"start-{i + 1}"))
        if task.stage == SOME:
            spots = [
                Spot(text, _x_of(text, at, (x0, x1), fit, task), base, fit.letter)
                for text, at in helped(parts, i // count)
            ]
            marks += hollow(spots, 0.0, lines, f"{row}-letters")
    return fit, marks


def _x_of(text: str, at: float, line: tuple[float, float], fit: Fitted, task: NameTask) -> float:
    """Where a text starts on a line from left to right, if it comes so far after its begin."""
    if task.left:
        return line[1] - _INDENT - (at + wide(text)) * fit.letter
    return line[0] + _INDENT + at * fit.letter


def helped(parts: Parts, copy: int) -> list[tuple[str, float]]:
    """The parts of a row that are printed hollow, and where each starts from the row's begin.

    All of it first, then every other letter, or run of letters that join, then nothing.
    """
    if copy == 0:
        return [(text_of(parts), 0.0)]
    if copy > 1:
        return []
    found: list[tuple[str, float]] = []
    before: Parts = ()
    for number, run in enumerate(runs_of(parts)):
        if number % 2 == 0:
            found.append((text_of(run), wide(text_of((*before, *run))) - wide(text_of(run))))
        before = (*before, *run)
    return found


def _has_small(name: str) -> bool:
    """Whether the script has small letters."""
    return any(unicodedata.category(char) in ("Lu", "Ll") for char in name)


# --- in squares -----------------------------------------------------------------------------------


def _in_squares(task: NameTask, options: Options, area: BBox) -> tuple[Fitted, list[Mark]]:
    lines = look(options)
    fit = _fitted(task, options, area, area.width / _SQUARE - _DOT_ROOM)
    side, count = fit.letter * _SQUARE, len(fit.rows)
    copies = _copies(task, area, count * (side + _AIR))
    pitch = min(area.height / (copies * count), side + _MOST_AIR)
    y = area.center[1] + (copies * count - 1) * pitch / 2.0
    marks: list[Mark] = []
    for i in range(copies * count):
        parts = fit.rows[i % count]
        again = task.stage != SOME and count == 1
        for n, x in enumerate(_starts(area, len(parts) * side, again=again), start=1):
            low = y - i * pitch - side / 2.0
            cells = [
                BBox(x + k * side, low, x + (k + 1) * side, low + side) for k in range(len(parts))
            ]
            row = f"own-row-{i + 1}-{n}"
            marks += squares(cells, lines, row)
            if i % count == 0:
                dot = low + side / 2.0
                marks.append(start_dot(x - _DOT_AWAY, dot, f"start-{i + 1}-{n}"))
            if task.stage == SOME:
                signs = _signs(parts, cells, fit, i // count)
                marks += hollow(signs, 0.0, lines, f"{row}-letters")
    return fit, marks


def _starts(area: BBox, width: float, *, again: bool) -> list[float]:
    """Where names in squares begin: one, or as many as stand side by side."""
    step = width + _DOT_ROOM + _AIR
    total = max(int((area.width + _AIR) // step), 1) if again else 1
    first = area.center[0] - (total * step - _AIR) / 2.0 + _DOT_ROOM
    return [first + k * step for k in range(total)]


def _signs(parts: Parts, cells: Sequence[BBox], fit: Fitted, copy: int) -> list[Spot]:
    """Signs in the middle of their squares: all, then every other one, then none."""
    if copy > 1:
        return []
    every = range(len(parts))
    chosen = max((every[::2], every[1::2]), key=lambda k: _height(parts, k)) if copy else every
    spots: list[Spot] = []
    for k in chosen:
        (dx, dy), (x, y) = ink(parts[k].text).center, cells[k].center
        spots.append(Spot(parts[k].text, x - dx * fit.letter, y - dy * fit.letter, fit.letter))
    return spots


def _height(parts: Parts, places: Sequence[int]) -> bool:
    """Whether one of the signs is no mere stroke across."""
    return any(ink(parts[k].text).height > _SQUARE / 3.0 for k in places)
