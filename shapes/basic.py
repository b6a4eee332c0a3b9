"""Practice lines and shapes, from the first snip to the star, in mm, y up.

Every function returns one :class:`~shapes.path.Path`. Closed shapes are centred on the origin (the
middle of their box), run anticlockwise and start at their lowest point, the leftmost one if there
are several. Open lines start at the origin and run to the right. Lengths are in mm, above 0 and at
most :data:`MAX_MM`; anything else is an :class:`~shapes.errors.InputError` that names the shape,
the value and the range.

Curves are made of circular arcs, so the tightest bend of a shape is a number one can read off.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from shapes.affine import Point
from shapes.errors import InputError
from shapes.path import Arc, Line, Path, Segment

MAX_MM = 2000.0
"""Longest length accepted: larger than any sheet, small enough to catch a slip of the unit."""

_MAX_COUNT = 100


# --- open lines -----------------------------------------------------------------------------------


def straight_line(length_mm: float = 152.4) -> Path:
    """A straight line, for the first cuts that go forward.

    Args:
        length_mm: length of the line. The default, 6 in, is the line of several published lists
            (a practice's checklist, n.d.; a preschool programme's guide, n.d.).
    """
    return Path.line((0.0, 0.0), (_length("straight_line", "length_mm", length_mm), 0.0))


def one_turn(first_mm: float = 76.2, second_mm: float = 76.2, angle_deg: float = 90.0) -> Path:
    """A straight line with one change of direction, to the left, for the first stop and turn.

    Args:
        first_mm: length before the turn.
        second_mm: length after it.
        angle_deg: angle between the two parts, 10 to 175 degrees; 90 is a right angle.
    """
    first = _length("one_turn", "first_mm", first_mm)
    second = _length("one_turn", "second_mm", second_mm)
    turn = math.radians(180.0 - _number("one_turn", "angle_deg", angle_deg, 10.0, 175.0))
    end = (first + second * math.cos(turn), second * math.sin(turn))
    return Path.from_points([(0.0, 0.0), (first, 0.0), end])


def arc_line(radius_mm: float = 76.2, sweep_deg: float = 90.0) -> Path:
    """One gentle bend, for steering without stopping; it ends level with its start.

    Args:
        radius_mm: bend radius.
        sweep_deg: how far the line turns, 1 to 350 degrees; a positive value turns left
            (the line sags below its ends), a negative one right.
    """
    radius = _length("arc_line", "radius_mm", radius_mm)
    size = _number("arc_line", "size of sweep_deg", abs(sweep_deg), 1.0, 350.0)
    return Path((_bow((0.0, 0.0), radius, math.copysign(size, sweep_deg)),))


def wave(amplitude_mm: float = 10.0, wavelength_mm: float = 152.4, waves: float = 1.0) -> Path:
    """A wavy line of equal arcs, for steering left and right in turn; no corners.

    Every bend has the radius ``c * c / (8 * a) + a / 2`` with ``a`` the amplitude and ``c`` half
    the wavelength.

    Args:
        amplitude_mm: height of a crest above the middle line, at most a quarter of the wavelength.
        wavelength_mm: from crest to crest.
        waves: number of waves, in halves: 0.5, 1, 1.5 ... up to 50.
    """
    length = _length("wave", "wavelength_mm", wavelength_mm)
    height = _number("wave", "amplitude_mm", amplitude_mm, 0.1, length / 4.0)
    halves = _count("wave", "twice the number of waves", 2.0 * waves, 1)
    chord = length / 2.0
    radius = chord * chord / (8.0 * height) + height / 2.0
    # 2 atan2 keeps full accuracy up to the half circle, where asin(chord / 2 r) loses half of it.
    sweep = 4.0 * math.degrees(math.atan2(2.0 * height, chord))
    signs = (-1.0 if half % 2 == 0 else 1.0 for half in range(halves))
    return Path(
        tuple(_bow((half * chord, 0.0), radius, sign * sweep) for half, sign in enumerate(signs))
    )


def zigzag(width_mm: float = 152.4, strokes: int = 4, tip_deg: float = 90.0) -> Path:
    """Straight strokes up and down in turn, for repeated stops and turns.

    Args:
        width_mm: width of the whole zigzag.
        strokes: number of strokes, 2 to 100; one corner fewer.
        tip_deg: angle at every corner, 10 to 170 degrees.
    """
    width = _length("zigzag", "width_mm", width_mm)
    count = _count("zigzag", "strokes", strokes, 2)
    half_tip = math.radians(_number("zigzag", "tip_deg", tip_deg, 10.0, 170.0)) / 2.0
    step = width / count
    height = step / math.tan(half_tip)
    return Path.from_points([(i * step, height if i % 2 else 0.0) for i in range(count + 1)])


def spiral(inner_radius_mm: float = 15.0, gap_mm: float = 20.0, turns: float = 2.0) -> Path:
    """A spiral of half circles from the outside in, for turning the paper on and on.

    Unlike the other open lines it lies round the origin (the middle of its box), because it fills
    an area. It runs anticlockwise.

    Args:
        inner_radius_mm: radius of the last half circle, the tightest bend of the line.
        gap_mm: distance between neighbouring turns.
        turns: number of turns, in halves: 0.5, 1, 1.5 ... up to 50.
    """
    inner = _length("spiral", "inner_radius_mm", inner_radius_mm)
    gap = _length("spiral", "gap_mm", gap_mm)
    halves = _count("spiral", "twice the number of turns", 2.0 * turns, 1)
    radii = [inner + gap / 2.0 * (halves - 1 - half) for half in range(halves)]
    arcs: list[Segment] = []
    x, start_deg = 0.0, 180.0
    for radius in radii:
        # Every half circle starts and ends on the middle line, so the joints are smooth.
        x += radius if start_deg == 180.0 else -radius
        arcs.append(Arc((x, 0.0), radius, start_deg, 180.0))
        x += radius if start_deg == 180.0 else -radius
        start_deg = 180.0 - start_deg
    return _centred(Path(tuple(arcs)))


# --- closed shapes --------------------------------------------------------------------------------


def circle(diameter_mm: float = 152.4) -> Path:
    """A circle, for turning the paper evenly.

    Args:
        diameter_mm: the default, 6 in, is that of a therapy centre's scissor steps, n.d..
    """
    return Path.circle((0.0, 0.0), _length("circle", "diameter_mm", diameter_mm) / 2.0, -90.0)


def square(side_mm: float = 76.2) -> Path:
    """A square, for four stops and turns.

    Args:
        side_mm: the default, 3 in, is that of a therapy centre's scissor steps, n.d..
    """
    side = _length("square", "side_mm", side_mm)
    return rectangle(side, side)


def rectangle(width_mm: float = 101.6, height_mm: float = 76.2) -> Path:
    """An upright rectangle, for straight cuts of two lengths.

    Args:
        width_mm: width.
        height_mm: height.
    """
    x = _length("rectangle", "width_mm", width_mm) / 2.0
    y = _length("rectangle", "height_mm", height_mm) / 2.0
    return Path.from_points([(-x, -y), (x, -y), (x, y), (-x, y)], closed=True)


def rounded_rectangle(
    width_mm: float = 101.6, height_mm: float = 76.2, corner_mm: float = 15.0
) -> Path:
    """A rectangle with round corners, for bends between straight cuts.

    Args:
        width_mm: width.
        height_mm: height.
        corner_mm: radius of the corners, at most half the shorter side.
    """
    x = _length("rounded_rectangle", "width_mm", width_mm) / 2.0
    y = _length("rounded_rectangle", "height_mm", height_mm) / 2.0
    r = _number("rounded_rectangle", "corner_mm", corner_mm, 0.1, min(x, y))
    segments: list[Segment] = []
    corners = (
        (x - r, r - y, -90.0),
        (x - r, y - r, 0.0),
        (r - x, y - r, 90.0),
        (r - x, r - y, 180.0),
    )
    at: Point = (r - x, -y)
    for cx, cy, start_deg in corners:
        bend = Arc((cx, cy), r, start_deg, 90.0)
        if math.dist(at, bend.start) > 1e-6:
            segments.append(Line(at, bend.start))
        segments.append(bend)
        at = bend.end
    return Path(tuple(segments), closed=True)


def triangle(side_mm: float = 76.2) -> Path:
    """A triangle of three equal sides, for sharper turns than a square's.

    Args:
        side_mm: the default, 3 in, is that of a therapy centre's scissor steps, n.d..
    """
    return regular_polygon(_length("triangle", "side_mm", side_mm), 3)


def diamond(width_mm: float = 88.0, height_mm: float = 152.4) -> Path:
    """A square or longer diamond standing on its tip, for slanted cuts.

    Args:
        width_mm: width.
        height_mm: height.
    """
    x = _length("diamond", "width_mm", width_mm) / 2.0
    y = _length("diamond", "height_mm", height_mm) / 2.0
    return Path.from_points([(0.0, -y), (x, 0.0), (0.0, y), (-x, 0.0)], closed=True)


def regular_polygon(side_mm: float = 50.0, corners: int = 6) -> Path:
    """A shape of equal sides and angles standing on one side, for many even turns.

    Args:
        side_mm: length of a side.
        corners: number of corners, 3 to 100.
    """
    side = _length("regular_polygon", "side_mm", side_mm)
    count = _count("regular_polygon", "corners", corners, 3)
    radius = side / (2.0 * math.sin(math.pi / count))
    first = -90.0 - 180.0 / count
    return _centred(
        Path.from_points(
            [_polar(radius, first + 360.0 * i / count) for i in range(count)], closed=True
        )
    )


def star(diameter_mm: float = 152.4, points: int = 5, tip_deg: float = 54.0) -> Path:
    """A star standing on two tips, for sharp turns outward and inward in turn.

    Args:
        diameter_mm: diameter of the circle through the tips.
        points: number of tips, 4 to 20.
        tip_deg: angle of a tip, from 10 degrees to 5 below that of the polygon of as many corners
            (103 for five points). A five-pointed star drawn in one stroke has 36.
    """
    radius = _length("star", "diameter_mm", diameter_mm) / 2.0
    count = _count("star", "points", points, 4, 20)
    widest = 175.0 - 360.0 / count
    half_tip = math.radians(_number("star", "tip_deg", tip_deg, 10.0, widest)) / 2.0
    inner = radius * math.sin(half_tip) / math.sin(half_tip + math.pi / count)
    step = 180.0 / count
    first = -90.0 - step
    corners = [_polar(inner if i % 2 else radius, first + i * step) for i in range(2 * count)]
    return _centred(Path.from_points(corners, closed=True))


def heart(width_mm: float = 152.4) -> Path:
    """A heart of two half circles on a right-angled tip, for straight cuts, bends and one notch.

    Args:
        width_mm: width; the height is 0.914 of it, the radius of the lobes 0.293.
    """
    side = _length("heart", "width_mm", width_mm) / (1.0 + math.sqrt(0.5))
    reach = side * math.sqrt(0.5)
    segments = (
        Line((0.0, 0.0), (reach, reach)),
        Arc((reach / 2.0, 1.5 * reach), side / 2.0, -45.0, 180.0),
        Arc((-reach / 2.0, 1.5 * reach), side / 2.0, 45.0, 180.0),
        Line((-reach, reach), (0.0, 0.0)),
    )
    return _centred(Path(segments, closed=True))


def house(width_mm: float = 120.0, height_mm: float = 120.0) -> Path:
    """A house front with a pointed roof, for a first picture with straight sides.

    Args:
        width_mm: width.
        height_mm: height to the top of the roof; the walls are half as high.
    """
    x = _length("house", "width_mm", width_mm) / 2.0
    y = _length("house", "height_mm", height_mm) / 2.0
    return Path.from_points([(-x, -y), (x, -y), (x, 0.0), (0.0, y), (-x, 0.0)], closed=True)


def flower(diameter_mm: float = 152.4, petals: int = 6) -> Path:
    """A ring of round petals, one of them pointing down, for bends with notches between them.

    Args:
        diameter_mm: diameter of the circle round the petals.
        petals: number of petals, 4 to 20, each a half circle.
    """
    outer = _length("flower", "diameter_mm", diameter_mm) / 2.0
    count = _count("flower", "petals", petals, 4, 20)
    half = math.pi / count
    ring = outer / (math.cos(half) + math.sin(half))
    radius, middle = ring * math.sin(half), ring * math.cos(half)
    arcs = [
        Arc(_polar(middle, turn), radius, turn - 90.0, 180.0)
        for turn in (-90.0 + 360.0 * i / count for i in range(count))
    ]
    down = arcs[0]
    # The lowest point is the middle of a petal, so that petal is drawn in two halves.
    first = Arc(down.center, radius, -90.0, 90.0)
    last = Arc(down.center, radius, -180.0, 90.0)
    return _centred(Path((first, *arcs[1:], last), closed=True))


# --- the table for the command line ---------------------------------------------------------------


class Practice(NamedTuple):
    """One named practice shape.

    Args:
        make: the function that draws it.
        defaults: its arguments, all in mm, degrees or counts.
        stages: the cutting stages it suits at this size (our setting; the page is checked anyway).
    """

    make: Callable[..., Path]
    defaults: Mapping[str, float]
    stages: tuple[int, ...]


def _row(make: Callable[..., Path], *stages: int, **defaults: float) -> Practice:
    return Practice(make, MappingProxyType(defaults), stages)


SHAPES: Mapping[str, Practice] = MappingProxyType(
    {
        "line": _row(straight_line, 2, 3, length_mm=152.4),
        "bend": _row(one_turn, 3, 4, first_mm=76.2, second_mm=76.2, angle_deg=120.0),
        "corner": _row(one_turn, 4, first_mm=76.2, second_mm=76.2, angle_deg=90.0),
        "arc": _row(arc_line, 4, radius_mm=76.2, sweep_deg=114.6),
        "hill": _row(arc_line, 4, radius_mm=100.0, sweep_deg=-85.0),
        "wave": _row(wave, 4, 5, amplitude_mm=8.0, wavelength_mm=144.0, waves=1.0),
        "circle": _row(circle, 4, diameter_mm=152.4),
        "small-circle": _row(circle, 5, diameter_mm=95.0),
        "square": _row(square, 5, side_mm=76.2),
        "rectangle": _row(rectangle, 5, width_mm=88.0, height_mm=62.0),
        "triangle": _row(triangle, 5, side_mm=76.2),
        "diamond": _row(diamond, 5, width_mm=88.0, height_mm=120.0),
        "rounded-rectangle": _row(
            rounded_rectangle, 5, width_mm=100.0, height_mm=62.0, corner_mm=20.0
        ),
        "house": _row(house, 6, width_mm=120.0, height_mm=120.0),
        "pentagon": _row(regular_polygon, 6, side_mm=65.0, corners=5),
        "hexagon": _row(regular_polygon, 6, side_mm=52.0, corners=6),
        "octagon": _row(regular_polygon, 6, side_mm=45.0, corners=8),
        "zigzag": _row(zigzag, 6, width_mm=152.4, strokes=4, tip_deg=60.0),
        "heart": _row(heart, 6, width_mm=152.4),
        "flower": _row(flower, 6, diameter_mm=152.4, petals=6),
        "star": _row(star, 6, diameter_mm=152.4, points=5, tip_deg=54.0),
        "spiral": _row(spiral, 6, inner_radius_mm=15.0, gap_mm=20.0, turns=2.0),
    }
)
"""Every practice shape by name, easiest stage first."""


def practice(name: str, **changes: float) -> Path:
    """The practice shape of that name.

    Args:
        name: a key of :data:`SHAPES`, for example ``star``.
        changes: arguments that differ from the defaults, for example ``points=6``.

    Raises:
        InputError: unknown name or argument, or a value out of range.
    """
    row = SHAPES.get(name)
    if row is None:
        near = difflib.get_close_matches(name, SHAPES, n=1)
        fix = f"did you mean {near[0]}?" if near else f"use one of {', '.join(SHAPES)}"
        raise InputError(f"no practice shape is called {name!r}", fix=fix)
    for key in changes:
        if key not in row.defaults:
            raise InputError(f"no value {key!r}", where=name, fix=f"use {', '.join(row.defaults)}")
    return row.make(**{**row.defaults, **changes})


# --- checks and small geometry --------------------------------------------------------------------


def _number(shape: str, name: str, value: float, low: float, high: float) -> float:
    # Written so that not-a-number fails too.
    if not low <= value <= high:
        raise InputError(
            f"{name} is {value:g}", where=shape, fix=f"give a value from {low:g} to {high:g}"
        )
    return float(value)


def _length(shape: str, name: str, value: float) -> float:
    if not 0.0 < value <= MAX_MM:
        raise InputError(
            f"{name} is {value:g}",
            where=shape,
            fix=f"give a length above 0 and up to {MAX_MM:g} mm",
        )
    return float(value)


def _count(shape: str, name: str, value: float, low: int, high: int = _MAX_COUNT) -> int:
    if not low <= value <= high or value != int(value):
        raise InputError(
            f"{name} is {value:g}", where=shape, fix=f"give a whole number from {low} to {high}"
        )
    return int(value)


def _polar(radius: float, angle_deg: float) -> Point:
    angle = math.radians(angle_deg)
    return (radius * math.cos(angle), radius * math.sin(angle))


def _bow(start: Point, radius: float, sweep_deg: float) -> Arc:
    """The arc from ``start`` whose end lies level with it, to the right for sweeps up to 360."""
    half = math.radians(sweep_deg) / 2.0
    side = 1.0 if sweep_deg > 0 else -1.0
    center = (start[0] + radius * math.sin(abs(half)), start[1] + side * radius * math.cos(half))
    return Arc(center, radius, -90.0 * side - sweep_deg / 2.0, sweep_deg)


def _centred(path: Path) -> Path:
    x, y = path.bbox.center
    return path.moved(-x, -y)
