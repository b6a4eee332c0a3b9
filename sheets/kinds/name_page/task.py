"""The name of a page, its letters, and how large and how bold they are to be."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.errors import InputError
from shapes.letters.font import check_text
from sheets.check.guidance import limits
from sheets.kinds import toolkit as kit
from sheets.kinds.name_page import NameChoices
from sheets.kinds.name_page.letters import EDGE, LINE, Look
from sheets.kinds.name_page.pieces import in_capitals, is_even, pieces, runs_left
from sheets.kinds.name_page.room import Parts
from sheets.kinds.toolkit import Options, Source
from sheets.page.model import LANE_TINT, WHITE

NAME = "name-page"
LOW_VISION = 1.5
"""How much larger letters are for low vision, if there is room."""
LARGEST = 50.0
"""Letters are no higher than this for low vision, mm."""


@dataclass(frozen=True, slots=True)
class NameTask(kit.Task):
    """The name as it is printed, and its letters in the order of reading.

    Args:
        left: whether it is read from right to left.
        even: whether it is of signs in squares of one size.
    """

    name: str
    parts: Parts
    seed: int
    left: bool
    even: bool


def task(source: Source, stage: int, options: Options, choices: NameChoices) -> NameTask:
    """The name of the options; InputError where there is none."""
    if source.words:
        raise InputError(
            "a name page takes no words", where="`words`", fix="give the child's name as `name`"
        )
    name = check_text(" ".join(options.name.split()), "`name`")
    if choices.capitals:
        name = check_text(in_capitals(name, options.language), "`name`")
    if not any(char.isalpha() for char in name):
        what = (
            "a name page needs letters in the child's name" if name else "a name page needs a name"
        )
        raise InputError(what, where="`name`", fix="give it as the class list writes it")
    badge = source.theme.badge if source.theme is not None else None
    title = kit.title(NAME, "name", options.words_language)
    return NameTask(
        stage, title, badge, name, pieces(name), options.seed, runs_left(name), is_even(name)
    )


def usual(task: NameTask, options: Options) -> float:
    """Height of a capital at the stage, mm, before a long name makes it less."""
    letter = kit.amount(NAME, task.stage, "letter")
    return min(LARGEST, letter * LOW_VISION) if kit.is_low(options) else letter


def least(stage: int, name: str) -> float:
    """The smallest value a limit of the skill allows, mm."""
    return limits("names", stage)[name].minimum or 0.0


def look(options: Options) -> Look:
    """Bold lines for low vision, white lanes to use less ink."""
    bold = kit.least_line(options)
    tint = WHITE if options.ink == "saver" else LANE_TINT
    return Look(max(LINE, bold), max(EDGE, bold * 0.75), tint)
