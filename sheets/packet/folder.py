"""Puts a folder of files in the place of an older one, all at once or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

from shapes.errors import FileError
from sheets.packet.digest import FILES, INDEX
from sheets.write.files import told_plainly

MADE_BY = "tablework packet"


def check_folder(folder: Path, selection: Mapping[str, object], *, force: bool) -> None:
    """Whether :func:`replacing` would take the folder; asked before long work.

    Raises:
        FileError: as :func:`replacing`.
    """
    with told_plainly(folder, "its files"):
        folder = _resolved(folder)
        _check_place(folder)
        _check_content(folder, selection, force)


@contextlib.contextmanager
def replacing(folder: Path, selection: Mapping[str, object], *, force: bool) -> Iterator[Path]:
    """A new folder to write into, which takes the place of ``folder`` when the block ends well.

    An older packet in ``folder`` is replaced; files that are no part of a packet are kept. If the
    block raises, or the program is stopped, ``folder`` is as it was.

    Args:
        folder: may be missing, empty, or hold an older packet.
        selection: what part of class and plan the new packet holds.
        force: also replace a packet of a larger part, and write beside files of others.

    Raises:
        FileError: the folder holds other files or a larger packet and ``force`` is off, or it
            cannot be written.
    """
    with told_plainly(folder, "its files"):
        folder = _resolved(folder)
        before = folder.with_name(f".{folder.name}.before")
        _check_place(folder)
        _bring_back(folder, before)
        _check_content(folder, selection, force)
        new = _new_folder(folder)
    try:
        yield new
        with told_plainly(folder, "its files"):
            _swap(folder, new, before)
    except BaseException:
        # Also when the user presses Ctrl-C: nothing half done stays behind.
        shutil.rmtree(new, ignore_errors=True)
        raise


def _resolved(folder: Path) -> Path:
    """The folder itself, not a link to it; a loop of links leads nowhere."""
    try:
        return folder.resolve()
    except RuntimeError:  # Python before 3.13
        raise FileError(
            "links that lead in a circle", where=str(folder), fix="name another"
        ) from None


def _check_place(folder: Path) -> None:
    parent = folder.parent
    if folder == parent or folder in (Path.cwd(), *Path.cwd().parents):
        raise FileError(
            "a packet needs a folder of its own, below or beside the one you are in",
            where=str(folder),
            fix="name another, such as packet",
        )
    if not parent.is_dir():
        raise FileError(
            f"there is no folder '{parent}'",
            where=str(folder),
            fix="make that folder first or name another",
        )
    if folder.exists() and not folder.is_dir():
        raise FileError("this is a file, not a folder", where=str(folder), fix="name another")


def _bring_back(folder: Path, before: Path) -> None:
    """After a power cut in the middle of the swap the old packet is still there under its other
    name."""
    if before.is_dir() and not folder.exists():
        before.rename(folder)


def _check_content(folder: Path, selection: Mapping[str, object], force: bool) -> None:
    if force or not folder.is_dir():
        return
    names = sorted(item.name for item in folder.iterdir())
    if not names:
        return
    index = old_index(folder)
    others = [name for name in names if name not in FILES]
    if index is None or others:
        shown = ", ".join((others or names)[:3]) + (", ..." if len(others or names) > 3 else "")
        raise FileError(
            f"the folder holds other files ({shown})",
            where=str(folder),
            fix="name another folder, or give `force` to write the packet beside them",
        )
    old = index.get("selection")
    if isinstance(old, dict):
        if old.get("theme") != selection["theme"]:
            raise FileError(
                f"the folder holds the packet of another theme ({old.get('theme')}), "
                "which would be lost",
                where=str(folder),
                fix="name another folder, or give `force` to replace it",
            )
        for what in ("children", "kinds", "days"):
            if old.get(what) != selection[what] and selection[what] != "all":
                raise FileError(
                    f"the folder holds a packet of other {what}, which would be lost",
                    where=str(folder),
                    fix="name another folder, or give `force` to replace it",
                )


def old_index(folder: Path) -> dict[str, object] | None:
    """The index of an older packet; None if the folder holds none."""
    try:
        content = json.loads((folder / INDEX).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return content if isinstance(content, dict) and content.get("made_by") == MADE_BY else None


def _new_folder(folder: Path) -> Path:
    for number in range(1000):
        new = folder.with_name(f".{folder.name}.{os.getpid()}-{number}.part")
        try:
            new.mkdir()
        except FileExistsError:
            continue  # left behind by a crash, or of another run
        return new
    raise FileError(
        "a thousand unfinished packets beside it",
        where=str(folder),
        fix=f"delete the folders .{folder.name}.*.part",
    )


def _swap(folder: Path, new: Path, before: Path) -> None:
    """Two renames; what was there comes back if the second fails."""
    if not folder.exists():
        new.rename(folder)
        return
    if before.exists():
        _merge_others(before, folder)
        shutil.rmtree(before)
    folder.rename(before)
    try:
        new.rename(folder)
    except BaseException:
        before.rename(folder)
        raise
    _merge_others(before, folder)
    shutil.rmtree(before, ignore_errors=True)


def _merge_others(old: Path, folder: Path) -> None:
    """Move what is no part of a packet from the old folder to the new one."""
    for item in sorted(old.iterdir()):
        if item.name not in FILES:
            item.rename(folder / item.name)
