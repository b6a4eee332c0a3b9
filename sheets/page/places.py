"""Boxes to lay cards in, in order: a strip from left to right, or a ring that starts again.

Lengths in mm on the paper, y up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.affine import Point
from shapes.errors import FitError
from shapes.letters.font import cap_height_mm
from shapes.path import Arc, BBox, Path
from sheets.page.frame import rectangle
from sheets.page.model import Fill, Mark, Role, Stroke, Text

Cue = Literal["dots", "numbers"]

BAND = 9.0
"""Above each row of boxes, for the cues and arrows: they still show when the cards are glued."""
ROW_GAP = 2.0
CUE_PT = 20.0
_DOT = 1.7
_DOT_PITCH = 5.0
_ARROW = 7.0
_HEAD = 2.4
_CLEAR = 3.0


@dataclass(frozen=True, slots=True)
class Places:
    """Boxes in their order, and what shows that order.

    Args:
        cues: dots, numerals and arrows.
        box: box round all of it.
    """

    boxes: tuple[BBox, ...]
    cues: tuple[Mark, ...]
    box: BBox


def strip(area: BBox, count: int, width: float, height: float, cue: Cue) -> Places:
    """A strip at the top of an area; in more rows, read like text, if one row is too short.

    Args:
        width, height: size of a box; neighbours share their wall.
        cue: how the boxes are counted: dots, or numerals at 20 pt.

    Raises:
        FitError: the boxes do not fit the area.
    """
    most = int((area.width + 1e-9) // width)
    rows = math.ceil(count / most) if most else 1
    columns = math.ceil(count / rows)
    high = rows * (BAND + height) + (rows - 1) * ROW_GAP
    if not most or high > area.height + 1e-9:
        raise _too_large(count, width, height, area)
    x0 = area.center[0] - columns * width / 2.0
    boxes: list[BBox] = []
    cues: list[Mark] = []
    for i in range(count):
        row, column = divmod(i, columns)
        x = x0 + column * width
        top = area.y1 - row * (BAND + height + ROW_GAP) - BAND
        boxes.append(BBox(x, top - height, x + width, top))
        middle = top + BAND / 2.0
        cues += _counted(i + 1, (x + width / 2.0, middle), cue)
        if column > 0:
            way = Path.line((x - _ARROW / 2.0, middle), (x + _ARROW / 2.0, middle))
            cues.append(_arrow(way, f"arrow-{i}"))
    whole = BBox(x0, area.y1 - high, x0 + columns * width, area.y1)
    return Places(tuple(boxes), tuple(cues), whole)


def ring(area: BBox, count: int, width: float, height: float) -> Places:
    """Boxes on a circle as large as the area allows, clockwise from the top, with arrows between.

    Raises:
        FitError: neighbours would overlap.
    """
    radius = min(area.width - width, area.height - height) / 2.0
    cx, cy = area.x0 + area.width / 2.0, area.y1 - height / 2.0 - radius
    angles = [90.0 - 360.0 * i / count for i in range(count)]
    boxes = tuple(_around(_on_circle((cx, cy), radius, a), width, height) for a in angles)
    cues: list[Mark] = []
    for i, box in enumerate(boxes):
        following = boxes[(i + 1) % count]
        if radius <= 0.0 or _overlap(box, following):
            raise _too_large(count, width, height, area)
        way = _between((cx, cy), radius, angles[i], 360.0 / count, (box, following))
        if way is not None:
            cues.append(_arrow(way, f"arrow-{i + 1}"))
    low = min(box.y0 for box in boxes)
    return Places(boxes, tuple(cues), BBox(area.x0, low, area.x1, area.y1))


def box_edges(boxes: Sequence[BBox], line_mm: float) -> list[Mark]:
    """The walls of the boxes, each box one answer space with its place in the order as its id."""
    return [
        Stroke((rectangle(box),), line_mm, Role.ANSWER_SPACE, id=f"box-{i}", join="miter")
        for i, box in enumerate(boxes, start=1)
    ]


def _too_large(count: int, width: float, height: float, area: BBox) -> FitError:
    return FitError(
        f"{count} boxes of {width:g} x {height:g} mm do not fit "
        f"{area.width:.0f} x {area.height:.0f} mm",
        where="`steps`",
        fix="use fewer steps or a later stage, whose cards are smaller",
    )


def _counted(number: int, at: Point, cue: Cue) -> list[Mark]:
    x, y = at
    if cue == "numbers":
        low = y - cap_height_mm(CUE_PT) / 2.0
        return [Text(x, low, str(number), CUE_PT, Role.GUIDE, id=f"cue-{number}", anchor="middle")]
    first = x - _DOT_PITCH * (number - 1) / 2.0
    dots = tuple(Path.circle((first + _DOT_PITCH * i, y), _DOT) for i in range(number))
    return [Fill(dots, Role.GUIDE, id=f"cue-{number}")]


def _arrow(way: Path, id: str) -> Stroke:
    """A line with a head at its end."""
    points = way.flatten(0.05)
    (ax, ay), (tx, ty) = points[-2], points[-1]
    heading = math.atan2(ty - ay, tx - ax)
    barbs = [
        (tx - _HEAD * math.cos(heading + turn), ty - _HEAD * math.sin(heading + turn))
        for turn in (0.6, -0.6)
    ]
    head = Path.from_points([barbs[0], (tx, ty), barbs[1]])
    return Stroke((way, head), 0.8, Role.GUIDE, id=id)


def _on_circle(center: Point, radius: float, angle_deg: float) -> Point:
    angle = math.radians(angle_deg)
    return (center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle))


def _around(center: Point, width: float, height: float) -> BBox:
    x, y = center
    return BBox(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0)


def _overlap(a: BBox, b: BBox) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1


def _between(
    center: Point, radius: float, from_deg: float, by_deg: float, boxes: tuple[BBox, BBox]
) -> Path | None:
    """The part of the circle between two boxes, clear of both; None if there is no room for it."""
    steps = round(by_deg)
    free = []
    for i in range(steps + 1):
        angle = from_deg - by_deg * i / steps
        x, y = _on_circle(center, radius, angle)
        if not any(box.grown(_CLEAR).contains(BBox(x, y, x, y)) for box in boxes):
            free.append(angle)
    if not free or math.radians(free[0] - free[-1]) * radius < 2.0 * _HEAD:
        return None
    return Path((Arc(center, radius, free[0], free[-1] - free[0]),))
