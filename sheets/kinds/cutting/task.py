"""What a cutting page is asked for, and the layout that answers it."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapes.basic import SHAPES
from shapes.errors import InputError
from shapes.pictures.pictures import Picture
from sheets.check.guidance import check_stage
from sheets.kinds.cutting.fitted import Form
from sheets.kinds.cutting.lanes import Turn
from sheets.page.model import Cut, Mark

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
        heading: printed title; empty for the name of the picture.
    """

    stage: int
    picture: Picture | None = None
    shape: str | None = None
    pieces: int | None = None
    form: Form = "corners"
    turn: Turn | None = None
    remark: str = ""
    heading: str = ""

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
    """Marks of the work area, the adult's straight cuts, lines for the foot, values for records."""

    marks: list[Mark]
    adult_cuts: tuple[Cut, ...] = ()
    notes: tuple[str, ...] = ()
    parameters: dict[str, object] = field(default_factory=dict)


def check_task(task: CuttingTask) -> None:
    """Raise InputError for a stage, shape or number of pieces that does not exist."""
    check_stage(task.stage)
    if task.pieces is not None and task.pieces < 1:
        raise InputError(
            f"{task.pieces} pieces cannot be cut", where="`pieces`", fix="use 1 or more"
        )
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
    if task.picture is not None:
        raise InputError(
            "a shape and a picture cannot be on one page", where="`shape`", fix="give only one"
        )
