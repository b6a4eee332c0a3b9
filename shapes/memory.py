"""A small memory of what was made of things that are known by identity."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Thing = TypeVar("Thing")
Made = TypeVar("Made")


class ByIdentity(Generic[Thing, Made]):
    """What was made of the latest things.

    For things whose comparison costs as much as making it anew. A thing is held while it is known,
    so that its identity stays its own.

    Args:
        most: how many are known; one more, and all are forgotten.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._known: dict[tuple[int, Hashable], tuple[Thing, Made]] = {}

    def get(self, thing: Thing, how: Hashable, make: Callable[[], Made]) -> Made:
        """What ``make`` returns, or returned before for this very thing.

        Args:
            how: what else the result depends on.
        """
        key = (id(thing), how)
        known = self._known.get(key)
        if known is None:
            if len(self._known) >= self._most:
                self._known.clear()
            known = self._known[key] = (thing, make())
        return known[1]
