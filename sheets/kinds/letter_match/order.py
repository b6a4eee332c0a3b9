"""Where the answers stand on a page of lines: never so that drawing straight down is right.

Of two answers none stands straight below what it answers. The two either change places, or keep
their order and stand to one side (:attr:`Block.shift`), each half of the time: if they only
changed places, an answer could be found without looking at the letters.

With three or more at most one stands straight below. In two rows of the same number exactly one
does: for every place to be the right one equally often, one on average has to. In a longer row of
choices, an arrangement is used if all its rotations are allowed, for the same reason. Every
arrangement that is left is equally likely.
"""

from __future__ import annotations

import dataclasses
import itertools
import random
from functools import cache

from sheets.kinds.letter_match.letters import Block, shuffled

Arrangement = tuple[int, ...]
"""For each target, from the left, the place of its answer among the choices, counted from 0."""


@cache
def arrangements(targets: int, choices: int) -> tuple[Arrangement, ...]:
    """The arrangements that are used, all equally likely.

    Args:
        targets: things in the row asked, 1 or more; each has an answer of its own.
        choices: places in the row of answers, not fewer.
    """
    found = tuple(itertools.permutations(range(choices), targets))
    if targets == choices:
        # Of two the one in order is for rows that are shifted against each other.
        return tuple(p for p in found if choices <= 2 or straight(p, choices) == 1)
    return tuple(
        p
        for p in found
        if all(straight(_rotated(p, by, choices), choices) <= 1 for by in range(choices))
    )


def straight(places: Arrangement, choices: int) -> int:
    """How many answers stand straight below their targets in rows of even cells.

    An answer does if its cell lies under the middle of the target's.
    """
    return sum(below(i, len(places), choices) == place for i, place in enumerate(places))


def below(target: int, targets: int, choices: int) -> int | None:
    """The place whose cell lies under the middle of a target; None if that is where two meet."""
    place, rest = divmod((2 * target + 1) * choices, 2 * targets)
    return place if rest else None


def _rotated(places: Arrangement, by: int, choices: int) -> Arrangement:
    return tuple((place + by) % choices for place in places)


def arranged(block: Block, rng: random.Random) -> Block:
    """A block of lines with its choices in one of the arrangements."""
    places = rng.choice(arrangements(len(block.targets), len(block.choices)))
    answers = {place: t.answer for place, t in zip(places, block.targets, strict=True)}
    others = iter(shuffled((x for x in block.choices if x not in answers.values()), rng))
    choices = tuple(answers[i] if i in answers else next(others) for i in range(len(block.choices)))
    parallel = len(block.choices) == 2 == len(places) and places == (0, 1)
    return dataclasses.replace(block, choices=choices, shift=rng.choice((-1, 1)) if parallel else 0)


def sort_arranged(block: Block, rng: random.Random) -> Block:
    """A sort with its pictures dealt to the rows above and below the letters.

    Each row is one of the arrangements of a page of lines; with two letters a row that keeps their
    order is shifted.
    """
    count = len(block.choices)
    rows = len(block.targets) // count
    drawn = [rng.choice(arrangements(count, count)) for _ in range(rows)]
    left = {x: [t for t in block.targets if t.answer == x] for x in block.choices}
    targets = tuple(left[block.choices[place]].pop() for places in drawn for place in places)
    parallel = count == 2 and (0, 1) in drawn
    return dataclasses.replace(block, targets=targets, shift=rng.choice((-1, 1)) if parallel else 0)
