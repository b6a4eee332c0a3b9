"""Books of the child's own: read back from their finished sheets, page by page."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.errors import InputError
from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox
from sheets.check.check import LENGTH_MM, check_page, outside
from sheets.files import class_list
from sheets.files.theme_file import load, parse
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.own_book import BookChoices
from sheets.kinds.own_book.impose import folded, sides
from sheets.kinds.own_book.leaves import fitted
from sheets.kinds.own_book.pages import NAME_TOO_LONG
from sheets.kinds.own_book.task import BookTask
from sheets.kinds.source import Source
from sheets.kinds.words import NAMES
from sheets.packet.make import prepare
from sheets.packet.plan import Choices, make_plan
from sheets.page.frame import A4, LETTER, PRINT_LINE
from sheets.page.marks import mark_bbox
from sheets.page.model import Mark, Page, Paper, Place, Role, Sheet, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make

own_book = Making("own-book")
POND = load("reedy-pond")
STAGES = range(7)
SIX = ["duck", "frog", "fish", "turtle", "snail", "swan"]
ROUNDED = LENGTH_MM
"""Widened lines of pictures are rounded up: 0.026 mm at most, and the check allows this."""
LINES = (0, 1, 1, 0, 1, 2, 3)
"""Lines on a page inside: that of stage 4 is under the word."""


def book(sheet: Sheet) -> dict[int, list[Mark]]:
    """The marks of every page, by where they lie on the paper; the page of steps is left out."""
    found: dict[int, list[Mark]] = {}
    printed = [page for page in sheet.pages if ": book" in page.label]
    paper = printed[0].paper
    if sheet.parameters["form"] == "fold":
        panels = [folded(paper)]
    else:
        panels = list(sides(paper, len(printed) * 2))
    for page, side in zip(printed, panels, strict=True):
        for mark in page.marks:
            if mark.id in ("folds", "slit"):
                continue
            box = mark_bbox(mark)
            (panel,) = [p for p in side if p.box.contains(box)]
            assert panel.room.contains(box, ROUNDED), (panel.page, mark.id)
            if isinstance(mark, Text):
                assert mark.turn_deg == (180.0 if panel.turned else 0.0)
            if isinstance(mark, Place):
                assert (mark.at.a < 0.0) is panel.turned  # neither mirrored nor lying
                assert mark.at.a == pytest.approx(mark.at.d)
                assert (mark.at.b, mark.at.c) == (0.0, 0.0)
            found.setdefault(panel.page, []).append(mark)
    return found


def texts(marks: list[Mark], id: str) -> str:
    """The words of one id, in the order they were set."""
    return " ".join(m.text for m in marks if isinstance(m, Text) and m.id.startswith(id))


def pictures(marks: list[Mark]) -> list[str]:
    return [m.artwork.alt for m in marks if isinstance(m, Place)]


def drawings(marks: list[Mark]) -> list[BBox]:
    """What is free inside the lines of places to draw in."""
    return [
        m.paths[0].bbox.grown(-m.width / 2.0)
        for m in marks
        if isinstance(m, Stroke) and m.role is Role.ANSWER_SPACE
    ]


def rules(marks: list[Mark]) -> list[float]:
    """Heights of the lines to write on."""
    return [
        m.paths[0].start[1] for m in marks if isinstance(m, Stroke) and m.id.startswith("line-")
    ]


@pytest.mark.parametrize("form", ["fold", "half"])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("stage", STAGES)
def test_what_is_on_the_pages_of_every_stage(stage: int, paper: Paper, form: str) -> None:
    options = Options(paper=paper, name="Zoë", seed=2)
    sheet = make(own_book.from_theme(POND, stage, options, form=form), options)
    pages = book(sheet)
    assert sorted(pages) == list(range(1, 9))
    assert texts(pages[1], "title") == "My book"
    assert texts(pages[1], "name") == "Zoë"
    assert pictures(pages[1]) == ["duck"] == pictures(pages[8])  # the badge
    shown = [tuple(pictures(pages[n])) for n in range(2, 8)]
    if stage == 1:
        assert shown == [()] * 6
    else:
        assert len(set(shown)) == 6  # one picture a page, another on each
        assert {len(one) for one in shown} == {1}
        assert {name for (name,) in shown} <= {word.text for word in POND.words}
    for n in range(2, 8):
        assert len(rules(pages[n])) == LINES[stage]
        assert len(drawings(pages[n])) == (stage in (1, 2))
        said = texts(pages[n], "word"), texts(pages[n], "sentence")
        word = pictures(pages[n])[0] if stage in (3, 4) else ""
        assert said == (word, "I see:" if stage == 4 else "")


@pytest.mark.parametrize("needs", [(), ("low-vision",)], ids=["", "low-vision"])
@pytest.mark.parametrize("ink", ["normal", "saver"])
@pytest.mark.parametrize("theme", FIRST_THREE)
def test_limits_are_kept_on_both_papers_in_both_forms(
    theme: str, ink: str, needs: tuple[str, ...]
) -> None:
    for paper, stage, form in itertools.product((LETTER, A4), STAGES, ("fold", "half")):
        options = Options(paper=paper, ink=ink, needs=needs, name="Maximilian")  # type: ignore[arg-type]
        sheet = make(own_book.from_theme(load(theme), stage, options, form=form), options)
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        book(sheet)
        for page in sheet.pages:
            ticks = [m for m in page.marks if m.id == "folds"]
            bare = Page(page.paper, tuple(m for m in page.marks if m not in ticks))
            assert not ink_outside(bare, 12.7 - ROUNDED)


@pytest.mark.parametrize(
    ("paper", "form", "stage", "wide", "high"),
    [
        # 69.85 - 12.7 - 5 wide and 107.95 - 12.7 - 5 high, less a line each side, writing and gap
        (LETTER, "fold", 1, 50.35, 90.25 - 1.8 - 10.0),
        (LETTER, "fold", 2, 50.35, 90.25 - 1.8 - 10.0 - 0.24 * 90.25 - 3.0),
        (A4, "fold", 1, 74.25 - 17.7 - 1.8, 87.3 - 1.8 - 10.0),
        (LETTER, "half", 1, 139.7 - 12.7 - 18.0 - 1.8, 190.5 - 1.8 - 10.0),
        (A4, "half", 2, 148.5 - 30.7 - 1.8, 184.6 - 1.8 - 10.0 - 0.24 * 184.6 - 3.0),
    ],
)
def test_places_to_draw_in_mm(
    paper: Paper, form: str, stage: int, wide: float, high: float
) -> None:
    options = Options(paper=paper)
    pages = book(make(own_book.from_theme(POND, stage, options, form=form), options))
    for n in range(2, 8):
        (free,) = drawings(pages[n])
        assert (free.width, free.height) == pytest.approx((wide, high))


def test_lines_of_own_words_are_further_apart() -> None:
    for stage, gap in ((5, 10.0), (6, 15.0)):
        pages = book(make(own_book.from_theme(POND, stage, Options()), Options()))
        for n in (2, 3):  # upright ones
            heights = rules(pages[n])
            steps = [b - a for a, b in itertools.pairwise(heights)]
            assert steps == pytest.approx([gap] * (LINES[stage] - 1))
        assert all(min(m) > 12.7 for m in (rules(pages[2]), rules(pages[3])))


def test_every_seed_has_six_other_pictures_and_all_stages_have_the_same() -> None:
    orders = set()
    for seed in range(1000):
        options = Options(seed=seed)
        by_stage = []
        for stage in (0, 2, 3, 4, 5, 6):
            made: BookTask = own_book.from_theme(POND, stage, options)
            by_stage.append([leaf.picture.id for leaf in made.leaves if leaf.picture])
        assert all(ids == by_stage[0] for ids in by_stage)
        assert len(set(by_stage[0])) == 6
        orders.add(tuple(by_stage[0]))
    assert len(orders) > 900


def test_words_keep_their_order_and_what_is_left_over_is_the_childs_own() -> None:
    for stage in (2, 3, 4, 5, 6):
        pages = book(make(own_book.from_words(SIX[:4], stage, Options()), Options()))
        assert [pictures(pages[n]) for n in range(2, 6)] == [[word] for word in SIX[:4]]
        for n in (6, 7):
            assert pictures(pages[n]) == []
            assert len(drawings(pages[n])) == 1
            assert texts(pages[n], "word") == ""
            assert len(rules(pages[n])) == max(1, LINES[stage])
    pages = book(make(own_book.from_words(SIX[:4], 0, Options()), Options()))
    again = [*SIX[:4], *SIX[:2]]
    assert [pictures(pages[n]) for n in range(2, 8)] == [[word] for word in again]


@pytest.mark.parametrize(("count", "pages"), [(1, 8), (6, 8), (7, 12), (10, 12), (11, 16)])
def test_half_sheets_have_as_many_pages_as_the_words_take(count: int, pages: int) -> None:
    words = [word.text for word in POND.words][:count]
    sheet = make(own_book.from_words(words, 3, Options(), form="half"), Options())
    assert sorted(book(sheet)) == list(range(1, pages + 1))
    assert len(sheet.pages) == pages // 2 + 1
    (paper,) = [m for m in sheet.materials if m.use == "paper"]
    assert paper.quantity == pages / 4


@pytest.mark.parametrize("pages", range(4, 33, 4))
def test_every_number_of_pages_that_can_be_folded(pages: int) -> None:
    sheet = make(own_book.from_theme(POND, 5, Options(), form="half", pages=pages), Options())
    found = book(sheet)
    assert sorted(found) == list(range(1, pages + 1))
    assert sum(bool(pictures(found[n])) for n in range(2, pages)) == min(12, pages - 2)


LONG = "schmetterling gespenstheuschrecke"


@given(st.text("abefgimptwy ", min_size=1, max_size=40), st.sampled_from([18.0, 20.0, 24.0, 42.0]))
def test_words_are_broken_so_that_they_fit(text: str, size: float) -> None:
    found = fitted(text, size, 52.15, 2)
    if found is None:
        parts = text.split()
        widest = max((text_width_mm(part, 18.0) for part in parts), default=0.0)
        assert not parts or widest > 52.15 or text_width_mm(text.strip(), 18.0) > 52.15
        return
    assert 18.0 <= found.size_pt <= size
    assert len(found.texts) <= 2
    assert " ".join(found.texts).split() == text.split()
    assert all(text_width_mm(line, found.size_pt) <= 52.15 + 1e-6 for line in found.texts)


@settings(max_examples=20)
@given(st.text("abegiLMwyé -", min_size=1, max_size=30), st.sampled_from([0, 2, 4, 6]))
def test_any_name_is_on_the_cover_or_left_to_be_written(name: str, stage: int) -> None:
    options, choices = Options(name=name), BookChoices()
    # As in a packet: the page of steps has the usual name line, which refuses the longest names.
    sheet = make_sheet("own-book", Source(POND), stage, options, choices, apart=True)
    cover = book(sheet)[1]
    if texts(cover, "name"):
        assert texts(cover, "name").split() == name.split()
        assert NAME_TOO_LONG not in sheet.preparation
    else:
        assert (NAME_TOO_LONG in sheet.preparation) is bool(name)
    assert [f.sentence() for f in sheet.findings if f.outside] == []


@pytest.mark.parametrize("language", NAMES)
def test_the_sentence_is_in_the_pages_language(language: str) -> None:
    options = Options(language=language)
    sheet = make(own_book.from_theme(POND, 4, options), options)
    begins = {texts(marks, "sentence") for n, marks in book(sheet).items() if n not in (1, 8)}
    assert begins == {
        {"en": "I see:", "es": "Veo:", "fr": "Je vois :", "de": "Ich sehe:",
         "it": "Vedo:", "pt": "Vejo:"}[language]
    }  # fmt: skip
    for page in sheet.pages:
        for mark in page.marks:
            if isinstance(mark, Text) and mark.id.startswith(("word", "sentence")):
                assert mark.size_pt >= 18.0


def test_a_language_without_names_leaves_a_line_and_tells_the_adult() -> None:
    theme = parse(
        b'title = "Mine"\nlanguages = ["en"]\n[[words]]\ntext = "duck"\npicture = "1F986"\n',
        "mine.toml",
        Path(),
    )
    options = Options(language="xx")
    sheet = make(own_book.from_theme(theme, 3, options), options)
    assert texts(book(sheet)[2], "word") == ""
    assert len(rules(book(sheet)[2])) == 1
    assert "No name for duck: write it on the line." in sheet.preparation
    german = make(own_book.from_theme(theme, 3, Options(language="de")), Options(language="de"))
    assert texts(book(german)[2], "word") == "Ente"
    assert "Ask a speaker about: Ente." in german.preparation


def test_a_word_too_long_for_a_page_is_left_to_be_written() -> None:
    words = ["unbelievablylongword:duck", "frog"]
    sheet = make(own_book.from_words(words, 3, Options()), Options())
    assert texts(book(sheet)[2], "word") == ""
    assert "Too long for a page, write on the line: unbelievablylongword." in sheet.preparation
    wide = make(own_book.from_words(words, 3, Options(), form="half"), Options())
    assert texts(book(wide)[2], "word") == "unbelievablylongword"


def test_who_makes_the_slit() -> None:
    for stage, cutting, needs, child in (
        (4, 6, (), False),
        (5, None, (), False),
        (5, 2, (), False),
        (5, 3, (), True),
        (6, 6, (), True),
        (6, 6, ("not-cutting",), False),
    ):
        options = Options(cutting_stage=cutting, needs=needs, hand="left")
        sheet = make(own_book.from_theme(POND, stage, options), options)
        (line,) = [m for m in sheet.pages[0].marks if m.id == "slit"]
        assert (line.role is Role.CUT) is child
        assert isinstance(line, Stroke)
        assert line.paths[0].length == pytest.approx(279.4 / 2.0)
        names = [m.name for m in sheet.materials]
        assert ("left-handed scissors, blunt tips" in names) is child
        assert ("scissors, for the adult" in names) is not child
        assert [f.sentence() for f in sheet.findings if f.outside] == []


def test_half_sheets_are_not_stapled_for_a_child_who_mouths_things() -> None:
    for needs, staples in (((), True), (("mouths-objects",), False)):
        options = Options(needs=needs)
        sheet = make(own_book.from_theme(POND, 3, options, form="half"), options)
        names = " ".join(m.name for m in sheet.materials)
        assert ("stapler" in names) is staples
        assert ("hole punch" in names) is not staples
        said = " ".join([*sheet.preparation, *sheet.adult_lines, *sheet.cautions])
        assert ("points outward" in said) is staples
        assert "No loose string" in said
        steps = " ".join(m.text for m in sheet.pages[-1].marks if isinstance(m, Text))
        assert ("staples" in steps.lower().replace("no staples", "")) is staples


def test_four_steps_are_drawn_on_a_page_with_bars_and_no_such_page_is_in_a_packet() -> None:
    options = Options(name="Bo")
    for form in ("fold", "half"):
        choices = BookChoices(form=form)
        sheet = make_sheet("own-book", Source(POND), 2, options, choices)
        last = sheet.pages[-1]
        assert last.paper == LETTER
        assert {m.id for m in last.marks if m.id.startswith("step-")} == {
            f"step-{i}" for i in range(1, 5)
        }
        assert {"bar-x", "bar-y"} <= {m.id for m in last.marks}
        assert PRINT_LINE in sheet.adult_lines
        packed = make_sheet("own-book", Source(POND), 2, options, choices, apart=True)
        assert packed.pages == sheet.pages[:-1]
        assert sheet.preparation == packed.preparation
        assert {page.paper for page in packed.pages} == {LETTER.turned()}
    assert not make_sheet("own-book", Source(POND), 2, options).key


def test_what_the_pictures_credit_is_on_the_back_cover() -> None:
    for form in ("fold", "half"):
        sheet = make(own_book.from_theme(POND, 5, Options(), form=form), Options())
        said = texts(book(sheet)[8], "colophon")
        assert "OpenMoji" in said
        assert "CC BY-SA 4.0" in said
        assert "actual size" in said


def test_a_place_too_small_to_draw_in_is_found() -> None:
    sheet = make(own_book.from_theme(POND, 1, Options()), Options())
    (page, _) = sheet.pages
    small = [
        Stroke((m.paths[0],), m.width + 12.0, m.role, m.id, join="miter")
        if isinstance(m, Stroke) and m.id == "drawing-2"
        else m
        for m in page.marks
    ]
    found = outside(check_page(Page(page.paper, tuple(small)), "telling", 1))
    assert [(f.limit, f.mark) for f in found if f.limit == "cell size"] == [
        ("cell size", "drawing-2")
    ]


@pytest.mark.parametrize(
    ("words", "choices", "message"),
    [
        (SIX, {"pages": 12}, "`pages`: a book folded from one sheet has 8 pages, not 12; leave it"),
        (SIX, {"form": "half", "pages": 10}, "`pages`: half sheets laid in each other make no book "
         "of 10 pages; use a multiple of 4, from 4 to 32"),
        (SIX, {"form": "half", "pages": 4}, "words: 6 words where the book has 2 pages between"),
        ([*SIX, "leaf"], {}, "words: 7 words where the book has 6 pages between its covers; give "
         "fewer, or make a book of half sheets with more pages: `form` half"),
        ([], {}, "words: 0 pictures where 1 are needed; give more"),
    ],
)  # fmt: skip
def test_bad_choices(words: list[str], choices: dict[str, object], message: str) -> None:
    with pytest.raises(InputError) as caught:
        own_book.from_words(words, 3, Options(), **choices)
    assert str(caught.value).startswith(message)


def test_a_title_too_long_for_the_cover() -> None:
    options = Options(title="Donaudampfschifffahrtskapitän")
    with pytest.raises(InputError) as caught:
        make(own_book.from_theme(POND, 3, options), options)
    assert str(caught.value) == (
        "`title`: 'Donaudampfschifffahrtskapitän' is too long for the cover at 18 pt; shorten it"
    )
    short = Options(title="What lives in and round the pond")
    cover = book(make(own_book.from_theme(POND, 3, short), short))[1]
    assert texts(cover, "title") == short.title
    sizes = {m.size_pt for m in cover if isinstance(m, Text) and m.id == "title"}
    assert min(cap_height_mm(size) for size in sizes) > 4.4


CLASS = b"name,tag,cutting,matching,telling\nMia,Mi,2,2,1\nBo,Bo,2,2,6\n"


@pytest.mark.parametrize(
    ("kinds", "told"),
    [
        (("own-book",), "The pages have no bars to measure"),
        (("own-book", "trace-match"), "First print page 3 of plain.pdf alone and measure both"),
        (("own-book", "cutting"), "First print page 1 of card.pdf alone and measure both"),
    ],
)
def test_a_packet_has_the_bars_measured_on_a_page_that_has_them(
    kinds: tuple[str, ...], told: str
) -> None:
    listed = class_list.parse(CLASS, "class.csv")
    made = prepare(make_plan(dataclasses.replace(POND, plan=()), listed, Choices(kinds=kinds)))
    (run_sheet,) = [page for page in made.adult if "Run sheet" in page.label]
    assert told in " ".join(mark.text for mark in run_sheet.marks if isinstance(mark, Text))
    books = [
        s for s in made.plan.imposed.spots if s and s[0].label.startswith(("Mi own", "Bo own"))
    ]
    assert [[spot.file for spot in spots] for spots in books] == [["plain.pdf"]] * 2
