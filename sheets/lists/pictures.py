"""A catalogue of the picture words: small drawings in columns, by category, each with its word."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby

from shapes.errors import GlyphError, InputError
from shapes.letters.font import MM_PER_PT, check_text, text_width_mm
from shapes.path import BBox, Path
from shapes.pictures.names import Word, name
from shapes.pictures.pictures import CREDIT, find
from sheets.page.art import picture_in
from sheets.page.frame import MARGIN, wrap
from sheets.page.model import (
    ADULT_GREY,
    BLACK,
    FURNITURE_GREY,
    Anchor,
    Mark,
    Page,
    Paper,
    Role,
    Stroke,
    Text,
)

_COLUMNS = 6
_PICTURE_MM = 20.0
_GAP_MM = 3.0
_LINE_MM = 0.7
_TITLE_PT, _HEADING_PT, _WORD_PT, _SMALL_PT = 17.0, 12.0, 9.0, 7.5
_LEADING = 1.25
_ROW_GAP_MM = 4.0
_FOOT_MM = 9.0


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What is asked for.

    Args:
        words: the pictures, those of one category together.
        language: of the words beside the pictures; the English word, which is the one to type,
            stands below where it is another.
        colour: the drawings in the set's own colours.
    """

    words: Sequence[Word]
    paper: Paper
    language: str = "en"
    colour: bool = False


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of words below a picture; its size in points."""

    text: str
    size: float
    colour: str


@dataclass(slots=True)
class _Flow:
    """Pages in the making; ``y`` is the upper edge of what comes next."""

    paper: Paper
    y: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    pages: list[list[Mark]] = field(default_factory=list)

    @property
    def width(self) -> float:
        return self.paper.width - 2.0 * MARGIN

    def room_for(self, height: float) -> None:
        """A new page where so much does not fit on this one."""
        if not self.pages or self.y - height < MARGIN + _FOOT_MM:
            self.marks = []
            self.pages.append(self.marks)
            self.y = self.paper.height - MARGIN

    def text(self, x: float, text: str, size: float, anchor: Anchor = "start",
             colour: str = BLACK) -> None:  # fmt: skip
        """A line of text whose top is at ``y``."""
        self.y -= size * MM_PER_PT * _LEADING
        self.marks.append(Text(x, self.y, text, size, Role.ADULT, anchor=anchor, colour=colour))


def catalogue_pages(asked: Catalogue) -> list[Page]:
    """The pages of a catalogue; a category begins below the one before.

    Raises:
        InputError: no words, a language without names, or one the page font cannot print.
    """
    if not asked.words:
        raise InputError("there is no picture to show", fix="look for another word")
    flow = _Flow(asked.paper)
    room = flow.width / _COLUMNS - _GAP_MM
    cells = {word.code: _captions(word, asked.language, room) for word in asked.words}
    flow.room_for(40.0)
    _head(flow, asked)
    for category, words in groupby(asked.words, key=lambda word: word.category):
        _category(flow, category, list(words), cells, asked)
    count = len(flow.pages)
    return [
        Page(asked.paper, (*marks, *_foot(asked, number, count)), label=f"Pictures {number}")
        for number, marks in enumerate(flow.pages, start=1)
    ]


def _head(flow: _Flow, asked: Catalogue) -> None:
    count = len(asked.words)
    flow.text(MARGIN, "Pictures" if count > 1 else "Picture", _TITLE_PT)
    flow.y -= 1.0
    lines = [
        f"{count} {'words' if count > 1 else 'word'}. Each can be typed, as in: tablework cutting "
        f"{asked.words[0].text}"
        + (" (type the English word, the small one)." if asked.language != "en" else ".")
    ]
    if asked.language != "en":
        lines.append(
            f"The names in '{asked.language}' come from the Unicode Consortium and nobody here has "
            "checked them. Check with a speaker."
        )
    for line in lines:
        for part in wrap(line, _WORD_PT, flow.width):
            flow.text(MARGIN, part, _WORD_PT, colour=ADULT_GREY)


def _category(
    flow: _Flow,
    category: str,
    words: Sequence[Word],
    cells: dict[str, list[_Line]],
    asked: Catalogue,
) -> None:
    rows = [words[i : i + _COLUMNS] for i in range(0, len(words), _COLUMNS)]
    heights = [_PICTURE_MM + 1.0 + max(_height(cells[w.code]) for w in row) for row in rows]
    for i, (row, height) in enumerate(zip(rows, heights, strict=True)):
        heading = 10.0 if i == 0 else 0.0
        pages = len(flow.pages)
        flow.room_for(heading + height)
        if i == 0 or len(flow.pages) > pages:
            flow.y -= 3.0
            more = ", continued" if i else ""
            flow.text(MARGIN, f"{category[:1].upper()}{category[1:]}{more}", _HEADING_PT)
            _rule(flow)
        _row(flow, row, cells, asked)
        flow.y -= height + _ROW_GAP_MM


def _rule(flow: _Flow) -> None:
    flow.y -= 1.4
    line = Path.line((MARGIN, flow.y), (MARGIN + flow.width, flow.y))
    flow.marks.append(Stroke((line,), 0.25, Role.ADULT, colour=FURNITURE_GREY, cap="butt"))
    flow.y -= 2.5


def _row(
    flow: _Flow,
    row: Sequence[Word],
    cells: dict[str, list[_Line]],
    asked: Catalogue,
) -> None:
    wide = flow.width / _COLUMNS
    for i, word in enumerate(row):
        middle = MARGIN + (i + 0.5) * wide
        half = _PICTURE_MM / 2.0
        box = BBox(middle - half, flow.y - _PICTURE_MM, middle + half, flow.y)
        picture = find(word.code)
        shown = picture_in(picture, box, colour=asked.colour, line_mm=_LINE_MM)
        flow.marks.append(dataclasses.replace(shown, id=f"picture-{word.code}"))
        beside = dataclasses.replace(flow, y=flow.y - _PICTURE_MM - 1.0)
        for line in cells[word.code]:
            beside.text(middle, line.text, line.size, "middle", line.colour)


def _captions(word: Word, language: str, room: float) -> list[_Line]:
    """The lines below a picture."""
    if language == "en":
        also = f"also {', '.join(word.also)}" if word.also else ""
        return _lines(word.text, _WORD_PT, BLACK, room) + _lines(also, _SMALL_PT, ADULT_GREY, room)
    english = _lines(word.text, _SMALL_PT, ADULT_GREY, room)
    found = name(word.code, language)
    if found is None:
        return english
    try:
        text = check_text(found.text, f"the name of '{word.text}' in '{language}'")
    except GlyphError as error:
        raise InputError(
            f"names in '{language}' cannot be printed: {error.what}",
            where="`language`",
            fix="take another language, or look the words up without `out`",
        ) from None
    return _lines(text, _WORD_PT, BLACK, room) + english


def _lines(text: str, size: float, colour: str, room: float) -> list[_Line]:
    """A text in lines; its type is smaller where one word alone is wider than the room."""
    widest = max((text_width_mm(word, size) for word in text.split()), default=0.0)
    if widest > room:
        size = math.floor(2.0 * size * room / widest) / 2.0
    return [_Line(part, size, colour) for part in wrap(text, size, room)]


def _height(lines: Sequence[_Line]) -> float:
    return sum(line.size * MM_PER_PT * _LEADING for line in lines)


def _foot(asked: Catalogue, number: int, count: int) -> list[Mark]:
    y, right = MARGIN, asked.paper.width - MARGIN
    return [
        Text(MARGIN, y, CREDIT, 6.5, Role.ADULT, id="credit", colour=ADULT_GREY),
        Text(right, y, f"{number} of {count}", _SMALL_PT, Role.ADULT, anchor="end",
             colour=ADULT_GREY),
    ]  # fmt: skip
