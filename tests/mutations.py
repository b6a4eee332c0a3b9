"""Pages made to break one limit of the guidance at a time, and pages just inside it.

For every skill, stage and measured limit a page is built whose one value lies on the limit, and one
a small step beyond it. ``python -m tests.mutations`` prints, limit by limit, at how many stages the
first passes and the second is found.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from shapes.affine import Affine
from shapes.path import Arc, BBox, Line, Path, Segment
from sheets.check.check import check_page
from sheets.check.guidance import FILE, STAGES, Limit, limits, load
from sheets.page.model import (
    WHITE,
    Artwork,
    Fill,
    Finding,
    Lane,
    Mark,
    Page,
    Paper,
    Place,
    Role,
    Stroke,
    Text,
)

RAW: Mapping[str, Any] = tomllib.loads(FILE.read_text(encoding="utf-8"))
"""The guidance file as it is written."""

WIDE = Paper("wide", 1000.0, 1000.0)
LETTER = Paper("letter", 215.9, 279.4)
CORNER = (200.0, 200.0)


def page(*marks: Mark, paper: Paper = WIDE) -> Page:
    return Page(paper, marks)


def cut(*paths: Path, width: float = 12.7, id: str = "cut", role: Role = Role.CUT) -> Stroke:
    return Stroke(paths, width, role, id=id)


def line(length: float, y: float = 500.0, x: float = 200.0) -> Path:
    return Path.line((x, y), (x + length, y))


def polygon(corners: int, radius: float) -> Path:
    return Path.from_points(
        [
            (500 + radius * math.cos(a), 500 + radius * math.sin(a))
            for a in (math.tau * i / corners for i in range(corners))
        ],
        closed=True,
    )


def star(points: int, outer: float, inner: float) -> Path:
    corners = []
    for i in range(2 * points):
        r, a = (inner if i % 2 else outer), math.pi * i / points
        corners.append((500 + r * math.cos(a), 500 + r * math.sin(a)))
    return Path.from_points(corners, closed=True)


def zigzag(corners: int, angle_deg: float = 150.0, leg: float = 40.0) -> Path:
    """An open line with that many corners, all of one angle, to either side in turn."""
    points, heading = [CORNER], 0.0
    for i in range(corners + 1):
        x, y = points[-1]
        points.append((x + leg * math.cos(heading), y + leg * math.sin(heading)))
        heading += math.radians(180.0 - angle_deg) * (1 if i % 2 else -1)
    return Path.from_points(points)


def dumb_bell(neck: float) -> Path:
    """Two squares of 150 mm joined by a bar ``neck`` wide."""
    h, s = neck / 2.0, 75.0
    right = [(200, -h), (200, -s), (350, -s), (350, s), (200, s), (200, h)]
    points = [*right, *((-x, -y) for x, y in right)]
    return Path.from_points([(500 + x / 1.5, 500 + y) for x, y in points], closed=True)


def slotted(notch: float) -> Path:
    """A square of 200 mm with a slot of that width, 120 mm deep."""
    h = notch / 2.0
    points = [(-100, -100), (100, -100), (100, 100), (h, 100), (h, -20), (-h, -20), (-h, 100)]
    return Path.from_points([(500 + x, 500 + y) for x, y in [*points, (-100, 100)]], closed=True)


def bitten(radius: float) -> Path:
    """A square of 200 mm with a half circle taken out of its upper side."""
    r = radius
    segments: tuple[Segment, ...] = (
        Line((400, 400), (600, 400)),
        Line((600, 400), (600, 600)),
        Line((600, 600), (500 + r, 600)),
        Arc((500, 600), r, 0.0, -180.0),
        Line((500 - r, 600), (400, 600)),
        Line((400, 600), (400, 400)),
    )
    return Path(segments, closed=True)


def square_fill(x: float, y: float, size: float, role: Role = Role.ART, id: str = "duck") -> Fill:
    points = [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]
    return Fill((Path.from_points(points, closed=True),), role, id=id)


def box(
    width: float, height: float, role: Role, id: str, x: float = 300.0, y: float = 300.0
) -> Fill:
    points = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return Fill((Path.from_points(points, closed=True),), role, id=id)


def picture(x: float, side: float) -> Place:
    """A square of that side as one of the things of a group to count."""
    art = Artwork("square", (square_fill(0.0, 0.0, 1.0),), BBox(0.0, 0.0, 1.0, 1.0))
    at = Affine.scaling(side).then(Affine.translation(x, 300.0))
    return Place(art, at, Role.TARGET, "group-1", item=1)


def strip(*units: float) -> list[Mark]:
    """A loose strip whose units end at upright lines, the first one unit from its edge."""
    walls = [Path.line((x, 301.0), (x, 339.0)) for x in itertools.accumulate((300.0, *units))][1:]
    paper = box(sum(units) + 5.0, 40.0, Role.CARD, "strip-1", 300.0)
    return [
        dataclasses.replace(paper, colour=WHITE),
        Stroke(tuple(walls), 0.7, Role.CARD, "strip-1"),
    ]


def bar(length: float, id: str, y: float = 300.0) -> Stroke:
    """A bar to measure: as long with its line as asked."""
    points = [(100.5, y), (99.5 + length, y), (99.5 + length, y + 9), (100.5, y + 9)]
    return Stroke((Path.from_points(points, closed=True),), 1.0, Role.TARGET, id)


def sized(longest: float, id: str) -> Place:
    """A bar as wide as asked on a loose card, half as high, its ink alone counted."""
    outline = Path.from_points([(0, 0), (9, 0), (9, 4), (0, 4)], closed=True)
    art = Artwork(f"bar-{id}", (Stroke((outline,), 1.0, Role.ART),), BBox(-3.0, -3.0, 12.0, 7.0))
    scale = longest / 10.0
    return Place(art, Affine(scale, 0.0, 0.0, scale, 300.0, 300.0), Role.CARD, id)


def framed(free_width: float, free_height: float, role: Role, id: str) -> Stroke:
    """A frame of a line 3 mm wide that leaves so much free inside it."""
    x, y, line = 300.0, 300.0, 3.0
    width, height = free_width + line, free_height + line
    points = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return Stroke((Path.from_points(points, closed=True),), line, role, id=id, join="miter")


def turned_line(stage: int, corners: float) -> Path:
    """A line or outline with that many corners, of the form the limit is about."""
    if stage in (1, 2, 3):
        return zigzag(int(corners))
    if corners == 0:
        return Path.circle((500, 500), 80.0)
    return polygon(max(3, int(corners)), 150.0)


def grey(ratio: float) -> str:
    """The grey nearest to a contrast with white (WCAG 2: #949494 has 3.0335, #959595 2.9953)."""
    return "#949494" if ratio >= 3.0 else "#959595"


def circle_of(length: float) -> Path:
    return Path.circle((500, 500), length / math.tau)


def of_length(stage: int, length: float) -> Path:
    """A closed outline from stage 4 on, a straight line before."""
    return circle_of(length) if stage >= 4 else line(length)


def with_angle(stage: int, angle_deg: float) -> Path:
    """A rhombus from stage 5 on, a line with a turn before; the sharpest corner has the angle."""
    if stage <= 4:
        return zigzag(1, angle_deg)
    x, y = (80.0 * f(math.radians(angle_deg) / 2.0) for f in (math.sin, math.cos))
    corners = [(500.0, 500.0 - y), (500.0 + x, 500.0), (500.0, 500.0 + y), (500.0 - x, 500.0)]
    return Path.from_points(corners, closed=True)


def tolerance(stage: int, name: str = "tolerance") -> float:
    value = limits("cutting", stage)[name].maximum
    assert value is not None
    return value


Builder = Callable[[int, float], Sequence[Mark]]

BUILDERS: dict[str, Builder] = {
    "line_width": lambda stage, v: [cut(line(20), width=v)],
    "widest_line": lambda stage, v: [cut(line(20), width=v)],
    "cut_length": lambda stage, v: [cut(of_length(stage, v))],
    "open_cut_length": lambda stage, v: [cut(line(v))],
    "steering_index": lambda stage, v: [
        # To cut, within twice the tolerance; and to trace, in a lane of 10 mm.
        cut(of_length(stage, v * 2 * tolerance(stage))),
        Stroke((circle_of(v * 10.0),), 11.0, Role.TRACE, id="trace", lane=Lane(0.5)),
    ],
    "open_steering_index": lambda stage, v: [cut(line(v * 2 * tolerance(stage, "open_tolerance")))],
    "piece_size": lambda stage, v: [cut(Path.circle((500, 500), v / 2))],
    "neck": lambda stage, v: [cut(dumb_bell(v))],
    "notch": lambda stage, v: [cut(slotted(v))],
    "bend_radius": lambda stage, v: [
        cut(line(20) if math.isinf(v) else Path.circle((500, 500), v))
    ],
    "hollow_radius": lambda stage, v: [
        cut(Path.circle((500, 500), 80) if math.isinf(v) else bitten(v))
    ],
    "corners": lambda stage, v: [cut(turned_line(stage, v))],
    "open_corners": lambda stage, v: [cut(zigzag(int(v)))],
    "hollow_corners": lambda stage, v: [
        cut(polygon(5, 80) if v == 0 else star(max(3, int(v)), 150, 50))
    ],
    "interior_angle": lambda stage, v: [cut(with_angle(stage, v))],
    "cuts_per_page": lambda stage, v: [
        cut(*(line(20, 100.0 + 60 * i) for i in range(int(v))))
        if v
        else Text(300, 300, "fold", 20, Role.GUIDE)
    ],
    "outline_gap": lambda stage, v: [cut(line(20, 500)), cut(line(20, 512.7 + v), id="other")],
    "clearance": lambda stage, v: [cut(line(20, 500)), square_fill(205, 506.35 + v, 10)],
    "edge_distance": lambda stage, v: [
        Stroke((line(20, v + 1.0),), 2.0, Role.FURNITURE, id="name-line")
    ],
    "bar_length": lambda stage, v: [Stroke((line(v),), 0.25, Role.FURNITURE, id="bar-x")],
    "line_contrast": lambda stage, v: [
        Stroke((line(20),), 12.7, Role.FOLD, id="fold", colour=grey(v))
    ],
    "overlap": lambda stage, v: [
        Stroke((line(200),), 3.0, Role.GUIDE, id="arrow"),
        Stroke((line(200, 502.9 if v else 503.2),), 3.0, Role.FURNITURE, id="bar"),
    ],
    "text_size": lambda stage, v: [Text(300, 300, "duck", v, Role.GUIDE, id="word")],
    "corridor": lambda stage, v: [
        Stroke((line(200),), v + 1.0, Role.TRACE, id="trace", lane=Lane(0.5))
    ],
    "guide_line": lambda stage, v: [Stroke((line(200),), v, Role.TRACE, id="trace")],
    "shape_size": lambda stage, v: [
        Stroke((line(v),), 30.0, Role.TRACE, id="trace", lane=Lane(0.5))
    ],
    "target_size": lambda stage, v: [box(v, v / 2, Role.TARGET, "target-1")],
    "size_difference": lambda stage, v: [
        Stroke((Path.circle((300, 300), 40),), 3, Role.TRACE, id="cup"),
        Stroke((Path.circle((600, 300), 40 + v / 2),), 3, Role.TRACE, id="tub"),
    ],
    "choices": lambda stage, v: [
        box(40, 40, Role.CHOICE, f"choice-1-{i}", 100.0 + 80 * i) for i in range(int(v))
    ],
    "letter_height": lambda stage, v: [box(10, v, Role.LETTER, "letter")],
    "x_height": lambda stage, v: [
        # Andika: the letter x is 1020 of 2048 units high (outline in the bundled font file).
        Text(300, 300, "b", v / (1020 / 2048) * 72 / 25.4, Role.LETTER, id="letter")
    ],
    "trace_letter_height": lambda stage, v: [
        Stroke((Path.line((300, 300), (300, 300 + v)),), 3, Role.TRACE, id="letter-L")
    ],
    "items_per_page": lambda stage, v: [
        box(40, 40, Role.TARGET, f"target-{i}", 20.0 + 80 * i) for i in range(int(v))
    ],
    "item_gap": lambda stage, v: [
        box(40, 40, Role.TARGET, "target-1", 100.0),
        box(40, 40, Role.TARGET, "target-2", 140.0 + v),
    ],
    "pictures": lambda stage, v: [
        box(60, 60, Role.CARD, f"card-{i}", 20.0 + 80 * i) for i in range(int(v))
    ],
    "card_size": lambda stage, v: [box(v, v - 5, Role.CARD, "card-1")],
    "cells_to_fill": lambda stage, v: [
        box(30, 30, Role.ANSWER_SPACE, f"answer-space-1-{i}", 20.0 + 40 * i) for i in range(int(v))
    ],
    "cell_size": lambda stage, v: [framed(v + 9, v, Role.ANSWER_SPACE, "answer-space-1-1")],
    "amount": lambda stage, v: [picture(20.0 + 40 * i, 30.0) for i in range(int(v))],
    "counted_size": lambda stage, v: [picture(300.0, v)],
    "counted_gap": lambda stage, v: [picture(300.0, 30.0), picture(330.0 + v, 30.0)],
    "choice_box": lambda stage, v: [framed(v + 9, v, Role.CHOICE, "choice-1-1")],
    "loose_piece_width": lambda stage, v: [box(90, v, Role.CARD, "card-1")],
    "card_width": lambda stage, v: [box(90, v, Role.CARD, "card-1")],
    "row_length": lambda stage, v: [
        framed(40, 40, Role.ANSWER_SPACE, f"row-{i}") for i in range(1, int(v) + 1)
    ],
    "strip_unit": lambda stage, v: strip(v, v, v),
    "unit_spread": lambda stage, v: strip(30.0, 30.0 + v, 30.0),
    "length_apart": lambda stage, v: [bar(100.0, "length-1"), bar(100.0 + v, "length-2", 100.0)],
    "length_beyond": lambda stage, v: [
        dataclasses.replace(bar(30.0, "unit-1"), role=Role.MODEL),
        bar(60.0 - v, "length-1", 100.0),
    ],
    "size_shown": lambda stage, v: [sized(v, "size-1")],
    "size_ratio": lambda stage, v: [sized(60.0, "size-1"), sized(60.0 * v, "size-2")],
    "size_step": lambda stage, v: [sized(25.0, "size-1"), sized(25.0 + v, "size-2")],
    "areas": lambda stage, v: [
        box(60, 60, Role.ANSWER_SPACE, f"area-{i}", 20.0 + 80 * i) for i in range(int(v))
    ],
}

COUNTS = {
    "corners",
    "open_corners",
    "hollow_corners",
    "cuts_per_page",
    "amount",
    "choices",
    "items_per_page",
    "pictures",
    "cells_to_fill",
    "areas",
    "row_length",
}
# How far from a limit the nearest page is built: more than what the check lets pass.
STEP = {
    "overlap": 1.0,
    "interior_angle": 0.8,
    "line_contrast": 0.02,
    "bar_length": 0.01,
    "text_size": 0.5,
    "size_ratio": 0.01,
}
RADII = ("bend_radius", "hollow_radius")

# --- what is tried --------------------------------------------------------------------------------


class Case(NamedTuple):
    """One limit at one stage."""

    skill: str
    stage: int
    limit: Limit


@cache
def cases() -> tuple[Case, ...]:
    """Every measured limit at every stage that has it."""
    return tuple(
        Case(skill, stage, limit)
        for skill in load().skills
        for stage in STAGES
        for limit in limits(skill, stage).values()
        if limit.measured
    )


def stage_rows(skill: str, name: str) -> dict[int, Any]:
    """Stage -> content, of one limit as the file has it."""
    (row,) = (r for r in RAW["limit"] if r["name"] == name and skill in r["skills"])
    rows: dict[int, Any] = {}
    for span, content in row["stages"].items():
        first, _, last = span.partition("-")
        rows |= dict.fromkeys(range(int(first), int(last or first) + 1), content)
    return rows


def bounds(limit: Limit) -> list[float]:
    """The values that still count as inside; an infinite one means that the thing must not be."""
    return [b for b in (limit.minimum, limit.maximum) if b is not None]


def beyond(limit: Limit) -> Iterator[float]:
    """A value just outside each bound; for what must not occur, 60 mm of it."""
    if limit.minimum is not None:
        far = 60.0 if math.isinf(limit.minimum) else limit.minimum - step(limit, limit.minimum)
        yield far
    if limit.maximum is not None:
        yield limit.maximum + step(limit, limit.maximum)


def built(limit: Limit, stage: int, value: float) -> float:
    """What the page really has: a closed outline has three corners at least."""
    closed = limit.name == "hollow_corners" or (
        limit.name in COUNTS and limit.maximum == 0 and stage >= 4
    )
    return max(value, 3.0) if closed else value


def step(limit: Limit, bound: float) -> float:
    if limit.name in COUNTS:
        return 1.0
    if limit.name in RADII:
        return 0.1 + 0.015 * bound
    if limit.name.endswith("steering_index"):
        return 0.02
    return STEP.get(limit.name, 0.1)


def found(limit: Limit, skill: str, stage: int, value: float) -> list[Finding]:
    marks = BUILDERS[limit.name](stage, value)
    return [f for f in check_page(page(*marks), skill, stage) if f.limit == limit.label]


def number(finding: Finding) -> float:
    """The measured value; with limits that are words it carries its unit."""
    measured = finding.measured
    return measured if isinstance(measured, float) else float(measured.split()[0])


# --- the table ------------------------------------------------------------------------------------


class Row(NamedTuple):
    """One limit of one skill: stages tried, and those at which a page was judged wrongly."""

    skill: str
    limit: str
    stages: int
    bounds: int
    misses: tuple[str, ...]


def table() -> list[Row]:
    """Every limit, with whatever was missed."""
    rows = []
    ordered = sorted(cases(), key=lambda case: (load().skills.index(case.skill), case.limit.name))
    for (skill, name), group in itertools.groupby(ordered, lambda c: (c.skill, c.limit.name)):
        misses: list[str] = []
        count = sides = 0
        for _, stage, limit in group:
            count += 1
            for bound, value in zip(bounds(limit), beyond(limit), strict=True):
                sides += 1
                kept, broken = (found(limit, skill, stage, v) for v in (bound, value))
                if not kept or any(f.outside for f in kept):
                    misses.append(f"inside {stage}")
                if not any(f.outside for f in broken):
                    misses.append(f"outside {stage}")
        rows.append(Row(skill, name, count, sides, tuple(misses)))
    return rows


def markdown(rows: Sequence[Row]) -> str:
    """The table, and the limits that no page shows."""
    lines = [
        "| skill | limit | stages | bounds | page on the limit passes | page beyond it is found |",
        "|---|---|---|---|---|---|",
    ]
    for row in rows:
        passed, caught = (
            ", ".join(m for m in row.misses if m.startswith(kind)) or "all"
            for kind in ("inside", "outside")
        )
        lines.append(
            f"| {row.skill} | {row.limit} | {row.stages} | {row.bounds} | {passed} | {caught} |"
        )
    unseen = sorted(
        {t.name for t in load().tables if not any(m.measured for m in t.stages.values())}
    )
    lines += ["", f"Told to the adult, not measured on a page: {', '.join(unseen)}."]
    return "\n".join(lines)


if __name__ == "__main__":
    print(markdown(table()))
