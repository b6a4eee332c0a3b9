"""The errors a user can meet: one line that says what is wrong, where, and what to do."""

from __future__ import annotations

import re
from collections.abc import Callable

_FIELD = re.compile(r"`([a-z][a-z-]*)`")


class TableworkError(Exception):
    """Base of every error that is the input's fault, never the program's.

    ``str(error)`` is one line that must stand alone. A setting that the user chose is named by its
    field between backquotes, as in ```steps```; each face puts its own name for it there (see
    :func:`worded`).

    Args:
        what: what is wrong, a short clause without a full stop.
        where: file, row, option or picture it concerns; may be empty.
        fix: what the user can do about it; may be empty.
    """

    def __init__(self, what: str, *, where: str = "", fix: str = "") -> None:
        self.what = what
        self.where = where
        self.fix = fix
        super().__init__(self._one_line())

    def _one_line(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        if self.fix:
            text = f"{text}; {self.fix}"
        return " ".join(text.split())


def worded(text: str, name: Callable[[str], str]) -> str:
    """A message with its fields in the words of a face.

    Args:
        name: field such as ``bar-measures`` -> what the user knows it by.
    """
    return _FIELD.sub(lambda found: name(found[1]), text)


class InputError(TableworkError, ValueError):
    """A word, option, value or file content that cannot be used."""


class FileError(TableworkError, OSError):
    """A file or folder that cannot be read or written."""

    def __str__(self) -> str:
        # OSError would otherwise print its errno tuple.
        return self._one_line()


class PictureError(InputError):
    """A picture that is unknown, unreadable, unsuitable for cutting, or not allowed."""


class FitError(InputError):
    """Something that does not fit the paper at true size."""


class GlyphError(InputError):
    """A character that the page font cannot show."""
