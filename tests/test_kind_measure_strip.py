"""Strips and things to measure: read from the finished marks, and from the written PDF file.

A point of PDF is 1/72 inch (ISO 32000-1, 8.3.2.3, from memory), and an inch is 25.4 mm exactly
(international yard and pound agreement of 1959, from memory), which gives true lengths of a file.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import InputError
from shapes.pictures.pictures import resolve
from sheets.check.check import check_page
from sheets.files.theme_file import load
from sheets.kinds.measure_strip.task import StripTask, parts_of
from sheets.kinds.options import Options
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Fill, Page, Place, Role, Sheet, Stroke, Text
from sheets.write.pdf import write_pdf
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make
from tests.readers import opened, strokes

measure_strip = Making("measure-strip")
POND = load("reedy-pond")
STAGES = range(7)
UNITS = (50.0, 50.0, 40.0, 30.0, 25.0, 15.0, 10.0)
COUNTS = (3, 3, 3, 5, 5, 10, 10)
THINGS = (2, 2, 3, 3, 4, 3, 3)
INCH, POINTS = 25.4, 72.0


def made(stage: int, options: Options | None = None, **choices: Any) -> Sheet:
    asked = options or Options()
    return make(measure_strip.from_theme(POND, stage, asked, **choices), asked)


def lengths(page: Page) -> list[float]:
    """Of the things from the top down, by their ink."""
    bars = [m for m in page.marks if isinstance(m, Stroke) and m.role is Role.TARGET]
    bars.sort(key=lambda m: -mark_bbox(m).y1)
    return [mark_bbox(m).width for m in bars]


def strips(page: Page) -> list[list[float]]:
    """Where the units of each strip end, from its left cut, from the top down."""
    papers = [m for m in page.marks if isinstance(m, Fill) and m.colour == WHITE]
    papers.sort(key=lambda m: -mark_bbox(m).y1)
    found = []
    for paper in papers:
        (walls,) = [m for m in page.marks if isinstance(m, Stroke) and m.id == paper.id]
        found.append(sorted(p.bbox.x0 - mark_bbox(paper).x0 for p in walls.paths))
    return found


def solve(length: float, ends: list[float]) -> tuple[int, bool]:
    """Whole units that a child counts along a strip, and whether a bit of the thing is left."""
    whole = sum(end <= length + 0.2 for end in ends)
    return whole, length - (ends[whole - 1] if whole else 0.0) > 0.2


@pytest.mark.parametrize("stage", STAGES)
def test_tasks_of_a_thousand_seeds_fit_the_strip_and_are_told_apart(stage: int) -> None:
    for seed in range(1000):
        task: StripTask = measure_strip.from_theme(POND, stage, Options(seed=seed))
        units = sorted(thing.length for thing in task.things)
        assert (task.unit, task.count) == (UNITS[stage], COUNTS[stage])
        assert len(units) == THINGS[stage]
        assert units[-1] <= task.count
        assert min(b - a for a, b in itertools.pairwise(units)) >= (2 if stage == 0 else 1)
        whole = [math.isclose(unit, round(unit)) for unit in units]
        assert sum(whole) == (THINGS[stage] if stage <= 4 else 1)


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_a_strip_laid_on_the_things_gives_the_key(stage: int, paper: Any) -> None:
    for seed, hand in ((0, "left"), (1, "right"), (2, "either")):
        options = Options(seed=seed, paper=paper, hand=hand)  # type: ignore[arg-type]
        sheet = made(stage, options)
        things, cut_out = sheet.pages
        laid = strips(cut_out)

        assert len(laid) == 4
        for ends in laid:
            assert ends == pytest.approx([UNITS[stage] * k for k in range(1, COUNTS[stage] + 1)])
        said = []
        for length in lengths(things):
            whole, more = solve(length, laid[0])
            said.append(f"{whole}{' and a bit more' if more else ''} ({length:g} mm)")
        told = [part.partition(": ")[2] for part in sheet.answers[0].text.split("; ")[:-1]]
        assert told == said
        assert sheet.answers[0].text.endswith(f"; unit {UNITS[stage]:g} mm")
        assert sheet.parameters["answer"] == pytest.approx(lengths(things))
        assert not any(f.outside for f in sheet.findings)
        assert not any(ink_outside(page, 12.7 - 1e-9) for page in sheet.pages)


def test_nothing_is_printed_on_the_zero_of_a_strip() -> None:
    """The strip begins where it is cut: its own marks keep away, and no line is drawn there."""
    for stage in STAGES:
        for needs in ((), ("low-vision",)):
            marks = made(stage, Options(needs=needs)).pages[1].marks
            for paper in [m for m in marks if isinstance(m, Fill) and m.colour == WHITE]:
                own = [m for m in marks if m.id == paper.id and m is not paper]
                x0 = mark_bbox(paper).x0
                assert min(mark_bbox(m).x0 for m in own) > x0 + 0.4
                assert max(mark_bbox(m).x1 for m in own) < mark_bbox(paper).x1
                assert mark_bbox(paper).height >= 31.75  # 16 CFR 1501.4


@given(st.integers(15, 50), st.integers(3, 20), st.sampled_from([3, 4, 5]))
def test_parts_laid_end_to_end_make_one_strip(unit: int, count: int, stage: int) -> None:
    try:
        task = measure_strip.from_theme(POND, stage, Options(), unit_mm=unit, count=count)
    except InputError:
        return  # too long or too few for the things of the stage
    parts, per = parts_of(task.count, task.unit)
    sheet = make(task, Options())
    laid = strips(sheet.pages[1])[:parts]
    ends: list[float] = []
    for part in laid:
        start = ends[-1] if ends else 0.0
        ends += [start + end for end in part]

    assert ends == pytest.approx([float(unit * k) for k in range(1, count + 1)])
    assert max(map(len, laid)) == per
    joins = [m for m in sheet.pages[1].marks if isinstance(m, Text) and m.text == "join here"]
    assert len(joins) == (parts - 1) * len(strips(sheet.pages[1])) // parts
    assert any("glue" in m.name for m in sheet.materials) is (parts > 1)


def test_units_have_a_picture_until_they_are_numbered_alone() -> None:
    for stage in STAGES:
        marks = made(stage).pages[1].marks
        on_first = [m for m in marks if m.id == "strip-1"]
        pictures = sum(isinstance(m, Place) for m in on_first)
        numbers = [m.text for m in on_first if isinstance(m, Text)]
        assert pictures == (0 if stage == 6 else COUNTS[stage])
        assert numbers == [str(k) for k in range(1, COUNTS[stage] + 1)] * (stage >= 3)


def test_things_begin_below_each_other_until_stage_three() -> None:
    for stage in STAGES:
        bars = [m for m in made(stage).pages[0].marks
                if isinstance(m, Stroke) and m.role is Role.TARGET]  # fmt: skip
        starts = {round(mark_bbox(m).x0, 3) for m in bars}
        assert (len(starts) == 1) is (stage <= 3)


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("compact", [False, True])
def test_true_lengths_in_the_written_file(stage: int, compact: bool) -> None:
    sheet = made(stage)
    data = write_pdf(sheet.pages, title="Strip", language="en", compact=compact)
    mm = INCH / POINTS
    with opened(data) as pdf:
        assert isinstance(pdf, pikepdf.Pdf)
        for page, paper in zip(pdf.pages, sheet.pages, strict=True):
            x0, _, x1, _ = (float(side) for side in page.mediabox)
            assert (x1 - x0) * mm == pytest.approx(paper.paper.width, abs=0.01)
            assert float(page.obj.get("/UserUnit", 1)) == 1.0
    uprights = [
        line[0][0]
        for mark in strokes(data, 1)
        for line in mark.polylines()
        if len(line) == 2 and abs(line[0][0] - line[1][0]) < 0.005 and math.dist(*line) > 30.0
        and math.dist(*line) < 40.0
    ]  # fmt: skip
    found = sorted({round(x, 2) for x in uprights})
    steps = [b - a for a, b in itertools.pairwise(found)]
    assert len(found) == COUNTS[stage]
    assert max(steps) - min(steps) <= 0.2
    assert steps == pytest.approx([UNITS[stage]] * len(steps), abs=0.05)
    for length in lengths(sheet.pages[0]):
        boxes = [(m.box[2] - m.box[0] + m.width) for m in strokes(data, 0)]
        assert min(abs(box - length) for box in boxes) < 0.05


@pytest.mark.parametrize("name", FIRST_THREE)
def test_needs_keep_the_limits(name: str) -> None:
    for stage in STAGES:
        for needs in (("low-vision",), ("mouths-objects", "not-cutting")):
            options = Options(needs=needs, paper=A4, hand="left", colour=True, ink="saver")
            sheet = make(measure_strip.from_theme(load(name), stage, options), options)
            assert not any(f.outside for f in sheet.findings), (stage, needs)
            if needs == ("low-vision",):
                walls = [m for m in sheet.pages[1].marks if isinstance(m, Stroke)
                         and m.id == "strip-1"]  # fmt: skip
                assert all(m.width >= 2.0 for m in walls)


def test_a_border_in_front_of_zero_and_uneven_units_are_found() -> None:
    page = made(3).pages[1]
    for shifts in ([1.0] * 5, [0.0, 0.0, 0.3, 0.0, 0.0]):
        marks = []
        for mark in page.marks:
            if isinstance(mark, Stroke) and mark.id == "strip-1":
                pairs = zip(mark.paths, shifts, strict=True)
                moved = [path.moved(shift, 0.0) for path, shift in pairs]
                mark = type(mark)(tuple(moved), mark.width, mark.role, mark.id)
            marks.append(mark)
        changed = Page(page.paper, tuple(marks))
        assert [f.limit for f in check_page(changed, "number", 3) if f.outside] == ["unit spread"]


@pytest.mark.parametrize(
    ("stage", "choices", "message"),
    [
        (4, {"count": 3}, "`unit-mm`: 4 lengths 1 apart do not fit 3 units of 25 mm; take shorter"),
        (
            3,
            {"unit_mm": 50, "count": 20},
            "`count`: a strip of 20 units of 50 mm is in 7 parts, more than a page has room for; t",
        ),
        (4, {"unit_mm": 50}, "`unit-mm`: 4 lengths 1 apart do not fit 3 units of 50 mm; take sho"),
    ],
)
def test_units_too_long_or_too_few(stage: int, choices: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as caught:
        made(stage, **choices)
    assert str(caught.value).startswith(message)


def test_few_pictures_end_several_things() -> None:
    sheet = make(measure_strip.from_words(["duck"], 4, Options()), Options())

    assert sheet.answers[0].text.count("duck: ") == 4


def test_a_unit_shows_one_thing() -> None:
    for seed in range(8):
        task = measure_strip.from_words(["cherries", "duck", "socks"], 1, Options(seed=seed))
        assert task.picture == resolve("duck")
