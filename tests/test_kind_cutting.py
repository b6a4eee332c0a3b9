"""Cutting pages: each stage within guidance, the picture inside its outline, the same frame."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re

import pytest

from shapes.affine import Point
from shapes.basic import SHAPES
from shapes.errors import FitError, InputError
from shapes.path import BBox, Path
from shapes.pictures.pictures import curated, find
from sheets.check.distances import box_gap, ink_box, line_gap
from sheets.files.theme_file import load
from sheets.kinds.cutting.slipway import Turn
from sheets.kinds.cutting.suits import not_harder, remark_for, stage_scores
from sheets.kinds.cutting.task import CuttingTask
from sheets.kinds.options import Hand, Options
from sheets.page.frame import A4, LETTER, Frame, rectangle
from sheets.page.marks import mark_bbox
from sheets.page.model import LANE_TINT, Fill, Mark, Page, Paper, Place, Role, Sheet, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.making import cutting, make

from_theme = cutting.from_theme

STAGES = range(7)


def marks_of(page: Page, role: Role) -> list[Stroke]:
    return [mark for mark in page.marks if isinstance(mark, Stroke) and mark.role is role]


def outside(sheet: Sheet) -> list[str]:
    return [finding.sentence() for finding in sheet.findings if finding.outside]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("hand", ["left", "right", "either"])
@pytest.mark.parametrize("word", [None, "duck"])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_every_stage_is_within_guidance(
    stage: int, hand: Hand, word: str | None, paper: Paper
) -> None:
    task = CuttingTask(stage, find(word) if word else None)
    assert outside(make(task, Options(paper=paper, hand=hand, name="Zuzë"))) == []


@pytest.mark.parametrize(
    ("name", "stage"), [(name, stage) for name, row in SHAPES.items() for stage in row.stages]
)
def test_every_practice_shape_is_within_the_guidance_of_its_stages(name: str, stage: int) -> None:
    assert outside(make(CuttingTask(stage, shape=name), Options(hand="right"))) == []


def test_curated_pictures_keep_the_limits_at_stages_2_to_6() -> None:
    """A third of them at each stage, each picture at one stage at least."""
    found = {
        (word.text, stage): problems
        for stage in range(2, 7)
        for word in curated()[stage % 3 :: 3]
        if (problems := outside(make(CuttingTask(stage, find(word.code)), Options())))
    }
    assert found == {}


def test_one_outline_contains_the_picture() -> None:
    from shapely import LinearRing, Polygon
    from shapely.affinity import affine_transform

    from shapes.pictures.silhouette import silhouette

    for word in curated()[::12]:
        picture = find(word.code)
        for stage in (4, 5, 6):
            page = make(CuttingTask(stage, picture, pieces=1), Options()).pages[0]
            (outline,) = [path for mark in marks_of(page, Role.CUT) for path in mark.paths]
            assert outline.closed
            (shown,) = [m for m in page.marks if isinstance(m, Place) and m.id == "picture-1"]
            longest = max(picture.bbox.width, picture.bbox.height) * shown.at.a
            x, y = shown.at.apply((picture.bbox.x0, picture.bbox.y0))
            shape = affine_transform(silhouette(picture, longest), [1, 0, 0, 1, x, y])
            ring = LinearRing(outline.flatten(0.005))
            assert Polygon(ring).covers(shape), (word.text, stage)
            assert ring.distance(shape) >= 3.0 - 1e-9, (word.text, stage)


@pytest.mark.parametrize("stage", [2, 3])
def test_straight_cuts_leave_a_rectangle_round_each_picture(stage: int) -> None:
    page = make(CuttingTask(stage, find("fish")), Options()).pages[0]
    (lanes,) = marks_of(page, Role.CUT)
    ys = sorted(path.start[1] for path in lanes.paths)
    x0, x1 = lanes.paths[0].bbox.x0, lanes.paths[0].bbox.x1
    shown = [m for m in page.marks if isinstance(m, Place) and m.id.startswith("picture")]
    assert len(shown) == len(ys) - 1
    for place in shown:
        box = mark_bbox(place)
        piece = next(
            BBox(x0, low + lanes.width / 2, x1, high - lanes.width / 2)
            for low, high in itertools.pairwise(ys)
            if low < box.center[1] < high
        )
        assert piece.grown(-6.0).contains(box, tolerance=0.01)


def test_frame_title_and_picture_are_the_same_at_every_stage() -> None:
    for word in (None, "turtle"):
        seen = set()
        for stage in STAGES:
            page = make(
                CuttingTask(stage, find(word) if word else None), Options(name="Bo", hand="left")
            ).pages[0]
            seen.add(
                tuple(
                    (mark.id, tuple(round(v, 1) for v in place_of(mark)))
                    for mark in page.marks
                    if mark.id in ("name-line", "name", "title", "say", "badge", "bar-x")
                )
            )
        assert len(seen) == 1


def place_of(mark: Mark) -> tuple[float, ...]:
    """Where a mark stands: the words of titles differ, their start and size do not."""
    if isinstance(mark, Text):
        return (mark.x, mark.y, mark.size_pt)
    return dataclasses.astuple(mark_bbox(mark))


@pytest.mark.parametrize("stage", STAGES)
def test_no_stage_or_score_on_the_childs_side(stage: int) -> None:
    page = make(CuttingTask(stage, find("duck")), Options(name="Bo")).pages[0]
    words = [m.text for m in page.marks if isinstance(m, Text) and m.role is not Role.ADULT]
    title = {0: "Fold and tear", 1: "Snip, snip, snip", 2: "Cut all the way across"}
    title[3] = title[2]
    assert words == ["Bo", title.get(stage, "Cut out the duck")]
    assert not any(re.search(r"stage|level|score|easy|hard", word, re.I) for word in words)


@pytest.mark.parametrize("word", ["fish", "duck", "star", "house", "giraffe", "snake"])
@pytest.mark.parametrize("hand", ["left", "right", "either"])
@pytest.mark.parametrize("stage", [4, 5, 6])
def test_each_way_in_comes_from_below_or_the_hands_edge_and_runs_on_into_its_outline(
    stage: int, hand: Hand, word: str
) -> None:
    """The scissors go straight on: at most 1 degree between the way in and the outline."""
    sheet = make(CuttingTask(stage, find(word)), Options(hand=hand))
    page = sheet.pages[0]
    entries = [path for mark in marks_of(page, Role.ENTRY) for path in mark.paths]
    outlines = [path for mark in marks_of(page, Role.CUT) for path in mark.paths]
    assert len(entries) == len(outlines)
    turned = False
    for entry, outline in zip(entries, outlines, strict=True):
        (x, y), (ex, _) = entry.start, entry.end
        middle = outline.bbox.center[0]
        if y > 0.0:
            turned = True
            assert x <= 0.0 if hand == "left" else x >= 215.9
        assert ex < middle if hand == "left" and y <= 0.0 else True
        assert line_gap(entry, outline) < 0.1
        dx, dy = entry.segments[0].tangent_at(1.0)
        assert min(turn_at(outline, entry.end, (dx, dy))) < 1.0
    assert any("tummy" in note for note in sheet.adult_lines) == turned


def turn_at(outline: Path, at: Point, direction: Point) -> list[float]:
    """Degrees between a direction and the outline's own, either way, where it passes a point."""
    turns = []
    for segment in outline.segments:
        for i in range(721):
            x, y = segment.point_at(i / 720)
            if math.dist((x, y), at) < 0.2:
                tx, ty = segment.tangent_at(i / 720)
                turn = math.degrees(
                    abs(
                        math.atan2(
                            direction[0] * ty - direction[1] * tx,
                            direction[0] * tx + direction[1] * ty,
                        )
                    )
                )
                turns.append(min(turn, 180.0 - turn))
    return turns


def test_stage_0_has_folds_where_stage_2_has_lanes() -> None:
    tear = make(CuttingTask(0, find("duck")), Options()).pages[0]
    cut = make(CuttingTask(2, find("duck")), Options()).pages[0]
    assert marks_of(tear, Role.CUT) == []
    (folds,), (lanes,) = marks_of(tear, Role.FOLD), marks_of(cut, Role.CUT)
    assert folds.paths == lanes.paths
    pieces = [[mark.at for mark in page.marks if isinstance(mark, Place)] for page in (tear, cut)]
    assert pieces[0] == pieces[1]


def test_stage_1_strips_are_25_mm_and_snips_go_right_through() -> None:
    page = make(CuttingTask(1, find("duck")), Options()).pages[0]
    (snips,) = marks_of(page, Role.CUT)
    assert len(snips.paths) == 8
    assert {round(path.length, 6) for path in snips.paths} == {25.0}


def test_arrow_only_on_request() -> None:
    def arrows(task: CuttingTask) -> list[Stroke]:
        page = make(task, Options()).pages[0]
        return [mark for mark in marks_of(page, Role.GUIDE) if mark.id == "turn-arrow"]

    picture = find("fish")
    assert arrows(CuttingTask(6, picture)) == []
    (one,) = arrows(CuttingTask(6, picture, turn="clockwise"))
    (other,) = arrows(CuttingTask(6, picture, turn="anticlockwise"))
    assert one != other


def test_pieces_lie_one_above_the_other_with_the_gap() -> None:
    page = make(CuttingTask(5, find("fish"), pieces=2), Options()).pages[0]
    outlines = [path.bbox for mark in marks_of(page, Role.CUT) for path in mark.paths]
    assert len(outlines) == 2
    assert outlines[0].y0 - outlines[1].y1 - 4.8 >= 20.0 - 1e-6


@pytest.mark.parametrize("stage", [3, 4, 5, 6])
def test_ink_saver_keeps_a_pale_tint_and_the_dot(stage: int) -> None:
    page = make(CuttingTask(stage, find("fish")), Options(ink="saver", hand="right")).pages[0]
    for mark in marks_of(page, Role.CUT):
        assert mark.lane is not None
        usual, paler = (int(tint[1:3], 16) for tint in (LANE_TINT, mark.lane.tint))
        assert usual < paler < 255
    dots = [m for m in page.marks if isinstance(m, Fill) and "start" in m.id]
    assert dots


def test_low_vision_has_wider_lines_bolder_edges_and_fewer_pieces() -> None:
    low = Options(needs=("low-vision",))
    for stage in (1, 2, 3, 4, 5, 6):
        task = CuttingTask(stage, find("fish"))
        plain, bold = make(task, Options()).pages[0], make(task, low).pages[0]
        assert outside(make(task, low)) == []
        (one, *_), (other, *_) = marks_of(plain, Role.CUT), marks_of(bold, Role.CUT)
        assert other.width >= one.width
        assert other.lane is not None
        assert other.lane.edge >= 3.0 * (one.lane.edge if one.lane else 0.0)
        counts = [sum(len(m.paths) for m in marks_of(p, Role.CUT)) for p in (plain, bold)]
        assert counts[1] <= counts[0]
    assert one.lane is None or one.width < other.width


@pytest.mark.parametrize("turn", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("word", ["duck", "boat", "fish", "star", "house"])
@pytest.mark.parametrize("stage", [4, 5, 6])
def test_the_arrow_stands_beside_the_way_in_and_touches_nothing(
    stage: int, word: str, turn: Turn
) -> None:
    for paper, hand in ((LETTER, "right"), (A4, "left")):
        task = CuttingTask(stage, find(word), turn=turn)
        page = make(task, Options(paper=paper, hand=hand)).pages[0]  # type: ignore[arg-type]
        (arrow,) = [mark for mark in marks_of(page, Role.GUIDE) if mark.id == "turn-arrow"]
        cuts = [*marks_of(page, Role.CUT), *marks_of(page, Role.ENTRY)]
        for cut in cuts:
            gap = min(line_gap(a, b) for a in arrow.paths for b in cut.paths)
            assert gap - (cut.width + arrow.width) / 2.0 > 0.8
        entries = [path for mark in marks_of(page, Role.ENTRY) for path in mark.paths]
        assert min(line_gap(arrow.paths[0], path) for path in entries) < 8.0
        box = mark_bbox(arrow)
        for mark in page.marks:
            if isinstance(mark, Text):
                other = mark_bbox(mark)
                assert box_gap(box, other) > 0.0


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("hand", ["left", "right"])
def test_no_words_lie_on_a_line_to_cut(paper: Paper, hand: Hand) -> None:
    for word, stage in itertools.product(["boat", "duck", "fish", "house", "car"], (4, 5, 6)):
        page = make(CuttingTask(stage, find(word)), Options(paper=paper, hand=hand)).pages[0]
        texts = [ink_box(mark) for mark in page.marks if isinstance(mark, Text)]
        for cut in [*marks_of(page, Role.CUT), *marks_of(page, Role.ENTRY)]:
            for path in cut.paths:
                for box in texts:
                    if box is not None:
                        edge = rectangle(box)
                        assert line_gap(path, edge) - cut.width / 2.0 > 0.0, (word, stage, cut.id)


def test_hills_stand_over_a_picture_from_edge_to_edge() -> None:
    for count in (1, 2, 3):
        task = CuttingTask(4, find("duck"), shape="hill", pieces=count)
        sheet = make(task, Options(hand="right"))
        assert outside(sheet) == []
        (hills,) = marks_of(sheet.pages[0], Role.CUT)
        pictures = [m for m in sheet.pages[0].marks if isinstance(m, Place) and m.id != "badge"]
        assert (len(hills.paths), len(pictures)) == (count, count)
        assert all(not path.closed and path.length <= 152.4 for path in hills.paths)
        xs = [m.paths[0].start[0] for m in marks_of(sheet.pages[0], Role.ADULT)]
        sides = [x for x in xs if x > 0.0]
        for path in hills.paths:
            assert path.bbox.x0 < min(sides)
            assert path.bbox.x1 > max(sides)


def test_hills_keep_the_limits_with_any_picture() -> None:
    for word in curated()[::25]:
        for count in (1, 3):
            task = CuttingTask(4, find(word.code), shape="hill", pieces=count)
            assert outside(make(task, Options())) == [], (word.text, count)


def test_three_that_are_as_wide_as_high_do_not_fit() -> None:
    with pytest.raises(FitError) as caught:
        make(CuttingTask(5, find("pita bread"), pieces=3), Options())
    assert str(caught.value) == (
        "pita bread: 3 of its outlines do not fit the page; use fewer pieces or another picture"
    )


def test_several_pieces_of_stage_4_are_hills() -> None:
    sheet = make(CuttingTask(4, find("duck"), pieces=2), Options())
    assert sheet.parameters["shape"] == "hill"


def test_a_theme_gives_hills_for_about_every_second_page_of_stage_4() -> None:
    theme = load(FIRST_THREE[0])
    tasks = [from_theme(theme, 4, Options(seed=seed)) for seed in range(40)]
    hills = sum(task.shape == "hill" for task in tasks)
    assert 10 <= hills <= 30
    assert all(task.picture is not None for task in tasks)


@pytest.mark.parametrize("name", ["circle", "oval", "square", "triangle", "heart", "soft"])
def test_the_shape_asked_for_goes_round_the_picture_and_is_named(name: str) -> None:
    sheet = make(CuttingTask(5, find("duck"), outline=name), Options())
    assert outside(sheet) == []
    assert sheet.parameters["shape"] == name
    assert any(line.startswith(f"Outline: {name}.") for line in sheet.adult_lines)


@pytest.mark.parametrize("name", ["house", "hexagon"])
def test_shapes_of_many_corners_are_for_stage_6(name: str) -> None:
    assert outside(make(CuttingTask(6, find("duck"), outline=name), Options())) == []


@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("stage", [5, 6])
@pytest.mark.parametrize("word", ["duck", "fish", "giraffe", "house", "star", "snake"])
def test_one_to_three_pieces_fit_a_page(word: str, stage: int, count: int) -> None:
    paper = (LETTER, A4)[(len(word) + count) % 2]
    sheet = make(CuttingTask(stage, find(word), pieces=count), Options(paper=paper))
    assert outside(sheet) == []
    assert sheet.parameters["cuts"] == count


def test_start_dots_show_the_hand() -> None:
    def dots(hand: Hand) -> list[float]:
        page = make(CuttingTask(3), Options(hand=hand)).pages[0]
        return [
            m.paths[0].bbox.center[0]
            for m in page.marks
            if isinstance(m, Fill) and m.role is Role.GUIDE
        ]

    middle = Frame(LETTER).work.center[0]
    assert dots("either") == []
    assert all(x > middle for x in dots("right"))
    assert all(x < middle for x in dots("left"))


def test_a_stage_no_harder_than_the_one_before_is_said_with_harder_pictures() -> None:
    assert not_harder({4: 7.5, 5: 12.0, 6: 7.6}) == (6,)
    assert not_harder({4: 7.5, 6: 7.0}) == ()
    picture = find("full moon")
    assert 6 in not_harder(stage_scores(picture))
    remark = remark_for(picture, 6)
    assert remark.startswith(
        "This picture's outline for stage 6 is not harder than the one for stage 5."
    )
    assert "Harder at this stage: " in remark
    lines = make(CuttingTask(6, picture, remark=remark), Options()).adult_lines
    assert remark in lines
    assert remark_for(find("duck"), 6) == ""


@pytest.mark.parametrize(
    ("task", "message"),
    [
        (CuttingTask(7), "`stage`: stage 7 does not exist; use a whole number, 0 to 6"),
        (CuttingTask(-1), "`stage`: stage -1 does not exist; use a whole number, 0 to 6"),
        (CuttingTask(5, pieces=0), "`pieces`: 0 pieces cannot be cut; use 1 or more"),
        (
            CuttingTask(5, shape="blob"),
            "`shape`: shape 'blob' is not known; stage 5 has: wave, small-circle, square, "
            "rectangle, triangle, diamond, rounded-rectangle",
        ),
        (
            CuttingTask(4, shape="star"),
            "`shape`: shape 'star' is for stage 6; stage 4 has: bend, corner, arc, hill, "
            "wave, circle",
        ),
        (
            CuttingTask(5, find("duck"), shape="square"),
            "`shape`: a shape and a picture cannot be on one page; give only one",
        ),
        (
            CuttingTask(5, find("duck"), outline="blob"),
            "`outline`: outline 'blob' is not known; use circle, square, triangle, rectangle, "
            "oval, diamond, egg, heart, house, hexagon, cloud or soft",
        ),
        (
            CuttingTask(5, find("duck"), outline="house"),
            "`outline`: a house has 5 corners, more than the 4 of stage 5; use stage 6 or another "
            "shape",
        ),
        (
            CuttingTask(4, find("duck"), outline="circle"),
            "`outline`: stage 4 has an outline of its own; leave it out, or use stage 5",
        ),
        (
            CuttingTask(6, find("duck"), outline="soft"),
            "`outline`: stage 6 has an outline of its own; leave it out, or use stage 5",
        ),
        (
            CuttingTask(5, outline="circle"),
            "`outline`: an outline goes round a picture; name one, or use `shape`",
        ),
        (
            CuttingTask(4, pieces=3),
            "`pieces`: the plain page of stage 4 has one curve and one turn; leave it out, or "
            "take `shape` arc, corner or circle",
        ),
        (
            CuttingTask(3, find("duck"), pieces=9),
            "`pieces`: 10 cuts are more than the 4 of stage 3; use at most 3",
        ),
        (
            CuttingTask(2, find("duck"), pieces=5),
            "`pieces`: 5 pictures leave only 5 mm for each; use fewer",
        ),
        (
            CuttingTask(1, pieces=3),
            "`pieces`: 3 strips have 12 snips, more than the 8 of stage 1; use at most 2",
        ),
        (
            CuttingTask(6, find("duck"), pieces=9),
            "`pieces`: 9 cuts are more than the 3 of stage 6; use at most 3",
        ),
        (
            CuttingTask(6, shape="star", pieces=2),
            "`pieces`: 2 of this size do not fit the page; use fewer",
        ),
        (
            CuttingTask(4, find("carrot"), pieces=4),
            "`pieces`: 4 cuts are more than the 3 of stage 4; use at most 3",
        ),
    ],
)
def test_bad_input_is_one_clear_line(task: CuttingTask, message: str) -> None:
    with pytest.raises((InputError, FitError)) as caught:
        make(task, Options())
    assert str(caught.value) == message
