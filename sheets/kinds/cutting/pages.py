"""Cutting pages for stages 0 to 6, with a picture or with plain lines and shapes.

0 tear on a fold; 1 single snips across a strip; 2 straight across a strip; 3 long straight lanes;
4 a gentle curve, one turn, hills over a picture or a large rounded outline; 5 simple closed shapes;
6 the picture's own outline. Sizes and line widths come from ``guidance.toml``; the finished marks
are measured again by ``check`` before the page is handed out.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import TYPE_CHECKING

from sheets.check.guidance import setting
from sheets.kinds.cutting.hills import hill_page, on_hills
from sheets.kinds.cutting.outlines import picture_page, shape_page
from sheets.kinds.cutting.slipway import Turn
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
from sheets.kinds.options import Options
from sheets.kinds.sheet import OTHER_RULES, child_page
from sheets.page.frame import Frame
from sheets.page.model import Material, Sheet

if TYPE_CHECKING:
    from sheets.theme.theme import Theme

__all__ = ["CuttingTask", "beforehand", "from_theme", "make"]

SCISSOR_LINE = "Scissors: blunt tips, child seated, adult at the table."
TEAR_LINE = "Fold, crease well, then tear along the fold; no scissors."
PLAIN_TITLE = "Paper shapes"


def make(task: CuttingTask, options: Options) -> Sheet:
    """A cutting sheet of one page.

    Raises:
        InputError: stage, shape or number of pieces that does not exist at this stage.
        FitError: the outlines do not fit the work area.
    """
    check_task(task)
    frame = Frame(options.paper)
    if on_hills(task):
        layout = hill_page(task, options, frame)
    elif task.shape is not None:
        layout = shape_page(task, options, frame)
    elif task.stage <= 3:
        layout = (
            snip_page(task, options, frame) if task.stage == 1 else panel_page(task, options, frame)
        )
    elif task.picture is not None:
        layout = picture_page(task, task.picture, options, frame)
    elif task.stage == 4:
        layout = curve_and_turn_page(task, options, frame)
    else:
        layout = shape_page(task, options, frame)
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
        stock="card" if "card" in _paper(task.stage).split() else "plain",
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
    outline: str = "",
    turn: Turn | None = None,
) -> CuttingTask:
    """A picture of the theme, drawn by ``options.seed``, in the cut of a stage.

    At stages 4 to 6 the picture is one whose outline fits the page, and where the theme has some,
    one whose outline is harder than that of the stage before. At stage 4 every second page has
    hills over the picture instead of one outline round it: a therapist would give the open curve
    before the closed one, and a theme knows only the stage.

    Args:
        pieces, outline, turn: as for :class:`CuttingTask`.

    Raises:
        InputError: no such stage.
    """
    found = {word.picture.id: word.picture for word in theme.words}
    pool = list(found.values())
    if stage in OUTLINE_STAGES:
        scores = {picture.id: stage_scores(picture, stages_for(stage)) for picture in pool}
        fits = [picture for picture in pool if stage in scores[picture.id]]
        pool = [p for p in fits if stage not in not_harder(scores[p.id])] or fits
    # Without a picture that fits, the stage's plain shapes.
    rng = random.Random(f"{options.seed}:{stage}:cutting")
    picture = rng.choice(pool) if pool else None
    open_curve = stage == 4 and pieces is None and turn is None and rng.random() < 0.5
    remark = remark_for(picture, stage, tuple(found)) if picture is not None else ""
    shape = HILL if picture is not None and open_curve else None
    task = CuttingTask(stage, picture, shape, pieces, outline, turn, remark, theme.title)
    check_task(task)
    return task


def beforehand(theme: Theme, stages: Iterable[int], jobs: int) -> None:
    """What takes long for the pages of a theme at these stages, made on several cores."""
    pictures = {word.picture.id: word.picture for word in theme.words}
    make_outlines(pictures.values(), (s for s in stages if s in OUTLINE_STAGES), jobs)


def _preparation(layout: Layout) -> tuple[str, ...]:
    if not layout.adult_cuts:
        return ()
    return (
        f"Beforehand an adult makes the {layout.adult_cuts} numbered straight cuts along the thin "
        "grey lines, in that order.",
    )


def _paper(stage: int) -> str:
    """The paper that guidance names, such as ``heavy paper or card``."""
    return str(setting("cutting", stage, "stock") or "plain paper")


def _materials(stage: int, options: Options) -> tuple[Material, ...]:
    sheet = Material(f"printed sheet on {_paper(stage)}", 1)
    if stage == 0:
        return (sheet,)
    hand = {"left": "left-handed ", "right": "right-handed "}.get(options.hand, "")
    return (sheet, Material(f"{hand}scissors, blunt tips", 1, caution="scissors"))


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]
