"""What is read from an SVG drawing: shapes with fill and stroke, and the sheet they are on."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.ink import Cap, Join, Nib
from shapes.path import BBox, Path


@dataclass(frozen=True, slots=True)
class Shape:
    """One drawn element.

    Args:
        paths: its subpaths, y up, in user units of the drawing.
        fill, stroke: ``#rrggbb`` or None for none.
        stroke_width: in user units of the drawing, transforms included; 0 without a stroke.
        dash: on/off lengths in user units; empty for a solid line.
        miter_limit: where a mitred corner becomes a bevel (SVG ``stroke-miterlimit``).
        even_odd: inner paths are holes under the even-odd rule, else under the nonzero rule.
        group: id of the outermost ``<g>`` it is in, such as ``line``; else empty.
        data: ``data-`` attributes without that prefix, those of its groups included; the innermost
            wins.
        classes: its classes after those of its groups.
    """

    paths: tuple[Path, ...]
    fill: str | None
    stroke: str | None
    stroke_width: float
    cap: Cap = "butt"
    join: Join = "miter"
    dash: tuple[float, ...] = ()
    miter_limit: float = 4.0
    even_odd: bool = False
    group: str = ""
    id: str = ""
    data: tuple[tuple[str, str], ...] = ()
    classes: tuple[str, ...] = ()

    @property
    def nib(self) -> Nib:
        """What draws its lines."""
        return Nib(self.stroke_width, self.cap, self.join, self.miter_limit)


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG file as shapes, in the order they are painted.

    Args:
        shapes: at least one; the lower left corner of the viewBox is the origin, y up.
        mm_per_unit: true size of one user unit, None if the file gives none.
        width_mm, height_mm: size of the whole sheet, None if the file gives none.
        view: the viewBox, from (0, 0); None if the file has neither viewBox nor size.
        groups: ids of the outermost groups, in order.
        ignored: what was left out, such as ``text`` or ``mask``, sorted.
    """

    shapes: tuple[Shape, ...]
    mm_per_unit: float | None
    width_mm: float | None
    height_mm: float | None
    view: BBox | None
    groups: tuple[str, ...]
    ignored: tuple[str, ...]
