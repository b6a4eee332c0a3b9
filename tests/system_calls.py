"""What the system itself can do, asked past the program."""

from __future__ import annotations

import ctypes
import os
import platform
import sys
from pathlib import Path

_EXCHANGES = {"x86_64": 316, "aarch64": 276, "riscv64": 276}
"""Number of the call renameat2 in the tables of the Linux kernel, by machine."""


def exchanged_by_the_system(one: Path, other: Path) -> bool:
    """Change the names of two folders by the bare number of the call; False if that is not had."""
    number = _EXCHANGES.get(platform.machine())
    if sys.platform != "linux" or number is None:
        return False
    here, at_once = -100, 2  # AT_FDCWD of openat(2), RENAME_EXCHANGE of renameat2(2)
    names = (here, os.fsencode(one), here, os.fsencode(other), at_once)
    return bool(ctypes.CDLL(None).syscall(number, *names) == 0)
