"""How far a measured value may be off, and what counts as what: both sides of every such line.

Limits are read from the guidance; how far beyond them a value still counts as inside is said at the
head of ``sheets/check/check.py``: 0.05 mm, 1 % of a radius, half a degree.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

import pytest

from shapes.affine import Affine
from shapes.path import Arc, BBox, Cubic, Line, Path
from shapes.segments import Segment
from sheets.check import check as check_module
from sheets.check.check import _form, as_rows, check_page, is_flat, outside
from sheets.check.guidance import limits
from sheets.check.known import OutlineForm
from sheets.page.model import WHITE, Artwork, Fill, Finding, Mark, Place, Role, Stroke, Text
from tests.mutations import box, cut, dumb_bell, line, page, slotted, square_fill, zigzag

TURNS = (0.0, 37.0, 101.0, 200.0, 322.0)
"""Headings of no special direction, in degrees, beside the level one."""


def of(marks: Sequence[Mark], label: str, stage: int, skill: str = "cutting") -> list[Finding]:
    return [f for f in check_page(page(*marks), skill, stage) if f.limit == label]


def bound(stage: int, name: str) -> float:
    limit = limits("cutting", stage)[name]
    value = limit.maximum if limit.minimum is None else limit.minimum
    assert value is not None
    return value


def at_heading(points: Sequence[tuple[float, float]], turn_deg: float) -> list[tuple[float, float]]:
    """The points turned about (0, 0) and moved into the page."""
    m = Affine.rotation(turn_deg).then(Affine.translation(431.0, 517.0))
    return [m.apply(point) for point in points]


# --- every page -----------------------------------------------------------------------------------


def test_the_nearest_mark_and_every_one_too_near_to_the_edge_are_told() -> None:
    far, near, nearer = (
        box(20, 20, Role.ART, name, x) for name, x in (("far", 30), ("near", 5), ("nearer", 3))
    )
    found = of((near, far, nearer), "edge distance", 2)
    assert [(f.mark, f.measured) for f in found] == [("nearer", 3.0), ("near", 5.0)]
    assert [f.mark for f in of((far, box(9, 9, Role.ART, "inner")), "edge distance", 2)] == ["far"]


@pytest.mark.parametrize(("off", "inside"), [(0.04, True), (0.06, False)])
def test_an_edge_distance_may_be_off_by_a_twentieth(off: float, inside: bool) -> None:
    x = bound(2, "edge_distance") - off
    (found, *others) = of((box(9, 9, Role.ART, "a", x), box(9, 9, Role.ART, "b", x, 400.0)),
                          "edge distance", 2)  # fmt: skip
    assert found.outside is not inside
    assert len(others) == (0 if inside else 1)


@pytest.mark.parametrize(("x", "y", "distance"), [
    (7.0, 300.0, 7.0), (300.0, 8.0, 8.0), (971.0, 300.0, 9.0), (300.0, 960.0, 10.0),
])  # fmt: skip
def test_each_edge_of_the_paper_is_one(x: float, y: float, distance: float) -> None:
    """On paper of 1000 mm; a thing of 20 by 30."""
    (found,) = of((box(20, 30, Role.ART, "thing", x, y),), "edge distance", 2)
    assert found.measured == distance


@pytest.mark.parametrize("role", [Role.CUT, Role.ENTRY, Role.FOLD, Role.ADULT])
@pytest.mark.parametrize(("start", "end", "rest"), [
    ((0.0, 300.0), (600.0, 300.0), 299.9),
    ((0.01, 300.0), (600.0, 300.0), 299.9),
    ((0.02, 300.0), (600.0, 300.0), -0.08),
    ((1000.0, 300.0), (500.0, 300.0), 299.9),
    ((999.98, 300.0), (500.0, 300.0), -0.08),
    ((300.0, 0.0), (300.0, 600.0), 299.9),
    ((700.0, 1000.0), (700.0, 600.0), 299.9),
    ((-40.0, 400.0), (1040.0, 400.0), 399.9),
])  # fmt: skip
def test_a_thin_line_runs_off_where_its_end_is_at_the_edge(
    role: Role, start: tuple[float, float], end: tuple[float, float], rest: float
) -> None:
    """What is left is the way from its ink, 0.2 mm wide, to the edges it does not run off."""
    mark = cut(Path.line(start, end), width=0.2, role=role)
    assert of((mark,), "edge distance", 2)[0].measured == pytest.approx(rest)


def test_only_lines_with_ends_run_off_and_only_some_roles() -> None:
    round_one = cut(Path.circle((50.0, 300.0), 50.0), width=2.0)
    assert of((round_one,), "edge distance", 4)[0].measured == -1.0
    lane = Stroke((Path.line((0.0, 300.0), (600.0, 300.0)),), 2.0, Role.TRACE, id="trace")
    assert of((lane,), "edge distance", 4)[0].measured == -1.0


def test_a_bar_is_as_long_as_its_longest_line_and_one_without_lines_has_none() -> None:
    two = Stroke((line(100.0), line(2.0, 300.0)), 0.25, Role.FURNITURE, id="bar-y")
    assert [f.measured for f in of((two,), "bar length", 2)] == [100.0]
    none = Stroke((), 0.25, Role.FURNITURE, id="bar-x")
    assert [(f.measured, f.outside) for f in of((none,), "bar length", 2)] == [(0.0, True)]
    other = Stroke((line(50.0),), 0.25, Role.FURNITURE, id="bar")
    drawn = Stroke((line(50.0),), 0.25, Role.ART, id="bar-x")
    assert of((other, drawn), "bar length", 2) == []


def test_every_pair_that_touches_is_told_once() -> None:
    marks = [box(40, 40, Role.TARGET, name, x) for name, x in (("a", 300.0), ("b", 330.0))]
    found = of(marks, "overlap", 2, "matching")
    assert [(f.measured, f.mark, f.outside) for f in found] == [(1.0, "a, b", True)]
    found = of(marks[:1], "overlap", 2, "matching")
    assert [(f.measured, f.mark, f.outside) for f in found] == [(0.0, "", False)]


def test_type_is_measured_where_the_child_has_words_and_contrast_where_it_has_lines() -> None:
    words = [Text(300, 300, text, 20.0, role, id=role.value + text.strip())
             for role in (Role.ADULT, Role.ANSWER_SPACE, Role.GUIDE) for text in ("it", " ")
             ]  # fmt: skip
    assert [f.mark for f in of(words, "text size", 2)] == ["answer-spaceit", "guideit"]
    lines = [Stroke((line(20),), 2.0, role, id=role.value) for role in Role]
    told = of(lines, "line contrast", 2)
    assert {f.mark for f in told} == {"cut", "entry", "fold", "trace"}
    assert {f.measured for f in told} == {21.0}  # WCAG 2: black on white


# --- lines to cut ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "lines"), [(0.04, 0.0), (0.05, 1.0), (0.06, 1.0)])
def test_what_is_shorter_than_a_twentieth_of_a_mm_is_a_dot(length: float, lines: float) -> None:
    mark = cut(Path.line((0.0, 300.0), (length, 300.0)))
    assert [f.measured for f in of((mark,), "cuts per page", 2)] == [lines]
    assert len(of((mark,), "line width", 2)) == lines


def test_dots_have_no_number_among_the_lines_of_a_mark() -> None:
    dot = Path.line((300.0, 700.0), (300.01, 700.0))
    one, two = cut(dot, line(20), id="one"), cut(dot, line(20, 600), line(30, 700), id="two")
    assert [f.mark for f in of((one, two), "cut length", 2)] == ["one", "two 1", "two 2"]


@pytest.mark.parametrize(("more", "inside"), [(0.04, True), (0.06, False)])
@pytest.mark.parametrize(("label", "stage"), [
    ("cut length", 2), ("piece size", 5), ("neck", 5), ("notch", 5), ("outline gap", 5),
    ("clearance", 5), ("steering index", 2), ("steering index", 4),
])  # fmt: skip
def test_a_length_may_be_off_by_a_twentieth(
    label: str, stage: int, more: float, inside: bool
) -> None:
    """A straight cut, a disc, two squares with a bar between, a slot, two lines, a line and a
    square, and the length of a line that may be followed in twice the tolerance."""
    name = label.replace(" ", "_")
    value = bound(stage, name if stage != 4 else f"open_{name}")
    corridor = 2.0 * bound(stage, "tolerance" if stage != 4 else "open_tolerance")
    less = value - more
    marks: dict[str, list[Mark]] = {
        "cut length": [cut(line(value + more))],
        "piece size": [cut(Path.circle((500, 500), less / 2.0))],
        "neck": [cut(dumb_bell(less))],
        "notch": [cut(slotted(less))],
        "outline gap": [cut(line(20)), cut(line(20, 512.7 + less), id="other")],
        "clearance": [cut(line(20)), square_fill(205, 506.35 + less, 10)],
        "steering index": [cut(line(value * corridor + more))],
    }
    (found,) = of(marks[label], label, stage)
    assert found.outside is not inside


@pytest.mark.parametrize(("width", "height"), [(80.0, 50.0), (50.0, 80.0)])
def test_the_size_of_a_piece_is_the_longer_side_of_its_box(width: float, height: float) -> None:
    ring = [(200.0, 200.0), (200 + width, 200.0), (200 + width, 200 + height), (200, 200 + height)]
    (found,) = of((cut(Path.from_points(ring, closed=True)),), "piece size", 5)
    assert (found.measured, found.outside) == (80.0, False)


@pytest.mark.parametrize(("more", "inside"), [(0.02, True), (-0.02, False)])
@pytest.mark.parametrize("stage", [4, 5])
def test_a_radius_may_be_off_by_a_hundredth_too(stage: int, more: float, inside: bool) -> None:
    """The smallest that passes: r + 0.05 + r / 100 = limit."""
    radius = (bound(stage, "bend_radius") - 0.05) / 1.01 + more
    (found,) = of((cut(Path((Arc((500, 500), radius, 10.0, 60.0),))),), "bend radius", stage)
    assert found.measured == round(radius, 2)
    assert found.outside is not inside


@pytest.mark.parametrize(("less", "inside"), [(0.45, True), (0.55, False)])
@pytest.mark.parametrize("stage", [3, 5])
def test_an_angle_may_be_off_by_half_a_degree(stage: int, less: float, inside: bool) -> None:
    angle = bound(stage, "interior_angle") - less
    (found,) = of((cut(zigzag(1, angle)),), "interior angle", stage)
    assert found.measured == round(angle, 2)
    assert found.outside is not inside


def test_the_sharpest_corner_of_a_line_is_told_and_all_are_counted() -> None:
    points = [(0.0, 0.0), (40.0, 0.0), (70.0, 30.0), (70.0, 90.0), (10.0, 100.0)]
    mark = cut(Path.from_points(at_heading(points, 0.0)))
    assert [f.measured for f in of((mark,), "corners", 5)] == [3.0]
    sharpest = 90.0 + math.degrees(math.atan2(10.0, 60.0))  # at (70, 90), the others have 135
    assert of((mark,), "interior angle", 5)[0].measured == pytest.approx(sharpest, abs=0.01)


def test_what_a_line_without_an_inside_has_no_measure_of() -> None:
    told = {f.limit for f in check_page(page(cut(zigzag(1, 90.0))), "cutting", 6)}
    assert "corners" in told
    assert not told & {"hollow radius", "hollow corners", "piece size", "neck", "notch"}


# --- straight parts and arcs are read off ---------------------------------------------------------


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The paths that had to be measured with the geometry library."""
    asked: list[Path] = []

    def measure(path: Path) -> OutlineForm:
        asked.append(path)
        return OutlineForm()

    monkeypatch.setattr(check_module, "measured_form", measure)
    return asked


@pytest.mark.parametrize("heading", TURNS)
@pytest.mark.parametrize("turn_deg", [16.0, 75.0, 90.0, 130.0, 170.0])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_angle_between_two_straight_parts(
    measured: list[Path], heading: float, turn_deg: float, side: float
) -> None:
    a = math.radians(turn_deg) * side
    points = [(0.0, 0.0), (30.0, 0.0), (30.0 + 20.0 * math.cos(a), 20.0 * math.sin(a))]
    form = _form(Path.from_points(at_heading(points, heading)))
    assert form.angles == pytest.approx((180.0 - turn_deg,))
    assert measured == []


@pytest.mark.parametrize(("segments", "plain"), [
    ((Line((0, 0), (4, 0)),), True),
    ((Line((0, 0), (5, 0)), Line((5, 0), (5, 5))), True),
    ((Line((0, 0), (5, 0)), Line((5, 0), (5, 4.9))), False),
    ((Line((0, 0), (4.9, 0)), Line((4.9, 0), (4.9, 5))), False),
    ((Cubic((0, 0), (20, 0), (40, 0), (60, 0)),), False),
    ((Line((0, 0), (9, 0)), Cubic((9, 0), (20, 0), (40, 0), (60, 0))), False),
    ((Arc((0, 0), 5.0, 0, 30),), True),
    ((Arc((0, 0), 5.0, 0, -30),), True),
    ((Arc((0, 0), 4.9, 0, 30),), False),
    ((Arc((0, 0), 5.0, 0, 29),), False),
    ((Arc((0, 0), 5.0, 0, -29),), False),
    ((Arc((0, 0), 9.0, 0, 90), Line((0, 9), (-9, 9))), False),
])  # fmt: skip
def test_short_parts_may_be_chords_of_a_curve(
    measured: list[Path], segments: tuple[Segment, ...], plain: bool
) -> None:
    """Straight parts from 5 mm on and arcs of 5 mm and 30 degrees are what they look like; one
    straight line is so at any length."""
    form = _form(Path(segments))
    assert (measured == []) is plain
    if plain:
        assert form.bend == (5.0 if isinstance(segments[0], Arc) else None)


@pytest.mark.parametrize("heading", TURNS)
@pytest.mark.parametrize(("height", "flat"), [(0.09, True), (0.11, False), (-0.09, True),
                                              (-0.11, False)])  # fmt: skip
@pytest.mark.parametrize("first", [0, 1])
def test_what_is_within_a_tenth_of_a_line_encloses_nothing(
    heading: float, height: float, flat: bool, first: int
) -> None:
    """A triangle of 60 mm, drawn from one end of it or the other."""
    points = at_heading([(0.0, 0.0), (60.0, 0.0), (25.0, height)], heading)
    path = Path.from_points([*points[first:], *points[:first]], closed=True)
    assert is_flat(path) is flat


# --- ways in --------------------------------------------------------------------------------------


def joined(outline: Path, way: Path) -> list[float | str]:
    """Corners where a way in meets an outline, the same whichever end the way is drawn from."""
    own = cut(outline, id="own")
    there, back = (
        [f.measured for f in of((own, cut(path, id="way", role=Role.ENTRY)), "corners", 5)
         if f.mark == "way, own"]
        for path in (way, way.reversed())
    )  # fmt: skip
    assert there == back
    return there


@pytest.mark.parametrize("heading", TURNS)
@pytest.mark.parametrize(("turn_deg", "corner"), [(0.0, 0.0), (14.5, 0.0), (15.5, 1.0),
                                                  (90.0, 1.0)])  # fmt: skip
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_way_in_may_turn_by_less_than_fifteen_degrees(
    heading: float, turn_deg: float, corner: float, side: float
) -> None:
    """Into the lower side of a square, whichever way round it is drawn."""
    square = at_heading([(-50.0, 0.0), (50.0, 0.0), (50.0, 100.0), (-50.0, 100.0)], heading)
    a = math.radians(turn_deg)
    way = at_heading([(-90.0 * side * math.cos(a), -90.0 * math.sin(a)), (0.0, 0.0)], heading)
    for ring in (square, square[::-1]):
        found = joined(Path.from_points(ring, closed=True), Path.from_points(way))
        assert found == [corner]


@pytest.mark.parametrize(("apart", "meet"), [(0.29, True), (0.31, False)])
def test_a_way_in_meets_its_line_within_three_tenths(apart: float, meet: bool) -> None:
    circle = Path.circle((500.0, 500.0), 60.0, 0.0)
    assert joined(circle, Path.line((100.0, 500.0), (440.0 - apart, 500.0))) == [1.0] * meet


@pytest.mark.parametrize("heading", TURNS)
@pytest.mark.parametrize(("turn_deg", "corner"), [(10.0, 0.0), (20.0, 1.0), (170.0, 1.0)])
def test_an_open_line_goes_on_from_where_the_way_in_meets_it(
    heading: float, turn_deg: float, corner: float
) -> None:
    a = math.radians(turn_deg)
    way = at_heading([(-80.0, 0.0), (0.0, 0.0)], heading)
    on = at_heading([(0.0, 0.0), (50.0 * math.cos(a), 50.0 * math.sin(a))], heading)
    for points in (on, on[::-1]):
        assert joined(Path.from_points(points), Path.from_points(way)) == [corner]


def test_a_curved_way_in_turns_by_what_is_left_at_its_end() -> None:
    """Quarters of a circle that end along the right side of a square, and square on to its left
    one, along which they begin."""
    square = Path.from_points([(400, 400), (500, 400), (500, 500), (400, 500)], closed=True)
    assert joined(square, Path((Arc((450, 450), 50, -90, 90),))) == [0.0]
    assert joined(square, Path((Arc((400, 400), 50, 180, -90),))) == [1.0]


@pytest.mark.parametrize(("past", "touching"), [(0.04, True), (0.06, False)])
@pytest.mark.parametrize("backward", [True, False])
def test_a_way_in_belongs_to_the_outline_whose_line_it_reaches(
    past: float, touching: bool, backward: bool
) -> None:
    """Half of the outline's printed line and 0.05 mm."""
    own = cut(Path.circle((500, 500), 60, 180.0), width=6.0, id="own")
    ends = ((200.0, 500.0), (440.0 - 3.0 - past, 500.0))
    way = Path.line(*(ends[::-1] if backward else ends))
    found = of((own, cut(way, width=2.0, id="way", role=Role.ENTRY)), "outline gap", 4)
    assert [f.measured for f in found] == ([] if touching else [0.0])


# --- gaps and clearance ---------------------------------------------------------------------------


def test_of_gaps_that_count_as_inside_the_smallest_is_told() -> None:
    least = bound(5, "outline_gap")
    rows = [500.0, 500.0 + least - 0.04 + 2.0, 500.0 + 2 * (least - 0.03 + 2.0)]
    lines = [cut(line(20, y), width=2.0, id=f"at-{i}") for i, y in enumerate(rows)]
    found = of(lines, "outline gap", 5)
    assert [(f.measured, f.mark) for f in found] == [(round(least - 0.04, 2), "at-0, at-1")]


@pytest.mark.parametrize(("apart", "told"), [(0.04, 0), (0.06, 1)])
def test_lines_of_one_mark_that_meet_are_one_thing_to_cut(apart: float, told: int) -> None:
    upper, lower = Path.line((300, 300), (300, 400)), Path.line((300, 400 + apart), (300, 500))
    assert len(of((cut(upper, lower, id="lanes"),), "outline gap", 2)) == told
    assert len(of((cut(upper, id="a"), cut(lower, id="b")), "outline gap", 2)) == 1


def test_two_ways_in_are_as_far_apart_as_two_outlines() -> None:
    ways = [cut(line(100, y), id=name, role=Role.ENTRY) for name, y in (("a", 500), ("b", 530))]
    assert [f.measured for f in of(ways, "outline gap", 4)] == [17.3]


def test_only_artwork_with_ink_keeps_clear_of_lines() -> None:
    lane = cut(line(100))
    white = Fill(square_fill(240, 495, 10).paths, Role.ART, id="white", colour=WHITE)
    art = Artwork("white", (white,), BBox(240, 495, 250, 505))
    others: list[Mark] = [
        Place(art, Affine(), id="white"), Text(240, 500, "duck", 20, Role.ART, id="word"),
        Stroke((), 1.0, Role.ART, id="nothing"), square_fill(240, 495, 10, Role.MODEL),
    ]  # fmt: skip
    assert of((lane, *others), "clearance", 2) == []
    (found,) = of((lane, *others, square_fill(240, 530, 10)), "clearance", 2)
    assert (found.measured, found.mark) == (30.0 - 6.35, "duck, cut")


def test_every_picture_too_near_is_told_nearest_first() -> None:
    """At stage 2 they keep 6 mm off; the third one does."""
    art = [square_fill(205 + 30 * i, 500.25 + gap, 10, id=f"at-{gap:g}")
           for i, gap in enumerate((4.0, 2.0, 9.0))]  # fmt: skip
    found = of((cut(line(100), width=0.5), *art), "clearance", 2)
    assert [(f.measured, f.mark) for f in found] == [(2.0, "at-2, cut"), (4.0, "at-4, cut")]


# --- rows -----------------------------------------------------------------------------------------


def test_rows_are_what_the_findings_say() -> None:
    findings = check_page(page(cut(line(400.0), id="long")), "cutting", 2)
    (row,) = (row for row in as_rows(findings) if row["limit"] == "cut length")
    assert json.loads(json.dumps(row)) == {
        "limit": "cut length", "measured": 400.0, "allowed": "at most 152.4", "unit": "mm",
        "basis": row["basis"], "source": row["source"], "outside": True, "mark": "long",
    }  # fmt: skip
    assert [f.limit for f in outside(findings)] == ["cut length", "steering index"]
