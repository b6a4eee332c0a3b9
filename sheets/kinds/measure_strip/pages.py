"""The pages: things to measure, and strips that an adult cuts out. Lengths in mm, y up.

A strip begins at its cut: nothing is printed there, and the first unit ends one unit from it. After
its last unit there is a bit of paper, so that the other cut need not be true. A strip that is
longer than the page is in parts: the end of the first is laid under the beginning of the next.
"""

from __future__ import annotations

from shapes.letters.font import cap_height_mm
from shapes.path import BBox, Path
from sheets.kinds import toolkit as kit
from sheets.kinds.measure_strip.task import (
    END_GAP,
    END_PICTURE,
    TAB,
    TAIL,
    StripTask,
    Thing,
    parts_of,
    task,
)
from sheets.kinds.options import BOLD_LINE, Options, is_low, least_line
from sheets.kinds.toolkit import SheetBuilder
from sheets.page.cards import CardGrid, cut_ticks, face, picture_with_lines
from sheets.page.frame import rectangle
from sheets.page.model import (
    ADULT_GREY,
    LANE_TINT,
    Fill,
    Mark,
    Material,
    Role,
    Stroke,
    Text,
)

__all__ = ["draw", "task"]

STRIP_HEIGHT = 36.0
"""Wider than the small-parts cylinder, 31.75 mm."""
COPIES = 4
"""Strips on a page that is printed alone: for the children of a table."""
BAR = 14.0
_WALL, _NUMBER_PT, _NUMBER_ROOM, _RIM = 0.7, 20.0, 9.0, 1.5
_NOTE_PT, _LIST_PT = 6.0, 11.0
_TOP, _SAMPLE = 8.0, 22.0
TRUE = "The unit is {unit:g} mm: measure one strip with a ruler before it is used."
JOIN = "Glue the next part on the grey end: its cut lies in the middle of the last line."


def draw(task: StripTask, options: Options, sheet: SheetBuilder) -> None:
    """Things to measure, and the strip."""
    boxes = _boxes(task, sheet.frame.work)
    marks = [*_sample(task, sheet.frame.work, options)]
    for number, (thing, box) in enumerate(zip(task.things, boxes, strict=True), start=1):
        marks += _thing(thing, box, number, options)
    ask = "more" if any(thing.more for thing in task.things) else "long"
    sheet.page(marks, "things to measure", ask=[ask], say=[TRUE.format(unit=task.unit)])
    sheet.keep()
    sheet.needs(kit.PRINTED)
    parts, per = parts_of(task.count, task.unit)
    copies = 1 if sheet.apart else max(1, COPIES // parts)
    wide = per * task.unit + (TAIL if parts == 1 else TAB)
    grid = sheet.grid(parts * copies, wide, STRIP_HEIGHT)
    strips = _strips(task, grid, parts, per, options)
    joins = [JOIN] if parts > 1 else []
    sheet.cards_to_cut(strips, grid, "strips", ask=["strip", ask], say=joins)
    if parts > 1:
        sheet.needs(Material("glue stick, for the adult", 1, "adult", caution="glue"))
        sheet.prepare(JOIN)
    sheet.prepare(TRUE.format(unit=task.unit))
    solved = [*marks, *_told(task, boxes)]
    unit = f"unit {task.unit:g} mm"
    said = "; ".join(f"{thing.step.word}: {told(thing, task.unit)}" for thing in task.things)
    sheet.key(solved, ["Also accept: a unit more or less, if the strip slipped."],
              text=f"{said}; {unit}")  # fmt: skip
    sheet.record(
        items=len(task.things),
        unit_mm=task.unit,
        units=task.count,
        answer=[round(thing.length * task.unit, 1) for thing in task.things],
    )


def told(thing: Thing, unit: float) -> str:
    """How long a thing is, in units and in mm."""
    more = " and a bit more" if thing.more else ""
    return f"{thing.whole}{more} ({thing.length * unit:g} mm)"


def _line(options: Options) -> float:
    return BOLD_LINE if is_low(options) else _WALL


# --- strips ---------------------------------------------------------------------------------------


def _strips(task: StripTask, grid: CardGrid, parts: int, per: int, options: Options) -> list[Mark]:
    marks: list[Mark] = [*cut_ticks(grid)]
    for number, box in enumerate(grid.cards, start=1):
        part = (number - 1) % parts
        first, last = part * per, min((part + 1) * per, task.count)
        name = f"strip-{number}"
        marks += face(box, None, id=name)
        walls = tuple(
            Path.line((x, box.y0 + _RIM), (x, box.y1 - _RIM))
            for k in range(last - first)
            for x in (box.x0 + (k + 1) * task.unit,)
        )
        marks.append(Stroke(walls, _line(options), Role.CARD, name, cap="butt"))
        for k in range(first, last):
            x0 = box.x0 + (k - first) * task.unit
            cell = BBox(x0, box.y0, x0 + task.unit, box.y1)
            marks += _unit(task, cell, k + 1, Role.CARD, name, options)
        if part + 1 < parts:
            end = walls[-1].bbox.x0 + _line(options) / 2.0
            tab = BBox(end, box.y0 + _RIM, box.x1 - 1.0, box.y1 - _RIM)
            marks.append(Fill((rectangle(tab),), Role.CARD, name, colour=LANE_TINT))
            x, y = tab.center[0] + 1.0, tab.center[1]
            marks.append(
                Text(x, y, "join here", _NOTE_PT, Role.ADULT, f"{name}-join", ADULT_GREY,
                     "middle", 90.0)
            )  # fmt: skip
    return marks


def _unit(
    task: StripTask, cell: BBox, number: int, role: Role, id: str, options: Options
) -> list[Mark]:
    """What one unit shows: its picture, its number, or both."""
    marks: list[Mark] = []
    low = cell.y0 + (_NUMBER_ROOM if task.numbered else 0.0) + _RIM
    if task.picture is not None:
        room = BBox(cell.x0, low, cell.x1, cell.y1 - _RIM).grown(-1.2 - _line(options) / 2.0)
        marks.append(
            picture_with_lines(
                task.picture,
                room,
                least_line_mm=min(least_line(options), task.unit / 15.0),
                colour=options.colour,
                role=role,
                id=id,
            )
        )
    if task.numbered:
        free = low - cell.y0 if task.picture is not None else cell.height
        y = cell.y0 + (free - cap_height_mm(_NUMBER_PT)) / 2.0 + 0.8
        size = _NUMBER_PT if task.unit > 10.0 else 18.0
        marks.append(Text(cell.center[0], y, str(number), size, role, id, anchor="middle"))
    return marks


# --- things to measure ----------------------------------------------------------------------------


def _boxes(task: StripTask, area: BBox) -> list[BBox]:
    """Where the things lie, from the top down; below each there is room for the strip."""
    pitch = (area.height - _TOP - _SAMPLE) / len(task.things)
    boxes = []
    for row, thing in enumerate(task.things):
        y1 = area.y1 - _TOP - _SAMPLE - row * pitch - (END_PICTURE - BAR) / 2.0
        x0 = area.x0 + thing.start
        boxes.append(BBox(x0, y1 - BAR, x0 + thing.length * task.unit, y1))
    return boxes


def _thing(thing: Thing, box: BBox, number: int, options: Options) -> list[Mark]:
    """A bar whose ink is as long as the thing, what has come so far, and where to begin."""
    line = _line(options)
    name = f"length-{number}"
    inner = rectangle(box.grown(-line / 2.0))
    y, half = box.center[1], END_PICTURE / 2.0
    at = BBox(box.x1 + END_GAP, y - half, box.x1 + END_GAP + END_PICTURE, y + half)
    start = Path.line((box.x0 + line / 2.0, box.y0 - 1.5), (box.x0 + line / 2.0, box.y0 - 7.0))
    return [
        Fill((rectangle(box.grown(-line)),), Role.TARGET, name, colour=LANE_TINT),
        Stroke((inner,), line, Role.TARGET, name, join="miter"),
        Stroke((start,), line, Role.GUIDE, f"start-{number}", cap="butt"),
        picture_with_lines(
            thing.step.picture,
            at.grown(-1.0),
            least_line_mm=least_line(options),
            colour=options.colour,
            role=Role.MODEL,
            id=f"end-{number}",
        ),
    ]


def _sample(task: StripTask, area: BBox, options: Options) -> list[Mark]:
    """One unit in true size, at the head of the page."""
    wide = task.unit
    box = BBox(area.x0, area.y1 - _TOP - _SAMPLE + 8.0, area.x0 + wide, area.y1 - _TOP + 4.0)
    line = _line(options)
    frame = rectangle(box.grown(-line / 2.0))
    marks: list[Mark] = [Stroke((frame,), line, Role.MODEL, "unit-1", join="miter")]
    if task.picture is not None:
        marks.append(
            picture_with_lines(
                task.picture,
                box.grown(-1.5 - line),
                least_line_mm=min(least_line(options), task.unit / 15.0),
                colour=options.colour,
                role=Role.MODEL,
                id="unit-1",
            )
        )
    return marks


def _told(task: StripTask, boxes: list[BBox]) -> list[Mark]:
    """For the key: each length below its bar."""
    return [
        Text(box.x0 + 3.0, box.y0 - 6.0, told(thing, task.unit), _LIST_PT, Role.ADULT,
             f"answer-{number}")
        for number, (thing, box) in enumerate(zip(task.things, boxes, strict=True), start=1)
    ]  # fmt: skip
