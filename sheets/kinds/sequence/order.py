"""The order in which the cards of a sequence are printed: shuffled, but never so that it helps."""

from __future__ import annotations

import itertools
import random
from functools import cache

from sheets.kinds.sequence.task import SequenceTask

Order = tuple[int, ...]
"""Which step, counted from 0, each card shows, row by row."""


def draw_order(task: SequenceTask, seed: int, above: tuple[tuple[int, ...], ...]) -> Order:
    """One of the allowed orders, each equally likely.

    Args:
        above: for each card the steps whose boxes lie above it.
    """
    refused = _refused(task)
    count = len(task.steps)
    # Where the rules together leave no order, as with three cards, the weaker ones give way.
    orders = (
        allowed_orders(count, above, refused + task.also, apart=True)
        or allowed_orders(count, above, refused + task.also)
        or allowed_orders(count, above, refused)
        or _fewest_below(count, above, refused + task.also)
    )
    return random.Random(f"{seed}:{task.stage}:sequence").choice(orders)


def _fewest_below(
    count: int, above: tuple[tuple[int, ...], ...], refused: tuple[Order, ...]
) -> tuple[Order, ...]:
    """Where most cards lie below one column of boxes: as few as can be below their own."""

    def below(order: Order) -> int:
        return sum(s in above[k] for k, s in enumerate(order))

    orders = allowed_orders(count, ((),) * count, refused, apart=True)
    least = min(map(below, orders), default=0)
    return tuple(order for order in orders if below(order) == least)


@cache
def allowed_orders(
    count: int,
    above: tuple[tuple[int, ...], ...],
    refused: tuple[Order, ...],
    *,
    apart: bool = False,
) -> tuple[Order, ...]:
    """The orders in which the cards may be printed.

    Args:
        count: number of cards, 2 to 6. Of two cards both orders are allowed: nothing else is left.
        above: for each card the steps whose boxes lie above it; none of them may be on the card.
        refused: orders that would be right, or right backwards.
        apart: at most one card comes right after the one before it, so that the order cannot be
            read off the page but for its start.
    """
    if count == 2:
        return ((0, 1), (1, 0))
    return tuple(
        order
        for order in itertools.permutations(range(count))
        if order not in refused
        and not any(s in above[k] for k, s in enumerate(order))
        and not (apart and sum(b == a + 1 for a, b in itertools.pairwise(order)) > 1)
    )


def _refused(task: SequenceTask) -> tuple[Order, ...]:
    """The right order and its reverse; on a ring of four or more also every turn of the two."""
    count = len(task.steps)
    right = tuple(range(count))
    orders = [right, right[::-1]]
    if task.wheel and count > 3:  # of three steps every order is such a turn
        orders = [o[i:] + o[:i] for o in orders for i in range(count)]
    return tuple(dict.fromkeys(orders))
