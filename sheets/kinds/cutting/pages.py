"""Cutting pages for stages 0 to 6, with a picture or with plain lines and shapes.

0 tear on a fold; 1 single snips across a strip; 2 straight across a strip; 3 long straight lanes;
4 a gentle curve, one turn, hills over a picture or a large rounded outline; 5 simple closed shapes;
6 the picture's own outline. Sizes and line widths come from ``guidance.toml``; the finished marks
are measured again by ``check`` before the page is handed out.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from shapes.basic import practice
from shapes.errors import InputError
from shapes.pictures.names import name
from shapes.pictures.pictures import resolve
from sheets.check.guidance import check_stage
from sheets.kinds.cutting import CuttingChoices
from sheets.kinds.cutting.easier import suited_page
from sheets.kinds.cutting.hills import hill_page, on_hills
from sheets.kinds.cutting.outlines import shape_page
from sheets.kinds.cutting.strips import curve_and_turn_page, panel_page, snip_page
from sheets.kinds.cutting.suits import (
    OUTLINE_STAGES,
    make_outlines,
    not_harder,
    remark_for,
    stage_scores,
    stages_for,
)
from sheets.kinds.cutting.task import HILL, CuttingTask, Layout, check_task
from sheets.kinds.materials import SCISSOR_LINE, printed, scissors
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.source import Source
from sheets.page.frame import Frame
from sheets.page.model import Fill, Mark, Role, Stroke

if TYPE_CHECKING:
    from shapes.pictures.picture import Picture
    from sheets.theme.theme import Theme

TEAR_LINE = "Fold, crease well, then tear along the fold; no scissors."


def task(source: Source, stage: int, options: Options, choices: CuttingChoices) -> CuttingTask:
    """What to cut: the picture given, one of the theme drawn by ``options.seed``, or plain lines.

    At stages 4 to 6 a theme's picture is one whose outline fits the page, and where the theme has
    some, one whose outline is harder than that of the stage before. At stage 4 every second page
    has hills over the picture instead of one outline round it: a therapist would give the open
    curve before the closed one, and a theme knows only the stage.

    Raises:
        InputError: no such stage or shape, or several pictures.
        PictureError, FileError: there is no such picture.
    """
    picture, remark, heading, shape = None, "", "", choices.shape
    if len(source.words) > 1:
        raise InputError(
            f"{len(source.words)} pictures for one page", where="words", fix="give one picture"
        )
    if source.words:
        picture = resolve(source.words[0])
        if shape is None:
            remark = remark_for(picture, stage)
    elif source.theme is not None:
        check_stage(stage)
        pool, rng = _pool(source.theme), _rng(stage, options.seed)
        # Without a picture that fits, or with a shape asked for, the stage's plain shapes.
        if shape in (None, HILL) and (picture := _drawn(pool, stage, rng)):
            remark = remark_for(picture, stage, tuple(each.id for each in pool))
            if stage == 4 and not (choices.pieces or choices.turn) and rng.random() < 0.5:
                shape = HILL
        heading = source.theme.title
    made = CuttingTask(
        stage,
        picture,
        shape,
        choices.pieces,
        choices.outline,
        choices.turn,
        remark,
        heading,
    )
    check_task(made)
    return made


def _pool(theme: Theme) -> list[Picture]:
    """The pictures of a theme's words, each once."""
    return list({word.picture.id: word.picture for word in theme.words}.values())


def _rng(stage: int, seed: int) -> random.Random:
    return random.Random(f"{seed}:{stage}:cutting")


def _order(pool: Sequence[Picture], rng: random.Random) -> Iterator[Picture]:
    """The pictures in the order in which they are drawn."""
    return iter(rng.sample(pool, len(pool)))


def _drawn(pool: Sequence[Picture], stage: int, rng: random.Random) -> Picture | None:
    """One of the pictures that fit the stage and, where there are some, are harder than before it.

    They are tried in the order in which they are drawn, as the outlines of a teacher's own drawings
    take long to make: so only those are made that are looked at.
    """
    fits = None
    for picture in _order(pool, rng):
        if stage not in OUTLINE_STAGES:
            return picture
        scores = stage_scores(picture, stages_for(stage))
        if stage in scores:
            if stage not in not_harder(scores):
                return picture
            fits = fits or picture
    return fits


def draw(task: CuttingTask, options: Options, sheet: SheetBuilder) -> None:
    """The one page of a cutting sheet.

    Raises:
        InputError: stage, shape or number of pieces that does not exist at this stage.
        FitError: the outlines do not fit the work area.
    """
    check_task(task)
    layout = _layout(task, options, Frame(options.paper))
    caution = TEAR_LINE if task.stage == 0 else SCISSOR_LINE
    # The paper that guidance names, such as ``heavy paper or card``.
    paper = str(setting("cutting", task.stage, "stock") or "plain paper")
    before = preparation(layout)
    _entitle(task, options, sheet)
    sheet.page(
        layout.marks,
        "cutting",
        ask=asked(task.stage, layout.marks),
        say=(before, *layout.notes, layout.remark or task.remark),
        caution=caution,
        stock="card" if "card" in paper.split() else "plain",
        cuts=layout.adult_cuts,
    )
    sheet.needs(printed(f"printed sheet on {paper}"))
    if task.stage > 0:
        sheet.needs(scissors(options))
    sheet.prepare(before, layout.remark)
    sheet.caution(caution)
    sheet.record(**layout.parameters)


def _entitle(task: CuttingTask, options: Options, sheet: SheetBuilder) -> None:
    if task.shape is not None or (task.picture is None and task.stage >= 5):
        lines = task.shape is not None and not practice(task.shape).closed
        sheet.entitle("line" if lines else "shapes")
    elif task.stage in _TITLES:
        sheet.entitle(_TITLES[task.stage])
    elif task.picture is None:
        sheet.entitle("turn")
    else:
        found = name(task.picture.id, options.language)
        called = found.text if found else task.picture.name
        if len(called) <= _LONGEST_NAME:
            sheet.entitle("picture", picture=called)
        else:
            sheet.entitle("outline")


_TITLES = {0: "tear", 1: "snip", 2: "lanes", 3: "lanes"}
_LONGEST_NAME = 24
"""Letters of a picture's name that the title has room for."""


def asked(stage: int, marks: Sequence[Mark]) -> list[str]:
    """The sentences that tell the child what to do, by what is on the page."""
    if stage == 0:
        return ["tear"]
    lines = [m for m in marks if isinstance(m, Stroke) and m.role is Role.CUT]
    dots = any(isinstance(m, Fill) and m.role is Role.GUIDE for m in marks)
    keys = ["dot"] if dots else []
    if stage == 1:
        return [*keys, "snip"]
    keys.append("on" if all(line.lane is None for line in lines) else "between")
    if all(path.closed for line in lines for path in line.paths):
        return [*keys, "round"]
    return [*keys, "stop"] if any(m.id.endswith("-stop") for m in marks) else keys


def _layout(task: CuttingTask, options: Options, frame: Frame) -> Layout:
    if on_hills(task):
        return hill_page(task, options, frame)
    if task.shape is not None:
        return shape_page(task, options, frame)
    if task.stage <= 3:
        page = snip_page if task.stage == 1 else panel_page
        return page(task, options, frame)
    if task.picture is not None:
        return suited_page(task, task.picture, options, frame)
    page = curve_and_turn_page if task.stage == 4 else shape_page
    return page(task, options, frame)


def beforehand(theme: Theme, pages: Iterable[tuple[int, int]], jobs: int) -> None:
    """The outlines that pages of a theme look at first, made on several cores.

    Args:
        pages: stage and seed of each.
    """
    pool = _pool(theme)
    first = [
        (next(_order(pool, _rng(stage, seed))), stage)
        for stage, seed in pages
        if pool and stage in OUTLINE_STAGES
    ]
    make_outlines(first, jobs)


def preparation(layout: Layout) -> str:
    """What an adult does before a page is cut; empty where that is nothing."""
    if not layout.adult_cuts:
        return ""
    return (
        f"Beforehand an adult makes the {len(layout.adult_cuts)} numbered straight cuts along the "
        "thin grey lines, in that order."
    )
