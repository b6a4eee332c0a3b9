"""The teacher's files: kept as written but for what was changed, and never written over."""

from __future__ import annotations

import contextlib
import copy
import csv
import io
import json
import os
import re
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.styles import Font

from shapes.errors import FileError, InputError
from sheets import desk_page
from sheets.files.class_list import parse as parse_class
from sheets.files.starters import starter_theme
from sheets.web import class_table, theme_change, toml_text
from sheets.web.folder import STATE, ChangedOutsideError, Folder, OpenFile
from sheets.web.session import Session
from sheets.web.settings import read_settings
from tests.all_themes import FIRST_THREE
from tests.web.served import FOUR, twenty

STARTER = starter_theme("Kitchen garden")
NOTED = """\
# Class list: a class
# Keep this file to yourself.
name,tag,hand,cutting,matching,letters,sequence,pattern,sorting,needs,language
Pip,,R,2,2,2,2,2,2,,
# half days
Bo,,L,1,1,1,1,1,1,left-scissors,
Juniper,,?,0,1,1,1,1,1,not-cutting;low-vision,es
"""
BUILTIN = [desk_page.builtin_text(slug) for slug in FIRST_THREE]

# --- class lists ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        FOUR,
        NOTED,
        FOUR.replace(",", ";"),
        FOUR.replace(",", "\t"),
        "# a\nname,cutting\n# b\nBo,1\n# c\n",
    ],
)
def test_a_class_list_that_was_not_changed_is_written_as_it_was(text: str) -> None:
    assert class_table.as_csv(class_table.read_table(text.encode(), "class.csv")).decode() == text


def test_one_cell_changes_one_cell_of_the_file() -> None:
    text = NOTED
    table = class_table.read_table(text.encode(), "class.csv")
    changed = class_table.with_cell(table, table.rows[1].id, "cutting", "5")
    lines = class_table.as_csv(changed).decode().splitlines()
    before = text.splitlines()
    assert [(a, b) for a, b in zip(before, lines, strict=True) if a != b] == [
        ("Bo,,L,1,1,1,1,1,1,left-scissors,", "Bo,,L,5,1,1,1,1,1,left-scissors,")
    ]


def test_a_book_keeps_its_other_sheets_and_looks() -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (["Name", "Cutting", "Room"], ["Bo", 2, "blue"], ["# red room"], ["Ada", 3, "red"]):
        sheet.append(row)
    sheet["A2"].font = Font(bold=True)
    book.create_sheet("Other")["B2"] = "kept"
    out = io.BytesIO()
    book.save(out)

    table = class_table.read_table(out.getvalue(), "class.xlsx")
    assert table.columns == ("name", "cutting", "")
    table = class_table.with_cell(table, table.rows[1].id, "cutting", "6")
    table = class_table.without_row(table, table.rows[0].id)
    again = openpyxl.load_workbook(
        io.BytesIO(class_table.written(table, "class.xlsx", out.getvalue()))
    )
    rows = [list(row) for row in again.worksheets[0].iter_rows(values_only=True)]
    assert rows == [["Name", "Cutting", "Room"], ["# red room", None, None], ["Ada", 6, "red"]]
    assert again.worksheets[0]["A2"].font.bold
    assert again["Other"]["B2"].value == "kept"


def test_a_formula_whose_value_was_not_changed_stays() -> None:
    """The saved values are those of a spreadsheet program, so they are put in by hand here."""
    table = class_table.read_table(FOUR.encode(), "class.csv")
    old = class_table.as_book(table)
    book = openpyxl.load_workbook(io.BytesIO(old))
    book.worksheets[0]["D3"] = "=2+2"
    out = io.BytesIO()
    book.save(out)
    with_value = out.getvalue()
    archive = zipfile.ZipFile(io.BytesIO(with_value))
    again = io.BytesIO()
    with zipfile.ZipFile(again, "w") as new:
        for name in archive.namelist():
            text = archive.read(name)
            if name == "xl/worksheets/sheet1.xml":
                text = re.sub(rb"<f>2\+2</f><v\s*(/>|></v>)", rb"<f>2+2</f><v>4</v>", text)
            new.writestr(name, text)
    table = class_table.read_table(again.getvalue(), "class.xlsx")
    assert table.cell(table.rows[1], "cutting") == "4"
    table = class_table.with_cell(table, table.rows[0].id, "cutting", "5")
    kept = openpyxl.load_workbook(
        io.BytesIO(class_table.written(table, "class.xlsx", again.getvalue()))
    )
    assert kept.worksheets[0]["D2"].value == 5
    assert kept.worksheets[0]["D3"].value == "=2+2"


def test_a_name_that_looks_like_a_formula_is_text_in_a_book() -> None:
    table = class_table.pasted(class_table.new_table(), "name\n=1+1\n")
    book = openpyxl.load_workbook(io.BytesIO(class_table.as_book(table)))
    assert book.worksheets[0]["A2"].data_type == "s"


def test_a_pasted_class_of_twenty_is_twenty_children() -> None:
    """The header row says which columns they are; it and the notes are no children."""
    table = class_table.pasted(class_table.new_table(), twenty())
    children = parse_class(class_table.as_csv(table), "class.csv").children
    assert len(children) == 20
    assert children[5].hand == "either"
    assert dict(children[6].stages) == {
        "cutting": 6, "matching": 1, "letters": 0, "sequence": 2, "pattern": 6,
    }  # fmt: skip


def test_cells_without_a_header_go_where_they_are_pasted() -> None:
    table = class_table.read_table(FOUR.encode(), "class.csv")
    changed = class_table.pasted(table, "5\t6\n1\t\n", table.rows[1].id, "cutting")
    cells = [[changed.cell(row, name) for name in ("name", "cutting", "matching", "letters")]
             for row in changed.rows]  # fmt: skip
    assert cells == [["Bo", "2", "2", "1"], ["Zuzë", "5", "6", "2"], ["Pip", "1", "", "4"],
                     ["Ada", "6", "", "5"]]  # fmt: skip


def test_a_paste_beyond_the_last_row_adds_rows() -> None:
    table = class_table.read_table(FOUR.encode(), "class.csv")
    changed = class_table.pasted(table, "X\nY\nZ\n", table.rows[3].id, "name")
    assert [changed.cell(row, "name") for row in changed.rows] == [
        "Bo",
        "Zuzë",
        "Pip",
        "X",
        "Y",
        "Z",
    ]


@given(st.lists(st.lists(st.text("abä ,;\"'=x1", max_size=6), min_size=1, max_size=4), max_size=5))
def test_whatever_is_pasted_comes_back_as_it_was(rows: list[list[str]]) -> None:
    """Read back by the csv module, after RFC 4180."""
    out = io.StringIO()
    csv.writer(out, delimiter="\t", lineterminator="\n").writerows([["name", "hand"], *rows])
    table = class_table.pasted(class_table.new_table(), out.getvalue())
    wanted = [[" ".join(cell.split()) for cell in row[:2]] for row in rows]
    wanted = [row + [""] * (2 - len(row)) for row in wanted]
    kept = [
        row
        for row, old in zip(wanted, rows, strict=True)
        if any(cell.strip() for cell in old) and not old[0].strip().startswith("#")
    ]
    written = class_table.as_csv(table).decode()
    found = list(csv.reader(io.StringIO(written)))[1:]
    places = [table.columns.index(name) for name in ("name", "hand")]
    assert [[row[at] for at in places] for row in found] == [row for row in kept if any(row)]


# --- themes ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [STARTER, *BUILTIN])
def test_a_theme_that_was_not_changed_is_written_as_it_was(text: str) -> None:
    assert toml_text.text_with(text, tomllib.loads(text)) == text


def test_a_changed_word_leaves_all_other_lines() -> None:
    data = tomllib.loads(STARTER)
    theme_change.set_text(data, "words.1.text", "plum tomato")
    lines = toml_text.text_with(STARTER, data).splitlines()
    assert [row for row in lines if row not in STARTER.splitlines()] == [
        'text = "plum tomato"',
        'unit = ["carrot", "plum tomato", "plum tomato"]',
        'bins.above = ["plum tomato", "bean", "lemon", "cucumber:1F952"]',
    ]
    assert len(lines) == len(STARTER.splitlines())


days = st.sampled_from(["monday", "friday"])
values = st.text("ab\"\\\n'#=é \x7f", max_size=8)
words = st.lists(
    st.fixed_dictionaries({"text": values, "picture": values}, optional={"letter": values}),
    min_size=1, max_size=4,
)  # fmt: skip


@given(
    st.sampled_from([STARTER, *BUILTIN]),
    st.fixed_dictionaries(
        {"title": values, "words": words},
        optional={
            "plan": st.dictionaries(days, st.lists(values), min_size=1),
            "sorts": st.lists(st.fixed_dictionaries({"title": values, "bins": st.dictionaries(
                values, st.lists(values), max_size=3)}), min_size=1, max_size=2),
        },
    ),
)  # fmt: skip
def test_any_content_can_be_written_over_any_text(text: str, data: dict[str, Any]) -> None:
    """Read back by tomllib, after TOML 1.0."""
    assert tomllib.loads(toml_text.text_with(text, data)) == data


def changed(change: Any, *given: Any, **more: Any) -> dict[str, Any]:
    data = tomllib.loads(desk_page.builtin_text("reedy-pond"))
    change(data, *given, **more)
    desk_page.read_theme(toml_text.text_with("", data).encode(), "x.toml", Path())
    return data


def test_steps_are_words_of_the_theme_or_bring_their_picture() -> None:
    data = changed(theme_change.add, "sequences.0.steps", ["Egg"], {}, [])
    assert data["sequences"][0]["steps"][-1] == "Egg:1F95A"
    data = changed(theme_change.add, "sequences.0.steps", ["Duck"], {}, [])
    assert data["sequences"][0]["steps"][-1] == "duck"


def test_a_step_less_leaves_the_shorter_forms_right() -> None:
    data = changed(theme_change.remove, "sequences.0.steps.1")
    assert all("soap" not in order for order in data["sequences"][0]["short"])


def test_moved_steps_move_in_the_shorter_forms_too() -> None:
    data = changed(theme_change.move, "sequences.1.steps.0", 5)
    assert data["sequences"][1]["short"][0] == ["rain", "rainbow"]
    assert data["sequences"][1]["short"][1] == ["rain", "rainbow", "sun"]


def test_new_sequences_patterns_sorts_and_things() -> None:
    names = {"title": "New", "one": "duck, frog", "two": "lotus", "one_name": "a", "two_name": "b"}
    assert changed(theme_change.add, "sequences", ["duck, frog"], names, [])["sequences"][-1] == {
        "title": "New", "steps": ["duck", "frog"],
    }  # fmt: skip
    assert changed(theme_change.add, "patterns", ["red star, Duck"], names, [])["patterns"][-1] == {
        "unit": ["red star", "duck"]
    }
    assert changed(theme_change.add, "sorts", [], names, [])["sorts"][-1]["bins"] == {
        "a": ["duck", "frog"], "b": ["lotus"],
    }  # fmt: skip
    things = changed(theme_change.add_thing, "tub", ["95", ""])["objects"]["trace"]
    assert things[-1] == {"name": "tub", "diameter_mm": 95.0}
    assert changed(theme_change.set_thing, "ID1", taken=False)["objects"]["trace"] == [
        "can211", "can307", "A7",
    ]  # fmt: skip


def test_a_word_that_is_taken_out_or_renamed_breaks_nothing_that_names_it() -> None:
    data = changed(theme_change.remove, "words.0")
    assert data["patterns"][-1]["unit"] == ["duck:1F986", "lotus"]
    assert "duck:1F986" in data["sorts"][0]["bins"]["animal"]
    data = changed(theme_change.set_text, "words.11.text", "shower")
    assert data["sequences"][1]["steps"][3] == "shower"
    assert data["sequences"][1]["short"][0] == ["shower", "rainbow"]
    for text in (STARTER, *BUILTIN):  # all words but one
        data = tomllib.loads(text)
        while len(data["words"]) > 1:
            theme_change.remove(data, "words.0")
            desk_page.read_theme(toml_text.text_with(text, data).encode(), "x.toml", Path())


def test_a_new_theme_is_a_title_and_words_with_pictures() -> None:
    data = theme_change.new_theme("Our bakery", "Bread, egg, milk")
    theme = desk_page.read_theme(toml_text.text_with("", data).encode(), "b.toml", Path())
    assert [(word.text, word.picture.name) for word in theme.words] == [
        ("Bread", "bread"), ("egg", "egg"), ("milk", "milk"),
    ]  # fmt: skip
    for words in ("", "bread, qqqq", "bread, Bread", "red star"):
        with pytest.raises(InputError):
            theme_change.new_theme("x", words)


def test_a_day_keeps_its_note_and_its_order() -> None:
    data = changed(theme_change.set_day, "tuesday", ["cutting", "pattern", "trace-match"])
    assert data["plan"]["tuesday"]["kinds"] == ["trace-match", "cutting", "pattern"]
    assert data["plan"]["tuesday"]["note"].startswith("Lay a picnic")
    assert "tuesday" not in changed(theme_change.set_day, "tuesday", [])["plan"]


def test_what_is_not_there_is_told_and_changes_nothing() -> None:
    data = tomllib.loads(desk_page.builtin_text("reedy-pond"))
    before = copy.deepcopy(data)
    for change, given_ in (
        (theme_change.remove, ("words.99",)),
        (theme_change.move, ("title.0", 1)),
        (theme_change.add, ("sequences.0.steps", ["zzzz"], {}, [])),
        (theme_change.add, ("words", ["duck", "1F986"], {}, [])),
        (theme_change.add, ("words", ["x", "../x.svg"], {}, [])),
        (theme_change.add_thing, ("", ["1"])),
        (theme_change.set_text, ("plan.sunday.note", "x")),
    ):
        with pytest.raises(InputError):
            change(data, *given_)
    assert data == before


# --- open files -----------------------------------------------------------------------------------


def test_a_file_that_another_program_changed_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("name\nBo\n")
    file = OpenFile(path)
    path.write_text("name\nAda\n")
    with pytest.raises(ChangedOutsideError):
        file.write(b"name\nMine\n")
    assert path.read_text() == "name\nAda\n"
    file.read()
    file.write(b"name\nMine\n")
    assert path.read_text() == "name\nMine\n"


def test_a_file_of_the_same_size_and_an_older_date_is_noticed_and_a_touch_is_none(
    tmp_path: Path,
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("name\nBo\n")
    file = OpenFile(path)
    os.utime(path, ns=(1, 1))
    assert not file.changed_outside()
    path.write_text("name\nAb\n")
    os.utime(path, ns=(2, 2))
    assert file.changed_outside()
    path.unlink()
    assert file.changed_outside()


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: Any) -> None:
    path = tmp_path / "a.csv"
    path.write_text("name\nBo\n")
    file = OpenFile(path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(FileError, match="No space left"):
        file.write(b"new")
    assert path.read_text() == "name\nBo\n"
    assert [one.name for one in tmp_path.iterdir()] == ["a.csv"]


# --- the session ----------------------------------------------------------------------------------


def session(tmp_path: Path) -> Session:
    (tmp_path / "class.csv").write_text(FOUR, "utf-8")
    return Session(Folder(tmp_path))


def cut(new: Session, row: int, text: str) -> None:
    at = new.table.rows[row].id
    new.change_class("Cutting", lambda table: class_table.with_cell(table, at, "cutting", text))


def test_changes_are_saved_and_taken_back_one_by_one(tmp_path: Path) -> None:
    new = session(tmp_path)
    for text in "345":
        cut(new, 0, text)
    assert "Bo,,L,5," in (tmp_path / "class.csv").read_text("utf-8")
    for text in ("4", "3", "2"):
        assert new.undo() == "Cutting"
        assert f"Bo,,L,{text}," in (tmp_path / "class.csv").read_text("utf-8")
    assert (tmp_path / "class.csv").read_text("utf-8") == FOUR
    with pytest.raises(InputError, match="nothing to take back"):
        new.undo()


def test_changes_of_a_file_that_was_closed_are_not_taken_back(tmp_path: Path) -> None:
    new = session(tmp_path)
    (tmp_path / "other.csv").write_text(FOUR, "utf-8")
    cut(new, 0, "3")
    new.open_class("other.csv")
    cut(new, 0, "4")
    new.open_class("class.csv")
    cut(new, 0, "5")
    new.undo()
    with pytest.raises(InputError, match="nothing to take back"):
        new.undo()
    assert "Bo,,L,3," in (tmp_path / "class.csv").read_text("utf-8")
    assert "Bo,,L,4," in (tmp_path / "other.csv").read_text("utf-8")


def test_taking_back_does_not_write_over_a_change_from_outside(tmp_path: Path) -> None:
    new = session(tmp_path)
    cut(new, 0, "3")
    (tmp_path / "class.csv").write_text("name,cutting\nOther,1\n")
    with pytest.raises(ChangedOutsideError):
        new.undo()
    with pytest.raises(ChangedOutsideError):
        cut(new, 0, "4")
    assert new.changed_outside() == ["class.csv"]
    new.take_from_disk()
    assert [child.name for _, child in new.children()] == ["Other"]
    assert new.changed_outside() == []


def test_what_is_here_can_be_kept_beside_a_file_changed_outside(tmp_path: Path) -> None:
    new = session(tmp_path)
    cut(new, 0, "3")
    (tmp_path / "class.csv").write_text("name,cutting\nOther,1\n")
    assert new.keep_as_copy() == ["class-kept.csv"]
    assert "Bo,,L,3," in (tmp_path / "class-kept.csv").read_text("utf-8")
    assert (tmp_path / "class.csv").read_text() == "name,cutting\nOther,1\n"
    cut(new, 0, "4")
    assert "Bo,,L,4," in (tmp_path / "class-kept.csv").read_text("utf-8")


def test_a_row_that_is_wrong_keeps_no_other_child_from_its_pages(tmp_path: Path) -> None:
    new = session(tmp_path)
    cut(new, 1, "many")
    assert [child.name for _, child in new.children()] == ["Bo", "Pip", "Ada"]
    assert '"many" is not a stage' in "".join(new.class_problems)
    assert "line 3," in "".join(new.class_problems)
    assert "Zuzë,,R,many," in (tmp_path / "class.csv").read_text("utf-8")
    cut(new, 1, "4")
    assert len(new.class_problems) == 0
    assert len(new.children()) == 4


def test_a_class_list_that_cannot_be_read_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_bytes(b"\xd0\xcf\x11\xe0 an old workbook")
    before = (tmp_path / "class.csv").read_bytes()
    new = Session(Folder(tmp_path))
    new.open_class("class.csv")
    assert len(new.class_problems) == 1
    with pytest.raises(InputError, match="cannot be read"):
        new.change_class("x", class_table.with_row)
    assert (tmp_path / "class.csv").read_bytes() == before


@pytest.mark.parametrize("content", ["what,price\npaint,3\n", "x" * 2_100_000])
def test_another_table_in_the_folder_is_not_taken_for_a_class_list(
    tmp_path: Path, content: str
) -> None:
    (tmp_path / "budget.csv").write_text(content, "utf-8")
    new = Session(Folder(tmp_path))
    assert new.settings.class_list == ""
    with contextlib.suppress(FileError):  # too large even to be opened
        new.open_class("budget.csv")
        with pytest.raises(InputError, match="is not changed"):
            new.change_class("x", class_table.with_row)
    assert (tmp_path / "budget.csv").read_text("utf-8") == content
    (tmp_path / STATE).unlink(missing_ok=True)
    (tmp_path / "class.csv").write_text(FOUR, "utf-8")
    assert Session(Folder(tmp_path)).settings.class_list == "class.csv"


def test_a_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    folder.path = tmp_path / "gone"
    with pytest.raises(FileError, match="cannot be read"):
        folder.names((".csv",))


def test_a_problem_is_told_with_the_line_of_the_file(tmp_path: Path) -> None:
    text = NOTED
    line = text.splitlines().index("Bo,,L,1,1,1,1,1,1,left-scissors,") + 1
    (tmp_path / "class.csv").write_text(text, "utf-8")
    new = Session(Folder(tmp_path))
    cut(new, 1, "many")
    assert f"class.csv line {line}," in new.class_problems[0]
    assert [child.name for _, child in new.children()] == ["Pip", "Juniper"]
    assert [row for row, _ in new.children()] == [new.table.rows[0].id, new.table.rows[2].id]


def test_left_out_and_other_pages_are_in_one_file_with_a_clear_name(tmp_path: Path) -> None:
    new = session(tmp_path)
    tag = new.children()[0][1].tag
    new.change_settings("x", lambda s: s.left_out.add((tag, "cutting")))
    new.change_settings("x", lambda s: s.another.update({("Pp", "cutting"): 2}))
    assert STATE == "tablework-page.json"
    kept = json.loads((tmp_path / STATE).read_text("utf-8"))
    assert kept["left_out"] == [[tag, "cutting"]]
    again = Session(Folder(tmp_path))
    assert again.settings.left_out == {(tag, "cutting")}
    assert again.settings.another == {("Pp", "cutting"): 2}
    assert [s.kind for s in again.packet_plan().sheets if s.child.tag == tag].count("cutting") == 0
    new.undo()
    assert json.loads((tmp_path / STATE).read_text("utf-8"))["another"] == []


@given(st.binary(max_size=80) | st.recursive(
    st.none() | st.integers() | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["theme", "class", "left_out", "another", "choices", "paper"]), inner),
).map(lambda value: json.dumps(value).encode()))  # fmt: skip
def test_any_content_of_that_file_gives_settings(content: bytes) -> None:
    assert isinstance(read_settings(content).theme, str)


def test_another_page_is_that_of_another_packet_seed(tmp_path: Path) -> None:
    """So the command line can print it too."""
    from sheets.packet.plan import Choices, seed_of

    new = session(tmp_path)
    tag = new.children()[0][1].tag
    new.change_settings("x", lambda s: s.another.update({(tag, "cutting"): 3}))
    plan, _ = new.plan()
    assert plan is not None
    of_bo = next(s for s in plan.sheets if s.child.name == "Bo" and s.kind == "cutting")
    assert of_bo.options.seed == seed_of(Choices().seed + 3, tag, "cutting")


def test_a_theme_that_breaks_keeps_the_pages_of_the_one_before(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(STARTER, "utf-8")
    new = session(tmp_path)
    new.open_theme("own.toml")
    new.change_theme("x", lambda data: data["words"][0].update(picture="no such picture"))
    assert "no such picture" in new.theme_problems[0]
    plan, why = new.plan()
    assert plan is not None
    assert why == ""
    new.undo()
    assert new.theme_problems == ()
    assert (tmp_path / "own.toml").read_text("utf-8") == STARTER


def test_a_builtin_theme_is_not_changed(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="make a copy"):
        session(tmp_path).change_theme("x", lambda data: data.clear())
