"""A strip in units of the theme, and things of whole lengths to measure with it."""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class MeasureStripChoices:
    """What only a strip is told."""

    unit_mm: int | None = choice("Length of one unit in mm.", least=15, most=50)
    count: int | None = choice("How many units the strip has.", least=3, most=20)


KIND = Kind(
    does="measures lengths with a strip of picture units",
    code="sheets.kinds.measure_strip.pages",
    choices=MeasureStripChoices,
)
