"""Drawings as dots: by another program and by our silhouette, to be laid over each other."""

from __future__ import annotations

import io

import cairosvg
import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from shapes.affine import Affine
from shapes.pictures.picture import Picture, to_mm
from shapes.pictures.silhouette import silhouette

Mask = NDArray[np.bool_]


def rendered(svg: bytes, side: int) -> Mask:
    """What cairosvg inks of a drawing on a square of dots; white counts as paper."""
    png = cairosvg.svg2png(svg, output_width=side, output_height=side, background_color="white")
    grey = np.asarray(Image.open(io.BytesIO(png)).convert("L"))
    ink: Mask = grey < 245
    return ink


def filled(mask: Mask) -> Mask:
    """The mask with its holes filled, from the outside in."""
    outside = np.zeros(np.add(mask.shape, 2), dtype=bool)
    outside[0] = True
    free = ~np.pad(mask, 1)
    before = 0
    while (now := int(outside.sum())) != before:
        before = now
        # To and fro over the rows, then over the columns: what is free and beside the outside.
        for view, ground in ((outside, free), (outside.T, free.T)):
            for line in (*range(1, len(view)), *range(len(view) - 2, -1, -1)):
                beside = view[line - 1] | view[line] | view[min(line + 1, len(view) - 1)]
                view[line] = beside & ground[line]
    inside: Mask = ~outside[1:-1, 1:-1]
    return inside


def inner(mask: Mask) -> Mask:
    """The mask less a rim one dot wide."""
    padded = np.pad(mask, 1)
    high, wide = mask.shape
    shifts = [padded[y : y + high, x : x + wide] for y in range(3) for x in range(3)]
    within: Mask = np.logical_and.reduce(shifts)
    return within


def outline_mask(picture: Picture, side: int, units: float) -> Mask:
    """Our silhouette on the same dots.

    Args:
        units: side of the square view of the drawing, whose lower left corner is (0, 0), y up.
    """
    m = to_mm(picture, 200.0)
    back = Affine.translation(-m.e, -m.f).then(Affine.scaling(1.0 / m.scale))
    shape = shapely.transform(
        silhouette(picture, 200.0),
        lambda xy: np.array([back.apply((x, y)) for x, y in xy], dtype=float),
    )
    centers = (np.arange(side) + 0.5) * units / side
    x, y = np.meshgrid(centers, units - centers)
    mask: Mask = np.asarray(shapely.contains_xy(shape, x, y))
    return mask


def overlap(one: Mask, other: Mask) -> float:
    """What both cover, as a share of what either covers: 1 if they are the same."""
    return float((one & other).sum() / max(1, (one | other).sum()))
