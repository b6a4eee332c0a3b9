"""Which limits a page gave nothing to measure for, and why: said, so that silence is no praise."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sheets.check.guidance import Limit, limits
from sheets.page.model import Finding, Mark, Page, Role, Stroke, Text

_CUTS = (Role.CUT, Role.ENTRY)
_SHOWN = (Role.TARGET, Role.CHOICE)

_NEEDS: dict[str, tuple[tuple[Role, ...], str]] = {
    "edge_distance": ((), "the page is empty"),
    "overlap": ((), "the page is empty"),
    "text_size": (
        (),
        "no text for the child that is kept as text; outlines do not count",
    ),
    "line_contrast": ((*_CUTS, Role.FOLD, Role.TRACE), "no line to cut, fold or trace"),
    "bar_length": ((Role.FURNITURE,), "no bar to measure, which has the id bar-x or bar-y"),
    "line_width": (_CUTS, ""),
    "widest_line": (_CUTS, ""),
    "cuts_per_page": (_CUTS, ""),
    "cut_length": (_CUTS, "no line of this kind, open or closed"),
    "steering_index": ((*_CUTS, Role.TRACE), "no line of this kind, open or closed"),
    "bend_radius": (_CUTS, "no line bends"),
    "hollow_radius": (_CUTS, "no outline has a hollow"),
    "corners": (_CUTS, "no line of this kind, open or closed"),
    "interior_angle": (_CUTS, "no line has a corner"),
    "hollow_corners": (_CUTS, "no closed outline"),
    "piece_size": (_CUTS, "no closed outline"),
    "neck": (_CUTS, "no closed outline"),
    "notch": (_CUTS, "no outline has a deep hollow"),
    "outline_gap": (_CUTS, "fewer than two lines"),
    "clearance": ((Role.ART,), "no picture beside a line to cut"),
    "items_per_page": ((*_SHOWN, Role.TRACE), "nothing to match"),
    "choices": ((Role.CHOICE,), ""),
    "item_gap": ((*_SHOWN, Role.TRACE), "fewer than two things"),
    "target_size": ((*_SHOWN, Role.TRACE), "nothing to match"),
    "size_difference": ((Role.TRACE,), "fewer than two outlines"),
    "letter_height": ((Role.LETTER, *_SHOWN, Role.MODEL), "no letter that is kept as text"),
    "x_height": ((Role.LETTER, *_SHOWN, Role.MODEL), "no small letter that is kept as text"),
    "guide_line": ((Role.TRACE,), "no plain line to follow"),
    "corridor": ((Role.TRACE,), "no lane to follow"),
    "shape_size": ((Role.TRACE,), "no lane to follow"),
    "trace_letter_height": ((Role.TRACE,), ""),
    "loose_piece_width": ((Role.CARD,), ""),
    "pictures": ((Role.CARD,), ""),
    "card_size": ((Role.CARD,), ""),
    "card_width": ((Role.CARD,), ""),
    "areas": ((Role.ANSWER_SPACE,), ""),
    "cells_to_fill": ((Role.ANSWER_SPACE,), ""),
    "cell_size": ((Role.ANSWER_SPACE,), ""),
    "amount": ((Role.TARGET,), "no picture to count"),
    "counted_size": ((Role.TARGET,), "no picture to count"),
    "counted_gap": ((Role.TARGET,), "no group of two or more"),
    "choice_box": ((Role.CHOICE,), ""),
    "strip_unit": ((Role.CARD,), "no strip named strip-1, strip-2 ..."),
    "unit_spread": ((Role.CARD,), "no strip named strip-1, strip-2 ..."),
    "length_apart": ((Role.TARGET,), "no two things named length-1, length-2 ..."),
    "length_beyond": ((Role.TARGET,), "no thing named length-1, or no unit named unit-1"),
    "row_length": ((Role.ANSWER_SPACE,), "no place named row-1, row-2 ..."),
    "size_shown": ((Role.CARD,), "no cards with one picture in several sizes, size-1, size-2 ..."),
    "size_ratio": ((Role.CARD,), "no cards with one picture in several sizes, size-1, size-2 ..."),
    "size_step": ((Role.CARD,), "no cards with one picture in several sizes, size-1, size-2 ..."),
}
"""Limit -> roles of which a mark must have one, and what is missing where one has."""


@dataclass(frozen=True, slots=True)
class Unmeasured:
    """A limit of the skill and stage without a measured value, and why there is none."""

    limit: str
    reason: str


def unmeasured(
    page: Page, skill: str, stage: int, findings: Sequence[Finding]
) -> tuple[Unmeasured, ...]:
    """The limits that nothing was measured for, in the order of the guidance."""
    found = {finding.limit for finding in findings if not _is_empty(finding, page)}
    rows: dict[str, Unmeasured] = {}
    for name, limit in limits(skill, stage).items():
        if limit.label not in found and limit.label not in rows:
            rows[limit.label] = Unmeasured(limit.label, _reason(name, limit, page))
    return tuple(rows.values())


def of_the_skill(page: Page, skill: str) -> bool:
    """Whether any mark on the page has a role that the limits of the skill are about."""
    return _has(page.marks, _ROLES[skill]) or (skill == "cutting" and _has_pieces(page))


_ROLES: dict[str, tuple[Role, ...]] = {
    "cutting": (*_CUTS, Role.FOLD),
    "matching": (Role.TRACE, Role.TARGET, Role.CARD),
    "letters": (Role.LETTER, *_SHOWN, Role.TRACE),
    "sequence": (Role.CARD, Role.ANSWER_SPACE),
    "pattern": (Role.MODEL, Role.ANSWER_SPACE, Role.CARD),
    "sorting": (Role.ANSWER_SPACE, Role.CARD),
    "telling": (Role.TARGET, Role.ANSWER_SPACE, Role.MODEL),
    "number": (*_SHOWN, Role.ANSWER_SPACE, Role.CARD),
    "tracing": (Role.TRACE,),
    "names": (*_SHOWN, Role.ANSWER_SPACE, Role.TRACE, Role.CARD),
}


def _is_empty(finding: Finding, page: Page) -> bool:
    """No cut on a page that has nothing to fold either: counting them tells nothing."""
    lines = (*_CUTS, Role.FOLD)
    return finding.limit == "cuts per page" and not any(mark.role in lines for mark in page.marks)


def _reason(name: str, limit: Limit, page: Page) -> str:
    if not limit.measured:
        return "no measure can be read off a page; the adult decides"
    roles, missing = _NEEDS[name.removeprefix("open_")]
    if roles and not _has(page.marks, roles):
        words = " or ".join(f'"{role.value}"' for role in dict.fromkeys(roles))
        return f"no mark with the role {words} on the page"
    return missing or "no such mark that could be measured"


def _has(marks: Sequence[Mark], roles: Collection[Role]) -> bool:
    return any(mark.role in roles for mark in marks)


_PIECES = ("adult-outline", "glue-", "pieces")


def _has_pieces(page: Page) -> bool:
    """Whether it has outlines that an adult cuts, or those on which cut pieces are glued."""
    return any(mark.id.startswith(_PIECES) and mark.id != "glue-box" for mark in page.marks)


# --- which skill ----------------------------------------------------------------------------------


def likely_skill(page: Page) -> str | None:
    """The skill that the roles of a page's marks speak for; None if none does.

    Cards alone speak for none: several skills have them, with different limits.
    """
    roles = {mark.role for mark in page.marks}
    answers = [mark for mark in page.marks if mark.role is Role.ANSWER_SPACE]
    things = [mark for mark in page.marks if mark.role is Role.TARGET]
    letters = Role.LETTER in roles or Role.CHOICE in roles
    rules = (
        ("cutting", bool(roles & {Role.CUT, Role.ENTRY, Role.FOLD}) or _has_pieces(page)),
        ("names", any(mark.id.startswith("own-") for mark in page.marks)),
        ("telling", _is_book(page)),
        ("number", _counts(page)),
        ("letters", letters or _names_letters(page)),
        ("tracing", any(_is_lane(mark) for mark in page.marks)),
        ("matching", Role.TRACE in roles),
        ("number", bool(answers) and _all_named(answers, "row")),
        ("number", bool(things) and _all_named(things, "length")),
        ("sequence", bool(answers) and (Role.CARD in roles or _all_named(answers, "box"))),
        ("sorting", bool(answers) and _all_named(answers, "area")),
        ("pattern", bool(answers) or Role.MODEL in roles),
        ("matching", Role.TARGET in roles),
    )
    return next((skill for skill, speaks in rules if speaks), None)


def _is_lane(mark: Mark) -> bool:
    """Whether it is a lane to trace, not the outline of a thing to set down."""
    return isinstance(mark, Stroke) and mark.role is Role.TRACE and mark.lane is not None


def _all_named(answers: Sequence[Mark], kind: str) -> bool:
    """Whether all are of no item and have such a name, as ``area-1``: places, not parts of rows."""
    return all(mark.item == 0 and mark.id.startswith(f"{kind}-") for mark in answers)


_IN_BOOKS = ("picture", "drawing", "word", "sentence")


def _is_book(page: Page) -> bool:
    """Whether all that is looked at, read or drawn in is named by the page of a book it is on."""
    roles = (Role.TARGET, Role.ANSWER_SPACE, Role.MODEL)
    shown = [mark for mark in page.marks if mark.role in roles]
    return bool(shown) and all(mark.id.partition("-")[0] in _IN_BOOKS for mark in shown)


def _counts(page: Page) -> bool:
    """Whether numerals are to be chosen, laid or made, or pictures are shown in groups."""
    roles = (Role.CHOICE, Role.CARD, Role.MODEL)
    groups = [mark for mark in page.marks if mark.id.startswith("group-")]
    return bool(groups) or any(
        isinstance(mark, Text) and mark.role in roles and mark.text.strip().isdecimal()
        for mark in page.marks
    )


def _names_letters(page: Page) -> bool:
    return any(isinstance(mark, Text) and mark.role is Role.TARGET for mark in page.marks)
