"""Who cuts cards apart, and the lines a child cuts along: those of the child's own cutting stage.

An adult cuts unless the child's cutting stage is told and is 3 or more: from there on a child cuts
long straight lines (the limit ``act`` of cutting). The line between two cards is as wide as on a
cutting page of that stage; wide ones are lanes, and the cards lie apart by the whole of it.
"""

from __future__ import annotations

import dataclasses
from typing import Literal

from shapes.errors import InputError
from shapes.path import BBox, Path
from sheets.kinds.lines import lane_style
from sheets.kinds.options import Options, least_line
from sheets.kinds.settings import amount
from sheets.page.cards import TICK_ROOM, CardGrid
from sheets.page.model import BLACK, FURNITURE_GREY, Role, Stroke

CutBy = Literal["adult", "child"]

CUTS_FROM = 3
"""Cutting stage from which a child cuts cards apart: the first with long straight cuts."""
_BEYOND = 1.5  # of a line at its far end, so that the last card comes free


def cutting_stage(cutting: int | None, cut_by: CutBy | None, options: Options) -> int | None:
    """The cutting stage whose lines the child cuts along; None if an adult cuts.

    Args:
        cutting: what the sheet is told; None takes what the options know of the child.
        cut_by: who is to cut whatever the stage; a child of unknown stage gets the line of
            :data:`CUTS_FROM`.

    Raises:
        InputError: a child is to cut whose stage is not to cut.
    """
    stage = options.cutting_stage if cutting is None else cutting
    if cut_by == "adult" or "not-cutting" in options.needs:
        return None
    if cut_by == "child":
        if stage == 0:
            raise InputError(
                "a child at cutting stage 0 tears and does not cut",
                where="`cut-by`",
                fix="let an adult cut, or give another stage in `cutting`",
            )
        return CUTS_FROM if stage is None else stage
    return stage if stage is not None and stage >= CUTS_FROM else None


def line_mm(stage: int, options: Options) -> float:
    """Width of the line a child of a cutting stage cuts along."""
    return max(amount("cutting", stage, "line_width"), least_line(options))


def beside(line: float) -> float:
    """Room beside and below a grid for its outer lines; for ticks if an adult cuts, mm."""
    return max(TICK_ROOM, line + _BEYOND)


def room_for(area: BBox, line: float) -> BBox:
    """The part of an area for a grid and its ticks so that its outer lines have room as well."""
    side = beside(line) - TICK_ROOM
    return BBox(area.x0 + side, area.y0 + side, area.x1 - side, area.y1 - line)


def at_start_side(grid: CardGrid, area: BBox, line: float, options: Options) -> CardGrid:
    """The grid as near the edge where the scissors come in as its area allows."""
    right = area.x1 - line - (grid.box.x1 - grid.box.x0)
    return dataclasses.replace(grid, x=right if options.start_side == "right" else area.x0 + line)


def lines_to_cut(grid: CardGrid, line: float, options: Options) -> Stroke:
    """Lines along all edges of the cards; those across begin at the paper edge.

    They are cut first; then every line down begins at the edge of a strip. An empty cell has no
    lines of its own: it would look like one more box.

    Args:
        grid: with a gutter as wide as the line.
    """
    lane = lane_style(line, options)
    half = line / 2.0
    # A lane that ends in another one leaves the outer edge of that one whole.
    reach = line - (lane.edge if lane is not None else 0.0)
    box, cards = grid.box, grid.cards
    start = grid.paper.width if options.start_side == "right" else 0.0
    paths = []
    for row in range(grid.rows + 1):
        y = box.y1 + half - row * (grid.height + line)
        near = [c for c in cards if c.y0 - line < y < c.y1 + line]
        ends = [start, *(x for c in near for x in (c.x0 - reach, c.x1 + reach))]
        far = (min if options.start_side == "right" else max)(ends)
        paths.append(Path.line((start, y), (far, y)))
    for column in range(grid.columns + 1):
        x = box.x0 - half + column * (grid.width + line)
        near = [c for c in cards if c.x0 - line < x < c.x1 + line]
        low, high = min(c.y0 for c in near) - reach, max(c.y1 for c in near) + reach
        paths.append(Path.line((x, high), (x, low)))
    return Stroke(
        tuple(paths),
        line,
        Role.CUT,
        id="card-lines",
        # A solid line is grey, so that cards do not look like boxes to lay things in.
        colour=FURNITURE_GREY if lane is None else BLACK,
        lane=lane,
        cap="butt",
    )
