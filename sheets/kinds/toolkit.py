"""What a kind of one file is made with, in one place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any, Protocol, TypeVar

from shapes.errors import InputError
from shapes.path import BBox
from shapes.pictures.names import plain_code
from shapes.pictures.picture import Picture
from sheets.kinds.kind import Kind, choice
from sheets.kinds.materials import PRINTED
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low, least_line
from sheets.kinds.settings import amount, setting, starter
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.source import Source
from sheets.kinds.words import title
from sheets.page import mats
from sheets.page.mats import Mat
from sheets.theme.fields import At
from sheets.theme.problems import count_of
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.theme import Step, Theme

__all__ = [
    "MOST_FOR_LOW_VISION",
    "PRINTED",
    "SEVERAL",
    "At",
    "Kind",
    "Mat",
    "Options",
    "Row",
    "Section",
    "SheetBuilder",
    "Source",
    "Step",
    "Task",
    "Theme",
    "ThemeReader",
    "amount",
    "choice",
    "dealt",
    "distinct",
    "is_low",
    "least_line",
    "mat",
    "of_one_thing",
    "one_of",
    "setting",
    "starter",
    "title",
]

Row = Mapping[str, Any]

_SEVERAL = """
    1F352 1F347 1FAD0 1FADB 1FAD8 1FAE7 1F4A6 1F43E 1F9E4 1F9E6 1F342 1FA87 1F374 1F37D 1F962
    1F4DA 1F327 1F328 26C5 1F326 1F953 1F3E1 1FABA 1F3B3 1F3CF 1F3D3 1F3B5 1F529 1F95E 1F9F1
    1F3DD 26F1 1F32C
"""
SEVERAL = frozenset(_SEVERAL.split())
"""Drawings of the set that show more than one thing, or a thing with what could be counted too
(cherries, rain, a pair of socks); found by looking at the curated ones."""


@dataclass(frozen=True, slots=True)
class Task:
    """What every task says; a kind adds its own."""

    stage: int
    title: str
    badge: Picture | None


class Titled(Protocol):
    """A row of a theme that is asked for by its title."""

    @property
    def title(self) -> str: ...


R = TypeVar("R", bound=Titled)


def one_of(rows: Sequence[R], wanted: str | None, theme: Theme, what: str) -> R:
    """The row of a theme that is asked for by number (from 1) or title; None takes the first.

    Args:
        what: a row is called so, and its table the same with an s.

    Raises:
        InputError: there is no such row, or none at all.
    """
    if not rows:
        raise InputError(
            f"the theme {theme.title} has no {what}",
            where="`theme`",
            fix=f"add [[{what}s]] to its file, or give words in their order",
        )
    if wanted is None:
        return rows[0]
    for place, row in enumerate(rows, start=1):
        if wanted.strip().casefold() in (str(place), row.title.casefold()):
            return row
    known = ", ".join(f'{i} "{row.title}"' for i, row in enumerate(rows, start=1))
    raise InputError(
        f"the theme {theme.title} has no {what} '{wanted}'",
        where=f"`{what}`",
        fix=f"use one of: {known}",
    )


def distinct(theme: Theme, least: int) -> list[Step]:
    """The words of a theme with pictures of their own, or else its steps.

    Raises:
        InputError: fewer than ``least``.
    """
    words = [Step(word.text, word.picture) for word in theme.words]
    found = list({step.picture.id: step for step in words or theme.steps}.values())
    if len(found) < least:
        raise InputError(
            f"{count_of(len(found), 'picture')} where {least} are needed",
            where="words",
            fix="give more",
        )
    return found


def of_one_thing(steps: Sequence[Step]) -> list[Step]:
    """Those whose picture shows one thing only, so that it can be counted."""
    return [step for step in steps if plain_code(step.picture.id) not in SEVERAL]


def dealt(pools: Sequence[Sequence[Step]]) -> list[Step]:
    """The things of several pools in turn: the first of each, then the second of each."""
    return [step for row in zip_longest(*pools) for step in row if step is not None]


def mat(
    area: BBox, names: Sequence[str], examples: Sequence[Picture | None], options: Options
) -> Mat:
    """Areas to lay cards in, see :func:`sheets.page.mats.mat`."""
    return mats.mat(area, names, examples, least_line_mm=least_line(options), colour=options.colour)
