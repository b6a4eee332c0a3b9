"""Whole pictures: lines that close a drawing, what is left out of it, and the stored file."""

from __future__ import annotations

import io
import json
import math
from collections.abc import Callable
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from shapes.outline.morphology import parts
from shapes.path import BBox
from shapes.pictures.closing import STORE, Closing, decode, encode, stored
from shapes.pictures.own import load_file
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import as_drawn, curated, find
from shapes.pictures.silhouette import silhouette
from shapes.pictures.whole import closing_of
from sheets.files.make_whole import codes
from sheets.page.art import picture_in
from sheets.page.model import Page, Paper
from sheets.write.png import write_png

Draw = Callable[[str, str], Picture]
LINE = 'fill="none" stroke="#000" stroke-width="2" stroke-linecap="round"'


@pytest.fixture
def drawn(tmp_path: FilePath) -> Draw:
    """A drawing of one's own with a colour and a line layer, y down as SVG has it."""

    def picture(colour: str, line: str) -> Picture:
        file = tmp_path / "my.svg"
        file.write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
            f'<g id="color">{colour}</g><g id="line">{line}</g></svg>'
        )
        return load_file(file)

    return picture


def added(picture: Picture, own: int) -> list[shapely.LineString]:
    """The closing lines of a picture that had so many lines of its own."""
    return [
        shapely.LineString(path.flatten(0.01))
        for shape in picture.line[own:]
        for path in shape.paths
    ]


# --- lines that close -----------------------------------------------------------------------------


def test_the_open_side_of_a_square_is_drawn_in_the_same_line(drawn: Draw) -> None:
    square = '<rect x="20" y="20" width="40" height="40" fill="gold"/>'
    picture = drawn(square, f'<path {LINE} d="M60 20h-40v40h40"/>')
    (line,) = added(picture, 1)
    assert sorted(line.coords) == [pytest.approx((60, y), abs=0.02) for y in (40, 80)]
    shape = picture.line[-1]
    assert (shape.stroke, shape.stroke_width, shape.cap) == ("#000000", 2.0, "round")
    assert picture.bbox == BBox(19, 39, 61, 81)


@pytest.mark.parametrize(
    "line",
    [
        f'<rect x="20" y="20" width="40" height="40" {LINE}/>',
        # Half a line width beside the colour's edge all round: a line runs along it.
        f'<rect x="19" y="19" width="42" height="42" {LINE}/>',
        '<rect x="20" y="20" width="40" height="40"/>',
    ],
)
def test_what_has_its_line_gets_no_other(line: str, drawn: Draw) -> None:
    assert added(drawn('<rect x="20" y="20" width="40" height="40" fill="gold"/>', line), 1) == []


def test_a_gap_is_closed_along_the_curve(drawn: Draw) -> None:
    # A ring open over 30 degrees at the upper right: the closing line keeps to the circle.
    a, b = math.radians(60), math.radians(30)
    start = f"{50 + 20 * math.cos(a)} {50 - 20 * math.sin(a)}"
    end = f"{50 + 20 * math.cos(b)} {50 - 20 * math.sin(b)}"
    picture = drawn(
        '<circle cx="50" cy="50" r="20" fill="gold"/>',
        f'<path {LINE} d="M{start}A20 20 0 1 0 {end}"/>',
    )
    (line,) = added(picture, 1)
    assert line.length == pytest.approx(20 * math.radians(30), rel=0.02)
    for x, y in line.coords:
        assert math.hypot(x - 50, y - 50) == pytest.approx(20, abs=0.05)


def test_a_drawing_without_a_colour_layer_stays_as_it_is(tmp_path: FilePath) -> None:
    file = tmp_path / "my.svg"
    file.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg"><path {LINE} d="M0 0h9v9"/><rect width="3" '
        'height="3" fill="gold"/></svg>'
    )
    picture = load_file(file)
    assert len(picture.line) == 2
    assert closing_of(picture) == Closing()


def test_white_areas_without_a_line_are_paper(drawn: Draw) -> None:
    ring = f'<circle cx="50" cy="50" r="20" {LINE}/>'
    white = '<rect x="5" y="5" width="10" height="10" fill="#fff"/>'
    picture = drawn(f'<circle cx="50" cy="50" r="20" fill="gold"/>{white}', ring)
    assert added(picture, 1) == []
    assert picture.bbox == BBox(29, 29, 71, 71)


# --- what is left out -----------------------------------------------------------------------------

BOAT = '<path d="M30 50h40l-8 20h-24z" fill="#a57939"/>'
BOAT_LINE = f'<path {LINE} d="M30 50h40l-8 20h-24z"/><path {LINE} d="M5 65h30M65 65h30"/>'


def test_ground_without_a_line_round_it_is_left_out(drawn: Draw) -> None:
    water = '<rect x="5" y="65" width="90" height="30" fill="#92d3f5"/>'
    picture = drawn(water + BOAT, BOAT_LINE)
    assert [shape.fill for shape in picture.colour] == ["#a57939"]
    assert picture.bbox.y0 == pytest.approx(29)  # the foot of the boat, not of the water
    assert added(picture, 2) == []


def test_ground_with_a_line_round_it_stays(drawn: Draw) -> None:
    hill = '<path d="M5 95h90l-45 -60z" fill="#5c9e31"/>'
    picture = drawn(hill, f'<path {LINE} d="M5 95l45 -60l45 60"/>')
    assert [shape.fill for shape in picture.colour] == ["#5c9e31"]
    (foot,) = added(picture, 1)
    assert foot.length == pytest.approx(90, abs=0.5)


def test_a_teachers_own_loose_marks_stay(drawn: Draw) -> None:
    disc = '<circle cx="40" cy="50" r="20" {}/>'
    mark = f'<path {LINE} d="M90 20v10"/>'
    picture = drawn(disc.format('fill="gold"'), disc.format(LINE) + mark)
    assert len(picture.line) == 2


def test_what_the_curated_pictures_lose() -> None:
    """Water under boats, rails, and the wind about a leaf; nothing of any other picture."""
    lost = {}
    for word in curated():
        before, after = as_drawn(word.code), find(word.code)
        colours = len(before.colour) - len(after.colour)
        own = [s for s in after.line if s in before.line]
        if colours or len(own) != len(before.line):
            lost[word.text] = (colours, len(before.line) - len(own))
    assert lost == LOST


LOST = {  # coloured areas, lines
    "leaf": (0, 4),
    "boat": (1, 0),
    "ship": (1, 0),
    "speedboat": (1, 0),
    "motorboat": (1, 0),
    "wave": (2, 1),
    "tram": (1, 0),
}


# --- all of them ----------------------------------------------------------------------------------


def test_a_whole_picture_is_no_larger_than_its_drawing() -> None:
    """So no outline that kept clear of the drawing's box comes nearer to the ink."""
    for word in curated():
        assert as_drawn(word.code).bbox.contains(find(word.code).bbox, 1e-6), word.text


def leak(picture: Picture, line_mm: float) -> float:
    """How much of the silhouette is reached by paint poured in from outside the lines, as another
    program fills them (Pillow), on the page as it is rendered, at 5 dots to the mm."""
    size, dots = 60.0, 5
    place = picture_in(picture, BBox(2, 2, size - 2, size - 2), line_mm=line_mm)
    page = Page(Paper("square", size, size), (place,))
    image = Image.open(io.BytesIO(write_png(page, dpi=round(25.4 * dots)))).convert("L")
    bare = image.point([0] * 160 + [255] * 96)
    ImageDraw.floodfill(bare, (0, 0), 128)
    body = Image.new("L", bare.size, 0)
    x0, y0 = place.at.apply((picture.bbox.x0, picture.bbox.y0))
    longest = max(picture.bbox.width, picture.bbox.height) * place.at.scale
    for part in parts(silhouette(picture, longest)):
        corners = [((x + x0) * dots, (size - y - y0) * dots) for x, y in part.exterior.coords]
        ImageDraw.Draw(body).polygon(corners, fill=1)
    inside = np.asarray(body) == 1
    return float((inside & (np.asarray(bare) == 128)).sum() / inside.sum())


@pytest.mark.parametrize(
    "word", ["turtle", "lion", "car", "moped", "carrot", "bear", "books", "tomato", "llama", "pear"]
)
def test_the_lines_hold(word: str) -> None:
    """Paint poured over the page does not run into the picture; into the drawing it did."""
    whole = find(word)
    assert leak(as_drawn(whole.id), 1.2) > 0.3
    assert leak(whole, 1.2) < 0.15


# --- the stored file ------------------------------------------------------------------------------


@pytest.mark.parametrize("code", [word.code for word in curated()][::9])
def test_the_stored_closings_are_current(code: str) -> None:
    """Run ``python -m sheets.files.make_whole`` if this fails."""
    known, made = stored(code), closing_of(as_drawn(code))
    assert known is not None
    # Geometry libraries differ in the last digits from version to version.
    assert known.left_out == made.left_out
    assert known.width == made.width
    assert len(known.lines) == len(made.lines)
    for one, other in zip(known.lines, made.lines, strict=True):
        a, b = shapely.LineString(one), shapely.LineString(other)
        assert shapely.hausdorff_distance(a, b) < 0.05


def test_every_picture_of_the_words_and_themes_is_stored_and_no_other() -> None:
    assert STORE.stat().st_size < 80_000
    assert {word.code for word in curated()} < set(codes())
    assert set(json.loads(STORE.read_bytes())) == set(codes())


coordinate = st.integers(-9999, 9999).map(lambda n: n / 100)


@given(
    st.lists(
        st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=9).map(tuple), max_size=5
    ).map(tuple),
    st.frozensets(st.tuples(st.integers(0, 40), st.integers(0, 9)), max_size=5),
)
def test_a_row_of_the_store_keeps_the_closing(
    lines: tuple[tuple[tuple[float, float], ...], ...], left_out: frozenset[tuple[int, int]]
) -> None:
    closing = Closing(lines, 2.0 if lines else 0.0, left_out)
    assert decode(encode(closing)) == closing
