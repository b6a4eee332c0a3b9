"""Reads pattern pages back from their marks, as a child sees them, and solves them.

The solver is told what an adult says aloud (mend, copy, carry on ...), never the task, the layout
or the key. What stands where is read from boxes and drawings alone; ids only name the answers.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.path import BBox
from sheets.kinds.pattern.section import PATTERNS
from sheets.page.marks import mark_bbox
from sheets.page.model import Mark, Place, Role, Stroke
from sheets.theme.theme import Theme


@dataclass(frozen=True, slots=True)
class Seen:
    """One place: its id, where it is, what is in it (None: nothing), and whether to fill it."""

    id: str
    box: BBox
    shows: str | None
    to_fill: bool


def names_of(theme: Theme) -> dict[str, str]:
    """What a drawing is called by the program -> the theme's word for it."""
    found = {word.picture.name: word.text for word in theme.words}
    for unit in theme.rows(PATTERNS):
        found |= {c.step.picture.name: c.step.word for c in unit.cells if c.step is not None}
    return found


def places_of(marks: Sequence[Mark], names: dict[str, str]) -> list[Seen]:
    walls = [m for m in marks if isinstance(m, Stroke) and is_wall(m)]
    drawn = [m for m in marks if isinstance(m, Place) and m.role is Role.MODEL]
    found = []
    for wall in walls:
        box = wall.paths[0].bbox
        inside = [m for m in drawn if box.contains(mark_bbox(m))]
        assert len(inside) <= 1
        shows = [names.get(m.artwork.alt, m.artwork.alt) for m in inside]
        found.append(
            Seen(wall.id, box, shows[0] if shows else None, wall.role is Role.ANSWER_SPACE)
        )
    return found


def is_wall(mark: Stroke) -> bool:
    return mark.role in (Role.ANSWER_SPACE, Role.MODEL) and len(mark.paths) == 1


def lines_of(places: Sequence[Seen]) -> list[list[Seen]]:
    """The places line by line, top to bottom, left to right."""
    lines: list[list[Seen]] = []
    for place in sorted(places, key=lambda p: -p.box.center[1]):
        if lines and abs(lines[-1][0].box.center[1] - place.box.center[1]) < 1.0:
            lines[-1].append(place)
        else:
            lines.append([place])
    return [sorted(line, key=lambda p: p.box.x0) for line in lines]


def rows_of(marks: Sequence[Mark], names: dict[str, str]) -> list[list[Seen]]:
    """The rows: lines that a thread joins are one row."""
    lines = lines_of(places_of(marks, names))
    threads = [mark_bbox(m).center[1] for m in marks if m.role is Role.GUIDE]
    rows = [list(lines[0])]
    for above, line in itertools.pairwise(lines):
        low = min(p.box.y0 for p in above)
        high = max(p.box.y1 for p in line)
        if any(high < y < low for y in threads):
            rows[-1] += line
        else:
            rows.append(list(line))
    return rows


def shortest_unit(texts: Sequence[str | None]) -> list[str]:
    """The shortest part that, over and over, makes what can be seen; at least twice in the row."""
    for length in range(1, len(texts) // 2 + 1):
        kinds = [{t for t in texts[i::length] if t is not None} for i in range(length)]
        if all(len(kind) == 1 for kind in kinds):
            return [next(iter(kind)) for kind in kinds]
    raise AssertionError(f"no rule in {texts}")


def solve_gaps(row: Sequence[Seen]) -> dict[str, str]:
    """Mend and carry on: what belongs in the empty places by the rule of those that are not."""
    texts = [p.shows for p in row]
    while texts[-1] is None:
        texts.pop()
    unit = shortest_unit(texts)
    return {p.id: unit[i % len(unit)] for i, p in enumerate(row) if p.shows is None}


def solve_copy(marks: Sequence[Mark], names: dict[str, str], *, above: bool) -> dict[str, str]:
    """Copy and match: what stands straight above (or below) an empty place, nearest to it."""
    places = places_of(marks, names)
    found = {}
    for place in places:
        if not place.to_fill:
            continue
        x, y = place.box.center
        column = [p for p in places if abs(p.box.center[0] - x) < 0.01 and p.shows is not None]
        near = [p for p in column if (p.box.center[1] > y) == above and p.id != place.id]
        shown = min(near, key=lambda p: abs(p.box.center[1] - y)).shows
        assert shown is not None
        found[place.id] = shown
    return found


def solve_odd(row: Sequence[Seen]) -> list[tuple[str, str]]:
    """Every single change that makes the row repeat: the place and what should be there."""
    texts = [p.shows for p in row]
    found = []
    for i, place in enumerate(row):
        for other in sorted({t for t in texts if t is not None} - {place.shows}):
            mended = [*texts[:i], other, *texts[i + 1 :]]
            try:
                shortest_unit(mended)
            except AssertionError:
                continue
            found.append((place.id, other))
    return found
