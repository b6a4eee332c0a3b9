"""What touches on a page: found by geometry, and nothing on the pages of any kind."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.path import BBox, Path
from shapes.pictures.pictures import find
from sheets.check.check import check_page
from sheets.check.overlap import touching
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.art import picture_in
from sheets.page.frame import A4, LETTER, rectangle
from sheets.page.model import (
    LANE_TINT,
    WHITE,
    Artwork,
    Fill,
    Lane,
    Mark,
    Page,
    Place,
    Role,
    Stroke,
    Text,
)

CUT = Stroke((Path.circle((100, 100), 40),), 3.0, Role.CUT, id="outline-1")


def line(x0: float, y0: float, x1: float, y1: float, **more: Any) -> Stroke:
    given = {"width": 1.0, "role": Role.GUIDE, "id": "arrow", **more}
    return Stroke((Path.line((x0, y0), (x1, y1)),), **given)


def square(x: float, y: float, side: float, **more: Any) -> Fill:
    given = {"role": Role.ART, "id": "square", **more}
    return Fill((rectangle(BBox(x, y, x + side, y + side)),), **given)


DIAGONAL = Artwork(
    "x", (Stroke((Path.line((0, 0), (20, 20)),), 1.0, Role.ART),), BBox(-0.5, -0.5, 20.5, 20.5)
)


def text(x: float, y: float, words: str = "duck", **more: Any) -> Text:
    return Text(x, y, words, 20.0, Role.FURNITURE, **more)


def found(*marks: Mark) -> int:
    return len(touching(marks))


TOUCH: dict[str, tuple[Mark, ...]] = {
    "text on a line": (text(100, 57, id="title"), CUT),
    "text in the way of a line through it": (text(10, 10, id="title"), line(5, 12, 60, 12)),
    "text on text": (text(10, 10, id="a"), text(20, 14, id="b")),
    "a g below its line": (text(10, 10, "egg", id="a"), line(5, 9, 40, 9, id="name-line")),
    "turned text": (text(50, 10, id="a", turn_deg=90.0), line(40, 15, 60, 15)),
    "an arrow along an outline": (CUT, line(142, 90, 142, 110)),
    "a bar across an outline": (CUT, line(30, 100, 70, 100, role=Role.FURNITURE, id="bar-x")),
    "a picture on an outline": (CUT, square(130, 90, 20)),
    "two areas, one in the other's notch": (square(0, 0, 20), square(19, 5, 20, id="other")),
    "a small area on a large line": (line(0, 0, 99, 0, width=12.7), square(50, 3, 2)),
    "a line that ends square": (line(0, 0, 50, 0, width=12.7, cap="butt"), square(49, 6, 9)),
    "text half on an area": (square(0, 0, 20), text(15, 5, id="a")),
    "text in the corner of a round area's box": (
        Fill((Path.circle((50, 50), 20),), Role.ART, id="round"),
        text(32, 60, "o", id="a"),
    ),
    "a dot of one line beside another": (
        CUT,
        Fill((Path.circle((142, 100), 2.0),), Role.GUIDE, id="start-1"),
    ),
    "two pictures": (
        Place(DIAGONAL, Affine.translation(100, 100), id="picture-1"),
        Place(DIAGONAL, Affine(-1.0, 0.0, 0.0, 1.0, 120.0, 100.0), id="picture-2"),
    ),
    "two things to trace": (
        Stroke((rectangle(BBox(0, 0, 50, 50)),), 3.0, Role.TRACE, id="a"),
        Stroke((rectangle(BBox(50, 0, 90, 50)),), 3.0, Role.TRACE, id="b"),
    ),
    "a picture's own line": (
        Place(DIAGONAL, Affine.translation(100, 100), id="picture-1"),
        line(110, 100, 110, 111, id="arrow"),
    ),
}

APART: dict[str, tuple[Mark, ...]] = {
    "one thing": (CUT, line(130, 100, 150, 100, id="outline-1")),
    "a bar and its ticks": (
        line(0, 0, 100, 0, id="bar-x", role=Role.FURNITURE),
        line(10, 0, 10, 2, id="bar-x-ticks", role=Role.FURNITURE),
    ),
    "an outline and its way in": (CUT, line(140, 100, 215, 100, role=Role.ENTRY, id="in")),
    "a lane and the cut along a panel": (
        line(20, 50, 120, 50, role=Role.CUT, id="lanes", width=12.7),
        line(20, 0, 20, 99, role=Role.ADULT, id="adult-cut-1"),
    ),
    "a dot on its line": (CUT, Fill((Path.circle((140, 100), 3.0),), Role.GUIDE, id="start-1")),
    "a bar where to stop": (
        line(20, 50, 120, 50, role=Role.CUT, id="line-1"),
        line(120, 45, 120, 55, id="stop"),
    ),
    "text in a frame": (
        Stroke((rectangle(BBox(0, 0, 50, 20)),), 1.0, Role.ANSWER_SPACE, id="place-1"),
        text(5, 5, id="a"),
    ),
    "text on an area": (square(0, 0, 60), text(5, 5, id="a", colour=WHITE)),
    "hatching on an area": (square(0, 0, 60), line(1, 1, 59, 59, id="hatch")),
    "a frame round an area": (
        square(0, 0, 60),
        Stroke((rectangle(BBox(0, 0, 60, 60)),), 2.0, Role.GUIDE, id="frame"),
    ),
    "a drawing and two areas of its colouring": (
        Place(DIAGONAL, Affine.translation(100, 100), role=Role.MODEL, id="sample-1"),
        square(100, 100, 10, role=Role.MODEL, id="area-1-1"),
        square(110, 100, 10, role=Role.MODEL, id="area-1-2"),
    ),
    "boxes with one wall": (
        Stroke((rectangle(BBox(0, 0, 20, 20)),), 0.9, Role.MODEL, id="cell-1-1"),
        Stroke((rectangle(BBox(20, 0, 40, 20)),), 0.9, Role.ANSWER_SPACE, id="box-1-2"),
    ),
    "white paper": (square(0, 0, 20, colour=WHITE), line(-5, 5, 5, 5)),
    "tint that opens a lane": (
        line(0, 0, 20, 0, width=6.35, role=Role.ENTRY, id="entry", lane=Lane()),
        line(0, 0, 9, 0, id="mouth", colour=LANE_TINT),
        Fill((Path.circle((9, 0), 2.0),), Role.GUIDE, id="start"),
    ),
    "a turn that ends square on the edge of a panel": (
        Stroke(
            (Path.from_points([(50, 90), (90, 90), (90, 50)]),),
            6.35,
            Role.CUT,
            id="turn",
            cap="butt",
        ),
        text(80, 44, "oo", id="a"),
    ),
    "near, but not touching": (CUT, line(142.1, 90, 142.1, 110)),
    "a line that ends square, and what is beyond its end": (
        line(0, 0, 50, 0, width=12.7, cap="butt"),
        square(50.1, -3, 6),
    ),
}


@pytest.mark.parametrize("name", TOUCH)
def test_what_touches_is_found(name: str) -> None:
    marks = TOUCH[name]
    assert touching(marks) == [marks]
    assert found(*reversed(marks)) == 1


@pytest.mark.parametrize("name", APART)
def test_what_is_meant_to_touch_or_does_not_is_not_found(name: str) -> None:
    marks = APART[name]
    assert found(*marks) == found(*reversed(marks)) == 0


def test_a_pair_is_one_finding_that_names_both_but_not_their_words() -> None:
    title = text(100, 57, "Zoë", id="title")
    page = Page(LETTER, (CUT, title, line(10, 10, 20, 10)))
    rows = [f for f in check_page(page, "cutting", 6) if f.limit == "overlap"]
    assert [(f.measured, f.mark, f.outside, f.basis) for f in rows] == [
        (1.0, "outline-1, title", True, "our setting")
    ]
    clean = [f for f in check_page(Page(LETTER, (CUT,)), "cutting", 6) if f.limit == "overlap"]
    assert [(f.measured, f.outside) for f in clean] == [(0.0, False)]


@given(
    st.tuples(*[st.floats(-50, 50)] * 4),
    st.tuples(*[st.floats(-50, 50)] * 4),
    st.floats(0.2, 8.0),
    st.floats(0.2, 8.0),
)
def test_two_lines_touch_as_the_geometry_library_says(
    a: tuple[float, ...], b: tuple[float, ...], one: float, other: float
) -> None:
    """Against shapely, an outside measure: round-ended lines are their middles widened."""
    from shapely.geometry import LineString

    if math.dist(a[:2], a[2:]) < 0.1 or math.dist(b[:2], b[2:]) < 0.1:
        return
    gap = LineString([a[:2], a[2:]]).distance(LineString([b[:2], b[2:]])) - (one + other) / 2.0
    if abs(gap - 0.05) < 0.01:
        return
    first = line(*a, width=one, id="a")
    second = line(*b, width=other, id="b")
    assert found(first, second) == (gap < 0.05)


@pytest.mark.parametrize("gap", [-0.5, 0.0, 0.04, 0.06, 0.5, 30.0])
def test_many_parts_touch_a_line_as_few_do(gap: float) -> None:
    """A zigzag with bevelled corners is 1,600 small areas; its ends reach to 20 and 80 mm."""
    points = [(50 + i * 0.05, 80.0 if i % 2 else 20.0) for i in range(801)]
    cut_off = Stroke((Path.from_points(points),), 0.1, Role.ART, id="zigzag", join="bevel")
    # The last part all but stands upright: a corner of its square end is half a width beside it.
    side = 50 + 800 * 0.05 + 0.05 + gap + 0.5
    assert found(cut_off, line(side, 10, side, 90, width=1.0, id="beside")) == (gap < 0.05)
    assert found(cut_off, square(10, 10, 100, role=Role.GUIDE)) == 0  # lies on it


@given(st.floats(-60, 60), st.floats(-60, 60), st.floats(1, 30), st.floats(1, 30))
def test_two_round_areas_touch_by_their_radii(x: float, y: float, r: float, s: float) -> None:
    """Two discs meet when their middles are no further apart than both radii; a small one within
    a large one lies on it."""
    apart = math.hypot(x, y)
    if abs(apart - (r + s)) < 0.2 or abs(apart - abs(r - s)) < 0.2:
        return
    a = Fill((Path.circle((0, 0), r),), Role.ART, id="a")
    b = Fill((Path.circle((x, y), s),), Role.ART, id="b")
    assert found(a, b) == (abs(r - s) < apart < r + s)


def test_the_true_lines_of_a_picture_count_and_not_its_box() -> None:
    picture = picture_in(find("leaf"), BBox(50, 50, 150, 150), id="picture-1")
    box = BBox.around([picture.at.apply((b, c)) for b, c in corners(picture.artwork.bbox)])
    in_the_corner = line(box.x0, box.y1 - 1, box.x0 + 3, box.y1 - 1)
    across = line(box.x0, box.center[1], box.x1, box.center[1])
    assert found(picture, in_the_corner) == 0
    assert found(picture, across) == 1


def corners(box: BBox) -> list[tuple[float, float]]:
    return list(itertools.product((box.x0, box.x1), (box.y0, box.y1)))


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("name", KINDS)
def test_nothing_touches_on_the_pages_of_any_kind(name: str, paper: Any) -> None:
    source = Source(load("tide-side-harbour"))
    slow = name in ("pieces", "picture-puzzle", "colour-copy")
    hands: list[Any] = ["left" if paper is A4 else "right"] if slow else ["left", "right"]
    inks: list[Any] = ["normal", "saver"]
    for stage, hand, ink, needs in itertools.product(range(7), hands, inks, ((), ("low-vision",))):
        options = Options(paper=paper, hand=hand, ink=ink, needs=needs, name="Gigi")
        sheet = make_sheet(name, source, stage, options)
        assert [f.mark for f in sheet.findings if f.limit == "overlap" and f.outside] == []
