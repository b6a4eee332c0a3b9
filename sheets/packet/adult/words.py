"""What the adult's pages ask a counted plan, and small words that they share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shapes.letters.font import apart
from sheets.packet.adult.diagram import CutPlan, Stack
from sheets.packet.digest import Digest, Spot, Trim
from sheets.packet.plan import Counted, PlannedSheet
from sheets.page.model import Paper

Sheets = Sequence[tuple[PlannedSheet, Digest, tuple[Spot, ...]]]
"""Sheets, what is kept of them, and where they lie."""


@dataclass(frozen=True, slots=True)
class AtTheTables:
    """A kind on a day.

    Args:
        sheets: of all children who do it.
        first_day: the day for which its pages are made, if that is an earlier one; else empty.
    """

    day: str
    kind: str
    sheets: Sheets
    first_day: str = ""

    def pages(self, file: str, *, cards: bool = False, again: bool | None = None) -> str:
        """Its pages of a file, such as ``1–5``; a dash for none.

        Args:
            cards: the pages with its loose cards, else the others.
            again: only those that can be used again, or only those that cannot.
        """
        return spans(
            spot.page + 1
            for _, _, spots in self.sheets
            for spot in spots
            if spot.file == file
            and bool(spot.cards) == cards
            and (again is None or spot.again == again)
        )


def tables_of(plan: Counted) -> tuple[AtTheTables, ...]:
    """Every kind of every day that has sheets, repeats included, in their order."""
    made: dict[tuple[str, str], list[tuple[PlannedSheet, Digest, tuple[Spot, ...]]]] = {}
    first: dict[str, str] = {}
    for row in sheets_of(plan):
        made.setdefault((row[0].day, row[0].kind), []).append(row)
        first.setdefault(row[0].kind, row[0].day)
    found = []
    for day in plan.days:
        for kind in day.kinds:
            if (day.day, kind) in made:
                found.append(AtTheTables(day.day, kind, made[day.day, kind]))
            elif kind in first:
                sheets = made[first[kind], kind]
                found.append(AtTheTables(day.day, kind, sheets, first[kind]))
    return tuple(found)


def cut_plan(trim: Trim, paper: Paper) -> CutPlan:
    """The cuts of a page as they are drawn."""
    ys = trim.across
    if not trim.blocks:
        piece = ((ys[-1], ys[0]),)
        return CutPlan(paper, ys, (Stack(piece, None, trim.down),) if trim.down else ())
    # A gap between cards has two cuts, and then all of them have one.
    gaps = len(ys) == sum(2 * rows for rows, _ in trim.blocks)
    stacks, at, done = [], 0, 0
    for rows, downs in trim.blocks:
        edges = ys[at : at + (2 * rows if gaps else rows + 1)]
        pairs = range(0, len(edges) - 1, 2 if gaps else 1)
        at += len(edges)
        ticks = (ys[at] if at < len(ys) else 0.0, edges[-1])
        strips = tuple((edges[i + 1], edges[i]) for i in pairs)
        stacks.append(Stack(strips, ticks, trim.down[done : done + downs]))
        done += downs
    return CutPlan(paper, ys, tuple(stacks))


def sheets_of(plan: Counted) -> Iterator[tuple[PlannedSheet, Digest, tuple[Spot, ...]]]:
    """Every sheet with its digest and where it lies."""
    return zip(plan.sheets, plan.digests, plan.imposed.spots, strict=True)


def day_name(day: str) -> str:
    """Such as ``Monday``."""
    return (day or "any day").capitalize()


def kind_name(kind: str) -> str:
    """Such as ``Sort mat``."""
    return capital(kind.replace("-", " "))


def capital(text: str) -> str:
    """With a capital at its start, whatever follows."""
    return text[:1].upper() + text[1:]


def tags_of(plan: Counted, sheets: Iterable[PlannedSheet]) -> str:
    """The tags of the sheets' children, or ``all 12``."""
    return listed_tags(plan, list(dict.fromkeys(planned.child.tag for planned in sheets)))


def listed_tags(plan: Counted, tags: Sequence[str]) -> str:
    """Tags in a row, ``all 12``, or ``all but Bo`` where few are left out."""
    left_out = [child.tag for child in plan.children if child.tag not in tags]
    if not left_out and len(tags) > 1:
        return f"all {len(tags)}"
    if 0 < len(left_out) <= 3 and len(tags) > 2 * len(left_out):
        return f"all but {', '.join(map(apart, left_out))}"
    return ", ".join(map(apart, tags))


def spans(numbers: Iterable[int], dash: str = "–") -> str:
    """Numbers with runs drawn together: ``1–3, 7``; a dash for none."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    shown = (f"{run[0]}{dash}{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return ", ".join(shown) or dash
