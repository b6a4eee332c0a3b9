"""What a kind of sheet declares about itself; everything that lists kinds is derived from it."""

from __future__ import annotations

import dataclasses
import importlib
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from sheets.kinds.source import Source


@dataclass(frozen=True, slots=True)
class NoChoices:
    """Of a kind that is told nothing but what all kinds are told."""


def choice(
    about: str,
    default: Any = None,
    *,
    option: str = "",
    least: int | None = None,
    most: int | None = None,
    word: bool = False,
) -> Any:
    """A field of a kind's choices, with what both faces say about it.

    Args:
        about: one line of help.
        option: its name for the user where the field cannot have it, such as ``as``.
        least, most: bounds of a whole number.
        word: it is one of a few words, in any letter case, such as ``carry-on``.
    """
    facts = {"about": about, "option": option, "least": least, "most": most, "word": word}
    return dataclasses.field(default=default, metadata=facts)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of sheet.

    Args:
        does: what the child does, for README and ``tablework kinds``.
        code: module with ``task(source, stage, options, choices)`` and
            ``draw(task, options, sheet)``; imported when a sheet is made. It may have
            ``beforehand(theme, pages, jobs)``, pages by stage and seed, for what takes long and can
            be made on many cores.
        choices: dataclass of what only this kind is told.
        words: help for words given instead of a theme; empty if only a theme will do.
        needs_source: whether a theme or words must be given.
        stage: the stage of a sheet that is asked for without one: one in the middle.
        instead: the kind that makes what is asked for, where another one does; None where none.
    """

    does: str
    code: str
    choices: type = NoChoices
    words: str = "Picture words (see tablework pictures) or SVG files, instead of a theme."
    needs_source: bool = True
    stage: int = 3
    section: Any = None
    instead: Callable[[Source, Any], str | None] | None = None

    def module(self) -> ModuleType:
        """The kind's code, imported now."""
        return importlib.import_module(self.code)
