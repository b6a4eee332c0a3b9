"""Boxes of true size on one page: rows of boxes, each box lying or upright, with gaps between.

All rows that a few boxes can form are tried, so nothing is refused that rows could hold.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from shapes.path import BBox

MOST_BOXES = 8
"""More boxes than this are not tried: the number of ways to form rows grows too fast."""

_SLACK = 1e-6
_KEPT = 3

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Row:
    """Boxes side by side, as numbers in the list of sizes, and which of them stand upright."""

    boxes: tuple[int, ...]
    upright: tuple[bool, ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one box of the list lies; upright if it was turned by a right angle."""

    number: int
    box: BBox
    upright: bool


@lru_cache(maxsize=64)  # of the sets tried only the chosen ones come back
def layouts(
    sizes: tuple[Size, ...], width: float, height: float, gap: float
) -> tuple[tuple[Row, ...], ...]:
    """The airiest few ways to form rows that fit, best first; none if the boxes do not fit.

    Args:
        sizes: width and height of each box, lying, in mm; at most :data:`MOST_BOXES`.
        width, height: of the area.
        gap: least distance between boxes.
    """
    rows: dict[tuple[int, ...], Row] = {}
    numbers = range(len(sizes))
    for count in range(1, len(sizes) + 1):
        for boxes in itertools.combinations(numbers, count):
            row = _lowest_row(tuple(sizes[i] for i in boxes), width, gap)
            if row is not None:
                rows[boxes] = Row(boxes, *row)
    found = list(_stacks(tuple(numbers), rows, height + gap, gap))
    found.sort(key=lambda stack: -_air(stack, width, height, gap))
    return tuple(found[:_KEPT])


def placed(
    stack: Sequence[Row], sizes: Sequence[Size], area: BBox, gap: float, rng: random.Random
) -> tuple[Placed, ...]:
    """The boxes of some rows on the page, rows and their boxes in random order.

    What is left of the area is shared out evenly between and beside the boxes.

    Returns:
        The boxes in reading order.
    """
    rows = list(stack)
    rng.shuffle(rows)
    share = _share(area.height, [row.height for row in rows], gap)
    top = area.y1 - share
    found: list[Placed] = []
    for row in rows:
        order = list(zip(row.boxes, row.upright, strict=True))
        rng.shuffle(order)
        shown = [_turned(sizes[number], upright) for number, upright in order]
        aside = _share(area.width, [wide for wide, _ in shown], gap)
        x = area.x0 + aside
        middle = top - row.height / 2.0
        for (number, upright), (wide, high) in zip(order, shown, strict=True):
            box = BBox(x, middle - high / 2.0, x + wide, middle + high / 2.0)
            found.append(Placed(number, box, upright))
            x += wide + gap + aside
        top -= row.height + gap + share
    return tuple(found)


def _turned(size: Size, upright: bool) -> Size:
    return (size[1], size[0]) if upright else size


def _share(room: float, lengths: Sequence[float], gap: float) -> float:
    """What is left over, in equal parts: one before, one after, one more in every gap."""
    left = room - sum(lengths) - gap * (len(lengths) - 1)
    return max(0.0, left) / (len(lengths) + 1)


@lru_cache(maxsize=500)  # the same few boxes come back in one set of boxes after another
def _lowest_row(
    sizes: tuple[Size, ...], width: float, gap: float
) -> tuple[tuple[bool, ...], float, float] | None:
    """The lowest row of these boxes that is not too wide; as few upright as that allows.

    Returns:
        Which boxes stand upright, and the row's width and height.
    """
    gaps = gap * (len(sizes) - 1)
    lying = sum(w for w, _ in sizes) + gaps
    if lying <= width + _SLACK and all(w >= h for w, h in sizes):
        # Boxes on their longer sides: no other way is lower.
        return (False,) * len(sizes), lying, max(h for _, h in sizes)
    best: tuple[float, int, tuple[bool, ...], float] | None = None
    choices = [(False,) if w == h else (False, True) for w, h in sizes]
    for upright in itertools.product(*choices):
        shown = [_turned(size, up) for size, up in zip(sizes, upright, strict=True)]
        wide = sum(w for w, _ in shown) + gaps
        if wide > width + _SLACK:
            continue
        high = max(h for _, h in shown)
        if best is None or (high, sum(upright)) < best[:2]:
            best = (high, sum(upright), upright, wide)
    return None if best is None else (best[2], best[3], best[0])


def _stacks(
    left: tuple[int, ...], rows: dict[tuple[int, ...], Row], room: float, gap: float
) -> Iterator[tuple[Row, ...]]:
    """Every way to share the boxes out over rows that fit the height."""
    if not left:
        yield ()
        return
    first, others = left[0], left[1:]
    for count in range(len(others) + 1):
        for with_first in itertools.combinations(others, count):
            row = rows.get((first, *with_first))
            if row is None or row.height + gap > room + _SLACK:
                continue
            rest = tuple(i for i in others if i not in with_first)
            for stack in _stacks(rest, rows, room - row.height - gap, gap):
                yield (row, *stack)


def _air(stack: Sequence[Row], width: float, height: float, gap: float) -> float:
    """The narrowest share of white that the boxes would get beyond the gap."""
    shares = [_share(height, [row.height for row in stack], gap)]
    for row in stack:
        # The row's own gaps are in its width already.
        shares.append((width - row.width) / (len(row.boxes) + 1))
    return min(shares, default=math.inf)
