"""Reads the files that teachers write."""

from __future__ import annotations

from pathlib import Path

from shapes.errors import FileError


def read_file(name: str, most: int, what: str) -> bytes:
    """The content of a file, and one byte more than ``most`` of a larger one.

    Args:
        what: the file is called so in messages, such as ``theme``.

    Raises:
        FileError: it is missing or unreadable.
    """
    try:
        with Path(name).open("rb") as file:
            return file.read(most + 1)
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        reason = getattr(error, "strerror", None) or "not a usable file name"
        raise FileError(
            f"{what} cannot be read ({reason})", where=name, fix="check the file name"
        ) from None
