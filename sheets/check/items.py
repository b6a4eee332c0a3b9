"""Measures pages on which things are looked at, matched, ordered or continued, by role alone.

How marks are told apart: marks of one role and one id are one thing (a picture and its frame); a
mark without an id is a thing of its own. Choices and answer spaces belong to the item their marks
name; those that name none are shared by all items. What has the role of a card comes loose.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from shapes.letters.font import cap_height_mm, x_height_mm
from shapes.path import BBox
from sheets.check.distances import box_gap, ink_box
from sheets.check.guidance import Limit
from sheets.page.areas import filled_area
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Finding, Mark, Page, Place, Role, Stroke, Text

_SLACK_MM = 0.05

Limits = Mapping[str, Limit]


@dataclass(frozen=True, slots=True)
class _Thing:
    """What the eye takes for one thing: all marks of one role and id."""

    name: str
    box: BBox
    item: int  # it belongs to; 0 if its marks name none
    marks: tuple[Mark, ...]

    @property
    def longer(self) -> float:
        return max(self.box.width, self.box.height)

    @property
    def shorter(self) -> float:
        return min(self.box.width, self.box.height)

    @property
    def free(self) -> float:
        """Shorter side of what the line round it leaves free; of all of it if it has no line."""
        frames = [
            (_middle_box(m), m.width / 2.0)
            for m in self.marks
            if isinstance(m, Stroke) and all(path.closed for path in m.paths)
        ]
        if not frames:
            return self.shorter
        box, half = max(frames, key=lambda frame: frame[0].width * frame[0].height)
        return min(box.width, box.height) - 2.0 * half


def item_findings(page: Page, bounds: Limits) -> Iterator[Finding]:
    """The values of a page's things against the limits that are there; no other is measured."""
    things = {
        role: _things(mark for mark in page.marks if mark.role is role)
        for role in (Role.TARGET, Role.CHOICE, Role.ANSWER_SPACE)
    }
    targets, choices = things[Role.TARGET], things[Role.CHOICE]
    # Where sizes are compared a line to trace is the outline of a thing, else a shape or letter.
    outlines = (
        _things(m for m in page.marks if m.role is Role.TRACE and not _is_lane(m))
        if "size_difference" in bounds
        else []
    )
    yield from _traced(page, bounds)
    yield from _count(bounds, "items_per_page", len(targets or outlines))
    yield from _counted(bounds, targets)
    for choice in choices:
        yield from _at_least(bounds, "choice_box", choice.free, choice.name)
    yield from _most_per_item(bounds, "choices", choices)
    yield from _gap(bounds, [*targets, *choices, *outlines])
    for thing in [*targets, *choices, *outlines]:
        yield from _at_least(bounds, "target_size", thing.longer, thing.name)
    yield from _differences(bounds, outlines)
    yield from _letters(page, bounds)
    cards = _things(mark for mark in page.marks if mark.role is Role.CARD)
    for card in cards:
        yield from _at_least(bounds, "loose_piece_width", card.shorter, card.name)
        yield from _at_least(bounds, "card_width", card.shorter, card.name)
    yield from _count(bounds, "pictures", len(cards))
    for card in cards:
        yield from _at_least(bounds, "card_size", card.longer, card.name)
    yield from _count(bounds, "areas", len(things[Role.ANSWER_SPACE]))
    yield from _most_per_item(bounds, "cells_to_fill", things[Role.ANSWER_SPACE])
    for cell in things[Role.ANSWER_SPACE]:
        yield from _at_least(bounds, "cell_size", cell.free, cell.name)


def _things(marks: Iterable[Mark]) -> list[_Thing]:
    boxes: dict[str, BBox] = {}
    names: dict[str, str] = {}
    parts: dict[str, list[Mark]] = {}
    for index, mark in enumerate(marks):
        box = ink_box(mark)
        if box is None:
            continue
        key = mark.id or f"#{index}"
        names[key] = mark.id or mark.role.value
        parts.setdefault(key, []).append(mark)
        boxes[key] = boxes[key].union(box) if key in boxes else box
    return [
        _Thing(names[key], box, max(mark.item for mark in parts[key]), tuple(parts[key]))
        for key, box in boxes.items()
    ]


def _at_least(bounds: Limits, name: str, value: float, mark: str) -> Iterator[Finding]:
    if name in bounds:
        yield bounds[name].finding(value, mark, _SLACK_MM)


def _count(bounds: Limits, name: str, count: int) -> Iterator[Finding]:
    if name in bounds and count:
        yield bounds[name].finding(float(count))


def _most_per_item(bounds: Limits, name: str, things: list[_Thing]) -> Iterator[Finding]:
    """The item with the most choices or places; things without an item number are counted once."""
    if name not in bounds or not things:
        return
    if any(not thing.item for thing in things):
        yield bounds[name].finding(float(len(things)))
        return
    item, count = Counter(thing.item for thing in things).most_common(1)[0]
    yield bounds[name].finding(float(count), f"item {item}")


def _counted(bounds: Limits, targets: list[_Thing]) -> Iterator[Finding]:
    """Of the pictures of one name, which are one group to count: how many, how large, how close."""
    if "amount" not in bounds:
        return
    for group in targets:
        boxes = [mark_bbox(mark) for mark in group.marks if isinstance(mark, Place)]
        if not boxes:
            continue
        yield bounds["amount"].finding(float(len(boxes)), group.name)
        smallest = min(max(box.width, box.height) for box in boxes)
        yield from _at_least(bounds, "counted_size", smallest, group.name)
        gaps = [box_gap(a, b) for a, b in itertools.combinations(boxes, 2)]
        if gaps:
            yield from _at_least(bounds, "counted_gap", min(gaps), group.name)


def _gap(bounds: Limits, things: list[_Thing]) -> Iterator[Finding]:
    if "item_gap" not in bounds:
        return
    limit = bounds["item_gap"]
    gaps = [
        (box_gap(a.box, b.box), f"{a.name}, {b.name}") for a, b in itertools.combinations(things, 2)
    ]
    gaps.sort(key=lambda item: item[0])
    for i, (gap, names) in enumerate(gaps):
        if i == 0 or not limit.allows(gap, _SLACK_MM):
            yield limit.finding(gap, names, _SLACK_MM)


def _differences(bounds: Limits, outlines: list[_Thing]) -> Iterator[Finding]:
    """How far apart in size any two outlines of things are: the smaller, the easier to confuse."""
    if "size_difference" not in bounds:
        return
    for a, b in itertools.combinations(outlines, 2):
        apart = max(abs(a.longer - b.longer), abs(a.shorter - b.shorter))
        yield from _at_least(bounds, "size_difference", apart, f"{a.name}, {b.name}")


def _is_lane(mark: Mark) -> bool:
    return isinstance(mark, Stroke) and mark.lane is not None


def _traced(page: Page, bounds: Limits) -> Iterator[Finding]:
    """Lines to follow with a pencil: the free width of lanes, the width of plain lines."""
    for mark in page.marks:
        if not isinstance(mark, Stroke) or mark.role is not Role.TRACE or not mark.paths:
            continue
        name = mark.id or mark.role.value
        if mark.lane is None:
            yield from _at_least(bounds, "guide_line", mark.width, name)
        else:
            free = mark.width - 2.0 * mark.lane.edge + _stroke_width(mark, page)
            yield from _at_least(bounds, "corridor", free, name)
            yield from _steered(bounds, mark, free, name)
            box = _middle_box(mark)
            yield from _at_least(bounds, "shape_size", max(box.width, box.height), name)
        yield from _at_least(bounds, "trace_letter_height", _middle_box(mark).height, name)


def _steered(bounds: Limits, lane: Stroke, free: float, name: str) -> Iterator[Finding]:
    """How long each stroke of a lane is for its free width; see shapes.measure.difficulty."""
    if not {"corridor", "steering_index"} <= set(bounds) or free <= 0.0:
        return
    for i, path in enumerate(lane.paths, start=1):
        shown = name if len(lane.paths) == 1 else f"{name} {i}"
        limit = bounds["steering_index"]
        yield limit.finding(path.length / free, shown, _SLACK_MM / free)


def _stroke_width(lane: Stroke, page: Page) -> float:
    """Mean width of the strokes of a hollow letter: a lane round an area of one id; 0 of others.

    Twice the area by the length of its edge, which a long stroke of even width comes near from
    below: of one with length l and width w it is w / (1 + w / l).
    """
    areas = [
        mark
        for mark in page.marks
        if isinstance(mark, Fill) and mark.role is Role.TRACE and lane.id and mark.id == lane.id
    ]
    edge = sum(path.length for area in areas for path in area.paths)
    return 2.0 * sum(map(filled_area, areas)) / edge if edge else 0.0


def _middle_box(stroke: Stroke) -> BBox:
    box = stroke.paths[0].bbox
    for path in stroke.paths[1:]:
        box = box.union(path.bbox)
    return box


def _letters(page: Page, bounds: Limits) -> Iterator[Finding]:
    for mark in page.marks:
        name = mark.id or mark.role.value
        if isinstance(mark, Text):
            shown = mark.text.strip()
            if mark.role not in _LETTER_ROLES or not shown:
                continue
            yield from _at_least(bounds, "letter_height", cap_height_mm(mark.size_pt), name)
            if any(char.islower() for char in shown):
                yield from _at_least(bounds, "x_height", x_height_mm(mark.size_pt), name)
        elif isinstance(mark, (Stroke, Fill)) and mark.role is Role.LETTER:
            box = ink_box(mark)
            if box is not None:
                yield from _at_least(bounds, "letter_height", box.height, name)


_LETTER_ROLES = (Role.LETTER, Role.TARGET, Role.CHOICE, Role.MODEL)
