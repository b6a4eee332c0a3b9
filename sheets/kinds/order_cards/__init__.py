"""Cards to put in a row: one picture in several sizes, numerals, or letters; labels for things."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class OrderCardsChoices:
    """What only cards to put in order are told; lengths in mm."""

    what: Literal["numbers", "letters", "sizes"] | None = choice(
        "What is put in order; left out, sizes at stages 0 and 1, then numbers."
    )
    labels: Literal["spines", "jars"] | None = choice(
        "Labels to stick on books or on jars, instead of cards."
    )
    width: int | None = choice("Width of a label in mm.", least=15, most=120)
    height: int | None = choice("Height of a label in mm.", least=15, most=170)


KIND = Kind(
    does="puts sizes, numerals or letters in order",
    code="sheets.kinds.order_cards.pages",
    choices=OrderCardsChoices,
)
