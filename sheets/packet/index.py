"""``packet.json``: which page of which file holds what of whom, with parameters and findings."""

from __future__ import annotations

import dataclasses
import io
import json
import zlib
from collections.abc import Mapping
from pathlib import Path

from sheets.packet.digest import Spot
from sheets.packet.folder import MADE_BY
from sheets.packet.plan import Counted, Plan

INDEX_VERSION = 2

Content = Mapping[str, tuple[str, ...]]
"""File -> for each page a text that differs if its content does."""


def selection(plan: Plan) -> dict[str, object]:
    """What part of class and plan a packet holds: a smaller part must not replace a larger one."""
    choices = plan.choices
    return {
        "theme": plan.theme.slug,
        "children": [child.tag for child in plan.children] if choices.only else "all",
        "kinds": list(choices.kinds) or "all",
        "days": list(choices.days) or "all",
    }


def changed_pages(content: Content, labels: Content, before: object) -> dict[str, list[int]]:
    """The pages, from 1, that the packet before did not have with this label and content.

    Args:
        before: the index of that packet, whatever it holds; files it does not know are left out.
    """
    old = before.get("content") if isinstance(before, dict) else None
    found: dict[str, list[int]] = {}
    for file, pages in content.items():
        rows = old.get(file) if isinstance(old, dict) else None
        if not isinstance(rows, list):
            continue
        known = {tuple(row) for row in rows if isinstance(row, list)}
        pairs = enumerate(zip(labels[file], pages, strict=True), start=1)
        new = [number for number, pair in pairs if pair not in known]
        if new:
            found[file] = new
    return found


def write_index(
    plan: Counted, content: Content, changed: Mapping[str, list[int]], path: Path
) -> None:
    """``packet.json``: the packet's choices, the guidance used, the pages, then one sheet a line.

    A finding is one measured value and the marks that have it; its ``guidance`` is the number of
    its limit in the list of that name, from 0.

    Args:
        changed: pages that differ from those of the packet that was here.
    """
    from sheets.write.files import write_files

    totals = plan.totals()
    head = {
        "made_by": MADE_BY,
        "version": INDEX_VERSION,
        "selection": selection(plan),
        "title": plan.theme.title,
        "paper": plan.choices.paper.name,
        "ink": plan.choices.ink,
        "colour": plan.choices.colour,
        "seed": plan.choices.seed,
        "files": dict(totals.pages),
        "sheets_one_sided": totals.sheets,
        "sheets_of_cards": plan.imposed.card_sheets,
        "no_page": [dataclasses.asdict(gap) for gap in plan.gaps],
        "changed": dict(changed),
        "guidance": list(plan.limits),
    }

    def written() -> bytes:
        # Written piece by piece: thousands of pages make megabytes, needed once and not thrice.
        text = io.StringIO()
        text.write(json.dumps(head, ensure_ascii=False, indent=1)[:-2])
        pages = {
            file: [list(row) for row in zip(_labels(plan, file), marks, strict=True)]
            for file, marks in content.items()
        }
        text.write(f',\n "content": {json.dumps(pages, ensure_ascii=False)}')
        text.write(',\n "sheets": [')
        for number in range(len(plan.sheets)):
            text.write(",\n" if number else "\n")
            text.write(_line(plan, number))
        text.write("\n]\n}\n")
        return text.getvalue().encode("utf-8")

    write_files([(path, written)])


def _labels(plan: Counted, file: str) -> tuple[str, ...]:
    return plan.imposed.labels.get(file, plan.adult_labels)


def _line(plan: Counted, number: int) -> str:
    """One sheet: whose it is, where it is printed, what made it and what was found on it."""
    planned = plan.sheets[number]
    entry = {
        "tag": planned.child.tag,
        "kind": planned.kind,
        "skill": planned.skill,
        "stage": planned.stage,
        "day": planned.day,
        "seed": planned.options.seed,
        "on": [_place(spot) for spot in plan.imposed.spots[number]],
    }
    text = json.dumps(entry, ensure_ascii=False)
    record = zlib.decompress(plan.digests[number].record).decode()
    return f"{text[:-1]}, {record[1:]}"


def _place(spot: Spot) -> dict[str, object]:
    found: dict[str, object] = {"file": spot.file, "page": spot.page + 1}
    if spot.half:
        found["half"] = spot.half
    if spot.cards:
        found["cards"] = spot.cards
    if spot.again:
        found["used_again"] = True
    return found
