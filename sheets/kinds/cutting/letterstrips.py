"""Letters of upright and level strokes, E F H L T, made of strips that straight cuts leave.

A panel is cut into strips as long as it is high; some of them are cut in half. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapes.path import BBox, Path
from sheets.kinds.cutting.fitted import outline_gap
from sheets.kinds.cutting.lanes import cut, line_for, start_dots
from sheets.kinds.cutting.lettertiles import glue_line
from sheets.kinds.cutting.task import Layout
from sheets.kinds.options import Options
from sheets.page.frame import Frame, adult_cuts, rectangle, straight_cuts
from sheets.page.model import Mark

LONG = 152.4
"""Length of a long strip, the longest straight cut of stages 2 and 3; a short one is half of it."""
SHORT = LONG / 2.0
_DOT_IN = 6.0


@dataclass(frozen=True, slots=True)
class _Strokes:
    """Boxes of the strips of a letter, its lower left corner at the origin."""

    long: tuple[BBox, ...]
    short: tuple[BBox, ...] = ()


def of_strips(text: str) -> bool:
    """Whether a letter is made of upright and level strokes only, two of them or more."""
    return text in _letters(1.0)


def strip_width(stage: int, options: Options) -> float:
    """From the middle of one lane to that of the next: as near as two lines may lie."""
    return line_for(stage, options) + outline_gap(stage)


def _letters(wide: float) -> dict[str, _Strokes]:
    """The letters, made of strips so wide."""
    stem = BBox(0.0, 0.0, wide, LONG)
    foot, middle, top = (BBox(wide, y, wide + SHORT, y + wide)
                         for y in (0.0, (LONG - wide) / 2.0, LONG - wide))  # fmt: skip
    far = BBox(wide + SHORT, 0.0, 2.0 * wide + SHORT, LONG)
    under = BBox((LONG - wide) / 2.0, 0.0, (LONG + wide) / 2.0, LONG)
    return {
        "E": _Strokes((stem,), (foot, middle, top)),
        "F": _Strokes((stem,), (middle, top)),
        "H": _Strokes((stem, far), (middle,)),
        "L": _Strokes((stem,), (foot,)),
        "T": _Strokes((under, BBox(0.0, LONG, LONG, LONG + wide))),
    }


def strip_page(text: str, stage: int, options: Options, frame: Frame) -> Layout:
    """The panel: lanes up between the strips, and one across the middle of those for short ones.

    It stands on the lower end of the work area, so that no cut runs through the upright bar.
    """
    lane, wide = line_for(stage, options), strip_width(stage, options)
    strokes = _letters(wide)[text]
    whole, halved = len(strokes.long), math.ceil(len(strokes.short) / 2)
    half = (whole + halved) * wide / 2.0
    (cx, _), low = frame.work.center, frame.work.y0
    board = BBox(cx - half, low, cx + half, low + LONG)
    xs = [board.x0 + wide * i for i in range(1, whole + halved)]
    lines = [Path.line((x, board.y0), (x, board.y1)) for x in xs]
    for i in range(whole, whole + halved):
        line = Path.line(
            (board.x0 + wide * i, low + SHORT), (board.x0 + wide * (i + 1), low + SHORT)
        )
        lines.append(line if options.start_side == "left" else line.reversed())
    edges = ([board.x0, board.x1], [board.y0, board.y1])
    marks: list[Mark] = [*adult_cuts(frame, *edges), cut(lines, lane, options, id="lanes")]
    notes: tuple[str, ...] = ()
    if halved:
        notes = ("Long lines first, then each strip with a line across its middle in half.",)
    if options.hand != "either":
        marks += start_dots(lines[: len(xs)], _DOT_IN, options)
        notes = ("Turn the page so that the dots are nearest the child's tummy.", *notes)
    return Layout(
        marks,
        adult_cuts=straight_cuts(*edges),
        notes=(" ".join(notes),),
        parameters={
            "line_width": lane,
            "cut_length": LONG,
            "cuts": len(lines),
            "strips": [whole, len(strokes.short)],
        },
    )


def strip_base(text: str, stage: int, options: Options, frame: Frame) -> list[Mark]:
    """The letter as the outlines of its strips, in the middle of the work area."""
    strokes = _letters(strip_width(stage, options))[text]
    boxes = [*strokes.long, *strokes.short]
    (x, y), whole = frame.work.center, boxes[0]
    for box in boxes[1:]:
        whole = whole.union(box)
    cx, cy = whole.center
    return [glue_line(rectangle(box).moved(x - cx, y - cy), i)
            for i, box in enumerate(boxes, start=1)]  # fmt: skip
