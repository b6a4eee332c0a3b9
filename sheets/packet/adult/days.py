"""A sheet for each day: how to say it, easier, harder, what to watch, and boxes to tick.

A row has the child's tag, never the name, so that a sheet left lying says little.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from shapes.path import BBox, Path
from sheets.kinds.tips import LABELS, Tips, tips
from sheets.packet.adult.flow import (
    BODY_PT,
    Flow,
    broken,
    paragraph_height,
    ruled,
)
from sheets.packet.adult.ticks import HEAD_PAD, HEAD_PT, Grid, Row, Tick
from sheets.packet.adult.words import (
    AtTheTables,
    capital,
    day_name,
    kind_name,
    spans,
    tables_of,
    tags_of,
)
from sheets.packet.digest import CARD, KEYS, PLAIN
from sheets.packet.plan import Counted
from sheets.page.model import Mark

HELP = ("none", "words", "shown", "hand over hand")
STOPPED = ("tired", "too hard", "lost interest", "other")
LEAST_ROW, MOST_ROW = 5.8, 9.0
"""Height of a row, mm: about that of narrow ruled paper, and no more than a few words need."""
_LABEL_MM = 12.5
_TITLE_MM = 16.0
_UNDER_TIPS = 0.8
_NOTE_LINE = 8.0
_BLANKS = "Date __________   Adult __________"


def days(flow: Flow, plan: Counted) -> None:
    """The sheets of all days; short days of a small class share one."""
    for i, (day, group) in enumerate(itertools.groupby(tables_of(plan), key=lambda one: one.day)):
        _day(flow, plan, day, list(group), first=i == 0)
    _notes(flow)


def _day(flow: Flow, plan: Counted, day: str, kinds: Sequence[AtTheTables], *, first: bool) -> None:
    """One page where all of a day fits on it, else one or more for each kind."""
    grids = [(one, Grid(_columns(one), flow.left, flow.right)) for one in kinds]
    count = sum(len(one.sheets) for one in kinds)
    need = _TITLE_MM + _fixed(flow, plan, grids, kinds) + MOST_ROW * count
    if first or flow.room < need:
        if not first:
            _notes(flow)
        need = math.inf
    note = next((row.note for row in plan.days if row.day == day), "")
    flow.section(day_name(day), day_name(day), beside=note, aside=_BLANKS, least_mm=need)
    new = [one for one in kinds if not one.first_day]
    # Tips of a kind that comes again are told once more where a page of its own has room for them.
    for told in (kinds, new) if need == math.inf else (new,):
        if _row_height(flow, plan, grids, told) >= LEAST_ROW:
            _page(flow, plan, grids, told)
            return
    for i, row in enumerate(grids):
        if i:
            _notes(flow)
            flow.section(day_name(day), day_name(day), beside=note, aside=_BLANKS)
        _page(flow, plan, [row], kinds)


_Grids = Sequence[tuple[AtTheTables, Grid]]


def _fixed(flow: Flow, plan: Counted, grids: _Grids, told: Sequence[AtTheTables]) -> float:
    """Height of all but the rows."""
    return 0.5 + sum(
        _kind_height(flow, plan, one, one in told) + grid.head_height + _UNDER_TIPS
        for one, grid in grids
    )


def _row_height(flow: Flow, plan: Counted, grids: _Grids, told: Sequence[AtTheTables]) -> float:
    """How high rows can be so that everything fits in the room that is left."""
    return (flow.room - _fixed(flow, plan, grids, told)) / sum(len(one.sheets) for one, _ in grids)


def _page(flow: Flow, plan: Counted, grids: _Grids, told: Sequence[AtTheTables]) -> None:
    high = max(LEAST_ROW, min(MOST_ROW, _row_height(flow, plan, grids, told)))
    for one, grid in grids:
        _kind(flow, plan, one, one in told)
        _rows(flow, grid, _rows_of(one), high)


def _notes(flow: Flow) -> None:
    """Ruled lines down to the foot, where there is room for some."""
    count = int((flow.room - 10.0) / _NOTE_LINE)
    if count < 2:
        return
    flow.heading("Notes: what was done and said")

    def draw(box: BBox) -> list[Mark]:
        ys = [box.y1 - _NOTE_LINE * i for i in range(1, count + 1)]
        return [ruled([Path.line((box.x0, y), (box.x1, y)) for y in ys])]

    flow.block(_NOTE_LINE * count, draw)


# --- what to say and to watch ---------------------------------------------------------------------


def _pages(plan: Counted, one: AtTheTables) -> str:
    """Who gets which pages, and where the cards and keys are."""
    pages = [
        f"{'cards from ' if cards else ''}{file} {one.pages(file, cards=cards)}"
        for file, cards in ((PLAIN, False), (CARD, False), (CARD, True), (KEYS, False))
        if one.pages(file, cards=cards) != "–"
    ]
    once_more = f", as on {day_name(one.first_day)}" if one.first_day else ""
    tags = tags_of(plan, (planned for planned, _, _ in one.sheets))
    return f"{tags}{once_more}: {', '.join(pages)}"


def _kind(flow: Flow, plan: Counted, one: AtTheTables, told: bool) -> None:
    """Heading, pages to hand out, and the tips for the stages of this class."""
    flow.heading(kind_name(one.kind), 24.0, _pages(plan, one))
    if told:
        for label, text in tip_lines(one):
            flow.paragraph(text, label=capital(label), indent=_LABEL_MM)
    else:
        flow.paragraph(f"Say, easier, harder, watch: on the sheet of {day_name(one.first_day)}.")


def tip_lines(one: AtTheTables) -> list[tuple[str, str]]:
    """A label and what is said under it, with the stages it is for where they differ."""
    stages = {planned.stage for planned, _, _ in one.sheets}
    found = []
    for label in LABELS:
        merged = tips(one.kind).merged(label, stages)
        only = len(merged) == 1
        said = [text if only else f"{spans(each)}: {text}" for each, text in merged]
        found.append((label, " · ".join(said)))
    return found


def _kind_height(flow: Flow, plan: Counted, one: AtTheTables, told: bool) -> float:
    """Room that heading and tips take."""
    lines = [len(broken(text, BODY_PT, flow.width - _LABEL_MM)) for _, text in tip_lines(one)]
    head = flow.heading_height(kind_name(one.kind), _pages(plan, one))
    return head + sum(paragraph_height(n) for n in (lines if told else [1]))


# --- boxes to tick --------------------------------------------------------------------------------


def _columns(one: AtTheTables) -> list[Tick]:
    found = tips(one.kind)
    hand = [Tick(side, "hand", width=6.0) for side in ("L", "R")] if found.hand else []
    right = [Tick(found.result, words=True, width=15.0)] if found.result else []
    return [
        Tick("tag", words=True, width=9.0),
        Tick("stage", words=True),
        *(Tick(tick.head, width=_two_lines(tick.head)) for tick in found.ticks),
        *hand,
        *right,
        *(Tick(head, "help", width=_two_lines(head)) for head in HELP),
        Tick("finished"),
        *(Tick(head, "stopped because", width=_two_lines(head)) for head in STOPPED),
        Tick("note"),
    ]


def _two_lines(head: str) -> float:
    """The width in which a heading goes over two lines, or one."""
    width = Tick(head).wide
    while len(broken(head, HEAD_PT, width - 2.0 * HEAD_PAD)) > 2:
        width += 0.5
    return width


def _rows_of(one: AtTheTables) -> list[Row]:
    found = tips(one.kind)
    return [
        Row(
            (
                planned.child.tag,
                str(planned.stage),
                *([_result(digest.parameters.get(found.of))] if found.result else []),
            ),
            _without(found, planned.stage),
        )
        for planned, digest, _ in one.sheets
    ]


def _without(found: Tips, stage: int) -> frozenset[int]:
    """The columns that make no sense at a stage."""
    return frozenset(i for i, tick in enumerate(found.ticks, start=2) if stage not in tick.stages)


def _result(count: object) -> str:
    """Room for a number, and what it is out of: a count, or one for each row of the page."""
    if isinstance(count, list) and all(isinstance(one, int) for one in count):
        count = sum(count)
    return f"__ of {count}" if isinstance(count, int) and count else "__"


def _rows(flow: Flow, grid: Grid, rows: list[Row], high: float) -> None:
    """The grid, with its headings on every page."""
    flow.gap(_UNDER_TIPS)
    while rows:
        flow.room_for(grid.head_height + high)
        flow.block(grid.head_height, grid.head)
        count = min(len(rows), max(1, int((flow.room + 1e-6) / high)))
        now, rows = rows[:count], rows[count:]
        flow.block(high * count, lambda box, now=now: grid.rows(box, now, high))  # type: ignore[misc]
