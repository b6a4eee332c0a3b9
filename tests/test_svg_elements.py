"""Elements of SVG drawings: where each is drawn, in what size, and what it inherits (SVG 2)."""

from __future__ import annotations

import dataclasses
import math

import pytest

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.ink import Nib
from shapes.path import Arc, BBox, Cubic, Line, Path
from shapes.svg.drawing import Drawing, Shape
from shapes.svg.path import PathBuilder, read_path
from shapes.svg.read import read_svg
from tests.wild_svg import wrapped

BOX = '<rect width="9" height="9"/>'
WIDE = 'viewBox="0 0 80 60"'
"""100 along the diagonal: percentages of radii and lines count 70.71 (SVG 2, 8.9)."""


def read(content: str, attributes: str = WIDE) -> Drawing:
    return read_svg(wrapped(content, attributes), "my.svg")


def only(content: str, attributes: str = WIDE) -> Shape:
    (shape,) = read(content, attributes).shapes
    return shape


def count(content: str) -> int:
    """How many shapes are drawn beside one that always is."""
    return len(read(content + BOX).shapes) - 1


def sides(shape: Shape) -> tuple[float, float, float, float]:
    """Left, top, right and bottom as the file has them, y down in a view of 60."""
    boxes = [path.bbox for path in shape.paths]
    box = BBox.around(p for b in boxes for p in ((b.x0, b.y0), (b.x1, b.y1)))
    return (box.x0, 60 - box.y1, box.x1, 60 - box.y0)


def joints(path: Path) -> list[tuple[float, float]]:
    return [(round(x, 6), round(60 - y, 6)) for x, y in (s.start for s in path.segments)]


# --- basic shapes (SVG 2, 10) ---------------------------------------------------------------


def test_a_rectangle_is_drawn_from_its_upper_left_corner_to_the_right() -> None:
    """Its first point matters to dashes; 10.2."""
    (path,) = only('<rect x="10" y="20" width="30" height="12"/>').paths
    assert joints(path) == [(10, 20), (40, 20), (40, 32), (10, 32)]
    assert path.closed


def test_round_corners_of_a_rectangle() -> None:
    (path,) = only('<rect x="10" y="20" width="30" height="12" rx="2" ry="2"/>').paths
    corners = [(12, 20), (38, 20), (40, 22), (40, 30), (38, 32), (12, 32), (10, 30), (10, 22)]
    assert joints(path) == corners
    arcs = [s for s in path.segments if isinstance(s, Arc)]
    assert [arc.sweep_deg for arc in arcs] == pytest.approx([-90] * 4)
    assert path.length == pytest.approx(2 * (26 + 8) + 4 * math.pi)


@pytest.mark.parametrize(
    ("radii", "rx", "ry"),
    [
        ('rx="5" ry="2"', 5, 2),
        ('rx="5"', 5, 5),
        ('ry="5"', 5, 5),
        ('rx=" auto " ry="5"', 5, 5),
        # No more than half of either side; below 0 as if it were 0.
        ('rx="99" ry="3"', 15, 3),
        ('rx="3" ry="99"', 3, 6),
        ('rx="99"', 15, 6),
        ('rx="-1" ry="-1"', 0, 0),
        # Of the width and of the height.
        ('rx="5%" ry="5%"', 4, 3),
    ],
)
def test_how_round_corners_are(radii: str, rx: float, ry: float) -> None:
    (path,) = only(f'<rect x="10" y="20" width="30" height="12" {radii}/>').paths
    assert sides(only(f'<rect x="10" y="20" width="30" height="12" {radii}/>')) == (10, 20, 40, 32)
    straight = sorted(s.length() for s in path.segments if isinstance(s, Line))
    expected = [length for length in (12 - 2 * ry, 30 - 2 * rx) for _ in "ab" if length > 0]
    assert straight == pytest.approx(sorted(expected))


def test_circles_and_ellipses_start_at_the_right_and_go_down() -> None:
    """10.3 and 10.4."""
    (circle,) = only('<circle cx="30" cy="20" r="5"/>').paths
    assert joints(circle) == [(35, 20), (25, 20)]
    assert [s.sweep_deg for s in circle.segments if isinstance(s, Arc)] == pytest.approx([-180] * 2)
    assert circle.closed
    (ellipse,) = only('<ellipse cx="30" cy="20" rx="8" ry="4"/>').paths
    assert ellipse.start == pytest.approx((38, 40))
    assert sides(only('<ellipse cx="30" cy="20" rx="8" ry="4"/>')) == pytest.approx(
        (22, 16, 38, 24)
    )
    # Eight cubics, each an eighth of the turn: within 4 in a million of the ellipse.
    assert len(ellipse.segments) == 8
    for x, y in ellipse.flatten(0.001):
        assert math.hypot((x - 30) / 8, (y - 40) / 4) == pytest.approx(1.0, abs=4e-4)
    for segment in ellipse.segments:
        x, y = segment.point_at(0.5)
        assert math.hypot((x - 30) / 8, (y - 40) / 4) == pytest.approx(1.0, abs=5e-6)


@pytest.mark.parametrize(
    ("content", "box"),
    [
        ('<rect x="10%" y="10%" width="50%" height="50%"/>', (8, 6, 48, 36)),
        ('<circle cx="50%" cy="50%" r="10%"/>', (32.9289, 22.9289, 47.0711, 37.0711)),
        ('<ellipse cx="50%" cy="50%" rx="10%" ry="10%"/>', (32, 24, 48, 36)),
        ('<line x1="10%" y1="10%" x2="50%" y2="50%" stroke="red"/>', (8, 6, 40, 30)),
        ('<ellipse cx="30" cy="20" ry="4"/>', (26, 16, 34, 24)),
        ('<ellipse cx="30" cy="20" rx="auto" ry="4"/>', (26, 16, 34, 24)),
        # A nested sheet has a size of its own for percentages.
        ('<svg width="50%" height="50%"><rect width="50%" height="100%"/></svg>', (0, 0, 20, 30)),
        ('<svg width="40" height="40" viewBox="0 0 10 10"><rect width="50%" height="20%"/></svg>',
         (0, 0, 20, 8)),
        ('<svg x="10%" y="10%"><rect width="50%" height="50%"/></svg>', (8, 6, 48, 36)),
        ('<use href="#r" x="10%" y="10%"/><defs><rect id="r" width="9" height="9"/></defs>',
         (8, 6, 17, 15)),
    ],
)  # fmt: skip
def test_percentages(content: str, box: tuple[float, ...]) -> None:
    assert sides(only(content)) == pytest.approx(box, abs=1e-3)


@pytest.mark.parametrize(
    ("content", "drawn"),
    [
        ('<rect width="0" height="9"{}/>', 0), ('<rect width="9" height="0"{}/>', 0),
        ('<rect width="-1" height="9"{}/>', 0), ('<rect width="9" height="-1"{}/>', 0),
        ('<rect width=".5" height=".5"{}/>', 1),
        ('<circle r="0"{}/>', 0), ('<circle r="-1"{}/>', 0), ('<circle r=".5"{}/>', 1),
        ('<ellipse rx="5" ry="0"{}/>', 0), ('<ellipse rx="0" ry="5"{}/>', 0),
        ('<ellipse rx="-5" ry="-5"{}/>', 0), ('<ellipse rx=".5" ry=".4"{}/>', 1),
        ('<ellipse{}/>', 0), ('<line{}/>', 1), ('<line y2=".5"{}/>', 1),
        ('<polyline{}/>', 0), ('<polyline points="5 5"{}/>', 0), ('<polygon points="5 5"{}/>', 1),
        ('<polyline points="5 5 6 5"{}/>', 1), ('<path d="M5 5"{}/>', 0), ('<path{}/>', 0),
        ('<path d=" \n"{}/>', 0),
    ],
)  # fmt: skip
def test_shapes_without_extent(content: str, drawn: int) -> None:
    """10.2 to 10.7; with round ends, a closed path without length is a dot (13.5.4)."""
    assert count(content.format(' stroke="red" stroke-linecap="round"')) == drawn


def test_points_are_joined_in_turn() -> None:
    for tag, closed in (("polyline", False), ("polygon", True)):
        (path,) = only(f'<{tag} points="1,2 3,4 5,4 6 1"/>').paths
        assert joints(path) == [(1, 2), (3, 4), (5, 4), (6, 1)][: 3 + closed]
        assert path.closed is closed
        if not closed:
            assert path.end == (6, 59)


def test_a_line_has_no_inside() -> None:
    shape = only('<line x2="9" fill="lime" stroke="red"/>')
    assert (shape.fill, shape.stroke) == (None, "#ff0000")
    assert count('<line x2="9" fill="lime"/>') == 0


# --- the sheet ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("attributes", "mm", "view", "top"),
    [
        # The narrower way counts: the drawing is fitted into its sheet (SVG 2, 8.2).
        ('width="160mm" height="60mm" viewBox="0 0 80 60"', 1.0, (80, 60), 60),
        ('width="80mm" height="600mm" viewBox="0 0 80 60"', 1.0, (80, 60), 60),
        ('height="30mm" viewBox="0 0 80 60"', 0.5, (80, 60), 60),
        ('width="auto" height="30mm" viewBox="5 7 80 60"', 0.5, (80, 60), 67),
        ('width="0.5" height="0.25"', 25.4 / 96, (0.5, 0.25), 0.25),
        ('width="1in" height="2in"', 25.4 / 96, (96, 192), 192),
        ('height="96"', 25.4 / 96, None, 96),
        ('width="96" height="50%"', 25.4 / 96, None, 0),
        ('width="50%"', None, None, 0),
    ],
)
def test_the_size_of_a_unit(
    attributes: str, mm: float | None, view: tuple[float, float] | None, top: float
) -> None:
    drawing = read(BOX, attributes)
    assert drawing.mm_per_unit == (None if mm is None else pytest.approx(mm))
    assert drawing.view == (None if view is None else BBox(0, 0, *view))
    assert drawing.shapes[0].paths[0].bbox.y1 == pytest.approx(top)
    if view and mm:
        assert drawing.width_mm == pytest.approx(view[0] * mm)
        assert drawing.height_mm == pytest.approx(view[1] * mm)
    else:
        assert (drawing.width_mm, drawing.height_mm) == (None, None)


def test_a_share_of_an_unknown_size_is_nothing() -> None:
    for content in ('<rect width="9" height="50%"/>', '<rect width="50%" height="9"/>'):
        assert len(read(content + BOX, "").shapes) == 1
    line = '<line x2="9" stroke="red" stroke-width="10%"/>'
    assert len(read(line + BOX, "").shapes) == 1


@pytest.mark.parametrize("size", ['width="0"', 'height="0"', 'width="-1"', 'height="-2mm"'])
def test_a_sheet_without_size_is_refused(size: str) -> None:
    with pytest.raises(PictureError, match="has no size: its width or height is 0; save it again"):
        read(BOX, f'{size} viewBox="0 0 9 9"')


# --- what is in what ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "box"),
    [
        # The size of a symbol: as its use says, else as it says itself, else all of the sheet.
        ('<symbol id="s" viewBox="0 0 10 10" width="20" height="20"><rect width="10" height="5"/>'
         '</symbol><use href="#s" x="3" y="4"/>', (3, 4, 23, 14)),
        ('<symbol id="s" viewBox="0 0 10 10" width="20" height="20"><rect width="10" height="5"/>'
         '</symbol><use href="#s" width="40" height="40"/>', (0, 0, 40, 20)),
        ('<symbol id="s" viewBox="0 0 8 6"><rect width="4" height="3"/></symbol>'
         '<use href="#s"/>', (0, 0, 40, 30)),
        ('<symbol id="s"><rect width="4" height="3"/></symbol><use href="#s" width="9"/>',
         (0, 0, 4, 3)),
        ('<defs><svg id="s" viewBox="0 0 8 6"><rect width="4" height="3"/></svg></defs>'
         '<use href="#s" transform="scale(.5)"/>', (0, 0, 20, 15)),
        ('<svg width="40" height="20" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMid">'
         '<rect width="10" height="10"/></svg>', (20, 0, 40, 20)),
        # Another name of the address, blanks round it, and the first of two alike.
        ('<defs><rect id="r" width="9" height="9"/><rect id="r" width="5" height="5"/></defs>'
         '<use xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href=" #r "/>', (0, 0, 9, 9)),
        ('<defs><g id="g"><rect width="9" height="9" transform="translate(1 2)"/></g></defs>'
         '<use href="#g" transform="scale(2)" x="3" y="4"/>', (8, 12, 26, 30)),
        ('<g transform="translate(5 6)"><g transform="scale(2)"><rect width="4" height="3"/></g>'
         '</g>', (5, 6, 13, 12)),
    ],
)  # fmt: skip
def test_where_parts_are_shown(content: str, box: tuple[float, ...]) -> None:
    assert sides(only(content)) == pytest.approx(box)


@pytest.mark.parametrize(
    ("size", "drawn"),
    [
        ('width="0"', 0), ('height="0"', 0), ('width="-1" height="5"', 0), ('height="-1%"', 0),
        ('width=".5"', 1), ('height=".5"', 1), ('width="1e-3%" height="9"', 1), ("", 1),
    ],
)  # fmt: skip
def test_a_sheet_or_symbol_of_no_size_hides_what_is_in_it(size: str, drawn: int) -> None:
    """SVG 1.1, 5.1.2 (W3C; from memory)."""
    for view in ("", 'viewBox="0 0 8 6"'):
        assert count(f"<svg {size} {view}>{BOX}</svg>") == drawn
        assert count(f'<symbol id="s" {view}>{BOX}</symbol><use href="#s" {size}/>') == drawn


@pytest.mark.parametrize(
    ("size", "wide"),
    [("", 9), ('width="20"', 9), ('height=".5"', 9), ('width="1" height="1"', 0.9)],
)
def test_a_nested_sheet_in_one_of_unknown_size(size: str, wide: float) -> None:
    """All of an unknown size is as the sheet says itself, unit for unit."""
    shape = only(f'<svg {size} viewBox="0 0 10 10">{BOX}</svg>', "")
    assert shape.paths[0].bbox.width == pytest.approx(wide)
    assert shape.paths[0].bbox.height == pytest.approx(wide)


def test_only_the_first_of_a_switch_is_drawn_whatever_it_is() -> None:
    assert count("<switch><text/><rect width='5' height='5'/></switch>") == 0
    assert count(f"<switch><g>{BOX}{BOX}</g>{BOX}</switch>") == 2
    assert count("<switch/>") == 0


def test_a_use_without_a_target_is_told() -> None:
    for use in ("<use/>", '<use href=""/>', '<use href="#"/>', '<use href="#x"/>'):
        assert read(use + BOX).ignored == ("use",)
    assert read(f'{BOX}<use href="#g" display="none"/><g id="g"/>').ignored == ()


@pytest.mark.parametrize(("letters", "told"), [(24, 24), (25, 24)])
def test_a_use_of_itself_is_named(letters: int, told: int) -> None:
    name = "a" * letters
    with pytest.raises(PictureError) as caught:
        read(f'<g id="{name}"><use href="#{name}"/></g>')
    assert str(caught.value) == (
        f"my.svg: has a <use> that refers to itself ('#{'a' * told}'); "
        "save it as plain SVG without clones"
    )


def test_only_outermost_groups_are_groups_of_the_file() -> None:
    drawing = read(
        f'<g id="one">{BOX}<g id="in">{BOX}</g></g><g>{BOX}</g><a><g id="of-a-link">{BOX}</g></a>'
        f'<use href="#two"/><g id="two">{BOX}</g>'
    )
    assert drawing.groups == ("one", "two")
    assert [shape.group for shape in drawing.shapes] == ["one", "one", "", "", "", "two"]


def test_groundwork_draws_nothing_and_is_not_told() -> None:
    names = (
        "defs", "symbol", "title", "desc", "metadata", "style", "view", "linearGradient",
        "radialGradient", "pattern", "solidcolor", "clipPath", "mask", "filter", "marker",
    )  # fmt: skip
    drawing = read("".join(f"<{name}/>" for name in names) + BOX + "<text/><animate/><text/>")
    assert drawing.ignored == ("animate", "text")
    assert len(drawing.shapes) == 1


@pytest.mark.parametrize("name", ["mask", "filter", "marker-start", "marker-mid", "marker-end"])
def test_effects_are_told(name: str) -> None:
    assert read(f'<g {name}="url(#x)">{BOX}</g>').ignored == (name,)
    assert read(f'<g style="{name}:url(#x)">{BOX}</g>').ignored == (name,)
    assert read(f'<g {name}="blur(2px)">{BOX}</g>').ignored == (name,)
    assert read(f'<g {name}="none">{BOX}</g>').ignored == ()
    assert read(f'{BOX}<g display="none" {name}="url(#x)"/>').ignored == ()


@pytest.mark.parametrize(
    ("attributes", "drawn"),
    [
        ('display="none"', 0), ('display="inline"', 1), ('display="table"', 1),
        ('opacity="0"', 0), ('opacity="0.01"', 1),
        ('visibility="collapse"', 0), ('visibility="visible"', 1), ('fill-opacity="0"', 0),
        ('fill="none" stroke="red" stroke-opacity="0"', 0),
        ('fill="none" stroke="red" stroke-width="-1"', 0),
        ('fill="none" stroke="red" stroke-width="0"', 0),
        ('fill="none" stroke="red" stroke-width="0.1"', 1),
        ('transform="scale(1 0)"', 0), ('transform="matrix(1 1 1 1 0 0)"', 0),
        ('transform="scale(1e-5)"', 1), ('transform="scale(9e-7)"', 0),
        ('transform="scale(-1 1)"', 1),
    ],
)  # fmt: skip
def test_what_is_seen(attributes: str, drawn: int) -> None:
    assert count(f'<rect width="9" height="9" {attributes}/>') == drawn


@pytest.mark.parametrize(
    ("content", "fill"),
    [
        (f'<g fill="lime"><g fill="">{BOX}</g></g>', "#00ff00"),
        ('<g fill="lime"><rect width="9" height="9" style="fill: inherit"/></g>', "#00ff00"),
        ('<g fill="lime"><rect width="9" height="9" fill=" RED "/></g>', "#ff0000"),
        (f'<g fill="red"><g style="fill:lime" fill="blue">{BOX}</g></g>', "#00ff00"),
        # A colour that cannot be read is as none was given (told as "colour").
        (f'<g fill="lime"><g fill="reddish">{BOX}</g></g>', "#000000"),
    ],
)
def test_what_is_inherited(content: str, fill: str) -> None:
    assert only(content).fill == fill


def test_all_of_how_a_line_is_drawn_is_inherited() -> None:
    shape = only(
        '<g stroke="red" stroke-width="10%" stroke-linecap="round" stroke-linejoin="round" '
        'stroke-miterlimit="0.5" stroke-dasharray="20%" fill-rule="evenodd" '
        f'transform="scale(2)">{BOX}</g>'
    )
    diagonal = math.sqrt(80**2 + 60**2) / math.sqrt(2)
    assert shape.stroke_width == pytest.approx(2 * diagonal / 10)
    assert shape.dash == pytest.approx((2 * diagonal / 5,) * 2)
    # A miter limit below 1 means no spikes at all (13.5.5).
    assert (shape.cap, shape.join, shape.miter_limit, shape.even_odd) == ("round", "round", 1, True)
    assert only('<line x2="9" stroke="red"/>').nib == Nib(1.0, "butt", "miter", 4.0)
    assert not only(BOX).even_odd
    assert only('<rect width="9" height="9" stroke-dasharray="3"/>').dash == ()


def test_a_shape_is_what_it_is() -> None:
    """Without more it has a thin, square, mitred line, as SVG has it, and cannot be changed."""
    path = Path.line((0.0, 0.0), (9.0, 0.0))
    shape = Shape((path,), None, "#000000", 2.0)
    assert shape.nib == Nib(2.0, "butt", "miter", 4.0)
    assert not shape.even_odd
    with pytest.raises(dataclasses.FrozenInstanceError):
        shape.stroke_width = 3.0  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        read(BOX).mm_per_unit = 1.0  # type: ignore[misc]


# --- paths ----------------------------------------------------------------------------------


def ends(data: str) -> list[tuple[float, float]]:
    return [
        (round(s.end[0], 9), round(s.end[1], 9))
        for path in read_path(data, Affine())
        for s in path.segments
    ]


@pytest.mark.parametrize(
    ("data", "found"),
    [
        ("M1 1z m2 2 h1", [(1, 1), (4, 3)]),
        ("M1 2h3z l1 1z m5 5 l1 0", [(4, 2), (1, 2), (2, 3), (1, 2), (7, 7)]),
        ("M1 2H3 5V7 9", [(3, 2), (5, 2), (5, 7), (5, 9)]),
        ("M1 2h3 5v7 9", [(4, 2), (9, 2), (9, 9), (9, 18)]),
        ("M0 0M5 5l1 1M9 9l1 1", [(6, 6), (10, 10)]),
        ("M1 1a2 2 0 0 1 4 0 2 2 0 0 1 -4 0", [(5, 1), (1, 1)]),
    ],
)
def test_where_path_commands_end(data: str, found: list[tuple[float, float]]) -> None:
    assert ends(data) == found


@pytest.mark.parametrize(
    ("data", "c1", "c2"),
    [
        # S and T reflect the point before, T again and again (SVG 2, 9.3.6 and 9.3.7).
        ("M0 0c1 2 3 4 5 0s3 3 5 0", (7, -4), (8, 3)),
        ("M1 1s1 2 3 4", (1, 1), (2, 3)),
        ("M0 0q3 6 6 0t6 0", (8, -4), (10, -4)),
        ("M0 0q3 6 6 0t6 0 6 0", (14, 4), (16, 4)),
        ("M0 0q3 6 6 0zt6 0", (0, 0), (2, 0)),
        ("M0 0c1 2 3 4 5 0l1 1s3 3 5 0", (6, 1), (9, 4)),
        ("M0 0c1 2 3 4 5 0t3 3", (5, 0), (6, 1)),
    ],
)
def test_control_points(data: str, c1: tuple[float, float], c2: tuple[float, float]) -> None:
    segment = read_path(data, Affine())[-1].segments[-1]
    assert isinstance(segment, Cubic)
    assert segment.c1 == pytest.approx(c1)
    assert segment.c2 == pytest.approx(c2)


@pytest.mark.parametrize(
    ("flags", "center", "sweep_deg"),
    [("0 1", (-1, 0), 90), ("1 0", (-1, 0), -270), ("0 0", (3, 4), -90), ("1 1", (3, 4), 270)],
)
def test_which_of_four_arcs(flags: str, center: tuple[float, float], sweep_deg: float) -> None:
    """From (3, 0) to (-1, 4) with a radius of 4: two circles, two ways round (SVG 2, 9.3.8)."""
    (path,) = read_path(f"M3 0A4 4 0 {flags} -1 4", Affine())
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert arc.center == pytest.approx(center, abs=1e-9)
    assert arc.radius == pytest.approx(4)
    assert arc.sweep_deg == pytest.approx(sweep_deg)


@pytest.mark.parametrize(
    ("turn_deg", "cubics"), [(45, 1), (46, 2), (90, 2), (91, 3), (180, 4), (270, 6), (300, 7)]
)
def test_a_stretched_arc_is_one_cubic_for_each_eighth_of_a_turn(
    turn_deg: float, cubics: int
) -> None:
    angle = math.radians(turn_deg)
    data = (
        f"M10 0A10 10 0 {int(turn_deg > 180)} 1 {10 * math.cos(angle):.12g} "
        f"{10 * math.sin(angle):.12g}"
    )
    (path,) = read_path(data, Affine.scaling(2.0, 1.0))
    assert len(path.segments) == cubics
    for segment in path.segments:
        for t in (0.0, 0.25, 0.5, 0.75, 1.0):
            x, y = segment.point_at(t)
            assert math.hypot(x / 20, y / 10) == pytest.approx(1.0, abs=5e-6)


def test_a_stretched_arc_ends_exactly_where_it_is_told_to() -> None:
    """So that what goes on from there, or closes, has no gap of a millionth."""
    (path,) = read_path("M.1 0A10 7 20 0 1 -9.7 3.3", Affine.scaling(3.0, 0.7))
    assert path.segments[-1].end == Affine.scaling(3.0, 0.7).apply((-9.7, 3.3))
    assert len(path.segments) > 1


def test_a_turned_ellipse_leans_the_way_it_is_turned() -> None:
    """Semi-axes 5 and 3, turned by 30 degrees (y down): half its box by the closed form."""
    (path,) = read_path("M0 0A5 3 30 0 1 8.6602540378 5z", Affine())
    box = BBox.around(p for s in path.segments for p in s.extremes())
    wide = math.sqrt((5 * math.cos(math.pi / 6)) ** 2 + (3 * math.sin(math.pi / 6)) ** 2)
    high = math.sqrt((5 * math.sin(math.pi / 6)) ** 2 + (3 * math.cos(math.pi / 6)) ** 2)
    assert box.x1 == pytest.approx(4.3301270189 + wide, abs=1e-4)
    assert box.y0 == pytest.approx(2.5 - high, abs=1e-4)
    (same,) = read_path("M0 0A5 3 390 0 1 8.6602540378 5z", Affine())
    assert same.segments[0].point_at(0.5) == pytest.approx(path.segments[0].point_at(0.5))


def test_negative_radii_count_as_positive() -> None:
    """SVG 2, 9.5.1."""
    assert read_path("M0 0A-5 -5 0 0 1 10 0", Affine()) == read_path(
        "M0 0A5 5 0 0 1 10 0", Affine()
    )


def test_an_arc_without_length_or_radius_is_a_line_or_nothing() -> None:
    for data in ("M0 0A5 0 0 0 1 9 0", "M0 0A0 5 0 0 1 9 0", "M0 0A0 0 0 0 1 9 0"):
        assert read_path(data, Affine())[0].segments == (Line((0, 0), (9, 0)),)
    pen = PathBuilder(Affine())
    pen.move_to(5, 5)
    pen.arc_to(3, 3, 0, True, True, 5, 5)
    pen.line_to(6, 5)
    assert pen.paths()[0].segments == (Line((5, 5), (6, 5)),)
