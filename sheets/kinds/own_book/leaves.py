"""The pages of a book, each upright in its own room; mm, y up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapes.errors import FitError
from shapes.letters.font import MM_PER_PT, cap_height_mm, text_width_mm
from shapes.path import BBox, Path
from sheets.kinds import toolkit as kit
from sheets.kinds.options import Options, is_low, least_line
from sheets.kinds.own_book.task import NAME, Leaf
from sheets.page.art import credit_line
from sheets.page.cards import picture_with_lines
from sheets.page.frame import ADULT_LEADING, ADULT_SIZE_PT, SMALLEST_TEXT_PT, rectangle, wrap
from sheets.page.model import (
    ADULT_GREY,
    BLACK,
    FURNITURE_GREY,
    Mark,
    Place,
    Role,
    Stroke,
    Text,
)

GAP = 3.0
LEADING = 1.3
"""Distance of lines of words over their type size."""
TITLE_PT, NAME_PT = 28.0, 20.0
MOST_LINES = 3
_LEAST_PICTURE = 46.0
"""Height that long words leave for the picture, mm."""
LARGER = 1.5
"""Type of half sheets, and on pages for low vision, over that of the folded sheet."""
_WALL, _BOLD = 0.9, 2.0
_LINE, _BOLD_LINE = 0.35, 1.0
_OVER_LINE = 1.3
"""Words keep this far above a line."""
_SMALL_BADGE = 22.0


@dataclass(frozen=True, slots=True)
class Look:
    """What all pages of a book share.

    Args:
        stage: of the child.
        see: the beginning of the sentence that comes again.
        larger: factor on the type of words.
    """

    stage: int
    options: Options
    see: str
    larger: float

    @property
    def wall(self) -> float:
        return _BOLD if is_low(self.options) else _WALL

    def setting(self, name: str) -> float:
        return kit.amount(NAME, self.stage, name)


def inside(leaf: Leaf, number: int, room: BBox, look: Look) -> list[Mark]:
    """A page between the covers: what the stage has, from the lines at its foot upwards."""
    lines, gap = int(look.setting("lines")), look.setting("line_gap")
    if is_low(look.options):
        lines = min(lines, 2)  # fewer and larger things
    marks = _writing(number, room, lines, gap, look)
    high = BBox(room.x0, room.y0 + lines * gap, room.x1, room.y1)
    parts = str(kit.setting(NAME, look.stage, "page")).split()
    if "word" in parts or "sentence" in parts:
        words, high = _words(leaf, number, high, look, sentence="sentence" in parts)
        marks += words
    if leaf.picture is None:
        return [*marks, drawing(number, high, look)]
    if "drawing" in parts:
        cut = high.y1 - look.setting("small_picture") * room.height
        place = BBox(high.x0, high.y0, high.x1, cut - GAP)
        marks.append(drawing(number, place, look))
        high = BBox(high.x0, cut, high.x1, high.y1)
    return [*marks, _picture(leaf, number, high, look)]


def drawing(number: int, box: BBox, look: Look) -> Stroke:
    """A place to draw in, its line wholly within the box."""
    outline = rectangle(box.grown(-look.wall / 2.0))
    return Stroke((outline,), look.wall, Role.ANSWER_SPACE, f"drawing-{number}", join="miter")


def _picture(leaf: Leaf, number: int, box: BBox, look: Look, role: Role = Role.TARGET) -> Place:
    assert leaf.picture is not None
    return picture_with_lines(
        leaf.picture,
        box,
        least_line_mm=least_line(look.options),
        colour=look.options.colour,
        role=role,
        id=f"picture-{number}",
    )


def _writing(number: int, room: BBox, count: int, gap: float, look: Look) -> list[Mark]:
    """Lines to write on, the lowest on the room's lower edge."""
    return [_rule(room, room.y0 + i * gap, f"line-{number}-{i + 1}", look) for i in range(count)]


def _rule(room: BBox, low: float, id: str, look: Look) -> Stroke:
    """A line across the room, wholly within it."""
    bold = is_low(look.options)
    width = _BOLD_LINE if bold else _LINE
    half = width / 2.0
    line = Path.line((room.x0 + half, low + half), (room.x1 - half, low + half))
    colour = BLACK if bold else FURNITURE_GREY
    return Stroke((line,), width, Role.FURNITURE, id, colour, cap="butt")


def _words(
    leaf: Leaf, number: int, room: BBox, look: Look, *, sentence: bool
) -> tuple[list[Mark], BBox]:
    """The word below, with the sentence's beginning above it; and the room they leave.

    The words are set smaller where they leave too little for the picture. A page of the child's
    own, a word without a name and one that is too long have a line instead.
    """
    size = look.setting("word_size") * look.larger
    while True:
        marks, rest = _words_of_size(size, leaf, number, room, look, sentence=sentence)
        if rest.height >= _LEAST_PICTURE or size <= SMALLEST_TEXT_PT:
            return marks, rest
        size = max(SMALLEST_TEXT_PT, size - 1.0)


def _words_of_size(
    size: float, leaf: Leaf, number: int, room: BBox, look: Look, *, sentence: bool
) -> tuple[list[Mark], BBox]:
    """The same with words of at most this size."""
    lines = fitted(leaf.word.text, size, room.width, 2) if leaf.word is not None else None
    marks: list[Mark] = []
    if sentence or lines is None:
        marks.append(_rule(room, room.y0, f"line-{number}-1", look))
    low = room.y0 + _OVER_LINE
    if lines is None:
        y = low + size * MM_PER_PT * LEADING
    else:
        words, y = _stacked(lines, room, Role.MODEL, f"word-{number}", low)
        marks += words
    if sentence:
        begin = fitted(look.see, size, room.width, 2) or Lines((look.see,), SMALLEST_TEXT_PT)
        words, y = _stacked(begin, room, Role.MODEL, f"sentence-{number}", y)
        marks += words
    return marks, BBox(room.x0, y + GAP, room.x1, room.y1)


@dataclass(frozen=True, slots=True)
class Lines:
    """Words broken into lines that fit, and their size in points."""

    texts: tuple[str, ...]
    size_pt: float


def fitted(text: str, size_pt: float, width: float, most: int) -> Lines | None:
    """Words as large as fits, at most ``size_pt`` and at least 18 pt; None if they do not fit.

    One line rather than more, as long as it keeps three quarters of the size.
    """
    sizes = [size_pt - step for step in range(int(size_pt - SMALLEST_TEXT_PT) + 1)]
    sizes += [SMALLEST_TEXT_PT]
    for count, least in ((1, 0.75 * size_pt), (most, 0.0)):
        for size in sizes:
            lines = wrap(text, size, width)
            fits = all(text_width_mm(line, size) <= width for line in lines)
            if size >= least and lines and len(lines) <= count and fits:
                return Lines(tuple(lines), size)
    return None


def _stacked(lines: Lines, room: BBox, role: Role, id: str, low: float) -> tuple[list[Mark], float]:
    """Lines of words above a height, in the middle of the room; and the height they reach."""
    leading = lines.size_pt * MM_PER_PT * LEADING
    below = 0.26 * lines.size_pt * MM_PER_PT  # letters that hang below their line
    count = len(lines.texts)
    marks: list[Mark] = [
        Text(
            room.center[0],
            low + below + leading * (count - 1 - i),
            text,
            lines.size_pt,
            role,
            id,
            anchor="middle",
        )
        for i, text in enumerate(lines.texts)
    ]
    return marks, low + below + leading * (count - 1) + cap_height_mm(lines.size_pt) * 1.25


# --- the covers -----------------------------------------------------------------------------------


def front_cover(title: str, leaf: Leaf, room: BBox, look: Look) -> list[Mark]:
    """Title, picture and the child's name; a line to write on if it is too long.

    Raises:
        FitError: a word of the title is too long.
    """
    lines = fitted(title, TITLE_PT * look.larger, room.width, MOST_LINES)
    if lines is None:
        raise FitError(
            f"'{title}' is too long for the cover at {SMALLEST_TEXT_PT:g} pt",
            where="`title`",
            fix="shorten it",
        )
    _, top = _stacked(lines, room, Role.FURNITURE, "title", 0.0)
    marks, _ = _stacked(lines, room, Role.FURNITURE, "title", room.y1 - top)
    name = fitted(look.options.name, NAME_PT * look.larger, room.width, 2)
    marks.append(_rule(room, room.y0, "name-line", look))
    low = room.y0 + 12.0
    if name is not None:
        words, low = _stacked(name, room, Role.FURNITURE, "name", room.y0 + _OVER_LINE)
        marks += words
    box = BBox(room.x0, low + GAP, room.x1, room.y1 - top - GAP)
    return [*marks, _picture(leaf, 1, box, look, Role.ART)]


def back_cover(
    leaf: Leaf, number: int, shown: Sequence[Mark], lines: Sequence[str], room: BBox, look: Look
) -> list[Mark]:
    """The small picture again, and what has to be printed of where the pictures are from.

    Args:
        shown: marks of the other pages, whose credit it is.
    """
    x, y = room.center
    half = _SMALL_BADGE / 2.0
    around = BBox(x - half, y - half, x + half, y + half)
    badge = _picture(leaf, number, around, look, Role.ART)
    places = [mark.artwork for mark in (*shown, badge) if isinstance(mark, Place)]
    told = [*lines, credit_line(places)]
    size = _size_of_words(told, room.width)
    said = [part for line in told for part in wrap(line, size, room.width)]
    marks: list[Mark] = [
        Text(
            room.x0,
            room.y0 + 1.0 + ADULT_LEADING * (len(said) - 1 - i),
            part,
            size,
            Role.ADULT,
            "colophon",
            ADULT_GREY,
        )
        for i, part in enumerate(said)
    ]
    return [badge, *marks]


def _size_of_words(lines: Sequence[str], width: float) -> float:
    """The usual size of small type, or less if an address is wider than the page."""
    widest = max(text_width_mm(word, ADULT_SIZE_PT) for line in lines for word in line.split())
    return ADULT_SIZE_PT * min(1.0, width / widest)
