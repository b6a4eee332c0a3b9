"""Cards to cut apart: the grid they lie on, the cuts that separate them, and their faces.

A grid is cut straight through. All cuts across go from paper edge to paper edge and are guided by
ticks on both sides of the grid. The rows are then stacked on each other, their left paper edges
flush, under the strip that carries the ticks of the cuts down, and cut together. So R rows of C
cards take (R + 1) + (C + 1) cuts where scissors would need 4 R C edges, every tick is still there
when its cut is made, and no ink lies on a cut. Lengths in mm, y up.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.errors import FitError, InputError
from shapes.letters.font import MM_PER_PT, text_width_mm
from shapes.path import BBox, Path
from shapes.pictures.picture import Picture
from sheets.page.art import LINE_MM, picture_in
from sheets.page.frame import rectangle, wrap
from sheets.page.model import FURNITURE_GREY, WHITE, Fill, Mark, Paper, Place, Role, Stroke, Text

LAMINATE_GUTTER = 8.0
"""Between cards that are laminated: two sealed rims of 3 mm, and 2 mm to cut in. Film makers ask
for 2 to 3 mm of sealed film all round (common practice, no source)."""
TICK_ROOM = 6.0
"""Room beside and below a grid for its ticks and their numbers."""
CAPTION_PT = 18.0
CAPTION_LEADING = 1.25
"""Distance of caption lines over their type size."""

_TICK_GAP = 1.5
_TICK = 4.0
_LEAST_PICTURE = 15.0

Direction = Literal["across", "down"]


@dataclass(frozen=True, slots=True)
class CardCut:
    """One straight cut of a trimmer.

    Args:
        at: y of a cut across, x of a cut down.
        start, end: x (across) or y (down) where the cut begins and ends; a cut down goes through
            the stacked rows and the piece below them, not through what lies above the grid.
    """

    number: int
    direction: Direction
    at: float
    start: float
    end: float

    @property
    def path(self) -> Path:
        if self.direction == "across":
            return Path.line((self.start, self.at), (self.end, self.at))
        return Path.line((self.at, self.start), (self.at, self.end))


@dataclass(frozen=True, slots=True)
class CardGrid:
    """Cards of one size in rows and columns; cells are counted from the upper left, row by row.

    Args:
        x, y: lower left corner of the grid on the paper.
        count: number of cards; the cells after them stay empty.
        gutter: gap between neighbours; 0 lets them share a cut.
    """

    paper: Paper
    x: float
    y: float
    rows: int
    columns: int
    width: float
    height: float
    count: int
    gutter: float = 0.0

    @property
    def box(self) -> BBox:
        """All cells, without the ticks."""
        return BBox(
            self.x,
            self.y,
            self.x + _span(self.columns, self.width, self.gutter),
            self.y + _span(self.rows, self.height, self.gutter),
        )

    def cell(self, row: int, column: int) -> BBox:
        """The cell of a row (0 is the top one) and a column (0 is the left one)."""
        x = self.x + column * (self.width + self.gutter)
        y = self.y + (self.rows - 1 - row) * (self.height + self.gutter)
        return BBox(x, y, x + self.width, y + self.height)

    @property
    def cards(self) -> tuple[BBox, ...]:
        """The boxes of the cards, row by row."""
        return tuple(self.cell(*divmod(i, self.columns)) for i in range(self.count))

    @property
    def cuts(self) -> tuple[CardCut, ...]:
        """All cuts of the paper in the order in which they are made."""
        box = self.box
        ys = sorted(_edges(self.y, self.rows, self.height, self.gutter), reverse=True)
        xs = _edges(self.x, self.columns, self.width, self.gutter)
        across = [CardCut(i, "across", y, 0.0, self.paper.width) for i, y in enumerate(ys, 1)]
        down = [CardCut(i, "down", x, 0.0, box.y1) for i, x in enumerate(xs, len(ys) + 1)]
        return (*across, *down)

    @property
    def film_cuts(self) -> int:
        """Cuts of the laminated sheet, down the middle of the gaps; 0 without a gutter."""
        return self.rows + self.columns + 2 if self.gutter else 0

    def _counts(self) -> tuple[int, int]:
        """Cuts across, and cuts in all."""
        return sum(cut.direction == "across" for cut in self.cuts), len(self.cuts)

    def plan(self) -> str:
        """How to cut the paper, for the adult."""
        across, total = self._counts()
        rows = "stacked rows" if self.rows > 1 else "row"
        return (
            f"{total} straight cuts: 1 to {across} across the whole paper; then {across + 1} to "
            f"{total} down through the {rows}, the strip with their ticks on top, left edges flush."
        )

    def short_plan(self) -> str:
        """The same in a few words, for the foot of the page that is cut."""
        across, total = self._counts()
        rows = "rows stacked" if self.rows > 1 else "row"
        return (
            f"{total} straight cuts: 1 to {across} across the paper, {across + 1} to {total} down "
            f"({rows} under the strip with the ticks)."
        )

    def film_plan(self) -> str:
        """How to laminate the cards, for the adult; empty without a gutter."""
        if not self.gutter:
            return ""
        return (
            f"Laminate the cut cards {self.gutter:g} mm apart, as printed; cut the film down the "
            f"middle of the gaps ({self.film_cuts} straight cuts) and round the corners."
        )


def _span(count: int, size: float, gutter: float) -> float:
    return count * size + (count - 1) * gutter


def _edges(start: float, count: int, size: float, gutter: float) -> list[float]:
    """Both edges of every cell along one direction, shared ones once."""
    if gutter == 0.0:
        return [start + i * size for i in range(count + 1)]
    step = size + gutter
    return [start + i * step + edge for i in range(count) for edge in (0.0, size)]


def grid_in(
    area: BBox,
    paper: Paper,
    count: int,
    width: float,
    height: float,
    *,
    gutter: float = 0.0,
    columns: int | None = None,
) -> CardGrid:
    """A grid at the top of an area, in its middle from left to right, ticks within the area.

    Args:
        area: where grid and ticks go, mm on the paper.
        count: number of cards, 1 or more.
        width, height: size of a card.
        columns: cards in a row; None takes as many as fit, evened out over the rows.

    Raises:
        InputError: no card, no column, a card without a size, or a gap less than nothing.
        FitError: the cards do not fit the area.
    """
    if (
        count < 1
        or min(width, height) <= 0.0
        or gutter < 0.0
        or (columns is not None and columns < 1)
    ):
        raise InputError(
            f"{count} cards of {width:g} x {height:g} mm, {gutter:g} mm apart, cannot be laid out",
            fix="give at least one card, with a size",
        )
    across = area.width - 2.0 * TICK_ROOM
    most = int((across + gutter + 1e-9) // (width + gutter))
    if columns is None:
        columns = math.ceil(count / math.ceil(count / most)) if most else 1
    rows = math.ceil(count / columns)
    high = _span(rows, height, gutter) + TICK_ROOM
    if columns > most or high > area.height + 1e-9:
        raise FitError(
            f"{count} cards of {width:g} x {height:g} mm do not fit "
            f"{area.width:.0f} x {area.height:.0f} mm",
            where="cards",
            fix="use fewer or smaller cards",
        )
    x = area.center[0] - _span(columns, width, gutter) / 2.0
    return CardGrid(
        paper, x, area.y1 - high + TICK_ROOM, rows, columns, width, height, count, gutter
    )


# --- what is printed for cutting ------------------------------------------------------------------


def cut_ticks(grid: CardGrid) -> list[Mark]:
    """Numbered ticks for a trimmer: beside the grid for cuts across, below it for cuts down."""
    box = grid.box
    near, far = _TICK_GAP, _TICK_GAP + _TICK
    marks: list[Mark] = []
    for cut in grid.cuts:
        if cut.direction == "across":
            ticks = [
                Path.line((box.x0 - far, cut.at), (box.x0 - near, cut.at)),
                Path.line((box.x1 + near, cut.at), (box.x1 + far, cut.at)),
            ]
            # Below: the topmost may lie close under the line that says what to do.
            label_at = (box.x0 - far, cut.at - 2.7)
        else:
            ticks = [Path.line((cut.at, box.y0 - far), (cut.at, box.y0 - near))]
            label_at = (cut.at + 0.7, box.y0 - far)
        marks.append(
            Stroke(
                tuple(ticks),
                0.25,
                Role.ADULT,
                id=f"card-cut-{cut.number}",
                colour=FURNITURE_GREY,
                cap="butt",
                data=(("direction", cut.direction),),
            )
        )
        marks.append(
            Text(*label_at, str(cut.number), 6.0, Role.ADULT, colour=FURNITURE_GREY, anchor="start")
        )
    return marks


# --- faces ----------------------------------------------------------------------------------------


def face(
    box: BBox,
    picture: Picture | None,
    *,
    id: str,
    role: Role = Role.CARD,
    captions: Sequence[str] = (),
    inset: float = 3.0,
    least_line_mm: float = 0.0,
    colour: bool = False,
) -> list[Mark]:
    """One card: its white paper (so that its size can be measured), picture, lines of caption.

    All marks have the same role and id, so they are one thing to ``check``.

    Args:
        id: such as ``card-3``.
        captions: lines from top to bottom, as :func:`fit_caption` gives them; an empty one leaves
            a line to write on.
        inset: white rim.
        least_line_mm: thinnest line of the picture.
        colour: with the set's own colours under the lines.

    Raises:
        FitError: the captions leave less than 15 mm for the picture.
    """
    marks: list[Mark] = [Fill((rectangle(box),), role, id, colour=WHITE)]
    inner = box.grown(-inset)
    leading = CAPTION_PT * MM_PER_PT * CAPTION_LEADING
    low = inner.y0 + leading * len(captions)
    if picture is not None:
        room = BBox(inner.x0, low, inner.x1, inner.y1)
        if room.height < _LEAST_PICTURE:
            raise FitError(
                f"{len(captions)} lines of words leave {room.height:.0f} mm for the picture",
                where=id,
                fix="use fewer words or larger cards",
            )
        marks.append(
            picture_with_lines(
                picture,
                room,
                least_line_mm=least_line_mm,
                colour=colour,
                role=role,
                id=id,
            )
        )
    for i, caption in enumerate(captions):
        baseline = low - leading * (i + 0.8)
        if caption:
            x = box.center[0]
            marks.append(Text(x, baseline, caption, CAPTION_PT, role, id, anchor="middle"))
        else:
            line = Path.line((inner.x0, baseline), (inner.x1, baseline))
            marks.append(Stroke((line,), 0.35, role, id=id, colour=FURNITURE_GREY, cap="butt"))
    return marks


def fit_caption(
    text: str, width: float, *, size_pt: float = CAPTION_PT, most_lines: int = 2
) -> tuple[str, ...] | None:
    """A caption broken into lines of at most ``width`` mm; None if it needs more lines."""
    lines = wrap(text, size_pt, width)
    if not lines or len(lines) > most_lines:
        return None
    return tuple(lines) if all(text_width_mm(s, size_pt) <= width for s in lines) else None


def picture_with_lines(
    picture: Picture,
    box: BBox,
    *,
    line_mm: float = LINE_MM,
    least_line_mm: float = 0.0,
    colour: bool = False,
    role: Role = Role.ART,
    id: str = "",
) -> Place:
    """A picture in the middle of a box, its lines between two widths on the page.

    Widening lines is for children who see little; it leaves the drawing's shape as it is.

    Args:
        colour: with the set's own colours under the lines.
    """
    widest = max(line_mm, least_line_mm)
    placed = picture_in(picture, box, colour=colour, role=role, id=id, line_mm=widest)
    widths = [mark.width for mark in placed.artwork.marks if isinstance(mark, Stroke)]
    thinnest = min(widths, default=math.inf)
    reach = (least_line_mm - thinnest * placed.at.scale) / 2.0
    if reach <= 0.0:
        return placed
    # Wider lines stand out further, so the drawing is made smaller by as much.
    shrunk = box.grown(-reach)
    placed = picture_in(picture, shrunk, colour=colour, role=role, id=id, line_mm=widest)
    # To 0.01, so that one picture in boxes of one size is one artwork whatever the last digit.
    least = math.ceil(least_line_mm / placed.at.scale * 100.0 - 1e-6) / 100.0
    marks = tuple(
        dataclasses.replace(mark, width=max(mark.width, least))
        if isinstance(mark, Stroke)
        else mark
        for mark in placed.artwork.marks
    )
    art = dataclasses.replace(
        placed.artwork,
        id=f"{placed.artwork.id}-least-{round(least * 100)}",
        marks=marks,
        bbox=placed.artwork.bbox.grown((least - thinnest) / 2.0),
    )
    return dataclasses.replace(placed, artwork=art)
