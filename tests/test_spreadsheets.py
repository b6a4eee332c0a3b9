"""Spreadsheets as class lists: read as others read them, and refused before they take long."""

from __future__ import annotations

import datetime
import io
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from shapes.errors import TableworkError
from sheets.files.class_list import ClassListError, load, parse
from sheets.files.spreadsheet import MAX_CELLS, MAX_ELEMENTS, MAX_SHEET_ELEMENTS, spreadsheet_rows
from tests.parser_runs import parser_test

CLASSES = Path(__file__).parent / "data" / "classes"


def workbook(rows: Sequence[Any]) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(list(row))
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


def changed(file: bytes, /, **members: bytes | str) -> bytes:
    """A ZIP with other content for some of its files; their names with _ for other signs."""
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(file)) as old,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            stem = re.sub(r"\W", "_", Path(name).name)
            new.writestr(name, members.pop(stem, old.read(name)))
        assert not members
    return packed.getvalue()


SHEET = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
STYLES = '<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
SMALL = workbook([["name", "cutting"], ["Pip", 2]])
ODS = (CLASSES / "saved.ods").read_bytes()
ODS_HEAD = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
    "<office:body><office:spreadsheet><table:table>"
)
ODS_TAIL = "</table:table></office:spreadsheet></office:body></office:document-content>"


def ods(rows: str) -> bytes:
    return changed(ODS, content_xml=ODS_HEAD + rows + ODS_TAIL)


def cell(text: str, more: str = "") -> str:
    return f"<table:table-cell {more}><text:p>{text}</text:p></table:table-cell>"


def many(count: int) -> str:
    return f'table:number-columns-repeated="{count}"'


def problem(content: bytes) -> str:
    with pytest.raises(ClassListError) as caught:
        parse(content, "class")
    (told,) = caught.value.problems
    return told


# --- read as others read them ---------------------------------------------------------------------


@pytest.mark.parametrize("name", ["saved.ods", "saved.xlsx"])
def test_files_of_a_spreadsheet_program(name: str) -> None:
    """Written by LibreOffice 7.4 from one table with a title, an empty row and a column too many;
    the cells as an independent reader (calamine) finds them."""
    content = (CLASSES / name).read_bytes()
    other = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_index(0)
    table = other.to_python(skip_empty_area=False)

    found = spreadsheet_rows(content, name)

    filled = [(n, [_text(value) for value in row]) for n, row in enumerate(table, 1) if any(row)]
    assert [row.line for row in found] == [n for n, _cells in filled]
    for row, (_n, cells) in zip(found, filled, strict=True):
        assert [c.removesuffix(" 00:00:00") for c in row.cells if c] == [c for c in cells if c]
    listed = load(CLASSES / name)
    assert [(c.name, c.hand, c.stages["cutting"], c.row) for c in listed.children] == [
        ("Zuzë", "left", 2, 4),
        ("Bo", "right", 3, 5),
        ("Ann  Lee", "either", 4, 7),
    ]
    assert listed.warnings == (
        f"{name}: 1 line above the names of the columns (line 3) not read",
        f'{name}: columns not read: "Geburtstag"',
    )


def _text(value: object) -> str:
    if isinstance(value, float):
        return str(int(value))
    if isinstance(value, datetime.date):
        return str(value)
    return str(value)


@pytest.mark.parametrize("name", ["saved.ods", "saved.xlsx"])
def test_dates_are_read_as_dates(name: str) -> None:
    found = spreadsheet_rows((CLASSES / name).read_bytes(), name)

    assert found[2].cells[4].startswith("2021-03-01")


def test_cells_and_rows_of_an_ods_that_stand_for_many() -> None:
    rows = (
        f'<table:table-row table:number-rows-repeated="3">{cell("")}</table:table-row>'
        f"<table:table-row>{cell('name')}{cell('cutting')}{cell('letters')}</table:table-row>"
        f'<table:table-row table:number-rows-repeated="2">{cell("Pip")}'
        f"{cell('2', many(2))}"
        '<table:table-cell table:number-columns-repeated="16381"/></table:table-row>'
        '<table:table-row table:number-rows-repeated="1048570"><table:table-cell '
        'table:number-columns-repeated="16384"/></table:table-row>'
    )

    found = parse(ods(rows), "class.ods").children

    assert [(child.name, child.row) for child in found] == [("Pip", 5), ("Pip", 6)]
    assert found[0].stages == {"cutting": 2, "letters": 2}


def test_blanks_spans_and_notes_of_an_ods() -> None:
    """OpenDocument 1.3 part 3: 6.1.3 text:s, 14.1 annotations (clause numbers from memory)."""
    note = "<office:annotation><text:p>allergic</text:p></office:annotation>"
    name = f"<table:table-cell>{note}<text:p>A<text:span>n<text:span>n</text:span>a</text:span>"
    rows = (
        f"<table:table-row>{cell('name')}</table:table-row>"
        f"<table:table-row>{name}<text:s/>Lee</text:p></table:table-cell></table:table-row>"
    )

    assert parse(ods(rows), "class.ods").children[0].name == "Anna Lee"


def test_columns_of_the_teachers_own_are_passed_over_and_told() -> None:
    rows = [
        ["name", "cutting", None, "Birthday"],
        ["Pip", 2, None, datetime.date(2022, 5, 1)],
        ["Bo", 1, "peanuts", None],
        [None, None, None, "see folder"],
    ]

    listed = parse(workbook(rows), "class.xlsx")

    assert [child.name for child in listed.children] == ["Pip", "Bo"]
    assert listed.warnings == (
        'class.xlsx: columns not read: "Birthday"',
        "class.xlsx: cells that stand in no column of ours are not read, in line 3, 4",
    )


def test_what_stands_far_out_is_told_or_refused() -> None:
    far = [["name", "cutting"], ["Pip", 2, *[None] * 150, "x"]]
    assert parse(workbook(far), "c").warnings == (
        "c: cells that stand in no column of ours are not read, in line 2",
    )
    wide = [["name", "cutting"], ["Pip", 2, *[None] * 250, "x"]]
    assert problem(workbook(wide)) == "class line 2: 253 columns; leave 200 at most"
    long = [["name"], *[["Pip"]] * 6_000]
    assert problem(workbook(long)) == "class: 6000 children; split it, 500 at most"


def test_a_date_or_an_error_is_no_name() -> None:
    rows = [["name"], [datetime.date(2026, 5, 3)], [datetime.datetime(2026, 5, 3, 4, 5)], ["#N/A"]]

    with pytest.raises(ClassListError) as caught:
        parse(workbook(rows), "c.xlsx")

    assert caught.value.problems == (
        'c.xlsx line 2, column 1 "name": "2026-05-03 00:00:00" is a date, which the spreadsheet '
        "makes of some texts; format the cell as text and type the name again",
        'c.xlsx line 3, column 1 "name": "2026-05-03 04:05:00" is a date, which the spreadsheet '
        "makes of some texts; format the cell as text and type the name again",
        'c.xlsx line 4, column 1 "name": "#N/A" is an error of the spreadsheet; type the name',
    )


# --- not for us -----------------------------------------------------------------------------------


def test_locked_files_are_told_as_such() -> None:
    locked = "locked with a password; save a copy without one and give that"
    container = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 500

    assert problem(container + "EncryptedPackage".encode("utf-16-le")) == f"class: {locked}"
    entry = '<manifest:file-entry><manifest:encryption-data manifest:checksum="x"/>'
    assert problem(changed(ODS, manifest_xml=entry)) == f"class: {locked}"


def packed(**members: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (packed(Index__Document_iwa=b"x"), "a Numbers file; export it as .xlsx"),
        (
            packed(word__document_xml=b"<a/>"),
            "a text document; copy its table into a spreadsheet and save it as .xlsx",
        ),
        (
            packed(readme_txt=b"x"),
            "not a readable spreadsheet; open it in the spreadsheet program and save it anew as "
            ".xlsx",
        ),
    ],
)
def test_other_files_in_a_zip(content: bytes, message: str) -> None:
    assert problem(content) == f"class: {message}"


def test_a_password_on_the_zip_itself_is_told() -> None:
    content = bytearray(SMALL)
    at = content.index(b"PK\x01\x02")
    content[at + 8] |= 1

    assert problem(bytes(content)).startswith("class: locked with a password")


# --- bombs ----------------------------------------------------------------------------------------

SPREAD = "class: holds cells spread over far more columns than a class list; copy the rows of the "
ATTRIBUTES = (f"a{n}=''" for n in range(700_000))
TOO_MANY = "class: holds far more cells or styles than a class list; copy the rows of the class "
BOMBS: dict[str, tuple[Callable[[], bytes], str]] = {
    "millions of styles": (
        lambda: changed(SMALL, styles_xml=STYLES + "<font/>" * 2_800_000),
        TOO_MANY,
    ),
    "millions of cells": (
        lambda: changed(SMALL, sheet1_xml=f"{SHEET}<row>{'<c/>' * 4_900_000}"),
        SPREAD,
    ),
    "more than fits": (
        lambda: changed(SMALL, sheet1_xml=f"{SHEET}<row>{'<c/>' * 11_000_000}</row>"),
        "class: unpacks to far more than a class list; copy the rows of the class into a new "
        "workbook without pictures",
    ),
    "nested": (
        lambda: changed(SMALL, sheet1_xml=SHEET + "<a>" * 1_000_000 + "</a>" * 1_000_000),
        "class: holds parts nested too deeply; copy the rows of the class into a new workbook",
    ),
    "one element of 10 MB": (
        lambda: changed(SMALL, styles_xml="<styleSheet a='" + "x" * 10_000_000 + "'/>"),
        "class: holds an entry of enormous length; copy the rows",
    ),
    "700,000 attributes": (
        lambda: changed(SMALL, styles_xml="<s " + " ".join(ATTRIBUTES) + "/>"),
        "class: holds an entry of enormous length; copy the rows",
    ),
    "cells far to the right": (
        lambda: changed(
            SMALL,
            sheet1_xml=SHEET
            + "".join(f'<row r="{n}"><c r="XFD{n}"><v>1</v></c></row>' for n in range(1, 80_000)),
        ),
        "class: holds cells spread over far more columns than a class list; copy the rows",
    ),
    "a row beyond the last": (
        lambda: changed(SMALL, sheet1_xml=f'{SHEET}<row r="{10**15}"><c><v>1</v></c></row>'),
        "class: not a readable spreadsheet",
    ),
    "entities": (
        lambda: changed(SMALL, sheet1_xml='<!DOCTYPE a [<!ENTITY b "c">]>' + SHEET),
        "class: not a readable spreadsheet",
    ),
    "XML under another name": (
        lambda: packed(xl__a_png=b" \n" * 50_000 + b"<a>" * 100_000, xl__workbook_xml=b"<a/>"),
        "class: holds parts nested too deeply",
    ),
    "many files": (
        lambda: packed(**{f"a{n}_xml": b"<a/>" for n in range(1_001)}),
        "class: unpacks to far more than a class list",
    ),
    "rows of an ODS that stand for many": (
        lambda: ods(f'<table:table-row table:number-rows-repeated="1000000">{cell("x")}'
                    "</table:table-row>"),
        "class: holds far more cells than a class list; copy the rows",
    ),
    "cells of an ODS that stand for many": (
        lambda: ods("".join(f'<table:table-row>{cell("x", many(16384))}'
                            "</table:table-row>" for _ in range(1_000))),
        "class: holds far more cells than a class list; copy the rows",
    ),
    "an ODS row beyond all measure": (
        lambda: ods(f'<table:table-row>{cell("x", many(99999999))}'
                    "</table:table-row>"),
        "class: not a readable spreadsheet",
    ),
    "CSV of 900,000 columns": (
        lambda: b"name," + b"x," * 900_000 + b"\nBo\n",
        "class line 1: 900002 columns; leave 200 at most",
    ),
    "CSV of 900,000 cells without a column": (
        lambda: b"name\n" + b"Bo,x,x\n" * 280_000,
        "class: more than 20000 lines; give a class list, not a database",
    ),
    "CSV of commas": (lambda: b"name" + b"," * 1_900_000, "class line 1: 1900001 columns"),
    "CSV of lines": (lambda: b"a\n" * 999_000, "class: more than 20000 lines; give"),
    "CSV of one cell": (lambda: b'"' + b"x" * 1_900_000, "class line 1: a cell of more than"),
    "CSV of quotes": (lambda: b'"' * 1_999_999, "class line 1: a cell of more than"),
    "CSV of blanks": (lambda: b"name\n" + b" " * 1_900_000, "class line 2: a cell of more than"),
}  # fmt: skip
"""What strangers might send, at most 2 MB each, and what is told of it."""

AT_MOST_S, AT_MOST_MB = 5.0, 300

READ = """
import re, sys, time
from pathlib import Path
from sheets.files.class_list import ClassListError, parse
content = Path(sys.argv[1]).read_bytes()
begin = time.process_time()
try:
    told = f"{len(parse(content, 'class').children)} children"
except ClassListError as error:
    told = error.problems[0]
peak = float(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024
print(time.process_time() - begin, peak, told)
"""


def read_apart(content: bytes, folder: Path) -> tuple[float, float, str]:
    """Seconds of processor, peak MB and what is told, in a process of its own."""
    file = folder / "class"
    file.write_bytes(content)
    ran = subprocess.run(
        [sys.executable, "-c", READ, str(file)], capture_output=True, text=True, check=True
    )
    seconds, peak, told = ran.stdout.strip().split(" ", 2)
    return float(seconds), float(peak), told


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_soon_and_in_little_memory(name: str, tmp_path: Path) -> None:
    make, message = BOMBS[name]
    content = make()
    assert len(content) < 2_000_000

    seconds, peak, told = read_apart(content, tmp_path)

    assert told.startswith(message)
    assert seconds < AT_MOST_S
    assert peak < AT_MOST_MB


JUST_ALLOWED: dict[str, Callable[[], bytes]] = {
    "a size of its own": lambda: changed(
        SMALL,
        sheet1_xml=SHEET.replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>')
        + '<row r="1"><c t="inlineStr"><is><t>name</t></is></c></row>'
        '<row r="1048576"><c t="inlineStr"><is><t>Pip</t></is></c></row></sheetData></worksheet>',
    ),
    "styles": lambda: changed(
        SMALL, styles_xml=f"{STYLES}<fonts>{'<font/>' * (MAX_ELEMENTS - 2)}</fonts></styleSheet>"
    ),
    "cells": lambda: changed(
        SMALL,
        sheet1_xml=SHEET
        + f'<row>{"<c><v>1</v></c>" * 150}</row>' * (MAX_SHEET_ELEMENTS // 301 - 1)
        + "</sheetData></worksheet>",
    ),
    "shared texts": lambda: changed(
        (CLASSES / "saved.xlsx").read_bytes(),
        sharedStrings_xml='<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        + f"<si><t>{'ä' * 20}</t></si>" * (MAX_SHEET_ELEMENTS // 2 - 1)
        + "</sst>",
    ),
    "last row": lambda: changed(
        SMALL,
        sheet1_xml=SHEET + '<row r="1"><c t="inlineStr"><is><t>name</t></is></c></row>'
        '<row r="1048576"><c t="inlineStr"><is><t>Pip</t></is></c></row></sheetData></worksheet>',
    ),
    "ODS": lambda: ods(
        f"<table:table-row>{cell('name')}</table:table-row>"
        + f"<table:table-row>{cell('Pip') * 30}</table:table-row>" * (MAX_CELLS // 30)
    ),
}  # fmt: skip
"""The dearest files that are not refused for their size."""


@pytest.mark.parametrize("name", JUST_ALLOWED)
def test_what_is_just_allowed_is_read_soon_and_in_little_memory(name: str, tmp_path: Path) -> None:
    seconds, peak, told = read_apart(JUST_ALLOWED[name](), tmp_path)

    assert "class list; copy the rows" not in told
    assert seconds < AT_MOST_S
    assert peak < AT_MOST_MB


# --- anything at all ------------------------------------------------------------------------------


@parser_test(60)
@given(st.binary(min_size=1, max_size=40), st.integers(0, 20_000), st.sampled_from([ODS, SMALL]))
def test_a_damaged_spreadsheet_gives_a_list_or_a_clear_error(
    patch: bytes, at: int, good: bytes
) -> None:
    at %= len(good)
    try:
        assert parse(good[:at] + patch + good[at + len(patch) :], "class").children
    except TableworkError as error:
        assert "\n" not in str(error)  # noqa: PT017


PIECE = st.sampled_from(
    [cell("name"), cell("Pip"), cell("", 'office:value-type="float"'), "<text:p>x</text:p>",
     cell("2", 'office:value-type="float" office:value="2"'), "<table:table-row>",
     cell("", 'office:value-type="float" office:value="NaN"'), "</table:table-row>", "<text:s/>",
     cell("x", many(-1)), cell("x", 'table:number-columns-repeated="a"'),
     cell("", 'office:value-type="date" office:date-value="2020-01-01"')]
)  # fmt: skip


@parser_test(60)
@given(st.lists(PIECE, max_size=12))
def test_any_ods_gives_a_list_or_a_clear_error(pieces: list[str]) -> None:
    try:
        assert parse(ods("".join(pieces)), "class").children
    except TableworkError as error:
        assert "\n" not in str(error)  # noqa: PT017
