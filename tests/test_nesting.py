"""Pieces on few sheets: shapely sees no two too near, closed forms say how many there must be."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point as ShapelyPoint
from shapely import Polygon
from shapely.affinity import translate

from shapes.affine import Affine, Point
from shapes.basic import SHAPES, practice
from shapes.errors import FitError
from shapes.outline.densest import nest
from shapes.outline.gaps import in_gaps
from shapes.outline.nesting import Nest, Room, in_grid, turned
from shapes.outline.rows import in_rows

ROOM = Room(175.5, 199.5, 4.5)


def ring(name: str, size: float) -> list[Point]:
    path = practice(name)
    scale = size / max(path.bbox.width, path.bbox.height)
    return path.transformed(Affine.scaling(scale)).flatten(0.05)


def square(side: float) -> list[Point]:
    return [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]


def nearest(found: Nest, rings: Sequence[Sequence[Point]], room: Room) -> float:
    """The least distance of two pieces; every piece must lie on its sheet."""
    least = math.inf
    for sheet in found.sheets:
        bodies = [translate(turned(rings[s.piece], s.turn).area, s.x, s.y) for s in sheet]
        for body, spot in zip(bodies, sheet, strict=True):
            x0, y0, x1, y1 = body.bounds
            assert min(x0, y0, room.width - x1, room.height - y1) >= -1e-6
            # Turned, not stretched: it is the same piece.
            assert body.area == pytest.approx(Polygon(rings[spot.piece]).area)
        pairs = itertools.combinations(bodies, 2)
        least = min([least, *(a.distance(b) for a, b in pairs)])
    return least


CLOSED = [name for name in SHAPES if practice(name).closed]


@pytest.mark.parametrize("name", CLOSED)
@pytest.mark.parametrize("size", [47.0])
def test_every_shape_in_every_way_keeps_the_gap(name: str, size: float) -> None:
    one = [ring(name, size)]
    grid, rows, gaps = in_grid(one, [25], ROOM), in_rows(one[0], 25, ROOM), in_gaps(one, [25], ROOM)
    assert rows is not None
    assert gaps is not None
    for found in (grid, rows, gaps):
        assert sum(map(len, found.sheets)) == 25
        assert nearest(found, one, ROOM) >= ROOM.gap - 1e-6


@pytest.mark.parametrize("name", CLOSED)
def test_never_worse_than_the_grid(name: str) -> None:
    for count in (7, 30):
        one = [ring(name, 62.0)]
        plain, best = in_grid(one, [count], ROOM), nest(one, [count], ROOM)
        assert len(best.sheets) <= len(plain.sheets)
        assert best.used <= plain.used + 1e-6
        assert best.density >= best.grid_density - 1e-9
        area = Polygon(one[0]).area * count
        assert best.density == pytest.approx(area / (ROOM.width * best.used))


@pytest.mark.parametrize("side", [25.0, 40.0, 55.5, 83.0, 120.0, 175.5])
def test_squares_are_as_many_as_go_side_by_side(side: float) -> None:
    """A row of n squares is n sides and n - 1 gaps long."""
    across = int((ROOM.width + ROOM.gap) / (side + ROOM.gap))
    down = int((ROOM.height + ROOM.gap) / (side + ROOM.gap))
    found = nest([square(side)], [across * down], ROOM)
    assert len(found.sheets) == 1
    assert found.used == pytest.approx(down * side + (down - 1) * ROOM.gap, abs=0.1)
    assert len(nest([square(side)], [across * down + 1], ROOM).sheets) == 2


@pytest.mark.parametrize("diameter", [24.0, 31.0, 40.0, 52.0])
def test_circles_are_as_many_as_hexagonal_rows_hold(diameter: float) -> None:
    """Rows of circles lie sqrt(3) / 2 of their pitch apart, every other one shifted by half."""
    pitch = diameter + ROOM.gap
    rows = 1 + int((ROOM.height - diameter) / (pitch * math.sqrt(3.0) / 2.0))
    full = 1 + int((ROOM.width - diameter) / pitch)
    shifted = 1 + int((ROOM.width - diameter - pitch / 2.0) / pitch)
    hexagonal = (rows + 1) // 2 * full + rows // 2 * shifted
    grid = full * (1 + int((ROOM.height - diameter) / pitch))
    circle = list(ShapelyPoint(0.0, 0.0).buffer(diameter / 2.0, quad_segs=64).exterior.coords)
    assert len(nest([circle[:-1]], [200], ROOM).sheets[0]) >= max(hexagonal, grid)


def test_triangles_lie_head_to_foot() -> None:
    """A row of n equal triangles head to foot is (n + 1) / 2 sides and n - 1 slanting gaps long."""
    side = 45.0
    step = side / 2.0 + ROOM.gap / math.sin(math.radians(60.0))
    across = 1 + int((ROOM.width - side) / step)
    found = in_rows(ring("triangle", side), across, Room(ROOM.width, side, ROOM.gap))
    assert found is not None
    assert len(found.sheets) == 1


def test_several_kinds_are_counted_one_by_one() -> None:
    rings = [ring("heart", 60.0), square(30.0), ring("star", 55.0)]
    found = nest(rings, [5, 11, 8], ROOM)
    assert Counter(s.piece for sheet in found.sheets for s in sheet) == {0: 5, 1: 11, 2: 8}
    assert nearest(found, rings, ROOM) >= ROOM.gap - 1e-6
    assert found.density >= found.grid_density
    assert nest(rings, [5, 11, 8], ROOM) == found


@given(
    angles=st.lists(st.floats(0.3, 1.0), min_size=5, max_size=9),
    count=st.integers(1, 12),
    gap=st.floats(4.0, 9.0),
)
@settings(max_examples=8, deadline=None)
def test_any_star_shaped_outline(angles: list[float], count: int, gap: float) -> None:
    """Corners at equal angles, at any distance: hollows and slivers too."""
    step = 2.0 * math.pi / len(angles)
    one = [(40.0 * r * math.cos(i * step), 40.0 * r * math.sin(i * step))
           for i, r in enumerate(angles)]  # fmt: skip
    room = Room(150.0, 160.0, gap)
    found = nest([one], [count], room)
    assert sum(map(len, found.sheets)) == count
    assert nearest(found, [one], room) >= gap - 1e-6
    assert found.density >= found.grid_density - 1e-9


def test_a_piece_larger_than_a_sheet() -> None:
    with pytest.raises(FitError, match="`size`: a piece is larger than the 176 x 200 mm"):
        nest([square(201.0)], [1], ROOM)
    # On its side it fits.
    long = [(0.0, 0.0), (190.0, 0.0), (190.0, 30.0), (0.0, 30.0)]
    assert nest([long], [3], ROOM).sheets[0][0].turn in (90, 270)
