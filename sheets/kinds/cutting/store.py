"""Outlines of the curated pictures at their standard size, made beforehand by this project.

Making an outline needs a geometry library that takes longer to load than a page takes to draw.
``python -m sheets.kinds.cutting.make_store`` makes the file anew; a test says when it is stale.
The outlines are derived from OpenMoji drawings and are under CC BY-SA 4.0, as those are.
"""

from __future__ import annotations

import functools
import json
import math
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from shapes.affine import Affine
from shapes.path import Arc, Line, Path, Segment, arc_between
from sheets.check.known import stored_value
from sheets.kinds.cutting.fitted import FittedOutline

if TYPE_CHECKING:
    from shapes.pictures.picture import Picture

STORE = FilePath(__file__).parent / "data" / "outlines.json"
KEPT: tuple[tuple[int, str], ...] = ((4, ""), (5, ""), (5, "soft"), (6, ""))
"""Stages and outlines kept: each stage's own, and the soft one that may be asked at stage 5."""


@functools.cache
def _pictures() -> Mapping[str, Any]:
    if not STORE.exists():
        return {}
    with STORE.open(encoding="utf-8") as file:
        pictures: Mapping[str, Any] = json.load(file)
    return pictures


@functools.cache
def stored_scores() -> Mapping[str, Mapping[int, float]]:
    """Picture id -> stage -> score of the standard outline."""
    return {code: _scores(entries) for code, entries in _pictures().items()}


def scores_of(picture: Picture) -> Mapping[int, float]:
    """The same for one picture; empty if it has no stored outlines."""
    return _scores_of(picture.id) if picture.credit else {}


@functools.lru_cache(maxsize=512)
def _scores_of(code: str) -> Mapping[int, float]:
    return _scores(stored_value(STORE, code) or {})


def _scores(entries: Mapping[str, Any]) -> dict[int, float]:
    return {
        stage: float(entries[store_key(stage, shape)]["score"])
        for stage, shape in KEPT
        if not shape and store_key(stage, shape) in entries
    }


def stored_outline(picture: Picture, stage: int, shape: str = "") -> FittedOutline | None:
    """The stored outline, in the middle of the standard page's work area; None without one.

    Only OpenMoji pictures have one: a drawing of the user's own may bear the same name.
    """
    return _stored(picture.id, stage, shape) if picture.credit else None


@functools.lru_cache(maxsize=64)
def _stored(code: str, stage: int, shape: str) -> FittedOutline | None:
    entries = stored_value(STORE, code) or {}
    entry = entries.get(store_key(stage, shape))
    if entry is None and entries.get(store_key(stage, ""), {}).get("shape") == shape:
        entry = entries[store_key(stage, "")]
    if entry is None:
        return None
    return FittedOutline(
        decode(entry["path"]),
        Affine(*entry["at"]),
        entry["longest"],
        entry["score"],
        entry["softened"],
        entry["shape"],
        entry["fill"],
        entry["count"],
    )


def store_key(stage: int, shape: str) -> str:
    """The name of an outline among those of its picture."""
    return f"{stage} {shape}".strip()


# --- paths as numbers -----------------------------------------------------------------------------


def encode(path: Path) -> list[list[float]]:
    """A path as rows: where it starts, then each segment's end, for an arc with its sweep.

    An arc is fixed by its two ends and the angle it sweeps, so that rounding never opens a gap.
    """
    rows = [_round(path.start)]
    for segment in path.segments:
        if isinstance(segment, Line):
            rows.append(_round(segment.end))
        elif isinstance(segment, Arc):
            parts = 1 if abs(segment.sweep_deg) <= 180.0 else 2
            for i in range(1, parts + 1):
                end = segment.point_at(i / parts)
                rows.append([*_round(end), round(segment.sweep_deg / parts, 5)])
        else:
            raise TypeError("outlines have lines and arcs only")
    return rows


def _round(point: tuple[float, float]) -> list[float]:
    return [round(value, 4) for value in point]


def decode(rows: list[list[float]]) -> Path:
    """The closed path that :func:`encode` wrote."""
    segments: list[Segment] = []
    at = (rows[0][0], rows[0][1])
    for row in rows[1:]:
        end = (row[0], row[1])
        if math.dist(at, end) > 0.0:
            segments.append(Line(at, end) if len(row) == 2 else arc_between(at, end, row[2]))
        at = end
    return Path(tuple(segments), closed=True)
