"""What an adult does before the week: cuts, things to have ready, preparation, usual cautions."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Mapping, Sequence

from shapes.path import BBox
from sheets.kinds.cautions import RIDER, caution
from sheets.kinds.sheet import OTHER_RULES
from sheets.packet.adult.diagram import cutting_diagram, diagram_size, largest_paper
from sheets.packet.adult.flow import BODY_PT, LINE, Flow
from sheets.packet.adult.materials import SHARED, Supply, scissors_not_needed, supplies
from sheets.packet.adult.words import (
    capital,
    cut_plan,
    kind_name,
    listed_tags,
    sheets_of,
    spans,
    tags_of,
)
from sheets.packet.digest import KEYS, STACK, Trim
from sheets.packet.plan import Counted, PlannedSheet
from sheets.packet.week import week
from sheets.page.model import Mark, Role, Text

READY = "Getting ready"
TOLD_ONCE = ("straight cuts", "on the sheets of cards")
"""Words of lines that say of one sheet how to cut it, or where its cards are: told once for all."""
FILM = (
    "Laminate the cut cards apart, as they were printed; cut the film down the middle of the gaps "
    "and round the corners."
)
WIDER = "wider than the small-parts cylinder"
LOOSE = (
    f"Loose cards and tiles are {WIDER} (31.7 mm), but paper tears: stay beside a child who mouths "
    "things."
)
"""What the pages say of their cards, once for all."""
_DRAWING_MM = 40.0
_GAP = 5.0
_CRAYON = " crayon"


def ready(flow: Flow, plan: Counted) -> None:
    """The part of the adult's pages about what comes before the week."""
    flow.section(READY, f"{READY}: {plan.theme.title}", least_mm=95.0)
    _cuts(flow, plan)
    _materials(flow, plan)
    _preparation(flow, plan)
    _cautions(flow, plan)


# --- cuts -----------------------------------------------------------------------------------------

_WAYS: Mapping[str, tuple[str, str]] = {
    "panel": ("A piece", "across, then the middle piece down"),
    "strips": ("Strips", "across only"),
    "half": ("Halves", "across the middle"),
    "cards": ("Cards", "across; stack the strips of each block in their order, left edges level, "
                       "under the strip with the ticks; cut down"),
}  # fmt: skip
"""Kinds of cut plan: what comes of it, and how it is cut."""


def _way(trim: Trim) -> str:
    return "strips" if trim.kind == "panel" and not trim.down else trim.kind


def _cuts(flow: Flow, plan: Counted) -> None:
    """A drawing for each way of cutting, and the pages that are cut so."""
    trims: dict[str, list[Trim]] = {}
    for trim in plan.imposed.trims:
        trims.setdefault(_way(trim), []).append(trim)
    if not trims:
        return
    ways = {way: trims[way] for way in _WAYS if way in trims}
    high = _drawings(flow, plan, ways, dry=True)
    counts = week(plan)
    flow.heading("To cut beforehand with a paper trimmer", high + 20.0)
    flow.paragraph(
        "The numbers are on the pages. Dashed lines are cuts, grey paper is kept. Pages with a "
        f"comma between them have all cuts in the same places: up to {STACK} sheets at once. "
        f"{counts.cuts} cuts in the week, {counts.cuts_stacked} in stacks."
    )
    _drawings(flow, plan, ways)
    flow.points(
        [f"{_WAYS[way][0]} ({_WAYS[way][1]}): {_alike(trims)}" for way, trims in ways.items()]
    )


def _drawings(
    flow: Flow, plan: Counted, ways: Mapping[str, Sequence[Trim]], *, dry: bool = False
) -> float:
    """The drawings side by side, as large as they fit; their height."""
    shown = {way: _shown(trims) for way, trims in ways.items()}
    cuts = {way: cut_plan(trim, plan.choices.paper) for way, trim in shown.items()}
    room = flow.width - _GAP * (len(cuts) - 1)
    size = min(_DRAWING_MM, largest_paper(list(cuts.values()), room))
    high = max(diagram_size(one, size)[1] for one in cuts.values())

    def draw(box: BBox) -> list[Mark]:
        marks: list[Mark] = []
        x = box.x0
        for way, one in cuts.items():
            text = f"{_WAYS[way][0]}: {shown[way].file} {shown[way].page + 1}"
            marks.append(Text(x, box.y1 - LINE, text, BODY_PT, Role.ADULT))
            marks += cutting_diagram(one, x, box.y0 + high / 2.0 + 1.0, size)
            x += diagram_size(one, size)[0] + _GAP
        return marks

    if not dry:
        flow.block(high + LINE + 2.5, draw)
    return high


def _shown(trims: Sequence[Trim]) -> Trim:
    """The page that is drawn: of at most two blocks if there is one, and the highest stack."""
    return max(trims, key=lambda trim: (
        -abs(len(trim.blocks) - 2), max((rows for rows, _ in trim.blocks), default=0), -trim.page
    ))  # fmt: skip


def _alike(trims: Sequence[Trim]) -> str:
    """Files and pages, those with all cuts in the same places together."""
    if trims[0].kind == "cards":
        # In piles of whole sheets the children's cards would mix.
        return f"{_pages(trims)}, one sheet at a time, at most {STACK} strips in a stack."
    alike: dict[tuple[str, tuple[float, ...], tuple[float, ...]], list[Trim]] = {}
    for trim in trims:
        alike.setdefault((trim.file, trim.across, trim.down), []).append(trim)
    return "; ".join(map(_pages, alike.values())) + "."


def _pages(trims: Sequence[Trim]) -> str:
    return f"{trims[0].file} {spans(trim.page + 1 for trim in trims)}"


# --- materials ------------------------------------------------------------------------------------


def _materials(flow: Flow, plan: Counted) -> None:
    found = [row for row in supplies(plan) if row.group != "Paper"]
    if not found:
        return
    share = f"{plan.choices.spare * 100:g} %"
    flow.heading("Materials", 20.0, f"if all work at the same time; in brackets with {share} spare")
    shared = [row for row in found if row.group == SHARED]
    aside = _common_aside([row.name for row in shared])
    rows = [_supply(plan, row, aside if row.group == SHARED else "") for row in _crayons(found)]
    flow.points(rows, mark="box", columns=2)
    more = list(scissors_not_needed(plan))
    if shared:
        said = f"; {aside[2:-1]}" if aside else ""
        more.insert(0, f"Tins, cards and the like: one set a table is enough{said}.")
    if more:
        flow.paragraph(" ".join(more))


def _crayons(rows: Sequence[Supply]) -> list[Supply]:
    """Crayons of several colours for the same children as one row."""
    alike: dict[Supply, list[str]] = {}
    for row in rows:
        colour = row.name.removesuffix(_CRAYON) if row.name.endswith(f" {_CRAYON.strip()}") else ""
        key = dataclasses.replace(row, name=_CRAYON) if colour else row
        alike.setdefault(key, []).append(colour)
    return [
        dataclasses.replace(row, name=f"each: crayons {', '.join(colours)}") if colours[1:]
        else dataclasses.replace(row, name=colours[0] + row.name)
        for row, colours in alike.items()
    ]  # fmt: skip


def _supply(plan: Counted, row: Supply, aside: str) -> str:
    spare = f" ({row.with_spare})" if row.with_spare != row.needed else ""
    tags = listed_tags(plan, row.tags) if row.group != SHARED else ""
    name = row.name.removesuffix(aside) if aside else row.name
    return f"{row.needed}{spare} {name}" + (f": {tags}" if tags else "")


def _common_aside(names: Sequence[str]) -> str:
    """The words in brackets that all names end in, brackets and all; empty if they differ."""
    asides = {name[name.rfind(" (") :] if name.endswith(")") else "" for name in names}
    return asides.pop() if len(names) > 1 and len(asides) == 1 else ""


# --- preparation and cautions ---------------------------------------------------------------------


def _preparation(flow: Flow, plan: Counted) -> None:
    """Each step once, with the kind and the children it is for."""
    steps: dict[str, dict[str, list[PlannedSheet]]] = {}
    every: dict[str, int] = {}
    for planned, digest, _ in sheets_of(plan):
        every[planned.kind] = every.get(planned.kind, 0) + 1
        for line in digest.preparation:
            if not any(words in line for words in TOLD_ONCE):
                steps.setdefault(planned.kind, {}).setdefault(line, []).append(planned)
    lines = []
    if week(plan).envelopes:
        lines.append("Put the cut cards into envelopes by the tag and kind on them.")
    if plan.imposed.film:
        lines.append(FILM)
    for kind, found in steps.items():
        said: dict[str, list[str]] = {}
        starts = Counter(line.partition(": ")[0] for line in found)
        for line, sheets in found.items():
            start, _, rest = line.partition(": ")
            if starts[start] > 1:  # what differs by child only at its end is said once
                said.setdefault(f"{start}:", []).append(f"{tags_of(plan, sheets)}: {rest}")
            elif rest or len(sheets) == every[kind]:
                said[line] = []
            else:
                said[f"{line.rstrip('.')} ({tags_of(plan, sheets)})."] = []
        whole = " ".join(" ".join((capital(line), *more)) for line, more in said.items())
        lines.append(f"{kind_name(kind)}: {whole}")
    if KEYS in plan.totals().pages:
        lines.append("Keep the keys apart from the children's pages.")
    if lines:
        flow.heading("Preparation", 12.0)
        flow.points(lines, mark="box", columns=2)


def _cautions(flow: Flow, plan: Counted) -> None:
    ids = ["paper"]
    ids += [row.caution for row in supplies(plan)]
    if plan.imposed.trims:
        ids.append("trimmer")
    mouthing = [child.tag for child in plan.children if "mouths-objects" in child.needs]
    if mouthing:
        ids.append("small-parts")
    found = [caution(name) for name in dict.fromkeys(caution(name).id for name in ids if name)]
    flow.heading("Usual cautions", 24.0)
    flow.paragraph(RIDER)
    lines = [f"{one.title}: {one.paragraph()}" for one in found]
    if mouthing:
        lines.append(
            f"In the class list as mouthing things: {', '.join(mouthing)}. No loose small part "
            "within reach of that table."
        )
    told = [RIDER, OTHER_RULES, *(one.paragraph() for one in found)]
    known = {word.casefold() for one in found for word in (one.id, one.title, *one.also)}
    said = list(dict.fromkeys(line for digest in plan.digests for line in digest.cautions))
    for line in said:
        named = line.partition(":")[0].casefold() in known
        if not named and WIDER not in line and not any(line in text for text in told):
            lines.append(line)
    if any(WIDER in line for line in said):
        lines.append(LOOSE)
    flow.points(lines, columns=2)
