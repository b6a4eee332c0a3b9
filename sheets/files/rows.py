"""The rows of a class list as text, whatever kind of file they come from."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from sheets.theme.problems import ProblemsError


class ClassListError(ProblemsError):
    """What is wrong with a class list, one line for each problem."""


MAX_CELL = 2_000
"""Signs of a cell that are read: more than any cell may hold, so that it is refused as too long."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of cells, in Unicode NFC without blanks at their ends, and the line it starts on."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file that hold anything.

    Args:
        remarks: what the teacher may want to know of how the file was read.
        separated: whether cells are told apart by a sign in the text, so that one can be missing.
    """

    rows: tuple[Row, ...]
    remarks: tuple[str, ...] = ()
    separated: bool = False


def clean(text: str) -> str:
    """The text of a cell in NFC without blanks at its ends."""
    return unicodedata.normalize("NFC", text[:MAX_CELL]).strip()
