"""Name pages: a card on its like, letters on the model and in order, hollow letters, lines.

The name is that of the options: what the class list prints. The order of a letter's strokes is not
shown, for programmes differ; a dot shows where the name begins.
"""

from __future__ import annotations

from collections.abc import Callable

from sheets.kinds.name_page.laying import in_order, name_cards, on_model
from sheets.kinds.name_page.room import Boxes, Fitted
from sheets.kinds.name_page.task import NameTask, task
from sheets.kinds.name_page.tracing import traced
from sheets.kinds.name_page.writing import written
from sheets.kinds.toolkit import Options, SheetBuilder

__all__ = ["NameTask", "draw", "task"]

Maker = Callable[[NameTask, Options, SheetBuilder], Fitted | Boxes]
_BY_STAGE: tuple[Maker, ...] = (name_cards, on_model, in_order, traced, traced, written, written)


def draw(task: NameTask, options: Options, sheet: SheetBuilder) -> None:
    """The pages of the stage.

    Raises:
        FitError: the name is too long for the page.
    """
    found = _BY_STAGE[task.stage](task, options, sheet)
    sheet.record(letters=len(task.parts), letter_mm=round(found.letter, 1))
