"""Likeness of two letters found again on a rendering: dots of ink instead of outlines.

Pillow (FreeType) draws the letters of the page font large; shared area, distance of the edges and
width of the strokes are counted on the dots. No code of the project takes part.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path as FilePath
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

import shapes.letters

Dots: TypeAlias = NDArray[np.bool_]
Points: TypeAlias = NDArray[np.float64]

FONT = FilePath(shapes.letters.__file__).with_name("fonts") / "Andika-Regular.ttf"
EM = 300  # dots to the em; a stroke is about 30 wide
_EVERY = 5  # of one edge; a row has an even number of its dots, so each gets its turn
TURNED = 0.9
"""What a form that must first be turned keeps, by the definition of the measure."""


class Found(NamedTuple):
    """Likeness of two letters as they stand, and the best of three turned forms of the second."""

    upright: float
    turned: float

    @property
    def alike(self) -> float:
        """The measure as it is defined."""
        return max(self.upright, TURNED * self.turned)


@lru_cache(maxsize=128)
def dots(char: str) -> Dots:
    """The letter's ink, rows upwards from the descender, cut off at its left and right."""
    font = ImageFont.truetype(str(FONT), EM)
    page = Image.new("L", (2 * EM, 2 * EM), 0)
    ImageDraw.Draw(page).text((EM // 2, 3 * EM // 2), char, fill=255, font=font, anchor="ls")
    ink: Dots = np.asarray(page)[::-1] > 127
    columns = np.flatnonzero(ink.any(axis=0))
    return ink[:, columns[0] : columns[-1] + 1]


def edge(ink: Dots) -> Points:
    """The dots that have a white one beside, above or below them."""
    wide = np.pad(ink, 1)
    inner = wide[:-2, 1:-1] & wide[2:, 1:-1] & wide[1:-1, :-2] & wide[1:-1, 2:]
    return np.argwhere(ink & ~inner).astype(float)


def edge_length(ink: Dots) -> float:
    """Length of all edges: the steepness of the blurred picture, summed (coarea formula)."""
    blurred = Image.fromarray(np.pad(ink, 20)).convert("L").filter(ImageFilter.GaussianBlur(3))
    return float(np.hypot(*np.gradient(np.asarray(blurred, float) / 255.0)).sum())


def gap(a: Points, b: Points) -> float:
    """Mean distance from the points of one edge to the nearest of the other, both ways."""

    def one_way(some: Points, all_of: Points) -> float:
        some = some[::_EVERY]
        apart = (some**2).sum(1)[:, None] + (all_of**2).sum(1) - 2.0 * some @ all_of.T
        return float(np.sqrt(np.maximum(apart.min(axis=1), 0.0)).mean())

    return (one_way(a, b) + one_way(b, a)) / 2.0


def _agreement(a: Dots, b: Dots, lift: int) -> float:
    """The best of three ways to set one above the other, ``b`` lifted by so many dots."""
    stroke = a.sum() / edge_length(a) + b.sum() / edge_length(b)
    edges = edge(a), edge(b)
    room = a.shape[1] + b.shape[1]
    ink = np.argwhere(b)
    best = 0.0
    for dx in (0, round((a.shape[1] - b.shape[1]) / 2), a.shape[1] - b.shape[1]):
        under, over = (np.zeros((4 * EM, 3 * room), bool) for _ in range(2))
        rows, columns = np.nonzero(a)
        under[rows + EM, columns + room] = True
        over[ink[:, 0] + EM + lift, ink[:, 1] + room + dx] = True
        shared = float((under & over).sum() / (under | over).sum())
        near = 1.0 / (1.0 + gap(edges[0], edges[1] + (lift, dx)) / stroke)
        best = max(best, (shared + near) / 2.0)
    return best


def likeness_by_dots(first: str, second: str) -> Found:
    """How alike two letters are, by the definition of :func:`shapes.letters.likeness.likeness`."""
    a, b = dots(first), dots(second)
    rows = np.flatnonzero(a.any(axis=1))
    turned = 0.0
    for form in (b[:, ::-1], b[::-1], b[::-1, ::-1]):
        own = np.flatnonzero(form.any(axis=1))
        lift = round((rows[0] + rows[-1] - own[0] - own[-1]) / 2)
        turned = max(turned, _agreement(a, form, lift))
    return Found(_agreement(a, b, 0), turned)
