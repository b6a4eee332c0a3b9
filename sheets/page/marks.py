"""Marks as geometry: moving and scaling them, the box round their ink, their name in a message."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterable

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox
from sheets.page.model import Fill, Mark, Page, Place, Role, Stroke, Text

BAR_LENGTH = 100.0
"""Length of the bars to measure on paper, in mm."""

# --- making up for a printer that shrinks ---------------------------------------------------------


class BarError(FitError):
    """Pages that cannot be made larger or smaller for what the printed bar measured."""


def compensated(page: Page, bar_measures: float) -> Page:
    """The page made ``100 / bar_measures`` larger about the middle of the paper.

    Args:
        bar_measures: what the printed 100 mm bar measured, in mm, from 50 to 200.

    Raises:
        BarError: the measure is out of range, or some mark would leave the paper.
    """
    if not 50.0 <= bar_measures <= 200.0:
        raise BarError(
            f"a 100 mm bar that measures {bar_measures:g} mm is out of range",
            where="`bar-measures`",
            fix="measure again, in millimetres (50 to 200)",
        )
    factor = BAR_LENGTH / bar_measures
    cx, cy = page.paper.width / 2.0, page.paper.height / 2.0
    m = Affine(factor, 0.0, 0.0, factor, cx * (1.0 - factor), cy * (1.0 - factor))
    sheet = BBox(0.0, 0.0, page.paper.width, page.paper.height)
    marks: list[Mark] = []
    for mark in page.marks:
        scaled = transform_mark(mark, m)
        if not _leaves_on_purpose(mark, sheet):
            box = mark_bbox(scaled)
            if not sheet.grown(-EDGE_CANNOT_PRINT).contains(box):
                over = max(
                    EDGE_CANNOT_PRINT - box.x0,
                    EDGE_CANNOT_PRINT - box.y0,
                    box.x1 - sheet.x1 + EDGE_CANNOT_PRINT,
                    box.y1 - sheet.y1 + EDGE_CANNOT_PRINT,
                )
                raise BarError(
                    f"made {factor:.3f} times larger, {describe(mark)} no longer fits the paper "
                    f"({over:.1f} mm over)",
                    where=f"`bar-measures` {bar_measures:g}",
                    fix="print at actual size instead, or take larger paper",
                )
        marks.append(scaled)
    cuts = tuple(
        dataclasses.replace(cut, at=factor * cut.at + (m.f if cut.across else m.e))
        for cut in page.cuts
    )
    return dataclasses.replace(page, marks=tuple(marks), cuts=cuts)


EDGE_CANNOT_PRINT = 2.0
"""A page that is printed smaller has its own edge inside the paper, so ink may come close to it."""


def _leaves_on_purpose(mark: Mark, sheet: BBox) -> bool:
    if not isinstance(mark, Stroke):
        return False
    return any(not sheet.grown(-0.01).contains(path.bbox) for path in mark.paths)


def describe(mark: Mark) -> str:
    """A mark in words for a message."""
    if isinstance(mark, Text):
        return f"the text '{mark.text[:30]}'"
    if mark.role is Role.CUT:
        return "the outline to cut"
    if mark.id:
        return f"the {mark.id.replace('-', ' ')}"
    return f"a {mark.role.value} mark"


def transform_mark(mark: Mark, m: Affine) -> Mark:
    """A mark under a similarity; line widths, dashes and type sizes scale with it."""
    if isinstance(mark, Place):
        return dataclasses.replace(mark, at=mark.at.then(m))
    if isinstance(mark, Text):
        x, y = m.apply((mark.x, mark.y))
        return dataclasses.replace(mark, x=x, y=y, size_pt=mark.size_pt * m.scale)
    paths = tuple(path.transformed(m) for path in mark.paths)
    if isinstance(mark, Fill):
        return dataclasses.replace(mark, paths=paths)
    lane = mark.lane
    if lane is not None:
        lane = dataclasses.replace(lane, edge=lane.edge * m.scale)
    return dataclasses.replace(
        mark,
        paths=paths,
        width=mark.width * m.scale,
        dash=tuple(d * m.scale for d in mark.dash),
        lane=lane,
    )


def marks_bbox(marks: Iterable[Mark]) -> BBox:
    """Box round the ink of all marks, at least one."""
    return functools.reduce(BBox.union, map(mark_bbox, marks))


def mark_bbox(mark: Mark) -> BBox:
    """Box round a mark's ink in page mm (text: its advance width and cap height, turned)."""
    if isinstance(mark, Text):
        width = text_width_mm(mark.text, mark.size_pt)
        shift = {"start": 0.0, "middle": -width / 2.0, "end": -width}[mark.anchor]
        if mark.turn_deg == 0.0:  # nearly always
            left, top = mark.x + shift, mark.y + cap_height_mm(mark.size_pt)
            return BBox(left, mark.y, left + width, top)
        m = Affine.rotation(mark.turn_deg).then(Affine.translation(mark.x, mark.y))
        return BBox(shift, 0.0, shift + width, cap_height_mm(mark.size_pt)).transformed(m)
    if isinstance(mark, Place):
        return mark.artwork.bbox.transformed(mark.at)
    boxes = [path.bbox for path in mark.paths]
    box = BBox.around(corner for b in boxes for corner in ((b.x0, b.y0), (b.x1, b.y1)))
    return box.grown(mark.width / 2.0) if isinstance(mark, Stroke) else box
