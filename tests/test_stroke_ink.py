"""What a line inks: the areas in plain Python against the geometry library and closed forms."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.ink import Cap, Join, Nib, has_bevels, ink_of, stroke_rings
from shapes.path import Cubic, Path
from shapes.pictures.silhouette import strokes
from shapes.svg.read import Shape
from sheets.check.distances import Ink, ink_box
from sheets.check.overlap import touching
from sheets.page.model import WHITE, Fill, Mark, Role, Stroke
from tests.rendered_pages import page_of
from tests.test_agreement import DPI, ink_of_pdf, ink_of_svg

SAG = 0.02
AS_IT_IS = Affine()
CAPS: tuple[Cap, ...] = ("butt", "round", "square")
JOINS: tuple[Join, ...] = ("miter", "round", "bevel")
L_SHAPE = Path.from_points([(0, 0), (10, 0), (10, 10)])
SHARP = Path.from_points([(0, 0), (10, 0), (0, 1)])  # turns by 174 degrees


def area(nib: Nib, path: Path, at: Affine = AS_IT_IS) -> shapely.Geometry:
    return shapely.union_all([shapely.Polygon(ring) for ring in stroke_rings(nib, path, at, SAG)])


@pytest.mark.parametrize(
    ("path", "nib", "expected"),
    [
        # Two arms of 10 by 2 that share a square of 1 by 1, and what the corner adds.
        (L_SHAPE, Nib(2.0, "butt", "miter"), 40.0),
        (L_SHAPE, Nib(2.0, "butt", "bevel"), 39.5),
        (L_SHAPE, Nib(2.0, "butt", "round"), 39.0 + math.pi / 4),
        (L_SHAPE, Nib(2.0, "butt", "miter", 1.4), 39.5),  # SVG 2, 13.5.5: 1.414 is just too much
        (L_SHAPE, Nib(2.0, "square", "miter"), 44.0),
        (L_SHAPE, Nib(2.0, "round", "round"), 39.0 + math.pi * 1.25),
        (Path.from_points([(0, 0), (10, 0), (10, 5), (0, 5)], closed=True),
         Nib(1.0, "butt", "miter"), 11 * 6 - 9 * 4),
        (Path.circle((0, 0), 10), Nib(2.0, "butt", "miter"), math.pi * (121 - 81)),
    ],
)  # fmt: skip
def test_areas(path: Path, nib: Nib, expected: float) -> None:
    # Chords lose a little of the round ends, and more of the two rims of the circle.
    slack = 2 * SAG * path.length if path.bbox.height > 15 else 0.15
    assert area(nib, path).area == pytest.approx(expected, abs=slack)
    # Turned and twice as large: four times the area.
    turned = Affine.rotation(33.0).then(Affine.scaling(2.0))
    found = area(nib, path, turned).area
    assert found == pytest.approx(4 * expected, abs=4 * slack)


def test_a_line_without_length() -> None:
    point = Path.from_points([(5, 5), (6, 5)]).transformed(Affine.scaling(1e-9))
    assert list(stroke_rings(Nib(2.0, "butt"), point, Affine(), SAG)) == []
    assert area(Nib(2.0, "square"), point).area == pytest.approx(4.0)
    assert area(Nib(2.0, "round"), point).area == pytest.approx(math.pi, abs=0.1)


def test_sharp_corners_are_cut_off_beyond_the_limit() -> None:
    # 1 / sin(angle / 2) = 20.1 for the inner angle of 5.7 degrees (SVG 2, 13.5.5).
    assert has_bevels(Nib(1.0, "butt", "miter", 20.0), SHARP)
    assert not has_bevels(Nib(1.0, "butt", "miter", 20.2), SHARP)
    assert has_bevels(Nib(1.0, "butt", "bevel"), SHARP)
    assert not has_bevels(Nib(1.0, "butt", "round"), SHARP)
    assert area(Nib(1.0, "butt", "miter", 20.2), SHARP).bounds[2] > 19.0
    assert area(Nib(1.0, "butt", "miter", 20.0), SHARP).bounds[2] < 10.6


STEPS = st.integers(-5, 5).map(lambda step: 20.0 * step)
POINT = st.tuples(STEPS, STEPS)
NIBS = st.builds(
    Nib,
    st.sampled_from([0.5, 1.0, 2.0]),
    st.sampled_from(CAPS),
    st.sampled_from(JOINS),
    st.sampled_from([1.0, 4.0, 10.0]),
)


@st.composite
def paths(draw: st.DrawFn) -> Path:
    points = draw(st.lists(POINT, min_size=4, max_size=7, unique=True))
    if draw(st.booleans()):
        return Path.from_points(points, closed=draw(st.booleans()))
    return Path((Cubic(*points[:4]),), closed=draw(st.booleans()))


@settings(max_examples=150, deadline=None)
@given(paths(), NIBS)
def test_silhouette_and_check_see_the_same_ink(path: Path, nib: Nib) -> None:
    shape = Shape((path,), None, "#000000", nib.width, nib.cap, nib.join, (), nib.miter_limit)
    ours = shapely.union_all(list(strokes(shape, Affine())))
    chain, rings = ink_of(nib, path, Affine(), SAG)
    seen = [shapely.Polygon(ring) for ring in rings]
    if chain is not None:
        seen.append(shapely.buffer(shapely.LineString(chain), nib.width / 2.0, quad_segs=64))
    checked = shapely.union_all(seen)
    difference = shapely.symmetric_difference(ours, checked)
    # But for the chords of curves, 0.05 mm off at most on either side.
    assert shapely.buffer(difference, -0.06).area == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("cap", "join"), list(itertools.product(CAPS, JOINS)))
def test_distances_are_taken_from_the_ink(cap: Cap, join: Join) -> None:
    stroke = Stroke((L_SHAPE,), 4.0, Role.ART, cap=cap, join=join)
    box = ink_box(stroke)
    assert box is not None
    # Left of the start, where the end is flat, round or square ...
    before = Path.line((-10, -1), (-10, 1))
    reach = {"butt": 0.0, "round": 2.0, "square": 2.0}[cap]
    # ... and in the line of the corner, which is pointed, round or cut off.
    beyond = Path.line((20, -12), (22, -10))
    off = math.dist((10, 0), (21, -11)) - math.sqrt(2.0) * {
        "miter": 2.0, "round": math.sqrt(2.0), "bevel": 1.0,
    }[join]  # fmt: skip
    for line, expected in ((before, 10.0 - reach), (beyond, off)):
        curved = Path((*line.segments, *line.reversed().segments))  # not straight: shapely
        assert Ink(stroke, box).distance(line) == pytest.approx(expected, abs=SAG)
        assert Ink(stroke, box).distance(curved) == pytest.approx(expected, abs=SAG)


def test_white_is_no_ink() -> None:
    from shapes.path import BBox
    from sheets.page.model import Artwork, Place

    dot = Fill((Path.circle((0, 0), 1),), Role.ART)
    paper = Fill((Path.circle((0, 0), 30),), Role.ART, colour=WHITE)
    place = Place(Artwork("a", (paper, dot), BBox(-1, -1, 1, 1)), Affine())
    line = Path.from_points([(10, 0), (20, 5), (10, 5)])
    assert Ink(place, BBox(-1, -1, 1, 1)).distance(line) == pytest.approx(9.0, abs=SAG)


@pytest.mark.parametrize(
    ("cap", "join", "touches"),
    [("butt", "round", False), ("square", "round", True), ("round", "round", True)],
)
def test_ends_that_touch(cap: Cap, join: Join, touches: bool) -> None:
    line: Mark = Stroke((Path.line((0, 0), (10, 0)),), 2.0, Role.ART, "line", cap=cap, join=join)
    block: Mark = Fill(
        (Path.from_points([(10.9, -3), (15, -3), (15, 3), (10.9, 3)], closed=True),), Role.TRACE
    )
    assert bool(touching([line, block])) is touches


@pytest.mark.parametrize(("join", "touches"), [("miter", True), ("round", False), ("bevel", False)])
def test_corners_that_touch(join: Join, touches: bool) -> None:
    line: Mark = Stroke((L_SHAPE,), 4.0, Role.ART, "line", cap="butt", join=join)
    block: Mark = Fill(
        (Path.from_points([(11.8, -5), (15, -5), (15, -1.8), (11.8, -1.8)], closed=True),),
        Role.TRACE,
    )
    assert bool(touching([line, block])) is touches


@pytest.mark.parametrize(("cap", "join"), list(itertools.product(CAPS, JOINS)))
def test_printed_as_measured(cap: Cap, join: Join) -> None:
    """The PDF as pdfium draws it and the SVG as cairo draws it have the ink that is measured."""
    zigzag = Path.from_points([(20, 20), (60, 20), (30, 40), (70, 90), (60, 30)])
    curve = Path((Cubic((80, 20), (140, 20), (60, 90), (130, 90)),))
    nibs = [Nib(6.0, cap, join, limit) for limit in (2.0, 10.0)]
    marks = tuple(
        Stroke((path.moved(0, 110.0 * i),), 6.0, Role.ART, cap=cap, join=join,
               miter_limit=nib.miter_limit)
        for i, nib in enumerate(nibs) for path in (zigzag, curve)
    )  # fmt: skip
    page = page_of(*marks)
    whole = shapely.union_all([area(mark.nib, mark.paths[0]) for mark in marks])
    for ink in (ink_of_pdf(page), ink_of_svg(page)):
        high, wide = ink.shape
        x, y = np.meshgrid(np.arange(wide) + 0.5, high - np.arange(high) - 0.5)
        ours = shapely.contains_xy(whole, x * 25.4 / DPI, y * 25.4 / DPI)
        theirs = ink > 0.5
        assert (ours & theirs).sum() / (ours | theirs).sum() > 0.98
