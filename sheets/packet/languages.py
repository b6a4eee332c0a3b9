"""Which languages there is something in, and what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapes.letters.font import is_plain
from shapes.pictures import names
from sheets.kinds import words
from sheets.packet.adult import family_note
from sheets.theme.languages import english, own

State = Literal["", "draft", "checked"]
"""Nothing; something that a speaker is to read first; something that was checked here."""


@dataclass(frozen=True, slots=True)
class Language:
    """What there is in a language.

    Args:
        tag: as class lists, themes and options have it; its English or own name is taken too.
        name, own: what it is called in English, and in itself.
        pictures: names of pictures.
        pages: titles of pages and the line that says what to do.
        note: sentences of the family note.
        letters: whether its letters are those of letter pages.
    """

    tag: str
    name: str
    own: str
    pictures: State
    pages: State
    note: State
    letters: bool


def languages() -> tuple[Language, ...]:
    """Every language with something of its own, by English name."""
    notes = family_note.languages()
    tags = {*names.languages(), *words.NAMES, *notes}
    return tuple(sorted((_language(tag, notes) for tag in tags), key=lambda found: found.name))


def _language(tag: str, notes: tuple[str, ...]) -> Language:
    pages = tag in words.NAMES and words.content(tag)["checked"]
    return Language(
        tag=tag,
        name=english(tag),
        own=own(tag),
        pictures=_state(tag in names.languages(), tag == "en"),
        pages=_state(tag in words.NAMES, pages),
        note=_state(tag in notes, tag in family_note.CHECKED),
        letters=is_plain(own(tag)),
    )


def _state(there: bool, checked: bool) -> State:
    return ("checked" if checked else "draft") if there else ""
