"""A class of twenty and its packet, made once for all tests that only look at it."""

from __future__ import annotations

import dataclasses
import functools
import tempfile
from pathlib import Path
from typing import Any

from sheets.cli.report_packet import PacketRun, report_packet
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.packet import make as packet
from sheets.packet.make import Packet
from sheets.packet.plan import Choices, Plan, make_plan
from sheets.page.frame import paper as paper_called

CLASS_FILE = Path(__file__).parent / "data" / "packets" / "reedy-pond-20.csv"
KINDS = ("cutting", "trace-match", "sequence", "letter-match")
"""Kinds whose numbers of pages the tests know; all others are tested against their prediction."""


def plan_of(*, change: tuple[str, str] | None = None, **choices: Any) -> Plan:
    """The plan of the class, with one text of its file changed."""
    content = CLASS_FILE.read_text("utf-8")
    if change is not None:
        assert content.count(change[0]) == 1
        content = content.replace(*change)
    listed = classlist.parse(content.encode(), "class.csv")
    return make_plan(theme.load("reedy-pond"), listed, Choices(**({"kinds": KINDS} | choices)))


def packet_of(**options: Any) -> Packet:
    """The counted packet."""
    return packet.prepare(plan_of(**options))


def files_of(made: Packet, folder: Path | None = None) -> dict[str, bytes]:
    """The files of a packet as they are written."""
    with tempfile.TemporaryDirectory() as parent:
        written = packet.write(made, folder or Path(parent) / "pond")
        return {path.name: path.read_bytes() for path in written}


@functools.cache
def whole_class() -> tuple[Packet, dict[str, bytes]]:
    """The packet of all twenty and its files."""
    made = packet_of()
    return made, files_of(made)


def make_packet(theme_name: str, classlist_file: Path, out: Path, **asked: Any) -> int:
    """What ``tablework packet`` does with these options; its exit code."""
    told = {field.name for field in dataclasses.fields(PacketRun)} & asked.keys()
    run = PacketRun(**{name: asked.pop(name) for name in told})
    paper = paper_called(asked.pop("paper", "letter"))
    for name in {"kinds", "days"} & asked.keys():
        asked[name] = tuple(asked[name].split(","))
    choices = Choices(paper=paper, **asked)
    return report_packet(theme_name, classlist_file, out, choices, run)
