"""The run sheet: exact printer settings, files, what comes on which day, tags, what is not made."""

from __future__ import annotations

from collections.abc import Mapping

from shapes.letters.font import apart
from sheets.kinds.words import draft_line
from sheets.packet.adult.family_note import notes
from sheets.packet.adult.flow import Column, Flow, Late
from sheets.packet.adult.materials import supplies
from sheets.packet.adult.words import (
    AtTheTables,
    day_name,
    kind_name,
    sheets_of,
    tables_of,
    tags_of,
)
from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN, gap_lines
from sheets.packet.plan import Counted
from sheets.packet.week import week
from sheets.theme.problems import count_of

RUN_SHEET = "Run sheet"
PLAIN_WEIGHT = "75 to 90 g/m² (20 to 24 lb bond)"
CARD_WEIGHT = (
    "160 to 200 g/m² (90 to 110 lb index); a few sheets at a time, by the straightest way through "
    "the printer"
)
"""Weights of both: common practice, no source."""
SHRINKING = "“fit”, “shrink” or “scale to fit”"
_TAG_COLUMNS = 3


def run_sheet(flow: Flow, plan: Counted) -> None:
    """The pages of the run sheet; some of its figures are filled in from :func:`late_figures`."""
    totals = plan.totals()
    flow.section(RUN_SHEET, f"{RUN_SHEET}: {plan.theme.title}")
    flow.paragraph(
        f"{count_of(totals.children, 'child', 'children')}, "
        f"{count_of(sum(digest.pages for digest in plan.digests), 'page')} for children. Print the "
        "files one by one with these settings."
    )
    flow.heading("Printer settings")
    _settings(flow, plan)
    flow.paragraph(_bars(plan))
    flow.heading("Files")
    _files(flow, plan)
    flow.heading("Day by day", 20.0)
    _days(flow, plan)
    flow.heading("Tags", 16.0)
    _tags(flow, plan)
    _not_made(flow, plan)
    if drafts := draft_line(planned.options.language for planned in plan.sheets):
        flow.paragraph(drafts)


def _settings(flow: Flow, plan: Counted) -> None:
    paper = plan.choices.paper
    shown = "US Letter" if paper.name == "letter" else paper.name.upper()
    turned = sum(digest.on_its_side for _, digest, _ in sheets_of(plan))
    lying = f"; {count_of(turned, 'page lies on its side', 'pages lie on their side')}"
    where = "in the tray and in the print window"
    rows = [
        f"Paper size: {shown}, {paper.width:g} x {paper.height:g} mm, {where}",
        f"Scale: actual size, or 100 %, or no scaling; not {SHRINKING}",
        "Sides: one for plain.pdf and card.pdf; keys and adult pages as you like",
        f"Pages per sheet: 1. Orientation: automatic{lying if turned else ''}",
        f"Plain paper: {PLAIN_WEIGHT}",
        f"Card: {CARD_WEIGHT}",
        "Colour: black and white is enough: no answer hangs on a colour alone",
    ]
    if CARD not in plan.totals().pages:
        rows = [row for row in rows if not row.startswith("Card")]
    flow.points(rows, columns=2)


def _bars(plan: Counted) -> str:
    """What to do with the bars: those of the first page that has them."""
    bars = plan.imposed.bars
    file = next((file for file in (PLAIN, CARD) if file in bars), "")
    if not file:
        return "The pages have no bars to measure: none hangs on its true size."
    first = (
        f"First print page {bars[file] + 1} of {file} alone and measure both grey bars with a "
        "ruler: 100 mm, at most half a millimetre off. "
    )
    measured = plan.choices.bar_measures
    if measured is None:
        return f"{first}If they measure 96 mm, say, make the packet again and say so."
    return (
        f"Made for a printer on which the 100 mm bar measured {measured:g} mm. {first}If not, make "
        "the packet without that figure and measure again."
    )


# --- files ----------------------------------------------------------------------------------------

_OF_FILE: Mapping[str, tuple[str, str, str]] = {
    PLAIN: ("children's pages", "plain", "one"),
    CARD: ("children's pages and cards", "card", "one"),
    KEYS: ("answers, each with its tag", "plain", "one or two"),
    ADULT: ("run sheet, getting ready, a sheet a day, family notes", "plain", "one or two"),
}


def _files(flow: Flow, plan: Counted) -> None:
    pages = plan.totals().pages
    again = week(plan).again
    rows: list[tuple[str | Late, ...]] = [
        (name, *_OF_FILE[name], str(pages[name])) for name in (PLAIN, CARD, KEYS) if name in pages
    ]
    rows.append((ADULT, *_OF_FILE[ADULT], Late("adult-pages", "000")))
    if plan.note_copies:
        what = Late("note-pages", "family notes again")
        rows.append((ADULT, what, "plain", "one", str(plan.note_copies)))
    if again:
        rows.append(
            ("again", "pages that are used up, once more (see the days)", "", "one", str(again))
        )
    rows.append(("in all", Late("two-sided", ""), "", "", Late("sheets", "000")))
    for i, row in enumerate(row for row in supplies(plan) if row.group == "Paper"):
        ready = Late(f"ready-{i}", f"{row.name}: 00000 with spare")
        rows.append(("have ready", ready, "", "", Late(f"need-{i}", "00000")))
    flow.table(
        [
            Column("File", 1.0),
            Column("What", 5.6),
            Column("Paper", 0.7),
            Column("Sides", 1.0),
            Column("Sheets", 0.8, figures=True),
        ],
        rows,
    )


def late_figures(plan: Counted) -> Mapping[str, str]:
    """The texts of cells that tell how many pages and sheets there are.

    Args:
        plan: with the section of each page of ``adult.pdf``.
    """
    totals, counts = plan.totals(), week(plan)
    paper = [row for row in supplies(plan) if row.group == "Paper"]
    both = counts.sheets - totals.sheets + totals.sheets_two_sided
    return {
        "adult-pages": str(len(plan.adult_labels)),
        "note-pages": f"family notes again: {_note_pages(plan)}",
        "two-sided": f"{both} with keys and adult pages on both sides",
        "sheets": str(counts.sheets),
        **{f"need-{i}": str(row.needed) for i, row in enumerate(paper)},
        **{f"ready-{i}": f"{row.name}: {row.with_spare} with spare" for i, row in enumerate(paper)},
    }


def _note_pages(plan: Counted) -> str:
    """Such as ``page 9, 5 times more``; the notes are the last pages."""
    found = notes(plan)
    first = len(plan.adult_labels) - len(found) + 1
    return "; ".join(
        f"page {first + i}, {note.copies - 1} time{'s' if note.copies > 2 else ''} more"
        for i, note in enumerate(found)
        if note.copies > 1
    )


# --- days and tags --------------------------------------------------------------------------------


def _days(flow: Flow, plan: Counted) -> None:
    flow.paragraph(
        "Pages come out in the order in which they are handed out: by day, kind and child. Sheets "
        "of loose cards come last in card.pdf; cut them all before the first day that needs one. "
        "Each day has a sheet of its own: what to say and watch, by stage, and boxes to tick."
    )
    rows = []
    before = None
    for one in tables_of(plan):
        again = False if one.first_day else None
        rows.append(
            (
                "" if one.day == before else day_name(one.day),
                kind_name(one.kind),
                tags_of(plan, (planned for planned, _, _ in one.sheets)),
                one.pages(PLAIN, again=again),
                one.pages(CARD, again=again),
                one.pages(CARD, cards=True, again=again),
                one.pages(KEYS),
                _print(one),
            )
        )
        before = one.day
    flow.table(
        [
            Column("Day", 1.3),
            Column("At the tables", 1.4),
            Column("Children", 1.3),
            Column("plain.pdf", 1.0, figures=True),
            Column("card.pdf", 1.0, figures=True),
            Column("… cards", 1.0, figures=True),
            Column("keys.pdf", 1.0, figures=True),
            Column("Again", 2.1),
        ],
        rows,
    )


def _print(one: AtTheTables) -> str:
    """What to do about pages that were there on an earlier day."""
    if not one.first_day:
        return ""
    files = (PLAIN, CARD)
    more = any(one.pages(file, again=False) != "–" for file in files)
    cards = one.pages(CARD, cards=True) != "–"
    boards = any(one.pages(file, again=True) != "–" for file in files)
    kept = " and ".join(["pages"] * boards + ["cards"] * cards)
    again = f"{kept} of {day_name(one.first_day)}" if kept else ""
    return "; ".join([*(["once more"] if more else []), *([f"use {again}"] if again else [])])


def _tags(flow: Flow, plan: Counted) -> None:
    """Who is who, and what to think of for each."""
    listed = []
    for child in plan.children:
        hand = {"right": (), "left": ("left hand",)}.get(child.hand, ("either hand",))
        needs = ", ".join((*hand, *(need.replace("-", " ") for need in child.needs)))
        listed.append(f"{apart(child.tag)}  {apart(child.name)}" + (f": {needs}" if needs else ""))
    flow.points(listed, mark="none", columns=_TAG_COLUMNS)
    flow.paragraph("All other papers for adults show the tag only; keep this page apart from them.")


def _not_made(flow: Flow, plan: Counted) -> None:
    lines = gap_lines(plan.gaps)
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
