"""Where a line of text starts and how it is turned: the same in every output format."""

from __future__ import annotations

from shapes.affine import Affine
from shapes.letters.font import text_width_mm
from sheets.page.model import Anchor, Text

_WIDTHS_BEFORE_ANCHOR: dict[Anchor, float] = {"start": 0.0, "middle": 0.5, "end": 1.0}


def text_start(text: Text, drawn: str) -> Affine:
    """The map from a line's own mm (first letter at 0, 0, baseline along x) to page mm.

    Args:
        drawn: the text as :func:`shapes.letters.font.check_text` returns it.
    """
    share = _WIDTHS_BEFORE_ANCHOR[text.anchor]
    back = share * text_width_mm(drawn, text.size_pt) if share else 0.0
    if text.turn_deg == 0.0:  # nearly always
        return Affine.translation(text.x - back, text.y)
    turn = Affine.rotation(text.turn_deg)
    return Affine.translation(-back, 0.0).then(turn).then(Affine.translation(text.x, text.y))
