"""Rows to lay, match, mend, copy or carry on."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.errors import InputError
from sheets.kinds.kind import Kind, choice
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.source import Source

COLOUR_COPY = "colour-copy"


@dataclass(frozen=True, slots=True)
class PatternChoices:
    """What only a pattern sheet is told."""

    form: str | None = choice(
        "What the child does: match, mend, copy, carry-on ... as the stage has it; or colour-copy.",
        word=True,
    )
    unit: int | None = choice("Which pattern of the theme: 1, 2 ...")
    answer: str | None = choice("boxes to draw in, or tiles to lay.", option="as", word=True)
    model: str = choice("Where the finished row to copy lies: above or below.", "above", word=True)


def _instead(_source: Source, choices: PatternChoices) -> str | None:
    """Pictures to colour are a kind of their own, asked for here as a form too."""
    if choices.form != COLOUR_COPY:
        return None
    for field, given in (
        ("unit", choices.unit is not None),
        ("as", choices.answer is not None),
        ("model", choices.model != "above"),
    ):
        if given:
            raise InputError(
                "pictures to colour have no rows", where=f"`{field}`", fix="leave it out"
            )
    return COLOUR_COPY


KIND = Kind(
    does="matches, mends, copies and carries on rows",
    code="sheets.kinds.pattern.pages",
    choices=PatternChoices,
    words="What repeats, in order: 'blue circle' duck ...; or pictures to colour.",
    section=PATTERNS,
    instead=_instead,
)
