"""Puts a page together: head, bars, the kind's own marks, checked, and the adult's lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapes.pictures.pictures import Picture
from sheets.check.check import check_page, summary_line
from sheets.kinds.options import Options
from sheets.page.art import credit_line, picture_in
from sheets.page.frame import PRINT_LINE, Frame, foot, head, measure_bars
from sheets.page.marks import describe, mark_bbox
from sheets.page.model import Artwork, Finding, Mark, Page, Place, Role, Text

OTHER_RULES = (
    "Usual caution only: your programme's licensing, health and allergy rules and a licensed "
    "therapist's advice come first."
)

KEY_PT = 9.5
"""Type of the lines on a key, large enough to be read when two keys share a page."""


@dataclass(frozen=True, slots=True)
class Assembled:
    """A finished child's page with what was measured on it and what its foot says."""

    page: Page
    findings: tuple[Finding, ...]
    lines: tuple[str, ...]


def child_page(
    options: Options,
    marks: Sequence[Mark],
    *,
    skill: str,
    stage: int,
    title: str,
    label: str,
    badge: Picture | None = None,
    notes: Sequence[str] = (),
    caution: str = "",
    stock: Literal["plain", "card"] = "plain",
) -> Assembled:
    """One page for a child, measured against guidance as finished.

    Args:
        marks: what the kind draws in the work area.
        label: the page's name in the PDF outline.
        badge: small picture in the head.
        notes: lines for the adult between the printing line and the findings.
        caution: last line but the credit; :data:`OTHER_RULES` is added to it.
    """
    frame = Frame(options.paper)
    shown = [picture_in(badge, frame.badge, id="badge", line_mm=0.7)] if badge else []
    bare = Page(
        options.paper,
        (
            *head(frame, title, options.name),
            *shown,
            *measure_bars(frame, options.far_side),
            *marks,
        ),
        label=label,
        stock=stock,
    )
    findings = check_page(bare, skill, stage)
    lines = [PRINT_LINE, *notes, summary_line(findings, skill)]
    if caution:
        lines.append(f"{caution} {OTHER_RULES}")
    credit = credit_line(_artworks(bare.marks))
    if credit:
        lines.append(credit)
    page = dataclasses.replace(bare, marks=(*bare.marks, *foot(frame, lines)))
    return Assembled(page, findings, tuple(lines))


def key_page(
    options: Options,
    marks: Sequence[Mark],
    *,
    title: str,
    label: str,
    notes: Sequence[str] = (),
) -> Page:
    """The adult's answer key: the child's page again with the answers, headed as the adult's."""
    frame = Frame(options.paper)
    header: list[Mark] = [
        Text(frame.work.x0, frame.live.y1 - 7.0, f"Adult key: {title}", 16.0, Role.ADULT, id="key")
    ]
    credit = credit_line(_artworks(marks))
    lines = [*notes, *([credit] if credit else [])]
    below = foot(frame, lines, size_pt=KEY_PT, bar=False)
    return Page(options.paper, (*header, *marks, *below), label=label, stock="plain")


def _artworks(marks: Sequence[Mark]) -> list[Artwork]:
    return [mark.artwork for mark in marks if isinstance(mark, Place)]


def ink_outside(page: Page, margin: float) -> list[str]:
    """Names of the marks whose ink comes nearer than ``margin`` mm to the paper edge."""
    paper = page.paper
    return [
        describe(mark)
        for mark in page.marks
        if (box := mark_bbox(mark)).x0 < margin
        or box.y0 < margin
        or box.x1 > paper.width - margin
        or box.y1 > paper.height - margin
    ]
