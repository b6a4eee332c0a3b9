"""Measures rows of things to put in order: how many places, and one picture in several sizes.

Places are named ``place-1`` and so on, what is printed in one ``given-1``, and cards with one
picture in several sizes ``size-1``; no other marks are looked at.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from sheets.check.guidance import Limit
from sheets.page.ink_box import ink_of_place
from sheets.page.model import Finding, Mark, Page, Place, Role, Stroke

_SLACK_MM = 0.05
_SLACK_RATIO = 0.005

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


def _is_place(mark: Mark) -> bool:
    return (
        isinstance(mark, Stroke)
        and mark.role in (Role.ANSWER_SPACE, Role.MODEL)
        and (_is_named(mark, "place") or _is_named(mark, "given"))
    )


def _is_named(mark: Mark, kind: str) -> bool:
    name, _, number = mark.id.partition("-")
    return name == kind and number.isdecimal()
