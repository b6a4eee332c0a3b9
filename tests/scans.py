"""Photos of drawings by number: rendered, turned a little, unevenly lit and noisy."""

from __future__ import annotations

import io
import random

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.masks import Mask, filled, rendered

SIDE = 700


def shapes(number: int) -> bytes:
    """A drawing whose lines all touch: a body with a head, legs and a tail, filled or not."""
    rng = random.Random(number)
    fill = rng.choice(("none", "#777777", "#202020"))
    look = f'fill="{fill}" stroke="#101010" stroke-width="{rng.choice((3, 5, 8))}"'
    ends = f'stroke-linecap="{rng.choice(("butt", "round", "square"))}"'
    x, y = rng.uniform(85, 115), rng.uniform(95, 115)
    rx, ry = rng.uniform(30, 50), rng.uniform(25, 40)
    body = rng.choice(
        (
            f'<ellipse cx="{x}" cy="{y}" rx="{rx}" ry="{ry}" {look}/>',
            f'<rect x="{x - rx}" y="{y - ry}" width="{2 * rx}" height="{2 * ry}" {look}/>',
            f'<path d="M{x - rx} {y + ry}L{x} {y - ry}L{x + rx} {y + ry}z" {look}/>',
        )
    )
    head = f'<circle cx="{x + rx * 0.7}" cy="{y - ry * 0.6}" r="{rng.uniform(14, 24)}" {look}/>'
    legs = "".join(
        f'<path d="M{x + dx * rx} {y + 0.5 * ry}v{rng.uniform(30, 50)}" {look} {ends}/>'
        for dx in (-0.4, 0.4)
    )
    tail = (
        f'<path d="M{x - 0.5 * rx} {y}q-{rng.uniform(20, 40)} -10 -{rng.uniform(30, 50)} 20" '
        f"{look.replace(fill, 'none', 1)} {ends}/>"
    )
    content = legs + tail + body + head
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">{content}</svg>'.encode()


def scan(number: int) -> tuple[bytes, Mask]:
    """A JPG or PNG file, and the true outline of what is on it, filled."""
    rng = np.random.default_rng(number)
    clean = rendered(shapes(number), 2 * SIDE)
    sharp = Image.fromarray(np.where(clean, 40, 245).astype(np.uint8))
    angle = float(rng.uniform(-3.0, 3.0))
    turned = sharp.rotate(angle, Image.Resampling.BICUBIC, fillcolor=245)
    small = np.asarray(turned.resize((SIDE, SIDE), Image.Resampling.LANCZOS), dtype=float)
    truth = filled(small < 142.5)
    lit = small * _light(rng) + rng.normal(0.0, 6.0, small.shape)
    image = Image.fromarray(np.clip(lit, 0, 255).astype(np.uint8))
    file = io.BytesIO()
    if number % 2:
        image.save(file, "JPEG", quality=70)
    else:
        image.save(file, "PNG")
    return file.getvalue(), truth


def _light(rng: np.random.Generator) -> NDArray[np.float64]:
    """From full light to half of it across the page, brightest off the middle."""
    y, x = np.mgrid[0 : 1 : SIDE * 1j, 0 : 1 : SIDE * 1j]
    slope = rng.uniform(-0.25, 0.25, 2)
    cx, cy = rng.uniform(0.3, 0.7, 2)
    light: NDArray[np.float64] = (
        0.8 + slope[0] * (x - 0.5) + slope[1] * (y - 0.5) - 0.25 * ((x - cx) ** 2 + (y - cy) ** 2)
    )
    return light
