"""The cells of a class list as text, row by row, from CSV or XLSX."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
import warnings
import zipfile
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from sheets.theme.problems import ProblemsError, quoted

_LINE_END = re.compile(r"\r\n|\r|\n")
_SAVE_AS_UTF8 = "in the spreadsheet choose Save as, CSV UTF-8, or save it as .xlsx"
_MAX_SCANNED_ROWS = 5_000
_MAX_SCANNED_COLUMNS = 60
_MAX_UNPACKED_BYTES = 50_000_000


class ClassListError(ProblemsError):
    """What is wrong with a class list, one line for each problem."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of cells, in Unicode NFC without blanks at their ends, and the line it starts on."""

    line: int
    cells: tuple[str, ...]


def read_rows(content: bytes, where: str, columns: Collection[str]) -> list[Row]:
    """The rows of a file, header and empty ones included.

    Args:
        content: CSV (comma, semicolon or tab; UTF-8 with or without byte order mark) or XLSX.
        where: file name for messages.
        columns: known column names in lower case; they tell the separator.

    Raises:
        ClassListError: the bytes are neither.
    """
    if content.startswith(b"PK\x03\x04"):
        return _xlsx_rows(content, where)
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise ClassListError(f"{where}: an old .xls file; save it as .xlsx or CSV UTF-8")
    return _csv_rows(_decode(content, where), where, columns)


def _decode(content: bytes, where: str) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in content:
        raise ClassListError(f"{where}: not plain text in UTF-8; {_SAVE_AS_UTF8}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = len(_LINE_END.split(content[: error.start].decode("latin-1")))
        before = re.split(rb"[\r\n\t,;]", content[: error.start])[-1]
        after = re.split(rb"[\r\n\t,;]", content[error.start :])[0]
        guess = (before + after).decode("cp1252", "replace")
        raise ClassListError(
            f"{where} line {line}: not UTF-8 (in Windows-1252 this cell would read "
            f"{quoted(guess)}); {_SAVE_AS_UTF8}"
        ) from None


def _csv_rows(text: str, where: str, columns: Collection[str]) -> list[Row]:
    rows: list[Row] = []
    between_rows = True

    def lines() -> Iterator[str]:
        nonlocal between_rows
        for written in io.StringIO(text, newline=""):
            # A note for people may hold a lone quote mark; in a quoted cell # begins no note.
            note = between_rows and written.lstrip().startswith("#")
            between_rows = False
            yield "\n" if note else written

    reader = csv.reader(lines(), delimiter=_delimiter(text, columns), strict=True)
    line = 1
    try:
        for cells in reader:
            between_rows = True
            # A spreadsheet may put a line such as sep=; on top to name the separator.
            if cells and not cells[0].casefold().startswith("sep="):
                rows.append(Row(line, tuple(_clean(cell) for cell in cells)))
            line = reader.line_num + 1
    except csv.Error:
        raise ClassListError(
            f'{where} line {line}: a quote mark (") that is not closed or has text after it; '
            "put one quote at each end of the cell, or none"
        ) from None
    return rows


def _delimiter(text: str, columns: Collection[str]) -> str:
    """Comma, semicolon or tab: the one that finds most column names in the first real line."""
    lines = (line.strip().strip('"') for line in _LINE_END.split(text))
    lines = (line for line in lines if not line.casefold().startswith(("#", "sep=")))
    header = next((line for line in lines if re.search(r"\w", line)), "")

    def found(delimiter: str) -> tuple[int, int]:
        cells = [cell.strip().strip('"').casefold() for cell in header.split(delimiter)]
        return (sum(cell in columns for cell in cells), len(cells))

    return max((",", ";", "\t"), key=found)


def _xlsx_rows(content: bytes, where: str) -> list[Row]:
    """The rows of the first worksheet; formulas count as the value last saved."""
    import openpyxl

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = sum(item.file_size for item in archive.infolist())
        if unpacked > _MAX_UNPACKED_BYTES:
            raise ClassListError(f"{where}: unpacks to far more than a class list; save it anew")
        with warnings.catch_warnings():
            # It warns of spreadsheet features that a list of cells does not need.
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            found = book.worksheets[0].iter_rows(
                max_row=_MAX_SCANNED_ROWS, max_col=_MAX_SCANNED_COLUMNS, values_only=True
            )
            rows = [Row(n, tuple(map(_cell_text, cells))) for n, cells in enumerate(found, 1)]
            book.close()
    except ClassListError:
        raise
    except Exception:  # whatever its XML and ZIP readers raise, the file is what is wrong
        raise ClassListError(
            f"{where}: not a readable .xlsx file; open it in the spreadsheet and save it anew"
        ) from None
    return rows


def _cell_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return _clean(str(value))


def _clean(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip()
