"""Measures rows of things to put in order, strips to measure with, and things to measure.

Places of a row are named ``row-1`` and so on, what is printed in one ``given-1``, cards with one
picture in several sizes ``size-1``, strips ``strip-1``, things to measure ``length-1``, and the
unit that their page shows ``unit-1``; no other marks are looked at.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from sheets.check.guidance import Limit
from sheets.page.ink_box import ink_of_place
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Fill, Finding, Mark, Page, Place, Role, Stroke

_SLACK_MM = 0.05
_SLACK_RATIO = 0.005
_FINE_MM = 0.01

Limits = Mapping[str, Limit]


def row_findings(page: Page, bounds: Limits) -> Iterator[Finding]:
    """The values of rows against the limits that are there."""
    places = {mark.id for mark in page.marks if _is_place(mark)}
    if "row_length" in bounds and places:
        yield bounds["row_length"].finding(float(len(places)))
    sizes = sorted(
        (max(box.width, box.height), mark.id)
        for mark in page.marks
        if isinstance(mark, Place) and mark.role is Role.CARD and _is_named(mark, "size")
        for box in (ink_of_place(mark),)
    )
    if "size_shown" in bounds:
        for size, name in sizes:
            yield bounds["size_shown"].finding(size, name, _SLACK_MM)
    for (small, one), (large, other) in itertools.pairwise(sizes):
        names = f"{one}, {other}"
        if "size_step" in bounds:
            yield bounds["size_step"].finding(large - small, names, _SLACK_MM)
        if "size_ratio" in bounds:
            yield bounds["size_ratio"].finding(large / small, names, _SLACK_RATIO)


def strip_findings(page: Page, bounds: Limits) -> Iterator[Finding]:
    """Units of strips, and lengths of things to measure, against the limits that are there."""
    units = [unit for strip in _strips(page) for unit in strip]
    if units and "strip_unit" in bounds:
        even = max(units) - min(units) <= _SLACK_MM
        for unit in units[:1] if even else (min(units), max(units)):
            yield bounds["strip_unit"].finding(unit, "", _SLACK_MM)
    if units and "unit_spread" in bounds:
        yield bounds["unit_spread"].finding(max(units) - min(units), "", _FINE_MM)
    lengths = sorted(
        (mark_bbox(mark).width, mark.id)
        for mark in page.marks
        if isinstance(mark, Stroke) and mark.role is Role.TARGET and _is_named(mark, "length")
    )
    if "length_apart" in bounds:
        for (short, one), (long, other) in itertools.pairwise(lengths):
            yield bounds["length_apart"].finding(long - short, f"{one}, {other}", _SLACK_MM)
    shown = [mark_bbox(mark).width for mark in page.marks
             if isinstance(mark, Stroke) and _is_named(mark, "unit")]  # fmt: skip
    if shown and "length_beyond" in bounds:
        for length, name in lengths:
            beyond = abs(length - round(length / shown[0]) * shown[0])
            yield bounds["length_beyond"].finding(beyond, name, _SLACK_MM)


def _strips(page: Page) -> Iterator[list[float]]:
    """The units of each strip in mm: from its left edge to the first upright line, and so on."""
    for mark in page.marks:
        if not (isinstance(mark, Stroke) and _is_named(mark, "strip")):
            continue
        papers = [m for m in page.marks if isinstance(m, Fill) and m.id == mark.id
                  and m.colour == WHITE]  # fmt: skip
        walls = sorted(path.bbox.x0 for path in mark.paths if path.bbox.width < _FINE_MM)
        edges = [*(mark_bbox(paper).x0 for paper in papers[:1]), *walls]
        yield [b - a for a, b in itertools.pairwise(edges)]


def _is_place(mark: Mark) -> bool:
    return (
        isinstance(mark, Stroke)
        and mark.role in (Role.ANSWER_SPACE, Role.MODEL)
        and (_is_named(mark, "row") or _is_named(mark, "given"))
    )


def _is_named(mark: Mark, kind: str) -> bool:
    name, _, number = mark.id.partition("-")
    return name == kind and number.isdecimal()
