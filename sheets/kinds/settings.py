"""Values that the pages of a kind use within the limits of their skill, from the kind's TOML file.

The file lies in the kind's folder as ``settings.toml``, or beside a kind of one file under its
name; its rows are as those of ``guidance.toml`` and name the sources there.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from sheets.check.guidance import Setting, check_stage, limits, parse_settings
from sheets.kinds import KINDS, entry

_HERE = Path(__file__).parent


@cache
def _content(kind: str) -> dict[str, Any]:
    name = kind.replace("-", "_")
    folder = _HERE / name
    file = folder / "settings.toml" if folder.is_dir() else folder.with_suffix(".toml")
    return tomllib.loads(file.read_text("utf-8")) if file.exists() else {}


def starter(kind: str) -> str:
    """What a starter file for themes shows of a kind, from ``starter`` in the kind's file."""
    return str(_content(kind).get("starter", ""))


@cache
def settings(kind: str) -> tuple[Setting, ...]:
    """The settings of a kind, in the order of its file; none without a file."""
    return parse_settings(_content(kind).get("setting", ()))


@cache
def setting(kind: str, stage: int, name: str) -> float | str | None:
    """A value the pages of a kind use; None if there is none at that stage.

    A limit of the kind's skill that is words only, such as ``stock``, gives its words.

    Raises:
        InputError: no such kind or stage.
    """
    skill = entry(kind).skill
    check_stage(stage)
    for row in settings(kind):
        if row.name == name and stage in row.by_stage:
            return row.by_stage[stage]
    limit = limits(skill, stage).get(name)
    return limit.words if limit is not None and not limit.measured and limit.words else None


def by_skill() -> dict[str, list[Setting]]:
    """The settings of all kinds, for a listing of the guidance."""
    found: dict[str, list[Setting]] = {}
    for name, one in KINDS.items():
        found.setdefault(one.skill, []).extend(settings(name))
    return found


def amount(kind: str, stage: int, name: str) -> float:
    """A setting that is a number; 0 if there is none at that stage."""
    return float(setting(kind, stage, name) or 0.0)
