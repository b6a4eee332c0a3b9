"""What is kept of the sheets of a packet once their pages are drawn: places, counts, findings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from sheets.page.model import Finding, Material

PLAIN, CARD, KEYS, ADULT, INDEX = FILES = (
    "plain.pdf",
    "card.pdf",
    "keys.pdf",
    "adult.pdf",
    "packet.json",
)
STACK = 5
"""Sheets or strips to cut at once with a paper trimmer (common practice, no source)."""

Half = Literal["", "upper", "lower"]
TrimKind = Literal["panel", "half", "cards"]


@dataclass(frozen=True, slots=True)
class Gap:
    """A page that is not made, and why; ``tag`` is empty if that holds for the whole class."""

    tag: str
    kind: str
    reason: str

    def sentence(self) -> str:
        """For the adult."""
        return f"{f'{self.tag}, ' if self.tag else ''}{self.kind}: {self.reason}"


def gap_lines(gaps: Iterable[Gap]) -> list[str]:
    """Pages that are not made, for the adult: those of one kind and reason on one line."""
    together: dict[tuple[str, str], list[str]] = {}
    for gap in gaps:
        together.setdefault((gap.kind, gap.reason), []).append(gap.tag)
    return [
        Gap(", ".join(tag for tag in tags if tag), kind, reason).sentence()
        for (kind, reason), tags in together.items()
    ]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something of a sheet is printed.

    Args:
        page: index in the file, from 0.
        label: what bookmarks call it.
        half: which half of the page it is on; empty for a whole page.
        cards: how many loose cards of the sheet lie there; 0 for pages and keys.
        again: whether it can be used again when the kind comes again.
    """

    file: str
    page: int
    label: str
    half: Half = ""
    cards: int = 0
    again: bool = False


@dataclass(frozen=True, slots=True)
class Trim:
    """The straight cuts of one page that an adult makes, in mm from its lower left corner.

    Args:
        page: index in the file, from 0.
        across: heights of the cuts from edge to edge, in their order, numbered from 1.
        down: places of the cuts after those: through the piece that the first ones leave, or
            through the stacked strips.
        blocks: where there are several strips, as on sheets of cards, for each block from the top
            its strips and its cuts down; else empty.
    """

    file: str
    page: int
    kind: TrimKind
    across: tuple[float, ...]
    down: tuple[float, ...]
    blocks: tuple[tuple[int, int], ...] = ()

    @property
    def alone(self) -> int:
        """Cuts if nothing is stacked."""
        if not self.blocks:
            return len(self.across) + len(self.down)
        return len(self.across) + sum(rows * downs for rows, downs in self.blocks)

    @property
    def stacked(self) -> int:
        """Cuts with the strips of each block in stacks of at most :data:`STACK`."""
        if not self.blocks:
            return self.alone
        return len(self.across) + sum(
            math.ceil(rows / STACK) * downs for rows, downs in self.blocks
        )


@dataclass(frozen=True, slots=True)
class Imposed:
    """Where everything came to lie.

    Args:
        spots: for each sheet.
        trims: cuts that an adult makes, page by page.
        pages: file -> pages.
        labels: file -> what each page is called.
        card_sheets: pages of shared cards, the last ones of the card file.
        least_card_sheets: a bound: how many the area of the cards would fill.
        film: laminating pouches.
        ink: file -> area of ink on each of its pages, mm².
        bars: file -> its first page with bars to measure, from 0.
    """

    spots: tuple[tuple[Spot, ...], ...] = ()
    trims: tuple[Trim, ...] = ()
    pages: Mapping[str, int] = field(default_factory=dict)
    labels: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    card_sheets: int = 0
    least_card_sheets: int = 0
    film: int = 0
    ink: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    bars: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Digest:
    """What a finished sheet tells about itself, kept when its marks are not.

    Args:
        pages: how many the child gets; two half pages count as two.
        cards: loose cards that are printed with those of others.
        outside: findings outside guidance, as sentences.
        record: parameters and findings as a packed JSON object (zlib, UTF-8); findings name their
            limit by its number in :attr:`Plan.limits`.
    """

    pages: int
    cards: int
    materials: tuple[Material, ...]
    preparation: tuple[str, ...]
    cautions: tuple[str, ...]
    on_its_side: bool
    outside: tuple[str, ...]
    parameters: Mapping[str, object] = field(hash=False)
    record: bytes


class Limits:
    """The limits that findings of a packet were set against, each once and numbered from 0.

    Hundreds of pages share a few limits with long sources; their findings name the number.
    """

    def __init__(self) -> None:
        self._numbers: dict[tuple[str, ...], int] = {}

    def number(self, finding: Finding) -> int:
        """The number of a finding's limit, a new one for a new limit."""
        key = (finding.limit, finding.allowed, finding.unit, finding.basis, finding.source)
        return self._numbers.setdefault(key, len(self._numbers))

    def rows(self) -> list[dict[str, str]]:
        """All limits in the order of their numbers."""
        names = ("limit", "allowed", "unit", "basis", "source")
        return [dict(zip(names, key, strict=True)) for key in self._numbers]


@dataclass(frozen=True, slots=True)
class Totals:
    """Pages of each file, printed once.

    Args:
        pages: file name -> pages; files without pages are not made and not listed.
        notes: extra copies of the family notes to print, pages.
    """

    children: int
    pages: Mapping[str, int]
    notes: int = 0

    @property
    def card(self) -> int:
        """Sheets of card."""
        return self.pages.get(CARD, 0)

    @property
    def plain(self) -> int:
        """Sheets of plain paper, all printed on one side."""
        return sum(self.pages.values()) - self.card + self.notes

    @property
    def sheets(self) -> int:
        """Sheets of paper, all printed on one side."""
        return self.plain + self.card

    @property
    def sheets_two_sided(self) -> int:
        """The same with keys and adult pages on both sides; notes are cut, so on one side."""
        return self.sheets - sum(self.pages.get(file, 0) // 2 for file in (KEYS, ADULT))
