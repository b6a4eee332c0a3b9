"""The PNG writer: size in dots, white paper, its resolution, and a machine without cairo."""

from __future__ import annotations

import importlib.abc
import io
import struct
import sys
import zlib
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from types import ModuleType

import PIL.Image
import pytest

from shapes.errors import InputError
from shapes.path import Path
from sheets.page.model import Page, Role, Stroke
from sheets.write.png import write_png
from tests.rendered_pages import A4, page_of


def image_of(page: Page, dpi: int = 150) -> PIL.Image.Image:
    return PIL.Image.open(io.BytesIO(write_png(page, dpi=dpi)))


@pytest.mark.parametrize(
    ("page", "dpi", "size"),
    [
        (page_of(), 150, (1275, 1650)),
        (page_of(), 100, (850, 1100)),
        (page_of(paper=A4), 150, (1240, 1754)),
        (page_of(), 10, (85, 110)),
    ],
)
def test_the_image_has_the_dots_of_its_paper(page: Page, dpi: int, size: tuple[int, int]) -> None:
    assert image_of(page, dpi).size == size


def test_paper_is_white_and_ink_where_it_was_put() -> None:
    # At 254 dpi a dot is 0.1 mm.
    line = Stroke((Path.line((20, 79.4), (120, 79.4)),), 2.0, Role.CUT, cap="butt")
    image = image_of(page_of(line), dpi=254).convert("RGB")

    dark = [y for y in range(image.height) if image.getpixel((700, y)) == (0, 0, 0)]
    assert (dark[0], dark[-1]) == (1990, 2009)
    across = [x for x in range(image.width) if image.getpixel((x, 2000)) == (0, 0, 0)]
    assert (across[0], across[-1]) == (200, 1199)
    assert image.getpixel((0, 0)) == (255, 255, 255)


def test_the_file_says_its_resolution() -> None:
    assert image_of(page_of(), 150).info["dpi"] == pytest.approx((150, 150), abs=0.02)


def test_all_chunks_are_whole() -> None:
    data = write_png(page_of(), dpi=20)
    at, names = 8, []
    while at < len(data):
        (length,) = struct.unpack_from(">L", data, at)
        body = data[at + 4 : at + 8 + length]
        assert struct.unpack_from(">L", data, at + 8 + length) == (zlib.crc32(body),)
        names.append(body[:4])
        at += 12 + length

    assert names[0] == b"IHDR"
    assert names[-1] == b"IEND"
    assert names.index(b"pHYs") < names.index(b"IDAT")


@pytest.mark.parametrize("dpi", [0, 9, 1201, -150])
def test_a_resolution_out_of_range_is_refused(dpi: int) -> None:
    with pytest.raises(InputError) as caught:
        write_png(page_of(), dpi=dpi)

    assert str(caught.value) == f"{dpi} dpi is out of range; use 10 to 1200"


class _NoCairo(importlib.abc.MetaPathFinder):
    """What happens to ``import cairosvg`` on a machine without the cairo library."""

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if name == "cairosvg":
            raise OSError('no library called "cairo-2" was found')
        return None


def test_without_cairo_one_line_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "cairosvg", raising=False)
    monkeypatch.setattr(sys, "meta_path", [_NoCairo(), *sys.meta_path])

    with pytest.raises(InputError) as caught:
        write_png(page_of())

    assert str(caught.value) == (
        "PNG needs the cairo library, which was not found; install it"
        " (Debian: apt install libcairo2; macOS: brew install cairo; Windows: the GTK runtime),"
        " or write .pdf or .svg, which work without it"
    )
