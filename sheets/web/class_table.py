"""A class list as a table to change: cells, notes between them, and the file it came from.

What is not understood stays in the file as it was; what is wrong is told by the class list's own
reader, not here.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sheets import desk_facts, desk_page

MOST_ROWS = 500


@dataclass(frozen=True, slots=True)
class Row:
    """One child.

    Args:
        id: the same as long as the table is open, whatever is added above.
        notes: lines beginning with # that stand above it.
    """

    id: int
    cells: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """All rows in their order.

    Args:
        heads: of the columns as written; ``columns`` what they are, empty for an unknown one.
        below: notes after the last row.
        next_id: for a row that is added.
    """

    heads: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    above: tuple[str, ...] = ()
    below: tuple[str, ...] = ()
    delimiter: str = ","
    next_id: int = 1

    def cell(self, row: Row, column: str) -> str:
        """What stands in a column; empty if the row or the table has none."""
        at = self.columns.index(column) if column in self.columns else len(row.cells)
        return row.cells[at] if at < len(row.cells) else ""

    def row(self, id: int) -> Row | None:
        return next((row for row in self.rows if row.id == id), None)

    def filled(self) -> list[Row]:
        """The rows that are children: those with something in them."""
        return [row for row in self.rows if any(row.cells)]


def new_table() -> Table:
    """One without children, with all columns."""
    columns = desk_facts.class_columns()
    return Table(columns, columns, ())


def read_table(content: bytes, name: str, first_id: int = 1) -> Table:
    """The table in a file.

    Raises:
        ClassListError: it is no table.
    """
    if not content:
        return replace(new_table(), next_id=first_id)
    cells = desk_page.class_cells(content, name)
    above = tuple(text for line, text in cells.notes if line < cells.line)
    rows: list[Row] = []
    after = cells.line
    for place, (line, found) in enumerate(cells.rows):
        before = tuple(text for n, text in cells.notes if after < n < line)
        rows.append(Row(first_id + place, found, before))
        after = line
    below = tuple(text for n, text in cells.notes if n > after)
    return Table(cells.heads, cells.columns, tuple(rows), above, below,
                 cells.delimiter or ",", first_id + len(rows))  # fmt: skip


def _is_book(content: bytes) -> bool:
    return content.startswith(b"PK\x03\x04")


# --- changing -------------------------------------------------------------------------------------


def with_cell(table: Table, id: int, column: str, text: str) -> Table:
    """The table with another text in one cell."""
    table = _with_columns(table, [column])
    at = table.columns.index(column)
    rows = []
    for row in table.rows:
        if row.id == id:
            cells = [*row.cells, *[""] * (at + 1 - len(row.cells))]
            cells[at] = " ".join(text.split())
            row = replace(row, cells=tuple(cells))
        rows.append(row)
    return replace(table, rows=tuple(rows))


def with_row(table: Table) -> Table:
    """The table with an empty row at the end."""
    row = Row(table.next_id, ("",) * len(table.columns))
    return replace(table, rows=(*table.rows, row), next_id=table.next_id + 1)


def without_row(table: Table, id: int) -> Table:
    """The table without a row; notes above it stay."""
    rows: list[Row] = []
    notes: tuple[str, ...] = ()
    for row in table.rows:
        if row.id == id:
            notes += row.notes
            continue
        rows.append(replace(row, notes=(*notes, *row.notes)))
        notes = ()
    return replace(table, rows=tuple(rows), below=(*notes, *table.below))


def pasted(table: Table, text: str, id: int = 0, column: str = "name") -> Table:
    """The table with cells pasted from a spreadsheet.

    A header row among them says which columns they are, and is not a child; without one they go
    into the columns from ``column`` on. Lines that begin with # are left out.

    Args:
        id: the row that the first line goes into; 0 adds rows at the end.
    """
    lines = _pasted_rows(text)
    columns = list(desk_facts.class_columns())
    named = [cell.casefold().strip() for cell in lines[0]] if lines else []
    if "name" in named or sum(cell in columns for cell in named) >= 2:
        columns = [name if name in columns else "" for name in named]
        lines = lines[1:]
    elif column in columns:
        columns = columns[columns.index(column) :]
    table = _with_columns(table, [name for name in columns if name])
    targets = [row.id for row in table.rows]
    targets = targets[targets.index(id) :] if id in targets else []
    for place, cells in enumerate(lines[:MOST_ROWS]):
        if place >= len(targets):
            table = with_row(table)
            targets.append(table.rows[-1].id)
        for name, cell in zip(columns, cells, strict=False):
            if name:
                table = with_cell(table, targets[place], name, cell)
    return table


def _pasted_rows(text: str) -> list[list[str]]:
    """Cells as spreadsheets put them on the clipboard: tabs between them, quotes round odd ones."""
    first = text.lstrip("\n").partition("\n")[0]
    delimiter = max("\t;,", key=first.count)
    rows = csv.reader(io.StringIO(text.replace("\r\n", "\n").replace("\r", "\n")),
                      delimiter=delimiter)  # fmt: skip
    try:
        found = [[cell.strip() for cell in row] for row in rows]
    except csv.Error:
        found = [line.split(delimiter) for line in text.splitlines()]
    return [row for row in found if any(row) and not row[0].startswith("#")]


def _with_columns(table: Table, names: Sequence[str]) -> Table:
    missing = tuple(name for name in names if name not in table.columns)
    if not missing:
        return table
    return replace(table, heads=(*table.heads, *missing), columns=(*table.columns, *missing))


def lines_of(table: Table) -> dict[int, int]:
    """The line that each row begins on when the table is written without notes -> its id."""
    found: dict[int, int] = {}
    line = 2 + sum(head.count("\n") for head in table.heads)
    for row in table.rows:
        if any(row.cells):
            found[line] = row.id
            line += 1 + sum(cell.count("\n") for cell in row.cells)
    return found


# --- writing --------------------------------------------------------------------------------------


def as_csv(table: Table) -> bytes:
    """The file, notes included; rows without anything in them are left out."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=table.delimiter, lineterminator="\n")
    for note in table.above:
        out.write(note + "\n")
    writer.writerow(table.heads)
    for row in table.rows:
        for note in row.notes:
            out.write(note + "\n")
        if any(row.cells):
            writer.writerow([*row.cells, *[""] * (len(table.heads) - len(row.cells))])
    for note in table.below:
        out.write(note + "\n")
    return out.getvalue().encode("utf-8")


def as_book(table: Table, old: bytes = b"") -> bytes:
    """The table as a spreadsheet file; other sheets and the looks of an older one stay."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(old)) if old else openpyxl.Workbook()
    sheet = book.worksheets[0]
    shown = openpyxl.load_workbook(io.BytesIO(old), data_only=True).worksheets[0] if old else None
    lines = _lines(table)
    for number, cells in enumerate(lines, 1):
        for at in range(1, len(table.heads) + 1):
            text = cells[at - 1] if at <= len(cells) else ""
            value = int(text) if text.isdecimal() and text.isascii() else text or None
            place = sheet.cell(row=number, column=at)
            if shown is not None and _same(shown.cell(row=number, column=at).value, text):
                continue  # a formula that gives this value stays
            place.value = value
            if isinstance(value, str):
                place.data_type = "s"  # a name that begins with = is no formula
    if sheet.max_row > len(lines):
        sheet.delete_rows(len(lines) + 1, sheet.max_row - len(lines))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _lines(table: Table) -> list[tuple[str, ...]]:
    """All lines of a spreadsheet: notes in the first cell, heads, children."""
    lines: list[tuple[str, ...]] = [(note,) for note in table.above]
    lines.append(table.heads)
    for row in table.rows:
        lines += [(note,) for note in row.notes]
        if any(row.cells):
            lines.append(row.cells)
    lines += [(note,) for note in table.below]
    return lines


def _same(value: object, text: str) -> bool:
    return text == ("" if value is None else " ".join(str(value).split()))


def written(table: Table, name: str, old: bytes = b"") -> bytes:
    """The content of a file of that name."""
    if name.lower().endswith(".xlsx"):
        if _is_book(old):
            return desk_page.opened(old, name, as_book, table, old)
        return as_book(table)
    return as_csv(table)
