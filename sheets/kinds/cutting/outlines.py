"""Cutting pages with closed outlines, each with its way in from the paper edge, or single lines."""

from __future__ import annotations

from collections.abc import Sequence

from shapes.affine import Affine
from shapes.basic import practice
from shapes.errors import FitError
from shapes.path import Path
from shapes.pictures.pictures import Picture
from sheets.kinds.cutting.fitted import (
    fit_outline,
    line_width,
    outline_rows,
    standard_outline,
    standard_row,
    usual_pieces,
)
from sheets.kinds.cutting.lanes import arrow, cut, lead_in, run_in, stop_bar
from sheets.kinds.cutting.store import stored_outline
from sheets.kinds.cutting.task import CuttingTask, Layout
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.page.art import picture_at
from sheets.page.frame import Frame
from sheets.page.model import Mark


def _closed(
    outlines: Sequence[Path], task: CuttingTask, options: Options, frame: Frame
) -> list[Mark]:
    """Run-ins first, then all outlines, then what lies on top."""
    width = line_width(task.stage)
    below: list[Mark] = []
    above: list[Mark] = []
    for i, outline in enumerate(outlines):
        before, after, joint = run_in(
            frame, outline, width, options.start_side, options.ink, f"outline-{i + 1}"
        )
        below += before
        above += after
        if task.turn is not None:
            above += arrow(outline, joint, task.turn, width)
    middle: list[Mark] = [
        cut([outline], width, options.ink, id=f"outline-{i + 1}", cap="round")
        for i, outline in enumerate(outlines)
    ]
    return [*below, *middle, *above]


def picture_page(task: CuttingTask, picture: Picture, options: Options, frame: Frame) -> Layout:
    """A picture in the stage's outline, as often as asked."""
    count = task.pieces or usual_pieces(task.stage)
    rows = outline_rows(task.stage, frame, count)
    if count == usual_pieces(task.stage):
        # Made once for all papers, whose work areas are alike.
        fitted = stored_outline(picture, task.stage, task.form) or standard_outline(
            picture, task.stage, task.form
        )
        (sx, sy), (x, y) = standard_row(task.stage).center, rows[0].center
        fitted = fitted.moved(x - sx, y - sy)
    else:
        fitted = fit_outline(picture, task.stage, rows[0], task.form)
    shown = [fitted.moved(0.0, row.center[1] - rows[0].center[1]) for row in rows]
    marks: list[Mark] = [
        picture_at(picture, each.art_at, id=f"picture-{i + 1}") for i, each in enumerate(shown)
    ]
    outlines = [each.path for each in shown]
    marks += _closed(outlines, task, options, frame)
    return Layout(
        marks,
        parameters={
            "line_width": line_width(task.stage),
            "cut_length": fitted.path.length,
            "cuts": count,
            "picture_mm": fitted.longest,
            "difficulty": fitted.score,
            "softened_by": fitted.softened_by,
        },
    )


def shape_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Practice lines or shapes of the stage, one above the other."""
    names = [task.shape] if task.shape else str(setting("cutting", task.stage, "shapes")).split()
    count = task.pieces or len(names)
    paths = [practice(names[i % len(names)]) for i in range(count)]
    width = line_width(task.stage)
    placed: list[Path] = []
    for path, row in zip(paths, outline_rows(task.stage, frame, count), strict=True):
        box = path.bbox.grown(width / 2.0)
        if box.width > row.width + 0.01 or box.height > row.height + 0.01:
            raise FitError(
                f"{count} of this size do not fit one above the other",
                where="`pieces`",
                fix="use fewer",
            )
        (cx, cy), (rx, ry) = path.bbox.center, row.center
        placed.append(path.moved(rx - cx, ry - cy))
    if all(path.closed for path in placed):
        marks = _closed(placed, task, options, frame)
    else:
        marks = _open(placed, task, options, frame)
    return Layout(
        marks,
        parameters={
            "line_width": width,
            "cut_length": max(path.length for path in placed),
            "cuts": count,
        },
    )


def _open(lines: Sequence[Path], task: CuttingTask, options: Options, frame: Frame) -> list[Mark]:
    """Open lines: in from the paper edge on the cutting hand's side, to a stop bar."""
    width = line_width(task.stage)
    below: list[Mark] = []
    middle: list[Mark] = []
    above: list[Mark] = []
    for i, line in enumerate(lines):
        path = line if line.start[0] <= line.end[0] else line.reversed()
        if options.start_side == "right":
            cx = frame.work.center[0]
            path = path.transformed(Affine(-1.0, 0.0, 0.0, 1.0, 2.0 * cx, 0.0))
        name = f"line-{i + 1}"
        before, after = lead_in(frame, path, width, options.start_side, options.ink, name)
        below += before
        above += after
        middle.append(cut([path], width, options.ink, id=name))
        above.append(stop_bar(path, width, f"{name}-stop"))
    return [*below, *middle, *above]
