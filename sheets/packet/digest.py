"""What is kept of the sheets of a packet once their pages are drawn: counts and findings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from sheets.packet.key_pairs import page_of
from sheets.page.model import Finding, Material

PLAIN, CARD, KEYS, ADULT, INDEX = FILES = (
    "plain.pdf",
    "card.pdf",
    "keys.pdf",
    "adult.pdf",
    "packet.json",
)


@dataclass(frozen=True, slots=True)
class Gap:
    """A page that is not made, and why; ``tag`` is empty if that holds for the whole class."""

    tag: str
    kind: str
    reason: str

    def sentence(self) -> str:
        """For the adult."""
        return f"{f'{self.tag}, ' if self.tag else ''}{self.kind}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Counts:
    """Pages of a sheet by the file they go to; of keys, which share pages, the keys."""

    plain: int = 0
    card: int = 0
    keys: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(self.plain + other.plain, self.card + other.card, self.keys + other.keys)

    def of(self, file: str) -> int:
        """Pages in one of the three files."""
        return {PLAIN: self.plain, CARD: self.card, KEYS: self.keys}[file]

    def span(self, file: str, before: Counts) -> tuple[int, int]:
        """The first of its pages in a file, from 1, and how many there are; two keys share one.

        Args:
            before: what comes before it in the packet.
        """
        first, count = before.of(file), self.of(file)
        if file == KEYS and count:
            first, last = page_of(first), page_of(first + count - 1)
            return first + 1, last - first + 1
        return first + 1, count


@dataclass(frozen=True, slots=True)
class Digest:
    """What a finished sheet tells about itself, kept when its marks are not.

    Args:
        cuts: straight cuts an adult makes beforehand on each page, as coordinates in mm, so that
            pages with the same cuts can be found; pages without cuts are left out.
        on_its_side: whether a page lies on its side.
        outside: findings outside guidance, as sentences.
        record: parameters and findings as a packed JSON object (zlib, UTF-8); findings name their
            limit by its number in :attr:`Plan.limits`.
    """

    counts: Counts
    materials: tuple[Material, ...]
    preparation: tuple[str, ...]
    cautions: tuple[str, ...]
    cuts: tuple[tuple[float, ...], ...]
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
    """Pages of each file; every page of a child is printed on one side of its own sheet.

    Args:
        notes: extra copies of the family notes to print, pages.
    """

    children: int
    plain: int
    card: int
    keys: int
    adult: int
    notes: int = 0

    @property
    def pages(self) -> Mapping[str, int]:
        """File name -> pages; files without pages are not made and not listed."""
        counts = {PLAIN: self.plain, CARD: self.card, KEYS: self.keys, ADULT: self.adult}
        return {name: count for name, count in counts.items() if count}

    @property
    def first_file(self) -> str:
        """The file whose first page is printed to measure its bars: one of the children's."""
        return PLAIN if self.plain else CARD

    @property
    def sheets(self) -> int:
        """Sheets of paper, all printed on one side."""
        return self.plain + self.card + self.keys + self.adult + self.notes

    @property
    def sheets_two_sided(self) -> int:
        """The same with keys and adult pages on both sides; notes are cut, so on one side."""
        turned = math.ceil(self.keys / 2) + math.ceil(self.adult / 2)
        return self.plain + self.card + turned + self.notes
