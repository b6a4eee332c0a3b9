"""The cells of a class list as text, row by row, from CSV, XLSX or ODS."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sheets.files.columns import HEADER_WITHIN, columns_in
from sheets.files.decoding import LINE_END, Decoded, decode
from sheets.files.rows import ClassListError, Row, Table, clean

MAX_ROWS = 20_000
"""Lines of a CSV file that hold anything: far more than a class with notes has."""


def read_table(content: bytes, where: str) -> Table:
    """The rows of a class list, header and notes included.

    Args:
        content: CSV (comma, semicolon or tab; UTF-8, UTF-16 or Windows-1252), XLSX or ODS.
        where: file name for messages.

    Raises:
        ClassListError: the bytes are none of these, or too many for a class list.
    """
    if content.startswith(b"PK\x03\x04"):
        from sheets.files.spreadsheet import spreadsheet_rows

        return Table(tuple(spreadsheet_rows(content, where)))
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        if "EncryptedPackage".encode("utf-16-le") in content:
            raise ClassListError(
                f"{where}: locked with a password; save a copy without one and give that"
            )
        raise ClassListError(f"{where}: an old .xls file; save it as .xlsx")
    decoded = decode(content, where)
    remarks = (f"{where}{decoded.remark}",) if decoded.remark else ()
    return Table(tuple(_csv_rows(decoded, where)), remarks, separated=True)


# --- CSV ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Record:
    """The cells of one record of a CSV file as they stand there, and its lines.

    Args:
        line: the first one, from 1.
        lines: how many there are; more than one where a quoted cell goes on.
    """

    line: int
    lines: int
    cells: tuple[str, ...]


def csv_records(text: str, where: str) -> Iterator[Record]:
    """The records of a CSV text; notes (lines that begin with #) have no cells.

    Raises:
        ClassListError: a quote mark that is not closed, or a cell beyond all measure.
    """
    between = True

    def lines() -> Iterator[str]:
        nonlocal between
        for written in io.StringIO(text, newline=""):
            # A note for people may hold a lone quote mark; in a quoted cell # begins no note.
            note = between and written.lstrip().startswith("#")
            between = False
            yield "\n" if note else written

    reader = csv.reader(lines(), delimiter=delimiter_of(text), strict=True)
    line = 1
    try:
        for cells in reader:
            between = True
            kept = () if _is_separator(cells) else tuple(cells)
            yield Record(line, reader.line_num - line + 1, kept)
            line = reader.line_num + 1
    except csv.Error as error:
        if "field larger" in str(error):
            raise ClassListError(
                f"{where} line {line}: a cell of more than {csv.field_size_limit()} signs; most "
                'likely a quote mark (") is not closed'
            ) from None
        raise ClassListError(
            f'{where} line {line}: a quote mark (") that is not closed or has text after it; '
            "put one quote at each end of the cell, or none"
        ) from None


def _is_separator(cells: list[str]) -> bool:
    """A line such as sep=; that a spreadsheet may put on top to name the separator."""
    return bool(cells) and cells[0].casefold().startswith("sep=") and not any(cells[1:])


def _csv_rows(decoded: Decoded, where: str) -> Iterator[Row]:
    found = 0
    for record in csv_records(decoded.text, where):
        cells = tuple(clean(cell) for cell in record.cells)
        if any(cells):
            found += 1
            if found > MAX_ROWS:
                raise ClassListError(
                    f"{where}: more than {MAX_ROWS} lines; give a class list, not a database"
                )
            yield Row(record.line, cells)


def delimiter_of(text: str) -> str:
    """Comma, semicolon or tab: the one that finds most names of columns in one of the first lines.

    If none finds more than another, the one that makes most cells.
    """
    lines = (line.strip() for line in LINE_END.split(text[:100_000]))
    lines = (line for line in lines if not line.strip('"').casefold().startswith(("#", "sep=")))
    lines = (line for line in lines if re.search(r"\w", line))
    looked_at = list(itertools.islice(lines, HEADER_WITHIN)) or [""]

    def found(delimiter: str) -> tuple[int, int]:
        split = [[cell.strip().strip('"') for cell in line.split(delimiter)] for line in looked_at]
        known = [len(columns_in(cell[:100] for cell in cells)) for cells in split]
        return max(known), max(map(len, split))

    return max((",", ";", "\t"), key=found)
