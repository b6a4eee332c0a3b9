"""Where the places of pattern rows lie on the page.

A row runs from left to right and breaks after whole units where one line would make its places too
small; a thread leads from a line to the next one. A row to copy has its model straight above (or
below) each line, so that neither hand covers it; it breaks anywhere, so that its lines differ.
Lengths in mm on the paper, y up.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.errors import FitError
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.options import Options, is_low
from sheets.kinds.pattern.rows import Row
from sheets.kinds.pattern.task import PatternTask
from sheets.kinds.settings import amount
from sheets.page.model import FURNITURE_GREY, Mark, Role, Stroke

ROOM_FOR_TILE = 3.0
"""A place is wider than its tile by this."""
MOUTHED_TILE = 38.0
BOLD = 2.0
"""Least line for low vision."""
_WALL = 0.9
_BESIDE_MODEL = 4.0
_BETWEEN_LINES = 9.0
_BETWEEN_ROWS = 14.0
_WIDEST_BETWEEN = 48.0
_LEAST_CELL = 16.0
_LEAST_BOX = 18.0
_THREAD = 0.7
_THREAD_CLEAR = 2.0  # more than half of the boldest wall
_HEAD = 2.2

Kind = Literal["model", "given", "empty"]


@dataclass(frozen=True, slots=True)
class Slot:
    """One place on the page.

    Args:
        row: number of the row, from 0.
        place: place in the row, from 0.
        kind: of the model, printed already, or empty.
    """

    row: int
    place: int
    kind: Kind
    box: BBox


@dataclass(frozen=True, slots=True)
class Layout:
    """All places, and the threads from line to line."""

    slots: tuple[Slot, ...]
    threads: tuple[Mark, ...]


def tile_side(task: PatternTask, options: Options) -> float:
    """Side of the square tiles in mm: wider than the small-parts cylinder."""
    side = amount("pattern", task.stage, "tile")
    return max(side, MOUTHED_TILE) if "mouths-objects" in options.needs else side


def wall(options: Options) -> float:
    """Width of the line round an empty place, in mm; half of it lies inside the place."""
    return max(_WALL, BOLD) if "low-vision" in options.needs else _WALL


def lay_out(task: PatternTask, area: BBox, options: Options) -> Layout:
    """All rows one below the other, spread over the area.

    Raises:
        FitError: the places would become too small.
    """
    plans = [_plan(task, row, area.width, options) for row in task.rows]
    fixed = sum(plan.fixed_height for plan in plans) + _BETWEEN_ROWS * (len(plans) - 1)
    growing = sum(plan.cell_lines for plan in plans)
    most = (area.height - fixed) / growing if growing else math.inf
    heights = [min(plan.cell, most) for plan in plans]
    if min(heights) < _LEAST_CELL:
        raise FitError(
            f"{len(plans)} row{'' if len(plans) == 1 else 's'} of {task.rows[0].form} with places "
            f"of {plans[0].box:.0f} mm do not fit the page",
            where="pattern",
            fix="use boxes (`as` boxes) or a shorter part that repeats",
        )
    high = [plan.height(cell) for plan, cell in zip(plans, heights, strict=True)]
    free = area.height - sum(high)
    between = min(_WIDEST_BETWEEN, free / (len(plans) + 1))
    between = max(between, _BETWEEN_ROWS) if len(plans) > 1 else 0.0
    # A little above the middle: the eye begins at the head of the page.
    y = area.y1 - (free - between * (len(plans) - 1)) * 0.4
    slots: list[Slot] = []
    threads: list[Mark] = []
    for number, (plan, cell) in enumerate(zip(plans, heights, strict=True)):
        x = area.center[0] - plan.width / 2.0
        _draw_row(task, number, plan, cell, x, y, slots, threads)
        y -= plan.height(cell) + between
    return Layout(tuple(slots), tuple(threads))


@dataclass(frozen=True, slots=True)
class _Plan:
    """The lines of one row.

    Args:
        lines: places of each line.
        cell, box: width of a printed and of an empty place.
        copied: each line stands twice, as a model and to be filled.
    """

    row: Row
    lines: tuple[tuple[int, ...], ...]
    cell: float
    box: float
    copied: bool

    def box_height(self, line: Sequence[int]) -> float:
        """Height the line needs for its empty places; 0 if it has none."""
        return self.box if any(i in self.row.empty for i in line) else 0.0

    @property
    def fixed_height(self) -> float:
        """What does not shrink with the cells."""
        boxes = sum(self.box_height(line) for line in self.lines)
        beside = _BESIDE_MODEL * len(self.lines) if self.copied else 0.0
        return boxes + beside + _BETWEEN_LINES * (len(self.lines) - 1)

    @property
    def cell_lines(self) -> int:
        """Lines whose height is that of a cell."""
        plain = sum(self.box_height(line) == 0.0 for line in self.lines)
        return plain + (len(self.lines) if self.copied else 0)

    def height(self, cell: float) -> float:
        return self.fixed_height + self.cell_lines * cell

    def widths(self, line: Sequence[int]) -> list[float]:
        if self.copied:
            return [self.cell] * len(line)
        return [self.box if i in self.row.empty else self.cell for i in line]

    @property
    def width(self) -> float:
        return max(sum(self.widths(line)) for line in self.lines)


def _plan(task: PatternTask, row: Row, width: float, options: Options) -> _Plan:
    """As few lines as leave the places large enough."""
    copied = task.form in ("copy", "match")
    most = amount("pattern", task.stage, "cell")
    bound = limits("pattern", task.stage).get("cell_size")
    # The limit is of what the line leaves free.
    least = (bound.minimum if bound is not None else None) or _LEAST_BOX
    least += wall(options)
    tile = tile_side(task, options) + ROOM_FOR_TILE if task.answer == "tiles" else None
    if is_low(options):
        least, most = max(least, 28.0), max(most, 44.0)
    units = len(row.cells) // row.unit
    for count in range(1, units + 1):
        lines = _dealt(row, count) if copied else _lines(row, units, count)
        if copied:
            pitch = min(most if tile is None else max(most, tile), width / max(map(len, lines)))
            if pitch >= max(least, tile or 0.0) - 1e-9:
                return _Plan(row, lines, pitch, pitch if tile is None else tile, True)
            continue
        cell = min(_cell(row, line, width, tile) for line in lines)
        if cell >= least - 1e-9:
            # Beside a tile's place the others are no larger.
            cell = min(cell, most) if tile is None else min(cell, most, tile)
            return _Plan(row, lines, cell, cell if tile is None else tile, False)
    raise FitError(
        f"a row of {row.form} with places of {max(least, tile or 0.0):.0f} mm does not fit "
        f"{width:.0f} mm",
        where="pattern",
        fix="use boxes (`as` boxes) or a shorter part that repeats",
    )


def _lines(row: Row, units: int, count: int) -> tuple[tuple[int, ...], ...]:
    """Whole units dealt to lines, the first lines no shorter than the later ones."""
    lines: list[tuple[int, ...]] = []
    start = 0
    for number in range(count):
        take = -(-(units - start) // (count - number))
        lines.append(tuple(range(start * row.unit, (start + take) * row.unit)))
        start += take
    return tuple(lines)


def _dealt(row: Row, count: int) -> tuple[tuple[int, ...], ...]:
    """Places dealt evenly to lines: broken after whole units, the lines would all be the same."""
    total = len(row.cells)
    starts = [-(-total * i // count) for i in range(count + 1)]
    return tuple(tuple(range(a, b)) for a, b in itertools.pairwise(starts))


def _cell(row: Row, line: Sequence[int], width: float, tile: float | None) -> float:
    """Widest printed place the line has room for; without tiles empty places are as wide."""
    if tile is None:
        return width / len(line)
    empty = sum(i in row.empty for i in line)
    room = width - empty * tile
    if room < 0.0:
        return 0.0
    return room / (len(line) - empty) if len(line) > empty else math.inf


def _draw_row(
    task: PatternTask,
    number: int,
    plan: _Plan,
    cell: float,
    x: float,
    top: float,
    slots: list[Slot],
    threads: list[Mark],
) -> None:
    def one(line: Sequence[int], y1: float, high: float, *, model: bool) -> BBox:
        left = x
        for i, wide in zip(line, plan.widths(line), strict=True):
            kind: Kind = "model" if model else "empty" if i in plan.row.empty else "given"
            tall = high
            wide_box = BBox(left, y1 - high, left + wide, y1)
            if not model and not plan.copied and kind == "given" and tall > wide:
                # A place beside a tile's is no higher than wide, in the middle of the line.
                middle = y1 - high / 2.0
                wide_box = BBox(left, middle - wide / 2.0, left + wide, middle + wide / 2.0)
            slots.append(Slot(number, i, kind, wide_box))
            left += wide
        return BBox(x, y1 - high, left, y1)

    y = top
    before: BBox | None = None
    for index, line in enumerate(plan.lines):
        high = plan.box_height(line) or cell
        if plan.copied:
            first_is_model = task.model == "above"
            tall = cell if first_is_model else high
            upper = one(line, y, tall, model=first_is_model)
            y = upper.y0 - _BESIDE_MODEL
            lower = one(line, y, high if first_is_model else cell, model=not first_is_model)
            y = lower.y0
        else:
            here = one(line, y, high, model=False)
            if before is not None:
                threads.append(_thread(before, here, f"thread-{number + 1}-{index}"))
            before = here
            y = here.y0
        y -= _BETWEEN_LINES


def _thread(line: BBox, following: BBox, id: str) -> Stroke:
    """From under the end of a line to above the start of the next one."""
    gap = line.y0 - following.y1
    x1, x0 = line.x1 - 8.0, following.x0 + 8.0
    middle = line.y0 - gap / 2.0
    tip = following.y1 + _THREAD_CLEAR
    way = Path.from_points([(x1, line.y0 - _THREAD_CLEAR), (x1, middle), (x0, middle), (x0, tip)])
    head = Path.from_points(
        [(x0 - _HEAD * 0.7, tip + _HEAD), (x0, tip), (x0 + _HEAD * 0.7, tip + _HEAD)]
    )
    return Stroke((way, head), _THREAD, Role.GUIDE, id=id, colour=FURNITURE_GREY)
