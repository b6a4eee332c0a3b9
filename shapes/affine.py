"""Plane affine maps, in the order of the SVG ``matrix(a b c d e f)`` notation."""

from __future__ import annotations

import math
from typing import NamedTuple

Point = tuple[float, float]


class Affine(NamedTuple):
    """The map ``x' = a x + c y + e``, ``y' = b x + d y + f`` (lengths in mm)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @classmethod
    def translation(cls, dx: float, dy: float) -> Affine:
        """Move by ``(dx, dy)`` mm."""
        return cls(e=dx, f=dy)

    @classmethod
    def scaling(cls, sx: float, sy: float | None = None) -> Affine:
        """Scale about the origin; ``sy`` defaults to ``sx``."""
        return cls(a=sx, d=sx if sy is None else sy)

    @classmethod
    def rotation(cls, angle_deg: float) -> Affine:
        """Turn anticlockwise (y up) about the origin."""
        quarter = angle_deg / 90.0
        if quarter == int(quarter):
            # Exact quarter turns, so that a page turned four times is the page itself.
            cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
        else:
            cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        return cls(cos, sin, -sin, cos)

    def then(self, outer: Affine) -> Affine:
        """The map that does ``self`` first and ``outer`` after it."""
        return Affine(
            outer.a * self.a + outer.c * self.b,
            outer.b * self.a + outer.d * self.b,
            outer.a * self.c + outer.c * self.d,
            outer.b * self.c + outer.d * self.d,
            outer.a * self.e + outer.c * self.f + outer.e,
            outer.b * self.e + outer.d * self.f + outer.f,
        )

    def apply(self, point: Point) -> Point:
        """The image of one point."""
        x, y = point
        return (self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)

    @property
    def determinant(self) -> float:
        """Area factor; negative for a mirror."""
        return self.a * self.d - self.b * self.c

    @property
    def scale(self) -> float:
        """Square root of the area factor: the factor on line widths."""
        return math.sqrt(abs(self.determinant))

    def is_similarity(self, tolerance: float = 1e-9) -> bool:
        """True if circles stay circles (turn, uniform scale, mirror, move)."""
        size = max(abs(self.a), abs(self.b), abs(self.c), abs(self.d), 1e-300)
        direct = abs(self.a - self.d) + abs(self.b + self.c)
        mirror = abs(self.a + self.d) + abs(self.b - self.c)
        return min(direct, mirror) <= tolerance * size
