"""The way in from the paper edge to a closed outline: a straight line that runs on into it.

It meets the outline along a tangent, or at a corner in line with the side that follows, so that the
scissors go straight on where they come to the outline. From the lower edge of the paper beside the
adult's words where it fits, so that the elbow stays down; else from the edge at the cutting hand.
Lengths in mm, y up.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.affine import Point
from shapes.path import BBox, Path
from shapes.segments import point_to_segment
from sheets.page.frame import HEAD_HEIGHT, MARGIN, Frame, Side

Turn = Literal["clockwise", "anticlockwise"]

LONGEST = 152.4
"""As long as the longest straight cut of stages 2 and 3."""
_CLEAR = 0.8  # from the line's edge to words and bars
_DOT_CLEAR = 0.2
_CORNER = math.radians(15.0)
_ARC_STEP_DEG = 4.0
_TANGENT = 0.06  # the flattened outline may lie this far on the wrong side of its own tangent
_APART_AFTER = 60.0  # from here on, line and outline are two lines
_SHORE = 2.0
_FLATTEST = math.sin(math.radians(25.0))
"""A line that crosses the paper edge at a smaller angle runs along it."""
_SIDEWAYS_COST = 0.6  # mm a degree off the direction that suits the hand best
_MOST_SHIFT = 30.0


@dataclass(frozen=True, slots=True)
class WayIn:
    """A way in.

    Args:
        path: from beyond the paper edge to the point where it runs into the outline.
        below: it comes from the lower edge of the paper.
        over: how far it starts beyond the edge, so that no corner of a slanting line is missing.
    """

    path: Path
    below: bool
    over: float = 0.0

    @property
    def direction(self) -> Point:
        return self.path.segments[0].tangent_at(0.0)


@dataclass(frozen=True, slots=True)
class Ground:
    """Where ways in may run.

    Args:
        side: the cutting hand's.
        turn: which way round the outline is cut.
        width: of the printed line, mm.
        gap: from line edge to the edges of other outlines, mm.
        dot: radius of the start dot, mm.
    """

    frame: Frame
    side: Side
    turn: Turn
    width: float
    gap: float
    dot: float

    @property
    def half(self) -> float:
        return self.width / 2.0

    @property
    def reach(self) -> float:
        """Half the width of the line or of its dot, whichever is wider."""
        return max(self.half, self.dot)

    def taken(self, half: float) -> list[BBox]:
        """Boxes of the head, the foot and the bar at the other side, wider by half an ink."""
        live, work, foot = self.frame.live, self.frame.work, self.frame.foot
        bar = self.frame.bar("left" if self.side == "right" else "right")
        # A line along the upper or lower end of the work area is clear of head and foot.
        head = BBox(work.x0, live.y1 - HEAD_HEIGHT + _CLEAR + 0.01, work.x1, live.y1)
        words = BBox(foot.x0, foot.y0, foot.x1, foot.y1 - _CLEAR - 0.01)
        wider = half + _CLEAR
        return [words.grown(wider), head.grown(wider), bar.grown(wider)]

    def strip(self) -> tuple[float, float] | None:
        """Where an upright line may pass the adult's words at the hand's side; None if nowhere."""
        foot, paper = self.frame.foot, self.frame.paper
        if self.side == "right":
            low, high = foot.x1 + self.reach + _CLEAR, paper.width - MARGIN - self.reach
        else:
            low, high = MARGIN + self.reach, foot.x0 - self.reach - _CLEAR
        return (low, high) if low <= high else None


def usual_turn(side: Side) -> Turn:
    """The right hand cuts anticlockwise, the left hand clockwise."""
    return "anticlockwise" if side == "right" else "clockwise"


def shift_to_strip(outline: Path, ground: Ground) -> float:
    """How far sideways an outline has to move for its side to lie above the free strip; else 0."""
    strip = ground.strip()
    if strip is None or ground.turn != usual_turn(ground.side):
        return 0.0
    box = outline.bbox
    if ground.side == "right":
        move = strip[0] + 0.01 - box.x1
        reach = box.x0 + move
        fits = reach - ground.half >= ground.frame.work.x0
    else:
        move = strip[1] - 0.01 - box.x0
        reach = box.x1 + move
        fits = reach + ground.half <= ground.frame.work.x1
    return move if fits and abs(move) <= _MOST_SHIFT else 0.0


def way_in(outline: Path, ground: Ground, others: Sequence[Path] = ()) -> WayIn | None:
    """The best way in to an outline; None if there is none.

    Args:
        others: outlines and ways in that it keeps the gap from.
    """
    ring = outline.flatten(0.05)
    anticlockwise = _area(ring) > 0.0
    follow = outline if anticlockwise == (ground.turn == "anticlockwise") else outline.reversed()
    taken = ground.taken(ground.half)
    far = [other.flatten(0.2) for other in others]
    room = ground.gap + ground.width + 0.1
    tried: list[tuple[int, float, WayIn, Point, bool]] = []
    for point, direction, corner in _starts(follow):
        for rank, way in _from_edges(point, direction, ground):
            length = way.path.length
            if length > LONGEST - 0.01 or any(_crosses(way.path.start, point, b) for b in taken):
                continue
            off = 0.0 if rank == 0 else _SIDEWAYS_COST * _off_natural(direction, ground, rank)
            tried.append((rank, round(length + off, 3), way, direction, corner))
    # The best first, because what is asked of each now looks at the whole outline.
    for _, _, way, direction, corner in sorted(tried, key=lambda row: row[:2]):
        start, point = way.path.start, way.path.end
        if (
            _runs_free(ring, point, direction, ground, corner=corner)
            and _dot_has_room(ring, way, ground)
            and not any(_near(start, point, other, room) for other in far)
        ):
            return way
    return None


def dot_on(way: WayIn, radius: float) -> Point:
    """Middle of the start dot: its ink keeps the margin from the paper edge."""
    (x, y), (dx, dy) = way.path.start, way.direction
    along = way.over + (MARGIN + radius) / abs(dy if way.below else dx)
    return (x + dx * along, y + dy * along)


# --- where it may meet the outline ----------------------------------------------------------------


def _starts(follow: Path) -> Iterator[tuple[Point, Point, bool]]:
    """Points of the outline, the direction in which it goes on, and whether they are corners."""
    segments = follow.segments
    for before, segment in zip((segments[-1], *segments[:-1]), segments, strict=True):
        sweep = getattr(segment, "sweep_deg", 0.0)
        count = max(1, math.ceil(abs(sweep) / _ARC_STEP_DEG))
        (ax, ay), (bx, by) = before.tangent_at(1.0), segment.tangent_at(0.0)
        turned = abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
        yield segment.start, (bx, by), turned >= _CORNER
        for i in range(1, count):
            yield segment.point_at(i / count), segment.tangent_at(i / count), False


def _from_edges(point: Point, direction: Point, ground: Ground) -> Iterator[tuple[int, WayIn]]:
    """Ways to a point from below (0), from the hand's edge (1) and from the far edge (2)."""
    (x, y), (dx, dy) = point, direction
    paper, clear = ground.frame.paper, MARGIN + ground.reach
    if dy > _FLATTEST:
        foot = x - dx * y / dy
        if all(clear <= each <= paper.width - clear for each in (x, foot)):
            over = ground.half * abs(dx) / dy
            yield 0, WayIn(Path.line((foot - dx * over, -dy * over), point), True, over)
    if abs(dx) > _FLATTEST:
        inward = -1.0 if ground.side == "right" else 1.0
        from_hand = dx * inward > 0.0
        edge = paper.width if dx < 0.0 else 0.0
        low = y - dy * (x - edge) / dx
        if all(clear <= each <= paper.height - clear for each in (y, low)):
            over = ground.half * abs(dy / dx)
            start = (edge - dx * over, low - dy * over)
            yield (1 if from_hand else 2), WayIn(Path.line(start, point), False, over)


def _runs_free(
    ring: Sequence[Point], point: Point, direction: Point, ground: Ground, *, corner: bool
) -> bool:
    """Whether the line back from a point keeps off the outline but for where it runs into it."""
    (px, py), (dx, dy) = point, direction
    sign = 1.0 if ground.turn == "anticlockwise" else -1.0
    merged = 3.0 * ground.width
    for x, y in ring:
        vx, vy = x - px, y - py
        aside = sign * (dx * vy - dy * vx)
        back = -(dx * vx + dy * vy)
        if corner:
            if back > 0.0 and abs(aside) < ground.width + _SHORE and math.hypot(vx, vy) > merged:
                return False
        elif aside < -_TANGENT:
            return False
        if back > _APART_AFTER and abs(aside) < ground.width + _SHORE:
            return False
    return True


def _dot_has_room(ring: Sequence[Point], way: WayIn, ground: Ground) -> bool:
    at = dot_on(way, ground.dot)
    if any(box.x0 < at[0] < box.x1 and box.y0 < at[1] < box.y1 for box in ground.taken(ground.dot)):
        return False
    reach = ground.dot + ground.half + _DOT_CLEAR
    return all(point_to_segment(at, a, b) >= reach for a, b in itertools.pairwise([*ring, ring[0]]))


def _off_natural(direction: Point, ground: Ground, rank: int) -> float:
    """Degrees off the direction that suits the hand: up, and away from the edge it comes from."""
    lean = 45.0 if (ground.side == "right") == (rank == 1) else -45.0
    angle = math.degrees(math.atan2(direction[1], direction[0])) - 90.0
    return abs((angle - lean + 180.0) % 360.0 - 180.0)


# --- the arrow beside it --------------------------------------------------------------------------

_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.9, 1.0, 1.1)
_ARROW_HALF, _ARROW_OFF, _BARB = 6.0, 3.2, 2.6


def arrow_beside(way: WayIn, ground: Ground, lines: Sequence[Path]) -> list[Path]:
    """Shaft and head of a small arrow along the way in, clear of all lines, words and the edge.

    On the side away from the outline if there is room; empty if there is none on either side.

    Args:
        lines: all outlines and ways in of the page, this one among them.
    """
    (x, y), (dx, dy) = way.path.start, way.direction
    away = 1.0 if ground.turn == "anticlockwise" else -1.0
    rings = [line.flatten(0.2) for line in lines]
    tries = itertools.product((1.0, 0.7), _SHARES, (0.0, 1.5), (away, -away))
    for size, share, further, side in tries:
        off = (ground.half + _ARROW_OFF + further) * side
        along = way.path.length * share
        cx, cy = x + dx * along + dy * off, y + dy * along - dx * off
        half, barb = _ARROW_HALF * size, _BARB * size
        tail, tip = (cx - dx * half, cy - dy * half), (cx + dx * half, cy + dy * half)
        barbs = [
            (
                tip[0] - barb * (dx * math.cos(turn) - dy * math.sin(turn)),
                tip[1] - barb * (dy * math.cos(turn) + dx * math.sin(turn)),
            )
            for turn in (0.5, -0.5)
        ]
        if _arrow_is_clear([tail, tip, *barbs], ground, rings):
            return [Path.line(tail, tip), Path.from_points([barbs[0], tip, barbs[1]])]
    return []


def _arrow_is_clear(
    points: Sequence[Point], ground: Ground, rings: Sequence[Sequence[Point]]
) -> bool:
    box = BBox.around(points).grown(0.5)
    if not ground.frame.live.contains(box):
        return False
    if any(_crosses(points[0], points[1], taken) for taken in ground.taken(0.5)):
        return False
    return not any(_near(points[0], points[1], ring, ground.half + 1.8) for ring in rings)


# --- small geometry -------------------------------------------------------------------------------


def _crosses(a: Point, b: Point, box: BBox) -> bool:
    """Whether a straight part touches a box (clipped between its sides: Liang and Barsky 1984)."""
    low, high = 0.0, 1.0
    for start, way, first, last in (
        (a[0], b[0] - a[0], box.x0, box.x1),
        (a[1], b[1] - a[1], box.y0, box.y1),
    ):
        if abs(way) < 1e-12:
            if not first <= start <= last:
                return False
            continue
        ends = sorted(((first - start) / way, (last - start) / way))
        low, high = max(low, ends[0]), min(high, ends[1])
    return low <= high


def _near(a: Point, b: Point, ring: Sequence[Point], reach: float) -> bool:
    """Whether a ring comes nearer to a straight part than ``reach``."""
    return any(point_to_segment(p, a, b) < reach for p in ring) or any(
        point_to_segment(end, p, q) < reach
        for end in (a, b)
        for p, q in itertools.pairwise([*ring, ring[0]])
    )


def _area(ring: Sequence[Point]) -> float:
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise([*ring, ring[0]]))
