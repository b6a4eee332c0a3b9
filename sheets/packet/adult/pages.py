"""What the adult gets with a packet: run sheet, getting ready, a sheet a day, family notes.

All of it comes from the counted plan, so it agrees with the files.
"""

from __future__ import annotations

import dataclasses

from sheets.packet.adult.days import days
from sheets.packet.adult.family_note import note_copies, note_marks, notes
from sheets.packet.adult.flow import Flow
from sheets.packet.adult.ready import ready
from sheets.packet.adult.run_sheet import late_figures, run_sheet
from sheets.packet.plan import Counted
from sheets.page.model import Page

__all__ = ["adult_pages", "note_copies"]

FAMILY_NOTE = "Family note"


def adult_pages(plan: Counted) -> tuple[Page, ...]:
    """The pages of ``adult.pdf``, each with its section as label.

    Args:
        plan: counted; the sections of these pages need not be in it yet.

    Raises:
        GlyphError: a title, word or note has a character the page font lacks.
        FitError: a family note has more words than half a page.
    """
    flow = Flow(plan.choices.paper, plan.theme.title)
    run_sheet(flow, plan)
    ready(flow, plan)
    days(flow, plan)
    for note in notes(plan):
        flow.bare_page(FAMILY_NOTE, note_marks(note, plan.choices.paper))
    return flow.finish(late_figures(dataclasses.replace(plan, adult_labels=flow.labels)))
