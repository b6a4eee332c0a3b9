"""What an adult reads on the keys of a sequence: the order, other right orders, notes."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Sequence as List

from sheets.kinds.options import Options
from sheets.kinds.sequence.order import Order
from sheets.kinds.sequence.task import SequenceTask
from sheets.page.frame import Frame, wrap
from sheets.page.model import Mark, Role, Text

_LIST_PT = 10.0
_LIST_LEADING = 5.0


def words_of(task: SequenceTask, order: Iterable[int]) -> str:
    """The words of some steps, counted from 0."""
    return ", ".join(task.steps[i].word for i in order)


def order_text(task: SequenceTask) -> str:
    """The order in one line; empty if two pictures have one word."""
    words = [step.word for step in task.steps]
    if len(set(words)) < len(words):
        return ""
    return ", ".join(words) + ("; clockwise from the top" if task.wheel else "")


def listed(lines: List[str], options: Options) -> list[Mark]:
    """Lines for a page of their own."""
    work = Frame(options.paper).work
    wrapped = [part for line in lines for part in wrap(line, _LIST_PT, work.width)]
    return [
        Text(work.x0, work.y1 - _LIST_LEADING * i, part, _LIST_PT, Role.ADULT)
        for i, part in enumerate(wrapped, start=1)
    ]


def key_notes(task: SequenceTask, order: Order) -> tuple[list[str], list[str]]:
    """What the key says in any case, and what else there is to say."""
    numbered = ", ".join(f"{i} {step.word}" for i, step in enumerate(task.steps, start=1))
    answers = [f"Order: {numbered}."]
    if task.wheel:
        answers[0] += f" Clockwise from the top; after {len(task.steps)} it starts again with 1."
    answers.append(f"Cards as printed, row by row: {words_of(task, order)}.")
    more = [f"Also accept: {words_of(task, other)}." for other in task.also]
    return answers, [*more, *([task.note] if task.note else []), *task.remarks]
