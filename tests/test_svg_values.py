"""The small languages in attributes of SVG drawings: lengths, colours, transforms, styles."""

from __future__ import annotations

import pytest

from shapes.affine import Affine, Point
from shapes.errors import PictureError
from shapes.svg.paint import read_cap, read_dash, read_join
from shapes.svg.path import shorten
from shapes.svg.read import read_svg
from shapes.svg.values import (
    fit_viewbox,
    is_zero,
    read_colour,
    read_declarations,
    read_length,
    read_transform,
    read_viewbox,
)
from tests.wild_svg import wrapped


@pytest.mark.parametrize(
    ("text", "px"),
    [
        # CSS Values 4, 6.2: 96 px, 72 pt, 6 pc, 25.4 mm and 101.6 Q to the inch.
        ("3in", 288), ("6pt", 8), ("3pc", 48), ("5mm", 18.897638), ("2cm", 75.590551),
        ("8q", 7.559055), ("2rem", 32), ("2ex", 16), ("1.5EM", 24), ("10%", 8), ("-25%", -20),
        ("2.", 2), ("+.25", 0.25), ("1e-1px", 0.1), ("5E+1", 50), ("\n7 px\t", 7),
    ],
)  # fmt: skip
def test_units(text: str, px: float) -> None:
    assert read_length(text, 80.0) == pytest.approx(px, rel=1e-6)


@pytest.mark.parametrize("text", ["", "px", "1 2", "3 furlong", "1e", ".", "--1", "1%%", "٣"])
def test_what_is_no_length(text: str) -> None:
    with pytest.raises(PictureError, match=f"^has a length that cannot be read: '{text}'; "):
        read_length(text, 80.0)


def test_a_length_is_finite() -> None:
    for text, full in (("1e308in", 1.0), ("1e400", 1.0), ("200%", 1e308)):
        with pytest.raises(PictureError, match=r"^has a number that is not finite; "):
            read_length(text, full)


@pytest.mark.parametrize(
    ("text", "colour"),
    [
        # CSS Color 4, 5.2: three, four, six or eight digits.
        ("#fff0", "none"), ("#ffff", "#ffffff"), ("#11223300", "none"), ("#11223301", "#112233"),
        ("#12345", None), ("#1234567", None), ("#123456789", None), ("#ggg", None), ("123", None),
        # 4.2 and 5.1: numbers of 255 or percentages, held within the range.
        ("RGB(1 2 3)", "#010203"), ("rgb(254.5 0.4 0.5)", "#ff0001"), ("rgb(120% -9% 20%)",
         "#ff0033"), ("rgba(1,2,3,1%)", "#010203"), ("rgb(1 2 3 / 0%)", "none"),
        ("rgb(1 2 3 / 0.001)", "#010203"), ("rgb(1 2 3 / -1)", "none"), ("rgb(1 2 3 / x)", None),
        ("rgb(1 2 3 4 5)", None), ("rgb()", None), ("rgb (1 2 3)", None), ("rgb(inf 0 0)", None),
        # 7: hue as an angle round the circle, saturation, lightness.
        ("hsl(0 100% 50%)", "#ff0000"), ("hsl(60deg 100% 50%)", "#ffff00"),
        ("hsl(-120 100% 50%)", "#0000ff"), ("hsl(480 100% 50%)", "#00ff00"),
        ("hsl(210 50% 40%)", "#336699"), ("hsl(210 50 40)", "#336699"),
        ("hsl(30 0% 60%)", "#999999"), ("hsla(0,100%,25%,0)", "none"), ("hsl(x 1% 1%)", None),
        (" None ", "none"), ("TRANSPARENT", "none"), (" Tan", "#d2b48c"),
    ],
)  # fmt: skip
def test_colours_by_number(text: str, colour: str | None) -> None:
    assert read_colour(text) == colour


@pytest.mark.parametrize(
    ("text", "zero"),
    [("0", True), (" 0.0 ", True), ("0%", True), ("-1", True), ("1", False), ("0.01", False),
     ("1%", False), ("x", False), ("", False), ("nan", False), ("-inf", False)],
)  # fmt: skip
def test_opacities_that_hide(text: str, zero: bool) -> None:
    assert is_zero(text) is zero


# --- transforms (CSS Transforms 1, 14) ------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "image"),
    [
        ("translate(5)", (7, 3)),
        ("translate(5,-1)", (7, 2)),
        ("scale(2)", (4, 6)),
        ("scale(2 3)", (4, 9)),
        ("rotate(90)", (-3, 2)),
        ("rotate(90 1 1)", (-1, 2)),
        ("rotate(180 4 5)", (6, 7)),
        ("skewX(45)", (5, 3)),
        ("skewY(45)", (2, 5)),
        ("matrix(1 2 3 4 5 6)", (16, 22)),
        # The last one of a list is done first.
        ("translate(10 0)scale(2)", (14, 6)),
        (" , scale(2) ,, translate(10 0) , ", (24, 6)),
    ],
)
def test_where_a_transform_takes_the_point_2_3(text: str, image: Point) -> None:
    assert read_transform(text).apply((2.0, 3.0)) == pytest.approx(image)


@pytest.mark.parametrize(
    "text",
    ["matrix(1 2 3 4 5)", "matrix(1 2 3 4 5 6 7)", "translate()", "translate(1 2 3)", "scale()",
     "scale(1 2 3)", "rotate()", "rotate(1 2)", "rotate(1 2 3 4)", "skewX()", "skewX(1 2)",
     "skewY()", "skewY(1 2)", "skewx(1)", "Scale(2)", "scale(2)(3)", "scale(2) 1"],
)  # fmt: skip
def test_transforms_that_are_none(text: str) -> None:
    with pytest.raises(PictureError, match=r"^has a transform that cannot be read: "):
        read_transform(text)


def test_messages_quote_at_most_24_characters() -> None:
    assert shorten("a\n b" + "c" * 20) == "a b" + "c" * 20
    assert shorten("a" * 24) == "a" * 24
    assert shorten("a" * 25) == "a" * 23 + "…"


# --- view boxes (SVG 2, 8.2 and 8.6) --------------------------------------------------------

TALL, WIDE = (10.0, 20.0, 30.0, 60.0), (10.0, 20.0, 60.0, 30.0)


@pytest.mark.parametrize(
    ("box", "ratio", "corners"),
    [
        (TALL, "", (25, 0, 75, 100)),
        (TALL, "xMidYMid meet", (25, 0, 75, 100)),
        (TALL, "xMinYMax", (0, 0, 50, 100)),
        (TALL, "xMaxYMin", (50, 0, 100, 100)),
        (TALL, "none", (0, 0, 100, 100)),
        (TALL, "none slice", (0, 0, 100, 100)),
        (TALL, "xMinYMin slice", (0, 0, 100, 200)),
        (TALL, "xMidYMid slice", (0, -50, 100, 150)),
        (TALL, "xMidYMax slice", (0, -100, 100, 100)),
        (WIDE, "xMaxYMin", (0, 0, 100, 50)),
        (WIDE, "", (0, 25, 100, 75)),
        (WIDE, "xMinYMax meet", (0, 50, 100, 100)),
        (WIDE, "xMaxYMid slice", (-100, 0, 100, 100)),
    ],
)
def test_a_view_box_in_a_square_of_100(
    box: tuple[float, float, float, float], ratio: str, corners: tuple[float, ...]
) -> None:
    fitted = fit_viewbox(box, 100.0, 100.0, ratio)
    found = (*fitted.apply(box[:2]), *fitted.apply((box[0] + box[2], box[1] + box[3])))
    assert found == pytest.approx(corners)


def test_a_view_box_is_read_in_its_order() -> None:
    assert read_viewbox(" -1,2 .5 0.25\n") == (-1.0, 2.0, 0.5, 0.25)
    with pytest.raises(PictureError):
        read_viewbox("0 0 10 0")


# --- styles, dashes, paint ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", {}),
        ("fill", {}),
        (" FILL : Red ; fill-rule:evenodd ", {"fill": "Red", "fill-rule": "evenodd"}),
        ("fill:red;fill:lime", {"fill": "lime"}),
        ("fill:red ! important", {"fill": "red"}),
        ("marker-mid:url(a:b)", {"marker-mid": "url(a:b)"}),
        ("/* fill:red; */stroke:/**/blue", {"stroke": "blue"}),
        ("fill:red;/* stroke:blue", {"fill": "red"}),
        ("fill:r/**/ed", {"fill": "r ed"}),
    ],
)
def test_style_attributes(text: str, found: dict[str, str]) -> None:
    assert read_declarations(text) == found


@pytest.mark.parametrize(
    ("text", "scale", "dash"),
    [
        ("none", 1.0, ()),
        ("4", 1.0, (4, 4)),
        ("4,2", 1.5, (6, 3)),
        ("1 2 3", 1.0, (1, 2, 3, 1, 2, 3)),
        ("10% 1px", 2.0, (10, 2)),
        # SVG 2, 13.5.6: dots of no length are dashes, all 0 or any below 0 make the line solid.
        ("0 5", 1.0, (0, 5)),
        ("0 0", 1.0, ()),
        ("5 -0.1", 1.0, ()),
        # Shorter than a thousandth of a unit, all together: nobody could see them.
        ("0.0005 0.0005", 1.0, (0.0005, 0.0005)),
        ("0.0005 0.0004", 1.0, ()),
        ("0.0005 0.0004", 1.2, (0.0006, 0.00048)),
    ],
)
def test_dashes(text: str, scale: float, dash: tuple[float, ...]) -> None:
    assert read_dash(text, 50.0, scale) == pytest.approx(dash)


def test_ends_and_corners_that_are_unknown_are_as_without() -> None:
    assert [read_cap(text) for text in ("butt", "round", "square", "?")] == [
        "butt", "round", "square", "butt",
    ]  # fmt: skip
    assert [read_join(text) for text in ("miter", "round", "bevel", "arcs")] == [
        "miter", "round", "bevel", "miter",
    ]  # fmt: skip


def fill_of(paint: str, content: str) -> str | None:
    (shape,) = read_svg(
        wrapped(f'{content}<path stroke="red" fill="{paint}" d="M0 0h9v9z"/>'), "my.svg"
    ).shapes
    return shape.fill


@pytest.mark.parametrize(
    ("paint", "fill"),
    [
        ("url(#gone)", None),
        ("url(#gone) none", None),
        ("URL('#gone')  #0A0", "#00aa00"),
        ("url(#gone) currentColor", "#000000"),
        ("url(#p) red", "#808080"),
        ("currentcolor", "#000000"),
    ],
)
def test_paint_servers_that_are_missing_or_empty(paint: str, fill: str | None) -> None:
    assert fill_of(paint, '<linearGradient id="p"/>') == fill


@pytest.mark.parametrize(
    ("stops", "fill"),
    [
        ('<stop stop-color="#102030"/>', "#102030"),
        ('<stop/><stop stop-color="#030303"/><stop stop-color="#060606"/>', "#030303"),
        ('<stop stop-color="#ffff00"/><stop stop-color="white"/><stop stop-color="#000003"/>',
         "#aaaa56"),
        # Left out: what is no stop, what has no colour that can be read, what cannot be seen.
        ('<rect stop-color="#fff"/><stop stop-color="reddish"/><stop stop-color="#102030"/>',
         "#102030"),
        ('<stop stop-color="#fff" style="stop-opacity:0%"/><stop stop-color="#102030"/>',
         "#102030"),
        ('<stop stop-color="transparent"/><stop stop-color="#102030"/>', "#102030"),
        ('<stop stop-color="transparent"/>', None),
        ('<stop stop-color="reddish"/>', "#808080"),
    ],
)  # fmt: skip
def test_the_mean_of_the_stops_that_are_seen(stops: str, fill: str | None) -> None:
    assert fill_of("url(#p)", f'<linearGradient id="p">{stops}</linearGradient>') == fill


@pytest.mark.parametrize(("links", "fill"), [(1, "#102030"), (7, "#102030"), (8, "#808080")])
def test_stops_are_taken_over_through_seven_other_gradients(links: int, fill: str) -> None:
    """So that a chain of thousands takes no time; drawing programs use one link or two."""
    chain = "".join(
        f'<linearGradient id="{"p" if i == 0 else i}" href=" #{i + 1} "/>' for i in range(links)
    )
    last = f'<radialGradient id="{links}"><stop stop-color="#102030"/></radialGradient>'
    assert fill_of("url(#p)", chain + last) == fill


def test_a_gradient_with_stops_takes_none_from_another() -> None:
    gradients = (
        '<linearGradient id="p" href="#q"><stop stop-color="lime"/></linearGradient>'
        '<linearGradient id="q"><stop stop-color="blue"/></linearGradient>'
    )
    assert fill_of("url(#p)", gradients) == "#00ff00"


@pytest.mark.parametrize(
    ("data", "drawn"),
    [
        ("M5 5L5 5", False), ("M5 5C5 5 5 5 5 5", False), ("M5 5A3 3 0 0 1 5 5", False),
        ("M5 5C1 1 1 1 1 1", True), ("M5 5C9 9 9 9 9 9", True), ("M5 5C4 5 5 5 5 5", True),
        ("M5 5C5 5 5 4 5 5", True), ("M5 5C4 5 6 5 5 5", True), ("M5 5C6 5 6 5 5 5", True),
        ("M5 5C6 5 5 5 5 5", True),
        ("M5 5C5 5 5 6 5 5", True), ("M5 5L5 5.01", True),
        ("M5 5C5 5 5 5 6 5", True), ("M5 5L5 5L6 5L5 5", True), ("M5 5A3 3 0 0 1 5 6", True),
    ],
)  # fmt: skip
def test_what_has_no_length_is_seen_by_its_caps_only(data: str, drawn: bool) -> None:
    """SVG 2, 13.5.4. Beside a triangle, as a drawing needs something to draw."""
    for cap, seen in (("butt", drawn), ("round", True)):
        path = f'<path stroke="red" fill="none" stroke-linecap="{cap}" d="{data}"/>'
        drawing = read_svg(wrapped(path + '<path d="M0 0h9v9z"/>'), "my.svg")
        assert len(drawing.shapes) == 1 + seen


def test_the_transform_of_nothing_leaves_all_as_it_is() -> None:
    for text in ("", " \n,", "scale(1)"):
        assert read_transform(text) == Affine()
