"""Style rules, gradients, clip paths and document types of SVG drawings, and what is told."""

from __future__ import annotations

from pathlib import Path as FilePath

import pytest

from shapes.errors import PictureError
from shapes.pictures.own import load_file
from shapes.svg.clip import filled_area
from shapes.svg.drawing import Drawing
from shapes.svg.read import read_svg
from shapes.svg.values import read_declarations, read_viewbox
from sheets.theme.fields import At
from sheets.theme.reader import ThemeReader
from tests.wild_svg import wrapped

TRIANGLE = '<path d="M0 0h9v9z"/>'


def read(content: str) -> Drawing:
    return read_svg(wrapped(content), "my.svg")


@pytest.mark.parametrize(
    ("css", "content", "fill"),
    [
        ("svg g > path{fill:lime}", '<g><path d="M0 0h9v9z"/></g>', "#00ff00"),
        ("g path.a, q{fill:lime}", '<g><g><path class="a" d="M0 0h9v9z"/></g></g>', "#00ff00"),
        ("rect + path{fill:lime}", '<rect/><path d="M0 0h9v9z"/>', "#00ff00"),
        ('[id="p"]{fill:lime}', '<path id="p" d="M0 0h9v9z"/>', "#00ff00"),
        # Specificity first, then the later one; importance above all (CSS Cascade 3, 6).
        ("#p{fill:lime} g path{fill:red}", '<g><path id="p" d="M0 0h9v9z"/></g>', "#00ff00"),
        ("path{fill:red} path{fill:lime}", '<path d="M0 0h9v9z"/>', "#00ff00"),
        ("path{fill:lime!important}", '<path style="fill:red" d="M0 0h9v9z"/>', "#00ff00"),
        # Selected by nothing here: what stands beside, states, later elements.
        ("path + g{fill:red} g:hover{fill:red} rect ~ path{fill:red}",
         '<rect/><g><path d="M0 0h9v9z" fill="lime"/></g>', "#00ff00"),
    ],
)  # fmt: skip
def test_selectors(css: str, content: str, fill: str) -> None:
    (shape,) = read(f"<style>{css}</style>{content}").shapes
    assert shape.fill == fill


def test_rules_that_would_take_too_long_are_refused() -> None:
    rules = "".join(f"g g g g .c{i}{{fill:red}}" for i in range(20))
    content = "<g>" * 60 + TRIANGLE + "</g>" * 60
    with pytest.raises(PictureError) as caught:
        read(f"<style>{rules}</style>{content}")
    assert str(caught.value) == (
        "my.svg: has too many style rules for so many elements; save it with plain attributes"
    )


def test_five_million_steps_of_matching() -> None:
    """500 elements, 10 levels deep, for a selector with four joints: 500 times 10 to the 4th."""
    nested = "<g>" * 8 + TRIANGLE + "</g>" * 8 + "<g/>" * 489
    rule = " a b>c + d e {fill:red}"
    assert read(f"<style>{rule}</style>{nested}").ignored == ()
    for css, more in ((rule, "<style/>"), (rule, "<g/>"), (rule + "q{}", "")):
        with pytest.raises(PictureError, match="has too many style rules for so many elements"):
            read(f"<style>{css}</style>{nested}{more}")


def test_usual_rules_of_a_large_drawing_are_matched() -> None:
    """2,000 elements, 6 levels deep, 40 rules: blanks beside a joint or a brace join nothing."""
    rules = "\n".join(f"g > .c{i} {{ fill: lime }}" for i in range(40))
    content = f'<g><g><g><g><path class="c7" d="M0 0h9v9z"/>{"<g/>" * 2000}</g></g></g></g>'
    (shape,) = read(f"<style>{rules}</style>{content}").shapes
    assert shape.fill == "#00ff00"


STOPS = '<stop stop-color="#ff0000"/><stop style="stop-color:#0000ff"/>'


@pytest.mark.parametrize(
    ("paint", "fill"),
    [
        (f'<linearGradient id="p">{STOPS}</linearGradient>', "#800080"),
        (f'<radialGradient id="p" href="#q"/><linearGradient id="q">{STOPS}</linearGradient>',
         "#800080"),
        # Stops that cannot be seen take no part; with none left nothing is painted.
        (f'<linearGradient id="p">{STOPS}<stop stop-opacity="0"/></linearGradient>', "#800080"),
        ('<linearGradient id="p"/>', "#808080"),
        ('<linearGradient id="p" href="#p"/>', "#808080"),
    ],
)  # fmt: skip
def test_gradients_are_the_mean_of_their_stops(paint: str, fill: str) -> None:
    (shape,) = read(f'{paint}<path fill="url(#p)" d="M0 0h9v9z"/>').shapes
    assert shape.fill == fill


def test_a_gradient_that_cannot_be_seen_and_a_pattern() -> None:
    hidden = '<linearGradient id="p"><stop stop-opacity="0"/></linearGradient>'
    assert len(read(f'{hidden}{TRIANGLE}<path fill="url(#p)" d="M0 0h9v9z"/>').shapes) == 1
    drawing = read(f'<pattern id="p">{TRIANGLE}</pattern><path fill="url(#p)" d="M0 0h9v9z"/>')
    assert (drawing.shapes[0].fill, drawing.ignored) == ("#808080", ("pattern",))


CLIP = '<clipPath id="c"><rect x="2" y="0" width="3" height="50"/></clipPath>'


@pytest.mark.parametrize(
    ("content", "area"),
    [
        ('<rect width="10" height="10" clip-path="url(#c)"/>', 30),
        ('<g clip-path="url(#c)"><rect width="10" height="10"/></g>', 30),
        # In the space of the clipped element; lines are clipped with their width.
        ('<rect width="10" height="10" transform="scale(2)" clip-path="url(#c)"/>', 120),
        ('<path d="M0 5h10" stroke="#000" stroke-width="2" clip-path="url(#c)"/>', 6),
        # One clip within another; a hole stays one.
        ('<g clip-path="url(#c)"><rect width="4" height="9" clip-path="url(#c)"/></g>', 18),
        ('<path fill-rule="evenodd" d="M0 0h9v9h-9zM3 3h6v6h-6z" clip-path="url(#c)"/>', 15),
        # What lies wholly within is left as it is.
        ('<circle cx="3.5" cy="9" r="1" clip-path="url(#c)"/>', None),
    ],
)
def test_clip_paths(content: str, area: float | None) -> None:
    drawing = read(CLIP + content)
    (shape,) = drawing.shapes
    assert drawing.ignored == ()
    if area is None:
        assert len(shape.paths[0].segments) == 2  # arcs
    else:
        assert filled_area(shape.paths, True).area == pytest.approx(area, rel=1e-3)
        assert shape.stroke is None


def test_clips_that_are_not_read_are_named() -> None:
    box = (
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width="1" height="1"/></clipPath>'
    )
    loop = f'<clipPath id="c"><g clip-path="url(#c)">{TRIANGLE}</g></clipPath>'
    for clip in (box, loop, ""):
        drawing = read(f'{clip}<g clip-path="url(#c)">{TRIANGLE}</g>')
        assert drawing.ignored == ("clip-path",)
        assert len(drawing.shapes) == 1


TYPES = (
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
    '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">',
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.0//EN" '
    '"http://www.w3.org/TR/2001/REC-SVG-20010904/DTD/svg10.dtd">',
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1 Tiny//EN" "svg11-tiny.dtd">',
)


@pytest.mark.parametrize("kind", TYPES)
def test_the_usual_document_type_is_skipped(kind: str) -> None:
    """The public identifiers of SVG 1.1, appendix A.1, and SVG 1.0, appendix A.1."""
    assert (
        len(read_svg(b"<?xml version='1.0'?>" + kind.encode() + wrapped(TRIANGLE), "a").shapes) == 1
    )


@pytest.mark.parametrize(
    "kind",
    [
        "<!DOCTYPE svg>",
        '<!DOCTYPE svg SYSTEM "svg.dtd">',
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD XHTML 1.0 Strict//EN" "x.dtd">',
        TYPES[0][:-1] + " [<!ENTITY a 'b'>]>",
        TYPES[0][:-1] + " [<!ATTLIST path fill CDATA 'red'>]>",
    ],
)
def test_other_document_types_are_refused(kind: str) -> None:
    with pytest.raises(PictureError, match="has a document type or entities, which are not read"):
        read_svg(kind.encode() + wrapped(TRIANGLE), "my.svg")


def test_the_adult_is_told_what_is_left_out(tmp_path: FilePath) -> None:
    from sheets.kinds.making import make_sheet
    from sheets.kinds.options import Options
    from sheets.kinds.source import Source

    told = (
        "my.svg: not shown as drawn: text; turn it into plain shapes in the drawing program if it "
        "matters"
    )
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped("<text>hi</text>" + TRIANGLE))
    assert make_sheet("cutting", Source(words=(str(file),)), 3, Options()).remarks == (told,)
    reader = ThemeReader("t.toml", "", {}, lambda spec: load_file(tmp_path / spec))
    assert reader.picture("my.svg", At("words", 1), "picture") is not None
    assert reader.remarks[0].endswith(told)


def test_lines_that_a_map_stretches_are_areas() -> None:
    """A level line of 10 by 1, stretched to 40 by 1; an upright one to 10 by 4."""
    for data, size in (("M0 5h10", (40.0, 1.0)), ("M5 0v10", (4.0, 10.0))):
        line = f'<path stroke="red" fill="none" d="{data}"/>'
        (shape,) = read(f'<g transform="scale(4 1)">{line}</g>').shapes
        (path,) = shape.paths
        assert (shape.fill, shape.stroke) == ("#ff0000", None)
        assert (path.bbox.width, path.bbox.height) == pytest.approx(size)


def test_a_comment_in_a_style_ends_where_css_says() -> None:
    """CSS Syntax 3, 4.3.2: the slash of an opening ``/*`` cannot close it."""
    assert read_declarations("fill: red /*/; stroke: blue; /* */; width: 2") == {
        "fill": "red",
        "width": "2",
    }


@pytest.mark.parametrize("text", ["0 0 10 10 10", "0 0 10", "0 0 0 10", "0 0 10 -1"])
def test_a_view_box_is_four_numbers_with_a_size(text: str) -> None:
    with pytest.raises(PictureError, match="has a viewBox that cannot be read"):
        read_viewbox(text)
