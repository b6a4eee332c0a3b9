"""The whole packet: what is chosen for it, its making, and its files to open and print."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from shapes.errors import InputError
from sheets import desk_facts, desk_page
from sheets.web.ask import HTML, PDF, Answer, Ask, Route
from sheets.web.work import Making

EVENTS = ("pages-changed",)
BAR = (80.0, 120.0)
"""What a measured bar may be, mm; beyond it something else is wrong with the print."""


def part(ask: Ask) -> str:
    """The whole section."""
    days = [row.day for row in ask.session.theme.plan]
    return ask.render("print", choices=ask.session.settings.choices, days=days, kinds=_kinds(ask),
                      usual=desk_facts.usual_paper(), **_state(ask))  # fmt: skip


def _state(ask: Ask) -> dict[str, Any]:
    """What there is to know before a packet is made, or made again."""
    plan, why = ask.session.plan()
    making = ask.work.packet
    done = making is not None and making.state == "done"
    stale = done and making is not None and making.revision != ask.session.revision
    return {"plan": plan, "why": why, "making": making, "left_out": len(_left_out(ask)),
            "stale": stale}  # fmt: skip


def state(ask: Ask) -> Answer:
    """The same alone; what has the focus beside it stays as it is."""
    return Answer(ask.render("print_state", **_state(ask)))


def _kinds(ask: Ask) -> list[str]:
    """The kinds that the week has, those that were unticked included."""
    planned = [kind for day in ask.session.theme.plan for kind in day.kinds]
    return list(dict.fromkeys(planned)) or list(desk_facts.usual_kinds())


def _left_out(ask: Ask) -> list[desk_page.Slot]:
    plan, _ = ask.session.plan()
    slots = {(sheet.child.tag, sheet.kind) for sheet in plan.sheets} if plan else set()
    return [slot for slot in slots if slot in ask.session.settings.left_out]


def show(ask: Ask) -> Answer:
    return Answer(part(ask))


def choose(ask: Ask) -> Answer:
    """Take the choices of the form."""
    given = _choices(ask)
    label = ask.words["print"]["choices"]
    ask.session.change_settings(label, lambda settings: settings.choices.update(given))
    return Answer(part(ask), events=("choices-changed",))


def _choices(ask: Ask) -> dict[str, Any]:
    days = [row.day for row in ask.session.theme.plan]
    chosen = [day for day in days if day in ask.several("days")]
    without = [kind for kind in _kinds(ask) if kind not in ask.several("kinds")]
    if len(without) == len(_kinds(ask)):
        raise InputError("every kind of page is left out", fix="tick one")
    if days and not chosen:
        raise InputError("no day is chosen", fix="tick one")
    return {
        "paper": "letter" if ask.text("paper") == "letter" else "a4",
        "ink": "saver" if ask.given("saver") else "normal",
        "colour": ask.given("colour"),
        "days": () if len(chosen) == len(days) else tuple(chosen),
        "without": tuple(without),
        "fresh": ask.given("fresh"),
        "children_only": ask.given("children_only"),
        "laminate": ask.given("laminate"),
    }


def measured(ask: Ask) -> Answer:
    """What the bar on a printed page measured."""
    bar = bar_of(ask.text("bar_measures"))
    label = ask.words["print"]["true_size"]
    ask.session.change_settings(label, lambda settings: settings.choices.update(bar_measures=bar))
    return Answer(part(ask))


def bar_of(text: str) -> float | None:
    """What a bar measured, in mm; None if nothing was said or it came out true.

    Raises:
        InputError: it is no measure of a 100 mm bar.
    """
    if not text:
        return None
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = 0.0
    if not BAR[0] <= found <= BAR[1]:
        raise InputError(
            f"'{text[:20]}' is not what a bar of 100 mm measures", where="`bar-measures`",
            fix=f"give {BAR[0]:.0f} to {BAR[1]:.0f}, or nothing",
        )  # fmt: skip
    return None if found == 100.0 else found


def start(ask: Ask) -> Answer:
    """Begin to make the packet."""
    busy = ask.work.packet
    if busy is None or busy.state != "making":
        making = Making(ask.session.revision, ask.session.packet_plan(), _folder(ask),
                        allow_outside=ask.given("allow_outside"))  # fmt: skip
        ask.work.start(making)
    return Answer(_progress(ask), events=EVENTS)


def _folder(ask: Ask) -> Path:
    """Where the packet is written: never where something else lies."""
    stem, number = f"{ask.session.theme.slug}-packet", 1
    while True:
        folder = ask.session.folder.path / (stem if number == 1 else f"{stem}-{number}")
        if not folder.exists() or desk_page.is_packet(folder):
            return folder
        number += 1


def _progress(ask: Ask) -> str:
    return ask.render("packet", making=ask.work.packet)


def progress(ask: Ask) -> Answer:
    """How far it is; asked again and again until it is done."""
    making = ask.work.packet
    over = making is None or making.state != "making"
    return Answer(_progress(ask), events=EVENTS if over else ())


def file(ask: Ask, name: str) -> Answer:
    """One of the finished files, to open or to download."""
    making = ask.work.packet
    content = making.files.get(name) if making is not None else None
    if content is None:
        return Answer("", HTML, 404)
    return Answer(content, PDF, download=name if ask.given("download") else "")


ROUTES = (
    Route("GET", "/print", show),
    Route("GET", "/print/state", state),
    Route("POST", "/print/choose", choose),
    Route("POST", "/print/bar", measured),
    Route("POST", "/packet/start", start),
    Route("GET", "/packet/progress", progress),
    Route("GET", "/packet/<name>", file),
)
