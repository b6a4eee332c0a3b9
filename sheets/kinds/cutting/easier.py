"""A picture whose outline misses a limit on the page: eased further, else an earlier stage's.

The outlines of the curated pictures are known to keep the limits of their stages. Any other drawing
is tried: first as its stage has it, then with wider bends and hollows and farther off, then in the
outline of a stage before. A page is measured as ``check`` measures it when it is finished.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from shapes.errors import FitError
from shapes.pictures.picture import Picture
from sheets.check.check import check_page, outside
from sheets.kinds.cutting.outlines import picture_page
from sheets.kinds.cutting.store import scores_of
from sheets.kinds.cutting.suits import OUTLINE_STAGES
from sheets.kinds.cutting.task import CuttingTask, Layout
from sheets.kinds.options import Options
from sheets.page.frame import Frame
from sheets.page.model import Page

MOST_STEPS = 3
"""Steps by which an outline is eased beyond its stage before an earlier stage's is taken. Our
setting: each is 1 mm farther off, with bends and hollows 1.3 times as wide."""

EASED = "This outline is wider and softer than the stage's own, which would miss a limit."
EARLIER = "This is the outline of stage {}; the one of stage {} would miss a limit."


def suited_page(task: CuttingTask, picture: Picture, options: Options, frame: Frame) -> Layout:
    """The page of a picture, within the limits of its stage if an easier outline gets it there.

    Raises:
        FitError: no outline fits the page.
    """
    if scores_of(picture):
        return picture_page(task, picture, options, frame)
    first: Layout | None = None
    error: FitError | None = None
    for attempt, remark in _attempts(task):
        try:
            layout = picture_page(attempt, picture, options, frame)
        except FitError as found:
            if task.pieces is not None or task.outline:
                raise  # as many, or such an outline, as was asked for
            error = error or found
            continue
        page = Page(frame.paper, tuple(layout.marks))
        if not outside(check_page(page, "cutting", task.stage)):
            return dataclasses.replace(layout, remark=remark)
        first = first or layout
    if first is None:
        assert error is not None
        raise error
    return first


def _attempts(task: CuttingTask) -> Iterator[tuple[CuttingTask, str]]:
    yield task, ""
    for steps in range(1, MOST_STEPS + 1):
        yield dataclasses.replace(task, easier=steps), EASED
    if not task.outline:
        for stage in reversed([each for each in OUTLINE_STAGES if each < task.stage]):
            yield dataclasses.replace(task, drawn_as=stage), EARLIER.format(stage, task.stage)
