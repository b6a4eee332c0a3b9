"""The order in which the cards of a sequence are printed: shuffled, but never so that it helps."""

from __future__ import annotations

import itertools
import random
from functools import cache

from sheets.sequences import SequenceTask

Order = tuple[int, ...]
"""Which step, counted from 0, each card shows, row by row."""


def draw_order(task: SequenceTask, seed: int, above: tuple[tuple[int, ...], ...]) -> Order:
    """One of the allowed orders, each equally likely.

    Args:
        above: for each card the steps whose boxes lie above it.
    """
    refused = _refused(task)
    # Accepted orders may be all that the other rules leave of three cards; then they stay in.
    orders = allowed_orders(len(task.steps), above, refused + task.also) or allowed_orders(
        len(task.steps), above, refused
    )
    return random.Random(f"{seed}:{task.stage}:sequence").choice(orders)


@cache
def allowed_orders(
    count: int, above: tuple[tuple[int, ...], ...], refused: tuple[Order, ...]
) -> tuple[Order, ...]:
    """The orders in which the cards may be printed.

    Args:
        count: number of cards, 2 to 6. Of two cards both orders are allowed: nothing else is left.
        above: for each card the steps whose boxes lie above it; none of them may be on the card.
        refused: orders that would be right, or right backwards.
    """
    if count == 2:
        return ((0, 1), (1, 0))
    return tuple(
        order
        for order in itertools.permutations(range(count))
        if order not in refused and not any(s in above[k] for k, s in enumerate(order))
    )


def _refused(task: SequenceTask) -> tuple[Order, ...]:
    """The right order and its reverse; on a ring of four or more also every turn of the two."""
    count = len(task.steps)
    right = tuple(range(count))
    orders = [right, right[::-1]]
    if task.wheel and count > 3:  # of three steps every order is such a turn
        orders = [o[i:] + o[:i] for o in orders for i in range(count)]
    return tuple(dict.fromkeys(orders))
