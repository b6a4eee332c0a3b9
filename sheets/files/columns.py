"""Finds the columns of a class list by what teachers call them, in six languages."""

from __future__ import annotations

import tomllib
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sheets.kinds import SKILLS
from sheets.kinds.options import Hand
from sheets.theme.problems import few, nearest_of, quoted

LETTERS_LANGUAGE = "letters language"
COLUMNS = ("name", "tag", "hand", *SKILLS, "needs", "language", LETTERS_LANGUAGE)

HEADER_WITHIN = 10
"""The line of column names is looked for in so many lines that are not empty."""

_DATA = Path(__file__).with_name("columns.toml")


@dataclass(frozen=True, slots=True)
class Header:
    """Where the columns are.

    Args:
        row: index of the line of column names among the rows looked at.
        places: column -> index of the cell; each there once.
        twice: index and column of those whose name is there twice.
        ignored: what the teacher is told of columns that are not read; empty if there are none.
    """

    row: int
    places: Mapping[str, int]
    twice: tuple[tuple[int, str], ...]
    ignored: str


def find_header(rows: Sequence[Sequence[str]]) -> Header:
    """The columns of a list: of its first ten rows, the one with most known names is the header.

    A row without a column of names is taken only if no other has one.

    Args:
        rows: cells, at least one row.
    """
    looked_at = rows[:HEADER_WITHIN]

    def worth(index: int) -> tuple[bool, int]:
        found = columns_in(looked_at[index])
        return "name" in found, len(found)

    row = max(range(len(looked_at)), key=worth)
    cells = looked_at[row]
    wanted: dict[str, list[int]] = {}
    unknown = []
    for index, cell in enumerate(cells):
        if column := column_of(cell):
            wanted.setdefault(column, []).append(index)
        elif cell:
            unknown.append(_not_known(cell))
    places: dict[str, int] = {}
    twice = []
    for column, indexes in wanted.items():
        ranks = {index: _known()[plain(cells[index])][1] for index in indexes}
        best = [index for index in indexes if ranks[index] == min(ranks.values())]
        places[column] = best[0]
        twice += [(index, column) for index in best[1:]]
        unknown += [
            f"{quoted(cells[index])} ({quoted(cells[best[0]])} is read for {column})"
            for index in indexes
            if index not in best
        ]
    return Header(row, places, tuple(twice), few(unknown))


def column_of(text: str) -> str:
    """The column that a teacher's name for it means; empty if it is none."""
    return _known().get(plain(text), ("",))[0]


def columns_in(cells: Iterable[str]) -> set[str]:
    """The columns that cells are names of."""
    return {column for cell in cells if (column := column_of(cell))}


def hand_of(text: str) -> Hand | None:
    """The hand that a cell means, None if it is none."""
    return _hands().get(plain(text))


def plain(text: str) -> str:
    """A name for comparing: no case, accents, blanks, or signs but the question mark."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in apart if char.isalnum() or char == "?")


def _not_known(cell: str) -> str:
    near = nearest_of(plain(cell), COLUMNS)
    return f"{quoted(cell)} (did you mean {near}?)" if near else quoted(cell)


@cache
def _known() -> dict[str, tuple[str, int]]:
    """Plain name -> the column it means, and its place in the order of that column's names."""
    listed: dict[str, list[str]] = tomllib.loads(_DATA.read_text("utf-8"))["columns"]
    known: dict[str, tuple[str, int]] = {}
    for column in COLUMNS:
        names = listed.get(column, [])
        own: Iterable[str] = () if column in names else (column,)
        for rank, name in enumerate((*own, *names)):
            known.setdefault(plain(name), (column, rank))
    return known


@cache
def _hands() -> dict[str, Hand]:
    listed: dict[Hand, list[str]] = tomllib.loads(_DATA.read_text("utf-8"))["hands"]
    return {plain(word): hand for hand, words in listed.items() for word in words}
