"""Which pages can be used again, against what they are used with and what they tell the child.

The words are those of the pages' own English sentences and materials; a verb that uses up paper is
one of a list that knows nothing of the kinds.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from shapes.errors import InputError
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.model import Role, Sheet, Stroke, Text

USES_UP = re.compile(r"\b(cut|snip|tear|draw|colour|glue|stick|trace|write)\b", re.IGNORECASE)
"""What a child does to paper that cannot be undone."""
TOOLS = re.compile(r"scissors|glue|pencil|crayon", re.IGNORECASE)
CONSUMED = (Role.CUT, Role.ENTRY, Role.FOLD)
"""Marks that the child cuts, folds and tears along."""

ASKED: dict[str, tuple[dict[str, Any], ...]] = {
    "sequence": (
        {},
        {"laminate": True},
        {"cut_by": "child"},
        {"backs": "long"},
        {"laminate": True, "backs": "fold"},
    ),
    "pattern": ({}, {"answer": "boxes"}, {"answer": "tiles"}, {"form": "odd"}, {"form": "unit"}),
    "pieces": ({}, {"shape": "star"}),
    "letters-to-cut": ({}, {"word": "theme"}, {"fill": True}),
    "letter-match": ({}, {"layout": "lines"}, {"layout": "cards"}),
    "own-book": ({}, {"form": "half"}),
    "picture-puzzle": ({}, {"strips": True}, {"cut_by": "child"}),
    "count-cards": (
        {},
        {"answer": "lay"},
        {"answer": "draw"},
        {"answer": "clip"},
        {"form": "match"},
        {"form": "fill"},
        {"form": "fill", "answer": "lay"},
    ),
    "order-cards": ({}, {"what": "sizes"}, {"what": "letters"}, {"labels": "spines"}),
    "measure-strip": ({}, {"count": 10}),
}


def sheets_of(name: str) -> Iterator[tuple[str, Sheet]]:
    """The sheets of a kind at every stage in every way it can be used."""
    kind, source = KINDS[name].load(), Source(load("reedy-pond"))
    for stage in range(7):
        # Puzzles take long: what the child does changes with who cuts, and that at any stage.
        cutting = ((None, 5)[stage % 2],) if name == "picture-puzzle" else (None, 5)
        for cutting_stage in cutting:
            options = Options(cutting_stage=cutting_stage, name="Zuzë")
            for asked in ASKED.get(name, ({},)):
                try:
                    made = make_sheet(name, source, stage, options, kind.choices(**asked))
                except InputError:  # not every stage has every way
                    continue
                yield f"{name} {stage} {cutting_stage} {asked}", made


def said_to_the_child(sheet: Sheet, number: int) -> str:
    marks = sheet.pages[number].marks
    return " ".join(mark.text for mark in marks if isinstance(mark, Text) and mark.id == "say")


@pytest.mark.parametrize("name", KINDS)
def test_a_page_that_is_used_up_is_never_used_again(name: str) -> None:
    for where, sheet in sheets_of(name):
        tools = [m.name for m in sheet.materials if m.use != "adult" and TOOLS.search(m.name)]
        for number, page in enumerate(sheet.pages):
            used_up = (
                tools
                or USES_UP.search(said_to_the_child(sheet, number))
                or any(isinstance(m, Stroke) and m.role in CONSUMED for m in page.marks)
            )
            if used_up:
                assert not page.again, f"{where}: {used_up}"


AGAIN = {
    "cutting": "",
    "trace-match": "0123456",
    "shadow-match": "0123456",
    "picture-puzzle": "0123456",
    "letter-match": "0",
    "sequence": "",
    "pattern": "012356",
    "colour-copy": "0",
    "sort-mat": "0123456",
    "own-book": "",
    "count-cards": "0124",
    "trace-path": "0",
    "order-cards": "0123456",
    "measure-strip": "0123456",
    "name-page": "012",
    "letters-to-cut": "",
    "pieces": "",
}
"""The stages at which a kind's usual pages are laid on, by what the pages say."""


@pytest.mark.parametrize("name", KINDS)
def test_boards_mats_and_cards_are_used_again(name: str) -> None:
    for stage in range(7):
        sheet = make_sheet(name, Source(load("reedy-pond")), stage, Options(name="Zuzë"))
        assert {page.again for page in sheet.pages} == {str(stage) in AGAIN[name]}
        assert not any(page.again for page in sheet.key)


def test_laminated_cards_of_a_sequence_are_used_again_and_glued_ones_are_not() -> None:
    kind = KINDS["sequence"].load()
    source = Source(load("reedy-pond"))
    laid, glued = (
        make_sheet("sequence", source, 3, Options(), kind.choices(laminate=laminate))
        for laminate in (True, False)
    )

    assert all(page.again for page in laid.pages)
    assert not any(page.again for page in glued.pages)
