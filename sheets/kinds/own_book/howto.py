"""Four drawn steps that tell the adult how the printed paper becomes a book; mm, y up."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Sequence

from shapes.affine import Affine, Point
from shapes.path import Arc, BBox, Path
from sheets.kinds.own_book.impose import BOTTOM, TOP
from sheets.page.frame import wrap
from sheets.page.marks import transform_mark
from sheets.page.model import ADULT_GREY, Mark, Role, Stroke, Text

_WIDE, _HIGH = 84.0, 62.0
"""Of a drawing; its words stand below."""
_GAP = 8.0
_WORDS_PT, _NUMBER_PT, _PAGE_PT = 11.0, 18.0, 11.0
_LEADING = 5.0
_THIN, _THICK = 0.5, 1.4
_CREASE = (2.0, 1.6)

FOLD_WORDS = (
    "Fold the sheet on every dashed line, sharply, and open it again.",
    "Fold the short edges together. Cut along the middle line from the fold to the next crease.",
    "Open it and fold it lengthwise, print outside. Push the ends together: the slit opens.",
    "Push on until four wings stand out; lay them round into a book, page 1 in front.",
)
HALF_WORDS = (
    "Print on both sides, turned over on the short edge. Behind page 1 is page 2.",
    "Fold each sheet down the middle, the lower number in front.",
    "Lay the sheets in each other in the order of their pages, page 1 outside.",
    "An adult staples 7 mm beside the fold, points outward under tape, or punches two holes.",
)
PUNCH_WORDS = "An adult punches two holes beside the fold; a folded strip of paper goes through."


def fold_steps(area: BBox) -> list[Mark]:
    """How a sheet becomes a book of eight pages."""
    return _steps(area, FOLD_WORDS, (_creased, _slit, _opened, _wrapped))


def half_steps(area: BBox, pages: int, *, staples: bool) -> list[Mark]:
    """How half sheets become a book of so many pages."""
    words = HALF_WORDS if staples else (*HALF_WORDS[:-1], PUNCH_WORDS)
    bound = _stapled if staples else _punched
    return _steps(area, words, (lambda: _sides(pages), _half_folded, _nested, bound))


def _steps(
    area: BBox, words: Sequence[str], drawings: Sequence[Callable[[], list[Mark]]]
) -> list[Mark]:
    """Two by two, read like text; marks of a step share its id."""
    wide, high = (area.width - _GAP) / 2.0, (area.height - _GAP) / 2.0
    marks: list[Mark] = []
    for i, (text, drawing) in enumerate(zip(words, drawings, strict=True)):
        row, column = divmod(i, 2)
        x, top = area.x0 + column * (wide + _GAP), area.y1 - row * (high + _GAP)
        name = f"step-{i + 1}"
        at = Affine.translation(x, top - 8.0 - _HIGH)
        marks.append(Text(x, top - 6.0, str(i + 1), _NUMBER_PT, Role.ADULT, name))
        marks += [_named(transform_mark(mark, at), name) for mark in drawing()]
        for k, line in enumerate(wrap(text, _WORDS_PT, wide)):
            y = top - 8.0 - _HIGH - 5.0 - _LEADING * k
            marks.append(Text(x, y, line, _WORDS_PT, Role.ADULT, name, ADULT_GREY))
    return marks


def _named(mark: Mark, name: str) -> Mark:
    return dataclasses.replace(mark, id=name)


# --- strokes --------------------------------------------------------------------------------------


def _way(*points: Point, width: float = _THIN, closed: bool = False) -> Stroke:
    return Stroke((Path.from_points(points, closed=closed),), width, Role.ADULT)


def _box(x: float, y: float, wide: float, high: float) -> Stroke:
    return _way((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), closed=True)


def _crease(start: Point, end: Point) -> Stroke:
    return Stroke((Path.line(start, end),), _THIN, Role.ADULT, dash=_CREASE, cap="butt")


def _arrow(*points: Point) -> list[Mark]:
    """A straight or bent line with a head."""
    (ax, ay), (tx, ty) = points[-2], points[-1]
    heading = math.atan2(ty - ay, tx - ax)
    barbs = [
        (tx - 3.0 * math.cos(heading + turn), ty - 3.0 * math.sin(heading + turn))
        for turn in (0.5, -0.5)
    ]
    return [_way(*points, width=0.8), _way(barbs[0], (tx, ty), barbs[1], width=0.8)]


def _page(x: float, y: float, number: int, turned: bool = False) -> Text:
    shift = 1.4 if turned else -1.4  # half the height of a digit
    return Text(
        x,
        y + shift,
        str(number),
        _PAGE_PT,
        Role.ADULT,
        anchor="middle",
        turn_deg=180.0 if turned else 0.0,
    )


# --- the folded sheet -----------------------------------------------------------------------------


def _creased() -> list[Mark]:
    """The whole sheet with its creases and page numbers, as it is printed."""
    x, y, w, h = 6.0, 4.0, 18.0, 27.0
    marks: list[Mark] = [_box(x, y, 4 * w, 2 * h)]
    marks += [_crease((x + k * w, y), (x + k * w, y + 2 * h)) for k in (1, 2, 3)]
    marks.append(_crease((x, y + h), (x + 4 * w, y + h)))
    for k, (low, high) in enumerate(zip(BOTTOM, TOP, strict=True)):
        middle = x + (k + 0.5) * w
        marks += [_page(middle, y + h / 2, low), _page(middle, y + 1.5 * h, high, turned=True)]
    return marks


def _slit() -> list[Mark]:
    """Folded in half, with scissors at the fold."""
    x, y, w, h = 34.0, 4.0, 18.0, 27.0
    blades = [_way((14.0, y + h + s * 3.0), (32.0, y + h - s * 2.2)) for s in (1, -1)]
    rings: list[Mark] = [
        Stroke((Path.circle((11.0, y + h + s * 5.2), 3.4),), _THIN, Role.ADULT) for s in (1, -1)
    ]
    return [
        _box(x, y, 2 * w, 2 * h),
        _way((x, y), (x, y + 2 * h), width=_THICK),
        _crease((x + w, y), (x + w, y + 2 * h)),
        _crease((x + w, y + h), (x + 2 * w, y + h)),
        _way((x, y + h), (x + w, y + h), width=_THICK),
        *blades,
        *rings,
    ]


def _opened() -> list[Mark]:
    """Standing on the table, folded lengthwise, the slit opened by pushing from both ends."""
    w, h, deep, top = 14.0, 27.0, 7.0, 46.0
    a, b, c, d, e = (14.0 + k * w for k in range(5))
    ridge = [(a, top), (b, top), (c, top - deep), (d, top), (e, top)]
    foot = [(x, y - h) for x, y in reversed(ridge)]
    return [
        _way(*ridge, *foot, closed=True),
        *(_way((x, y), (x, y - h)) for x, y in ridge[1:4]),
        _way((b, top), (c, top + deep), (d, top)),
        *_arrow((1.0, top - h / 2), (11.0, top - h / 2)),
        *_arrow((83.0, top - h / 2), (73.0, top - h / 2)),
    ]


def _wrapped() -> list[Mark]:
    """Four wings seen from above, and the book they become."""
    x, y, long = 20.0, 31.0, 15.0
    wings = [
        _way((x - long, y), (x + long, y), width=_THICK),
        _way((x, y - long), (x, y + long), width=_THICK),
    ]
    turn = Stroke((Path((Arc((x, y), 11.0, 70.0, -50.0),)),), 0.8, Role.ADULT)
    tip = (x + 11.0 * math.cos(math.radians(20.0)), y + 11.0 * math.sin(math.radians(20.0)))
    barbs = _way((tip[0] - 2.6, tip[1] + 1.6), tip, (tip[0] + 1.8, tip[1] + 2.6), width=0.8)
    return [*wings, turn, barbs, *_arrow((39.0, y), (47.0, y)), *_book(52.0, 11.0)]


def _book(x: float, y: float, wide: float = 26.0, high: float = 40.0) -> list[Mark]:
    """A closed book from the front, its spine on the left."""
    leaves = [
        _way(
            (x + wide, y + 1.2 * k),
            (x + wide + 1.2 * k, y + 1.2 * k),
            (x + wide + 1.2 * k, y + high + 1.2 * k),
            (x + 1.2 * k, y + high + 1.2 * k),
            (x + 1.2 * k, y + high),
        )
        for k in (1, 2, 3)
    ]
    return [
        _box(x, y, wide, high),
        _way((x, y), (x, y + high), width=_THICK),
        *leaves,
        _page(x + wide / 2, y + high / 2, 1),
    ]


# --- half sheets ----------------------------------------------------------------------------------


def _sides(pages: int) -> list[Mark]:
    """Front and back of the outermost sheet."""
    marks: list[Mark] = []
    for x, (left, right) in ((2.0, (pages, 1)), (47.0, (2, pages - 1))):
        marks += [
            _box(x, 18.0, 35.0, 26.0),
            _crease((x + 17.5, 18.0), (x + 17.5, 44.0)),
            _page(x + 8.75, 31.0, left),
            _page(x + 26.25, 31.0, right),
        ]
    return [*marks, *_arrow((38.0, 52.0), (42.0, 53.5), (46.0, 52.0))]


def _half_folded() -> list[Mark]:
    """A sheet half closed, its fold towards the reader's left."""
    return [
        _way((30.0, 6.0), (58.0, 6.0), (58.0, 46.0), (30.0, 46.0), closed=True),
        _way((30.0, 46.0), (48.0, 57.0), (48.0, 46.0)),
        _way((30.0, 6.0), (30.0, 46.0), width=_THICK),
        *_arrow((60.0, 57.0), (66.0, 53.0), (66.0, 46.0)),
    ]


def _nested() -> list[Mark]:
    """Two folded sheets from above, one on its way into the other."""
    return [
        _way((46.0, 52.0), (10.0, 31.0), (46.0, 10.0)),
        _way((74.0, 44.0), (52.0, 31.0), (74.0, 18.0)),
        *_arrow((46.0, 31.0), (26.0, 31.0)),
    ]


def _stapled() -> list[Mark]:
    """Staples beside the fold, or holes."""
    staples = [_way((12.0, y), (12.0, y + 6.0), width=1.0) for y in (15.0, 35.0)]
    return [*_book(8.0, 8.0), *staples, *_punched(48.0)]


def _punched(x: float = 28.0) -> list[Mark]:
    holes = [Stroke((Path.circle((x + 5.5, y), 1.6),), _THIN, Role.ADULT) for y in (18.0, 38.0)]
    return [*_book(x, 8.0), *holes]
