"""Pages of words and tables for adults: headings, paragraphs and ruled tables that flow on.

Lengths in mm. The left margin leaves room for the holes of a binder.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from shapes.letters.font import MM_PER_PT, clings, text_width_mm
from shapes.path import BBox, Path
from sheets.page.frame import MARGIN, rectangle, wrap
from sheets.page.model import FURNITURE_GREY, Anchor, Fill, Mark, Page, Paper, Role, Stroke, Text

BINDER_MARGIN = 20.0
"""Two or three holes have their far edge 15 to 16 mm from the paper edge (ISO 838: centre 12 mm,
hole 6 mm; US three-hole punches are not standardised)."""
TITLE_PT, HEADING_PT, BODY_PT, TABLE_PT, FOOT_PT = 17.0, 12.0, 10.0, 9.0, 8.0
_LEADING = 1.36
_PAD = 1.3
_HEAD_TINT = "#e8e8e8"
_RULE = 0.2


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, and whether it holds figures."""

    title: str
    share: float
    figures: bool = False


class Flow:
    """Adult pages in the making: what is added goes below what is there, on new pages as needed.

    Args:
        name: of the packet, for the foot of each page.
        take: given each page when it is full, so that a large class needs no more room than a
            small one; None to count pages only.
        count: how many pages there will be, for the foot of each; 0 if that is not known yet.
    """

    def __init__(
        self, paper: Paper, name: str, take: Callable[[Page], None] | None, count: int
    ) -> None:
        self.paper = paper
        self.name = name
        self._take = take
        self._count = count
        self.left = BINDER_MARGIN
        self.right = paper.width - MARGIN
        self.low = MARGIN + 7.0
        self._marks: list[Mark] = []
        self._label = ""
        self._labels: list[str] = []
        self._y = 0.0

    @property
    def width(self) -> float:
        return self.right - self.left

    # --- pages ------------------------------------------------------------------------------------

    def section(self, label: str, title: str) -> None:
        """A new page with a large title; ``label`` is its bookmark."""
        self._new_page(label)
        self._y -= TITLE_PT * MM_PER_PT
        for line in broken(title, TITLE_PT, self.width):
            self._text(self.left, line, TITLE_PT)
            self._y -= TITLE_PT * MM_PER_PT * _LEADING
        self._y += 1.5

    def bare_page(self, label: str, marks: Sequence[Mark]) -> None:
        """A page of its own, without title and foot."""
        self._end_page()
        self._labels.append(label)
        if self._take is not None:
            self._take(Page(self.paper, tuple(marks), label=label))

    def _new_page(self, label: str) -> None:
        self._end_page()
        self._label = label
        self._y = self.paper.height - MARGIN

    def _end_page(self) -> None:
        if not self._label:
            return
        self._labels.append(self._label)
        number = f"{len(self._labels)} of {self._count}"
        foot = (
            self._foot(self.left, f"{self.name}: {self._label.lower()}, for adults", "start"),
            self._foot(self.right, number, "end"),
        )
        if self._take is not None:
            self._take(Page(self.paper, (*self._marks, *foot), label=self._label))
        self._marks, self._label = [], ""

    def _room_for(self, height: float) -> bool:
        """Whether that much fits; otherwise a page of the same section is begun."""
        if self._y - height >= self.low:
            return True
        self._new_page(self._label)
        return False

    def finish(self) -> tuple[str, ...]:
        """The section of every page, once the last one is done."""
        self._end_page()
        return tuple(self._labels)

    def _foot(self, x: float, text: str, anchor: Anchor) -> Text:
        return Text(x, MARGIN, text, FOOT_PT, Role.ADULT, colour=FURNITURE_GREY, anchor=anchor)

    # --- words ------------------------------------------------------------------------------------

    def heading(self, text: str, keep_mm: float = 12.0) -> None:
        """A heading, on a page with at least ``keep_mm`` of what follows."""
        high = HEADING_PT * MM_PER_PT
        if self._room_for(high + 4.0 + keep_mm):
            self._y -= 4.0
        self._y -= high
        self._text(self.left, text, HEADING_PT)
        self._y -= 2.2

    def paragraph(self, text: str, *, indent: float = 0.0, size_pt: float = BODY_PT) -> None:
        """A paragraph as wide as the page."""
        leading = size_pt * MM_PER_PT * _LEADING
        for line in broken(text, size_pt, self.width - indent):
            self._room_for(leading)
            self._y -= leading
            self._text(self.left + indent, line, size_pt)
        self._y -= 1.2

    def points(self, lines: Sequence[str], *, box: bool = False) -> None:
        """One paragraph a line, with a dash, or with a box to tick."""
        for line in lines:
            leading = BODY_PT * MM_PER_PT * _LEADING
            self._room_for(leading)
            y = self._y - leading
            if box:
                tick = rectangle(BBox(self.left + 0.4, y - 0.2, self.left + 3.2, y + 2.6))
                self._add(Stroke((tick,), 0.25, Role.ADULT, join="miter"))
            else:
                self._add(Text(self.left + 0.4, y, "–", BODY_PT, Role.ADULT))
            self.paragraph(line, indent=5.0)

    def _text(self, x: float, text: str, size_pt: float) -> None:
        self._add(Text(x, self._y, text, size_pt, Role.ADULT))

    def _add(self, mark: Mark) -> None:
        self._marks.append(mark)

    # --- tables -----------------------------------------------------------------------------------

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        *,
        least_mm: float = 0.0,
        blank: Sequence[str] | None = None,
    ) -> None:
        """A ruled table; its head comes again on every page.

        Args:
            rows: one text a column; long ones are broken into lines.
            least_mm: height of a row at least, for tables to write in.
            blank: what stands in further rows, down to the foot of the last page; None for none.
        """
        total = sum(column.share for column in columns)
        edges = [self.left]
        for column in columns:
            edges.append(edges[-1] + self.width * column.share / total)
        head = [column.title for column in columns]
        self._y -= 1.0
        self._row(columns, edges, head, 0.0, head=True)
        for row in (part for whole in rows for part in self._parts(edges, whole)):
            if not self._room_for(self._height(edges, row, least_mm)):
                self._row(columns, edges, head, 0.0, head=True)
            self._row(columns, edges, row, least_mm)
        if blank is not None and least_mm > 0.0:
            while self._y - self._height(edges, blank, least_mm) >= self.low:
                self._row(columns, edges, blank, least_mm)
        self._y -= 2.5

    def _cells(self, edges: Sequence[float], row: Sequence[str]) -> list[tuple[str, ...]]:
        return [
            broken(text, TABLE_PT, edges[i + 1] - edges[i] - 2.0 * _PAD)
            for i, text in enumerate(row)
        ]

    def _parts(self, edges: Sequence[float], row: Sequence[str]) -> list[Sequence[str]]:
        """The row itself, or the rows it is cut into because it is higher than a page."""
        page = self.paper.height - MARGIN - self.low - self._height(edges, [""], 0.0)
        most = int((page - 1.6) / (TABLE_PT * MM_PER_PT * _LEADING))
        cells = self._cells(edges, row)
        longest = max(len(cell) for cell in cells)
        if longest <= most:
            return [row]
        starts = range(0, longest, most)
        return [[" ".join(cell[i : i + most]) for cell in cells] for i in starts]

    def _height(self, edges: Sequence[float], row: Sequence[str], least_mm: float) -> float:
        lines = max(len(cell) for cell in self._cells(edges, row))
        return max(least_mm, max(lines, 1) * TABLE_PT * MM_PER_PT * _LEADING + 1.6)

    def _row(
        self,
        columns: Sequence[Column],
        edges: Sequence[float],
        row: Sequence[str],
        least_mm: float,
        *,
        head: bool = False,
    ) -> None:
        high = self._height(edges, row, least_mm)
        if head:
            # A head alone at the foot of a page is no use.
            self._room_for(high + 8.0)
        top, low = self._y, self._y - high
        self._y = low
        if self._take is None:
            return
        if head:
            band = BBox(edges[0], low, edges[-1], top)
            self._add(Fill((rectangle(band),), Role.ADULT, colour=_HEAD_TINT))
        leading = TABLE_PT * MM_PER_PT * _LEADING
        for i, lines in enumerate(self._cells(edges, row)):
            right = columns[i].figures
            x = edges[i + 1] - _PAD if right else edges[i] + _PAD
            for k, line in enumerate(lines, start=1):
                y = top - leading * k - 0.2
                anchor: Anchor = "end" if right else "start"
                self._add(Text(x, y, line, TABLE_PT, Role.ADULT, anchor=anchor))
        lines_to_rule = [Path.line((edges[0], low), (edges[-1], low))]
        lines_to_rule += [Path.line((x, low), (x, top)) for x in edges]
        if head:
            lines_to_rule.append(Path.line((edges[0], top), (edges[-1], top)))
        self._add(
            Stroke(tuple(lines_to_rule), _RULE, Role.ADULT, colour=FURNITURE_GREY, cap="butt")
        )


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
