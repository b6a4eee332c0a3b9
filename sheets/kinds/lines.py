"""How a line to cut is drawn, whatever kind of sheet it is on."""

from __future__ import annotations

from sheets.kinds.options import Options, is_low
from sheets.page.model import LANE_TINT, Lane

EDGE = 0.5
BOLD_EDGE = 1.5
"""Edge of a lane on a page for low vision. Our setting."""
LANE_FROM = 4.0
"""Lines at least this wide are drawn as two edges with a tint; narrower ones are solid."""
SAVER_TINT = "#ececec"
"""Paler than the usual tint; the lane still stands out from the paper round it."""


def lane_style(width: float, options: Options) -> Lane | None:
    """How a cutting line is drawn: wide ones as lanes, to save ink and show the way."""
    edge = BOLD_EDGE if is_low(options) else EDGE
    if options.ink == "saver":
        return Lane(min(edge, width / 4.0), SAVER_TINT)
    return Lane(edge, LANE_TINT) if width >= LANE_FROM else None
