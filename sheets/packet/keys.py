"""The keys of a packet: many on a page, in the order in which the children's pages are handed out.

They are read, not laid on anything, so they need no true size. A key that words can say is a line.
Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapes.affine import Affine
from shapes.letters.font import MM_PER_PT
from shapes.path import BBox, Path
from sheets.page.art import credit_line
from sheets.page.frame import ADULT_SIZE_PT, Frame, wrap
from sheets.page.marks import marks_bbox, transform_mark
from sheets.page.model import (
    ADULT_GREY,
    FURNITURE_GREY,
    Answer,
    Mark,
    Page,
    Paper,
    Place,
    Role,
    Stroke,
    Text,
)

Key = tuple[int, str, Answer]
"""Number of the sheet, its label, its answer."""

ROWS = 3
"""Rows of pictures on a page, two in each."""
_LABEL_PT, _TEXT_PT, _NOTE_PT = 11.0, 9.5, 7.5
_LEADING = 1.35
_GAP = 5.0
_LABEL_WIDTH = 42.0
_LARGEST = 0.55
"""Scale of a small drawing, so that one of two shapes does not fill the page."""
_LEAST_PICTURE = 24.0
_FOOT = 4.0


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of text, or one or two keys with pictures side by side."""

    keys: tuple[Key, ...]
    height: float


Filled = tuple[Page, list[tuple[int, str]]]
"""A page, and the keys on it by number of the sheet and label."""


class KeyPages:
    """Lays keys on pages as they come, so that a full page can be drawn and forgotten."""

    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        self._live = Frame(paper).live
        self._rows: list[_Row] = []
        self._room = 0.0
        self._waiting: list[Key] = []

    def add(self, key: Key) -> list[Filled]:
        """The next key; the pages that are full now."""
        if key[2].text:
            high = len(_text_lines(key, self._live)) * _high(_TEXT_PT) + 1.6
            return [*self._next_to_each_other(), *self._row(_Row((key,), high))]
        self._waiting.append(key)
        return self._next_to_each_other() if len(self._waiting) == 2 else []

    def finish(self) -> list[Filled]:
        """The pages that are left."""
        full = self._next_to_each_other()
        return [*full, *self._page()]

    def _next_to_each_other(self) -> list[Filled]:
        waiting, self._waiting = self._waiting, []
        return self._row(_pictures(waiting, self._live)) if waiting else []

    def _row(self, row: _Row) -> list[Filled]:
        full: list[Filled] = []
        if row.height > self._room:
            full = self._page()
            self._room = self._live.height - _FOOT
        self._rows.append(row)
        self._room -= row.height
        return full

    def _page(self) -> list[Filled]:
        rows, self._rows = self._rows, []
        return [(_page(rows, self._paper), _listed(rows))] if rows else []


def _listed(rows: Sequence[_Row]) -> list[tuple[int, str]]:
    return [(number, label) for row in rows for number, label, _ in row.keys]


def _pictures(keys: Sequence[Key], live: BBox) -> _Row:
    wide = (live.width - _GAP) / 2.0
    heights = []
    for key in keys:
        box, notes, scale = _fitted(key[2], wide, live)
        words = len(notes) * _high(_NOTE_PT) + _high(_LABEL_PT) + _GAP
        heights.append(scale * box.height + words)
    return _Row(tuple(keys), max(heights))


def _fitted(answer: Answer, wide: float, live: BBox) -> tuple[BBox, list[str], float]:
    """Box of a key's drawing, the lines below it, and the scale at which it fits above them."""
    box, notes = marks_bbox(answer.marks), _notes(answer, wide)
    words = len(notes) * _high(_NOTE_PT) + _high(_LABEL_PT) + _GAP
    high = max(_LEAST_PICTURE, (live.height - _FOOT) / ROWS - words)
    return box, notes, min(_LARGEST, wide / box.width, high / box.height)


def _high(size_pt: float) -> float:
    return size_pt * MM_PER_PT * _LEADING


def _text_lines(key: Key, live: BBox) -> list[str]:
    return wrap(key[2].text, _TEXT_PT, live.width - _LABEL_WIDTH)


def _notes(answer: Answer, wide: float) -> list[str]:
    return [line for note in answer.notes for line in wrap(note, _NOTE_PT, wide)]


# --- drawing --------------------------------------------------------------------------------------


def _page(rows: Sequence[_Row], paper: Paper) -> Page:
    live = Frame(paper).live
    wide = (live.width - _GAP) / 2.0
    marks: list[Mark] = []
    top = live.y1
    for row in rows:
        if row.keys[0][2].text:
            marks += _line(row.keys[0], live, top)
        else:
            for i, key in enumerate(row.keys):
                marks += _picture(key, live.x0 + i * (wide + _GAP), top, wide, live)
        top -= row.height
        rule = Path.line((live.x0, top + 0.6), (live.x1, top + 0.6))
        marks.append(Stroke((rule,), 0.15, Role.ADULT, id="rule", colour=FURNITURE_GREY))
    credit = credit_line([mark.artwork for mark in marks if isinstance(mark, Place)])
    if credit:
        marks.append(_words(live.x0, live.y0, credit, ADULT_SIZE_PT))
    return Page(paper, tuple(marks), label=", ".join(label for _, label in _listed(rows)))


def _line(key: Key, live: BBox, top: float) -> Iterator[Mark]:
    y = top - _high(_TEXT_PT)
    yield _words(live.x0, y + 0.6, key[1], _TEXT_PT, "tag")
    for i, line in enumerate(_text_lines(key, live)):
        yield _words(live.x0 + _LABEL_WIDTH, y + 0.6 - _high(_TEXT_PT) * i, line, _TEXT_PT)


def _picture(key: Key, x: float, top: float, wide: float, live: BBox) -> Iterator[Mark]:
    _, label, answer = key
    y = top - _high(_LABEL_PT)
    yield _words(x, y, label, _LABEL_PT, "tag")
    box, notes, scale = _fitted(answer, wide, live)
    y -= 2.0 + scale * box.height
    at = Affine.scaling(scale).then(Affine.translation(x - scale * box.x0, y - scale * box.y0))
    for mark in answer.marks:
        yield transform_mark(mark, at)
    for i, line in enumerate(notes, start=1):
        yield _words(x, y - 0.8 - _high(_NOTE_PT) * i, line, _NOTE_PT)


def _words(x: float, y: float, text: str, size_pt: float, id: str = "") -> Text:
    return Text(x, y, text, size_pt, Role.ADULT, id=id, colour=ADULT_GREY)
