"""How large a name can be, and in which rows: of text, or of boxes for its letters.

All of it counts in heights of a capital (1 is the height of H), so that one size in mm, the
``letter``, says how large a name is.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from shapes.errors import FitError
from shapes.letters.font import (
    MM_PER_PT,
    cap_height_mm,
    outlines,
    text_width_mm,
    units_per_em,
)
from shapes.path import BBox
from sheets.kinds.name_page.pieces import Piece
from sheets.page.areas import filled_area
from sheets.page.model import Fill, Role

_MOST_ROWS = 4
_COMFORT = 0.65
"""A name in fewer rows may be as much smaller, for it is seen better in one piece."""
_AIR = 4.0
"""Between a letter and the edge of its card, mm."""
FOOT_LINE = 5.0
"""From the lower edge of a card to the line that shows where its foot is, mm."""
Parts = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Fitted:
    """A name as large as there is room.

    Args:
        letter: height of a capital, mm.
        rows: its pieces row by row.
    """

    letter: float
    rows: tuple[Parts, ...]

    @property
    def texts(self) -> tuple[str, ...]:
        return tuple(map(text_of, self.rows))


def text_of(parts: Sequence[Piece], *, after: int | None = None) -> str:
    """What stands in the name for some neighbouring pieces, with blanks between words.

    Args:
        after: word of the piece before them, for a blank in front.
    """
    text = ""
    for piece in parts:
        if after is not None and piece.word != after:
            text += " "
        text += piece.text
        after = piece.word
    return text


@functools.lru_cache(maxsize=512)
def ink(text: str) -> BBox:
    """Box round the ink of a line whose origin is at (0, 0), in heights of a capital."""
    unit = _unit()
    boxes = [path.bbox for one in outlines(text) for path in one.paths]
    places = [(one.x, one.y) for one in outlines(text) for _ in one.paths]
    corners = [
        ((x + dx) * unit, (y + dy) * unit)
        for box, (dx, dy) in zip(boxes, places, strict=True)
        for x, y in ((box.x0, box.y0), (box.x1, box.y1))
    ]
    return BBox.around(corners) if corners else BBox(0.0, 0.0, 0.0, 0.0)


def wide(text: str) -> float:
    """Width of a line in heights of a capital."""
    return text_width_mm(text, 1.0 / cap_height_mm(1.0))


def reach(text: str) -> tuple[float, float]:
    """How far a line reaches below and above its baseline, in heights of a capital.

    At least from the baseline to the height of a capital: so much room a line of text has.
    """
    box = ink(text)
    return min(box.y0, 0.0), max(box.y1, 1.0)


def band(texts: Sequence[str]) -> tuple[float, float]:
    """The same for several lines on one baseline."""
    reaches = [reach(text) for text in texts]
    return min(low for low, _ in reaches), max(high for _, high in reaches)


def tall(fit: Fitted, gap: float) -> float:
    """Height of the rows of a name with gaps between them, mm."""
    heights = [high - low for low, high in map(reach, fit.texts)]
    return sum(heights) * fit.letter + gap * (len(fit.rows) - 1)


@functools.lru_cache(maxsize=512)
def stroke_width(text: str) -> float:
    """Mean width of the strokes of a line, in heights of a capital: twice its area by its edge."""
    paths = [path for one in outlines(text) for path in one.paths]
    edge = sum(path.length for path in paths)
    whole = sum(filled_area(Fill(one.paths, Role.TRACE)) for one in outlines(text))
    return 2.0 * whole / edge * _unit() if edge else 0.0


def _unit() -> float:
    """A unit of the font, in heights of a capital."""
    return MM_PER_PT / units_per_em() / cap_height_mm(1.0)


# --- rows of text ---------------------------------------------------------------------------------


def fitted(
    parts: Parts,
    room: tuple[float, float],
    usual: float,
    least: float | Callable[[str], float],
    *,
    gap: float,
    level: bool = False,
) -> Fitted:
    """The name in one row, or in as few as let it be large.

    Rows end between words or after a hyphen; within a word only if the name would not fit else,
    and never between letters that join.

    Args:
        room: width and height, mm.
        usual, least: letter to have, and the smallest there may be, perhaps by what is in a row.
        gap: between rows, mm.
        level: all rows are as high as their deepest and their highest letters together.

    Raises:
        FitError: it would be smaller than ``least``.
    """
    least_of = least if callable(least) else lambda _: least
    for ways in (_between_words(parts), _within_words(parts)):
        best: list[Fitted] = []
        for rows in ways:
            texts = [text_of(row) for row in rows]
            across = room[0] / max(map(wide, texts))
            heights = [high - low for low, high in map(reach, texts)]
            low, high = band(texts)
            whole = len(rows) * (high - low) if level else sum(heights)
            up = (room[1] - gap * (len(rows) - 1)) / whole
            letter = min(usual, across, up)
            if letter >= max(map(least_of, texts)) - 1e-9:
                best.append(Fitted(letter, rows))
        if best:
            # The first of the largest: fewer rows come first.
            return max(best, key=lambda one: min(one.letter, _COMFORT * usual))
    raise too_long(parts)


def too_long(parts: Parts) -> FitError:
    """What is told of a name that does not fit."""
    return FitError(
        f"a name of {len(parts)} letters does not fit this page at the least size of the stage",
        where="`name`",
        fix="give the name that the child is called by, or another stage",
    )


def _between_words(parts: Parts) -> Iterator[tuple[Parts, ...]]:
    """The name in one row, and broken between words and after hyphens."""
    yield (parts,)
    yield from _ways(parts, [i for i in range(1, len(parts)) if _ends(parts[i - 1], parts[i])])


def _within_words(parts: Parts) -> Iterator[tuple[Parts, ...]]:
    yield from _ways(parts, [i for i in range(1, len(parts)) if not parts[i - 1].joined])


def _ways(parts: Parts, places: Sequence[int]) -> Iterator[tuple[Parts, ...]]:
    """The evenest rows there are for each number of rows, fewer first."""
    for count in range(2, _MOST_ROWS + 1):
        if len(places) >= count - 1:
            broken = (_broken(parts, at) for at in itertools.combinations(places, count - 1))
            yield min(broken, key=lambda rows: max(wide(text_of(row)) for row in rows))


def _ends(before: Piece, after: Piece) -> bool:
    return before.word != after.word or before.text[-1:] in "-‐‑"


def _broken(parts: Parts, at: Sequence[int]) -> tuple[Parts, ...]:
    ends = (0, *at, len(parts))
    return tuple(parts[a:b] for a, b in itertools.pairwise(ends))


# --- boxes for letters ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Boxes:
    """Boxes of one size for the letters of a name, in rows.

    Args:
        letter: height of a capital, mm.
        width, height: of a box, mm.
        rows: how many boxes each row has.
        baseline: of a letter, from the lower edge of its box.
    """

    letter: float
    width: float
    height: float
    rows: tuple[int, ...]
    baseline: float


ROW_GAP = 8.0
"""Between rows of boxes, mm."""


def boxes(
    parts: Parts, room: tuple[float, float], usual: float, least: float, side: float
) -> Boxes:
    """Boxes as large as there is room.

    Args:
        room: width and height, mm.
        side: least side of a box, mm.

    Raises:
        FitError: the letters would be smaller than ``least``.
    """
    shown = [piece.shown for piece in parts]
    low, high = band(shown)
    widest = max(max(wide(text), ink(text).width) for text in shown)
    found: list[Boxes] = []
    for by_words in (True, False):
        letter = usual
        while letter >= least - 1e-9 and (by_words or not found):
            width = max(side, widest * letter + 2.0 * _AIR)
            inside = (high - low) * letter
            height = max(side + FOOT_LINE, inside + 2.0 * _AIR + FOOT_LINE)
            rows = _rows_of_boxes(parts, int(room[0] // width), by_words)
            fewer = not found or len(rows) < len(found[-1].rows)
            if rows and fewer and len(rows) * (height + ROW_GAP) - ROW_GAP <= room[1]:
                spare = height - FOOT_LINE - inside
                base = FOOT_LINE + spare / 2.0 - low * letter
                found.append(Boxes(letter, width, height, rows, base))
            letter -= 0.5
    if not found:
        raise too_long(parts)
    return [one for one in found if one.letter >= _COMFORT * found[0].letter][-1]


def _rows_of_boxes(parts: Parts, most: int, by_words: bool) -> tuple[int, ...]:
    """How many boxes each row has: all of them in one, or a row or more for each word.

    A row ends within letters that join only where a row cannot hold all of them.

    Args:
        by_words: else rows are as full as they can be.
    """
    if most < 1:
        return ()
    if len(parts) <= most:
        return (len(parts),)
    if not by_words:
        return tuple(_evenly(len(parts), most))
    rows: list[int] = []
    for _, group in itertools.groupby(parts, key=lambda piece: piece.word):
        word = tuple(group)
        runs = [len(run) for run in runs_of(word)]
        rows += _packed(runs, most) if max(runs) > 1 else _evenly(len(word), most)
    return tuple(rows)


def runs_of(parts: Parts) -> list[Parts]:
    """The letters of a name, those that join together."""
    runs: list[Parts] = []
    for piece in parts:
        if runs and runs[-1][-1].joined:
            runs[-1] = (*runs[-1], piece)
        else:
            runs.append((piece,))
    return runs


def _evenly(count: int, most: int) -> list[int]:
    lines = math.ceil(count / most)
    return [count // lines + (i < count % lines) for i in range(lines)]


def _packed(runs: Sequence[int], most: int) -> list[int]:
    rows: list[int] = []
    for run in runs:
        if rows and rows[-1] + run <= most:
            rows[-1] += run
        else:
            rows += _evenly(run, most)
    return rows
