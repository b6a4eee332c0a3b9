"""Mutation tests: for every limit, a page just inside it passes and one just outside is found.

The pages are built in ``tests/mutations.py``, which also prints the table of what is tried.
"""

from __future__ import annotations

import dataclasses
import json
import math
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import InputError
from shapes.path import Arc, BBox, Line, Path
from sheets.check import check as check_module
from sheets.check.check import as_rows, check_page, outside
from sheets.check.guidance import STAGES, Limit, limits
from sheets.page.model import (
    Artwork,
    Fill,
    Finding,
    Lane,
    Mark,
    Page,
    Place,
    Role,
    Stroke,
    Text,
)
from tests.mutations import (
    BUILDERS,
    LETTER,
    RAW,
    beyond,
    bitten,
    bounds,
    box,
    built,
    cases,
    cut,
    dumb_bell,
    found,
    line,
    markdown,
    number,
    page,
    slotted,
    square_fill,
    stage_rows,
    star,
    table,
    zigzag,
)

CASES = [pytest.param(*case, id=f"{case.skill}-{case.stage}-{case.limit.name}") for case in cases()]


@pytest.mark.parametrize(("skill", "stage", "limit"), CASES)
def test_just_inside_passes(skill: str, stage: int, limit: Limit) -> None:
    for bound in bounds(limit):
        results = found(limit, skill, stage, bound)

        assert results
        assert [f for f in results if f.outside] == []
        if not math.isinf(bound):
            assert number(results[0]) == pytest.approx(bound, rel=0.01, abs=0.05)


def written(content: Mapping[str, Any]) -> str:
    """The allowed values of one stage in words, from the file as it is written."""
    if "words" in content:
        return str(content["words"])
    if {"min", "max"} <= set(content):
        return f"{content['min']} to {content['max']}"
    if "min" in content:
        return f"at least {content['min']:g}"
    return f"at most {content['max']:g}" if content["max"] else "none"


@pytest.mark.parametrize(("skill", "stage", "limit"), CASES)
def test_just_outside_is_found_with_its_value_and_its_source(
    skill: str, stage: int, limit: Limit
) -> None:
    published = stage_rows(skill, limit.name)[stage]
    for value in beyond(limit):
        results = outside(found(limit, skill, stage, value))

        assert len(results) == 1
        assert number(results[0]) == pytest.approx(built(limit, stage, value), rel=0.01, abs=0.05)
        # The file as it is written, not as the program has read it.
        assert results[0].allowed == written(published)
        assert results[0].basis == published["basis"]
        assert results[0].source == "; ".join(
            RAW["sources"][key]["short"]
            for key in published.get("sources", ())
            if published["basis"] == "published"
        )


def test_every_limit_of_the_file_is_tried_or_not_measured() -> None:
    """Every stage a limit names is a case; what is left is told to the adult and on no page."""
    tried = {(case.skill, case.limit.name, case.stage) for case in cases()}
    listed = {
        (skill, row["name"], stage)
        for row in RAW["limit"]
        for skill in row["skills"]
        for stage, content in stage_rows(skill, row["name"]).items()
        if content != "none" and row.get("measured", True)
    }

    assert tried == listed
    assert {case.limit.name for case in cases()} == set(BUILDERS)


def test_the_table_of_mutations_has_no_miss() -> None:
    rows = table()

    assert sum(row.stages for row in rows) == len(CASES)
    assert [row for row in rows if row.misses] == []
    assert markdown(rows).count(" all |") == 2 * len(rows)


def test_what_is_measured_follows_from_the_limits_not_from_the_name_of_a_skill(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A skill of another name that has the limits of two others is measured as both are."""
    cutting, matching = limits("cutting", 4), limits("matching", 4)
    circle = page(cut(Path.circle((500, 500), 70), width=6.35, id="own"))
    things = page(
        box(50, 50, Role.TARGET, "target-1"),
        *(box(50, 50, Role.CHOICE, f"choice-1-{i}", 400.0 + 80 * i) for i in range(2)),
    )

    def all_but_edge(findings: Sequence[Finding]) -> Counter[Finding]:
        # Edge and overlap are asked once a page, of the mark nearest to the edge and of all marks.
        return Counter(f for f in findings if f.limit not in ("edge distance", "overlap"))

    alone = (
        all_but_edge(check_page(circle, "cutting", 4)),
        all_but_edge(check_page(things, "matching", 4)),
    )
    monkeypatch.setattr(check_module, "limits", lambda skill, stage: {**cutting, **matching})
    together = all_but_edge(check_page(page(*circle.marks, *things.marks), "gluing", 4))

    assert {"cut length", "piece size"} <= {f.limit for f in alone[0]}
    assert {"target size", "item gap"} <= {f.limit for f in alone[1]}
    assert together == alone[0] + alone[1]


# --- what a page does on purpose ------------------------------------------------------------------


def limit_findings(findings: Sequence[Finding], label: str) -> list[Finding]:
    return [finding for finding in findings if finding.limit == label]


def test_a_lane_that_runs_off_the_paper_is_measured_to_the_other_edges_only() -> None:
    lane = cut(Path.line((0, 100), (215.9, 100)), id="lane")
    low = cut(Path.line((0, 18), (215.9, 18)), id="lane")

    assert outside(check_page(page(lane, paper=LETTER), "cutting", 2)) != ()
    edge = limit_findings(check_page(page(lane, paper=LETTER), "cutting", 2), "edge distance")
    assert [(f.measured, f.outside) for f in edge] == [(93.65, False)]
    edge = limit_findings(check_page(page(low, paper=LETTER), "cutting", 2), "edge distance")
    assert [(f.measured, f.outside) for f in edge] == [(11.65, True)]


def test_a_lane_that_stops_short_of_the_edge_is_outside() -> None:
    lane = cut(Path.line((5, 100), (100, 100)), id="lane")

    edge = limit_findings(check_page(page(lane, paper=LETTER), "cutting", 2), "edge distance")

    assert [(f.measured, f.outside, f.mark) for f in edge] == [(-1.35, True, "lane")]


def test_furniture_may_not_run_off_the_edge() -> None:
    mark = Stroke((Path.line((0, 100), (50, 100)),), 0.5, Role.FURNITURE, id="name-line")

    edge = limit_findings(check_page(page(mark, paper=LETTER), "cutting", 2), "edge distance")

    assert [f.outside for f in edge] == [True]


def test_letters_below_the_baseline_count_as_ink() -> None:
    words = [Text(100, 13.0, text, 20.0, Role.ADULT, id="w") for text in ("HAT", "gap")]

    distances = [check_page(page(word), "cutting", 2)[0].measured for word in words]

    assert distances[0] == 13.0
    # Deepest letter of the page font: 0.24 of the type size (glyph p, from the font file).
    assert distances[1] == pytest.approx(13.0 - 0.24 * 20 * 25.4 / 72, abs=0.01)


def test_a_grid_of_lanes_is_not_compared_with_itself_but_parallel_lanes_are() -> None:
    grid = cut(
        Path.line((100, 300), (300, 300)),
        Path.line((200, 200), (200, 400)),
        Path.line((100, 330), (300, 330)),
        id="grid",
    )

    gaps = limit_findings(check_page(page(grid), "cutting", 2), "outline gap")

    assert [f.measured for f in gaps] == [pytest.approx(17.3)]
    assert gaps[0].mark == "grid 1, grid 3"


def test_crossing_lines_of_different_marks_are_outside() -> None:
    a = cut(Path.line((100, 300), (300, 300)), id="a")
    b = cut(Path.line((200, 200), (200, 400)), id="b")

    gaps = limit_findings(check_page(page(a, b), "cutting", 2), "outline gap")

    assert [(f.measured, f.outside) for f in gaps] == [(0.0, True)]


def test_the_way_in_touches_its_own_outline_but_not_another() -> None:
    own = cut(Path.circle((500, 500), 60), width=6.35, id="own")
    entry = cut(Path.line((0, 500), (440, 500)), width=6.35, id="own-entry", role=Role.ENTRY)
    other = cut(Path.circle((300, 575), 60), width=6.35, id="other")

    good = limit_findings(check_page(page(own, entry), "cutting", 4), "outline gap")
    bad = limit_findings(check_page(page(own, entry, other), "cutting", 4), "outline gap")

    assert good == []
    assert [f.measured for f in bad] == [pytest.approx(8.65, abs=0.03)]
    assert bad[0].mark == "own-entry, other"


def test_the_way_in_is_not_a_cut_of_its_own() -> None:
    own = cut(Path.circle((500, 500), 60), id="own")
    entry = cut(Path.line((0, 500), (440, 500)), id="own-entry", role=Role.ENTRY)

    counts = limit_findings(check_page(page(own, entry), "cutting", 4), "cuts per page")

    assert [f.measured for f in counts] == [1.0]


@pytest.mark.parametrize(
    ("start", "end", "corners"),
    [
        ((0, 500), (440, 500), 1.0),  # square on to the circle
        ((560, 0), (560, 500), 0.0),  # along its tangent
        ((0, 440), (500, 440), 0.0),
        ((560 + 500 * 0.2, 0), (560, 500), 0.0),  # 11 degrees off
        ((560 + 500 * 0.3, 0), (560, 500), 1.0),  # 17 degrees off
    ],
)
def test_scissors_turn_where_a_way_in_meets_its_outline_at_an_angle(
    start: tuple[float, float], end: tuple[float, float], corners: float
) -> None:
    own = cut(Path.circle((500, 500), 60), id="own")
    entry = cut(Path.line(start, end), id="way", role=Role.ENTRY)

    found = limit_findings(check_page(page(own, entry), "cutting", 4), "corners")

    joins = [f for f in found if f.mark == "way, own"]
    assert [f.measured for f in joins] == [corners]
    assert [f.outside for f in joins] == [corners > 0]


def test_a_way_in_along_a_side_meets_no_corner() -> None:
    own = cut(Path.from_points([(400, 400), (600, 400), (600, 600), (400, 600)], closed=True))
    along = cut(Path.line((600, 0), (600, 400)), id="way", role=Role.ENTRY)
    across = cut(Path.line((500, 0), (500, 400)), id="way", role=Role.ENTRY)

    for entry, corners in ((along, 0.0), (across, 1.0)):
        found = limit_findings(check_page(page(own, entry), "cutting", 6), "corners")
        assert [f.measured for f in found if f.mark.startswith("way,")] == [corners]


def test_a_curve_with_a_corner_is_outside_at_stage_4_although_a_turn_is_not() -> None:
    curve = Path((Line((200, 200), (260, 200)), Arc((260, 280), 80, -90, 60)))
    kinked = Path((Line((200, 260), (260, 200)), Arc((260, 280), 80, -90, 60)))

    assert outside(limit_findings(check_page(page(cut(curve)), "cutting", 4), "corners")) == ()
    bad = outside(limit_findings(check_page(page(cut(kinked)), "cutting", 4), "corners"))
    assert [f.measured for f in bad] == [1.0]
    turn = cut(zigzag(1, 90))
    assert outside(limit_findings(check_page(page(turn), "cutting", 4), "corners")) == ()


def test_a_page_for_not_cutting_yet_has_folds_but_no_cut_lines() -> None:
    fold = Stroke((line(100),), 0.9, Role.FOLD, id="fold", dash=(6.0, 3.5))

    assert outside(check_page(page(fold), "cutting", 0)) == ()
    bad = outside(check_page(page(fold, cut(line(100, 300))), "cutting", 0))
    assert [f.sentence() for f in bad] == ["cuts per page 1; guidance none (our setting)"]


def test_words_for_adults_may_be_small_those_for_the_child_not() -> None:
    adult = Text(300, 300, "measure both bars", 7.5, Role.ADULT)
    title = Text(300, 400, "Duck", 14.0, Role.FURNITURE, id="title")

    bad = outside(check_page(page(adult, title), "cutting", 2))

    assert [(f.limit, f.measured, f.mark) for f in bad] == [("text size", 14.0, "title")]


def test_a_name_is_never_in_a_finding() -> None:
    name = Text(5, 5, "Zoë", 9.0, Role.FURNITURE)

    findings = check_page(page(name), "cutting", 2)

    assert len(outside(findings)) == 2
    assert "Zo" not in str(as_rows(findings))


def test_clearance_is_measured_to_the_true_ink_not_to_its_box() -> None:
    """A diagonal line through the corner of a round picture's box does not touch the picture."""
    round_art = Artwork(
        "ball", (Stroke((Path.circle((0, 0), 19),), 2.0, Role.ART),), BBox(-20, -20, 20, 20)
    )
    place = Place(round_art, Affine.scaling(2.0).then(Affine.translation(500, 500)), id="ball")
    far = 40 + 12.7 / 2 + 7.0
    h = far * math.sqrt(0.5)
    slanted = cut(Path.line((500 + h - 100, 500 + h + 100), (500 + h + 100, 500 + h - 100)))

    findings = limit_findings(check_page(page(slanted, place), "cutting", 2), "clearance")

    assert [f.measured for f in findings] == [pytest.approx(7.0, abs=0.03)]
    assert findings[0].mark == "ball, cut"


def test_clearance_inside_the_hole_of_a_frame() -> None:
    rings = tuple(
        Path.from_points(
            [(500 - r, 500 - r), (500 + r, 500 - r), (500 + r, 500 + r), (500 - r, 500 + r)],
            closed=True,
        )
        for r in (200.0, 150.0)
    )
    outline = cut(Path.circle((500, 500), 60), width=6.35)
    for frame in (
        Fill(rings, Role.ART, id="frame", even_odd=True),
        Fill((rings[0], rings[1].reversed()), Role.ART, id="frame"),
    ):
        findings = limit_findings(check_page(page(outline, frame), "cutting", 4), "clearance")

        assert [f.measured for f in findings] == [pytest.approx(150 - 60 - 3.175, abs=0.03)]


def test_a_picture_over_the_line_has_no_clearance() -> None:
    findings = check_page(page(cut(line(100)), square_fill(220, 480, 40)), "cutting", 2)

    assert [f.measured for f in limit_findings(findings, "clearance")] == [0.0]


@pytest.mark.parametrize(
    "path",
    [
        Path.from_points([(200, 200), (300, 260), (250, 230)], closed=True),
        Path.circle((300, 300), 0.02),
    ],
    ids=["out-and-back", "speck"],
)
def test_an_outline_that_encloses_nothing_has_no_neck(path: Path) -> None:
    findings = check_page(page(cut(path)), "cutting", 5)

    assert [(f.measured, f.outside) for f in limit_findings(findings, "neck")] == [(0.0, True)]


def test_dots_are_not_lines() -> None:
    dot = cut(Path.line((300, 300), (300.01, 300)))

    assert limit_findings(check_page(page(dot), "cutting", 2), "cuts per page")[0].measured == 0.0


# --- reading the result ---------------------------------------------------------------------------


def lanes_page() -> Page:
    return page(cut(line(101.6, 500), line(101.6, 538.1), id="lanes"))


def test_json_is_plain_json() -> None:
    findings = check_page(page(cut(zigzag(1), Path.circle((500, 500), 40))), "cutting", 2)

    loaded = json.loads(
        json.dumps(as_rows(findings)), parse_constant=lambda name: pytest.fail(name)
    )

    assert len(loaded) == len(findings)
    assert set(loaded[0]) == {
        "limit",
        "measured",
        "allowed",
        "unit",
        "basis",
        "source",
        "outside",
        "mark",
    }


def test_unknown_skill_and_stage() -> None:
    with pytest.raises(InputError, match="skill 'glueing' is not known"):
        check_page(lanes_page(), "glueing", 1)
    with pytest.raises(InputError, match="stage 9 does not exist"):
        check_page(lanes_page(), "cutting", 9)


# --- things told apart by their ids ---------------------------------------------------------------


def test_choices_are_counted_for_each_item() -> None:
    marks = [
        dataclasses.replace(
            box(40, 40, Role.CHOICE, f"choice-{item}-{n}", 50.0 + 80 * n, 100.0 * item), item=item
        )
        for item, count in ((1, 2), (2, 3))
        for n in range(count)
    ]

    (finding,) = limit_findings(check_page(page(*marks), "letters", 2), "choices")

    assert (finding.measured, finding.mark, finding.outside) == (3.0, "item 2", True)


def test_marks_of_one_id_are_one_thing() -> None:
    frame = Stroke((Path.circle((320, 320), 24),), 1.0, Role.CARD, id="card-1")
    inner = box(40, 40, Role.CARD, "card-1")

    findings = check_page(page(frame, inner), "sequence", 3)

    assert [f.measured for f in limit_findings(findings, "pictures")] == [1.0]
    assert [f.measured for f in limit_findings(findings, "card size")] == [49.0]


def test_a_choice_printed_on_a_letter_page_is_not_loose_unless_it_is_a_card() -> None:
    printed = page(box(20, 45, Role.CHOICE, "choice-1-1"))
    card = page(box(20, 45, Role.CARD, "card-1"))

    assert limit_findings(check_page(printed, "letters", 5), "loose piece width") == []
    assert limit_findings(check_page(card, "letters", 5), "loose piece width")[0].outside


def test_capitals_have_no_x_height() -> None:
    # Andika: the letter H is 1460 of 2048 units high (outline in the bundled font file).
    capital = page(Text(300, 300, "B", 200, Role.CHOICE, id="choice-1-1"))

    findings = check_page(capital, "letters", 2)

    assert limit_findings(findings, "x height") == []
    (height,) = limit_findings(findings, "letter height")
    assert height.measured == pytest.approx(200 * 25.4 / 72 * 1460 / 2048, abs=0.01)


# --- speed and sturdiness -------------------------------------------------------------------------


def test_practice_lines_load_no_geometry_library() -> None:
    """Straight lanes with pictures between them, a turn and an arc are measured without shapely."""
    code = """
import sys
from shapes.affine import Affine
from shapes.path import Arc, BBox, Path
from sheets.check.check import check_page
from sheets.page.model import *
lanes = Stroke(tuple(Path.line((40, y), (180, y)) for y in (60, 160)), 6.35, Role.CUT, id="lanes")
turn = Stroke((Path.from_points([(40, 200), (100, 200), (100, 230)]),), 6.35, Role.CUT, id="turn")
curve = Stroke((Path((Arc((100, 300), 60, 0, 60),)),), 6.35, Role.CUT, id="curve")
art = Artwork("duck", (Stroke((Path.circle((0, 0), 19),), 2.0, Role.ART),), BBox(-20, -20, 20, 20))
place = Place(art, Affine.translation(110, 110), id="duck")
findings = check_page(Page(Paper("big", 400, 400), (lanes, turn, curve, place)), "cutting", 4)
print([f.measured for f in findings if f.limit == "clearance"])
print([name for name in ("shapely", "numpy", "fontTools") if name in sys.modules])
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )

    assert done.stdout.splitlines() == ["[26.82]", "[]"]


coordinate = st.integers(-500, 1500).map(lambda n: n / 4.0)
point = st.tuples(coordinate, coordinate)
width = st.sampled_from([0.0, 0.1, 0.35, 3.0, 12.7, 40.0])
role = st.sampled_from(list(Role))
name = st.sampled_from(["", "bar-x", "choice-1-2", "target-3", "card-1", "lanes"])
colour = st.sampled_from(["#000000", "#ffffff", "#949494", "#dcdcdc"])


@st.composite
def paths(draw: st.DrawFn) -> Path:
    if draw(st.booleans()):
        sweep = draw(st.sampled_from([-360.0, -200.0, -90.0, 5.0, 90.0, 180.0, 360.0]))
        arc = Arc(draw(point), draw(st.sampled_from([0.01, 1.0, 15.0, 57.0])), 30.0, sweep)
        return Path((arc,), closed=draw(st.booleans()))
    points = draw(st.lists(point, min_size=2, max_size=7, unique=True))
    return Path.from_points(points, closed=draw(st.booleans()) and len(points) > 2)


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    kind = draw(st.sampled_from(["stroke", "stroke", "fill", "text", "place"]))
    some = tuple(draw(st.lists(paths(), max_size=3)))
    if kind == "stroke":
        lane = draw(st.sampled_from([None, Lane(0.5)]))
        return Stroke(some, draw(width), draw(role), draw(name), draw(colour), lane=lane)
    if kind == "fill":
        return Fill(some, draw(role), draw(name), draw(colour), draw(st.booleans()))
    if kind == "text":
        x, y = draw(point)
        text = draw(st.sampled_from(["", " ", "B", "gap", "Łą", "鴨"]))
        return Text(x, y, text, draw(st.sampled_from([6.0, 20.0, 150.0])), draw(role), draw(name))
    art = Artwork("art", tuple(Fill((p,), Role.ART) for p in some), BBox(0, 0, 50, 50))
    turn = draw(st.sampled_from([0.0, 90.0, 33.0]))
    return Place(art, Affine.rotation(turn).then(Affine.translation(*draw(point))), draw(role))


@given(
    st.lists(marks(), max_size=6),
    st.sampled_from(["cutting", "matching", "letters", "sequence", "pattern"]),
    st.sampled_from(STAGES),
)
@settings(max_examples=150, deadline=None)
def test_any_page_can_be_checked(listed: list[Mark], skill: str, stage: int) -> None:
    findings = check_page(page(*listed, paper=LETTER), skill, stage)

    known = {limit.label for limit in limits(skill, stage).values()}
    assert {finding.limit for finding in findings} <= known
    json.loads(json.dumps(as_rows(findings)), parse_constant=lambda constant: pytest.fail(constant))


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(dumb_bell(30), id="dumb-bell"),
        pytest.param(slotted(40), id="slotted"),
        pytest.param(bitten(20), id="bitten"),
        pytest.param(star(5, 120, 50), id="star"),
        pytest.param(zigzag(4, 70.0), id="zigzag"),
        pytest.param(Path((Arc((500, 500), 70, 0, 120),)), id="arc"),
    ],
)
@pytest.mark.parametrize("stage", [3, 4, 5, 6])
def test_the_direction_of_a_line_does_not_matter(path: Path, stage: int) -> None:
    forward, backward = (
        [(f.limit, f.measured, f.outside) for f in check_page(page(cut(p)), "cutting", stage)]
        for p in (path, path.reversed())
    )

    assert [(label, out) for label, _, out in forward] == [
        (label, out) for label, _, out in backward
    ]
    for (_, there, _), (_, back, _) in zip(forward, backward, strict=True):
        if isinstance(there, float):
            assert there == pytest.approx(back, rel=0.01)
