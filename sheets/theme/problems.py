"""Errors that say everything wrong with a teacher's file at once, and the words for it."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable

from shapes.errors import InputError


class ProblemsError(InputError):
    """What is wrong with a file: ``problems`` holds one line for each thing to mend.

    As text it is a single line: the only problem, or their number and the first.
    """

    def __init__(self, *problems: str) -> None:
        self.problems = tuple(" ".join(problem.split()) for problem in problems)
        first, count = self.problems[0], len(self.problems)
        super().__init__(first if count == 1 else f"{count} problems, the first: {first}")


_TURNS_TEXT = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def nearest(word: str, known: Iterable[str]) -> str:
    """``did you mean ...?`` with the nearest known word, else the list of all that are known."""
    known = list(known)
    near = difflib.get_close_matches(word.casefold(), known, n=1)
    return f"did you mean {near[0]}?" if near else f"known: {', '.join(known)}"


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
