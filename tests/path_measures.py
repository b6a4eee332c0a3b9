"""Measures of a path that only tests need, beside those of ``shapes.measure.difficulty``."""

from __future__ import annotations

import math

from shapes.measure.difficulty import _smoothed_curvature
from shapes.path import Path

LINE_WIDTH_MM = 3.0


def smoothed_turning_deg(path: Path) -> float:
    """Total absolute turning in degrees after the 4 mm smoothing of the path complexity."""
    curvature, step = _smoothed_curvature(path)
    return math.degrees(float(abs(curvature).sum()) * step)


def length_over_width(path: Path) -> float:
    """Length divided by the printed line width, the plainest measure there is."""
    return path.length / LINE_WIDTH_MM
