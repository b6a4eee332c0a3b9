"""Where the things of a row stand from left to right, and how large letters may be for that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox

Side = Literal[-1, 0, 1]
"""At the left edge, over the whole width, or at the right edge."""


def widths(texts: Sequence[str], letter: float, picture: float) -> list[float]:
    """How wide the things of a row are, mm; an empty text stands for a picture."""
    size_pt = letter / cap_height_mm(1.0)
    return [text_width_mm(text, size_pt) if text else picture for text in texts]


def pitch(rows: Sequence[Sequence[float]], width: float, gap: float) -> float:
    """From middle to middle of two things, in rows that stand to the left and to the right.

    Things are as far apart as the other row is shifted, if the gap allows; then what stands
    straight below a thing is either the other answer or nothing.

    Args:
        rows: widths of the things of each row, two in each.
    """
    mean = max(sum(row) / 2.0 for row in rows)
    return max(mean + gap, (width - mean) / 2.0)


def largest_letter(
    rows: Sequence[Sequence[str]], letter: float, picture: float, width: float, gap: float
) -> float:
    """A letter size, or as much less as lets a row of two be shifted by half its pitch, mm.

    Two letters with their gap, and half as much again, are then no wider than the page.
    """
    most = (width - 1.5 * gap) / 2.5
    means = [sum(widths(row, letter, picture)) / 2.0 for row in rows if any(row)]
    return letter * min(1.0, most / max(means, default=most))


def cells(row: BBox, things: Sequence[float], side: Side, apart: float) -> list[BBox]:
    """A cell for each thing of a row.

    Args:
        things: their widths, mm.
        side: where a row of two stands; all others have even cells.
        apart: pitch of a row that stands at one side, mm.
    """
    count = len(things)
    if not side:
        wide = row.width / count
        middles = [row.x0 + (i + 0.5) * wide for i in range(count)]
    else:
        wide = apart
        first = row.x0 + things[0] / 2.0
        if side > 0:
            first = row.x1 - things[-1] / 2.0 - (count - 1) * apart
        middles = [first + i * apart for i in range(count)]
    return [BBox(x - wide / 2.0, row.y0, x + wide / 2.0, row.y1) for x in middles]
