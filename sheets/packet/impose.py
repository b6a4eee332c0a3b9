"""Puts the pages of all children on paper: which page of which file holds what.

Whole pages go on as they come, half pages two to a sheet, loose cards together on sheets of cards
at the end of the card file, keys many to a page. What is put down is told as :class:`Spot`, so that
index, bookmarks, counts and the adult's pages all say the same.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence

from shapes.affine import Affine
from shapes.path import Path
from sheets.packet.digest import CARD, FILES, KEYS, PLAIN, Half, Imposed, Spot, Trim, TrimKind
from sheets.packet.keys import Filled, KeyPages
from sheets.packet.plan import Choices, PlannedSheet
from sheets.page.card_sheets import CardPage, Owned, card_pages, least_sheets
from sheets.page.cards import LAMINATE_GUTTER
from sheets.page.frame import MARGIN
from sheets.page.ink import ink_of
from sheets.page.marks import BAR_LENGTH, compensated, transform_mark
from sheets.page.model import (
    ADULT_GREY,
    FURNITURE_GREY,
    Cut,
    Mark,
    Page,
    Role,
    Sheet,
    Stroke,
    Text,
)

Take = Callable[[str, Page, int], None]
"""Given the file, the page, and how many bookmarks lead to it."""

CARDS_LABEL = "cards"


class Imposition:
    """Pages put on paper one after the other.

    Args:
        choices: paper, bars, lamination, and whether there are keys.
        title: of the packet, for what stands on shared sheets.
        take: given every finished page; None to count only.
    """

    def __init__(self, choices: Choices, title: str, take: Take | None) -> None:
        self._choices, self._title, self._take = choices, title, take
        self._pages: dict[str, int] = {}
        self._labels: dict[str, list[str]] = {}
        self._spots: list[list[Spot]] = []
        self._trims: list[Trim] = []
        self._half: tuple[int, str, Page] | None = None
        self._cards: list[Owned] = []
        self._keys = KeyPages(choices.paper)
        self._key_spots: list[tuple[int, Spot]] = []
        self._ink: dict[str, list[float]] = {}
        self._bars: dict[str, int] = {}

    def add(self, planned: PlannedSheet, sheet: Sheet) -> None:
        """The next sheet: its pages by paper; its cards wait for those of others."""
        number = len(self._spots)
        self._spots.append([])
        count = len(sheet.pages)
        for i, page in enumerate(sheet.pages, start=1):
            label = planned.label + (f" {i} of {count}" if count > 1 else "")
            if page.paper.is_half:
                self._add_half(number, label, page)
            else:
                file = PLAIN if page.stock == "plain" else CARD
                at = self._put(file, page, label)
                self._spots[number].append(Spot(file, at, label, again=page.again))
                self._trim(file, at, page, "panel")
        self._cards += [Owned(planned.label, number, cards) for cards in sheet.cards]
        if not self._choices.children_only:
            for answer in sheet.answers:
                self._put_keys(self._keys.add((number, planned.label, answer)))

    def finish(self) -> Imposed:
        """The last half page, the shared cards and the keys; what has been put where."""
        if self._half is not None:
            number, label, page = self._half
            self._put_halves([(number, label, page)])
        sheets = self._put_cards()
        self._put_keys(self._keys.finish())
        for number, spot in self._key_spots:
            self._spots[number].append(spot)
        return Imposed(
            spots=tuple(map(tuple, self._spots)),
            trims=tuple(self._trims),
            pages={file: self._pages[file] for file in FILES if file in self._pages},
            labels={file: tuple(labels) for file, labels in self._labels.items()},
            card_sheets=sheets,
            least_card_sheets=least_sheets(self._cards, self._choices.paper),
            film=sheets if self._choices.laminate else 0,
            ink={file: tuple(areas) for file, areas in self._ink.items()},
            bars=self._bars,
        )

    def _put(self, file: str, page: Page, label: str, entries: int = 1) -> int:
        """Give out a page; its index in the file."""
        at = self._pages.get(file, 0)
        self._pages[file] = at + 1
        self._labels.setdefault(file, []).append(label)
        ink = ink_of(page)
        self._ink.setdefault(file, []).append(ink.black + ink.colour)
        if any(mark.id == "bar-x" for mark in page.marks):
            self._bars.setdefault(file, at)
        if self._take is not None:
            self._take(file, page, entries)
        return at

    def _put_keys(self, pages: Iterable[Filled]) -> None:
        for page, listed in pages:
            at = self._put(KEYS, page, ", ".join(label for _, label in listed), len(listed))
            self._key_spots += [
                (number, Spot(KEYS, at, f"{label} key")) for number, label in listed
            ]

    def _trim(self, file: str, at: int, page: Page, kind: TrimKind) -> None:
        if page.cuts:
            across, down = _places(page)
            # More than two cuts across leave rows, which the cuts down go through one by one.
            rows = ((len(across) - 1, len(down)),) if len(across) > 2 and down else ()
            self._trims.append(Trim(file, at, kind, across, down, rows))

    # --- half pages -------------------------------------------------------------------------------

    def _add_half(self, number: int, label: str, page: Page) -> None:
        if self._half is None:
            self._half = (number, label, page)
            return
        first, self._half = self._half, None
        self._put_halves([first, (number, label, page)])

    def _put_halves(self, halves: Sequence[tuple[int, str, Page]]) -> None:
        page = two_halves([half for _, _, half in halves])
        at = self._put(PLAIN, page, ", ".join(label for _, label, _ in halves), len(halves))
        places: tuple[Half, Half] = ("upper", "lower")
        for where, (number, label, half) in zip(places, halves, strict=False):
            self._spots[number].append(Spot(PLAIN, at, label, half=where, again=half.again))
        self._trim(PLAIN, at, page, "half")

    # --- cards ------------------------------------------------------------------------------------

    def _put_cards(self) -> int:
        measured = self._choices.bar_measures
        pages = card_pages(
            self._cards,
            self._choices.paper,
            title=f"{self._title}: {CARDS_LABEL}",
            gutter=LAMINATE_GUTTER if self._choices.laminate else 0.0,
            shrink=min(1.0, measured / BAR_LENGTH) if measured else 1.0,
        )
        for i, cards in enumerate(pages, start=1):
            page = cards.page if measured is None else compensated(cards.page, measured)
            at = self._put(CARD, page, f"{CARDS_LABEL} {i} of {len(pages)}")
            self._trims.append(_card_trim(at, cards, page))
            for run in cards.runs:
                spot = Spot(CARD, at, run.label, cards=run.count, again=True)
                self._spots[run.sheet].append(spot)
        return len(pages)


def _card_trim(at: int, cards: CardPage, page: Page) -> Trim:
    """The cuts of a page of cards, its strips by how they are stacked."""
    blocks = tuple(
        (block.rows, sum(cut.direction == "down" for cut in block.cuts)) for block in cards.blocks
    )
    return Trim(CARD, at, "cards", *_places(page), blocks)


def _places(page: Page) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where the cuts across and the cuts down of a page are, in mm."""
    across = tuple(round(cut.at, 2) for cut in page.cuts if cut.across)
    return across, tuple(round(cut.at, 2) for cut in page.cuts if not cut.across)


def two_halves(halves: Sequence[Page]) -> Page:
    """One or two half pages on one sheet, the first above, and the cut between them."""
    paper = halves[0].paper
    name = paper.name.removeprefix("half ")
    whole = dataclasses.replace(paper, name=name, height=2.0 * paper.height)
    up = Affine.translation(0.0, paper.height)
    marks: list[Mark] = [transform_mark(mark, up) for mark in halves[0].marks]
    for lower in halves[1:]:
        marks += lower.marks
    middle = paper.height
    line = Path.line((0.0, middle), (whole.width, middle))
    marks.append(
        Stroke((line,), 0.25, Role.ADULT, id="adult-cut-1", colour=FURNITURE_GREY, cap="butt")
    )
    marks.append(Text(MARGIN, middle + 1.2, "cut 1", 6.0, Role.ADULT, id="cut", colour=ADULT_GREY))
    return Page(
        whole,
        tuple(marks),
        label=", ".join(half.label for half in halves),
        cuts=(Cut(True, middle),),
    )
