"""What every kind of sheet is told besides its own task: paper, name, hand, language, needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.words import tongue
from sheets.page.frame import LETTER
from sheets.page.model import Paper

Hand = Literal["left", "right", "either"]
Ink = Literal["normal", "saver"]
HANDS: tuple[Hand, ...] = ("left", "right", "either")
NEEDS = (
    "low-vision",
    "colour-vision",
    "left-scissors",
    "loop-scissors",
    "spring-scissors",
    "mouths-objects",
    "not-cutting",
)
"""What a page and its materials are suited to; the words of the class list's column."""


@dataclass(frozen=True, slots=True)
class Options:
    """Settings shared by all kinds.

    Args:
        name: the child's name as printed on the name line; empty leaves the line to write on.
        title: printed title; None lets the kind choose.
        main: the theme's language, for the sentences of pages in a language that has none.
        seed: start of the random choices; the same seed gives the same page.
        needs: words out of the class list's ``needs`` column.
        colour: pictures with the set's own colours under their black lines.
        cutting_stage: the child's stage of cutting, 0 to 6, for pages of other skills on which
            something is cut; None if it is not known.
    """

    paper: Paper = LETTER
    name: str = ""
    title: str | None = None
    hand: Hand = "either"
    language: str = "en"
    ink: Ink = "normal"
    seed: int = 0
    needs: tuple[str, ...] = ()
    colour: bool = False
    cutting_stage: int | None = None
    main: str = "en"

    @property
    def words_language(self) -> str:
        """The language of titles and of the line that says what to do."""
        return tongue(self.language, self.main)

    @property
    def start_side(self) -> Literal["left", "right"]:
        """The paper edge where the cutting hand comes in; the right one if no hand is given."""
        return "left" if self.hand == "left" else "right"

    @property
    def far_side(self) -> Literal["left", "right"]:
        """The edge across from :attr:`start_side`."""
        return "right" if self.hand == "left" else "left"


MOST_FOR_LOW_VISION = 4
"""Things to choose from, cards or outlines on one page for low vision (our setting)."""
BOLD_LINE = 2.0
"""Least line of a page for low vision, mm."""


def is_low(options: Options) -> bool:
    """Whether the page is for low vision."""
    return "low-vision" in options.needs


def least_line(options: Options) -> float:
    """To what the lines of pictures are widened, mm; 0 leaves them as they are."""
    return BOLD_LINE if is_low(options) else 0.0
