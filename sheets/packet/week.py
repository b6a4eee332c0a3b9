"""What the whole week takes: what is printed once, once more and used again, and what that costs.

A page on which the child cuts, draws or glues is used up and printed once more whenever its kind
comes again; other pages and all loose cards are printed once. All of it is counted from where the
pages lie, so it agrees with the files.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN, STACK, Trim
from sheets.packet.plan import Counted
from sheets.theme.problems import count_of

CHILDREN = (PLAIN, CARD)
SAVINGS = 3

Pages = Mapping[str, tuple[int, ...]]
"""File -> pages of it, from 0, in order."""


@dataclass(frozen=True, slots=True)
class DayPages:
    """What one day needs of the children's files.

    Args:
        new: pages that no day before needs; the first print of each.
        again: used-up pages that are printed once more for this day.
        kept: kinds whose boards or cards, or all pages, are there from an earlier day.
    """

    day: str
    kinds: tuple[str, ...]
    new: Pages
    again: Pages
    kept: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Week:
    """Counts for the week as planned.

    Args:
        plain, card: sheets of each stock, repeats, keys and adult pages included.
        again: those of them that are printed once more.
        cuts: straight cuts of an adult with nothing stacked.
        cuts_stacked: the same with at most :data:`~sheets.packet.digest.STACK` sheets or strips in
            a stack.
        film: laminating pouches.
        envelopes: one for each set of cards of each child.
        ink_plain, ink_card: area of ink, mm², on each stock.
    """

    days: tuple[DayPages, ...]
    plain: int
    card: int
    again: int
    cuts: int
    cuts_stacked: int
    film: int
    envelopes: int
    ink_plain: float
    ink_card: float

    @property
    def sheets(self) -> int:
        """Sheets of paper, all printed on one side."""
        return self.plain + self.card


@dataclass(frozen=True, slots=True)
class Saving:
    """One way to use less paper, and what is lost by it."""

    sheets: int
    how: str
    cost: str

    def sentence(self) -> str:
        """For the terminal; fields of the choices stand in backquotes."""
        return f"{count_of(self.sheets, 'sheet')} less: {self.how}; {self.cost}"


def week(plan: Counted) -> Week:
    """The counts of a counted plan."""
    days = tuple(_days(plan))
    totals = plan.totals()
    again = {file: [page for day in days for page in day.again.get(file, ())] for file in CHILDREN}
    ink = {
        file: sum(plan.imposed.ink.get(file, ()))
        + sum(plan.imposed.ink[file][page] for page in again[file])
        for file in CHILDREN
    }
    ink[PLAIN] += sum(plan.imposed.ink.get(KEYS, ()))
    trims = list(_trims(plan, again))
    return Week(
        days=days,
        plain=totals.plain + len(again[PLAIN]),
        card=totals.card + len(again[CARD]),
        again=len(again[PLAIN]) + len(again[CARD]),
        cuts=sum(trim.alone for trim in trims),
        cuts_stacked=_stacked(trims),
        film=plan.imposed.film,
        envelopes=sum(any(spot.cards for spot in spots) for spots in plan.imposed.spots),
        ink_plain=ink[PLAIN],
        ink_card=ink[CARD],
    )


def _days(plan: Counted) -> Iterator[DayPages]:
    printed: set[tuple[str, int]] = set()
    for day in plan.days:
        new: dict[str, set[int]] = {}
        again: dict[str, set[int]] = {}
        kept: list[str] = []
        for kind in day.kinds:
            rows = [
                (planned.day == day.day, spot)
                for planned, spots in zip(plan.sheets, plan.imposed.spots, strict=True)
                if planned.kind == kind
                for spot in spots
                if spot.file in CHILDREN
            ]
            own = [spot for first, spot in rows if first]
            for spot in own:
                if (spot.file, spot.page) not in printed:
                    new.setdefault(spot.file, set()).add(spot.page)
            if own or not rows:
                continue
            repeated = [spot for _, spot in rows]
            for spot in repeated:
                if not spot.again:
                    again.setdefault(spot.file, set()).add(spot.page)
            if any(spot.again for spot in repeated):
                kept.append(kind)
        printed |= {(file, page) for file, pages in new.items() for page in pages}
        yield DayPages(day.day, day.kinds, _sorted(new), _sorted(again), tuple(kept))


def _sorted(pages: Mapping[str, set[int]]) -> Pages:
    return {file: tuple(sorted(pages[file])) for file in CHILDREN if file in pages}


def _trims(plan: Counted, again: Mapping[str, list[int]]) -> Iterator[Trim]:
    """The cuts of every page that is printed, as often as it is."""
    for trim in plan.imposed.trims:
        for _ in range(1 + again.get(trim.file, []).count(trim.page)):
            yield trim


def _stacked(trims: Iterable[Trim]) -> int:
    """Pages with the same cuts in stacks; sheets of cards one by one, or their piles would mix."""
    found = 0
    alike: dict[tuple[str, tuple[float, ...], tuple[float, ...]], int] = {}
    for trim in trims:
        if trim.kind == "cards":
            found += trim.stacked
        else:
            key = (trim.kind, trim.across, trim.down)
            alike[key] = alike.get(key, 0) + 1
    return found + sum(
        math.ceil(count / STACK) * (len(across) + len(down))
        for (_, across, down), count in alike.items()
    )


# --- what could be saved --------------------------------------------------------------------------


def savings(plan: Counted, counts: Week) -> tuple[Saving, ...]:
    """The largest few ways to use less paper that are not taken yet, the largest first."""
    found = [*_of_kinds(plan, counts), *_of_papers(plan, counts)]
    found.sort(key=lambda saving: -saving.sheets)
    return tuple(saving for saving in found if saving.sheets > 0)[:SAVINGS]


def _of_kinds(plan: Counted, counts: Week) -> Iterator[Saving]:
    kinds = dict.fromkeys(planned.kind for planned in plan.sheets)
    whose: dict[tuple[str, int], set[str]] = {}
    for planned, spots in zip(plan.sheets, plan.imposed.spots, strict=True):
        for spot in spots:
            whose.setdefault((spot.file, spot.page), set()).add(planned.kind)
    more = [
        (file, page) for day in counts.days for file, pages in day.again.items() for page in pages
    ]
    for kind in kinds:
        if len(kinds) == 1:
            return
        sheets = sum(whose[at] == {kind} for at in [*whose, *more])
        yield Saving(sheets, f"`without` {kind}", f"the week has no {kind} page")


def _of_papers(plan: Counted, counts: Week) -> Iterator[Saving]:
    totals = plan.totals()
    yield Saving(
        counts.again,
        "do not print used-up pages once more",
        "kinds that come again need another task on those days",
    )
    adult = totals.pages.get(KEYS, 0) + totals.pages.get(ADULT, 0)
    yield Saving(
        totals.sheets - totals.sheets_two_sided,
        "keys and pages for adults on both sides",
        "the printer must turn the paper, and family notes stay on one side",
    )
    yield Saving(
        adult + totals.notes,
        "`children-only`",
        "no keys, run sheet, cautions, records and family notes on paper",
    )
