"""Pictures in the set's own colours: lines on top, dark colours lightened."""

from __future__ import annotations

import io

import numpy as np
import pytest
from coloraide import Color
from PIL import Image

from shapes.path import BBox
from shapes.pictures.pictures import curated, find
from sheets.page.art import LINE_CONTRAST, artwork, picture_at, picture_in
from sheets.page.cards import face, picture_with_lines
from sheets.page.model import BLACK, Fill, Page, Paper, Place, Stroke
from sheets.write.png import write_png

BOX = BBox(0, 0, 60, 60)


def test_the_lines_lie_on_the_colours_as_they_are_without() -> None:
    for word in curated()[::7]:
        picture = find(word.text)
        plain, coloured = (picture_in(picture, BOX, colour=colour) for colour in (False, True))
        lines = plain.artwork.marks
        assert coloured.artwork.marks[-len(lines) :] == lines
        assert len(coloured.artwork.marks) > len(lines) or not picture.colour
        assert coloured.at == plain.at
        assert coloured.artwork.bbox == plain.artwork.bbox
        assert coloured.artwork.id != plain.artwork.id


def test_black_lines_show_on_every_colour() -> None:
    """WCAG 2.2, 1.4.11: parts of a picture need 3 to 1; contrast as coloraide computes it."""
    black = Color(BLACK)
    for word in curated():
        picture = find(word.text)
        marks = artwork(picture, colour=True).marks[: -len(artwork(picture).marks)]
        for colour in {mark.colour for mark in marks} - {BLACK}:
            assert Color(colour).contrast(black, method="wcag21") >= LINE_CONTRAST - 1e-3, word


def test_a_colour_light_enough_is_the_sets_own() -> None:
    colours = {m.colour for m in artwork(find("duck"), colour=True).marks if isinstance(m, Fill)}
    assert {"#5c9e31", "#a57939"} <= colours
    assert "#6a462f" not in colours  # the dark brown of its feet


def test_an_edge_of_colour_is_thinned_as_the_line_on_it() -> None:
    turtle = find("turtle")
    assert {shape.stroke_width for shape in turtle.colour if shape.stroke} == {2}
    art = artwork(turtle, colour=True, scale=2.0, line_mm=1.2)
    assert {mark.width for mark in art.marks if isinstance(mark, Stroke)} == {0.6}


@pytest.mark.parametrize("colour", [False, True])
def test_cards_have_colour_on_request(colour: bool) -> None:
    picture = find("fish")
    shown = [
        picture_with_lines(picture, BOX, least_line_mm=3.0, colour=colour),
        picture_at(picture, picture_in(picture, BOX).at, colour=colour),
        *(m for m in face(BOX, picture, id="card-1", colour=colour) if isinstance(m, Place)),
    ]
    assert len(shown) == 3
    for place in shown:
        fills = [m.colour for m in place.artwork.marks if isinstance(m, Fill)]
        assert ("#92d3f5" in fills) is colour


def test_a_grey_copy_keeps_the_lines_apart_from_the_areas() -> None:
    """As printed in black and white: the lines are the darkest, the areas lighter."""
    for word in ("turtle", "bear", "gorilla", "strawberry", "train"):
        pages = []
        for colour in (False, True):
            page = Page(Paper("square", 60, 60), (picture_in(find(word), BOX, colour=colour),))
            image = Image.open(io.BytesIO(write_png(page, dpi=100))).convert("L")
            pages.append(np.asarray(image, dtype=int))
        lines, coloured = pages
        assert coloured[lines == 0].max() < 40
        assert np.percentile(coloured[lines == 255], 5) > 80, word
