"""What makes a drawing whole, as plain numbers: lines that close it, and marks that are left out.

Made by :mod:`shapes.pictures.whole`; for the curated pictures beforehand, because the geometry
library takes longer to load than a page takes to draw.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path as FilePath
from typing import Any

from shapes.affine import Point

STORE = FilePath(__file__).with_name("whole.json")
_PER_UNIT = 100


@dataclass(frozen=True, slots=True)
class Closing:
    """What is added to a drawing and what is left out of it.

    Args:
        lines: corner points of open lines, in the drawing's units.
        width: of these lines, in the drawing's units.
        left_out: numbers of shapes and of their paths, in painting order, that are not shown.
    """

    lines: tuple[tuple[Point, ...], ...] = ()
    width: float = 0.0
    left_out: frozenset[tuple[int, int]] = frozenset()


def stored(code: str) -> Closing | None:
    """The stored closing of an OpenMoji drawing; None for one that is not stored."""
    row = _rows().get(code)
    return None if row is None else decode(row)


@cache
def _rows() -> Mapping[str, Mapping[str, Any]]:
    rows: Mapping[str, Mapping[str, Any]] = {}
    if STORE.exists():
        rows = json.loads(STORE.read_bytes())
    return rows


def encode(closing: Closing) -> dict[str, Any]:
    """A closing as a row of the store: points in hundredths, each counted from the one before."""
    row: dict[str, Any] = {}
    if closing.lines:
        row["width"] = closing.width
        row["lines"] = [_steps(line) for line in closing.lines]
    if closing.left_out:
        row["left_out"] = [list(pair) for pair in sorted(closing.left_out)]
    return row


def _steps(line: tuple[Point, ...]) -> list[int]:
    steps: list[int] = []
    x = y = 0
    for px, py in line:
        nx, ny = round(px * _PER_UNIT), round(py * _PER_UNIT)
        steps += [nx - x, ny - y]
        x, y = nx, ny
    return steps


def decode(row: Mapping[str, Any]) -> Closing:
    """The closing that :func:`encode` wrote, its points to a hundredth of a unit."""
    lines = []
    for steps in row.get("lines", ()):
        x = y = 0
        points = []
        for dx, dy in zip(steps[::2], steps[1::2], strict=True):
            x, y = x + dx, y + dy
            points.append((x / _PER_UNIT, y / _PER_UNIT))
        lines.append(tuple(points))
    left_out = frozenset((shape, path) for shape, path in row.get("left_out", ()))
    return Closing(tuple(lines), row.get("width", 0.0), left_out)
