"""The kinds of sheet there are, one line each; a kind's own module is imported only when used."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapes.errors import InputError

if TYPE_CHECKING:
    from sheets.kinds.kind import Kind


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the table of kinds; the rest is in the module's ``KIND``.

    Args:
        name: of the command; the module is the same with underscores.
        skill: the column of the class list that gives the stage, and the guidance it is held to.
        about: help line of the command.
        section: table of a theme file that the kind reads; empty if only words.
        planned: whether a packet without a plan has it.
    """

    name: str
    skill: str
    about: str
    section: str = ""
    planned: bool = True

    def load(self) -> Kind:
        """What the kind declares, imported now."""
        found: Kind = importlib.import_module(f"sheets.kinds.{self.name.replace('-', '_')}").KIND
        return found


_ENTRIES = (
    Entry("cutting", "cutting", "Strips, lanes, shapes, or a picture in an outline, to cut."),
    Entry("letters-to-cut", "cutting", "A big letter or a short word as outlines to cut and glue.",
          planned=False),
    Entry("pieces", "cutting",
          "Shapes or picture outlines an adult cuts beforehand, many to a sheet.", planned=False),
    Entry("trace-match", "matching", "Real things to set on their outlines.", "objects"),
    Entry("shadow-match", "matching", "Picture cards to lay on their shadows.", planned=False),
    Entry("picture-puzzle", "matching", "A picture in two to nine pieces to put together.",
          planned=False),
    Entry("letter-match", "letters", "Letters to match: same, small, or first of a word.",
          "letters"),
    Entry("sequence", "sequence", "Picture cards to cut apart and lay in order.", "sequences"),
    Entry("pattern", "pattern", "Rows to copy, mend or carry on.", "patterns"),
    Entry("colour-copy", "pattern", "Pictures to colour like the sample.", planned=False),
    Entry("sort-mat", "sorting", "Picture cards to lay where they belong.", "sorts"),
    Entry("name-page", "names", "The child's own name: to lay, put together, trace or write."),
    Entry("trace-path", "tracing", "Lanes from picture to picture, and first shapes, to follow."),
    Entry("count-cards", "number",
          "Count and mark: pictures, numerals, five and ten frames."),
    Entry("order-cards", "number",
          "Numerals, letters or sizes to put in a row; labels for things.", planned=False),
    Entry("measure-strip", "number",
          "Strips in units of the theme, and things to measure with them.", planned=False),
    Entry("own-book", "telling",
          "A small book of the child's own, folded from one sheet or of half sheets."),
)  # fmt: skip

KINDS: dict[str, Entry] = {entry.name: entry for entry in _ENTRIES}
SKILLS = tuple(dict.fromkeys(entry.skill for entry in _ENTRIES))
"""Columns of the class list, in the order of the kinds."""


def entry(name: str) -> Entry:
    """The line of a kind; InputError if there is none."""
    try:
        return KINDS[name]
    except KeyError:
        known = ", ".join(KINDS)
        raise InputError(f"kind '{name}' is not known", fix=f"use one of: {known}") from None


def skill_of(name: str) -> str:
    """The skill that a word means: its own name or that of a kind; other words stay as they are."""
    return KINDS[name].skill if name in KINDS and name not in SKILLS else name


def kinds_called(name: str) -> tuple[str, ...]:
    """The kinds that a word means: the one of that name, or those of that skill; empty if none."""
    if name in KINDS:
        return (name,)
    return tuple(entry.name for entry in _ENTRIES if entry.skill == name)
