"""Pages of words, lists and tables for adults, that flow on from page to page.

Lengths in mm. The left margin leaves room for the holes of a binder. Pages are laid out once: what
is known only when all of them are there, such as how many there are, is filled in at the end.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from shapes.letters.font import MM_PER_PT, clings, text_width_mm
from shapes.path import BBox, Path
from sheets.page.frame import MARGIN, rectangle, wrap
from sheets.page.model import (
    ADULT_GREY,
    BLACK,
    FURNITURE_GREY,
    Anchor,
    Colour,
    Fill,
    Mark,
    Page,
    Paper,
    Role,
    Stroke,
    Text,
)

BINDER_MARGIN = 20.0
"""Two or three holes have their far edge 15 to 16 mm from the paper edge (ISO 838: centre 12 mm,
hole 6 mm; US three-hole punches are not standardised)."""
TITLE_PT, HEADING_PT, BODY_PT, FOOT_PT = 16.0, 11.5, 9.0, 8.0
LEADING = 1.24
"""Distance of lines over their type size."""
LINE = BODY_PT * MM_PER_PT * LEADING
"""Distance of the lines of paragraphs, lists and tables."""
HEAD_TINT = "#e8e8e8"
RULE = 0.2
_PAD = 1.2
_GUTTER = 6.0
_OVER_HEADING, _UNDER_HEADING, _UNDER_PARAGRAPH = 2.6, 1.6, 0.7
_TICK = 2.7
Bullet = Literal["box", "dash", "none"]
_INDENT: Mapping[Bullet, float] = {"box": 4.4, "dash": 3.4, "none": 0.0}


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, and whether it holds figures."""

    title: str
    share: float
    figures: bool = False


@dataclass(frozen=True, slots=True)
class Late:
    """A cell of a table whose text is known when all pages are laid out.

    Args:
        key: of its text among those given to :meth:`Flow.finish`.
        like: text that takes at least as much room.
    """

    key: str
    like: str


Cell = str | Late


class Flow:
    """Adult pages in the making: what is added goes below what is there, on new pages as needed.

    Args:
        name: of the packet, for the foot of each page.
    """

    def __init__(self, paper: Paper, name: str) -> None:
        self.paper = paper
        self.name = name
        self.left = BINDER_MARGIN
        self.right = paper.width - MARGIN
        self.low = MARGIN + 5.0
        self._pages: list[Page] = []
        self._bare: set[int] = set()
        self._marks: list[Mark] = []
        self._label = ""
        self._next_label = ""
        self._y = 0.0

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def room(self) -> float:
        """Height that is left on the page."""
        return self._y - self.low

    # --- pages ------------------------------------------------------------------------------------

    def section(
        self, label: str, title: str, *, beside: str = "", aside: str = "", least_mm: float = 1e9
    ) -> None:
        """A large title; ``label`` is the bookmark of its pages.

        Args:
            beside: small words after it on its line, or a paragraph where they do not fit there.
            aside: small words at the right of its line.
            least_mm: room below which it goes to a new page; always as it is.
        """
        self._next_label = label
        if not self._label or self.room < least_mm:
            self._new_page()
        else:
            self._y -= 3.0
            self._label = f"{self._label}, {label}"
        self._y -= TITLE_PT * MM_PER_PT
        taken = text_width_mm(aside, BODY_PT) + 4.0 if aside else 0.0
        first = self._y
        for line in broken(title, TITLE_PT, self.width - taken):
            self._text(self.left, line, TITLE_PT)
            self._y -= TITLE_PT * MM_PER_PT * 1.2
        if aside:
            self._add(Text(self.right, first, aside, BODY_PT, Role.ADULT, anchor="end"))
        self._y += 3.0
        x = self.left + text_width_mm(title, TITLE_PT) + 5.0
        if beside and x + text_width_mm(beside, BODY_PT) <= self.right - taken:
            self._add(Text(x, first, beside, BODY_PT, Role.ADULT))
        elif beside:
            self.paragraph(beside)

    def bare_page(self, label: str, marks: Sequence[Mark]) -> None:
        """A page of its own, without title and foot."""
        self._end_page()
        self._bare.add(len(self._pages))
        self._pages.append(Page(self.paper, tuple(marks), label=label))

    def _new_page(self) -> None:
        self._end_page()
        self._label = self._next_label
        self._y = self.paper.height - MARGIN

    def _end_page(self) -> None:
        if self._label:
            self._pages.append(Page(self.paper, tuple(self._marks), label=self._label))
        self._marks, self._label = [], ""

    def room_for(self, height: float) -> bool:
        """Whether that much fits; otherwise a page of the same section is begun."""
        if self.room >= height:
            return True
        self._new_page()
        return False

    @property
    def labels(self) -> tuple[str, ...]:
        """The section of every page so far."""
        return (*(page.label for page in self._pages), *([self._label] if self._label else []))

    def finish(self, late: Mapping[str, str]) -> tuple[Page, ...]:
        """All pages, with page numbers and the texts of late cells."""
        self._end_page()
        count = len(self._pages)
        return tuple(
            page if i in self._bare else self._whole(page, i + 1, count, late)
            for i, page in enumerate(self._pages)
        )

    def _whole(self, page: Page, number: int, count: int, late: Mapping[str, str]) -> Page:
        marks = tuple(
            dataclasses.replace(mark, text=late[mark.id], id="")
            if isinstance(mark, Text) and mark.id in late
            else mark
            for mark in page.marks
        )
        foot = (
            self._foot(self.left, f"{self.name}: {page.label}, for adults", "start"),
            self._foot(self.right, f"{number} of {count}", "end"),
        )
        return dataclasses.replace(page, marks=(*marks, *foot))

    def _foot(self, x: float, text: str, anchor: Anchor) -> Text:
        return Text(x, MARGIN, text, FOOT_PT, Role.ADULT, colour=FURNITURE_GREY, anchor=anchor)

    # --- words ------------------------------------------------------------------------------------

    def heading(self, text: str, keep_mm: float = 12.0, aside: str = "") -> None:
        """A heading, on a page with at least ``keep_mm`` of what follows.

        Args:
            aside: small words beside it, or below it where they are too long.
        """
        high = HEADING_PT * MM_PER_PT
        if self.room_for(high + _OVER_HEADING + keep_mm):
            self._y -= _OVER_HEADING
        self._y -= high
        self._text(self.left, text, HEADING_PT)
        beside = self._aside_lines(text, aside) == 0
        if aside and beside:
            x = self.left + text_width_mm(text, HEADING_PT) + 3.0
            self._add(Text(x, self._y, aside, BODY_PT, Role.ADULT, colour=ADULT_GREY))
        self._y -= _UNDER_HEADING
        if not beside:
            self.paragraph(aside)

    def heading_height(self, text: str, aside: str = "") -> float:
        """Height of a heading, with what is above and below it."""
        lines = self._aside_lines(text, aside)
        below = paragraph_height(lines) if lines else 0.0
        return _OVER_HEADING + HEADING_PT * MM_PER_PT + _UNDER_HEADING + below

    def _aside_lines(self, text: str, aside: str) -> int:
        """Lines of the paragraph that an aside becomes; 0 if it fits beside the heading."""
        room = self.width - text_width_mm(text, HEADING_PT) - 3.0
        if text_width_mm(aside, BODY_PT) <= room:
            return 0
        return len(broken(aside, BODY_PT, self.width))

    def paragraph(self, text: str, *, label: str = "", indent: float = 0.0) -> None:
        """A paragraph as wide as the page; a label stands left of an indented one."""
        for i, line in enumerate(broken(text, BODY_PT, self.width - indent)):
            self.room_for(LINE)
            self._y -= LINE
            if label and i == 0:
                mark = Text(self.left, self._y, label, BODY_PT, Role.ADULT, colour=ADULT_GREY)
                self._add(mark)
            self._text(self.left + indent, line, BODY_PT)
        self._y -= _UNDER_PARAGRAPH

    def points(self, lines: Sequence[str], *, mark: Bullet = "dash", columns: int = 1) -> None:
        """One paragraph a line, with a dash or a box to tick, in columns of about one height."""
        width = (self.width - _GUTTER * (columns - 1)) / columns
        left = [broken(line, BODY_PT, width - _INDENT[mark]) for line in lines]
        while left:
            most = max(_high(left[0]), self.room)
            share = sum(map(_high, left)) / columns
            top, lowest = self._y, self._y
            for column in range(columns):
                x, y = self.left + column * (width + _GUTTER), top
                # A column ends where it has its share, give or take half a point.
                while left and top - (y - _high(left[0])) <= most + 1e-6:
                    enough = top - y + _high(left[0]) / 2.0 > share
                    if enough and column < columns - 1 and y < top:
                        break
                    y = self._point(x, y, left.pop(0), mark)
                lowest = min(lowest, y)
            self._y = lowest
            if left:
                self._new_page()

    def _point(self, x: float, y: float, lines: Sequence[str], mark: Bullet) -> float:
        at = y - LINE
        if mark == "box":
            tick = rectangle(BBox(x + 0.3, at - 0.2, x + 0.3 + _TICK, at - 0.2 + _TICK))
            self._add(Stroke((tick,), 0.25, Role.ADULT, join="miter"))
        elif mark == "dash":
            self._add(Text(x + 0.4, at, "–", BODY_PT, Role.ADULT))
        for line in lines:
            y -= LINE
            self._add(Text(x + _INDENT[mark], y, line, BODY_PT, Role.ADULT))
        return y - _UNDER_PARAGRAPH

    def gap(self, height: float) -> None:
        """Empty room, as far as the page has it."""
        self._y = max(self.low, self._y - height)

    def block(self, height: float, draw: Callable[[BBox], Sequence[Mark]]) -> None:
        """Marks in a box as wide as the page that is not broken over pages."""
        self.room_for(height)
        box = BBox(self.left, self._y - height, self.right, self._y)
        self._marks += draw(box)
        self._y -= height

    def _text(self, x: float, text: str, size_pt: float, colour: Colour = BLACK) -> None:
        self._add(Text(x, self._y, text, size_pt, Role.ADULT, colour=colour))

    def _add(self, mark: Mark) -> None:
        self._marks.append(mark)

    # --- tables -----------------------------------------------------------------------------------

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> None:
        """A ruled table; its head comes again on every page.

        Args:
            rows: one text a column; long ones are broken into lines.
        """
        total = sum(column.share for column in columns)
        edges = [self.left]
        for column in columns:
            edges.append(edges[-1] + self.width * column.share / total)
        head = [column.title for column in columns]
        self._y -= 0.8
        self._row(columns, edges, head, head=True)
        for row in (part for whole in rows for part in self._parts(edges, whole)):
            if not self.room_for(_row_height(edges, row)):
                self._row(columns, edges, head, head=True)
            self._row(columns, edges, row)
        self._y -= 1.6

    def _parts(self, edges: Sequence[float], row: Sequence[Cell]) -> list[Sequence[Cell]]:
        """The row itself, or the rows it is cut into because it is higher than a page."""
        page = self.paper.height - MARGIN - self.low - _row_height(edges, [""])
        most = int((page - 1.4) / LINE)
        cells = _cells(edges, row)
        longest = max(len(cell) for cell in cells)
        if longest <= most:
            return [row]
        starts = range(0, longest, most)
        return [[" ".join(cell[i : i + most]) for cell in cells] for i in starts]

    def _row(
        self,
        columns: Sequence[Column],
        edges: Sequence[float],
        row: Sequence[Cell],
        *,
        head: bool = False,
    ) -> None:
        high = _row_height(edges, row)
        if head:
            # A head alone at the foot of a page is no use.
            self.room_for(high + 8.0)
        top, low = self._y, self._y - high
        self._y = low
        if head:
            band = BBox(edges[0], low, edges[-1], top)
            self._add(Fill((rectangle(band),), Role.ADULT, colour=HEAD_TINT))
        for i, (cell, lines) in enumerate(zip(row, _cells(edges, row), strict=True)):
            right = columns[i].figures
            x = edges[i + 1] - _PAD if right else edges[i] + _PAD
            anchor: Anchor = "end" if right else "start"
            late = cell.key if isinstance(cell, Late) else ""
            for k, line in enumerate(lines, start=1):
                at = top - LINE * k
                self._add(Text(x, at, line, BODY_PT, Role.ADULT, id=late, anchor=anchor))
        lines_to_rule = [Path.line((edges[0], low), (edges[-1], low))]
        lines_to_rule += [Path.line((x, low), (x, top)) for x in edges]
        if head:
            lines_to_rule.append(Path.line((edges[0], top), (edges[-1], top)))
        self._add(ruled(lines_to_rule))


def ruled(paths: Sequence[Path]) -> Stroke:
    """The thin grey lines of a table."""
    return Stroke(tuple(paths), RULE, Role.ADULT, colour=FURNITURE_GREY, cap="butt")


def paragraph_height(lines: int) -> float:
    """Height of a paragraph of so many lines, with what is below it."""
    return lines * LINE + _UNDER_PARAGRAPH


def _high(lines: Sequence[str]) -> float:
    return paragraph_height(len(lines))


def _cells(edges: Sequence[float], row: Sequence[Cell]) -> list[tuple[str, ...]]:
    return [
        (cell.like,)
        if isinstance(cell, Late)
        else broken(cell, BODY_PT, edges[i + 1] - edges[i] - 2.0 * _PAD)
        for i, cell in enumerate(row)
    ]


def _row_height(edges: Sequence[float], row: Sequence[Cell]) -> float:
    lines = max(len(cell) for cell in _cells(edges, row))
    return max(lines, 1) * LINE + 1.4


@lru_cache(maxsize=4096)
def broken(text: str, size_pt: float, width: float) -> tuple[str, ...]:
    """Text in lines of at most ``width`` mm; a word that is longer is broken anywhere."""
    lines: list[str] = []
    for line in wrap(text, size_pt, width):
        while text_width_mm(line, size_pt) > width and len(line) > 1:
            fits = (
                next(
                    n
                    for n in range(len(line) - 1, 0, -1)
                    if not clings(line[n]) and text_width_mm(line[:n], size_pt) <= width
                )
                if text_width_mm(line[:1], size_pt) <= width
                else 1
            )
            lines.append(line[:fits])
            line = line[fits:]
        lines.append(line)
    return tuple(lines)
