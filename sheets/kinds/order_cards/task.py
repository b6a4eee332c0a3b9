"""What is put in order: a picture in several sizes, or numerals or letters in a row."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Literal

from shapes.errors import InputError
from shapes.pictures.picture import Picture
from sheets.kinds import toolkit as kit
from sheets.kinds.order_cards import OrderCardsChoices
from sheets.kinds.toolkit import Options, Source

NAME = "order-cards"
ALPHABET = "ABCDEFGH"
SIZES_ALONE = (0, 1)
"""Stages before numerals and letters: by look only."""
FOUR_SIZES = 3
DOTS = (2, 3)
"""Stages at which a numeral has as many dots."""

What = Literal["sizes", "numbers", "letters"]


@dataclass(frozen=True, slots=True)
class OrderTask(kit.Task):
    """The row in its order, and how it is given out.

    Args:
        row: signs of the whole row; empty for sizes.
        sizes: longer side of the picture on each card in mm, smallest first; empty for signs.
        loose: places of the row, from 0, that are cards, in the order they are printed.
        picture: what is shown in several sizes, or stands beside the row.
        label: width and height in mm, where labels are asked for instead of cards.
    """

    what: What
    row: tuple[str, ...]
    sizes: tuple[float, ...]
    loose: tuple[int, ...]
    picture: Picture
    labels: Literal["spines", "jars"] | None = None
    label: tuple[float, float] = (0.0, 0.0)

    @property
    def count(self) -> int:
        """How many places the row has."""
        return len(self.sizes or self.row)


def task(source: Source, stage: int, options: Options, choices: OrderCardsChoices) -> OrderTask:
    """A row of the stage.

    Raises:
        InputError: the stage has no such row, or sizes of labels without labels.
    """
    rng = random.Random(f"{options.seed}:{stage}:order")
    what: What = choices.what or ("sizes" if stage in SIZES_ALONE else "numbers")
    if choices.labels and choices.what is None and stage not in SIZES_ALONE:
        what = "numbers"
    _check(what, stage, choices)
    title = kit.title(NAME, "sizes" if what == "sizes" else "row", options.words_language)
    theme = source.as_theme(title)
    steps = kit.distinct(theme, 1)
    picture = rng.choice(kit.of_one_thing(steps) or steps).picture
    sizes = _sizes(stage, options) if what == "sizes" else ()
    row = () if sizes else _signs(what, stage, options)
    loose = _loose(rng, stage, len(sizes or row), options, choices, sized=bool(sizes))
    return OrderTask(
        stage, title, theme.badge, what, row, sizes, loose, picture, choices.labels, _label(choices)
    )


def _check(what: What, stage: int, choices: OrderCardsChoices) -> None:
    if what != "sizes" and stage in SIZES_ALONE:
        raise InputError(
            f"stage {stage} has no row of {what}",
            where="`what`",
            fix="take sizes, or use stage 2 or later",
        )
    if choices.labels and what == "sizes":
        raise InputError(
            "labels have numerals or letters on them, not sizes",
            where="`labels`",
            fix="take numbers or letters at stage 2 or later",
        )
    for field in ("width", "height"):
        if getattr(choices, field) is not None and not choices.labels:
            raise InputError(
                "only labels have a size of their own",
                where=f"`{field}`",
                fix="leave it out, or ask for `labels`",
            )


def _sizes(stage: int, options: Options) -> tuple[float, ...]:
    """Longer sides in mm, smallest first: each the ratio of the stage times the one before."""
    count, ratio = (kit.amount(NAME, stage, name) for name in ("sizes", "ratio"))
    largest = kit.amount(NAME, size_stage(stage, options), "largest")
    if kit.is_low(options):
        count = min(count, kit.MOST_FOR_LOW_VISION)
    return tuple(largest / ratio**k for k in range(int(count) - 1, -1, -1))


def size_stage(stage: int, options: Options) -> int:
    """The stage whose card sizes are used: for low vision that of four sizes at the latest."""
    return min(stage, FOUR_SIZES) if kit.is_low(options) else stage


def _signs(what: What, stage: int, options: Options) -> tuple[str, ...]:
    if what == "letters":
        return tuple(ALPHABET[: int(kit.amount(NAME, stage, "letters"))])
    last = int(kit.amount(NAME, stage, "row"))
    return tuple(str(number) for number in range(1, last + 1))


def _loose(
    rng: random.Random,
    stage: int,
    count: int,
    options: Options,
    choices: OrderCardsChoices,
    *,
    sized: bool,
) -> tuple[int, ...]:
    """Which places of the row are cards, in an order that is not the row's."""
    most = count
    if not sized and not choices.labels:
        most = int(kit.amount(NAME, stage, "missing")) or count
        if kit.is_low(options):
            most = min(most, kit.MOST_FOR_LOW_VISION)
    # The first of a row with gaps is printed: it tells where the row begins.
    places = list(range(count)) if most == count else sorted(rng.sample(range(1, count), most))
    if choices.labels:
        return tuple(places)
    mixed = list(places)
    while mixed == places:
        rng.shuffle(mixed)
    return tuple(mixed)


def _label(choices: OrderCardsChoices) -> tuple[float, float]:
    """Width and height of a label in mm; those of a thin book's back, or of a jar's lid."""
    if choices.labels is None:
        return (0.0, 0.0)
    if choices.labels == "spines":
        return (float(choices.width or 25), float(choices.height or 60))
    side = float(choices.width or choices.height or 55)
    return (side, float(choices.height or side))
