"""Reads the values of a teacher's TOML file, collecting every problem with its place."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from sheets.theme.languages import tag_problem
from sheets.theme.problems import Problems, nearest, quoted, unprintable

MAX_TEXT, MAX_NOTE = 60, 300
"""Longest word or title, and longest note: far above what a card or an adult page holds."""

MAX_ITEMS = 200
"""Most entries in a list, for the same reason."""

_HEADER = re.compile(r"\s*(\[\[?)\s*([\w-]+)\s*\]")
_KEY = re.compile(r"\s*([\w-]+)\s*=")


class At(NamedTuple):
    """A table of the file: its name, and its number where there are several."""

    table: str = ""
    number: int = 0


class Fields:
    """Typed access to the tables of one file.

    A method that meets a wrong value notes a problem and returns an empty one of the right type, so
    that reading goes on and all problems of the file are found together.

    Args:
        where: file name for messages.
        text: the file as written, to name lines.
        keys: table name -> keys it may have; the name of the top of the file is empty.
    """

    def __init__(self, where: str, text: str, keys: Mapping[str, tuple[str, ...]]) -> None:
        self.where, self.keys = where, keys
        self.lines = _line_numbers(text)
        self.problems = Problems()
        self.remarks: list[str] = []

    def table(self, data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
        """A table that is there once; empty if it is not."""
        row = data.get(name, {})
        if not isinstance(row, dict):
            self.problem(At(), name, f"not a table; begin it with [{name}]")
            return {}
        if name in data:
            self.check_keys(row, At(name))
        return row

    def rows(
        self, data: Mapping[str, Any], name: str, needed: bool = False, most: int = MAX_ITEMS
    ) -> Iterator[tuple[At, Mapping[str, Any]]]:
        """The tables of a list such as [[words]]."""
        for number, row in self.items(data, name, At(), "table", dict, needed, most):
            at = At(name, number)
            self.check_keys(row, at)
            yield at, row

    def items(
        self,
        row: Mapping[str, Any],
        key: str,
        at: At,
        what: str,
        types: type | tuple[type, ...],
        needed: bool = False,
        most: int = MAX_ITEMS,
    ) -> list[tuple[int, Any]]:
        """The entries of a list that have the right type, numbered from 1."""
        value = row.get(key)
        if value is None:
            if needed:
                self.problem(at, key, f"missing; give a list of one {what} or more")
            return []
        if not isinstance(value, list) or not value:
            fault = "empty" if value == [] else "not a list"
            self.problem(at, key, f"{fault}; give a list of one {what} or more, or leave it out")
            return []
        if len(value) > most:
            self.problem(at, key, f"{len(value)} entries; give {most} at most")
            return []
        numbered = list(enumerate(value, 1))
        for number, item in numbered:
            if not isinstance(item, types):
                self.problem(at, key, f"entry {number} is no {what}; correct it")
        return [(number, item) for number, item in numbered if isinstance(item, types)]

    def text(self, row: Mapping[str, Any], key: str, at: At, needed: bool = True) -> str:
        """A line of text; empty if it is missing or wrong."""
        value = row.get(key)
        if value is None and not needed:
            return ""
        if value is None:
            self.problem(at, key, f'missing; write {key} = "..."')
            return ""
        return self.line(value, at, key, MAX_NOTE if key == "note" else MAX_TEXT)

    def texts(
        self, row: Mapping[str, Any], key: str, at: At, needed: bool = True, shown: str = ""
    ) -> tuple[str, ...]:
        """A list of lines of text without those that are wrong; ``shown`` names it in messages."""
        name = shown or key
        items = self.items({name: row.get(key)}, name, at, "text", str, needed)
        lines = [self.line(item, at, name) for _number, item in items]
        return tuple(line for line in lines if line)

    def line(self, value: object, at: At, key: str, longest: int = MAX_TEXT) -> str:
        """One value as a line of text in NFC; empty if it is something else."""
        if not isinstance(value, str):
            self.problem(at, key, "not text; put it in quotes")
            return ""
        line = unicodedata.normalize("NFC", value).strip()
        if not line:
            self.problem(at, key, "empty; write a word")
        elif len(line) > longest:
            self.problem(at, key, f"longer than {longest} characters; shorten it")
        elif unprintable(line):
            self.problem(at, key, "holds a line break or control character; remove it")
        else:
            return line
        return ""

    def language_tags(self, data: Mapping[str, Any], key: str, at: At) -> tuple[str, ...]:
        tags = self.texts(data, key, at, needed=False)
        for tag in tags:
            if found := tag_problem(tag):
                self.problem(at, key, found)
        self.refuse_twice(tags, at, key)
        return tags

    # --- problems ---

    def check_keys(self, row: Mapping[str, Any], at: At) -> None:
        for key in row:
            if key not in self.keys[at.table]:
                # Looking for the nearest takes long, and of many problems only few are told.
                near = "" if self.problems.full else nearest(key, self.keys[at.table])
                self.problem(at, key, f"unknown key; {near}")

    def refuse_twice(self, texts: Iterable[str], at: At, key: str) -> None:
        seen: set[str] = set()
        for text in texts:
            if text.casefold() in seen:
                self.problem(at, key, f"{quoted(text)} is there twice; drop one")
            seen.add(text.casefold())

    def problem(self, at: At, key: str, text: str) -> None:
        self.problems.append(f"{self._place(at, key)}: {text}")

    def remark(self, at: At, key: str, text: str) -> None:
        self.remarks.append(f"{self._place(at, key)}: {text}")

    def _place(self, at: At, key: str) -> str:
        """Such as ``reedy-pond.toml line 12, words 3 "picture"``; no line if it is not certain."""
        keys = self.lines.get(at, {})
        line = keys.get(key, keys.get(""))
        place = f"{self.where} line {line}," if line else f"{self.where},"
        table = f" {at.table}" if at.table else ""
        number = f" {at.number}" if at.number else ""
        return f"{place}{table}{number} {quoted(key)}"


def _line_numbers(text: str) -> dict[At, dict[str, int]]:
    """Table -> key -> line; the key "" stands for the table's own line.

    Reads only what people usually write: headers and keys at the beginning of a line.
    """
    found: dict[At, dict[str, int]] = {At(): {}}
    numbers: dict[str, int] = {}
    keys: dict[str, int] = found[At()]
    for number, line in enumerate(text.split("\n"), 1):
        if '"""' in line or "'''" in line:
            return {}  # a text over several lines may hold anything
        if header := _HEADER.match(line):
            table = header[2]
            if header[1] == "[[":
                numbers[table] = numbers.get(table, 0) + 1
            keys = found.setdefault(At(table, numbers.get(table, 0)), {})
            keys.setdefault("", number)
        elif key := _KEY.match(line):
            keys.setdefault(key[1], number)
    return found
