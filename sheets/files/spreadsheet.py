"""The rows of an XLSX or ODS file, looked over first so that no file takes long or much memory.

A spreadsheet is a ZIP of XML files. A few KB of it can unpack to millions of cells, so every XML
file is counted through as it streams by before a reader builds anything of it.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar
from xml.etree.ElementTree import Element, ParseError
from xml.parsers import expat

from shapes.errors import InputError
from sheets.files.rows import ClassListError, Row, clean

if TYPE_CHECKING:
    from xml.parsers.expat import XMLParserType

Answer = TypeVar("Answer")

MAX_MEMBERS = 1_000
MAX_UNPACKED_BYTES = 20_000_000
"""A class of 500 unpacks to about 1 MB; texts take up to four times their bytes in memory."""

MAX_DEPTH = 60
"""Elements inside elements; spreadsheets have ten or so. Readers take memory for each level."""

MAX_TAG_BYTES = 200_000
"""One element with its attributes, which a parser holds as a whole."""

MAX_ELEMENTS = 60_000
"""Of styles and the like; a reader takes about 30 microseconds and half a KB for each."""

MAX_SHEET_ELEMENTS = 300_000
"""Of a sheet, its rows, cells and values, and of its texts: ten times what 500 children have."""

MAX_AREA = 1_000_000
"""Cells of a sheet with those left out before the last one of a row, which a reader fills in."""

MAX_CELLS = 100_000
"""Of the rows of an ODS sheet, where one cell or row can stand for many; the same ten times."""

LARGE_BYTES, LARGE_UNPACKED = 200_000, 2_000_000
"""A file of more is read in a process of its own; a class of 500 has 30 KB, unpacked 1 MB."""

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
"""Of the largest sheet that spreadsheets know."""

_ROOMY = ("worksheet", "sst", "document-content")
_ERRORS = ("#N/A", "#REF!", "#NAME?", "#VALUE!", "#DIV/0!", "#NULL!", "#NUM!")
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def spreadsheet_rows(content: bytes, where: str) -> list[Row]:
    """The rows of the first sheet that hold anything; formulas count as the value last saved.

    Raises:
        ClassListError: it is no spreadsheet we read, is locked, or holds far more than a class.
    """
    return list(_rows_once(content, where))


@lru_cache(maxsize=1)
def _rows_once(content: bytes, where: str) -> tuple[Row, ...]:
    # Writing tags into a list reads it more than once.
    return tuple(opened(content, where, _rows, content, where))


def opened(
    content: bytes, where: str, function: Callable[..., Answer], *arguments: object
) -> Answer:
    """The answer of a function that opens a spreadsheet; of a large one in a process of its own.

    Args:
        where: file name for messages.

    Raises:
        ClassListError: the function's own, or it took too much time or memory.
    """
    if not _is_large(content):
        return function(*arguments)
    from shapes.apart import call

    fix = "copy the rows of the class into a new workbook"
    try:
        answer: Answer = call(function, *arguments, where=where, fix=fix)
    except InputError as error:
        raise ClassListError(str(error)) from error
    return answer


def _is_large(content: bytes) -> bool:
    if len(content) > LARGE_BYTES:
        return True
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return sum(item.file_size for item in archive.infolist()) > LARGE_UNPACKED
    except Exception:  # no ZIP file, which is told when it is read
        return False


def _rows(content: bytes, where: str) -> list[Row]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            kind = _checked_kind(archive, where)
            _look_over(archive, where)
            rows = _ods_rows(archive, where) if kind == "ods" else _xlsx_rows(content)
            return [Row(line, _without_end(cells)) for line, cells in rows if any(cells)]
    except ClassListError:
        raise
    except Exception:  # whatever the readers of XML and ZIP raise, the file is what is wrong
        raise ClassListError(
            f"{where}: not a readable spreadsheet; open it in the spreadsheet program and save it "
            "anew as .xlsx"
        ) from None


def _without_end(cells: tuple[str, ...]) -> tuple[str, ...]:
    """The cells up to the last one that holds anything."""
    last = max(index for index, cell in enumerate(cells) if cell)
    return cells[: last + 1]


def is_open_document(content: bytes) -> bool:
    """Whether a spreadsheet that was read is ODS and not XLSX."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return "content.xml" in archive.namelist()


# --- looking it over ------------------------------------------------------------------------------


def _checked_kind(archive: zipfile.ZipFile, where: str) -> str:
    """``ods`` or ``xlsx``; other files in a ZIP and locked ones are refused."""
    items = archive.infolist()
    names = {item.filename for item in items}
    manifest = b""
    if "META-INF/manifest.xml" in names:
        with archive.open("META-INF/manifest.xml") as file:
            manifest = file.read(MAX_TAG_BYTES)
    if b"encryption-data" in manifest or any(item.flag_bits & 1 for item in items):
        raise ClassListError(
            f"{where}: locked with a password; save a copy without one and give that"
        )
    if any(name.endswith(".iwa") for name in names):
        raise ClassListError(f"{where}: a Numbers file; export it as .xlsx")
    if "word/document.xml" in names or b"opendocument.text" in manifest:
        raise ClassListError(
            f"{where}: a text document; copy its table into a spreadsheet and save it as .xlsx"
        )
    return "ods" if "content.xml" in names else "xlsx"


def _look_over(archive: zipfile.ZipFile, where: str) -> None:
    """Refuse a file that would take long or much memory to read."""
    items = archive.infolist()
    if len(items) > MAX_MEMBERS or sum(item.file_size for item in items) > MAX_UNPACKED_BYTES:
        raise ClassListError(
            f"{where}: unpacks to far more than a class list; copy the rows of the class into a "
            "new workbook without pictures"
        )
    for item in items:
        with archive.open(item) as file:
            start = file.read(1 << 16)
            # Only what begins with < can be XML, whatever the name says; UTF-16 has a mark before.
            text = start.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n")
            if text and not text.startswith(b"<"):
                continue
            counted = _Count(where)
            counted.feed(start)
            while piece := file.read(1 << 16):
                counted.feed(piece)


class _Count:
    """Counts the elements of an XML file as it streams by."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.parser: XMLParserType = expat.ParserCreate()
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.fed = self.depth = self.elements = self.column = self.area = 0
        self.root = ""

    def feed(self, piece: bytes) -> None:
        self.parser.Parse(piece, False)
        self.fed += len(piece)
        if self.fed - self.parser.CurrentByteIndex > MAX_TAG_BYTES:
            raise self._too_much("an entry of enormous length")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        name = name.rpartition(":")[2]
        self.root = self.root or name
        self.depth += 1
        self.elements += 1
        if self.depth > MAX_DEPTH:
            raise self._too_much("parts nested too deeply")
        if self.elements > (MAX_SHEET_ELEMENTS if self.root in _ROOMY else MAX_ELEMENTS):
            raise self._too_much("far more cells or styles than a class list")
        if self.root == "worksheet":
            self._place(name, attributes.get("r"))

    def _place(self, name: str, place: str | None) -> None:
        """Take note of how far a row or cell lies from the beginning."""
        if name == "row":
            self.column = 0
            if place is not None and not (place.isdecimal() and int(place) <= LAST_ROW):
                raise ValueError("no row of a sheet")
        elif name == "c":
            column = self.column + 1 if place is None else column_number(place)
            self.area += max(0, column - self.column)
            self.column = max(column, self.column)
            if column > LAST_COLUMN or self.area > MAX_AREA:
                raise self._too_much("cells spread over far more columns than a class list")

    def _end(self, name: str) -> None:
        self.depth -= 1

    def _doctype(self, *_declared: object) -> None:
        raise ValueError("spreadsheets declare no types")

    def _too_much(self, what: str) -> ClassListError:
        return ClassListError(
            f"{self.where}: holds {what}; copy the rows of the class into a new workbook"
        )


def column_number(place: str) -> int:
    """The number of a cell's column, from 1, such as 28 for ``AB7``.

    Raises:
        ValueError: this is no cell.
    """
    letters = place.rstrip("0123456789")
    if not (1 <= len(letters) <= 3 and letters.isascii() and letters.isalpha()):
        raise ValueError("no cell of a sheet")
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


# --- reading --------------------------------------------------------------------------------------


def _xlsx_rows(content: bytes) -> Iterator[tuple[int, tuple[str, ...]]]:
    import openpyxl

    with warnings.catch_warnings():
        # It warns of spreadsheet features that a list of cells does not need.
        warnings.simplefilter("ignore")
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            # What a sheet says of its own size may be anything.
            sheet.reset_dimensions()
            for line, cells in enumerate(sheet.iter_rows(values_only=True), 1):
                yield line, tuple(map(_cell_text, cells))
        finally:
            book.close()


def _cell_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    text = clean(str(value))
    # In the first column a # would make a note of it.
    return f"error {text}" if text in _ERRORS else text


def _ods_rows(archive: zipfile.ZipFile, where: str) -> Iterator[tuple[int, tuple[str, ...]]]:
    from defusedxml.ElementTree import iterparse

    line = held = 0
    with archive.open("content.xml") as file:
        for _event, element in iterparse(file):
            if element.tag == f"{_TABLE}table":
                return
            if element.tag != f"{_TABLE}table-row":
                continue
            cells = _ods_cells(element)
            repeated = _number(element, "rows")
            for again in range(repeated if any(cells) else 0):
                held += len(cells)
                if held > MAX_CELLS:
                    raise ClassListError(
                        f"{where}: holds far more cells than a class list; copy the rows of the "
                        "class into a new workbook"
                    )
                yield line + again + 1, cells
            line += repeated
            element.clear()
    raise ParseError("no table")


def _ods_cells(row: Element) -> tuple[str, ...]:
    """The cells of a row up to the last one that holds anything."""
    cells: list[str] = []
    empty = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        text, repeated = _ods_text(cell), _number(cell, "columns")
        if not text:
            empty += repeated
            continue
        cells += [""] * empty + [text] * repeated
        empty = 0
        if len(cells) > LAST_COLUMN:
            raise ValueError("no row of a sheet")
    return tuple(cells)


def _number(element: Element, what: str) -> int:
    """How often a row or cell stands there in a run."""
    repeated = int(element.get(f"{_TABLE}number-{what}-repeated", "1"))
    if not 1 <= repeated <= (LAST_ROW if what == "rows" else LAST_COLUMN):
        raise ValueError("more than a sheet has")
    return repeated


def _ods_text(cell: Element) -> str:
    kind = cell.get(f"{_OFFICE}value-type", "")
    if kind == "float":
        return _cell_text(float(cell.get(f"{_OFFICE}value", "")))
    if kind == "date":
        return clean(cell.get(f"{_OFFICE}date-value", ""))
    lines = ["".join(_ods_pieces(line)) for line in cell.iterfind(f"{_TEXT}p")]
    return _cell_text("\n".join(lines))


def _ods_pieces(line: Element) -> Iterator[str]:
    """The text of a line; blanks in a run are elements of their own."""
    yield line.text or ""
    for element in line:
        if element.tag == f"{_TEXT}s":
            yield " "
        yield from _ods_pieces(element)
        yield element.tail or ""
