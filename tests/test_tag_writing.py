"""Tags written into a class list: there for good, and everything else as it was."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.worksheet.datavalidation import DataValidation
from python_calamine import CalamineWorkbook

from sheets.cli.main import main
from sheets.files.class_list import ClassListError, parse
from sheets.files.starter_class import class_csv, class_workbook
from sheets.files.tag_writing import with_tags
from sheets.files.tags import choices
from sheets.kinds import SKILLS
from tests.parser_runs import parser_test

CLASSES = Path(__file__).parent / "data" / "classes"


@pytest.fixture(autouse=True)
def _in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def stays(content: bytes) -> bytes:
    """The file with its tags, after a look that nothing of the class has changed by it."""
    before = parse(content, "class")
    written = with_tags(content, "class")
    after = parse(written, "class")
    assert after.children == before.children
    assert with_tags(written, "class") == written
    assert "tag" in after.columns
    return written


# --- CSV ------------------------------------------------------------------------------------------


def test_only_the_cells_of_tags_change() -> None:
    text = '# my class "x\nname;tag;hand;note\r\n"Bo";;L;"a ""b"";c"\n\n;;;\nPip;own;R;\r\n# end'

    assert stays(text.encode()).decode() == (
        '# my class "x\nname;tag;hand;note\r\nBo;B53;L;"a ""b"";c"\n\n;;;\nPip;own;R;\r\n# end'
    )


def test_a_column_is_added_at_the_end() -> None:
    text = "Class 2,,\nname,cutting,\nBo,2\nMia,1,\n"

    assert stays(text.encode()).decode() == ("Class 2,,\nname,cutting,tag\nBo,2,B53\nMia,1,M29\n")


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [("utf-8", b""), ("utf-8", b"\xef\xbb\xbf"), ("cp1252", b""), ("utf-16-le", b"\xff\xfe"),
     ("utf-16-be", b"\xfe\xff"), ("utf-16-le", b"")],
)  # fmt: skip
@pytest.mark.parametrize("separator", ",;\t")
def test_encoding_mark_and_separator_are_kept(encoding: str, mark: bytes, separator: str) -> None:
    text = separator.join(["Kürzel", "Vorname"]) + "\r\n" + separator + "Zuzë\r\n"

    written = stays(mark + text.encode(encoding))

    assert written == mark + text.replace(f"\n{separator}", f"\nZ31{separator}").encode(encoding)


def test_a_tag_that_the_encoding_lacks_is_told() -> None:
    """The capital of the micro sign is a Greek letter, which Windows-1252 has not."""
    with pytest.raises(ClassListError) as caught:
        with_tags("name\nµm\nZoë\n".encode("cp1252"), "class.csv")

    assert str(caught.value) == (
        "class.csv: a tag cannot be written in the encoding of this file; save it as .xlsx or CSV "
        "UTF-8"
    )


def test_the_starter_in_csv() -> None:
    written = stays(class_csv("Our group", ";")).decode("utf-8-sig")

    assert written.splitlines()[1:3] == [
        f"Pip;P67;R{';2' * len(SKILLS)};;;",
        f"Bo;B53;L{';1' * len(SKILLS)};left-scissors;;",
    ]


CSV_NAME = st.text('ab,;"\n# é', max_size=4).map(str.strip)


@parser_test(100)
@given(
    st.lists(st.tuples(CSV_NAME, st.sampled_from(["", "Q", "Z9"])), max_size=4),
    st.sampled_from(",;\t"),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]),
    st.booleans(),
)  # fmt: skip
def test_any_csv_keeps_its_class(
    rows: list[tuple[str, str]], separator: str, end: str, quoting: Any, tagged: bool
) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=separator, lineterminator=end, quoting=quoting)
    head = ["name", "cutting", "tag"] if tagged else ["name", "cutting"]
    writer.writerow(head)
    writer.writerows((name, "2", tag)[: len(head)] for name, tag in rows)
    content = out.getvalue().encode()
    try:
        parse(content, "class")
    except ClassListError:
        return
    stays(content)


# --- workbooks ------------------------------------------------------------------------------------


def parts(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_workbook_is_kept_but_for_the_cells() -> None:
    before = class_workbook("Our group")

    written = stays(before)

    old, new = parts(before), parts(written)
    changed = [name for name in old if old[name] != new[name]]
    assert list(old) == list(new)
    assert changed == ["xl/worksheets/sheet1.xml"]
    cells = re.compile(rb'<c r="B[234]".*?(?:/>|</c>)')
    assert cells.sub(b"", old[changed[0]]) == cells.sub(b"", new[changed[0]])
    sheet = openpyxl.load_workbook(io.BytesIO(written))["Class"]
    assert [sheet[f"B{n}"].value for n in range(1, 5)] == ["tag", "P67", "B53", "J00"]
    assert sheet["B2"].number_format == "@"


def test_another_reader_finds_the_tags() -> None:
    written = stays(class_workbook("Our group"))

    rows = CalamineWorkbook.from_filelike(io.BytesIO(written)).get_sheet_by_index(0).to_python()
    assert [row[1] for row in rows] == ["tag", "P67", "B53", "J00"]


def test_a_workbook_of_another_program_gets_a_column() -> None:
    before = (CLASSES / "saved.xlsx").read_bytes()

    written = stays(before)

    rows = CalamineWorkbook.from_filelike(io.BytesIO(written)).get_sheet_by_index(0)
    assert [row[5] for row in rows.to_python(skip_empty_area=False)] == [
        "", "", "tag", "Z31", "B53", "", "A41",
    ]  # fmt: skip
    assert b'<dimension ref="A1:F7"/>' in parts(written)["xl/worksheets/sheet1.xml"]


def test_formulas_with_their_values_notes_and_rules_are_kept() -> None:
    """A workbook library would drop the values last saved of the formulas."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (["name", "cutting", None, "mine"], ["Bo", 2, "x", "=1+1"], ["Mia", 1, None, None]):
        sheet.append(row)
    rule = DataValidation(type="list", formula1='"0,1,2"')
    rule.add("B2:B9")
    sheet.add_data_validation(rule)
    saved = io.BytesIO()
    book.save(saved)
    content = saved.getvalue()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, part in parts(content).items():
            if name == "xl/worksheets/sheet1.xml":
                part = part.replace(b"<f>1+1</f><v></v>", b"<f>1+1</f><v>2</v>")
                part = part.replace(b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>")
                assert b"<v>2</v>" in part
            archive.writestr(name, part)

    written = stays(out.getvalue())

    part = parts(written)["xl/worksheets/sheet1.xml"]
    assert b"<f>1+1</f><v>2</v>" in part
    assert b"dataValidation" in part
    again = openpyxl.load_workbook(io.BytesIO(written), data_only=True).worksheets[0]
    assert [[cell.value for cell in row] for row in again.iter_rows()] == [
        ["name", "cutting", None, "mine", "tag"],
        ["Bo", 2, "x", 2, "B53"],
        ["Mia", 1, None, None, "M29"],
    ]


NAMES = ("name", "tag", "letters")


@pytest.mark.parametrize(
    "row",
    [
        '<x:row r="2"><x:c r="A2" t="inlineStr"><x:is><x:t>Bo</x:t></x:is></x:c><x:c r="C2"/>'
        "</x:row>",
        '<x:row><x:c t="inlineStr"><x:is><x:t>Bo</x:t></x:is></x:c></x:row>',
        '<x:row r="2"><x:c r="A2" t="inlineStr"><x:is><x:t>Bo</x:t></x:is></x:c>'
        '<x:c r="B2" s="0"><x:v></x:v></x:c><x:c r="C2"><x:v>2</x:v></x:c></x:row>',
    ],
)
def test_sheets_written_in_other_ways(row: str) -> None:
    head = "".join(f'<x:c t="inlineStr"><x:is><x:t>{name}</x:t></x:is></x:c>' for name in NAMES)
    sheet = (
        '<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f"<x:sheetData><x:row>{head}</x:row>{row}</x:sheetData></x:worksheet>"
    )
    book = openpyxl.Workbook()
    saved = io.BytesIO()
    book.save(saved)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, part in parts(saved.getvalue()).items():
            archive.writestr(name, sheet if name == "xl/worksheets/sheet1.xml" else part)

    written = stays(out.getvalue())

    assert b"<x:t>B53</x:t>" in parts(written)["xl/worksheets/sheet1.xml"]


def test_ods_is_told_to_be_saved_in_another_way() -> None:
    with pytest.raises(ClassListError) as caught:
        with_tags((CLASSES / "saved.ods").read_bytes(), "saved.ods")

    assert str(caught.value) == (
        "saved.ods: tags cannot be written into this kind of file; save it as .xlsx, or copy them "
        "by hand"
    )


def test_what_would_not_be_read_back_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sheets.files.tag_writing._csv_with", lambda *_: b"name\nMia\n")

    with pytest.raises(ClassListError) as caught:
        with_tags(b"name\nBo\n", "class.csv")

    assert str(caught.value) == (
        "class.csv: tags cannot be written into this file; copy them by hand"
    )


# --- the command ----------------------------------------------------------------------------------


def test_tags_are_shown_and_nothing_is_written(capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text("name,tag\nBo,\nMia,own\n")

    assert main(["tags", "class.csv"]) == 0

    assert capsys.readouterr().out == "B53    Bo\nown    Mia\n"
    assert Path("class.csv").read_text() == "name,tag\nBo,\nMia,own\n"


def test_tags_are_written_once(capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text("name,tag\nBo,\nMia,own\n")

    assert main(["tags", "class.csv", "--write"]) == 0
    assert main(["tags", "class.csv", "--write"]) == 0

    assert capsys.readouterr().out == (
        "wrote class.csv with the tags of 2 children\n"
        "class.csv: every child has a tag there already\n"
    )
    assert Path("class.csv").read_text() == "name,tag\nBo,B53\nMia,own\n"
    assert [path.name for path in Path().iterdir()] == ["class.csv"]


def test_one_child_and_a_link(capsys: pytest.CaptureFixture[str]) -> None:
    Path("real.csv").write_text("name\nBo\n")
    Path("class.csv").symlink_to("real.csv")

    assert main(["tags", "class.csv", "--write"]) == 0

    assert capsys.readouterr().out == "wrote class.csv with the tags of 1 child\n"
    assert Path("class.csv").is_symlink()
    assert Path("real.csv").read_text() == "name,tag\nBo,B53\n"


def test_problems_leave_the_file_alone(capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text("name,hand\nBo,X\n")

    assert main(["tags", "class.csv", "--write"]) == 2

    assert capsys.readouterr().err == (
        'tablework: class.csv line 2, column 2 "hand": "X" is not a hand; write L, R or ?\n'
    )
    assert Path("class.csv").read_text() == "name,hand\nBo,X\n"


def test_written_tags_stay_when_a_rival_comes() -> None:
    rival = next(name for n in range(5_000) if next(choices(name := f"Bame {n}")) == "B53")
    alone = parse(b"name\nBo\n", "c").children[0].tag
    written = with_tags(b"name\nBo\n", "c")

    assert parse(b"name\nBo\n" + rival.encode(), "c").children[0].tag != alone
    assert parse(written + rival.encode(), "c").children[0].tag == alone
