"""The basic shapes of SVG (SVG 2, chapter 10), drawn on a path builder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shapes.errors import PictureError
from shapes.svg.path import PathBuilder, read_numbers
from shapes.svg.values import read_length

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

BASIC_SHAPES = frozenset(("circle", "ellipse", "line", "polyline", "polygon", "rect"))


def draw_basic(pen: PathBuilder, element: Element, tag: str, viewport: tuple[float, float]) -> None:
    """Draw one of :data:`BASIC_SHAPES`; one without extent draws nothing.

    Args:
        viewport: width and height that percentages count, in user units.

    Raises:
        PictureError: for attributes that cannot be read.
    """
    if tag in ("polyline", "polygon"):
        numbers = read_numbers(element.get("points", ""))
        _draw_points(pen, numbers, closed=tag == "polygon")
    elif tag == "line":
        x1, y1, x2, y2 = read_lengths(element, viewport, "x1", "y1", "x2", "y2")
        pen.move_to(x1, y1)
        pen.line_to(x2, y2)
    elif tag == "rect":
        x, y, w, h = read_lengths(element, viewport, "x", "y", "width", "height")
        rx, ry = _radii(element, viewport)
        _draw_rect(pen, x, y, w, h, min(rx, w / 2), min(ry, h / 2))
    else:
        cx, cy, r = read_lengths(element, viewport, "cx", "cy", "r")
        rx, ry = (r, r) if tag == "circle" else _radii(element, viewport)
        _draw_ellipse(pen, cx, cy, rx, ry)


def read_lengths(element: Element, viewport: tuple[float, float], *names: str) -> list[float]:
    """Attributes as user units, missing ones as 0.

    Percentages count the width, the height, or for a radius the mean of both (SVG 2, 8.9).

    Raises:
        PictureError: for an attribute that is no length.
    """
    width, height = viewport
    mean = ((width * width + height * height) / 2) ** 0.5
    values = []
    for name in names:
        if name == "r":
            full = mean
        else:
            full = width if "x" in name or name == "width" else height
        values.append(read_length(element.get(name, "0"), full))
    return values


def _radii(element: Element, viewport: tuple[float, float]) -> tuple[float, float]:
    """``rx`` and ``ry``; one that is missing or ``auto`` takes the value of the other."""
    given = [
        max(0.0, read_lengths(element, viewport, name)[0])
        for name in ("rx", "ry")
        if element.get(name, "auto").strip() != "auto"
    ]
    if not given:
        return 0.0, 0.0
    return given[0], given[-1]


def _draw_points(pen: PathBuilder, numbers: list[float], *, closed: bool) -> None:
    if len(numbers) % 2:
        raise PictureError(
            f"has a list of points with {len(numbers)} numbers, one too many or too few",
            fix="save the drawing again",
        )
    if not numbers:
        return
    pen.move_to(numbers[0], numbers[1])
    for i in range(2, len(numbers), 2):
        pen.line_to(numbers[i], numbers[i + 1])
    if closed:
        pen.close()


def _draw_rect(
    pen: PathBuilder, x: float, y: float, w: float, h: float, rx: float, ry: float
) -> None:
    if w <= 0 or h <= 0:
        return
    pen.move_to(x + rx, y)
    pen.line_to(x + w - rx, y)
    pen.arc_to(rx, ry, 0, False, True, x + w, y + ry)
    pen.line_to(x + w, y + h - ry)
    pen.arc_to(rx, ry, 0, False, True, x + w - rx, y + h)
    pen.line_to(x + rx, y + h)
    pen.arc_to(rx, ry, 0, False, True, x, y + h - ry)
    pen.line_to(x, y + ry)
    pen.arc_to(rx, ry, 0, False, True, x + rx, y)
    pen.close()


def _draw_ellipse(pen: PathBuilder, cx: float, cy: float, rx: float, ry: float) -> None:
    if rx <= 0 or ry <= 0:
        return
    pen.move_to(cx + rx, cy)
    pen.arc_to(rx, ry, 0, False, True, cx - rx, cy)
    pen.arc_to(rx, ry, 0, False, True, cx + rx, cy)
    pen.close()
