"""Cutting pages: each stage within guidance, the picture inside its outline, the same frame."""

from __future__ import annotations

import dataclasses
import itertools
import re

import pytest

from shapes.basic import SHAPES
from shapes.errors import FitError, InputError
from shapes.path import BBox
from shapes.pictures.pictures import curated, find
from sheets.check.distances import line_gap
from sheets.kinds.cutting.suits import not_harder, remark_for, stage_scores
from sheets.kinds.cutting.task import CuttingTask
from sheets.kinds.options import Hand, Options
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Page, Paper, Place, Role, Sheet, Stroke, Text
from tests.making import make

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


def test_every_curated_picture_keeps_the_limits_at_stages_2_to_6() -> None:
    found = {
        (word.text, stage): problems
        for word in curated()
        for stage in range(2, 7)
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


@pytest.mark.parametrize(("hand", "edge"), [("left", 0.0), ("right", 215.9), ("either", 215.9)])
@pytest.mark.parametrize("stage", [4, 5, 6])
def test_each_closed_outline_has_a_way_in_from_the_hands_paper_edge(
    stage: int, hand: Hand, edge: float
) -> None:
    page = make(CuttingTask(stage, find("fish")), Options(hand=hand)).pages[0]
    entries = [path for mark in marks_of(page, Role.ENTRY) for path in mark.paths]
    outlines = [path for mark in marks_of(page, Role.CUT) for path in mark.paths]
    assert len(entries) == len(outlines)
    for entry, outline in zip(entries, outlines, strict=True):
        assert entry.start[0] == edge
        assert line_gap(entry, outline) < 0.1


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


def test_ink_saver_has_no_tint() -> None:
    page = make(CuttingTask(4, find("fish")), Options(ink="saver")).pages[0]
    assert all(m.lane and m.lane.tint == "#ffffff" for m in marks_of(page, Role.CUT))


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
            "`shape`: shape 'star' is for stage 6; stage 4 has: bend, corner, arc, wave, circle",
        ),
        (
            CuttingTask(5, find("duck"), shape="square"),
            "`shape`: a shape and a picture cannot be on one page; give only one",
        ),
        (
            CuttingTask(4, pieces=3),
            "`pieces`: the plain page of stage 4 has one curve and one turn; leave it out, or add "
            "--shape arc, --shape corner or --shape circle",
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
            "`pieces`: 9 outlines leave only 8 mm for each; use fewer",
        ),
        (
            CuttingTask(6, shape="star", pieces=2),
            "`pieces`: 2 of this size do not fit one above the other; use fewer",
        ),
        (
            CuttingTask(4, find("carrot"), pieces=4),
            "carrot: its outline for this stage does not fit 176 x 31 mm; use fewer pieces or "
            "another picture",
        ),
    ],
)
def test_bad_input_is_one_clear_line(task: CuttingTask, message: str) -> None:
    with pytest.raises((InputError, FitError)) as caught:
        make(task, Options())
    assert str(caught.value) == message
