"""How much ink a page takes: the area of paper that black and coloured ink cover, in mm².

Worked out from the marks, without drawing them. An area of a colour counts by the share of the
paper's white that it takes away: 1 less the mean of red, green and blue, so black counts in full
and ``#dcdcdc`` by 0.137. For a grey that is the black component that ISO 32000-1 makes of it, 1
less the grey (10.3.3, from memory).

Lines count by length and width, areas by their outline, text by the areas of its glyphs. What the
marks of a drawing hide of each other is found once (:mod:`sheets.page.painted`). Marks of a page
lie apart (:mod:`sheets.check.overlap`) but for what is taken off here: hatching and drawings on
areas and silhouettes, and walls that boxes share. White paper of cards lies on white.
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapes.letters.font import MM_PER_PT, check_text, is_plain, outlines, units_per_em
from shapes.letters.glyph_areas import text_ink_mm2
from shapes.memory import ByIdentity
from shapes.path import BBox, Path
from sheets.page.areas import filled_area, signed_area, stroked_area
from sheets.page.marks import mark_bbox, marks_bbox, transform_mark
from sheets.page.model import WHITE, Artwork, Colour, Fill, Mark, Page, Place, Role, Stroke, Text
from sheets.page.painted import painted


@dataclass(frozen=True, slots=True)
class Ink:
    """Covered area in mm².

    Args:
        black: by black and grey ink.
        colour: by coloured ink.
        paper: the whole page.
    """

    black: float
    colour: float
    paper: float

    @property
    def percent(self) -> float:
        """Both as a share of the paper, 0 to 100."""
        return 100.0 * (self.black + self.colour) / self.paper


Areas = defaultdict[Colour, float]
"""mm² of each colour."""


def ink_of(page: Page) -> Ink:
    """The ink of a page."""
    areas: Areas = defaultdict(float)
    grounds = [mark for mark in page.marks if _is_ground(mark)]
    on_them = _on_grounds(page.marks, grounds) if grounds else []
    layered = {id(mark) for mark in on_them}
    for mark in page.marks:
        if id(mark) in layered:
            continue
        if isinstance(mark, Place):
            factor = abs(mark.at.determinant)
            for colour, area in _arts.get(mark.artwork, 0, functools.partial(_seen, mark.artwork)):
                areas[colour] += area * factor
        else:
            for colour, area in laid(mark):
                areas[colour] += area
    for colour, area in _layers(on_them).items() if on_them else ():
        areas[colour] += area
    for colour, area in _shared_walls(page.marks).items():
        areas[colour] -= area
    black = sum(area * coverage(colour) for colour, area in areas.items() if is_grey(colour))
    both = sum(area * coverage(colour) for colour, area in areas.items())
    return Ink(black, both - black, page.paper.width * page.paper.height)


# --- what lies on something ----------------------------------------------------------------------

_PITCH = 2.0
"""Of the level lines over a page, mm."""
_SMALL = 5.0
"""An area less wide than this is a dot or an arrowhead, mm."""


def _is_ground(mark: Mark) -> bool:
    """Whether a mark is an area, or a silhouette, that others may lie on."""
    if isinstance(mark, Fill):
        # A hollow letter hides half of the line round it, white or not.
        seen = mark.colour != WHITE or mark.role is Role.TRACE
        return seen and mark_bbox(mark).width > _SMALL
    return (
        isinstance(mark, Place)
        and len(mark.artwork.marks) == 1
        and isinstance(mark.artwork.marks[0], Fill)
    )


def _on_grounds(marks: Sequence[Mark], grounds: Sequence[Mark]) -> list[Mark]:
    """The grounds that are covered, and what lies on them: marks of their name, and drawings."""
    found: dict[int, Mark] = {}
    for ground in grounds:
        box = mark_bbox(ground)
        above = [
            mark
            for mark in marks
            if mark is not ground
            and not isinstance(mark, Text)
            and (
                (mark.id and mark.id == ground.id)
                or (isinstance(mark, Place) and _meet(box, mark_bbox(mark)))
            )
        ]
        if above:
            found |= {id(m): m for m in (ground, *above)}
    return [mark for mark in marks if id(mark) in found]


def _meet(a: BBox, b: BBox) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1


def _layers(marks: Sequence[Mark]) -> dict[Colour, float]:
    """What is seen of marks that lie on each other."""
    parts: list[Stroke | Fill] = []
    for mark in marks:
        if isinstance(mark, Place):
            moved = (transform_mark(part, mark.at) for part in mark.artwork.marks)
            parts += [part for part in moved if isinstance(part, Stroke | Fill)]
        elif isinstance(mark, Stroke) and mark.lane is not None:
            inner = mark.width - 2.0 * mark.lane.edge
            parts.append(replace(mark, lane=None))
            parts.append(replace(mark, lane=None, width=inner, colour=mark.lane.tint))
        elif not isinstance(mark, Text):
            parts.append(mark)
    return painted(parts, marks_bbox(marks), _PITCH)


def _shared_walls(marks: Sequence[Mark]) -> Areas:
    """What boxes side by side draw twice of the walls between them."""
    walls: dict[tuple[float, ...], Stroke] = {}
    twice: Areas = defaultdict(float)
    for mark in marks:
        if not isinstance(mark, Stroke) or mark.join != "miter" or mark.lane or mark.dash:
            continue
        for path in mark.paths:
            if not path.closed or len(path.segments) != 4:
                continue
            b = path.bbox
            x0, y0, x1, y1 = round(b.x0, 2), round(b.y0, 2), round(b.x1, 2), round(b.y1, 2)
            for wall in ((x0, y0, x0, y1), (x1, y0, x1, y1), (x0, y0, x1, y0), (x0, y1, x1, y1)):
                other = walls.setdefault(wall, mark)
                if other is not mark:
                    long = wall[2] - wall[0] + wall[3] - wall[1]
                    twice[other.colour] += long * min(mark.width, other.width)
    return twice


# --- colours --------------------------------------------------------------------------------------


@functools.cache
def coverage(colour: Colour) -> float:
    """The share of white paper that a colour takes away, 0 (white) to 1 (black)."""
    return 1.0 - sum(_parts(colour)) / 765.0


@functools.cache
def is_grey(colour: Colour) -> bool:
    """Whether a colour is printed with black ink alone."""
    return len(set(_parts(colour))) == 1


def _parts(colour: Colour) -> list[int]:
    return [int(colour[i : i + 2], 16) for i in (1, 3, 5)]


# --- drawings -------------------------------------------------------------------------------------

_LINE = 1.0 / 60.0
"""Width of the lines a drawing is painted with, and twice that, as a share of its longer side."""


@dataclass(frozen=True, slots=True)
class _Drawing:
    """What is found once of a drawing in one colour, however wide its lines are shown.

    Args:
        area: what is seen of it without the lines.
        along: how much of lines of width 1 lies on areas, or on lines that run along them.
        across: the same where lines cross; there both are wider, so it grows with the square.
    """

    area: float
    along: float
    across: float


_arts = ByIdentity[Artwork, list[tuple[Colour, float]]](512)
_drawings = ByIdentity[tuple[Path, ...], _Drawing](512)


def _seen(artwork: Artwork) -> list[tuple[Colour, float]]:
    """What of each colour is seen of a drawing, in its own units."""
    marks = artwork.marks
    if len(marks) == 1:
        return laid(marks[0])
    if len({mark.colour for mark in marks}) > 1:
        return list(painted(marks, artwork.bbox).items())
    # The same paths in another width are another artwork, but the same drawing.
    make = functools.partial(_painted_once, marks)
    drawing = _drawings.get(marks[0].paths, len(marks), make)
    widths = [mark.width for mark in marks if isinstance(mark, Stroke)]
    line = sum(widths) / len(widths) if widths else 0.0
    hidden = drawing.along * line + drawing.across * line * line
    return [(marks[0].colour, drawing.area + _summed(marks) - hidden)]


def _painted_once(marks: Sequence[Stroke | Fill]) -> _Drawing:
    box = functools.reduce(BBox.union, (path.bbox for mark in marks for path in mark.paths))
    line = max(box.width, box.height) * _LINE
    box = box.grown(line)
    fills = [mark for mark in marks if isinstance(mark, Fill)]
    area = sum(painted(fills, box).values()) if fills else 0.0
    hidden = []
    for width in (line, 2.0 * line):
        even = [replace(mark, width=width) if isinstance(mark, Stroke) else mark for mark in marks]
        hidden.append(area + _summed(even) - sum(painted(even, box).values()))
    narrow, wide = hidden
    return _Drawing(
        area, (4.0 * narrow - wide) / (2.0 * line), (wide - 2.0 * narrow) / (2.0 * line * line)
    )


def _summed(marks: Sequence[Stroke | Fill]) -> float:
    """The areas of the lines among marks, one by one."""
    return sum(stroked_area(mark, mark.width) for mark in marks if isinstance(mark, Stroke))


def laid(mark: Stroke | Fill | Text) -> list[tuple[Colour, float]]:
    """The colours of a mark and their areas, as if nothing lay over it."""
    if isinstance(mark, Text):
        if is_plain(mark.text):
            return [(mark.colour, text_ink_mm2(mark.text, mark.size_pt))]
        # Letters of other fonts are not stored; where their strokes overlap they count twice.
        mm = mark.size_pt * MM_PER_PT / units_per_em()
        paths = (path for letter in outlines(check_text(mark.text)) for path in letter.paths)
        return [(mark.colour, abs(sum(map(signed_area, paths))) * mm * mm)]
    if isinstance(mark, Fill):
        return [(mark.colour, filled_area(mark))]
    whole = stroked_area(mark, mark.width)
    if mark.lane is None or mark.width <= 2.0 * mark.lane.edge:
        return [(mark.colour, whole)]
    tinted = stroked_area(mark, mark.width - 2.0 * mark.lane.edge)
    return [(mark.colour, whole - tinted), (mark.lane.tint, tinted)]
