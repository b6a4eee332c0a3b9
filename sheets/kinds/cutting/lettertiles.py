"""Words to cut apart into tiles by straight lines, one letter on each."""

from __future__ import annotations

import dataclasses
import itertools

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.cutting.fitted import outline_gap
from sheets.kinds.cutting.lanes import cut, line_for, start_dots
from sheets.kinds.cutting.letterforms import LINE, letterform
from sheets.kinds.cutting.task import Layout, most_cuts
from sheets.kinds.options import BOLD_LINE, Options, is_low
from sheets.page.art import LINE_MM, picture_at
from sheets.page.frame import Frame, adult_cuts, rectangle, straight_cuts
from sheets.page.model import FURNITURE_GREY, Mark, Place, Role, Stroke

PANEL = 170.0
"""Width of the panel a word stands on, mm: its numbered cuts leave the margin free on A4."""
_DOT_IN = 6.0
_BOLD = 6.0
"""Line of letters for low vision, at a capital's height of 100 mm: a small one has 2 mm too."""
_BASE_LINE = 0.7


def word_page(text: str, stage: int, height: float, options: Options, frame: Frame) -> Layout:
    """A panel that an adult cuts out, with a lane up between every two letters.

    Args:
        height: of the panel, mm.

    Raises:
        FitError: more letters than the lines of the stage leave room for.
    """
    lane = line_for(stage, options)
    board = _board(height, frame)
    xs = _lanes(text, stage, lane, board)
    lines = [Path.line((x, board.y0), (x, board.y1)) for x in xs]
    clear = limits("cutting", stage)["clearance"].minimum or 0.0
    edges = [board.x0, *xs, board.x1]
    rooms = [
        BBox(a + (lane / 2.0 if a in xs else 0.0) + clear, board.y0 + clear,
             b - (lane / 2.0 if b in xs else 0.0) - clear, board.y1 - clear)
        for a, b in itertools.pairwise(edges)
    ]  # fmt: skip
    marks: list[Mark] = [
        *adult_cuts(frame, [board.x0, board.x1], [board.y0, board.y1]),
        *letters_in(text, rooms, options),
        cut(lines, lane, options, id="lanes"),
    ]
    if options.hand != "either":
        marks += start_dots(lines, _DOT_IN, options)
    return Layout(
        marks,
        adult_cuts=straight_cuts([board.x0, board.x1], [board.y0, board.y1]),
        notes=("Turn the page so that the dots are nearest the child's tummy.",)
        if options.hand != "either"
        else (),
        parameters={"line_width": lane, "cut_length": height, "cuts": len(lines)},
    )


def base_tiles(layout: Layout, height: float, frame: Frame) -> list[Mark]:
    """Boxes of the tiles' size below the panel, each with its letter, to glue them on."""
    board = _board(height, frame)
    down = frame.work.y0 + (board.y0 - frame.work.y0 - height) / 2.0 - board.y0
    lines = next(m for m in layout.marks if isinstance(m, Stroke) and m.role is Role.CUT)
    edges = [board.x0, *(path.start[0] for path in lines.paths), board.x1]
    marks: list[Mark] = [
        glue_line(rectangle(BBox(a, board.y0 + down, b, board.y1 + down)), i)
        for i, (a, b) in enumerate(itertools.pairwise(edges), start=1)
    ]
    letters = (mark for mark in layout.marks if isinstance(mark, Place))
    below = Affine.translation(0.0, down)
    marks += [dataclasses.replace(mark, at=mark.at.then(below), id=f"base-{i}")
              for i, mark in enumerate(letters, start=1)]  # fmt: skip
    return marks


def glue_line(path: Path, number: int) -> Stroke:
    """Where a piece is glued: the line it was cut along, thin and grey."""
    return Stroke((path,), _BASE_LINE, Role.ANSWER_SPACE, id=f"glue-{number}",
                  colour=FURNITURE_GREY)  # fmt: skip


def _board(height: float, frame: Frame) -> BBox:
    """At the upper end of the work area: its lower cut stays clear of the upright bar."""
    work = frame.work
    return BBox(work.center[0] - PANEL / 2.0, work.y1 - height, work.center[0] + PANEL / 2.0,
                work.y1)  # fmt: skip


def _lanes(text: str, stage: int, lane: float, board: BBox) -> list[float]:
    """The middles of the lanes; every tile is as wide between them."""
    count, gap = len(text), outline_gap(stage)
    most = min(most_cuts(stage) + 1, int((board.width + lane) / (gap + lane)))
    if count > most:
        raise FitError(
            f"'{text}' has {count} letters, and {most} tiles fit side by side at stage {stage}",
            where="`word`",
            fix="use a shorter word or `letter`",
        )
    tile = (board.width - (count - 1) * lane) / count
    return [board.x0 + (tile + lane) * i - lane / 2.0 for i in range(1, count)]


def letters_in(text: str, rooms: list[BBox], options: Options) -> list[Mark]:
    """The letters of a word at one size on one base line, each in the middle of its room."""
    low_vision = is_low(options)
    forms = [letterform(char, _BOLD if low_vision else LINE) for char in text]
    low = min(form.bbox.y0 for form in forms)
    high = max(form.bbox.y1 for form in forms)
    pairs = list(zip(forms, rooms, strict=True))
    scale = min(
        *(room.width / form.bbox.width for form, room in pairs), rooms[0].height / (high - low)
    )
    marks: list[Mark] = []
    for i, (form, room) in enumerate(pairs, start=1):
        cx, cy = room.center
        at = Affine.scaling(scale).then(
            Affine.translation(cx - form.bbox.center[0] * scale, cy - (low + high) / 2.0 * scale)
        )
        marks.append(
            picture_at(form, at, id=f"picture-{i}", line_mm=BOLD_LINE if low_vision else LINE_MM)
        )
    return marks
