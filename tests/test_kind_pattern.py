"""Pattern pages: one answer, the key's, for a solver that reads the marks; limits and looks."""

from __future__ import annotations

import dataclasses
import itertools
import re
from collections import Counter

import pypdfium2
import pytest

from shapes.errors import FitError
from shapes.path import BBox
from sheets.check.guidance import limits
from sheets.files.theme_file import load
from sheets.kinds.options import HANDS, Options
from sheets.kinds.pattern.drawing import row_marks
from sheets.kinds.pattern.layout import lay_out
from sheets.kinds.pattern.pages import Answer
from sheets.kinds.pattern.rows import wrong_things
from sheets.kinds.pattern.section import PATTERNS, PatternUnit
from sheets.kinds.pattern.task import PatternTask, read_cell
from sheets.page.frame import A4, LETTER, PAPERS, Frame
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Place, Role, Sheet, Stroke, Text
from sheets.page.palette import find
from sheets.write.pdf import write_pdf
from tests.all_themes import FIRST_THREE
from tests.making import pattern, with_rows
from tests.pattern_reader import (
    names_of,
    places_of,
    rows_of,
    shortest_unit,
    solve_copy,
    solve_gaps,
    solve_odd,
)

POND = load("reedy-pond")
HARBOUR = load("tide-side-harbour")
NAMES = names_of(POND) | names_of(HARBOUR) | names_of(load("bean-row-garden"))
STAGES = range(7)
SEEDS = range(1000)
FIRST = ("lay", "match", "mend", "copy", "copy", "carry-on", "carry-on")
OTHERS = [(2, "odd"), (3, "mend"), (3, "odd"), (4, "mend"), (4, "odd"), (4, "unit"), (5, "copy")]
OTHERS += [(5, "mend"), (5, "odd"), (5, "unit"), (6, "copy"), (6, "mend"), (6, "odd"), (6, "unit")]

# Chi-squared, upper 1 % point by degrees of freedom: NIST/SEMATECH e-Handbook of Statistical
# Methods, section 1.3.6.7.4, https://www.itl.nist.gov/div898/handbook/
CRITICAL = {1: 6.635, 2: 9.210, 3: 11.345, 5: 15.086, 8: 20.090, 9: 21.666}


def task_of(stage: int, options: Options, form: str | None = None, name: str = "") -> PatternTask:
    task = pattern.from_theme(load(name) if name else POND, stage, options, form=form)
    assert isinstance(task, PatternTask)
    return task


def solve(form: str, marks: list[Mark], *, above: bool = True) -> dict[str, str | list[str]]:
    """The answers as the key writes them; the caller says the form, as an adult would."""
    found: dict[str, str | list[str]] = {}
    if form == "lay":
        found |= {p.id: p.shows for p in places_of(marks, NAMES) if p.shows is not None}
    elif form in ("match", "copy"):
        found |= solve_copy(marks, NAMES, above=above)
    else:
        for number, row in enumerate(rows_of(marks, NAMES), start=1):
            if form in ("mend", "carry-on"):
                found |= solve_gaps(row)
            elif form == "odd":
                ((place, _),) = solve_odd(row)
                found[f"row-{number}"] = place
            else:
                unit = shortest_unit([p.shows for p in row])
                found[f"row-{number}"] = [p.id for p in row[: len(unit)]]
    return found


def tiles_of(marks: list[Mark]) -> Counter[str]:
    return Counter(
        NAMES.get(m.artwork.alt, m.artwork.alt)
        for m in marks
        if isinstance(m, Place) and m.role is Role.CARD
    )


def drawn(task: PatternTask, options: Options) -> tuple[list[Mark], list[Mark], Answer]:
    pages, answer = pattern.drawn(task, options)
    return list(pages[0]), list(pages[1]) if len(pages) > 1 else [], answer


def outside(sheet: Sheet) -> list[str]:
    return [f.sentence() for f in sheet.findings if f.outside]


def assert_uniform(counts: Counter[int], cells: int) -> None:
    expected = counts.total() / cells
    assert len(counts) == cells
    statistic = sum((n - expected) ** 2 for n in counts.values()) / expected
    assert statistic < CRITICAL[cells - 1]


# --- one answer, and it is the key's --------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_the_solver_finds_the_keys_answer_for_1000_seeds(stage: int) -> None:
    for seed in SEEDS:
        options = Options(seed=seed)
        task = task_of(stage, options)
        marks, tiles, answer = drawn(task, options)

        assert task.form == FIRST[stage]
        assert solve(task.form, marks) == answer
        if task.answer == "tiles":
            # Enough tiles of each kind, and from stage 2 one more, so that the last is a choice.
            needed = Counter(str(text) for text in answer.values())
            more = Counter(c.text for c in task.kinds) if stage >= 2 else Counter[str]()
            assert tiles_of(tiles) == needed + more


@pytest.mark.parametrize(("stage", "form"), OTHERS)
def test_so_it_does_for_the_other_forms(stage: int, form: str) -> None:
    for seed in range(60):
        options = Options(seed=seed, paper=A4)
        task = task_of(stage, options, form, FIRST_THREE[seed % 3])
        marks, _, answer = drawn(task, options)
        assert solve(form, marks) == answer


@pytest.mark.parametrize("stage", STAGES)
def test_the_finished_pages_and_the_key_say_the_same(stage: int) -> None:
    for seed, name in itertools.product(range(3), FIRST_THREE):
        options = Options(seed=seed)
        task = task_of(stage, options, name=name)
        sheet = pattern.make(task, options)
        answer = sheet.parameters["answer"]
        shown = [m for m in sheet.pages[0].marks if m.id != "badge"]
        assert solve(task.form, shown) == answer
        assert isinstance(answer, dict)
        (key,) = sheet.key
        solved = {
            m.id: NAMES.get(m.artwork.alt, m.artwork.alt)
            for m in key.marks
            if isinstance(m, Place) and m.id.startswith(("box-", "like-"))
        }
        assert {k.replace("like-", "box-"): v for k, v in solved.items()} == answer


def test_a_model_below_is_read_from_below() -> None:
    for stage in (1, 3, 4):
        for seed in range(30):
            options = Options(seed=seed)
            task = pattern.from_theme(POND, stage, options, model="below")
            assert isinstance(task, PatternTask)
            marks, _, answer = drawn(task, options)
            assert solve(task.form, marks, above=False) == answer


def test_a_solver_that_sees_no_rule_says_so() -> None:
    with pytest.raises(AssertionError):
        shortest_unit(["a", "b", "b", "a", "a", "b", "a", "a"])
    assert shortest_unit(["a", "b", None, "b", "a", "b"]) == ["a", "b"]
    assert shortest_unit(list("abbabbabb")) == ["a", "b", "b"]


# --- where the answer is --------------------------------------------------------------------------


@pytest.mark.parametrize(("stage", "cells"), [(2, 6), (3, 8), (4, 12)])
def test_the_gap_is_equally_often_at_each_inner_place(stage: int, cells: int) -> None:
    counts: Counter[int] = Counter()
    for seed in SEEDS:
        row = task_of(stage, Options(seed=seed), "mend").rows[-1]
        assert len(row.cells) == cells
        counts[row.empty[0]] += 1
    assert min(counts) == 1
    assert max(counts) == cells - 2
    assert_uniform(counts, cells - 2)


@pytest.mark.parametrize(("stage", "cells"), [(2, 6), (4, 9)])
def test_the_odd_one_is_equally_often_at_each_place(stage: int, cells: int) -> None:
    counts: Counter[int] = Counter()
    for seed in SEEDS:
        odd = task_of(stage, Options(seed=seed), "odd").rows[0].odd
        assert odd is not None
        counts[odd[0]] += 1
    assert_uniform(counts, cells)


def test_the_printed_one_of_a_matched_row_is_equally_often_at_each_place() -> None:
    counts: Counter[int] = Counter()
    for seed in SEEDS:
        (row,) = task_of(1, Options(seed=seed)).rows
        (given,) = set(range(3)) - set(row.empty)
        counts[given] += 1
    assert_uniform(counts, 3)


def test_the_tile_that_is_needed_is_equally_often_at_each_place() -> None:
    counts: Counter[int] = Counter()
    for seed in SEEDS:
        options = Options(seed=seed, needs=("low-vision",))  # one row, two tiles
        task = task_of(2, options)
        _, tiles, answer = drawn(task, options)
        (needed,) = answer.values()
        order = [m for m in tiles if isinstance(m, Place)]
        assert len(order) == 2
        counts[[NAMES.get(m.artwork.alt, m.artwork.alt) for m in order].index(str(needed))] += 1
    assert_uniform(counts, 2)


def test_odd_ones_by_hand() -> None:
    """ABABAB: one wrong thing at any place."""
    assert wrong_things("AB", 3) == ((0, "B"), (1, "A"), (2, "B"), (3, "A"), (4, "B"), (5, "A"))
    assert wrong_things("AB", 1) == ()
    # ABAAABAB: either B for the third A, or A for the last B (ABAA twice), so four units are out.
    assert (3, "A") not in wrong_things("AB", 4)


# --- the ladder -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FIRST_THREE)
def test_pictures_and_shapes_are_taken_in_turn(name: str) -> None:
    """Pictures at even seeds, but where long units are copied: tiles leave room for one of them."""
    for stage, seed in itertools.product(STAGES, range(8)):
        task = task_of(stage, Options(seed=seed), name=name)
        looks = {cell.step is None for cell in task.kinds}
        assert looks == {seed % 2 == 1 or stage == 4}, (stage, seed)


@pytest.mark.parametrize("name", FIRST_THREE)
def test_rows_of_one_page_are_of_different_things(name: str) -> None:
    for stage, seed in itertools.product((2, 3, 5, 6), range(40)):
        rows = task_of(stage, Options(seed=seed), name=name).rows
        things = {frozenset(cell.text for cell in row.cells) for row in rows}
        shapes = rows[0].cells[0].step is None
        assert len(rows) == (4 if stage == 5 and shapes else 1 if stage == 3 and not shapes else 2)
        assert len(things) == len(rows), (stage, seed)


def test_a_long_row_to_copy_runs_on_and_no_line_is_like_the_one_before() -> None:
    for seed in range(60):
        options = Options(seed=seed)
        task = task_of(4, options)
        (row,) = task.rows
        marks, _, _ = drawn(task, options)
        lines: dict[float, list[tuple[float, str]]] = {}
        for place in places_of(marks, NAMES):
            if place.id.startswith("model") and place.shows is not None:
                x, y = place.box.center
                lines.setdefault(round(y, 1), []).append((x, place.shows))
        shown = [tuple(text for _, text in sorted(line)) for _, line in sorted(lines.items())[::-1]]

        assert sum(shown, ()) == tuple(cell.text for cell in row.cells)
        assert len(shown) == 2
        assert shown[0] != shown[1]


@pytest.mark.parametrize("name", FIRST_THREE)
def test_no_theme_prints_solid_black(name: str) -> None:
    """A black square of 34 mm takes as much toner as a page of text."""
    for unit in load(name).rows(PATTERNS):
        assert "black" not in {cell.colour for cell in unit.cells}


def test_pictures_with_more_things_are_used_where_the_shapes_have_too_few() -> None:
    """Such a theme was told to add a pattern of three things although it had one."""
    two = read_cell("blue circle"), read_cell("yellow triangle")
    three = read_cell("duck"), read_cell("lotus"), read_cell("frog")
    theme = with_rows(POND, PATTERNS.name, PatternUnit(two), PatternUnit(three))
    theme = dataclasses.replace(theme, words=())
    for seed in range(4):
        task = pattern.from_theme(theme, 6, Options(seed=seed), form="unit")
        assert all(len(row.cells) >= 9 for row in task.rows)
        long_copy = pattern.from_theme(theme, 4, Options(seed=seed), form="mend")
        assert {cell.step is not None for cell in long_copy.kinds} == {True}


def test_units_by_stage() -> None:
    seen: dict[tuple[int, str], set[str]] = {}
    for stage, form in [*((s, FIRST[s]) for s in range(2, 7)), (5, "copy"), (6, "copy")]:
        for seed in range(100):
            for row in task_of(stage, Options(seed=seed), form).rows:
                seen.setdefault((stage, form), set()).add(row.form)
    assert seen == {
        (2, "mend"): {"AB"},
        (3, "copy"): {"AB"},
        (4, "copy"): {"ABC", "ABBA", "AABB"},
        (5, "carry-on"): {"AB"},
        (5, "copy"): {"AAB", "ABB"},
        (6, "carry-on"): {"AAB", "ABB", "ABC"},
        (6, "copy"): {"AAB", "ABB", "ABC"},
    }


@pytest.mark.parametrize("stage", STAGES)
def test_rows_keep_to_the_limits_of_the_stage(stage: int) -> None:
    here = limits("pattern", stage)
    for form in str(pattern_forms(stage)).split():
        for seed in range(30):
            for row in task_of(stage, Options(seed=seed), form).rows:
                if row.unit == len(row.cells):
                    assert stage <= 1
                    assert len({cell.text for cell in row.cells}) == 3
                    continue
                # Rows end on a whole unit, and enough of them are printed.
                assert len(row.cells) % row.unit == 0
                shown = row.cells[: row.empty[0]] if form == "carry-on" else row.cells
                whole = len(shown) // row.unit - (form == "mend")
                assert here["units_shown"].allows(float(whole))
                assert here["unit_length"].allows(float(row.unit))
                assert here["cells_to_fill"].allows(float(len(row.empty)))


def pattern_forms(stage: int) -> str:
    from sheets.kinds.settings import setting

    return str(setting("pattern", stage, "forms"))


@pytest.mark.parametrize("name", FIRST_THREE)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", PAPERS)
def test_every_form_of_every_stage_is_within_guidance(name: str, stage: int, paper: str) -> None:
    for seed, hand in enumerate(HANDS):
        options = Options(paper=PAPERS[paper], hand=hand, seed=seed, name="Zuzë")
        for form in pattern_forms(stage).split():
            sheet = pattern.make(task_of(stage, options, form, name), options)
            assert outside(sheet) == []
            assert len(sheet.key) == 1


@pytest.mark.parametrize("stage", [2, 3, 4, 5, 6])
@pytest.mark.parametrize("needs", [(), ("mouths-objects",), ("low-vision",)])
def test_rows_for_tiles_are_within_guidance_too(stage: int, needs: tuple[str, ...]) -> None:
    first = FIRST[stage]
    for seed in range(6):
        options = Options(seed=seed, needs=needs)
        task = pattern.from_theme(HARBOUR, stage, options, answer="tiles")
        assert isinstance(task, PatternTask)
        sheet = pattern.make(task, options)
        marks, tiles, answer = drawn(task, options)
        assert outside(sheet) == []
        assert solve(first, marks) == answer
        sides = [m.paths[0].bbox for m in tiles if isinstance(m, Fill)]
        least = 38.0 if "mouths-objects" in needs else 34.0
        # 16 CFR 1501.4: the cylinder is 31.75 mm (1.25 in) wide.
        assert all(min(b.width, b.height) >= least - 1e-9 > 31.75 for b in sides)
        boxes = [p.box for p in places_of(marks, NAMES) if p.to_fill]
        assert all(box.width >= sides[0].width + 2.9 for box in boxes)
        assert all(box.height >= sides[0].height + 2.9 for box in boxes)


@pytest.mark.parametrize(
    ("stage", "form"),
    [(3, "mend"), (3, "copy"), (4, "mend"), (4, "copy"), (6, "mend"), (6, "copy"), (6, "carry-on")],
)
def test_an_empty_place_is_free_inside_its_line_by_what_the_limit_asks(
    stage: int, form: str
) -> None:
    """On narrower and narrower areas the rows break or are refused; no place gets too small."""
    least = limits("pattern", stage)["cell_size"].minimum
    assert least is not None
    sides = []
    for needs, width in itertools.product(((), ("low-vision",)), range(60, 200)):
        options = Options(seed=width, needs=needs)
        task = pattern.from_theme(POND, stage, options, form=form, answer="boxes")
        assert isinstance(task, PatternTask)
        try:
            layout = lay_out(task, BBox(0.0, 0.0, float(width), 400.0), options)
        except FitError:
            continue
        for mark in row_marks(task, options, layout):
            if mark.role is Role.ANSWER_SPACE:
                assert isinstance(mark, Stroke)
                box = mark.paths[0].bbox
                sides.append(min(box.width, box.height) - mark.width)

    assert least <= min(sides) < least + 2.0  # some area leaves hardly more than is asked


def test_the_reported_size_of_a_place_is_what_is_white_on_paper() -> None:
    """Dots between the lines of a place, counted on a rendering at 600 dpi, against the finding."""
    options = Options(seed=3)
    sheet = pattern.make(task_of(3, options), options)
    data = write_pdf(sheet.pages[:1], title="t", language="en")
    with pypdfium2.PdfDocument(data) as pdf:
        dots = pdf[0].render(scale=600 / 72.0, grayscale=True).to_numpy().squeeze()
    (cell, *_) = (m for m in sheet.pages[0].marks if m.role is Role.ANSWER_SPACE)
    box = mark_bbox(cell)
    x, y = (round(v / 25.4 * 600) for v in (box.center[0], LETTER.height - box.center[1]))
    line = dots[y] > 128
    left, right = x, x
    while line[left - 1]:
        left -= 1
    while line[right + 1]:
        right += 1
    free = (right - left + 1) * 25.4 / 600

    (size,) = (f.measured for f in sheet.findings if f.limit == "cell size" and f.mark == cell.id)
    assert size == pytest.approx(free, abs=0.1)  # two dots


# --- looks ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_name_title_and_picture_are_the_same_at_every_stage(paper: str) -> None:
    options = Options(paper=PAPERS[paper])
    seen = set()
    for stage in STAGES:
        for form in pattern_forms(stage).split():
            for page in pattern.make(task_of(stage, options, form), options).pages:
                seen.add(
                    tuple(
                        (m.id, *(round(v, 1) for v in place_of(m)))
                        for m in page.marks
                        if m.id in ("name-line", "title", "say", "badge")
                    )
                )
    assert len(seen) == 1
    assert [row[0] for row in seen.pop()] == ["name-line", "title", "say", "badge"]


def place_of(mark: Mark) -> tuple[float, ...]:
    """Where a mark stands: the words of titles differ, their start and size do not."""
    if isinstance(mark, Text):
        return (mark.x, mark.y, mark.size_pt)
    return dataclasses.astuple(mark_bbox(mark))


@pytest.mark.parametrize("stage", STAGES)
def test_no_words_but_the_title_on_the_childs_side(stage: int) -> None:
    for form in pattern_forms(stage).split():
        sheet = pattern.make(task_of(stage, Options(), form), Options())
        for page in sheet.pages:
            words = [m for m in page.marks if isinstance(m, Text)]
            assert [m.text for m in words if m.role is not Role.ADULT] == [sheet.title]
            told = " ".join(m.text for m in words)
            assert not re.search(r"stage|level|score|easy|hard|\bsafe", told, re.I)


@pytest.mark.parametrize("stage", STAGES)
def test_places_are_apart_and_in_the_work_area(stage: int) -> None:
    for needs in ((), ("low-vision",), ("mouths-objects",)):
        options = Options(needs=needs, seed=3)
        for answer in ("tiles", "boxes") if stage else ("tiles",):
            task = pattern.from_theme(POND, stage, options, answer=answer)
            assert isinstance(task, PatternTask)
            for page in pattern.drawn(task, options)[0]:
                work = Frame(LETTER).work
                assert all(work.grown(1.5).contains(mark_bbox(m)) for m in page)
                for a, b in itertools.combinations(places_of(page, NAMES), 2):
                    wide = min(a.box.x1, b.box.x1) - max(a.box.x0, b.box.x0)
                    high = min(a.box.y1, b.box.y1) - max(a.box.y0, b.box.y0)
                    assert min(wide, high) < 1e-6


def test_the_model_is_above_and_never_beside() -> None:
    for hand in HANDS:
        for stage in (1, 3, 4):
            options = Options(hand=hand)
            marks, _, _ = drawn(task_of(stage, options), options)
            places = places_of(marks, NAMES)
            for box in (p.box for p in places if p.to_fill):
                models = [p.box for p in places if p.id.startswith("model")]
                assert any(m.x0 == box.x0 and m.y0 >= box.y1 for m in models)


def test_low_vision_has_at_most_four_to_fill_and_bold_lines() -> None:
    for stage, answer in itertools.product(STAGES, ("tiles", "boxes")):
        if (stage, answer) == (0, "boxes"):
            continue
        for seed in range(10):
            options = Options(needs=("low-vision",), seed=seed)
            task = pattern.from_theme(POND, stage, options, answer=answer)
            assert isinstance(task, PatternTask)
            marks, tiles, _ = drawn(task, options)
            assert sum(p.to_fill for p in places_of(marks, NAMES)) <= 4
            assert tiles_of(tiles).total() <= 4
            for mark in (*marks, *tiles):
                if isinstance(mark, Stroke) and mark.role is Role.ANSWER_SPACE:
                    assert mark.width >= 2.0
                if isinstance(mark, Place):
                    (*_, edge) = [m for m in mark.artwork.marks if isinstance(m, Stroke)]
                    assert edge.width * mark.at.scale >= 2.0 - 1e-6


def inks(mark: Place) -> tuple[object, ...]:
    """What a grey or colour-blind eye is left with: outline and hatch, moved to the middle."""
    return tuple(
        (type(m).__name__, len(m.paths), round(m.paths[0].length, 2)) for m in mark.artwork.marks
    )


@pytest.mark.parametrize("words", [("blue circle", "yellow circle"), ("red star", "green star")])
def test_colours_of_one_shape_get_hatches_of_their_own(words: tuple[str, ...]) -> None:
    options = Options()
    task = pattern.from_words(words, 3, options)
    assert isinstance(task, PatternTask)
    assert task.hatched
    marks, _, _ = drawn(task, options)
    looks = {m.artwork.alt: inks(m) for m in marks if isinstance(m, Place)}
    assert len(looks) == 2
    assert len(set(looks.values())) == 2


def test_things_of_one_row_differ_by_more_than_colour_on_every_page() -> None:
    for name, stage in itertools.product(FIRST_THREE, STAGES):
        for seed in range(10):
            options = Options(seed=seed)
            task = task_of(stage, options, name=name)
            marks, _, _ = drawn(task, options)
            coloured = {
                m.artwork.alt: inks(m)
                for m in marks
                if isinstance(m, Place) and not m.artwork.credit
            }
            same_size = {alt.split()[1] for alt in coloured}
            assert task.hatched or len(same_size) == len(coloured)


def test_colour_vision_takes_only_measured_sets_and_hatches_them() -> None:
    options = Options(needs=("colour-vision",))
    task = pattern.from_words(["red circle", "green square"], 3, options)
    assert isinstance(task, PatternTask)
    assert [cell.text for cell in task.kinds] == ["orange circle", "blue square"]
    assert task.remarks == ("Colours changed for colour vision: orange for red, blue for green.",)
    assert task.hatched
    kept = pattern.from_words(["yellow circle", "blue square"], 3, options)
    assert isinstance(kept, PatternTask)
    assert [cell.colour for cell in kept.kinds] == ["yellow", "blue"]
    assert kept.remarks == ()


def test_saver_ink_has_light_fills_with_hatches() -> None:
    options = Options(ink="saver")
    marks, _, _ = drawn(task_of(3, options), options)
    fills = {
        m.artwork.alt: m.artwork.marks[0].colour
        for m in marks
        if isinstance(m, Place) and not m.artwork.credit
    }
    for alt, shown in fills.items():
        nominal = find(alt.split()[0]).hex
        for i in (1, 3, 5):
            full, light = int(nominal[i : i + 2], 16), int(shown[i : i + 2], 16)
            assert 255 - light == pytest.approx((255 - full) * 0.15, abs=1.0)


# --- the adult's side -----------------------------------------------------------------------------


def test_numbered_cuts_and_their_count() -> None:
    sheet = pattern.make(task_of(0, Options()), Options())
    # One row of three tiles: 2 cuts across and 4 down.
    assert sheet.parameters["cuts"] == 6
    assert sheet.pages[1].stock == "card"
    ticks = {m.id for m in sheet.pages[1].marks if m.id.startswith("card-cut")}
    assert ticks == {f"card-cut-{i}" for i in range(1, 7)}
    assert sheet.preparation[0].startswith("An adult cuts the tiles beforehand: 6 straight cuts")
    assert [m.caution for m in sheet.materials] == ["", "small-parts", "trimmer"]


def test_boxes_ask_for_crayons_by_name_and_accept_the_colour_alone() -> None:
    options = Options()
    sheet = pattern.make(pattern.from_theme(POND, 3, options, unit=1), options)
    assert [m.name for m in sheet.materials] == ["printed sheet", "blue crayon", "yellow crayon"]
    assert "colours: blue, yellow." in sheet.adult_lines[1]
    told = " ".join(m.text for m in sheet.key[0].marks if isinstance(m, Text))
    assert "Row 1: AB: blue circle, yellow triangle, again and again." in told
    assert "Also accept: the right colour without the shape" in told


def test_the_colour_alone_is_not_enough_where_it_does_not_tell_the_things_apart() -> None:
    options = Options()
    task = pattern.from_words(["blue circle", "blue square"], 3, options)
    told = " ".join(m.text for m in pattern.make(task, options).key[0].marks if isinstance(m, Text))
    assert "Also accept: another sign of its own for each thing." in told


def test_the_key_of_a_ring_lists_the_other_rings_that_are_right() -> None:
    options = Options()
    task = pattern.from_words(["duck", "fish", "fish"], 6, options, form="unit")
    assert isinstance(task, PatternTask)
    sheet = pattern.make(task, options)
    told = " ".join(m.text for m in sheet.key[0].marks if isinstance(m, Text))
    assert "Also accept: a ring that begins later in the row (BBA or BAB)." in told
    ring = next(m for m in sheet.key[0].marks if m.id == "ring-1")
    first = [m for m in sheet.pages[0].marks if m.id in ("cell-1-1", "cell-1-2", "cell-1-3")]
    for mark in first:
        assert mark_bbox(ring).contains(mark_bbox(mark))


def test_the_same_seed_gives_the_same_sheet() -> None:
    options = Options(seed=11)
    for stage in STAGES:
        one, other = (pattern.make(task_of(stage, options), options) for _ in range(2))
        assert one == other
    assert len({str(task_of(6, Options(seed=s)).rows) for s in range(20)}) > 5
