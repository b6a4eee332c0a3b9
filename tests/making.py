"""Tasks and sheets of a kind as the tests ask for them: with the kind's choices as keywords."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

from sheets.kinds import KINDS
from sheets.kinds.making import draw_task, resolved
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.model import Sheet
from sheets.theme.theme import Theme


class Making:
    """One kind."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.skill = KINDS[name].skill

    def from_theme(self, theme: Theme, stage: int, options: Options, **choices: Any) -> Any:
        """The kind's task, or that of the kind that does it instead."""
        return self._task(Source(theme), stage, options, choices)

    def from_words(self, words: Sequence[str], stage: int, options: Options, **choices: Any) -> Any:
        return self._task(Source(words=tuple(words)), stage, options, choices)

    def _task(self, source: Source, stage: int, options: Options, choices: dict[str, Any]) -> Any:
        asked = KINDS[self.name].load().choices(**choices)
        _, kind, chosen = resolved(self.name, source, asked)
        return kind.module().task(source, stage, options, chosen)

    def drawn(self, task: Any, options: Options) -> Any:
        """Marks and answer, where a kind gives them without putting pages together."""
        return KINDS[self.name].load().module().drawn(task, options)

    make = staticmethod(lambda task, options: make(task, options))


def make(task: Any, options: Options) -> Sheet:
    """The sheet of a task; its kind is told by the task, or by where its class stands."""
    place = type(task).__module__.split(".")[2].replace("_", "-")
    name = getattr(task, "kind", place)
    return draw_task(KINDS[name], KINDS[name].load(), task, options)


cutting, pattern, sequence = Making("cutting"), Making("pattern"), Making("sequence")
letter_match, trace_match = Making("letter-match"), Making("trace-match")
shadow_match, colour_copy = Making("shadow-match"), Making("colour-copy")
count_cards = Making("count-cards")


def with_rows(theme: Theme, name: str, *rows: object) -> Theme:
    """A theme with other rows in one of its sections."""
    return dataclasses.replace(theme, sections={**theme.sections, name: rows})
