"""Small words that the adult pages share: days, tags, page numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from shapes.letters.font import apart
from sheets.packet.digest import Counts, Digest
from sheets.packet.plan import Counted, PlannedSheet


def sheets_of(plan: Counted) -> Iterator[tuple[PlannedSheet, Digest, Counts]]:
    """Every sheet with its digest and the pages of each file that come before it."""
    return zip(plan.sheets, plan.digests, plan.starts(), strict=True)


def day_name(day: str) -> str:
    """Such as ``Monday``."""
    return (day or "any day").capitalize()


def tags_of(plan: Counted, sheets: Iterable[PlannedSheet]) -> str:
    """The tags of the sheets' children, or ``all 12``."""
    return listed_tags(plan, list(dict.fromkeys(planned.child.tag for planned in sheets)))


def listed_tags(plan: Counted, tags: Sequence[str]) -> str:
    """Tags in a row, or ``all 12`` if every child of the packet is among them."""
    if len(tags) == len(plan.children) > 1:
        return f"all {len(tags)}"
    return ", ".join(map(apart, tags))


def span(first: int, count: int) -> str:
    """Pages from ``first``: ``3–5``; a dash for none."""
    if not count:
        return "–"
    return f"{first}" if count == 1 else f"{first}–{first + count - 1}"


def plural(count: int, one: str, many: str = "") -> str:
    """A number with its noun."""
    return f"{count} {one if count == 1 else many or one + 's'}"
