"""The page font: what can be printed, what is refused, and how wide a line is.

Its numbers are checked against fontTools and reportlab in ``tests/outside/test_font_metrics.py``.
"""

from __future__ import annotations

import subprocess
import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import GlyphError
from shapes.letters import font
from shapes.letters.font import advance, check_text, glyph_path, text_width_mm
from shapes.letters.shaping import shaped

WANTED = {
    "English": "Quick brown fox, jumps over 12 lazy dogs!",
    "Spanish": "El pingüino Wenceslao hizo kilómetros; ¿niño? ¡sí!",
    "French": "Où cœur naïf çà là, été Noël",
    "German": "Größe Übung Straße",
    "Polish": "Zażółć gęślą jaźń",
    "Czech": "Příliš žluťoučký kůň",
    "Turkish": "Işık ğüşöç İ",
    "Vietnamese": "Nguyễn Thị Ánh Đặng",
    "Icelandic": "Þór Guðrún",
    "Ukrainian": "Ґанна їжак є",
    "Russian": "Ёж ячмень щука",
    "Hawaiian": "Kāʻanapali",
}


def test_a_line_is_as_wide_as_its_letters() -> None:
    units = sum(advance(char) for char in "pond")

    assert text_width_mm("pond", 72.0) == pytest.approx(units / 2048 * 25.4)
    assert text_width_mm("", 72.0) == 0.0


def test_heights_are_those_of_the_letters() -> None:
    h_top = max(path.bbox.y1 for path in glyph_path("H"))
    x_top = max(path.bbox.y1 for path in glyph_path("x"))

    assert font.cap_height_mm(72.0) == pytest.approx(h_top / 2048 * 25.4)
    assert font.x_height_mm(72.0) == pytest.approx(x_top / 2048 * 25.4)


@pytest.mark.parametrize("language", WANTED)
def test_text_of_many_languages_can_be_printed(language: str) -> None:
    assert check_text(WANTED[language]) == WANTED[language]


def test_decomposed_accents_are_composed() -> None:
    assert check_text(unicodedata.normalize("NFD", "Zoë Đặng")) == "Zoë Đặng"
    assert text_width_mm("Zoe\u0308", 12) == text_width_mm("Zoë", 12)


def test_a_no_break_space_is_a_space() -> None:
    assert check_text("100\u00a0mm") == "100\u00a0mm"
    assert text_width_mm("100\u00a0mm", 12) == text_width_mm("100 mm", 12)


@pytest.mark.parametrize(
    ("text", "where", "message"),
    [
        (
            "Ana 🐸",
            "name 'Ana 🐸'",
            "name 'Ana 🐸': no font here has the character '🐸' (U+1F438);"
            " set TABLEWORK_FONTS to a font file that has it",
        ),
        (
            "frog\npond",
            "`title`",
            "`title`: there is an invisible character U+000A at position 5; delete it",
        ),
        (
            "Ana\u200b",
            "",
            "text 'Ana?': there is an invisible character U+200B at position 4; delete it",
        ),
        (
            "\u0301Ana",
            "",
            "text '\u0301Ana': the accent U+0301 cannot be printed in its place;"
            " set TABLEWORK_FONTS to a font file that has it",
        ),
    ],
)
def test_text_that_cannot_be_printed_is_refused_by_name(
    text: str, where: str, message: str
) -> None:
    with pytest.raises(GlyphError) as caught:
        check_text(text, where)

    assert str(caught.value) == message


def test_measuring_refuses_what_cannot_be_printed() -> None:
    with pytest.raises(GlyphError, match=r"U\+1F438"):
        text_width_mm("🐸", 12)
    with pytest.raises(GlyphError, match=r"U\+6F22"):
        glyph_path("漢")


@given(st.text(max_size=12))
def test_checked_text_is_never_a_box(text: str) -> None:
    try:
        drawn = check_text(text)
    except GlyphError as error:
        message = str(error)
        drawn = ""
    else:
        message = ""

    assert "\n" not in message
    for run in shaped(drawn).runs:
        assert run.face is not None or all(advance(char) > 0 for char in run.text)
        assert all(glyph for cluster in run.clusters for glyph, _, _ in cluster.glyphs)
    assert text_width_mm(drawn, 72.0) == pytest.approx(shaped(drawn).width / 2048 * 25.4)
    assert check_text(drawn) == drawn


def test_a_space_has_no_outline() -> None:
    assert glyph_path(" ") == ()


def test_measuring_imports_no_drawing_library() -> None:
    code = (
        "import sys; from shapes.letters.font import text_width_mm; text_width_mm('Zoë', 12);"
        "print(sorted({'fontTools', 'reportlab', 'svgwrite', 'cairosvg', 'uharfbuzz', 'bidi',"
        " 'shapes.letters.shaping'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout == "[]\n"
