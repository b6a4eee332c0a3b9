"""Strips, lanes, shapes and picture outlines to cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class CuttingChoices:
    """What only a cutting sheet is told."""

    shape: str | None = choice(
        "A practice line or shape of the stage; see tablework shapes.", word=True
    )
    pieces: int | None = choice("How many outlines.")
    outline: str = choice(
        "Shape round a picture at stage 5: triangle, oval ... or soft.", "", word=True
    )
    turn: Literal["clockwise", "anticlockwise"] | None = choice(
        "Print an arrow that shows which way round to cut."
    )


KIND = Kind(
    does="snips, cuts lanes, shapes and pictures; the hand that holds turns the paper",
    code="sheets.kinds.cutting.pages",
    choices=CuttingChoices,
    words="Picture word (see tablework pictures), my-drawing.svg or a photo of it; none: lines.",
    needs_source=False,
    stage=4,  # the first at which a picture is cut out
)
