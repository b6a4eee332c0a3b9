"""Name pages: read back from their finished marks, in several scripts, against published rules."""

from __future__ import annotations

import itertools
import unicodedata
from collections import Counter
from typing import Any

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.errors import FitError, InputError
from shapes.letters.font import FONT_FILE, cap_height_mm, check_text
from shapes.path import BBox, Path
from sheets.check.check import check_page
from sheets.check.guidance import limits
from sheets.cli.main import main
from sheets.kinds.name_page.pieces import JOIN, in_capitals, pieces
from sheets.kinds.name_page.writing import helped
from sheets.kinds.options import Options
from sheets.page.areas import filled_area
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Lane, Mark, Page, Role, Sheet, Stroke, Text
from sheets.write.pdf import write_pdf
from tests.ink import ink_outside
from tests.making import Making, make
from tests.readers import texts

STAGES = range(7)
NAMES = (
    "Bo", "Zuzë", "Ñico", "D'Arley", "Rowan-Ty", "Barnacleton", "Nguyễn Thị Anh", "Mia Sofie",
    "أمينة", "محمد", "שירה", "Αλεξάνδρα", "आरव", "สมชาย", "小雨", "さくら", "하늘", "Ірина",
)  # fmt: skip
TO_THE_LEFT = ("أمينة", "محمد", "שירה")
name_page = Making("name-page")


def sheet_of(name: str, stage: int, capitals: bool = False, **given_options: Any) -> Sheet:
    options = Options(name=name, **given_options)
    return make(name_page.from_words([], stage, options, capitals=capitals), options)


def of_role(page: Page, role: Role, kind: type[Any]) -> list[Any]:
    return [mark for mark in page.marks if isinstance(mark, kind) and mark.role is role]


def read(boxes: list[BBox], to_the_left: bool) -> list[BBox]:
    """Boxes in the order in which a page is read: row by row from the top."""
    return sorted(boxes, key=lambda b: (-round(b.y1), -b.x0 if to_the_left else b.x0))


def frames(page: Page, role: Role) -> list[BBox]:
    return [m.paths[0].bbox for m in of_role(page, role, Stroke) if m.paths[0].closed]


def letters_in(page: Page, name: str) -> list[str]:
    """The letters on the model, each in its own box, in the order of reading."""
    found = of_role(page, Role.TARGET, Text)
    read_in_order = read(frames(page, Role.TARGET), name in TO_THE_LEFT)
    return [
        "".join(t.text for t in found if b.x0 < t.x < b.x1 and b.y0 < t.y < b.y1)
        for b in read_in_order
    ]


def bare(shown: str) -> str:
    return shown.replace(JOIN, "")


# --- letters --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("Bo", "B o"),
        ("Zuze\u0308", "Z u z ë"),
        ("Zuze\u0308\u0331", "Z u z ë\u0331"),
        ("D'Arley", "D' A r l e y"),
        ("Rowan-Ty", "R o w a n- T y"),
        ("’t Hooft", "’t H o o f t"),
        ("שירה", "ש י ר ה"),
        ("Αλεξάνδρα", "Α λ ε ξ ά ν δ ρ α"),
        # Aksharas: vowel signs and conjuncts stay with their letter (Unicode 15, chapter 12).
        ("आरव", "आ र व"),
        ("क्षितिज", "क्षि ति ज"),
        # Sara am stays with the letter before it (Unicode Standard Annex 29, SpacingMark).
        ("น้ำฝน", "น้ำ ฝ น"),
        ("小雨", "小 雨"),
        ("하늘", "하 늘"),
        ("محمد", "مـ ـحـ ـمـ ـد"),
        ("أمينة", "أ مـ ـيـ ـنـ ـة"),
        ("مُحَمَّد", "مُـ ـحَـ ـمَّـ ـد"),
        # Lam and alef make one sign (Unicode 15, section 9.2): it is not cut.
        ("علاء", "عـ ـلا ء"),
    ],
)
def test_letters_keep_their_marks_and_their_forms(name: str, parts: str) -> None:
    assert [piece.shown for piece in pieces(check_text(name))] == parts.split()


ONE_SIDED = "اأإآدذرزوؤةء"
"""Letters that do not join the one after them: joining types R and U of Unicode's
ArabicShaping.txt (from memory), with alef, dal, thal, reh, zain, waw, teh marbuta, hamza."""
BOTH_SIDED = "بتثجحخسشصضطظعغفقكمنهيئ"
"""Joining type D of the same table; lam is left out, for it makes one sign with alef."""


@given(st.text(st.sampled_from(ONE_SIDED + BOTH_SIDED), min_size=1, max_size=9))
def test_arabic_letters_join_as_the_unicode_table_says(name: str) -> None:
    shown = []
    for i, char in enumerate(name):
        joins_before = i > 0 and name[i - 1] in BOTH_SIDED and char != "ء"
        joins_after = char in BOTH_SIDED and i + 1 < len(name) and name[i + 1] != "ء"
        shown.append(JOIN * joins_before + char + JOIN * joins_after)
    found = [piece.shown for piece in pieces(name)]
    assert "".join(map(bare, found)) == name
    if len(found) == len(name):  # the font has no ligature
        assert found == shown


LETTER_WITH_MARKS = st.builds(
    str.__add__,
    st.sampled_from("abzABZ"),
    st.text(st.sampled_from("\u0300\u0301\u0308\u0327\u0331\u0303"), max_size=2),
)


@given(st.lists(LETTER_WITH_MARKS | st.sampled_from(" -'"), min_size=1, max_size=12))
def test_no_letter_begins_with_a_mark_and_none_is_lost(letters: list[str]) -> None:
    name = check_text(" ".join("".join(letters).split()))
    found = pieces(name)
    assert "".join(piece.text for piece in found) == name.replace(" ", "")
    assert not any(unicodedata.category(piece.text[0])[0] == "M" for piece in found)
    assert [piece.word for piece in found] == sorted(piece.word for piece in found)


def test_capitals_as_the_language_writes_them() -> None:
    """Unicode CLDR transforms ``tr-Upper`` and ``el-Upper``; SpecialCasing.txt for ß."""
    assert in_capitals("Irini", "tr") == "IRİNİ"
    assert in_capitals("Irini", "de") == "IRINI"
    assert in_capitals("Weiß", "de") == "WEISS"
    assert in_capitals("Αλεξάνδρα", "el") == "ΑΛΕΞΑΝΔΡΑ"
    page = sheet_of("Zuzë", 5, capitals=True).pages[0]
    assert [m.text for m in of_role(page, Role.MODEL, Text)] == ["ZUZË"]


# --- laying ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_a_name_card_looks_like_the_place_it_is_laid_on(name: str) -> None:
    places, cards = sheet_of(name, 0).pages
    targets, loose = of_role(places, Role.TARGET, Text), of_role(cards, Role.CARD, Text)
    assert len(targets) == len(loose)
    assert [(t.text, t.size_pt) for t in targets] == [(c.text, c.size_pt) for c in loose]
    one = [t.text for t in targets if t.id == "own-name-1"]
    assert "".join(one).replace(" ", "") == name.replace(" ", "")
    papers = [m.paths[0].bbox for m in of_role(cards, Role.CARD, Fill)]
    for place, card in zip(frames(places, Role.TARGET), papers, strict=True):
        assert (place.width, place.height) == pytest.approx((card.width, card.height))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
def test_the_model_is_the_name_and_each_of_its_letters_has_a_card(name: str, paper: Any) -> None:
    model, *cards = sheet_of(name, 1, paper=paper).pages
    shown = letters_in(model, name)
    assert bare("".join(shown)) == name.replace(" ", "")
    loose = [t.text for page in cards for t in of_role(page, Role.CARD, Text)]
    assert Counter(loose) == Counter(shown)


@pytest.mark.parametrize("name", NAMES)
def test_letters_are_put_in_as_many_boxes_from_where_the_name_begins(name: str) -> None:
    page, *cards = sheet_of(name, 2).pages
    boxes = read(frames(page, Role.ANSWER_SPACE), name in TO_THE_LEFT)
    loose = [t.text for card in cards for t in of_role(card, Role.CARD, Text)]
    assert len(boxes) == len(loose)
    assert Counter(bare("".join(loose))) == Counter(name.replace(" ", ""))
    model = [t.text for t in of_role(page, Role.MODEL, Text)]
    assert "".join(model).replace(" ", "") == name.replace(" ", "")
    (dot,) = of_role(page, Role.GUIDE, Fill)
    assert boxes[0].contains(mark_bbox(dot))


def test_cards_lie_mixed_and_every_seed_has_all_of_them() -> None:
    orders = set()
    for seed in range(200):
        cards = sheet_of("Zuzë", 2, seed=seed).pages[1]
        order = tuple(t.text for t in of_role(cards, Role.CARD, Text))
        assert sorted(order) == sorted("Zuzë")
        orders.add(order)
    assert len(orders) == 24  # every order of four letters


# --- tracing --------------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", [3, 4])
def test_hollow_letters_are_those_of_the_font_and_as_large_as_they_say(stage: int) -> None:
    """Areas of glyphs by the pen of fontTools."""
    font = TTFont(FONT_FILE)
    glyphs, cmap = font.getGlyphSet(), font.getBestCmap()
    pen = AreaPen(glyphs)
    for char in "Bo":
        glyphs[cmap[ord(char)]].draw(pen)
    sheet = sheet_of("Bo", stage)
    letter = float(str(sheet.parameters["letter_mm"]))
    unit = letter / cap_height_mm(1.0) * 25.4 / 72.0 / font["head"].unitsPerEm
    for fill in of_role(sheet.pages[0], Role.TRACE, Fill):
        assert filled_area(fill) == pytest.approx(abs(pen.value) * unit * unit, rel=0.001)


def lane(long: float, wide: float, widened: float, edge: float) -> tuple[Mark, Mark]:
    corners = [(100, 100), (100 + wide, 100), (100 + wide, 100 + long), (100, 100 + long)]
    path = Path.from_points([(float(x), float(y)) for x, y in corners], closed=True)
    stroke = Stroke((path,), widened + 2.0 * edge, Role.TRACE, "own-name-1", lane=Lane(edge))
    return stroke, Fill((path,), Role.TRACE, "own-name-1", colour="#dcdcdc")


@settings(max_examples=40)
@given(st.floats(20, 90), st.floats(2, 8), st.floats(0.1, 4), st.floats(0.2, 1.5))
def test_the_free_width_of_a_hollow_stroke(
    long: float, wide: float, widened: float, edge: float
) -> None:
    """A rectangle: its area is l w and its edge 2 (l + w)."""
    page = Page(LETTER, lane(long, wide, widened, edge))
    (found,) = [f for f in check_page(page, "names", 3) if f.limit == "corridor"]
    right = widened + wide / (1.0 + wide / long)
    assert found.measured == pytest.approx(right, abs=0.006)  # findings have two decimals
    assert float(found.measured) < wide + widened


def test_lanes_and_letters_become_smaller_from_stage_to_stage() -> None:
    for name in ("Bo", "Zuzë", "آرام", "小雨"):
        sheets = [sheet_of(name, stage) for stage in STAGES]
        sizes = [float(str(sheet.parameters["letter_mm"])) for sheet in sheets[3:]]
        assert sizes == sorted(sizes, reverse=True)
        assert len(set(sizes)) == 4
        lanes = [
            min(float(f.measured) for f in sheet.findings if f.limit == "corridor")
            for sheet in sheets[3:6]
        ]
        assert lanes == sorted(lanes, reverse=True)


@pytest.mark.parametrize("name", NAMES)
def test_a_dot_stands_where_each_traced_name_begins(name: str) -> None:
    page = sheet_of(name, 4).pages[0]
    rows = [mark_bbox(m) for m in of_role(page, Role.TRACE, Stroke)]
    for dot in of_role(page, Role.GUIDE, Fill):
        x, y = mark_bbox(dot).center
        (row,) = [row for row in rows if row.y0 < y < row.y1]
        assert (x > row.x1) if name in TO_THE_LEFT else (x < row.x0)


# --- writing --------------------------------------------------------------------------------------


def test_help_goes_from_the_whole_name_to_every_other_letter_to_nothing() -> None:
    def shown(name: str, copy: int) -> list[str]:
        return [text for text, _ in helped(pieces(name), copy)]

    assert [shown("Zuzë", copy) for copy in range(3)] == [["Zuzë"], ["Z", "z"], []]
    # What joins stays together, so that its letters keep their forms.
    assert [shown("أمينة", copy) for copy in range(3)] == [["أمينة"], ["أ"], []]


@pytest.mark.parametrize("name", NAMES)
def test_the_last_lines_are_empty_and_those_of_stage_6_all_are(name: str) -> None:
    some, last = sheet_of(name, 5).pages[0], sheet_of(name, 6).pages[0]
    assert not of_role(last, Role.TRACE, Stroke)
    assert not of_role(last, Role.MODEL, Text)
    helpful = [mark_bbox(m) for m in of_role(some, Role.TRACE, Stroke)]
    lines = [mark_bbox(m) for m in of_role(some, Role.ANSWER_SPACE, Stroke)]
    assert min(box.y0 for box in lines) < min(box.y0 for box in helpful) - 10.0
    model = [t.text for t in of_role(some, Role.MODEL, Text)]
    assert "".join(model).replace(" ", "") == name.replace(" ", "")


def test_lines_for_small_letters_only_where_there_are_some() -> None:
    def dashed(name: str) -> int:
        page = sheet_of(name, 6).pages[0]
        return sum(bool(m.dash) for m in of_role(page, Role.ANSWER_SPACE, Stroke))

    assert dashed("Bo") == 5
    assert dashed("שירה") == dashed("आरव") == 0


# --- all pages ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("needs", [(), ("low-vision", "mouths-objects")], ids=["", "low-vision"])
def test_every_page_is_within_guidance_and_on_the_paper(name: str, needs: tuple[str, ...]) -> None:
    papers: list[Any] = [(LETTER, "right", "normal"), (A4, "left", "saver")]
    for stage, (paper, hand, ink) in itertools.product(STAGES, papers):
        sheet = sheet_of(name, stage, paper=paper, hand=hand, ink=ink, needs=needs)
        assert [f.sentence() for f in sheet.findings if f.outside] == [], stage
        assert not any(ink_outside(page, 12.7 - 1e-9) for page in sheet.pages)
        assert sheet.key == ()
        names = [
            m.text for p in sheet.pages for m in p.marks if isinstance(m, Text) and m.id == "name"
        ]
        assert names == [name] * len(sheet.pages)


def test_low_vision_has_larger_letters_and_bolder_edges() -> None:
    for stage in (3, 4, 5, 6):
        plain, low = sheet_of("Bo", stage), sheet_of("Bo", stage, needs=("low-vision",))
        sizes = [float(str(sheet.parameters["letter_mm"])) for sheet in (plain, low)]
        assert sizes[1] > sizes[0] * 1.1
        if stage < 6:
            (edge, *_), (bold, *_) = (
                [m.lane.edge for m in of_role(s.pages[0], Role.TRACE, Stroke)] for s in (plain, low)
            )
            assert (edge, bold) == (0.5, 1.5)


@pytest.mark.parametrize("name", ["Zuzë", "أمينة", "שירה", "आरव", "小雨"])
@pytest.mark.parametrize("stage", [0, 1, 2, 5])
def test_letters_are_read_back_by_pdfium(name: str, stage: int) -> None:
    sheet = sheet_of(name, stage)
    data = write_pdf(sheet.pages, title=sheet.title, language="en")
    for number, page in enumerate(sheet.pages):
        seen = "".join("".join(texts(data, number)).split())
        for mark in page.marks:
            if isinstance(mark, Text) and mark.role is not Role.ADULT:
                assert "".join(mark.text.split()) in seen


def test_the_name_is_in_no_label_list_or_record() -> None:
    for stage in STAGES:
        sheet = sheet_of("Zuzë", stage)
        told = (
            *(page.label for page in sheet.pages),
            *sheet.preparation, *sheet.cautions, *sheet.adult_lines, sheet.title,
            *map(str, sheet.parameters.values()), *(m.name for m in sheet.materials),
            *(f.sentence() for f in sheet.findings),
        )  # fmt: skip
        assert "Zuzë" not in " ".join(told)


def test_the_same_head_and_title_at_all_stages() -> None:
    heads = {
        tuple(m for m in page.marks if m.id in ("name", "name-line", "title"))
        for stage in STAGES
        for page in sheet_of("Zuzë", stage).pages
    }
    assert len(heads) == 1


def test_long_names_take_rows_and_break_between_words() -> None:
    page = sheet_of("Maximiliane-Charlotte", 0).pages[0]
    shown = [t.text for t in of_role(page, Role.TARGET, Text) if t.id == "own-name-1"]
    assert shown == ["Maximiliane-", "Charlotte"]
    one = [t.text for t in of_role(sheet_of("Barnacleton", 0).pages[0], Role.TARGET, Text)]
    assert one == ["Barnacleton", "Barnacleton"]
    least = limits("names", 3)["trace_letter_height"].minimum
    assert least is not None
    for row in of_role(sheet_of("Barnacleton", 3).pages[0], Role.TRACE, Stroke):
        assert mark_bbox(row).height >= least


@settings(max_examples=60)
@given(st.text(st.sampled_from("aimwWÅgyj-' "), min_size=1, max_size=26), st.sampled_from(STAGES))
def test_any_name_gives_a_page_within_guidance_or_one_line(name: str, stage: int) -> None:
    try:
        sheet = sheet_of(name, stage)
    except InputError as told:
        where = told.where
    else:
        where = "`name`"
        assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert where in ("`name`", "name")


# --- messages -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["", "  "])
def test_without_a_name_there_is_no_page(name: str) -> None:
    with pytest.raises(
        InputError, match=r"^`name`: a name page needs a name; give it as the class"
    ):
        sheet_of(name, 3)


def test_a_name_of_no_letters() -> None:
    with pytest.raises(
        InputError, match=r"^`name`: a name page needs letters in the child's name;"
    ):
        sheet_of("12-", 3)


def test_a_name_that_is_too_long() -> None:
    with pytest.raises(FitError, match=r"^`name`: a name of 24 letters does not fit this page at"):
        sheet_of("Wimwimwimwimwimwimwimwim", 1)


def test_words_are_not_a_name() -> None:
    options = Options(name="Bo")
    with pytest.raises(InputError, match=r"^`words`: a name page takes no words; give the child's"):
        name_page.from_words(["Bo"], 3, options)


def test_the_command_names_its_option(capsys: pytest.CaptureFixture[str], tmp_path: Any) -> None:
    assert main(["name-page", "--stage", "3", "--out", str(tmp_path / "page.pdf")]) == 2
    assert "tablework: --name: a name page needs a name" in capsys.readouterr().err
