"""Cards with two sides: backs on the other side of the paper, or front and back side by side.

Cards that are folded over need no printer that meets its own other side, so they are the better
choice where the back has words of its own; the same picture on all backs needs neither.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.path import BBox, Path
from sheets.page.cards import CardGrid
from sheets.page.model import FURNITURE_GREY, Paper, Role, Stroke

BACK_INSET = 5.0
"""Ink on a back stays this far inside the card: front and back of a sheet meet within 1 mm at best
(a copier's service manual, from memory; home printers and hand-fed sheets are worse)."""

FlipEdge = Literal["long", "short"]
Axis = Literal["vertical", "horizontal"]
CardTurn = Literal["book", "pad"]


@dataclass(frozen=True, slots=True)
class Back:
    """Where the back of a card is printed on the other side of the paper.

    Args:
        box: in the coordinates of that side.
        turn_deg: turn of what is printed there, 0 or 180.
    """

    row: int
    column: int
    box: BBox
    turn_deg: float


def flip_axis(paper: Paper, edge: FlipEdge) -> Axis:
    """The axis about which a sheet turns when a printer flips it on its long or short edge."""
    upright = paper.height >= paper.width
    return "vertical" if upright == (edge == "long") else "horizontal"


def backs(grid: CardGrid, edge: FlipEdge, turn: CardTurn = "book") -> tuple[Back, ...]:
    """The backs of all cards of a grid, in the order of the fronts.

    About a vertical axis the back of row r, column c lies at (r, C - 1 - c); about a horizontal
    one at (R - 1 - r, c).

    Args:
        edge: how the printer flips the sheet; see :func:`flip_axis`.
        turn: how the card is turned in the hand: like a page of a book, or up and over like a
            notepad. Where sheet and card turn about different axes the back is printed upside down.
    """
    axis = flip_axis(grid.paper, edge)
    upside_down = axis != ("vertical" if turn == "book" else "horizontal")
    found = []
    for i, front in enumerate(grid.cards):
        row, column = divmod(i, grid.columns)
        if axis == "vertical":
            column = grid.columns - 1 - column
            wide = grid.paper.width
            box = BBox(wide - front.x1, front.y0, wide - front.x0, front.y1)
        else:
            row = grid.rows - 1 - row
            high = grid.paper.height
            box = BBox(front.x0, high - front.y1, front.x1, high - front.y0)
        found.append(Back(row, column, box, 180.0 if upside_down else 0.0))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class FoldCard:
    """A card printed on one side: front at the left, back at the right, folded and glued."""

    front: BBox
    back: BBox
    fold: Path


def fold_over(grid: CardGrid) -> tuple[FoldCard, ...]:
    """The halves of every card of a grid whose cells are two cards wide."""
    found = []
    for cell in grid.cards:
        x = cell.center[0]
        found.append(
            FoldCard(
                front=BBox(cell.x0, cell.y0, x, cell.y1),
                back=BBox(x, cell.y0, cell.x1, cell.y1),
                fold=Path.line((x, cell.y1), (x, cell.y0)),
            )
        )
    return tuple(found)


def fold_marks(cards: Sequence[FoldCard]) -> Stroke:
    """The fold lines, dashed and thin: they end up on the edge of the folded card."""
    return Stroke(
        tuple(card.fold for card in cards),
        0.25,
        Role.ADULT,
        id="card-folds",
        colour=FURNITURE_GREY,
        dash=(2.0, 2.0),
        cap="butt",
    )
