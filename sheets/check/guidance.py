"""Limits for printed pages, stage by stage, and where each comes from (``guidance.toml``).

The figures speak of pages, never of a child. Each says what it rests on: a published source (most
of them practice pages that cite no study), common practice, or our own setting.
"""

from __future__ import annotations

import math
import pathlib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from shapes.errors import InputError
from sheets.page.model import Finding

FILE = pathlib.Path(__file__).with_name("guidance.toml")
STAGES = range(7)
PUBLISHED, COMMON, OURS = BASES = ("published", "common practice", "our setting")
UNITS = ("", "mm", "degrees", "pt", "to 1")
HOW_READ = ("own text", "abstract", "second-hand", "practice page", "from memory")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was found, and how well it was read.

    Args:
        short: a few words for tables and findings.
        how_read: one of ``HOW_READ``; a "practice page" cites no study.
    """

    id: str
    short: str
    title: str
    author: str
    year: str
    address: str
    how_read: str


@dataclass(frozen=True, slots=True)
class Limit:
    """What one measured value of a page may be at one stage.

    Args:
        name: key in ``guidance.toml``; ``open_x`` replaces ``x`` for lines that are not closed.
        label: the name in words, the same for open lines and outlines.
        unit: ``mm``, ``degrees``, ``pt``, ``to 1`` (a contrast) or empty (a count or a ratio).
        minimum, maximum: bounds that still count as inside; infinity as a minimum means that the
            thing must not occur; None leaves that side open.
        basis: ``published``, ``common practice`` or ``our setting``.
        sources: for ``published`` those that give the figure, for ``our setting`` what it was
            built on.
        words: said instead of the figures, or the only content of a limit that is not measured.
        measured: false if the value cannot be read off a page.
    """

    name: str
    label: str
    unit: str
    minimum: float | None
    maximum: float | None
    basis: str
    sources: tuple[Source, ...] = ()
    note: str = ""
    words: str = ""
    measured: bool = True

    def allows(self, value: float, tolerance: float = 0.0) -> bool:
        """Whether a measured value is inside, give or take ``tolerance`` in the limit's unit."""
        if self.minimum is not None and value < self.minimum - tolerance:
            return False
        return self.maximum is None or value <= self.maximum + tolerance

    def bounds(self) -> str:
        """The allowed values without their unit, such as ``at least 57``."""
        if self.words:
            return self.words
        low, high = self.minimum, self.maximum
        if low is not None and high is not None:
            return _number(low) if low == high else f"{_number(low)} to {_number(high)}"
        if low is not None:
            return f"at least {_number(low)}"
        if high is None:
            return "any"
        return "none" if high == 0 else f"at most {_number(high)}"

    def phrase(self) -> str:
        """The allowed values in words, such as ``at least 57 mm``."""
        if self.words or not self.unit or (self.minimum is None and self.maximum in (None, 0)):
            return self.bounds()
        return f"{self.bounds()} {self.unit}"

    def finding(self, value: float | None, mark: str = "", tolerance: float = 0.0) -> Finding:
        """One measured value against this limit.

        Args:
            value: in the limit's unit; None if the thing does not occur, which is inside a limit
                whose minimum is infinite.
            mark: what was measured: the mark's id or role, never its text.
            tolerance: how far outside still counts as inside, for what cannot be measured finer.
        """
        measured: float | str = "none" if value is None else round(value, 2)
        if self.words and value is not None:
            # Words have no unit that could follow them, so the value carries it.
            measured = f"{value:.4g} {self.unit}".strip()
        return Finding(
            limit=self.label,
            measured=measured,
            allowed=self.bounds(),
            unit="" if self.words else self.unit,
            basis=self.basis,
            source="; ".join(s.short for s in self.sources) if self.basis == PUBLISHED else "",
            outside=value is not None and not self.allows(value, tolerance),
            mark=mark,
        )


@dataclass(frozen=True, slots=True)
class Setting:
    """A value that the pages use within the limits; ``by_stage`` holds it for each stage."""

    name: str
    unit: str
    by_stage: Mapping[int, float | str]
    basis: str
    sources: tuple[Source, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Disputed:
    """A point on which sources disagree or say nothing."""

    skills: tuple[str, ...]
    text: str
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class LimitTable:
    """One limit at all stages; a stage that is missing asks nothing."""

    name: str
    skills: tuple[str, ...]
    note: str
    stages: Mapping[int, Limit]


@dataclass(frozen=True, slots=True)
class Guidance:
    """The whole content of a guidance file."""

    tables: tuple[LimitTable, ...]
    disputed: tuple[Disputed, ...]
    sources: Mapping[str, Source]

    @property
    def skills(self) -> tuple[str, ...]:
        """Every skill that has limits, in the order in which the file says what is done."""
        acts_first = sorted(self.tables, key=lambda table: table.name != "act")
        return tuple(dict.fromkeys(skill for table in acts_first for skill in table.skills))


@cache
def load() -> Guidance:
    """The guidance that comes with the program; read once."""
    return parse(tomllib.loads(FILE.read_text(encoding="utf-8")))


def sources() -> Mapping[str, Source]:
    """All sources by their id."""
    return load().sources


@cache
def limits(skill: str, stage: int) -> Mapping[str, Limit]:
    """The limits of one skill at one stage, by name; those that ask nothing there are left out.

    Raises:
        InputError: no such skill or stage.
    """
    _check(skill, stage)
    found = {
        table.name: table.stages[stage]
        for table in load().tables
        if skill in table.skills and stage in table.stages
    }
    return MappingProxyType(found)


def limit_for(skill: str, stage: int, name: str, *, closed: bool = True) -> Limit | None:
    """One limit as it holds for a closed outline or for an open line; None if it asks nothing."""
    return limit_in(limits(skill, stage), name, closed=closed)


def limit_in(found: Mapping[str, Limit], name: str, *, closed: bool = True) -> Limit | None:
    """As :func:`limit_for`, out of the limits of one stage."""
    return (None if closed else found.get(f"open_{name}")) or found.get(name)


def _check(skill: str, stage: int) -> None:
    check_skill(skill)
    check_stage(stage)


def check_stage(stage: int) -> None:
    """Raise InputError unless the stage is one of 0 to 6."""
    if stage not in STAGES:
        raise InputError(
            f"stage {stage} does not exist", where="`stage`", fix="use a whole number, 0 to 6"
        )


def check_skill(skill: str) -> None:
    """Raise InputError unless there are limits for the skill."""
    known = load().skills
    if skill not in known:
        raise InputError(
            f"skill '{skill}' is not known", where="`skill`", fix=f"use one of {', '.join(known)}"
        )


# --- reading the file ---------------------------------------------------------------------------


def parse(data: Mapping[str, Any]) -> Guidance:
    """Guidance from the content of a TOML file.

    Raises:
        ValueError: an unknown unit, basis, source or key, a published figure without a source, or a
            stage that is missing or named twice.
    """
    found = {key: _source(key, entry) for key, entry in data["sources"].items()}
    return Guidance(
        tables=tuple(_table(entry, found) for entry in data["limit"]),
        disputed=tuple(
            Disputed(
                tuple(entry["skills"]), entry["text"], _named(entry["sources"], found, "disputed")
            )
            for entry in data["disputed"]
        ),
        sources=MappingProxyType(found),
    )


def parse_settings(rows: Iterable[Mapping[str, Any]]) -> tuple[Setting, ...]:
    """The settings of a kind from the rows of its TOML file.

    Raises:
        ValueError: the content is not in order; the message names the row.
    """
    return tuple(_setting(entry, load().sources) for entry in rows)


def _source(id: str, entry: Mapping[str, str]) -> Source:
    source = Source(id, **entry)
    if source.how_read not in HOW_READ:
        raise ValueError(f"source {id}: how_read '{source.how_read}' is not one of {HOW_READ}")
    return source


def _table(entry: Mapping[str, Any], known: Mapping[str, Source]) -> LimitTable:
    name = entry["name"]
    where = f"limit {name} of {', '.join(entry['skills'])}"
    if entry["unit"] not in UNITS:
        raise ValueError(f"{where}: unit '{entry['unit']}' is not one of {UNITS}")
    measured = entry.get("measured", True)
    stages: dict[int, Limit] = {}
    seen: list[int] = []
    for span, content in entry["stages"].items():
        covered = _span(span, where)
        seen += covered
        if content == "none":
            continue
        unknown = set(content) - {"min", "max", "words", "basis", "sources"}
        if unknown:
            raise ValueError(f"{where}: key {sorted(unknown)} is not known")
        limit = Limit(
            name=name,
            label=name.removeprefix("open_").replace("_", " "),
            unit=entry["unit"],
            minimum=content.get("min"),
            maximum=content.get("max"),
            basis=_basis(content["basis"], content.get("sources", ()), where),
            sources=_named(content.get("sources", ()), known, where),
            note=entry["note"],
            words=content.get("words", ""),
            measured=measured,
        )
        if measured and limit.minimum is None and limit.maximum is None:
            raise ValueError(f"{where}: stage {span} has neither min nor max")
        stages.update(dict.fromkeys(covered, limit))
    if sorted(seen) != list(STAGES):
        raise ValueError(f"{where}: stages {sorted(seen)} are not 0 to 6, each once")
    return LimitTable(name, tuple(entry["skills"]), entry["note"], MappingProxyType(stages))


def _span(text: str, where: str) -> list[int]:
    """The stages of ``"3"`` or ``"1-4"``."""
    first, _, last = text.partition("-")
    try:
        return list(range(int(first), int(last or first) + 1))
    except ValueError:
        raise ValueError(f"{where}: '{text}' is not a stage or a span of stages") from None


def _basis(basis: str, named: Iterable[str], where: str) -> str:
    if basis not in BASES:
        raise ValueError(f"{where}: basis '{basis}' is not one of {BASES}")
    if basis == PUBLISHED and not named:
        raise ValueError(f"{where}: a published figure needs a source")
    if basis == COMMON and named:
        raise ValueError(f"{where}: common practice has no source")
    return basis


def _named(ids: Iterable[str], known: Mapping[str, Source], where: str) -> tuple[Source, ...]:
    try:
        return tuple(known[key] for key in ids)
    except KeyError as error:
        raise ValueError(f"{where}: source {error} is not in the file") from None


def _setting(entry: Mapping[str, Any], known: Mapping[str, Source]) -> Setting:
    where = f"setting {entry['name']}"
    if "by_stage" in entry:
        by_stage = {
            stage: value
            for span, value in entry["by_stage"].items()
            for stage in _span(span, where)
        }
    else:
        by_stage = dict.fromkeys(STAGES, entry["value"])
    return Setting(
        name=entry["name"],
        unit=entry["unit"],
        by_stage=MappingProxyType(by_stage),
        basis=_basis(entry["basis"], entry.get("sources", ()), where),
        sources=_named(entry.get("sources", ()), known, where),
        note=entry["note"],
    )


def _number(value: float) -> str:
    return "unlimited" if math.isinf(value) else f"{value:g}"
