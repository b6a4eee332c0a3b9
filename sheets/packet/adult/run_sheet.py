"""The run sheet: exact printer settings, files, order, cuts, and what is not made."""

from __future__ import annotations

import itertools

from shapes.letters.font import apart
from sheets.kinds.words import draft_line
from sheets.packet.adult.family_note import notes
from sheets.packet.adult.flow import Column, Flow
from sheets.packet.adult.words import day_name, plural, sheets_of, span, tags_of
from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN, Counts
from sheets.packet.plan import Counted, PlannedSheet

RUN_SHEET = "Run sheet"
PLAIN_WEIGHT = "75 to 90 g/m² (20 to 24 lb bond)"
CARD_WEIGHT = (
    "160 to 200 g/m² (90 to 110 lb index); a few sheets at a time, by the straightest way through "
    "the printer"
)
"""Weights of both: common practice, no source."""
SHRINKING = "“fit”, “shrink” or “scale to fit”"
STACK = 5
"""Sheets to cut at once with a paper trimmer (common practice, no source)."""


def run_sheet(flow: Flow, plan: Counted) -> None:
    """The pages of the run sheet."""
    totals = plan.totals()
    paper = plan.choices.paper
    shown = "US Letter" if paper.name == "letter" else paper.name.upper()
    flow.section(RUN_SHEET, f"{RUN_SHEET}: {plan.theme.title}")
    flow.paragraph(
        f"{plural(totals.children, 'child', 'children')}, "
        f"{plural(totals.plain + totals.card, 'page')} for children, "
        f"{plural(totals.sheets, 'sheet')} of paper in all. Seed {plan.choices.seed}: the same "
        "theme, class list and seed make the same pages."
    )
    flow.heading("Files")
    _files(flow, plan)
    flow.heading("Printer settings")
    turned = sum(digest.on_its_side for _, digest, _ in sheets_of(plan))
    lying = f"; {plural(turned, 'page lies on its side', 'pages lie on their side')}"
    where = "in the tray and in the print window"
    rows = [
        ("Paper size", f"{shown}, {paper.width:g} x {paper.height:g} mm, {where}"),
        ("Plain paper", PLAIN_WEIGHT),
        ("Card", CARD_WEIGHT),
        ("Scale", f"actual size, or 100 %, or no scaling; not {SHRINKING}"),
        ("Sides", "one side for plain.pdf and card.pdf; keys and adult pages as you like"),
        ("Pages per sheet", "1"),
        ("Orientation", f"automatic{lying if turned else ''}"),
        ("Colour", "black and white is enough: no answer hangs on a colour alone"),
    ]
    if not totals.card:
        rows.remove(("Card", CARD_WEIGHT))
    flow.table([Column("Setting", 1.0), Column("Choose", 5.0)], rows)
    flow.paragraph(_bars(plan))
    _order(flow, plan)
    _cuts(flow, plan)
    _not_made(flow, plan)
    if drafts := draft_line(planned.options.words_language for planned in plan.sheets):
        flow.heading("Drafts")
        flow.paragraph(drafts)
    flow.heading("Tags")
    flow.paragraph(
        ", ".join(f"{apart(child.tag)} {apart(child.name)}" for child in plan.children)
        + ". Keys, plans and records show the tag only; keep this list apart from them."
    )


def _bars(plan: Counted) -> str:
    first = (
        f"First print page 1 of {plan.totals().first_file} alone and measure both grey bars with a "
        "ruler: 100 mm, at most half a millimetre off. "
    )
    measured = plan.choices.bar_measures
    if measured is None:
        return f"{first}If they measure 96 mm, say, make the packet again and say so."
    return (
        f"Made for a printer on which the 100 mm bar measured {measured:g} mm. {first}If not, make "
        "the packet without that figure and measure again."
    )


def _files(flow: Flow, plan: Counted) -> None:
    totals = plan.totals()
    about = {
        PLAIN: ("children's pages", "plain", "one"),
        CARD: ("children's pages", "card", "one"),
        KEYS: ("answers, each with its tag, two on a page", "plain", "one or two"),
        ADULT: ("run sheet, plan, lists, records, notes", "plain", "one or two"),
    }
    rows = [(name, *about[name], str(count), str(count)) for name, count in totals.pages.items()]
    if totals.notes:
        rows.append(
            (
                ADULT,
                f"family notes: {_note_pages(plan)}",
                "plain",
                "one",
                str(totals.notes),
                str(totals.notes),
            )
        )
    both = totals.sheets_two_sided
    rows.append(
        (
            "in all",
            f"with keys and adult pages on both sides: {both} sheets",
            "",
            "",
            str(sum(totals.pages.values()) + totals.notes),
            str(totals.sheets),
        )
    )
    flow.table(
        [
            Column("File", 1.2),
            Column("What", 4.2),
            Column("Paper", 0.9),
            Column("Sides", 1.2),
            Column("Pages", 0.8, figures=True),
            Column("Sheets", 0.8, figures=True),
        ],
        rows,
    )


def _note_pages(plan: Counted) -> str:
    """Such as ``page 9, printed 5 more times``; the notes are the last pages."""
    found = notes(plan)
    first = len(plan.adult_labels) - len(found) + 1
    return "; ".join(
        f"page {first + i}, printed {note.copies - 1} more time{'s' if note.copies > 2 else ''}"
        for i, note in enumerate(found)
        if note.copies > 1
    )


def _order(flow: Flow, plan: Counted) -> None:
    flow.heading("Order of the pages", keep_mm=20.0)
    flow.paragraph(
        "The pages come out in the order in which they are handed out: by day, kind and child."
    )
    rows = []
    for (day, kind), group in itertools.groupby(
        sheets_of(plan), key=lambda row: (row[0].day, row[0].kind)
    ):
        listed = list(group)
        start = listed[0][2]
        count = sum((digest.counts for _, digest, _ in listed), Counts())
        rows.append(
            (
                day_name(day),
                kind,
                tags_of(plan, (planned for planned, _, _ in listed)),
                *(span(*count.span(file, start)) for file in (PLAIN, CARD, KEYS)),
            )
        )
    flow.table(
        [
            Column("Day", 1.2),
            Column("Kind", 1.4),
            Column("Children", 3.2),
            Column("plain.pdf", 1.0, figures=True),
            Column("card.pdf", 1.0, figures=True),
            Column("keys.pdf", 1.0, figures=True),
        ],
        rows,
    )


def _cuts(flow: Flow, plan: Counted) -> None:
    groups: dict[tuple[str, str, tuple[tuple[float, ...], ...]], list[PlannedSheet]] = {}
    for planned, digest, _ in sheets_of(plan):
        if digest.cuts:
            groups.setdefault((planned.day, planned.kind, digest.cuts), []).append(planned)
    if not groups:
        return
    flow.heading("To cut beforehand with a paper trimmer", keep_mm=24.0)
    flow.paragraph(
        "Straight cuts, numbered on the page. Pages of one row have their cuts in the same places: "
        f"lay up to {STACK} sheets on each other."
    )
    rows = []
    total = pages_total = stacked = 0
    for (day, kind, cuts), sheets in groups.items():
        pages = len(sheets) * len(cuts)
        each = sum(len(one) for one in cuts)
        total += each * len(sheets)
        pages_total += pages
        stacked += each * -(-len(sheets) // STACK)
        rows.append(
            (
                day_name(day),
                kind,
                tags_of(plan, sheets),
                str(pages),
                str(each),
                str(each * len(sheets)),
                str(each * -(-len(sheets) // STACK)),
            )
        )
    rows.append(("in all", "", "", str(pages_total), "", str(total), str(stacked)))
    flow.table(
        [
            Column("Day", 1.2),
            Column("Kind", 1.4),
            Column("Children", 2.6),
            Column("Pages", 0.8, figures=True),
            Column("Cuts each", 0.8, figures=True),
            Column("Cuts", 0.8, figures=True),
            Column("In stacks", 0.8, figures=True),
        ],
        rows,
    )


def _not_made(flow: Flow, plan: Counted) -> None:
    lines = [gap.sentence() for gap in plan.gaps]
    if lines or plan.remarks:
        flow.heading("Pages that are not made, or made otherwise")
        flow.points([*lines, *plan.remarks])
    beyond = [
        f"{planned.label}: {sentence}"
        for planned, digest, _ in sheets_of(plan)
        for sentence in digest.outside
    ]
    if beyond:
        flow.heading("Outside the guidance used, printed all the same")
        flow.points(beyond)
