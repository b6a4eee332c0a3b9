"""Cutting pages with closed outlines, each with its way in from the paper edge, or single lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from shapes.affine import Affine, Point
from shapes.basic import practice
from shapes.errors import FitError
from shapes.path import Path
from shapes.pictures.picture import Picture
from sheets.kinds.cutting.fitted import (
    FittedOutline,
    Wish,
    fit_outline,
    outline_gap,
    standard_outline,
    standard_room,
)
from sheets.kinds.cutting.lanes import (
    cut,
    dot_on_line,
    ground,
    levelled,
    line_for,
    stop_bar,
    turn_arrow,
    way_marks,
    with_way_in,
)
from sheets.kinds.cutting.places import middles_for, several
from sheets.kinds.cutting.slipway import Ground, Turn, WayIn, shift_to_strip, way_in
from sheets.kinds.cutting.store import stored_outline
from sheets.kinds.cutting.task import CuttingTask, Layout, check_count, most_cuts
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import setting
from sheets.page.art import picture_at
from sheets.page.frame import Frame
from sheets.page.model import Mark

_SMALLER = 6.0
TURN_THE_PAGE = "Turn the page so that the dot is nearest the child's tummy."
TURN_FOR_EACH = "Turn the page for each outline so that its dot is nearest the child's tummy."


def picture_page(task: CuttingTask, picture: Picture, options: Options, frame: Frame) -> Layout:
    """A picture in the stage's outline, as often as asked or as often as fills the page best."""
    check_count(task.pieces or 1, task.stage)
    on = _ground(task, options, frame)
    shown, ways = _shown(task, picture, options, on)
    fitted = shown[0]
    marks: list[Mark] = [
        picture_at(picture, each.art_at, colour=options.colour, id=f"picture-{i + 1}")
        for i, each in enumerate(shown)
    ]
    marks += _closed([each.path for each in shown], ways, task, options, on)
    notes = _how_to_hold(ways)
    parameters: dict[str, object] = {
        "line_width": on.width,
        "cut_length": fitted.path.length,
        "cuts": len(shown),
        "picture_mm": fitted.longest,
        "difficulty": fitted.score,
        "softened_by": fitted.softened_by,
    }
    if fitted.shape:
        notes = (" ".join((f"Outline: {fitted.shape}.", *notes)),)
        parameters |= {"shape": fitted.shape, "shape_fill": round(fitted.fill, 2)}
    return Layout(marks, notes=notes, parameters=parameters)


def _shown(
    task: CuttingTask, picture: Picture, options: Options, on: Ground
) -> tuple[list[FittedOutline], list[WayIn]]:
    """The outlines of a page and their ways in."""
    for fitted, middles in _choices(task, picture, options):
        found = _with_ways(_at(on, [fitted.path] * len(middles), middles), on, task.turn)
        if found is not None:
            paths, ways = found
            (x, y) = fitted.path.bbox.center
            moved = (path.bbox.center for path in paths)
            return [fitted.moved(mx - x, my - y) for mx, my in moved], ways
    raise FitError(
        f"{task.pieces or 1} of its outlines do not fit the page",
        where=picture.name,
        fix="use fewer pieces or another picture",
    )


def _choices(
    task: CuttingTask, picture: Picture, options: Options
) -> Iterator[tuple[FittedOutline, list[Point]]]:
    """Outlines for a page, the best first, and the middles of its copies on the standard page."""
    low = is_low(options)
    usual = not low and task.drawn_as is None
    wish = Wish(
        task.drawn_as or task.stage,
        task.outline,
        0.0 if usual else line_for(task.stage, options),
        task.easier,
    )
    middle = standard_room().center
    count = task.pieces or 1
    if usual:
        # Made once for all papers, whose work areas are alike.
        fitted = stored_outline(picture, task.stage, task.outline) if not task.easier else None
        fitted = fitted or standard_outline(picture, task.stage, task.outline, task.easier)
        if task.pieces in (None, fitted.count):
            places = middles_for(fitted.path, fitted.count, outline_gap(task.stage), wish.width)
            yield from ((fitted, middles) for middles in places)
    if count == 1:
        yield fit_outline(picture, wish, standard_room()), [middle]
        # A little smaller, where the way round that was asked for needs the room.
        yield fit_outline(picture, wish, standard_room().grown(-_SMALLER)), [middle]
    else:
        yield from several(picture, wish, count)


def _at(on: Ground, paths: Sequence[Path], middles: Sequence[Point]) -> list[Path]:
    """Outlines with their middles where they lie on this paper."""
    (x, y), (sx, sy) = on.frame.work.center, standard_room().center
    placed = []
    for path, (mx, my) in zip(paths, middles, strict=True):
        cx, cy = path.bbox.center
        placed.append(path.moved(mx - cx + x - sx, my - cy + y - sy))
    return placed


def _with_ways(
    outlines: list[Path], on: Ground, turn: Turn | None
) -> tuple[list[Path], list[WayIn]] | None:
    """Outlines and a way in to each; a single one moves aside for a way that comes from below.

    None if one of them has no way in.
    """
    if len(outlines) == 1 and (move := shift_to_strip(outlines[0], on)):
        aside = outlines[0].moved(move, 0.0)
        way = way_in(aside, on)
        if way is not None and way.below:
            return [aside], [way]
    ways = _ways(outlines, on, turn)
    return None if ways is None else (outlines, ways)


def shape_page(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    """Practice lines or shapes of the stage, as many as fit or as asked."""
    stage = task.stage
    check_count(task.pieces or 1, stage)
    names = [task.shape] if task.shape else str(setting("cutting", stage, "shapes")).split()
    shapes = [levelled(practice(name)) for name in names]
    on = _ground(task, options, frame)
    most = most_cuts(stage)
    fewest = len(shapes)
    counts = range(fewest if is_low(options) else most, fewest - 1, -1)
    for count in [task.pieces] if task.pieces else counts:
        some = [shapes[i % len(shapes)] for i in range(count)]
        drawn = _drawn(some, task, options, on)
        if drawn is not None:
            marks, notes = drawn
            return Layout(
                marks,
                notes=notes,
                parameters={
                    "line_width": on.width,
                    "cut_length": max(path.length for path in some),
                    "cuts": count,
                },
            )
    raise FitError(
        f"{task.pieces or fewest} of this size do not fit the page",
        where="`pieces`",
        fix="use fewer",
    )


def _drawn(
    shapes: Sequence[Path], task: CuttingTask, options: Options, on: Ground
) -> tuple[list[Mark], tuple[str, ...]] | None:
    """Marks of practice shapes and how to hold the page; None if they do not fit together."""
    widest = max(shapes, key=lambda path: path.bbox.width * path.bbox.height)
    for middles in middles_for(widest, len(shapes), on.gap, on.width):
        placed = _at(on, shapes, middles)
        if not all(path.closed for path in placed):
            return _open(placed, options, on), ()
        found = _with_ways(placed, on, task.turn)
        if found is not None:
            outlines, ways = found
            return _closed(outlines, ways, task, options, on), _how_to_hold(ways)
    return None


def _ground(task: CuttingTask, options: Options, frame: Frame) -> Ground:
    return ground(frame, line_for(task.stage, options), outline_gap(task.stage), options, task.turn)


def _closed(
    outlines: Sequence[Path], ways: Sequence[WayIn], task: CuttingTask, options: Options, on: Ground
) -> list[Mark]:
    """Ways in first, then all outlines, then what lies on top."""
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
    return [*below, *middle, *above]


def _how_to_hold(ways: Sequence[WayIn]) -> tuple[str, ...]:
    if all(way.below for way in ways):
        return ()
    return (TURN_THE_PAGE if len(ways) == 1 else TURN_FOR_EACH,)


def _ways(outlines: Sequence[Path], on: Ground, turn: Turn | None) -> list[WayIn] | None:
    """A way in to each outline that keeps off the others, the lowest first; None without one.

    Where the hand's usual way round leaves no room, the other way round, unless one was asked for.
    """
    found: dict[int, WayIn] = {}
    for i in sorted(range(len(outlines)), key=lambda i: outlines[i].bbox.y0):
        others = [path for k, path in enumerate(outlines) if k != i]
        others += [way.path for way in found.values()]
        way = way_in(outlines[i], on, others)
        if way is None and turn is None:
            other: Turn = "clockwise" if on.turn == "anticlockwise" else "anticlockwise"
            way = way_in(outlines[i], dataclasses.replace(on, turn=other), others)
        if way is None:
            return None
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
