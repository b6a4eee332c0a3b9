"""The page between long straight cuts and closed outlines: hills from edge to edge over a picture.

A cut of stage 3 is straight and 152 mm long, one round a picture at stage 4 three times as long and
closed. One gentle bend from edge to edge lies between: no longer than the straight cut.
"""

from __future__ import annotations

import math

from shapes.basic import practice
from shapes.path import Arc, BBox, Path
from shapes.pictures.picture import Picture
from sheets.check.guidance import limits
from sheets.kinds.cutting.lanes import DOT, cut, dot_radius, line_for, panel, start_dots
from sheets.kinds.cutting.task import HILL, CuttingTask, Layout, check_count
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount
from sheets.page.art import picture_in
from sheets.page.frame import Frame, adult_cuts, straight_cuts
from sheets.page.model import Mark

_WASTE = 14.0
"""Least height of the strip above the first hill, to hold. Our setting."""
_OVERHANG = 3.0
"""A hill runs on this far beyond the panel, so that no corner of the slanting line is missing."""
_LEAST_EDGE = 6.0
"""From the picture to the edges that an adult cuts, mm."""


def on_hills(task: CuttingTask) -> bool:
    """Whether a task is for hills; several pictures of stage 4 are, as only one outline fits."""
    several = task.stage == 4 and task.picture is not None and (task.pieces or 1) > 1
    return task.shape == HILL or several


def hill_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Hills across a panel, one above the other, with the picture under each."""
    line = line_for(task.stage, options)
    usual = 1 if is_low(options) else int(amount("cutting", task.stage, "pieces"))
    count = task.pieces or usual
    check_count(count, task.stage)
    hill = practice(HILL)
    board = panel(frame, hill.bbox.width - 2.0 * _OVERHANG, frame.work.height)
    first = board.y1 - _WASTE - line / 2.0 - hill.bbox.height
    pitch = (first - board.y0) / count
    hills = [hill.moved(board.x0 - _OVERHANG, first - pitch * i) for i in range(count)]
    marks: list[Mark] = []
    if task.picture is not None:
        rooms = _rooms(hills, board, task.picture, line / 2.0 + _clearance(task.stage))
        marks += [
            picture_in(task.picture, room, colour=options.colour, id=f"picture-{i + 1}")
            for i, room in enumerate(rooms)
        ]
    if options.start_side == "right":
        hills = [path.reversed() for path in hills]
    marks.append(cut(hills, line, options, id="hills"))
    if options.hand != "either":
        marks += start_dots(hills, _OVERHANG + _LEAST_EDGE + dot_radius(options) - DOT, options)
    grey = adult_cuts(frame, [board.x0, board.x1], [board.y0, board.y1])
    return Layout(
        [*grey, *marks],
        adult_cuts=straight_cuts([board.x0, board.x1], [board.y0, board.y1]),
        parameters={"line_width": line, "cut_length": hill.length, "cuts": count, "shape": HILL},
    )


def _clearance(stage: int) -> float:
    return float(limits("cutting", stage)["clearance"].minimum or 0.0)


def _rooms(hills: list[Path], board: BBox, picture: Picture, off: float) -> list[BBox]:
    """A box of the picture's proportions under each hill, all of one size, as large as fits."""
    crest = hills[0].segments[0]
    assert isinstance(crest, Arc)
    x, radius = board.center[0], crest.radius
    floors = [*(path.bbox.y1 + off for path in hills[1:]), board.y0 + _LEAST_EDGE]
    ratio = picture.bbox.height / picture.bbox.width
    low, high = 0.0, board.width / 2.0 - _LEAST_EDGE
    for _ in range(30):
        half = (low + high) / 2.0
        # A circle inside the hill's own that is nearer to its middle by the clearance.
        rise = math.sqrt(max(0.0, (radius - off) ** 2 - half**2)) - radius
        heights = [path.bbox.y1 + rise - floor for path, floor in zip(hills, floors, strict=True)]
        if half < radius - off and min(heights) >= 2.0 * half * ratio:
            low = half
        else:
            high = half
    wide, high = low, 2.0 * low * ratio
    rise = math.sqrt((radius - off) ** 2 - low**2) - radius
    boxes = []
    for path, floor in zip(hills, floors, strict=True):
        middle = (floor + path.bbox.y1 + rise) / 2.0
        boxes.append(BBox(x - wide, middle - high / 2.0, x + wide, middle + high / 2.0))
    return boxes
