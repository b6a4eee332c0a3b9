"""What a counting sheet asks: amounts, their pictures, and the numbers to choose from."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.errors import InputError
from sheets.kinds import toolkit as kit
from sheets.kinds.count_cards import CountChoices
from sheets.kinds.toolkit import Options, Source, Step

NAME = "count-cards"
Form = Literal["lay", "mark", "match", "fill"]
Answer = Literal["lay", "draw", "clip"]

FORMS: dict[int, tuple[Form, ...]] = {
    0: ("lay",),
    1: ("mark",),
    2: ("mark",),
    3: ("mark", "match", "fill"),
    4: ("match", "mark", "fill"),
    5: ("mark", "match", "fill"),
    6: ("mark", "fill"),
}
"""What a stage has, the usual one first: frames come with the amounts to five."""
ANSWERS: dict[Form, tuple[Answer, ...]] = {
    "lay": ("lay",),
    "mark": ("lay", "draw", "clip"),
    "match": ("lay",),
    "fill": ("lay", "draw"),
}
DRAWS_FROM = 3
"""The stage from which a pencil is asked for where nothing is said."""
NEAR_FROM = 5
"""The stage from which the wrong numbers are next to the right one."""
FAR = 2
"""How far they are at least before that."""
MOST_LARGE_GROUPS = 2
"""For low vision, and where cards as large as a number lie on it."""


@dataclass(frozen=True, slots=True)
class Group:
    """Things of one picture to count, and the numbers to choose from in the order printed."""

    step: Step
    amount: int
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class CountTask(kit.Task):
    """A counting sheet.

    Args:
        cards: numerals on loose cards, in the order printed.
    """

    form: Form
    answer: Answer
    groups: tuple[Group, ...]
    cards: tuple[int, ...] = ()


def task(source: Source, stage: int, options: Options, choices: CountChoices) -> CountTask:
    """Amounts, pictures and choices of a stage.

    Raises:
        InputError: the stage has no such task or way to answer, or no picture shows one thing only.
    """
    form = _form(stage, choices.form)
    answer = _answer(form, stage, choices.answer)
    rng = random.Random(f"{options.seed}:{stage}:count {form}")
    theme = source.as_theme(kit.title(NAME, "count", options.words_language))
    count = _count(form, answer, stage, options, choices.groups)
    least, most = (int(kit.amount(NAME, stage, key)) for key in ("least", "most"))
    span = range(least, most + 1)
    amounts = list(span)[:count] if form == "lay" else _dealt(span, count, rng)
    steps = _countable(kit.distinct(theme, 1), rng)
    wide = int(kit.amount(NAME, stage, "choices"))
    places = _dealt(range(wide), count, rng) if form == "mark" else [0] * len(amounts)
    groups = tuple(
        Group(
            steps[0 if form == "lay" else i % len(steps)],
            amount,
            _numbers(amount, wide, place, stage, rng) if form == "mark" else (),
        )
        for i, (amount, place) in enumerate(zip(amounts, places, strict=True))
    )
    cards = tuple(rng.sample(amounts, len(amounts))) if form == "match" else ()
    title = kit.title(NAME, "count", options.words_language)
    return CountTask(stage, title, theme.badge, form, answer, groups, cards)


def _form(stage: int, wanted: str | None) -> Form:
    forms = FORMS[stage]
    if wanted is None:
        return forms[0]
    if wanted not in forms:
        every = [form for known in FORMS.values() for form in known]
        stages = ", ".join(str(s) for s, known in FORMS.items() if wanted in known)
        raise InputError(
            f"stage {stage} has no task '{wanted}'"
            if wanted in every
            else f"there is no task '{wanted}'",
            where="`form`",
            fix=f"use {' or '.join(forms)}"
            + (f", or a stage that has it: {stages}" if stages else ""),
        )
    return wanted


def _answer(form: Form, stage: int, wanted: str | None) -> Answer:
    known = ANSWERS[form]
    if wanted is None:
        return "draw" if "draw" in known and stage >= DRAWS_FROM else "lay"
    if wanted not in known:
        raise InputError(
            f"the task {form} is not answered by '{wanted}'",
            where="`as`",
            fix=f"use {' or '.join(known)}",
        )
    return wanted


def _count(form: Form, answer: Answer, stage: int, options: Options, wanted: int | None) -> int:
    """How many groups, or frames of a task with frames."""
    usual = int(kit.amount(NAME, stage, "groups"))
    if form in ("match", "fill"):
        usual = _USUAL_FRAMES[form] if stage < NEAR_FROM else _USUAL_FRAMES[form] - 1
    covered = form == "mark" and answer == "lay" and "mouths-objects" in options.needs
    if kit.is_low(options) or covered:  # larger ones on one page
        usual = min(usual, MOST_LARGE_GROUPS)
    if form in ("lay", "match") and (wanted or usual) > usual:
        # One page: each number card fits one frame of it only.
        raise InputError(
            f"the task {form} of stage {stage} has {usual} at most",
            where="`groups`",
            fix=f"use {usual} or fewer, or leave it out",
        )
    return wanted or usual


_USUAL_FRAMES = {"match": 4, "fill": 3}


def _dealt(values: Sequence[int], count: int, rng: random.Random) -> list[int]:
    """So many values in random order, none again before each has been."""
    found: list[int] = []
    while len(found) < count:
        found += rng.sample(values, len(values))
    kept = found[:count]
    rng.shuffle(kept)
    return kept


def _countable(steps: Sequence[Step], rng: random.Random) -> list[Step]:
    """The pictures of one thing each, in random order."""
    single = kit.of_one_thing(steps)
    if not single:
        raise InputError(
            "every picture shows more than one thing, so that its amount is not clear",
            where="words",
            fix="give a picture of one thing, such as duck",
        )
    return rng.sample(single, len(single))


def _numbers(
    amount: int, count: int, place: int, stage: int, rng: random.Random
) -> tuple[int, ...]:
    """The right number at its place, and wrong ones."""
    most = int(kit.amount(NAME, stage, "most"))
    if stage >= NEAR_FROM:
        # A run of numbers, the right one at any end of it: not always the middle one.
        first = rng.choice([n for n in range(amount - count + 1, amount + 1)
                            if n >= 1 and n + count - 1 <= most])  # fmt: skip
        wrong = [n for n in range(first, first + count) if n != amount]
    else:
        top = max(most, _ONE_MORE)
        wrong = [n for n in range(1, top + 1) if abs(n - amount) >= FAR]
    others = rng.sample(wrong, count - 1)
    return (*others[:place], amount, *others[place:])


_ONE_MORE = 4
"""Two has no number two away within three."""
