"""Cutting pages for stages 0 to 6, with a picture or with plain lines and shapes.

0 tear on a fold; 1 single snips across a strip; 2 straight across a strip; 3 long straight lanes;
4 a gentle curve, one turn, or a large rounded outline; 5 simple closed shapes; 6 the picture's own
outline. Sizes and line widths come from ``guidance.toml``; the finished marks are measured again by
``check`` before the page is handed out.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from shapes.affine import Affine
from shapes.basic import SHAPES, practice
from shapes.errors import FitError, InputError
from shapes.path import BBox, Path, arc_between
from shapes.pictures import Picture
from sheets.art import picture_at, picture_in
from sheets.assemble import OTHER_RULES, child_page
from sheets.guidance import limits, setting
from sheets.lanes import (
    Turn,
    across,
    arrow,
    cut,
    glue_box,
    lead_in,
    panel,
    run_in,
    start_dots,
    stop_bar,
)
from sheets.model import Mark, Material, Role, Sheet, Stroke
from sheets.options import Options
from sheets.outline_store import stored_outline
from sheets.outlines import FittedOutline, Form, fit_outline, line_width
from sheets.page import LETTER, Frame, adult_cuts
from sheets.suits import OUTLINE_STAGES, not_harder, remark_for, stage_scores

if TYPE_CHECKING:
    from sheets.theme import Theme

STAGES = range(7)
SCISSOR_LINE = "Scissors: blunt tips, child seated, adult at the table."
TEAR_LINE = "Fold, crease well, then tear along the fold; no scissors."
PLAIN_TITLE = "Paper shapes"


@dataclass(frozen=True, slots=True)
class CuttingTask:
    """What to cut.

    Args:
        stage: 0 to 6.
        picture: None for the stage's plain practice lines.
        shape: name of a practice line or shape (``shapes.basic``) instead of the stage's own.
        pieces: how many outlines or pictures; None lets the stage choose.
        form: stage 5 with a picture: straight sides with corners, or a soft outline.
        turn: print an arrow that shows which way round; None prints none.
        remark: a further line for the adult.
        title: printed title; empty for the picture's name.
    """

    stage: int
    picture: Picture | None = None
    shape: str | None = None
    pieces: int | None = None
    form: Form = "corners"
    turn: Turn | None = None
    remark: str = ""
    title: str = ""


@dataclass(frozen=True, slots=True)
class _Layout:
    marks: list[Mark]
    adult_cuts: int = 0
    notes: tuple[str, ...] = ()
    parameters: dict[str, object] = field(default_factory=dict)


def make(task: CuttingTask, options: Options) -> Sheet:
    """A cutting sheet of one page.

    Raises:
        InputError: stage, shape or number of pieces that does not exist at this stage.
        FitError: the outlines do not fit the work area.
    """
    _check_task(task)
    frame = Frame(options.paper)
    if task.shape is not None:
        layout = _shape_page(task, options, frame)
    elif task.stage <= 3:
        layout = _STRIPS[task.stage](task, options, frame)
    elif task.picture is not None:
        layout = _picture_page(task, options, frame)
    elif task.stage == 4:
        layout = _curve_and_turn(task, options, frame)
    else:
        layout = _shape_page(task, options, frame)
    named = _capital(task.picture.name) if task.picture else PLAIN_TITLE
    title = options.title or task.title or named
    made = child_page(
        options,
        layout.marks,
        skill="cutting",
        stage=task.stage,
        title=title,
        label=f"{title}: cutting",
        badge=task.picture,
        notes=(*_preparation(layout), *layout.notes, *((task.remark,) if task.remark else ())),
        caution=TEAR_LINE if task.stage == 0 else SCISSOR_LINE,
    )
    return Sheet(
        kind="cutting",
        skill="cutting",
        stage=task.stage,
        title=title,
        pages=(made.page,),
        materials=_materials(task.stage, options),
        preparation=_preparation(layout),
        cautions=(TEAR_LINE if task.stage == 0 else SCISSOR_LINE, OTHER_RULES),
        findings=made.findings,
        parameters=layout.parameters,
        adult_lines=made.lines,
        language=options.language,
    )


def from_theme(
    theme: Theme,
    stage: int,
    options: Options,
    *,
    pieces: int | None = None,
    form: Form = "corners",
    turn: Turn | None = None,
) -> CuttingTask:
    """A picture of the theme, drawn by ``options.seed``, in the cut of a stage.

    At stages 4 to 6 the picture is one whose outline fits the page, and where the theme has some,
    one whose outline is harder than that of the stage before.

    Args:
        pieces, form, turn: as for :class:`CuttingTask`.

    Raises:
        InputError: no such stage.
    """
    found = {word.picture.id: word.picture for word in theme.words}
    pool = list(found.values())
    if stage in OUTLINE_STAGES:
        scores = {picture.id: stage_scores(picture) for picture in pool}
        fits = [picture for picture in pool if stage in scores[picture.id]]
        pool = [p for p in fits if stage not in not_harder(scores[p.id])] or fits
    # Without a picture that fits, the stage's plain shapes.
    picture = random.Random(f"{options.seed}:{stage}:cutting").choice(pool) if pool else None
    remark = remark_for(picture, stage, tuple(found)) if picture is not None else ""
    task = CuttingTask(stage, picture, None, pieces, form, turn, remark, theme.title)
    _check_task(task)
    return task


def _check_task(task: CuttingTask) -> None:
    if task.stage not in STAGES:
        raise InputError(
            f"stage {task.stage} does not exist", where="--stage", fix="use a whole number, 0 to 6"
        )
    if task.pieces is not None and task.pieces < 1:
        raise InputError(
            f"{task.pieces} pieces cannot be cut", where="--pieces", fix="use 1 or more"
        )
    if task.shape is None:
        return
    suited = [name for name, shape in SHAPES.items() if task.stage in shape.stages]
    if task.shape not in SHAPES:
        raise InputError(
            f"shape '{task.shape}' is not known",
            where="--shape",
            fix=f"stage {task.stage} has: {', '.join(suited) or 'none'}",
        )
    if task.shape not in suited:
        stages = ", ".join(str(s) for s in SHAPES[task.shape].stages)
        raise InputError(
            f"shape '{task.shape}' is for stage {stages}",
            where="--shape",
            fix=f"stage {task.stage} has: {', '.join(suited) or 'none'}",
        )
    if task.picture is not None:
        raise InputError(
            "a shape and a picture cannot be on one page", where="--shape", fix="give only one"
        )


def _preparation(layout: _Layout) -> tuple[str, ...]:
    if not layout.adult_cuts:
        return ()
    return (
        f"Beforehand an adult makes the {layout.adult_cuts} numbered straight cuts "
        "(thin grey lines, paper edge to paper edge).",
    )


def _materials(stage: int, options: Options) -> tuple[Material, ...]:
    stock = str(setting("cutting", stage, "stock") or "plain paper")
    sheet = Material(f"printed sheet on {stock}", 1)
    if stage == 0:
        return (sheet,)
    hand = {"left": "left-handed ", "right": "right-handed "}.get(options.hand, "")
    return (sheet, Material(f"{hand}scissors, blunt tips", 1, caution="scissors"))


# --- stages 0 to 3: strips and straight lanes -----------------------------------------------------


def _panel_layout(task: CuttingTask, options: Options, frame: Frame) -> _Layout:
    """A panel that an adult cuts out beforehand, with lanes straight across it.

    Pictures lie between neighbouring lanes, each in its own rectangle; stage 0 has folds where
    stage 2 has lanes, so that both end with the same pieces.
    """
    stage = 2 if task.stage == 0 else task.stage
    width = float(setting("cutting", stage, "panel_width") or 0.0)
    lane = line_width(stage)
    waste = float(setting("cutting", stage, "waste") or 0.0)
    most = int(limits("cutting", stage)["cuts_per_page"].maximum or 1)
    if task.picture is None:
        count = task.pieces or int(setting("cutting", stage, "plain_lanes") or 1)
    else:
        count = (task.pieces or (2 if stage == 2 else 1)) + 1
    if count > most:
        raise FitError(
            f"{count} cuts are more than the {most} of stage {task.stage}",
            where="--pieces",
            fix=f"use at most {most if task.picture is None else most - 1}",
        )
    board = panel(frame, width, frame.work.height)
    if task.picture is None:
        gap = (board.height - count * lane) / (count + 1)
        ys = [board.y1 - gap * (i + 1) - lane * (i + 0.5) for i in range(count)]
    else:
        inner = board.height - 2 * waste - count * lane
        pitch = inner / (count - 1) + lane
        ys = [board.y1 - waste - lane / 2 - pitch * i for i in range(count)]
    marks: list[Mark] = []
    if task.picture is not None:
        clearance = limits("cutting", stage)["clearance"].minimum or 0.0
        reach = lane / 2.0 + clearance
        for i, (upper, lower) in enumerate(itertools.pairwise(ys)):
            room = BBox(board.x0 + clearance, lower + reach, board.x1 - clearance, upper - reach)
            if min(room.width, room.height) < 20.0:
                raise FitError(
                    f"{count - 1} pictures leave only {room.height:.0f} mm for each",
                    where="--pieces",
                    fix="use fewer",
                )
            marks.append(picture_in(task.picture, room, id=f"picture-{i + 1}"))
    lines = [across(board, y, options.start_side) for y in ys]
    notes: tuple[str, ...] = ()
    if task.stage == 0:
        marks.append(Stroke(tuple(lines), 0.9, Role.FOLD, id="fold", dash=(6.0, 3.5), cap="butt"))
        notes = ("Dashed lines: fold and tear, from the panel's edge.",)
    else:
        marks.append(cut(lines, lane, options.ink, id="lanes"))
        if options.hand != "either":
            marks += start_dots(lines, 6.0)
    grey = adult_cuts(frame, [board.x0, board.x1], [board.y0, board.y1])
    return _Layout(
        [*grey, *marks],
        adult_cuts=4,
        notes=notes,
        parameters=(
            {"folds": count, "fold_length": board.width}
            if task.stage == 0
            else {"line_width": lane, "cut_length": board.width, "cuts": count}
        ),
    )


def _snips(task: CuttingTask, options: Options, frame: Frame) -> _Layout:
    """Two strips with marks across, one closing of the blades each; the rest is for gluing."""
    lane = line_width(1)
    strip = float(setting("cutting", 1, "strip_width") or 25.0)
    per_strip = int(setting("cutting", 1, "snips_per_strip") or 4)
    most = int(limits("cutting", 1)["cuts_per_page"].maximum or 8)
    gap = limits("cutting", 1)["outline_gap"].minimum or 25.4
    strips = task.pieces or most // per_strip
    if strips * per_strip > most:
        raise FitError(
            f"{strips} strips have {strips * per_strip} snips, more than the {most} of stage 1",
            where="--pieces",
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
                marks.append(picture_in(task.picture, room, id=f"picture-{row + 1}-{i + 1}"))
    marks.append(cut(lines, lane, options.ink, id="snips"))
    if options.hand != "either":
        marks += start_dots(lines, 4.5)
    rest = BBox(work.x0, work.y0, work.x1, ys[-1] - 12.0)
    if task.picture is not None:
        marks.append(picture_in(task.picture, rest.grown(-4.0), id="base"))
        notes = ("Snipped pieces can be glued on the large picture.",)
    else:
        marks.append(glue_box(rest))
        notes = ("Snipped pieces can be glued in the dashed box.",)
    return _Layout(
        marks,
        adult_cuts=len(ys),
        notes=notes,
        parameters={"line_width": lane, "cut_length": strip, "cuts": strips * per_strip},
    )


_STRIPS = {0: _panel_layout, 1: _snips, 2: _panel_layout, 3: _panel_layout}


# --- stage 4 without a picture: a gentle curve and one turn ---------------------------------------


def _curve_and_turn(task: CuttingTask, options: Options, frame: Frame) -> _Layout:
    """Both tracks of the stage on one panel, because sources disagree which comes first."""
    if task.pieces not in (None, 2):
        raise InputError(
            "the plain page of stage 4 has one curve and one turn",
            where="--pieces",
            fix="leave it out, or add --shape arc, --shape corner or --shape circle",
        )
    lane = line_width(4)
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
    marks.append(cut([curve], lane, options.ink, id="curve"))
    marks.append(cut([turn], lane, options.ink, id="turn"))
    if options.hand != "either":
        marks += start_dots([curve, turn], 6.0)
    return _Layout(
        marks,
        adult_cuts=4,
        parameters={"line_width": lane, "cut_length": max(curve.length, turn.length), "cuts": 2},
    )


# --- closed shapes and picture outlines -----------------------------------------------------------


def _rows(stage: int, frame: Frame, count: int) -> list[BBox]:
    """Boxes one above the other with the stage's gap between them, line edge to line edge."""
    gap = float(limits("cutting", stage)["outline_gap"].minimum or 0.0)
    work = frame.work
    high = (work.height - gap * (count - 1)) / count
    if high < 30.0:
        raise FitError(
            f"{count} outlines leave only {max(high, 0.0):.0f} mm for each",
            where="--pieces",
            fix="use fewer",
        )
    tops = [work.y1 - (high + gap) * i for i in range(count)]
    return [BBox(work.x0, top - high, work.x1, top) for top in tops]


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


def _picture_page(task: CuttingTask, options: Options, frame: Frame) -> _Layout:
    assert task.picture is not None
    count = task.pieces or _usual_pieces(task.stage)
    rows = _rows(task.stage, frame, count)
    fitted = None
    if count == _usual_pieces(task.stage):
        fitted = stored_outline(task.picture, task.stage, task.form)
        if fitted is not None:
            # Stored as it lies on the standard paper.
            (sx, sy), (x, y) = _standard_row(task.stage).center, rows[0].center
            fitted = fitted.moved(x - sx, y - sy)
    if fitted is None:
        fitted = fit_outline(task.picture, task.stage, rows[0], task.form)
    shown = [fitted.moved(0.0, row.center[1] - rows[0].center[1]) for row in rows]
    marks: list[Mark] = [
        picture_at(task.picture, each.art_at, id=f"picture-{i + 1}") for i, each in enumerate(shown)
    ]
    outlines = [each.path for each in shown]
    marks += _closed(outlines, task, options, frame)
    return _Layout(
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


def standard_outline(picture: Picture, stage: int, form: Form = "corners") -> FittedOutline:
    """The outline of the page that has the stage's usual number of pieces (no page is made)."""
    return fit_outline(picture, stage, _standard_row(stage), form)


def _usual_pieces(stage: int) -> int:
    return int(setting("cutting", stage, "pieces") or 1)


def _standard_row(stage: int) -> BBox:
    return _rows(stage, Frame(LETTER), _usual_pieces(stage))[0]


def _shape_page(task: CuttingTask, options: Options, frame: Frame) -> _Layout:
    names = [task.shape] if task.shape else str(setting("cutting", task.stage, "shapes")).split()
    count = task.pieces or len(names)
    paths = [practice(names[i % len(names)]) for i in range(count)]
    width = line_width(task.stage)
    placed: list[Path] = []
    for path, row in zip(paths, _rows(task.stage, frame, count), strict=True):
        box = path.bbox.grown(width / 2.0)
        if box.width > row.width + 0.01 or box.height > row.height + 0.01:
            raise FitError(
                f"{count} of this size do not fit one above the other",
                where="--pieces",
                fix="use fewer",
            )
        (cx, cy), (rx, ry) = path.bbox.center, row.center
        placed.append(path.moved(rx - cx, ry - cy))
    if all(path.closed for path in placed):
        marks = _closed(placed, task, options, frame)
    else:
        marks = _open(placed, task, options, frame)
    return _Layout(
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


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]
