"""The kinds of sheet there are. A kind's module is imported only when a sheet of it is made."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from types import ModuleType

from shapes.errors import InputError


@dataclass(frozen=True, slots=True)
class KindInfo:
    """One row of the table of kinds.

    Args:
        skill: the column of the class list that gives the stage.
        module: where its code is.
        what: one line for ``tablework kinds``.
    """

    name: str
    skill: str
    module: str
    what: str


KINDS: dict[str, KindInfo] = {
    info.name: info
    for info in (
        KindInfo(
            "cutting",
            "cutting",
            "sheets.kinds.cutting.pages",
            "strips, lanes, shapes and picture outlines to cut, from tearing on a fold to the "
            "picture's own outline",
        ),
        KindInfo(
            "trace-match",
            "matching",
            "sheets.kinds.trace_match.pages",
            "real things to set on their outlines at true size, or picture cards to lay on their "
            "shadows",
        ),
        KindInfo(
            "sequence",
            "sequence",
            "sheets.kinds.sequence.pages",
            "picture cards to cut apart and lay in order on a strip or a ring",
        ),
        KindInfo(
            "letter-match",
            "letters",
            "sheets.kinds.letter_match.pages",
            "the same letter, capital to small, picture to first letter, first-letter sort; to "
            "draw lines on or as cards",
        ),
        KindInfo(
            "pattern",
            "pattern",
            "sheets.kinds.pattern.pages",
            "rows to match, mend, copy or carry on, and pictures to colour like the sample; with "
            "tiles or boxes",
        ),
    )
}


def kind(name: str) -> KindInfo:
    """The table row of a kind; InputError if there is none."""
    try:
        return KINDS[name]
    except KeyError:
        known = ", ".join(KINDS)
        raise InputError(f"kind '{name}' is not known", fix=f"use one of: {known}") from None


def module(name: str) -> ModuleType:
    """The code of a kind, imported now."""
    return importlib.import_module(kind(name).module)
