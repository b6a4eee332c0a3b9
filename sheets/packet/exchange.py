"""Two folders change their names in one step of the system: neither name is ever missing."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

_HERE = -100  # AT_FDCWD and RENAME_EXCHANGE of Linux, as in its manual page renameat2(2)
_EXCHANGE = 2
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP, errno.ENOTTY, errno.EPERM}
"""What a system answers that does not know the call, or a file system that has no such step."""


def exchange(one: Path, other: Path) -> bool:
    """Let two folders beside each other change names; False where that is not to be had.

    Args:
        one, other: both there; names that are not absolute as seen from the folder one is in.

    Raises:
        OSError: the system refuses it, as it would refuse to rename them one by one.
    """
    if sys.platform != "linux":
        return False
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError):  # a C library that lacks it
        return False
    if call(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in _CANNOT:
        return False
    raise OSError(number, os.strerror(number), str(one))
