"""How long the unit, the strip and the things are. Lengths in mm."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass

from shapes.errors import InputError
from shapes.pictures.picture import Picture
from sheets.kinds import toolkit as kit
from sheets.kinds.measure_strip import MeasureStripChoices
from sheets.kinds.toolkit import Options, Source, Step
from sheets.page.frame import WORK_WIDTH

NAME = "measure-strip"
LEAST_WITH_PICTURE = 15.0
"""Shorter units have their number only, mm."""
END_PICTURE = 22.0
"""Side of the picture at the end of a thing, and its distance from it."""
END_GAP = 3.0
FROM_ONE_LINE_UNTIL = 3
"""Last stage at which all things begin below each other: they can be compared by eye."""
TAIL, TAB = 4.0, 12.0
"""Paper after the last unit, and that on which the next part is glued."""
LONGEST = 164.0
"""A strip or a part of one, with its tail; the grid of cards is no wider."""
MOST_PARTS = 5
"""Parts of one strip that are on a page."""
_BITS = (0.3, 0.4, 0.5, 0.6, 0.7)


@dataclass(frozen=True, slots=True)
class Thing:
    """Something to measure.

    Args:
        length: in units; whole ones until stage 4.
        start: from the left side of the work area, mm.
    """

    step: Step
    length: float
    start: float

    @property
    def whole(self) -> int:
        """Units that fit into it."""
        return int(self.length + 1e-9)

    @property
    def more(self) -> bool:
        """Whether it is a bit longer than that."""
        return self.length - self.whole > 1e-9


@dataclass(frozen=True, slots=True)
class StripTask(kit.Task):
    """The unit, how many a strip has, and the things.

    Args:
        unit: mm.
        picture: what a unit shows; None where a unit is too short for one.
    """

    unit: float
    count: int
    numbered: bool
    picture: Picture | None
    things: tuple[Thing, ...]


def task(source: Source, stage: int, options: Options, choices: MeasureStripChoices) -> StripTask:
    """A strip of the stage and things of different lengths.

    Raises:
        InputError: so few or so long units that no things of the stage fit the page, or a strip
            that is too long for it.
    """
    rng = random.Random(f"{options.seed}:{stage}:strip")
    title = kit.title(NAME, "long", options.words_language)
    theme = source.as_theme(title)
    unit = float(choices.unit_mm or kit.amount(NAME, stage, "unit"))
    count = choices.count or int(kit.amount(NAME, stage, "units"))
    _check(count, unit)
    wanted = int(kit.amount(NAME, stage, "things"))
    steps = kit.distinct(theme, 1)
    shown = rng.sample(steps, min(wanted + 1, len(steps)))
    single = kit.of_one_thing(shown)
    shown.sort(key=lambda step: step not in single)  # a unit is one thing
    lengths = _lengths(rng, stage, unit, count, wanted)
    ends = itertools.cycle(shown[1:] or shown)
    things = tuple(
        Thing(step, length, _start(rng, stage, length * unit))
        for step, length in zip(ends, lengths, strict=False)
    )
    picture = shown[0].picture if unit >= LEAST_WITH_PICTURE else None
    numbered = bool(kit.amount(NAME, stage, "numbered"))
    return StripTask(stage, title, theme.badge, unit, count, numbered, picture, things)


def parts_of(count: int, unit: float) -> tuple[int, int]:
    """How many parts a strip has, and how many units each has at most."""
    if count * unit + TAIL <= LONGEST:
        return 1, count
    most = int((LONGEST - TAB) // unit)
    parts = math.ceil(count / most)
    return parts, math.ceil(count / parts)


def _check(count: int, unit: float) -> None:
    parts, _ = parts_of(count, unit)
    if parts > MOST_PARTS:
        raise InputError(
            f"a strip of {count} units of {unit:g} mm is in {parts} parts, more than a page has "
            f"room for",
            where="`count`",
            fix="take fewer or shorter units",
        )


def _lengths(
    rng: random.Random, stage: int, unit: float, count: int, wanted: int
) -> tuple[float, ...]:
    """Different lengths in units, in no order; all whole, or most of them a bit more.

    Raises:
        InputError: there are not so many that are far enough apart.
    """
    room = int((WORK_WIDTH - END_PICTURE - END_GAP) / unit + 1e-9)
    most = min(count, int(kit.amount(NAME, stage, "units")), room)
    apart = int(kit.amount(NAME, stage, "apart"))
    bits = bool(kit.amount(NAME, stage, "bit_more"))
    # A bit more has to end on the strip and on the page.
    whole = range(1, most + (not bits))
    ways = [
        way
        for way in itertools.combinations(whole, wanted)
        if all(b - a >= apart + bits for a, b in itertools.pairwise(way))
    ]
    if not ways:
        raise InputError(
            f"{wanted} lengths {apart} apart do not fit {most} units of {unit:g} mm",
            where="`unit-mm`",
            fix="take shorter units or more of them, or another stage",
        )
    way = list(rng.choice(ways))
    rng.shuffle(way)
    if not bits:
        return tuple(map(float, way))
    return tuple(k + (rng.choice(_BITS) if place else 0.0) for place, k in enumerate(way))


def _start(rng: random.Random, stage: int, length: float) -> float:
    """Where a thing begins: below the others, or anywhere that it fits."""
    if stage <= FROM_ONE_LINE_UNTIL:
        return 0.0
    return round(rng.uniform(0.0, WORK_WIDTH - END_PICTURE - END_GAP - length), 1)
