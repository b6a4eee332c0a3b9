"""Which child gets which page on which day, and how many pages that is: data only.

A plan is made from a theme and a class list. Nothing is drawn or written here, so the totals can be
shown before any paper is spent.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b

from shapes.errors import InputError
from sheets.files.class_list import Child, ClassList
from sheets.kinds import KINDS, entry
from sheets.kinds.options import Ink, Options
from sheets.packet.key_pairs import page_of, pages_for
from sheets.page.frame import LETTER
from sheets.page.model import Finding, Material, Paper
from sheets.theme.theme import DAYS, Theme

PLAIN, CARD, KEYS, ADULT, INDEX = FILES = (
    "plain.pdf",
    "card.pdf",
    "keys.pdf",
    "adult.pdf",
    "packet.json",
)
SPARE = 0.10
"""Share of materials to have ready beyond what is needed (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Choices:
    """What whoever prints the packet has chosen.

    Args:
        only: names or tags of children; empty for all.
        kinds: kinds of sheet; empty for those of the theme's plan, or all if it has none.
        days: days of the theme's plan; empty for all.
        fresh: another page each time the plan has a kind again, not only the first time.
        spare: share of materials beyond what is needed, 0 or more.
        bar_measures: what a printed 100 mm bar measured, mm; None prints as drawn.
    """

    paper: Paper = LETTER
    ink: Ink = "normal"
    seed: int = 0
    only: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    days: tuple[str, ...] = ()
    fresh: bool = False
    spare: float = SPARE
    bar_measures: float | None = None


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day of the packet; ``day`` is empty for pages that belong to no day."""

    day: str
    kinds: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class PlannedSheet:
    """One sheet for one child.

    Args:
        day: when it is handed out; empty if on no certain day.
        again: 0 for a kind's first page in the week, 1 for the next one.
        options: what the kind is told; ``seed`` is this sheet's own.
    """

    child: Child
    kind: str
    skill: str
    stage: int
    day: str
    again: int
    options: Options

    @property
    def label(self) -> str:
        """What bookmarks and page labels call it; never the child's name."""
        return f"{self.child.tag} {self.kind}" + (f" {self.again + 1}" if self.again else "")


@dataclass(frozen=True, slots=True)
class Gap:
    """A page that is not made, and why; ``tag`` is empty if that holds for the whole class."""

    tag: str
    kind: str
    reason: str

    def sentence(self) -> str:
        """For the adult."""
        return f"{f'{self.tag}, ' if self.tag else ''}{self.kind}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Counts:
    """Pages of a sheet by the file they go to; of keys, which share pages, the keys."""

    plain: int = 0
    card: int = 0
    keys: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(self.plain + other.plain, self.card + other.card, self.keys + other.keys)

    def of(self, file: str) -> int:
        """Pages in one of the three files."""
        return {PLAIN: self.plain, CARD: self.card, KEYS: self.keys}[file]

    def span(self, file: str, before: Counts) -> tuple[int, int]:
        """The first of its pages in a file, from 1, and how many there are; two keys share one.

        Args:
            before: what comes before it in the packet.
        """
        first, count = before.of(file), self.of(file)
        if file == KEYS and count:
            first, last = page_of(first), page_of(first + count - 1)
            return first + 1, last - first + 1
        return first + 1, count


@dataclass(frozen=True, slots=True)
class Digest:
    """What a finished sheet tells about itself, kept when its marks are not.

    Args:
        cuts: straight cuts an adult makes beforehand on each page, as coordinates in mm, so that
            pages with the same cuts can be found; pages without cuts are left out.
        on_its_side: whether a page lies on its side.
        outside: findings outside guidance, as sentences.
        record: parameters and findings as a packed JSON object (zlib, UTF-8); findings name their
            limit by its number in :attr:`Plan.limits`.
    """

    counts: Counts
    materials: tuple[Material, ...]
    preparation: tuple[str, ...]
    cautions: tuple[str, ...]
    cuts: tuple[tuple[float, ...], ...]
    on_its_side: bool
    outside: tuple[str, ...]
    parameters: Mapping[str, object] = field(hash=False)
    record: bytes


class Limits:
    """The limits that findings of a packet were set against, each once and numbered from 0.

    Hundreds of pages share a few limits with long sources; their findings name the number.
    """

    def __init__(self) -> None:
        self._numbers: dict[tuple[str, ...], int] = {}

    def number(self, finding: Finding) -> int:
        """The number of a finding's limit, a new one for a new limit."""
        key = (finding.limit, finding.allowed, finding.unit, finding.basis, finding.source)
        return self._numbers.setdefault(key, len(self._numbers))

    def rows(self) -> list[dict[str, str]]:
        """All limits in the order of their numbers."""
        names = ("limit", "allowed", "unit", "basis", "source")
        return [dict(zip(names, key, strict=True)) for key in self._numbers]


@dataclass(frozen=True, slots=True)
class Totals:
    """Pages of each file; every page of a child is printed on one side of its own sheet.

    Args:
        notes: extra copies of the family notes to print, pages.
    """

    children: int
    plain: int
    card: int
    keys: int
    adult: int
    notes: int = 0

    @property
    def pages(self) -> Mapping[str, int]:
        """File name -> pages; files without pages are not made and not listed."""
        counts = {PLAIN: self.plain, CARD: self.card, KEYS: self.keys, ADULT: self.adult}
        return {name: count for name, count in counts.items() if count}

    @property
    def first_file(self) -> str:
        """The file whose first page is printed to measure its bars: one of the children's."""
        return PLAIN if self.plain else CARD

    @property
    def sheets(self) -> int:
        """Sheets of paper, all printed on one side."""
        return self.plain + self.card + self.keys + self.adult + self.notes

    @property
    def sheets_two_sided(self) -> int:
        """The same with keys and adult pages on both sides; notes are cut, so on one side."""
        turned = math.ceil(self.keys / 2) + math.ceil(self.adult / 2)
        return self.plain + self.card + turned + self.notes


@dataclass(frozen=True, slots=True)
class Plan:
    """A packet before it is drawn.

    Args:
        sheets: in the order in which they are handed out: by day, kind, child.
        gaps: pages that are not made.
        remarks: one line for each thing to know, such as a kind this version does not make.
        implied: whether the kinds were neither planned nor asked for.
        digests: one for each sheet, once they are counted.
        limits: what the findings in the digests refer to.
        adult_labels: section of each page of ``adult.pdf``, once they are made.
        note_copies: further copies of the notes in it.
    """

    theme: Theme
    choices: Choices
    children: tuple[Child, ...]
    days: tuple[PlannedDay, ...]
    sheets: tuple[PlannedSheet, ...]
    gaps: tuple[Gap, ...] = ()
    remarks: tuple[str, ...] = ()
    implied: bool = False
    digests: tuple[Digest, ...] = ()
    limits: Limits = field(default_factory=Limits, compare=False)
    adult_labels: tuple[str, ...] = ()
    note_copies: int = 0

    def totals(self) -> Totals:
        """Pages and sheets; zero as long as they are not counted."""
        counts = sum((digest.counts for digest in self.digests), Counts())
        return Totals(
            len(self.children),
            counts.plain,
            counts.card,
            pages_for(counts.keys),
            len(self.adult_labels),
            self.note_copies,
        )

    def starts(self) -> tuple[Counts, ...]:
        """For each sheet how many pages of each file come before it."""
        before, found = Counts(), []
        for digest in self.digests:
            found.append(before)
            before = before + digest.counts
        return tuple(found)

    @property
    def repeats(self) -> bool:
        """Whether a kind stands in the plan again without a page of its own."""
        every = [name for day in self.days for name in day.kinds]
        return not self.choices.fresh and len(every) > len(set(every))


def make_plan(theme: Theme, classlist: ClassList, choices: Choices) -> Plan:
    """The pages of a theme for a class.

    Raises:
        InputError: an unknown child, kind or day in the choices, or no page at all.
    """
    if choices.spare < 0.0 or not math.isfinite(choices.spare):
        raise InputError("less than nothing to spare", where="`spare`", fix="give 0 or more")
    children = _children(classlist.children, choices.only)
    days, remarks = _days(theme, choices)
    sheets: list[PlannedSheet] = []
    gaps: list[Gap] = []
    done: dict[str, int] = {}
    for day, again_of in days:
        for name in day.kinds:
            again = again_of[name]
            if name in done and not choices.fresh:
                continue
            first = name not in done
            done[name] = again
            skill = KINDS[name].skill
            reason = f"no stage for {skill} in the class list"
            if first and not any(skill in child.stages for child in children):
                gaps.append(Gap("", name, reason))
                continue
            for child in children:
                stage = child.stages.get(skill)
                if stage is None:
                    if first:
                        gaps.append(Gap(child.tag, name, reason))
                    continue
                again_now = again if choices.fresh else 0
                sheets.append(_sheet(theme, child, name, stage, day.day, again_now, choices))
    if not sheets:
        raise InputError(
            "there is no page to make",
            where="class list",
            fix="give a child a stage in a column of these kinds: "
            + ", ".join(dict.fromkeys(name for day, _ in days for name in day.kinds)),
        )
    return Plan(
        theme=theme,
        choices=choices,
        children=children,
        days=tuple(day for day, _ in days),
        sheets=tuple(sheets),
        gaps=tuple(gaps),
        remarks=remarks,
        implied=not theme.plan and not choices.kinds,
    )


def seed_of(seed: int, tag: str, kind: str, again: int = 0) -> int:
    """The seed of one child's sheet of a kind: the same whoever else is in the class."""
    text = f"{seed}:{tag}:{kind}" + (f":{again}" if again else "")
    return int.from_bytes(blake2b(text.encode(), digest_size=4).digest(), "big")


def _sheet(
    theme: Theme, child: Child, name: str, stage: int, day: str, again: int, choices: Choices
) -> PlannedSheet:
    options = Options(
        paper=choices.paper,
        name=child.shown,
        hand=child.hand,
        language=child.language or theme.languages[0],
        ink=choices.ink,
        seed=seed_of(choices.seed, child.tag, name, again),
        needs=child.needs,
        cutting_stage=child.stages.get("cutting"),
    )
    return PlannedSheet(child, name, KINDS[name].skill, stage, day, again, options)


def _children(children: Sequence[Child], only: Sequence[str]) -> tuple[Child, ...]:
    if not only:
        return tuple(children)
    chosen: list[Child] = []
    for wanted in only:
        key = wanted.strip().casefold()
        by_tag = [child for child in children if child.tag.casefold() == key]
        found = by_tag or [
            child for child in children if key in (child.name.casefold(), child.shown.casefold())
        ]
        if not found:
            known = [text for child in children for text in (child.tag, child.name)]
            near = difflib.get_close_matches(wanted, known, n=2, cutoff=0.5)
            raise InputError(
                f"no child '{wanted.strip()}' in the class list",
                where="`only`",
                fix=f"did you mean {' or '.join(near)}?" if near else "give a name or a tag of it",
            )
        chosen += found
    return tuple(child for child in children if child in chosen)


_Days = list[tuple[PlannedDay, dict[str, int]]]


def _days(theme: Theme, choices: Choices) -> tuple[_Days, tuple[str, ...]]:
    """The days with their kinds, each kind with how often it was there before; and remarks."""
    asked = tuple(dict.fromkeys(_kind(name) for name in choices.kinds))
    wanted = _wanted_days(theme, choices.days)
    days: _Days = []
    remarks: list[str] = []
    seen: dict[str, int] = {}
    for row in theme.plan:
        times: dict[str, int] = {}
        for name in row.kinds:
            times.setdefault(name, seen.get(name, 0))
        for name in times:
            seen[name] = seen.get(name, 0) + 1
        kinds = tuple(name for name in times if not asked or name in asked)
        if row.day in wanted and (kinds or not asked):
            days.append((PlannedDay(row.day, kinds, row.note), times))
    # Kinds asked for that the plan does not have; all kinds if there is no plan.
    planned = [name for name, found in KINDS.items() if found.planned]
    more = [name for name in asked or (() if theme.plan else planned) if name not in seen]
    if more and not choices.days:
        days.append((PlannedDay("", tuple(more)), dict.fromkeys(more, 0)))
    if not any(day.kinds for day, _ in days):
        raise InputError(
            "the plan has none of these kinds on these days",
            where="`kinds`" if asked else "`days`" if choices.days else "plan",
            fix=f"the plan of {theme.title}: "
            + "; ".join(f"{row.day} {', '.join(row.kinds)}" for row in theme.plan),
        )
    return days, tuple(dict.fromkeys(remarks))


def _kind(name: str) -> str:
    try:
        return entry(name.strip().lower()).name
    except InputError as error:
        raise InputError(error.what, where="`kinds`", fix=error.fix) from None


def _wanted_days(theme: Theme, days: Iterable[str]) -> tuple[str, ...]:
    planned = tuple(row.day for row in theme.plan)
    wanted = [day.strip().casefold() for day in days]
    for day in wanted:
        if day not in DAYS:
            near = difflib.get_close_matches(day, DAYS, n=1)
            raise InputError(
                f"'{day}' is not a day",
                where="`days`",
                fix=f"did you mean {near[0]}?" if near else f"use {', '.join(DAYS)}",
            )
        if day not in planned:
            raise InputError(
                f"{theme.title} has no plan for {day}",
                where="`days`",
                fix=f"its days: {', '.join(planned)}" if planned else "add [plan] to the theme",
            )
    return tuple(wanted) or planned
