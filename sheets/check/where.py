"""Where on a page a finding is: which marks it is about, and the place in mm from the top left."""

from __future__ import annotations

import dataclasses
import itertools
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapes.affine import Point
from shapes.path import BBox, Path
from sheets.check.check import is_flat, lines_of
from sheets.check.distances import drawn_parts, ink_box, points_of
from sheets.page.frame import rectangle
from sheets.page.model import Finding, Mark, Page, Role, Stroke, Text

if TYPE_CHECKING:
    from shapely.geometry import MultiLineString

ELEMENT = "element"
"""Further fact of a mark that was read from elsewhere: the id of its element in the file."""

_KINDS = {Role.CUT: "line", Role.ART: "picture"}
_OF_FORM = {
    "bend radius": "bend_at",
    "hollow radius": "hollow_at",
    "neck": "neck_at",
    "notch": "notch_at",
}
_OF_CORNERS = ("interior angle", "corners", "hollow corners")


@dataclass(frozen=True, slots=True)
class Where:
    """The place of a finding.

    Args:
        at: point on the page, mm, y up.
        box: of the mark or marks, mm.
        element: id in the file, where it has one that is not the mark's name already.
    """

    at: Point
    box: BBox
    element: str = ""


def named(page: Page) -> Page:
    """The page with a name for every mark that has none, so that a finding tells which it means."""
    taken = {mark.id for mark in page.marks}
    numbers: Counter[str] = Counter()
    marks = []
    for mark in page.marks:
        if not mark.id:
            kind = _KINDS.get(mark.role, mark.role.value)
            name = ""
            while not name or name in taken:
                numbers[kind] += 1
                name = f"{kind}-{numbers[kind]}"
            mark = dataclasses.replace(mark, id=name)
        marks.append(mark)
    return dataclasses.replace(page, marks=tuple(marks))


def where(page: Page, finding: Finding) -> Where | None:
    """Where a finding on a :func:`named` page is; None if it is about the page as a whole."""
    groups = [_meant(page, name) for name in _names(page, finding.mark)]
    groups = [group for group in groups if group]
    if not groups:
        return None
    boxes = [box for group in groups for mark, _ in group if (box := ink_box(mark)) is not None]
    if not boxes:
        return None
    box = boxes[0]
    for other in boxes[1:]:
        box = box.union(other)
    elements = [dict(mark.data).get(ELEMENT, "") for group in groups for mark, _ in group
                if not isinstance(mark, Text)]  # fmt: skip
    element = ", ".join(dict.fromkeys(text for text in elements if text))
    return Where(_point(page, finding, groups, box), box, element)


def from_top_left(page: Page, at: Point) -> tuple[int, int]:
    """Whole mm across from the left edge and down from the top edge of the paper."""
    return round(at[0]), round(page.paper.height - at[1])


# --- which marks ----------------------------------------------------------------------------------

_Meant = list[tuple[Mark, Path | None]]


def _names(page: Page, text: str) -> list[str]:
    if not text or _meant(page, text):
        return [text] if text else []
    return text.split(", ")


def _meant(page: Page, name: str) -> _Meant:
    """The marks of a name, or one path of a mark: ``lanes 3``; those of an item: ``item 2``."""
    found: _Meant = [(mark, None) for mark in page.marks if mark.id == name]
    if found:
        return found
    number = re.fullmatch(r"(.*) (\d+)", name)
    if number is None:
        return []
    if number[1] == "item":
        roles = (Role.CHOICE, Role.ANSWER_SPACE)
        return [(m, None) for m in page.marks if m.item == int(number[2]) and m.role in roles]
    for mark in page.marks:
        if mark.id == number[1] and isinstance(mark, Stroke):
            lines, nth = lines_of(mark), int(number[2])
            if 1 <= nth <= len(lines):
                return [(mark, lines[nth - 1])]
    return []


# --- which point ----------------------------------------------------------------------------------


def _point(page: Page, finding: Finding, groups: Sequence[_Meant], box: BBox) -> Point:
    if len(groups) == 2:
        return _between(*groups) or box.center
    if finding.limit == "edge distance":
        return _nearest_the_edge(page, box)
    ((mark, path), *others) = itertools.chain.from_iterable(groups)
    if isinstance(mark, Stroke) and not others and (path or len(mark.paths) == 1):
        line = path or mark.paths[0]
        special = _on_outline(finding.limit, line)
        if special is not None:
            return special
        points = line.flatten(0.1)
        return points[len(points) // 2] if len(points) > 2 else _middle(points)
    return box.center


def _on_outline(limit: str, line: Path) -> Point | None:
    """Where a form was measured (bend, narrow place, corner), else the top of an outline."""
    if limit == "piece size" or (line.closed and is_flat(line)):
        return line.bbox.center
    if limit in _OF_CORNERS or limit in _OF_FORM:
        at = _of_form(limit, line)
        if at is not None:
            return at
    return max(line.flatten(0.1), key=lambda point: point[1]) if line.closed else None


def _of_form(limit: str, line: Path) -> Point | None:
    from shapes.measure.measure import measure

    found = measure(line)
    if limit in _OF_FORM:
        at: Point | None = getattr(found, _OF_FORM[limit])
        return at
    corners = [c for c in found.corners if c.hollow or limit != "hollow corners"]
    if not corners:
        return None
    return min(corners, key=lambda corner: corner.sharp_deg).point


def _nearest_the_edge(page: Page, box: BBox) -> Point:
    x, y = box.center
    sides = {
        (box.x0, y): box.x0,
        (x, box.y0): box.y0,
        (box.x1, y): page.paper.width - box.x1,
        (x, box.y1): page.paper.height - box.y1,
    }
    return min(sides, key=lambda point: sides[point])


def _between(first: _Meant, second: _Meant) -> Point | None:
    """Halfway between the middles of the lines, or the edges, where two groups come closest.

    None where one of them has neither.
    """
    import shapely

    line = shapely.shortest_line(_chains(first), _chains(second))
    points = [(float(x), float(y)) for x, y in shapely.get_coordinates(line)]
    return _middle(points) if points else None


def _chains(group: _Meant) -> MultiLineString:
    from shapely.geometry import MultiLineString

    found: list[list[Point]] = []
    for mark, path in group:
        if isinstance(mark, Text):
            box = ink_box(mark)
            if box is not None:
                found.append(rectangle(box).flatten())
            continue
        for part, at in drawn_parts(mark):
            for line in (path,) if path is not None else part.paths:
                found.append(points_of(line, at))
    return MultiLineString(found)


def _middle(points: Sequence[Point]) -> Point:
    (ax, ay), (bx, by) = points[0], points[-1]
    return (ax + bx) / 2.0, (ay + by) / 2.0
