"""Outlines of the curated pictures at their standard size, made beforehand by this project.

Making an outline needs a geometry library that takes longer to load than a page takes to draw.
``python -m sheets.outline_store`` makes the file anew; a test says when it is no longer current.
The outlines are derived from OpenMoji drawings and are under CC BY-SA 4.0, as those are.
"""

from __future__ import annotations

import functools
import json
import math
from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from shapes.affine import Affine
from shapes.path import Arc, Line, Path, Segment, arc_between
from sheets.outlines import FittedOutline, Form

if TYPE_CHECKING:
    from shapes.pictures import Picture

STORE = FilePath(__file__).parent / "data" / "outlines.json"
KEPT: tuple[tuple[int, Form], ...] = ((4, "corners"), (5, "corners"), (5, "soft"), (6, "corners"))
"""Stages and forms kept; only stage 5 has a choice of form."""


@functools.cache
def _pictures() -> Mapping[str, Any]:
    if not STORE.exists():
        return {}
    with STORE.open(encoding="utf-8") as file:
        pictures: Mapping[str, Any] = json.load(file)
    return pictures


@functools.cache
def stored_scores() -> Mapping[str, Mapping[int, float]]:
    """Picture id -> stage -> score of the standard outline (stage 5: with corners)."""
    return {
        code: {
            stage: float(entries[_key(stage, form)]["score"])
            for stage, form in KEPT
            if form == "corners" and _key(stage, form) in entries
        }
        for code, entries in _pictures().items()
    }


def stored_outline(picture: Picture, stage: int, form: Form) -> FittedOutline | None:
    """The stored outline, in the middle of the first row of the standard page; None without one.

    Only OpenMoji pictures have one: a drawing of the user's own may bear the same name.
    """
    if not picture.credit:
        return None
    entry = _pictures().get(picture.id, {}).get(_key(stage, form))
    if entry is None:
        return None
    return FittedOutline(
        decode(entry["path"]),
        Affine(*entry["at"]),
        entry["longest"],
        entry["score"],
        entry["softened"],
    )


def _key(stage: int, form: Form) -> str:
    return f"{stage} {form}" if stage == 5 else str(stage)


# --- making the file ------------------------------------------------------------------------------


def build(codes: Iterable[str]) -> dict[str, Any]:
    """The content of the store for these pictures; a stage that does not fit is left out."""
    return {code: build_one(code) for code in codes}


def build_one(code: str) -> dict[str, Any]:
    """The stored entries of one picture."""
    from shapes.errors import FitError
    from shapes.pictures import find
    from sheets.kinds.cutting import standard_outline

    picture = find(code)
    entries: dict[str, Any] = {}
    for stage, form in KEPT:
        try:
            fitted = standard_outline(picture, stage, form)
        except FitError:
            continue
        entries[_key(stage, form)] = {
            "path": encode(fitted.path),
            "at": [round(value, 6) for value in fitted.art_at],
            "longest": round(fitted.longest, 3),
            "score": round(fitted.score, 3),
            "softened": round(fitted.softened_by, 3),
        }
    return entries


def text(content: Mapping[str, Any]) -> str:
    """The store as JSON, one picture a line."""
    lines = [
        f"{json.dumps(code)}: {json.dumps(entries, separators=(',', ':'))}"
        for code, entries in content.items()
    ]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _main() -> None:
    from concurrent.futures import ProcessPoolExecutor

    from shapes.pictures import curated

    codes = [word.code for word in curated()]
    with ProcessPoolExecutor() as pool:
        made = dict(zip(codes, pool.map(build_one, codes, chunksize=8), strict=True))
    STORE.parent.mkdir(exist_ok=True)
    STORE.write_text(text(made), encoding="utf-8")


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


if __name__ == "__main__":
    _main()
