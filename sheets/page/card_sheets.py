"""Loose cards of many children on as few sheets as straight cuts allow.

A sheet holds blocks, one below the other, each a grid of cards of one size. All cuts across go from
paper edge to paper edge; the strips of a block are then stacked, the upper ones on top, under the
strip that carries the ticks of the cuts down, and cut together. The cards of a block run down its
columns, so the piles that this leaves, taken from left to right, hold one child's cards after the
other's: a pile is dealt out without sorting. Every card carries its tag in its white rim.

Lengths in mm, y up.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.letters.font import text_width_mm
from shapes.path import BBox, Path
from sheets.page.art import credit_line
from sheets.page.cards import CardCut, CardGrid
from sheets.page.frame import ADULT_SIZE_PT, MARGIN, Frame, bar_across, wrap
from sheets.page.marks import transform_mark
from sheets.page.model import (
    ADULT_GREY,
    FURNITURE_GREY,
    CardSet,
    Cut,
    Mark,
    Page,
    Paper,
    Place,
    Role,
    Stroke,
    Text,
)

TAG_PT = 5.0
"""Type of a card's tag: small enough not to draw a child's eye, and to fit the white rim."""
_CREDIT_PT = 5.5
_TAG_IN, _TAG_UP = 1.2, 0.9
TICK_STRIP = 5.0
"""Below a block, for the ticks of its cuts down and their numbers."""
_HEAD_LINES, _LEADING = 2, 3.1
_BAR_ROOM = 2.6
_GAP, _TICK = 1.5, 3.0
_NUMBER_X = 7.5
"""Numbers of the cuts stand this far from the left paper edge: printer manuals give up to 6.7 mm
that cannot be printed, and cards may begin at the usual margin."""
_ROUND = 1e-6


@dataclass(frozen=True, slots=True)
class Owned:
    """A set of cards and whose it is.

    Args:
        label: printed on every card, such as a tag and a kind.
        sheet: number of the sheet it belongs to.
    """

    label: str
    sheet: int
    cards: CardSet


@dataclass(frozen=True, slots=True)
class Run:
    """Cards of one set that lie on one page: how many."""

    sheet: int
    label: str
    count: int


@dataclass(frozen=True, slots=True)
class CardPage:
    """A finished page of shared cards.

    Args:
        blocks: from the top; their cuts are numbered through the page.
        runs: whose cards they are, in the order in which the piles fall apart.
    """

    page: Page
    blocks: tuple[CardGrid, ...]
    runs: tuple[Run, ...]

    @property
    def cuts(self) -> tuple[CardCut, ...]:
        """All cuts in the order of their numbers: those across first."""
        return numbered_cuts(self.blocks)


@dataclass(frozen=True, slots=True)
class _Card:
    owner: Owned
    number: int


_Size = tuple[float, float, float]
_Piece = tuple[_Size, list[_Card]]


def card_pages(
    sets: Sequence[Owned], paper: Paper, *, title: str, gutter: float = 0.0, shrink: float = 1.0
) -> list[CardPage]:
    """The sets laid on sheets.

    Args:
        sets: in the order in which children get them.
        title: in the line at the top of each page.
        gutter: least gap between neighbours, for cards that are laminated.
        shrink: share of the usual room that may be used, for pages that are enlarged afterwards.

    Raises:
        FitError: a card is larger than the paper.
    """
    area = _area(paper, shrink)
    full, rest = _cut_up(sets, area, gutter)
    pages = [[piece] for piece in full] + _filled(rest, area)
    return [
        _page(pieces, paper, area, f"{title}, sheet {i} of {len(pages)}.")
        for i, pieces in enumerate(pages, start=1)
    ]


def least_sheets(sets: Sequence[Owned], paper: Paper) -> int:
    """A bound: the area of all cards over that in which cards may lie, rounded up."""
    area = _area(paper, 1.0)
    cards = sum(len(s.cards.faces) * s.cards.width * s.cards.height for s in sets)
    return math.ceil(cards / (area.width * (area.height - TICK_STRIP)) - _ROUND)


def _area(paper: Paper, shrink: float) -> BBox:
    """Where blocks go, the tick strips included."""
    live = Frame(paper).live
    box = BBox(live.x0, live.y0 + _BAR_ROOM, live.x1, live.y1 - _HEAD_LINES * _LEADING)
    about = Affine.translation(-paper.width / 2.0, -paper.height / 2.0)
    back = Affine.translation(paper.width / 2.0, paper.height / 2.0)
    return box.transformed(about.then(Affine.scaling(shrink)).then(back))


# --- who lies where -------------------------------------------------------------------------------


def _columns(size: _Size, area: BBox) -> int:
    width, _, gutter = size
    return int((area.width + gutter + _ROUND) // (width + gutter))


def _most_rows(size: _Size, height: float) -> int:
    """Rows of cards that a height holds, their tick strip included."""
    _, high, gutter = size
    return max(0, int((height - TICK_STRIP + gutter + _ROUND) // (high + gutter)))


def _height(size: _Size, count: int, area: BBox) -> float:
    _, high, gutter = size
    rows = math.ceil(count / _columns(size, area))
    return rows * high + (rows - 1) * gutter + TICK_STRIP


def _cut_up(sets: Sequence[Owned], area: BBox, gutter: float) -> tuple[list[_Piece], list[_Piece]]:
    """The cards by size: as many full sheets as they fill, and what is left over."""
    by_size: dict[_Size, list[_Card]] = {}
    for owned in sets:
        cards = owned.cards
        size = (round(cards.width, 3), round(cards.height, 3), max(gutter, cards.gutter))
        by_size.setdefault(size, []).extend(_Card(owned, i) for i in range(len(cards.faces)))
    full: list[_Piece] = []
    rest: list[_Piece] = []
    for size, cards_of_size in by_size.items():
        most = _columns(size, area) * _most_rows(size, area.height)
        if not most:
            raise FitError(
                f"a card of {size[0]:g} x {size[1]:g} mm is larger than the paper",
                where="cards",
                fix="use larger paper, or print the sheet by itself",
            )
        whole = len(cards_of_size) // most * most
        full += [(size, cards_of_size[i : i + most]) for i in range(0, whole, most)]
        if whole < len(cards_of_size):
            rest.append((size, cards_of_size[whole:]))
    return full, rest


def _filled(rest: Sequence[_Piece], area: BBox) -> list[list[_Piece]]:
    """What is left over, on as few sheets as first-fit finds, whole or broken between rows."""
    order = sorted(rest, key=lambda piece: -_height(piece[0], len(piece[1]), area))
    whole, broken = _first_fit(order, area), _brimful(order, area)
    return broken if len(broken) < len(whole) else whole


def _first_fit(order: Sequence[_Piece], area: BBox) -> list[list[_Piece]]:
    pages: list[list[_Piece]] = []
    left: list[float] = []
    for size, cards in order:
        high = _height(size, len(cards), area)
        at = next((i for i, room in enumerate(left) if high <= room + _ROUND), len(pages))
        if at == len(pages):
            pages.append([])
            left.append(area.height)
        pages[at].append((size, cards))
        left[at] -= high
    return pages


def _brimful(order: Sequence[_Piece], area: BBox) -> list[list[_Piece]]:
    """Each sheet filled to the last row that fits, so that a set may go on on the next one."""
    waiting = [(size, list(cards)) for size, cards in order]
    pages: list[list[_Piece]] = []
    while waiting:
        page: list[_Piece] = []
        room = area.height
        for size, cards in waiting:
            count = min(len(cards), _columns(size, area) * _most_rows(size, room))
            if count:
                page.append((size, cards[:count]))
                del cards[:count]
                room -= _height(size, count, area)
        waiting = [piece for piece in waiting if piece[1]]
        pages.append(page)
    return pages


# --- drawing --------------------------------------------------------------------------------------


def numbered_cuts(blocks: Sequence[CardGrid]) -> tuple[CardCut, ...]:
    """The cuts of all blocks: those across from the top, then those down, block by block."""
    across: list[CardCut] = []
    down: list[CardCut] = []
    for block in blocks:
        low = block.y - TICK_STRIP
        for cut in block.cuts:
            if cut.direction == "across":
                across.append(cut)
            else:
                down.append(dataclasses.replace(cut, start=low))
    return tuple(
        dataclasses.replace(cut, number=i) for i, cut in enumerate((*across, *down), start=1)
    )


def _page(pieces: Sequence[_Piece], paper: Paper, area: BBox, title: str) -> CardPage:
    blocks: list[CardGrid] = []
    marks: list[Mark] = []
    runs: dict[int, Run] = {}
    top = area.y1
    for size, cards in pieces:
        block = _block(size, len(cards), paper, area, top)
        blocks.append(block)
        top = block.y - TICK_STRIP
        for card, box in zip(cards, _down_columns(block), strict=True):
            marks += _face(card, box)
            before = runs.get(card.owner.sheet, Run(card.owner.sheet, card.owner.label, 0))
            runs[card.owner.sheet] = dataclasses.replace(before, count=before.count + 1)
    cuts = numbered_cuts(blocks)
    marks += [mark for cut in cuts for mark in _ticks(cut, blocks)]
    marks += _words(marks, cuts, len(blocks), paper, title)
    page = Page(
        paper,
        tuple(marks),
        label=title.rstrip("."),
        stock="card",
        cuts=tuple(Cut(cut.direction == "across", cut.at) for cut in cuts),
    )
    return CardPage(page, tuple(blocks), tuple(runs.values()))


def _block(size: _Size, count: int, paper: Paper, area: BBox, top: float) -> CardGrid:
    """The grid of so many cards below a height, in the middle of the paper."""
    width, high, gutter = size
    rows = math.ceil(count / _columns(size, area))
    columns = math.ceil(count / rows)
    wide = columns * width + (columns - 1) * gutter
    low = top - rows * high - (rows - 1) * gutter
    return CardGrid(
        paper, (paper.width - wide) / 2.0, low, rows, columns, width, high, count, gutter
    )


def _down_columns(block: CardGrid) -> Iterator[BBox]:
    """The cells in the order of the piles: down the first column, then down the next."""
    for i in range(block.count):
        column, row = divmod(i, block.rows)
        yield block.cell(row, column)


def _face(card: _Card, box: BBox) -> Iterator[Mark]:
    at = Affine.translation(box.x0, box.y0)
    for mark in card.owner.cards.faces[card.number]:
        yield transform_mark(mark, at)
    yield Text(
        box.x1 - _TAG_IN,
        box.y0 + _TAG_UP,
        card.owner.label,
        TAG_PT,
        Role.ADULT,
        id="tag",
        colour=ADULT_GREY,
        anchor="end",
    )


def _ticks(cut: CardCut, blocks: Sequence[CardGrid]) -> Iterator[Mark]:
    """The ticks of a cut and its number; those across reach the paper edge on both sides."""
    if cut.direction == "across":
        block = next(b.box for b in blocks if b.box.y0 - _ROUND <= cut.at <= b.box.y1 + _ROUND)
        left, right = block.x0, block.x1
        paths: tuple[Path, ...] = (
            Path.line((0.0, cut.at), (left - _GAP, cut.at)),
            Path.line((right + _GAP, cut.at), (blocks[0].paper.width, cut.at)),
        )
        at = (_NUMBER_X, cut.at - 2.7)
    else:
        block = next(b.box for b in blocks if abs(cut.end - b.box.y1) < _ROUND)
        paths = (Path.line((cut.at, block.y0 - _GAP - _TICK), (cut.at, block.y0 - _GAP)),)
        at = (cut.at + 0.7, block.y0 - _GAP - _TICK)
    yield Stroke(
        paths,
        0.25,
        Role.ADULT,
        id=f"card-cut-{cut.number}",
        colour=FURNITURE_GREY,
        cap="butt",
        data=(("direction", cut.direction),),
    )
    yield Text(*at, str(cut.number), 6.0, Role.ADULT, colour=FURNITURE_GREY)


def _words(
    marks: Sequence[Mark], cuts: Sequence[CardCut], blocks: int, paper: Paper, title: str
) -> Iterator[Mark]:
    """Two lines at the top, and the bar to measure at the foot."""
    live = Frame(paper).live
    across = sum(cut.direction == "across" for cut in cuts)
    stacks = "each stack of strips" if blocks > 1 else "the stacked strips"
    rest = (
        f" Adults cut 1 to {across} across, then {across + 1} to {len(cuts)} down through "
        f"{stacks}, top strip on top. Paper tears: stay beside a child who mouths things. Local "
        "rules come first."
    )
    credit = credit_line([mark.artwork for mark in marks if isinstance(mark, Place)])
    lines = wrap(title + rest, ADULT_SIZE_PT, live.width)
    room = live.width - text_width_mm(credit, _CREDIT_PT) - 3.0
    if len(lines) > _HEAD_LINES or text_width_mm(lines[-1], ADULT_SIZE_PT) > room:
        lines = wrap(rest, ADULT_SIZE_PT, live.width)  # a title that is too long stays away
    for i, line in enumerate(lines):
        y = live.y1 - 2.2 - _LEADING * i
        yield Text(live.x0, y, line, ADULT_SIZE_PT, Role.ADULT, colour=ADULT_GREY)
    y = live.y1 - 2.2 - _LEADING * (_HEAD_LINES - 1)
    if credit:
        yield Text(live.x1, y, credit, _CREDIT_PT, Role.ADULT, colour=ADULT_GREY, anchor="end")
    yield from bar_across(live.x0, MARGIN, "100 mm")
