"""The SVG writer: true size, what each mark says about itself, exact path data, same bytes."""

from __future__ import annotations

import os
import subprocess
import sys
import xml.etree.ElementTree as ET

import pytest
import svgelements
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import GlyphError
from shapes.letters.font import advance, glyph_path, text_width_mm
from shapes.path import Arc, BBox, Cubic, Line, Path
from sheets.page.model import Artwork, Fill, Lane, Page, Place, Role, Stroke, Text
from sheets.write.svg import path_data, write_svg
from tests.rendered_pages import A4, ACCENTED, TURNED, everything, frog, measure_bar, page_of

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"


def svg_of(page: Page) -> bytes:
    return write_svg(page, title="Reedy Pond", language="en-US")


def tree_of(page: Page) -> ET.Element:
    return ET.fromstring(svg_of(page))


def marks_of(page: Page) -> list[ET.Element]:
    """The elements of the page's marks, in order."""
    return [item for item in tree_of(page) if "data-role" in item.attrib]


def without(element: ET.Element, *names: str) -> dict[str, str]:
    return {key: value for key, value in element.attrib.items() if key not in names}


def test_path_data_turns_y_over() -> None:
    corner = Line((10, 10), (20.004, 10))
    curve = Cubic((20.004, 10), (22, 10), (25, 13.333), (25, 15))
    closed = Path((corner, curve, Line((25, 15), (10, 10))), closed=True)
    line = Path.line((0, 0), (1, 279.4))

    assert path_data((closed, line), height=279.4) == (
        "M10 269.4 L20 269.4 C22 269.4 25 266.07 25 264.4 Z M0 279.4 L1 0"
    )


@pytest.mark.parametrize(
    ("page", "size", "box"),
    [
        (page_of(), ("215.9mm", "279.4mm"), "0 0 215.9 279.4"),
        (page_of(paper=A4), ("210mm", "297mm"), "0 0 210 297"),
    ],
    ids=["letter", "a4"],
)
def test_the_page_is_in_true_millimetres(page: Page, size: tuple[str, str], box: str) -> None:
    root = tree_of(page)

    assert (root.get("width"), root.get("height")) == size
    assert root.get("viewBox") == box


def test_title_and_language_are_said() -> None:
    root = tree_of(page_of())

    assert root.findtext(f"{SVG}title") == "Reedy Pond"
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == "en-US"


def test_markup_in_words_is_escaped() -> None:
    page = page_of(Text(20, 20, 'Tom & "Jo" <3', 12, Role.FURNITURE))
    data = write_svg(page, title="a < b & c", language="en")

    root = ET.fromstring(data)

    assert root.findtext(f"{SVG}title") == "a < b & c"
    assert root[-1].get("data-text") == 'Tom & "Jo" <3'


def test_a_stroke_says_what_it_is() -> None:
    (mark,) = marks_of(page_of(measure_bar()))

    assert mark.tag == f"{SVG}path"
    assert mark.attrib == {
        "class": "furniture",
        "data-role": "furniture",
        "data-id": "bar-across",
        "data-width": "0.25",
        "d": "M20 259.4 L120 259.4 M20 261.4 L20 257.4 M120 261.4 L120 257.4",
        "fill": "none",
        "stroke": "#000000",
        "stroke-width": "0.25",
        "stroke-linecap": "round",
        "stroke-linejoin": "round",
    }


def test_a_stroke_with_every_property() -> None:
    stroke = Stroke(
        (Path.line((10, 10), (20, 10)),),
        1.5,
        Role.TRACE,
        colour="#ff0033",
        dash=(4, 2.5),
        cap="butt",
        join="miter",
        data=(("stage", "3"), ("things", "a & b")),
    )

    (mark,) = marks_of(page_of(stroke))

    assert without(mark, "d") == {
        "class": "trace",
        "data-role": "trace",
        "data-width": "1.5",
        "data-stage": "3",
        "data-things": "a & b",
        "fill": "none",
        "stroke": "#ff0033",
        "stroke-width": "1.5",
        "stroke-linecap": "butt",
        "stroke-linejoin": "miter",
        "stroke-miterlimit": "10",
        "stroke-dasharray": "4 2.5",
    }


def test_a_lane_is_a_group_of_its_edges_and_its_tint() -> None:
    lane = Stroke(
        (Path.line((30, 30), (30, 90)), Path.line((30, 60), (90, 60))),
        12.7,
        Role.CUT,
        id="lane",
        lane=Lane(edge=0.6, tint="#cccccc"),
    )

    (group,) = marks_of(page_of(lane))
    edges, tint = group

    assert group.tag == f"{SVG}g"
    assert (group.get("data-width"), group.get("data-lane")) == ("12.7", "0.6")
    assert (group.get("data-role"), group.get("data-id")) == ("cut", "lane")
    assert edges.attrib == {
        "d": "M30 249.4 L30 189.4 M30 219.4 L90 219.4",
        "stroke": "#000000",
        "stroke-width": "12.7",
    }
    assert tint.attrib == {**edges.attrib, "stroke": "#cccccc", "stroke-width": "11.5"}


def test_a_lane_no_wider_than_its_edges_is_a_solid_line() -> None:
    lane = Stroke((Path.line((30, 30), (30, 90)),), 1.0, Role.CUT, lane=Lane(edge=0.5))

    (mark,) = marks_of(page_of(lane))

    assert mark.tag == f"{SVG}path"
    assert "data-lane" not in mark.attrib


def test_fills_keep_their_holes() -> None:
    square = Path.from_points([(0, 0), (9, 0), (9, 9)], closed=True)
    plain = Fill((square,), Role.ANSWER_SPACE, id="a")
    ring = Fill((square,), Role.ART, colour="#ffffff", even_odd=True)

    first, second = marks_of(page_of(plain, ring))

    assert without(first, "d") == {
        "class": "answer-space",
        "data-role": "answer-space",
        "data-id": "a",
        "fill": "#000000",
    }
    assert (second.get("fill"), second.get("fill-rule")) == ("#ffffff", "evenodd")


def test_artwork_is_defined_once_and_used_by_its_name() -> None:
    page = page_of(
        Place(frog(), Affine.translation(10, 20), id="one", data=(("bin", "2"),)),
        Place(frog(), Affine.rotation(90), role=Role.CHOICE),
    )
    root = tree_of(page)
    one, two = marks_of(page)

    definitions = root.findall(f"{SVG}defs/{SVG}g")
    assert [item.get("id") for item in definitions] == ["art-frog"]
    assert len(definitions[0]) == 3
    assert one.attrib == {
        "class": "art",
        "data-role": "art",
        "data-id": "one",
        "data-artwork": "frog",
        "data-bin": "2",
        "role": "img",
        "aria-label": "a frog",
        "transform": "matrix(1 0 0 1 10 259.4)",
        HREF: "#art-frog",
    }
    assert two.get("transform") == "matrix(0 -1 1 0 0 279.4)"
    assert two.get("data-role") == "choice"


def test_two_artworks_of_one_id_are_refused() -> None:
    other = Artwork("frog", (Fill((Path.circle((5, 5), 3),), Role.ART),), BBox(2, 2, 8, 8))

    with pytest.raises(ValueError, match="two different artworks have the id 'frog'"):
        svg_of(page_of(Place(frog(), Affine()), Place(other, Affine())))


def test_text_is_outlines_that_can_be_read_back() -> None:
    text = Text(100, 79.4, "noon", 20, Role.LETTER, id="w", colour="#336699", anchor="end")
    root = tree_of(page_of(text))
    (group,) = marks_of(page_of(text))
    scale = 20 * 25.4 / 72 / 2048

    assert without(group, "transform") == {
        "class": "letter",
        "data-role": "letter",
        "data-id": "w",
        "data-text": "noon",
        "data-size-pt": "20",
        "data-anchor": "end",
        "aria-label": "noon",
        "role": "img",
        "fill": "#336699",
    }
    matrix = svgelements.Matrix(group.get("transform"))
    assert (matrix.a, matrix.d) == pytest.approx((scale, scale), rel=1e-5)
    assert (matrix.e, matrix.f) == pytest.approx((100 - text_width_mm("noon", 20), 200), abs=0.01)
    n, o = advance("n"), advance("o")
    assert [(use.get(HREF), use.get("x")) for use in group] == [
        ("#glyph-006e", "0"),
        ("#glyph-006f", str(n)),
        ("#glyph-006f", str(n + o)),
        ("#glyph-006e", str(n + 2 * o)),
    ]
    glyphs = {item.get("id"): item.get("d") for item in root.iter(f"{SVG}path")}
    assert glyphs == {
        "glyph-006e": path_data(glyph_path("n")),
        "glyph-006f": path_data(glyph_path("o")),
    }


def test_turned_text_turns_anticlockwise() -> None:
    (group,) = marks_of(page_of(Text(100, 79.4, "up", 20, Role.ADULT, turn_deg=90)))
    matrix = svgelements.Matrix(group.get("transform"))
    scale = 20 * 25.4 / 72 / 2048

    # The next letter is above: x of the text runs to smaller y of the page.
    assert (matrix.a, matrix.b) == pytest.approx((0.0, -scale), abs=1e-7)
    assert (matrix.e, matrix.f) == pytest.approx((100, 200), abs=0.01)


def test_spaces_take_room_but_draw_nothing() -> None:
    (group,) = marks_of(page_of(Text(20, 20, "a a", 12, Role.FURNITURE)))

    assert [use.get("x") for use in group] == ["0", str(advance("a") + advance(" "))]


def test_all_texts_can_be_read_back() -> None:
    words = [item.get("data-text") for item in marks_of(everything())]

    assert [word for word in words if word] == [
        "100 mm",
        ACCENTED,
        "to the end",
        TURNED,
        "thirty",
    ]


def test_a_character_the_font_lacks_stops_the_page() -> None:
    with pytest.raises(GlyphError, match=r"no font here has the character '🐸' \(U\+1F438\)"):
        svg_of(page_of(Text(20, 20, "🐸", 12, Role.FURNITURE)))


def test_only_plain_elements_are_used() -> None:
    tags = {item.tag.removeprefix(SVG) for item in tree_of(everything()).iter()}

    assert tags == {"svg", "title", "defs", "g", "path", "use"}


def test_every_reference_has_its_definition() -> None:
    root = tree_of(everything())
    defined = [item.get("id") for item in root.findall(f"{SVG}defs/*")]
    used = {item.attrib[HREF].removeprefix("#") for item in root.iter(f"{SVG}use")}

    assert len(defined) == len(set(defined))
    assert used == set(defined)


COORDINATES = st.floats(0, 200)
POINTS = st.tuples(COORDINATES, COORDINATES)
SEGMENTS = st.one_of(
    st.builds(Cubic, POINTS, POINTS, POINTS, POINTS),
    st.builds(Arc, POINTS, st.floats(1, 90), st.floats(0, 360), st.floats(5, 360)),
)


@settings(max_examples=50)
@given(SEGMENTS)
def test_an_independent_parser_reads_the_same_outline(segment: Cubic | Arc) -> None:
    path = Path((segment,))

    parsed = svgelements.Path(path_data((path,), height=279.4))

    assert parsed.point(0) == pytest.approx((path.start[0], 279.4 - path.start[1]), abs=0.01)
    assert parsed.point(1) == pytest.approx((path.end[0], 279.4 - path.end[1]), abs=0.01)
    x0, y0, x1, y1 = parsed.bbox()
    exact = path.bbox
    # An arc's cubics leave the circle by at most 0.03 % of its radius.
    assert (x0, x1) == pytest.approx((exact.x0, exact.x1), abs=0.05)
    assert (279.4 - y1, 279.4 - y0) == pytest.approx((exact.y0, exact.y1), abs=0.05)


def test_the_same_page_gives_the_same_bytes_under_any_hash_seed() -> None:
    code = (
        "import sys; from tests.rendered_pages import everything;"
        "from sheets.write.svg import write_svg;"
        "sys.stdout.buffer.write(write_svg(everything(), title='Reedy Pond', language='en-US'))"
    )
    expected = svg_of(everything())

    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert done.stdout == expected
