"""The inked areas of letterforms of the page font, to compare."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from shapes.affine import Point
from shapes.errors import InputError
from shapes.letters.font import glyph_path

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon
    from shapely.geometry import Point as ShapelyPoint

_SAG_UNITS = 1.5  # of 2048 to the em: 0.05 mm in a capital 50 mm high


@lru_cache(maxsize=256)
def area(char: str) -> MultiPolygon:
    """What one letter inks, in font units, y up, baseline at 0 (2048 units to the em).

    Strokes that overlap (K, M, x ...) are joined.

    Args:
        char: one character; an accent typed apart is joined to its letter.

    Raises:
        GlyphError: the font has no such character.
        InputError: a blank.
    """
    from shapely import polygonize, union_all
    from shapely.geometry import LinearRing, MultiPolygon

    rings = [p.flatten(_SAG_UNITS) for p in glyph_path(unicodedata.normalize("NFC", char))]
    if not rings:
        raise InputError(f"{char!r} has no outline", fix="choose a letter, figure or sign")
    faces = polygonize([union_all([LinearRing(ring) for ring in rings])]).geoms
    inside = [face for face in faces if _winding(face.representative_point(), rings)]
    inked = union_all(inside)
    return inked if isinstance(inked, MultiPolygon) else MultiPolygon([inked])


def _winding(point: ShapelyPoint, rings: Sequence[Sequence[Point]]) -> int:
    """How often the rings run anticlockwise round the point (crossings of the ray to its right).

    Fonts ink where that is not 0 (the nonzero rule).
    """
    x, y = point.x, point.y
    count = 0
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (y0 <= y) != (y1 <= y) and x0 + (y - y0) / (y1 - y0) * (x1 - x0) > x:
                count += 1 if y1 > y0 else -1
    return count
