"""Reads any SVG into a page of marks, so that it can be measured like a page made here.

In a file written here every mark says its role, and the page comes back as it was. In a drawing
from elsewhere lines are taken for cut lines and filled areas for the picture; what was assumed is
listed in the notes and has to be shown with the findings.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shapes.affine import Affine, Point
from shapes.errors import GlyphError
from shapes.letters.font import check_text, text_width_mm
from shapes.letters.font import outlines as letters
from shapes.path import BBox, Path
from shapes.svg.read import Drawing, Shape, read_svg
from shapes.svg.values import MM_PER_PX
from sheets.check.where import ELEMENT
from sheets.page.marks import mark_bbox
from sheets.page.model import (
    MITER_LIMIT,
    WHITE,
    Anchor,
    Artwork,
    Fill,
    Lane,
    Mark,
    Page,
    Paper,
    Place,
    Role,
    Stroke,
    Text,
)

# Attributes that carry a mark's own fields; all others are the mark's further data.
_FIELDS = {"role", "id", "item", "width", "lane", "artwork", "text", "size-pt", "anchor"}


@dataclass(frozen=True, slots=True)
class Audited:
    """A page read from a file, and what had to be assumed about it, one sentence each."""

    page: Page
    notes: tuple[str, ...]


def page_from_svg(data: bytes, where: str) -> Audited:
    """The marks of an SVG file in mm.

    Args:
        data: the bytes of the file.
        where: file name for messages.

    Raises:
        PictureError: not a plain SVG drawing; see :func:`shapes.svg.read.read_svg`.
    """
    drawing = read_svg(data, where)
    notes: list[str] = []
    scale = drawing.mm_per_unit
    if scale is None:
        scale = MM_PER_PX
        notes.append("no size in mm or inches in the file: 96 units taken as one inch")
    if drawing.ignored:
        notes.append(f"left out, not measured: {', '.join(drawing.ignored)}")
    at = Affine.scaling(scale)
    shapes = [_Sized(shape, at) for shape in drawing.shapes]
    known = [shape for shape in shapes if shape.role is not None]
    foreign = [shape for shape in shapes if shape.role is None]
    marks = [*_own_marks(known), *_foreign_marks(foreign, notes)]
    return Audited(Page(_paper(drawing, shapes, scale, notes), tuple(marks)), tuple(notes))


def _paper(drawing: Drawing, shapes: Sequence[_Sized], scale: float, notes: list[str]) -> Paper:
    if drawing.width_mm is not None and drawing.height_mm is not None:
        return Paper("file", round(drawing.width_mm, 4), round(drawing.height_mm, 4))
    if drawing.view is not None:
        return Paper("file", drawing.view.width * scale, drawing.view.height * scale)
    box = BBox.around(p for s in shapes for path in s.paths for p in _corners(path.bbox))
    notes.append("no page size in the file: the paper ends where the drawing ends")
    return Paper("file", box.x1, box.y1)


def _corners(box: BBox) -> tuple[Point, Point]:
    return (box.x0, box.y0), (box.x1, box.y1)


class _Sized:
    """One shape of the file in mm, with the attributes that say which mark it is part of."""

    def __init__(self, shape: Shape, at: Affine) -> None:
        self.shape = shape
        self.paths = tuple(path.transformed(at) for path in shape.paths)
        self.width = shape.stroke_width * at.scale
        self.dash = tuple(length * at.scale for length in shape.dash)
        self.facts = dict(shape.data)
        try:
            self.role: Role | None = Role(self.facts.get("role", ""))
        except ValueError:
            self.role = None

    @property
    def id(self) -> str:
        return self.facts.get("id", "")

    @property
    def item(self) -> int:
        text = self.facts.get("item", "")
        return int(text) if re.fullmatch("[0-9]{1,4}", text) else 0

    @property
    def data(self) -> tuple[tuple[str, str], ...]:
        facts = tuple((k, v) for k, v in self.facts.items() if k not in _FIELDS)
        # A mark from elsewhere can only be told by the id of its element.
        return facts if self.role or not self.shape.id else (*facts, (ELEMENT, self.shape.id))

    @property
    def mark_key(self) -> tuple[str, ...]:
        """The same for neighbouring shapes that are drawn for one mark."""
        if "artwork" in self.facts or "text" in self.facts:
            names = ("role", "id", "artwork", "text", "size-pt")
            return tuple(self.facts.get(name, "") for name in names)
        return ()

    def stroke(self, role: Role, lane: Lane | None = None, width: float | None = None) -> Stroke:
        return Stroke(
            self.paths,
            self.width if width is None else width,
            role,
            id=self.id,
            colour=self.shape.stroke or WHITE,
            dash=self.dash,
            lane=lane,
            cap=self.shape.cap,
            join=self.shape.join,
            miter_limit=self.shape.miter_limit if self.shape.join == "miter" else MITER_LIMIT,
            data=self.data,
            item=self.item,
        )

    def fill(self, role: Role) -> Fill:
        return Fill(
            self.paths,
            role,
            id=self.id,
            colour=self.shape.fill or WHITE,
            even_odd=self.shape.even_odd,
            data=self.data,
            item=self.item,
        )

    def marks(self, role: Role) -> Iterator[Stroke | Fill]:
        if self.shape.fill is not None:
            yield self.fill(role)
        if self.shape.stroke is not None:
            yield self.stroke(role)


# --- files written here ---------------------------------------------------------------------------


def _own_marks(shapes: Iterable[_Sized]) -> Iterator[Mark]:
    """Marks of shapes that have a role; shapes of one artwork, text or lane become one mark."""
    number = 0
    for key, group in itertools.groupby(shapes, key=lambda shape: shape.mark_key):
        parts = list(group)
        role = parts[0].role or Role.ART
        if key and "text" in parts[0].facts:
            yield from _text(parts, role)
        elif key:
            number += 1
            yield _place(parts, role, number)
        else:
            yield from _plain(parts)


def _plain(shapes: Sequence[_Sized]) -> Iterator[Mark]:
    waiting: tuple[_Sized, float] | None = None  # a lane's dark line, before its tint is seen
    for shape in shapes:
        role = shape.role or Role.CUT
        edge = _number(shape.facts.get("lane", ""))
        if waiting is not None:
            outer, width = waiting
            tint = shape.shape.stroke
            if edge is not None and tint is not None and outer.paths == shape.paths:
                yield outer.stroke(outer.role or Role.CUT, Lane(width, tint))
                waiting = None
                continue
            yield outer.stroke(outer.role or Role.CUT, Lane(width))
            waiting = None
        if edge is not None and shape.shape.stroke is not None:
            waiting = (shape, edge)
        else:
            yield from shape.marks(role)
    if waiting is not None:
        outer, width = waiting
        yield outer.stroke(outer.role or Role.CUT, Lane(width))


def _place(parts: Sequence[_Sized], role: Role, number: int) -> Place:
    """An artwork in its place on the page: its own mm are page mm."""
    marks = tuple(mark for part in parts for mark in part.marks(Role.ART))
    box = mark_bbox(marks[0])
    for mark in marks[1:]:
        box = box.union(mark_bbox(mark))
    name = f"{parts[0].facts.get('artwork', 'art')}-{number}"
    return Place(Artwork(name, marks, box), Affine(), role, parts[0].id, item=parts[0].item)


def _text(parts: Sequence[_Sized], role: Role) -> Iterator[Mark]:
    """A line of text, found again from the outlines of its letters; else those outlines."""
    facts = parts[0].facts
    size = _number(facts.get("size-pt", ""))
    at = _baseline(facts["text"], parts[0].paths)
    if size is None or at is None:
        for part in parts:
            yield from part.marks(role)
        return
    anchor: Anchor = "start"
    share = 0.0
    if facts.get("anchor") == "middle":
        anchor, share = "middle", 0.5
    elif facts.get("anchor") == "end":
        anchor, share = "end", 1.0
    turn = math.atan2(at.b, at.a)
    along = share * text_width_mm(facts["text"], size)
    yield Text(
        round(at.e + along * math.cos(turn), 3),
        round(at.f + along * math.sin(turn), 3),
        facts["text"],
        size,
        role,
        id=parts[0].id,
        colour=parts[0].shape.fill or WHITE,
        anchor=anchor,
        turn_deg=round(math.degrees(turn), 2) + 0.0,
        item=parts[0].item,
    )


def _baseline(text: str, outlines: Sequence[Path]) -> Affine | None:
    """From font units at the start of the baseline to page mm, by the first letter with ink."""
    try:
        letter = next(letters(check_text(text)), None)
    except GlyphError:
        return None
    if letter is None:
        return None
    first, second = (
        complex(segment.start[0] + letter.x, segment.start[1] + letter.y)
        for segment in letter.paths[0].segments[:2]
    )
    seen = outlines[0].segments[0]
    # Two points fix a turn, a scale and a move: z -> a z + b in complex numbers.
    p, q = first, second
    u, v = complex(*seen.start), complex(*outlines[0].segments[1].start)
    if p == q or u == v:
        return None
    a = (v - u) / (q - p)
    b = u - a * p
    return Affine(a.real, a.imag, -a.imag, a.real, b.real, b.imag)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


# --- drawings from elsewhere ----------------------------------------------------------------------


def _foreign_marks(shapes: Sequence[_Sized], notes: list[str]) -> list[Mark]:
    marks: list[Mark] = []
    unseen = both = 0
    for shape in shapes:
        lines = shape.shape.stroke not in (None, WHITE)
        area = shape.shape.fill not in (None, WHITE)
        if lines:
            marks.append(shape.stroke(Role.CUT))
            both += area
        elif area:
            marks.append(shape.fill(Role.ART))
        else:
            unseen += 1
    strokes = sum(isinstance(mark, Stroke) for mark in marks)
    if strokes:
        notes.append(f"lines without a known role, taken as lines to cut: {strokes}")
    if len(marks) > strokes:
        notes.append(
            f"filled areas without a known role, taken as the picture: {len(marks) - strokes}"
        )
    if both:
        notes.append(f"filled areas with a line round them, of which only the line is used: {both}")
    if unseen:
        notes.append(f"white shapes left out: {unseen}")
    return marks
