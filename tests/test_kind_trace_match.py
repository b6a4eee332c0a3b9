"""Outlines of real things: one answer, true size on paper, room for all, and clear refusals."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
import tomllib
from collections import Counter
from pathlib import Path as FilePath
from typing import Any

import pytest

import shapes
from shapes.path import BBox
from sheets.files.theme_file import load
from sheets.kinds.options import Hand, Options
from sheets.kinds.trace_match.pages import Board, answer, lay_out, outline_marks
from sheets.kinds.trace_match.room import areas
from sheets.kinds.trace_match.task import TraceMatchTask
from sheets.kinds.trace_match.task import of_things as from_things
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import Mark, Page, Paper, Role, Sheet, Stroke, Text
from tests.making import make, trace_match
from tests.readers import drawn
from tests.rendered_pages import pdf_of

from_theme = trace_match.from_theme

STAGES = range(7)
SEEDS = range(1000)
CLEARANCE = 1.0
LINE = {0: 3.0, 1: 3.0, 2: 3.0, 3: 2.5, 4: 2.0, 5: 1.5, 6: 1.0}
GAP = {0: 25.0, 1: 25.0, 2: 25.0, 3: 20.0, 4: 15.0, 5: 12.0, 6: 10.0}
APART = {0: 20.0, 1: 20.0, 2: 20.0, 3: 16.0, 4: 13.0, 5: 10.0, 6: 8.0}
RULER = "check with a ruler: nominal sizes vary by 1 to 3 mm"

# Upper critical values of chi-squared at p = 0.01 (NIST/SEMATECH e-Handbook of Statistical Methods,
# 2012, section 1.3.6.7.4, itl.nist.gov/div898/handbook).
CRITICAL = {1: 6.635}

Things = dict[str, tuple[float, float, float]]


def library_file() -> Things:
    """Long side, short side, corner radius by name, read from the file and not by the project."""
    text = FilePath(shapes.__file__).with_name("objects.toml").read_text(encoding="utf-8")
    rows: list[dict[str, Any]] = tomllib.loads(text)["objects"]
    found: Things = {}
    for row in rows:
        if "diameter" in row:
            d = float(row["diameter"])
            found[row["name"]] = (d, d, d / 2)
        else:
            sides = sorted((float(row["width"]), float(row["depth"])), reverse=True)
            found[row["name"]] = (sides[0], sides[1], float(row.get("corner", 0.0)))
    return found


LIBRARY = library_file()


def measured(points: list[tuple[float, float]]) -> tuple[float, float, float]:
    """Long side, short side, corner radius of a rounded rectangle from points on its edge.

    The corners take (4 - pi) r^2 from the area of the box.
    """
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    turns = itertools.pairwise([*points, points[0]])
    area = abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in turns)) / 2.0
    radius = math.sqrt(max(0.0, wide * high - area) / (4.0 - math.pi))
    return max(wide, high), min(wide, high), radius


def solve(marks: list[Mark], on_the_table: Things) -> dict[str, str | None]:
    """Which thing fits which outline, from the lines alone; fails if there is more than one way.

    A thing fits where neither side is off by more than the 3 mm that nominal sizes vary.
    """
    fits: dict[str, list[str]] = {}
    for mark in marks:
        if isinstance(mark, Stroke) and mark.role is Role.TRACE:
            (path,) = mark.paths
            assert path.closed
            long, short, _ = measured(path.flatten(0.002))
            fits[mark.id] = [
                name
                for name, (a, b, _) in on_the_table.items()
                if abs(long - 2 * CLEARANCE - a) <= 3.0 and abs(short - 2 * CLEARANCE - b) <= 3.0
            ]
    assert all(len(names) <= 1 for names in fits.values())
    uses = Counter(name for names in fits.values() for name in names)
    assert uses == dict.fromkeys(on_the_table, 1)
    return {key: names[0] if names else None for key, names in fits.items()}


def task_of(theme: str, stage: int, options: Options) -> TraceMatchTask:
    task = from_theme(load(theme), stage, options)
    assert isinstance(task, TraceMatchTask)
    return task


def sheet_of(theme: str, stage: int, options: Options) -> Sheet:
    return make(task_of(theme, stage, options), options)


def on_the_table(task: TraceMatchTask) -> Things:
    return {thing.name: LIBRARY[thing.name] for thing in task.things}


THEMES = ["bean-row-garden", "reedy-pond", "tide-side-harbour"]


# --- one answer -----------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_the_outlines_alone_have_one_answer_and_it_is_the_keys(stage: int) -> None:
    """1,000 seeds a stage, the three themes in turn."""
    for seed in SEEDS:
        options = Options(seed=seed, paper=(LETTER, A4)[seed % 2])
        task = task_of(THEMES[seed % 3], stage, options)
        board = lay_out(task, options)
        marks = outline_marks(task, options, board)
        assert solve(marks, on_the_table(task)) == answer(task, board)


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("theme", THEMES)
def test_the_finished_page_has_the_answer_that_the_sheet_tells(theme: str, stage: int) -> None:
    for seed in range(10):
        options = Options(seed=seed)
        task = task_of(theme, stage, options)
        sheet = make(task, options)
        assert solve(list(sheet.pages[0].marks), on_the_table(task)) == sheet.parameters["answer"]


def test_two_outlines_of_one_size_are_not_solved() -> None:
    """The solver itself can fail."""
    task = task_of("reedy-pond", 4, Options())
    board = lay_out(task, Options())
    twice = [*outline_marks(task, Options(), board)]
    twice.append(dataclasses.replace(twice[0], id="outline-9"))
    with pytest.raises(AssertionError):
        solve(twice, on_the_table(task))


@pytest.mark.parametrize("stage", STAGES)
def test_left_and_right_top_and_foot_are_equally_likely(stage: int) -> None:
    """The place of the first thing of the theme's list that is shown says nothing about it."""
    counts: Counter[str] = Counter()
    for seed in SEEDS:
        options = Options(seed=seed)
        task = task_of("reedy-pond", stage, options)
        board = lay_out(task, options)
        found = [area for area in areas(options) if area.paper == board.paper]
        places = {task.outlines[p.number].name: p.box.center for p in board.places}
        x, y = places[task.things[0].name]
        middles = [area.box.center for area in found]
        # Which of the areas was taken is seen from the middle of all boxes together.
        (cx, cy) = min(middles, key=lambda m: math.dist(m, centre(board)))
        if abs(x - cx) > 1.0:
            counts["left" if x < cx else "right"] += 1
        if abs(y - cy) > 1.0:
            counts["foot" if y < cy else "top"] += 1
    for one, other in (("left", "right"), ("foot", "top")):
        a, b = counts[one], counts[other]
        if a + b:
            assert (a - b) ** 2 / (a + b) < CRITICAL[1]
    assert sum(counts.values()) > 500


def centre(board: Board) -> tuple[float, float]:
    box = board.places[0].box
    for place in board.places[1:]:
        box = box.union(place.box)
    return box.center


# --- true size ------------------------------------------------------------------------------------


def traced(page: Page) -> list[tuple[float, float, float]]:
    """Measures of all outlines in the PDF: by the independent reader, from its operators."""
    data = pdf_of(page)
    width = next(m.width for m in page.marks if isinstance(m, Stroke) and m.role is Role.TRACE)
    found = []
    for mark in drawn(data):
        x0, y0, x1, y1 = mark.box
        thick = mark.painted == "stroke" and abs(mark.width - width) < 0.01 and not mark.form
        if thick and min(x1 - x0, y1 - y0) > 15.0:
            (line,) = mark.polylines()
            found.append(measured(line[:-1]))
    return found


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("theme", THEMES)
def test_outlines_in_the_pdf_have_the_librarys_size_and_1_mm_a_side(
    theme: str, stage: int, paper: Paper
) -> None:
    options = Options(paper=paper, seed=7)
    task = task_of(theme, stage, options)
    found = traced(make(task, options).pages[0])
    assert len(found) == len(task.outlines)
    for name, (long, short, corner) in on_the_table(task).items():
        grown = (
            long + 2 * CLEARANCE,
            short + 2 * CLEARANCE,
            corner + CLEARANCE if corner else 0.0,
        )
        near = [f for f in found if all(abs(a - b) < 0.1 for a, b in zip(f, grown, strict=True))]
        assert len(near) == 1, name


@pytest.mark.parametrize(
    "name", ["can211", "can300", "can303", "can307", "can401", "disc", "ID1", "A7", "A6", "idx"]
)
def test_every_thing_that_fits_beside_another_is_printed_at_true_size(name: str) -> None:
    options = Options(paper=A4)
    task = from_things([name, "spoon rest=45"], 6, options)
    found = traced(make(task, options).pages[0])
    thing = task.things[0]
    long, short, _ = LIBRARY[thing.name]
    assert any(abs(a - long - 2.0) < 0.1 and abs(b - short - 2.0) < 0.1 for a, b, _ in found), found


def test_measures_of_ones_own_are_printed_with_their_corners() -> None:
    options = Options()
    page = make(from_things(["tub=62", "tea box=120x65x4"], 3, options), options).pages[0]
    found = sorted(traced(page))
    assert found[0] == pytest.approx((64.0, 64.0, 32.0), abs=0.1)
    assert found[1] == pytest.approx((122.0, 67.0, 5.0), abs=0.1)


# --- limits and room ------------------------------------------------------------------------------


def boxes(page: Page) -> list[BBox]:
    """Boxes round the printed outlines, lines included."""
    return [mark_bbox(m) for m in page.marks if isinstance(m, Stroke) and m.role is Role.TRACE]


def distance(a: BBox, b: BBox) -> float:
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0.0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0.0)
    return math.hypot(dx, dy)


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("theme", THEMES)
def test_lines_gaps_and_differences_keep_the_stages_limits(
    theme: str, stage: int, paper: Paper, hand: Hand
) -> None:
    for seed in range(3):
        options = Options(paper=paper, hand=hand, seed=seed, name="Zuzë")
        sheet = sheet_of(theme, stage, options)
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        page = sheet.pages[0]
        assert page.paper == paper
        strokes = [m for m in page.marks if isinstance(m, Stroke) and m.role is Role.TRACE]
        assert {stroke.width for stroke in strokes} == {LINE[stage]}
        found = boxes(page)
        for a, b in itertools.combinations(found, 2):
            assert distance(a, b) >= GAP[stage] - 1e-6
            long = abs(max(a.width, a.height) - max(b.width, b.height))
            short = abs(min(a.width, a.height) - min(b.width, b.height))
            assert max(long, short) >= APART[stage] - 1e-6


def test_numbers_of_things_and_of_outlines_left_over() -> None:
    """Rooms and size differences decide how many; these are the built-in themes' on Letter."""

    def counts(theme: str) -> list[tuple[int, int]]:
        tasks = [task_of(theme, stage, Options(paper=LETTER)) for stage in STAGES]
        return [(len(task.things), len(task.left_over)) for task in tasks]

    assert counts("reedy-pond") == [(2, 0), (2, 0), (2, 0), (3, 0), (4, 0), (3, 1), (3, 2)]
    assert counts("bean-row-garden") == [(2, 0), (2, 0), (3, 0), (3, 0), (3, 1), (3, 1), (3, 1)]
    assert counts("tide-side-harbour") == [(2, 0), (2, 0), (3, 0), (3, 0), (3, 1), (3, 1), (3, 2)]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("stage", [0, 1])
def test_the_first_pages_have_one_round_thing_and_one_that_is_not(theme: str, stage: int) -> None:
    for seed in range(10):
        task = task_of(theme, stage, Options(seed=seed))
        assert {thing.diameter is None for thing in task.things} == {True, False}


def test_an_outline_left_over_is_as_near_in_size_as_the_stage_allows_but_no_nearer() -> None:
    options = Options()
    for seed in range(20):
        task = task_of("reedy-pond", 6, dataclasses.replace(options, seed=seed))
        for extra in task.left_over:
            long, short = max(extra.width, extra.depth), min(extra.width, extra.depth)
            apart = [
                max(abs(long - LIBRARY[t.name][0]), abs(short - LIBRARY[t.name][1]))
                for t in task.things
            ]
            assert 8.0 <= min(apart) <= 20.0


@pytest.mark.parametrize("hand", ["left", "right", "either"])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_outlines_stay_clear_of_name_title_bars_and_foot(paper: Paper, hand: Hand) -> None:
    sheets = [
        sheet_of(theme, stage, Options(paper=paper, hand=hand, seed=seed))
        for theme in THEMES
        for stage in STAGES
        for seed in range(3)
    ]
    options = Options(paper=paper, hand=hand)
    sheets.append(make(from_things(["can401", "pot=83"], 1, options), options))
    sheets.append(make(from_things(["C6", "ID1", "can211"], 6, options), options))
    for sheet in sheets:
        page = sheet.pages[0]
        others = [m for m in page.marks if m.role is not Role.TRACE]
        for box in boxes(page):
            for mark in others:
                assert distance(box, mark_bbox(mark)) >= 0.5, mark


def test_paper_is_turned_where_the_things_only_fit_side_by_side() -> None:
    options = Options()
    sheet = make(from_things(["can401", "pot=83"], 1, options), options)
    assert sheet.parameters["on_its_side"] is True
    (page,) = sheet.pages
    assert (page.paper.width, page.paper.height) == (279.4, 215.9)
    assert sheet.key[0].paper == page.paper
    assert [f.sentence() for f in sheet.findings if f.outside] == []


# --- the child's side and the adult's -------------------------------------------------------------


def test_name_title_and_picture_are_the_same_at_every_stage() -> None:
    for paper in (LETTER, A4):
        seen = set()
        for stage in STAGES:
            page = sheet_of("reedy-pond", stage, Options(paper=paper, name="Bo", seed=stage)).pages[
                0
            ]
            seen.add(
                tuple(
                    (mark.id, *(round(v, 1) for v in (box.x0, box.y0, box.x1, box.y1)))
                    for mark in page.marks
                    if mark.id in ("name-line", "name", "title", "badge", "bar-x", "bar-y")
                    for box in [mark_bbox(mark)]
                )
            )
        (only,) = seen
        assert len(only) == 6


@pytest.mark.parametrize("stage", STAGES)
def test_the_child_sees_no_word_but_name_and_title(stage: int) -> None:
    page = sheet_of("tide-side-harbour", stage, Options(name="Bo")).pages[0]
    words = [m.text for m in page.marks if isinstance(m, Text) and m.role is not Role.ADULT]
    assert words == ["Bo", "What fits here?"]
    adult = " ".join(m.text for m in page.marks if isinstance(m, Text))
    assert not re.search(r"\bstage|\blevel|\bscore|\beasy|\bhard\b", adult, re.I)


def test_the_thing_of_each_outline_stands_beside_it_in_small_type() -> None:
    """Nearer to its own outline than to any other, and on nothing: not on a line, not on words."""
    for theme, stage, needs in itertools.product(THEMES, STAGES, ((), ("low-vision",))):
        for seed, paper in itertools.product(range(3), (LETTER, A4)):
            options = Options(seed=seed, paper=paper, needs=needs)
            task = task_of(theme, stage, options)
            page = make(task, options).pages[0]
            outlines = {
                m.id: mark_bbox(m)
                for m in page.marks
                if isinstance(m, Stroke) and m.role is Role.TRACE
            }
            solved = solve(list(page.marks), on_the_table(task))
            words: dict[str, list[Text]] = {}
            for mark in page.marks:
                if isinstance(mark, Text) and mark.id.startswith("thing-"):
                    assert (mark.role, mark.size_pt) == (Role.ADULT, 7.5)
                    words.setdefault(mark.id.replace("thing", "outline"), []).append(mark)

            assert set(words) == {name for name, thing in solved.items() if thing is not None}
            others = [m for m in page.marks if isinstance(m, Text) and "thing-" not in m.id]
            for name, lines in words.items():
                assert " ".join(m.text for m in lines).startswith(f"{solved[name]}: ")
                for box in map(mark_bbox, lines):
                    near = {o: gap_between(box, other) for o, other in outlines.items()}
                    assert min(near, key=near.__getitem__) == name
                    inside = outlines[name].grown(-3.0).contains(box)
                    assert inside or min(near.values()) > 0.5, (theme, stage, seed, name)
                    assert all(gap_between(box, mark_bbox(m)) > 0.3 for m in others)


def gap_between(a: BBox, b: BBox) -> float:
    return max(a.x0 - b.x1, b.x0 - a.x1, a.y0 - b.y1, b.y0 - a.y1, 0.0)


def test_the_key_names_thing_and_measure_in_each_outline() -> None:
    options = Options(seed=4)
    task = task_of("reedy-pond", 6, options)
    sheet = make(task, options)
    (key,) = sheet.key
    assert [m.paths for m in key.marks if isinstance(m, Stroke) and m.role is Role.TRACE] == [
        m.paths for m in sheet.pages[0].marks if isinstance(m, Stroke) and m.role is Role.TRACE
    ]
    shown = {"small food can": "68.3 mm across", "A7 card": "105 x 74 mm"}
    shown |= {"food can 307": "87.3 mm across", "bank-card blank": "85.6 x 53.98 mm"}
    said = {
        "small food can": "small food can: a tin of condensed soup",
        "food can 307": "food can 307: a tin of tomatoes",
        "bank-card blank": "bank-card blank: an old library card",
        "A7 card": "A7 card: a pocket notepad",
    }
    solved = solve(list(key.marks), on_the_table(task))
    words = [m for m in key.marks if isinstance(m, Text)]
    for mark in key.marks:
        if isinstance(mark, Stroke) and mark.role is Role.TRACE:
            box = mark_bbox(mark)
            inside = " ".join(w.text for w in words if box.contains(mark_bbox(w)))
            name = solved[mark.id]
            assert inside.startswith(
                f"{said[name]} {shown[name]}" if name else "left over: no thing fits"
            )
    lines = " ".join(w.text for w in words)
    assert "2 outlines stay empty." in lines
    assert "Also accept: " in lines


def test_materials_name_each_thing_with_its_measure_and_the_ruler() -> None:
    sheet = sheet_of("reedy-pond", 4, Options())
    assert [(m.name, m.quantity, m.caution) for m in sheet.materials] == [
        ("printed sheet", 1, ""),
        (f"small food can: a tin of condensed soup, 68.3 mm across ({RULER})", 1, "objects"),
        (f"food can 307: a tin of tomatoes, 87.3 mm across ({RULER})", 1, "objects"),
        (f"bank-card blank: an old library card, 85.6 x 53.98 mm ({RULER})", 1, "objects"),
        (f"A7 card: a pocket notepad, 105 x 74 mm ({RULER})", 1, "objects"),
    ]
    assert any("Lay each thing on its outline" in line for line in sheet.preparation)


def test_at_stage_0_the_first_thing_is_set_down_together() -> None:
    line = "The adult and the child set the first thing down together."
    assert line in sheet_of("reedy-pond", 0, Options()).adult_lines
    assert line not in sheet_of("reedy-pond", 1, Options()).adult_lines


def test_same_seed_same_sheet_other_seed_other_places() -> None:
    one, same, other = (sheet_of("reedy-pond", 5, Options(seed=s)) for s in (3, 3, 4))
    assert one == same
    assert one.pages != other.pages


def test_low_vision_has_at_most_four_outlines_with_thick_lines() -> None:
    for theme, stage, seed in itertools.product(THEMES, STAGES, range(3)):
        options = Options(needs=("low-vision",), seed=seed, name="Bo")
        page = sheet_of(theme, stage, options).pages[0]
        strokes = [m for m in page.marks if isinstance(m, Stroke) and m.role is Role.TRACE]
        assert 2 <= len(strokes) <= 4
        assert all(stroke.width >= 2.0 for stroke in strokes)
        sizes = [m.size_pt for m in page.marks if isinstance(m, Text) and m.role is not Role.ADULT]
        assert min(sizes) >= 18.0
