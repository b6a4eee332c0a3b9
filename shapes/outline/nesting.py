"""Where many pieces lie on few sheets, and the plainest way: a grid. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from shapes.affine import Affine, Point
from shapes.errors import FitError

TURNS = (0, 90, 180, 270)
_EASE = 1e-6


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one piece lies: the box of the turned piece has its upper left corner there.

    Args:
        piece: number of the outline.
        turn: degrees anticlockwise, one of :data:`TURNS`.
        x, y: from the left and from the top of the sheet's room, mm.
    """

    piece: int
    turn: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Turned:
    """An outline turned, its box's upper left corner at the origin, y down."""

    area: Polygon
    at: Affine

    @property
    def width(self) -> float:
        return float(self.area.bounds[2])

    @property
    def height(self) -> float:
        return float(self.area.bounds[3])


def turned(ring: Sequence[Point], turn: int) -> Turned:
    """An outline (y up) in one of the four positions."""
    body = rotate(Polygon(ring), turn, origin=(0.0, 0.0))
    x0, _, _, y1 = body.bounds
    down = shapely.transform(translate(body, -x0, -y1), lambda points: points * (1.0, -1.0))
    return Turned(down, Affine.rotation(turn).then(Affine.translation(-x0, -y1)))


@dataclass(frozen=True, slots=True)
class Nest:
    """Pieces on sheets.

    Args:
        sheets: what lies on each.
        used: height that is taken, mm: whole sheets, and the last one down to its lowest piece.
        method: ``grid``, ``rows`` or ``gaps``.
        density: area of the pieces over the width of the room times the height used, 0 to 1.
        grid_density: the same of the grid.
    """

    sheets: tuple[tuple[Spot, ...], ...]
    used: float
    method: str
    density: float = 0.0
    grid_density: float = 0.0


@dataclass(frozen=True, slots=True)
class Room:
    """What a sheet has room for: width, height, and the least distance between two pieces, mm."""

    width: float
    height: float
    gap: float


def in_grid(rings: Sequence[Sequence[Point]], counts: Sequence[int], room: Room) -> Nest:
    """Equal cells for all, as large as the largest piece, all pieces upright or all on their side.

    Raises:
        FitError: a piece is larger than a sheet.
    """
    pieces = [i for i, count in enumerate(counts) for _ in range(count)]
    found = []
    for turn in (0, 90):
        shown = [turned(ring, turn) for ring in rings]
        wide, high = max(one.width for one in shown), max(one.height for one in shown)
        columns = _fitting(room.width, wide, room.gap)
        rows = _fitting(room.height, high, room.gap)
        if not columns * rows:
            continue
        sheets = [
            tuple(
                Spot(piece, turn, (k % columns) * (wide + room.gap), k // columns
                     * (high + room.gap))
                for k, piece in enumerate(pieces[low : low + columns * rows])
            )
            for low in range(0, len(pieces), columns * rows)
        ]  # fmt: skip
        found.append(Nest(tuple(sheets), used_height(sheets, rings, room), "grid"))
    if not found:
        raise FitError(
            f"a piece is larger than the {room.width:.0f} x {room.height:.0f} mm of a sheet",
            where="`size`",
            fix="use a smaller size",
        )
    return min(found, key=lambda one: (len(one.sheets), one.used))


def _fitting(room: float, size: float, gap: float) -> int:
    return max(0, int((room + gap + _EASE) / (size + gap)))


def used_height(
    sheets: Sequence[Sequence[Spot]], rings: Sequence[Sequence[Point]], room: Room
) -> float:
    """Whole sheets, and the last one down to its lowest piece."""
    heights = {
        (spot.piece, spot.turn): turned(rings[spot.piece], spot.turn).height
        for spot in {Spot(s.piece, s.turn, 0.0, 0.0) for s in sheets[-1]}
    }
    lowest = max(spot.y + heights[spot.piece, spot.turn] for spot in sheets[-1])
    return room.height * (len(sheets) - 1) + lowest
