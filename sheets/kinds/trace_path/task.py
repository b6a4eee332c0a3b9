"""What a page of lanes asks: which ways, in which rows, between which pictures."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.errors import InputError
from sheets.kinds import toolkit as kit
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import setting
from sheets.kinds.source import Source
from sheets.kinds.trace_path import TracePathChoices
from sheets.kinds.trace_path.ways import WAYS
from sheets.theme.problems import count_of
from sheets.theme.theme import Step

NAME, COPY = "trace-path", "copy"
MOST_FOR_LOW_VISION = 2
"""Lanes and shapes on a page for low vision (our setting)."""

MOST_WIDE, MOST_OF_ONE = 3, 4
"""Of one lane as wide as the page, or of stage 0, and of any other, on a page."""

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class TracePathTask(kit.Task):
    """A page of lanes.

    Args:
        rows: names of ways from the top down; :data:`COPY` is a box to draw the one before it.
        pairs: where each way starts and where it ends, in the order of the rows.
        names: of the first pair in the page's language; None if there are none that fit.
    """

    rows: Rows
    pairs: tuple[tuple[Step, Step], ...]
    names: tuple[str, str] | None


def task(source: Source, stage: int, options: Options, choices: TracePathChoices) -> TracePathTask:
    """The ways of a stage, or some of one shape.

    Raises:
        InputError: no such shape, one of a later stage, more than there are, or fewer than two
            pictures.
    """
    theme = source.as_theme(kit.title(NAME, "line", options.words_language))
    rows = _rows(stage, options, choices)
    ways = [name for row in rows for name in row if name != COPY]
    found = kit.distinct(theme, 2)
    pairs = _pairs(found, options.seed, len(ways), in_order=source.theme is None)
    names = tuple(theme.shown_name(step.word, options.language) for step in pairs[0])
    said = tuple(name.text for name in names if name is not None)
    shown = (said[0], said[1]) if len(said) == 2 else None
    return TracePathTask(stage, theme.title, theme.badge, rows, pairs, shown)


# --- which ways -----------------------------------------------------------------------------------


def _rows(stage: int, options: Options, choices: TracePathChoices) -> Rows:
    if choices.shape is not None:
        return _of_one(stage, options, choices)
    usual = tuple(tuple(row.split()) for row in str(setting(NAME, stage, "ways")).split("/"))
    there = sum(name != COPY for row in usual for name in row)
    count = choices.count or there
    if count > there:
        raise InputError(
            f"stage {stage} has {count_of(there, 'lane and shape', 'lanes and shapes')}",
            where="`count`",
            fix=f"use at most {there}, or a `shape`",
        )
    if is_low(options):
        # The last one is what the stage has new.
        return _last(usual, min(count, MOST_FOR_LOW_VISION))
    return _last(usual, count)


def _last(rows: Rows, count: int) -> Rows:
    """The rows with only their last ways; a box to copy in stays with its shape."""
    kept: list[tuple[str, ...]] = []
    for row in reversed(rows):
        names: list[str] = []
        for name in reversed(row):
            if count:
                names.insert(0, name)
                count -= name != COPY
        if names:
            kept.insert(0, tuple(names))
    return tuple(kept)


def _of_one(stage: int, options: Options, choices: TracePathChoices) -> Rows:
    """Rows of one shape."""
    name = str(choices.shape).strip().casefold()
    known = [key for key, way in WAYS.items() if way.stage <= stage]
    if name not in WAYS:
        raise InputError(
            f"there is no shape '{choices.shape}'",
            where="`shape`",
            fix=f"use one of: {', '.join(known)}",
        )
    if name not in known:
        raise InputError(
            f"the {name} comes at stage {WAYS[name].stage}",
            where="`shape`",
            fix=f"use `stage` {WAYS[name].stage}, or one of: {', '.join(known)}",
        )
    wide = WAYS[name].high is not None
    most = MOST_WIDE if wide or stage == 0 else MOST_OF_ONE
    few = is_low(options) or stage == 0
    count = choices.count or (MOST_FOR_LOW_VISION if few else most)
    if count > most:
        raise InputError(
            f"a page of stage {stage} has room for {most} of the {name}",
            where="`count`",
            fix=f"use at most {most}",
        )
    if wide:
        return ((name,),) * count
    if name == "upright" or count == 1:
        return ((name,) * count,)
    return tuple((name,) * min(2, count - 2 * row) for row in range((count + 1) // 2))


# --- between which pictures -----------------------------------------------------------------------

_GO = (
    (0x1F400, 0x1F43F),
    (0x1F980, 0x1F9AE),
    (0x1F680, 0x1F6A4),
    (0x1FAB0, 0x1FAB3),
    (0x1FABF, 0x1FACF),
)
"""Code points of animals and vehicles in the main (Unicode's charts, from memory), as they are apt
to be on the way to something. It only says which picture of a pair comes first."""


def _goes(step: Step) -> bool:
    code = step.picture.id.partition("-")[0]
    try:
        number = int(code, 16)
    except ValueError:
        return False
    return any(first <= number <= last for first, last in _GO)


def _pairs(
    steps: Sequence[Step], seed: int, count: int, *, in_order: bool
) -> tuple[tuple[Step, Step], ...]:
    """Two different pictures for each way: one that goes, and where it goes to.

    The first pair is the same at all stages, so that children at one table have one title.

    Args:
        in_order: the steps are pairs as they stand.
    """
    if in_order:
        spare = steps if len(steps) % 2 == 0 else [*steps, steps[0]]
        pairs = list(zip(spare[::2], spare[1::2], strict=True))
    else:
        mixed = random.Random(f"{seed}:trace-path").sample(list(steps), len(steps))
        going = [step for step in mixed if _goes(step)] or mixed
        aims = [step for step in mixed if not _goes(step)] or mixed
        going, aims = _longer(going, aims), _longer(aims, going)
        pairs = []
        for k, (first, last) in enumerate(zip(going, aims, strict=True)):
            other = aims[(k + 1) % len(aims)] if first == last else last
            pairs.append((first, other))
        pairs = [(a, b) for a, b in pairs if a != b]
    return tuple(pairs[k % len(pairs)] for k in range(count))


def _longer(steps: Sequence[Step], other: Sequence[Step]) -> list[Step]:
    """The steps over and over, until they are as many as the others."""
    count = max(len(steps), len(other))
    return [steps[k % len(steps)] for k in range(count)]
