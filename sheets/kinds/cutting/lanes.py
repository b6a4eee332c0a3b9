"""Building blocks of cutting pages: panels, lanes, ways in from the paper edge, dots, arrows."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from shapes.affine import Point
from shapes.path import BBox, Path
from sheets.kinds.options import Ink
from sheets.page.frame import MARGIN, Frame, Side, rectangle
from sheets.page.model import (
    BLACK,
    FURNITURE_GREY,
    LANE_TINT,
    WHITE,
    Fill,
    Lane,
    Mark,
    Role,
    Stroke,
)

Turn = Literal["clockwise", "anticlockwise"]

LANE_FROM = 4.0
"""Lines at least this wide are drawn as two edges with a tint; narrower ones are solid."""
EDGE = 0.5
DOT = 2.2
_JUNCTION = 0.9


def lane_style(width: float, ink: Ink) -> Lane | None:
    """How a cutting line is drawn: wide ones as lanes, to save ink and show the way."""
    if ink == "saver":
        return Lane(min(EDGE, width / 4.0), WHITE)
    return Lane(EDGE, LANE_TINT) if width >= LANE_FROM else None


def cut(
    paths: Sequence[Path],
    width: float,
    ink: Ink,
    *,
    id: str,
    cap: Literal["butt", "round"] = "butt",
) -> Stroke:
    """A mark the child cuts along."""
    return Stroke(tuple(paths), width, Role.CUT, id=id, lane=lane_style(width, ink), cap=cap)


def panel(frame: Frame, width: float, height: float) -> BBox:
    """A piece of the work area that an adult cuts out beforehand, in the middle."""
    cx, cy = frame.work.center
    return BBox(cx - width / 2.0, cy - height / 2.0, cx + width / 2.0, cy + height / 2.0)


def across(box: BBox, y: float, start: Side) -> Path:
    """A straight line across a panel, from the cutting hand's side."""
    ends = ((box.x1, y), (box.x0, y)) if start == "right" else ((box.x0, y), (box.x1, y))
    return Path.line(*ends)


def start_dot(at: Point, id: str = "start", radius: float = DOT) -> Fill:
    """A dot where the scissors begin."""
    return Fill((Path.circle(at, radius),), Role.GUIDE, id=id, colour=BLACK)


def start_dots(paths: Sequence[Path], inset: float) -> list[Mark]:
    """A dot on each line, ``inset`` mm from where it starts."""
    marks: list[Mark] = []
    for i, path in enumerate(paths):
        x, y = path.start
        tx, ty = path.segments[0].tangent_at(0.0)
        marks.append(start_dot((x + tx * inset, y + ty * inset), id=f"start-{i + 1}"))
    return marks


def run_in(
    frame: Frame, outline: Path, width: float, side: Side, ink: Ink, id: str
) -> tuple[list[Mark], list[Mark], Point]:
    """The line from the paper edge to a closed outline, so that nobody pierces paper.

    It runs straight in from the edge on ``side`` to the point of the outline nearest that edge.

    Returns:
        marks to draw before the outline, marks to draw after it, and the point where they meet.
    """
    point = nearest_to_edge(outline, side)
    before, after = _way_in(frame, point, width, side, ink, id)
    return before, after, point


def lead_in(
    frame: Frame, line: Path, width: float, side: Side, ink: Ink, id: str
) -> tuple[list[Mark], list[Mark]]:
    """The same for an open line: from the paper edge to where the line starts."""
    return _way_in(frame, line.start, width, side, ink, id)


def _way_in(
    frame: Frame, point: Point, width: float, side: Side, ink: Ink, id: str
) -> tuple[list[Mark], list[Mark]]:
    edge = (frame.edge_x(side), point[1])
    inward = 1.0 if side == "left" else -1.0
    lane = lane_style(width, ink)
    before: list[Mark] = [
        Stroke(
            (Path.line(edge, point),), width, Role.ENTRY, id=f"{id}-entry", lane=lane, cap="butt"
        )
    ]
    after: list[Mark] = []
    if lane is not None:
        # The outline's own edge line would close the mouth of the way in: paint it open again.
        reach = inward * (width / 2.0 + _JUNCTION)
        after.append(
            Stroke(
                (Path.line((point[0] - reach, point[1]), point),),
                width - 2.0 * lane.edge,
                Role.GUIDE,
                id=f"{id}-mouth",
                colour=lane.tint,
                cap="round",
            )
        )
    # On a solid line the dot has to stand out beyond the line.
    radius = DOT if lane is not None else max(DOT, width)
    dot_at = (edge[0] + inward * (MARGIN + radius), edge[1])
    if abs(point[0] - dot_at[0]) > width / 2.0 + radius:
        after.append(start_dot(dot_at, f"{id}-start", radius))
    return before, after


def nearest_to_edge(outline: Path, side: Side) -> Point:
    """The outline's point furthest to that side; of several the one nearest their middle."""
    points = outline.flatten(0.05)
    sign = -1.0 if side == "left" else 1.0
    far = max(sign * x for x, _ in points)
    level = [p for p in points if sign * p[0] > far - 0.05]
    # Not the middle itself: it may lie in the hollow between two parts that reach equally far.
    middle = (min(y for _, y in level) + max(y for _, y in level)) / 2.0
    return min(level, key=lambda p: (round(abs(p[1] - middle), 3), p[1]))


def arrow(outline: Path, at: Point, turn: Turn, width: float) -> list[Mark]:
    """A small arrow outside the outline that shows which way round, a little after the start."""
    points = outline.flatten(0.1)
    if _signed_area(points) < 0:
        points.reverse()
    if turn == "clockwise":
        points.reverse()
    ring = [*points, points[0]]
    lengths = [math.dist(a, b) for a, b in itertools.pairwise(ring)]
    total = sum(lengths)
    begin = min(range(len(points)), key=lambda i: math.dist(points[i], at))
    walked, want, index = 0.0, max(18.0, 0.06 * total), begin
    while walked < want:
        walked += lengths[index % len(lengths)]
        index += 1
    a, b = points[(index - 1) % len(points)], points[index % len(points)]
    span = math.dist(a, b) or 1.0
    tx, ty = (b[0] - a[0]) / span, (b[1] - a[1]) / span
    # Outside is to the right of an anticlockwise walk, to the left of a clockwise one.
    out = 1.0 if turn == "anticlockwise" else -1.0
    nx, ny = ty * out, -tx * out
    off = width / 2.0 + 4.0
    cx, cy = b[0] + nx * off, b[1] + ny * off
    half, headlen = 6.0, 2.6
    tail, tip = (cx - tx * half, cy - ty * half), (cx + tx * half, cy + ty * half)
    barbs = [
        (
            tip[0] - headlen * (tx * math.cos(s) - ty * math.sin(s)),
            tip[1] - headlen * (ty * math.cos(s) + tx * math.sin(s)),
        )
        for s in (0.5, -0.5)
    ]
    paths = (Path.line(tail, tip), Path.from_points([barbs[0], tip, barbs[1]]))
    return [Stroke(paths, 0.9, Role.GUIDE, id="turn-arrow", colour=BLACK)]


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


def _signed_area(points: Sequence[Point]) -> float:
    ring = [*points, points[0]]
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise(ring))
