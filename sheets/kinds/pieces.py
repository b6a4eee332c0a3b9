"""Shapes or picture outlines that an adult cuts beforehand, many to a sheet.

The pages are the adult's, so no stage is harder to cut than another: the stage only says how easy
the outline of a picture is. The module that draws them lies with the cutting pages, whose outlines
it takes.
"""

from __future__ import annotations

from dataclasses import dataclass

from sheets.kinds.kind import Kind, choice


@dataclass(frozen=True, slots=True)
class Choices:
    """What only a sheet of pieces is told."""

    shape: str | None = choice(
        "A shape instead of pictures, such as circle; see tablework shapes.", word=True
    )
    count: int = choice("How many pieces.", 20, least=1, most=200)
    size: int = choice("Longer side of a piece in mm.", 55, least=20, most=170)


KIND = Kind(
    does="uses pieces that an adult has cut beforehand, many to a sheet",
    code="sheets.kinds.cutting.pieces",
    choices=Choices,
    words="Picture words (see tablework pictures) or SVG files, instead of a theme; none: a shape.",
    needs_source=False,
    stage=4,
)
