"""Lines and arcs fitted to points: which way round, where they lie, corners, barbs, flat parts."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon, box

from shapes.affine import Affine
from shapes.outline.fit import fit_arcs
from shapes.path import Arc, Line, Path
from tests.test_fit import kinks

Ring = NDArray[np.float64]

TURN = np.linspace(0.0, math.tau, 241)[:-1]
ELLIPSE = np.column_stack([50.0 * np.cos(TURN), 25.0 * np.sin(TURN)])
EGG = np.column_stack(
    [50.0 * np.cos(TURN) + 4.0 * np.cos(2.0 * TURN + 0.4),
     27.0 * np.sin(TURN) + 3.0 * np.sin(2.0 * TURN + 0.9)]
)  # fmt: skip


def anticlockwise(area: Polygon) -> Ring:
    """Its points, the first one once."""
    return np.asarray(shapely.orient_polygons(area).exterior.coords)[:-1]


def pear() -> Ring:
    """Bends of 14 and 20 mm, hollows of 12 mm on either side, and a slanting top."""
    area = Point(0, 0).buffer(20.0, quad_segs=40).union(Point(40, 8).buffer(14.0, quad_segs=40))
    return anticlockwise(area.buffer(12.0, quad_segs=40).buffer(-12.0, quad_segs=40))


def narrow(radius: float) -> Ring:
    """An ellipse that bends with this radius at its ends (the square of b by a)."""
    return np.column_stack([math.sqrt(radius * 30.0) * np.cos(TURN), 30.0 * np.sin(TURN)])


def box_of(side: float, radius: float, quad_segs: int = 40) -> Ring:
    return anticlockwise(box(0, 0, side, side).buffer(radius, quad_segs=quad_segs))


def arcs(path: Path) -> list[Arc]:
    return [s for s in path.segments if isinstance(s, Arc)]


def lines(path: Path) -> list[float]:
    return sorted(s.length() for s in path.segments if isinstance(s, Line))


def same(path: Path, other: Path, within: float = 0.011) -> bool:
    """Whether both have the same kinds of segments, at the same places."""
    return [type(s) for s in path.segments] == [type(s) for s in other.segments] and all(
        math.dist(a.point_at(t), b.point_at(t)) <= within
        for a, b in zip(path.segments, other.segments, strict=True)
        for t in (0.0, 0.5, 1.0)
    )


# --- circles --------------------------------------------------------------------------------


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("first", [0, 30, 70, 111])
def test_a_circle_starts_where_the_points_do_and_runs_their_way(way: int, first: int) -> None:
    """Its numbers are written with two decimals."""
    ring = np.asarray(Point(410.1234, 20.5678).buffer(12.3456, quad_segs=40).exterior.coords)
    ring = np.roll(ring[:-1][::-way], first, axis=0)
    path = fit_arcs(ring)
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert path.closed
    assert arc.center == (410.12, 20.57)
    assert arc.radius == pytest.approx(12.3456, abs=0.006)
    assert round(arc.radius, 2) == arc.radius
    assert arc.sweep_deg == 360.0 * way
    assert math.dist(path.start, ring[0]) < 0.02


@pytest.mark.parametrize(("edge", "smooth"), [(3.0, True), (3.1, False)])
def test_a_vertex_is_a_corner_from_a_tenth_of_a_millimetre_on(edge: float, smooth: bool) -> None:
    """Half of a polygon of 24 corners; an arc through its corners bulges by edge / 2 tan(15/4)."""
    radius = edge / 2.0 / math.sin(math.pi / 24)
    angles = np.arange(13) * math.pi / 12
    path = fit_arcs(radius * np.column_stack([np.cos(angles), np.sin(angles)]), closed=False)
    bent = kinks(path)
    assert sum(kink > 14.0 for kink in bent) == (0 if smooth else 11)
    assert sum(kink > 1.0 for kink in bent) == (0 if smooth else 11)


@pytest.mark.parametrize(("edge", "corners"), [(3.0, 0), (3.1, 24)])
def test_a_polygon_is_a_circle_up_to_a_tenth_of_a_millimetre(edge: float, corners: int) -> None:
    """The circle between corners and sides is half of edge / 2 tan(15/4) off both."""
    radius = edge / 2.0 / math.sin(math.pi / 24)
    angles = np.arange(24) * math.pi / 12
    path = fit_arcs(radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    assert (len(path.segments) == 1) is (corners == 0)
    assert sum(kink > 14.0 for kink in kinks(path)) == corners
    assert path.length == pytest.approx(24 * edge, rel=0.005)


# --- the same outline wherever it lies ------------------------------------------------------


@pytest.mark.parametrize("points", [EGG, pear(), box_of(5.0, 12.0)], ids=["egg", "pear", "box"])
@pytest.mark.parametrize(
    "at",
    [
        Affine.translation(1000, -700), Affine.translation(-50, 0), Affine.translation(25, 13),
        Affine.rotation(90), Affine.rotation(180), Affine.rotation(270),
        Affine.scaling(-1, 1), Affine.scaling(1, -1),
    ],
    ids=["far", "left", "near", "90", "180", "270", "mirrored", "flipped"],
)  # fmt: skip
def test_it_does_not_matter_where_an_outline_lies(points: Ring, at: Affine) -> None:
    moved = np.array([at.apply((x, y)) for x, y in points])
    once = fit_arcs(points, min_bend_mm=13.0, min_hollow_mm=11.0)
    again = fit_arcs(moved, min_bend_mm=13.0, min_hollow_mm=11.0)
    assert same(again, once.transformed(at))


@pytest.mark.parametrize("way", [1, -1])
def test_bends_and_hollows_have_limits_of_their_own(way: int) -> None:
    """Points that bend a little tighter than asked for are drawn as asked for, within the error."""
    bite = Polygon(narrow(4.4) + np.array([0.0, 16.0]))
    hollow = anticlockwise(box(-40, -40, 40, 20).difference(bite))
    for ring, outward in ((narrow(4.5), True), (hollow, False)):

        def least(bend: float, in_: float, ring: Ring = ring, outward: bool = outward) -> float:
            path = fit_arcs(ring[::way], min_bend_mm=bend, min_hollow_mm=in_)
            return min(a.radius for a in arcs(path) if (a.sweep_deg * way > 0) == outward)

        without = least(0.0, 0.0)
        more = 1.03 * without
        assert least(*((0.0, more) if outward else (more, 0.0))) == without
        assert least(*((more, 0.0) if outward else (0.0, more))) >= more
        assert least(more, more) >= more


@pytest.mark.parametrize("way", [1, -1])
def test_on_an_open_line_left_is_outward(way: int) -> None:
    half = narrow(4.5)[: len(TURN) // 2][::way]
    found = [
        min(arc.radius for arc in arcs(fit_arcs(half, closed=False, **limit)))
        for limit in ({"min_bend_mm": 5.0}, {"min_hollow_mm": 5.0})
    ][::way]
    assert found[0] >= 5.0
    assert found[1] < 5.0


# --- straight, flat and round ---------------------------------------------------------------


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize(
    ("side", "radius", "quad_segs"), [(10.0, 10.0, 8), (6.0, 12.0, 40), (6.0, 3.0, 6), (90.0, 5, 8)]
)
def test_sides_of_six_millimetres_and_more_are_straight(
    side: float, radius: float, quad_segs: int, way: int
) -> None:
    """However coarse the chords of the round corners are: the side ends where they begin."""
    ring = box_of(side, radius, quad_segs)[::way]
    path = fit_arcs(ring)
    assert lines(path)[-3:] == pytest.approx([side] * 3, abs=0.011)
    assert sum(lines(path)) == pytest.approx(4 * side, abs=0.05)
    assert all(arc.radius == pytest.approx(radius, rel=0.03) for arc in arcs(path))
    assert sum(arc.sweep_deg for arc in arcs(path)) == pytest.approx(360.0 * way, abs=0.5)


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("side", [4.0, 5.0])
def test_an_outline_that_turns_one_way_gets_no_wave(side: float, way: int) -> None:
    for ring in (box_of(side, 12.0), EGG):
        assert all(arc.sweep_deg * way > 0 for arc in arcs(fit_arcs(ring[::way])))


def test_no_arc_turns_more_than_150_degrees() -> None:
    """Both ends of a long hole are half discs; an arc of half a turn has no steady centre."""
    for radius in (4.0, 5.0, 12.0):
        ring = anticlockwise(LineString([(0, 0), (50, 0)]).buffer(radius, quad_segs=40))
        path = fit_arcs(ring)
        assert max(arc.sweep_deg for arc in arcs(path)) <= 150.0
        assert sum(arc.sweep_deg for arc in arcs(path)) == pytest.approx(360.0, abs=0.1)
        assert all(arc.radius == pytest.approx(radius, rel=0.02) for arc in arcs(path))


def test_arcs_that_nobody_could_see_are_lines() -> None:
    """Flatter than 0.002 mm and turning less than a fifth of a degree."""
    for ring in (box_of(5.0, 12.0), box_of(50.0, 12.0), pear(), ELLIPSE):
        dense = np.asarray(Polygon(ring).exterior.segmentize(0.4).coords)
        for arc in arcs(fit_arcs(dense)):
            half = math.radians(abs(arc.sweep_deg)) / 2.0
            assert arc.radius * (1.0 - math.cos(half)) >= 0.0019 or half >= math.radians(0.099)


# --- barbs ----------------------------------------------------------------------------------


def with_barb(ring: Ring, at: int, *steps: tuple[float, float]) -> Ring:
    """Points put in after one, each so far (mm) straight on and to the left of it."""
    ahead = ring[(at + 1) % len(ring)] - ring[at]
    ahead = ahead / np.hypot(*ahead)
    left = np.array([-ahead[1], ahead[0]])
    put = [ring[at] + on * ahead + off * left for on, off in steps]
    return np.vstack([ring[: at + 1], *put, ring[at + 1 :]])


@pytest.mark.parametrize(
    "steps",
    [
        # Back and on again; off to a side and slowly back; the other side.
        ((-0.02, 0.004),),
        ((0.0, 0.02), (0.3, 0.012)),
        ((0.0, -0.02), (0.3, -0.012)),
        # Slowly away and at once back.
        ((0.3, 0.012), (0.3, -0.012)),
    ],
)
def test_barbs_of_hundredths_of_a_millimetre_change_nothing(
    steps: tuple[tuple[float, float], ...],
) -> None:
    ring = box_of(30.0, 25.0)
    for at in (8, 60):
        path = fit_arcs(with_barb(ring, at, *steps))
        assert max(abs(arc.sweep_deg) for arc in arcs(path)) > 20.0
        assert len(path.segments) <= 12
        assert max(kinks(path)) < 2.5


def test_a_barb_at_the_corner_of_a_triangle() -> None:
    """What is left has three sides; and a triangle without one keeps them."""
    corners = [(0.0, 0.0), (60.0, 0.0), (60.02, 0.005), (30.0, 50.0)]
    for ring in (corners, [*corners[:2], corners[3]]):
        path = fit_arcs(np.array(ring))
        assert len(lines(path)) == len(path.segments) == 3


def test_a_small_tooth_is_no_barb() -> None:
    """One of 1 mm stands out from a side, sharp corners and all."""
    tooth = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (30.5, 40.0), (30.5, 40.8), (29.5, 40.8),
             (29.5, 40.0), (0.0, 40.0)]  # fmt: skip
    path = fit_arcs(np.array(tooth))
    assert [s.start for s in path.segments] == [pytest.approx(p, abs=1e-9) for p in tooth]
    assert len(lines(path)) == 8


# --- exact marks ----------------------------------------------------------------------------


def blob(turn: float) -> Ring:
    """A round outline with waves of two, three and five to the round."""
    radius = 30.0 + sum(
        high * np.cos(waves * TURN + times * turn)
        for high, waves, times in ((3.0, 2, 1), (2.0, 3, 2), (1.5, 5, 3))
    )
    return np.column_stack([radius * np.cos(TURN), radius * np.sin(TURN)])


def told(path: Path) -> list[float]:
    """Lengths of lines in mm; of arcs degrees and the radius in mm."""
    return [
        value
        for s in path.segments
        for value in ((s.sweep_deg, s.radius) if isinstance(s, Arc) else (s.length(),))
    ]


@pytest.mark.parametrize(
    ("points", "marks"),
    [
        (
            # One of its joints is close to the origin.
            blob(2.0) + np.array([31.0, -16.0]),
            "17.9/16.7 15.3/18.8 2.7/108.0 2.4/288.3 43.0/15.6 26.9/17.2 -2.3/207.3 "
            "-3.6/134.5 22.9/20.9 22.6/14.5 24.5/13.4 23.4/16.3 8.1/47.4 1.2/291.2 6.0 1.1 "
            "2.7/22.1 28.4/23.2 -0.9/771.7 6.4/71.2 26.2/17.1 48.0/13.6 6.2/15.8 25.6/21.0 "
            "-3.5/155.7 -2.0/178.7 17.6/20.3",
        ),
        (
            blob(16.0),
            "4.4/52.0 11.4/20.1 43.8/16.7 -3.3/231.6 4.9/81.4 22.8/17.3 27.6/13.5 26.4/14.2 "
            "21.3/18.8 4.8/84.1 -1.7/369.4 26.1/23.2 7.7/42.3 -2.7/121.9 2.5/185.8 24.8/18.8 "
            "53.9/13.9 24.5/19.2 -1.3/375.2 -3.6/148.5 30.3/17.0 34.4/16.6 0.5/1224.5 "
            "-0.6/124.9 1.0/70.1",
        ),
        (
            box_of(4.0, 12.0),
            "66.7/12.0 21.5/12.3 4.1/65.8 40.2/12.2 40.9/11.9 17.0/26.4 37.8/11.5 33.8/11.6 "
            "13.6/29.7 59.3/12.0 23.2/11.3 1.9/142.8",
        ),
    ],
    ids=["aside", "round", "box"],
)
def test_exact_marks_of_three_outlines(points: Ring, marks: str) -> None:
    """As found. Where they change, so do the outlines that are made beforehand."""
    expected = [float(value) for value in marks.replace("/", " ").split()]
    assert told(fit_arcs(points)) == pytest.approx(expected, abs=0.06, rel=2e-3)


def test_the_limit_is_for_bends_whatever_the_corners_are() -> None:
    """A spoon: all but its bowl are three corners far to the side of it."""
    bowl = narrow(4.5)[len(TURN) // 2 :] + np.array([math.sqrt(4.5 * 30.0), 0.0])
    spoon = np.vstack([bowl, [(24.0, 0.0), (60.0, 0.0), (-30.0, 50.0), (-1.0, 0.0)]])
    for ring, way in ((spoon, 1), (spoon[::-1], -1)):

        def least(bend: float, hollow: float, ring: Ring = ring, way: int = way) -> float:
            path = fit_arcs(ring, min_bend_mm=bend, min_hollow_mm=hollow)
            return min(a.radius for a in arcs(path) if a.sweep_deg * way > 0)

        without = least(0.0, 0.0)
        assert least(0.0, 1.03 * without) == without
        assert least(1.03 * without, 0.0) >= 1.03 * without
