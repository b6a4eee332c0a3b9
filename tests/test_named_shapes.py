"""Named shapes round a picture: the smallest of each, upright, mirror-symmetric, within the limits.

Checked against closed forms and against shapely's smallest enclosing circle; the limits are those
of the guidance at stage 5.
"""

from __future__ import annotations

import math
import random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry import Point as Spot

from shapes.affine import Affine
from shapes.measure.measure import measure
from shapes.outline.named_shapes import CORNERS, NAMES, VARIANTS, best_shape, enclosing
from shapes.path import Path
from sheets.check.guidance import limits

OFFSET = 8.0


def drawn(name: str) -> list[Path]:
    """Each drawing of a shape, its longer side 76 mm: the smallest piece of stage 5."""
    paths = VARIANTS[name]() or [
        Path.from_points([(0, 0), (2, 0), (2, 1), (0, 1)], closed=True)  # any rectangle
    ]
    smallest = limits("cutting", 5)["piece_size"].minimum
    assert smallest is not None
    sized = []
    for path in paths:
        factor = smallest / max(path.bbox.width, path.bbox.height)
        sized.append(path.transformed(Affine.scaling(factor)))
    return sized


def area_of(path: Path) -> Polygon:
    return Polygon(path.flatten(0.005))


# --- the drawings ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_each_drawing_keeps_the_limits_of_stage_5_at_the_smallest_size(name: str) -> None:
    bounds = limits("cutting", 5)
    for path in drawn(name):
        found = measure(path)
        assert len(found.corners) == CORNERS[name]
        assert not any(corner.hollow for corner in found.corners)
        for corner in found.corners:
            assert bounds["interior_angle"].allows(corner.interior_deg, 0.5)
        for limit, value in (
            ("bend_radius", found.min_bend_radius),
            ("hollow_radius", found.min_hollow_radius),
            ("neck", found.neck),
            ("notch", found.notch),
        ):
            if value is not None:
                assert bounds[limit].allows(value, 0.01 * value), (limit, value)


@pytest.mark.parametrize("name", NAMES)
def test_each_drawing_is_its_own_mirror_image(name: str) -> None:
    for path in drawn(name):
        shape = area_of(path)
        middle = path.bbox.center[0]
        mirrored = scale(shape, -1.0, 1.0, origin=(middle, 0.0))
        assert shape.symmetric_difference(mirrored).area < 1e-3 * shape.area


@pytest.mark.parametrize("name", ["circle", "oval", "egg", "heart", "cloud"])
def test_round_drawings_have_no_kink_but_the_tip_of_the_heart(name: str) -> None:
    for path in drawn(name):
        kinks = 0
        for before, after in zip((path.segments[-1], *path.segments), path.segments, strict=False):
            (ax, ay), (bx, by) = before.tangent_at(1.0), after.tangent_at(0.0)
            kinks += abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))) > 0.01
        assert kinks == CORNERS[name]


# --- the smallest one -----------------------------------------------------------------------------


def test_circle_is_the_smallest_enclosing_circle_and_the_offset() -> None:
    rng = random.Random(3)
    for _ in range(20):
        spots = shapely.MultiPoint([(rng.uniform(0, 90), rng.uniform(0, 120)) for _ in range(9)])
        shape = spots.convex_hull
        assert isinstance(shape, Polygon)
        radius = float(shapely.minimum_bounding_radius(shape))
        found = enclosing(shape, OFFSET, "circle").path
        assert found.bbox.width / 2.0 == pytest.approx(radius + OFFSET, rel=2e-3)


def test_square_of_a_square() -> None:
    path = enclosing(box(10, 20, 90, 100), OFFSET, "square").path
    found = path.bbox
    assert (found.x0, found.y0) == pytest.approx((2.0, 12.0), abs=0.05)
    assert (found.x1, found.y1) == pytest.approx((98.0, 108.0), abs=0.05)


def test_rectangle_is_the_box_and_the_offset() -> None:
    found = enclosing(box(0, 0, 100, 40).union(box(20, 0, 40, 70)), OFFSET, "rectangle").path.bbox
    assert (found.width, found.height) == pytest.approx((116.0, 86.0), abs=0.06)


def test_triangle_of_an_equilateral_triangle() -> None:
    height = 100.0 * math.sqrt(3.0) / 2.0
    shape = Polygon([(0, 0), (100, 0), (50, height)])
    found = enclosing(shape, OFFSET, "triangle")
    # The inscribed circle grows by the offset, and the height is three times its radius.
    assert found.path.bbox.height == pytest.approx(height + 3.0 * OFFSET, abs=0.06)
    assert found.fill == pytest.approx(1.0, abs=2e-3)


def test_hexagon_of_a_hexagon() -> None:
    ring = [
        (60 * math.cos(math.radians(a)), 60 * math.sin(math.radians(a))) for a in range(0, 360, 60)
    ]
    found = enclosing(Polygon(ring), OFFSET, "hexagon").path
    # The distance between two sides grows by twice the offset.
    assert found.bbox.height == pytest.approx(60 * math.sqrt(3.0) + 2 * OFFSET, abs=0.05)


@st.composite
def blobs(draw: st.DrawFn) -> Polygon | MultiPolygon:
    rng = random.Random(draw(st.integers(0, 1_000_000)))
    pieces = []
    for _ in range(rng.randint(1, 5)):
        x, y = rng.uniform(0, 110), rng.uniform(0, 110)
        if rng.random() < 0.5:
            pieces.append(Spot(x, y).buffer(rng.uniform(4, 30)))
        else:
            w, h = rng.uniform(3, 50), rng.uniform(3, 50)
            pieces.append(rotate(box(x, y, x + w, y + h), rng.uniform(0, 90)))
    whole = shapely.union_all(pieces)
    assert isinstance(whole, Polygon | MultiPolygon)
    return whole


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=12, deadline=None)
@given(shape=blobs())
def test_every_shape_goes_round_with_the_offset(name: str, shape: Polygon | MultiPolygon) -> None:
    found = enclosing(shape, OFFSET, name)
    area = area_of(found.path)
    assert area.is_valid
    assert area.exterior.is_ccw
    assert area.covers(shape)
    assert area.exterior.distance(shape) >= OFFSET - 0.04
    # The room is measured in chords, at most 0.01 mm inside; with the 0.04 above that is the slack.
    assert 0.0 < found.fill <= 1.0 + 0.05 * shape.length / shape.area
    assert found == enclosing(shape, OFFSET, name)


# --- the one that suits ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "shape"),
    [
        ("circle", Spot(0, 0).buffer(50, quad_segs=60)),
        ("square", box(0, 0, 80, 80)),
        ("rectangle", box(0, 0, 100, 50)),
        ("triangle", Polygon([(0, 0), (100, 0), (50, 86.6)])),
        ("diamond", Polygon([(0, -60), (45, 0), (0, 60), (-45, 0)])),
        ("oval", scale(Spot(0, 0).buffer(50, quad_segs=60), 1.0, 0.7)),
        ("heart", scale(area_of(drawn("heart")[0]), 1.6, 1.6)),
        ("egg", scale(area_of(drawn("egg")[2]), 1.6, 1.6)),
        ("cloud", scale(area_of(drawn("cloud")[0]), 1.6, 1.6)),
    ],
)
def test_a_shape_suits_itself(name: str, shape: Polygon) -> None:
    found = best_shape(shape, OFFSET, 0.55, 4)
    assert found is not None
    assert found.name == name
    if name not in ("heart", "cloud"):  # grown by an offset they are not quite hearts or clouds
        assert found.fill > 0.95


def test_of_shapes_that_fit_alike_the_simpler_one() -> None:
    """A square of 80 by 82 mm fills a rectangle 2 % better than a square."""
    found = best_shape(box(0, 0, 80, 82), OFFSET, 0.55, 4)
    assert found is not None
    assert found.name == "square"


def test_shapes_of_too_many_corners_are_left_out() -> None:
    front = Polygon([(-40, 0), (40, 0), (40, 45), (0, 82), (-40, 45)])
    free, few = best_shape(front, OFFSET, 0.55, 5), best_shape(front, OFFSET, 0.55, 4)
    assert free is not None
    assert few is not None
    assert free.name == "house"
    assert CORNERS[few.name] <= 4


def test_nothing_suits_a_thin_cross() -> None:
    cross = box(-60, -2, 60, 2).union(box(-2, -60, 2, 60))
    assert isinstance(cross, Polygon)
    assert best_shape(cross, OFFSET, 0.55, 4) is None


def test_unknown_shape() -> None:
    with pytest.raises(ValueError, match="no shape is called 'blob'"):
        enclosing(box(0, 0, 10, 10), OFFSET, "blob")
