"""Pages of very many marks: how much of one is measured, and how many values are listed.

Most measures compare every mark with every other. A page for a child has some dozen marks; what has
thousands is something else, which nobody reads thousands of findings about.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Sequence

from sheets.page.model import Finding, Mark, Page, Role, Stroke

MOST_OF_A_ROLE = 100
"""Marks of one role that are measured, of lines their paths. Our example pages have at most 34
marks in all."""

MOST_LISTED = 100
"""Values that are listed of one limit, those outside guidance first."""


def measurable(page: Page) -> tuple[Page, tuple[str, ...]]:
    """The page with at most :data:`MOST_OF_A_ROLE` marks of each role, and what was left out."""
    counts: Counter[Role] = Counter()
    kept: list[Mark] = []
    for mark in page.marks:
        room = max(0, MOST_OF_A_ROLE - counts[mark.role])
        counts[mark.role] += len(mark.paths) if isinstance(mark, Stroke) else 1
        if isinstance(mark, Stroke) and len(mark.paths) > room:
            mark = dataclasses.replace(mark, paths=mark.paths[:room])
        if room:
            kept.append(mark)
    notes = tuple(
        f'{count} marks of the role "{role.value}": the first {MOST_OF_A_ROLE} are measured'
        for role, count in counts.items()
        if count > MOST_OF_A_ROLE
    )
    return (dataclasses.replace(page, marks=tuple(kept)) if notes else page), notes


def listed(findings: Sequence[Finding]) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """The findings with at most :data:`MOST_LISTED` of each limit, and what was left out."""
    counts = Counter(finding.limit for finding in findings)
    kept: set[int] = set()
    taken: Counter[str] = Counter()
    for i in sorted(range(len(findings)), key=lambda i: (not findings[i].outside, i)):
        taken[findings[i].limit] += 1
        if taken[findings[i].limit] <= MOST_LISTED:
            kept.add(i)
    notes = tuple(
        f"{limit}: {MOST_LISTED} of {count} values are listed"
        for limit, count in counts.items()
        if count > MOST_LISTED
    )
    return tuple(finding for i, finding in enumerate(findings) if i in kept), notes
