"""One kind of piece in rows that interlock, every other one turned, every other row shifted.

Of circles they make the hexagonal packing, the densest there is in the plane (L. Fejes Toth,
"Ueber die dichteste Kugellagerung", Mathematische Zeitschrift 48, 1942), of triangles rows that
lie in one another. How near two pieces may come is read off their profiles: how far each reaches at
every tenth of a millimetre, grown by the gap. Lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from shapes.affine import Point
from shapes.outline.nesting import Nest, Room, Spot, turned, used_height

Floats = NDArray[np.float64]

_CELL = 0.1
_STEP = 1.0
"""How finely shifts of a row are tried; half the distance of two pieces is tried besides."""
_SLACK = 0.02
"""Added to the gap, for what lies between two points of a profile."""


@dataclass(frozen=True, slots=True)
class _Body:
    """A turned piece and how far it reaches, cell by cell from ``-margin`` on.

    Args:
        low, near: its lower end in each column (y down), its right end in each row, with the gap.
        high, left: its upper end in each column, its left end in each row.
    """

    turn: int
    width: float
    height: float
    low: Floats
    high: Floats
    near: Floats
    left: Floats


def in_rows(ring: Sequence[Point], count: int, room: Room) -> Nest | None:
    """So many of one outline in the rows that hold most; None if not one fits."""
    best: tuple[int, float] | None = None
    sheet: tuple[Spot, ...] = ()
    for rows in _patterns(ring, room):
        spots = tuple(itertools.chain.from_iterable(rows))
        if not spots:
            continue
        last = (count - 1) % len(spots)
        key = (math.ceil(count / len(spots)), max(spot.y for spot in spots[: last + 1]))
        if best is None or key < best:
            best, sheet = key, spots
    if best is None:
        return None
    sheets = [sheet[: count - low] for low in range(0, count, len(sheet))]
    return Nest(tuple(sheets), used_height(sheets, [ring], room), "rows")


def _patterns(ring: Sequence[Point], room: Room) -> Iterator[list[list[Spot]]]:
    """The rows of one sheet, for every way of turning and shifting them."""
    margin = math.ceil((room.gap + 1.0) / _CELL)
    for base in (0, 90):
        one, other = (_body(ring, turn, room.gap, margin) for turn in (base, base + 180))
        if one.width > room.width or one.height > room.height:
            continue
        alike = one.low.shape == other.low.shape and np.allclose(one.low, other.low, atol=0.1)
        for turns in ((one, one),) if alike else ((one, one), (one, other)):
            first = _row(turns, 0.0, room)
            period = _row(
                turns, 0.0, Room(1e4, room.height, room.gap), most=1 + len(set(map(id, turns)))
            )[-1][1]
            shifts = [*np.arange(0.0, period, _STEP).tolist(), period / 2.0]
            for start in (turns, turns[::-1]) if turns[0] is not turns[1] else (turns,):
                for shift in shifts:
                    yield _stacked(first, _row(start, shift, room), room, margin)


_Row = list[tuple[_Body, float]]


def _row(turns: Sequence[_Body], shift: float, room: Room, most: int = 1000) -> _Row:
    """Pieces side by side, turned in turn, as near as they may stand."""
    placed: _Row = []
    for i in range(most):
        body = turns[i % 2]
        x = max((at + _beside(before, body) for before, at in placed[-2:]), default=shift)
        if x + body.width > room.width:
            break
        placed.append((body, x))
    return placed


def _period(turns: Sequence[_Body], room: Room) -> float:
    """How far along a row it begins again."""
    kinds = 1 if turns[0] is turns[1] else 2
    return _row(turns, 0.0, Room(math.inf, room.height, room.gap), most=kinds + 1)[-1][1]


def _beside(left: _Body, right: _Body) -> float:
    """How far to the right of one piece the next stands at the least."""
    return float(np.max(left.near - right.left))


def _stacked(first: _Row, second: _Row, room: Room, margin: int) -> list[list[Spot]]:
    """Both rows in turn, from the top down."""
    if not second:
        second = first
    (low_a, high_a), (low_b, high_b) = (_ends(row, room, margin) for row in (first, second))
    down = {(0, 1): _below(low_a, high_b), (1, 0): _below(low_b, high_a),
            (0, 0): _below(low_a, high_a), (1, 1): _below(low_b, high_b)}  # fmt: skip
    height = first[0][0].height if first else math.inf
    rows: list[list[Spot]] = []
    ys: list[float] = []
    while True:
        k = len(rows)
        y = max((ys[j] + down[j % 2, k % 2] for j in range(max(0, k - 2), k)), default=0.0)
        if y + height > room.height:
            return rows
        ys.append(y)
        row = second if k % 2 else first
        rows.append([Spot(0, body.turn, x, y) for body, x in row])


def _below(low: Floats, high: Floats) -> float:
    return max(0.0, float(np.max(low - high)))


def _ends(row: _Row, room: Room, margin: int) -> tuple[Floats, Floats]:
    """The lower ends of a row with the gap, and its upper ends, in each column of the sheet."""
    columns = math.ceil(room.width / _CELL) + 2 * margin + 4
    low, high = np.full(columns, -np.inf), np.full(columns, np.inf)
    for body, x in row:
        # A piece does not stand at a whole cell: it counts in both that it may reach.
        for at in (math.floor(x / _CELL), math.ceil(x / _CELL)):
            part = slice(at, at + len(body.low))
            low[part] = np.maximum(low[part], body.low[: len(low[part])])
            high[part] = np.minimum(high[part], body.high[: len(high[part])])
    return low, high


def _body(ring: Sequence[Point], turn: int, gap: float, margin: int) -> _Body:
    shown = turned(ring, turn % 360)
    own, grown = _points(shown.area), _points(shown.area.buffer(gap + _SLACK, quad_segs=32))
    columns, rows = (math.ceil(size / _CELL) + 2 * margin + 1
                     for size in (shown.width, shown.height))  # fmt: skip
    return _Body(
        turn % 360,
        shown.width,
        shown.height,
        _reach(grown, 0, columns, margin),
        -_reach(own * (1.0, -1.0), 0, columns, margin),
        _reach(grown, 1, rows, margin),
        -_reach(own * (-1.0, 1.0), 1, rows, margin),
    )


def _points(area: shapely.Polygon) -> Floats:
    points: Floats = shapely.get_coordinates(shapely.segmentize(area, _CELL / 2.0))
    return points


def _reach(points: Floats, along: int, cells: int, margin: int) -> Floats:
    """The largest value across in each cell along an axis; minus infinity where there is none."""
    found = np.full(cells, -np.inf)
    at = np.floor(points[:, along] / _CELL + 1e-9).astype(int) + margin
    np.maximum.at(found, np.clip(at, 0, cells - 1), points[:, 1 - along])
    return found
