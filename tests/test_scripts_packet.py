"""A class with names in eleven scripts: every page is made, and readers find every name.

What the fonts here lack, or all of it where the extra libraries are not installed, is left blank
and told; it never stops the class.
"""

from __future__ import annotations

import functools
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pypdfium2
import pytest

from shapes.errors import FileError, GlyphError, InputError
from shapes.letters import more_fonts
from shapes.letters.font import apart, check_text, clings, text_width_mm
from shapes.letters.shaping import shaped
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.kinds import KINDS
from sheets.kinds.letter_match.letters import initial
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.sequence import SequenceChoices
from sheets.kinds.source import Source
from sheets.packet import make as packet
from sheets.packet.adult.family_note import notes
from sheets.packet.adult.flow import broken
from sheets.packet.make import Packet
from sheets.packet.plan import Choices, make_plan
from sheets.page.model import Page, Text
from sheets.write.pdf import write_pdf

CHILDREN = {
    "Ada": "en",
    "Юлія": "uk",
    "محمد": "ar",
    "נועה": "he",
    "Ελένη": "el",
    "अर्चना": "hi",
    "สุพรรณี": "th",
    "小明": "zh",
    "さくら": "ja",
    "민준": "ko",
    "Marta-İnci": "tr",
    "ქეთევან": "ka",
}
"""Name and language at home: Latin, Cyrillic, Arabic, Hebrew, Greek, Devanagari, Thai, Chinese,
kana, Hangul and Georgian letters, and a capital with a dot."""


def class_of(children: dict[str, str]) -> classlist.ClassList:
    rows = [f"{name},2,3,2,3,{tag}" for name, tag in children.items()]
    text = "\n".join(["name,cutting,sequence,letters,matching,home language", *rows])
    return classlist.parse(text.encode(), "class.csv")


def packet_for(children: dict[str, str], **choices: object) -> Packet:
    asked = Choices(**({"kinds": ("cutting", "sequence", "letter-match")} | choices))  # type: ignore[arg-type]
    return packet.prepare(make_plan(theme.load("reedy-pond"), class_of(children), asked))


@functools.cache
def the_class() -> Packet:
    return packet_for(CHILDREN)


def plain(text: str) -> str:
    """Without the marks that say which way a line runs, which readers put in."""
    return re.sub("[\u200e\u200f\u202a-\u202e\u2066-\u2069]", "", text)


def lines_of_pages(data: bytes) -> Iterator[list[str]]:
    with pypdfium2.PdfDocument(data) as document:
        for page in document:
            yield page.get_textpage().get_text_range().split("\r\n")


@pytest.mark.parametrize("file", ["plain.pdf", "card.pdf"])
def test_pdfium_reads_each_child_s_name_on_the_pages(file: str) -> None:
    made = the_class()
    read = [name for lines in lines_of_pages(made.file(file)) for name in CHILDREN if name in lines]
    spots = zip(made.plan.sheets, made.plan.imposed.spots, strict=True)
    places = [
        (spot.page, spot.half == "lower", planned.child.name)
        for planned, found in spots
        for spot in found
        if spot.file == file and not spot.cards
    ]

    assert sorted(read) == sorted(name for *_, name in places)
    if file == "card.pdf":  # whole pages only, in the order of the file
        assert read == [name for *_, name in sorted(places)]
    assert set(read) == set(CHILDREN) or file == "card.pdf"


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
@pytest.mark.parametrize("file", ["plain.pdf", "adult.pdf"])
def test_poppler_reads_every_name(file: str, tmp_path: Path) -> None:
    pdf = tmp_path / file
    pdf.write_bytes(the_class().file(file))
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True)
    text = plain(done.stdout.decode())

    assert [name for name in CHILDREN if name not in text] == []


def test_the_run_sheet_lists_every_name_and_says_what_there_is_no_note_in() -> None:
    made = the_class()

    assert made.plan.remarks == (
        "No family note in Ukrainian, Arabic, Hebrew, Greek, Hindi, Thai, Chinese, Japanese, "
        "Korean, Turkish, Georgian: the sentences are in English, and names of pictures in the "
        "language at home where they are known",
    )
    said = " ".join(line for page in lines_of_pages(made.file("adult.pdf")) for line in page)
    assert [name for name in CHILDREN if name not in said] == []


def test_a_list_of_names_stays_in_order_whatever_their_scripts() -> None:
    """From left to right, with the tag before its name."""
    line = ", ".join(f"{apart(tag)} {apart(name)}" for tag, name in (
        ("Ad", "Ada"), ("מח", "מחמד"), ("נו", "נועה"), ("Ελ", "Ελένη"),
    ))  # fmt: skip
    shown = "".join(
        "".join(cluster.text for cluster in run.clusters) or run.text for run in shaped(line).runs
    )

    assert shown == "Ad Ada, חמ דמחמ, ונ העונ, Ελ Ελένη"


def test_a_line_is_as_wide_as_its_words_and_blanks() -> None:
    """So that lines can be broken by adding up."""
    text = "Ada أَحْمَد अर्चना 小明 Ben"
    words = sum(text_width_mm(word, 12) for word in text.split())

    assert text_width_mm(text, 12) == pytest.approx(words + 4 * text_width_mm(" ", 12))


def test_a_long_word_is_not_broken_before_a_mark() -> None:
    lines = broken("त्रि" * 12, 10, 30.0)

    assert len(lines) > 1
    assert "".join(lines) == "त्रि" * 12
    assert not any(clings(line[0]) for line in lines)
    assert all(text_width_mm(line, 10) <= 30.0 for line in lines)


def test_marks_that_turn_a_name_are_not_printed() -> None:
    assert check_text("\u200eAda\u200f") == "Ada"
    assert text_width_mm("נועה\u200f", 12) == text_width_mm("נועה", 12)


def test_a_note_says_in_which_language_it_is() -> None:
    found = {note.language: note for note in notes(the_class().plan)}

    assert found["ar"].mark == "English, with words in Arabic; draft: check with a speaker"
    assert found["en"].mark == ""
    assert found["es"].mark == "es, draft: check with a speaker"
    assert found["ar"].names[0][1:] == ("بطة", "duck")  # CLDR 48, 1F986
    shown = texts(the_class().adult)
    assert shown.count(found["ar"].mark) == 2
    assert "بطة" in shown


def test_the_note_of_a_german_theme_falls_back_to_german() -> None:
    own = theme.parse(
        b'title = "Teich"\nlanguages = ["de"]\n[[words]]\ntext = "Ente"\npicture = "1F986"\n'
        b'[[words]]\ntext = "Frosch"\npicture = "1F438"\n',
        "teich.toml",
        Path(),
    )
    plan = make_plan(own, class_of({"محمد": "ar"}), Choices(kinds=("cutting",)))
    note = notes(plan)[-1]
    (sheet,) = plan.sheets

    assert note.sentences == "de"
    assert note.mark == "German, with words in Arabic; draft: check with a speaker"
    assert (sheet.options.language, sheet.options.words_language) == ("ar", "de")


def test_labels_are_in_the_language_at_home() -> None:
    options = Options(language="ar", name="محمد")
    source, labels = Source(theme.load("reedy-pond")), SequenceChoices(labels=True)
    sheet = make_sheet("sequence", source, 3, options, labels)
    arabic = [text for text in texts(sheet.pages) if re.search("[\u0600-\u06ff]", text)]

    assert "محمد" in arabic
    assert len(set(arabic)) > 1
    data = write_pdf(sheet.pages, title="t", language="ar")
    read = [line for lines in lines_of_pages(data) for line in lines]
    assert [text for text in arabic if text not in read] == []


def texts(pages: tuple[Page, ...]) -> list[str]:
    return [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]


# --- letters --------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", ["ar", "ja", "ko", "zh", "fa"])
@pytest.mark.parametrize("by", ["theme", "words"])
def test_letter_pages_refuse_letters_they_do_not_have(language: str, by: str) -> None:
    of_theme = Source(theme.load("reedy-pond")) if by == "theme" else Source(None, ("duck", "frog"))

    with pytest.raises(InputError) as caught:
        make_sheet("letter-match", of_theme, 3, Options(language=language))

    assert str(caught.value) == (
        f"letter pages are made in Latin and Cyrillic letters, not in those of '{language}'; "
        "choose another language for them"
    )


def test_in_a_packet_such_a_page_is_made_in_the_theme_s_language() -> None:
    text = "name,tag,letters,letters language\nПетро,Pe,2,ar\n"
    plan = make_plan(
        theme.load("reedy-pond"),
        classlist.parse(text.encode(), "class.csv"),
        Choices(kinds=("letter-match",)),
    )

    assert packet.prepare(plan).plan.remarks == (
        'Pe letter-match: the theme has no words for it in "ar"; made in en',
    )


def test_an_initial_the_page_font_lacks_is_not_matched() -> None:
    assert [initial(name, "el") for name in ("Ελένη", "ქეთევან", "محمد", "Юлія", "Zoë")] == [
        "", "", "", "Ю", "Z",
    ]  # fmt: skip


# --- without fonts --------------------------------------------------------------------------------


@pytest.fixture
def without(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """Fonts and libraries are looked for anew, in this test and after it."""

    def forget() -> None:
        for looked_up in (
            more_fonts.installed, more_fonts.packaged, more_fonts.faces, more_fonts.face_for,
            text_width_mm,
        ):  # fmt: skip
            looked_up.cache_clear()

    forget()
    yield monkeypatch
    monkeypatch.undo()
    forget()


def hide(patch: pytest.MonkeyPatch, *names: str) -> None:
    patch.setattr(more_fonts, "find_spec", lambda name: None if name in names else find_spec(name))


def test_without_the_libraries_names_are_left_blank_and_the_class_is_made(
    without: pytest.MonkeyPatch,
) -> None:
    hide(without, *more_fonts.LIBRARIES, *more_fonts.PACKAGES)
    children = {"Ada": "", "Юлія": "", "محمد": "ar", "小明": ""}
    made = packet_for(children)

    assert [child.name for child in made.plan.children] == ["Ada", "Юлія", "________", "________"]
    tags = [child.tag for child in made.plan.children]
    assert [tag[0] for tag in tags] == ["A", "Ю", "X", "X"]
    assert made.plan.remarks == (
        f"{tags[2]}: the name in class list line 4 cannot be printed here, so its name lines are "
        'left blank; get it: pip install "tablework[scripts]"',
        f"{tags[3]}: the name in class list line 5 cannot be printed here, so its name lines are "
        'left blank; get it: pip install "tablework[scripts]"',
        "No family note in Arabic: the sentences are in English, and names of pictures in the "
        "language at home where they are known",
        "Arabic: some names of pictures cannot be printed here and are left blank; get it: pip "
        'install "tablework[scripts]"',
    )
    assert notes(made.plan)[-1].names[0][1:] == ("________", "duck")
    assert all("محمد" not in lines for lines in lines_of_pages(made.file("plain.pdf")))


def test_a_tag_that_cannot_be_printed_is_given_anew(without: pytest.MonkeyPatch) -> None:
    hide(without, *more_fonts.LIBRARIES)
    listed = classlist.parse("name,tag\nPip,漢\n".encode(), "class.csv")

    assert listed.children[0].tag[0] == "P"
    assert listed.warnings == (
        "class.csv line 2: the tag cannot be printed here; another is given",
    )


@pytest.mark.parametrize("missing", [more_fonts.LIBRARIES, more_fonts.PACKAGES])
def test_one_line_says_how_to_get_the_fonts(
    missing: tuple[str, ...], without: pytest.MonkeyPatch
) -> None:
    hide(without, *missing)
    with pytest.raises(GlyphError) as caught:
        check_text("小明", "`name`")

    assert str(caught.value) == (
        "`name`: no font here has the character '小' (U+5C0F); get it: pip install "
        '"tablework[scripts]"'
    )


def test_an_accent_without_the_libraries(without: pytest.MonkeyPatch) -> None:
    hide(without, *more_fonts.LIBRARIES)
    with pytest.raises(GlyphError) as caught:
        check_text("Adẹ\u0301", "`name`")

    assert str(caught.value) == (
        "`name`: the accent U+0301 on 'ẹ' cannot be printed in its place; get it: pip install "
        '"tablework[scripts]"'
    )


def a_font_file() -> Path:
    spec = find_spec("manimgx_fonts")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).with_name("NotoSansHebrew[wght].ttf")


@pytest.mark.parametrize("folder", [False, True])
def test_own_font_files_are_taken(
    folder: bool, tmp_path: Path, without: pytest.MonkeyPatch
) -> None:
    hide(without, *more_fonts.PACKAGES)
    shutil.copy(a_font_file(), tmp_path / "mine.ttf")
    own = tmp_path if folder else tmp_path / "mine.ttf"
    without.setenv(more_fonts.OWN_FONTS, f"{own}{os.pathsep}")

    assert check_text("נועה") == "נועה"
    assert [face.name for face in more_fonts.faces()] == ["Andika", "mine0"]
    with pytest.raises(GlyphError, match=r"U\+0645"):
        check_text("محمد")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (None, "no such file; name a font file"),
        (b"no font", "this is not a font; name a .ttf file"),
    ],
)
def test_what_is_no_font_is_told(
    content: bytes | None, message: str, tmp_path: Path, without: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "mine.ttf"
    if content is not None:
        file.write_bytes(content)
    without.setenv(more_fonts.OWN_FONTS, str(file))

    with pytest.raises(FileError) as caught:
        check_text("محمد")

    assert str(caught.value) == f"TABLEWORK_FONTS {file}: {message}"


# --- at no cost for others ------------------------------------------------------------------------


def test_a_class_without_such_names_loads_no_shaping_library() -> None:
    code = (
        "import sys; sys.argv = ['t']; from sheets.cli.main import main;"
        "main(['packet', 'reedy-pond', '--class', 'tests/data/packets/reedy-pond-20.csv',"
        " '--dry-run', '--kinds', 'cutting']);"
        "print('LOADED', sorted({'uharfbuzz', 'bidi', 'shapes.letters.shaping',"
        " 'sheets.write.pdf_glyphs'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.splitlines()[-1] == "LOADED []"


def test_every_kind_prints_a_name_in_another_script() -> None:
    for kind in KINDS:
        sheet = make_sheet(kind, Source(theme.load("reedy-pond")), 3, Options(name="محمد"))
        assert "محمد" in texts(sheet.pages), kind
