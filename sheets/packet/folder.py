"""Puts a folder of files in the place of an older one, all at once or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from shapes.errors import FileError
from sheets.packet.digest import FILES, INDEX
from sheets.packet.exchange import exchange
from sheets.write.files import told_plainly
from sheets.write.leftovers import left_over, unfinished

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
        _check_place(folder)
        before = _before(folder)
        if _is_packet(before) and not folder.exists():
            before.rename(folder)  # a power cut in the middle of two renames
        _check_content(folder, selection, force)
        _clear_leftovers(folder)
        new = _new_folder(folder)
    try:
        yield new
        with told_plainly(folder, "its files"):
            old = _swap(folder, new)
            if old is not None:
                _clear(old, folder)
    except BaseException:
        # Also when the user presses Ctrl-C: nothing half done stays behind.
        with contextlib.suppress(OSError):
            _clear(new, folder)
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
    if os.path.ismount(folder):
        raise FileError(
            "this is a whole drive, and a packet needs a folder of its own",
            where=str(folder),
            fix=f"name a folder on it, such as {folder / 'packet'}",
        )
    if folder in (Path.cwd(), *Path.cwd().parents):
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
    if folder.exists() and not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise FileError(
            "the files in this folder may not be changed",
            where=str(folder),
            fix="allow it, or name another",
        )


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
        new = unfinished(folder, number)
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


# --- the swap -------------------------------------------------------------------------------------


def _swap(folder: Path, new: Path) -> Path | None:
    """Give the new folder its name, and return where the old one is then.

    In one step where the system has it. Else two renames; what was there comes back if the second
    fails, and the next run brings it back if the program is ended between them.
    """
    if not folder.exists():
        new.rename(folder)
        return None
    if exchange(folder, new):
        return new
    before = _before(folder)
    if os.path.lexists(before):
        raise FileError(
            f"'{before.name}' beside it is in the way",
            where=str(folder),
            fix="rename or delete that, or name another folder",
        )
    folder.rename(before)
    try:
        new.rename(folder)
    except BaseException:
        before.rename(folder)
        raise
    return before


def _before(folder: Path) -> Path:
    return folder.with_name(f".{folder.name}.before")


def _is_packet(folder: Path) -> bool:
    """Whether it is a folder of ours, not a link to one."""
    return _is_real(folder) and old_index(folder) is not None


def _is_rest(folder: Path) -> bool:
    """Whether it is a packet, or what is left of one."""
    return _is_packet(folder) or (
        _is_real(folder) and all(item.name in FILES for item in folder.iterdir())
    )


def _is_real(folder: Path) -> bool:
    return folder.is_dir() and not folder.is_symlink()


def _clear_leftovers(folder: Path) -> None:
    """Remove what earlier runs left beside it that were ended by force."""
    left = [item for item in left_over(folder) if item.is_dir()]
    if folder.is_dir() and _is_rest(_before(folder)):
        left.append(_before(folder))
    for item in left:
        with contextlib.suppress(OSError):  # the next run tries again
            _clear(item, folder)


def _clear(old: Path, folder: Path) -> None:
    """Delete the files of a packet in an old or half-made folder, and the folder.

    Whatever is not of a packet goes into the folder that has taken its place, or stays.
    """
    # The index last: what it is told by stays until all else is gone.
    for item in sorted(old.iterdir(), key=lambda item: (item.name == INDEX, item.name)):
        if item.name in FILES or _UNFINISHED.fullmatch(item.name):
            with contextlib.suppress(OSError):  # open in another program; the next run tries again
                item.unlink()
        elif folder.is_dir() and not os.path.lexists(folder / item.name):
            item.rename(folder / item.name)
    with contextlib.suppress(OSError):  # something is left in it
        old.rmdir()


_UNFINISHED = re.compile(rf"\.({'|'.join(map(re.escape, FILES))})\.[0-9]+-[0-9]+\.part")
