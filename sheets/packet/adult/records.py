"""The observation grid: one row a try, with what is known beforehand already filled in.

A row has the child's tag, never the name, so that a sheet left lying says little.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from sheets.kinds import entry
from sheets.packet.adult.flow import Column, Flow
from sheets.packet.plan import Counted

ROW_MM = 10.0
MOST_PARAMETERS = 3
SUPPORT = (
    "I independent, V verbal prompt, G gesture or picture, M model, P partial hand help, F full "
    "hand help"
)
CODES = "I V G M P F"
_TOTALS = ("items", "things", "shadows", "steps", "cells_to_fill")
"""How many there are to get right; where rows are told apart, their sum."""


def page_words(parameters: Mapping[str, object], shown: Mapping[str, str]) -> str:
    """A sheet's ladder values in a few words, such as ``line 6.35 mm, to 96 mm long``.

    Args:
        shown: parameter -> how it is written, as the kind declares it; the first few that the
            sheet has are taken.
    """
    found = []
    for key, words in shown.items():
        value = parameters.get(key)
        if isinstance(value, list) and all(isinstance(one, str) for one in value):
            value = " and ".join(dict.fromkeys(value)) or None
        if isinstance(value, str | int | float) and not isinstance(value, bool):
            try:
                found.append(words.format(value))
            except ValueError:  # a word where others have a number
                found.append(str(value))
    return ", ".join(found[:MOST_PARAMETERS])


def _result(parameters: Mapping[str, object]) -> str:
    """What is filled in beforehand in the column for the result."""
    for key in _TOTALS:
        value = parameters.get(key)
        if isinstance(value, list) and all(isinstance(one, int) for one in value):
            value = sum(value) or None
        if isinstance(value, int):
            return f"of {value}"
    return ""


def observation(flow: Flow, plan: Counted) -> None:
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
    shown = {name: entry(name).load().shown for name in {p.kind for p in plan.sheets}}
    rows = []
    pairs = zip(plan.sheets, plan.digests, strict=True)
    for _, group in itertools.groupby(pairs, key=lambda pair: (pair[0].day, pair[0].kind)):
        for planned, digest in group:
            skill = "" if planned.skill == planned.kind else f" ({planned.skill})"
            rows.append(
                (
                    "",
                    planned.child.tag,
                    f"{planned.kind}{skill}",
                    page_words(digest.parameters, shown[planned.kind]),
                    CODES,
                    _result(digest.parameters),
                    "",
                )
            )
    flow.table(columns, rows, least_mm=ROW_MM, blank=("", "", "", "", CODES, "", ""))
