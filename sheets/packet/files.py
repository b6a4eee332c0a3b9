"""The PDF files of a packet in the making: each page is drawn as soon as it is there."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN
from sheets.packet.index import PageRow, rows_of
from sheets.packet.key_pairs import A_PAGE, shared_page, tagged
from sheets.packet.plan import Counted, Plan, PlannedSheet

if TYPE_CHECKING:
    from sheets.page.model import Page, Sheet
    from sheets.write.pdf import OutlineEntry, PdfDocument

_WHAT = {PLAIN: "pages on plain paper", CARD: "pages on card", KEYS: "keys", ADULT: "for adults"}


class PacketFiles:
    """Documents in memory, of whose pages little is kept.

    Args:
        plan: the plan of the packet, which need not be counted yet.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._counted: Counted | None = None
        self._drawn: dict[str, PdfDocument] = {}
        self._waiting: list[Page] = []  # keys for the next page
        self._finished: dict[str, bytes] = {}

    def add(self, planned: PlannedSheet, sheet: Sheet) -> None:
        """Draw the next sheet: a child's pages by paper, and its keys."""
        for page in sheet.pages:
            name = PLAIN if page.stock == "plain" else CARD
            self._document(name).add(page, entries=1)
        self._waiting += [tagged(page, planned.label) for page in sheet.key]
        while len(self._waiting) >= A_PAGE:
            self._draw_keys()

    def complete(self, plan: Counted) -> None:
        """Draw the last keys and the adult's pages, when all sheets are there.

        Args:
            plan: counted.
        """
        from sheets.packet.adult.pages import each_page

        self._counted = plan
        if self._waiting:
            self._draw_keys()
        document = self._document(ADULT)
        sections = {index for _level, _title, index in _sections(plan.adult_labels)}
        numbers = itertools.count()
        each_page(plan, lambda page: document.add(page, entries=next(numbers) in sections))

    def content(self, name: str) -> bytes:
        """A finished file, once the packet is complete."""
        from sheets.write.compact import pack_objects

        if name not in self._finished:
            outline, labels = self._outline_and_labels(name)
            # The document is let go: the finished file takes much less room.
            data = self._drawn.pop(name).finish(outline, labels)
            self._finished[name] = pack_objects(data)
        return self._finished[name]

    def _document(self, name: str) -> PdfDocument:
        from sheets.write.pdf import PdfDocument

        if name not in self._drawn:
            theme = self._plan.theme
            self._drawn[name] = PdfDocument(
                title=f"{theme.title}: {_WHAT[name]}",
                language="en" if name == ADULT else theme.languages[0],
            )
        return self._drawn[name]

    def _draw_keys(self) -> None:
        """The next page of keys, with a bookmark for each."""
        keys = self._waiting[:A_PAGE]
        del self._waiting[:A_PAGE]
        page = shared_page(keys, self._plan.choices.paper)
        self._document(KEYS).add(page, entries=len(keys))

    def _outline_and_labels(self, name: str) -> tuple[list[OutlineEntry], list[str] | None]:
        if self._counted is None:
            raise ValueError("the packet is not complete")
        if name == ADULT:
            return _sections(self._counted.adult_labels), None
        rows = rows_of(self._counted, name)
        labels: dict[int, str] = {}
        for row in rows:
            before = labels.get(row.page)
            labels[row.page] = f"{before}, {row.label}" if before else row.label
        return _by_child(rows), list(labels.values())


def _sections(labels: Sequence[str]) -> list[OutlineEntry]:
    """Bookmarks of the adult's pages: one at the first page of each section."""
    return [(0, label, i) for i, label in enumerate(labels) if label not in labels[:i]]


def _by_child(rows: list[PageRow]) -> list[OutlineEntry]:
    """Bookmarks: a child's tag with the first page, and below it the child's other pages."""
    by_tag: dict[str, list[PageRow]] = {}
    for row in rows:
        by_tag.setdefault(row.tag, []).append(row)
    entries = []
    for tag, (first, *others) in by_tag.items():
        entries.append((0, first.label, first.page))
        entries += [(1, row.label.removeprefix(f"{tag} "), row.page) for row in others]
    return entries
