"""What SVG drawings are refused for and what they may still hold: each bound from both sides."""

from __future__ import annotations

import pytest

from shapes.errors import PictureError
from shapes.svg.drawing import Drawing
from shapes.svg.guard import MAX_BYTES
from shapes.svg.path import SegmentBudget
from shapes.svg.read import read_svg
from tests.wild_svg import wrapped

TRIANGLE = '<path d="M0 0h9v9z"/>'
BOX = '<rect width="9" height="9"/>'


def read(content: str, attributes: str = 'viewBox="0 0 100 100"') -> Drawing:
    return read_svg(wrapped(content, attributes), "my.svg")


def refused(content: str) -> str:
    with pytest.raises(PictureError) as caught:
        read(content)
    return str(caught.value).removeprefix("my.svg: ")


# --- how much -------------------------------------------------------------------------------


def padded(size: int) -> bytes:
    data = wrapped(BOX)
    return data + b" " * (size - len(data))


def test_a_file_may_have_five_million_bytes() -> None:
    assert MAX_BYTES == 5_000_000
    assert len(read_svg(padded(5_000_000), "my.svg").shapes) == 1
    with pytest.raises(PictureError, match=r"is larger than 5 MB; simplify the drawing"):
        read_svg(padded(5_000_001), "my.svg")


def test_ten_thousand_elements_with_the_outermost() -> None:
    assert len(read("<g/>" * 9_998 + BOX).shapes) == 1
    assert refused("<g/>" * 9_999 + BOX) == "draws more than 10000 elements; simplify the drawing"


def test_what_is_used_counts_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a use, two elements: itself and what it shows; what draws nothing is not drawn."""
    monkeypatch.setattr("shapes.svg.read.MAX_ELEMENTS", 12)
    used = '<defs><g id="a"/></defs>' + '<use href="#a"/>' * 5
    assert len(read(used + BOX).shapes) == 1
    assert refused(used + BOX + "<g/>") == "draws more than 10000 elements; simplify the drawing"


@pytest.mark.parametrize("what", ["attributes", "classes"])
def test_two_hundred_attributes_or_classes(what: str) -> None:
    def group(count: int) -> str:
        if what == "classes":
            return f'<g class="{" ".join(f"a{i}" for i in range(count))}">{BOX}</g>'
        return "<g " + " ".join(f'a{i}=""' for i in range(count)) + f">{BOX}</g>"

    assert len(read(group(200)).shapes) == 1
    assert refused(group(201)) == (
        "has an element with more than 200 attributes or classes; save it as plain SVG"
    )


def test_sixty_four_levels_with_the_outermost() -> None:
    assert len(read("<g>" * 63 + BOX + "</g>" * 63).shapes) == 1
    assert refused("<g>" * 64 + BOX + "</g>" * 64) == (
        "is nested more than 64 levels deep; ungroup the drawing"
    )


def test_a_hundred_thousand_lines() -> None:
    budget = SegmentBudget()
    for _ in range(100_000):
        budget.spend()
    with pytest.raises(PictureError, match=r"^has more than 100000 lines and curves; simplify"):
        budget.spend()


def test_all_shapes_of_a_drawing_share_one_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rectangle is four lines; corners that are round add four arcs."""
    monkeypatch.setattr("shapes.svg.read.SegmentBudget", lambda: SegmentBudget(12))
    whole = BOX + '<rect width="9" height="9" rx="2"/>'
    assert len(read(whole).shapes) == 2
    assert refused(whole + '<line x2="5" stroke="red"/>') == (
        "has more than 12 lines and curves; simplify the drawing"
    )


def test_twenty_million_characters_of_geometry() -> None:
    """Five hundred times forty thousand blanks; points and transforms count too."""
    drawn = f'<path id="a" d="{" " * 40_000}"/>' + '<use href="#a"/>' * 499
    assert len(read(drawn + BOX).shapes) == 1
    for more in ('<path d=" "/>', '<polygon points=" "/>', '<g transform=" "/>'):
        assert refused(drawn + more) == "draws the same parts too often; simplify the drawing"


@pytest.mark.parametrize(
    ("inside", "beyond", "message"),
    [
        ('<path d="M0 0h1000000"{}/>', '<path d="M0 0h1000001"{}/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path d="M0 0v-1000000"{}/>', '<path d="M0 0v-1000001"{}/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path transform="scale(2)" d="M0 0h499999v9"{}/>',
         '<path transform="scale(2)" d="M0 0h500001v9"{}/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path transform="scale(.5)" d="M0 0h1000000"{}/>',
         '<path transform="scale(.5)" d="M0 0h1000001"{}/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path d="M0 0A1000000 9 0 0 1 9 9"{}/>', '<path d="M0 0A9 1000001 0 0 1 9 9"{}/>',
         "has a coordinate beyond 1000000 units; scale the drawing down"),
        ('<path stroke-width="1000000" d="M0 0h9"{}/>',
         '<path stroke-width="1000001" d="M0 0h9"{}/>',
         "has a line that is too wide; make it narrower"),
        ('<g transform="scale(1e9)"><path transform="scale(1e-9)" d="M0 0h9"{}/></g>',
         '<g transform="scale(1.01e9)"><path transform="scale(1e-9)" d="M0 0h9"{}/></g>',
         "has a transform that is too large; scale the drawing down"),
        ('<g transform="translate(0 -1e9)"><path transform="translate(0 1e9)" d="M0 0h9"{}/></g>',
         '<g transform="translate(0 -1.01e9)"><path d="M0 0h9"{}/></g>',
         "has a transform that is too large; scale the drawing down"),
    ],
)  # fmt: skip
def test_how_large(inside: str, beyond: str, message: str) -> None:
    assert len(read(inside.format(' stroke="red"'), 'viewBox="0 -100 100 100"').shapes) == 1
    assert refused(beyond.format(' stroke="red"')) == message


# --- style rules ----------------------------------------------------------------------------


def test_a_thousand_selectors() -> None:
    """Those of a list count one by one."""
    rules = "a,b{}" * 499 + "a{fill:red}"
    assert len(read(f"<style>{rules}path{{fill:lime}}</style>{TRIANGLE}").shapes) == 1
    assert refused(f"<style>{rules}c,d{{}}</style>{TRIANGLE}") == (
        "has more than 1000 style rules; save it with plain attributes"
    )


@pytest.mark.parametrize(
    ("css", "told"),
    [
        ('@charset "utf-8"; @namespace svg url(#x); @font-face{src:url(#f)} @page{margin:0} '
         "@font-feature-values F{} /* note */ <!-- -->", False),
        ("@media print{path{fill:red}}", True),
        ("@FONT-FACE{}", False),
        ("path{", False),
        ("path", True),
        ("path:first-child{}", True),
        ("rect ~ path{}", True),
        ("path[{}", True),
        ("pa/**/th{}", True),
        ("path,{}", True),
        ("path{fill red; color}", False),
    ],
)  # fmt: skip
def test_rules_that_are_left_out_are_told(css: str, told: bool) -> None:
    drawing = read(f"<style><![CDATA[{css}]]></style>{TRIANGLE}")
    assert drawing.ignored == (("style rule",) if told else ())
    assert drawing.shapes[0].fill == "#000000"


@pytest.mark.parametrize(
    ("css", "attributes", "fill"),
    [
        # What is not selected by a rule's neighbour still is by its own.
        ("q:hover,path{fill:lime}", "", "#00ff00"),
        ("q:hover{fill:red} path{fill:lime}", "", "#00ff00"),
        ("@media print{} path{fill:lime}", "", "#00ff00"),
        ("path,{fill:red} path{fill:lime}", "", "#00ff00"),
        ("q,/* or */path{fill:lime}", "", "#00ff00"),
        ("path{FILL:lime;stroke:red}", "", "#00ff00"),
        # CSS Cascade 3, 6: attributes, rules, the style attribute, important rules.
        ("path{fill:lime}", 'fill="red"', "#00ff00"),
        ("path{fill:red}", 'style="fill:lime"', "#00ff00"),
        ("path{fill:lime!important} path{fill:red}", 'style="fill:red"', "#00ff00"),
        ("path{fill:lime} path{color:red}", "", "#00ff00"),
    ],
)
def test_the_rule_that_counts(css: str, attributes: str, fill: str) -> None:
    (shape,) = read(f'<style>{css}</style><path {attributes} d="M0 0h9v9z"/>').shapes
    assert shape.fill == fill


def test_rules_may_stand_in_several_places_of_the_file() -> None:
    drawing = read(
        f"<defs><style>path{{fill:red}}</style></defs>{TRIANGLE}<style>path{{fill:lime}}</style>"
        '<x:style xmlns:x="urn:other">path{fill:blue}</x:style>'
    )
    assert drawing.shapes[0].fill == "#00ff00"


# --- what is hostile ------------------------------------------------------------------------

SVG = "http://www.w3.org/2000/svg"
XHTML = "http://www.w3.org/1999/xhtml"
FIX = "which is not read; remove it and save it as plain SVG"


@pytest.mark.parametrize(
    ("what", "names"),
    [
        ("a script", ("script", "SCRIPT", "handler", "listener")),
        ("foreign content", ("foreignObject", "iframe", "object", "embed")),
        ("an embedded image", ("image", "feImage", "img", "video", "audio", "canvas")),
    ],
)
def test_elements_that_are_refused(what: str, names: tuple[str, ...]) -> None:
    """SVG 2, 5.1 and 12, SVG Tiny 1.2, 15 (handler, listener), and HTML in an SVG file."""
    for name in names:
        told = f"holds {what} (<{name.lower()}>), {FIX}"
        for space in (SVG, XHTML, ""):
            assert refused(f'<{name} xmlns="{space}"/>{BOX}') == told
        if name.lower() == "script":
            assert refused(f'<{name} xmlns="urn:other"/>{BOX}') == told
        else:
            assert read(f'<{name} xmlns="urn:other"/>{BOX}').ignored == ()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ('<g onload="x()"/>', f"holds a script (attribute onload), {FIX}"),
        ('<g ONLOAD="x()"/>', f"holds a script (attribute onload), {FIX}"),
        ('<a href="javascript:x()"/>', f"holds a script (in href), {FIX}"),
        ('<a href=" VBScript:x()"/>', f"holds a script (in href), {FIX}"),
        ('<set to="javascript:x()"/>', f"holds a script (in to), {FIX}"),
        (f'<a href="{" " * 80}javascript:x()"/>', f"holds a script (in href), {FIX}"),
        (f'<a href="java{"&#10;" * 80}script:x()"/>', f"holds a script (in href), {FIX}"),
        ('<g src="a.svg"/>', "refers to something outside the file (in src), which is not loaded; "
         "embed it as shapes, or remove it"),
        ('<use xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="a.svg#b"/>',
         "refers to something outside the file (in href), which is not loaded; "
         "embed it as shapes, or remove it"),
        ('<g style="fill:url(#a),URL( &quot;b.svg&quot;)"/>',
         "refers to something outside the file (in url()), which is not loaded; "
         "embed it as shapes, or remove it"),
    ],
)  # fmt: skip
def test_attributes_that_are_refused(content: str, told: str) -> None:
    assert refused(content + BOX) == told


def test_attributes_and_names_that_only_look_alike() -> None:
    drawing = read(
        '<g data-on="1"/><a href="https://example.org/"/><a href=""/><g href=" #a"/>'
        '<style>p{fill:url( "#a" )} /* script */</style><g id="javascript"/>'
        f'<x:rect xmlns:x="urn:other" width="5" height="5"/>{BOX}'
    )
    assert len(drawing.shapes) == 1


def test_a_file_without_the_name_of_a_vocabulary_is_read() -> None:
    assert len(read_svg(f"<svg>{BOX}</svg>".encode(), "my.svg").shapes) == 1
    for root in ('svg xmlns="urn:other"', f'g xmlns="{SVG}"', f'view xmlns="{SVG}"', "SVG"):
        with pytest.raises(PictureError, match="is not an SVG drawing; save it as plain SVG"):
            read_svg(f"<{root}>{BOX}</{root.split()[0]}>".encode(), "my.svg")
