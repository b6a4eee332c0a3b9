"""The PDF files of a packet in the making: each page is drawn as soon as it is there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN
from sheets.packet.plan import Counted, Plan

if TYPE_CHECKING:
    from sheets.page.model import Page
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
        self._finished: dict[str, bytes] = {}
        self._content: dict[str, list[str]] = {}

    def add(self, file: str, page: Page, entries: int) -> None:
        """Draw the next page of a file.

        Args:
            entries: how many bookmarks will lead to it.
        """
        content = self._document(file).add(page, entries=entries)
        self._content.setdefault(file, []).append(content)

    def complete(self, plan: Counted, adult: Sequence[Page]) -> None:
        """Draw the adult's pages, when all sheets are there.

        Args:
            plan: counted, with the section of each of these pages.
        """
        self._counted = plan
        sections = {index for _level, _title, index in _sections(plan.adult_labels)}
        for number, page in enumerate(adult):
            self.add(ADULT, page, int(number in sections))

    def marks_of(self, name: str) -> tuple[str, ...]:
        """For each page of a file a short text that differs if its content does."""
        return tuple(self._content[name])

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

    def _outline_and_labels(self, name: str) -> tuple[list[OutlineEntry], list[str] | None]:
        if self._counted is None:
            raise ValueError("the packet is not complete")
        if name == ADULT:
            return _sections(self._counted.adult_labels), None
        return _by_child(self._counted, name), list(self._counted.imposed.labels[name])


def _sections(labels: Sequence[str]) -> list[OutlineEntry]:
    """Bookmarks of the adult's pages: one at the first page of each section."""
    return [(0, label, i) for i, label in enumerate(labels) if label not in labels[:i]]


def _by_child(plan: Counted, name: str) -> list[OutlineEntry]:
    """Bookmarks: a child's tag with the first page, and below it the child's other pages; last the
    sheets of cards, which are several children's."""
    by_tag: dict[str, list[tuple[str, int]]] = {}
    for planned, spots in zip(plan.sheets, plan.imposed.spots, strict=True):
        rows = by_tag.setdefault(planned.child.tag, [])
        rows += [(spot.label, spot.page) for spot in spots if spot.file == name and not spot.cards]
    entries: list[OutlineEntry] = []
    by_page = sorted((item for item in by_tag.items() if item[1]), key=lambda item: item[1][0][1])
    for tag, found in by_page:
        for i, (label, page) in enumerate(found):
            entries.append((1, label.removeprefix(f"{tag} "), page) if i else (0, label, page))
    if name == CARD:
        labels = plan.imposed.labels[name]
        first = len(labels) - plan.imposed.card_sheets
        entries += [(0, label, first + i) for i, label in enumerate(labels[first:])]
    return entries
