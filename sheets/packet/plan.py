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
from sheets.kinds import KINDS, entry, kinds_called
from sheets.kinds.options import Ink, Options
from sheets.packet.digest import ADULT, Digest, Gap, Imposed, Totals
from sheets.page.frame import LETTER
from sheets.page.model import Paper
from sheets.theme.theme import DAYS, Day, Theme

SPARE = 0.10
"""Share of materials to have ready beyond what is needed (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Choices:
    """What whoever prints the packet has chosen.

    Args:
        colour: pictures with the set's own colours under their black lines.
        only: names or tags of children; empty for all.
        kinds: kinds of sheet; empty for those of the theme's plan, or all if it has none.
        days: days of the theme's plan; empty for all.
        fresh: another page each time the plan has a kind again, not only the first time.
        spare: share of materials beyond what is needed, 0 or more.
        bar_measures: what a printed 100 mm bar measured, mm; None prints as drawn.
        without: kinds to leave out.
        children_only: no keys and no pages for adults.
        laminate: loose cards lie apart, so that film can be sealed round each.
        stop: refuse the packet if a page cannot be made, instead of going on without it.
    """

    paper: Paper = LETTER
    ink: Ink = "normal"
    colour: bool = False
    seed: int = 0
    only: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    days: tuple[str, ...] = ()
    fresh: bool = False
    spare: float = SPARE
    bar_measures: float | None = None
    without: tuple[str, ...] = ()
    children_only: bool = False
    laminate: bool = False
    stop: bool = False


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
class Plan:
    """A packet before anything of it is made.

    Args:
        sheets: in the order in which they are handed out: by day, kind, child.
        gaps: pages that are not made.
        remarks: one line for each thing to know.
        implied: whether the kinds were neither planned nor asked for.
    """

    theme: Theme
    choices: Choices
    children: tuple[Child, ...]
    days: tuple[Day, ...]
    sheets: tuple[PlannedSheet, ...]
    gaps: tuple[Gap, ...] = ()
    remarks: tuple[str, ...] = ()
    implied: bool = False

    @property
    def repeats(self) -> bool:
        """Whether a kind stands in the plan again without a page of its own."""
        every = [name for day in self.days for name in day.kinds]
        return not self.choices.fresh and len(every) > len(set(every))


@dataclass(frozen=True, slots=True)
class Counted(Plan):
    """A plan whose sheets were made, with what was found on them.

    Args:
        digests: one for each sheet.
        imposed: which page of which file holds what of each sheet.
        limits: what the findings in the digests refer to, by number.
        adult_labels: section of each page of ``adult.pdf``.
        note_copies: further copies of the notes in it.
    """

    digests: tuple[Digest, ...] = ()
    imposed: Imposed = field(default_factory=Imposed)
    limits: tuple[Mapping[str, str], ...] = ()
    adult_labels: tuple[str, ...] = ()
    note_copies: int = 0

    def totals(self) -> Totals:
        """Pages and sheets of the files, each printed once."""
        pages = dict(self.imposed.pages)
        if self.adult_labels:
            pages[ADULT] = len(self.adult_labels)
        return Totals(len(self.children), pages, self.note_copies)


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
    skill = KINDS[name].skill
    own = child.letters_language if skill == "letters" else child.language
    options = Options(
        paper=choices.paper,
        name=child.shown,
        hand=child.hand,
        language=own or theme.languages[0],
        ink=choices.ink,
        colour=choices.colour,
        seed=seed_of(choices.seed, child.tag, name, again),
        needs=child.needs,
        cutting_stage=child.stages.get("cutting"),
        main=theme.languages[0],
    )
    return PlannedSheet(child, name, skill, stage, day, again, options)


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


_Days = list[tuple[Day, dict[str, int]]]


def _days(theme: Theme, choices: Choices) -> tuple[_Days, tuple[str, ...]]:
    """The days with their kinds, each kind with how often it was there before; and remarks."""
    without = _called(choices.without, "without")
    asked = _called(choices.kinds, "kinds")
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
        kinds = tuple(
            name for name in times if (not asked or name in asked) and name not in without
        )
        if row.day in wanted and (kinds or not asked):
            days.append((Day(row.day, kinds, row.note), times))
    # Kinds asked for that the plan does not have; all kinds if there is no plan.
    planned = [name for name, found in KINDS.items() if found.planned]
    more = [
        name
        for name in asked or (() if theme.plan else planned)
        if name not in seen and name not in without
    ]
    if more and not choices.days:
        days.append((Day("", tuple(more)), dict.fromkeys(more, 0)))
    if not any(day.kinds for day, _ in days):
        raise InputError(
            "the plan has none of these kinds on these days",
            where="`without`"
            if without
            else "`kinds`"
            if asked
            else "`days`"
            if choices.days
            else "plan",
            fix=f"the plan of {theme.title}: "
            + "; ".join(f"{row.day} {', '.join(row.kinds)}" for row in theme.plan),
        )
    return days, tuple(dict.fromkeys(remarks))


def _called(names: Iterable[str], field: str) -> tuple[str, ...]:
    """Kinds by their names, or by the skill they are for."""
    found: list[str] = []
    for name in names:
        kinds = kinds_called(name.strip().lower())
        try:
            found += kinds or (entry(name.strip().lower()).name,)
        except InputError as error:
            raise InputError(error.what, where=f"`{field}`", fix=error.fix) from None
    return tuple(dict.fromkeys(found))


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
