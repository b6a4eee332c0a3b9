"""Measures of the stored outlines, found again by the outline itself.

``check`` measures the marks of the finished page. Measuring a curve needs geometry libraries that
take longer to load than the page takes to draw, so the measures of the stored outlines are stored
beside them, taken by the same functions (:mod:`shapes.measure.measure`,
:mod:`sheets.check.distances`). They are looked up by the finished mark's own geometry, wherever
on the page it lies: a mark that differs by a ten-thousandth of a millimetre is not found and is
measured anew.
"""

from __future__ import annotations

import functools
import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from shapes.path import Arc, Line, Path
from sheets.page.model import Place

STORE = FilePath(__file__).with_name("measures.json")
_LENGTH_PLACES = 4
_ANGLE_PLACES = 5


@dataclass(frozen=True, slots=True)
class OutlineForm:
    """Bends, corners (angle on their sharp side) and narrow places of a path."""

    bend: float | None = None
    hollow: float | None = None
    angles: tuple[float, ...] = ()
    hollow_corners: int = 0
    neck: float | None = None
    notch: float | None = None


def stored_value(store: FilePath, key: str) -> Any:
    """The value of one key of a store that has one key a line, in order; None if it is not there.

    A search by halves reads a dozen lines of a file that takes longer to read than a page to draw.

    Args:
        store: as :func:`store_text` writes it.
    """
    if not store.exists():
        return None
    wanted = _line_start(key)
    with store.open("rb") as file:
        low, high = 0, file.seek(0, os.SEEK_END)
        while low < high:
            file.seek((low + high) // 2)
            file.readline()  # to the start of a line
            begins = file.tell()
            line = file.readline()
            if begins < high and line and line < wanted:
                low = begins + len(line)
            else:
                high = (low + high) // 2
        file.seek(low)
        for line in file:
            if line.startswith(wanted):
                return json.loads(line[len(wanted) :].rstrip(b",\n"))
            if line > wanted and line[:1] == b'"':
                break
    return None


def store_text(content: Mapping[str, Any]) -> bytes:
    """A store as JSON: one key a line, sorted by their bytes."""
    lines = sorted(
        (_line_start(key) + json.dumps(value, separators=(",", ":")).encode())
        for key, value in content.items()
    )
    return b"{\n" + b",\n".join(lines) + b"\n}\n"


def _line_start(key: str) -> bytes:
    return f"{json.dumps(key)}: ".encode()


def path_key(path: Path) -> str:
    """A name for the shape of a path of lines and arcs, the same wherever it lies; else empty.

    An open one has the same name from either end. Straight lines have none: they are as soon
    measured as looked up.
    """
    if not any(isinstance(segment, Arc) for segment in path.segments) and len(path.segments) < 3:
        return ""
    path = _forward(path)
    x, y = path.start
    words = [] if path.closed else ["open"]
    for segment in path.segments:
        if not isinstance(segment, Line | Arc):
            return ""
        dx, dy = segment.end[0] - x, segment.end[1] - y
        words.append(f"{_plain(dx)} {_plain(dy)}")
        if isinstance(segment, Arc):
            words.append(f"@{segment.sweep_deg:.{_ANGLE_PLACES}f}")
    return hashlib.sha256(" ".join(words).encode()).hexdigest()[:24]


def _forward(path: Path) -> Path:
    return path.reversed() if not path.closed and path.start > path.end else path


def _plain(value: float) -> str:
    return f"{round(value, _LENGTH_PLACES) + 0.0:.{_LENGTH_PLACES}f}"


def ink_key(place: Place, path: Path) -> str:
    """A name for a picture and an outline as they lie to each other; empty for other artwork."""
    key = path_key(path) if place.artwork.credit else ""
    if not key:
        return ""
    x, y = _forward(path).start
    at = place.at
    if at.b or at.c:
        return ""
    return f"{key} {place.artwork.id} {at.a:.6f} {at.e - x:.4f} {at.f - y:.4f}"


@functools.lru_cache(maxsize=256)
def _measured(key: str) -> Any:
    return stored_value(STORE, key)


def known_form(path: Path) -> OutlineForm | None:
    """The stored measures of a path, None if it is none of the stored outlines."""
    key = path_key(path)
    row = _measured(key) if key else None
    if row is None:
        return None
    return OutlineForm(**{**row, "angles": tuple(row["angles"])})


def known_ink_distance(mark: object, path: Path) -> float | None:
    """The stored distance from a picture's ink to the middle of an outline, None if not stored."""
    if not isinstance(mark, Place):
        return None
    key = ink_key(mark, path)
    value = _measured(key) if key else None
    return None if value is None else float(value)
