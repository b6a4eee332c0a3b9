"""The date that a PDF document carries, where the environment asks for one."""

from __future__ import annotations

import os
import re

from shapes.errors import InputError

_YEAR_10000 = 253_402_300_800


def check_date() -> None:
    """Whether reportlab can read the variable of reproducible builds, if it is set.

    Raises:
        InputError: it is no number of seconds from 1970 to the year 9999.
    """
    given = os.environ.get("SOURCE_DATE_EPOCH", "").strip()
    if given and not (re.fullmatch("[0-9]{1,12}", given) and int(given) < _YEAR_10000):
        raise InputError(
            f"the environment variable SOURCE_DATE_EPOCH is '{given[:40]}'",
            fix="set it to a number of seconds since 1970, or clear it",
        )
