"""Lines and arcs fitted to dense points: error, tangents, corners, radii."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from shapes.affine import Point
from shapes.measure.measure import measure
from shapes.outline.fit import fit_arcs
from shapes.path import Arc, Line, Path

Ring = NDArray[np.float64]


def ring_of(area: Polygon) -> Ring:
    return np.asarray(area.exterior.coords)


def kinks(path: Path) -> list[float]:
    """Change of direction in degrees at each joint, that at the start first if there is one."""
    around = (path.segments[-1], *path.segments) if path.closed else path.segments
    found = []
    for before, after in itertools.pairwise(around):
        (ax, ay), (bx, by) = before.tangent_at(1.0), after.tangent_at(0.0)
        found.append(abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))))
    return found


def stray(path: Path, points: Ring) -> float:
    """Largest distance of the points from the path."""
    line = LineString([*path.flatten(0.002), *([path.start] if path.closed else [])])
    return float(shapely.distance(shapely.points(points), line).max())


def kinds(path: Path) -> list[str]:
    return [type(segment).__name__ for segment in path.segments]


# --- known shapes ---------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [5.0, 40.0, 75.0])
def test_a_circle_is_one_arc(radius: float) -> None:
    path = fit_arcs(ring_of(Spot(10, 20).buffer(radius, quad_segs=40)))
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(radius, abs=0.05)
    assert arc.center == pytest.approx((10.0, 20.0), abs=0.01)
    assert abs(arc.sweep_deg) == 360.0


def test_polygons_stay_exactly_what_they_are() -> None:
    corners = [(0.0, 0.0), (75.0, 0.0), (90.0, 40.0), (30.0, 80.0)]
    path = fit_arcs(np.array(corners))
    assert kinds(path) == ["Line"] * 4
    assert [s.start for s in path.segments] == [pytest.approx(c, abs=1e-9) for c in corners]


def test_corners_stay_sharp_in_dense_points() -> None:
    path = fit_arcs(ring_of(box(0, 0, 60, 40).segmentize(0.2)))
    assert kinds(path) == ["Line"] * 4
    assert sorted(segment.start for segment in path.segments) == [
        (0.0, 0.0),
        (0.0, 40.0),
        (60.0, 0.0),
        (60.0, 40.0),
    ]


@pytest.mark.parametrize("radius", [3.0, 8.0, 20.0])
def test_rounded_square_has_its_straight_sides_and_radius(radius: float) -> None:
    area = box(0, 0, 90, 60).buffer(radius, quad_segs=40)
    path = fit_arcs(ring_of(area))
    sides = sorted(s.length() for s in path.segments if isinstance(s, Line))
    # The outline may start, and so be cut in two, within a side.
    assert sum(sides) == pytest.approx(300.0, abs=0.5)
    arcs = [s for s in path.segments if isinstance(s, Arc)]
    assert all(arc.radius == pytest.approx(radius, rel=0.02) for arc in arcs)
    assert max(kinks(path)) < 0.1


def test_half_disc_keeps_both_corners() -> None:
    half = Spot(0, 0).buffer(40, quad_segs=60).intersection(box(-50, -50, 50, 0))
    path = fit_arcs(ring_of(half))
    assert sorted(round(kink) for kink in kinks(path) if kink > 1.0) == [90, 90]
    assert stray(path, ring_of(half)) <= 0.1


def test_open_line() -> None:
    xs = np.linspace(0.0, 120.0, 400)
    points = np.column_stack([xs, 15.0 * np.sin(xs / 120.0 * math.tau)])
    path = fit_arcs(points, closed=False)
    assert not path.closed
    assert path.start == pytest.approx((0.0, 0.0), abs=1e-9)
    assert path.segments[-1].end == pytest.approx((120.0, 0.0), abs=0.006)
    assert max(kinks(path)[1:]) < 0.5
    assert stray(path, points) <= 0.11


def test_two_points_are_a_line() -> None:
    path = fit_arcs([(0.0, 0.0), (30.0, 40.0)], closed=False)
    assert path.segments == (Line((0.0, 0.0), (30.0, 40.0)),)


def test_barbs_left_by_a_buffer_are_ignored() -> None:
    ring = ring_of(Spot(0, 0).buffer(30, quad_segs=30).union(box(0, -20, 60, 20)))[:-1]
    clean = fit_arcs(ring)
    i = int(np.argmin(ring[:, 0]))
    barb = ring[i] + np.array([[0.006, -0.009], [0.0005, 0.001]])
    barbed = fit_arcs(np.vstack([ring[: i + 1], barb, ring[i + 1 :]]))
    assert max(k for k in kinks(barbed) if k < 45.0) < 0.5
    assert len([k for k in kinks(barbed) if k >= 45.0]) == len(
        [k for k in kinks(clean) if k >= 45.0]
    )
    assert measure(barbed).turning_deg == pytest.approx(measure(clean).turning_deg, abs=5.0)


def test_repeated_points_and_start_do_not_matter() -> None:
    ring = ring_of(box(0, 0, 90, 60).buffer(8, quad_segs=24))
    once = fit_arcs(ring[:-1])
    assert fit_arcs(ring) == once
    assert fit_arcs(np.repeat(ring, 2, axis=0)) == once


@pytest.mark.parametrize("points", [[], [(0.0, 0.0)], [(1.0, 1.0), (1.0, 1.0)]])
@pytest.mark.parametrize("closed", [True, False])
def test_too_few_points(points: list[Point], closed: bool) -> None:
    with pytest.raises(ValueError, match="too few different points"):
        fit_arcs(np.array(points).reshape(-1, 2), closed=closed)


# --- random smooth outlines -----------------------------------------------------------------------


@st.composite
def smooth_areas(draw: st.DrawFn) -> Polygon:
    """A random area with bends and hollows of at least 5 mm."""
    rng = random.Random(draw(st.integers(0, 100_000)))
    area = Spot(0, 0).buffer(25.0)
    for _ in range(rng.randint(1, 5)):
        x, y = rng.uniform(-50, 50), rng.uniform(-50, 50)
        area = area.union(LineString([(0, 0), (x, y)]).buffer(rng.uniform(8, 16)))
    for by in (6.0, -12.0, 6.0):
        area = area.buffer(by, quad_segs=40)
    assume(isinstance(area, Polygon))
    return Polygon(area.exterior)


@settings(max_examples=40, deadline=None)
@given(smooth_areas(), st.sampled_from([0.05, 0.1, 0.2]))
def test_error_and_tangents(area: Polygon, error: float) -> None:
    ring = ring_of(area)
    path = fit_arcs(ring, error)
    assert path.closed
    # Checked at the places between the arcs; 0.02 mm more for rounding and what lies between them.
    assert stray(path, ring) <= error + 0.03
    assert max(kinks(path)) < 1.0
    assert Polygon(path.flatten(0.01)).is_valid
    assert path.length == pytest.approx(area.length, rel=0.005)


@settings(max_examples=25, deadline=None)
@given(smooth_areas())
def test_radii_keep_the_limits_where_the_points_do(area: Polygon) -> None:
    path = fit_arcs(ring_of(area), min_bend_mm=5.0, min_hollow_mm=5.0)
    found = measure(path)
    assert found.corners == ()
    assert (found.min_bend_radius or math.inf) >= 4.9
    assert (found.min_hollow_radius or math.inf) >= 4.9


@settings(max_examples=20, deadline=None)
@given(smooth_areas())
def test_same_points_same_path(area: Polygon) -> None:
    assert fit_arcs(ring_of(area)) == fit_arcs(ring_of(area))


@settings(max_examples=20, deadline=None)
@given(smooth_areas())
def test_joints_are_multiples_of_a_hundredth(area: Polygon) -> None:
    path = fit_arcs(ring_of(area))
    assume(len(path.segments) > 1)
    exact = [
        p
        for p in (s.start for s in path.segments)
        if all(abs(v * 100 - round(v * 100)) < 1e-6 for v in p)
    ]
    # Of the two arcs of a biarc only the outer ends are rounded.
    assert len(exact) >= len(path.segments) / 2


def test_a_picture_takes_a_few_dozen_segments() -> None:
    counts = []
    for seed in range(12):
        rng = random.Random(seed)
        area = Spot(0, 0).buffer(25.0)
        for angle in range(0, 360, 60):
            reach = rng.uniform(30, 55)
            tip = (reach * math.cos(math.radians(angle)), reach * math.sin(math.radians(angle)))
            area = area.union(LineString([(0, 0), tip]).buffer(rng.uniform(9, 14)))
        for by in (6.0, -12.0, 6.0):
            area = area.buffer(by, quad_segs=40)
        counts.append(len(fit_arcs(ring_of(area)).segments))
    assert all(8 <= count <= 80 for count in counts), counts


def test_segments_join_without_a_gap() -> None:
    path = fit_arcs(ring_of(box(0, 0, 70, 50).buffer(9, quad_segs=16)))
    for before, after in itertools.pairwise((*path.segments, path.segments[0])):
        assert math.dist(before.end, after.start) < 1e-6
