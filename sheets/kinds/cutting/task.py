"""What a cutting page is asked for, and the layout that answers it."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapes.basic import SHAPES
from shapes.errors import FitError, InputError
from shapes.pictures.picture import Picture
from sheets.check.guidance import check_stage, limits
from sheets.kinds.cutting.slipway import Turn
from sheets.page.model import Cut, Mark

PLAIN_TITLE = "Paper shapes"

HILL = "hill"
"""The practice line that stands over a picture: a first curve, between stages 3 and 4."""


@dataclass(frozen=True, slots=True)
class CuttingTask:
    """What to cut.

    Args:
        stage: 0 to 6.
        picture: None for the stage's plain practice lines.
        shape: name of a practice line or shape (``shapes.basic``) instead of the stage's own; only
            the hill has a picture with it.
        pieces: how many outlines or pictures; None lets the stage choose.
        outline: with a picture, the name of a shape (``shapes.outline.named_shapes``) at stages 5
            and 6, or ``soft`` at stage 5; empty lets the picture choose.
        turn: print an arrow that shows which way round; None prints none.
        remark: a further line for the adult.
        heading: printed title; empty for the name of the picture.
        easier: steps by which a picture's outline is eased beyond its stage.
        drawn_as: stage whose outline a picture has, if not that of the page.
    """

    stage: int
    picture: Picture | None = None
    shape: str | None = None
    pieces: int | None = None
    outline: str = ""
    turn: Turn | None = None
    remark: str = ""
    heading: str = ""
    easier: int = 0
    drawn_as: int | None = None

    @property
    def title(self) -> str:
        """The printed title."""
        name = self.picture.name if self.picture else PLAIN_TITLE
        return self.heading or name[:1].upper() + name[1:]

    @property
    def badge(self) -> Picture | None:
        """The small picture in the head."""
        return self.picture


@dataclass(frozen=True, slots=True)
class Layout:
    """Marks of the work area, the adult's straight cuts, lines for the foot, values for records.

    Args:
        remark: what the adult is told where the outline is not the stage's usual one.
    """

    marks: list[Mark]
    adult_cuts: tuple[Cut, ...] = ()
    notes: tuple[str, ...] = ()
    parameters: dict[str, object] = field(default_factory=dict)
    remark: str = ""


def check_task(task: CuttingTask) -> None:
    """Raise InputError for a stage, shape or number of pieces that does not exist."""
    check_stage(task.stage)
    if task.pieces is not None and task.pieces < 1:
        raise InputError(
            f"{task.pieces} pieces cannot be cut", where="`pieces`", fix="use 1 or more"
        )
    if task.outline:
        _check_outline(task)
    if task.shape is None:
        return
    suited = [name for name, shape in SHAPES.items() if task.stage in shape.stages]
    if task.shape not in SHAPES:
        raise InputError(
            f"shape '{task.shape}' is not known",
            where="`shape`",
            fix=f"stage {task.stage} has: {', '.join(suited) or 'none'}",
        )
    if task.shape not in suited:
        stages = ", ".join(str(s) for s in SHAPES[task.shape].stages)
        raise InputError(
            f"shape '{task.shape}' is for stage {stages}",
            where="`shape`",
            fix=f"stage {task.stage} has: {', '.join(suited) or 'none'}",
        )
    if task.picture is not None and task.shape != HILL:
        raise InputError(
            "a shape and a picture cannot be on one page", where="`shape`", fix="give only one"
        )


def most_cuts(stage: int) -> int:
    """How many cuts a page of a stage has at most."""
    return int(limits("cutting", stage)["cuts_per_page"].maximum or 1)


def check_count(count: int, stage: int) -> None:
    """Raise FitError for more cuts than a page of the stage has."""
    most = most_cuts(stage)
    if count > most:
        raise FitError(
            f"{count} cuts are more than the {most} of stage {stage}",
            where="`pieces`",
            fix=f"use at most {most}",
        )


def _check_outline(task: CuttingTask) -> None:
    from shapes.outline.ease import SOFT
    from shapes.outline.named_shapes import CORNERS, NAMES

    if task.picture is None:
        raise InputError(
            "an outline goes round a picture", where="`outline`", fix="name one, or use `shape`"
        )
    if task.outline not in (*NAMES, SOFT):
        raise InputError(
            f"outline '{task.outline}' is not known",
            where="`outline`",
            fix=f"use {', '.join(NAMES)} or {SOFT}",
        )
    if task.stage not in ((5,) if task.outline == SOFT else (5, 6)):
        raise InputError(
            f"stage {task.stage} has an outline of its own",
            where="`outline`",
            fix="leave it out, or use stage 5",
        )
    most = limits("cutting", task.stage)["corners"].maximum or 0.0
    corners = CORNERS.get(task.outline, 0)
    if corners > most:
        raise InputError(
            f"a {task.outline} has {corners} corners, more than the {most:g} of stage {task.stage}",
            where="`outline`",
            fix="use stage 6 or another shape",
        )
