"""Tells of a fault of the program without anything that a teacher typed."""

from __future__ import annotations

import sys
import traceback


def tell(error: BaseException) -> None:
    """Where it happened and of what type, on standard error; a message could hold a name."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    sys.stderr.write(f"{type(error).__name__} in {place.filename}:{place.lineno}\n")
