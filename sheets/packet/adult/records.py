"""The observation grid: one row a try, with what is known beforehand already filled in.

A row has the child's tag, never the name, so that a sheet left lying says little.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from sheets.packet.adult.flow import Column, Flow
from sheets.packet.plan import Plan

ROW_MM = 10.0
MOST_PARAMETERS = 3
TORN = "fold and tear"
SUPPORT = (
    "I independent, V verbal prompt, G gesture or picture, M model, P partial hand help, F full "
    "hand help"
)
CODES = "I V G M P F"
_SHOWN: Mapping[str, str] = {
    "difficulty": "complexity {:.0f}",
    "line_width": "line {:g} mm",
    "cut_length": "to {:.0f} mm long",
    "letter_mm": "letters {:g} mm",
    "things": "{} things",
    "shadows": "{} shadows",
    "steps": "{} pictures",
    "choices": "{} choices",
    "form": "{}",
    "layout": "as {}",
    "cut_by": "cut by {}",
    "units": "{}",
}
"""Parameter of a sheet -> how it is written; the first few that a sheet has are shown."""
_ORDER = (
    "form",
    "line_width",
    "cut_length",
    "difficulty",
    "letter_mm",
    "things",
    "shadows",
    "steps",
    "choices",
)
_TOTALS = ("items", "things", "shadows", "steps", "cells_to_fill")
"""How many there are to get right; where rows are told apart, their sum."""


def page_words(parameters: Mapping[str, object], *, torn: bool = False) -> str:
    """A sheet's ladder values in a few words, such as ``line 6.35 mm, to 96 mm long``.

    Args:
        torn: whether the child folds and tears, so that there is no line to cut.
    """
    if torn:
        return TORN
    found = []
    for key in dict.fromkeys((*_ORDER, *_SHOWN)):
        value = parameters.get(key)
        if isinstance(value, list) and all(isinstance(one, str) for one in value):
            value = " and ".join(dict.fromkeys(value)) or None
        if isinstance(value, str | int | float) and not isinstance(value, bool):
            try:
                found.append(_SHOWN[key].format(value))
            except ValueError:  # a word where others have a number
                found.append(str(value))
    return ", ".join(found[:MOST_PARAMETERS])


def _result(skill: str, parameters: Mapping[str, object]) -> str:
    """What is filled in beforehand in the column for the result."""
    if skill == "cutting":
        return ""
    for key in _TOTALS:
        value = parameters.get(key)
        if isinstance(value, list) and all(isinstance(one, int) for one in value):
            value = sum(value) or None
        if isinstance(value, int):
            return f"of {value}"
    return ""


def observation(flow: Flow, plan: Plan) -> None:
    """The pages of the grid, by day and kind."""
    flow.section("Observation", f"Observation: {plan.theme.title}")
    flow.paragraph(
        f"Support, a ring round one: {SUPPORT}. Result when cutting: in (inside the "
        "lane), 1 (left it once), + (left it more often), – (not tried); else how "
        "many right. A note has ten words at most: what was done or said, no judgement."
    )
    columns = [
        Column("Date", 1.1),
        Column("Tag", 0.7),
        Column("Kind (skill)", 1.7),
        Column("Page", 2.6),
        Column("Support", 1.7),
        Column("Result", 1.1),
        Column("Note", 3.9),
    ]
    rows = []
    pairs = zip(plan.sheets, plan.digests, strict=True)
    for _, group in itertools.groupby(pairs, key=lambda pair: (pair[0].day, pair[0].kind)):
        for planned, digest in group:
            skill = "" if planned.skill == planned.kind else f" ({planned.skill})"
            torn = planned.skill == "cutting" and planned.stage == 0
            rows.append(
                (
                    "",
                    planned.child.tag,
                    f"{planned.kind}{skill}",
                    page_words(digest.parameters, torn=torn),
                    CODES,
                    _result(planned.skill, digest.parameters),
                    "",
                )
            )
    flow.table(columns, rows, least_mm=ROW_MM, blank=("", "", "", "", CODES, "", ""))
