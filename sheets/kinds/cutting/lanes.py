"""Building blocks of cutting pages: panels, lanes, ways in from the paper edge, dots, arrows."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from shapes.affine import Affine, Point
from shapes.path import Arc, BBox, Path
from sheets.kinds.cutting.slipway import (
    Ground,
    Turn,
    WayIn,
    arrow_beside,
    dot_on,
    usual_turn,
)
from sheets.kinds.lines import lane_style
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount
from sheets.page.frame import MARGIN, Frame, Side, rectangle
from sheets.page.model import (
    BLACK,
    FURNITURE_GREY,
    Fill,
    Mark,
    Role,
    Stroke,
)

DOT = 2.0
BOLD_DOT = 3.5


def line_for(stage: int, options: Options) -> float:
    """Printed width of the line at a stage, in mm: wider on a page for low vision."""
    name = "low_vision_line" if is_low(options) else "line_width"
    return amount("cutting", stage, name)


def dot_radius(options: Options) -> float:
    """Radius of a start dot on a lane, mm."""
    return BOLD_DOT if is_low(options) else DOT


def cut(
    paths: Sequence[Path],
    width: float,
    options: Options,
    *,
    id: str,
    cap: Literal["butt", "round"] = "butt",
) -> Stroke:
    """A mark the child cuts along."""
    lane = lane_style(width, options)
    return Stroke(tuple(paths), width, Role.CUT, id=id, lane=lane, cap=cap)


def panel(frame: Frame, width: float, height: float) -> BBox:
    """A piece of the work area that an adult cuts out beforehand, in the middle."""
    cx, cy = frame.work.center
    return BBox(cx - width / 2.0, cy - height / 2.0, cx + width / 2.0, cy + height / 2.0)


def across(box: BBox, y: float, start: Side) -> Path:
    """A straight line across a panel, from the cutting hand's side."""
    ends = ((box.x1, y), (box.x0, y)) if start == "right" else ((box.x0, y), (box.x1, y))
    return Path.line(*ends)


def start_dot(at: Point, id: str, radius: float) -> Fill:
    """A dot where the scissors begin."""
    return Fill((Path.circle(at, radius),), Role.GUIDE, id=id, colour=BLACK)


def start_dots(paths: Sequence[Path], inset: float, options: Options) -> list[Mark]:
    """A dot on each line, ``inset`` mm from where it starts."""
    marks: list[Mark] = []
    for i, path in enumerate(paths):
        x, y = path.start
        tx, ty = path.segments[0].tangent_at(0.0)
        at = (x + tx * inset, y + ty * inset)
        marks.append(start_dot(at, f"start-{i + 1}", dot_radius(options)))
    return marks


def ground(frame: Frame, width: float, gap: float, options: Options, turn: Turn | None) -> Ground:
    """Where ways in may run on a page, with its dots as large as its lines ask."""
    solid = lane_style(width, options) is None
    # On a solid line the dot has to stand out beyond the line.
    dot = max(dot_radius(options), width if solid else 0.0)
    side = options.start_side
    return Ground(frame, side, turn or usual_turn(side), width, gap, dot)


def way_marks(
    way: WayIn, ground: Ground, options: Options, id: str
) -> tuple[list[Mark], list[Mark]]:
    """The line from the paper edge into an outline, so that nobody pierces paper, with its dot.

    Returns:
        marks to draw before the outline, and marks to draw after it.
    """
    lane = lane_style(ground.width, options)
    path = way.path
    before: list[Mark] = [
        Stroke((path,), ground.width, Role.ENTRY, id=f"{id}-entry", lane=lane, cap="butt")
    ]
    dot_at = dot_on(way, ground.dot)
    after: list[Mark] = []
    if lane is not None:
        # The outline's own edge line would close the mouth of the way in: paint it open again.
        after.append(
            Stroke(
                (Path.line(dot_on(way, max(ground.dot, ground.half)), path.end),),
                ground.width - 2.0 * lane.edge,
                Role.GUIDE,
                id=f"{id}-mouth",
                colour=lane.tint,
                cap="round",
            )
        )
    after.append(start_dot(dot_at, f"{id}-start", ground.dot))
    return before, after


def turn_arrow(way: WayIn, ground: Ground, lines: Sequence[Path]) -> list[Mark]:
    """A small arrow beside a way in that shows which way the outline is cut."""
    paths = arrow_beside(way, ground, lines)
    return [Stroke(tuple(paths), 0.9, Role.GUIDE, id="turn-arrow", colour=BLACK)] if paths else []


_STEEP = 0.82  # cosine of about 35 degrees
_UPRIGHT = 0.5


def levelled(line: Path) -> Path:
    """An open curve that starts upright, turned so that it starts level and to the right."""
    dx, dy = line.segments[0].tangent_at(0.0)
    if line.closed or abs(dx) >= _UPRIGHT or not isinstance(line.segments[0], Arc):
        return line
    return line.transformed(Affine.rotation(-math.degrees(math.atan2(dy, dx))))


def with_way_in(frame: Frame, line: Path, side: Side) -> tuple[Path, WayIn | None]:
    """An open line and the way from the paper edge straight on into it.

    A curve that starts too steeply for that begins at the paper edge itself. Corners of straight
    lines may stay where they are.
    """
    (x, y), (dx, dy) = line.start, line.segments[0].tangent_at(0.0)
    edge = frame.edge_x(side)
    if abs(dx) < _STEEP and isinstance(line.segments[0], Arc):
        return line.moved(edge - x, 0.0), None
    low = y - dy * (x - edge) / dx if abs(dx) >= _STEEP else y
    return line, WayIn(Path.line((edge, low), line.start), below=False)


def dot_on_line(line: Path, ground: Ground) -> Fill:
    """The start dot of a line that begins at the paper edge."""
    want = MARGIN + ground.dot
    points = line.flatten(0.05)
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        if abs(bx - points[0][0]) >= want:
            share = (want - abs(ax - points[0][0])) / (abs(bx - ax) or 1.0)
            return start_dot((ax + (bx - ax) * share, ay + (by - ay) * share), "start", ground.dot)
    return start_dot(points[-1], "start", ground.dot)


def stop_bar(line: Path, width: float, id: str) -> Stroke:
    """A short bar across the end of a line that stops inside the paper."""
    (x, y), (tx, ty) = line.end, line.segments[-1].tangent_at(1.0)
    reach = width / 2.0 + 3.0
    bar = Path.line((x + ty * reach, y - tx * reach), (x - ty * reach, y + tx * reach))
    return Stroke((bar,), 1.4, Role.GUIDE, id=id, colour=BLACK)


def glue_box(box: BBox) -> Stroke:
    """A thin dashed frame in which cut pieces can be glued."""
    return Stroke(
        (rectangle(box),),
        0.5,
        Role.ANSWER_SPACE,
        id="glue-box",
        colour=FURNITURE_GREY,
        dash=(4.0, 3.0),
        cap="butt",
    )
