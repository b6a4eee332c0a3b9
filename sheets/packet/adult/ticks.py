"""The grid of the observation sheet: a row a child, boxes to tick, room for a few words.

Lengths in mm. All boxes of a row are one drawing that is placed once a row, as most rows of a kind
are alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from shapes.affine import Affine
from shapes.letters.font import MM_PER_PT, text_width_mm
from shapes.path import BBox, Path
from sheets.packet.adult.flow import BODY_PT, HEAD_TINT, RULE, broken, ruled
from sheets.page.frame import rectangle
from sheets.page.model import ADULT_GREY, Artwork, Fill, Mark, Place, Role, Stroke, Text

HEAD_PT = 7.5
_HEAD_LINE = HEAD_PT * MM_PER_PT * 1.12
_BOX = 3.0
HEAD_PAD = 0.8
_LEAST = 8.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A column of the grid.

    Args:
        group: heading over this column and its neighbours of the same group.
        words: whether rows have a text of their own there; else a box to tick.
        width: mm; 0 for as narrow as the heading lets it.
    """

    head: str
    group: str = ""
    words: bool = False
    width: float = 0.0

    @property
    def wide(self) -> float:
        """Its width, mm."""
        longest = max(text_width_mm(word, HEAD_PT) for word in self.head.split() or [""])
        return self.width or max(_LEAST, longest + 2.0 * HEAD_PAD)


@dataclass(frozen=True, slots=True)
class Row:
    """A row: the texts of the columns with words, and which others have no box."""

    texts: Sequence[str]
    without: frozenset[int] = field(default_factory=frozenset)


class Grid:
    """A grid of columns that fill the width; the last one takes what is left.

    Args:
        left, right: edges on the page.
    """

    def __init__(self, columns: Sequence[Tick], left: float, right: float) -> None:
        self.columns = tuple(columns)
        edges = [left]
        for column in self.columns[:-1]:
            edges.append(edges[-1] + column.wide)
        self.edges = (*edges, right)
        self._heads = [
            broken(column.head, HEAD_PT, b - a - 2.0 * HEAD_PAD + 0.01)
            for column, a, b in zip(self.columns, self.edges, self.edges[1:], strict=False)
        ]

    @property
    def head_height(self) -> float:
        """Height of the headings."""
        lines = max(len(lines) for lines in self._heads)
        grouped = any(column.group for column in self.columns)
        return (lines + grouped) * _HEAD_LINE + 1.8

    def head(self, box: BBox) -> list[Mark]:
        """The headings, in a box of their height."""
        marks: list[Mark] = [Fill((rectangle(box),), Role.ADULT, colour=HEAD_TINT)]
        under = box.y1 - _HEAD_LINE - 0.8
        rules = [Path.line((box.x0, y), (box.x1, y)) for y in (box.y0, box.y1)]
        for i, (lines, a, b) in enumerate(
            zip(self._heads, self.edges, self.edges[1:], strict=False)
        ):
            group = self.columns[i].group
            inside = bool(group) and i > 0 and self.columns[i - 1].group == group
            rules.append(Path.line((a, box.y0), (a, under if inside else box.y1)))
            if group and not inside:
                marks.append(_small((a + self._end(i)) / 2.0, under + 0.9, group))
                rules.append(Path.line((a, under), (self._end(i), under)))
            for k, line in zip(range(len(lines) - 1, -1, -1), lines, strict=True):
                marks.append(_small((a + b) / 2.0, box.y0 + 0.9 + k * _HEAD_LINE, line))
        rules.append(Path.line((box.x1, box.y0), (box.x1, box.y1)))
        return [*marks, ruled(rules)]

    def _end(self, first: int) -> float:
        """Right edge of the group that begins with this column."""
        last = first
        while self.columns[last + 1].group == self.columns[first].group:
            last += 1
        return self.edges[last + 1]

    def rows(self, box: BBox, rows: Sequence[Row], high: float) -> list[Mark]:
        """The rows from the top of a box downwards, each ``high``."""
        marks: list[Mark] = []
        bottom = box.y1 - high * len(rows)
        ys = [box.y1 - high * i for i in range(1, len(rows) + 1)]
        rules = [Path.line((box.x0, y), (box.x1, y)) for y in ys]
        rules += [Path.line((x, bottom), (x, box.y1)) for x in self.edges]
        marks.append(ruled(rules))
        worded = [i for i, column in enumerate(self.columns) if column.words]
        for y, row in zip(ys, rows, strict=True):
            middle = y + high / 2.0
            for i, text in zip(worded, row.texts, strict=True):
                x = (self.edges[i] + self.edges[i + 1]) / 2.0
                at = middle - BODY_PT * MM_PER_PT * 0.35
                marks.append(Text(x, at, text, BODY_PT, Role.ADULT, anchor="middle"))
            boxes = tuple(
                round((self.edges[i] + self.edges[i + 1]) / 2.0, 3)
                for i in range(len(self.columns) - 1)
                if i not in worded and i not in row.without
            )
            if boxes:
                marks.append(Place(_boxes(boxes), Affine.translation(0.0, middle), Role.ADULT))
        return marks


@cache
def _boxes(xs: tuple[float, ...]) -> Artwork:
    """Boxes to tick with their middles at these x and at y 0."""
    half = _BOX / 2.0
    paths = tuple(rectangle(BBox(x - half, -half, x + half, half)) for x in xs)
    stroke = Stroke(paths, RULE, Role.ADULT, id="tick", colour=ADULT_GREY, join="miter")
    grown = half + RULE / 2.0
    name = "ticks-" + "-".join(f"{x:g}".replace(".", "_") for x in xs)
    return Artwork(name, (stroke,), BBox(xs[0] - grown, -grown, xs[-1] + grown, grown))


def _small(x: float, y: float, text: str) -> Text:
    return Text(x, y, text, HEAD_PT, Role.ADULT, colour=ADULT_GREY, anchor="middle")
