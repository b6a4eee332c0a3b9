"""Simple drawings as a teacher might make them, by number: lines, curves and areas of every kind.

The same number gives the same drawing. Caps, corners, open and closed lines, fills, widths and
transforms are drawn evenly from their lists.
"""

from __future__ import annotations

import math
import random

SIZE = 200
"""Side of the square they are drawn in."""

_CAPS = ("butt", "round", "square")
_JOINS = ("miter", "round", "bevel")


def drawing(number: int) -> str:
    """The text of an SVG file."""
    rng = random.Random(number)
    count = rng.randint(1, 5)
    cap, join = _CAPS[number % 3], _JOINS[number // 3 % 3]
    look = (
        f'stroke="#000" stroke-linecap="{cap}" stroke-linejoin="{join}" '
        f'stroke-miterlimit="{rng.choice((1, 2, 4, 10))}" '
        f'stroke-width="{rng.choice((1, 2, 4, 8, 16))}"'
    )
    content = "".join(_element(rng) for _ in range(count))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {SIZE}">'
        f"<g {look}>{content}</g></svg>"
    )


def _element(rng: random.Random) -> str:
    fill = rng.choice(("none", "none", "#ffffff", "#88bb44"))
    transform = _transform(rng) if rng.random() < 0.5 else ""
    common = f'fill="{fill}"' + (f' transform="{transform}"' if transform else "")
    kind = rng.choice(("zigzag", "curve", "polygon", "circle", "rect", "arc"))
    if kind == "circle":
        x, y, r = rng.uniform(60, 140), rng.uniform(60, 140), rng.uniform(10, 50)
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" {common}/>'
    if kind == "rect":
        x, y, w, h = (rng.uniform(20, 90) for _ in range(4))
        round_ = rng.choice(("", ' rx="8"'))
        return f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}"{round_} {common}/>'
    return f'<path d="{_path(rng, kind)}" {common}/>'


def _path(rng: random.Random, kind: str) -> str:
    def point() -> str:
        return f"{rng.uniform(20, 180):.1f} {rng.uniform(20, 180):.1f}"

    end = rng.choice(("", "z"))
    if kind == "zigzag":
        return f"M{point()}" + "".join(f"L{point()}" for _ in range(rng.randint(1, 4))) + end
    if kind == "curve":
        steps = (f"C{point()} {point()} {point()}" for _ in range(rng.randint(1, 3)))
        return f"M{point()}" + "".join(steps) + end
    if kind == "arc":
        rx, ry = rng.uniform(20, 60), rng.uniform(20, 60)
        flags = f"{rng.randint(0, 1)} {rng.randint(0, 1)}"
        return f"M{point()}A{rx:.1f} {ry:.1f} {rng.randint(0, 90)} {flags} {point()}" + end
    corners = rng.randint(3, 7)
    turn = rng.uniform(0, math.tau)
    points = []
    for i in range(corners):
        r, angle = rng.uniform(20, 60), turn + math.tau * i / corners
        points.append(f"{100 + r * math.cos(angle):.1f} {100 + r * math.sin(angle):.1f}")
    return "M" + "L".join(points) + "z"


def _transform(rng: random.Random) -> str:
    return rng.choice(
        (
            f"translate({rng.uniform(-20, 20):.1f} {rng.uniform(-20, 20):.1f})",
            f"rotate({rng.uniform(0, 360):.1f} 100 100)",
            rng.choice(("matrix(-0.8 0 0 0.8 180 20)", "matrix(0.8 0 0 0.8 20 20)")),
            f"translate(30 30) scale({rng.uniform(0.4, 0.9):.2f})",
            f"translate(20 40) scale({rng.uniform(0.4, 0.9):.2f} {rng.uniform(0.4, 0.9):.2f})",
            f"translate(10 10) skewX({rng.uniform(-20, 20):.0f})",
        )
    )
