"""The faces of the cards and labels, one card in its box. Lengths in mm, y up."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.letters.font import cap_height_mm, text_width_mm
from shapes.path import BBox, Path
from shapes.pictures.picture import Picture
from sheets.kinds.options import Options, least_line
from sheets.page.cards import face, picture_with_lines
from sheets.page.frame import SMALLEST_TEXT_PT
from sheets.page.ink_box import ink_of_place
from sheets.page.model import Fill, Mark, Place, Role, Stroke, Text

GROUND = 1.0
"""Line that a picture or numeral stands on."""
FOOT = 3.0
"""From the lower edge of a card to what stands on its ground line."""
RIM = 4.0
"""White between the edge of a card and a numeral."""
DOT = 4.4
_DOT_PITCH, _DOT_ROOM, _MOST_DOTS = 6.0, 11.0, 5
_UNDER = 3.5
_LARGEST_PT = 170.0


def sized(picture: Picture, longest: float, middle: tuple[float, float], options: Options) -> Place:
    """A picture whose ink is so long in its longer side, its middle at a point."""
    half = longest / 2.0
    place = picture_with_lines(
        picture,
        BBox(-half, -half, half, half),
        least_line_mm=least_line(options),
        colour=options.colour,
        role=Role.CARD,
    )
    # Lines are thinner than the drawing's own, so the ink is not yet as large as the box.
    box = ink_of_place(place)
    (cx, cy), grow = box.center, longest / max(box.width, box.height)
    to = Affine.translation(-cx, -cy).then(Affine.scaling(grow))
    return dataclasses.replace(place, at=place.at.then(to).then(Affine.translation(*middle)))


def stood(picture: Picture, longest: float, box: BBox, options: Options, *, ground: bool) -> Place:
    """The same in a box: on the ground line at its foot, or in its middle."""
    place = sized(picture, longest, box.center, options)
    if not ground:
        return place
    low = ink_of_place(place).y0
    return dataclasses.replace(
        place, at=place.at.then(Affine.translation(0.0, box.y0 + FOOT - low))
    )


def ground_line(box: BBox, role: Role, id: str) -> Stroke:
    """What a picture stands on, at the foot of a box."""
    y = box.y0 + FOOT - GROUND / 2.0
    path = Path.line((box.x0 + 2.0, y), (box.x1 - 2.0, y))
    return Stroke((path,), GROUND, role, id, cap="butt")


def sign_pt(signs: Sequence[str], box: BBox, *, dots: bool) -> float:
    """The type in which every sign of a row fits a box.

    Raises:
        FitError: it would be smaller than a child is to read.
    """
    wide = max(text_width_mm(sign, 100.0) for sign in signs) / 100.0
    high = box.height - 2.0 * RIM - _UNDER - (_DOT_ROOM if dots else 0.0)
    tall = high / (cap_height_mm(100.0) / 100.0)
    size = min((box.width - 2.0 * _rim(box)) / wide, tall, _LARGEST_PT)
    if size < SMALLEST_TEXT_PT:
        raise FitError(
            f"{box.width:g} x {box.height:g} mm has no room for '{signs[-1]}' at "
            f"{SMALLEST_TEXT_PT:g} pt",
            where="`height`" if tall < SMALLEST_TEXT_PT else "`width`",
            fix="make it larger",
        )
    return size


def _rim(box: BBox) -> float:
    """White beside a sign; narrow labels have less."""
    return min(RIM, box.width / 8.0)


def sign_marks(
    box: BBox, sign: str, size_pt: float, role: Role, id: str, *, dots: bool, line: bool
) -> list[Mark]:
    """A numeral or letter, and below it as many dots or the line that shows which way is up.

    Args:
        line: below every sign of a row that has 6 and 9, which are else one turned about.
    """
    low = box.y0 + RIM + (_DOT_ROOM if dots else 0.0)
    cap = cap_height_mm(size_pt)
    y = low + (box.y1 - RIM - low - cap + _UNDER) / 2.0
    marks: list[Mark] = [Text(box.center[0], y, sign, size_pt, role, id, anchor="middle")]
    if line:
        half = text_width_mm(sign, size_pt) / 2.0
        under = Path.line(
            (box.center[0] - half, y - _UNDER + 0.6), (box.center[0] + half, y - _UNDER + 0.6)
        )
        marks.append(Stroke((under,), GROUND + 0.2, role, id, cap="butt"))
    if dots:
        count = int(sign)
        pitch = min(_DOT_PITCH, (box.width - _rim(box)) / _MOST_DOTS)
        first, y0 = box.center[0] - pitch * (count - 1) / 2.0, box.y0 + RIM + DOT / 2.0 + 1.0
        radius = DOT / 2.0 * pitch / _DOT_PITCH
        spots = tuple(Path.circle((first + pitch * k, y0), radius) for k in range(count))
        marks.append(Fill(spots, role, id))
    return marks


def sign_card(
    box: BBox, sign: str, size_pt: float, id: str, *, dots: bool, line: bool
) -> list[Mark]:
    """A loose card with a numeral or letter."""
    paper = face(box, None, id=id)
    return [*paper, *sign_marks(box, sign, size_pt, Role.CARD, id, dots=dots, line=line)]


def size_card(
    box: BBox, picture: Picture, longest: float, id: str, options: Options, *, ground: bool
) -> list[Mark]:
    """A loose card with a picture in one of its sizes."""
    place = stood(picture, longest, box, options, ground=ground)
    marks: list[Mark] = [*face(box, None, id=id), dataclasses.replace(place, id=id)]
    if ground:
        marks.append(ground_line(box, Role.CARD, id))
    return marks
