"""Letters and short words as pictures to cut round: the page font's letters, made thick.

A letter's outline goes round what is printed, so that its counters (the holes of O, A and B) are
drawn inside it and never cut. Units are mm at a capital's height of 100 mm, y up.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING

from shapes.path import Path
from shapes.pictures.picture import Picture, ink_box
from shapes.svg.drawing import Shape
from sheets.page.model import BLACK, WHITE

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

CAPITAL = 100.0
"""Height of a flat capital in the units of the pictures."""
THICKER = 4.5
"""What is added round the font's strokes: with it a stem is 22 mm thick. Our setting: the counters
of e and a stay open."""
_APART = 3.0
"""Least white between the thick letters of a word, at a capital's height of 100 mm. Our setting."""
_SIMPLER = 0.03
LINE = 2.4
"""Width of the line round a letter at that height; large ones are drawn with a thinner one."""


@lru_cache(maxsize=64)
def letterform(text: str, line: float = LINE) -> Picture:
    """One letter, or a word in one line, as line art that is hollow to be coloured.

    Args:
        line: width of its line, in mm at a capital's height of 100 mm.

    Raises:
        GlyphError: the page font lacks a character.
        InputError: a blank.
    """
    parts = _thick(unicodedata.normalize("NFC", text))
    rings = tuple(path for part in parts for path in _rings(part))
    shape = Shape(rings, WHITE, BLACK, line, "round", "round", even_odd=True)
    box = ink_box((shape,))
    codes = "-".join(f"{ord(c):04x}" for c in text)
    name = f"letters-{round(line * 10)}-{codes}"
    return Picture(name, text, (shape,), (), box, "", f"letters {text}")


def has_hole(text: str) -> bool:
    """Whether a letter of it has a counter, as O and A have."""
    return any(part.interiors for part in _thick(unicodedata.normalize("NFC", text)))


def _thick(text: str) -> list[Polygon]:
    """The letters side by side, each as near to the one before as :data:`_APART` lets it."""
    from shapely.affinity import scale, translate

    from shapes.letters.font import MM_PER_PT, cap_height_mm, units_per_em
    from shapes.letters.glyphs import area
    from shapes.outline.morphology import grown, parts

    to_units = CAPITAL / (cap_height_mm(1.0) / MM_PER_PT * units_per_em())
    found: list[BaseGeometry] = []
    for char in text:
        thick = grown(scale(area(char), to_units, to_units, origin=(0.0, 0.0)), THICKER)
        thick = thick.simplify(_SIMPLER)
        if found:
            thick = translate(thick, _beside(found[-1], thick))
        found.append(thick)
    return [part for one in found for part in parts(one)]


def _beside(left: BaseGeometry, right: BaseGeometry) -> float:
    """How far the second letter moves to the right to stand as near as it may."""
    from shapely.affinity import translate

    low: float = left.bounds[0] - right.bounds[0]
    high: float = left.bounds[2] - right.bounds[0] + _APART
    for _ in range(20):
        middle = (low + high) / 2.0
        if left.distance(translate(right, middle)) >= _APART:
            high = middle
        else:
            low = middle
    return high


def _rings(part: Polygon) -> list[Path]:
    return [Path.from_points(list(ring.coords), closed=True)
            for ring in (part.exterior, *part.interiors)]  # fmt: skip
