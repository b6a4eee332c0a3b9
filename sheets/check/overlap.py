"""Marks of a page that touch although they are not meant to: text, lines, bars, arrows, pictures.

What is printed is compared: lines with their width, areas with their edge, text by a box from the
font's metrics. A mark touches another if their ink comes closer than 0.05 mm. Meant to touch are

- marks of one id, and one whose id begins with the other's (a bar and its ticks);
- lines to cut, fold or tear along, the ways in to them, and the straight lines an adult cuts:
  their gaps have limits of their own;
- a guide whose middle lies on a line it is for: a dot, a mark where to stop, the mouth of a way in;
- what lies wholly on an area, or along its edge: a picture on its card, hatching, a frame;
- a drawing and the areas and hatching within it, in one role, and these among themselves;
- boxes of things and of places that share a straight wall.

White is paper, and so is a guide in the tint of a lane: it opens the lane's edge.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from shapes.affine import Affine, Point
from shapes.errors import InputError
from shapes.path import BBox, Line, Path
from shapes.segments import is_inside
from sheets.check.distances import (
    box_gap,
    drawn_parts,
    ink_box,
    inked,
    is_near,
    points_of,
    segment_gap,
)
from sheets.check.known import known_ink_distance
from sheets.page.model import WHITE, Fill, Mark, Place, Role, Stroke, Text

NEAR_MM = 0.05
MOST_TOUCHING = 500
"""Pairs that are told: nobody reads more."""
MOST_NEIGHBOURS = 100_000
"""Pairs whose boxes meet that are looked at: as many as 450 marks on one place have."""
_FEW = 50_000  # pairs of segments up to which plain Python is quicker than loading shapely
_MANY = 1000  # pairs of pieces of which those that come near are found first
_LINES = (Role.CUT, Role.ENTRY, Role.FOLD)

Segment = tuple[Point, Point]


@dataclass(slots=True)
class _Piece:
    """A line of some half width that ends round, or an area's edge, with the box of its ink.

    A path is flattened only when a neighbour is near.
    """

    half: float
    area: bool
    box: BBox
    path: Path | None = None
    at: Affine = field(default_factory=Affine)
    known: tuple[Point, ...] = ()

    @property
    def chain(self) -> tuple[Point, ...]:
        if not self.known and self.path is not None:
            points = points_of(self.path, self.at)
            ring = self.area and points[0] != points[-1]
            self.known = (*points, points[0]) if ring else tuple(points)
        return self.known


@dataclass(slots=True)
class _Inked:
    """A mark with the box of its ink; its pieces are made when a neighbour is near."""

    mark: Mark
    box: BBox
    known: list[_Piece] = field(default_factory=list)

    def pieces(self) -> list[_Piece]:
        if not self.known:
            self.known = _pieces(self.mark, self.box)
        return self.known


def touching(marks: Sequence[Mark]) -> list[tuple[Mark, Mark]]:
    """The pairs of marks that touch and are not meant to, in the order of the page.

    At most :data:`MOST_TOUCHING` of them.

    Raises:
        InputError: more marks lie over one another than can be compared.
    """
    found: list[tuple[int, int, Mark, Mark]] = []
    inked = _inked(marks)
    drawings = [one for one in inked if isinstance(one.mark, Place)]
    for count, (i, j, a, b) in enumerate(_neighbours(inked)):
        if count == MOST_NEIGHBOURS:
            raise InputError(
                f"more than {MOST_NEIGHBOURS:,} pairs of marks lie over one another",
                fix="leave away what is not to be measured",
            )
        if len(found) == MOST_TOUCHING:
            break
        if _meant(a, b) or _known_apart(a, b) or _in_one_drawing(a, b, drawings):
            continue
        if _touch(a, b) and not (_lies_on(a, b) or _lies_on(b, a)):
            found.append((min(i, j), max(i, j), *((a.mark, b.mark) if i < j else (b.mark, a.mark))))
    return [(a, b) for _, _, a, b in sorted(found, key=lambda row: row[:2])]


def _inked(marks: Sequence[Mark]) -> list[_Inked]:
    tints = {m.lane.tint for m in marks if isinstance(m, Stroke) and m.lane is not None}
    return [
        _Inked(mark, box)
        for mark in marks
        if not _is_paper(mark, tints) and (box := ink_box(mark)) is not None
    ]


def _is_paper(mark: Mark, tints: Collection[str]) -> bool:
    if isinstance(mark, Fill):
        return mark.colour == WHITE
    if not isinstance(mark, Stroke) or mark.lane is not None:
        return False
    return mark.colour == WHITE or (mark.role is Role.GUIDE and mark.colour in tints)


def _neighbours(inked: Sequence[_Inked]) -> Iterator[tuple[int, int, _Inked, _Inked]]:
    """Pairs whose boxes meet, found by a sweep from left to right."""
    order = sorted(range(len(inked)), key=lambda i: inked[i].box.x0)
    open_: list[int] = []
    for i in order:
        box = inked[i].box
        open_ = [j for j in open_ if inked[j].box.x1 + NEAR_MM > box.x0]
        for j in open_:
            other = inked[j].box
            if other.y0 < box.y1 + NEAR_MM and box.y0 < other.y1 + NEAR_MM:
                yield i, j, inked[i], inked[j]
        open_.append(i)


# --- what is meant to touch -----------------------------------------------------------------------


def _meant(a: _Inked, b: _Inked) -> bool:
    return (
        _one_thing(a.mark, b.mark)
        or (_is_cut(a.mark) and _is_cut(b.mark))
        or _guides(a, b)
        or _guides(b, a)
        or _share_walls(a, b)
    )


def _known_apart(a: _Inked, b: _Inked) -> bool:
    """Whether the distance of a picture from a stored outline is known, and is enough."""
    picture, line = (a.mark, b.mark) if isinstance(a.mark, Place) else (b.mark, a.mark)
    if not isinstance(picture, Place) or not isinstance(line, Stroke) or line.role is not Role.CUT:
        return False
    distances = [known_ink_distance(picture, path) for path in line.paths]
    return all(gap is not None and gap > line.width / 2.0 + NEAR_MM for gap in distances)


def _one_thing(a: Mark, b: Mark) -> bool:
    if not a.id or not b.id:
        return False
    short, long = sorted((a.id, b.id), key=len)
    return short == long or (long.startswith(f"{short}-") and Role.GUIDE not in (a.role, b.role))


def _is_cut(mark: Mark) -> bool:
    return isinstance(mark, Stroke) and (mark.role in _LINES or _is_adult_cut(mark))


def _is_adult_cut(mark: Stroke) -> bool:
    return mark.role is Role.ADULT and all(_is_straight(path) for path in mark.paths)


def _guides(guide: _Inked, line: _Inked) -> bool:
    """Whether a guide lies on the line that it is for."""
    mark = line.mark
    if guide.mark.role is not Role.GUIDE or not isinstance(mark, Stroke):
        return False
    if mark.role not in (*_LINES, Role.TRACE):
        return False
    return any(is_near(guide.box.center, path, mark.width / 2.0) for path in mark.paths)


def _lies_on(a: _Inked, b: _Inked) -> bool:
    """Whether a mark lies wholly on an area, or along its edge."""
    if not isinstance(b.mark, Fill):
        return False
    reach = NEAR_MM + (a.mark.width if isinstance(a.mark, Stroke) else 0.0)
    if not b.box.grown(reach).contains(a.box):
        return False
    return all(
        any(_inside(point, area.chain) for area in b.pieces())
        or any(is_near(point, path, reach) for path in b.mark.paths)
        for piece in a.pieces()
        for point in piece.chain
    )


def _in_one_drawing(a: _Inked, b: _Inked, drawings: Sequence[_Inked]) -> bool:
    """Whether both are a drawing or what it encloses: areas of its colouring, and hatching."""
    role = a.mark.role
    if b.mark.role is not role or isinstance(a.mark, Text) or isinstance(b.mark, Text):
        return False
    if isinstance(a.mark, Place) and isinstance(b.mark, Place):
        return False
    return any(
        one.mark.role is role
        and one.box.contains(a.box, NEAR_MM)
        and one.box.contains(b.box, NEAR_MM)
        for one in drawings
    )


def _share_walls(a: _Inked, b: _Inked) -> bool:
    """Boxes side by side: they overlap by no more than their walls."""
    one, other = a.mark, b.mark
    if not (isinstance(one, Stroke) and isinstance(other, Stroke)):
        return False
    if not (_is_box(one) and _is_box(other)):
        return False
    wide = min(a.box.x1, b.box.x1) - max(a.box.x0, b.box.x0)
    high = min(a.box.y1, b.box.y1) - max(a.box.y0, b.box.y0)
    return min(wide, high) <= max(one.width, other.width) + NEAR_MM


def _is_box(mark: Stroke) -> bool:
    """Frames of things and places; outlines to cut or trace share nothing."""
    return mark.role not in (*_LINES, Role.TRACE) and all(
        path.closed
        and all(
            isinstance(s, Line) and (s.start[0] == s.end[0] or s.start[1] == s.end[1])
            for s in path.segments
        )
        for path in mark.paths
    )


# --- what touches ---------------------------------------------------------------------------------


def _touch(a: _Inked, b: _Inked) -> bool:
    pairs = (
        (p, q)
        for p in a.pieces()
        if box_gap(p.box, b.box) <= NEAR_MM
        for q in b.pieces()
        if box_gap(p.box, q.box) <= NEAR_MM
    )
    while some := list(itertools.islice(pairs, _MANY)):
        if len(some) == _MANY:
            some = _perhaps(some)
        if any(_pieces_touch(p, q) for p, q in some):
            return True
    return False


def _perhaps(pairs: Sequence[tuple[_Piece, _Piece]]) -> list[tuple[_Piece, _Piece]]:
    """Those of many pairs that come near as the geometry library finds it, or one of which may lie
    within the other's area."""
    import numpy as np
    import shapely

    pieces = {id(piece): piece for pair in pairs for piece in pair}
    which = np.repeat(np.arange(len(pieces)), [len(each.chain) for each in pieces.values()])
    points = np.array([point for each in pieces.values() for point in each.chain])
    lines = dict(zip(pieces, shapely.linestrings(points, indices=which), strict=True))
    # The longer one of each pair is looked up in, its segments sorted beforehand.
    ordered = [sorted(pair, key=lambda piece: -len(piece.chain)) for pair in pairs]
    long = np.array([lines[id(piece)] for piece, _ in ordered])
    shapely.prepare(long)
    reach = np.array([p.half + q.half + NEAR_MM for p, q in pairs]) + NEAR_MM
    near = shapely.dwithin(long, np.array([lines[id(piece)] for _, piece in ordered]), reach)
    return [
        (p, q)
        for (p, q), close in zip(pairs, near, strict=True)
        if close or _may_hold(p, q) or _may_hold(q, p)
    ]


def _may_hold(area: _Piece, other: _Piece) -> bool:
    x, y = other.chain[0]
    return area.area and area.box.contains(BBox(x, y, x, y))


def _pieces_touch(p: _Piece, q: _Piece) -> bool:
    reach = p.half + q.half + NEAR_MM
    window = _meeting(p.box, q.box).grown(reach)
    first, second = _within(p.chain, window), _within(q.chain, window)
    if len(first) * len(second) > _FEW:
        near = _come_near(first, second, reach)
    else:
        near = any(_segments_near(s, t, reach) for s in first for t in second)
    if near:
        return True
    return (p.area and _inside(q.chain[0], p.chain)) or (q.area and _inside(p.chain[0], q.chain))


def _come_near(first: list[Segment], second: list[Segment], reach: float) -> bool:
    """The same for many segments, with the geometry library's index of them."""
    import shapely

    one, other = (shapely.multilinestrings(segments) for segments in (first, second))
    return bool(shapely.distance(one, other) < reach)


def _segments_near(s: Segment, t: Segment, reach: float) -> bool:
    (a, b), (c, d) = s, t
    if max(a[0], b[0]) + reach < min(c[0], d[0]) or max(c[0], d[0]) + reach < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) + reach < min(c[1], d[1]) or max(c[1], d[1]) + reach < min(a[1], b[1]):
        return False
    return segment_gap(s, t) < reach


def _meeting(a: BBox, b: BBox) -> BBox:
    """Where two boxes meet; turned inside out by a gap between them, which growing makes up for."""
    return BBox(max(a.x0, b.x0), max(a.y0, b.y0), min(a.x1, b.x1), min(a.y1, b.y1))


def _within(chain: Sequence[Point], window: BBox) -> list[Segment]:
    """The segments whose boxes reach into a window."""
    return [
        (a, b)
        for a, b in itertools.pairwise(chain)
        if max(a[0], b[0]) >= window.x0
        and min(a[0], b[0]) <= window.x1
        and max(a[1], b[1]) >= window.y0
        and min(a[1], b[1]) <= window.y1
    ]


def _inside(point: Point, ring: Sequence[Point]) -> bool:
    return is_inside(point, itertools.pairwise(ring))


# --- what is printed ------------------------------------------------------------------------------


def _pieces(mark: Mark, box: BBox) -> list[_Piece]:
    if isinstance(mark, Text):
        low, high = (box.x0, box.y0), (box.x1, box.y1)
        around_text = (low, (box.x1, box.y0), high, (box.x0, box.y1), low)
        return [_Piece(0.0, True, box, known=around_text)]
    found: list[_Piece] = []
    for part, at in drawn_parts(mark):
        half = part.width * at.scale / 2.0 if isinstance(part, Stroke) else 0.0
        if isinstance(part, Fill) and part.colour == WHITE:
            continue
        for path in part.paths:
            around = path.bbox.transformed(at).grown(half)
            if isinstance(part, Fill) or _is_round(part, path):
                found.append(_Piece(half, isinstance(part, Fill), around, path, at))
                continue
            chain, rings = inked(part, path, at)
            if chain is not None:
                found.append(_Piece(half, False, around, known=chain))
            for ring in rings:
                edge = (*ring, ring[0])
                found.append(_Piece(0.0, True, BBox.around(edge), known=edge))
    return found


def _is_round(stroke: Stroke, path: Path) -> bool:
    return stroke.join == "round" and (path.closed or stroke.cap == "round")


def _is_straight(path: Path) -> bool:
    return len(path.segments) == 1 and isinstance(path.segments[0], Line)
