"""The class list on the page: a table, saved as it changes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from shapes.errors import InputError
from sheets import desk_facts, desk_page
from sheets.web import class_table, pages_part
from sheets.web.ask import HTML, Answer, Ask, Route
from sheets.web.class_table import Table
from sheets.web.folder import CLASSES

EVENTS = ("pages-changed",)
HANDS = ("R", "L", "?")
_PLAIN = ("name", "tag", "hand", "needs")


def skills() -> tuple[str, ...]:
    """The columns that hold stages."""
    return desk_facts.skills()


def part(ask: Ask) -> str:
    """The whole section."""
    columns = desk_facts.class_columns()
    return ask.render(
        "class",
        files=ask.session.folder.names(CLASSES),
        rows=ask.session.table.rows,
        wrong=ask.session.wrong_rows(),
        hands=HANDS,
        skills=skills(),
        others=[name for name in columns if name not in (*_PLAIN, *skills())],
        needs=desk_facts.needs(),
        needs_of=_needs_of,
        hand_of=_hand_of,
        meanings=desk_facts.all_stage_meanings(),
    )


def _needs_of(text: str) -> set[str]:
    """The needs in a cell, as the class list's reader takes them."""
    words = text.replace(",", ";").replace("|", ";").split(";")
    return {"-".join(word.split()).replace("_", "-").casefold() for word in words}


def _hand_of(text: str) -> str:
    """What a hand cell means: one of :data:`HANDS`, or the cell itself if it is none."""
    known = {"l": "L", "left": "L", "r": "R", "right": "R", "": "?", "either": "?"}
    return known.get(text.casefold(), text)


def show(ask: Ask) -> Answer:
    return Answer(part(ask))


def _changed(ask: Ask, label: str, change: Callable[[Table], Table], *, whole: bool) -> Answer:
    """Make a change; answer with the pages that it changes."""
    before = pages_part.signatures(ask)
    ask.session.change_class(label, change)
    shown = part(ask) if whole else ask.render("saved", text=ask.words["page"]["saved"])
    extra = "" if whole else ask.render("problems")
    return Answer(shown + extra + pages_part.changed(ask, before), events=EVENTS)


def cell(ask: Ask) -> Answer:
    """One cell: a stage, a name, the needs that are ticked."""
    row, column = ask.number("row"), ask.text("column")
    if column not in desk_facts.class_columns():
        raise InputError("there is no such column", fix="load the page again")
    if ask.session.table.row(row) is None:
        raise InputError(
            "this row is no longer there; another window has taken it away", fix="load the page "
            "again"
        )  # fmt: skip
    text = ";".join(ask.several("needs")) if column == "needs" else ask.text("value")
    label = f"{ask.words['columns'].get(column, column)}"
    answer = _changed(
        ask, label, lambda table: class_table.with_cell(table, row, column, text), whole=False
    )
    kind = ask.text("large")
    if kind:
        return Answer(str(answer.body) + pages_part.large_body(ask, row, kind, oob=True),
                      events=EVENTS)  # fmt: skip
    return answer


def add(ask: Ask) -> Answer:
    """An empty row."""
    return _changed(ask, ask.words["class"]["add"], class_table.with_row, whole=True)


def remove(ask: Ask) -> Answer:
    """A row less."""
    row = ask.number("row")
    label = ask.words["class"]["remove"]
    return _changed(ask, label, lambda table: class_table.without_row(table, row), whole=True)


def paste(ask: Ask) -> Answer:
    """Cells of a spreadsheet, at a cell or at the end."""
    text = ask.values.get("text", ("",))[0]
    if not text.strip():
        raise InputError("there is nothing to put in", fix="paste the rows into the field first")
    row = ask.number("row") if ask.text("row") else 0
    column = ask.text("column") or "name"
    label = ask.words["class"]["paste"]
    return _changed(
        ask, label, lambda table: class_table.pasted(table, text, row, column), whole=True
    )


def open_file(ask: Ask) -> Answer:
    """Another class list of the folder."""
    ask.session.open_class(ask.text("name"))
    return Answer(part(ask) + pages_part.all_changed(ask), events=EVENTS)


def new(ask: Ask) -> Answer:
    """An empty class list of a title."""
    title = ask.text("title") or ask.words["class"]["title"]
    path = ask.session.folder.new(title, ".csv")
    desk_page.write_bytes(class_table.as_csv(class_table.new_table()), path)
    ask.session.open_class(path.name)
    return Answer(part(ask) + pages_part.all_changed(ask), events=EVENTS)


def bring(ask: Ask) -> Answer:
    """A file from elsewhere: a copy of it in the folder, if it can be read."""
    upload = ask.upload("file")
    ending = ".xlsx" if upload.content.startswith(b"PK") else ".csv"
    class_table.read_table(upload.content, "file")
    stem = upload.name.replace("\\", "/").rpartition("/")[2].rpartition(".")[0]
    path = ask.session.folder.new(stem or "class", ending)
    desk_page.write_bytes(upload.content, path)
    ask.session.open_class(path.name)
    return Answer(part(ask) + pages_part.all_changed(ask), events=EVENTS)


def copy(ask: Ask, ending: str) -> Answer:
    """The list as a file to download."""
    kinds: dict[str, Any] = {
        "csv": ("text/csv", class_table.as_csv),
        "xlsx": (
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            class_table.as_book,
        ),
    }
    if ending not in kinds:
        return Answer("", HTML, 404)
    kind, write = kinds[ending]
    return Answer(write(ask.session.table), kind, download=f"class.{ending}")


ROUTES = (
    Route("GET", "/class", show),
    Route("POST", "/class/cell", cell),
    Route("POST", "/class/add", add),
    Route("POST", "/class/remove", remove),
    Route("POST", "/class/paste", paste),
    Route("POST", "/class/open", open_file),
    Route("POST", "/class/new", new),
    Route("POST", "/class/bring", bring),
    Route("GET", "/class/copy/<ending>", copy),
)
