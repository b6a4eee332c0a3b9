"""The words of a theme, each with its picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from shapes.pictures.picture import Picture


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the theme.

    Args:
        text: as shown in the theme's main language.
        letter: letter or digraph it stands for, such as ``D`` or ``Sh``; empty if it has none.
        names: the teacher's own names by language.
        note: for the adult; may be empty.
    """

    text: str
    picture: Picture
    letter: str
    names: Mapping[str, str] = field(default_factory=dict, hash=False)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A word with its picture: a step of a sequence, a card to sort, a cell of a pattern."""

    word: str
    picture: Picture
