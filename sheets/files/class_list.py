"""The class list: one row a child, with a stage for every skill, read from CSV or XLSX.

Everything wrong with a file is reported at once, each problem in one line with its place. Names
stay in memory; nothing here writes them anywhere.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from shapes.errors import InputError
from shapes.letters.font import can_be_printed
from sheets.check.guidance import STAGES
from sheets.files.class_rows import ClassListError, Row, read_rows
from sheets.files.reading import read_file
from sheets.kinds import SKILLS
from sheets.kinds.options import NEEDS, Hand
from sheets.theme.languages import language_tag
from sheets.theme.problems import nearest, quoted, unprintable

__all__ = ["COLUMNS", "NEEDS", "SKILLS", "Child", "ClassList", "ClassListError", "load", "parse"]

_Problem = Callable[[str, str], None]  # column, what is wrong with the cell
_CellOf = Callable[[str], str]

LETTERS_LANGUAGE = "letters language"
COLUMNS = ("name", "tag", "hand", *SKILLS, "needs", "language", LETTERS_LANGUAGE)
ALSO_CALLED = {"home language": "language"}
HIGHEST = STAGES[-1]

MAX_BYTES = 2_000_000
MAX_CHILDREN = 500
MAX_NAME = 60
"""Limits far above any class, so that a wrong file is refused quickly."""

_HANDS: Mapping[str, Hand] = {
    "l": "left",
    "left": "left",
    "r": "right",
    "right": "right",
    "?": "either",
    "either": "either",
    "": "either",
}


@dataclass(frozen=True, slots=True)
class Child:
    """One row of the class list.

    Args:
        name: as written, in Unicode NFC, without blanks at the ends.
        tag: two letters or more, different for every child of the list.
        hand: the cutting hand; ``either`` if not settled or not given.
        stages: skill -> 0 to 6; a skill that is not set is not in it and gets no page.
        needs: words of :data:`NEEDS`, sorted.
        language: tag of the language at home, such as ``es``, for words on pages and the family
            note; empty for the theme's main language.
        row: line of the file it stands in, the header being line 1 of a plain file.
        shown: the name as printed: with the tag beside it where two children share a name.
        letters_language: tag of the language whose letters and words letter pages have; empty for
            the theme's main language, whatever is spoken at home.
    """

    name: str
    tag: str
    hand: Hand
    stages: Mapping[str, int] = field(hash=False)
    needs: tuple[str, ...]
    language: str
    row: int
    shown: str
    letters_language: str = ""


@dataclass(frozen=True, slots=True)
class ClassList:
    """All children in the order of the file.

    Args:
        warnings: one line for each thing the teacher may want to know, such as a stage not set.
    """

    children: tuple[Child, ...]
    warnings: tuple[str, ...] = ()


def load(path: str | Path) -> ClassList:
    """Read a class list file, CSV (comma, semicolon or tab; UTF-8) or XLSX (its first sheet).

    Raises:
        FileError: the file is missing or unreadable.
        ClassListError: one or more problems in it.
    """
    path = Path(path)
    return parse(read_file(str(path), MAX_BYTES, "class list"), path.name)


def parse(content: bytes, where: str) -> ClassList:
    """The class list in the bytes of a CSV or XLSX file.

    Args:
        where: file name for messages.

    Raises:
        ClassListError: one or more problems; each line names file, line and column.
    """
    if len(content) > MAX_BYTES:
        raise ClassListError(
            f"{where}: larger than {MAX_BYTES // 1_000_000} MB; give a class list, not a database"
        )
    rows = read_rows(content, where, (*COLUMNS, *ALSO_CALLED))
    return _Reader(where, rows).class_list()


class _Reader:
    """Turns rows of text into children, collecting every problem on the way."""

    def __init__(self, where: str, rows: Sequence[Row]) -> None:
        self.where = where
        self.rows = [row for row in rows if any(row.cells) and not row.cells[0].startswith("#")]
        self.problems: list[str] = []
        self.remarks: list[str] = []

    def class_list(self) -> ClassList:
        if not self.rows:
            raise ClassListError(
                f"{self.where}: empty; the first line names the columns, such as name,hand"
            )
        places = self._columns(self.rows[0])
        if self.problems:
            raise ClassListError(*self.problems)
        body = self.rows[1:]
        if not body:
            raise ClassListError(
                f"{self.where}: no children in it; give each child a line below the header"
            )
        if len(body) > MAX_CHILDREN:
            raise ClassListError(
                f"{self.where}: {len(body)} children; split it, {MAX_CHILDREN} at most"
            )
        children = [self._child(row, places) for row in body]
        self._check_given_tags(children)
        if self.problems:
            raise ClassListError(*self.problems)
        return ClassList(_finish(children), tuple(self.remarks))

    def _columns(self, header: Row) -> dict[str, int]:
        """Column name -> index, with a problem for each name that is unknown or there twice."""
        places: dict[str, int] = {}
        for index, cell in enumerate(header.cells):
            if not cell:
                continue
            name = ALSO_CALLED.get(cell.casefold(), cell.casefold())
            if name not in COLUMNS:
                fix = nearest(name, COLUMNS)
                self._problem(header.line, index, "", f"unknown column {quoted(cell)}; {fix}")
            elif name in places:
                self._problem(header.line, index, "", f"column {name} is there twice; drop one")
            else:
                places[name] = index
        if "name" not in places:
            self.problems.append(
                f"{self.where} line {header.line}: no column called name; the first line names the "
                f"columns: {', '.join(COLUMNS)}"
            )
        return places

    def _child(self, row: Row, places: Mapping[str, int]) -> Child:
        named = set(places.values())
        for index, cell in enumerate(row.cells):
            if cell and index not in named:
                self._problem(
                    row.line,
                    index,
                    "",
                    f"{quoted(cell)} stands in a column without a name; name "
                    "the column, or put quotes round a cell that holds the separator",
                )

        def cell_of(column: str) -> str:
            index = places.get(column)
            return row.cells[index] if index is not None and index < len(row.cells) else ""

        def problem(column: str, text: str) -> None:
            self._problem(row.line, places[column], column, text)

        name = self._name(cell_of("name"), problem)
        tag = cell_of("tag")
        if tag and not (1 <= len(tag) <= 4 and tag.isalnum()):
            problem("tag", f"{quoted(tag)} is not a tag; give one to four letters, or none")
        if not can_be_printed(tag):
            self.remarks.append(
                f"{self.where} line {row.line}: the tag cannot be printed here; another is given"
            )
            tag = ""
        hand = _HANDS.get(cell_of("hand").casefold())
        if hand is None:
            problem("hand", f"{quoted(cell_of('hand'))} is not a hand; write L, R or ?")
        needs = self._needs(cell_of("needs"), problem)
        language = self._language(cell_of("language"), "language", problem)
        letters = self._language(cell_of(LETTERS_LANGUAGE), LETTERS_LANGUAGE, problem)
        stages = self._stages(row.line, name, needs, cell_of, problem)
        # A skill without a column is nobody's: the packet says so once.
        unset = [s for s in SKILLS if s in places and s not in stages and cell_of(s) == ""]
        if unset:
            self.remarks.append(
                f"{self.where} line {row.line} {name}: no stage for {', '.join(unset)}, so no page "
                f"for {'it' if len(unset) == 1 else 'them'}"
            )
        return Child(name, tag, hand or "either", stages, needs, language, row.line, name, letters)

    def _language(self, text: str, column: str, problem: _Problem) -> str:
        try:
            return language_tag(text) if text else ""
        except InputError as error:
            problem(column, str(error))
            return ""

    def _name(self, text: str, problem: _Problem) -> str:
        if not text:
            problem("name", "no name; write one or empty the whole line")
        elif len(text) > MAX_NAME:
            problem("name", f"longer than {MAX_NAME} characters; shorten it")
        elif unprintable(text):
            problem("name", f"{quoted(text)} holds a line break or control character; remove it")
        return text

    def _needs(self, text: str, problem: _Problem) -> tuple[str, ...]:
        found: list[str] = []
        for word in re.split(r"[;,|]", text):
            need = re.sub(r"[\s_]+", "-", word.strip().casefold()).replace("color", "colour")
            if not need:
                continue
            if need not in NEEDS:
                problem("needs", f"unknown need {quoted(word.strip())}; {nearest(need, NEEDS)}")
            found.append(need)
        return tuple(sorted(set(found)))

    def _stages(
        self, line: int, name: str, needs: tuple[str, ...], cell_of: _CellOf, problem: _Problem
    ) -> dict[str, int]:
        stages: dict[str, int] = {}
        for skill in SKILLS:
            text = cell_of(skill)
            if re.fullmatch(r"[0-9]", text) and int(text) <= HIGHEST:
                stages[skill] = int(text)
            elif text:
                problem(skill, f"{quoted(text)} is not a stage; write 0 to {HIGHEST}, or nothing")
        if "not-cutting" in needs:
            if stages.get("cutting", 0) > 0:
                self.remarks.append(
                    f"{self.where} line {line} {name}: cutting is {stages['cutting']} but needs "
                    "says not-cutting; the page for stage 0 is made"
                )
            stages["cutting"] = 0
        return stages

    def _check_given_tags(self, children: Sequence[Child]) -> None:
        first: dict[str, Child] = {}
        for child in children:
            if not child.tag:
                continue
            other = first.setdefault(child.tag.casefold(), child)
            if other is not child:
                self.problems.append(
                    f'{self.where} line {child.row} "tag": {quoted(child.tag)} is also the tag in '
                    f"line {other.row}; change one or leave it empty"
                )

    def _problem(self, line: int, index: int, column: str, text: str) -> None:
        named = f' "{column}"' if column else ""
        self.problems.append(f"{self.where} line {line}, column {index + 1}{named}: {text}")


def _finish(children: Sequence[Child]) -> tuple[Child, ...]:
    """The children with their tags, and told apart where names are the same."""
    tags = _give_tags([child.name for child in children], [child.tag for child in children])
    names = [child.name.casefold() for child in children]
    return tuple(
        replace(
            child, tag=tag, shown=f"{child.name} ({tag})" if names.count(name) > 1 else child.name
        )
        for child, tag, name in zip(children, tags, names, strict=True)
    )


def _give_tags(names: Sequence[str], given: Sequence[str]) -> list[str]:
    """A tag for every name; those given stay.

    A name keeps its first choice unless an earlier row has the same one, so that a row added at the
    end leaves the tags above it alone, except a second choice that is the new name's first.
    """
    tags = list(given)
    taken = {tag.casefold() for tag in given if tag}
    for first_choice in (True, False):
        for index, name in enumerate(names):
            if tags[index]:
                continue
            choices = _tag_choices(name)
            if first_choice:
                choices = itertools.islice(choices, 1)
            for tag in choices:
                if tag.casefold() not in taken:
                    tags[index] = tag
                    taken.add(tag.casefold())
                    break
    return tags


def _tag_choices(name: str) -> Iterator[str]:
    """Initials of a name in parts, then first letter and a later one, then two, then numbers."""
    parts = [part for part in re.split(r"[\W\d_]+", name) if part]
    letters = "".join(char for part in parts for char in part if can_be_printed(char)) or "X"
    # The capital of a few letters is two letters long.
    first = letters[0].upper() if len(letters[0].upper()) == 1 else letters[0]
    # So is the small form of a capital with a dot: only the letter of it is taken.
    rest = "".join(letter.lower()[0] for letter in letters[1:])
    if len(parts) > 1 and can_be_printed(parts[1][0]):
        yield first + parts[1][0].lower()[0]
    for letter in rest:
        yield first + letter
    for two in itertools.combinations(rest, 2):
        yield first + "".join(two)
    for number in itertools.count(1):
        yield f"{first}{rest[:1]}{number}"
