"""A part of a theme file that a kind of sheet brings along."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sheets.theme.fields import At
from sheets.theme.reader import ThemeReader
from sheets.theme.words import Step

T = TypeVar("T")


def no_steps(_row: object) -> Iterable[Step]:
    """For sections whose rows show no pictures of their own."""
    return ()


@dataclass(frozen=True, slots=True)
class Section(Generic[T]):
    """Rows of one table of a theme file, read into a type of the kind's own.

    Args:
        name: of the table: ``[[name]]`` for several rows, ``[name]`` if it stands once.
        keys: that a row may have.
        read: the row's value; notes problems with the reader and never raises.
        once: whether the table stands once.
        steps: pictures of a row, whose names other languages may ask for.
        starter: what a starter file shows of it, with comments, as TOML text.
    """

    name: str
    keys: tuple[str, ...]
    read: Callable[[ThemeReader, Mapping[str, Any], At], T]
    once: bool = False
    steps: Callable[[T], Iterable[Step]] = no_steps
    starter: str = ""
