"""The class list: one row a child, with a stage for every skill, read from CSV, XLSX or ODS.

Everything wrong with a file is reported at once, each problem in one line with its place. Names
stay in memory; nothing here writes them anywhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from shapes.errors import InputError
from shapes.letters.font import can_be_printed
from sheets.check.guidance import STAGES
from sheets.files.class_rows import read_table
from sheets.files.columns import (
    COLUMNS,
    HEADER_WITHIN,
    LETTERS_LANGUAGE,
    find_header,
    hand_of,
)
from sheets.files.reading import read_file
from sheets.files.rows import ClassListError, Row, Table
from sheets.files.tags import MAX_TAG, give_tags
from sheets.kinds import SKILLS
from sheets.kinds.options import NEEDS, Hand
from sheets.theme.languages import language_tag
from sheets.theme.problems import Problems, count_of, few, nearest, quoted, unprintable

__all__ = ["COLUMNS", "NEEDS", "SKILLS", "Child", "ClassList", "ClassListError", "load", "parse"]

_Problem = Callable[[str, str], None]  # column, what is wrong with the cell
_CellOf = Callable[[str], str]

HIGHEST = STAGES[-1]

_MEGABYTES = 2
MAX_BYTES = _MEGABYTES * 1_000_000
MAX_CHILDREN = 500
MAX_NAME = 60
MAX_COLUMNS = 200
"""Limits far above any class, so that a wrong file is refused quickly."""

_DATE = re.compile(r"\d{1,4}([-./])\d{1,2}\1\d{1,4}( \d{1,2}:\d\d(:\d\d)?)?")
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*")


@dataclass(frozen=True, slots=True)
class Child:
    """One row of the class list.

    Args:
        name: as written, in Unicode NFC, without blanks at the ends.
        tag: one to six letters and figures, different for every child of the list; where the
            teacher gives none it is made from the name and is never the whole name.
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
        header: line of the file that names the columns.
        columns: column -> index of its cells.
        width: cells of the header and of the children's rows up to the last one that is filled.
    """

    children: tuple[Child, ...]
    warnings: tuple[str, ...]
    header: int
    columns: Mapping[str, int] = field(hash=False)
    width: int


def load(path: str | Path) -> ClassList:
    """Read a class list file: CSV (comma, semicolon or tab), or XLSX or ODS (its first sheet).

    Raises:
        FileError: the file is missing or unreadable.
        ClassListError: one or more problems in it.
    """
    path = Path(path)
    return parse(read_file(str(path), MAX_BYTES, "class list"), path.name)


def parse(content: bytes, where: str) -> ClassList:
    """The class list in the bytes of a CSV, XLSX or ODS file.

    Args:
        where: file name for messages.

    Raises:
        ClassListError: one or more problems; each line names file, line and column.
    """
    if len(content) > MAX_BYTES:
        raise ClassListError(
            f"{where}: larger than {_MEGABYTES} MB; give a class list, not a database"
        )
    return _Reader(where, read_table(content, where)).class_list()


class _Reader:
    """Turns rows of text into children, collecting every problem on the way."""

    def __init__(self, where: str, table: Table) -> None:
        self.where = where
        self.separated = table.separated
        self.rows = [row for row in table.rows if not row.cells[0].startswith("#")]
        self.problems = Problems()
        self.remarks = list(table.remarks)
        self.unread: list[str] = []  # lines with cells outside the columns that are read

    def class_list(self) -> ClassList:
        if not self.rows:
            raise ClassListError(
                f"{self.where}: empty; the first line names the columns, such as name,hand"
            )
        header, places, body = self._columns()
        if "name" not in places:
            self.problems.refuse(ClassListError)
        if self.unread:
            self.remarks.append(
                f"{self.where}: cells that stand in no column of ours are not read, in line "
                f"{few(self.unread)}"
            )
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
        self.problems.refuse(ClassListError)
        width = max(_filled(row) for row in (header, *body))
        return ClassList(_finish(children), tuple(self.remarks), header.line, places, width)

    def _columns(self) -> tuple[Row, Mapping[str, int], list[Row]]:
        """The header, column name -> index, and the rows of children below."""
        looked_at = self.rows[:HEADER_WITHIN]
        widest = max(looked_at, key=lambda row: len(row.cells))
        if len(widest.cells) > MAX_COLUMNS:
            raise ClassListError(
                f"{self.where} line {widest.line}: {len(widest.cells)} columns; "
                f"leave {MAX_COLUMNS} at most"
            )
        header = find_header([row.cells for row in looked_at])
        named = self.rows[header.row]
        for index, column in header.twice:
            self._problem(named.line, index, "", f"column {column} is there twice; drop one")
        if "name" not in header.places:
            self.problems.append(
                f"{self.where} line {named.line}: no column called name; the first line names the "
                f"columns: {', '.join(COLUMNS)}"
            )
        elif header.row:
            above = count_of(header.row, "line")
            self.remarks.append(
                f"{self.where}: {above} above the names of the columns (line {named.line}) not read"
            )
        if header.ignored:
            self.remarks.append(f"{self.where}: columns not read: {header.ignored}")
        below = self.rows[header.row + 1 :]
        children = [row for row in below if self._is_child(row, named, header.places)]
        return named, header.places, children

    def _is_child(self, row: Row, header: Row, places: Mapping[str, int]) -> bool:
        """Whether a row holds a child; cells below no name are told.

        In CSV such a cell means a separator too many, in a spreadsheet it is the teacher's own.
        """
        named = {index for index, cell in enumerate(header.cells) if cell}
        filled = [index for index, cell in enumerate(row.cells) if cell]
        index = next((index for index in filled if index not in named), None)
        if index is not None and self.separated:
            self._problem(
                row.line,
                index,
                "",
                f"{quoted(row.cells[index])} stands in a column without a name; name "
                "the column, or put quotes round a cell that holds the separator",
            )
            return True
        if not set(filled) & set(places.values()):
            self.unread.append(str(row.line))
            return False
        if index is not None:
            self.unread.append(str(row.line))
        return True

    def _child(self, row: Row, places: Mapping[str, int]) -> Child:
        def cell_of(column: str) -> str:
            index = places.get(column)
            return row.cells[index] if index is not None and index < len(row.cells) else ""

        def problem(column: str, text: str) -> None:
            self._problem(row.line, places[column], column, text)

        name = self._name(cell_of("name"), problem)
        tag = cell_of("tag")
        if tag and not (len(tag) <= MAX_TAG and tag.isalnum()):
            problem("tag", f"{quoted(tag)} is not a tag; give one to six letters, or none")
        if name and tag.casefold() == name.casefold():
            self.remarks.append(
                f"{self.where} line {row.line} {name}: the tag is the name, so the adult's pages "
                "show it; give another tag or none"
            )
        if not can_be_printed(tag):
            self.remarks.append(
                f"{self.where} line {row.line}: the tag cannot be printed here; another is given"
            )
            tag = ""
        hand = hand_of(cell_of("hand"))
        if hand is None:
            problem("hand", f"{quoted(cell_of('hand'))} is not a hand; write L, R or ?")
        needs = self._needs(cell_of("needs"), problem)
        language = self._language(cell_of("language"), "language", problem)
        letters = self._language(cell_of(LETTERS_LANGUAGE), LETTERS_LANGUAGE, problem)
        stages = self._stages(row.line, name, needs, cell_of, problem)
        # A skill without a column is nobody's: the packet says so once.
        unset = [skill for skill in SKILLS if skill in places and skill not in stages]
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
        elif _DATE.fullmatch(text):
            problem(
                "name",
                f"{quoted(text)} is a date, which the spreadsheet makes of some texts; format the "
                "cell as text and type the name again",
            )
        elif text.startswith("error #"):
            problem("name", f"{quoted(text[6:])} is an error of the spreadsheet; type the name")
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
            if stages.get("cutting"):
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


def _filled(row: Row) -> int:
    return max(index for index, cell in enumerate(row.cells, 1) if cell)


def _finish(children: Sequence[Child]) -> tuple[Child, ...]:
    """The children with their tags, and told apart where names are the same."""
    tags = give_tags([child.name for child in children], [child.tag for child in children])
    names = [child.name.casefold() for child in children]
    return tuple(
        replace(
            child, tag=tag, shown=f"{child.name} ({tag})" if names.count(name) > 1 else child.name
        )
        for child, tag, name in zip(children, tags, names, strict=True)
    )
