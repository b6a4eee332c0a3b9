"""Colours for pattern pages and keys, with the hatch that tells them apart without colour.

The differences of the offered colours under several kinds of colour vision, and in a grey copy, are
measured in ``tests/outside`` with an independent colour library, not here. Yellow, orange and pink
are paler than 3:1 on white paper, so a coloured shape always gets a dark outline as well.
"""

from __future__ import annotations

import difflib
import math
import tomllib
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, Literal, get_args

from shapes.affine import Point
from shapes.errors import InputError
from shapes.path import Path
from sheets.model import Colour as Hex

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon, Polygon
    from shapely.geometry.base import BaseGeometry

Hatch = Literal["dots", "rising", "falling", "grid", "waves", "solid", "none"]
HATCHES: tuple[Hatch, ...] = get_args(Hatch)
Printer = Literal["any", "colour"]

_SHORTEST_MM = 0.3  # a hatch line shorter than this prints as a speck


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour a child can name and colour with.

    Args:
        key: the English word.
        names: the word by language code.
        hex: nominal value, ``#rrggbb``.
        hatch: how it is hatched when no other colour of the page has the same hatch.
        shape: name of a basic shape for keys that give every colour one.
        also: further words a theme may use for it.
    """

    key: str
    names: Mapping[str, str]
    hex: Hex
    hatch: Hatch
    shape: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours offered together, in the order in which a pattern takes them.

    Args:
        printer: ``any``, or ``colour`` where a grey copy would make two of them alike.
        needs_mark: colour alone does not tell them apart for every eye or printer; the page must
            draw a hatch or a shape for each.
    """

    colours: tuple[Colour, ...]
    printer: Printer
    needs_mark: bool


@lru_cache(maxsize=1)
def colours() -> Mapping[str, Colour]:
    """All colours by English word, in the order of ``palette.toml``."""
    return {
        key: Colour(
            key, row["names"], row["hex"], row["hatch"], row["shape"], tuple(row.get("also", ()))
        )
        for key, row in _table()["colours"].items()
    }


@lru_cache(maxsize=1)
def _offered() -> tuple[Palette, ...]:
    known = colours()
    return tuple(
        Palette(tuple(known[key] for key in row["colours"]), row["printer"], row["needs_mark"])
        for row in _table()["palettes"]
    )


def palettes(count: int, *, colour_printer: bool) -> tuple[Palette, ...]:
    """The sets of ``count`` colours (2 to 4) offered for the printer, best first.

    A black-and-white printer gets only sets that stay apart in grey.

    Raises:
        InputError: no set of that many colours.
    """
    sized = [p for p in _offered() if len(p.colours) == count]
    if not sized:
        raise InputError(f"no palette of {count} colours", fix="ask for 2, 3 or 4")
    return tuple(p for p in sized if colour_printer or p.printer == "any")


def find(word: str) -> Colour:
    """The colour a word means, in any of the languages; case does not matter.

    Raises:
        InputError: unknown word; the message names the nearest known ones.
    """
    wanted = _plain(word)
    words = _words()
    if wanted in words:
        return colours()[words[wanted]]
    near = difflib.get_close_matches(wanted, words, n=1)
    hint = f"did you mean {near[0]}?" if near else f"choose from {', '.join(colours())}"
    raise InputError(f"no colour {word!r}", fix=hint)


@lru_cache(maxsize=1)
def _words() -> Mapping[str, str]:
    words: dict[str, str] = {}
    for colour in colours().values():
        for name in (colour.key, *colour.names.values(), *colour.also):
            words[_plain(name)] = colour.key
    return words


def needs_mark(chosen: Sequence[Colour]) -> bool:
    """True unless the colours are all in one offered palette that does without a mark.

    A theme may name any colours; those we have not measured together always get the mark.
    """
    keys = {c.key for c in chosen}
    plain = (p for p in _offered() if not p.needs_mark)
    return len(keys) > 1 and not any(keys <= {c.key for c in p.colours} for p in plain)


def hatches(chosen: Sequence[Colour]) -> dict[str, Hatch]:
    """A hatch for each colour key, all different: its own if still free, else the next free one.

    Raises:
        InputError: more different colours than there are hatches.
    """
    wanted = {c.key: c.hatch for c in chosen}
    if len(wanted) > len(HATCHES):
        raise InputError(f"{len(wanted)} colours on one page", fix=f"use {len(HATCHES)} or fewer")
    given: dict[str, Hatch] = {}
    for key, hatch in wanted.items():
        if hatch not in given.values():
            given[key] = hatch
    for key in wanted:
        if key not in given:
            # "none" and "solid" say white and black, so they are taken last.
            given[key] = next(h for h in HATCHES if h not in given.values())
    return {key: given[key] for key in wanted}


def contrast(a: Hex, b: Hex) -> float:
    """Contrast ratio of two colours, 1 to 21, by the WCAG 2 definition.

    Source: W3C, Web Content Accessibility Guidelines 2.2, definitions of contrast ratio and
    relative luminance. Written for screens; used for paper by analogy.

    Raises:
        InputError: not ``#rrggbb``.
    """
    high, low = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _luminance(colour: Hex) -> float:
    digits = colour.removeprefix("#")
    if len(colour) != 7 or len(digits) != 6 or not set(digits.lower()) <= set("0123456789abcdef"):
        raise InputError(f"{colour!r} is not a colour", fix="write it as #rrggbb")
    red, green, blue = (_linear(int(digits[i : i + 2], 16) / 255.0) for i in (0, 2, 4))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(c: float) -> float:
    return c / 12.92 if c <= 0.04045 else float(((c + 0.055) / 1.055) ** 2.4)


# --- hatching ------------------------------------------------------------------------------------


def hatch_lines(area: Polygon | MultiPolygon, kind: Hatch, spacing_mm: float) -> list[Path]:
    """The hatch of one area as paths in mm, cut at its edge and placed by its middle.

    Two equal shapes get the same hatch wherever they stand. ``solid`` and ``none`` give no paths:
    the page fills the area, or leaves it. ``dots`` are closed circles to be filled, a fifth of the
    spacing in radius, and only those that lie wholly inside; the other kinds are open lines to be
    stroked. ``rising`` goes up to the right.

    Args:
        spacing_mm: distance of neighbouring lines, or of dots along a row.

    Raises:
        InputError: unknown kind, or spacing not above 0.
    """
    if kind not in HATCHES:
        raise InputError(f"no hatch {kind!r}", fix=f"choose from {', '.join(HATCHES)}")
    if not 0.0 < spacing_mm < math.inf:
        raise InputError(f"hatch spacing {spacing_mm:g} mm", fix="give a spacing above 0")
    if kind in ("solid", "none") or area.is_empty:
        return []
    x0, y0, x1, y1 = area.bounds
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    reach = math.hypot(x1 - x0, y1 - y0) / 2.0 + spacing_mm
    if kind == "dots":
        return list(_dots(area, middle, reach, spacing_mm))
    return [
        piece for line in _lines(kind, middle, reach, spacing_mm) for piece in _clipped(area, line)
    ]


def _dots(
    area: Polygon | MultiPolygon, middle: Point, reach: float, spacing: float
) -> Iterator[Path]:
    """Dots in rows, every other row moved by half a step, so no direction stands out."""
    from shapely.geometry import Point as ShapelyPoint

    radius = spacing / 5.0
    inside = area.buffer(-radius)
    rise = spacing * math.sqrt(3.0) / 2.0
    rows, columns = math.ceil(reach / rise), math.ceil(reach / spacing) + 1
    for row in range(-rows, rows + 1):
        for column in range(-columns, columns + 1):
            x = middle[0] + (column + (row % 2) / 2.0) * spacing
            y = middle[1] + row * rise
            if inside.covers(ShapelyPoint(x, y)):
                yield Path.circle((x, y), radius)


def _lines(kind: Hatch, middle: Point, reach: float, spacing: float) -> Iterator[list[Point]]:
    """Unclipped hatch lines over the circle of radius ``reach`` about the middle."""
    count = math.ceil(reach / spacing)
    for step in range(-count, count + 1):
        aside = step * spacing
        if kind == "waves":
            points = 8 * count  # sixteen to a wave, on its crests too
            along = [spacing * i / 8.0 for i in range(-points, points + 1)]
            swing = spacing / 4.0
            yield [
                (middle[0] + s, middle[1] + aside + swing * math.sin(math.pi * s / spacing))
                for s in along
            ]
        else:
            for angle_deg in {"rising": (45,), "falling": (-45,), "grid": (0, 90)}[kind]:
                dx, dy = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
                x, y = middle[0] - dy * aside, middle[1] + dx * aside
                yield [(x - dx * reach, y - dy * reach), (x + dx * reach, y + dy * reach)]


def _clipped(area: BaseGeometry, line: list[Point]) -> list[Path]:
    from shapely import get_parts
    from shapely.geometry import LineString

    pieces = get_parts(area.intersection(LineString(line)))
    kept = [p for p in pieces if p.geom_type == "LineString" and p.length >= _SHORTEST_MM]
    # Sorted, because the order of the parts is the library's own.
    return [Path.from_points(points) for points in sorted(list(p.coords) for p in kept)]


# --- inside --------------------------------------------------------------------------------------


def _plain(word: str) -> str:
    return unicodedata.normalize("NFC", " ".join(word.split())).casefold()


@lru_cache(maxsize=1)
def _table() -> Mapping[str, Any]:
    with FilePath(__file__).with_name("palette.toml").open("rb") as file:
        return tomllib.load(file)
