"""Pictures in the set's own colours, where they are asked for."""

from __future__ import annotations

import dataclasses

import pytest

from shapes.colour import luminance
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.model import Fill, Page, Place, Stroke
from tests.packets import packet_of

OWN_COLOURS = {"colour-copy"}
"""Kinds whose pictures are there to be coloured: only the small picture in the head is."""


def pictures(page: Page) -> list[Place]:
    return [mark for mark in page.marks if isinstance(mark, Place)]


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("stage", [1, 4])
def test_every_kind_shows_its_pictures_in_colour_if_asked(name: str, stage: int) -> None:
    source = Source(load("reedy-pond"))
    plain = make_sheet(name, source, stage, Options(name="Zuzë"))
    coloured = make_sheet(name, source, stage, Options(name="Zuzë", colour=True))

    assert [f.sentence() for f in coloured.findings if f.outside] == []
    assert len(plain.pages) == len(coloured.pages)
    for before, after in zip(plain.pages, coloured.pages, strict=True):
        assert not any("-colour" in place.artwork.id for place in pictures(before))
        credited = [place for place in pictures(after) if place.artwork.credit]
        if name in OWN_COLOURS:
            credited = [place for place in credited if place.id == "badge"]
        assert credited
        assert all("-colour" in place.artwork.id for place in credited)
        # Where pictures stand and how large they are does not change with the colours.
        assert [p.at for p in pictures(before)] == [p.at for p in pictures(after)]


def test_the_lines_stay_black_and_lie_on_top() -> None:
    sheet = make_sheet("cutting", Source(words=("frog",)), 6, Options(colour=True))
    (place,) = [p for p in pictures(sheet.pages[0]) if p.id.startswith("picture")]
    lines = [m for m in place.artwork.marks if isinstance(m, Stroke) and m.colour == "#000000"]
    areas = [m for m in place.artwork.marks if isinstance(m, Fill) and m.colour != "#000000"]

    assert lines
    assert areas
    assert place.artwork.marks.index(lines[0]) > place.artwork.marks.index(areas[-1])
    # A line can be told from what it lies on: 3:1, WCAG 2.2, success criterion 1.4.11.
    assert all((luminance(area.colour) + 0.05) / 0.05 >= 3.0 for area in areas)


def test_a_packet_in_colour_has_the_same_pages() -> None:
    plain = packet_of(only=("Pp",))
    coloured = packet_of(only=("Pp",), colour=True)

    assert plain.plan.totals() == dataclasses.replace(coloured.plan.totals())
    assert coloured.outside == ()
