"""Pieces put one after another into the first gap that holds them, in any of four positions.

The sheet is a raster of 1 mm. A cell counts as taken if any of a piece, grown by the gap, lies in
it, so that two pieces are never nearer than the gap. All places of a piece are tried at once by a
Fourier transform. The work is bounded by the number of pieces; there is no clock in it. Lengths in
mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from shapes.affine import Point
from shapes.outline.nesting import TURNS, Nest, Room, Spot, Turned, turned, used_height

_CELL = 1.0
Cells = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Stamp:
    """A turned piece as cells: its own, and those it keeps others out of.

    Args:
        own: cells it lies in; row 0 at the top.
        kept: cells of the piece grown by the gap, ``reach`` cells wider on every side.
        seen: Fourier transform of ``own`` on the sheet.
    """

    own: Cells
    kept: Cells
    reach: int
    seen: NDArray[np.complex128]


class _Sheet:
    """Cells of one sheet that are taken."""

    def __init__(self, rows: int, columns: int) -> None:
        self.taken = np.zeros((rows, columns), dtype=bool)

    def place(self, stamp: _Stamp) -> tuple[int, int, int] | None:
        """Lower end, column and row of the highest place for a piece, then the leftmost."""
        high, wide = stamp.own.shape
        rows, columns = self.taken.shape
        if high > rows or wide > columns:
            return None
        there = np.fft.rfft2(self.taken.astype(float))
        hits = np.fft.irfft2(there * stamp.seen.conj(), s=self.taken.shape)
        free = np.flatnonzero(hits[: rows - high + 1, : columns - wide + 1] < 0.5)
        if not len(free):
            return None
        row, column = divmod(int(free[0]), columns - wide + 1)
        return row + high, column, row

    def take(self, stamp: _Stamp, row: int, column: int) -> None:
        high, wide = stamp.kept.shape
        rows, columns = self.taken.shape
        y, x = row - stamp.reach, column - stamp.reach
        y0, y1, x0, x1 = max(0, y), min(rows, y + high), max(0, x), min(columns, x + wide)
        self.taken[y0:y1, x0:x1] |= stamp.kept[y0 - y : y1 - y, x0 - x : x1 - x]


def in_gaps(rings: Sequence[Sequence[Point]], counts: Sequence[int], room: Room) -> Nest | None:
    """So many of each outline, each as high up as it fits; the best of three orders.

    The largest first, the widest, or the highest. None if the raster, coarser than a grid, has no
    place for a piece.
    """
    shape = (int(room.height / _CELL), int(room.width / _CELL))
    stamps = [
        {turn: _stamp(turned(ring, turn), room.gap, shape) for turn in TURNS} for ring in rings
    ]
    own = [one[0].own for one in stamps]
    orders = dict.fromkeys(
        tuple(sorted(range(len(own)), key=lambda i: (-int(size(own[i])), i)))
        for size in (np.sum, lambda cells: cells.shape[1], lambda cells: cells.shape[0])
    )
    found = []
    for order in orders:
        sheets = _sheets(order, list(counts), stamps, shape)
        if sheets:
            found.append(Nest(tuple(sheets), used_height(sheets, rings, room), "gaps"))
    return min(found, key=lambda one: (len(one.sheets), one.used), default=None)


def _sheets(
    order: Sequence[int],
    left: list[int],
    stamps: Sequence[dict[int, _Stamp]],
    shape: tuple[int, int],
) -> list[tuple[Spot, ...]]:
    """Sheet after sheet until nothing is left; empty if a piece has no place on an empty one."""
    sheets: list[tuple[Spot, ...]] = []
    while any(left):
        if len(stamps) == 1 and sheets:
            spots = sheets[0][: left[0]]  # every sheet of one outline is filled alike
        else:
            spots = _filled(_Sheet(*shape), order, left, stamps)
        if not spots:
            return []
        for spot in spots:
            left[spot.piece] -= 1
        sheets.append(spots)
    return sheets


def _filled(
    sheet: _Sheet, order: Sequence[int], counts: Sequence[int], stamps: Sequence[dict[int, _Stamp]]
) -> tuple[Spot, ...]:
    """What one sheet holds of the pieces that are left."""
    spots: list[Spot] = []
    for piece in order:
        for _ in range(counts[piece]):
            places = [(*place, turn) for turn in TURNS
                      if (place := sheet.place(stamps[piece][turn]))]  # fmt: skip
            if not places:
                break
            _, column, row, turn = min(places)
            sheet.take(stamps[piece][turn], row, column)
            spots.append(Spot(piece, turn, column * _CELL, row * _CELL))
    return tuple(spots)


def _stamp(shown: Turned, gap: float, sheet: tuple[int, int]) -> _Stamp:
    reach = math.ceil(gap / _CELL)
    high, wide = (math.ceil(size / _CELL - 1e-9) for size in (shown.height, shown.width))
    own = _touched(shown.area, 0, high, wide)
    kept = _touched(shown.area.buffer(gap), reach, high, wide)
    padded = np.zeros(sheet)
    if high <= sheet[0] and wide <= sheet[1]:
        padded[:high, :wide] = own
    return _Stamp(own, kept, reach, np.fft.rfft2(padded))


def _touched(area: Polygon, reach: int, high: int, wide: int) -> Cells:
    """The cells that any of an area lies in, from ``reach`` cells before the origin on."""
    rows, columns = np.mgrid[-reach : high + reach, -reach : wide + reach] * _CELL
    boxes = shapely.box(columns, rows, columns + _CELL, rows + _CELL)
    shapely.prepare(area)
    found: Cells = shapely.intersects(area, boxes) & ~shapely.touches(area, boxes)
    return found
