"""PDF files as the command writes them: a sheet of every kind on both papers, and a packet."""

from __future__ import annotations

import contextlib
import functools
import io
import tempfile
from collections.abc import Sequence
from pathlib import Path as FilePath

from sheets.cli.main import main
from sheets.kinds import KINDS
from sheets.page.frame import PAPERS
from tests.packets import whole_class

SHEETS: dict[str, Sequence[str]] = {
    "cutting picture": ("cutting", "duck", "--stage", "6"),
    "cutting lines": ("cutting", "--stage", "2"),
    "trace-match things": ("trace-match", "--theme", "reedy-pond", "--stage", "3"),
    "trace-match shadows": ("trace-match", "duck", "leaf", "rock", "--stage", "3"),
    "letter-match": ("letter-match", "--theme", "tide-side-harbour", "--stage", "4"),
    "sequence": ("sequence", "egg", "duckling", "duck", "--stage", "3", "--labels"),
    "pattern": ("pattern", "blue circle", "yellow triangle", "--stage", "3"),
    "pattern colours": ("pattern", "house", "turtle", "--stage", "4", "--form", "colour-copy"),
    **{
        f"{name} of a theme": (name, "--theme", "reedy-pond", "--stage", "5", "--name", "Zuzë")
        for name in KINDS
    },
}
NAMES = [f"{name}, {paper}" for name in SHEETS for paper in PAPERS]
PACKET_NAMES = ["plain.pdf", "card.pdf", "keys.pdf", "adult.pdf"]


def command(*words: str) -> dict[str, bytes]:
    """The files that one command line writes, by their suffix after the given name."""
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
        assert main([*words, "--out", str(FilePath(folder) / "page.pdf")]) == 0
        return {file.stem: file.read_bytes() for file in sorted(FilePath(folder).iterdir())}


@functools.cache
def sheet(name: str) -> bytes:
    """The file of one of :data:`NAMES`, without its key."""
    what, paper = name.split(", ")
    return command(*SHEETS[what], "--paper", paper)["page"]


def packet(name: str) -> bytes:
    """One of the four files of the packet of a class of twenty, on Letter paper."""
    return whole_class()[1][name]
