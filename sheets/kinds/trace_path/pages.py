"""Pages of lanes and shapes to follow with a finger, and then with a pencil."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from shapes.affine import Point
from shapes.letters.font import text_width_mm
from shapes.measure.difficulty import steering
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.materials import PENCIL, PRINTED
from sheets.kinds.options import BOLD_LINE, Options, is_low, least_line
from sheets.kinds.settings import amount, setting
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.trace_path.task import COPY, NAME, TracePathTask, task
from sheets.kinds.trace_path.ways import WAYS, Look, Way, drawn
from sheets.page.cards import picture_with_lines
from sheets.page.frame import rectangle
from sheets.page.model import (
    FURNITURE_GREY,
    WHITE,
    Fill,
    Lane,
    Mark,
    Material,
    Role,
    Stroke,
)

__all__ = ["draw", "task"]

ROAD = "#ececec"
"""Between the edges: pale, so that a pencil shows on it and it costs little ink."""
MIDDLE = "#949494"
"""The lightest grey with 3 to 1 on white (WCAG 2 formula: 3.03)."""
UNDER_HEAD, ROW_GAP, COLUMN_GAP = 4.0, 9.0, 10.0
LONGEST_TITLE = 140.0
"""A title of names that is longer is left for the plain one, mm at 20 pt."""
TOY = Material("toy to push along", 1, "shared", caution="small-parts")


def draw(task: TracePathTask, options: Options, sheet: SheetBuilder) -> None:
    """One page of ways."""
    look = look_of(task.stage, options)
    marks: list[Mark] = []
    record: list[dict[str, object]] = []
    copied = False
    for name, room, beside in places(task, look, sheet.frame.work):
        way = drawn(name, room, look)
        marks += way_marks(task, way, look, len(record) + 1, options)
        record.append(_measures(name, way, look))
        if beside is not None:
            marks += copy_marks(way, room, beside, look)
            copied = True
    _entitle(task, options, sheet)
    sheet.page(marks, "lanes", ask=_asked(task.stage, copied), say=_said(task, options))
    if task.stage == 0:
        sheet.keep()
    sheet.needs(PRINTED)
    if task.stage > 0:
        sheet.needs(PENCIL)
    elif "mouths-objects" not in options.needs:
        sheet.needs(TOY)
    sheet.record(lane=look.free, items=len(record), ways=record)


def look_of(stage: int, options: Options) -> Look:
    """How the lanes of a stage are drawn."""
    limit = limits("tracing", stage).get("steering_index")
    edge = BOLD_LINE if is_low(options) else amount(NAME, stage, "edge")
    return Look(
        free=amount(NAME, stage, "lane"),
        edge=edge,
        picture=amount(NAME, stage, "picture_side"),
        index=(limit.maximum or 0.0) if limit else 0.0,
        left=options.hand == "left",
    )


# --- places ---------------------------------------------------------------------------------------


def places(task: TracePathTask, look: Look, work: BBox) -> Iterator[tuple[str, BBox, BBox | None]]:
    """Each way of the page, its room, and the room of the box it is copied in, if it has one.

    Rows that know their height have it, the others share what is left.
    """
    fixed = [_height(row, look) for row in task.rows]
    free = work.height - UNDER_HEAD - ROW_GAP * (len(fixed) - 1)
    free -= sum(high or 0.0 for high in fixed)
    open_rows = fixed.count(None)
    # Where every row knows its height, the rest is white between them.
    extra = 0.0 if open_rows else free / len(fixed)
    top = work.y1 - UNDER_HEAD
    for row, known in zip(task.rows, fixed, strict=True):
        high = free / open_rows if known is None else known
        box = BBox(work.x0, top - extra / 2.0 - high, work.x1, top - extra / 2.0)
        rooms = _columns(row, box, look)
        beside = rooms.pop() if row[-1] == COPY else None
        if beside is not None and look.left:
            # The hand that draws must not cover what it copies.
            rooms[-1], beside = beside, rooms[-1]
        for name, room in zip(row, rooms, strict=False):
            last = room is rooms[-1]
            yield name, room, beside if last else None
        top -= high + extra + ROW_GAP


def _height(row: Sequence[str], look: Look) -> float | None:
    known = WAYS[row[0]].high if len(row) == 1 else None
    return known(look) if known else None


def _columns(row: Sequence[str], box: BBox, look: Look) -> list[BBox]:
    """The rooms of a row: an upright lane among others is narrow, the others share the rest."""
    slim = [name == "upright" and set(row) != {name} for name in row]
    narrow = max(look.picture, look.width)
    left = box.width - COLUMN_GAP * (len(row) - 1) - narrow * sum(slim)
    share = left / max(1, slim.count(False))
    rooms: list[BBox] = []
    x = box.x0
    for is_slim in slim:
        wide = narrow if is_slim else share
        rooms.append(BBox(x, box.y0, x + wide, box.y1))
        x += wide + COLUMN_GAP
    return rooms


# --- marks ----------------------------------------------------------------------------------------


def way_marks(task: TracePathTask, way: Way, look: Look, k: int, options: Options) -> list[Mark]:
    """A lane with the line in its middle, a dot where each stroke starts, and its pictures."""
    tint = WHITE if options.ink == "saver" else ROAD
    shape = len(way.pictures) < 2
    lane = Stroke(
        way.paths,
        look.width,
        Role.TRACE,
        id=f"lane-{k}",
        lane=Lane(look.edge, tint),
        cap="round" if shape else "butt",
        join="miter",
        item=k,
    )
    marks: list[Mark] = [lane]
    style = setting(NAME, task.stage, "middle")
    if style != "none":
        wide = amount(NAME, task.stage, "middle_line")
        dash = (3.0 * wide, 2.0 * wide) if style == "dashes" else ()
        marks.append(
            Stroke(
                way.paths,
                wide,
                Role.TRACE,
                id=f"lane-{k}-middle",
                colour=MIDDLE,
                dash=dash,
                cap="butt",
                item=k,
            )
        )
    radius = dot_radius(look)
    for i, path in enumerate(way.paths, start=1):
        at = _along(path, 0.0 if shape else radius + 1.5)
        dot = Path.circle(at, radius)
        marks.append(Fill((dot,), Role.GUIDE, id=f"start-{k}-{i}", item=k))
    for box, step in zip(way.pictures, task.pairs[k - 1], strict=False):
        end = "first" if box is way.pictures[0] else "last"
        marks.append(
            picture_with_lines(
                step.picture,
                box,
                least_line_mm=least_line(options),
                colour=options.colour,
                id=f"{end}-{k}",
            )
        )
    return marks


def dot_radius(look: Look) -> float:
    """Of the dot where a stroke starts, mm: it stands clear of the edges."""
    return min(4.0, 0.36 * look.free)


def _along(path: Path, distance: float) -> Point:
    """The point of a path that lies so far along it, mm."""
    for (ax, ay), (bx, by) in itertools.pairwise(path.flatten()):
        long = math.hypot(bx - ax, by - ay)
        if distance <= long:
            return (ax + (bx - ax) * distance / long, ay + (by - ay) * distance / long)
        distance -= long
    return path.end


def copy_marks(way: Way, room: BBox, beside: BBox, look: Look) -> list[Mark]:
    """A box to draw a shape in, with the dots where its strokes start."""
    (x, y), side = beside.center, min(beside.width, beside.height)
    half = side / 2.0 - 0.5
    box = BBox(x - half, y - half, x + half, y + half)
    frame = Stroke(
        (rectangle(box),), 0.9, Role.ANSWER_SPACE, id="copy", colour=FURNITURE_GREY, join="miter"
    )
    dx, dy = x - room.center[0], y - room.center[1]
    dots = [
        Fill((Path.circle(path.start, dot_radius(look)).moved(dx, dy),), Role.GUIDE, id=f"copy-{i}")
        for i, path in enumerate(way.paths, start=1)
    ]
    return [frame, *dots]


# --- words ----------------------------------------------------------------------------------------


def _entitle(task: TracePathTask, options: Options, sheet: SheetBuilder) -> None:
    sheet.entitle("line")
    if task.names is None:
        return
    plain = sheet.title
    first, last = task.names
    sheet.entitle("pair", first=first, last=last)
    if text_width_mm(sheet.title, 20.0) > LONGEST_TITLE and not options.title:
        sheet.title = plain


def _asked(stage: int, copied: bool) -> list[str]:
    if copied:
        return ["copy"]
    return ["finger" if stage == 0 else "pencil", "dot"]


def _said(task: TracePathTask, options: Options) -> list[str]:
    lines = ["Start at each dot, at the top or on the left, with either hand."]
    names = {name for row in task.rows for name in row}
    if task.stage == 0:
        lines = ["Lead the hand along the first road; then take turns."]
    elif names & {"circle", "square", "triangle"}:
        lines.append("Round shapes: either way round is right.")
    return [" ".join(lines)]


def _measures(name: str, way: Way, look: Look) -> dict[str, object]:
    """What the record says of a way; its strokes count one by one."""
    lengths = [round(path.length, 1) for path in way.paths]
    index = [round(steering(path, look.free), 2) for path in way.paths]
    return {"way": name, "length": lengths, "steering_index": index}
