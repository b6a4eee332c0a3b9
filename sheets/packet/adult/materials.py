"""What to have ready for a packet: how many of what, for whom. Counted, not drawn.

Things that are used up (pages, pouches) are summed over all pages. Things that are used again
(scissors, glue) are counted once a child, as many as that child's most demanding page needs. What
is shared (cans, cards) is counted as one set, and what only the adult uses once.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sheets.files.class_list import Child
from sheets.kinds.materials import POUCH
from sheets.packet.plan import Counted
from sheets.packet.week import week
from sheets.page.model import Material

ADULTS, AT_THE_TABLES, SHARED = "For the adult", "At the tables", "Things to share, one set a table"
_GROUPS = {"adult": ADULTS, "tool": AT_THE_TABLES, "shared": SHARED}
SCISSORS = "scissors"
"""Caution of scissors, which are counted by hand and need."""

SCISSOR_NEEDS: Mapping[str, str] = {
    "loop-scissors": "loop scissors (whole-hand squeeze), blunt tips",
    "spring-scissors": "spring scissors (they open by themselves), blunt tips",
    "left-scissors": "left-handed scissors, blunt tips",
}
"""Need of the class list -> what to have, the more particular need first."""
LEFT, RIGHT = SCISSOR_NEEDS["left-scissors"], "right-handed scissors, blunt tips"
EITHER = "scissors of both hands to choose from, blunt tips"
GLUE_STICK, GLUE_FOR_TWO = "glue stick", "glue sticks, one for two children"
"""Shared at the table (common practice, no source)."""
TO_KEEP = "To keep cards in"
ENVELOPES = "envelopes, one for each child and set of cards"
_SCISSOR_ORDER = (LEFT, *list(SCISSOR_NEEDS.values())[:2], RIGHT, EITHER)


@dataclass(frozen=True, slots=True)
class Supply:
    """One line of the materials list.

    Args:
        group: heading it stands under.
        needed: how many if all children work at the same time; of what is shared, one set.
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


def supplies(plan: Counted) -> tuple[Supply, ...]:
    """The materials list of a counted plan: paper, scissors, things, what is used up."""
    spare = plan.choices.spare
    return (
        *_paper(plan),
        *_scissors(plan),
        *_again(plan, spare),
        *_used_up(plan, spare),
        *_envelopes(plan, spare),
    )


def scissors_listed(plan: Counted) -> tuple[str, ...]:
    """How many of which scissors, such as ``2 left-handed scissors, blunt tips``."""
    return tuple(f"{row.needed} {row.name}" for row in _scissors(plan))


def scissors_not_needed(plan: Counted) -> tuple[str, ...]:
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


def _paper(plan: Counted) -> list[Supply]:
    counts, spare = week(plan), plan.choices.spare
    name = plan.choices.paper.name
    shown = "Letter" if name == "letter" else name.upper()
    plain = f"plain paper, {shown}"
    rows = [Supply("Paper", plain, counts.plain, spared(counts.plain, spare))]
    if counts.card:
        card = f"card, {shown}"
        rows.append(Supply("Paper", card, counts.card, spared(counts.card, spare)))
    return rows


def _cutting_children(plan: Counted) -> dict[str, Child]:
    """The children with a page that they cut, by tag."""
    found: dict[str, Child] = {}
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        if any(material.caution == SCISSORS for material in digest.materials):
            found.setdefault(planned.child.tag, planned.child)
    return found


def _scissors(plan: Counted) -> list[Supply]:
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


def _by_tag(plan: Counted, uses: Collection[str]) -> dict[Material, dict[str, list[float]]]:
    """The materials of these uses, and how many each child's sheets need."""
    found: dict[Material, dict[str, list[float]]] = {}
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        for material in digest.materials:
            if material.use in uses and material.caution != SCISSORS:
                one = dataclasses.replace(material, quantity=1)
                by_tag = found.setdefault(one, {})
                by_tag.setdefault(planned.child.tag, []).append(material.quantity)
    return found


def _again(plan: Counted, spare: float) -> list[Supply]:
    """Things that are used again: for the adult, for each child, shared on the tables."""
    rows = []
    for material, by_tag in _by_tag(plan, _GROUPS).items():
        group = _GROUPS[material.use]
        all_of_them = [max(each) for each in by_tag.values()]
        # Children at a table take turns with one set of what is shared.
        needed = math.ceil(round((max if group == SHARED else sum)(all_of_them), 6))
        enough = needed if group == SHARED else spared(needed, spare)
        tags = _in_order(plan, by_tag)
        name = material.name
        if group == ADULTS:
            needed, enough, tags = 1, 1, ()
        elif name == GLUE_STICK:
            needed = math.ceil(needed / 2)
            name, enough = GLUE_FOR_TWO, spared(needed, spare)
        rows.append(Supply(group, name, needed, enough, tags, material.caution))
    order = list(_GROUPS.values())
    return sorted(rows, key=lambda row: order.index(row.group))


def _used_up(plan: Counted, spare: float) -> list[Supply]:
    rows = []
    for material, by_tag in _by_tag(plan, ("consumed",)).items():
        total = math.ceil(sum(sum(each) for each in by_tag.values()))
        tags = _in_order(plan, by_tag)
        rows.append(
            Supply("Used up", material.name, total, spared(total, spare), tags, material.caution)
        )
    film = week(plan).film
    if film:
        name, pouch = POUCH.name, POUCH.caution
        rows.append(Supply("Used up", name, film, spared(film, spare), (), pouch))
    return rows


def _envelopes(plan: Counted, spare: float) -> list[Supply]:
    """To keep what is cut for each child together until it is handed out, and afterwards."""
    count = week(plan).envelopes
    if not count:
        return []
    return [Supply(TO_KEEP, ENVELOPES, count, spared(count, spare))]


def _in_order(plan: Counted, tags: Collection[str]) -> tuple[str, ...]:
    return tuple(child.tag for child in plan.children if child.tag in tags)
