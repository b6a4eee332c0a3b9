"""The PDF (drawn by pdfium) and the SVG (drawn by cairo) show the same page.

Two drawing engines place edges up to half a dot apart and grey them differently. So a dot counts
as missing only if it is clearly inked in one image and no dot within one dot of it (0.25 mm at
100 dpi) is even half inked in the other.
"""

from __future__ import annotations

import dataclasses
import io

import numpy as np
import numpy.typing as npt
import PIL.Image
import pypdfium2
import pytest

from shapes.affine import Affine
from shapes.path import Path
from sheets.page.model import Fill, Mark, Page, Role, Stroke, Text
from sheets.write.pdf import write_pdf
from sheets.write.png import write_png
from tests.rendered_pages import everything, page_of

DPI = 100
INKED, HALF_INKED = 0.5, 0.25
ALLOWED_DOTS = 5
"""Dots of a page that may be missing: a third of a square millimetre. Measured here: 0 or 1."""

Ink = npt.NDArray[np.float64]


def ink_of_pdf(page: Page) -> Ink:
    """Ink from 0 (paper) to 1 (black in the darkest channel), by pdfium."""
    data = write_pdf([page], title="t", language="en")
    with pypdfium2.PdfDocument(data) as pdf:
        image = pdf[0].render(scale=DPI / 72).to_pil()
    return _ink(image)


def ink_of_svg(page: Page) -> Ink:
    """The same by cairo, from the SVG."""
    return _ink(PIL.Image.open(io.BytesIO(write_png(page, dpi=DPI))))


def _ink(image: PIL.Image.Image) -> Ink:
    levels: Ink = np.asarray(image.convert("RGB"), dtype=np.float64)
    ink: Ink = 1.0 - levels.min(axis=2) / 255.0
    return ink


def _spread(ink: Ink) -> Ink:
    """The most ink within one dot in every direction."""
    padded = np.pad(ink, 1)
    height, width = ink.shape
    shifts = [padded[y : y + height, x : x + width] for y in range(3) for x in range(3)]
    most: Ink = np.maximum.reduce(shifts)
    return most


def missing(one: Ink, other: Ink) -> int:
    """Inked dots of either image that the other does not have."""
    assert one.shape == other.shape
    lost = (one > INKED) & (_spread(other) < HALF_INKED)
    lost_too = (other > INKED) & (_spread(one) < HALF_INKED)
    return int(lost.sum() + lost_too.sum())


@pytest.fixture(scope="module")
def svg_ink() -> Ink:
    return ink_of_svg(everything())


def test_pdf_and_svg_show_the_same_page(svg_ink: Ink) -> None:
    assert missing(ink_of_pdf(everything()), svg_ink) <= ALLOWED_DOTS


def test_they_are_as_dark_as_each_other(svg_ink: Ink) -> None:
    assert ink_of_pdf(everything()).mean() == pytest.approx(svg_ink.mean(), rel=0.01)


def test_the_image_of_a_page_is_not_empty(svg_ink: Ink) -> None:
    assert (svg_ink > INKED).sum() > 10_000


def moved(mark: Mark, dx: float) -> Mark:
    """The mark ``dx`` mm to the right."""
    if isinstance(mark, Stroke | Fill):
        return dataclasses.replace(mark, paths=tuple(path.moved(dx, 0) for path in mark.paths))
    if isinstance(mark, Text):
        return dataclasses.replace(mark, x=mark.x + dx)
    return dataclasses.replace(mark, at=mark.at.then(Affine.translation(dx, 0)))


MARKS = range(len(everything().marks))


@pytest.mark.parametrize("index", MARKS)
def test_a_mark_half_a_millimetre_off_is_seen(index: int, svg_ink: Ink) -> None:
    marks = list(everything().marks)
    marks[index] = moved(marks[index], 0.5)

    assert missing(ink_of_pdf(page_of(*marks)), svg_ink) > ALLOWED_DOTS


@pytest.mark.parametrize("index", MARKS)
def test_a_mark_left_out_is_seen(index: int, svg_ink: Ink) -> None:
    marks = list(everything().marks)
    del marks[index]

    assert missing(ink_of_pdf(page_of(*marks)), svg_ink) > ALLOWED_DOTS


@pytest.mark.parametrize("turn_deg", [0, 37, 90, 180, 270, -45])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_text_is_in_the_same_place_at_every_turn(turn_deg: float, anchor: str) -> None:
    page = page_of(
        Text(108, 140, "Đặng Zoë", 48, Role.LETTER, anchor=anchor, turn_deg=turn_deg)  # type: ignore[arg-type]
    )

    assert missing(ink_of_pdf(page), ink_of_svg(page)) <= ALLOWED_DOTS


@pytest.mark.parametrize("text", ["محمد أَحْمَد", "अर्चना क्षत्रिय", "王小明, น้ำฝน", "Ελένη יוֹסֵף"])
@pytest.mark.parametrize(("turn_deg", "anchor"), [(0, "start"), (30, "middle"), (90, "end")])
def test_other_scripts_look_the_same(text: str, turn_deg: float, anchor: str) -> None:
    page = page_of(Text(108, 140, text, 48, Role.LETTER, anchor=anchor, turn_deg=turn_deg))  # type: ignore[arg-type]

    assert missing(ink_of_pdf(page), ink_of_svg(page)) <= ALLOWED_DOTS
    assert (ink_of_svg(page) > INKED).sum() > 1_000


@pytest.mark.parametrize("cap", ["butt", "round"])
@pytest.mark.parametrize("join", ["miter", "round"])
@pytest.mark.parametrize("dash", [(), (6.0, 3.0), (0.01, 8.0)])
def test_ends_corners_and_dashes_look_the_same(
    cap: str, join: str, dash: tuple[float, ...]
) -> None:
    corners = Path.from_points([(40, 60), (100, 200), (112, 60), (170, 60), (172, 200)])
    stroke = Stroke((corners,), 5.0, Role.CUT, dash=dash, cap=cap, join=join)  # type: ignore[arg-type]
    page = page_of(stroke, Stroke((corners.moved(15, 10),), 0.5, Role.GUIDE))

    assert missing(ink_of_pdf(page), ink_of_svg(page)) <= ALLOWED_DOTS
