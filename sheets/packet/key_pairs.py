"""Answer keys two on a page: they are read, not laid on anything, so they need no true size."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from shapes.affine import Affine
from shapes.path import Path
from sheets.page.frame import MARGIN, Frame
from sheets.page.marks import transform_mark
from sheets.page.model import FURNITURE_GREY, Mark, Page, Paper, Role, Stroke, Text

A_PAGE = 2
TAG_PT = 17.0
_RULE = 0.25


def pages_for(keys: int) -> int:
    """Pages that so many keys take."""
    return -(-keys // A_PAGE)


def page_of(key: int) -> int:
    """Index of the page that the key of this index is on."""
    return key // A_PAGE


def shared_page(keys: Sequence[Page], paper: Paper) -> Page:
    """One or two keys side by side on paper turned on its side.

    Args:
        keys: finished pages of any size.
        paper: upright; the keys become as large as half of it lets them.
    """
    wide, high = paper.height / A_PAGE, paper.width
    marks: list[Mark] = []
    for number, key in enumerate(keys):
        scale = min(wide / key.paper.width, high / key.paper.height)
        dx = wide * number + (wide - key.paper.width * scale) / 2.0
        dy = (high - key.paper.height * scale) / 2.0
        at = Affine.scaling(scale).then(Affine.translation(dx, dy))
        marks += [transform_mark(mark, at) for mark in key.marks]
    middle = Path.line((wide, MARGIN), (wide, high - MARGIN))
    rule = Stroke((middle,), _RULE, Role.ADULT, id="between", colour=FURNITURE_GREY, cap="butt")
    return Page(paper.turned(), (*marks, rule), label=", ".join(key.label for key in keys))


def tagged(page: Page, label: str) -> Page:
    """A key with the tag of the child whose page it answers: keys bear no names."""
    frame = Frame(page.paper)
    mark = Text(
        frame.work.x1, frame.live.y1 - 14.0, label, TAG_PT, Role.ADULT, id="tag", anchor="end"
    )
    return dataclasses.replace(page, marks=(*page.marks, mark))
