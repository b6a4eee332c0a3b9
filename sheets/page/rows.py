"""Things on a page told in words by where they stand."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from shapes.path import BBox


def in_rows(boxes: Sequence[BBox], names: Sequence[str]) -> str:
    """Names row by row, such as ``row 1: duck, lotus; row 2: frog``; of one row only its names.

    Args:
        boxes: where the things stand, in any order, and ``names`` in the same.

    Returns:
        Nothing if they stand in no rows: each wholly below the one before.
    """
    rows: list[list[tuple[BBox, str]]] = []
    for box, name in sorted(zip(boxes, names, strict=True), key=lambda pair: -pair[0].y1):
        if rows and box.y1 > min(other.y0 for other, _ in rows[-1]):
            rows[-1].append((box, name))
        else:
            rows.append([(box, name)])
    for row in rows:
        row.sort(key=lambda pair: pair[0].x0)
        if any(left.x1 > right.x0 for (left, _), (right, _) in itertools.pairwise(row)):
            return ""  # one stands above another within its row
    said = [", ".join(name for _, name in row) for row in rows]
    if len(said) == 1:
        return said[0]
    return "; ".join(f"row {number}: {names}" for number, names in enumerate(said, start=1))
