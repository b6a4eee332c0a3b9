"""Errors that say everything wrong with a teacher's file at once, and the words for it."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable, Sequence

from shapes.errors import InputError

MOST_TOLD = 20
"""Problems of one file that are told; more are only counted, as nobody mends more at a time."""


class ProblemsError(InputError):
    """What is wrong with a file: ``problems`` holds one line for each thing to mend.

    Of more than :data:`MOST_TOLD` the last line says how many there are besides. As text it is a
    single line: the only problem, or their number and the first.

    Args:
        count: how many problems there are in all, if not all of them are given.
    """

    def __init__(self, *problems: str, count: int | None = None) -> None:
        count = len(problems) if count is None else count
        told = [" ".join(problem.split()) for problem in problems[:MOST_TOLD]]
        first, more = told[0], count - len(told)
        rest = [f"and {count_of(more, 'more problem')}"] if more else []
        self.problems = (*told, *rest)
        super().__init__(first if count == 1 else f"{count} problems, the first: {first}")


class Problems:
    """Collects the problems of a file: keeps those that are told and counts the rest."""

    def __init__(self) -> None:
        self._told: list[str] = []
        self._count = 0

    def __len__(self) -> int:
        return self._count

    @property
    def full(self) -> bool:
        """Whether the next ones are only counted."""
        return self._count >= MOST_TOLD

    def append(self, problem: str) -> None:
        """Note a problem, one line."""
        if not self.full:
            self._told.append(problem)
        self._count += 1

    def refuse(self, error: type[ProblemsError]) -> None:
        """Raise that error if there are problems."""
        if self._told:
            raise error(*self._told, count=self._count)


_TURNS_TEXT = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def nearest(word: str, known: Iterable[str]) -> str:
    """``did you mean ...?`` with the nearest known word, else the list of all that are known."""
    known = list(known)
    near = nearest_of(word.casefold(), known)
    return f"did you mean {near}?" if near else f"known: {', '.join(known)}"


def nearest_of(word: str, known: Iterable[str]) -> str:
    """The known word that is nearest; empty if none is near."""
    # Comparing takes long for long texts, and a known word is never that long.
    near = difflib.get_close_matches(word[:60], list(known), n=1)
    return near[0] if near else ""


def count_of(number: int, one: str, many: str = "") -> str:
    """A number of things, such as ``1 page`` and ``2 pages``."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def few(texts: Sequence[str], most: int = 6) -> str:
    """Texts with commas between them; of many the first and how many there are besides."""
    more = f" and {len(texts) - most} more" if len(texts) > most else ""
    return ", ".join(texts[:most]) + more


def unprintable(text: str) -> bool:
    """Whether a text holds line breaks, control characters or marks that turn its direction."""
    return any(
        char in _TURNS_TEXT or unicodedata.category(char) in {"Cc", "Cs", "Zl", "Zp"}
        for char in text
    )


def quoted(text: str) -> str:
    """Text of a file inside a message: one line, not too long, no control characters."""
    shown = "".join(char if char.isprintable() else "?" for char in text)
    return f'"{shown[:40]}..."' if len(shown) > 40 else f'"{shown}"'
