"""A mat: areas side by side, each with its name and an example, to lay cards in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapes.errors import FitError
from shapes.letters.font import text_width_mm
from shapes.path import BBox
from shapes.pictures.picture import Picture
from sheets.page.cards import picture_with_lines
from sheets.page.frame import SMALLEST_TEXT_PT, rectangle
from sheets.page.model import Mark, Role, Stroke, Text

_GAP, _AIR, _WALL = 6.0, 4.0, 0.9
_NAME_PT, _HEAD, _PICTURE = 20.0, 12.0, 26.0
_LIST_PT, _LEADING = 12.0, 6.0


@dataclass(frozen=True, slots=True)
class Mat:
    """The areas of a mat in mm on the page, and what is printed in them."""

    boxes: tuple[BBox, ...]
    marks: tuple[Mark, ...]

    def listed(self, words: Sequence[Sequence[str]]) -> tuple[Mark, ...]:
        """For the key: the words that belong in each area, one below the other."""
        return tuple(
            Text(
                box.center[0],
                box.y1 - _HEAD - _PICTURE - _LEADING * (row + 1),
                word,
                _LIST_PT,
                Role.ADULT,
                anchor="middle",
            )
            for box, names in zip(self.boxes, words, strict=True)
            for row, word in enumerate(names)
        )


def mat(
    area: BBox,
    names: Sequence[str],
    examples: Sequence[Picture | None],
    *,
    least_line_mm: float = 0.0,
    colour: bool = False,
) -> Mat:
    """Areas of one size from left to right.

    Args:
        names: printed at the head of each; 18 pt or more.
        examples: a picture below the name, or None.
        colour: with the set's own colours under the lines.

    Raises:
        FitError: a name is wider than its area.
    """
    wide = (area.width - _GAP * (len(names) - 1)) / len(names)
    wall = max(_WALL, least_line_mm)
    boxes: list[BBox] = []
    marks: list[Mark] = []
    for i, (name, example) in enumerate(zip(names, examples, strict=True)):
        left = area.x0 + i * (wide + _GAP)
        box = BBox(left, area.y0 + _AIR, left + wide, area.y1 - _AIR)
        size = min(_NAME_PT, _NAME_PT * (wide - 4.0) / text_width_mm(name, _NAME_PT))
        if size < SMALLEST_TEXT_PT:
            raise FitError(f"'{name}' is too long for its area", where="areas", fix="shorten it")
        boxes.append(box)
        outline = (rectangle(box),)
        marks.append(Stroke(outline, wall, Role.ANSWER_SPACE, f"area-{i + 1}", join="miter"))
        x, y = box.center[0], box.y1 - _HEAD + 2.0
        marks.append(Text(x, y, name, size, Role.MODEL, f"name-{i + 1}", anchor="middle"))
        if example is not None:
            room = BBox(box.x0, box.y1 - _HEAD - _PICTURE, box.x1, box.y1 - _HEAD)
            room = room.grown(-1.0 - least_line_mm)
            marks.append(
                picture_with_lines(
                    example,
                    room,
                    least_line_mm=least_line_mm,
                    colour=colour,
                    role=Role.MODEL,
                    id=f"example-{i + 1}",
                )
            )
    return Mat(tuple(boxes), tuple(marks))
