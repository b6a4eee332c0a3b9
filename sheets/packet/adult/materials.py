"""What to have ready for a packet: how many of what, for whom. Counted, not drawn.

Things that are used up (pages, pouches) are summed over all pages. Things that are used again
(scissors, glue, cans) are counted once a child, as many as that child's most demanding page needs.
What only the adult uses is counted once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sheets.files.class_list import Child
from sheets.packet.plan import Plan
from sheets.page.model import Material

FOR_THE_ADULT = "for the adult"
ADULTS, AT_THE_TABLES, SHARED = "For the adult", "At the tables", "Things to share"
_PAPER = ("printed ", "sheet of ")
_USED_UP = ("laminat",)
_SHARED_BY_TURNS = ("objects", "small-parts")
"""Cautions of things that stand on a table and are shared by turns."""

SCISSOR_NEEDS: Mapping[str, str] = {
    "loop-scissors": "loop scissors (whole-hand squeeze), blunt tips",
    "spring-scissors": "spring scissors (they open by themselves), blunt tips",
    "left-scissors": "left-handed scissors, blunt tips",
}
"""Need of the class list -> what to have, the more particular need first."""
LEFT, RIGHT = SCISSOR_NEEDS["left-scissors"], "right-handed scissors, blunt tips"
EITHER = "scissors of both hands to choose from, blunt tips"
_SCISSOR_ORDER = (LEFT, *list(SCISSOR_NEEDS.values())[:2], RIGHT, EITHER)


@dataclass(frozen=True, slots=True)
class Supply:
    """One line of the materials list.

    Args:
        group: heading it stands under.
        needed: how many if all children work at the same time.
        with_spare: the same and the spare; equal where a spare makes no sense.
        tags: of the children it is for, in the order of the class list; empty for the adult's.
        caution: id of its caution; may be empty.
    """

    group: str
    name: str
    needed: int
    with_spare: int
    tags: tuple[str, ...] = ()
    caution: str = ""


def spared(needed: int, spare: float) -> int:
    """``needed`` and a share of it beyond, rounded up."""
    # To the sixth digit, or 10 % of 20 would be 2.0000000000000004 and make 23.
    return math.ceil(round(needed * (1.0 + spare), 6))


def scissors_for(child: Child) -> str:
    """The scissors a child cuts with, by needs first and hand then."""
    for need, name in SCISSOR_NEEDS.items():
        if need in child.needs:
            return name
    return {"left": LEFT, "right": RIGHT}.get(child.hand, EITHER)


def supplies(plan: Plan) -> tuple[Supply, ...]:
    """The materials list of a counted plan: paper, scissors, things, what is used up."""
    spare = plan.choices.spare
    return (*_paper(plan), *_scissors(plan), *_again(plan, spare), *_used_up(plan, spare))


def scissors_not_needed(plan: Plan) -> tuple[str, ...]:
    """One line for each kind of scissors in the class list that no page of the packet asks for."""
    cutting = _cutting_children(plan)
    rows: dict[str, list[str]] = {}
    for child in plan.children:
        if child.tag not in cutting and any(need in child.needs for need in SCISSOR_NEEDS):
            rows.setdefault(scissors_for(child), []).append(child.tag)
    return tuple(
        f"In the class list, but no page here is cut by {', '.join(tags)}: {name}."
        for name, tags in rows.items()
    )


def _paper(plan: Plan) -> list[Supply]:
    totals, spare = plan.totals(), plan.choices.spare
    plain = totals.plain + totals.keys + totals.adult + totals.notes
    name = plan.choices.paper.name
    shown = "Letter" if name == "letter" else name.upper()
    rows = [Supply("Paper", f"plain paper, {shown}, sheets", plain, spared(plain, spare))]
    if totals.card:
        card = f"card, {shown}, sheets"
        rows.append(Supply("Paper", card, totals.card, spared(totals.card, spare)))
    return rows


def _cutting_children(plan: Plan) -> dict[str, Child]:
    """The children with a page that they cut, by tag."""
    found: dict[str, Child] = {}
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        if any(material.caution == "scissors" for material in digest.materials):
            found.setdefault(planned.child.tag, planned.child)
    return found


def _scissors(plan: Plan) -> list[Supply]:
    cutting = _cutting_children(plan)
    rows: dict[str, list[str]] = {}
    for child in plan.children:
        if child.tag in cutting:
            rows.setdefault(scissors_for(child), []).append(child.tag)
    return [
        Supply(
            "Scissors",
            name,
            len(rows[name]),
            spared(len(rows[name]), plan.choices.spare),
            tuple(rows[name]),
            "scissors",
        )
        for name in _SCISSOR_ORDER
        if name in rows
    ]


def _again(plan: Plan, spare: float) -> list[Supply]:
    """Things that are used again: for the adult, for each child, shared on the tables."""
    most: dict[str, dict[str, float]] = {}
    kinds: dict[str, Material] = {}
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        for material in digest.materials:
            if material.caution == "scissors" or _is(material, _PAPER) or _is(material, _USED_UP):
                continue
            kinds.setdefault(material.name, material)
            by_tag = most.setdefault(material.name, {})
            tag = planned.child.tag
            by_tag[tag] = max(by_tag.get(tag, 0.0), material.quantity)
    rows = []
    for name, by_tag in most.items():
        material = kinds[name]
        label = name + (f" ({material.unit})" if material.unit else "")
        if FOR_THE_ADULT in name:
            rows.append(Supply(ADULTS, label, 1, 1, (), material.caution))
            continue
        needed = math.ceil(round(sum(by_tag.values()), 6))
        shared = material.caution in _SHARED_BY_TURNS
        group = SHARED if shared else AT_THE_TABLES
        enough = needed if shared else spared(needed, spare)
        rows.append(Supply(group, label, needed, enough, _in_order(plan, by_tag), material.caution))
    order = (ADULTS, AT_THE_TABLES, SHARED)
    return sorted(rows, key=lambda row: order.index(row.group))


def _used_up(plan: Plan, spare: float) -> list[Supply]:
    sums: dict[str, float] = {}
    tags: dict[str, dict[str, float]] = {}
    kinds: dict[str, Material] = {}
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        for material in digest.materials:
            if not _is(material, _USED_UP):
                continue
            sums[material.name] = sums.get(material.name, 0.0) + material.quantity
            tags.setdefault(material.name, {})[planned.child.tag] = 1.0
            kinds.setdefault(material.name, material)
    return [
        Supply(
            "Used up",
            name,
            math.ceil(total),
            spared(math.ceil(total), spare),
            _in_order(plan, tags[name]),
            kinds[name].caution,
        )
        for name, total in sums.items()
    ]


def _is(material: Material, starts: Iterable[str]) -> bool:
    return material.name.startswith(tuple(starts))


def _in_order(plan: Plan, tags: Mapping[str, float]) -> tuple[str, ...]:
    return tuple(child.tag for child in plan.children if child.tag in tags)
