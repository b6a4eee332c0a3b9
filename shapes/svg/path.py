"""SVG path data (the ``d`` attribute) read into paths, following SVG 2, chapter 9 (W3C, 2018).

Everything is built directly in the output plane: the map given to :class:`PathBuilder` is applied
to each point as it comes, so a circular arc stays an arc where circles stay circles.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from shapes.affine import Affine, Point
from shapes.errors import PictureError
from shapes.path import Arc, Cubic, Line, Path, Segment

MAX_COORDINATE = 1e6
"""Largest absolute coordinate, in user units, that is accepted."""

MAX_SEGMENTS = 100_000
"""Most lines, arcs and curves that one drawing may have."""

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER_RE = re.compile(_NUMBER, re.ASCII)
_SEPARATORS = " \t\r\n\f,"
_COMMAND_RE = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
# The two flags of an arc are single digits and may be glued to what follows ("a1 1 0 001 1").
_ARC_RE = re.compile(
    rf"[\s,]*({_NUMBER})[\s,]*({_NUMBER})[\s,]*({_NUMBER})[\s,]*([01])[\s,]*([01])"
    rf"[\s,]*({_NUMBER})[\s,]*({_NUMBER})",
    re.ASCII,
)
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}
_ALMOST_STRAIGHT_DEG = 0.5
_ARC_END_TOLERANCE = 1e-8


class SegmentBudget:
    """Counts the segments of a whole drawing and refuses the one too many."""

    def __init__(self, limit: int = MAX_SEGMENTS) -> None:
        self._limit = limit
        self._used = 0

    def spend(self) -> None:
        self._used += 1
        if self._used > self._limit:
            raise PictureError(
                f"has more than {self._limit} lines and curves", fix="simplify the drawing"
            )


class PathBuilder:
    """Collects subpaths; takes absolute user coordinates and keeps the paths in output units.

    Args:
        m: map from user units to output units, applied to every point.
        budget: shared by all paths of a drawing.

    Raises:
        PictureError: from any method, for a coordinate that is not finite or above
            :data:`MAX_COORDINATE`, and for too many segments.
    """

    def __init__(self, m: Affine, budget: SegmentBudget | None = None) -> None:
        self._m = m
        self._budget = budget or SegmentBudget()
        self._round = m.is_similarity()
        self._paths: list[Path] = []
        self._segments: list[Segment] = []
        self._dot = False
        self.at: Point = (0.0, 0.0)
        """The current point, in user units."""
        self._start: Point = self.at
        self._out = m.apply(self.at)

    def move_to(self, x: float, y: float) -> None:
        self._flush(closed=False)
        self.at = self._start = (x, y)
        self._out = self._map(x, y)

    def line_to(self, x: float, y: float) -> None:
        end = self._map(x, y)
        self.at = (x, y)
        if end == self._out:
            self._dot = True
        else:
            self._add(Line(self._out, end))

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        c1, c2, end = self._map(x1, y1), self._map(x2, y2), self._map(x3, y3)
        self.at = (x3, y3)
        if self._out == c1 == c2 == end:
            self._dot = True
        else:
            self._add(Cubic(self._out, c1, c2, end))

    def quad_to(self, x1: float, y1: float, x2: float, y2: float) -> None:
        x0, y0 = self.at
        self.curve_to(
            x0 + (x1 - x0) * 2 / 3,
            y0 + (y1 - y0) * 2 / 3,
            x2 + (x1 - x2) * 2 / 3,
            y2 + (y1 - y2) * 2 / 3,
            x2,
            y2,
        )

    def arc_to(
        self,
        rx: float,
        ry: float,
        turn_deg: float,
        large: bool,
        sweep: bool,
        x: float,
        y: float,
    ) -> None:
        """An elliptical arc by its end point (SVG 2, appendix B.2, turns it into a centre)."""
        end = self._map(x, y)
        start_user, end_user = self.at, (x, y)
        self._map(rx, ry)  # refuses radii that are not finite or too large
        rx, ry = abs(rx), abs(ry)
        if rx == 0 or ry == 0 or end == self._out:
            self.line_to(x, y)
            return
        turn = math.radians(turn_deg % 360.0)
        ellipse = _Ellipse.through(start_user, end_user, rx, ry, turn, large, sweep)
        self.at = end_user
        if ellipse is None:
            self._add(Line(self._out, end))
            return
        if self._round and math.isclose(ellipse.rx, ellipse.ry, rel_tol=1e-9):
            arc = self._circular(ellipse)
            if (
                abs(arc.sweep_deg) >= _ALMOST_STRAIGHT_DEG
                and math.dist(arc.start, self._out) <= _ARC_END_TOLERANCE
                and math.dist(arc.end, end) <= _ARC_END_TOLERANCE
            ):
                self._add(arc)
                return
        self._elliptical(ellipse, end)

    def close(self) -> None:
        self._dot = True
        self._flush(closed=True)
        self.at = self._start
        self._out = self._map(*self._start)

    def paths(self) -> tuple[Path, ...]:
        """All subpaths so far. One without any length is kept as a single point-like line."""
        self._flush(closed=False)
        return tuple(self._paths)

    def _circular(self, ellipse: _Ellipse) -> Arc:
        center = self._m.apply(ellipse.center)
        mirrored = self._m.determinant < 0
        begin = math.atan2(self._out[1] - center[1], self._out[0] - center[0])
        sweep_deg = math.degrees(-ellipse.sweep if mirrored else ellipse.sweep)
        return Arc(center, ellipse.rx * self._m.scale, math.degrees(begin), sweep_deg)

    def _elliptical(self, ellipse: _Ellipse, end: Point) -> None:
        to_output = ellipse.unit_circle_map().then(self._m)
        # Eighth turns: the radius error of a cubic falls from 3e-4 to 4e-6.
        count = max(1, math.ceil(abs(ellipse.sweep) / (math.pi / 4) - 1e-9))
        step = math.degrees(ellipse.sweep) / count
        first = math.degrees(ellipse.start)
        for i in range(count):
            (cubic,) = Arc((0.0, 0.0), 1.0, first + i * step, step).cubics()
            target = end if i == count - 1 else to_output.apply(cubic.end)
            self._add(
                Cubic(self._out, to_output.apply(cubic.c1), to_output.apply(cubic.c2), target)
            )

    def _add(self, segment: Segment) -> None:
        self._budget.spend()
        self._segments.append(segment)
        self._out = segment.end

    def _flush(self, *, closed: bool) -> None:
        if not self._segments and self._dot:
            self._budget.spend()
            self._segments.append(Line(self._out, self._out))
        if self._segments:
            self._paths.append(Path(tuple(self._segments), closed))
            self._segments = []
        self._dot = False

    def _map(self, x: float, y: float) -> Point:
        out = self._m.apply((x, y))
        for value in (x, y, *out):
            # Written so that NaN fails too.
            if not -MAX_COORDINATE <= value <= MAX_COORDINATE:
                raise PictureError(
                    f"has a coordinate beyond {MAX_COORDINATE:.0f} units",
                    fix="scale the drawing down",
                )
        return out


class _Ellipse:
    """The ellipse an arc runs on: centre, radii, turn, first angle and sweep (radians)."""

    __slots__ = ("center", "rx", "ry", "start", "sweep", "turn")

    def __init__(
        self, center: Point, rx: float, ry: float, turn: float, start: float, sweep: float
    ) -> None:
        self.center, self.rx, self.ry = center, rx, ry
        self.turn, self.start, self.sweep = turn, start, sweep

    @classmethod
    def through(
        cls,
        begin: Point,
        end: Point,
        rx: float,
        ry: float,
        turn: float,
        large: bool,
        sweep: bool,
    ) -> _Ellipse | None:
        """The ellipse through two points, or None where it cannot be told from a straight line."""
        cos, sin = math.cos(turn), math.sin(turn)
        dx, dy = (begin[0] - end[0]) / 2, (begin[1] - end[1]) / 2
        u, v = (cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry
        size = u * u + v * v
        if not 1e-24 < size < math.inf:
            return None
        if size > 1:
            # Radii too small to reach: enlarged until they just do (appendix B.2.5).
            grow = math.sqrt(size)
            rx, ry, u, v, size = rx * grow, ry * grow, u / grow, v / grow, 1.0
        away = math.sqrt(max(0.0, 1 / size - 1)) * (1 if large != sweep else -1)
        cu, cv = away * v, -away * u
        center = (
            cos * cu * rx - sin * cv * ry + (begin[0] + end[0]) / 2,
            sin * cu * rx + cos * cv * ry + (begin[1] + end[1]) / 2,
        )
        first = math.atan2(v - cv, u - cu)
        last = math.atan2(-v - cv, -u - cu)
        angle = (last - first) % (2 * math.pi)
        if not sweep:
            angle -= 2 * math.pi
        return cls(center, rx, ry, turn, first, angle)

    def unit_circle_map(self) -> Affine:
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        return Affine(cos * self.rx, sin * self.rx, -sin * self.ry, cos * self.ry, *self.center)


def read_numbers(text: str) -> list[float]:
    """The numbers of a list separated by blanks or commas, which may be glued ("1-2.5.5").

    Raises:
        PictureError: for anything that is not a number, and for numbers that are not finite.
    """
    if _NUMBER_RE.sub(" ", text).strip(_SEPARATORS):
        raise PictureError(
            f"has a number that cannot be read in '{shorten(text)}'", fix="save the drawing again"
        )
    numbers = [float(found) for found in _NUMBER_RE.findall(text)]
    if not all(map(math.isfinite, numbers)):
        raise PictureError("has a number that is not finite", fix="save the drawing again")
    return numbers


def shorten(text: str, limit: int = 24) -> str:
    """The text on one line, cut to ``limit`` characters for an error message."""
    line = " ".join(text.split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


def read_path(data: str, m: Affine, budget: SegmentBudget | None = None) -> tuple[Path, ...]:
    """The subpaths of one ``d`` attribute, mapped by ``m``.

    Args:
        data: path data; empty data gives no path.
        m: map from the units of the data to those of the result.

    Raises:
        PictureError: for data outside the grammar, coordinates that are too large, and too many
            segments.
    """
    builder = PathBuilder(m, budget)
    head = data.lstrip()
    if not head:
        return ()
    if head[0] not in "Mm":
        raise PictureError(
            f"has path data that does not start with M: '{shorten(head)}'",
            fix="save the drawing again",
        )
    reader = _CommandReader(builder)
    for letter, values in _commands(head):
        reader.run(letter, values)
    return builder.paths()


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    for match in _COMMAND_RE.finditer(data):
        letter, text = match.groups()
        kind = letter.upper()
        if kind == "A":
            values = _arc_numbers(text)
        else:
            values = read_numbers(text)
        arity = 7 if kind == "A" else _ARITY.get(kind, 0)
        wrong = bool(values) if arity == 0 else not values or len(values) % arity
        if wrong:
            raise PictureError(
                f"has a path command {letter} with {len(values)} numbers",
                fix="save the drawing again",
            )
        yield letter, values


def _arc_numbers(text: str) -> list[float]:
    values: list[float] = []
    position = 0
    while match := _ARC_RE.match(text, position):
        values.extend(map(float, match.groups()))
        position = match.end()
    if text[position:].strip(_SEPARATORS):
        raise PictureError(
            f"has a path arc that cannot be read in '{shorten(text)}'", fix="save the drawing again"
        )
    if not all(map(math.isfinite, values)):
        raise PictureError("has a number that is not finite", fix="save the drawing again")
    return values


class _CommandReader:
    """Runs path commands on a builder; remembers the control point that S and T reflect."""

    def __init__(self, builder: PathBuilder) -> None:
        self._builder = builder
        self._control: Point | None = None
        self._control_of = ""

    def run(self, letter: str, values: list[float]) -> None:
        kind = letter.upper()
        if kind == "Z":
            self._builder.close()
            self._control = None
            return
        arity = 7 if kind == "A" else _ARITY[kind]
        for i in range(0, len(values), arity):
            dx, dy = self._builder.at if letter.islower() else (0.0, 0.0)
            self._one(kind, values[i : i + arity], dx, dy)
            if kind == "M":
                kind = "L"  # further pairs after a move are lines

    def _one(self, kind: str, v: list[float], dx: float, dy: float) -> None:
        builder = self._builder
        control: Point | None = None
        if kind == "M":
            builder.move_to(v[0] + dx, v[1] + dy)
        elif kind == "L":
            builder.line_to(v[0] + dx, v[1] + dy)
        elif kind == "H":
            builder.line_to(v[0] + dx, builder.at[1])
        elif kind == "V":
            builder.line_to(builder.at[0], v[0] + dy)
        elif kind in "CS":
            first = (v[0] + dx, v[1] + dy) if kind == "C" else self._reflected("C")
            control = (v[-4] + dx, v[-3] + dy)
            builder.curve_to(*first, *control, v[-2] + dx, v[-1] + dy)
        elif kind in "QT":
            control = (v[0] + dx, v[1] + dy) if kind == "Q" else self._reflected("Q")
            builder.quad_to(*control, v[-2] + dx, v[-1] + dy)
        else:
            builder.arc_to(v[0], v[1], v[2], v[3] != 0, v[4] != 0, v[5] + dx, v[6] + dy)
        self._control = control
        self._control_of = "C" if kind in "CS" else "Q"

    def _reflected(self, family: str) -> Point:
        x, y = self._builder.at
        if self._control is None or self._control_of != family:
            return (x, y)
        return (2 * x - self._control[0], 2 * y - self._control[1])
