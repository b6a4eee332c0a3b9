"""The child's own name: to lay, to put together, to trace, to write."""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class NameChoices:
    """What only a name page is told."""

    capitals: bool = choice("The whole name in capitals; else as it is given.", False)


KIND = Kind(
    does="lays, puts together, traces or writes the own name",
    code="sheets.kinds.name_page.pages",
    choices=NameChoices,
    words="",
    needs_source=False,
)
