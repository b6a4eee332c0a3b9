"""A class of twenty and its packet, made once for all tests that only look at it."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path
from typing import Any

from sheets.files import class_list as classlist
from sheets.packet import make as packet
from sheets.packet.make import Packet
from sheets.packet.plan import Choices, Plan, make_plan
from sheets.theme import theme

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
