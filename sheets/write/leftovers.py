"""What a run that was ended by force has left behind: hidden files and folders beside the real one.

A finished file or folder gets its name at the very end; until then it lies beside its place under a
hidden name, which tells the process that writes it: ``.NAME.PROCESS-NUMBER.part``. Pages hold names
of children, so none of that may stay for good.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from pathlib import Path

LEFT_AFTER_S = 3600.0
"""What is older belongs to no running process, whatever its number says: numbers are given anew,
and not every system tells about them. Writing takes seconds."""


def unfinished(path: Path, number: int) -> Path:
    """A name beside a path for what this process is about to put there."""
    return path.with_name(f".{path.name}.{os.getpid()}-{number}.part")


def left_over(path: Path) -> Iterator[Path]:
    """The unfinished files or folders of one path whose process is gone."""
    named = re.compile(rf"\.{re.escape(path.name)}\.([0-9]{{1,10}})-[0-9]+\.part")
    try:
        beside = sorted(path.parent.iterdir())
    except OSError:
        return
    for item in beside:
        found = named.fullmatch(item.name)
        if found and not item.is_symlink() and _is_left(item, int(found[1])):
            yield item


def _is_left(item: Path, process: int) -> bool:
    try:
        old = time.time() - item.stat().st_mtime > LEFT_AFTER_S
    except OSError:
        return False
    return old or _is_gone(process)


def _is_gone(process: int) -> bool:
    if os.name != "posix":
        return False  # elsewhere asking would end the process
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return True
    except PermissionError:
        return False
    return False
