"""A big letter or a short word as outlines to cut and glue; the pages are those of cutting.

The module that draws them lies with the cutting pages, whose lines, ways in and limits it shares.
"""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class Choices:
    """What only a sheet of letters to cut is told."""

    letter: str | None = choice("One letter, such as B; else the first one of a word.")
    word: str | None = choice("A short word instead of a letter; theme: one of the theme's words.")
    fill: bool = choice("Only the big letter or word, to fill with bits of paper.", False)


KIND = Kind(
    does="cuts out a big letter or a short word and glues it on its outline",
    code="sheets.kinds.cutting.letters",
    choices=Choices,
    words="A letter or a short word, instead of a theme; Latin or Cyrillic letters.",
    needs_source=False,
    stage=4,  # as for cutting, the first at which a whole outline is cut
)
