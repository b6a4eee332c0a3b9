"""Pictures as artwork on a page: line art to colour in, or line art with its colours."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence

from shapes.affine import Affine
from shapes.colour import luminance
from shapes.memory import ByIdentity
from shapes.path import BBox
from shapes.pictures.picture import Picture
from shapes.svg.read import Shape
from sheets.page.model import BLACK, Artwork, Fill, Place, Role, Stroke

LINE_MM = 1.2
"""Widest line of a picture on the page: large pictures would else have lines like a marker pen's.
Child-facing outlines are at least 0.7 mm (common practice, no source) where the picture allows."""


def artwork(
    picture: Picture, *, colour: bool = False, scale: float = 1.0, line_mm: float | None = None
) -> Artwork:
    """A picture in its own units: line art, with its colours under the lines if asked.

    Args:
        colour: the set's own colours; dark ones are lightened so that the lines on them show, on a
            black-and-white printer too.
        scale: mm per unit it will be shown at; only needed with ``line_mm``.
        line_mm: wider lines are thinned to this width on the page; None leaves them as drawn.
    """
    widest = None if line_mm is None else round(line_mm / scale, 2)
    return _artworks.get(picture, (colour, widest), lambda: _artwork(picture, colour, widest))


LINE_CONTRAST = 3.0
"""Least contrast of a picture's black lines with its colours."""

_artworks = ByIdentity[Picture, Artwork](512)


def _artwork(picture: Picture, colour: bool, widest: float | None) -> Artwork:
    marks: list[Stroke | Fill] = []
    if colour:
        thick = max((shape.stroke_width for shape in picture.line if shape.stroke), default=0.0)
        for shape in picture.colour:
            # An edge under a line is thinned as the line is; a thick stroke is a thing of its own.
            under = widest if shape.stroke_width <= thick else None
            marks += marks_of(_lightened(shape), under)
    for shape in picture.line:
        marks += marks_of(shape, widest)
    thinned = widest is not None and any(s.stroke_width > widest for s in picture.line)
    suffix = ("-colour" if colour else "") + (f"-{round((widest or 0.0) * 100)}" if thinned else "")
    return Artwork(
        id=re.sub(r"[^A-Za-z0-9_-]", "-", picture.id) + suffix,
        marks=tuple(marks),
        bbox=picture.bbox,
        credit=picture.credit,
        alt=picture.name,
        remark=picture.remark,
    )


def picture_in(
    picture: Picture,
    box: BBox,
    *,
    colour: bool = False,
    role: Role = Role.ART,
    id: str = "",
    turn_deg: float = 0.0,
    line_mm: float = LINE_MM,
) -> Place:
    """A picture in the middle of a box, as large as fits when turned."""
    at = _fitted(picture.bbox, box, turn_deg)
    return picture_at(picture, at, colour=colour, role=role, id=id, line_mm=line_mm)


def picture_at(
    picture: Picture,
    at: Affine,
    *,
    colour: bool = False,
    role: Role = Role.ART,
    id: str = "",
    line_mm: float = LINE_MM,
) -> Place:
    """A picture at a given place, from its own units to page mm."""
    art = artwork(picture, colour=colour, scale=at.scale, line_mm=line_mm)
    return Place(art, at, role, id)


def _lightened(shape: Shape) -> Shape:
    return dataclasses.replace(shape, fill=_light(shape.fill), stroke=_light(shape.stroke))


def _light(colour: str | None) -> str | None:
    """A colour mixed with white until black lines on it show; black itself is ink and stays.

    3 to 1 is the contrast of WCAG 2.2, 1.4.11, for parts of a picture.
    """
    if colour is None or colour == BLACK:
        return colour
    parts = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    for tenth in range(11):
        mixed = [round(part + (255 - part) * tenth / 10.0) for part in parts]
        light = "#" + "".join(f"{part:02x}" for part in mixed)
        if (luminance(light) + 0.05) / 0.05 >= LINE_CONTRAST:
            break
    return light


def marks_of(shape: Shape, widest: float | None = None) -> list[Stroke | Fill]:
    """A shape of a drawing as marks: its area, then its lines, at most ``widest`` mm wide."""
    marks: list[Stroke | Fill] = []
    if shape.fill is not None:
        marks.append(Fill(shape.paths, Role.ART, colour=shape.fill, even_odd=shape.even_odd))
    if shape.stroke is not None and shape.stroke_width > 0:
        marks.append(
            Stroke(
                shape.paths,
                shape.stroke_width if widest is None else min(shape.stroke_width, widest),
                Role.ART,
                colour=shape.stroke,
                dash=shape.dash,
                cap=shape.cap,
                join=shape.join,
                miter_limit=shape.miter_limit,
            )
        )
    return marks


def place(
    art: Artwork, box: BBox, *, role: Role = Role.ART, id: str = "", turn_deg: float = 0.0
) -> Place:
    """An artwork in the middle of a box, as large as fits when turned."""
    return Place(art, _fitted(art.bbox, box, turn_deg), role, id)


def _fitted(content: BBox, box: BBox, turn_deg: float) -> Affine:
    spin = Affine.rotation(turn_deg)
    turned = content.transformed(spin)
    scale = min(box.width / turned.width, box.height / turned.height)
    (tx, ty), (cx, cy) = turned.center, box.center
    return spin.then(Affine.scaling(scale)).then(
        Affine.translation(cx - tx * scale, cy - ty * scale)
    )


def credit_line(artworks: Sequence[Artwork]) -> str:
    """One line that gives every credit the artworks ask for, each once; empty if none does."""
    seen = dict.fromkeys(a.credit for a in artworks if a.credit)
    return " ".join(seen)
