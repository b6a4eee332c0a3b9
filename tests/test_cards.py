"""Cards to cut apart: a pretend trimmer cuts the paper along the numbered lines."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from shapes.errors import FitError, InputError
from shapes.path import BBox
from shapes.pictures.pictures import find
from sheets.check.distances import ink_box
from sheets.page.card_backs import FlipEdge, backs, flip_axis, fold_marks, fold_over
from sheets.page.cards import (
    LAMINATE_GUTTER,
    TICK_ROOM,
    CardGrid,
    cut_ticks,
    face,
    fit_caption,
    grid_in,
    picture_with_lines,
)
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.model import Fill, Paper, Place, Role, Stroke, Text

WORK = Frame(LETTER).work


# --- a pretend trimmer ----------------------------------------------------------------------------


def cut_apart(grid: CardGrid) -> tuple[list[BBox], int]:
    """The pieces of paper after all numbered cuts, and how often the blade came down.

    A blade goes through everything it meets: it may not stop inside a piece of paper.
    """
    pieces = [BBox(0.0, 0.0, grid.paper.width, grid.paper.height)]
    for cut in grid.cuts:
        after: list[BBox] = []
        for piece in pieces:
            if cut.direction == "across":
                low, high, first, last = piece.y0, piece.y1, piece.x0, piece.x1
            else:
                low, high, first, last = piece.x0, piece.x1, piece.y0, piece.y1
            beside = last <= cut.start + 1e-6 or first >= cut.end - 1e-6
            if beside or not low + 1e-6 < cut.at < high - 1e-6:
                after.append(piece)
                continue
            assert cut.start <= first + 1e-6, f"cut {cut.number} stops inside a piece"
            assert cut.end >= last - 1e-6, f"cut {cut.number} stops inside a piece"
            if cut.direction == "across":
                after.append(BBox(piece.x0, piece.y0, piece.x1, cut.at))
                after.append(BBox(piece.x0, cut.at, piece.x1, piece.y1))
            else:
                after.append(BBox(piece.x0, piece.y0, cut.at, piece.y1))
                after.append(BBox(cut.at, piece.y0, piece.x1, piece.y1))
        pieces = after
    return pieces, len(grid.cuts)


def corners(box: BBox) -> tuple[float, float, float, float]:
    return (round(box.x0, 5), round(box.y0, 5), round(box.x1, 5), round(box.y1, 5))


def overlap(a: BBox, b: BBox) -> bool:
    return min(a.x1, b.x1) - max(a.x0, b.x0) > 1e-5 and min(a.y1, b.y1) - max(a.y0, b.y0) > 1e-5


@st.composite
def grids(draw: st.DrawFn) -> CardGrid:
    paper = draw(st.sampled_from([LETTER, A4]))
    try:
        return grid_in(
            Frame(paper).work,
            paper,
            draw(st.integers(1, 12)),
            draw(st.floats(32.0, 80.0)),
            draw(st.floats(32.0, 80.0)),
            gutter=draw(st.sampled_from([0.0, LAMINATE_GUTTER])),
        )
    except FitError:
        reject()


@given(grids())
@settings(max_examples=300)
def test_the_numbered_cuts_separate_exactly_the_cards(grid: CardGrid) -> None:
    pieces, cuts = cut_apart(grid)

    found = {corners(piece) for piece in pieces}
    assert {corners(card) for card in grid.cards} <= found
    waste = [p for p in pieces if corners(p) not in {corners(card) for card in grid.cards}]
    assert not any(overlap(piece, card) for piece in waste for card in grid.cards)
    expected = (
        (grid.rows + 1) + (grid.columns + 1)
        if grid.gutter == 0.0
        else 2 * grid.rows + 2 * grid.columns
    )
    assert cuts == expected
    assert grid.plan().startswith(f"{cuts} straight cuts: ")
    assert [cut.number for cut in grid.cuts] == list(range(1, cuts + 1))
    assert len(grid.cards) == grid.count <= grid.rows * grid.columns


@given(grids())
@settings(max_examples=200)
def test_ticks_stay_off_the_cards_and_in_the_area_until_their_cut_is_made(
    grid: CardGrid,
) -> None:
    area = Frame(grid.paper).work
    ticks = {m.id: m for m in cut_ticks(grid) if isinstance(m, Stroke)}
    labels = [m for m in cut_ticks(grid) if isinstance(m, Text)]

    assert [label.text for label in labels] == [str(cut.number) for cut in grid.cuts]
    for cut in grid.cuts:
        tick = ticks[f"card-cut-{cut.number}"]
        for path in tick.paths:
            at = (
                {path.start[1], path.end[1]}
                if cut.direction == "across"
                else {path.start[0], path.end[0]}
            )
            assert at == {cut.at}
            assert area.contains(path.bbox, 1e-6)
            assert not any(overlap(path.bbox.grown(0.2), card) for card in grid.cards)
            # The cuts across come first and leave the ticks of the cuts down on the piece below.
            if cut.direction == "down":
                assert path.bbox.y1 < grid.box.y0
        assert len(tick.paths) == (2 if cut.direction == "across" else 1)
    order = [cut.direction for cut in grid.cuts]
    assert order == sorted(order)


def test_nine_cuts_instead_of_48_edges() -> None:
    """(R + 1) + (C + 1) against 4 R C, worked by hand."""
    grid = CardGrid(LETTER, 18.0, 40.0, 4, 3, 60.0, 60.0, 12)
    assert len(grid.cuts) == 9
    assert 4 * len(grid.cards) == 48


def test_plan_and_film_plan() -> None:
    plain = grid_in(WORK, LETTER, 6, 45.0, 38.0)
    film = grid_in(WORK, LETTER, 6, 45.0, 38.0, gutter=8.0)
    row = grid_in(WORK, LETTER, 3, 50.0, 56.0)

    assert plain.plan() == (
        "7 straight cuts: 1 to 3 across the whole paper; then 4 to 7 down through the stacked "
        "rows, the strip with their ticks on top, left edges flush."
    )
    assert row.plan() == (
        "6 straight cuts: 1 to 2 across the whole paper; then 3 to 6 down through the row, the "
        "strip with their ticks on top, left edges flush."
    )
    assert plain.film_plan() == ""
    assert film.plan().startswith("10 straight cuts: 1 to 4 across")
    assert film.film_plan() == (
        "Laminate the cut cards 8 mm apart, as printed; cut the film down the middle of the gaps "
        "(7 straight cuts) and round the corners."
    )


def test_rows_are_evened_out_and_lie_at_the_top_in_the_middle() -> None:
    grid = grid_in(WORK, LETTER, 4, 50.0, 40.0)

    assert (grid.rows, grid.columns) == (2, 2)  # three would fit in a row
    assert grid.box.y1 == pytest.approx(WORK.y1)
    assert grid.box.center[0] == pytest.approx(WORK.center[0])
    assert grid_in(WORK, LETTER, 2, 60.0, 52.0, columns=1).rows == 2


def test_neighbours_share_an_edge_or_keep_the_gutter() -> None:
    assert grid_in(WORK, LETTER, 3, 50.0, 50.0).cell(0, 1).x0 == pytest.approx(
        grid_in(WORK, LETTER, 3, 50.0, 50.0).cell(0, 0).x1
    )
    film = grid_in(WORK, LETTER, 3, 48.0, 50.0, gutter=8.0)
    assert film.cell(0, 1).x0 - film.cell(0, 0).x1 == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("count", "width", "height", "columns", "message"),
    [
        (0, 40.0, 40.0, None, "0 cards of 40 x 40 mm, 0 mm apart, cannot be laid out; give at "),
        (2, 0.0, 40.0, None, "2 cards of 0 x 40 mm, 0 mm apart, cannot be laid out; give at "),
        (2, 40.0, 40.0, 0, "2 cards of 40 x 40 mm, 0 mm apart, cannot be laid out; give at "),
        (2, 200.0, 40.0, None, "cards: 2 cards of 200 x 40 mm do not fit 176 x 200 mm; use fewer"),
        (9, 60.0, 60.0, None, "cards: 9 cards of 60 x 60 mm do not fit 176 x 200 mm; use fewer"),
        (4, 50.0, 40.0, 4, "cards: 4 cards of 50 x 40 mm do not fit 176 x 200 mm; use fewer"),
    ],
)
def test_cards_that_cannot_be_laid_out(
    count: int, width: float, height: float, columns: int | None, message: str
) -> None:
    with pytest.raises((InputError, FitError)) as caught:
        grid_in(WORK, LETTER, count, width, height, columns=columns)
    assert str(caught.value).startswith(message)


# --- faces ----------------------------------------------------------------------------------------

CARD = BBox(30.0, 100.0, 80.0, 156.0)


def test_a_face_is_one_thing_as_large_as_its_card() -> None:
    marks = face(CARD, find("duck"), id="card-1", captions=("duck", ""))

    assert {(m.id, m.role) for m in marks} == {("card-1", Role.CARD)}
    body = marks[0]
    assert isinstance(body, Fill)
    assert body.colour == "#ffffff"
    assert corners(body.paths[0].bbox) == corners(CARD)
    boxes = [box for m in marks if (box := ink_box(m)) is not None]
    assert all(CARD.contains(box) for box in boxes)
    picture = next(box for m, box in zip(marks, boxes, strict=True) if isinstance(m, Place))
    words = [box for m, box in zip(marks, boxes, strict=True) if isinstance(m, (Text, Stroke))]
    assert len(words) == 2
    assert not any(overlap(a, b) for a, b in itertools.combinations([picture, *words], 2))
    assert [m.size_pt for m in marks if isinstance(m, Text)] == [18.0]


def test_captions_that_leave_no_room() -> None:
    with pytest.raises(FitError) as caught:
        face(BBox(0, 0, 40, 36), find("duck"), id="card-2", captions=("a", "b"))
    assert str(caught.value) == (
        "card-2: 2 lines of words leave 14 mm for the picture; use fewer words or larger cards"
    )


def test_a_caption_is_broken_or_left_out() -> None:
    assert fit_caption("duck", 32.0) == ("duck",)
    assert fit_caption("green bean", 24.0) == ("green", "bean")
    assert fit_caption("green bean", 24.0, most_lines=1) is None
    assert fit_caption("hippopotamuses", 24.0) is None
    assert fit_caption("", 24.0) is None


@pytest.mark.parametrize("word", ["duck", "frog", "boat", "carrot", "1F3D7-FE0F", "water"])
@pytest.mark.parametrize("size", [30.0, 44.0, 70.0])
def test_lines_can_be_held_above_a_width_without_leaving_the_box(word: str, size: float) -> None:
    box = BBox(20.0, 20.0, 20.0 + size, 20.0 + size)
    thin = picture_with_lines(find(word), box)
    bold = picture_with_lines(find(word), box, least_line_mm=2.0)

    def widths(placed: Place) -> list[float]:
        return [m.width * placed.at.scale for m in placed.artwork.marks if isinstance(m, Stroke)]

    assert max(widths(thin)) <= 1.2 + 0.01
    assert min(widths(bold)) >= 2.0 - 1e-6
    assert max(widths(bold)) <= 2.02
    ink = ink_box(bold)
    assert ink is not None
    assert box.contains(ink, 0.05)
    assert max(ink.width, ink.height) >= size - 0.1
    assert bold.artwork.id != thin.artwork.id
    assert len(bold.artwork.marks) == len(thin.artwork.marks)


def test_one_picture_in_boxes_of_one_size_is_one_artwork() -> None:
    arts = {
        picture_with_lines(find("duck"), box, least_line_mm=2.0).artwork
        for box in (BBox(0.1 * i, 0.3 * i, 0.1 * i + 32.0, 0.3 * i + 44.0) for i in range(50))
    }
    assert len(arts) == len({art.id for art in arts}) == 1


# --- two sides ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "edge", "axis"),
    [
        (LETTER, "long", "vertical"),
        (LETTER, "short", "horizontal"),
        (LETTER.turned(), "long", "horizontal"),
        (LETTER.turned(), "short", "vertical"),
    ],
)
def test_flip_axis(paper: Paper, edge: FlipEdge, axis: str) -> None:
    assert flip_axis(paper, edge) == axis


def test_backs_by_row_and_column() -> None:
    """The mapping as printers' duplex settings imply it, worked by hand on two rows of three."""
    grid = grid_in(WORK, LETTER, 6, 45.0, 38.0)

    assert [(b.row, b.column, b.turn_deg) for b in backs(grid, "long")] == [
        (0, 2, 0.0), (0, 1, 0.0), (0, 0, 0.0), (1, 2, 0.0), (1, 1, 0.0), (1, 0, 0.0),
    ]  # fmt: skip
    assert [(b.row, b.column, b.turn_deg) for b in backs(grid, "short")] == [
        (1, 0, 180.0), (1, 1, 180.0), (1, 2, 180.0), (0, 0, 180.0), (0, 1, 180.0), (0, 2, 180.0),
    ]  # fmt: skip
    assert {b.turn_deg for b in backs(grid, "long", "pad")} == {180.0}
    assert {b.turn_deg for b in backs(grid, "short", "pad")} == {0.0}


@given(grids(), st.sampled_from(["long", "short"]), st.booleans())
@settings(max_examples=200)
def test_held_against_the_light_every_back_covers_its_front(
    found: CardGrid, edge: FlipEdge, sideways: bool
) -> None:
    # Off the middle of the paper, so that a wrong mirror would show.
    paper = found.paper.turned() if sideways else found.paper
    grid = CardGrid(
        paper, 15.0, 21.0, found.rows, found.columns, found.width, found.height, found.count
    )
    upright = paper.height > paper.width
    for front, back in zip(grid.cards, backs(grid, edge), strict=True):
        seen_through = (
            BBox(paper.width - back.box.x1, back.box.y0, paper.width - back.box.x0, back.box.y1)
            if (edge == "long") == upright
            else BBox(
                back.box.x0, paper.height - back.box.y1, back.box.x1, paper.height - back.box.y0
            )
        )
        assert corners(seen_through) == corners(front)


@pytest.mark.parametrize("edge", ["long", "short"])
def test_on_the_back_a_card_lies_in_the_row_and_column_that_is_named(edge: FlipEdge) -> None:
    grid = grid_in(WORK, LETTER, 6, 45.0, 38.0)
    found = backs(grid, edge)
    lefts = sorted({round(b.box.x0, 4) for b in found})
    tops = sorted({round(b.box.y1, 4) for b in found}, reverse=True)

    for back in found:
        assert lefts.index(round(back.box.x0, 4)) == back.column
        assert tops.index(round(back.box.y1, 4)) == back.row


def test_fold_over_cards_have_two_equal_halves_and_a_fold_between() -> None:
    grid = grid_in(WORK, LETTER, 3, 120.0, 50.0)
    cards = fold_over(grid)

    assert (grid.rows, grid.columns, len(cards)) == (3, 1, 3)
    for cell, card in zip(grid.cards, cards, strict=True):
        assert corners(card.front.union(card.back)) == corners(cell)
        assert card.front.width == pytest.approx(60.0)
        assert card.back.width == pytest.approx(60.0)
        assert card.front.x1 == card.back.x0 == card.fold.start[0] == card.fold.end[0]
        assert {card.fold.start[1], card.fold.end[1]} == {cell.y0, cell.y1}
    marks = fold_marks(cards)
    assert marks.role is Role.ADULT
    assert len(marks.paths) == 3
    assert marks.dash


def test_tick_room_is_kept_beside_and_below() -> None:
    grid = grid_in(WORK, LETTER, 3, (WORK.width - 2 * TICK_ROOM) / 3.0, 50.0)
    assert grid.box.x0 - WORK.x0 == pytest.approx(TICK_ROOM)
    with pytest.raises(FitError):
        grid_in(WORK, LETTER, 1, 60.0, WORK.height - TICK_ROOM + 0.01)
