"""Every child's pages as small pictures, one of them large, and why it is as it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shapes.errors import InputError, TableworkError
from sheets import desk, desk_facts, desk_page
from sheets.web.ask import SVG, Answer, Ask, Route

if TYPE_CHECKING:
    from sheets.files.class_list import Child
    from sheets.packet.plan import PlannedSheet
    from sheets.page.model import Sheet

FEW = 3
"""Children whose pages are sent at once; those of more are asked for when they are looked at."""

Signature = tuple[Any, ...]


@dataclass(frozen=True)
class Tile:
    """One sheet of a child, for a small picture; ``sheet`` is None if it cannot be made.

    Args:
        bare: whether that is because the theme has nothing yet for the kind.
    """

    kind: str
    stage: int
    skill: str
    version: int
    left_out: bool
    sheet: Sheet | None
    why_not: str = ""
    bare: bool = False


@dataclass(frozen=True)
class Reason:
    """One limit of a stage: what the page has, what is asked, and what that rests on."""

    label: str
    measured: str
    allowed: str
    basis: str
    sources: tuple[str, ...]
    note: str


def part(ask: Ask) -> str:
    """The whole section; the pictures come when they are looked at."""
    plan, why = ask.session.plan()
    return ask.render("pages", children=ask.session.children(), plan=plan, why=why)


def show(ask: Ask) -> Answer:
    return Answer(part(ask))


def signatures(ask: Ask) -> dict[int, Signature]:
    """Row -> all that its pages depend on."""
    plan, _ = ask.session.plan()
    by_tag: dict[str, list[Any]] = {}
    for planned in plan.sheets if plan else ():
        by_tag.setdefault(planned.child.tag, []).append(
            (planned.kind, planned.stage, planned.options)
        )
    return {
        row: (child.shown, child.tag, *by_tag.get(child.tag, ()))
        for row, child in ask.session.children()
    }


def changed(ask: Ask, before: dict[int, Signature]) -> str:
    """What to put in the place of the pages that a change has changed."""
    after = signatures(ask)
    if list(before) != list(after):
        return all_changed(ask)
    rows = [row for row in after if before[row] != after[row]]
    return "".join(_child(ask, row, oob=True, at_once=len(rows) <= FEW) for row in rows)


def all_changed(ask: Ask) -> str:
    """The whole section, to be put in its place."""
    plan, why = ask.session.plan()
    return ask.render("pages", children=ask.session.children(), plan=plan, why=why, oob=True)


def _child(ask: Ask, row: int, *, oob: bool, at_once: bool) -> str:
    child = dict(ask.session.children()).get(row)
    if child is None:
        return ""
    tiles = list(_tiles(ask, row)) if at_once else None
    return ask.render("child", row=row, child=child, tiles=tiles, oob=oob)


def _tiles(ask: Ask, row: int) -> Iterable[Tile]:
    for planned in ask.session.planned(row):
        yield _tile(ask, planned)


def _tile(ask: Ask, planned: PlannedSheet) -> Tile:
    plan, _ = ask.session.plan()
    assert plan is not None
    key = (planned.kind, planned.stage, planned.options)
    found: dict[str, Any] = {
        "kind": planned.kind,
        "stage": planned.stage,
        "skill": planned.skill,
        "version": abs(hash((key, id(plan.theme)))) % 10**9,
        "left_out": (planned.child.tag, planned.kind) in ask.session.settings.left_out,
    }
    try:
        return Tile(**found, sheet=ask.work.sheet(plan, planned))
    except TableworkError as error:
        section = desk_facts.section_of(planned.kind)
        bare = bool(section) and section not in plan.theme.sections
        return Tile(**found, sheet=None, why_not=str(error), bare=bare)


def child(ask: Ask, row: int) -> Answer:
    """The small pictures of one child."""
    return Answer(_child(ask, row, oob=False, at_once=True))


def _planned(ask: Ask, row: int, kind: str) -> PlannedSheet:
    found = next((sheet for sheet in ask.session.planned(row) if sheet.kind == kind), None)
    if found is None:
        raise InputError("there is no such page now", fix="look at the class list")
    return found


def picture(ask: Ask, row: int, kind: str, what: str, number: int) -> Answer:
    """One page, or a page of the key, as a picture."""
    plan, _ = ask.session.plan()
    planned = _planned(ask, row, kind)
    assert plan is not None
    sheet = ask.work.sheet(plan, planned)
    return Answer(desk.preview(sheet, number, key=what == "key"), SVG)


# --- one child large ------------------------------------------------------------------------------


def large(ask: Ask, row: int, kind: str) -> Answer:
    """One sheet large, with everything about it."""
    return Answer(large_body(ask, row, kind))


def large_body(ask: Ask, row: int, kind: str, *, oob: bool = False) -> str:
    """The same as a fragment; words instead if the child no longer has such a page."""
    children = dict(ask.session.children())
    planned = next((sheet for sheet in ask.session.planned(row) if sheet.kind == kind), None)
    skill = desk_facts.skill_of(kind)
    shown: dict[str, Any] = {"row": row, "child": children.get(row), "kind": kind, "oob": oob,
                             "skill": skill, "stage": None, "tile": None}  # fmt: skip
    if planned is not None:
        tile = _tile(ask, planned)
        shown |= {"stage": planned.stage, "tile": tile,
                  "reasons": _reasons(tile), "needs": planned.options.needs}  # fmt: skip
    order = list(children)
    at = order.index(row) if row in order else -1
    shown["earlier"] = order[at - 1] if at > 0 else None
    shown["later"] = order[at + 1] if 0 <= at < len(order) - 1 else None
    shown["kinds"] = [sheet.kind for sheet in ask.session.planned(row)]
    shown["meanings"] = desk_facts.stage_meanings(skill)
    return ask.render("large", **shown)


def _reasons(tile: Tile) -> list[Reason]:
    """The limits of the stage with what was measured; first what the sheet's skill is about."""
    measured: dict[str, list[float | str]] = {}
    for finding in tile.sheet.findings if tile.sheet else ():
        measured.setdefault(finding.limit, []).append(finding.measured)
    rows: dict[str, Reason] = {}
    for limit in desk.limits(tile.skill, tile.stage):
        if limit.label == "act" or (limit.measured and limit.label not in measured):
            continue
        rows.setdefault(limit.label, Reason(
            limit.label, _span(measured.get(limit.label, []), limit.unit), limit.phrase(),
            limit.basis, tuple(source.short for source in limit.sources), limit.note,
        ))  # fmt: skip
    return sorted(rows.values(), key=lambda row: not row.measured)


def _span(values: list[float | str], unit: str) -> str:
    numbers = [value for value in values if isinstance(value, float | int)]
    if not numbers:
        return "; ".join(dict.fromkeys(str(value) for value in values))
    low, high = min(numbers), max(numbers)
    text = f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
    return f"{text} {unit}".strip()


def _slot(ask: Ask) -> tuple[int, str, desk_page.Slot]:
    row, kind = ask.number("row"), ask.text("kind")
    children: dict[int, Child] = dict(ask.session.children())
    if row not in children or kind not in desk_facts.kind_names():
        raise InputError("there is no such page now", fix="look at the class list")
    return row, kind, (children[row].tag, kind)


def leave_out(ask: Ask) -> Answer:
    """Leave a page out, or put it back."""
    row, kind, slot = _slot(ask)
    label = ask.words["pages"]["leave_out"]
    ask.session.change_settings(
        label, lambda settings: settings.left_out.symmetric_difference_update({slot})
    )
    return Answer(
        large_body(ask, row, kind) + _child(ask, row, oob=True, at_once=True),
        events=("pages-changed",),
    )


def another(ask: Ask) -> Answer:
    """Another page of the same kind and stage."""
    row, kind, slot = _slot(ask)

    def change(settings: Any) -> None:
        settings.another[slot] = settings.another.get(slot, 0) + 1

    ask.session.change_settings(ask.words["pages"]["another"], change)
    return Answer(
        large_body(ask, row, kind) + _child(ask, row, oob=True, at_once=True),
        events=("pages-changed",),
    )


ROUTES = (
    Route("GET", "/pages", show),
    Route("GET", "/pages/<int:row>", child),
    Route("GET", "/large/<int:row>/<kind>", large),
    Route("GET", "/preview/<int:row>/<kind>/<any(page, key):what>/<int:number>", picture),
    Route("POST", "/pages/leave-out", leave_out),
    Route("POST", "/pages/another", another),
)
