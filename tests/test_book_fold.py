"""The books folded: the paper is taken through its folds and the pages are looked at in order.

Paper in mm, y up. A fold of a small piece is a map of the plane and whether the piece then lies
with its print up. The sizes of the panels are those of ISO 216 (from memory): an eighth of A4 is
A7, 74 x 105 mm, and a half of it A5, 148 x 210 mm, both rounded down to whole mm.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Affine, Point
from shapes.path import BBox
from sheets.kinds.own_book.impose import (
    BOTTOM,
    FOLD_CLEAR,
    SPINE_CLEAR,
    TOP,
    Panel,
    folded,
    sides,
    slit,
)
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.model import Paper

PAPERS = [LETTER.turned(), A4.turned()]
NEAR = 1e-9

Vector = tuple[float, float, float]


# --- a sheet with a slit, folded in space ---------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Leaf:
    """A panel standing on the table as part of the book.

    Args:
        corners: where its corners are, in the order lower left, lower right, upper right, upper
            left of the upright page as it is printed.
        outward: the way its printed side looks.
    """

    page: int
    corners: tuple[Vector, Vector, Vector, Vector]
    outward: Vector


def star(paper: Paper, panels: tuple[Panel, ...]) -> list[Leaf]:
    """The sheet folded lengthwise, standing on its long edges, pushed to a cross.

    The two long edges of the paper are at the foot, the middle line is on top. The short ends of
    the sheet lie along the x axis, at its left and right; the slit, two columns long, has opened to
    both sides until its own two middle creases lie on the y axis: four wings, each of two layers.
    """
    w, h = paper.width / 4.0, paper.height / 2.0
    # Along the lower row from left to right: from the left end to the middle, out to the front,
    # back to the middle, out to the right. The upper row does the same at the back.
    front: list[Point] = [(-w, 0.0), (0.0, 0.0), (0.0, -w), (0.0, 0.0), (w, 0.0)]
    back: list[Point] = [(x, -y) for x, y in front]
    leaves = []
    for panel in panels:
        column = round(panel.box.x0 / w)
        foot = back if panel.turned else front
        (ax, ay), (bx, by) = foot[column], foot[column + 1]

        def at(point: Point, a: Point = (ax, ay), b: Point = (bx, by), c: int = column) -> Vector:
            """A point of the paper in space: along the wing by x, up by its way from the edge."""
            t = point[0] / w - c
            up = point[1] if point[1] <= h + NEAR else 2.0 * h - point[1]
            return (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), up)

        own = [
            (0.0, 0.0),
            (panel.box.width, 0.0),
            (panel.box.width, panel.box.height),
            (0.0, panel.box.height),
        ]
        corners = tuple(at(panel.to_paper.apply(point)) for point in own)
        leaves.append(Leaf(panel.page, corners, outward(corners)))  # type: ignore[arg-type]
    return leaves


def outward(corners: tuple[Vector, ...]) -> Vector:
    """The way the print looks: it is read from where its corners run anticlockwise."""
    (ax, ay, az), (bx, by, bz), _, (dx, dy, dz) = corners
    u, v = (bx - ax, by - ay, bz - az), (dx - ax, dy - ay, dz - az)
    n = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    size = math.sqrt(sum(c * c for c in n))
    return (n[0] / size, n[1] / size, n[2] / size)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_the_folded_sheet_is_a_book_in_order_and_upright(paper: Paper) -> None:
    leaves = {leaf.page: leaf for leaf in star(paper, folded(paper))}
    assert sorted(leaves) == list(range(1, 9))
    high = paper.height / 2.0
    for leaf in leaves.values():
        low_left, low_right, up_right, up_left = leaf.corners
        assert (low_left[2], low_right[2]) == pytest.approx((0.0, 0.0))  # upright: feet down
        assert (up_left[2], up_right[2]) == pytest.approx((high, high))
        # The spine is where the wings meet: on the left of odd pages, on the right of even ones.
        inner = low_left if leaf.page % 2 else low_right
        outer = low_right if leaf.page % 2 else low_left
        assert inner == pytest.approx((0.0, 0.0, 0.0))
        assert math.hypot(outer[0], outer[1]) == pytest.approx(paper.width / 4.0)
    # A leaf is one wing: page 1 lies back to back with page 2, 3 with 4 and so on.
    for odd in (1, 3, 5, 7):
        a, b = leaves[odd], leaves[odd + 1]
        assert a.corners[1] == pytest.approx(b.corners[0])
        assert a.outward == pytest.approx(tuple(-c for c in b.outward))
    # Pages that face each other look into one quarter between two wings: 2 and 3, ... 8 and 1.
    for even in (2, 4, 6, 8):
        a, b = leaves[even], leaves[even % 8 + 1]
        across = tuple(p + q for p, q in zip(a.outward, b.outward, strict=True))
        middle = [(p + q) / 2.0 for p, q in zip(a.corners[0], b.corners[1], strict=True)]
        assert sum(p * q for p, q in zip(across, middle, strict=True)) > 0.0


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_folds_hold_what_belongs_together_and_only_the_slit_is_cut(paper: Paper) -> None:
    """Neighbours on the paper share both ends of their edge in space, but for those of the slit."""
    panels = folded(paper)
    spaces = {leaf.page: leaf for leaf in star(paper, panels)}
    torn: set[frozenset[int]] = set()
    joined: set[frozenset[int]] = set()
    for a, b in itertools.combinations(panels, 2):
        edge = shared_edge(a.box, b.box)
        if edge is None:
            continue
        apart = max(math.dist(in_space(a, spaces, end), in_space(b, spaces, end)) for end in edge)
        (torn if apart > NEAR else joined).add(frozenset((a.page, b.page)))
    assert torn == {frozenset((1, 6)), frozenset((2, 5))}
    start, end = slit(paper)
    cut = [p.box for p in panels if p.page in (1, 2)]
    assert start == pytest.approx((min(b.x0 for b in cut), cut[0].y1))
    assert end == pytest.approx((max(b.x1 for b in cut), cut[0].y1))
    assert {frozenset(pair) for pair in itertools.pairwise(range(1, 9))} <= joined
    assert frozenset((8, 1)) in joined


def shared_edge(a: BBox, b: BBox) -> tuple[Point, Point] | None:
    """The ends of the edge that two panels of the paper share; None if they share none."""
    x0, x1 = max(a.x0, b.x0), min(a.x1, b.x1)
    y0, y1 = max(a.y0, b.y0), min(a.y1, b.y1)
    if x1 - x0 < -NEAR or y1 - y0 < -NEAR or (x1 - x0 < NEAR) == (y1 - y0 < NEAR):
        return None
    return (x0, y0), (x1, y1)


def in_space(panel: Panel, leaves: dict[int, Leaf], point: Point) -> Vector:
    """Where a point of the paper lies as part of one panel."""
    x, y = inverse(panel.to_paper, point)
    a, b, _, d = leaves[panel.page].corners
    s, t = x / panel.box.width, y / panel.box.height
    one, two, three = (p + s * (q - p) + t * (r - p) for p, q, r in zip(a, b, d, strict=True))
    return one, two, three


def inverse(m: Affine, point: Point) -> Point:
    x, y = point[0] - m.e, point[1] - m.f
    return (m.d * x - m.c * y) / m.determinant, (m.a * y - m.b * x) / m.determinant


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_pages_in_another_order_make_no_book(
    paper: Paper,
) -> None:
    assert BOTTOM == (8, 1, 2, 3)
    assert TOP == (7, 6, 5, 4)
    for row in ((8, 1, 3, 2), (1, 2, 3, 8)):
        wrong = dict(zip(BOTTOM, row, strict=True))
        panels = tuple(
            Panel(wrong.get(p.page, p.page), p.box, p.room, p.turned) for p in folded(paper)
        )
        leaves = {leaf.page: leaf for leaf in star(paper, panels)}
        backs = [leaves[n].corners[1] == pytest.approx(leaves[n + 1].corners[0]) for n in (1, 3, 5)]
        assert not all(backs)


# --- half sheets ----------------------------------------------------------------------------------


def leafed(paper: Paper, pages: int) -> list[tuple[int, int]]:
    """(front, back) of every leaf as it comes when a stack of folded half sheets is leafed through.

    Each sheet is printed, turned over on its short edge (x -> width - x), folded down the middle
    with the back inside, and the sheets are laid in each other.
    """
    printed = sides(paper, pages)
    middle = paper.width / 2.0
    right, left = [], []
    for front, back in zip(printed[::2], printed[1::2], strict=True):
        behind = {}
        for panel in back:
            x = paper.width - (panel.box.x0 + panel.box.x1) / 2.0  # seen from the front
            behind["left" if x < middle else "right"] = panel.page
        for panel in front:
            x = (panel.box.x0 + panel.box.x1) / 2.0
            if x > middle:  # lies in front when the sheet is closed; its back is turned to next
                right.append((panel.page, behind["right"]))
            else:  # comes again at the end of the book: first its back, then its front
                left.append((behind["left"], panel.page))
    return [*right, *reversed(left)]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
@pytest.mark.parametrize("pages", range(4, 33, 4))
def test_half_sheets_are_a_book_in_order(paper: Paper, pages: int) -> None:
    order = [page for leaf in leafed(paper, pages) for page in leaf]
    assert order == list(range(1, pages + 1))
    assert len(sides(paper, pages)) == pages // 2
    # The usual formula of saddle imposition (common practice, no source), sheet i from 0.
    for i, (front, back) in enumerate(
        zip(sides(paper, pages)[::2], sides(paper, pages)[1::2], strict=True)
    ):
        assert [p.page for p in front] == [pages - 2 * i, 1 + 2 * i]
        assert [p.page for p in back] == [2 + 2 * i, pages - 1 - 2 * i]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_half_sheets_stand_upright_with_the_spine_inside(paper: Paper) -> None:
    for side in sides(paper, 32):
        for panel in side:
            assert not panel.turned
            spine = panel.box.x1 if panel.page % 2 == 0 else panel.box.x0
            assert spine == pytest.approx(paper.width / 2.0)


# --- sizes and rooms ------------------------------------------------------------------------------


def test_sizes_are_those_of_the_standards() -> None:
    eighth, half = folded(A4.turned())[0].box, sides(A4.turned(), 8)[0][0].box
    assert (math.floor(eighth.width), math.floor(eighth.height)) == (74, 105)  # A7
    assert (math.floor(half.width), math.floor(half.height)) == (148, 210)  # A5
    letter = folded(LETTER.turned())[0].box
    assert (letter.width, letter.height) == pytest.approx((69.85, 107.95))  # 2.75 x 4.25 in


@given(st.floats(200.0, 500.0), st.floats(200.0, 500.0))
def test_rooms_keep_from_edges_and_folds_and_are_of_one_size(width: float, height: float) -> None:
    paper = Paper("any", width, height)
    book = [panel for side in sides(paper, 8) for panel in side]
    for panels, inner in ((folded(paper), FOLD_CLEAR), (book, SPINE_CLEAR)):
        for panel in panels:
            assert panel.box.contains(panel.room)
            low = panel.box.grown(-(FOLD_CLEAR - 1e-6))
            assert low.contains(panel.room)
            assert panel.room.x0 >= MARGIN - NEAR
            assert panel.room.y0 >= MARGIN - NEAR
            assert panel.room.x1 <= width - MARGIN + NEAR
            assert panel.room.y1 <= height - MARGIN + NEAR
            near = min(abs(x - width / 2.0) for x in (panel.room.x0, panel.room.x1))
            assert near >= inner - 1e-6
            own = panel.own_room
            first = panels[0].own_room
            assert (own.width, own.height) == pytest.approx((first.width, first.height))
            low_left = panel.to_paper.apply((own.x0, own.y0))
            corner = (
                (panel.room.x1, panel.room.y1) if panel.turned else (panel.room.x0, panel.room.y0)
            )
            assert low_left == pytest.approx(corner)


def test_the_spine_has_room_for_punched_holes() -> None:
    """ISO 838: middle of the holes 12 +-1 mm from the edge, 6 +-0.5 mm wide."""
    assert SPINE_CLEAR >= 12.0 + 1.0 + (6.0 + 0.5) / 2.0
