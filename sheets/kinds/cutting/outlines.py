"""Cutting pages with closed outlines, each with its way in from the paper edge, or single lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from shapes.affine import Affine, Point
from shapes.basic import practice
from shapes.errors import FitError
from shapes.path import Path
from shapes.pictures.pictures import Picture
from sheets.check.guidance import limits, setting
from sheets.kinds.cutting.fitted import (
    FittedOutline,
    Wish,
    fit_outline,
    standard_outline,
    standard_room,
)
from sheets.kinds.cutting.lanes import (
    cut,
    dot_on_line,
    ground,
    is_low,
    levelled,
    line_for,
    stop_bar,
    turn_arrow,
    way_marks,
    with_way_in,
)
from sheets.kinds.cutting.places import middles_for, outline_gap, several
from sheets.kinds.cutting.slipway import Ground, Turn, WayIn, shift_to_strip, way_in
from sheets.kinds.cutting.store import stored_outline
from sheets.kinds.cutting.task import CuttingTask, Layout
from sheets.kinds.options import Options
from sheets.page.art import picture_at
from sheets.page.frame import Frame
from sheets.page.model import Mark

TURN_THE_PAGE = "Turn the page so that the dot is nearest the child's tummy."
TURN_FOR_EACH = "For each outline turn the page so that its dot is nearest the child's tummy."


def picture_page(task: CuttingTask, picture: Picture, options: Options, frame: Frame) -> Layout:
    """A picture in the stage's outline, as often as asked or as often as fills the page best."""
    fitted, middles = _fitted(task, picture, options)
    (x, y), (sx, sy) = frame.work.center, standard_room().center
    (cx, cy) = fitted.path.bbox.center
    shown = [fitted.moved(mx - cx + x - sx, my - cy + y - sy) for mx, my in middles]
    on = _ground(task, options, frame)
    if len(shown) == 1:
        shown = [shown[0].moved(_aside(shown[0].path, on), 0.0)]
    outlines, notes = _closed([each.path for each in shown], task, options, on)
    marks: list[Mark] = [
        picture_at(picture, each.art_at, id=f"picture-{i + 1}") for i, each in enumerate(shown)
    ]
    parameters: dict[str, object] = {
        "line_width": on.width,
        "cut_length": fitted.path.length,
        "cuts": len(shown),
        "picture_mm": fitted.longest,
        "difficulty": fitted.score,
        "softened_by": fitted.softened_by,
    }
    if fitted.shape:
        notes = (f"Outline: {fitted.shape}.", *notes)
        parameters |= {"shape": fitted.shape, "shape_fill": round(fitted.fill, 2)}
    return Layout([*marks, *outlines], notes=notes, parameters=parameters)


def _fitted(
    task: CuttingTask, picture: Picture, options: Options
) -> tuple[FittedOutline, list[Point]]:
    """The outline of a page and the middles of its copies on the standard page."""
    wish = Wish(task.stage, task.outline, line_for(task.stage, options) if is_low(options) else 0.0)
    if is_low(options):
        if task.pieces in (None, 1):
            return fit_outline(picture, wish, standard_room()), [standard_room().center]
        return several(picture, wish, task.pieces or 1)
    # Made once for all papers, whose work areas are alike.
    fitted = stored_outline(picture, task.stage, task.outline)
    fitted = fitted or standard_outline(picture, task.stage, task.outline)
    count = task.pieces or fitted.count
    if count == fitted.count:
        middles = middles_for(fitted.path, count, outline_gap(task.stage), wish.width)
        if middles is not None:
            return fitted, middles
    if count == 1:
        return fit_outline(picture, wish, standard_room()), [standard_room().center]
    return several(picture, wish, count)


def shape_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Practice lines or shapes of the stage, as many as fit or as asked."""
    stage = task.stage
    names = [task.shape] if task.shape else str(setting("cutting", stage, "shapes")).split()
    shapes = [levelled(practice(name)) for name in names]
    on = _ground(task, options, frame)
    most = int(limits("cutting", stage)["cuts_per_page"].maximum or 1)
    fewest = len(shapes)
    counts = range(fewest if is_low(options) else most, fewest - 1, -1)
    for count in [task.pieces] if task.pieces else counts:
        placed = _copies(shapes, count, on)
        if placed is None:
            continue
        try:
            marks, notes = _drawn(placed, task, options, on)
        except FitError:
            continue
        return Layout(
            marks,
            notes=notes,
            parameters={
                "line_width": on.width,
                "cut_length": max(path.length for path in placed),
                "cuts": count,
            },
        )
    raise FitError(
        f"{task.pieces or fewest} of this size do not fit the page",
        where="--pieces",
        fix="use fewer",
    )


def _copies(shapes: Sequence[Path], count: int, on: Ground) -> list[Path] | None:
    """Shapes in turn, so many on the page; None if they do not fit."""
    widest = max(shapes, key=lambda path: path.bbox.width * path.bbox.height)
    middles = middles_for(widest, count, on.gap, on.width)
    if middles is None:
        return None
    (x, y), (sx, sy) = on.frame.work.center, standard_room().center
    placed: list[Path] = []
    for i, (mx, my) in enumerate(middles):
        path = shapes[i % len(shapes)]
        cx, cy = path.bbox.center
        placed.append(path.moved(mx - cx + x - sx, my - cy + y - sy))
    return placed


def _drawn(
    placed: list[Path], task: CuttingTask, options: Options, on: Ground
) -> tuple[list[Mark], tuple[str, ...]]:
    if not all(path.closed for path in placed):
        return _open(placed, options, on), ()
    if len(placed) == 1:
        placed[:] = [placed[0].moved(_aside(placed[0], on), 0.0)]
    return _closed(placed, task, options, on)


def _aside(outline: Path, on: Ground) -> float:
    """How far a single outline moves aside so that the way in comes up from below; mostly 0."""
    move = shift_to_strip(outline, on)
    way = way_in(outline.moved(move, 0.0), on) if move else None
    return move if way is not None and way.below else 0.0


def _ground(task: CuttingTask, options: Options, frame: Frame) -> Ground:
    return ground(frame, line_for(task.stage, options), outline_gap(task.stage), options, task.turn)


def _closed(
    outlines: Sequence[Path], task: CuttingTask, options: Options, on: Ground
) -> tuple[list[Mark], tuple[str, ...]]:
    """Ways in first, then all outlines, then what lies on top; and how to hold the page."""
    ways = _ways(outlines, on)
    below: list[Mark] = []
    above: list[Mark] = []
    for i, way in enumerate(ways):
        before, after = way_marks(way, on, options, f"outline-{i + 1}")
        below += before
        above += after
        if task.turn is not None:
            above += turn_arrow(way, on, [*outlines, *(each.path for each in ways)])
    middle: list[Mark] = [
        cut([outline], on.width, options, id=f"outline-{i + 1}", cap="round")
        for i, outline in enumerate(outlines)
    ]
    if all(way.below for way in ways):
        notes: tuple[str, ...] = ()
    else:
        notes = (TURN_THE_PAGE if len(ways) == 1 else TURN_FOR_EACH,)
    return [*below, *middle, *above], notes


def _ways(outlines: Sequence[Path], on: Ground) -> list[WayIn]:
    """A way in to each outline that keeps off the others; the lowest outline chooses first."""
    found: dict[int, WayIn] = {}
    for i in sorted(range(len(outlines)), key=lambda i: outlines[i].bbox.y0):
        others = [path for k, path in enumerate(outlines) if k != i]
        others += [way.path for way in found.values()]
        way = way_in(outlines[i], on, others)
        if way is None:
            other: Turn = "clockwise" if on.turn == "anticlockwise" else "anticlockwise"
            way = way_in(outlines[i], dataclasses.replace(on, turn=other), others)
        if way is None:
            raise FitError(
                "there is no way in to an outline that keeps off the others",
                where="--pieces",
                fix="use fewer",
            )
        found[i] = way
    return [found[i] for i in range(len(outlines))]


def _open(lines: Sequence[Path], options: Options, on: Ground) -> list[Mark]:
    """Open lines: in from the paper edge on the cutting hand's side, to a stop bar."""
    below: list[Mark] = []
    middle: list[Mark] = []
    above: list[Mark] = []
    for i, line in enumerate(lines):
        path = line
        if options.start_side == "right":
            cx = on.frame.work.center[0]
            path = path.transformed(Affine(-1.0, 0.0, 0.0, 1.0, 2.0 * cx, 0.0))
        name = f"line-{i + 1}"
        path, way = with_way_in(on.frame, path, on.side)
        if way is None:
            above.append(dot_on_line(path, on))
        else:
            before, after = way_marks(way, on, options, name)
            below += before
            above += after
        middle.append(cut([path], on.width, options, id=name))
        above.append(stop_bar(path, on.width, f"{name}-stop"))
    return [*below, *middle, *above]
