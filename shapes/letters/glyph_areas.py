"""How much ink letters of the page font take."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path as FilePath

from shapes.letters.font import check_text
from shapes.letters.page_font import MM_PER_PT, drawable, glyph_path, units_per_em

STORE = FilePath(__file__).with_name("glyph_areas.json")
"""Inked area of every character of the page font, in square font units.

``python -m shapes.letters.glyph_areas`` makes it: joining strokes that overlap needs a geometry
library that takes longer to load than a page takes to draw.
"""


def text_ink_mm2(text: str, size_pt: float) -> float:
    """What one line of text inks, in mm².

    Raises:
        GlyphError: as :func:`shapes.letters.font.check_text`.
    """
    mm = size_pt * MM_PER_PT / units_per_em()
    return _units(text) * mm * mm


@lru_cache(maxsize=2_048)  # the same lines stand at the foot of every page of a packet
def _units(text: str) -> int:
    areas = _stored()
    return sum(areas.get(char, 0) for char in check_text(text))


@cache
def _stored() -> Mapping[str, int]:
    content: Mapping[str, int] = json.loads(STORE.read_text("utf-8"))
    return content


def measured(char: str) -> int:
    """Inked area of one character, in square font units; 0 for a blank."""
    from shapes.letters.glyphs import area

    return round(area(char).area) if glyph_path(char) else 0


def store_text() -> str:
    """The content of :data:`STORE`, measured anew."""
    areas = ((char, measured(char)) for char in drawable())
    rows = [f"{json.dumps(char, ensure_ascii=False)}: {area}" for char, area in areas if area]
    return "{\n" + ",\n".join(rows) + "\n}\n"


if __name__ == "__main__":
    STORE.write_text(store_text(), "utf-8")
