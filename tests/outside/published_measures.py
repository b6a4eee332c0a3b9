"""Measures of following a path that others published, as far as they could be read here.

Set beside the path complexity on the pairs of ``progressions.toml``. All were measured on adults or
on drawing, none on cutting. One setting was tried of each; of the floor of the power law, for which
no published value could be read, five, spread over four powers of ten. All that was tried is here.

- J. Chen and S. Fels, CHI 2025, doi 10.1145/3706598.3713102: movement time grows with length,
  total curvature K and their product. Forms and definition of K as in the abstract and a summary;
  the coefficients could not be read and are not guessed. A pair counts as ordered if every choice
  of positive coefficients orders it so; "open" if it depends on the choice.
- R. Pastel, CHI 2006 (form from memory): the steering index plus, for a corner in the middle of a
  path of length A, a multiple of log2(A / 2W + 1). The multiple could not be read: as above. For
  paths with several corners, A is here the two sides that meet, which is ours.
- P. Viviani and R. Schneider, J. Exp. Psychol. HPP 17, 1991, 198-218: speed grows with the radius
  to the power 1/3, so the time is the integral of k^(1/3) ds. A straight part then takes none; they
  put a floor under the curvature, whose value could not be read.
- Total turning and length: no constants at all.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Literal

from shapes.measure.difficulty import turning_deg
from shapes.path import Arc, Line, Path

Measure = Callable[[Path], float]
Verdict = Literal["agree", "opposite", "tie", "open"]

LINE_WIDTH_MM = 3.0
CORNER_DEG = 15.0
SAME = 1e-6


def total_curvature(path: Path) -> float:
    """K of Chen and Fels: the integral of the absolute curvature, in radians."""
    return math.radians(turning_deg(path))


def length(path: Path) -> float:
    return path.length


def power_law(path: Path, floor_per_mm: float = 0.0) -> float:
    """The integral of (k + floor)^(1/3) ds of a path of lines and arcs; corners take no time."""
    total = 0.0
    for segment in path.segments:
        assert isinstance(segment, Line | Arc)
        curvature = 1.0 / segment.radius if isinstance(segment, Arc) else 0.0
        total += segment.length() * (curvature + floor_per_mm) ** (1.0 / 3.0)
    return total


def corner_term(path: Path) -> float:
    """Sum over the corners of log2(A / 2W + 1), W the line width, A the two sides that meet."""
    sides = _sides(path)
    return sum(math.log2((a + b) / (2.0 * LINE_WIDTH_MM) + 1.0) for a, b in sides)


def _sides(path: Path) -> list[tuple[float, float]]:
    """Lengths before and after every joint that turns by 15 degrees or more."""
    parts = list(path.segments)
    joints = list(itertools.pairwise(parts)) + ([(parts[-1], parts[0])] if path.closed else [])
    runs, at = [], 0.0
    for before, after in joints:
        at += before.length()
        (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
        if abs(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))) >= CORNER_DEG:
            runs.append(at)
    if not runs:
        return []
    if path.closed:
        gaps = [(b - a) % path.length or path.length for a, b in _in_turn(runs)]
        return list(zip([gaps[-1], *gaps[:-1]], gaps, strict=True))
    cuts = [0.0, *runs, path.length]
    return list(itertools.pairwise(b - a for a, b in itertools.pairwise(cuts)))


def _in_turn(at: Sequence[float]) -> list[tuple[float, float]]:
    return list(zip(at, [*at[1:], at[0]], strict=True))


def verdict(terms: Sequence[Measure], easier: Path, harder: Path) -> Verdict:
    """How a sum of the terms with positive coefficients orders a pair."""
    signs = set()
    for term in terms:
        low, high = term(easier), term(harder)
        if not math.isclose(low, high, rel_tol=SAME, abs_tol=SAME):
            signs.add(high > low)
    if len(signs) == 2:
        return "open"
    return "tie" if not signs else "agree" if signs == {True} else "opposite"


MEASURES: dict[str, tuple[Measure, ...]] = {
    "Chen and Fels, positive coefficients": (length, total_curvature),
    "Pastel, positive coefficients": (length, corner_term),
    "power law of 1/3, no floor": (power_law,),
    **{
        f"power law of 1/3, floor {floor:g}/mm": (partial(power_law, floor_per_mm=floor),)
        for floor in (0.0001, 0.001, 0.01, 0.1, 1.0)
    },
    "corner term of Pastel alone": (corner_term,),
    "length times total curvature": (lambda path: path.length * total_curvature(path),),
    "total turning": (turning_deg,),
    "length / width": (length,),
}
"""The terms of each; the order of a single one does not depend on its coefficient. The product of
length and curvature grows if both do, and so does the logarithm: they need no term of their own."""
