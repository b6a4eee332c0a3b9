"""The letters of a theme file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sheets.theme.fields import At
from sheets.theme.problems import quoted
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.theme import Theme


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters to match.

    Args:
        set: all of them, the ones to begin with first.
        easy: the first few.
        hard: pairs of small letters that are easily taken for each other, for the last stage.
    """

    set: tuple[str, ...]
    easy: tuple[str, ...] = ()
    hard: tuple[tuple[str, ...], ...] = ()


def read_letters(reader: ThemeReader, row: Mapping[str, Any], at: At) -> Letters:
    """The table; without a set, the first letters of the words."""
    taught = list(dict.fromkeys(word.letter for word in reader.words.values() if word.letter))
    chosen = reader.texts(row, "set", at, needed=False) or tuple(taught)
    easy = reader.texts(row, "easy", at, needed=False)
    hard = tuple(
        tuple(pair) for _number, pair in reader.items(row, "hard", at, "pair of letters", list)
    )
    for letter in (*chosen, *easy):
        if not (len(letter) <= 3 and letter.isalpha()):
            reader.problem(at, "set", f"{quoted(letter)} is not a letter; give one to three")
        elif letter not in chosen:
            reader.problem(at, "easy", f"{letter} is not in set; add it there or drop it")
        elif letter.casefold() not in {one.casefold() for one in taught}:
            reader.remark(at, "set", f"no word of the theme begins with {letter}")
    for pair in hard:
        if len(pair) != 2 or not all(
            isinstance(one, str) and len(one) == 1 and one.isalpha() for one in pair
        ):
            reader.problem(at, "hard", 'not a pair of letters; write ["b", "d"]')
    reader.refuse_twice(chosen, at, "set")
    return Letters(chosen, easy, hard)


def letters_of(theme: Theme) -> Letters:
    """The letters of a theme; without a table of them, the first letters of its words."""
    rows = theme.rows(LETTERS)
    taught = tuple(dict.fromkeys(word.letter for word in theme.words if word.letter))
    return rows[0] if rows else Letters(taught)


LETTERS: Section[Letters] = Section(
    "letters",
    ("set", "easy", "hard"),
    read_letters,
    once=True,
    starter="""\
# --- letters to match, the ones to begin with first ----------------------------------------------

[letters]
set = ["T", "L", "O", "C", "B", "W"]
# easy = ["T", "L", "O"]
# hard = [["b", "p"]]               # small letters easily taken for each other
""",
)
