"""Cutting pages on a piece that an adult cuts out first: folds, snips, lanes, curve and turn."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from shapes.errors import FitError, InputError
from shapes.path import BBox, Path, arc_between
from sheets.check.guidance import limits
from sheets.kinds.cutting.fitted import outline_gap
from sheets.kinds.cutting.lanes import across, cut, glue_box, line_for, panel, start_dots
from sheets.kinds.cutting.task import CuttingTask, Layout, most_cuts
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount, setting
from sheets.page.art import picture_in
from sheets.page.frame import Frame, adult_cuts, straight_cuts
from sheets.page.model import Mark, Role, Stroke


def panel_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """A panel that an adult cuts out beforehand, with lanes straight across it.

    Pictures lie between neighbouring lanes, each in its own rectangle; stage 0 has folds where
    stage 2 has lanes, so that both end with the same pieces.
    """
    stage = 2 if task.stage == 0 else task.stage
    lane = line_for(stage, options)
    count = _lanes(task, stage, options)
    board = panel(frame, amount("cutting", stage, "panel_width"), frame.work.height)
    if task.picture is None:
        gap = (board.height - count * lane) / (count + 1)
        ys = [board.y1 - gap * (i + 1) - lane * (i + 0.5) for i in range(count)]
    else:
        waste = amount("cutting", stage, "waste")
        pitch = (board.height - 2 * waste - count * lane) / (count - 1) + lane
        ys = [board.y1 - waste - lane / 2 - pitch * i for i in range(count)]
    marks = _pictures_between(task, options, board, ys)
    lines = [across(board, y, options.start_side) for y in ys]
    notes: tuple[str, ...] = ()
    parameters: dict[str, object] = {"line_width": lane, "cut_length": board.width, "cuts": count}
    if task.stage == 0:
        marks.append(Stroke(tuple(lines), 0.9, Role.FOLD, id="fold", dash=(6.0, 3.5), cap="butt"))
        notes = ("Dashed lines: fold and tear, from the panel's edge.",)
        parameters = {"folds": count, "fold_length": board.width}
    else:
        marks.append(cut(lines, lane, options, id="lanes"))
        if options.hand != "either":
            marks += start_dots(lines, 6.0, options)
    grey = adult_cuts(frame, [board.x0, board.x1], [board.y0, board.y1])
    return Layout(
        [*grey, *marks],
        adult_cuts=straight_cuts([board.x0, board.x1], [board.y0, board.y1]),
        notes=notes,
        parameters=parameters,
    )


def _lanes(task: CuttingTask, stage: int, options: Options) -> int:
    """How many lanes: one more than there are pictures; FitError if more than the stage has."""
    low, most = is_low(options), most_cuts(stage)
    if task.picture is None:
        count = task.pieces or int(setting("cutting", stage, "plain_lanes") or 1)
        count = min(count, 2) if low and not task.pieces else count
    else:
        count = (task.pieces or (2 if stage == 2 and not low else 1)) + 1
    if count > most:
        raise FitError(
            f"{count} cuts are more than the {most} of stage {task.stage}",
            where="`pieces`",
            fix=f"use at most {most if task.picture is None else most - 1}",
        )
    return count


def _pictures_between(
    task: CuttingTask, options: Options, board: BBox, ys: Sequence[float]
) -> list[Mark]:
    """The picture between every two lanes; FitError where one has less than 20 mm."""
    if task.picture is None:
        return []
    stage = 2 if task.stage == 0 else task.stage
    clearance = limits("cutting", stage)["clearance"].minimum or 0.0
    reach = line_for(stage, options) / 2.0 + clearance
    marks: list[Mark] = []
    for i, (upper, lower) in enumerate(itertools.pairwise(ys)):
        room = BBox(board.x0 + clearance, lower + reach, board.x1 - clearance, upper - reach)
        if min(room.width, room.height) < 20.0:
            raise FitError(
                f"{len(ys) - 1} pictures leave only {room.height:.0f} mm for each",
                where="`pieces`",
                fix="use fewer",
            )
        marks.append(picture_in(task.picture, room, colour=options.colour, id=f"picture-{i + 1}"))
    return marks


def snip_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Two strips with marks across, one closing of the blades each; the rest is for gluing."""
    lane = line_for(1, options)
    strip = float(setting("cutting", 1, "strip_width") or 25.0)
    per_strip = int(setting("cutting", 1, "snips_per_strip") or 4)
    most, gap = most_cuts(1), outline_gap(1)
    strips = task.pieces or (1 if is_low(options) else most // per_strip)
    if strips * per_strip > most:
        raise FitError(
            f"{strips} strips have {strips * per_strip} snips, more than the {most} of stage 1",
            where="`pieces`",
            fix=f"use at most {most // per_strip}",
        )
    work = frame.work
    pitch = lane + gap
    first = work.center[0] - pitch * (per_strip - 1) / 2.0
    xs = [first + pitch * i for i in range(per_strip)]
    if options.start_side == "right":
        xs.reverse()
    ys = [work.y1 - strip * i for i in range(strips + 1)]
    marks: list[Mark] = list(adult_cuts(frame, [], ys))
    lines: list[Path] = []
    for row in range(strips):
        low = ys[row + 1]
        lines += [Path.line((x, low), (x, low + strip)) for x in xs]
        if task.picture is not None:
            for i in range(per_strip + 1):
                x = min(xs) - pitch / 2.0 + pitch * i
                room = BBox(x - gap / 2.0, low, x + gap / 2.0, low + strip).grown(-4.5)
                marks.append(
                    picture_in(
                        task.picture, room, colour=options.colour, id=f"picture-{row + 1}-{i + 1}"
                    )
                )
    marks.append(cut(lines, lane, options, id="snips"))
    if options.hand != "either":
        marks += start_dots(lines, 4.5, options)
    rest = BBox(work.x0, work.y0, work.x1, ys[-1] - 12.0)
    if task.picture is not None:
        marks.append(picture_in(task.picture, rest.grown(-4.0), colour=options.colour, id="base"))
        notes = ("Snipped pieces can be glued on the large picture.",)
    else:
        marks.append(glue_box(rest))
        notes = ("Snipped pieces can be glued in the dashed box.",)
    return Layout(
        marks,
        adult_cuts=straight_cuts([], ys),
        notes=notes,
        parameters={"line_width": lane, "cut_length": strip, "cuts": strips * per_strip},
    )


def curve_and_turn_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Both tracks of the stage on one panel, because sources disagree which comes first."""
    if task.pieces not in (None, 2):
        raise InputError(
            "the plain page of stage 4 has one curve and one turn",
            where="`pieces`",
            fix="leave it out, or take `shape` arc, corner or circle",
        )
    lane = line_for(4, options)
    board = panel(frame, float(setting("cutting", 4, "panel_width") or 140.0), frame.work.height)
    radius = float(setting("cutting", 4, "curve_radius") or 90.0)
    leg = float(setting("cutting", 4, "turn_leg") or 76.0)
    right = options.start_side == "right"
    near = board.x1 if right else board.x0
    inward = -1.0 if right else 1.0
    corner = (near + inward * leg, board.y0 + leg)
    turn = Path.from_points([(near, corner[1]), corner, (corner[0], board.y0)])
    # A quarter circle about the panel's corner meets both edges square on.
    curve = Path(
        (
            arc_between(
                (near, board.y1 - radius),
                (near + inward * radius, board.y1),
                -90.0 if right else 90.0,
            ),
        )
    )
    marks: list[Mark] = list(adult_cuts(frame, [board.x0, board.x1], [board.y0, board.y1]))
    marks.append(cut([curve], lane, options, id="curve"))
    marks.append(cut([turn], lane, options, id="turn"))
    if options.hand != "either":
        marks += start_dots([curve, turn], 6.0, options)
    return Layout(
        marks,
        adult_cuts=straight_cuts([board.x0, board.x1], [board.y0, board.y1]),
        parameters={"line_width": lane, "cut_length": max(curve.length, turn.length), "cuts": 2},
    )
