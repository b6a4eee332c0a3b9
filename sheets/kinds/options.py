"""What every kind of sheet is told besides its own task: paper, name, hand, language, needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.page.frame import LETTER
from sheets.page.model import Paper

Hand = Literal["left", "right", "either"]
Ink = Literal["normal", "saver"]
HANDS: tuple[Hand, ...] = ("left", "right", "either")


@dataclass(frozen=True, slots=True)
class Options:
    """Settings shared by all kinds.

    Args:
        name: the child's name as printed on the name line; empty leaves the line to write on.
        title: printed title; None lets the kind choose.
        seed: start of the random choices; the same seed gives the same page.
        needs: words out of the class list's ``needs`` column.
    """

    paper: Paper = LETTER
    name: str = ""
    title: str | None = None
    hand: Hand = "either"
    language: str = "en"
    ink: Ink = "normal"
    seed: int = 0
    needs: tuple[str, ...] = ()

    @property
    def start_side(self) -> Literal["left", "right"]:
        """The paper edge where the cutting hand comes in; the right one if no hand is given."""
        return "left" if self.hand == "left" else "right"

    @property
    def far_side(self) -> Literal["left", "right"]:
        """The edge across from :attr:`start_side`."""
        return "right" if self.hand == "left" else "left"
