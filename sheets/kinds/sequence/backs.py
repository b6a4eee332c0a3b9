"""Backs of sequence cards: the place in the order, so that a child can turn a card and see.

A folded card is printed on one side, front beside back, and needs no printer that meets its own
other side. The other two ways print the backs on a page of their own for the other side.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from shapes.letters.font import cap_height_mm
from shapes.path import BBox, Path
from sheets.page.card_backs import BACK_INSET, backs, fold_marks, fold_over
from sheets.page.cards import LAMINATE_GUTTER, CardGrid
from sheets.page.model import Fill, Mark, Role, Text
from sheets.page.places import Cue

Backs = Literal["fold", "long", "short"]
"""Folded over, or on the other side of paper that the printer turns on that edge."""

FOLD_LINE = "Fold each cut card backwards on the dashed line and glue the halves together."
FOLDED_FILM_LINE = (
    f"Laminate the folded cards {LAMINATE_GUTTER:g} mm apart; cut the film between them and round "
    "the corners."
)

_NUMBER_PT = 40.0
_DOT = 3.0
_DOT_PITCH = 8.0
_DOTS_IN_A_ROW = 3


def other_side_line(way: Literal["long", "short"]) -> str:
    """What the adult does about a page of backs."""
    return (
        f"Print the cards and the page of backs on two sides, turned on the {way} edge; hold the "
        "sheet against the light before cutting."
    )


def fronts(grid: CardGrid, way: Backs | None) -> tuple[BBox, ...]:
    """Where the pictures of the cards go."""
    if way == "fold":
        return tuple(card.front for card in fold_over(grid))
    return grid.cards


def fold_backs(grid: CardGrid, places: Sequence[int], cue: Cue) -> list[Mark]:
    """The backs beside the fronts, and the lines to fold on.

    Args:
        grid: of cells two cards wide.
        places: the place in the order of each card, from 1.
    """
    cards = fold_over(grid)
    marks: list[Mark] = [fold_marks(cards)]
    for k, (card, place) in enumerate(zip(cards, places, strict=True), start=1):
        marks.append(_place_mark(card.back, place, cue, f"back-{k}", 0.0))
    return marks


def page_of_backs(
    grid: CardGrid, places: Sequence[int], cue: Cue, way: Literal["long", "short"]
) -> list[Mark]:
    """The backs as they lie on the other side of the paper; cards turn like pages of a book."""
    return [
        _place_mark(back.box, place, cue, f"back-{k}", back.turn_deg)
        for k, (back, place) in enumerate(zip(backs(grid, way), places, strict=True), start=1)
    ]


def _place_mark(box: BBox, place: int, cue: Cue, id: str, turn_deg: float) -> Mark:
    """A number or as many dots in the middle of a back, well inside its edges."""
    x, y = box.center
    inner = box.grown(-BACK_INSET)
    if cue == "numbers":
        half = cap_height_mm(_NUMBER_PT) / 2.0
        low = y + half if turn_deg else y - half
        return Text(
            x, low, str(place), _NUMBER_PT, Role.GUIDE, id, anchor="middle", turn_deg=turn_deg
        )
    rows = -(-place // _DOTS_IN_A_ROW)
    pitch = min(_DOT_PITCH, (inner.width - 2.0 * _DOT) / max(1, _DOTS_IN_A_ROW - 1))
    dots = []
    for i in range(place):
        row, column = divmod(i, _DOTS_IN_A_ROW)
        count = min(_DOTS_IN_A_ROW, place - row * _DOTS_IN_A_ROW)
        at_x = x + (column - (count - 1) / 2.0) * pitch
        at_y = y + ((rows - 1) / 2.0 - row) * pitch
        dots.append(Path.circle((at_x, at_y), _DOT))
    return Fill(tuple(dots), Role.GUIDE, id)
