"""What stands in one place of a pattern row: a coloured shape with its hatch, or a picture."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from shapes import basic
from shapes.affine import Affine
from shapes.path import BBox, Path
from sheets.kinds.pattern.section import Cell
from sheets.page import palette
from sheets.page.cards import picture_with_lines
from sheets.page.hatching import hatch_marks, tint
from sheets.page.model import BLACK, Artwork, Fill, Place, Role, Stroke
from sheets.page.palette import Hatch

OUTLINE = 0.9

# Width and height over the side of the box, so that all shapes look equally large.
_SIZES = {
    "circle": (0.92, 0.92),
    "square": (0.84, 0.84),
    "triangle": (1.0, 1.0),
    "rectangle": (1.0, 0.62),
    "diamond": (0.72, 1.0),
    "hexagon": (1.0, 1.0),
    "star": (1.0, 1.0),
    "heart": (0.96, 0.96),
}


def cell_mark(
    cell: Cell,
    box: BBox,
    *,
    role: Role,
    id: str,
    hatches: Mapping[str, Hatch],
    bold: float = 0.0,
    saver: bool = False,
    coloured: bool = False,
) -> Place:
    """A thing in the middle of a box, as large as fits.

    Args:
        hatches: hatch by colour; a colour that is not in it is plain.
        bold: least width of outlines in mm.
        saver: a light tint instead of the full colour; black stays black.
        coloured: pictures with the set's own colours.
    """
    if cell.step is not None:
        return picture_with_lines(
            cell.step.picture, box, least_line_mm=bold, colour=coloured, role=role, id=id
        )
    art = _shape(
        cell.colour,
        cell.shape,
        round(min(box.width, box.height), 2),
        hatches.get(cell.colour, "none"),
        max(OUTLINE, bold),
        saver,
    )
    return Place(art, Affine.translation(*box.center), role, id)


def shape_path(shape: str, side: float) -> Path:
    """A shape about the origin, as large as a box of that side allows by eye."""
    drawn = {
        "circle": lambda: basic.circle(100.0),
        "square": lambda: basic.square(100.0),
        "triangle": lambda: basic.triangle(100.0),
        "rectangle": lambda: basic.rectangle(100.0, 62.0),
        "diamond": lambda: basic.diamond(72.0, 100.0),
        "hexagon": lambda: basic.regular_polygon(50.0, 6),
        "star": lambda: basic.star(100.0),
        "heart": lambda: basic.heart(100.0),
    }[shape]()
    box = drawn.bbox
    wide, high = _SIZES[shape]
    scale = min(side * wide / box.width, side * high / box.height)
    (cx, cy) = box.center
    return drawn.transformed(Affine.translation(-cx, -cy).then(Affine.scaling(scale)))


@lru_cache(maxsize=512)
def _shape(
    colour: str, shape: str, side: float, hatch: Hatch, outline: float, saver: bool
) -> Artwork:
    path = shape_path(shape, side - outline)
    nominal = palette.colours()[colour].hex
    fill = tint(nominal) if saver and nominal != BLACK else nominal
    marks: list[Stroke | Fill] = [Fill((path,), Role.ART, colour=fill)]
    marks += hatch_marks([path.flatten(0.05)], hatch, fill)
    marks.append(Stroke((path,), outline, Role.ART, join="miter" if shape != "star" else "round"))
    name = f"{colour}-{shape}-{round(side * 100)}-{hatch}-{round(outline * 100)}"
    return Artwork(
        name + ("-saver" if saver else ""),
        tuple(marks),
        path.bbox.grown(outline / 2.0),
        alt=f"{colour} {shape}",
    )
