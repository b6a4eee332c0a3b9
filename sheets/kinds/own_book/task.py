"""What is on the pages of a book: its pictures, and their words in the page's language."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Literal

from shapes.errors import InputError
from shapes.pictures.names import Name
from shapes.pictures.picture import Picture
from sheets.kinds import toolkit as kit
from sheets.kinds.options import Options
from sheets.kinds.own_book import BookChoices
from sheets.kinds.own_book.impose import FOLDED_PAGES
from sheets.kinds.source import Source
from sheets.theme.theme import Step, Theme

NAME = "own-book"
COVERS = 2
LOOK, DRAW = 0, 1
"""Stages of pictures only, and of empty places to draw in."""
WORDS = (3, 4)
LEAST_PAGES, MOST_PAGES = 4, 32


@dataclass(frozen=True, slots=True)
class Leaf:
    """A page inside the book; without a picture it is the child's own to draw on.

    Args:
        word: in the page's language; None if it has no name, or none is shown.
    """

    picture: Picture | None = None
    word: Name | None = None


@dataclass(frozen=True, slots=True)
class BookTask(kit.Task):
    """A book of one form.

    Args:
        cover: its picture.
        leaves: the pages between the covers.
        remarks: what the adult is told about its words.
    """

    form: Literal["fold", "half"]
    cover: Picture
    leaves: tuple[Leaf, ...]
    remarks: tuple[str, ...] = ()

    @property
    def pages(self) -> int:
        return len(self.leaves) + COVERS


def task(source: Source, stage: int, options: Options, choices: BookChoices) -> BookTask:
    """A book of a theme's pictures, the same ones at every stage, or of words in their order.

    Raises:
        InputError: a number of pages that cannot be folded, or more words than pages.
    """
    theme = source.as_theme(kit.title(NAME, "book", options.words_language))
    steps = kit.distinct(theme, 1)
    pages = _pages(choices, 0 if source.theme is not None else len(steps))
    inside = pages - COVERS
    if source.theme is not None:
        rng = random.Random(f"{options.seed}:book")  # children at one table share their pictures
        steps = rng.sample(steps, len(steps))
    leaves = _leaves(theme, steps, inside, stage, options.language)
    cover = theme.badge or steps[0].picture
    remarks = _remarks(steps[:inside], leaves) if stage in WORDS else ()
    return BookTask(stage, theme.title, theme.badge, choices.form, cover, leaves, remarks)


def _pages(choices: BookChoices, words: int) -> int:
    """How many pages a book of so many words has."""
    pages = choices.pages
    if choices.form == "fold":
        if pages not in (None, FOLDED_PAGES):
            raise InputError(
                f"a book folded from one sheet has {FOLDED_PAGES} pages, not {pages}",
                where="`pages`",
                fix="leave it away, or make a book of half sheets: `form` half",
            )
        pages = FOLDED_PAGES
    if pages is None:
        pages = max(FOLDED_PAGES, -(-(words + COVERS) // 4) * 4)
    if pages % 4 or not LEAST_PAGES <= pages <= MOST_PAGES:
        raise InputError(
            f"half sheets laid in each other make no book of {pages} pages",
            where="`pages`",
            fix=f"use a multiple of 4, from {LEAST_PAGES} to {MOST_PAGES}",
        )
    if words > pages - COVERS:
        raise InputError(
            f"{words} words where the book has {pages - COVERS} pages between its covers",
            where="words",
            fix="give fewer, or make a book of half sheets with more pages: `form` half",
        )
    return pages


def _leaves(
    theme: Theme, steps: list[Step], inside: int, stage: int, language: str
) -> tuple[Leaf, ...]:
    """The pages between the covers; what the pictures leave over is the child's own.

    A book to look at has its pictures again instead, to be found a second time.
    """
    if stage == DRAW:
        return (Leaf(),) * inside
    shown = [
        Leaf(step.picture, theme.shown_name(step.word, language) if stage in WORDS else None)
        for step in steps[:inside]
    ]
    if stage == LOOK:
        return tuple(shown[i % len(shown)] for i in range(inside))
    return (*shown, *(Leaf() for _ in range(inside - len(shown))))


def _remarks(steps: list[Step], leaves: tuple[Leaf, ...]) -> tuple[str, ...]:
    """What the adult is told of words without a name, and of names nobody has checked."""
    pairs = list(zip(steps, leaves, strict=False))
    nameless = ", ".join(step.word for step, leaf in pairs if leaf.word is None)
    unchecked = ", ".join(
        leaf.word.text for _, leaf in pairs if leaf.word and not leaf.word.checked
    )
    return (
        *([f"No name for {nameless}: write it on the line."] if nameless else ()),
        *([f"Ask a speaker about: {unchecked}."] if unchecked else ()),
    )
