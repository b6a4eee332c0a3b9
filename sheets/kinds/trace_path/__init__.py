"""Lanes from picture to picture, and first shapes, to follow with a finger or a pencil."""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class TracePathChoices:
    """What only a page of lanes is told."""

    shape: str | None = choice(
        "Only this one: level, circle, cross, wave, triangle ... of the stage or before it.",
        word=True,
    )
    count: int | None = choice("How many lanes and shapes.", least=1, most=6)


KIND = Kind(
    does="follows lanes from picture to picture, and first shapes",
    code="sheets.kinds.trace_path.pages",
    choices=TracePathChoices,
    words="Picture words, two by two: where a lane begins and where it ends.",
)
