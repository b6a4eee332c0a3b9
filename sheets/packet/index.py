"""``packet.json``: what page of which file is whose, with its parameters and findings."""

from __future__ import annotations

import dataclasses
import io
import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sheets.packet.digest import CARD, KEYS, PLAIN
from sheets.packet.folder import MADE_BY
from sheets.packet.key_pairs import page_of
from sheets.packet.plan import Counted, Plan

INDEX_VERSION = 1


@dataclass(frozen=True, slots=True)
class PageRow:
    """One page of a file, or one of the keys on it: which sheet it is of, and which page of that.

    Args:
        page: index of the page in the file; two keys share one.
    """

    page: int
    sheet: int
    tag: str
    label: str


def rows_of(plan: Counted, name: str) -> list[PageRow]:
    """The pages, or the keys, of a file in print order."""
    rows: list[PageRow] = []
    for number, (planned, digest) in enumerate(zip(plan.sheets, plan.digests, strict=True)):
        count = digest.counts.of(name)
        for i in range(1, count + 1):
            part = f" {i} of {count}" if count > 1 else ""
            key = " key" if name == KEYS else ""
            page = page_of(len(rows)) if name == KEYS else len(rows)
            rows.append(PageRow(page, number, planned.child.tag, f"{planned.label}{key}{part}"))
    return rows


def selection(plan: Plan) -> dict[str, object]:
    """What part of class and plan a packet holds: a smaller part must not replace a larger one."""
    choices = plan.choices
    return {
        "theme": plan.theme.slug,
        "children": [child.tag for child in plan.children] if choices.only else "all",
        "kinds": list(choices.kinds) or "all",
        "days": list(choices.days) or "all",
    }


def write_index(plan: Counted, path: Path) -> None:
    """``packet.json``: the packet's choices, the guidance used, then one page a line.

    A finding is one measured value and the marks that have it; its ``guidance`` is the number of
    its limit in the list of that name, from 0.
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
        "no_page": [dataclasses.asdict(gap) for gap in plan.gaps],
        "guidance": list(plan.limits),
    }

    def content() -> bytes:
        # Written piece by piece: thousands of pages make megabytes, needed once and not thrice.
        text = io.StringIO()
        text.write(json.dumps(head, ensure_ascii=False, indent=1)[:-2])
        text.write(',\n "pages": [')
        before = "\n"
        for name in (PLAIN, CARD, KEYS):
            for line in _index_lines(plan, name, rows_of(plan, name)):
                text.write(before)
                text.write(line)
                before = ",\n"
        text.write("\n]\n}\n")
        return text.getvalue().encode("utf-8")

    write_files([(path, content)])


def _index_lines(plan: Counted, name: str, rows: list[PageRow]) -> Iterator[str]:
    for row in rows:
        planned = plan.sheets[row.sheet]
        entry = {
            "file": name,
            "page": row.page + 1,
            "tag": row.tag,
            "kind": planned.kind,
            "skill": planned.skill,
            "stage": planned.stage,
            "day": planned.day,
            "seed": planned.options.seed,
        }
        text = json.dumps(entry, ensure_ascii=False)
        if name != KEYS:
            record = zlib.decompress(plan.digests[row.sheet].record).decode()
            text = f"{text[:-1]}, {record[1:]}"
        yield text
