"""One page as a PNG image, drawn from its SVG."""

from __future__ import annotations

import struct
import zlib

from shapes.errors import InputError
from sheets.page.model import Page
from sheets.write.numbers import MM_PER_INCH
from sheets.write.svg import write_svg

DEFAULT_DPI = 150
MAX_DPI = 1200
"""A letter page at 1200 dpi is 135 million dots, 540 MB while it is drawn."""

# The signature and the header chunk, which always comes first and has this length (PNG, 11.2.1).
_HEADER_END = 8 + 12 + 13


def write_png(
    page: Page, *, dpi: int = DEFAULT_DPI, title: str = "", language: str = "en"
) -> bytes:
    """The page as a PNG image on white; the file says its dpi, so it can be printed in true size.

    Args:
        dpi: dots per inch, 10 to 1200.
        title, language: as :func:`sheets.write.svg.write_svg`.

    Raises:
        GlyphError: a text has a character that the page font lacks.
        InputError: ``dpi`` out of range, or the cairo library is not on this machine.
    """
    if not 10 <= dpi <= MAX_DPI:
        raise InputError(f"{dpi} dpi is out of range", fix=f"use 10 to {MAX_DPI}")
    try:
        import cairosvg
    except (ImportError, OSError) as error:
        # The Python packages come with this program; the library under them may not be there.
        raise InputError(
            "PNG needs the cairo library, which was not found",
            fix="install it (Debian: apt install libcairo2; macOS: brew install cairo; "
            "Windows: the GTK runtime), or write .pdf or .svg, which work without it",
        ) from error
    image: bytes = cairosvg.svg2png(
        bytestring=write_svg(page, title=title, language=language),
        output_width=round(page.paper.width / MM_PER_INCH * dpi),
        output_height=round(page.paper.height / MM_PER_INCH * dpi),
        background_color="white",
    )
    return image[:_HEADER_END] + _resolution_chunk(dpi) + image[_HEADER_END:]


def _resolution_chunk(dpi: int) -> bytes:
    """The ``pHYs`` chunk: dots per metre across and down (PNG specification, 11.3.4.3)."""
    per_metre = round(dpi / MM_PER_INCH * 1000.0)
    body = b"pHYs" + struct.pack(">LLB", per_metre, per_metre, 1)
    return struct.pack(">L", len(body) - 4) + body + struct.pack(">L", zlib.crc32(body))
