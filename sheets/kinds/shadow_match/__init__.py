"""Picture cards to lay on the shadows of the same pictures."""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class ShadowMatchChoices:
    """What only a shadow sheet is told."""

    laminate: bool = choice("8 mm between cards, for the film to seal.", False)


KIND = Kind(
    does="lays picture cards on their shadows",
    code="sheets.kinds.shadow_match.pages",
    choices=ShadowMatchChoices,
)
