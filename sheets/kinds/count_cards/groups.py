"""How things to count lie in a box: in a row, as on dice, on a frame, scattered. Lengths in mm."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from shapes.affine import Point
from shapes.errors import FitError
from shapes.path import BBox

GAP = 4.0
"""Least white between two things of a group."""
IN_FRAME = 2.0
"""White between a thing and the lines of its place on a frame."""
LEAST_THING = 15.0
FIVE = 5
_DENSE = 0.45
"""Share of the room that scattered things take at most: boxes put down at random one after the
other find no more place from 0.56 on (Renyi's problem in the plane; figure from memory)."""
_TRIES, _STARTS = 200, 400


@dataclass(frozen=True, slots=True)
class Places:
    """Square places of things, and the boxes of the frame they lie on, if any."""

    things: tuple[BBox, ...]
    frame: tuple[BBox, ...] = ()


def frame_boxes(area: BBox, amount: int, most: float = 100.0) -> tuple[BBox, ...]:
    """The boxes of a five frame, or a ten frame for more than five, in the middle of an area."""
    rows = 1 if amount <= FIVE else 2
    side = min(most, area.width / FIVE, area.height / rows)
    x0 = area.center[0] - FIVE * side / 2.0
    top = area.center[1] + rows * side / 2.0
    return tuple(
        BBox(x0 + c * side, top - (r + 1) * side, x0 + (c + 1) * side, top - r * side)
        for r in range(rows)
        for c in range(FIVE)
    )


def on_frame(area: BBox, amount: int, size: float, frame_for: int) -> Places:
    """On a frame that is filled from the upper left, row by row.

    Args:
        frame_for: the largest amount of the page: all its frames are of one kind.
    """
    boxes = frame_boxes(area, frame_for, size + 2.0 * IN_FRAME)
    return Places(tuple(box.grown(-IN_FRAME) for box in boxes[:amount]), boxes)


def in_a_row(area: BBox, amount: int, size: float) -> Places:
    """Side by side in the middle of an area."""
    side = min(size, area.height, (area.width + GAP) / amount - GAP)
    first = -(amount - 1) / 2.0
    return _around(area, [((first + i) * (side + GAP), 0.0) for i in range(amount)], side)


def as_on_dice(area: BBox, amount: int, size: float, rng: random.Random) -> Places:
    """One to three, each time in another of the ways in which three may lie."""
    side = min(size, (area.height - GAP) / 2.0, (area.width - 2.0 * GAP) / 3.0)
    step, half = side + GAP, (side + GAP) / 2.0
    if amount == 1:
        return _around(area, [(0.0, 0.0)], side)
    ways = _TWO if amount == 2 else _THREE
    return _around(area, [(x * step, y * half) for x, y in rng.choice(ways)], side)


_TWO = (
    ((-0.5, 0.0), (0.5, 0.0)),
    ((0.0, 1.0), (0.0, -1.0)),
    ((-0.6, 1.0), (0.6, -1.0)),
    ((-0.6, -1.0), (0.6, 1.0)),
)
_THREE = (
    ((-1.0, 0.0), (0.0, 0.0), (1.0, 0.0)),
    ((-1.0, 1.0), (0.0, 0.0), (1.0, -1.0)),
    ((-1.0, -1.0), (0.0, 0.0), (1.0, 1.0)),
    ((-0.5, 1.0), (0.5, 1.0), (0.0, -1.0)),
    ((0.0, 1.0), (-0.5, -1.0), (0.5, -1.0)),
)
"""Middles in steps across and half steps up; neighbours are a whole step apart one way or other."""


def scattered(area: BBox, amount: int, size: float, rng: random.Random) -> Places:
    """Anywhere in an area, at least :data:`GAP` apart.

    Raises:
        FitError: the area is too small.
    """
    room = (area.width + GAP) * (area.height + GAP)
    side = min(size, math.sqrt(_DENSE * room / amount) - GAP)
    if side < LEAST_THING:
        raise FitError(
            f"{amount} scattered things of {LEAST_THING:g} mm do not fit "
            f"{area.width:.0f} x {area.height:.0f} mm",
            where="groups",
            fix="use fewer groups on a page",
        )
    for _ in range(_STARTS):
        found = _dropped(area, amount, side, rng)
        if len(found) == amount:
            boxes = [BBox(x, y, x + side, y + side) for x, y in found]
            return Places(tuple(sorted(boxes, key=lambda box: (-box.y0, box.x0))))
    raise FitError(f"{amount} things found no place", where="groups", fix="take another seed")


def _dropped(area: BBox, amount: int, side: float, rng: random.Random) -> list[Point]:
    """Lower left corners, one after the other where there is room; fewer if there is none."""
    found: list[Point] = []
    for _ in range(_TRIES):
        x, y = rng.uniform(area.x0, area.x1 - side), rng.uniform(area.y0, area.y1 - side)
        if all(max(abs(x - a), abs(y - b)) >= side + GAP for a, b in found):
            found.append((x, y))
            if len(found) == amount:
                break
    return found


def _around(area: BBox, middles: list[Point], side: float) -> Places:
    cx, cy = area.center
    half = side / 2.0
    return Places(
        tuple(BBox(cx + x - half, cy + y - half, cx + x + half, cy + y + half) for x, y in middles)
    )
