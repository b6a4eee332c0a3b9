"""How large outlines of real things are in print, how far apart, and whether a page holds them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shapes.objects import CLEARANCE_MM, Footprint
from shapes.path import BBox
from sheets.check.guidance import Limit, limits
from sheets.kinds.options import Options, is_low, least_line
from sheets.page.frame import FOOT_HEIGHT, HEAD_HEIGHT, Frame
from sheets.page.model import Paper
from sheets.page.packing import Row, layouts

_BAR_STRIP = 7.0  # measure bar, its ticks and label, at one side of the page
_CLEAR = 1.0  # below the title and above the foot


# --- what the stage asks --------------------------------------------------------------------------


def line_mm(stage: int, options: Options) -> float:
    """Printed width of the outlines."""
    return max(_least(stage, "guide_line", 3.0), least_line(options))


def gap_mm(stage: int, options: Options) -> float:
    """White between the boxes round two outlines."""
    return max(_least(stage, "item_gap", 25.0), 15.0 if is_low(options) else 0.0)


def least_difference(stage: int) -> float:
    """Smallest difference of two outlines in their longer or in their shorter sides, mm."""
    return _least(stage, "size_difference", 20.0)


def least_size(stage: int) -> float:
    """Least length of the longer side of an outline, mm."""
    return _least(stage, "target_size", 40.0)


def _least(stage: int, name: str, at_stage_0: float) -> float:
    limit: Limit | None = limits("matching", stage).get(name)
    return at_stage_0 if limit is None or limit.minimum is None else limit.minimum


def difference(a: Footprint, b: Footprint) -> float:
    """The larger of the differences in longer and in shorter side, mm, as the guidance has it."""
    longer = abs(max(a.width, a.depth) - max(b.width, b.depth))
    shorter = abs(min(a.width, a.depth) - min(b.width, b.depth))
    return max(longer, shorter)


def box_size(thing: Footprint, line: float) -> tuple[float, float]:
    """Width and height of a printed outline, its line included, mm."""
    more = 2.0 * CLEARANCE_MM + line
    return (thing.width + more, thing.depth + more)


# --- room on the page -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the page that holds nothing else."""

    paper: Paper
    box: BBox


def areas(options: Options) -> tuple[Area, ...]:
    """The work area without the strip of the measure bar, all that is free, all on turned paper."""
    upright, turned = options.paper, options.paper.turned()
    free = _free(upright, options)
    work = Frame(upright).work
    usual = BBox(
        max(work.x0, free.x0),
        max(work.y0, free.y0),
        min(work.x1, free.x1),
        min(work.y1, free.y1),
    )
    return (Area(upright, usual), Area(upright, free), Area(turned, _free(turned, options)))


def _free(paper: Paper, options: Options) -> BBox:
    """Between head and foot, and beside the bar that runs down the far side."""
    live = Frame(paper).live
    left, right = (_BAR_STRIP, 0.0) if options.far_side == "left" else (0.0, _BAR_STRIP)
    return BBox(
        live.x0 + left,
        live.y0 + FOOT_HEIGHT + _CLEAR,
        live.x1 - right,
        live.y1 - HEAD_HEIGHT - _CLEAR,
    )


def free_layouts(
    sizes: Sequence[tuple[float, float]], area: Area, gap: float
) -> tuple[tuple[Row, ...], ...]:
    """The ways to put the boxes into an area, see :func:`sheets.page.packing.layouts`."""
    return layouts(tuple(sizes), round(area.box.width, 6), round(area.box.height, 6), gap)


def fits(things: Iterable[Footprint], stage: int, options: Options, *, upright: bool) -> bool:
    """Whether outlines of the things have room on the page.

    Args:
        upright: only on paper that stands upright.
    """
    sizes = [box_size(thing, line_mm(stage, options)) for thing in things]
    gap = gap_mm(stage, options)
    covered = sum((wide + gap) * (high + gap) for wide, high in sizes)
    _usual, free, turned = areas(options)  # the usual area lies within the free one
    return any(
        free_layouts(sizes, area, gap)
        for area in ((free,) if upright else (free, turned))
        if covered <= (area.box.width + gap) * (area.box.height + gap)
    )
