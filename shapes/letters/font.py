"""Text on pages: whether it can be printed, how wide it is, and the outlines of its letters.

Plain letters of the page font are measured here and now, without an import. A line with any other
character is handed to :mod:`shapes.letters.shaping`, which is not imported before.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from shapes.errors import GlyphError
from shapes.letters.page_font import (
    FONT_FILE,
    FONT_NAME,
    MM_PER_PT,
    TO_RIGHT,
    TURNS,
    Outline,
    advance,
    cap_height_mm,
    clings,
    glyph_path,
    in_page_font,
    is_plain,
    no_such_letter,
    plain_outlines,
    plain_width_mm,
    units_per_em,
    x_height_mm,
)

__all__ = [
    "FONT_FILE",
    "FONT_NAME",
    "MM_PER_PT",
    "Outline",
    "advance",
    "apart",
    "can_be_printed",
    "cap_height_mm",
    "check_plain",
    "check_text",
    "clings",
    "glyph_path",
    "is_plain",
    "outlines",
    "text_width_mm",
    "units_per_em",
    "x_height_mm",
]

_SHOWN_IN_MESSAGE = 40


def check_text(text: str, where: str = "") -> str:
    """Text as it can be drawn: composed (Unicode NFC), every character in a font that is there.

    Args:
        text: one line, any language.
        where: what the text is, for the message, such as ``name 'Zoë'``.

    Raises:
        GlyphError: no font has a character, the character cannot be seen (a line break, a
            zero-width space), or an accent stands on no letter.
    """
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
    if is_plain(text):
        return text
    unmarked = "".join(char for char in text if char not in TURNS)
    if is_plain(unmarked):
        return unmarked
    bad = _lacking(text)
    if bad is not None:
        raise _glyph_error(text, bad, where)
    return text


def apart(text: str) -> str:
    """A name or tag of a list, so that its neighbours keep their places whatever its script."""
    return text if is_plain(text) else f"{text}{TO_RIGHT}"


def check_plain(text: str, where: str = "") -> str:
    """The same for what the page font alone must have, such as letters to match.

    Raises:
        GlyphError: the page font lacks a character.
    """
    text = unicodedata.normalize("NFC", text)
    if not is_plain(text):
        bad = next(i for i, char in enumerate(text) if not in_page_font(char))
        raise no_such_letter(text[bad], where)
    return text


def can_be_printed(text: str) -> bool:
    """Whether :func:`check_text` has nothing against a text."""
    try:
        check_text(text)
    except GlyphError:
        return False
    return True


def _lacking(text: str) -> int | None:
    """The first character that cannot be drawn; without the shaping libraries, in the page font."""
    from shapes.letters import more_fonts

    if more_fonts.installed():
        from shapes.letters.shaping import lacking

        return lacking(text)
    return next((i for i, char in enumerate(text) if not in_page_font(char)), None)


def _glyph_error(text: str, index: int, where: str) -> GlyphError:
    from shapes.letters.more_fonts import GET_THEM, OWN_FONTS, PACKAGES, installed, packaged

    char = text[index]
    code = f"U+{ord(char):04X}"
    category = unicodedata.category(char)
    if not where:
        shown = "".join(c if c.isprintable() else "?" for c in text)
        where = f"text '{shown[:_SHOWN_IN_MESSAGE]}'"
    if not char.isprintable():
        return GlyphError(
            f"there is an invisible character {code} at position {index + 1}",
            where=where,
            fix="delete it",
        )
    complete = installed() and len(packaged()) == len(PACKAGES)
    fix = f"set {OWN_FONTS} to a font file that has it" if complete else f"get it: {GET_THEM}"
    if category[0] == "M":
        on = f"on '{text[index - 1]}' " if index > 0 else ""
        return GlyphError(
            f"the accent {code} {on}cannot be printed in its place", where=where, fix=fix
        )
    return GlyphError(f"no font here has the character '{char}' ({code})", where=where, fix=fix)


@lru_cache(maxsize=2_048)  # the same lines stand at the foot of every page of a packet
def text_width_mm(text: str, size_pt: float) -> float:
    """Width in mm of one line of text set at ``size_pt`` points.

    Raises:
        GlyphError: as :func:`check_text`.
    """
    drawn = check_text(text)
    if is_plain(drawn):
        return plain_width_mm(drawn, size_pt)
    from shapes.letters.shaping import shaped

    return shaped(drawn).width * size_pt * MM_PER_PT / units_per_em()


def outlines(text: str) -> Iterator[Outline]:
    """The letters of a line that have ink, from left to right.

    Args:
        text: as :func:`check_text` returns it.
    """
    if is_plain(text):
        return plain_outlines(text)
    from shapes.letters.shaping import shaped_outlines

    return shaped_outlines(text)
