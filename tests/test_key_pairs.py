"""Keys two on a page: whole, in their own half, and found by child and kind."""

from __future__ import annotations

import io

import pikepdf
import pypdfium2
import pytest

from sheets.kinds import KINDS
from sheets.packet.digest import CARD, KEYS, PLAIN, Counts
from sheets.packet.key_pairs import page_of, pages_for, shared_page, tagged
from sheets.packet.make import make_sheet
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import Page, Role, Stroke, Text
from tests.packets import files_of, packet_of, plan_of

WITH_KEYS = [name for name in KINDS if name != "cutting"]
"""Cutting has no answer."""


def keys_of(**chosen: object) -> list[Page]:
    plan = plan_of(**chosen)  # type: ignore[arg-type]
    return [
        tagged(page, planned.label)
        for planned in plan.sheets
        for page in make_sheet(plan, planned).key
    ]


@pytest.mark.parametrize("paper", [LETTER, A4])
@pytest.mark.parametrize("kind", WITH_KEYS)
def test_each_key_keeps_to_its_half(kind: str, paper: object) -> None:
    first, second = keys_of(kinds=(kind,), only=("Tu", "So"), paper=paper)[:2]
    page = shared_page([first, second], first.paper)

    assert (page.paper.width, page.paper.height) == (first.paper.height, first.paper.width)
    half = page.paper.width / 2.0
    left = page.marks[: len(first.marks)]
    right = page.marks[len(first.marks) : -1]
    assert len(right) == len(second.marks)
    for marks, low, high in ((left, 0.0, half), (right, half, page.paper.width)):
        boxes = [mark_bbox(mark) for mark in marks]
        assert min(box.x0 for box in boxes) > low + 5.0
        assert max(box.x1 for box in boxes) < high - 5.0
        assert min(box.y0 for box in boxes) > 5.0
        assert max(box.y1 for box in boxes) < page.paper.height - 5.0


def test_words_on_a_shared_page_can_be_read() -> None:
    """Words come out at about 6 points (our setting); only the numbers of cuts are smaller."""
    for kind in WITH_KEYS:
        keys = keys_of(kinds=(kind,), only=("Tu", "So"))
        page = shared_page(keys[:2], LETTER)
        words = [m for m in page.marks if isinstance(m, Text) and m.role is Role.ADULT]
        assert min(m.size_pt for m in words if not m.text.isdigit()) > 5.8, kind


def test_a_single_key_stands_in_the_left_half() -> None:
    (key,) = keys_of(kinds=("pattern",), only=("Tu",))
    page = shared_page([key], LETTER)

    assert len(page.marks) == len(key.marks) + 1
    assert max(mark_bbox(mark).x1 for mark in page.marks[:-1]) < page.paper.width / 2.0
    rule = page.marks[-1]
    assert isinstance(rule, Stroke)
    assert rule.paths[0].start == (page.paper.width / 2.0, MARGIN)


@pytest.mark.parametrize(
    ("before", "keys", "first", "count"),
    [(0, 1, 1, 1), (0, 2, 1, 1), (1, 1, 1, 1), (1, 2, 1, 2), (2, 3, 2, 2), (3, 22, 2, 12)],
)
def test_the_pages_of_some_keys(before: int, keys: int, first: int, count: int) -> None:
    assert Counts(keys=keys).span(KEYS, Counts(keys=before)) == (first, count)
    assert first - 1 == page_of(before)
    assert pages_for(before + keys) == first + count - 1


def test_other_pages_stand_alone() -> None:
    counts, before = Counts(3, 2, 1), Counts(10, 20, 30)

    assert counts.span(PLAIN, before) == (11, 3)
    assert counts.span(CARD, before) == (21, 2)
    assert Counts().span(KEYS, before) == (31, 0)


def test_bookmarks_and_labels_of_keys() -> None:
    content = files_of(packet_of(kinds=("trace-match",), only=("Pp", "Br", "Tu")))["keys.pdf"]

    with pikepdf.open(io.BytesIO(content)) as pdf, pdf.open_outline() as outline:
        assert len(pdf.pages) == 2
        assert [item.title for item in outline.root] == [
            "Pp trace-match key", "Br trace-match key", "Tu trace-match key",
        ]  # fmt: skip
        labels = pdf.Root.PageLabels.Nums
        assert str(labels[1].P) == "Pp trace-match key, Br trace-match key"
    document = pypdfium2.PdfDocument(content)
    text = document[0].get_textpage().get_text_range()
    assert "Pp trace-match" in text
    assert "Br trace-match" in text
    document.close()
