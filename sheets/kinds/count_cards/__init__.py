"""Count and mark: groups of one picture with numerals to choose from, number cards, frames."""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class CountChoices:
    """What only a counting sheet is told."""

    form: str | None = choice(
        "What the child does: lay, mark, match or fill; left out, as the stage has it.", word=True
    )
    answer: str | None = choice(
        "How it is answered: lay (counters or cards), draw, or clip (cards for pegs).",
        option="as",
        word=True,
    )
    groups: int | None = choice("How many groups or frames.", least=1, most=8)


KIND = Kind(
    does="counts pictures and finds the number, or fills five and ten frames",
    code="sheets.kinds.count_cards.pages",
    choices=CountChoices,
)
