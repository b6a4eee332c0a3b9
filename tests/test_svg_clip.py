"""Clip paths and unevenly stretched lines of SVG drawings: areas against their closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from shapes.affine import Affine
from shapes.svg.clip import filled_area
from shapes.svg.drawing import Drawing, Shape
from shapes.svg.path import read_path
from shapes.svg.read import read_svg
from tests.wild_svg import wrapped


def read(content: str) -> Drawing:
    return read_svg(wrapped(content), "my.svg")


def area(shape: Shape) -> float:
    return float(filled_area(shape.paths, shape.even_odd).area)


def clip(content: str, name: str = "c") -> str:
    return f'<clipPath id="{name}">{content}</clipPath>'


BOX = '<rect x="10" y="10" width="10" height="10" {}/>'
FILL = 'fill="none" stroke="red" stroke-width="2"'
SQUARE, INNER, INNER_BACK = "M0 0h10v10h-10z", "M3 3h4v4h-4z", "M3 3v4h4v-4z"
MIDDLE = "M4 4h2v2h-2z"


# --- areas ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "nonzero", "even_odd"),
    [
        (SQUARE, 100, 100),
        # SVG 2, 13.4.2: a ring that runs the other way is a hole, under even-odd every second.
        (SQUARE + INNER, 100, 84),
        (SQUARE + INNER_BACK, 84, 84),
        (INNER_BACK + SQUARE, 84, 84),
        (INNER + SQUARE, 100, 84),
        (SQUARE + INNER + MIDDLE, 100, 88),
        (SQUARE + "M20 0h5v5h-5z", 125, 125),
        # Only within one: apart from it, it is filled too. So is an island in a hole.
        (SQUARE + "M20 0v5h5v-5z" + INNER_BACK, 109, 109),
        ("M20 0v5h5v-5z" + INNER_BACK + SQUARE + "M21 1h3v3h-3z", 100, 100),
        (MIDDLE + INNER_BACK + SQUARE, 88, 88),
        (SQUARE + INNER_BACK + MIDDLE + "M4.5 4.5v1h1v-1z", 87, 87),
        # Twice the same, once back: none of it.
        (SQUARE + "M0 0v10h10v-10z", 0, 0),
        (SQUARE + SQUARE, 100, 0),
        # Turned twice about, one turn back does not make a hole.
        (SQUARE + INNER + "M4 4v2h2v-2z", 100, 88),
        # Open lines are filled as if they were closed; those of two points have no inside.
        ("M0 0h10v10", 50, 50),
        (SQUARE + "M20 0h5", 100, 100),
        ("M0 0h5", 0, 0),
        ("M0 0h5h-5z", 0, 0),
        # One that crosses itself: both halves.
        ("M0 0l10 10v-10l-10 10z", 50, 50),
    ],
)
def test_what_is_inside(data: str, nonzero: float, even_odd: float) -> None:
    paths = read_path(data, Affine())
    assert filled_area(paths, False).area == pytest.approx(nonzero)
    assert filled_area(paths, True).area == pytest.approx(even_odd)


NEST = st.dictionaries(st.tuples(st.booleans(), st.integers(1, 6)), st.sampled_from([1, -1]))
"""Squares round two middles: which middle, half the side, and which way it runs."""


@settings(max_examples=60)
@given(NEST.flatmap(lambda nest: st.permutations(list(nest.items()))))
def test_squares_in_squares_fill_where_they_wind_round_a_point(
    nest: list[tuple[tuple[bool, int], int]],
) -> None:
    """SVG 2, 13.4.2: a point is inside if the ways of all rings round it do not add up to 0."""
    data = "".join(
        f"M{20 * right - r} {-r}"
        + (f"h{2 * r}v{2 * r}h{-2 * r}z", f"v{2 * r}h{2 * r}v{-2 * r}z")[way < 0]
        for (right, r), way in nest
    )
    inside = sum(
        4 * (r * r - (r - 1) ** 2)
        for right in (False, True)
        for r in range(1, 7)
        if sum(way for (side, size), way in nest if side is right and size >= r)
    )
    assert filled_area(read_path(data, Affine()), False).area == pytest.approx(inside)


@pytest.mark.parametrize("radius", [0.001, 10.0, 400.0])
def test_a_circle_keeps_its_area_at_any_size(radius: float) -> None:
    paths = read_path(
        f"M{radius} 0A{radius} {radius} 0 0 1 {-radius} 0A{radius} {radius} 0 0 1 {radius} 0z",
        Affine(),
    )
    inside = filled_area(paths, False)
    assert isinstance(inside, Polygon)
    assert inside.area == pytest.approx(math.pi * radius**2, rel=1e-3)
    # Fine enough to print large, coarse enough to reckon with.
    assert 50 < len(inside.exterior.coords) < 400


# --- clip paths (CSS Masking 1, 5) ----------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "fills", "areas"),
    [
        # A disc within, and a corner of one.
        (clip('<circle cx="20" cy="20" r="4"/>') + BOX.format('clip-path="url(#c)" fill="lime"'),
         ["#00ff00"], [4 * math.pi]),
        # Fill first, then the line, each in its colour and as an area.
        (clip('<rect width="15" height="50"/>')
         + BOX.format('clip-path="url(#c)" fill="lime" stroke="red" stroke-width="2"'),
         ["#00ff00", "#ff0000"], [50, 12 * 6 - 8 * 4]),
        (clip('<rect width="15" height="50"/>') + BOX.format(f'clip-path="url(#c)" {FILL}'),
         ["#ff0000"], [12 * 6 - 8 * 4]),
        # What a clip path is painted with does not matter, but its rule does.
        (clip('<path fill="none" fill-opacity="0" stroke="red" d="M10 10h5v10h-5z"/>')
         + BOX.format('clip-path="url(#c)"'), ["#000000"], [50]),
        (clip(f'<path clip-rule="evenodd" d="{SQUARE}{INNER}"/>')
         + '<rect width="10" height="10" clip-path="url(#c)"/>', ["#000000"], [84]),
        (clip(f'<path fill-rule="evenodd" d="{SQUARE}{INNER}"/>')
         + '<rect width="20" height="10" clip-path="url(#c)"/>', ["#000000"], [100]),
        # Two shapes in a clip path, together; one clip within another, what both leave.
        (clip('<rect width="12" height="50"/><rect x="18" width="50" height="50"/>')
         + BOX.format('clip-path="url(#c)"'), ["#000000"], [40]),
        (clip('<rect width="15" height="50"/>') + clip('<rect width="50" height="13"/>', "d")
         + '<g clip-path="url(#c)">' + BOX.format('clip-path="url(#d)"') + "</g>",
         ["#000000"], [15]),
        (clip('<rect width="15" height="50" clip-path="url(#d)"/>')
         + clip('<rect width="50" height="13"/>', "d") + BOX.format('clip-path="url(#c)"'),
         ["#000000"], [15]),
        # In the units of what is clipped, moved as the clip path says.
        (clip('<rect width="2" height="50" transform="translate(12 0)"/>')
         + BOX.format('transform="scale(3)" clip-path="url(#c)"'), ["#000000"], [9 * 20]),
        (clip('<rect width="15" height="50" id="r"/>').replace("<clipPath", "<clipPath "
         'transform="translate(3 0)"') + BOX.format('clip-path="url(#c)"'), ["#000000"], [80]),
        (clip('<use href="#r"/>') + '<defs><rect id="r" width="12" height="50"/></defs>'
         + BOX.format('clip-path="url(#c)"'), ["#000000"], [20]),
        # Nothing but an edge in common.
        (clip('<rect width="10" height="50"/>') + BOX.format('clip-path="url(#c)"'), [], []),
        (clip("") + BOX.format('clip-path="url(#c)"'), [], []),
    ],
)  # fmt: skip
def test_what_a_clip_leaves(content: str, fills: list[str], areas: list[float]) -> None:
    drawing = read(content + '<circle cx="50" cy="50" r="1"/>')
    *parts, _ = drawing.shapes
    assert drawing.ignored == ()
    assert [part.fill for part in parts] == fills
    assert [area(part) for part in parts] == pytest.approx(areas, rel=1e-3)
    for part in parts:
        assert (part.stroke, part.stroke_width, part.dash, part.even_odd) == (None, 0, (), True)


def test_a_part_keeps_what_it_is_called() -> None:
    shape, _ = read(
        clip('<rect width="15" height="50"/>') + '<g id="line" data-role="cut" class="x">'
        + BOX.format('id="p" clip-path="url(#c)"') + '</g><circle r="1"/>'
    ).shapes  # fmt: skip
    assert (shape.group, shape.id, shape.data, shape.classes) == (
        "line", "p", (("role", "cut"),), ("x",),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("line", "edge", "whole"),
    [
        # Without a line, up to the very edge; with one, its width round it ...
        ("", 10.0, True),
        ("", 10.1, False),
        ('stroke="red" stroke-width="2" stroke-miterlimit="1"', 8.0, True),
        ('stroke="red" stroke-width="2" stroke-miterlimit="1"', 8.1, False),
        # ... and as far as its spikes may reach: half the width times the miter limit.
        ('stroke="red" stroke-width="2" stroke-miterlimit="4"', 6.0, True),
        ('stroke="red" stroke-width="2" stroke-miterlimit="4"', 6.1, False),
    ],
)
def test_what_lies_well_within_is_left_as_it_is(line: str, edge: float, whole: bool) -> None:
    side = 30 - 2 * edge
    within = clip(f'<rect x="{edge}" y="{edge}" width="{side}" height="{side}"/>')
    first, *_ = read(within + BOX.format(f'rx="5" clip-path="url(#c)" {line}')).shapes
    assert first.even_odd is not whole
    assert (len(first.paths[0].segments) < 9) is whole


def test_a_spike_that_reaches_beyond_is_cut_off() -> None:
    """Of a line 2 wide, with an angle of 28 degrees: its spike is 4.1 long (SVG 2, 13.5.5)."""
    spike = f'<path {FILL} stroke-miterlimit="9" clip-path="url(#c)" d="M20 5L28 37L36 5"/>'
    whole, cut = (
        read(clip(f'<rect y="-50" width="90" height="{h}"/>') + spike).shapes for h in (140, 88)
    )
    assert whole[0].stroke == "#ff0000"
    assert cut[0].fill == "#ff0000"
    assert min(path.bbox.y0 for path in cut[0].paths) == pytest.approx(62, abs=0.01)


@pytest.mark.parametrize(
    ("target", "value"),
    [("", "url(#c)"), ("", "url(#)"), ("", "circle(5px)"), ('<g id="c"/>', "url(#c)")],
)
def test_clips_of_other_kinds_are_told(target: str, value: str) -> None:
    drawing = read(target + BOX.format(f'clip-path="{value}"'))
    assert (len(drawing.shapes), drawing.ignored) == (1, ("clip-path",))


def test_no_clip_is_none() -> None:
    assert read(BOX.format('clip-path="none"')).ignored == ()
    units = clip('<rect width="15" height="50"/>').replace(
        "<clipPath", '<clipPath clipPathUnits="userSpaceOnUse"'
    )
    (shape,) = read(units + BOX.format('clip-path="url(#c)"')).shapes
    assert area(shape) == pytest.approx(50)


# --- lines that a map stretches -------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "ink"),
    [
        # A map multiplies every area by its determinant. A corner adds to two bars, less the square
        # that they share, its own square, a quarter of a disc or half the square.
        ('<circle cx="20" cy="20" r="5" {}/>', 2 * math.pi * 5 * 2),
        ('<path d="M5 20h20" {}/>', 20 * 2),
        ('<path d="M5 20h20" stroke-linecap="square" {}/>', 22 * 2),
        ('<path d="M5 20h20" stroke-linecap="round" {}/>', 20 * 2 + math.pi),
        ('<path d="M5 20h9v9" {}/>', 2 * 9 * 2),
        ('<path d="M5 20h9v9" stroke-linejoin="round" {}/>', 2 * 9 * 2 - 1 + math.pi / 4),
        ('<path d="M5 20h9v9" stroke-linejoin="bevel" {}/>', 2 * 9 * 2 - 0.5),
    ],
)  # fmt: skip
@pytest.mark.parametrize(("sx", "sy"), [(3, 1), (1, -0.5)])
def test_the_ink_of_a_stretched_line(content: str, ink: float, sx: float, sy: float) -> None:
    line = content.format('fill="none" stroke="red" stroke-width="2"')
    (shape,) = read(f'<g transform="scale({sx} {sy})">{line}</g>').shapes
    assert (shape.fill, shape.stroke, shape.stroke_width) == ("#ff0000", None, 0)
    assert area(shape) == pytest.approx(ink * abs(sx * sy), rel=2e-3)


def test_a_stretched_shape_is_its_fill_and_then_its_line() -> None:
    line = '<rect x="10" y="10" width="10" height="10" fill="lime" stroke="red" {}/>'
    fill, ink = read(f'<g transform="scale(2 1)">{line.format("")}</g>').shapes
    assert (fill.fill, fill.stroke, fill.stroke_width) == ("#00ff00", None, 0)
    assert len(fill.paths[0].segments) == 4
    assert ink.fill == "#ff0000"
    assert area(ink) == pytest.approx(2 * (11**2 - 9**2))
    dashed = line.format('stroke-dasharray="3"')
    drawing = read(f'<g transform="scale(2 1)">{dashed}</g>')
    assert drawing.ignored == ("dashes",)
    assert [shape.dash for shape in drawing.shapes] == [(), ()]


@pytest.mark.parametrize(
    ("stretch", "even"), [(1.0, True), (1.0009, True), (1.0011, False), (0.9991, True)]
)
def test_a_line_is_uneven_from_a_thousandth_on(stretch: float, even: bool) -> None:
    (shape,) = read(
        f'<line transform="scale({stretch} 1)" x1="5" y1="5" x2="50" y2="50" stroke="red"/>'
    ).shapes
    assert (shape.stroke is not None) is even


def test_a_stretched_line_is_clipped_too() -> None:
    line = f'<path {FILL} d="M0 5h40" transform="scale(2 1)"/>'
    (shape,) = read(clip('<rect width="30" height="5"/>') + f'<g clip-path="url(#c)">{line}</g>'
                    ).shapes  # fmt: skip
    assert area(shape) == pytest.approx(30 * 1)
