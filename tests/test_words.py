"""What the pages say to the child: there in every language, on every page, and short enough."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from shapes.letters.font import check_text, text_width_mm
from shapes.pictures.pictures import curated
from sheets.files.theme_file import load
from sheets.kinds import KINDS, words
from sheets.kinds.letter_match.letters import FORMS as LETTER_FORMS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.frame import A4, ADULT_SIZE_PT, LETTER, PRINT_LINE, SAY_PT, WORK_WIDTH, Frame
from sheets.page.model import Page, Role, Sheet, Text
from tests.making import count_cards, cutting, letter_match, make, pattern, sequence

STAGES = range(7)
POND = load("reedy-pond")
MANY = [word.text for word in curated()][::4]
"""Enough words for several to begin with one letter in every language."""
LANGUAGES = ("en", "es", "fr", "de", "it", "pt")


def flat(code: str) -> dict[tuple[str, str, str], str]:
    found = words.content(code)
    return {
        (kind, what, key): text
        for kind, tables in found.items()
        if isinstance(tables, dict)
        for what, table in tables.items()
        for key, text in table.items()
    }


def said(page: Page) -> list[Text]:
    return [m for m in page.marks if isinstance(m, Text) and m.id == "say"]


def has_no_head(page: Page) -> bool:
    """Whether it is the other side of cards, or a sheet that is folded into a book."""
    return page.label.endswith(": backs") or ": book" in page.label


SLOW = ("pieces", "picture-puzzle", "colour-copy")
"""Kinds whose pages take long; their sentences are looked for on pages of two languages."""


def sheets(options: Options, kinds: Iterable[str] = KINDS) -> Iterator[tuple[str, Sheet]]:
    """A sheet of every kind, stage and form."""
    for name, stage in itertools.product(kinds, STAGES):
        yield name, make_sheet(name, Source(POND), stage, options)
    for stage in STAGES:
        task = cutting.from_words([], stage, options)
        yield "cutting", make(task, options)
        for asked in (
            {"word": "theme"},
            {"letter": "E"},
            {"fill": True},
            {"word": "theme", "fill": True},
        ):
            letters = KINDS["letters-to-cut"].load().choices(**asked)
            yield (
                "letters-to-cut",
                make_sheet("letters-to-cut", Source(POND), stage, options, letters),
            )
    for shape, stage, layout in itertools.product(LETTER_FORMS, range(3, 7), ("lines", "cards")):
        chosen: dict[str, Any] = {"form": shape, "layout": layout}
        yield "letter-match", make(letter_match.from_words(MANY, stage, options, **chosen), options)
    for stage, answer in itertools.product(range(2, 7), ("tiles", "boxes")):
        for form in ("mend", "copy", "carry-on"):
            if form in pattern_forms(stage):
                task = pattern.from_theme(POND, stage, options, form=form, answer=answer)
                yield "pattern", make(task, options)
        for form in {"odd", "unit"} & pattern_forms(stage):
            yield "pattern", make(pattern.from_theme(POND, stage, options, form=form), options)
    for backs in ("fold", "long", "short"):
        task = sequence.from_theme(POND, 4, options, backs=backs, labels=True)
        yield "sequence", make(task, options)
    task = sequence.from_theme(POND, 4, options, wheel=True)
    yield "sequence", make(task, options)
    ways = ("mark lay", "mark clip", "fill draw", "fill lay")
    for needs, way in itertools.product(((), ("mouths-objects",)), ways):
        needed = replace(options, needs=needs)
        form, answer = way.split()
        counted = count_cards.from_theme(POND, 3, needed, form=form, answer=answer)
        yield "count-cards", make(counted, needed)
    cutting_too = replace(options, cutting_stage=3)
    yield "sequence", make(sequence.from_theme(POND, 4, cutting_too), cutting_too)
    kind = KINDS["picture-puzzle"].load()
    for chosen in (kind.choices(strips=True), kind.choices(cut_by="child")):
        yield "picture-puzzle", make_sheet("picture-puzzle", Source(POND), 3, options, chosen)


def pattern_forms(stage: int) -> set[str]:
    from sheets.kinds.settings import setting

    return set(str(setting("pattern", stage, "forms")).split())


def test_every_language_has_every_sentence_and_says_whether_it_is_checked() -> None:
    files = {file.stem for file in words.HERE.glob("*.toml")}
    assert files == set(words.NAMES) == set(LANGUAGES)
    for code in LANGUAGES:
        assert flat(code).keys() == flat("en").keys()
        assert set(words.content(code)) == {"checked", *KINDS}
        assert words.content(code)["checked"] is (code == "en")


def test_every_sentence_is_a_sentence_of_letters_the_font_has() -> None:
    for code in LANGUAGES:
        for (kind, what, key), text in flat(code).items():
            assert check_text(text) == text.strip() != "", (code, kind, what, key)
            assert what == "title" or text[-1] in ".?!", (code, kind, key)


def test_no_language_only_repeats_the_english() -> None:
    for code in LANGUAGES[1:]:
        same = [key for key, text in flat(code).items() if text == flat("en")[key]]
        assert same == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_page_tells_the_child_what_to_do(language: str) -> None:
    used: set[tuple[str, str]] = set()
    kinds = [name for name in KINDS if language in ("en", "de") or name not in SLOW]
    for hand, ink, paper in (("left", "normal", LETTER), ("either", "saver", A4)):
        options = Options(language=language, paper=paper, hand=hand, ink=ink, name="Bo")  # type: ignore[arg-type]
        for name, sheet in sheets(options, kinds):
            for page in sheet.pages:
                if has_no_head(page):
                    continue
                (line,) = said(page)
                frame = Frame(page.paper)
                assert line.size_pt == SAY_PT >= 14.0
                assert (line.x, line.y) == (frame.work.x0, frame.live.y1 - 21.6)
                assert text_width_mm(line.text, line.size_pt) <= WORK_WIDTH
                used |= {
                    (name, key)
                    for key, text in words.content(language)[name]["say"].items()
                    if text in line.text
                }
    asked = {(kind, key) for kind, what, key in flat(language) if what == "say" and kind in kinds}
    assert {pair for pair in used if pair[0] in kinds} == asked - RARE


RARE = {("cutting", "stop")}
"""What no sheet here says: where to stop stands on some practice lines only."""


def test_every_sentence_alone_fits_its_line() -> None:
    for code in LANGUAGES:
        for (kind, what, key), text in flat(code).items():
            assert what == "title" or text_width_mm(text, SAY_PT) <= WORK_WIDTH, (code, kind, key)


def test_a_practice_line_says_where_to_stop() -> None:
    options = Options(hand="right")
    (page,) = make(cutting.from_words([], 4, options, shape="arc"), options).pages
    assert said(page)[0].text.endswith("Stop at the bar.")


@pytest.mark.parametrize(
    ("hand", "ink", "line"),
    [
        ("right", "normal", "Start at the dot. Cut on the black line. Go all the way round."),
        ("right", "saver", "Start at the dot. Cut between the black lines. Go all the way round."),
    ],
)
def test_the_line_is_about_what_is_on_the_page(hand: Any, ink: Any, line: str) -> None:
    options = Options(hand=hand, ink=ink)
    (page,) = make(cutting.from_words(["duck"], 6, options), options).pages
    assert said(page)[0].text == line


def test_a_lane_without_a_dot_does_not_speak_of_one() -> None:
    (page,) = make(cutting.from_words(["duck"], 2, Options()), Options()).pages
    assert said(page)[0].text == "Cut between the black lines."


@pytest.mark.parametrize(
    ("language", "title"),
    [
        ("en", "Cut out the duck"),
        ("es-MX", "Recorta: pato"),
        ("de", "Schneide aus: Ente"),
        ("xx", "Cut out the duck"),
    ],
)
def test_the_title_is_the_task_and_a_language_without_a_file_is_english(
    language: str, title: str
) -> None:
    options = Options(language=language)
    assert make(cutting.from_words(["duck"], 6, options), options).title == title


def test_the_title_asked_for_wins_and_a_story_keeps_its_own() -> None:
    assert make_sheet("pattern", Source(POND), 3, Options(title="Bo's row")).title == "Bo's row"
    assert make_sheet("sequence", Source(POND), 3, Options()).title == "Washing hands"
    assert make_sheet("sort-mat", Source(POND), 3, Options()).title == "Animal or plant"


def test_a_name_too_long_for_the_title_is_left_out(tmp_path: Any) -> None:
    file = tmp_path / "a-very-long-name-of-a-picture-indeed.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        '<circle cx="50" cy="50" r="40" fill="none" stroke="black" stroke-width="2"/></svg>'
    )
    options = Options()
    assert make(cutting.from_words([str(file)], 6, options), options).title == "Cut it out"


@pytest.mark.parametrize("needs", [(), ("low-vision", "mouths-objects", "colour-vision")])
def test_the_foot_is_short_and_has_no_measured_values(needs: tuple[str, ...]) -> None:
    for name, stage in itertools.product(KINDS, STAGES[::2] if needs else STAGES[1::2]):
        sheet = make_sheet(name, Source(POND), stage, Options(needs=needs, name="Zuzë"))
        for page in sheet.pages:
            if has_no_head(page):
                continue
            x0 = Frame(page.paper).foot.x0
            lines = [
                m.text
                for m in page.marks
                if isinstance(m, Text)
                and (m.x, m.size_pt, m.role) == (x0, ADULT_SIZE_PT, Role.ADULT)
            ]
            # The printing line, two more, a caution, a credit.
            assert lines[0] == PRINT_LINE, (name, stage)
            assert len(lines) <= 5, (name, stage, lines)
            assert "guidance" not in " ".join(lines)


def test_drafts_are_told_on_the_key_and_never_on_the_childs_page() -> None:
    for language, told in (("en", False), ("fr", True), ("xx", False)):
        sheet = make_sheet("pattern", Source(POND), 3, Options(language=language))
        keys = [m.text for page in sheet.key for m in page.marks if isinstance(m, Text)]
        pages = [m.text for page in sheet.pages for m in page.marks if isinstance(m, Text)]
        assert any("drafts" in text for text in keys) is told
        assert not any("draft" in text for text in pages)


def test_the_line_about_drafts_names_the_languages_once() -> None:
    assert words.draft_line(["en", "xx"]) == ""
    assert words.draft_line(["es", "en", "es-MX", "de"]) == (
        "The sentences on the children's pages in Spanish and German are drafts until a speaker "
        "has checked them."
    )
