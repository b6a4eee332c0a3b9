"""Where the shadows and the cards of a shadow page are.

Every shadow's place, every card's place and every turn is drawn evenly at random.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from shapes.errors import FitError
from shapes.path import BBox
from sheets.check.guidance import limits
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount
from sheets.kinds.shadow_match.task import ShadowTask
from sheets.page.cards import LAMINATE_GUTTER, TICK_ROOM, CardGrid, grid_in
from sheets.page.frame import WORK_HEIGHT, WORK_WIDTH, Frame
from sheets.theme.theme import Step

INSET = 4.0
"""White between the edge of a card and its picture."""

_LEAST_PICTURE = 40.0
_LEAST_GAP, _MOST_GAP = 8.0, 30.0
_ABOVE_CARDS = 8.0
_ROOM_FOR_LABEL = 6.0
_LINE_REACH = 1.0  # half the widest line round a shadow

_ROWS = {
    1: (1,),
    2: (1, 1),
    3: (2, 1),
    4: (2, 2),
    5: (2, 1, 2),
    6: (2, 2, 2),
    7: (2, 3, 2),
    8: (3, 2, 3),
}


@dataclass(frozen=True, slots=True)
class Shadow:
    """A shadow in its place on the page; ``turn_deg`` is anticlockwise."""

    step: Step
    box: BBox
    turn_deg: int


@dataclass(frozen=True, slots=True)
class Layout:
    """Where shadows and cards are: both in reading order, ``cards`` in the order of the grid."""

    shadows: tuple[Shadow, ...]
    cards: tuple[Step, ...]
    grid: CardGrid

    def answer(self) -> dict[str, str | None]:
        """The card of each shadow by their ids; None for a shadow without a card."""
        card_of = {step.picture.id: f"card-{k}" for k, step in enumerate(self.cards, start=1)}
        return {
            f"target-{k}": card_of.get(shadow.step.picture.id)
            for k, shadow in enumerate(self.shadows, start=1)
        }


def lay_out(task: ShadowTask, options: Options) -> Layout:
    """Places of shadows and cards, drawn by ``options.seed``.

    Raises:
        FitError: the cards would be smaller than their pictures may be.
    """
    rng = random.Random(f"{options.seed}:{task.stage}:shadow places")
    work = Frame(options.paper).work
    side = card_side(task, options)
    shadows = rng.sample(task.shadows, len(task.shadows))
    cards = rng.sample(task.cards, len(task.cards))
    turns = [0] * len(shadows)
    count = min(int(amount("shadow-match", task.stage, "turned_shadows")), len(shadows))
    for i in rng.sample(range(len(shadows)), count):
        turns[i] = rng.choice((90, 180, 270))
    boxes = _board(work, len(shadows), side, _gap(task.stage, options))
    gutter = LAMINATE_GUTTER if task.laminate else 0.0
    room = BBox(work.x0, work.y0, work.x1, work.y1 - _ABOVE_CARDS)
    grid = grid_in(room, options.paper, len(cards), side, side, gutter=gutter)
    return Layout(
        tuple(Shadow(s, box, t) for s, box, t in zip(shadows, boxes, turns, strict=True)),
        tuple(cards),
        grid,
    )


def card_side(task: ShadowTask, options: Options) -> float:
    """Side of the square cards in mm: the stage's, or what as many as there are leave room for.

    Raises:
        FitError: pictures would be less than 40 mm.
    """
    # A page for low vision has so few cards that they need not be small.
    stage = min(task.stage, 3) if is_low(options) else task.stage
    wanted = amount("shadow-match", stage, "card_side")
    rows = _ROWS[len(task.shadows)]
    gap = _gap(task.stage, options)
    columns = max(rows)
    board = min(
        (WORK_WIDTH - gap * (columns - 1)) / columns,
        (WORK_HEIGHT - _ROOM_FOR_LABEL - gap * (len(rows) - 1)) / len(rows),
    )
    gutter = LAMINATE_GUTTER if task.laminate else 0.0
    sheet = 0.0
    for columns in range(1, len(task.cards) + 1):
        lines = -(-len(task.cards) // columns)
        across = (WORK_WIDTH - 2.0 * TICK_ROOM - gutter * (columns - 1)) / columns
        down = (WORK_HEIGHT - _ABOVE_CARDS - TICK_ROOM - gutter * (lines - 1)) / lines
        sheet = max(sheet, min(across, down))
    side = min(wanted, float(int(min(board, sheet))))
    if side < _LEAST_PICTURE + 2.0 * INSET:
        raise FitError(
            f"{len(task.shadows)} shadows and {len(task.cards)} cards leave {side:.0f} mm for each",
            where="words",
            fix="use fewer words, or a later stage with smaller gaps",
        )
    return side


def _gap(stage: int, options: Options) -> float:
    """Between the boxes; the pictures in them are further apart by their white rims."""
    limit = limits("matching", stage).get("item_gap")
    least = (limit.minimum if limit else None) or 25.0
    if is_low(options):
        least = max(least, 20.0)
    return max(_LEAST_GAP, least - 2.0 * (INSET - _LINE_REACH))


def _board(work: BBox, count: int, side: float, gap: float) -> list[BBox]:
    """Boxes in centred rows, spread over the page as far as looks well."""
    rows = _ROWS[count]
    columns = max(rows)

    def spread(room: float, boxes: int) -> float:
        even = (room - side * boxes) / (boxes + 1)
        return max(gap, min(_MOST_GAP, even))

    across, down = spread(work.width, columns), spread(work.height - _ROOM_FOR_LABEL, len(rows))
    (cx, cy) = work.center
    top = cy + (side * len(rows) + down * (len(rows) - 1) + _ROOM_FOR_LABEL) / 2.0
    boxes = []
    for row, boxes_in_row in enumerate(rows):
        high = top - row * (side + down)
        left = cx - (side * boxes_in_row + across * (boxes_in_row - 1)) / 2.0
        for column in range(boxes_in_row):
            x = left + column * (side + across)
            boxes.append(BBox(x, high - side, x + side, high))
    return boxes
