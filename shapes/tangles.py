"""Lines that cross too often, told before any area is made of them.

Imported inside functions only (shapely is heavy).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from shapes.affine import Point
from shapes.errors import PictureError

MAX_CROSSINGS = 20_000
"""Most times that the lines of one shape may cross each other: the areas that crossing lines close
in grow with them, in time and memory. A scribble has a few hundred."""

_AT_ONCE = 256


def refuse_tangles(lines: Iterable[Sequence[Point]], where: str = "") -> None:
    """Look at how often polylines cross themselves and each other.

    Args:
        lines: their corner points; closed ones end where they start.
        where: file name for the message.

    Raises:
        PictureError: more than :data:`MAX_CROSSINGS` times.
    """
    chords = [pair for points in lines for pair in itertools.pairwise(points)]
    if len(chords) < 2:
        return
    parts = shapely.linestrings(np.array(chords))
    tree, crossings = shapely.STRtree(parts), -3 * len(parts)  # itself and two neighbours
    for i in range(0, len(parts), _AT_ONCE):
        crossings += tree.query(parts[i : i + _AT_ONCE], predicate="intersects").shape[1]
        if crossings > 2 * MAX_CROSSINGS:
            raise PictureError(
                f"has lines that cross more than {MAX_CROSSINGS:,} times",
                where=where,
                fix="simplify the drawing",
            )
