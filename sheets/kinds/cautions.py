"""Usual cautions by material, printed for the adult beside the materials list.

The words are in ``cautions.toml`` with their sources. They never replace local rules: whoever
prints a caution prints :data:`RIDER` once on the same page.
"""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from shapes.errors import InputError

RIDER = (
    "These are usual cautions only. Your local licensing, health and allergy rules come first, "
    "and so does the advice of licensed practitioners who work with the children."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """What an adult keeps in mind about one material.

    Args:
        id: short name, such as ``string``.
        title: what the page calls the material.
        also: other words that find it.
        text: sentences in the order to print them.
        sources: where they come from, in full; ``common practice, no source`` where there is none.
    """

    id: str
    title: str
    also: tuple[str, ...]
    text: tuple[str, ...]
    sources: tuple[str, ...]

    def paragraph(self) -> str:
        """All sentences as one paragraph."""
        return " ".join(self.text)


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order of ``cautions.toml``."""
    data = tomllib.loads(Path(__file__).with_name("cautions.toml").read_text("utf-8"))
    return tuple(
        Caution(
            id=row["id"],
            title=row["title"],
            also=tuple(row["also"]),
            text=tuple(row["text"]),
            sources=tuple(data["sources"][key] for key in row["sources"]),
        )
        for row in data["materials"]
    )


def caution(material: str) -> Caution:
    """The caution for a material, found by id, title or another usual word in any case.

    Raises:
        InputError: no caution is known for it; the nearest words are named.
    """
    words = _words()
    wanted = " ".join(material.casefold().split())
    if wanted in words:
        return words[wanted]
    near = difflib.get_close_matches(wanted, words, n=3, cutoff=0.6)
    raise InputError(
        f"no caution for a material called {material!r}",
        fix=f"did you mean {' or '.join(near)}?" if near else f"known: {', '.join(materials())}",
    )


def materials() -> tuple[str, ...]:
    """The ids of all materials that have a caution."""
    return tuple(item.id for item in all_cautions())


@cache
def _words() -> dict[str, Caution]:
    found: dict[str, Caution] = {}
    for item in all_cautions():
        for word in (item.id, item.title, *item.also):
            # An id wins over another material's further word: "coins" is also a small part.
            if word.casefold() not in found or word == item.id:
                found[word.casefold()] = item
    return found
