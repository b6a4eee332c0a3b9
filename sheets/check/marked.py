"""A checked page with its findings drawn on it: a ring and a number at each place, and a list.

The page itself is printed as it was read. What is outside guidance has a number; what is within is
listed after it, so that nothing measured is hidden.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from shapes.affine import Point
from shapes.errors import GlyphError
from shapes.letters.font import MM_PER_PT, cap_height_mm, check_text
from shapes.path import BBox, Path
from sheets.check.checked import Checked
from sheets.check.where import Where, from_top_left
from sheets.page.frame import MARGIN, default_paper, wrap
from sheets.page.model import WHITE, Fill, Finding, Mark, Page, Paper, Role, Stroke, Text

MARK_COLOUR = "#b3261e"
"""6.5 to 1 on white, dark grey on a black-and-white printer."""

_RING_MM = 4.0
_DISC_MM = 3.6
_AWAY_MM = 12.0  # from the middle of a ring to that of its number
_NUMBER_PT = 11.0
_TURNS = (45, 135, 315, 225, 0, 180, 90, 270, *range(15, 360, 30))

_TITLE_PT, _HEADING_PT, _BODY_PT = 16.0, 11.5, 9.5
_LEADING = 1.4
_INDENT = 9.0


_Rows = list[tuple[Finding, Where | None]]


def findings_pages(about: Checked, name: str) -> list[Page]:
    """The page with numbers on it, and after it the list of what they mean.

    Args:
        name: of the file, for the list.
    """
    rows = [(finding, about.where(finding)) for finding in about.findings]
    outside = [row for row in rows if row[0].outside]
    marks = list(about.page.marks)
    taken: list[Point] = []
    for number, (_, place) in enumerate(outside, start=1):
        if place is not None:
            marks += _pointer(number, place, about.page.paper, taken)
    drawn = Page(about.page.paper, tuple(marks), label="Page with findings")
    within = [row for row in rows if not row[0].outside]
    return [drawn, *_list(about, name, outside, within)]


# --- on the page ----------------------------------------------------------------------------------


def _pointer(number: int, place: Where, paper: Paper, taken: list[Point]) -> list[Mark]:
    """A ring round the place and a number beside it, where no other number is."""
    x, y = place.at
    spots = [
        (x + away * math.cos(math.radians(turn)), y + away * math.sin(math.radians(turn)))
        for away in (_AWAY_MM, 1.8 * _AWAY_MM, 2.6 * _AWAY_MM, 3.4 * _AWAY_MM)
        for turn in _TURNS
    ]
    on_paper = BBox(0.0, 0.0, paper.width, paper.height).grown(-_DISC_MM - 1.0)
    spots = [s for s in spots if on_paper.contains(BBox(*s, *s))]
    spots = spots or [_pulled_in(place.at, on_paper)]
    spot = max(spots, key=lambda s: min(2.4 * _DISC_MM, _nearest(s, taken)))
    taken.append(spot)
    way = math.dist(place.at, spot)
    marks: list[Mark] = [_line(Path.circle(place.at, _RING_MM))]
    if way > _RING_MM + _DISC_MM:
        start = _along(place.at, spot, _RING_MM / way)
        end = _along(place.at, spot, (way - _DISC_MM) / way)
        marks.append(_line(Path.line(start, end)))
    disc = Path.circle(spot, _DISC_MM)
    marks += [Fill((disc,), Role.ADULT, colour=WHITE), _line(disc)]
    low = spot[1] - cap_height_mm(_NUMBER_PT) / 2.0
    marks.append(
        Text(spot[0], low, str(number), _NUMBER_PT, Role.ADULT, colour=MARK_COLOUR, anchor="middle")
    )
    return marks


def _line(path: Path) -> Stroke:
    return Stroke((path,), 0.7, Role.ADULT, colour=MARK_COLOUR)


def _nearest(spot: Point, others: Sequence[Point]) -> float:
    return min((math.dist(spot, other) for other in others), default=math.inf)


def _pulled_in(at: Point, room: BBox) -> Point:
    return min(max(at[0], room.x0), room.x1), min(max(at[1], room.y0), room.y1)


def _along(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


# --- the list -------------------------------------------------------------------------------------


@dataclass(slots=True)
class _List:
    """Pages of lines for an adult, filled from the top."""

    paper: Paper
    y: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    pages: list[Page] = field(default_factory=list)

    def line(self, text: str, size: float, *, lead: str = "", before: float = 0.0) -> None:
        """A paragraph; ``lead`` stands at the left of its first line."""
        indent = _INDENT if lead else 0.0
        width = self.paper.width - 2.0 * MARGIN - indent
        step = size * MM_PER_PT * _LEADING
        parts = wrap(_printable(text), size, width)
        if not self.pages or self.y - before - step * len(parts) < MARGIN:
            self._turn()
        self.y -= before if self.marks else 0.0
        for i, part in enumerate(parts):
            self.y -= step
            if lead and i == 0:
                self._add(MARGIN, lead, size)
            self._add(MARGIN + indent, part, size)

    def _add(self, x: float, text: str, size: float) -> None:
        self.marks.append(Text(x, self.y, text, size, Role.ADULT))

    def _turn(self) -> None:
        self.finish()
        self.pages.append(Page(self.paper, (), label="List of findings"))
        self.y = self.paper.height - MARGIN

    def finish(self) -> list[Page]:
        """The pages; the last one is closed."""
        if self.pages:
            last = self.pages.pop()
            self.pages.append(Page(last.paper, tuple(self.marks), label=last.label))
        self.marks = []
        return self.pages


def _list(about: Checked, name: str, outside: _Rows, within: _Rows) -> list[Page]:
    flow = _List(default_paper())
    flow.line(f"Findings on {name}", _TITLE_PT)
    flow.line(f"Guidance of {about.skill} at stage {about.stage}.", _BODY_PT)
    flow.line("Findings speak of the page, never of a child.", _BODY_PT)
    for note in about.notes:
        flow.line(note, _BODY_PT, lead="–")
    heading = "Outside guidance" if outside else "Nothing outside guidance"
    flow.line(heading, _HEADING_PT, before=3.0)
    for number, (finding, place) in enumerate(outside, start=1):
        flow.line(_told(about.page, finding, place), _BODY_PT, lead=f"{number}", before=0.8)
    if about.unmeasured:
        flow.line("Not measured", _HEADING_PT, before=3.0)
        for row in about.unmeasured:
            flow.line(f"{row.limit}: {row.reason}", _BODY_PT, lead="–")
    if within:
        flow.line("Within guidance", _HEADING_PT, before=3.0)
        for finding, place in within:
            flow.line(_told(about.page, finding, place), _BODY_PT, lead="–")
    return flow.finish()


def _told(page: Page, finding: Finding, place: Where | None) -> str:
    return f"{finding.sentence()}{place_words(page, place)}"


def place_words(page: Page, place: Where | None) -> str:
    """Such as `` - 34 mm across, 120 mm down``; empty for the page as a whole."""
    if place is None:
        return ""
    across, down = from_top_left(page, place.at)
    element = f" (id {place.element})" if place.element else ""
    return f"; at {across} mm from the left, {down} mm from the top{element}"


def _printable(text: str) -> str:
    """The text in letters that the page font has."""
    found = []
    for char in text:
        try:
            check_text(char)
        except GlyphError:
            char = "?"
        found.append(char)
    return "".join(found)
