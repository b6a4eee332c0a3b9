"""Makes a sheet of any kind from a theme or words."""

from __future__ import annotations

import dataclasses
from typing import Any

from sheets.kinds import Entry, entry
from sheets.kinds.kind import Kind
from sheets.kinds.options import Options
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.source import Source
from sheets.page.model import Sheet


def make_sheet(
    name: str,
    source: Source,
    stage: int,
    options: Options,
    choices: object = None,
    *,
    apart: bool = False,
) -> Sheet:
    """A sheet of a kind.

    Args:
        name: of the kind.
        choices: of the type the kind declares; None for none.
        apart: as :class:`sheets.kinds.sheet.SheetBuilder` has it.

    Raises:
        InputError: something that does not exist, does not suit the stage, or does not fit.
    """
    found, kind, chosen = resolved(name, source, choices)
    task = kind.module().task(source, stage, options, chosen)
    return draw_task(found, kind, task, options, apart=apart)


def resolved(name: str, source: Source, choices: object = None) -> tuple[Entry, Kind, Any]:
    """The kind that does what is asked of a kind, and its choices: those of the same name."""
    found = entry(name)
    kind = found.load()
    chosen = kind.choices() if choices is None else choices
    other = kind.instead(source, chosen) if kind.instead is not None else None
    if other is None:
        return found, kind, chosen
    found = entry(other)
    kind = found.load()
    own = {field.name for field in dataclasses.fields(kind.choices)}
    shared = {name: getattr(chosen, name) for name in own if hasattr(chosen, name)}
    return found, kind, kind.choices(**shared)


def draw_task(
    found: Entry, kind: Kind, task: Any, options: Options, *, apart: bool = False
) -> Sheet:
    """The sheet of a task of a kind.

    Raises:
        InputError: the task cannot be drawn.
        FitError: it does not fit the paper.
    """
    sheet = SheetBuilder(
        found.name, found.skill, task.stage, options, task.title, task.badge, apart=apart
    )
    kind.module().draw(task, options, sheet)
    return sheet.done()
