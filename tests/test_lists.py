"""Tables and pages to look things up in: pictures in every language, things, colours, shapes."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pypdfium2
import pytest

from shapes.errors import GlyphError, InputError
from shapes.pictures.names import curated, languages, matching
from sheets import desk
from sheets.check.check import check_page
from sheets.cli.main import main
from sheets.lists.pictures import Catalogue, catalogue_pages
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import Page, Paper, Place, Text
from tests.readers import opened, texts


@pytest.fixture(autouse=True)
def in_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def told(capsys: pytest.CaptureFixture[str], *command: str) -> str:
    assert main(list(command)) == 0
    return capsys.readouterr().out


# --- finding pictures -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "language", "found"),
    [
        ("duck", "", "duck"),
        ("DUCK", "", "duck"),
        ("1f986", "", "duck"),
        ("squirrel", "", "beaver"),
        ("pato", "", "duck"),
        ("Ente", "de", "duck"),
        ("canard", "fr", "duck"),
        ("утка", "ru", "duck"),
        ("オウム", "ja", "parrot"),
        ("éléphant", "fr", "elephant"),
        ("elephant", "fr", "elephant"),
        ("Löwe", "de", "lion"),
        ("lowe", "", "lion"),
        ("vermelha", "pt", "apple"),
    ],
)
def test_a_picture_is_found_in_every_language(word: str, language: str, found: str) -> None:
    """The names are short names of Unicode CLDR (from memory; looked up in no file)."""
    assert found in [row.text for row in matching(word, language)]


def test_another_language_is_not_looked_at_if_one_is_given() -> None:
    assert "duck" in [row.text for row in matching("ente", "de")]
    assert "duck" not in [row.text for row in matching("ente", "fr")]
    assert matching("nothing of the kind", "") == ()
    assert matching("", "es") == curated()


def test_the_list_shows_category_and_names(capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(capsys, "pictures", "Ente", "--language", "de")
    assert "\npond and river\n" in shown
    assert "  Ente\n" in shown
    assert "\n1 word. The numbers say how hard the outline to cut is" in shown
    rows = json.loads(told(capsys, "pictures", "--category", "sky", "--json"))
    assert {row["category"] for row in rows} == {"weather and sky"}
    assert told(capsys, "pictures", "1F600").startswith("grinning face (1F600): not on the checked")


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (["--language", "xx"], "--language: no names in the language 'xx'; use one of: en, ar, de"),
        (["--category", "oz"], "--category: no category 'oz'; use one of: pond and river, sea"),
        (["dukc"], "there is no picture called 'dukc'; nearest: duck"),
        (["1F600", "--out", "p.pdf"], "there is no picture to show; look for another word"),
        (["--out", "p.doc"], "p.doc: cannot write a file ending in '.doc'"),
    ],
)
def test_what_is_not_there(
    command: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["pictures", *command]) == 2
    error = capsys.readouterr().err
    assert error.startswith(f"tablework: {message}")
    assert error.count("\n") == 1
    assert list(Path().iterdir()) == []


def test_names_that_no_font_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(text: str, where: str = "") -> str:
        raise GlyphError("no font here has the character", where=where, fix="get it")

    monkeypatch.setattr("sheets.lists.pictures.check_text", refuse)
    with pytest.raises(InputError, match="names in 'ja' cannot be printed: no font here has"):
        desk.write_pictures(desk.pictures("parrot"), Path("p.pdf"), paper=A4, language="ja")
    assert list(Path().iterdir()) == []


def test_names_in_another_script_stand_below_the_pictures() -> None:
    assert main(["pictures", "parrot", "--language", "ja", "--out", "p.pdf"]) == 0
    with pypdfium2.PdfDocument("p.pdf") as pdf:
        assert "オウム" in pdf[0].get_textpage().get_text_range()


# --- pages of pictures ----------------------------------------------------------------------------


def shown(pages: list[Page]) -> list[str]:
    return [mark.id for page in pages for mark in page.marks if isinstance(mark, Place)]


@pytest.mark.parametrize("paper", [LETTER, A4])
@pytest.mark.parametrize("language", ["en", "es", "de", "tr", "ru"])
def test_every_picture_stands_on_the_pages_once_with_its_words(paper: Paper, language: str) -> None:
    pages = catalogue_pages(Catalogue(curated(), paper, language))
    assert shown(pages) == [f"picture-{word.code}" for word in curated()]
    for page in pages:
        boxes = [mark_bbox(mark) for mark in page.marks]
        assert min(box.x0 for box in boxes) >= MARGIN - 0.13
        assert min(box.y0 for box in boxes) >= MARGIN - 0.13
        assert max(box.x1 for box in boxes) <= paper.width - MARGIN + 0.13
        assert max(box.y1 for box in boxes) <= paper.height - MARGIN + 0.13
        assert any(isinstance(mark, Text) and "OpenMoji" in mark.text for mark in page.marks)
        # The touching of marks is measured by the same rule as on a child's page.
        assert [f.mark for f in check_page(page, "sequence", 1) if f.limit == "overlap"] == [""]


def test_the_words_can_be_read_back_and_typed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pictures", "--out", "all.pdf"]) == 0
    data = Path("all.pdf").read_bytes()
    assert len(data) < 600_000
    text = " ".join(line for i in range(len(opened(data).pages)) for line in texts(data, i))
    text = " ".join(text.split())
    for word in curated():
        assert word.text in text
    assert f"{len(curated())} words. Each can be typed, as in: tablework cutting duck." in text
    assert "Pond and river" in text


def test_names_of_another_language_say_that_nobody_checked_them() -> None:
    pages = catalogue_pages(Catalogue(matching("duck"), LETTER, "es"))
    lines = [mark.text for mark in pages[0].marks if isinstance(mark, Text)]
    assert {"pato", "duck"} <= set(lines)
    assert any("Check with a speaker" in line for line in lines)
    with pytest.raises(InputError, match="there is no picture to show"):
        catalogue_pages(Catalogue((), LETTER))


def test_a_search_makes_a_page_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pictures", "pond", "--out", "pond.pdf", "--colour", "--paper", "A4"]) == 0
    assert len(opened(Path("pond.pdf").read_bytes()).pages) == 1
    assert main(["pictures", "pond", "--out", "pond.pdf"]) == 2
    assert "the file exists already; name another or give --force" in capsys.readouterr().err
    assert len(languages()) == 14


# --- things, colours, shapes ----------------------------------------------------------------------


def test_things_are_listed_with_size_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(capsys, "things")
    for thing in desk.things():
        assert f"  {thing.id} " in shown
        assert thing.source in shown
    # ISO/IEC 7810 ID-1 is 85.60 by 53.98 mm.
    assert "ID1         bank-card blank, 85.6 x 53.98 mm, such as an old library card" in shown
    assert shown.index("for adults only") > shown.index("  DL ")
    assert len(json.loads(told(capsys, "things", "--json"))) == len(desk.things())


def test_colours_are_listed_with_their_words(capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(capsys, "colours")
    for colour in desk.colours():
        assert f"  {colour.key} " in shown
        assert colour.names["es"] in shown
    assert "Shapes: circle" in shown
    assert json.loads(told(capsys, "colours", "--json"))[0]["names"]["en"]


def test_shapes_are_what_plane_geometry_says(capsys: pytest.CaptureFixture[str]) -> None:
    """A square has four right angles and turns once; pi times the diameter goes round a circle."""
    rows = {row.name: row for row in desk.shape_rows()}
    assert list(rows) == list(desk.shapes())
    square, circle, hexagon, line = (rows[n] for n in ("square", "circle", "hexagon", "line"))
    assert (square.corners, square.sharpest, square.turning, square.bend) == (4, 90, 360, None)
    assert circle.length == pytest.approx(math.pi * circle.width, rel=1e-4)
    assert (circle.corners, circle.turning) == (0, 360)
    assert (hexagon.corners, hexagon.sharpest) == (6, 120)
    assert (line.closed, line.turning) == (False, 0)
    assert line.length == pytest.approx(152.4)  # 6 in
    shown = told(capsys, "shapes")
    assert (
        "  square             stage 5        outline, 76 x 76 mm, 305 mm to cut, 4 corners, the "
        "sharpest 90 degrees, turns 360 degrees in all\n"
    ) in shown
    assert "  line               stage 2 and 3  line, 152 mm long, straight\n" in shown
    assert "1 corner of 120 degrees, turns 60 degrees in all\n" in shown
    assert len(json.loads(told(capsys, "shapes", "--json"))) == len(rows)
