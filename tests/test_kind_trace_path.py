"""Pages of lanes: every way read back from its finished marks, by geometry only."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from shapes.errors import InputError
from shapes.measure.difficulty import score, turning_deg
from shapes.path import BBox, Path
from sheets.check.check import check_page
from sheets.check.guidance import limits
from sheets.files.theme_file import load, parse
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.kinds.source import Source
from sheets.kinds.trace_path.task import COPY, TracePathTask
from sheets.kinds.trace_path.ways import LEAST_PICTURE, WAYS, Look, drawn
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.ink import ink_of
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Fill, Page, Place, Role, Sheet, Stroke, Text
from sheets.theme.theme import Theme
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make

trace_path = Making("trace-path")
POND = load("reedy-pond")
STAGES = range(7)
FREE = (38.1, 25.4, 19.0, 12.7, 9.5, 6.35, 5.0)
WAYS_OF = (
    ["level", "upright", "upright"],
    ["level", "upright", "upright", "upright"],
    ["level", "upright", "circle"],
    ["bow", "cross", "bend", "circle"],
    ["hill", "slant", "square"],
    ["wave", "ripple", "x"],
    ["zigzag", "loop", "triangle"],
)


def sheet_of(stage: int, options: Options | None = None, **choices: Any) -> Sheet:
    options = options or Options()
    return make(trace_path.from_theme(POND, stage, options, **choices), options)


def lanes(page: Page) -> list[Stroke]:
    return [m for m in page.marks if isinstance(m, Stroke) and m.role is Role.TRACE and m.lane]


def dots(page: Page, name: str = "start-") -> list[Fill]:
    return [m for m in page.marks if isinstance(m, Fill) and m.id.startswith(name)]


def pictures(page: Page, k: int) -> dict[str, Place]:
    """The pictures of a lane by its end."""
    ends = (f"first-{k}", f"last-{k}")
    return {m.id.partition("-")[0]: m for m in page.marks if isinstance(m, Place) and m.id in ends}


def middle_of(dot: Fill) -> tuple[float, float]:
    return mark_bbox(dot).center


# --- what a lane is, told from its points ---------------------------------------------------------


def turns(points: Sequence[tuple[float, float]]) -> list[float]:
    """Signed turns of a line of points, degrees."""
    found = []
    for (ax, ay), (bx, by), (cx, cy) in zip(points, points[1:], points[2:], strict=False):
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        found.append(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)))
    return found


def seen(lane: Stroke) -> str:
    """What kind of way a lane is, by its points; knows nothing of the code that drew it."""
    if len(lane.paths) == 2:
        one, other = (direction(path) for path in lane.paths)
        upright = {"upright", "level"}
        return "cross" if {one, other} == upright else "x"
    (path,) = lane.paths
    points = path.flatten(0.05)
    if path.closed:
        bent = turns([*points, points[0], points[1]])
        corners = sum(abs(turn) > 30.0 for turn in bent)
        return {0: "circle", 3: "triangle", 4: "square"}[corners]
    bent = [turn for turn in turns(points) if abs(turn) > 1e-6]
    if not bent:
        return direction(path)
    if not LineString(points).is_simple:
        return "loop"
    if max(abs(turn) for turn in bent) > 30.0:
        return "bend" if len(bent) == 1 else "zigzag"
    sides = [key for key, _ in itertools.groupby(bent, key=lambda turn: turn > 0.0)]
    if len(sides) == 1:
        return "bow" if turning_deg(path) > 170.0 else "hill"
    return {4: "wave", 6: "ripple"}[len(sides)]


def direction(path: Path) -> str:
    dx, dy = path.end[0] - path.start[0], path.end[1] - path.start[1]
    if abs(dx) < 1e-6:
        return "upright"
    return "level" if abs(dy) < 1e-6 else "slant"


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("hand", ["left", "right", "either"])
def test_the_ways_of_every_stage(stage: int, hand: Any) -> None:
    sheet = sheet_of(stage, Options(hand=hand))
    (page,) = sheet.pages
    found = [seen(lane) for lane in lanes(page)]

    assert found == WAYS_OF[stage]
    assert sheet.key == ()
    ways: Any = sheet.parameters["ways"]
    assert [way["way"] for way in ways] == found
    assert sheet.parameters["items"] == len(found)
    for way, lane in zip(ways, lanes(page), strict=True):
        assert lane.lane is not None
        free = lane.width - 2.0 * lane.lane.edge
        lengths = [LineString(ring(path)).length for path in lane.paths]
        assert way["length"] == pytest.approx(lengths, abs=0.1)
        assert way["steering_index"] == pytest.approx([n / free for n in lengths], abs=0.02)


def ring(path: Path) -> list[tuple[float, float]]:
    points = path.flatten(0.005)
    return [*points, points[0]] if path.closed else points


# --- within guidance ------------------------------------------------------------------------------

PLAIN = Options()
FULL = Options(hand="left", needs=("low-vision",), ink="saver", paper=A4)
ASKED = [(s, n, c) for s in STAGES for n in WAYS for c in (None, 1, 2, 3, 4) if WAYS[n].stage <= s]


@pytest.mark.parametrize("options", [PLAIN, FULL], ids=["plain", "full"])
@pytest.mark.parametrize("name", WAYS)
def test_pages_of_one_shape_keep_the_limits(name: str, options: Options) -> None:
    made = 0
    for stage, asked, count in ASKED:
        most = 3 if stage == 0 or WAYS[name].high is not None else 4
        if asked != name or (count or 0) > most:
            continue
        sheet = sheet_of(stage, options, shape=name, count=count)
        (page,) = sheet.pages
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        assert [seen(lane) for lane in lanes(page)] == [name] * (count or len(lanes(page)))
        made += 1
    assert made >= 4


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("hand", ["left", "right", "either"])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
def test_every_page_keeps_the_limits(stage: int, hand: Any, paper: Any) -> None:
    for needs, ink, name in itertools.product(
        [(), ("low-vision",)], ["normal", "saver"], FIRST_THREE
    ):
        options = Options(paper=paper, hand=hand, needs=needs, ink=ink, seed=2)  # type: ignore[arg-type]
        sheet = make(trace_path.from_theme(load(name), stage, options), options)
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        assert not any(ink_outside(one, 12.7 - 1e-9) for one in sheet.pages)
        (page,) = sheet.pages
        for lane in lanes(page):
            assert lane.lane is not None
            assert lane.lane.edge >= (2.0 if needs else 0.7)
            assert lane.width - 2.0 * lane.lane.edge == pytest.approx(FREE[stage])
            assert lane.lane.tint == (WHITE if ink == "saver" else "#ececec")
            work = Frame(page.paper).work
            assert work.contains(mark_bbox(lane), 0.01)


@pytest.mark.parametrize("stage", STAGES)
def test_lanes_and_pictures_stand_apart(stage: int) -> None:
    """By shapely: no two lanes, and no lane and picture, come closer than 2 mm."""
    for hand in ("left", "right"):
        (page,) = sheet_of(stage, Options(hand=hand)).pages
        bands = [
            LineString(ring(path)).buffer(lane.width / 2.0, cap_style=cap(lane), join_style="mitre")
            for lane in lanes(page)
            for path in lane.paths
        ]
        owners = [lane.id for lane in lanes(page) for _ in lane.paths]
        for (a, one), (b, other) in itertools.combinations(zip(owners, bands, strict=True), 2):
            assert a == b or one.distance(other) >= 2.0
        for picture in (m for m in page.marks if isinstance(m, Place) and "-" in m.id):
            box = corners(mark_bbox(picture))
            assert min(band.exterior.distance(box) for band in bands) >= 1.5


def cap(lane: Stroke) -> Any:
    return "flat" if lane.cap == "butt" else "round"


def corners(box: BBox) -> LineString:
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    return LineString([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(sorted(WAYS)),
    st.integers(0, 6),
    st.booleans(),
    st.floats(80.0, 180.0),
    st.floats(100.0, 196.0),
    st.floats(0.7, 2.0),
)
def test_ways_stay_in_their_room(
    name: str, more: int, left: bool, width: float, height: float, edge: float
) -> None:
    stage = min(6, WAYS[name].stage + more)
    limit = limits("tracing", stage).get("steering_index")
    index = (limit.maximum or 0.0) if limit else 0.0
    side = float(setting("trace-path", stage, "picture_side") or 0.0)
    look = Look(FREE[stage], edge, side, index, left)
    tall = WAYS[name].high
    if tall is not None:
        width, height = 176.0, max(height, tall(look))
    room = BBox(20.0, 30.0, 20.0 + width, 30.0 + height)
    way = drawn(name, room, look)

    for path in way.paths:
        assert room.contains(path.bbox.grown(look.width / 2.0), 0.01)
        assert not index or path.length / look.free <= index + 1e-3
    assert all(room.contains(box, 0.01) and box.width >= LEAST_PICTURE for box in way.pictures)
    assert len(way.pictures) in ((2,) if WAYS[name].lane else (0, 1))


# --- where a child starts -------------------------------------------------------------------------


def strokes(page: Page) -> Iterator[tuple[Stroke, Path, Fill]]:
    """Every stroke with the dot that stands on it."""
    found = iter(dots(page))
    for lane in lanes(page):
        for path in lane.paths:
            yield lane, path, next(found)
    assert next(found, None) is None


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("hand", ["left", "right", "either"])
def test_every_stroke_starts_at_a_dot_at_the_top_or_on_the_left(stage: int, hand: Any) -> None:
    (page,) = sheet_of(stage, Options(hand=hand)).pages
    for lane, path, dot in strokes(page):
        x, y = middle_of(dot)
        assert lane.lane is not None
        free = lane.width - 2.0 * lane.lane.edge
        radius = mark_bbox(dot).width / 2.0
        assert math.dist((x, y), path.start) <= radius + 1.5 + 1e-6
        # The dot lies on the line and leaves room to either edge.
        assert LineString(ring(path)).distance(Point(x, y)) < 0.6
        assert 0.3 * free <= 2.0 * radius <= 0.75 * free or radius == 4.0
        if path.closed:
            assert path.start[1] == pytest.approx(path.bbox.y1)
            assert x <= path.bbox.center[0] + 1e-6
        elif abs(path.start[1] - path.end[1]) > 5.0:
            assert path.start[1] > path.end[1]
        else:
            assert path.start[0] < path.end[0]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("hand", ["left", "right", "either"])
def test_a_lane_leads_from_one_picture_to_another(stage: int, hand: Any) -> None:
    (page,) = sheet_of(stage, Options(hand=hand)).pages
    led = 0
    for k, lane in enumerate(lanes(page), start=1):
        ends = pictures(page, k)
        if len(ends) < 2:
            continue
        led += 1
        (path,) = lane.paths
        assert ends["first"].artwork.id != ends["last"].artwork.id
        for end, place in (("first", path.start), ("last", path.end)):
            others = {name: away(place, mark_bbox(mark)) for name, mark in ends.items()}
            assert min(others, key=lambda name: others[name]) == end
            # From the lane's middle; a drawing need not fill its box to every side.
            assert others[end] <= 20.0
    assert led == sum(WAYS[name].lane for name in WAYS_OF[stage])


def away(point: tuple[float, float], box: BBox) -> float:
    x, y = point
    return math.hypot(max(box.x0 - x, 0.0, x - box.x1), max(box.y0 - y, 0.0, y - box.y1))


@pytest.mark.parametrize("stage", STAGES)
def test_a_left_hand_covers_no_picture_where_it_starts(stage: int) -> None:
    """A left hand comes from the lower left (common practice, no source): what is left of the dot
    and below it is under the hand. For another hand pictures stand level with their lane."""
    for hand in ("left", "right"):
        (page,) = sheet_of(stage, Options(hand=hand)).pages
        for k, lane in enumerate(lanes(page), start=1):
            ends = pictures(page, k)
            if len(ends) < 2:
                continue
            x, y = middle_of(next(dot for dot in dots(page) if dot.id == f"start-{k}-1"))
            box = mark_bbox(ends["first"])
            under = max(0.0, min(box.x1, x) - box.x0) * max(0.0, min(box.y1, y) - box.y0)
            share = under / (box.width * box.height)
            if hand == "left":
                assert share <= 0.15, (k, seen(lane))
            elif seen(lane) == "level":
                assert share == pytest.approx(0.5, abs=0.2)


@pytest.mark.parametrize(("stage", "strokes"), [(5, 2), (6, 1)])
def test_what_is_copied_lies_beside_the_box_away_from_the_hand(stage: int, strokes: int) -> None:
    for hand, side in (("right", 1.0), ("either", 1.0), ("left", -1.0)):
        (page,) = sheet_of(stage, Options(hand=hand)).pages  # type: ignore[arg-type]
        (box,) = [m for m in page.marks if m.role is Role.ANSWER_SPACE]
        shape = lanes(page)[-1]
        (x, y), (sx, sy) = mark_bbox(box).center, mark_bbox(shape).center
        assert side * (x - sx) > 60.0
        assert mark_bbox(box).width >= 60.0
        # The dots stand in the box as they stand on the shape.
        inside = dots(page, "copy-")
        assert len(inside) == strokes
        starts = [path.start for path in shape.paths]
        shift = {(round(middle_of(d)[0] - s[0], 2), round(middle_of(d)[1] - s[1], 2))
                 for d, s in zip(inside, starts, strict=True)}  # fmt: skip
        assert len(shift) == 1
        assert all(mark_bbox(box).contains(mark_bbox(dot)) for dot in inside)
        assert sy == pytest.approx(y, abs=12.0)
    assert not any(
        m.role is Role.ANSWER_SPACE for s in range(5) for m in sheet_of(s).pages[0].marks
    )


def test_the_slant_leans_to_the_hand() -> None:
    leans = {}
    for hand in ("left", "right", "either"):
        (page,) = sheet_of(4, Options(hand=hand)).pages
        (path,) = next(lane for lane in lanes(page) if seen(lane) == "slant").paths
        leans[hand] = path.end[0] - path.start[0] > 0.0
    assert leans == {"left": True, "right": False, "either": False}


# --- easier and harder ----------------------------------------------------------------------------


def test_the_line_in_the_middle_fades() -> None:
    styles = []
    for stage in STAGES:
        (page,) = sheet_of(stage).pages
        middles = [m for m in page.marks if isinstance(m, Stroke) and m.id.endswith("-middle")]
        assert len(middles) in (0, len(lanes(page)))
        styles.append({"dashes" if m.dash else "line" for m in middles} or {"none"})
        assert all(m.paths == lane.paths for m, lane in zip(middles, lanes(page), strict=False))
    assert styles == [{"dashes"}, *[{"line"}] * 2, *[{"dashes"}] * 2, *[{"none"}] * 2]


def test_lanes_from_picture_to_picture_grow_longer_for_their_width() -> None:
    indices, same = [], []
    for stage in STAGES:
        ways: Any = sheet_of(stage).parameters["ways"]
        indices.append(max(max(w["steering_index"]) for w in ways if WAYS[w["way"]].lane))
        ways = sheet_of(stage, shape="level", count=1).parameters["ways"]
        same += ways[0]["steering_index"]

    assert all(before < after for before, after in itertools.pairwise(indices))
    assert all(before < after for before, after in itertools.pairwise(same))


def test_what_is_new_at_a_stage_is_on_its_page() -> None:
    for stage in STAGES:
        assert all(WAYS[name].stage <= stage for name in WAYS_OF[stage])
        assert {name for name, way in WAYS.items() if way.stage == stage} <= set(WAYS_OF[stage])


@pytest.mark.parametrize("stage", range(1, 7))
def test_a_lane_traced_compares_with_the_same_line_cut(stage: int) -> None:
    """Both indices are length over width; the widths are the lane's free one and twice the
    tolerance. The path complexity puts both into the same proportion."""
    (page,) = sheet_of(stage).pages
    compared = 0
    for lane in lanes(page):
        for path in lane.paths:
            traced = index_of(dataclasses.replace(lane, paths=(path,)), "tracing", stage)
            line = Stroke((path,), 3.0, Role.CUT, id="line")
            cut = index_of(line, "cutting", stage)
            allowed = limits("cutting", stage)
            name = "tolerance" if path.closed else "open_tolerance"
            within = allowed.get(name) or allowed["tolerance"]
            assert lane.lane is not None
            assert within.maximum is not None
            free, corridor = lane.width - 2.0 * lane.lane.edge, 2.0 * within.maximum
            # Findings have two decimals.
            assert traced / cut == pytest.approx(corridor / free, rel=5e-3)
            assert score(path, free) / score(path, corridor) == pytest.approx(corridor / free)
            compared += 1
    assert compared >= 3


def index_of(stroke: Stroke, skill: str, stage: int) -> float:
    """The index as the check finds it on a page with that stroke alone."""
    found = check_page(Page(LETTER, (stroke,)), skill, stage)
    (index,) = [f.measured for f in found if f.limit.startswith("steering")]
    assert isinstance(index, float)
    return index


def test_ink_is_edges_and_a_pale_road() -> None:
    for stage in STAGES:
        (page,) = sheet_of(stage).pages
        (saver,) = sheet_of(stage, Options(ink="saver")).pages
        assert ink_of(saver).percent < ink_of(page).percent < 9.0
        for lane in lanes(page):
            assert lane.lane is not None
            assert lane.width > 2.0 * lane.lane.edge + 4.9


def test_low_vision_has_two_lanes_with_thick_edges_and_lines() -> None:
    for stage in STAGES:
        (page,) = sheet_of(stage, Options(needs=("low-vision",))).pages
        found = [seen(lane) for lane in lanes(page)]
        assert found == WAYS_OF[stage][-2:]
        for picture in (m for m in page.marks if isinstance(m, Place) and m.id != "badge"):
            widths = [m.width for m in picture.artwork.marks if isinstance(m, Stroke)]
            assert min(widths) * picture.at.scale >= 2.0 - 1e-6


# --- words and choices ----------------------------------------------------------------------------


def test_all_stages_have_one_title_and_its_pictures_are_those_of_the_first_lane() -> None:
    for seed in range(40):
        tasks = [trace_path.from_theme(POND, stage, Options(seed=seed)) for stage in STAGES]
        assert len({(task.names, task.pairs[0]) for task in tasks}) == 1
        names = tasks[0].names
        assert names == tuple(step.word for step in tasks[0].pairs[0])
    sheet = sheet_of(3, Options(seed=1))
    first, last = (step.word for step in trace_path.from_theme(POND, 3, Options(seed=1)).pairs[0])
    assert sheet.title == f"Take the {first} to the {last}"


@pytest.mark.parametrize("stage", STAGES)
def test_pairs_are_two_different_pictures_for_a_thousand_seeds(stage: int) -> None:
    animals = {"duck", "frog", "fish", "turtle", "snail", "swan", "beaver", "otter"}
    for seed in range(1000):
        task: TracePathTask = trace_path.from_theme(POND, stage, Options(seed=seed))
        assert [n for row in task.rows for n in row if n != COPY] == WAYS_OF[stage]
        assert len(task.pairs) == len(WAYS_OF[stage])
        for first, last in task.pairs:
            assert first.word in animals
            assert last.word not in animals
        assert len({first.word for first, _ in task.pairs}) == len(task.pairs)


def test_every_theme_has_pairs() -> None:
    for name in FIRST_THREE:
        task: TracePathTask = trace_path.from_theme(load(name), 3, Options(seed=5))
        assert all(first != last for first, last in task.pairs)


def test_words_are_pairs_as_they_stand() -> None:
    words = ["snail", "leaf", "frog", "lotus"]
    task: TracePathTask = trace_path.from_words(words, 1, Options())
    assert [(a.word, b.word) for a, b in task.pairs] == [("snail", "leaf"), ("frog", "lotus")] * 2
    odd: TracePathTask = trace_path.from_words(words[:3], 1, Options())
    assert [(a.word, b.word) for a, b in odd.pairs][:2] == [("snail", "leaf"), ("frog", "snail")]


def test_long_names_are_left_out_of_the_title() -> None:
    words = ["a very old green turtle of the pond:turtle", "the other side of the water:rock"]
    sheet = make(trace_path.from_words(words, 1, Options()), Options())
    assert sheet.title == "Follow the line"
    assert (
        make(trace_path.from_words(words, 1, Options(title="Mo")), Options(title="Mo")).title
        == "Mo"
    )


def test_a_language_without_the_names_has_the_plain_title() -> None:
    options = Options(language="es")
    names = trace_path.from_theme(POND, 2, options).names
    assert make(trace_path.from_theme(POND, 2, options), options).title == (
        f"Sigue el camino: {names[0]} – {names[1]}"
    )
    unknown = Options(language="xx")
    task = trace_path.from_words(["my duck:duck", "my rock:rock"], 2, unknown)
    assert make(dataclasses.replace(task, names=None), unknown).title == "Follow the line"


def test_a_finger_follows_at_stage_0_and_a_pencil_later() -> None:
    for stage in STAGES:
        sheet = sheet_of(stage)
        (said,) = [m.text for m in sheet.pages[0].marks if isinstance(m, Text) and m.id == "say"]
        tools = [material.name for material in sheet.materials]
        assert ("finger" in said) == (stage == 0) == ("toy to push along" in tools)
        assert ("thick pencil or crayon" in tools) == (stage > 0)
        assert ("box" in said) == (stage >= 5)
    mouths = sheet_of(0, Options(needs=("mouths-objects",)))
    assert [material.name for material in mouths.materials] == ["printed sheet"]


def test_count_takes_the_last_ways_of_a_stage() -> None:
    for stage, count in itertools.product(STAGES, (1, 2, 3)):
        (page,) = sheet_of(stage, count=count).pages
        assert [seen(lane) for lane in lanes(page)] == WAYS_OF[stage][-count:]
        assert any(m.role is Role.ANSWER_SPACE for m in page.marks) == (stage >= 5)


@pytest.mark.parametrize(
    ("stage", "choices", "message"),
    [
        (2, {"shape": "helix"},
         "`shape`: there is no shape 'helix'; use one of: upright, level, circle"),
        (2, {"shape": "triangle"},
         "`shape`: the triangle comes at stage 6; "
         "use `stage` 6, or one of: upright, level, circle"),
        (3, {"count": 5},
         "`count`: stage 3 has 4 lanes and shapes; use at most 4, or a `shape`"),
        (0, {"shape": "upright", "count": 4},
         "`count`: a page of stage 0 has room for 3 of the upright; use at most 3"),
        (4, {"shape": "hill", "count": 4},
         "`count`: a page of stage 4 has room for 3 of the hill; use at most 3"),
    ],
)  # fmt: skip
def test_bad_choices(stage: int, choices: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as caught:
        trace_path.from_theme(POND, stage, Options(), **choices)
    assert str(caught.value) == message


def test_one_picture_is_too_few() -> None:
    with pytest.raises(InputError, match="1 picture where 2 are needed"):
        trace_path.from_words(["duck"], 1, Options())
    alone = b'title = "Bare"\n[[words]]\ntext = "duck"\npicture = "1F986"\n'
    theme: Theme = parse(alone, "bare.toml", __import__("pathlib").Path())
    with pytest.raises(InputError, match="1 picture where 2 are needed"):
        trace_path.from_theme(theme, 1, Options())
    assert Source(theme).theme is theme
