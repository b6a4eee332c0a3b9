"""Where a finding is: the marks that it means and the point of them, in mm, by closed forms."""

from __future__ import annotations

import dataclasses
import math

import pytest

from shapes.affine import Affine
from shapes.path import Arc, BBox, Path
from sheets.check.where import ELEMENT, Where, from_top_left, named, where
from sheets.page.model import WHITE, Artwork, Fill, Finding, Mark, Page, Paper, Place, Role, Stroke
from sheets.page.model import Text as Words
from tests.mutations import bitten, box, cut, line, page, slotted, star

SQUARE = Path.from_points([(100, 100), (160, 100), (160, 160), (100, 160)], closed=True)


def place_of(limit: str, mark: str, *marks: Mark) -> Where | None:
    return where(page(*marks), Finding(limit, 0.0, "", "mm", "our setting", "", True, mark))


def at(limit: str, mark: str, *marks: Mark) -> tuple[float, float]:
    found = place_of(limit, mark, *marks)
    assert found is not None
    return found.at


# --- which marks ----------------------------------------------------------------------------------


def test_names_are_by_role_and_counted_each_for_itself() -> None:
    marks: list[Mark] = [
        Stroke((line(20),), 1.0, Role.CUT), Stroke((line(20),), 1.0, Role.ENTRY),
        box(9, 9, Role.ART, ""), box(9, 9, Role.ART, ""), Words(1, 1, "b", 9, Role.LETTER),
        Stroke((line(20),), 1.0, Role.CUT), box(9, 9, Role.ANSWER_SPACE, ""),
    ]  # fmt: skip
    assert [mark.id for mark in named(page(*marks)).marks] == [
        "line-1", "entry-1", "picture-1", "picture-2", "letter-1", "line-2", "answer-space-1",
    ]  # fmt: skip
    kept = page(box(9, 9, Role.ART, "own"), box(9, 9, Role.ART, "own"))
    assert named(kept) == kept


def test_the_place_is_the_box_round_all_that_is_meant() -> None:
    left, right = box(20, 30, Role.TARGET, "a", 100, 200), box(10, 10, Role.TARGET, "b", 300, 100)
    found = place_of("item gap", "a, b", left, right)
    assert found is not None
    assert found.box == BBox(100, 100, 310, 230)
    assert found.at == (210.0, 155.0)  # halfway from (120, 200) to (300, 110)
    alone = place_of("item gap", "a, gone", left, right)
    assert alone is not None
    assert (alone.box, alone.at) == (BBox(100, 200, 120, 230), (110.0, 215.0))
    assert place_of("item gap", "gone, lost", left, right) is None


def test_a_name_with_a_comma_is_one_name() -> None:
    odd = box(20, 20, Role.TARGET, "salt, pepper", 100, 100)
    assert at("target size", "salt, pepper", odd, box(9, 9, Role.ART, "salt")) == (110.0, 110.0)


def test_marks_of_one_name_are_one_thing_in_the_middle_of_which_it_is() -> None:
    frame, inner = cut(SQUARE, width=2.0, id="card"), box(40, 10, Role.CARD, "card", 150, 155)
    found = place_of("card size", "card", frame, inner)
    assert found is not None
    assert found.box == BBox(99, 99, 190, 165)
    assert found.at == (144.5, 132.0)


def test_of_an_item_it_is_what_there_is_to_choose_or_fill() -> None:
    marks = [
        dataclasses.replace(box(20, 20, role, role.value, x, 300.0), item=item)
        for role, x, item in ((Role.CHOICE, 100.0, 2), (Role.ANSWER_SPACE, 200.0, 2),
                              (Role.TARGET, 900.0, 2), (Role.CHOICE, 500.0, 1))
    ]  # fmt: skip
    found = place_of("choices", "item 2", *marks)
    assert found is not None
    assert found.box == BBox(100, 300, 220, 320)
    other = place_of("choices", "item 1", *marks)
    assert other is not None
    assert other.box == BBox(500, 300, 520, 320)
    assert place_of("choices", "item 3", *marks) is None


def test_the_lines_of_a_mark_are_counted_without_its_dots() -> None:
    """A line from 0.05 mm on, as where they are cut."""
    dot, least = Path.line((0, 500), (0.04, 500)), Path.line((0, 600), (0.05, 600))
    mark = cut(dot, least, line(20, 700, 100), id="two")
    assert at("cut length", "two 1", mark) == pytest.approx((0.025, 600))
    assert at("cut length", "two 2", mark) == (110, 700)
    other = cut(line(20, 800), line(20, 900), line(20, 950), id="other")
    assert at("cut length", "two 2", other, mark) == (110, 700)
    assert place_of("cut length", "two 3", mark) is None
    assert place_of("cut length", "two 0", mark) is None
    assert place_of("cut length", "two 2", box(9, 9, Role.ART, "two")) is None


def test_a_mark_without_ink_is_nowhere() -> None:
    nothing = Stroke((), 1.0, Role.FURNITURE, id="bar-x")
    assert place_of("bar length", "bar-x", nothing) is None
    assert place_of("text size", "word", Words(5, 5, " ", 20, Role.GUIDE, id="word")) is None
    found = place_of("overlap", "bar-x, a", nothing, box(10, 10, Role.ART, "a", 100, 100))
    assert found is not None
    assert found.at == (105, 105)


def test_ids_of_the_file_are_told_once_each() -> None:
    one, two = (cut(line(20, y), id=f"line-{y}") for y in (400, 500))
    tagged = [dataclasses.replace(mark, data=((ELEMENT, text), ("more", "x")))
              for mark, text in ((one, "low"), (two, "high"))]  # fmt: skip
    word = Words(5, 5, "it", 20, Role.GUIDE, id="word")

    def told(mark: str, *marks: Mark) -> str:
        found = place_of("outline gap", mark, *marks, word)
        assert found is not None
        return found.element

    assert told("line-400, line-500", *tagged) == "low, high"
    assert told("line-400, line-500", one, tagged[1]) == "high"
    assert told("line-400, line-500", tagged[0], dataclasses.replace(tagged[0], id="line-500")) == (
        "low"
    )
    assert told("line-400, word", one) == ""


# --- which point ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "y", "expected"), [
    (30.0, 400.0, (30.0, 415.0)), (400.0, 35.0, (410.0, 35.0)),
    (940.0, 400.0, (960.0, 415.0)), (400.0, 920.0, (410.0, 950.0)),
])  # fmt: skip
def test_too_near_to_the_edge_is_the_side_that_is(
    x: float, y: float, expected: tuple[float, float]
) -> None:
    """On paper of 1000 mm; a thing of 20 by 30."""
    assert at("edge distance", "thing", box(20, 30, Role.ART, "thing", x, y)) == expected


def test_an_open_line_has_its_place_on_it() -> None:
    assert at("cut length", "cut", cut(line(40, 500, 200))) == (220, 500)
    bent = Path.from_points([(100, 100), (200, 100), (200, 400)])
    assert at("cut length", "cut", cut(bent)) == (200, 100)
    zigzag = Path.from_points([(100, 100), (200, 100), (200, 400), (300, 400), (300, 500)])
    assert at("cut length", "cut", cut(zigzag)) == (200, 400)
    x, y = at("cut length", "cut", cut(Path((Arc((500, 500), 80, 0, 90),))))
    assert math.dist((x, y), (500, 500)) == pytest.approx(80, abs=0.2)
    assert math.degrees(math.atan2(y - 500, x - 500)) == pytest.approx(45, abs=5)


def test_an_outline_is_pointed_at_on_its_highest_point() -> None:
    x, y = at("cut length", "cut", cut(Path.circle((300, 300), 50, 200.0)))
    assert (x, y) == pytest.approx((300, 350), abs=4)
    assert y == pytest.approx(350, abs=0.2)
    assert at("piece size", "cut", cut(Path.circle((300, 300), 50))) == (300, 300)


def test_several_lines_of_one_mark_have_its_middle_and_one_of_them_its_own() -> None:
    two = cut(SQUARE, line(40, 300, 300), width=2.0, id="two")
    assert at("line width", "two", two) == (220.0, 200.0)
    assert at("cut length", "two 1", two)[1] == 160
    assert at("cut length", "two 2", two) == (320, 300)


def test_what_encloses_nothing_has_its_middle() -> None:
    flat = Path.from_points([(100, 100), (200, 200), (150, 150)], closed=True)
    assert at("neck", "cut", cut(flat)) == (150, 150)


def test_narrow_places_and_bends_are_where_they_were_measured() -> None:
    """The slot of a square about (500, 500), 20 mm wide and open above; the half circle taken out
    of its upper side, of which every point is 30 mm from (500, 600)."""
    x, y = at("notch", "cut", cut(slotted(20.0)))
    assert x == pytest.approx(500, abs=1)
    assert 480 <= y <= 600
    assert math.dist(at("hollow radius", "cut", cut(bitten(30.0))), (500, 600)) == pytest.approx(
        30, abs=0.3
    )
    bend = Path((Arc((300, 300), 40, 0, 120),))
    assert math.dist(at("bend radius", "cut", cut(bend)), (300, 300)) == pytest.approx(40, abs=0.3)
    # A circle has no hollow: it is pointed at like any outline.
    assert at("hollow radius", "cut", cut(Path.circle((300, 300), 50)))[1] == pytest.approx(
        350, abs=0.2
    )


def test_corners_are_pointed_at_where_the_sharpest_is() -> None:
    """Of a star of three points the tips are sharper than the hollows between; of a square with
    one corner drawn out and a wide notch above it, that corner; of its hollow ones the notch."""
    tips = [(500 + 150 * math.cos(a), 500 + 150 * math.sin(a))
            for a in (0.0, math.tau / 3, -math.tau / 3)]  # fmt: skip
    found = at("corners", "cut", cut(star(3, 150, 50)))
    assert min(math.dist(found, tip) for tip in tips) < 1.0
    root3 = math.sqrt(3.0)
    ring = [(0, 0), (150, 0), (100, 20), (80, 50), (100, 80), (100, 100), (0, 100)]
    notched = Path.from_points([(300.0 + x, 300.0 + y) for x, y in ring], closed=True)
    assert at("hollow corners", "cut", cut(notched)) == pytest.approx((380, 350), abs=0.5)
    assert at("interior angle", "cut", cut(notched)) == pytest.approx((450, 300), abs=0.5)
    # 2 arctan(20 / 35) = 59.49 degrees of the notch are sharper than the 60 of the tip.
    close = [(0, 0), (100, 0), (100, 30), (65, 50), (100, 70), (100, 100), (50, 100 + 50 * root3),
             (0, 100)]  # fmt: skip
    assert at("corners", "cut", cut(Path.from_points(close, closed=True))) == pytest.approx(
        (65, 50), abs=0.5
    )
    # None of them: the highest point, and of an open line the middle one.
    assert at("hollow corners", "cut", cut(SQUARE))[1] == 160
    bent = Path.from_points([(100, 100), (200, 100), (200, 400)])
    assert at("hollow corners", "cut", cut(bent)) == (200, 100)


def test_a_gap_is_halfway_between_what_is_drawn() -> None:
    """Words by their box, pictures by what is drawn and not white, lines by their middle."""
    word = Words(100, 300, "HH", 72, Role.GUIDE, id="word")
    found = place_of("overlap", "word", word)
    assert found is not None
    right = found.box.x1
    wall = cut(Path.line((400, 200), (400, 500)), id="wall")
    assert at("overlap", "word, wall", word, wall)[0] == pytest.approx((right + 400) / 2)

    ink = box(10, 10, Role.ART, "", 0, 0)
    white = Fill(box(300, 10, Role.ART, "", 0, 0).paths, Role.ART, colour=WHITE)
    art = Artwork("art", (white, ink), BBox(0, 0, 300, 10))
    shown = Place(art, Affine.scaling(2.0).then(Affine.translation(100, 300)), id="art")
    x, y = at("clearance", "art, wall", shown, wall)
    assert x == (120 + 400) / 2
    assert 300 <= y <= 320

    lanes = cut(line(50, 900, 500), line(50, 600, 500), id="lanes")
    floor = cut(line(50, 500, 500), id="floor")
    assert at("outline gap", "lanes 1, floor", lanes, floor)[1] == 700
    assert at("outline gap", "lanes, floor", lanes, floor)[1] == 550


def test_a_picture_that_is_all_white_has_the_middle_of_both() -> None:
    art = Artwork("art", (Fill((SQUARE,), Role.ART, colour=WHITE),), BBox(100, 100, 160, 160))
    other = box(20, 20, Role.ART, "other", 300, 300)
    assert at("overlap", "art, other", Place(art, Affine(), id="art"), other) == (210, 210)


def test_a_dot_that_is_close_to_a_line_has_a_place_too() -> None:
    dot = Stroke((Path.line((300, 300), (300.0001, 300)),), 2.0, Role.GUIDE, id="dot")
    assert at("overlap", "dot, cut", dot, cut(line(20, 310, 290))) == pytest.approx((300, 305))


def test_three_names_have_the_middle_of_their_box() -> None:
    marks = [cut(line(10, 100, x), width=2.0, id=name)
             for name, x in (("a", 100), ("b", 300), ("c", 620))]  # fmt: skip
    assert at("size difference", "a, b, c", *marks) == (365, 100)


def test_whole_mm_from_the_upper_left_corner() -> None:
    upright = Page(Paper("sheet", 200, 300), ())
    assert from_top_left(upright, (10.4, 20.4)) == (10, 280)
    assert from_top_left(upright, (10.6, 20.6)) == (11, 279)
