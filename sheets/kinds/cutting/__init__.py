"""Strips, lanes, shapes and picture outlines to cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class CuttingChoices:
    """What only a cutting sheet is told."""

    shape: str | None = choice("A practice line or shape of the stage.")
    pieces: int | None = choice("How many outlines.")
    outline: str = choice("Round a picture at stage 5: triangle, oval ... or soft.", "")
    turn: Literal["clockwise", "anticlockwise"] | None = choice(
        "Print an arrow that shows which way round."
    )


KIND = Kind(
    does="snips, cuts lanes, shapes and pictures; the hand that holds turns the paper",
    code="sheets.kinds.cutting.pages",
    choices=CuttingChoices,
    words="Word, code point, my-drawing.svg or a photo of it (.jpg, .png); none: plain lines.",
    needs_source=False,
    stage=6,
    shown={
        "folds": "fold and tear",
        "line_width": "line {:g} mm",
        "cut_length": "to {:.0f} mm long",
        "difficulty": "complexity {:.0f}",
    },
)
