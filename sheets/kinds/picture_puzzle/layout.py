"""How large a puzzle and its pieces are, and where the picture lies in it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.child_cuts import beside
from sheets.kinds.options import Options, least_line
from sheets.kinds.sheet import UNDER_TITLE
from sheets.page.cards import picture_with_lines
from sheets.page.frame import WORK_HEIGHT, WORK_WIDTH
from sheets.page.model import Place
from sheets.theme.theme import Step

RIM = 4.0
"""White between the picture and the edge of the puzzle."""
SLACK = 2.0
"""A frame is wider than the puzzle by this on each side, for pieces that are not cut exactly."""
WALL = 2.0
"""Widest line of a frame."""
SMALL = 46.0
"""Height of the small picture above an empty frame."""
BELOW_SMALL = 7.0
BAND = 15.0
"""At the foot of a strip, for its numeral."""
LINE_MM = 2.0
"""Widest line of the picture: it fills a page, where the usual 1.2 mm looks faint (our setting)."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A puzzle of equal pieces.

    Args:
        columns, rows: of pieces; straight cuts part them from edge to edge.
        width, height: of a piece.
        band: at the foot, for numerals; 0 without any.
    """

    columns: int
    rows: int
    width: float
    height: float
    band: float = 0.0

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the puzzle."""
        return self.columns * self.width, self.rows * self.height

    def cells(self, x: float = 0.0, y: float = 0.0) -> tuple[BBox, ...]:
        """The pieces in reading order where the puzzle's lower left corner is at (x, y)."""
        return tuple(
            BBox(
                x + column * self.width,
                y + row * self.height,
                x + (column + 1) * self.width,
                y + (row + 1) * self.height,
            )
            for row in reversed(range(self.rows))
            for column in range(self.columns)
        )

    def box(self, x: float = 0.0, y: float = 0.0) -> BBox:
        """The puzzle where its lower left corner is at (x, y)."""
        return BBox(x, y, x + self.size[0], y + self.size[1])


def least_piece(stage: int) -> float:
    """Shorter side of a piece at least: the limit ``card_width`` of matching."""
    return limits("matching", stage)["card_width"].minimum or 0.0


def layouts(
    steps: Sequence[Step], count: int, *, stage: int, line: float, small: bool, strips: bool
) -> list[Layout]:
    """All ways of parting a picture into so many equal pieces, the squarest pieces first.

    Args:
        steps: one thing, or four side by side.
        line: width of the lines a child cuts along; 0 if an adult cuts.
        small: room for the small picture above the frame.
    """
    least = least_piece(stage)
    band = BAND if strips else 0.0
    found = []
    for columns in range(1, count + 1):
        rows = count // columns
        if rows * columns != count or (strips and rows > 1):
            continue
        most = _most(columns, rows, line, small)
        wide, high = _filled(steps, most, band)
        # Along the cuts a slim picture may have a wider rim: every piece still has its part of it.
        width = max(math.floor(wide / columns), least if columns == 1 else 0.0)
        height = max(math.floor(high / rows), least if rows == 1 else 0.0)
        if min(width, height) >= least and width * columns <= most[0] and height * rows <= most[1]:
            found.append(Layout(columns, rows, float(width), float(height), band))
    return sorted(found, key=lambda one: abs(math.log(one.width / one.height)))


def _most(columns: int, rows: int, line: float, small: bool) -> tuple[float, float]:
    """The largest puzzle that both pages have room for: that of the frame, and that of the pieces,
    which lie apart by the lines a child cuts along."""
    reach = 2.0 * (SLACK + WALL)
    above = SMALL + BELOW_SMALL if small else 0.0
    wide = WORK_WIDTH - 2.0 * beside(line) - (columns - 1) * line
    high = WORK_HEIGHT - UNDER_TITLE - beside(line) - line - (rows - 1) * line
    return (
        min(wide, WORK_WIDTH - reach),
        min(high, WORK_HEIGHT - UNDER_TITLE - above - reach),
    )


def _filled(steps: Sequence[Step], most: tuple[float, float], band: float) -> tuple[float, float]:
    """The puzzle round one picture as large as fits; four take all there is."""
    if len(steps) > 1:
        return most
    box = steps[0].picture.bbox
    wide, high = most[0] - 2.0 * RIM, most[1] - 2.0 * RIM - band
    scale = min(wide / box.width, high / box.height)
    return box.width * scale + 2.0 * RIM, box.height * scale + 2.0 * RIM + band


def placed(
    steps: Sequence[Step],
    box: BBox,
    options: Options,
    *,
    rim: float = RIM,
    line_mm: float = LINE_MM,
    colour: bool = False,
) -> tuple[Place, ...]:
    """The pictures of a puzzle in its box: one in the middle, or four in two rows."""
    return tuple(
        picture_with_lines(
            step.picture,
            part.grown(-rim),
            line_mm=line_mm,
            least_line_mm=least_line(options),
            colour=colour,
        )
        for step, part in zip(steps, _parts(box, len(steps)), strict=True)
    )


def shown(
    steps: Sequence[Step],
    box: BBox,
    options: Options,
    *,
    rim: float = RIM,
    line_mm: float = LINE_MM,
    tint: bool = True,
) -> tuple[Place, ...]:
    """The same with the colours asked for, or else with a light tint, but for the ink saver."""
    from sheets.kinds.picture_puzzle.ink import tinted

    if options.colour:
        return placed(steps, box, options, rim=rim, line_mm=line_mm, colour=True)
    if options.ink == "saver" or not tint:
        return placed(steps, box, options, rim=rim, line_mm=line_mm)
    return tuple(tinted(*one) for one in _both(steps, box, options, rim, line_mm))


def outlines(steps: Sequence[Step], box: BBox, options: Options) -> tuple[Path, ...]:
    """The outer edges of the pictures of a puzzle in its box."""
    from sheets.kinds.picture_puzzle.ink import outline

    both = _both(steps, box, options, RIM, LINE_MM)
    return tuple(path for one in both for path in outline(*one))


def _both(
    steps: Sequence[Step], box: BBox, options: Options, rim: float, line_mm: float
) -> Iterator[tuple[Place, Place, float]]:
    """Each picture without and with its colours, and by how much its lines are thinned."""
    plain, coloured = (
        placed(steps, box, options, rim=rim, line_mm=line_mm, colour=colour)
        for colour in (False, True)
    )
    for step, lines, areas in zip(steps, plain, coloured, strict=True):
        widths = [shape.stroke_width for shape in step.picture.line if shape.stroke]
        drawn = max(widths, default=0.0) * lines.at.scale
        yield lines, areas, max(0.0, drawn - max(line_mm, least_line(options)))


def _parts(box: BBox, count: int) -> Iterator[BBox]:
    """The box, or its quarters in reading order."""
    across = 1 if count == 1 else 2
    wide, high = box.width / across, box.height / across
    for i in range(count):
        x, y = box.x0 + (i % across) * wide, box.y1 - (i // across + 1) * high
        yield BBox(x, y, x + wide, y + high)


def picture_box(layout: Layout, box: BBox) -> BBox:
    """The part of a puzzle's box above the numerals."""
    return BBox(box.x0, box.y0 + layout.band, box.x1, box.y1)
