"""A limit to the time that outlining one picture takes, looked at before each costly step."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from shapes.errors import PictureError


@dataclass(frozen=True, slots=True)
class _Limit:
    ends: float
    seconds: float
    where: str


_limit: ContextVar[_Limit | None] = ContextVar("limit", default=None)


@contextmanager
def within(seconds: float, where: str) -> Iterator[None]:
    """What is done inside takes so many seconds of the processor at most.

    Args:
        where: the picture's name, for the message.

    Raises:
        PictureError: from :func:`look`, when the time is over.
    """
    before = _limit.set(_Limit(time.thread_time() + seconds, seconds, where))
    try:
        yield
    finally:
        _limit.reset(before)


def look() -> None:
    """Go on if there is time left, or no limit.

    Raises:
        PictureError: the time is over.
    """
    limit = _limit.get()
    if limit is not None and time.thread_time() > limit.ends:
        raise PictureError(
            f"takes more than {limit.seconds:g} seconds to be outlined",
            where=limit.where,
            fix="simplify the drawing",
        )
