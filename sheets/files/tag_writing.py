"""Writes the tags of a class into its list, so that they stay whatever happens to the class.

All else is kept as it was: of CSV the encoding, the separator and every other line; of a workbook
every other file in it byte for byte, and of the sheet all but the cells of the tags.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from xml.parsers import expat
from xml.sax.saxutils import escape

from sheets.files.class_list import parse
from sheets.files.class_rows import csv_records, delimiter_of, read_table
from sheets.files.decoding import decode
from sheets.files.rows import ClassListError
from sheets.files.spreadsheet import column_number, is_open_document, opened

if TYPE_CHECKING:
    from xml.parsers.expat import XMLParserType


def with_tags(content: bytes, where: str) -> bytes:
    """A class list with the tag of each child in its row; as it was if they all stand there.

    Args:
        where: file name for messages.

    Raises:
        ClassListError: the file has problems, or is of a kind that only its program can write.
    """
    before = parse(content, where)
    column = before.columns.get("tag", before.width)
    cells = {child.row: child.tag for child in before.children}
    if "tag" not in before.columns:
        cells[before.header] = "tag"
    for row in read_table(content, where).rows:
        if row.cells[column : column + 1] == (cells.get(row.line),):
            del cells[row.line]
    if not cells:
        return content
    if not content.startswith(b"PK\x03\x04"):
        after = _csv_with(content, where, column, cells)
    elif is_open_document(content):
        raise ClassListError(
            f"{where}: tags cannot be written into this kind of file; save it as .xlsx, or copy "
            "them by hand"
        )
    else:
        after = opened(content, where, _xlsx_with, content, column, cells)
    # What was written is read again before anybody relies on it.
    if parse(after, where).children != before.children:
        raise ClassListError(f"{where}: tags cannot be written into this file; copy them by hand")
    return after


# --- CSV ------------------------------------------------------------------------------------------


def _csv_with(content: bytes, where: str, column: int, cells: Mapping[int, str]) -> bytes:
    decoded = decode(content, where)
    lines = list(io.StringIO(decoded.text, newline=""))
    delimiter = delimiter_of(decoded.text)
    written = []
    for record in csv_records(decoded.text, where):
        own = lines[record.line - 1 : record.line - 1 + record.lines]
        text = cells.get(record.line)
        row = [*record.cells, *[""] * (column + 1 - len(record.cells))]
        if text is None:
            written += own
            continue
        row[column] = text
        bare = own[-1].rstrip("\r\n")
        out = io.StringIO()
        csv.writer(out, delimiter=delimiter, lineterminator=own[-1][len(bare) :]).writerow(row)
        written.append(out.getvalue())
    try:
        return decoded.mark + "".join(written).encode(decoded.encoding)
    except UnicodeEncodeError:
        raise ClassListError(
            f"{where}: a tag cannot be written in the encoding of this file; save it as .xlsx or "
            "CSV UTF-8"
        ) from None


# --- a workbook -----------------------------------------------------------------------------------


@dataclass(slots=True)
class _Row:
    """Where the cells of a row stand in the XML of the sheet: column -> first byte, end, style."""

    name: str
    cells: dict[int, tuple[int, int, str]] = field(default_factory=dict)
    end: int = 0


class _Places:
    """Finds the rows of a sheet and its stated size in the bytes of its XML."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        self.rows: dict[int, _Row] = {}
        self.size: tuple[int, int, str] | None = None
        self.number = self.column = self.start = 0
        self.style = ""
        self.parser: XMLParserType = expat.ParserCreate()
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.Parse(content, True)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        kind, at = name.rpartition(":")[2], self.parser.CurrentByteIndex
        if kind == "row":
            self.number, self.column = int(attributes.get("r", self.number + 1)), 0
            self.rows[self.number] = _Row(name)
        elif kind == "c":
            place = attributes.get("r")
            self.column = self.column + 1 if place is None else column_number(place)
            self.start, self.style = at, attributes.get("s", "")
        elif kind == "dimension":
            self.size = (at, self.content.index(b">", at) + 1, attributes.get("ref", ""))

    def _end(self, name: str) -> None:
        kind, at = name.rpartition(":")[2], self.parser.CurrentByteIndex
        if kind == "row":
            self.rows[self.number].end = at
        elif kind == "c":
            closed = self.content.startswith(b"</", at)
            end = self.content.index(b">", at) + 1 if closed else at
            self.rows[self.number].cells[self.column] = (self.start, end, self.style)


def _xlsx_with(content: bytes, column: int, cells: Mapping[int, str]) -> bytes:
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
    path: str = book.worksheets[0]._worksheet_path  # type: ignore[attr-defined]
    book.close()
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(packed, "w") as new:
        for item in old.infolist():
            part = old.read(item)
            if item.filename == path:
                part = _sheet_with(part, column + 1, cells)
            new.writestr(item, part, item.compress_type)
    return packed.getvalue()


def _sheet_with(sheet: bytes, column: int, cells: Mapping[int, str]) -> bytes:
    """The XML of a sheet with those texts in a column, which is numbered from 1."""
    found = _Places(sheet)
    pieces, done = [], 0
    for start, end, new in sorted(_changes(found, column, cells)):
        pieces += [sheet[done:start], new]
        done = end
    return b"".join((*pieces, sheet[done:]))


def _changes(
    found: _Places, column: int, cells: Mapping[int, str]
) -> Iterator[tuple[int, int, bytes]]:
    """First byte, end and new bytes of what is changed."""
    from openpyxl.utils import get_column_letter

    letter = get_column_letter(column)
    if found.size is not None:
        start, end, ref = found.size
        first, _colon, last = ref.partition(":")
        if last and column_number(last) < column:
            wider = f"{first}:{letter}{last.lstrip('ABCDEFGHIJKLMNOPQRSTUVWXYZ')}"
            yield start, end, found.content[start:end].replace(ref.encode(), wider.encode())
    for number, text in cells.items():
        row = found.rows[number]
        own = row.cells.get(column)
        later = [place[0] for other, place in row.cells.items() if other > column]
        start, end = own[:2] if own else (min(later, default=row.end),) * 2
        # A new cell looks like the first one of its row.
        style = own[2] if own else row.cells[min(row.cells)][2]
        prefix = row.name.removesuffix("row")
        told = f' s="{style}"' if style else ""
        new = (
            f'<{prefix}c r="{letter}{number}"{told} t="inlineStr"><{prefix}is><{prefix}t>'
            f"{escape(text)}</{prefix}t></{prefix}is></{prefix}c>"
        )
        yield start, end, new.encode("ascii", "xmlcharrefreplace")
