"""Colours for pattern pages and keys, with the hatch that tells them apart without colour.

The differences of the offered colours under several kinds of colour vision, and in a grey copy, are
measured in ``tests/outside`` with an independent colour library, not here. Yellow, orange and pink
are paler than 3:1 on white paper, so a coloured shape always gets a dark outline as well.
"""

from __future__ import annotations

import difflib
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any, Literal, get_args

from shapes.colour import luminance
from shapes.errors import InputError
from sheets.page.model import Colour as Hex

Hatch = Literal["dots", "rising", "falling", "grid", "waves", "solid", "none"]
HATCHES: tuple[Hatch, ...] = get_args(Hatch)
Printer = Literal["any", "colour"]


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour a child can name and colour with.

    Args:
        key: the English word.
        names: the word by language code.
        hex: nominal value, ``#rrggbb``.
        hatch: how it is hatched when no other colour of the page has the same hatch.
        shape: name of a basic shape for keys that give every colour one.
        also: further words a theme may use for it.
    """

    key: str
    names: Mapping[str, str]
    hex: Hex
    hatch: Hatch
    shape: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours offered together, in the order in which a pattern takes them.

    Args:
        printer: ``any``, or ``colour`` where a grey copy would make two of them alike.
        needs_mark: colour alone does not tell them apart for every eye or printer; the page must
            draw a hatch or a shape for each.
    """

    colours: tuple[Colour, ...]
    printer: Printer
    needs_mark: bool


@lru_cache(maxsize=1)
def colours() -> Mapping[str, Colour]:
    """All colours by English word, in the order of ``palette.toml``."""
    return {
        key: Colour(
            key, row["names"], row["hex"], row["hatch"], row["shape"], tuple(row.get("also", ()))
        )
        for key, row in _table()["colours"].items()
    }


@lru_cache(maxsize=1)
def _offered() -> tuple[Palette, ...]:
    known = colours()
    return tuple(
        Palette(tuple(known[key] for key in row["colours"]), row["printer"], row["needs_mark"])
        for row in _table()["palettes"]
    )


def palettes(count: int, *, colour_printer: bool) -> tuple[Palette, ...]:
    """The sets of ``count`` colours (2 to 4) offered for the printer, best first.

    A black-and-white printer gets only sets that stay apart in grey.

    Raises:
        InputError: no set of that many colours.
    """
    sized = [p for p in _offered() if len(p.colours) == count]
    if not sized:
        raise InputError(f"no palette of {count} colours", fix="ask for 2, 3 or 4")
    return tuple(p for p in sized if colour_printer or p.printer == "any")


def find(word: str) -> Colour:
    """The colour a word means, in any of the languages; case does not matter.

    Raises:
        InputError: unknown word; the message names the nearest known ones.
    """
    wanted = _plain(word)
    words = _words()
    if wanted in words:
        return colours()[words[wanted]]
    near = difflib.get_close_matches(wanted, words, n=1)
    hint = f"did you mean {near[0]}?" if near else f"choose from {', '.join(colours())}"
    raise InputError(f"no colour {word!r}", fix=hint)


@lru_cache(maxsize=1)
def _words() -> Mapping[str, str]:
    words: dict[str, str] = {}
    for colour in colours().values():
        for name in (colour.key, *colour.names.values(), *colour.also):
            words[_plain(name)] = colour.key
    return words


def needs_mark(chosen: Sequence[Colour]) -> bool:
    """True unless the colours are all in one offered palette that does without a mark.

    A theme may name any colours; those we have not measured together always get the mark.
    """
    keys = {c.key for c in chosen}
    plain = (p for p in _offered() if not p.needs_mark)
    return len(keys) > 1 and not any(keys <= {c.key for c in p.colours} for p in plain)


def hatches(chosen: Sequence[Colour]) -> dict[str, Hatch]:
    """A hatch for each colour key, all different: its own if still free, else the next free one.

    Raises:
        InputError: more different colours than there are hatches.
    """
    wanted = {c.key: c.hatch for c in chosen}
    if len(wanted) > len(HATCHES):
        raise InputError(f"{len(wanted)} colours on one page", fix=f"use {len(HATCHES)} or fewer")
    given: dict[str, Hatch] = {}
    for key, hatch in wanted.items():
        if hatch not in given.values():
            given[key] = hatch
    for key in wanted:
        if key not in given:
            # "none" and "solid" say white and black, so they are taken last.
            given[key] = next(h for h in HATCHES if h not in given.values())
    return {key: given[key] for key in wanted}


def contrast(a: Hex, b: Hex) -> float:
    """Contrast ratio of two colours, 1 to 21, by the WCAG 2 definition.

    Source: W3C, Web Content Accessibility Guidelines 2.2, definition of contrast ratio. Written
    for screens; used for paper by analogy.

    Raises:
        InputError: not ``#rrggbb``.
    """
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


# --- inside --------------------------------------------------------------------------------------


def _plain(word: str) -> str:
    return unicodedata.normalize("NFC", " ".join(word.split())).casefold()


@lru_cache(maxsize=1)
def _table() -> Mapping[str, Any]:
    with FilePath(__file__).with_name("palette.toml").open("rb") as file:
        return tomllib.load(file)
