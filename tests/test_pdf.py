"""The PDF writer's pages: exact operators, millimetres and text read back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import GlyphError
from shapes.letters.font import glyph_path, text_width_mm, units_per_em
from shapes.path import Arc, BBox, Cubic, Line, Path
from sheets.page.model import Artwork, Fill, Lane, Place, Role, Stroke, Text
from sheets.write.pdf_operators import PathOperators, fill_operators, stroke_operators
from tests.readers import bars, content, drawn, opened, page_sizes, strokes, text_boxes, texts
from tests.rendered_pages import (
    A4,
    ACCENTED,
    TURNED,
    everything,
    frog,
    measure_bar,
    page_of,
    pdf_of,
)

# --- operators ------------------------------------------------------------------------------


def test_a_path_is_written_segment_by_segment() -> None:
    pen = PathOperators()
    corner = Line((10, 10), (20.004, 10))
    curve = Cubic((20.004, 10), (22, 10), (25, 13.333), (25, 15))
    Path((corner, curve, Line((25, 15), (10, 10))), closed=True).draw(pen)

    assert pen.words == ["10 10 m", "20 10 l", "22 10 25 13.33 25 15 c", "h"]


def test_a_plain_stroke_needs_only_its_width() -> None:
    stroke = Stroke((), 0.25, Role.GUIDE)

    assert stroke_operators(stroke, "1 2 m 3 4 l").split("\n") == ["0.25 w", "1 2 m 3 4 l", "S"]


def test_square_ends_bevels_and_a_miter_limit_of_its_own() -> None:
    """ISO 32000-1, 8.4.3.3 to 8.4.3.5: square ends are 2, bevels are 2, the limit is M."""
    square = Stroke((), 1.0, Role.ART, cap="square", join="bevel")
    pointed = Stroke((), 1.0, Role.ART, join="miter", miter_limit=4.0)

    assert stroke_operators(square, "PATH").split("\n")[1:3] == ["2 J", "2 j"]
    assert stroke_operators(pointed, "PATH").split("\n")[1:3] == ["0 j", "4 M"]


def test_a_stroke_with_every_property_keeps_them_to_itself() -> None:
    stroke = Stroke((), 1.0, Role.TRACE, colour="#ff0033", dash=(4, 2.5), cap="butt", join="miter")

    assert stroke_operators(stroke, "PATH").split("\n") == [
        "q",
        "0 J",
        "0 j",
        "[4 2.5] 0 d",
        "1 0 0.2 RG",
        "1 w",
        "PATH",
        "S",
        "Q",
    ]


def test_a_lane_is_all_edges_then_all_tint() -> None:
    stroke = Stroke((), 12.7, Role.CUT, lane=Lane(edge=0.5, tint="#cccccc"))

    assert stroke_operators(stroke, "PATH").split("\n") == [
        "q",
        "0 G",
        "12.7 w",
        "PATH",
        "S",
        "0.8 G",
        "11.7 w",
        "PATH",
        "S",
        "Q",
    ]


def test_a_lane_no_wider_than_its_edges_is_a_solid_line() -> None:
    stroke = Stroke((), 1.0, Role.CUT, lane=Lane(edge=0.5))

    assert stroke_operators(stroke, "PATH").split("\n") == ["1 w", "PATH", "S"]


def test_fills_are_black_or_coloured_with_or_without_holes() -> None:
    plain = Fill((), Role.ART)
    ring = Fill((), Role.ART, colour="#ffffff", even_odd=True)

    assert fill_operators(plain, "PATH").split("\n") == ["PATH", "f"]
    assert fill_operators(ring, "PATH").split("\n") == ["q", "1 g", "PATH", "f*", "Q"]


def test_a_page_is_one_matrix_and_its_marks() -> None:
    line = Stroke((Path.line((20, 20), (120, 20)),), 0.25, Role.FURNITURE)

    assert content(pdf_of(page_of(line))) == [
        "1 0 0 1 0 0 cm ",
        "2.83464567 0 0 2.83464567 0 0 cm",
        "1 J 1 j",
        "0.25 w",
        "20 20 m",
        "120 20 l",
        "S",
        " ",
        "",
    ]


def test_artwork_is_placed_by_its_matrix() -> None:
    turned = Affine.rotation(90).then(Affine.translation(50, 60))

    assert content(pdf_of(page_of(Place(frog(), turned))))[3:6] == [
        "q 0 1 -1 0 50 60 cm",
        "/FormXob.1 Do",
        "Q",
    ]


# --- millimetres ----------------------------------------------------------------------------


def test_the_measure_bar_is_100_mm_long() -> None:
    data = pdf_of(page_of(measure_bar()))

    assert bars(data) == pytest.approx([100.0, 4.0, 4.0], abs=0.05)
    assert strokes(data)[0].width == pytest.approx(0.25, abs=0.02)


def test_a_circle_is_round_and_of_its_diameter() -> None:
    data = pdf_of(page_of(Stroke((Path.circle((100, 150), 38.1),), 0.7, Role.TRACE)))
    (circle,) = strokes(data)
    x0, y0, x1, y1 = circle.box

    assert (x1 - x0, y1 - y0) == pytest.approx((76.2, 76.2), abs=0.02)
    radii = [
        ((x - 100) ** 2 + (y - 150) ** 2) ** 0.5 for line in circle.polylines() for x, y in line
    ]
    assert min(radii) == pytest.approx(38.1, abs=0.02)
    assert max(radii) == pytest.approx(38.1, abs=0.02)


def test_dashes_are_in_page_millimetres() -> None:
    line = Stroke((Path.line((20, 20), (120, 20)),), 1, Role.TRACE, dash=(4, 2), cap="butt")

    (mark,) = strokes(pdf_of(page_of(line)))

    assert mark.dash == pytest.approx((4.0, 2.0), abs=0.01)
    assert mark.cap == 0


def test_a_lane_is_drawn_at_its_full_and_its_inner_width() -> None:
    lane = Stroke((Path.line((30, 30), (30, 90)),), 19.05, Role.CUT, lane=Lane(edge=0.75))

    edges, tint = strokes(pdf_of(page_of(lane)))

    assert (edges.width, tint.width) == pytest.approx((19.05, 17.55), abs=0.02)
    assert edges.colour == (0.0, 0.0, 0.0)
    assert tint.colour == pytest.approx((220 / 255,) * 3, abs=0.001)


def test_placed_artwork_scales_its_lines_with_it() -> None:
    data = pdf_of(page_of(Place(frog(), Affine.scaling(2.5))))
    ring, angle, _ = drawn(data)

    assert ring.painted == "fill-even-odd"
    assert ring.box == pytest.approx((12.5, 12.5, 87.5, 87.5), abs=0.05)
    assert angle.width == pytest.approx(3.0, abs=0.02)


@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_an_artwork_keeps_the_ink_on_the_edge_of_its_box(turn_deg: float) -> None:
    # Forms are cut off at their box; a box without half the line would halve the line.
    with opened(pdf_of(page_of(Place(frog(), Affine.rotation(turn_deg))))) as pdf:
        box = [float(side) for side in pdf.pages[0].Resources.XObject["/FormXob.1"].BBox]

    assert box == pytest.approx([4.4, 4.4, 35.6, 38.6])


def test_a_small_artwork_made_large_stays_exact() -> None:
    corners = [(0.0111, 0.0222), (0.9123, 0.0333), (0.5044, 0.8155)]
    tiny = Artwork(
        "bead", (Fill((Path.from_points(corners, closed=True),), Role.ART),), BBox(0, 0, 1, 1)
    )

    (mark,) = drawn(pdf_of(page_of(Place(tiny, Affine.scaling(100)))))

    expected = [(x * 100, y * 100) for x, y in corners]
    for point, wanted in zip(mark.polylines()[0], expected, strict=False):
        assert point == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize(("paper", "size"), [("letter", (215.9, 279.4)), ("a4", (210.0, 297.0))])
def test_pages_have_the_size_of_their_paper(paper: str, size: tuple[float, float]) -> None:
    page = page_of(measure_bar(), paper=A4) if paper == "a4" else page_of(measure_bar())

    assert page_sizes(pdf_of(page)) == [pytest.approx(size, abs=0.001)]


def test_letter_paper_is_a_whole_number_of_points() -> None:
    with opened(pdf_of(page_of())) as pdf:
        assert [float(side) for side in pdf.pages[0].mediabox] == [0.0, 0.0, 612.0, 792.0]


COORDINATES = st.floats(-50, 250)
POINTS = st.tuples(COORDINATES, COORDINATES)


@st.composite
def paths(draw: st.DrawFn) -> Path:
    kind = draw(st.sampled_from(["line", "arc", "cubic"]))
    if kind == "line":
        far = st.lists(
            POINTS, min_size=2, max_size=5, unique_by=lambda p: (round(p[0]), round(p[1]))
        )
        return Path.from_points(draw(far))
    if kind == "arc":
        sweep = draw(st.floats(5, 360)) * draw(st.sampled_from([1, -1]))
        return Path((Arc(draw(POINTS), draw(st.floats(1, 90)), draw(st.floats(0, 360)), sweep),))
    return Path((Cubic(draw(POINTS), draw(POINTS), draw(POINTS), draw(POINTS)),))


@settings(max_examples=40, deadline=None)
@given(paths(), st.floats(0.1, 30))
def test_what_is_read_back_is_what_was_drawn(path: Path, width: float) -> None:
    (mark,) = strokes(pdf_of(page_of(Stroke((path,), width, Role.CUT))))

    assert mark.width == pytest.approx(width, abs=0.02)
    assert mark.operators[0][1] == pytest.approx(path.start, abs=0.01)
    assert mark.operators[-1][1][-2:] == pytest.approx(path.segments[-1].end, abs=0.01)
    # The reader's chords and an arc's cubics (0.03 % of its radius) cost up to a tenth of a mm.
    exact = path.bbox
    assert mark.box == pytest.approx((exact.x0, exact.y0, exact.x1, exact.y1), abs=0.12)
    assert mark.length == pytest.approx(path.length, rel=0.002, abs=0.1)


# --- text -----------------------------------------------------------------------------------


def test_text_can_be_copied_and_searched() -> None:
    assert texts(pdf_of(everything())) == [
        "100 mm",
        ACCENTED,
        "to the end",
        TURNED,
        "thirty",
    ]


def test_decomposed_text_is_written_composed() -> None:
    page = page_of(Text(20, 20, "Zoe\u0308", 12, Role.FURNITURE))

    assert texts(pdf_of(page)) == ["Zoë"]


def test_more_than_one_subset_of_letters_still_reads() -> None:
    latin = "".join(chr(code) for code in range(0xC0, 0x17F) if chr(code) not in "×÷ŉ")
    line = [latin[i : i + 40] for i in range(0, len(latin), 40)]
    marks = [Text(10, 20 + 10 * i, part, 8, Role.ADULT) for i, part in enumerate(line)]

    assert "".join(texts(pdf_of(page_of(*marks)))) == latin


@pytest.mark.parametrize(
    ("anchor", "left"), [("start", 100.0), ("middle", 100.0 - 25.4), ("end", 100.0 - 50.8)]
)
def test_text_is_anchored_on_its_width(anchor: str, left: float) -> None:
    size = 50.8 / text_width_mm("HHHH", 1.0)
    text = Text(100, 50, "HHHH", size, Role.FURNITURE, anchor=anchor)  # type: ignore[arg-type]
    before_ink = glyph_path("H")[0].bbox.x0 / units_per_em() * size * 25.4 / 72

    first, *_ = text_boxes(pdf_of(page_of(text)))

    assert first[0] - before_ink == pytest.approx(left, abs=0.05)
    assert first[1] == pytest.approx(50.0, abs=0.05)


def test_turned_text_climbs_from_its_anchor() -> None:
    text = Text(100, 50, "HHHH", 20, Role.FURNITURE, turn_deg=90)

    first, *_, last = text_boxes(pdf_of(page_of(text)))

    assert first[2] == pytest.approx(100.0, abs=0.1)
    assert first[1] > 50.0
    assert last[1] > first[3]


def test_a_character_the_font_lacks_stops_the_document() -> None:
    with pytest.raises(GlyphError, match=r"no font here has the character '🐸' \(U\+1F438\)"):
        pdf_of(page_of(Text(20, 20, "🐸", 12, Role.FURNITURE)))
