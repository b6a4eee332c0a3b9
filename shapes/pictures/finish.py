"""Makes a picture of what a file has drawn: closed by lines of its own, loose marks left out."""

from __future__ import annotations

from dataclasses import replace

from shapes.path import Path
from shapes.pictures.closing import Closing
from shapes.pictures.picture import Picture, ink_box, without
from shapes.svg.drawing import Shape


def finished(picture: Picture, closing: Closing | None) -> Picture:
    """The picture closed by lines of its own, without what is no part of it.

    Args:
        picture: as drawn.
        closing: what makes it whole; None if that is to be found out.
    """
    if closing is None:
        if not picture.colour:
            return picture
        from shapes.pictures.whole import closing_of

        closing = closing_of(picture)
    shapes = without(picture, closing.left_out)
    split = len(picture.colour)
    colour = tuple(shape for shape in shapes[:split] if shape.paths)
    line = tuple(shape for shape in shapes[split:] if shape.paths)
    # To a hundredth of a unit, the closing lines lie within this box.
    box = ink_box((*colour, *line))
    if closing.lines:
        paths = tuple(Path.from_points(points) for points in closing.lines)
        line += (Shape(paths, None, "#000000", closing.width, cap="round", join="round"),)
    return replace(picture, colour=colour, line=line, bbox=box)
