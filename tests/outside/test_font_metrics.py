"""What we read from the font file, against fontTools and reportlab.

``shapes.letters.font`` reads the tables cmap, glyf, head, hhea, hmtx and loca (OpenType 1.9) by
itself; fontTools is an independent reader of them.
"""

from __future__ import annotations

import string
from collections.abc import Iterator

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.perimeterPen import PerimeterPen
from fontTools.ttLib import TTFont

from shapes.errors import GlyphError
from shapes.letters import font
from shapes.letters.font import FONT_FILE, advance, glyph_path, text_width_mm
from shapes.path import Path

LETTERS = string.ascii_letters + string.digits + "éñßøĐйЖŁ@&?"
SENTENCES = ("Quick brown fox", "¿niño? ¡sí!", "Zażółć gęślą jaźń", "Nguyễn Đặng", "Ёж щука")


@pytest.fixture(scope="module")
def reference() -> Iterator[TTFont]:
    with TTFont(FONT_FILE, lazy=True) as opened:
        yield opened


def area(paths: tuple[Path, ...]) -> float:
    """Signed area of outlines in chords; a hole runs the other way round."""
    total = 0.0
    for path in paths:
        points = path.flatten(0.05)
        for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True):
            total += (ax * by - bx * ay) / 2.0
    return total


def test_every_character_has_the_width_fonttools_reads(reference: TTFont) -> None:
    names, widths = reference.getBestCmap(), reference["hmtx"]

    assert {chr(code): widths[name][0] for code, name in names.items()} == {
        chr(code): advance(chr(code)) for code in names
    }
    assert font.units_per_em() == reference["head"].unitsPerEm


def test_no_character_is_claimed_that_fonttools_does_not_find(reference: TTFont) -> None:
    names = reference.getBestCmap()
    absent = [code for code in range(0x20000) if code not in names]

    claimed = []
    for code in absent:
        try:
            advance(chr(code))
        except GlyphError:
            continue
        claimed.append(code)

    assert claimed == []


def test_heights_are_those_of_the_glyphs(reference: TTFont) -> None:
    """72 points are one inch, 25.4 mm."""
    names, per_em = reference.getBestCmap(), reference["head"].unitsPerEm
    tops = {char: reference["glyf"][names[ord(char)]].yMax for char in "Hx"}

    assert font.cap_height_mm(72.0) == pytest.approx(tops["H"] / per_em * 25.4)
    assert font.x_height_mm(72.0) == pytest.approx(tops["x"] / per_em * 25.4)


@pytest.mark.parametrize("char", LETTERS)
def test_outlines_are_those_fonttools_draws(char: str, reference: TTFont) -> None:
    """Box to a font unit; area and length round to half a per cent, ours being cubics and chords,
    theirs the font's own quadratic curves."""
    glyphs = reference.getGlyphSet()
    glyph = glyphs[reference.getBestCmap()[ord(char)]]
    bounds, inside, around = BoundsPen(glyphs), AreaPen(glyphs), PerimeterPen(glyphs, 0.05)
    for pen in (bounds, inside, around):
        glyph.draw(pen)
    paths = glyph_path(char)
    box = paths[0].bbox
    for path in paths:
        box = box.union(path.bbox)

    assert all(path.closed for path in paths)
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx(bounds.bounds, abs=1.0)
    assert area(paths) == pytest.approx(inside.value, rel=0.005)
    assert sum(path.length for path in paths) == pytest.approx(around.value, rel=0.005)


def test_widths_are_those_the_pdf_declares() -> None:
    """A PDF font's widths are whole thousandths of the type size (ISO 32000-1, from memory)."""
    from reportlab.pdfbase.ttfonts import TTFont as EmbeddedFont

    embedded = EmbeddedFont("compare", str(FONT_FILE))
    for text in SENTENCES:
        ours_pt = text_width_mm(text, 1000.0) / font.MM_PER_PT
        assert ours_pt == pytest.approx(embedded.stringWidth(text, 1000.0), abs=len(text))
