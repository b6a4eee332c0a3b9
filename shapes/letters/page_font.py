"""The page font: which characters it has, how wide they are, and what they look like.

Widths come from the font file itself, not from a drawing library, so a page is laid out the same
whichever file it is written to, and measuring text costs no import.
"""

from __future__ import annotations

import bisect
import io
import pathlib
import struct
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from shapes.affine import Point
from shapes.errors import GlyphError
from shapes.path import Cubic, Line, Path, Segment

FONT_FILE = pathlib.Path(__file__).with_name("fonts") / "Andika-Regular.ttf"
FONT_NAME = "Andika"
MM_PER_PT = 25.4 / 72.0
JOINERS = frozenset("\u200c\u200d")
"""Zero width non-joiner and joiner: part of how some Persian and Indic names are written."""
TO_RIGHT = "\u200e"
TURNS = frozenset((TO_RIGHT, "\u200f"))
"""Left-to-right and right-to-left mark: say which way a line runs, and are not printed."""


class _Metrics:
    """The few numbers of an OpenType file that layout needs, read from its tables.

    Table layouts: OpenType 1.9, chapters cmap (format 12), glyf, head, hhea, hmtx and loca.
    """

    def __init__(self, file: pathlib.Path) -> None:
        data = file.read_bytes()
        self._data = data
        count = struct.unpack_from(">H", data, 4)[0]
        tables: dict[bytes, int] = {}
        for i in range(count):
            tag, _checksum, offset, _length = struct.unpack_from(">4sLLL", data, 12 + 16 * i)
            tables[tag] = offset
        self.units_per_em: int = struct.unpack_from(">H", data, tables[b"head"] + 18)[0]
        self._width_count: int = struct.unpack_from(">H", data, tables[b"hhea"] + 34)[0]
        self._widths_at = tables[b"hmtx"]
        self._read_groups(tables[b"cmap"])
        # Not the heights that table OS/2 declares: this font's include the overshoot of O and o.
        self.cap_height = self._top_of("H", tables)
        self.x_height = self._top_of("x", tables)
        self._advances: dict[str, int | None] = {}

    def _read_groups(self, cmap: int) -> None:
        """Find the Unicode subtable of format 12: runs of characters with consecutive glyphs."""
        data = self._data
        for i in range(struct.unpack_from(">H", data, cmap + 2)[0]):
            platform, encoding, offset = struct.unpack_from(">HHL", data, cmap + 4 + 8 * i)
            at = cmap + offset
            if (platform, encoding) == (3, 10) and struct.unpack_from(">H", data, at)[0] == 12:
                groups = struct.unpack_from(">L", data, at + 12)[0]
                flat: tuple[int, ...] = struct.unpack_from(f">{3 * groups}L", data, at + 16)
                self._first, self._last, self._glyph = flat[0::3], flat[1::3], flat[2::3]
                return
        raise ValueError("the page font has no Unicode character map of format 12")

    def _top_of(self, char: str, tables: dict[bytes, int]) -> int:
        """Highest point of a character's outline, from the box its glyph declares."""
        glyph = self._glyph_of(ord(char))
        if struct.unpack_from(">h", self._data, tables[b"head"] + 50)[0] == 0:
            offset = 2 * struct.unpack_from(">H", self._data, tables[b"loca"] + 2 * glyph)[0]
        else:
            offset = struct.unpack_from(">L", self._data, tables[b"loca"] + 4 * glyph)[0]
        top: int = struct.unpack_from(">h", self._data, tables[b"glyf"] + offset + 8)[0]
        return top

    def advance(self, char: str) -> int | None:
        """Width of a character in font units; None if the font does not have it."""
        try:
            return self._advances[char]
        except KeyError:
            found = self._advances[char] = self._look_up(ord(char))
            return found

    def _look_up(self, code: int) -> int | None:
        glyph = self._glyph_of(code)
        if glyph == 0:
            return None
        last = min(glyph, self._width_count - 1)
        width: int = struct.unpack_from(">H", self._data, self._widths_at + 4 * last)[0]
        return width

    def codes(self) -> Iterator[int]:
        """Code points of all characters of the font."""
        for first, last in zip(self._first, self._last, strict=True):
            yield from range(first, last + 1)

    def _glyph_of(self, code: int) -> int:
        """Glyph number of a character; 0, the empty box, if the font does not have it."""
        group = bisect.bisect_right(self._first, code) - 1
        if group < 0 or code > self._last[group]:
            return 0
        return self._glyph[group] + code - self._first[group]


@cache
def _metrics() -> _Metrics:
    return _Metrics(FONT_FILE)


def units_per_em() -> int:
    """Font units in the type size: the scale of :func:`advance` and :func:`glyph_path`."""
    return _metrics().units_per_em


def is_plain(text: str) -> bool:
    """Whether the page font alone sets a text, letter by letter."""
    return all(map(in_page_font, text))


def drawable() -> list[str]:
    """Every character that a plain text may have, in the order of their code points."""
    known = map(chr, _metrics().codes())
    return [c for c in known if in_page_font(c) and unicodedata.normalize("NFC", c) == c]


def clings(char: str) -> bool:
    """Whether a character must stay with the one before it, so that no line may begin with it."""
    return unicodedata.category(char)[0] == "M" or char in JOINERS


@cache
def in_page_font(char: str) -> bool:
    """Whether the page font has a character that stands alone, so no accent to put on another."""
    return _metrics().advance(char) is not None and _stands_alone(char)


def _stands_alone(char: str) -> bool:
    if char.isascii():
        return char.isprintable()
    category = unicodedata.category(char)
    return category[0] != "M" and category not in ("Cc", "Cf", "Cs", "Zl", "Zp")


def advance(char: str) -> int:
    """Width of one character in font units (see :func:`units_per_em`); GlyphError if missing."""
    width = _metrics().advance(char)
    if width is None:
        raise no_such_letter(char, f"text '{char}'")
    return width


def no_such_letter(char: str, where: str) -> GlyphError:
    """What is told of a character where only the page font is asked."""
    return GlyphError(
        f"the page font has no character '{char}' (U+{ord(char):04X})",
        where=where,
        fix="write it in Latin or Cyrillic letters",
    )


def plain_width_mm(text: str, size_pt: float) -> float:
    """Width in mm of letters of the page font at ``size_pt`` points, without kerning."""
    look_up = _metrics().advance
    units = sum(look_up(char) or 0 for char in text)
    return units * size_pt * MM_PER_PT / _metrics().units_per_em


def cap_height_mm(size_pt: float) -> float:
    """Height in mm of a flat capital such as H."""
    return _metrics().cap_height * size_pt * MM_PER_PT / _metrics().units_per_em


def x_height_mm(size_pt: float) -> float:
    """Height in mm of a flat small letter such as x."""
    return _metrics().x_height * size_pt * MM_PER_PT / _metrics().units_per_em


@cache
def glyph_path(char: str) -> tuple[Path, ...]:
    """The outline of one character: closed paths in font units, y up, origin on the baseline.

    Fill them with the nonzero rule, which is the rule of TrueType outlines. A space has none.

    Raises:
        GlyphError: the font lacks the character.
    """
    advance(char)
    glyphs, names = _outlines()
    return contours(glyphs[names[ord(char)]].draw, glyphs)


@dataclass(frozen=True, slots=True)
class Outline:
    """A letter of a line as it is drawn.

    Args:
        name: of its glyph, different for every glyph of every font.
        paths: closed, in font units, for the nonzero rule.
        x, y: where its origin is, in font units from the start of the line.
    """

    name: str
    paths: tuple[Path, ...]
    x: float
    y: float


def plain_outlines(text: str, x: float = 0) -> Iterator[Outline]:
    """The letters of the page font that have ink, the first one at ``x``."""
    for char in text:
        if paths := glyph_path(char):
            yield Outline(f"{ord(char):04x}", paths, x, 0.0)
        x += advance(char)


@cache
def _outlines() -> tuple[Any, dict[int, str]]:
    from fontTools.ttLib import TTFont

    # From memory: a lazy font would hold the file open.
    font = TTFont(io.BytesIO(FONT_FILE.read_bytes()), lazy=True)
    return font.getGlyphSet(), font.getBestCmap()


def contours(draw: Callable[[Any], object], glyphs: Any = None) -> tuple[Path, ...]:
    """The closed paths of a glyph.

    Args:
        draw: draws the glyph with a pen of fontTools.
        glyphs: where the parts of a glyph made of others are found.
    """
    from fontTools.pens.basePen import BasePen

    class ContourPen(BasePen):  # type: ignore[misc]  # fontTools has no types
        """Collects closed paths; the base class, which names the methods, makes cubics."""

        def __init__(self) -> None:
            super().__init__(glyphs)
            self.paths: list[Path] = []

        def _moveTo(self, point: Point) -> None:  # noqa: N802
            self._start = self._at = point
            self._segments: list[Segment] = []

        def _lineTo(self, point: Point) -> None:  # noqa: N802
            if point != self._at:
                self._segments.append(Line(self._at, point))
                self._at = point

        def _curveToOne(self, c1: Point, c2: Point, end: Point) -> None:  # noqa: N802
            self._segments.append(Cubic(self._at, c1, c2, end))
            self._at = end

        def _closePath(self) -> None:  # noqa: N802
            self._lineTo(self._start)
            if self._segments:
                self.paths.append(Path(tuple(self._segments), closed=True))

    pen = ContourPen()
    draw(pen)
    return tuple(pen.paths)
