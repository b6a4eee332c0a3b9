"""What an adult says at the table, makes easier or harder, and watches: by kind and stage.

One TOML file a kind beside this module. Its four tables :data:`LABELS` have one short sentence for
every stage, each with its ``source``: a source of ``guidance.toml``, or "common practice" where
the trade does it and no source was found. ``[observe]`` has the columns of the observation sheet
that only this kind has:

    hand      whether the hand used is noted, false if left out
    result    heading of the column for how many were right, such as "right"; left out if none
    of        the parameter of the sheet that says how many there are to get right
    ticks     boxes to tick: ``head``, and ``stages`` if it makes no sense at every stage

The sentences speak of what to do, never of a child's worth.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from sheets.check.guidance import COMMON, STAGES, Source, sources
from sheets.kinds import entry

LABELS = ("say", "easier", "harder", "watch")
LONGEST = 70
"""Characters of a sentence at most, so that four of them are read at a glance."""


@dataclass(frozen=True, slots=True)
class Tip:
    """One sentence for the adult.

    Args:
        source: None for common practice.
    """

    text: str
    source: Source | None


@dataclass(frozen=True, slots=True)
class Tick:
    """A column of boxes on the observation sheet, with a box at these stages only."""

    head: str
    stages: frozenset[int]


@dataclass(frozen=True, slots=True)
class Tips:
    """All that is said of a kind.

    Args:
        by_label: label -> stage -> sentence.
        result: heading of the column for what was right; empty without one.
        of: parameter of a sheet that says how many there are, a number or one for each row.
    """

    by_label: Mapping[str, Mapping[int, Tip]]
    hand: bool
    result: str
    of: str
    ticks: tuple[Tick, ...]

    def merged(self, label: str, stages: Iterable[int]) -> list[tuple[tuple[int, ...], str]]:
        """The sentences of a label for these stages, each once with the stages it is for."""
        found: dict[str, list[int]] = {}
        for stage in sorted(set(stages)):
            found.setdefault(self.by_label[label][stage].text, []).append(stage)
        return [(tuple(stages), text) for text, stages in found.items()]


@cache
def tips(kind: str) -> Tips:
    """The tips of a kind.

    Raises:
        InputError: no such kind.
        ValueError: its file is not in order; the message says where.
    """
    name = entry(kind).name
    file = Path(__file__).with_name(f"{name}.toml")
    return parse(tomllib.loads(file.read_text("utf-8")), name)


def parse(data: Mapping[str, Any], kind: str) -> Tips:
    """The tips in the content of a kind's file; ValueError if they are not in order."""
    unknown = set(data) - {*LABELS, "observe"}
    if unknown:
        raise ValueError(f"tips of {kind}: {', '.join(sorted(unknown))} is not known")
    observe = data["observe"]
    return Tips(
        {label: _by_stage(data.get(label, {}), f"tips of {kind}, {label}") for label in LABELS},
        bool(observe.get("hand", False)),
        str(observe.get("result", "")),
        str(observe.get("of", "")),
        tuple(
            Tick(tick["head"], frozenset(_span(tick.get("stages", "0-6"))))
            for tick in observe.get("ticks", ())
        ),
    )


def _by_stage(rows: Mapping[str, Mapping[str, str]], where: str) -> dict[int, Tip]:
    found: dict[int, Tip] = {}
    covered: list[int] = []
    for span, row in rows.items():
        text, source = row["text"], row["source"]
        if not text or len(text) > LONGEST:
            raise ValueError(f"{where}, stage {span}: a sentence has 1 to {LONGEST} characters")
        if source != COMMON and source not in sources():
            raise ValueError(f"{where}, stage {span}: '{source}' is not a source of the guidance")
        covered += _span(span)
        found |= dict.fromkeys(_span(span), Tip(text, sources().get(source)))
    if sorted(covered) != list(STAGES):
        raise ValueError(f"{where}: stages {sorted(covered)}, and each of 0 to 6 once is wanted")
    return found


def _span(text: str) -> range:
    """``3`` or ``1-3``."""
    first, _, last = text.partition("-")
    return range(int(first), int(last or first) + 1)
