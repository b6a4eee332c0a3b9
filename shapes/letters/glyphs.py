"""Letterforms of the page font as outlines in millimetres: paths to draw, areas to compare."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, Literal

from shapes.affine import Affine, Point
from shapes.errors import FileError, GlyphError, InputError
from shapes.path import Cubic, Line, Path, Segment

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon
    from shapely.geometry import Point as ShapelyPoint
    from shapely.geometry.base import BaseGeometry

# The geometry must not import the pages, yet letters must be the very forms the pages print. So the
# font is a parameter, and its default is found as a file beside this package, not by an import.
PAGE_FONT = FilePath(__file__).with_name("fonts") / "Andika-Regular.ttf"

By = Literal["cap", "x", "em"]

_SAG_UNITS = 0.25  # of 2048 to the em: 0.01 mm in a capital 50 mm high


# --- outlines ------------------------------------------------------------------------------------


def glyph(
    char: str, height_mm: float, by: By = "cap", *, font: FilePath = PAGE_FONT
) -> tuple[Path, ...]:
    """The outline of one letter: closed paths in mm, y up, baseline at 0, pen position at x = 0.

    Outer edges and holes never overlap, so the paths may be filled (even-odd or not) as well as
    drawn as a hollow letter. Where the font's own strokes overlap (K, M, x ...) they are joined,
    and curves there become chords within 0.01 mm on a capital 50 mm high.

    Args:
        char: one character; an accent typed apart is joined to its letter.
        height_mm: height of a capital H (``cap``), of a small x (``x``) or of the em (``em``).

    Raises:
        GlyphError: the font has no such character.
        InputError: not one character, a blank, or a height that is not above 0.
        FileError: the font cannot be read.
    """
    scale = _scale(height_mm, by, font)
    name = _glyph_name(char, font)
    outline = tuple(p.transformed(Affine.scaling(scale)) for p in _unit_outline(name, font))
    if not outline:
        raise InputError(f"{char!r} has no outline", fix="choose a letter, figure or sign")
    return outline


def advance_mm(char: str, height_mm: float, by: By = "cap", *, font: FilePath = PAGE_FONT) -> float:
    """How far the next letter stands to the right, in mm. Arguments and errors as :func:`glyph`."""
    width, _ = _font(font).metrics[_glyph_name(char, font)]
    return float(width) * _scale(height_mm, by, font)


def has_glyph(char: str, *, font: FilePath = PAGE_FONT) -> bool:
    """True if the font can show the character."""
    char = unicodedata.normalize("NFC", char)
    return len(char) == 1 and ord(char) in _font(font).names


@lru_cache(maxsize=256)
def area(
    char: str, height_mm: float = 1.0, by: By = "cap", *, font: FilePath = PAGE_FONT
) -> MultiPolygon:
    """The inked area of a letter as a shapely geometry, placed as in :func:`glyph`."""
    from shapely.geometry import MultiPolygon

    sag_mm = height_mm / 1000.0
    inked = _inked([p.flatten(sag_mm) for p in glyph(char, height_mm, by, font=font)])
    return inked if isinstance(inked, MultiPolygon) else MultiPolygon([inked])


# --- the font ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Font:
    glyphs: Mapping[str, Any]
    names: Mapping[int, str]
    metrics: Mapping[str, tuple[int, int]]
    units: Mapping[By, float]  # font units in the height of H, of x, and of the em


@lru_cache(maxsize=4)
def _font(path: FilePath) -> _Font:
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.ttLib import TTFont, TTLibError

    try:
        font = TTFont(path)
        glyphs, names = font.getGlyphSet(), font.getBestCmap()
        units: dict[By, float] = {"em": font["head"].unitsPerEm}
        heights: tuple[tuple[By, str], ...] = (("cap", "H"), ("x", "x"))
        for by, char in heights:
            pen = BoundsPen(glyphs)
            glyphs[names[ord(char)]].draw(pen)
            units[by] = pen.bounds[3]
    except OSError as error:
        raise FileError(
            "cannot read the font", where=str(path), fix="reinstall tablework, or name another"
        ) from error
    except (TTLibError, KeyError, TypeError) as error:
        raise FileError(
            "not a font with Latin letters", where=str(path), fix="name a TrueType font"
        ) from error
    return _Font(glyphs, names, font["hmtx"].metrics, units)


def _glyph_name(char: str, path: FilePath) -> str:
    composed = unicodedata.normalize("NFC", char)
    if len(composed) != 1:
        raise InputError(f"{char!r} is not one letter", fix="give one character at a time")
    name = _font(path).names.get(ord(composed))
    if name is None:
        raise GlyphError(
            f"the page font has no {composed!r} (U+{ord(composed):04X})",
            fix="write the word in letters the font has",
        )
    return name


def _scale(height_mm: float, by: By, path: FilePath) -> float:
    if not 0.0 < height_mm < float("inf"):
        raise InputError(f"letter height {height_mm:g} mm", fix="give a height above 0")
    units = _font(path).units
    if by not in units:
        raise InputError(f"letter height by {by!r}", fix="choose cap, x or em")
    return height_mm / units[by]


@lru_cache(maxsize=512)
def _unit_outline(name: str, path: FilePath) -> tuple[Path, ...]:
    """The outline in font units, outer edges and holes, without overlaps."""
    contours = tuple(_contours(name, path))
    if not contours or not _crosses(contours):
        return contours
    from shapely.geometry import MultiPolygon
    from shapely.geometry.polygon import orient

    inked = _inked([c.flatten(_SAG_UNITS) for c in contours])
    parts = inked.geoms if isinstance(inked, MultiPolygon) else (inked,)
    rings: list[list[Point]] = []
    for part in parts:
        # Clockwise outer edges, as in a TrueType font.
        part = orient(part, sign=-1.0)
        rings.extend(_from_corner(list(r.coords)[:-1]) for r in (part.exterior, *part.interiors))
    return tuple(Path.from_points(ring, closed=True) for ring in sorted(rings))


def _from_corner(ring: list[Point]) -> list[Point]:
    """The ring started at its leftmost lowest point: where the library starts it may change."""
    first = ring.index(min(ring))
    return ring[first:] + ring[:first]


def _contours(name: str, path: FilePath) -> list[Path]:
    """The font's own contours in font units, quadratic curves as the same cubics."""
    from fontTools.pens.basePen import BasePen

    class Contours(BasePen):  # type: ignore[misc]  # in here, as the import is
        def __init__(self) -> None:
            super().__init__(_font(path).glyphs)
            self.done: list[Path] = []

        def _moveTo(self, _: Point) -> None:  # noqa: N802
            self.segments: list[Segment] = []

        def _lineTo(self, pt: Point) -> None:  # noqa: N802
            here = self._getCurrentPoint()
            if pt != here:
                self.segments.append(Line(here, pt))

        def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:  # noqa: N802
            self.segments.append(Cubic(self._getCurrentPoint(), pt1, pt2, pt3))

        def _closePath(self) -> None:  # noqa: N802
            if self.segments:
                self.done.append(Path(tuple(self.segments), closed=True))

    pen = Contours()
    _font(path).glyphs[name].draw(pen)
    return pen.done


def _crosses(contours: Sequence[Path]) -> bool:
    """True if a contour crosses itself or another."""
    from shapely.geometry import LinearRing, MultiLineString

    return not MultiLineString([LinearRing(c.flatten(_SAG_UNITS)) for c in contours]).is_simple


def _inked(rings: Sequence[Sequence[Point]]) -> BaseGeometry:
    """What the rings fill under the non-zero rule, which fonts use."""
    from shapely import polygonize, union_all
    from shapely.geometry import LinearRing

    faces = polygonize([union_all([LinearRing(ring) for ring in rings])]).geoms
    inside = [face for face in faces if _winding(face.representative_point(), rings)]
    return union_all(inside)


def _winding(point: ShapelyPoint, rings: Sequence[Sequence[Point]]) -> int:
    """How often the rings run anticlockwise round the point (crossings of the ray to its right)."""
    x, y = point.x, point.y
    count = 0
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (y0 <= y) != (y1 <= y) and x0 + (y - y0) / (y1 - y0) * (x1 - x0) > x:
                count += 1 if y1 > y0 else -1
    return count
