"""How numbers and colours are written in files: few digits, one spelling for each value."""

from __future__ import annotations

MM_PER_INCH = 25.4
PT_PER_MM = 72.0 / MM_PER_INCH

MM_PLACES = 2
"""0.01 mm is a quarter of a dot of a 600 dpi printer (0.042 mm)."""


def decimal(value: float, places: int) -> str:
    """The shortest spelling of ``value`` to at most ``places`` (1 or more) decimal places.

    Never an exponent, never ``-0``: ``decimal(1.50, 2)`` is ``1.5``.
    """
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def mm(value: float) -> str:
    """Millimetres to 0.01: ``mm(12.7)`` is ``12.7``, ``mm(3.0)`` is ``3``."""
    text = f"{value:.2f}"
    # The same as decimal(value, 2), without its two searches: this runs for every coordinate.
    if text[-1] != "0":
        return text
    text = text[:-1] if text[-2] != "0" else text[:-3]
    return "0" if text == "-0" else text


def rgb(colour: str) -> tuple[float, float, float]:
    """``#rrggbb`` as three parts of 1; ValueError if it is spelled another way."""
    if len(colour) != 7 or colour[0] != "#":
        raise ValueError(f"colour must be #rrggbb, not {colour!r}")
    red, green, blue = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    return (red, green, blue)


def places_for(size_mm: float) -> int:
    """Decimal places for a drawing of ``size_mm`` that is placed larger or smaller later.

    Two for a drawing of 20 mm or more, one more for each tenth of that: the step stays below
    1/2000 of the drawing.
    """
    places = MM_PLACES
    while size_mm < 20.0 and places < 6:
        size_mm *= 10.0
        places += 1
    return places
