"""Class lists at the edge of what is read: the last that is taken, the first that is refused."""

from __future__ import annotations

import dataclasses
import io
from typing import Any

import openpyxl
import pytest

from sheets.files.class_list import ClassList, ClassListError, parse
from sheets.files.class_rows import csv_records, delimiter_of, read_table
from sheets.files.columns import find_header
from sheets.files.rows import clean


def read(text: str) -> ClassList:
    return parse(text.encode(), "class.csv")


def problems(text: str) -> tuple[str, ...]:
    with pytest.raises(ClassListError) as caught:
        read(text)
    return caught.value.problems


# --- how much -------------------------------------------------------------------------------------


def test_two_megabytes_are_read_and_a_byte_more_is_not() -> None:
    text = "name\nBo\n#".ljust(2_000_000, "x")

    assert [child.name for child in read(text).children] == ["Bo"]
    assert problems(text + "x") == (
        "class.csv: larger than 2 MB; give a class list, not a database",
    )


def test_twenty_thousand_lines_are_read_and_one_more_is_not() -> None:
    """Lines without a sign in them are not counted."""
    text = "\n,\nname,own\nBo,\n\n" + ",x\n" * 19_998

    assert len(read_table(text.encode(), "class.csv").rows) == 20_000
    assert problems(text + ",x\n") == (
        "class.csv: more than 20000 lines; give a class list, not a database",
    )


def test_two_hundred_columns_are_read_and_one_more_is_not() -> None:
    """Also where the row that has most is not the one of names."""
    names = ",".join(["name", *["own"] * 199])

    assert [child.name for child in read(f"{names}\nBo\n").children] == ["Bo"]
    assert problems(f"name\n{names},own\nBo\n") == (
        "class.csv line 2: 201 columns; leave 200 at most",
    )


@pytest.mark.parametrize("tag", ["B", "Bobobo"])
def test_a_tag_of_one_to_six_letters_is_taken(tag: str) -> None:
    assert read(f"name,tag\nWren,{tag}\n").children[0].tag == tag


def test_a_tag_of_seven_letters_is_not() -> None:
    assert problems("name,tag\nWren,Bobobob\n") == (
        'class.csv line 2, column 2 "tag": "Bobobob" is not a tag; give one to six letters, or '
        "none",
    )


def test_two_thousand_signs_of_a_cell_are_read() -> None:
    assert clean(" " + "x" * 1999 + "y") == "x" * 1999
    assert clean("\t" + "e\u0301" * 2 + "\u00a0") == "éé"


# --- rows -----------------------------------------------------------------------------------------


def test_a_row_may_end_early() -> None:
    """As programs save it that leave out the empty cells at the end."""
    found = read("name,hand,cutting\nBo\nJu,L\nPip,L,2\n").children

    assert [(child.hand, child.stages) for child in found] == [
        ("either", {}), ("left", {}), ("left", {"cutting": 2}),
    ]  # fmt: skip


def test_a_record_tells_its_lines() -> None:
    """As an editor numbers them, for what is written back into the file."""
    text = 'name,own\nBo,"a\nb"\n# a note\nJu,"a\n\nb"\nPip,"a\n\n\nb"\nWren,\n'

    assert [(found.line, found.lines, found.cells[:1]) for found in csv_records(text, "c")] == [
        (1, 1, ("name",)), (2, 2, ("Bo",)), (4, 1, ()), (5, 3, ("Ju",)), (8, 4, ("Pip",)),
        (12, 1, ("Wren",)),
    ]  # fmt: skip


def test_a_cell_too_many_and_the_other_faults_of_its_row_are_told_at_once() -> None:
    assert problems("name,cutting\nBo,9,x\n,,y\n") == (
        'class.csv line 2, column 3: "x" stands in a column without a name; name the column, or '
        "put quotes round a cell that holds the separator",
        'class.csv line 3, column 3: "y" stands in a column without a name; name the column, or '
        "put quotes round a cell that holds the separator",
        'class.csv line 2, column 2 "cutting": "9" is not a stage; write 0 to 6, or nothing',
        'class.csv line 3, column 1 "name": no name; write one or empty the whole line',
    )


def test_a_row_of_own_columns_only_is_no_child() -> None:
    listed = read("name,own,cutting\nBo,good,2\n,of spring,\nJu,,1\n,of summer,\n")

    assert [child.name for child in listed.children] == ["Bo", "Ju"]
    assert listed.warnings == (
        'class.csv: columns not read: "own"',
        "class.csv: cells that stand in no column of ours are not read, in line 3, 5",
    )


def test_the_teachers_own_cell_beside_a_child_in_a_spreadsheet() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["name", "cutting"], ["Bo", 2], ["Ju", 1, None, "new here"], [None, None, "sum"]):
        sheet.append(row)
    saved = io.BytesIO()
    book.save(saved)

    listed = parse(saved.getvalue(), "class.xlsx")

    assert [child.name for child in listed.children] == ["Bo", "Ju"]
    assert listed.warnings == (
        "class.xlsx: cells that stand in no column of ours are not read, in line 3, 4",
    )
    assert listed.width == 4


@pytest.mark.parametrize(
    ("text", "width"),
    [("name,hand,own,\nBo,L,,\n", 3), ("name,cutting,hand,,\nBo,,,,\n", 3), ("name\nBo\n", 1)],
)
def test_the_width_is_that_of_the_cells_that_are_filled(text: str, width: int) -> None:
    assert read(text).width == width


def test_empty_needs_between_others_are_passed_over() -> None:
    (child,) = read("name,needs\nBo,;not-cutting; ;low-vision;|colour-vision\n").children

    assert child.needs == ("colour-vision", "low-vision", "not-cutting")


@pytest.mark.parametrize("top", ["sep=;", "SEP=;", '"sep=;"', "sep=,"])
def test_a_line_that_names_the_separator_is_no_news(top: str) -> None:
    listed = read(f"{top}\nname;cutting\nBo;2\n")

    assert [(child.name, child.row) for child in listed.children] == [("Bo", 3)]
    assert listed.warnings == ()


def test_such_a_cell_beside_others_is_a_cell_and_its_child_is_not_lost() -> None:
    found = read("own,name\nSep=3,Bo\nx,sep=Ju\n").children

    assert [child.name for child in found] == ["Bo", "sep=Ju"]


# --- remarks --------------------------------------------------------------------------------------


@pytest.mark.parametrize("tag", ["A", "Boo", "C"])
def test_only_the_name_itself_as_a_tag_is_told(tag: str) -> None:
    assert read(f"name,tag\nBo,{tag}\n").warnings == ()


@pytest.mark.parametrize(("stage", "told"), [("", 0), ("0", 0), ("1", 1), ("6", 1)])
def test_not_cutting_is_told_beside_a_stage_of_cutting(stage: str, told: int) -> None:
    listed = read(f"name,cutting,needs\nMoss,{stage},not-cutting\n")

    assert listed.children[0].stages == {"cutting": 0}
    assert listed.warnings == told * (
        f"class.csv line 2 Moss: cutting is {stage} but needs says not-cutting; the page for "
        "stage 0 is made",
    )


def test_children_of_one_name_are_shown_with_their_tags() -> None:
    found = read("name,tag\nBo,B1\nJu,J\nbo,B2\n").children

    assert [child.shown for child in found] == ["Bo (B1)", "Ju", "bo (B2)"]


# --- what comes out -------------------------------------------------------------------------------


def test_a_list_can_be_kept_as_a_key_and_is_never_changed() -> None:
    text = "name,cutting\nBo,2\n"

    assert len({read(text), read(text), read(text + "Ju,1\n")}) == 2
    listed: Any = read(text)
    table: Any = read_table(text.encode(), "class.csv")
    parts = (listed, listed.children[0], table, table.rows[0], find_header([("name",)]))
    for part in (*parts, *csv_records(text, "class.csv")):
        for name in (dataclasses.fields(part)[0].name, "other"):
            with pytest.raises((AttributeError, TypeError)):
                setattr(part, name, None)


# --- which separator ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "separator"),
    [
        ("", ","),
        ("---\n", ","),
        ("name\nBo;Ju\n", ";"),
        ("name\nBo\tJu;\tx\n", "\t"),
        ("name;hand\nBo,the,otter,of,the,pond;L\n", ";"),
        ("Class 2;a;b;c;d\nname,hand\nBo,L\n", ","),
        ("name;cutting;hand;Hand\nname,cutting,x\n", ";"),
        # Of two that find as many names, the one that makes most cells.
        ("name;own,own,name\n", ","),
        ("name,own;own;name\n", ";"),
        ('"name"\t"hand"\n"a;b;c";x\n', "\t"),
        ("x\n" * 9 + "name;hand\nBo,of,the,pond\n", ";"),
        ("x\n" * 10 + "name;hand\n", ","),
        # Notes and the line that names the separator are no rows.
        ('# a,b,c\n"# a,b,c"\nsep=;\nname;own\nBo;x\n', ";"),
    ],
)
def test_the_separator_is_the_one_that_finds_most_names(text: str, separator: str) -> None:
    assert delimiter_of(text) == separator


def test_the_line_of_names_is_the_one_with_most_of_them() -> None:
    """Cells of the teacher's own do not count, and of two with as many the first is taken."""
    rows = [("hand", "cutting", "tag"), ("name", "own"), ("name", "hand"), ("name", "cutting")]

    assert find_header(rows).row == 2
    assert find_header([("name", "", "own"), ("name", "hand")]).row == 1
    assert find_header([("x",)] * 9 + [("name",)]).row == 9
    assert find_header([("x",)] * 10 + [("name",)]).row == 0


def test_of_two_names_of_a_column_the_better_one_is_read_wherever_it_stands() -> None:
    found = find_header([("nom", "first name", "vorname", "First name")])

    assert found.places == {"name": 1}
    assert found.twice == ((3, "name"),)
    assert found.ignored == (
        '"nom" ("first name" is read for name), "vorname" ("first name" is read for name)'
    )
