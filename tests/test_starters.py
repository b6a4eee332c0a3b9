"""Starter files load as they are, whatever the title."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from shapes.errors import InputError
from sheets.check.guidance import STAGES, limits
from sheets.files import class_list as classlist
from sheets.files import starter_class
from sheets.files import theme_file as theme
from sheets.files.columns import COLUMNS
from sheets.files.starter_class import class_csv, class_workbook
from sheets.files.starters import starter, starter_theme
from sheets.kinds import SKILLS
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from tests.parser_runs import parser_test

TITLES = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=60)


def test_starter_theme_loads_without_warning() -> None:
    found = theme.parse(starter_theme("Our Garden").encode(), "our-garden.toml", Path())

    assert found.title == "Our Garden"
    assert [word.text for word in found.words] == [
        "carrot", "tomato", "bean", "onion", "lemon", "worm",
    ]  # fmt: skip
    assert [thing.name for thing in things_of(found)[2:]] == ["yoghurt tub", "tea box"]
    assert (len(found.rows(SEQUENCES)), len(found.rows(PATTERNS))) == (1, 2)
    assert (len(found.rows(SORTS)), len(found.plan)) == (1, 5)
    assert found.warnings == ()


def test_starter_theme_still_loads_with_its_optional_lines_turned_on() -> None:
    text = starter_theme("Our Garden")
    optional = ("unchecked =", "also =", "easy =", "hard =")
    for key in optional:
        assert f"# {key}" in text
        text = text.replace(f"# {key}", key)

    found = theme.parse(text.encode(), "our-garden.toml", Path())

    assert found.unchecked == ("es",)
    assert len(found.rows(SEQUENCES)[0].also) == 1
    assert (letters_of(found).easy, letters_of(found).hard) == (("T", "L", "O"), (("b", "p"),))


WAYS = {
    "csv": lambda title: class_csv(title, ","),
    "csv of a decimal comma": lambda title: class_csv(title, ";"),
    "xlsx": class_workbook,
}


@pytest.mark.parametrize("way", WAYS)
def test_starter_class_loads_without_warning(way: str) -> None:
    found = classlist.parse(WAYS[way]("Our group"), "our-group")

    assert [(child.name, child.hand, child.row) for child in found.children] == [
        ("Pip", "right", 2),
        ("Bo", "left", 3),
        ("Juniper", "either", 4),
    ]
    assert found.children[2].needs == ("low-vision", "not-cutting")
    assert found.children[2].language == "es"
    assert [set(child.stages.values()) for child in found.children] == [{2}, {1}, {0, 1}]
    assert found.warnings == ()


def test_the_workbook_and_the_text_hold_the_same_class() -> None:
    first, *others = (classlist.parse(make("Our group"), "c").children for make in WAYS.values())

    assert others == [first, first]


def test_starter_csv_has_a_mark_so_that_spreadsheets_read_it_as_utf_8() -> None:
    text = class_csv("Zoë's group", ";")

    assert text.startswith(b"\xef\xbb\xbfname;tag;hand;")
    assert text.count(";".join(classlist.COLUMNS).encode()) == 1


def test_cells_are_divided_as_spreadsheets_of_this_computer_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for point, separator in ((",", ";"), (".", ",")):
        monkeypatch.setattr("locale.localeconv", lambda point=point: {"decimal_point": point})
        assert starter_class.usual_separator() == separator
        assert class_csv("A").splitlines()[0].count(separator.encode()) == len(COLUMNS) - 1
    monkeypatch.setenv("LC_ALL", "xx_no_such")
    assert starter_class.usual_separator() == ","


def test_starters_explain_every_column_need_and_stage() -> None:
    book = openpyxl.load_workbook(io.BytesIO(class_workbook("Our group")))
    cells = {str(cell.value) for row in book["Help"].iter_rows() for cell in row if cell.value}
    text = class_csv("Our group", ",").decode("utf-8-sig")

    for word in (*classlist.NEEDS, *COLUMNS, "Class list: Our group"):
        assert word in cells
        assert word in text
    for skill in SKILLS:
        for stage in STAGES:
            assert limits(skill, stage)["act"].words in cells
            assert limits(skill, stage)["act"].words in text
    assert set(starter_class._texts()["needs"]) == set(classlist.NEEDS)
    assert set(starter_class._texts()["columns"]) == {*COLUMNS, "skill"} - set(SKILLS)


def test_the_workbook_offers_what_may_be_chosen() -> None:
    """Rules of ECMA-376 part 1, 18.3.1.32 dataValidation (clause number from memory)."""
    sheet = openpyxl.load_workbook(io.BytesIO(class_workbook("Our group")))["Class"]

    assert sheet.freeze_panes == "B2"
    assert all(cell.font.bold for cell in sheet[1])
    rules = {rule.promptTitle: rule for rule in sheet.data_validations.dataValidation}
    assert set(rules) == set(COLUMNS)
    for number, column in enumerate(COLUMNS, 1):
        rule = rules[column]
        letter = openpyxl.utils.get_column_letter(number)
        assert str(rule.sqref) == f"{letter}2:{letter}501"
        assert len(rule.prompt) <= 255  # the most a spreadsheet shows
        assert rule.prompt
        offered = (rule.formula1 or "").strip('"').split(",")
        if column in SKILLS:
            assert offered == ["0", "1", "2", "3", "4", "5", "6"]
            assert rule.showErrorMessage
        elif column == "hand":
            assert (offered, rule.showErrorMessage) == (["L", "R", "?"], True)
        elif column == "needs":
            assert (tuple(offered), rule.showErrorMessage) == (classlist.NEEDS, False)
        else:
            assert rule.type is None
    assert sheet["A2"].number_format == sheet.column_dimensions["A"].number_format == "@"


def test_another_reader_finds_the_same_cells_in_the_workbook() -> None:
    """calamine, which is independent of the library that wrote it."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(class_workbook("Our group")))

    assert book.sheet_names == ["Class", "Help"]
    head, *rows = book.get_sheet_by_name("Class").to_python()
    assert tuple(head) == COLUMNS
    assert [row[0] for row in rows] == ["Pip", "Bo", "Juniper"]
    assert [row[3] for row in rows] == [2, 1, 0]


def test_the_same_title_gives_the_same_workbook(monkeypatch: pytest.MonkeyPatch) -> None:
    first = class_workbook("Our group")
    monkeypatch.setattr("time.time", lambda: 2e9)

    assert class_workbook("Our group") == first


@pytest.mark.parametrize(
    ("what", "ending", "told"),
    [
        ("class", ".ods", "a class list is not written to a file with '.ods'; end the name in "
         ".xlsx or .csv"),
        ("class", "", "a class list is not written to a file with no ending; end the name in "
         ".xlsx or .csv"),
        ("theme", ".txt", "a theme is not written to a file with '.txt'; end the name in .toml"),
    ],
)  # fmt: skip
def test_another_ending_is_refused(what: str, ending: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        starter(what, "A", ending)

    assert str(caught.value) == f"`out`: {told}"


def test_the_ending_decides() -> None:
    assert starter("class", "A", ".XLSX").startswith(b"PK")
    assert starter("class", "A", ".csv").startswith(b"\xef\xbb\xbfname")
    assert starter("theme", "A", ".toml").startswith(b"# A theme")


@parser_test(50)
@given(TITLES.filter(str.strip))
def test_any_title_gives_files_that_load(title: str) -> None:
    found = theme.parse(starter_theme(title).encode(), "t.toml", Path())
    children = classlist.parse(class_csv(title), "c.csv").children

    assert "".join(found.title.split())
    assert len(children) == 3


@pytest.mark.parametrize("title", ["", "  ", "x" * 61, "a\x07b", "a\u202eb", "\ud800"])
@pytest.mark.parametrize("make", [starter_theme, class_csv, class_workbook])
def test_title_that_is_no_title_is_refused(title: str, make: Callable[[str], object]) -> None:
    with pytest.raises(InputError) as caught:
        make(title)

    assert str(caught.value) == "a title is one line of ordinary letters; give 1 to 60 of them"
