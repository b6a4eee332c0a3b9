"""How light a colour is."""

from __future__ import annotations

import re

from shapes.errors import InputError

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 black to 1 white.

    Source: W3C, Web Content Accessibility Guidelines 2.2 (2023), definition of relative luminance.

    Raises:
        InputError: not ``#rrggbb``.
    """
    if not _HEX.fullmatch(colour):
        raise InputError(f"{colour!r} is not a colour", fix="write it as #rrggbb")
    red, green, blue = (_linear(int(colour[i : i + 2], 16) / 255.0) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(c: float) -> float:
    return c / 12.92 if c <= 0.04045 else float(((c + 0.055) / 1.055) ** 2.4)
