"""What marks that are painted over each other hide of each other, without drawing them.

A drawing has lines on its areas and lines that cross, so the sum of its marks is more than its ink.
Level lines are laid over it, and of each a whole number holds, bit by bit, where a colour lies on
top. No geometry library: a page is drawn before one is loaded.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable

from shapes.affine import Affine, Point
from shapes.path import BBox, Path
from sheets.page.areas import filled_area, stroked_area
from sheets.page.model import Colour, Fill, Role, Stroke

LINES = 24
"""Level lines to the longer side of what is painted."""
TILT_DEG = 37.0
"""The lines are level after so much of a turn: drawings have level lines of their own, which would
be met whole or not at all."""
_BITS = 512
_SAG = 0.1
"""Largest gap between a curve and its chords, as a share of the pitch."""

_Rows = dict[int, int]
"""By the number of a level line, from the lowest, the bits that are covered of it."""
_BELOW = [(1 << x) - 1 for x in range(_BITS + 1)]
"""The bits before a place on a line."""


def painted(
    marks: Iterable[Stroke | Fill], box: BBox, pitch: float | None = None
) -> dict[Colour, float]:
    """The area on which each colour lies on top, of marks painted one over the other.

    Args:
        box: what lies outside it is not counted.
        pitch: distance of the level lines, in the box's own units; None for :data:`LINES`.
    """
    canvas = Canvas(box, pitch or max(box.width, box.height) / LINES)
    canvas.paint(marks)
    return canvas.seen()


class Canvas:
    """A box on which marks are painted one over the other.

    Args:
        box: what lies outside it is not counted.
        pitch: distance of the level lines, in the box's own units.
    """

    def __init__(self, box: BBox, pitch: float) -> None:
        tilted = box.transformed(Affine.rotation(TILT_DEG))
        self._pitch = pitch
        self._sag = self._pitch * _SAG
        self._dot = max(tilted.width, 1e-9) / _BITS
        self._count = max(1, math.ceil(tilted.height / self._pitch))
        spin = Affine.rotation(TILT_DEG).then(Affine.translation(-tilted.x0, -tilted.y0))
        # Across in bits, upwards in lines, the first of them half a pitch above the lower edge.
        self._map = spin.then(Affine(1.0 / self._dot, 0.0, 0.0, 1.0 / self._pitch, 0.0, -0.5))
        self._seen: defaultdict[Colour, _Rows] = defaultdict(dict)
        self._amiss: defaultdict[Colour, float] = defaultdict(float)

    def paint(self, marks: Iterable[Stroke | Fill]) -> None:
        """Put marks on top of what is there; lines hide like solid ones with round ends."""
        for mark in marks:
            if isinstance(mark, Fill):
                rows = self._filled(mark)
                if all(len(path.segments) == 1 for path in mark.paths):  # dots, maybe small ones
                    self._amiss[mark.colour] += filled_area(mark) - self._area(rows)
                self._cover(rows, mark.colour)
                continue
            # Their length tells better how much of them there is, but of wide lanes round hollow
            # letters, which the letters half hide.
            thin = float(mark.role is not Role.TRACE or mark.width < self._pitch)
            self._amiss[mark.colour] += thin * stroked_area(mark, mark.width)
            for path in mark.paths:
                rows = self._stroked(path, mark.width / 2.0)
                self._amiss[mark.colour] -= thin * self._area(rows)
                self._cover(rows, mark.colour)

    def seen(self) -> dict[Colour, float]:
        """The area on which each colour lies on top."""
        return {
            colour: self._area(rows) + self._amiss[colour] for colour, rows in self._seen.items()
        }

    def _area(self, rows: _Rows) -> float:
        return sum(map(int.bit_count, rows.values())) * self._dot * self._pitch

    def _cover(self, rows: _Rows, colour: Colour) -> None:
        for other, below in self._seen.items():
            if other != colour:
                for j, new in rows.items():
                    if j in below:
                        below[j] &= ~new
        known = self._seen[colour]
        for j, new in rows.items():
            known[j] = known.get(j, 0) | new

    # --- marks as rows ---

    def _chain(self, path: Path) -> list[Point]:
        a, b, c, d, e, f = self._map
        return [(a * x + c * y + e, b * x + d * y + f) for x, y in path.flatten(self._sag)]

    def _filled(self, fill: Fill) -> _Rows:
        crossings: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
        for path in fill.paths:
            chain = self._chain(path)
            for (ax, ay), (bx, by) in zip(chain, [*chain[1:], chain[0]], strict=True):
                if ay == by:
                    continue
                low, high, way = (ay, by, 1) if ay < by else (by, ay, -1)
                slope = (bx - ax) / (by - ay)
                # A line through a corner is met by the edge above it only.
                for j in range(max(0, math.ceil(low)), min(self._count, math.ceil(high))):
                    crossings[j].append((_bit(ax + (j - ay) * slope), way))
        rows: _Rows = {}
        for j, met in crossings.items():
            row = around = 0
            for (start, way), (end, _) in itertools.pairwise(sorted(met)):
                around += way
                if around % 2 if fill.even_odd else around:
                    row |= _BELOW[end] ^ _BELOW[start]
            rows[j] = row
        return rows

    def _stroked(self, path: Path, half: float) -> _Rows:
        """A solid line with round ends, of a half width in the box's own units."""
        rows: _Rows = {}
        chain = self._chain(path)
        if path.closed:
            chain.append(chain[0])
        for a, b in itertools.pairwise(chain):
            self._capsule(rows, a, b, half)
        return rows

    def _capsule(self, rows: _Rows, a: Point, b: Point, half: float) -> None:
        """A straight part of a line, round at both ends."""
        # In lines both ways, so that a circle is one.
        shrink = self._dot / self._pitch
        (ax, ay), (bx, by) = (a, b) if a[1] < b[1] else (b, a)
        ax, bx, half = ax * shrink, bx * shrink, half / self._pitch
        dx, dy = bx - ax, by - ay
        long = math.hypot(dx, dy) or 1.0
        out, up = half * dy / long, half * dx / long
        square, slope = half * half, dx / dy if dy else 0.0
        for j in range(max(0, math.ceil(ay - half)), min(self._count, math.floor(by + half) + 1)):
            da, db = j - ay, j - by
            if da <= -up:
                right = ax + math.sqrt(max(0.0, square - da * da))
            elif db >= -up:
                right = bx + math.sqrt(max(0.0, square - db * db))
            else:
                right = ax + out + (da + up) * slope
            if da <= up:
                left = ax - math.sqrt(max(0.0, square - da * da))
            elif db >= up:
                left = bx - math.sqrt(max(0.0, square - db * db))
            else:
                left = ax - out + (da - up) * slope
            bits = _BELOW[_bit(right / shrink)] ^ _BELOW[_bit(left / shrink)]
            rows[j] = rows.get(j, 0) | bits


def _bit(x: float) -> int:
    return min(max(round(x), 0), _BITS)
