"""Tags of children: made from the child's own name, so that they stay with the child."""

from __future__ import annotations

import hashlib
import itertools
from collections import Counter
from collections.abc import Iterator, Sequence

from shapes.letters.page_font import in_page_font

MAX_TAG = 6
"""Longest tag that is read; those made here have three signs, rarely four."""

_FIRST_DIGITS = 2
"""A hundred tags for an initial, so that two children of a class seldom want the same one."""


def give_tags(names: Sequence[str], given: Sequence[str]) -> list[str]:
    """A tag for every name of a class; those given by the teacher stay.

    A name takes the first of its own :func:`choices` that is no choice of another child of the
    class, no tag of the teacher's and nobody's name. So:

    - A tag never goes from one child to another who was in the class as well.
    - A child's tag changes only when somebody comes or goes, or is named or tagged anew, who likes
      the same tag (initial and both figures), or whose name or given tag is just that. Of children
      who like the same, each has a longer tag, of which the same is true.
    - The order of the rows does not matter, save that children of one name are counted from the
      top: nothing else tells them apart.

    Args:
        names: in the order of the file.
        given: the teacher's tags; empty where there is none.
    """
    keys = _keys(names)
    made = {index: choices(*keys[index]) for index, tag in enumerate(given) if not tag}
    not_free = {text.casefold() for text in (*given, *names)}
    tags = list(given)
    left = set(made)
    while left:
        # Choices of one length at a time, also of those who have their tag already.
        liked = {index: next(choice) for index, choice in made.items()}
        wanted = Counter(tag.casefold() for tag in liked.values())
        for index in sorted(left):
            tag = liked[index].casefold()
            if wanted[tag] == 1 and tag not in not_free:
                tags[index] = liked[index]
                left.discard(index)
    return tags


def choices(name: str, same_above: int = 0) -> Iterator[str]:
    """The tags a child would like, the shortest first: the initial and figures made from the name.

    The figures stand for nothing, so a tag tells of a name no more than its initial.

    Args:
        same_above: children of the same name further up in the class.
    """
    initial = next((char for char in name if char.isalpha() and in_page_font(char)), "X")
    if len(initial.upper()) == 1:  # the capital of a few letters is two letters long
        initial = initial.upper()
    key = f"{name.casefold()}\n{same_above}"
    for digits in itertools.count(_FIRST_DIGITS):
        number = int.from_bytes(hashlib.sha256(f"{key}\n{digits}".encode()).digest())
        yield f"{initial}{number % 10**digits:0{digits}}"


def _keys(names: Sequence[str]) -> list[tuple[str, int]]:
    """Each name with the number of children of that name above it."""
    seen: Counter[str] = Counter()
    keys = []
    for name in names:
        keys.append((name, seen[name.casefold()]))
        seen[name.casefold()] += 1
    return keys
