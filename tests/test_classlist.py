"""Class lists: every way teachers save them, every problem at once, tags that stay put."""

from __future__ import annotations

import csv
import dataclasses
import io
import unicodedata
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FileError, InputError, TableworkError
from sheets.files import class_list as classlist
from sheets.files.class_list import COLUMNS, NEEDS, SKILLS, Child, ClassList, ClassListError, parse
from tests.parser_runs import parser_test

CLASSES = Path(__file__).parent / "data" / "classes"

PLAIN = """\
name,tag,hand,cutting,matching,letters,sequence,pattern,needs,language
Zuzë,Zu,R,2,2,1,1,1,,es
D'Arley,,L,3,2,1,3,2,left-scissors;low-vision,
"""

EXPECTED = (
    Child(
        "Zuzë",
        "Zu",
        "right",
        {"cutting": 2, "matching": 2, "letters": 1, "sequence": 1, "pattern": 1},
        (),
        "es",
        2,
        "Zuzë",
    ),
    Child(
        "D'Arley",
        "D26",
        "left",
        {"cutting": 3, "matching": 2, "letters": 1, "sequence": 3, "pattern": 2},
        ("left-scissors", "low-vision"),
        "",
        3,
        "D'Arley",
    ),
)


def read(text: str) -> ClassList:
    return parse(text.encode(), "class.csv")


def problems(content: str | bytes) -> tuple[str, ...]:
    with pytest.raises(ClassListError) as caught:
        parse(content.encode() if isinstance(content, str) else content, "class.csv")
    return caught.value.problems


def workbook(rows: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    saved = io.BytesIO()
    book.save(saved)
    return saved.getvalue()


# --- what is accepted -----------------------------------------------------------------------------


def _swapped(delimiter: str) -> str:
    rows = list(csv.reader(io.StringIO(PLAIN)))
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(PLAIN.encode(), id="comma"),
        pytest.param(_swapped(";").encode(), id="semicolon"),
        pytest.param(_swapped("\t").encode(), id="tab"),
        pytest.param(PLAIN.encode("utf-8-sig"), id="byte order mark"),
        pytest.param(PLAIN.replace("\n", "\r\n").encode(), id="CRLF"),
        pytest.param(PLAIN.replace("\n", "\r").encode(), id="CR"),
        pytest.param(PLAIN.rstrip("\n").encode(), id="no line end"),
        pytest.param((PLAIN + "\n\n,,,,,,,,,\n  \n").encode(), id="blank lines at the end"),
        pytest.param(PLAIN.replace("Zuzë", " Zuzë\u00a0 ").encode(), id="blanks round a name"),
        pytest.param(PLAIN.replace("name,tag", "Name, TAG ").encode(), id="header in capitals"),
        pytest.param(PLAIN.replace("Zuzë", '"Zuzë"').encode(), id="quoted name"),
        pytest.param(unicodedata.normalize("NFD", PLAIN).encode(), id="letters taken apart"),
        pytest.param(PLAIN.replace(",es", ",ES").encode(), id="language in capitals"),
        pytest.param(PLAIN.replace(",R,", ",right,").encode(), id="hand in full"),
    ],
)
def test_ways_to_save_the_same_list(content: bytes) -> None:
    assert parse(content, "class.csv").children == EXPECTED


def test_separator_line_and_notes_of_the_teacher_are_passed_over() -> None:
    text = "sep=;\n# my class; 2 children\n" + _swapped(";") + "# end\n"

    found = read(text).children

    assert [child.name for child in found] == ["Zuzë", "D'Arley"]
    assert [child.row for child in found] == [4, 5]


@pytest.mark.parametrize("note", ['# 5,"', '#"a', '  # "Ducks", "Fr', '# x," y', '#,"", "'])
def test_a_lone_quote_mark_in_a_note_is_no_matter(note: str) -> None:
    for end in ("\n", "\r\n", "\r"):
        text = f"{note}\n{PLAIN}{note}\n".replace("\n", end)
        rows = tuple(dataclasses.replace(child, row=child.row + 1) for child in EXPECTED)

        assert read(text).children == rows


def test_a_line_of_a_quoted_cell_is_no_note() -> None:
    (told,) = problems('name,cutting\n"Zuzë\n# B",2\n')

    assert 'line 2, column 1 "name": "Zuzë?# B" holds a line break' in told


def test_columns_may_stand_in_any_order_and_be_left_out() -> None:
    (child,) = read("cutting,name\n4,Oswin\n").children

    assert (child.name, child.hand, child.stages) == ("Oswin", "either", {"cutting": 4})
    assert (child.needs, child.language, child.tag) == ((), "", "O34")


def test_quoted_name_keeps_its_comma_and_quotes() -> None:
    (child,) = read('name,cutting\n"Bo, ""the otter""",1\n').children

    assert child.name == 'Bo, "the otter"'


def test_names_are_exact() -> None:
    names = ["Ñico", "Łapka", "Zoë", "Rowan-Ty", "D'Arley", "Ян", "Å", "José María"]
    found = read("name\n" + "\n".join(names) + "\n").children

    assert [child.name for child in found] == names


def test_xlsx_reads_like_csv_with_numbers_as_numbers() -> None:
    rows = [list(row) for row in csv.reader(io.StringIO(PLAIN))]
    typed: list[list[object]] = [
        [int(cell) if cell.isdigit() else cell or None for cell in row] for row in rows
    ]
    typed += [[None] * 10, [None]]

    assert parse(workbook(typed), "class.xlsx").children == EXPECTED


def test_xlsx_stage_as_decimal_number_is_a_stage() -> None:
    (child,) = parse(workbook([["name", "cutting"], ["Pip", 2.0]]), "class.xlsx").children

    assert child.stages == {"cutting": 2}


def test_xlsx_problem_names_line_and_column() -> None:
    content = workbook([["name", "cutting"], ["Pip", 2], ["Bo", 2.5]])

    assert problems(content) == (
        'class.csv line 3, column 2 "cutting": "2.5" is not a stage; write 0 to 6, or nothing',
    )


@pytest.mark.parametrize("name", ["reedy-pond", "tide-side-harbour", "bean-row-garden"])
def test_demo_classes_load_without_warning(name: str) -> None:
    found = classlist.load(CLASSES / f"{name}.csv")

    assert len(found.children) == 12
    assert found.warnings == ()


def test_demo_class_in_detail() -> None:
    found = classlist.load(CLASSES / "tide-side-harbour.csv").children

    assert [child.tag for child in found] == [
        "Sk", "Sj", "Da", "Lu", "Ot", "Ni", "Wi", "La", "Co", "Ba", "As", "Qu",
    ]  # fmt: skip
    assert [child.hand for child in found].count("either") == 1
    assert found[5].needs == ("mouths-objects", "not-cutting")
    assert set(found[5].stages.values()) == {0}


def test_needs_may_be_written_with_blanks_and_in_american() -> None:
    (child,) = read('name,needs\nInky,"Low vision; color_vision, low-vision"\n').children

    assert child.needs == ("colour-vision", "low-vision")


# --- what the teacher is told ---------------------------------------------------------------------


def test_stage_not_set_gives_no_page_and_a_warning() -> None:
    found = read("name,cutting,matching,letters,sequence,pattern\nPip,2,,1,,1\nBo,1,1,1,1,\n")

    assert set(found.children[0].stages) == {"cutting", "letters", "pattern"}
    assert found.warnings == (
        "class.csv line 2 Pip: no stage for matching, sequence, so no page for them",
        "class.csv line 3 Bo: no stage for pattern, so no page for it",
    )


def test_a_skill_without_a_column_is_no_news_of_each_child() -> None:
    assert read("name,cutting\nPip,2\nBo,1\n").warnings == ()


def test_not_cutting_wins_over_a_cutting_stage() -> None:
    header = "name,cutting,matching,letters,sequence,pattern,needs\n"
    found = read(header + "Moss,3,1,1,1,1,not-cutting\nNib,,1,1,1,1,not-cutting\n")

    assert [child.stages["cutting"] for child in found.children] == [0, 0]
    assert found.warnings == (
        "class.csv line 2 Moss: cutting is 3 but needs says not-cutting; the page for stage 0 is "
        "made",
    )


# --- problems -------------------------------------------------------------------------------------


def test_all_problems_come_at_once_with_line_and_column() -> None:
    text = (
        "name,tag,hand,cutting,letters,needs,language\n"
        "Pip,P!,X,7,two,loop-scisors,english!\n"
        ",,,1,,,\n"
        "Bo,B,,-1,1.0,,\n"
        "Bob,b,,1,1,,\n"
        f"{'x' * 61},,,1,1,,\n"
        '"Two\nlines",,,1,1,,\n'
        "Late,,,9,1,,\n"
    )

    assert problems(text) == (
        'class.csv line 2, column 2 "tag": "P!" is not a tag; give one to six letters, or none',
        'class.csv line 2, column 3 "hand": "X" is not a hand; write L, R or ?',
        'class.csv line 2, column 6 "needs": unknown need "loop-scisors"; did you mean '
        "loop-scissors?",
        'class.csv line 2, column 7 "language": "english!" is not a language that is known; did '
        "you mean en (English)?",
        'class.csv line 2, column 4 "cutting": "7" is not a stage; write 0 to 6, or nothing',
        'class.csv line 2, column 5 "letters": "two" is not a stage; write 0 to 6, or nothing',
        'class.csv line 3, column 1 "name": no name; write one or empty the whole line',
        'class.csv line 4, column 4 "cutting": "-1" is not a stage; write 0 to 6, or nothing',
        'class.csv line 4, column 5 "letters": "1.0" is not a stage; write 0 to 6, or nothing',
        'class.csv line 6, column 1 "name": longer than 60 characters; shorten it',
        'class.csv line 7, column 1 "name": "Two?lines" holds a line break or control character; '
        "remove it",
        'class.csv line 9, column 4 "cutting": "9" is not a stage; write 0 to 6, or nothing',
        'class.csv line 5 "tag": "b" is also the tag in line 4; change one or leave it empty',
    )


def test_many_problems_in_one_line_name_their_number_and_the_first() -> None:
    with pytest.raises(InputError) as caught:
        read("name,cutting\nPip,7\nBo,8\n")

    assert str(caught.value) == (
        '2 problems, the first: class.csv line 2, column 2 "cutting": "7" is not a stage; write 0 '
        "to 6, or nothing"
    )


def test_single_problem_is_the_whole_text() -> None:
    with pytest.raises(ClassListError) as caught:
        read("name,cutting\nPip,7\n")

    assert (str(caught.value),) == caught.value.problems


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "class.csv: empty; the first line names the columns, such as name,hand"),
        ("\n , \n# note\n", "class.csv: empty; the first line names the columns, such as"),
        ("name,hand\n", "class.csv: no children in it; give each child a line below the header"),
        (
            "hand,cutting\nL,1\n",
            "class.csv line 1: no column called name; the first line names the columns: name, tag",
        ),
        ("name,hand,Hand\nPip,L,R\n", "class.csv line 1, column 3: column hand is there twice"),
        (
            "name,cutting\nBo, the otter,1\n",
            'class.csv line 2, column 3: "1" stands in a column without a name; name the column, '
            "or put quotes round",
        ),
        (
            'name,cutting\nPip,1\n"Bo,1\nJu,2\n',
            'class.csv line 3: a quote mark (") that is not closed or has text after it',
        ),
        ('name\n"Pip" x\n', 'class.csv line 2: a quote mark (") that is not closed or has text'),
        (
            "name,needs\nPip,glasses\n",
            'class.csv line 2, column 2 "needs": unknown need "glasses"; known: low-vision,',
        ),
        (
            "name,hand\nPip," + "x" * 50 + "\n",
            f'class.csv line 2, column 2 "hand": "{"x" * 40}..." is not a hand; write L, R or ?',
        ),
        (
            "name\n" + "Pip\n" * 501,
            "class.csv: 501 children; split it, 500 at most",
        ),
        (
            "name\nPi\u202ep\n",
            'class.csv line 2, column 1 "name": "Pi?p" holds a line break or control character',
        ),
    ],
)
def test_problem_texts(text: str, message: str) -> None:
    first = problems(text)[0]

    assert first.startswith(message)
    assert "\n" not in first


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"name\nPi\0p\n", "class.csv line 2: holds a zero byte, so it is no text; in the spread"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "class.csv: an old .xls file; save it as .xlsx",
        ),
        (
            b"PK\x03\x04 not really",
            "class.csv: not a readable spreadsheet; open it in the spreadsheet program and save it "
            "anew as .xlsx",
        ),
        (
            b"name\n" + b"x" * 2_000_000,
            "class.csv: larger than 2 MB; give a class list, not a database",
        ),
    ],
)
def test_files_that_are_no_list(content: bytes, message: str) -> None:
    (problem,) = problems(content)

    assert problem.startswith(message)


def test_missing_file_and_folder_are_said(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"none\.csv: class list cannot be read \(No such file"):
        classlist.load(tmp_path / "none.csv")
    with pytest.raises(FileError, match="class list cannot be read"):
        classlist.load(tmp_path)
    with pytest.raises(FileError, match=r"not a usable file name\); check the file name"):
        classlist.load("a\0b.csv")


# --- anything at all ------------------------------------------------------------------------------


def check(content: bytes) -> None:
    """Either a class list in which everything holds, or an error in single lines."""
    try:
        found = parse(content, "class.csv")
    except TableworkError as error:
        assert "\n" not in str(error)  # noqa: PT017
        return
    assert found.children
    given = [child.tag.casefold() for child in found.children]
    assert len(set(given)) == len(given)
    shown = [child.shown.casefold() for child in found.children]
    assert len(set(shown)) == len(shown)
    for child in found.children:
        assert child.name == unicodedata.normalize("NFC", child.name).strip() != ""
        assert set(child.stages) <= set(SKILLS)
        assert all(0 <= stage <= 6 for stage in child.stages.values())
        assert set(child.needs) <= set(NEEDS)


@parser_test()
@given(st.one_of(st.binary(), st.text().map(str.encode), st.binary().map(b"PK\x03\x04".__add__)))
def test_any_bytes_give_a_list_or_a_clear_error(content: bytes) -> None:
    check(content)


@parser_test(60)
@given(st.binary(min_size=1, max_size=40), st.integers(0, 5000))
def test_damaged_xlsx_gives_a_list_or_a_clear_error(patch: bytes, at: int) -> None:
    good = SOUND_XLSX
    at %= len(good)
    check(good[:at] + patch + good[at + len(patch) :])


SOUND_XLSX = workbook([["name", "cutting"], ["Pip", 2], ["Bo", 1]])

CELLS = {
    "name": st.one_of(st.sampled_from(["Pip", "Zoë", "Bo, B", 'A "B"', ""]), st.text(max_size=8)),
    "tag": st.sampled_from(["", "", "Pp", "x", "toolong"]),
    "hand": st.sampled_from(["L", "R", "?", "", "left", "z"]),
    "needs": st.sampled_from(["", "low-vision", "low-vision;not-cutting", "loop", ";"]),
    "language": st.sampled_from(["", "es", "pt-BR", "??"]),
}
STAGE = st.sampled_from(["", "0", "3", "6", "7", "x", " 2 "])


@parser_test()
@given(
    columns=st.permutations(COLUMNS).flatmap(
        lambda order: st.integers(1, len(order)).map(lambda count: order[:count])
    ),
    delimiter=st.sampled_from(",;\t"),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    data=st.data(),
)
def test_any_rows_give_a_list_or_a_clear_error(
    columns: list[str], delimiter: str, line_end: str, data: st.DataObject
) -> None:
    row = st.tuples(*(CELLS.get(column, STAGE) for column in columns))
    rows = data.draw(st.lists(row, max_size=5))
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=line_end)
    writer.writerows([columns, *rows])

    check(out.getvalue().encode("utf-8", "replace"))


CELL_VALUE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-9, 10**18),
    st.floats(),
    st.datetimes(),
    st.sampled_from(["Pip", "Bo", "L", "R", "?", "2", " 3 ", "es", "low-vision", "=1+1", "#N/A"]),
    st.text(st.characters(exclude_categories=["C"]), max_size=8),
)


@parser_test(40)
@given(st.lists(st.lists(CELL_VALUE, max_size=6), max_size=5), st.permutations(COLUMNS))
def test_any_workbook_gives_a_list_or_a_clear_error(
    rows: list[list[object]], columns: list[str]
) -> None:
    check(workbook([["name", *(c for c in columns if c != "name")], *rows]))


GOOD_NAME = st.text(
    st.characters(categories=["L", "N", "Pd"], include_characters=" ',;\""), min_size=1, max_size=20
).map(lambda text: unicodedata.normalize("NFC", text).strip())


@parser_test()
@given(
    st.lists(
        st.tuples(GOOD_NAME.filter(bool), st.sampled_from("0123456"), st.sampled_from("LR?")),
        min_size=1,
        max_size=8,
    ),
    st.sampled_from(",;\t"),
)
def test_written_list_is_read_back(rows: list[tuple[str, str, str]], delimiter: str) -> None:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([("name", "cutting", "hand"), *rows])

    found = parse(out.getvalue().encode(), "class.csv").children

    hands = {"L": "left", "R": "right", "?": "either"}
    assert [(child.name, child.stages["cutting"], child.hand) for child in found] == [
        (name, int(stage), hands[hand]) for name, stage, hand in rows
    ]
