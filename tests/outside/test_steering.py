"""The steering law: its integral, corners, and the limits of the guidance that are built on it.

J. Accot and S. Zhai, "Beyond Fitts' Law: models for trajectory-based HCI tasks", CHI 1997, doi
10.1145/258549.258760: the index of difficulty of following a path in a tunnel is the integral of
``ds / W(s)`` along it. Everything below follows from that integral by calculus, or is a figure of
the source named beside it. The law was measured on adults with a mouse or a stylus.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path as FilePath

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes import basic
from shapes.affine import Affine
from shapes.basic import SHAPES, practice
from shapes.measure.difficulty import score, steering
from shapes.path import Path
from sheets.check.guidance import limit_for
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.kinds.trace_path import TracePathChoices
from sheets.kinds.trace_path.ways import WAYS
from sheets.page.marks import mark_bbox
from sheets.page.model import Stroke

INCH = 25.4


@pytest.mark.parametrize(
    ("path", "corridor", "expected"),
    [
        # A tunnel of constant width: length / width.
        (basic.straight_line(6 * INCH), INCH, 6.0),  # 6 in within 1/2 in
        (basic.straight_line(6 * INCH), INCH / 2, 12.0),  # 6 in within 1/4 in
        (basic.square(3 * INCH), INCH, 12.0),
        (basic.square(3 * INCH), INCH / 2, 24.0),
        # A ring: 2 pi R / W, so half the circle in half the corridor is as hard.
        (basic.circle(6 * INCH), INCH, 18.849556),
        (basic.circle(3 * INCH), INCH / 2, 18.849556),
        (basic.arc_line(76.2, math.degrees(2.0)), INCH, 6.0),
        # R. Pastel, CHI 2006, as given by Yamanaka et al. (below): 100 long, 12.5 wide, one right
        # angle; this is the length part.
        (basic.one_turn(50.0, 50.0, 90.0), 12.5, 8.0),
    ],
)
def test_index_is_length_over_width(path: Path, corridor: float, expected: float) -> None:
    assert steering(path, corridor) == pytest.approx(expected, rel=1e-7)


PATHS = [practice(name) for name in SHAPES]


@given(st.sampled_from(PATHS), st.floats(2.0, 60.0))
def test_index_is_the_integral_along_any_path(path: Path, corridor: float) -> None:
    """The integral of ds / W along fine chords, by numpy, of curved and cornered paths alike."""
    points = np.array(path.flatten(1e-4))
    ring = np.vstack([points, points[:1]]) if path.closed else points
    theirs = np.hypot(*np.diff(ring, axis=0).T) / corridor

    assert steering(path, corridor) == pytest.approx(theirs.sum(), rel=1e-4)


@given(st.sampled_from(PATHS), st.floats(2.0, 60.0), st.floats(0.1, 10.0))
def test_index_has_no_unit(path: Path, corridor: float, size: float) -> None:
    """The paper's index is a pure number: pixels, millimetres or inches give the same."""
    scaled = path.transformed(Affine.scaling(size))

    assert steering(scaled, corridor * size) == pytest.approx(steering(path, corridor))


def test_indices_of_consecutive_corridors_add_up() -> None:
    """Yamanaka et al., CHI 2017: A1 / W1 + A2 / W2."""
    parts = [steering(basic.straight_line(a), w) for a, w in ((100.0, 10.0), (50.0, 5.0))]
    assert sum(parts) == pytest.approx(20.0)


# --- corners --------------------------------------------------------------------------------------


def staircase(corners: int, length: float) -> Path:
    """An open line of that length with so many right angles, left and right in turn."""
    step = length / (corners + 1)
    points = [((i + 1) // 2 * step, i // 2 * step) for i in range(corners + 2)]
    return Path.from_points(points)


@pytest.mark.parametrize("corners", [2, 3, 5])
def test_corners_add_a_term_of_their_own_each(corners: int) -> None:
    """Pastel, CHI 2006, as given by Yamanaka et al. 2017: every corner adds a term to the length
    part. The index has no such term; the path complexity has the same one for each."""
    straight, stairs = basic.straight_line(300.0), staircase(corners, 300.0)
    one = score(staircase(1, 300.0)) - score(straight)

    assert steering(stairs, 10.0) == pytest.approx(steering(straight, 10.0))
    assert score(stairs) - score(straight) == pytest.approx(corners * one, rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(st.floats(15.0, 150.0))
def test_the_term_of_a_corner_is_the_integral_over_its_smoothed_turn(turn_deg: float) -> None:
    """A turn in one point, after a Gaussian of 4 mm, has the curvature of that Gaussian times the
    turn; the stated h(30 mm k), integrated by numpy, times 10 / 100 mm. A turn of less than 15
    degrees is no corner (``shapes.measure.course``): it may be one of a flattened curve."""
    u = np.linspace(-24.0, 24.0, 20_001)
    bend = 30.0 * math.radians(turn_deg) * np.exp(-((u / 4.0) ** 2) / 2.0)
    bend /= 4.0 * math.sqrt(2.0 * math.pi)
    expected = float((bend**3 / (1.0 + bend**2.5)).sum() * (u[1] - u[0])) / 10.0
    bent = basic.one_turn(50.0, 50.0, 180.0 - turn_deg)

    assert score(bent) - score(basic.straight_line(100.0)) == pytest.approx(expected, rel=2e-3)


# --- limits ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "closed", "path", "tolerance"),
    [
        # The shape and the distance allowed on either side, as published; see the guidance.
        (1, False, basic.straight_line(INCH), INCH / 2),  # a strip of 1 in (nc)
        (2, False, basic.straight_line(6 * INCH), INCH / 2),  # two practices, one of them slb
        (3, False, basic.straight_line(6 * INCH), INCH / 2),  # two practices, one of them slb
        (4, False, basic.straight_line(6 * INCH), INCH / 4),  # by 4 years (jewel)
    ],
)
def test_the_limits_are_those_of_the_published_shapes(
    stage: int, closed: bool, path: Path, tolerance: float
) -> None:
    limit = limit_for("cutting", stage, "steering_index", closed=closed)
    allowed = limit_for("cutting", stage, "tolerance", closed=closed)

    assert limit is not None
    assert allowed is not None
    assert allowed.maximum == pytest.approx(tolerance)
    assert limit.maximum == pytest.approx(steering(path, 2.0 * tolerance), abs=0.005)
    assert "steering-law" in [source.id for source in limit.sources]
    assert limit.basis == "our setting"


@pytest.mark.parametrize(
    ("stage", "smallest"),
    [
        # "A circle of at least 6 inches", "a square at least 3 inches wide", a centre's page.
        (4, basic.circle(6 * INCH)),
        (5, basic.square(3 * INCH)),
    ],
)
def test_an_outline_may_be_larger_than_the_smallest_that_is_published(
    stage: int, smallest: Path
) -> None:
    length = limit_for("cutting", stage, "cut_length")
    index = limit_for("cutting", stage, "steering_index")
    tolerance = limit_for("cutting", stage, "tolerance")

    assert length is not None
    assert index is not None
    assert tolerance is not None
    assert tolerance.maximum is not None
    assert length.basis == index.basis == "our setting"
    assert length.allows(1.2 * smallest.length)
    # The longest cut is what the index allows, rounded up.
    assert length.maximum is not None
    assert index.allows(steering(basic.straight_line(length.maximum), 2.0 * tolerance.maximum))


# --- lanes to trace -------------------------------------------------------------------------------

LANES = [("level", stage) for stage in range(1, 7)]
LANES += [("circle", stage) for stage in range(2, 7)]
LANES += [("square", stage) for stage in range(4, 7)]


@pytest.mark.parametrize(("shape", "stage"), LANES)
def test_lanes_on_a_page_have_the_index_of_their_closed_form(shape: str, stage: int) -> None:
    """A straight tunnel has A / W, a circular one 2 pi R / W (Accot and Zhai 1997); a square four
    straight ones. A and R are the distances between the printed edges, W what they leave free."""
    sheet = make_sheet(
        "trace-path", Source(words=("duck", "rock")), stage, Options(), TracePathChoices(shape, 1)
    )
    (page,) = sheet.pages
    (lane,) = [m for m in page.marks if isinstance(m, Stroke) and m.lane is not None]
    assert lane.lane is not None
    box, free = mark_bbox(lane), lane.width - 2.0 * lane.lane.edge
    across = box.width - lane.width
    expected = {"level": 1.0, "circle": math.pi, "square": 4.0}[shape] * across / free
    (found,) = [f for f in sheet.findings if f.limit == "steering index"]

    assert found.measured == pytest.approx(expected, abs=0.006)
    assert not found.outside


def test_the_limits_of_tracing_stand_on_those_of_cutting() -> None:
    """The six inches of several lists in a lane of one inch are the first line that is cut; the
    longest outline to cut is the top of both."""
    tracing = {stage: limit_for("tracing", stage, "steering_index") for stage in range(1, 7)}
    lanes = {stage: limit_for("tracing", stage, "corridor") for stage in range(1, 7)}
    first, last = tracing[1], tracing[6]
    assert first is not None
    assert last is not None
    assert lanes[1] is not None
    assert lanes[1].minimum is not None

    assert first.maximum == pytest.approx(steering(basic.straight_line(6 * INCH), lanes[1].minimum))
    for ours, theirs in ((first, (2, 3)), (last, (5, 6))):
        for stage in theirs:
            cut = limit_for("cutting", stage, "steering_index")
            assert cut is not None
            assert ours.maximum == cut.maximum
    for limit in tracing.values():
        assert limit is not None
        assert limit.basis == "our setting"
        assert "steering-law" in [source.id for source in limit.sources]


def test_a_pencil_meets_the_shapes_in_the_published_order() -> None:
    """``steps.toml`` has the stage of each shape by its sources; pages have it from then on."""
    listed = tomllib.loads((FilePath(__file__).parent / "steps.toml").read_text("utf-8"))
    stages = {
        name: row["stage"] for name, row in listed["tasks"]["tracing"].items() if name != "limit"
    }
    ours = {name: max(1, way.stage) for name, way in WAYS.items()}

    for name in ("upright", "level", "circle", "cross", "slant", "square", "x", "triangle"):
        assert ours[name] == stages[name], name
    assert "diamond" not in ours
