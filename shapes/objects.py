"""Footprints of real things at true size, so that a child can match the thing to its outline.

All sizes in mm. A footprint is a rounded rectangle; a circle is the one whose corners meet.
"""

from __future__ import annotations

import difflib
import itertools
import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path as FilePath
from typing import Any

from shapes.errors import InputError
from shapes.path import Arc, Line, Path, Segment

CLEARANCE_MM = 1.0
"""Room on every side between the thing and its printed outline (our setting)."""

NEAR_TWIN_MM = 8.0
"""Things that differ by less than this do not share a page (our setting).

Nominal sizes of cans and lids can be 1 to 3 mm out, so two of them could pass for each other.
"""

SMALLEST_MM, LARGEST_MM = 10.0, 270.0
"""What a user's own measure may be: from a fingertip to what a sheet of paper can take."""

MEASURES = "{ name = ..., diameter_mm = ... } or { name = ..., width_mm = ..., depth_mm = ... }"
"""The two ways to write a measure of one's own."""

# 16 CFR 1501.4(a): a cylinder 1.25 in wide whose depth slopes from 1 to 2.25 in. The section's
# inch figures govern.
_CYLINDER_WIDE = 31.75
_CYLINDER_SHALLOW, _CYLINDER_DEEP = 25.4, 57.15
_CYLINDER_VOLUME = math.pi / 4 * _CYLINDER_WIDE**2 * (_CYLINDER_SHALLOW + _CYLINDER_DEEP) / 2
_CYLINDER_LONGEST = math.hypot(_CYLINDER_WIDE, _CYLINDER_DEEP)


@dataclass(frozen=True, slots=True)
class Footprint:
    """What a thing covers on the paper.

    Args:
        id: short name in the library; empty for a measure of the user's own.
        name: what the adult calls the thing.
        width, depth: sides in mm; equal for a circle.
        corner: corner radius in mm, from 0 to half the shorter side.
        basis: ``standard``, ``nominal``, ``common practice`` or ``measured``.
        source: where the size comes from.
        note: what to look out for; may be empty.
        adult_only: an adult handles it.
        example: an everyday thing of about this size; may be empty.
    """

    id: str
    name: str
    width: float
    depth: float
    corner: float = 0.0
    basis: str = "measured"
    source: str = ""
    note: str = ""
    adult_only: bool = False
    example: str = ""

    @property
    def diameter(self) -> float | None:
        """Diameter in mm of a round thing, else None."""
        return self.width if self.width == self.depth == 2 * self.corner else None

    @property
    def small_part(self) -> bool:
        """Whether a flat piece this large may fit the small-parts cylinder (16 CFR 1501.4)."""
        if self.diameter is not None:
            return fits_small_parts_cylinder((self.diameter, 0.0))
        return fits_small_parts_cylinder((self.width, self.depth, 0.0))

    def said(self) -> str:
        """Its name with the example, such as ``food can 307: a tin of tomatoes``."""
        return f"{self.name}: {self.example}" if self.example else self.name

    def size_text(self) -> str:
        """Such as ``68.3 mm across`` or ``105 x 74 mm``."""
        if self.diameter is not None:
            return f"{self.diameter:g} mm across"
        return f"{self.width:g} x {self.depth:g} mm"


@cache
def library() -> tuple[Footprint, ...]:
    """All footprints that come with the tool, in the order of ``objects.toml``."""
    data = tomllib.loads(FilePath(__file__).with_name("objects.toml").read_text("utf-8"))
    return tuple(_from_row(row) for row in data["objects"])


def footprint(spec: str | Mapping[str, object]) -> Footprint:
    """The footprint of a library thing, or of a measure of the user's own.

    Args:
        spec: an id such as ``can211`` (any case), or a table such as
            ``{"name": "tea box", "width_mm": 120, "depth_mm": 65, "corner_mm": 4}``.

    Raises:
        InputError: unknown id (with the nearest ones), unknown key, missing or impossible measure.
    """
    if isinstance(spec, str):
        return _from_library(spec)
    if isinstance(spec, Mapping):
        return _from_measure(spec)
    raise InputError(
        f"an object is an id or a measure, not {spec!r}",
        fix=f"write an id such as can211 or {MEASURES}",
    )


def outline(thing: Footprint, clearance_mm: float = CLEARANCE_MM) -> Path:
    """The outline to print: the footprint grown on every side, its centre at (0, 0).

    Round corners grow with it, so the gap is the same all round; square corners stay square.

    Args:
        clearance_mm: 0 to 10 mm on every side.

    Raises:
        InputError: a clearance outside that range.
    """
    if not 0.0 <= clearance_mm <= 10.0:
        raise InputError(f"clearance {clearance_mm:g} mm is not possible", fix="choose 0 to 10 mm")
    if thing.diameter is not None:
        return Path.circle((0.0, 0.0), thing.diameter / 2 + clearance_mm)
    corner = thing.corner + clearance_mm if thing.corner > 0 else 0.0
    return _rounded_rectangle(
        thing.width + 2 * clearance_mm, thing.depth + 2 * clearance_mm, corner
    )


def difference_mm(a: Footprint, b: Footprint) -> float:
    """The largest difference in width between two footprints, over all directions, in mm.

    Both are laid with their long sides the same way. For circles it is the difference of the
    diameters; for rectangles it can lie at a side, or across at the steepest mismatch between them.
    0 for things of the same size and shape.
    """
    # The width of a rounded rectangle in direction t is (w - 2r)|cos t| + (d - 2r)|sin t| + 2r, so
    # the difference of two is A cos t + B sin t + C on a quarter turn, extreme at an end or at the
    # one turning point.
    long_a, short_a = max(a.width, a.depth) - 2 * a.corner, min(a.width, a.depth) - 2 * a.corner
    long_b, short_b = max(b.width, b.depth) - 2 * b.corner, min(b.width, b.depth) - 2 * b.corner
    across, up, both = long_a - long_b, short_a - short_b, 2 * (a.corner - b.corner)
    candidates = [across + both, up + both]
    if across * up > 0:
        candidates.append(math.copysign(math.hypot(across, up), across) + both)
    return max(abs(value) for value in candidates)


def near_twins(
    things: Iterable[Footprint], at_least_mm: float = NEAR_TWIN_MM
) -> tuple[tuple[Footprint, Footprint, float], ...]:
    """Pairs that differ by less than ``at_least_mm``, with their difference in mm."""
    pairs = itertools.combinations(things, 2)
    measured = ((a, b, difference_mm(a, b)) for a, b in pairs)
    return tuple(found for found in measured if found[2] < at_least_mm)


def fits_small_parts_cylinder(dims: tuple[float, float] | tuple[float, float, float]) -> bool:
    """Whether a rigid piece may fit entirely into the small-parts cylinder of 16 CFR 1501.4.

    Errs on the side of True: False only where one of three measures proves that the piece cannot
    fit in any position, so a few awkward long pieces count as small parts although they would not
    quite go in.

    Args:
        dims: ``(diameter, thickness)`` of a round piece, or the three sides of a box, in mm.

    Raises:
        InputError: other than two or three measures, or one below 0.
    """
    if len(dims) not in (2, 3) or not all(math.isfinite(d) and d >= 0 for d in dims):
        raise InputError(
            "a piece has a diameter and a thickness, or three sides, none below 0 mm",
            fix="give two or three measures in mm",
        )
    if len(dims) == 2:
        diameter, thickness = dims
        # A flat piece inside a cylinder is never wider than the cylinder in its narrowest way.
        flat_width = diameter
        longest = math.hypot(diameter, thickness)
        volume = math.pi / 4 * diameter**2 * thickness
    else:
        flat_width = sorted(dims)[1]
        longest = math.hypot(*dims)
        volume = math.prod(dims)
    return (
        flat_width <= _CYLINDER_WIDE and longest <= _CYLINDER_LONGEST and volume <= _CYLINDER_VOLUME
    )


def _from_row(row: Mapping[str, Any]) -> Footprint:
    """One table of ``objects.toml``; the tests check the file, not every run."""
    diameter = row.get("diameter")
    return Footprint(
        id=row["id"],
        name=row["name"],
        width=row["width"] if diameter is None else diameter,
        depth=row["depth"] if diameter is None else diameter,
        corner=row.get("corner", 0.0) if diameter is None else diameter / 2,
        basis=row["basis"],
        source=row["source"],
        note=row.get("note", ""),
        adult_only=row.get("adult_only", False),
        example=row.get("example", ""),
    )


def _from_library(text: str) -> Footprint:
    by_id = {thing.id.casefold(): thing for thing in library()}
    wanted = text.strip().casefold()
    if wanted in by_id:
        return by_id[wanted]
    near = difflib.get_close_matches(wanted, by_id, n=3, cutoff=0.6)
    hint = " or ".join(by_id[key].id for key in near)
    raise InputError(
        f"no object called {text!r} in the library",
        fix=f"did you mean {hint}?" if hint else f"measure it and write {MEASURES}",
    )


def _from_measure(table: Mapping[str, object]) -> Footprint:
    known = ("name", "diameter_mm", "width_mm", "depth_mm", "corner_mm")
    for key in table:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, n=1)
            fix = f"did you mean {near[0]}?" if near else f"write {MEASURES}"
            raise InputError(f"unknown key {key!r} in a measured object", fix=fix)
    name = table.get("name")
    if not isinstance(name, str) or not name.strip():
        raise InputError("a measured object needs a name", fix=f"write {MEASURES}")
    name = name.strip()
    is_round = "diameter_mm" in table
    if is_round == ("width_mm" in table or "depth_mm" in table) or (
        is_round and "corner_mm" in table
    ):
        raise InputError(
            f"measured object {name!r} needs either a diameter or a width and a depth",
            fix=f"write {MEASURES}",
        )
    source = "measured by the user"
    if is_round:
        diameter = _measure(table, "diameter_mm", name)
        return Footprint("", name, diameter, diameter, diameter / 2, source=source)
    width = _measure(table, "width_mm", name)
    depth = _measure(table, "depth_mm", name)
    corner = 0.0
    if "corner_mm" in table:
        corner = _number(table, "corner_mm", name)
        if not 0.0 <= corner <= min(width, depth) / 2:
            raise InputError(
                f"corner_mm {corner:g} of {name!r} is not possible",
                fix=f"choose 0 to {min(width, depth) / 2:g}, half the shorter side",
            )
    return Footprint("", name, width, depth, corner, source=source)


def _measure(table: Mapping[str, object], key: str, name: str) -> float:
    value = _number(table, key, name)
    if not SMALLEST_MM <= value <= LARGEST_MM:
        raise InputError(
            f"{key} {value:g} of {name!r} is outside what a page can show",
            fix=f"choose {SMALLEST_MM:g} to {LARGEST_MM:g} mm",
        )
    return value


def _number(table: Mapping[str, object], key: str, name: str) -> float:
    value = table.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(
            f"{key} of {name!r} is {'missing' if value is None else 'not a number'}",
            fix="give it in mm, such as 62",
        )
    # Not isfinite: a whole number too large for a float would overflow there.
    if not -1e6 < value < 1e6:
        raise InputError(f"{key} of {name!r} is far too large", fix="give it in mm, such as 62")
    return float(value)


def _rounded_rectangle(width: float, depth: float, corner: float) -> Path:
    """Anticlockwise from the middle of the top side; straight sides that vanish are left out."""
    x, y = width / 2, depth / 2
    if corner <= 0:
        corners = ((-x, y), (-x, -y), (x, -y), (x, y))
        return Path.from_points([(0.0, y), *corners], closed=True)
    ix, iy = x - corner, y - corner
    segments: list[Segment] = []

    def straight(start: tuple[float, float], end: tuple[float, float]) -> None:
        if math.dist(start, end) > 1e-9:
            segments.append(Line(start, end))

    straight((0.0, y), (-ix, y))
    segments.append(Arc((-ix, iy), corner, 90.0, 90.0))
    straight((-x, iy), (-x, -iy))
    segments.append(Arc((-ix, -iy), corner, 180.0, 90.0))
    straight((-ix, -y), (ix, -y))
    segments.append(Arc((ix, -iy), corner, 270.0, 90.0))
    straight((x, -iy), (x, iy))
    segments.append(Arc((ix, iy), corner, 0.0, 90.0))
    straight((ix, y), (0.0, y))
    return Path(tuple(segments), closed=True)
