"""Numerals with a base line, dots as on dice, groups of pictures and boxes to choose from."""

from __future__ import annotations

import dataclasses
import random
from collections.abc import Sequence

from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox, Path
from sheets.kinds.count_cards.groups import (
    FIVE,
    Places,
    as_on_dice,
    in_a_row,
    on_frame,
    scattered,
)
from sheets.kinds.count_cards.task import NAME, CountTask, Group
from sheets.kinds.options import BOLD_LINE, Options, is_low, least_line
from sheets.kinds.settings import amount, setting
from sheets.page.cards import picture_with_lines
from sheets.page.frame import rectangle
from sheets.page.model import FURNITURE_GREY, Fill, Mark, Role, Stroke, Text

PAD = 3.0
CHOICE_GAP = 8.0
CHOICE_HEIGHT = 22.0
WIDEST_CHOICE = 52.0
_BOX_LINE, _FRAME_LINE, _BORDER = 0.9, 0.7, 0.5
TURNED = (6, 9)
"""Numerals that are each other upside down."""


LARGER = 1.35
"""Numerals and dots are so much larger for low vision (our setting)."""
THINGS_LARGER = 1.9
"""Things to count are up to so much larger, as far as there is room."""


def larger(options: Options) -> float:
    """By what things to look at are larger for this child."""
    return LARGER if is_low(options) else 1.0


def bold(line_mm: float, options: Options) -> float:
    """A line, wider for low vision."""
    return BOLD_LINE if is_low(options) else line_mm


# --- numerals and dots ----------------------------------------------------------------------------


def numeral(
    value: int, middle: tuple[float, float], height: float, role: Role, id: str, item: int = 0
) -> list[Mark]:
    """A numeral about a point, six and nine on a line, so that they are read the right way up.

    Args:
        height: of a numeral, mm.
    """
    x, y = middle
    size = height / cap_height_mm(1.0)
    low = y - height * (0.4 if value in TURNED else 0.5)  # with the line below it in the middle
    marks: list[Mark] = [Text(x, low, str(value), size, role, id, anchor="middle", item=item)]
    if value in TURNED:
        half = text_width_mm(str(value), size) / 2.0
        under = low - height * 0.2
        base = Path.line((x - half, under), (x + half, under))
        marks.append(Stroke((base,), height * 0.08, role, id, cap="butt", item=item))
    return marks


def dots(area: BBox, value: int, radius: float, role: Role, id: str, item: int = 0) -> list[Mark]:
    """As on dice up to five, above that in rows of five."""
    cx, cy = area.center
    if value <= FIVE:
        step = min(min(area.width, area.height) / 2.0 - radius, _TOGETHER * radius)
        spots = [(cx + x * step, cy + y * step) for x, y in _DICE[value]]
    else:
        step = (area.width - 2.0 * radius) / (FIVE - 1)
        spots = [
            (cx + (i % FIVE - 2) * step, cy + (0.5 - i // FIVE) * min(step, 3.0 * radius))
            for i in range(value)
        ]
    return [Fill(tuple(Path.circle(p, radius) for p in spots), role, id, item=item)]


_TOGETHER = 3.0
"""Dots lie so many radii apart at most, so that they are one group to the eye."""
_DICE = {
    1: ((0, 0),),
    2: ((-1, 1), (1, -1)),
    3: ((-1, 1), (0, 0), (1, -1)),
    4: ((-1, 1), (1, 1), (-1, -1), (1, -1)),
    5: ((-1, 1), (1, 1), (0, 0), (-1, -1), (1, -1)),
}


def number_in(
    box: BBox, value: int, height: float, radius: float, role: Role, id: str, item: int = 0
) -> list[Mark]:
    """A numeral in a box; with dots to the left of it where they have a radius."""
    if not radius:
        return numeral(value, box.center, height, role, id, item)
    inner = box.grown(-PAD)
    side = min(inner.height, inner.width * 0.5)
    y = inner.center[1]
    area = BBox(inner.x0, y - side / 2.0, inner.x0 + side, y + side / 2.0)
    middle = ((area.x1 + inner.x1) / 2.0 + 1.0, y)
    return [
        *dots(area, value, radius, role, id, item),
        *numeral(value, middle, height, role, id, item),
    ]


# --- a group and its choices ----------------------------------------------------------------------


def group_marks(
    box: BBox, group: Group, number: int, task: CountTask, options: Options, *, border: bool
) -> list[Mark]:
    """One group with the boxes to choose from below it.

    Args:
        box: all of it, mm on the page.
        number: of the group on the sheet, from 1.
        border: with a thin line round it, for a page that is not cut.
    """
    inner = box.grown(-PAD)
    low = inner.y0 + choice_height(options, task)
    marks: list[Mark] = []
    if border:
        edge = (rectangle(box),)
        marks.append(
            Stroke(edge, _BORDER, Role.GUIDE, f"cell-{number}", FURNITURE_GREY, join="miter")
        )
    room = BBox(inner.x0, low + PAD, inner.x1, inner.y1)
    marks += things(room, group, number, task, options)
    marks += choices(BBox(inner.x0, inner.y0, inner.x1, low), group, number, task, options)
    return marks


def choice_height(options: Options, task: CountTask) -> float:
    """Height of the boxes to choose from: as large as the cards that cover them, if any."""
    return COVER_SIDE if covers(options, task) else CHOICE_HEIGHT * larger(options)


COVER_SIDE = 36.0
"""Side of the cards that cover a number for a child who mouths things."""


def covers(options: Options, task: CountTask) -> bool:
    """Whether cards are laid where others lay counters."""
    return (
        task.form in ("mark", "fill") and task.answer == "lay" and "mouths-objects" in options.needs
    )


def things(area: BBox, group: Group, number: int, task: CountTask, options: Options) -> list[Mark]:
    """The pictures to count, all of one size, and their frame."""
    places = _places(area, group, number, task, options)
    return drawn_at(places, group, number, options)


def drawn_at(places: Places, group: Group, number: int, options: Options) -> list[Mark]:
    """Pictures in their places, one group, and the lines of the frame below them."""
    marks: list[Mark] = []
    for box in places.frame:
        edge, line = (rectangle(box),), bold(_FRAME_LINE, options)
        marks.append(Stroke(edge, line, Role.GUIDE, f"frame-{number}", join="miter", item=number))
    for box in places.things:
        place = picture_with_lines(
            group.step.picture,
            box,
            least_line_mm=least_line(options),
            colour=options.colour,
            role=Role.TARGET,
            id=f"group-{number}",
        )
        marks.append(dataclasses.replace(place, item=number))
    return marks


def _places(area: BBox, group: Group, number: int, task: CountTask, options: Options) -> Places:
    size = amount(NAME, task.stage, "thing_size") * (THINGS_LARGER if is_low(options) else 1.0)
    way = setting(NAME, task.stage, "arrangement")
    rng = random.Random(f"{options.seed}:{task.stage}:places {number}")
    if way == "dice":
        return as_on_dice(area, group.amount, size, rng)
    if way == "frame":
        return on_frame(area, group.amount, size, int(amount(NAME, task.stage, "most")))
    if way == "scattered":
        return scattered(area, group.amount, size, rng)
    return in_a_row(area, group.amount, size)


def choice_boxes(area: BBox, count: int) -> list[BBox]:
    """Boxes of one size side by side in the middle of an area."""
    wide = min(WIDEST_CHOICE, (area.width - (count - 1) * CHOICE_GAP) / count)
    x0 = area.center[0] - (count * wide + (count - 1) * CHOICE_GAP) / 2.0
    lefts = [x0 + i * (wide + CHOICE_GAP) for i in range(count)]
    return [BBox(x, area.y0, x + wide, area.y1) for x in lefts]


def choices(area: BBox, group: Group, number: int, task: CountTask, options: Options) -> list[Mark]:
    """The numbers to choose from, each in its box."""
    height, radius = (
        amount(NAME, task.stage, key) * larger(options) for key in ("numeral_height", "dot_radius")
    )
    marks: list[Mark] = []
    boxes = choice_boxes(area, len(group.numbers))
    for i, (box, value) in enumerate(zip(boxes, group.numbers, strict=True), start=1):
        name = f"choice-{number}-{i}"
        line = bold(_BOX_LINE, options)
        edge = rectangle(box.grown(-line / 2.0))
        marks.append(Stroke((edge,), line, Role.CHOICE, name, join="miter", item=number))
        marks += number_in(box, value, height, radius, Role.CHOICE, name, number)
    return marks


def rings(marks: Sequence[Mark], right: dict[str, int]) -> list[Mark]:
    """For the key: a ring round the right box of each group.

    Args:
        right: id of a choice -> its group's number.
    """
    found: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Stroke) and mark.id in right and mark.paths[0].closed:
            edge = rectangle(mark.paths[0].bbox.grown(1.8))
            found.append(Stroke((edge,), 1.8, Role.ADULT, id=f"answer-{right[mark.id]}"))
    return found
