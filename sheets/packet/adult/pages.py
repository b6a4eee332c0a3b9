"""What the adult gets with a packet: run sheet, week plan, materials, preparation, cautions.

Records and family notes are in :mod:`sheets.packet.adult.records` and
:mod:`sheets.packet.adult.family_note`. All of it comes from the counted plan, so it
agrees with the files.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Callable, Sequence

from sheets.kinds.cautions import RIDER, caution
from sheets.kinds.sheet import OTHER_RULES
from sheets.packet.adult.family_note import note_copies, note_marks, notes
from sheets.packet.adult.flow import Column, Flow
from sheets.packet.adult.materials import SHARED, scissors_not_needed, supplies
from sheets.packet.adult.records import observation
from sheets.packet.adult.run_sheet import RUN_SHEET, run_sheet
from sheets.packet.adult.words import day_name, listed_tags, sheets_of, tags_of
from sheets.packet.plan import Counted, PlannedSheet
from sheets.page.model import Page

__all__ = ["adult_pages", "each_page", "note_copies", "with_labels"]

FAMILY_NOTE = "Family note"


def adult_pages(plan: Counted) -> tuple[Page, ...]:
    """The pages of ``adult.pdf`` all at once; arguments and errors as :func:`each_page`."""
    pages: list[Page] = []
    each_page(plan, pages.append)
    return tuple(pages)


def with_labels(plan: Counted) -> Counted:
    """The plan with the section of each page of ``adult.pdf``; errors as :func:`each_page`."""
    labels = each_page(plan, None)
    # The run sheet tells the number of pages and where the notes are, and may get longer by it.
    rest = labels[labels.count(RUN_SHEET) :]
    for _ in range(3):
        plan = dataclasses.replace(plan, adult_labels=labels)
        flow = _flow(plan, None)
        run_sheet(flow, plan)
        labels = (*flow.finish(), *rest)
        if labels == plan.adult_labels:
            break
    return dataclasses.replace(plan, adult_labels=labels)


def each_page(plan: Counted, take: Callable[[Page], None] | None) -> tuple[str, ...]:
    """Give out the pages of ``adult.pdf`` one by one, in print order; return their sections.

    Args:
        plan: counted, and for its page numbers with the labels of :func:`with_labels`.
        take: given each page; None to count them only.

    Raises:
        GlyphError: a title, word or note has a character the page font lacks.
        FitError: a family note has more words than half a page.
    """
    flow = _flow(plan, take)
    run_sheet(flow, plan)
    _week(flow, plan)
    _materials(flow, plan)
    _preparation(flow, plan)
    _cautions(flow, plan)
    observation(flow, plan)
    for note in notes(plan):
        flow.bare_page(FAMILY_NOTE, note_marks(note, plan.choices.paper))
    return flow.finish()


def _flow(plan: Counted, take: Callable[[Page], None] | None) -> Flow:
    return Flow(plan.choices.paper, plan.theme.title, take, len(plan.adult_labels))


# --- week plan ------------------------------------------------------------------------------------


def _week(flow: Flow, plan: Counted) -> None:
    flow.section("Week plan", f"Week plan: {plan.theme.title}")
    first: dict[str, str] = {}
    rows = []
    for day in plan.days:
        shown = []
        for kind in day.kinds:
            if kind in first and not plan.choices.fresh:
                shown.append(f"{kind} (again; page of {day_name(first[kind])})")
            else:
                shown.append(kind)
            first.setdefault(kind, day.day)
        rows.append((day_name(day.day), "; ".join(shown) or "–", day.note))
    flow.table(
        [Column("Day", 1.0), Column("At the tables", 2.6), Column("Note", 3.4)],
        rows,
        least_mm=11.0,
    )
    if plan.repeats:
        flow.paragraph(
            "Where a kind comes again, print its pages once more, or ask for fresh ones when the "
            "packet is made."
        )
    flow.heading("Stage of each page", keep_mm=24.0)
    flow.paragraph("For adults only: nothing on a child's page shows its stage.")
    kinds = list(dict.fromkeys(planned.kind for planned in plan.sheets))
    stages = {(p.child.tag, p.kind): str(p.stage) for p in plan.sheets}
    flow.table(
        [
            Column("Tag", 0.7),
            Column("Hand", 0.8),
            # Blanks, so that long names go over two lines.
            *(Column(kind.replace("-", " "), 1.3) for kind in kinds),
            Column("Needs", 2.0),
        ],
        [
            (
                child.tag,
                "?" if child.hand == "either" else child.hand,
                *(stages.get((child.tag, kind), "–") for kind in kinds),
                ", ".join(child.needs),
            )
            for child in plan.children
        ],
    )


# --- materials ------------------------------------------------------------------------------------


def _materials(flow: Flow, plan: Counted) -> None:
    flow.section("Materials", f"Materials: {plan.theme.title}")
    share = f"{plan.choices.spare * 100:g} %"
    flow.paragraph(
        f"Needed if all children work at the same time; “with spare” adds {share}. What is shared "
        "or used again is counted once a child, not once a page."
    )
    found = supplies(plan)
    aside = _common_aside([row.name for row in found if row.group == SHARED])
    groups = [row.group for row in found]
    flow.table(
        [
            Column("", 1.4),
            Column("Material", 3.6),
            Column("Needed", 0.8, figures=True),
            Column("With spare", 1.0, figures=True),
            Column("For", 2.6),
            Column("Ready", 0.7),
        ],
        [
            (
                row.group if i == groups.index(row.group) else "",
                row.name.removesuffix(aside) if row.group == SHARED else row.name,
                str(row.needed),
                str(row.with_spare),
                listed_tags(plan, row.tags),
                "",
            )
            for i, row in enumerate(found)
        ],
    )
    if aside:
        flow.paragraph(f"{SHARED}: {aside[2:-1]}.")
    if SHARED in groups:
        flow.paragraph("At tables that take turns, one set of these for each table is enough.")
    for line in scissors_not_needed(plan):
        flow.paragraph(line)


def _common_aside(names: Sequence[str]) -> str:
    """The words in brackets that all names end in, brackets and all; empty if they differ."""
    asides = {name[name.rfind(" (") :] if name.endswith(")") else "" for name in names}
    return asides.pop() if len(names) > 1 and len(asides) == 1 else ""


# --- preparation and cautions ---------------------------------------------------------------------


def _preparation(flow: Flow, plan: Counted) -> None:
    flow.section("Preparation", f"Preparation: {plan.theme.title}")
    flow.points(
        [
            f"Print page 1 of {plan.totals().first_file}, measure both bars, then print the files "
            "by the run sheet.",
            "Keep the keys apart from the children's pages.",
        ],
        box=True,
    )
    for (day, kind), group in itertools.groupby(
        sheets_of(plan), key=lambda row: (row[0].day, row[0].kind)
    ):
        steps: dict[str, list[PlannedSheet]] = {}
        for planned, digest, _ in group:
            for line in digest.preparation:
                steps.setdefault(line, []).append(planned)
        if not steps:
            continue
        flow.heading(f"{day_name(day)}: {kind}")
        flow.points(
            [f"{_capital(tags_of(plan, sheets))}: {line}" for line, sheets in steps.items()],
            box=True,
        )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _cautions(flow: Flow, plan: Counted) -> None:
    ids = ["paper"]
    ids += [material.caution for digest in plan.digests for material in digest.materials]
    if plan.imposed.trims:
        ids.append("trimmer")
    mouthing = [child.tag for child in plan.children if "mouths-objects" in child.needs]
    if mouthing:
        ids.append("small-parts")
    found = list(dict.fromkeys(caution(name).id for name in ids if name))
    flow.section("Cautions", f"Cautions: {plan.theme.title}")
    flow.paragraph(RIDER)
    flow.table(
        [Column("Material", 1.3), Column("Usual caution", 5.0)],
        [(caution(name).title, caution(name).paragraph()) for name in found],
    )
    if mouthing:
        flow.paragraph(
            f"In the class list as mouthing things: {', '.join(mouthing)}. No loose small part "
            "within reach of that table."
        )
    said = [RIDER, OTHER_RULES, *(caution(name).paragraph() for name in found)]
    listed = dict.fromkeys(line for digest in plan.digests for line in digest.cautions)
    more = [line for line in listed if not any(line in text for text in said)]
    if more:
        flow.heading("Also said on the pages")
        flow.points(more)
