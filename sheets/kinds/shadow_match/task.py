"""Which pictures go on a shadow page: drawn from a theme's words, or given.

How alike two shadows are is measured (``shapes.measure.likeness``), not judged by eye.
Where shadows are printed turned, it is the most over all quarter turns.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from shapes.errors import InputError
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low
from sheets.kinds.settings import amount, setting
from sheets.kinds.shadow_match import ShadowMatchChoices
from sheets.kinds.source import Source
from sheets.theme.theme import Step

if TYPE_CHECKING:
    from shapes.measure.likeness import Shadow

TOO_ALIKE = 0.80
"""Two shadows more alike than this do not share a page (our setting): see :func:`likeness`."""

FEWEST, MOST = 2, 8
WORDS_TITLE = "Which shadow?"

_FEWEST_WITH_SPARE = 4
_TRIES = 30


@dataclass(frozen=True, slots=True)
class ShadowTask:
    """Which pictures have a card and a shadow.

    Args:
        stage: 0 to 6.
        pairs: pictures with both, 2 or more.
        cards_only, shadows_only: pictures left over on one side.
        badge: small picture in the head.
        laminate: leave gaps between the cards for film.
        remarks: further lines for the adult.
    """

    stage: int
    pairs: tuple[Step, ...]
    title: str
    cards_only: tuple[Step, ...] = ()
    shadows_only: tuple[Step, ...] = ()
    badge: Picture | None = None
    laminate: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def shadows(self) -> tuple[Step, ...]:
        """Everything that has a shadow."""
        return (*self.pairs, *self.shadows_only)

    @property
    def cards(self) -> tuple[Step, ...]:
        """Everything that has a card."""
        return (*self.pairs, *self.cards_only)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All pictures."""
        return (*self.pairs, *self.cards_only, *self.shadows_only)


# --- which pictures -------------------------------------------------------------------------------


def task(source: Source, stage: int, options: Options, choices: ShadowMatchChoices) -> ShadowTask:
    """Words of a theme whose shadows are as alike as the stage asks, or all words given.

    Of four given words or more some are left over at the stages that have left-overs.

    Raises:
        InputError: no such stage, no two words with shadows that differ enough, or too few or too
            many words.
        PictureError, FileError: a word without a picture.
    """
    if source.theme is None:
        return _of_words(source.words, stage, options, choices.laminate)
    theme = source.theme
    pool = [Step(word.text, word.picture) for word in theme.words]
    most = amount("shadow-match", stage, "most_alike")
    least = amount("shadow-match", stage, "least_alike")
    rng = random.Random(f"{options.seed}:{stage}:shadow words")
    counts = _counts(stage, options)
    chosen = _draw(pool, sum(counts), (least, most), is_turned(stage), rng)
    if len(chosen) < FEWEST:
        raise InputError(
            f"{theme.title} has no two words whose shadows differ enough for stage {stage}",
            where="words",
            fix="add a word with a picture of another shape",
        )
    return _shared_out(chosen, counts, stage, theme.title, theme.words[0].picture, choices.laminate)


def _of_words(words: Sequence[str], stage: int, options: Options, laminate: bool) -> ShadowTask:
    counts = _counts(stage, options)
    low_vision = is_low(options)
    most = MOST_FOR_LOW_VISION if low_vision else MOST
    if not FEWEST <= len(words) <= most:
        raise InputError(
            ("1 word makes" if len(words) == 1 else f"{len(words)} words make")
            + " no shadow page"
            + (" for low vision" if low_vision else ""),
            where="words",
            fix=f"give {FEWEST} to {most}",
        )
    steps = [Step(word, resolve(word)) for word in words]
    _refuse_twins(steps, stage)
    spare = len(steps) - counts[1] - counts[2]
    if len(steps) < _FEWEST_WITH_SPARE or spare < FEWEST:
        counts = (len(steps), 0, 0)
    chosen = random.Random(f"{options.seed}:{stage}:shadow words").sample(steps, len(steps))
    return _shared_out(
        chosen, (len(steps), *counts[1:]), stage, WORDS_TITLE, steps[0].picture, laminate
    )


Counts = tuple[int, int, int]
"""Pairs, cards left over, shadows left over."""


def _counts(stage: int, options: Options) -> Counts:
    names = ("pairs", "cards_left_over", "shadows_left_over")
    pairs, cards, shadows = (int(amount("shadow-match", stage, name)) for name in names)
    if is_low(options):
        pairs = min(pairs, MOST_FOR_LOW_VISION - max(cards, shadows))
    return pairs, cards, shadows


def _shared_out(
    chosen: Sequence[Step],
    counts: Counts,
    stage: int,
    title: str,
    badge: Picture,
    laminate: bool,
) -> ShadowTask:
    """The chosen pictures shared out; if they are few, fewer pairs, and then nothing left over."""
    _, cards, shadows = counts
    pairs = len(chosen) - cards - shadows
    if pairs < FEWEST:
        pairs, cards = len(chosen), 0
    return ShadowTask(
        stage,
        tuple(chosen[:pairs]),
        title,
        cards_only=tuple(chosen[pairs : pairs + cards]),
        shadows_only=tuple(chosen[pairs + cards :]),
        badge=badge,
        laminate=laminate,
    )


def _draw(
    pool: Sequence[Step], count: int, band: tuple[float, float], turned: bool, rng: random.Random
) -> list[Step]:
    """Pictures in random order, no two more alike than the band allows.

    Of several draws the first whose most alike pair reaches the band's lower end; failing that, the
    one with most pictures and the most alike pair.
    """
    least, most = band
    known: dict[tuple[int, int], float] = {}

    def alike(a: int, b: int) -> float:
        pair = (a, b) if a < b else (b, a)
        if pair not in known:
            known[pair] = likeness(pool[a].picture, pool[b].picture, turned)
        return known[pair]

    best: tuple[int, float, list[int]] = (0, 0.0, [])
    for _ in range(_TRIES):
        chosen: list[int] = []
        top = 0.0
        for i in rng.sample(range(len(pool)), len(pool)):
            values = [alike(i, other) for other in chosen]
            if all(value <= most for value in values):
                chosen.append(i)
                top = max([top, *values])
            if len(chosen) == count:
                break
        if (len(chosen), top) > best[:2]:
            best = (len(chosen), top, chosen)
        if len(chosen) == count and top >= least:
            break
    # The draw prefers no place, but a picture that is like many others tends to come late.
    return [pool[i] for i in rng.sample(best[2], len(best[2]))]


def is_turned(stage: int) -> bool:
    return bool(setting("shadow-match", stage, "turned_shadows"))


# --- likeness -------------------------------------------------------------------------------------


def likeness(a: Picture, b: Picture, turned: bool = False) -> float:
    """How alike the shadows of two pictures are, 0 to 1: :func:`shapes.measure.likeness.alike`.

    Args:
        turned: the most over all quarter turns of one of them.
    """
    # Outlines are compared at sample points, so the other order differs in the third digit.
    first, second = sorted((a, b), key=lambda picture: picture.id)
    return _likeness(first, second, turned)


@cache
def _likeness(a: Picture, b: Picture, turned: bool) -> float:
    from shapes.measure.likeness import alike_shadows

    turns = (0, 90, 180, 270) if turned else (0,)
    return max(alike_shadows(_shadow(a), _shadow(b, turn)) for turn in turns)


@cache
def _shadow(picture: Picture, turn: int = 0) -> Shadow:
    """At 100 mm, turned by so many degrees; each is compared with many others."""
    from shapely.affinity import rotate

    from shapes.measure.likeness import shadow
    from shapes.pictures.silhouette import silhouette

    shape = silhouette(picture, 100.0)
    return shadow(rotate(shape, turn) if turn else shape)


def most_alike(task: ShadowTask) -> tuple[Step, Step, float]:
    """The two pictures of a page whose shadows are most alike, and how much."""
    return _most_alike(task.steps, task.stage)


def _most_alike(steps: Sequence[Step], stage: int) -> tuple[Step, Step, float]:
    turned = is_turned(stage)
    pairs = itertools.combinations(steps, 2)
    measured = ((a, b, likeness(a.picture, b.picture, turned)) for a, b in pairs)
    return max(measured, key=lambda found: found[2])


# --- what is refused ------------------------------------------------------------------------------


def check_task(task: ShadowTask, options: Options) -> None:
    """Refuse what cannot be put on a page.

    Raises:
        InputError: unknown stage, too few or too many pictures, one picture twice, near-twins.
    """
    setting("shadow-match", task.stage, "pairs")  # refuses a stage that does not exist
    most = MOST_FOR_LOW_VISION if is_low(options) else MOST
    for what, steps in (("shadows", task.shadows), ("cards", task.cards)):
        if not FEWEST <= len(steps) <= most:
            raise InputError(
                f"{len(steps)} {what if len(steps) != 1 else what[:-1]} on one page",
                where="words",
                fix=f"use {FEWEST} to {most}",
            )
    _refuse_twins(task.steps, task.stage)


def _refuse_twins(steps: Sequence[Step], stage: int) -> None:
    seen: dict[str, str] = {}
    for step in steps:
        if step.picture.id in seen:
            raise InputError(
                f'"{seen[step.picture.id]}" and "{step.word}" show the same picture',
                where="words",
                fix="leave one of them out",
            )
        seen[step.picture.id] = step.word
    a, b, value = _most_alike(steps, stage)
    if value > TOO_ALIKE:
        raise InputError(
            f'the shadows of "{a.word}" and "{b.word}" are too alike ({value:.2f} of 1, at most '
            f"{TOO_ALIKE:.2f})",
            where="words",
            fix="leave one of them out",
        )
