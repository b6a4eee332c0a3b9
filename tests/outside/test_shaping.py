"""Lines in other scripts against the shaping library, the bidirectional algorithm and two readers.

Expected glyphs come from HarfBuzz itself (``uharfbuzz``, called here on the text as it is
spelled), expected order from ``python-bidi``'s other implementation (Rust, Unicode Standard
Annex 9), and what a file says from pdfium and from poppler's ``pdftotext`` where it is installed.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
import unicodedata
from pathlib import Path as FilePath

import bidi
import pypdfium2
import pytest
import uharfbuzz
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from pikepdf import Pdf

from shapes.letters.font import advance as advance_of
from shapes.letters.font import check_text, outlines, text_width_mm
from shapes.letters.more_fonts import Face, faces
from shapes.letters.shaping import Cluster, shaped
from shapes.path import BBox
from sheets.page.frame import A4
from sheets.page.model import Page, Role, Text
from sheets.write.pdf import write_pdf

NAMES = {
    "Latin": "Zoë Nguyễn",
    "Latin with two accents": "Adẹ́yẹmí",
    "Cyrillic": "Юлія",
    "Greek": "Ελένη",
    "Arabic": "محمد علي",
    "Arabic with vowels": "أَحْمَد",
    "Arabic, lam and alef": "علاء",
    "Persian": "پگاه",
    "Urdu": "زہرہ",
    "Hebrew": "שרה כהן",
    "Hebrew with points": "יוֹסֵף",
    "Devanagari": "अर्चना क्षत्रिय",
    "Bengali": "অর্ণব",
    "Gurmukhi": "ਗੁਰਪ੍ਰੀਤ",
    "Tamil": "தமிழ்",
    "Thai": "น้ำฝน สุพรรณี",
    "Georgian": "ქეთევან",
    "Armenian": "Նարե",
    "Ethiopic": "ሰላም",
    "Chinese": "王小明",
    "Japanese": "さくら 美咲 ケン",
    "Korean": "김민준",
}
"""Common given names and words, spelled as in daily life."""


def by_harfbuzz(face: Face, text: str, direction: str) -> list[tuple[int, int, int, int]]:
    """Glyph, advance and offsets from left to right."""
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.direction = direction
    buffer.guess_segment_properties()
    uharfbuzz.shape(face.hb, buffer)
    return [
        (info.codepoint, at.x_advance, at.x_offset, at.y_offset)
        for info, at in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    ]


def named(script: str) -> Face:
    return next(face for face in faces() if face.name.startswith(f"NotoSans{script}"))


def in_order(text: str) -> list[tuple[int, float, float]]:
    """Glyphs of a line with the places of their origins, in units of the page font."""
    return [
        (glyph, round(cluster.x + dx * run.face.scale, 6), dy * run.face.scale)
        for run in shaped(text).runs
        if run.face is not None
        for cluster in run.clusters
        for glyph, dx, dy in cluster.glyphs
    ]


# --- glyphs ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("script", "text", "direction"),
    [
        ("Arabic", NAMES["Arabic"], "rtl"),
        ("Arabic", NAMES["Arabic with vowels"], "rtl"),
        ("Arabic", NAMES["Arabic, lam and alef"], "rtl"),
        ("Arabic", NAMES["Persian"], "rtl"),
        ("Hebrew", NAMES["Hebrew"], "rtl"),
        ("Hebrew", NAMES["Hebrew with points"], "rtl"),
        ("Devanagari", NAMES["Devanagari"], "ltr"),
        ("Bengali", NAMES["Bengali"], "ltr"),
        ("Gurmukhi", NAMES["Gurmukhi"], "ltr"),
        ("Tamil", NAMES["Tamil"], "ltr"),
        ("Thai", NAMES["Thai"], "ltr"),
        ("Georgian", NAMES["Georgian"], "ltr"),
        ("Armenian", NAMES["Armenian"], "ltr"),
        ("Ethiopic", NAMES["Ethiopic"], "ltr"),
        ("CJK", NAMES["Korean"], "ltr"),
    ],
)
def test_glyphs_and_their_places_are_those_of_the_shaping_library(
    script: str, text: str, direction: str
) -> None:
    face = named(script)
    x, expected = 0.0, []
    words = text.split(" ")
    for word in words if direction == "ltr" else words[::-1]:  # between them the page font's blank
        for glyph, advance, dx, dy in by_harfbuzz(face, word, direction):
            expected.append((glyph, round(x + dx * face.scale, 6), dy * face.scale))
            x += advance * face.scale
        x += advance_of(" ")

    found = in_order(text)

    assert [glyph for glyph, _, _ in found] == [glyph for glyph, _, _ in expected]
    places = [place for _, *both in expected for place in both]
    assert [place for _, *both in found for place in both] == pytest.approx(places)
    assert text_width_mm(text, 72.0) == pytest.approx((x - advance_of(" ")) / 2048 * 25.4)


def test_arabic_letters_are_joined() -> None:
    """Each letter has the form of its place; the forms alone are those of the font's characters."""
    face = named("Arabic")
    alone = [face.hb.get_nominal_glyph(ord(char)) for char in "محمد"]

    found = [glyph for glyph, _, _ in in_order("محمد")][::-1]

    assert found[0] != found[2]  # the same letter at the start and in the middle
    assert all(glyph != other for glyph, other in zip(found, alone, strict=True))


def test_arabic_runs_from_right_to_left() -> None:
    (run,) = shaped("محمد").runs

    assert [cluster.text for cluster in run.clusters] == ["د", "م", "ح", "م"]


def test_a_devanagari_conjunct_is_one_glyph_and_its_vowel_stands_before_it() -> None:
    (run,) = shaped("त्रि").runs
    (cluster,) = run.clusters
    face = named("Devanagari")
    conjunct = by_harfbuzz(face, "त्र", "ltr")

    assert cluster.text == "त्रि"
    assert [glyph for glyph, _, _ in cluster.glyphs][1:] == [conjunct[0][0]]


def test_a_word_is_set_in_one_font() -> None:
    """The page font has some Greek letters, but not all."""
    assert [run.text for run in shaped("Ελένη Pappas").runs] == ["Ελένη", " Pappas"]


def test_han_beside_kana_has_its_japanese_form() -> None:
    """HarfBuzz with language tags; U+76F4 is drawn otherwise in Japan and in China."""
    face = named("CJK")

    def by_tag(text: str, language: str) -> list[int]:
        buffer = uharfbuzz.Buffer()
        buffer.add_str(text)
        buffer.language = language
        buffer.guess_segment_properties()
        uharfbuzz.shape(face.hb, buffer)
        return [info.codepoint for info in buffer.glyph_infos]

    assert by_tag("直", "ja") != by_tag("直", "zh-hans")
    assert [g for g, _, _ in in_order("直子さん")][0:1] == by_tag("直", "ja")
    assert [g for g, _, _ in in_order("直明")][0:1] == by_tag("直", "zh-hans")


# --- order ----------------------------------------------------------------------------------------

MIXED = [
    "محمد Ann",
    "Ann, محمد, Ben",
    "Am محمد 12",
    "שרה 12 כהן",
    "AB שרה, CD محمد.",
    "محمد علي",
]


def visual(text: str) -> str:
    """The characters of a line from left to right, without brackets turned over."""
    shown = ""
    for run in shaped(check_text(text)).runs:
        parts = [cluster.text for cluster in run.clusters] or list(run.text)
        shown += "".join(part if run.rightwards else part[::-1] for part in parts)
    return shown


def by_algorithm(text: str) -> str:
    """A line with letters that run to the right runs to the right; that is our choice."""
    rightwards = any(unicodedata.bidirectional(char) == "L" for char in text)
    shown: str = bidi.get_display(text, base_dir="L" if rightwards else None)
    return shown


@pytest.mark.parametrize("text", MIXED)
def test_the_order_is_that_of_the_bidirectional_algorithm(text: str) -> None:
    assert visual(text) == by_algorithm(text)


@given(st.lists(st.sampled_from(["ab", "שרה", "محمد", "12", "Z"]), min_size=1, max_size=6))
def test_words_of_any_order_are_shown_as_the_algorithm_has_it(words: list[str]) -> None:
    text = " ".join(words)

    assert visual(text) == by_algorithm(text)


def test_a_mark_turns_a_line_and_is_not_printed() -> None:
    assert visual("12 שרה") == "שרה"[::-1] + " 12"
    assert visual("\u200e12 שרה") == "12 " + "שרה"[::-1]


# --- files ----------------------------------------------------------------------------------------


def pages(texts: list[str], size_pt: float = 20.0) -> list[Page]:
    return [
        Page(A4, tuple(Text(20, 280 - 11 * i, text, size_pt, Role.FURNITURE)
                       for i, text in enumerate(texts)))
    ]  # fmt: skip


def read_by_pdfium(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as document:
        text: str = document[0].get_textpage().get_text_range()
        return text.split("\r\n")


def read_by_poppler(data: bytes, folder: FilePath) -> list[str]:
    file = folder / "names.pdf"
    file.write_bytes(data)
    command = ["pdftotext", "-layout", str(file), "-"]
    done = subprocess.run(command, capture_output=True, check=True)
    # Marks that say which way it runs are put round every right-to-left line.
    plain = re.sub("[\u200e\u200f\u202a-\u202e\u2066-\u2069\f]", "", done.stdout.decode())
    return [line.strip() for line in plain.splitlines() if line.strip()]


def test_pdfium_reads_every_name_back() -> None:
    assert read_by_pdfium(write_pdf(pages(list(NAMES.values())), title="t", language="en")) == list(
        map(check_text, NAMES.values())
    )


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
def test_poppler_reads_every_name_back(tmp_path: FilePath) -> None:
    data = write_pdf(pages(list(NAMES.values())), title="t", language="en")

    assert read_by_poppler(data, tmp_path) == list(map(check_text, NAMES.values()))


def test_every_font_is_embedded_with_its_characters() -> None:
    data = write_pdf(pages(list(NAMES.values())), title="t", language="en")
    with Pdf.open(io.BytesIO(data)) as pdf:
        assert pdf.check_pdf_syntax() == []
        fonts = pdf.pages[0].Resources.Font
        shaped_fonts = [font for font in fonts.values() if font.Subtype == "/Type0"]
        assert len(shaped_fonts) == 13
        for font in shaped_fonts:
            assert re.fullmatch("/[A-Z]{6}[+]NotoSans.*|/[A-Z]{6}[+]Andika", str(font.BaseFont))
            assert b"beginbfchar" in font.ToUnicode.read_bytes()
            inner = font.DescendantFonts[0]
            program = inner.FontDescriptor.FontFile2.read_bytes()
            assert len(program) == inner.FontDescriptor.FontFile2.Length1 < 20_000
            widths = [int(width) for width in inner.W[1]]
            table = TTFont(io.BytesIO(program))["hmtx"].metrics.values()
            assert [width for width, _ in table] == widths


def test_the_same_names_make_the_same_bytes() -> None:
    """Whatever the time, and in whatever order sets are walked through."""
    code = (
        "import sys, time; late = time.time() + float(sys.argv[1]); time.time = lambda: late;"
        "from tests.outside.test_shaping import NAMES, pages, write_pdf;"
        "from hashlib import sha256;"
        "data = write_pdf(pages(list(NAMES.values())), title='t', language='en');"
        "print(sha256(data).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code, str(1000 * run)],
            env={**os.environ, "PYTHONHASHSEED": str(run)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for run in (1, 2)
    }

    assert len(found) == 1


def test_plain_names_bring_no_further_font() -> None:
    with Pdf.open(io.BytesIO(write_pdf(pages(["Zoë", "Юлія"]), title="t", language="en"))) as pdf:
        assert list(pdf.pages[0].Resources.Font) == ["/F1+0"]


def test_a_line_s_outlines_stand_in_its_width() -> None:
    for text in NAMES.values():
        box = BBox.around(
            (x + letter.x, y + letter.y)
            for letter in outlines(check_text(text))
            for path in letter.paths
            for x, y in ((path.bbox.x0, path.bbox.y0), (path.bbox.x1, path.bbox.y1))
        )
        width = text_width_mm(text, 72.0) / 25.4 * 2048
        assert -0.05 * 2048 < box.x0 < box.x1 < width + 0.1 * 2048, text


def test_clusters_say_all_the_characters() -> None:
    for text in map(check_text, NAMES.values()):
        parts: list[Cluster | str] = []
        for run in shaped(text).runs:
            parts += run.clusters or run.text
        said = "".join(part if isinstance(part, str) else part.text for part in parts)
        assert sorted(unicodedata.normalize("NFC", said)) == sorted(text)
