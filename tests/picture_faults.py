"""What keeps a drawing off the list of words: the check by which ``words.toml`` was made."""

from __future__ import annotations

import shapely

from shapes.outline.morphology import parts
from shapes.pictures.picture import Picture
from shapes.pictures.silhouette import silhouette, without_holes

# Our settings for a picture that may stand in the word list; no published source.
_SIZE_MM = 150.0
_OFFSET_MM = 3.0
_CLOSING_MM = 6.0
_DETACHED_SHARE = 0.10
_LEAST_FILL = 0.20
_MOST_FILL = 0.98


def faults(picture: Picture) -> tuple[str, ...]:
    """Why a picture makes no good outline to cut out or match; empty if it does.

    Measured at 150 mm after an outward offset of 3 mm and a closing of 6 mm: it must come out as
    one part, apart from bits of a tenth of the area or less, and fill a fair share of its box
    without being the box.
    """
    shape = silhouette(picture, _SIZE_MM)
    grown = shapely.buffer(shape, _OFFSET_MM + _CLOSING_MM)
    solid = without_holes(shapely.buffer(grown, -_CLOSING_MM))
    areas = sorted((part.area for part in parts(solid)), reverse=True)
    found = []
    loose = 1.0 - areas[0] / sum(areas)
    if loose > _DETACHED_SHARE:
        found.append(f"{len(areas)} parts, {loose:.0%} of the area detached")
    x0, y0, x1, y1 = solid.bounds
    share = solid.area / ((x1 - x0) * (y1 - y0))
    if share < _LEAST_FILL:
        found.append(f"thin: {share:.0%} of its box")
    if share > _MOST_FILL:
        found.append(f"a plain box: {share:.0%} of its box")
    return tuple(found)
