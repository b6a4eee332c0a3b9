"""Draws a name: solid, hollow to trace, its letters in boxes, and lines to write on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapes.affine import Affine
from shapes.letters.font import MM_PER_PT, cap_height_mm, outlines, units_per_em
from shapes.path import BBox, Path
from sheets.kinds.name_page.room import FOOT_LINE, Boxes, Fitted, reach, tall
from sheets.page.frame import rectangle
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
    Text,
)

LINE, EDGE = 0.9, 0.5
"""Frames and writing lines, and the two edges of a hollow letter, mm."""
_THIN = 0.35
_DOT = 2.2


@dataclass(frozen=True, slots=True)
class Look:
    """How lines are printed.

    Args:
        line: width of frames and writing lines, mm.
        edge: width of the two edges of a hollow letter, mm.
        tint: between them.
    """

    line: float = LINE
    edge: float = EDGE
    tint: str = LANE_TINT


def solid(fit: Fitted, box: BBox, gap: float, id: str, role: Role) -> list[Mark]:
    """The rows of a name in the middle of a box."""
    y = box.center[1] + tall(fit, gap) / 2.0
    size = fit.letter / cap_height_mm(1.0)
    marks: list[Mark] = []
    for text in fit.texts:
        low, high = reach(text)
        base = y - high * fit.letter
        marks.append(Text(box.center[0], base, text, size, role, id, anchor="middle"))
        y -= (high - low) * fit.letter + gap
    return marks


def frame(box: BBox, look: Look, role: Role, id: str, *, foot: bool = True) -> list[Mark]:
    """The line round a card's place, with the line at its foot."""
    marks: list[Mark] = [Stroke((rectangle(box),), look.line, role, id, join="miter")]
    return [*marks, foot_line(box, role, id)] if foot else marks


def card(box: BBox, role: Role, id: str) -> list[Mark]:
    """A card's white paper and the line at its foot, which tells which way up it lies."""
    return [Fill((rectangle(box),), role, id, colour=WHITE), foot_line(box, role, id)]


def foot_line(box: BBox, role: Role, id: str) -> Stroke:
    line = Path.line((box.x0 + 6.0, box.y0 + FOOT_LINE), (box.x1 - 6.0, box.y0 + FOOT_LINE))
    return Stroke((line,), 0.7, role, id, colour=FURNITURE_GREY, cap="butt")


def letter_in(box: BBox, sizes: Boxes, shown: str, role: Role, id: str) -> Text:
    """A letter on the common baseline of its box."""
    size = sizes.letter / cap_height_mm(1.0)
    return Text(box.center[0], box.y0 + sizes.baseline, shown, size, role, id, anchor="middle")


@dataclass(frozen=True, slots=True)
class Spot:
    """A line of text at its origin on the page, mm; ``letter`` is the height of a capital."""

    text: str
    x: float
    y: float
    letter: float


def hollow(spots: Sequence[Spot], widened: float, look: Look, id: str) -> list[Mark]:
    """Letters as lanes: the outlines of the font, made wider, with a light tint inside.

    The line round them is drawn as a lane on the outline; filling the letters hides its inner half.

    Args:
        widened: how much wider the strokes are than the font's, mm.
    """
    paths = tuple(path for spot in spots for path in _paths(spot))
    if not paths:
        return []
    width = widened + 2.0 * look.edge
    edge = Stroke(paths, width, Role.TRACE, id, lane=Lane(look.edge, look.tint))
    return [edge, Fill(paths, Role.TRACE, id, colour=look.tint)]


def _paths(spot: Spot) -> Iterator[Path]:
    scale = spot.letter * MM_PER_PT / units_per_em() / cap_height_mm(1.0)
    for one in outlines(spot.text):
        x, y = spot.x + one.x * scale, spot.y + one.y * scale
        for path in one.paths:
            yield path.transformed(Affine(scale, 0.0, 0.0, scale, x, y))


def start_dot(x: float, y: float, id: str) -> Fill:
    """Where a name begins."""
    return Fill((Path.circle((x, y), _DOT),), Role.GUIDE, id, colour=BLACK)


def writing_lines(
    line: tuple[float, float], base: float, heights: tuple[float, float], look: Look, id: str
) -> list[Mark]:
    """A line to write on, one as high as capitals and, if there is one, one for small letters.

    Args:
        line: where it starts and ends, from left to right.
        heights: of capitals, and of small letters or 0 for scripts that have none, mm.
    """
    (x0, x1), (capital, small) = line, heights
    thin = max(_THIN, look.line / 2.0)
    below = Path.line((x0, base), (x1, base))
    top = Path.line((x0, base + capital), (x1, base + capital))
    marks: list[Mark] = [
        Stroke((below,), look.line, Role.ANSWER_SPACE, id, cap="butt"),
        _grey((top,), thin, id),
    ]
    if small:
        middle = Path.line((x0, base + small), (x1, base + small))
        marks.append(_grey((middle,), thin, id, (3.0, 3.0)))
    return marks


def squares(boxes: Sequence[BBox], look: Look, id: str) -> list[Mark]:
    """Squares to write signs of one size in, each with a dashed cross."""
    marks: list[Mark] = []
    for i, box in enumerate(boxes, start=1):
        (x, y), clear = box.center, box.grown(-2.0 * look.line)
        up = Path.line((x, clear.y0), (x, clear.y1))
        across = Path.line((clear.x0, y), (clear.x1, y))
        marks.append(_grey((up, across), _THIN, id, (2.0, 2.0)))
        wall = (rectangle(box),)
        marks.append(Stroke(wall, look.line, Role.ANSWER_SPACE, f"{id}-{i}", join="miter"))
    return marks


def _grey(paths: tuple[Path, ...], width: float, id: str, dash: tuple[float, ...] = ()) -> Stroke:
    return Stroke(paths, width, Role.ANSWER_SPACE, id, colour=FURNITURE_GREY, dash=dash, cap="butt")
