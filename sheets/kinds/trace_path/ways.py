"""The ways a page has: lanes from a picture to a picture, and shapes, fitted into a box.

A lane starts at the top or on the left for either hand, as reading does; so does every stroke of a
shape. Only what a hand would cover is mirrored: see :class:`Look`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType

from shapes import basic
from shapes.affine import Point
from shapes.path import Arc, BBox, Line, Path

GAP = 3.0
"""White between a lane's end and its picture, mm."""
LEAST_LEG = 12.0
"""Straight part before a bend, mm."""
LEAST_PICTURE = 16.0
"""A picture inside a shape is left out if it would be smaller, mm."""


@dataclass(frozen=True, slots=True)
class Look:
    """How the lanes of a page are drawn, mm.

    Args:
        free: width between the edges.
        edge: width of each edge.
        picture: side of the pictures at the ends.
        index: most that a way's length may be over ``free``; 0 if there is no such limit.
        left: the page is for a left hand, which comes from the lower left: pictures on the left
            stand higher than the start they are for, and slants lean the other way.
    """

    free: float
    edge: float
    picture: float
    index: float
    left: bool

    @property
    def width(self) -> float:
        """From outer edge to outer edge."""
        return self.free + 2.0 * self.edge

    @property
    def longest(self) -> float:
        """How long a way may be, mm."""
        return self.index * self.free if self.index else math.inf


@dataclass(frozen=True, slots=True)
class Way:
    """One lane or shape on its place.

    Args:
        paths: its strokes in their order; the middles of lanes that run into one another.
        pictures: boxes of the pictures where it starts and ends; one box if it goes round it.
    """

    paths: tuple[Path, ...]
    pictures: tuple[BBox, ...] = ()


Draw = Callable[[BBox, Look], Way]


# --- lanes from picture to picture ----------------------------------------------------------------


def level(room: BBox, look: Look) -> Way:
    """Straight from left to right."""
    y = room.center[1] - (look.picture / 4.0 if look.left else 0.0)
    a, b = _ends(room, look, 0.0)
    return Way((Path.line((a, y), (b, y)),), _beside(room, look, y, y))


def upright(room: BBox, look: Look) -> Way:
    """Straight from top to bottom."""
    x, s = room.center[0], look.picture
    top, foot = room.y1 - s - GAP, room.y0 + s + GAP
    pictures = (_box(x, room.y1 - s / 2.0, s), _box(x, room.y0 + s / 2.0, s))
    return Way((Path.line((x, top), (x, foot)),), pictures)


def bow(room: BBox, look: Look) -> Way:
    """Down, round in one bend and up again."""
    s, cx, top = look.picture, room.center[0], room.y1 - look.picture - GAP
    low = room.y0 + look.width / 2.0
    radius = min((room.width - s) / 2.0, top - low - LEAST_LEG)
    x0, x1, middle = cx - radius, cx + radius, low + radius
    path = Path(
        (
            Line((x0, top), (x0, middle)),
            Arc((cx, middle), radius, 180.0, 180.0),
            Line((x1, middle), (x1, top)),
        )
    )
    return Way((path,), tuple(_box(x, room.y1 - s / 2.0, s) for x in (x0, x1)))


def bend(room: BBox, look: Look) -> Way:
    """Down, and to the right after one turn."""
    s = look.picture
    x, y = room.x0 + s / 2.0, room.y0 + s / 2.0
    points = [(x, room.y1 - s - GAP), (x, y), (room.x1 - s - GAP, y)]
    pictures = (_box(x, room.y1 - s / 2.0, s), _box(room.x1 - s / 2.0, y, s))
    return Way((Path.from_points(points),), pictures)


def hill(room: BBox, look: Look) -> Way:
    """Up and down in one gentle bend."""
    a, b = _ends(room, look, look.width / 2.0)
    y = room.y0 + look.picture / 2.0
    rise = min(0.2 * (b - a), room.y1 - y - look.width / 2.0)
    half = 2.0 * math.atan2(2.0 * rise, b - a)
    path = basic.arc_line((b - a) / (2.0 * math.sin(half)), -2.0 * math.degrees(half)).moved(a, y)
    return Way((path,), _beside(room, look, y, y))


def slant(room: BBox, look: Look) -> Way:
    """Down in one slanting line: to the left for a right hand, to the right for a left one."""
    s, sign = look.picture, 1.0 if look.left else -1.0
    cx = room.center[0]
    reach = min(room.width, 0.8 * room.height) / 2.0 - s / 2.0
    start = (cx - sign * reach, room.y1 - s / 2.0)
    end = (cx + sign * reach, room.y0 + s / 2.0)
    long = math.dist(start, end)
    dx, dy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    # A square picture reaches this far along the line; the lane's blunt end comes no closer.
    off = s / 2.0 * (abs(dx) + abs(dy)) + GAP
    path = Path.line(
        (start[0] + dx * off, start[1] + dy * off), (end[0] - dx * off, end[1] - dy * off)
    )
    return Way((path,), (_box(*start, s), _box(*end, s)))


def wave(room: BBox, look: Look) -> Way:
    """Up and down twice in equal bends."""
    return _waves(room, look, 2)


def ripple(room: BBox, look: Look) -> Way:
    """Up and down in more and smaller bends."""
    return _waves(room, look, 3)


def _waves(room: BBox, look: Look, count: int) -> Way:
    a, b = _ends(room, look, look.width / 2.0)
    long = (b - a) / count
    high = min(long / 5.5, room.height / 2.0 - look.width / 2.0)
    y = room.center[1] - (look.picture / 4.0 if look.left else 0.0)
    path = basic.wave(high, long, float(count)).moved(a, y)
    return Way((path,), _beside(room, look, y, y))


def zigzag(room: BBox, look: Look) -> Way:
    """Up and down with sharp turns."""
    a, b = _ends(room, look, look.width)
    strokes, y0 = 6, room.y0 + look.picture / 2.0
    step = (b - a) / strokes
    # A mitred corner reaches the lane's width beyond its point, or nearly.
    y1 = min(room.y1 - look.width, y0 + 1.7 * step)
    points = [(a + i * step, y1 if i % 2 else y0) for i in range(strokes + 1)]
    return Way((Path.from_points(points),), _beside(room, look, y0, y0))


def loop(room: BBox, look: Look) -> Way:
    """Level, once round in a loop that crosses the lane at a right angle, and level again."""
    a, b = _ends(room, look, 0.0)
    x, y = (a + b) / 2.0, room.y0 + look.picture / 2.0
    lean, turn, ramp = math.sqrt(0.5), 16.0, 6.0
    reach, rise = (turn + ramp) * lean, turn * (1.0 - lean) + ramp * lean
    # Apart from the loop, whose ramps are as long as its radius and whose arc has 270 degrees.
    rest = b - a - 2.0 * reach + turn * math.pi / 2.0 + 2.0 * ramp
    high = room.y1 - y - rise - look.width / 2.0
    radius = min(high / (1.0 + math.sqrt(2.0)), (look.longest - rest) / (2.0 + 1.5 * math.pi))
    up = Arc((x - reach, y + turn), turn, -90.0, 45.0)
    around = Arc((x, y + rise + radius * math.sqrt(2.0)), radius, -45.0, 270.0)
    down = Arc((x + reach, y + turn), turn, -135.0, 45.0)
    segments = (
        Line((a, y), up.start),
        up,
        Line(up.end, around.start),
        around,
        Line(around.end, down.start),
        down,
        Line(down.end, (b, y)),
    )
    return Way((Path(segments),), _beside(room, look, y, y))


def _ends(room: BBox, look: Look, more: float) -> tuple[float, float]:
    """Where a lane starts and ends between a picture on the left and one on the right."""
    off = look.picture + GAP + more
    return room.x0 + off, room.x1 - off


def _beside(room: BBox, look: Look, y0: float, y1: float) -> tuple[BBox, BBox]:
    """Pictures at the left and right end of a lane; a left hand must not cover the first."""
    s = look.picture
    first = y0 + (s / 2.0 if look.left else 0.0)
    first = min(first, room.y1 - s / 2.0)
    return _box(room.x0 + s / 2.0, first, s), _box(room.x1 - s / 2.0, y1, s)


def _box(x: float, y: float, side: float) -> BBox:
    half = side / 2.0
    return BBox(x - half, y - half, x + half, y + half)


# --- shapes ---------------------------------------------------------------------------------------


def circle(room: BBox, look: Look) -> Way:
    """Round from the top."""
    radius = min(_side(room, look) / 2.0, look.longest / math.tau)
    return Way((Path.circle(room.center, radius),), _inside(room.center, radius, look))


def square(room: BBox, look: Look) -> Way:
    """Round from the upper left corner, down first."""
    half = min(_side(room, look), look.longest / 4.0) / 2.0
    x, y = room.center
    corners = [(x - half, y + half), (x - half, y - half), (x + half, y - half)]
    path = Path.from_points([*corners, (x + half, y + half)], closed=True)
    return Way((path,), _inside(room.center, half, look))


def triangle(room: BBox, look: Look) -> Way:
    """Round from the top, down to the left first."""
    # A mitred corner of 60 degrees reaches the lane's whole width beyond the point.
    side = min(_side(room, look) - look.width, look.longest / 3.0)
    high = side * math.sqrt(0.75)
    x, y = room.center[0], room.center[1] - high / 2.0
    path = Path.from_points([(x, y + high), (x - side / 2.0, y), (x + side / 2.0, y)], closed=True)
    return Way((path,), _inside((x, y + high / 3.0), high / 3.0, look))


def cross(room: BBox, look: Look) -> Way:
    """Down, then across."""
    half = min(_side(room, look), look.longest) / 2.0
    x, y = room.center
    return Way((Path.line((x, y + half), (x, y - half)), Path.line((x - half, y), (x + half, y))))


def x_shape(room: BBox, look: Look) -> Way:
    """Two slants from the top, first that which leads a hand towards itself."""
    half = min(_side(room, look), look.longest * math.sqrt(0.5)) / 2.0
    x, y = room.center
    to_left = Path.line((x + half, y + half), (x - half, y - half))
    to_right = Path.line((x - half, y + half), (x + half, y - half))
    return Way((to_right, to_left) if look.left else (to_left, to_right))


def _side(room: BBox, look: Look) -> float:
    """The side of the square that the middle of a lane may take."""
    return min(room.width, room.height) - look.width


def _inside(center: Point, radius: float, look: Look) -> tuple[BBox, ...]:
    """The box of a picture that a shape goes round, within the circle it leaves free."""
    side = min((radius - look.width / 2.0 - GAP) * math.sqrt(2.0), 40.0)
    return (_box(*center, side),) if side >= LEAST_PICTURE else ()


# --- the table ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WayKind:
    """One kind of way.

    Args:
        stage: the first one that has it (limit ``trace_shapes``; lanes of more bends are ours).
        high: height of a row that is as wide as the page; None takes what the page leaves.
        lane: it leads from picture to picture.
    """

    draw: Draw
    stage: int
    lane: bool = True
    high: Callable[[Look], float] | None = None


def _high_level(look: Look) -> float:
    return max(1.5 * look.picture, look.width)


WAYS = MappingProxyType(
    {
        "upright": WayKind(upright, 0),
        "level": WayKind(level, 0, high=_high_level),
        "circle": WayKind(circle, 2, lane=False),
        "cross": WayKind(cross, 3, lane=False),
        "bow": WayKind(bow, 3),
        "bend": WayKind(bend, 3),
        "hill": WayKind(hill, 4, high=lambda look: look.picture + 32.0),
        "slant": WayKind(slant, 4),
        "square": WayKind(square, 4, lane=False),
        "wave": WayKind(wave, 5, high=lambda look: max(1.5 * look.picture, 28.0 + look.width)),
        "ripple": WayKind(ripple, 5, high=lambda look: 1.5 * look.picture),
        "x": WayKind(x_shape, 5, lane=False),
        "zigzag": WayKind(zigzag, 6, high=lambda look: 34.0 + look.picture / 2.0 + look.width),
        "loop": WayKind(loop, 6, high=lambda look: 58.0),
        "triangle": WayKind(triangle, 6, lane=False),
    }
)
"""Every way by its name, easiest stage first."""


def drawn(name: str, room: BBox, look: Look) -> Way:
    """A way as large as its room and its index allow."""
    way = WAYS[name].draw(room, look)
    while max(path.length for path in way.paths) > look.longest + 0.01:
        dx = 0.01 * room.width if room.width >= room.height else 0.0
        dy = 0.01 * room.height if room.height >= room.width else 0.0
        room = BBox(room.x0 + dx, room.y0 + dy, room.x1 - dx, room.y1 - dy)
        way = WAYS[name].draw(room, look)
    return way
