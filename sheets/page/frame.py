"""Paper, the work area, and the furniture that is the same on every page: name, title, bars, foot.

The work area has one size on Letter and A4 and at every stage, so that two children at one table
see the same page with different lines on it.
"""

from __future__ import annotations

import functools
import locale
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.errors import FitError, InputError
from shapes.letters.font import text_width_mm
from shapes.path import BBox, Path
from sheets.page.marks import BAR_LENGTH
from sheets.page.model import (
    ADULT_GREY,
    FURNITURE_GREY,
    Cut,
    Mark,
    Paper,
    Role,
    Stroke,
    Text,
)

Side = Literal["left", "right"]

LETTER = Paper("letter", 215.9, 279.4)
"""US Letter, 8.5 x 11 in (ANSI/ASME Y14.1 size A; from memory)."""
A4 = Paper("a4", 210.0, 297.0)
"""ISO 216 A4, 210 x 297 mm."""
PAPERS = {"letter": LETTER, "a4": A4}

MARGIN = 12.7
"""Ink stays this far from the paper edge. Printer manuals give up to 6.7 mm that cannot be printed;
twice that leaves room for a sheet that feeds askew. Our setting."""
WORK_WIDTH = 176.0
WORK_HEIGHT = 200.0
HEAD_HEIGHT = 23.0
FOOT_HEIGHT = 30.0
_BAR_WIDTH, _BAR_REACH = 3.6, 114.0
_BAR_ROOM = 6.2
"""The bar across at the foot and the white above it."""
FOOT_INSET = 4.0
"""The adult's words and the bar at the foot keep this far inside the sides of the work area, so
that a line can run up from the paper's lower edge beside them, even on A4."""
BADGE = 16.5
ADULT_SIZE_PT = 7.5
SMALLEST_TEXT_PT = 18.0
"""Floor of what a child is to read; the limit ``text_size`` of the guidance."""
ADULT_LEADING = 3.3
SAY_PT = 14.0
"""Type of the line that says what to do: black, and read at arm's length (our setting)."""

_LETTER_COUNTRIES = {"US", "CA", "MX", "PH", "CL", "CO", "VE", "GT", "CR", "SV", "NI", "PA", "DO"}
"""Countries where office paper is Letter (Unicode CLDR supplemental data, measurement data)."""


def paper(name: str | None) -> Paper:
    """The paper called ``letter`` or ``a4``; None takes the one usual where this computer is."""
    if name is None:
        return default_paper()
    try:
        return PAPERS[name.lower()]
    except KeyError:
        raise InputError(
            f"paper '{name}' is not known", where="`paper`", fix="use letter or a4"
        ) from None


def default_paper() -> Paper:
    """By the country of the locale; Letter if the locale names none."""
    code = locale.getlocale()[0] or ""
    country = code.partition("_")[2][:2].upper()
    return A4 if country and country not in _LETTER_COUNTRIES else LETTER


@dataclass(frozen=True, slots=True)
class Frame:
    """Where things go on one paper size, in mm from the lower left corner of the paper."""

    paper: Paper

    @property
    def live(self) -> BBox:
        """Everything printed lies in here, but for lines that run off the paper on purpose."""
        return BBox(MARGIN, MARGIN, self.paper.width - MARGIN, self.paper.height - MARGIN)

    def between(self, lines: int) -> BBox:
        """What head and foot leave of half a sheet, which has no work area of the usual size."""
        left = (self.paper.width - WORK_WIDTH) / 2.0
        low = self.live.y0 + _BAR_ROOM + ADULT_LEADING * lines + 1.0
        return BBox(left, low, left + WORK_WIDTH, self.live.y1 - HEAD_HEIGHT)

    @property
    def work(self) -> BBox:
        """The child's area."""
        left = (self.paper.width - WORK_WIDTH) / 2.0
        low = self.live.y0 + FOOT_HEIGHT
        room = self.live.y1 - HEAD_HEIGHT - low
        low += (room - WORK_HEIGHT) / 2.0
        return BBox(left, low, left + WORK_WIDTH, low + WORK_HEIGHT)

    @property
    def foot(self) -> BBox:
        """The adult's lines and the bar below the work area."""
        left, low = (self.paper.width - WORK_WIDTH) / 2.0 + FOOT_INSET, self.live.y0
        return BBox(left, low, left + WORK_WIDTH - 2.0 * FOOT_INSET, low + FOOT_HEIGHT)

    def bar(self, side: Side) -> BBox:
        """The upright measure bar on that side and the words above it.

        It stands wholly beside the work area, above the cut along its lower edge.
        """
        x = self.live.x0 if side == "left" else self.live.x1 - _BAR_WIDTH
        low = max(self.live.y0 + FOOT_HEIGHT, self.work.y0) + 6.0
        if self.paper.is_half:
            low = self.live.y0 + 0.4  # it takes all the height there is
        return BBox(x, low, x + _BAR_WIDTH, low + _BAR_REACH)

    @property
    def badge(self) -> BBox:
        """Box of the small picture in the head."""
        right = (self.paper.width + WORK_WIDTH) / 2.0
        return BBox(right - BADGE, self.live.y1 - BADGE, right, self.live.y1)

    def edge_x(self, side: Side) -> float:
        """x of the paper edge on that side."""
        return 0.0 if side == "left" else self.paper.width


# --- furniture ----------------------------------------------------------------------------------


def head(frame: Frame, title: str, name: str, say: str) -> list[Mark]:
    """Name line, title, and the line that says what to do, in the same places at every stage.

    Args:
        say: read aloud to the child, so it is not bound to the floor of what a child reads.

    Raises:
        FitError: one of them is too long.
    """
    x0, top = frame.work.x0, frame.live.y1
    line_y = top - 7.0
    line_end = x0 + 100.0
    marks: list[Mark] = [_name_line(x0, line_end, line_y)]
    if name:
        size = _size_that_fits(name, 20.0, SMALLEST_TEXT_PT, line_end - x0, "name")
        marks.append(Text(x0 + 0.5, line_y + 1.8, name, size, Role.FURNITURE, id="name"))
    else:
        marks.append(_adult(line_end + 1.5, line_y, "name"))
    room = frame.badge.x0 - x0 - 4.0
    size = _size_that_fits(title, 20.0, SMALLEST_TEXT_PT, room, "title")
    marks.append(Text(x0, top - 14.8, title, size, Role.FURNITURE, id="title"))
    # One size at all stages: a line that needs a smaller one is too long.
    size = _size_that_fits(say, SAY_PT, SAY_PT, frame.work.width, "line that says what to do")
    marks.append(Text(x0, top - 21.6, say, size, Role.ADULT, id="say"))
    return marks


@functools.cache
def _name_line(x0: float, x1: float, y: float) -> Stroke:
    return Stroke(
        (Path.line((x0, y), (x1, y)),),
        0.35,
        Role.FURNITURE,
        id="name-line",
        colour=FURNITURE_GREY,
        cap="butt",
    )


@functools.cache
def measure_bars(frame: Frame, down_side: Side) -> tuple[Mark, ...]:
    """A 100 mm bar across at the foot and one down beside the work area on ``down_side``."""
    vx = frame.live.x0 + 0.6 if down_side == "left" else frame.live.x1 - 0.6
    vy = frame.bar(down_side).y0
    inward = 1.0 if down_side == "left" else -1.0
    down = Path.line((vx, vy + BAR_LENGTH), (vx, vy))
    ticks = [
        Path.line((vx, vy + 10.0 * i), (vx + inward * _tick(i), vy + 10.0 * i)) for i in range(11)
    ]
    return (
        *bar_across(frame.foot.x0, frame.live.y0 + 2.2, "100 mm: measure both bars on paper"),
        _thin([down], "bar-y"),
        _thin(ticks, "bar-y-ticks"),
        # In line with the bar: beside it there is no room on A4.
        Text(
            vx + 0.95 + inward * 0.6,
            vy + BAR_LENGTH + 2.0,
            "100 mm",
            ADULT_SIZE_PT,
            Role.ADULT,
            colour=ADULT_GREY,
            turn_deg=90.0,
        ),
    )


def bar_across(x: float, y: float, label: str) -> tuple[Mark, ...]:
    """A 100 mm bar to measure, its left end at (x, y), with words beside it."""
    ticks = [Path.line((x + 10.0 * i, y), (x + 10.0 * i, y + _tick(i))) for i in range(11)]
    return (
        _thin([Path.line((x, y), (x + BAR_LENGTH, y))], "bar-x"),
        _thin(ticks, "bar-x-ticks"),
        _adult(x + BAR_LENGTH + 2.0, y, label),
    )


def _tick(number: int) -> float:
    return 1.8 if number % 5 == 0 else 1.2


def _thin(paths: Sequence[Path], id: str) -> Stroke:
    return Stroke(tuple(paths), 0.25, Role.FURNITURE, id=id, colour=FURNITURE_GREY, cap="butt")


PRINT_LINE = (
    "Print at actual size, 100 % (some programs say “no scaling”); not “fit”, “shrink” or "
    "“scale to fit”."
)


def foot(
    frame: Frame, lines: Iterable[str], *, size_pt: float = ADULT_SIZE_PT, bar: bool = True
) -> list[Mark]:
    """The adult's lines below the work area.

    Args:
        bar: whether the bar across stands below them.

    Raises:
        FitError: they need more lines than the foot has.
    """
    leading = ADULT_LEADING * size_pt / ADULT_SIZE_PT
    wrapped = [part for line in lines for part in wrap(line, size_pt, frame.foot.width)]
    low = frame.live.y0 + (_BAR_ROOM if bar else 0.0)
    top = frame.live.y0 + FOOT_HEIGHT - 3.4
    if frame.paper.is_half:
        top = min(top, low + leading * (len(wrapped) - 1))
    if top - leading * (len(wrapped) - 1) < low:
        raise FitError(
            f"the adult's text needs {len(wrapped)} lines and the foot holds "
            f"{int((top - low) / leading) + 1}",
            where="foot of the page",
        )
    x = frame.foot.x0
    return [_adult(x, top - leading * i, line, size_pt) for i, line in enumerate(wrapped)]


def foot_lines(lines: Iterable[str], frame: Frame) -> int:
    """How many lines :func:`foot` makes of the adult's lines."""
    return sum(len(wrap(line, ADULT_SIZE_PT, frame.foot.width)) for line in lines)


def _adult(x: float, y: float, text: str, size_pt: float = ADULT_SIZE_PT) -> Text:
    return Text(x, y, text, size_pt, Role.ADULT, colour=ADULT_GREY)


# --- text and artwork ---------------------------------------------------------------------------


def wrap(text: str, size_pt: float, width: float) -> list[str]:
    """Break a line at spaces so that each part is at most ``width`` mm long."""
    return list(_wrapped(text, size_pt, width))


@functools.lru_cache(maxsize=128)
def _wrapped(text: str, size_pt: float, width: float) -> tuple[str, ...]:
    lines: list[list[str]] = []
    space = text_width_mm(" ", size_pt)
    reach = math.inf
    for word in text.split():
        long = text_width_mm(word, size_pt)
        reach += space + long
        if reach > width:
            lines.append([])
            reach = long
        lines[-1].append(word)
    return tuple(" ".join(words) for words in lines)


def _size_that_fits(text: str, size_pt: float, least_pt: float, width: float, what: str) -> float:
    needed = text_width_mm(text, size_pt)
    if needed <= width:
        return size_pt
    smaller = int(size_pt * width / needed * 2.0) / 2.0
    if smaller < least_pt:
        raise FitError(
            f"'{text}' is too long for the {what} at {least_pt:g} pt",
            where=what,
            fix="shorten it",
        )
    return smaller


def rectangle(box: BBox) -> Path:
    """The edge of a box as a closed path."""
    return Path.from_points(
        [(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)], closed=True
    )


# --- lines an adult cuts beforehand --------------------------------------------------------------


def adult_cuts(frame: Frame, xs: Sequence[float], ys: Sequence[float]) -> list[Mark]:
    """Numbered straight cuts: first across (``ys``) from paper edge to paper edge, then down.

    The cuts down (``xs``) go through the piece that the first ones leave, so they do not cross head
    and foot. Solid thin grey lines; the numbers stand beside the lines, outside the piece.
    """
    rows = sorted(ys, reverse=True)
    marks: list[Mark] = []
    for number, y in enumerate(rows, start=1):
        path = Path.line((0.0, y), (frame.paper.width, y))
        marks += _adult_cut(path, number, MARGIN, y + 1.2)
    high = rows[0] if rows else frame.paper.height
    low = rows[-1] if rows else 0.0
    for number, x in enumerate(sorted(xs), start=len(rows) + 1):
        outside = -7.0 if x < frame.work.center[0] else 1.2
        marks += _adult_cut(Path.line((x, low), (x, high)), number, x + outside, high - 4.0)
    return marks


def straight_cuts(xs: Sequence[float], ys: Sequence[float]) -> tuple[Cut, ...]:
    """The cuts that :func:`adult_cuts` draws, in their order."""
    across = tuple(Cut(True, y) for y in sorted(ys, reverse=True))
    return (*across, *(Cut(False, x) for x in sorted(xs)))


def _adult_cut(path: Path, number: int, x: float, y: float) -> list[Mark]:
    return [
        Stroke(
            (path,), 0.25, Role.ADULT, id=f"adult-cut-{number}", colour=FURNITURE_GREY, cap="butt"
        ),
        Text(x, y, f"cut {number}", 6.0, Role.ADULT, colour=ADULT_GREY),
    ]
