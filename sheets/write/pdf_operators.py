"""Marks as PDF operators (ISO 32000-1, 8.4 and 8.5): text for content streams, nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, partial

from shapes.memory import ByIdentity
from shapes.path import Path
from sheets.page.model import MITER_LIMIT, Fill, Stroke
from sheets.write.numbers import MM_PLACES, decimal, mm, rgb

# Round caps and joins are the model's defaults, so most strokes need not name them.
BASE_STATE = "1 J 1 j"
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}

_PATHS_REMEMBERED = 256


class PathOperators:
    """A pen that writes PDF path operators (ISO 32000-1, table 59)."""

    def __init__(self, places: int = MM_PLACES) -> None:
        self.words: list[str] = []
        self._places = places

    def _number(self, value: float) -> str:
        return mm(value) if self._places == MM_PLACES else decimal(value, self._places)

    def move_to(self, x: float, y: float) -> None:
        n = self._number
        self.words.append(f"{n(x)} {n(y)} m")

    def line_to(self, x: float, y: float) -> None:
        n = self._number
        self.words.append(f"{n(x)} {n(y)} l")

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        n = self._number
        self.words.append(f"{n(x1)} {n(y1)} {n(x2)} {n(y2)} {n(x3)} {n(y3)} c")

    def close(self) -> None:
        self.words.append("h")


class PathMemory:
    """Path operators of the latest paths drawn.

    A packet shows the same path object on many pages, and writing its numbers is most of the work
    of drawing it. A bound keeps long documents flat in memory.
    """

    def __init__(self) -> None:
        self._known = ByIdentity[Path, str](_PATHS_REMEMBERED)

    def operators(self, paths: Iterable[Path], places: int) -> str:
        return "\n".join(
            [self._known.get(path, places, partial(_written, path, places)) for path in paths]
        )


def _written(path: Path, places: int) -> str:
    pen = PathOperators(places)
    path.draw(pen)
    return "\n".join(pen.words)


@cache
def colour_operator(colour: str, *, stroking: bool) -> str:
    """The operator that sets a colour for lines or for areas."""
    red, green, blue = (decimal(part, 3) for part in rgb(colour))
    if red == green == blue:
        return f"{red} {'G' if stroking else 'g'}"
    return f"{red} {green} {blue} {'RG' if stroking else 'rg'}"


def stroke_operators(stroke: Stroke, path: str, places: int = MM_PLACES) -> str:
    """Operators that paint already written path operators as the stroke's lines.

    What differs from the page's base state (black, solid, round) is set between ``q`` and ``Q``,
    so that marks do not depend on each other and can be stored apart.
    """
    setup = []
    if stroke.cap != "round":
        setup.append(f"{_CAPS[stroke.cap]} J")
    if stroke.join != "round":
        setup.append(f"{_JOINS[stroke.join]} j")
    if stroke.join == "miter" and stroke.miter_limit != MITER_LIMIT:
        setup.append(f"{decimal(stroke.miter_limit, places)} M")
    if stroke.dash:
        setup.append(f"[{' '.join(decimal(length, places) for length in stroke.dash)}] 0 d")
    layers = [(stroke.width, stroke.colour)]
    if stroke.lane is not None and stroke.width > 2.0 * stroke.lane.edge:
        layers.append((stroke.width - 2.0 * stroke.lane.edge, stroke.lane.tint))
    parts = []
    for width, colour in layers:
        ink = colour_operator(colour, stroking=True)
        if ink != "0 G" or len(layers) > 1:
            parts.append(ink)
        parts.append(f"{decimal(width, places)} w\n{path}\nS")
    if setup or len(parts) > 1:
        return "\n".join(["q", *setup, *parts, "Q"])
    return parts[0]


def fill_operators(fill: Fill, path: str) -> str:
    """Operators that paint already written path operators as the fill's area."""
    paint = "f*" if fill.even_odd else "f"
    ink = colour_operator(fill.colour, stroking=False)
    if ink == "0 g":
        return f"{path}\n{paint}"
    return f"q\n{ink}\n{path}\n{paint}\nQ"
