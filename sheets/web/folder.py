"""The teacher's folder: which files are in it, and files that are open, read and written whole.

A file that another program has changed since it was read is never written over.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from shapes.errors import FileError, InputError
from sheets import desk, desk_page

THEMES = (".toml",)
CLASSES = (".csv", ".xlsx")
DRAWINGS = "drawings"
STATE = "tablework-page.json"
MAX_BYTES = 2_000_000

_Stamp = tuple[int, int]


class ChangedOutsideError(FileError):
    """Another program has written the file since it was read here."""


class Folder:
    """Files by their plain names; nothing else in the system can be named.

    Raises:
        FileError: there is no such folder.
    """

    def __init__(self, path: Path) -> None:
        if not path.is_dir():
            raise FileError("no such folder", where=str(path), fix="check its name")
        self.path = path.resolve()

    def names(self, endings: tuple[str, ...]) -> list[str]:
        """Files with these endings, in alphabetical order."""
        try:
            files = [file.name for file in self.path.iterdir()]
        except OSError as error:
            reason = error.strerror or "system error"
            raise FileError(
                f"the folder cannot be read ({reason})", where=str(self.path), fix="is it there?"
            ) from None
        found = [name for name in files if not name.startswith((".", "~"))]
        return sorted(
            name for name in found
            if name.lower().endswith(endings) and (self.path / name).is_file()
        )  # fmt: skip

    def file(self, name: str, endings: tuple[str, ...]) -> Path:
        """The file of that name, which must be one of :meth:`names`."""
        if name not in self.names(endings):
            raise InputError(
                f"there is no file '{name}' in the folder", fix="choose one of the list"
            )
        return self.path / name

    def new(self, title: str, ending: str) -> Path:
        """A file that is not there yet, called after a title."""
        stem, number = desk.slug(title), 1
        while (path := self.path / f"{stem}{'' if number == 1 else f'-{number}'}{ending}").exists():
            number += 1
        return path

    def new_drawing(self, title: str, ending: str) -> Path:
        """A drawing that is not there yet, in a folder that is made for them."""
        folder = self.path / DRAWINGS
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            reason = error.strerror or "system error"
            raise FileError(f"cannot be made ({reason})", where=str(folder)) from None
        return Folder(folder).new(title, ending)


class OpenFile:
    """A file as it was last read or written here; ``content`` is empty if it is not there yet."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.content = b""
        self._stamp: _Stamp | None = None
        self.read()

    @property
    def name(self) -> str:
        return self.path.name

    def read(self) -> None:
        """Take the file as it is now."""
        self._stamp = self._stamp_now()
        content = b"" if self._stamp is None else desk.read_bytes(self.path)
        if len(content) > MAX_BYTES:
            raise FileError(
                f"larger than {MAX_BYTES // 1_000_000} MB", where=self.name, fix="choose another"
            )
        self.content = content

    def changed_outside(self) -> bool:
        """Whether another program has changed it; a mere touch is none."""
        stamp = self._stamp_now()
        if stamp == self._stamp:
            return False
        now = b"" if stamp is None else desk.read_bytes(self.path)
        if (stamp is None) != (self._stamp is None) or _digest(now) != _digest(self.content):
            return True
        self._stamp = stamp
        return False

    def write(self, content: bytes) -> None:
        """Replace the file whole.

        Raises:
            ChangedOutsideError: it is no longer what was read here; nothing is written.
            FileError: it cannot be written.
        """
        if self.changed_outside():
            raise ChangedOutsideError(
                "another program has changed this file", where=self.name, fix="choose what counts"
            )
        desk_page.write_bytes(content, self.path)
        self.content, self._stamp = content, self._stamp_now()

    def _stamp_now(self) -> _Stamp | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size


def _digest(content: bytes) -> bytes:
    return hashlib.sha256(content).digest()
