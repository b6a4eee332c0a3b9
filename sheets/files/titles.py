"""The title that a teacher gives a file to start from."""

from __future__ import annotations

from shapes.errors import InputError
from sheets.theme.fields import MAX_TEXT
from sheets.theme.problems import unprintable


def title_line(title: str) -> str:
    """A title as one line.

    Raises:
        InputError: it is empty, too long, or holds control characters.
    """
    line = " ".join(title.split())
    if not line or len(line) > MAX_TEXT or unprintable(line):
        raise InputError(
            "a title is one line of ordinary letters", fix=f"give 1 to {MAX_TEXT} of them"
        )
    return line
