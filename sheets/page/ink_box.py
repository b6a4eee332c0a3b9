"""Where the ink of a placed drawing ends: its lines with their widths, not the drawing's box."""

from __future__ import annotations

import functools

from shapes.path import BBox
from sheets.page.model import WHITE, Place, Stroke


def ink_of_place(place: Place) -> BBox:
    """Box round the ink of a drawing on the page in mm; lines count with half their width.

    The box of an artwork is that of the drawing as it was made, whose lines may be wider. What is
    white is no ink. A drawing that is all white gives its own box.
    """
    boxes = [
        path.bbox.transformed(place.at).grown(
            mark.width * place.at.scale / 2.0 if isinstance(mark, Stroke) else 0.0
        )
        for mark in place.artwork.marks
        if mark.colour != WHITE
        for path in mark.paths
    ]
    if not boxes:
        return place.artwork.bbox.transformed(place.at)
    return functools.reduce(BBox.union, boxes)
