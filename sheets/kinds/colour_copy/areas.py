"""Pictures with their areas to colour: the sample with colour and hatch, and the blank one."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from shapes.affine import Affine, Point
from shapes.colour import luminance
from shapes.path import BBox, Path
from shapes.pictures.picture import Picture, to_mm
from shapes.svg.read import Shape
from sheets.page import palette
from sheets.page.art import LINE_MM, artwork
from sheets.page.frame import rectangle
from sheets.page.hatching import HATCH_LINE, hatch_marks, tint
from sheets.page.model import BLACK, WHITE, Fill, Mark, Place, Role, Stroke
from sheets.page.palette import Hatch

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from shapes.pictures.regions import Region

MOST_GAP = 1.5
"""Gaps in the lines of a picture up to this width, in mm on the page, are taken for closed."""
_INK = 0.05
_LIGHT = 0.8
_UNDER_LINE = 0.25
"""An area reaches this far under the lines round it, mm."""


@dataclass(frozen=True, slots=True)
class Areas:
    """A picture at the size of the page with the areas that are wide enough to colour.

    Args:
        longest_mm: longer side of its ink on the page.
        regions: the areas, the largest first; see :func:`shapes.pictures.regions.regions`.
        closed_gaps: gaps up to this width were closed to find them; 0 if none had to be.
    """

    picture: Picture
    longest_mm: float
    regions: tuple[Region, ...]
    closed_gaps: float


@lru_cache(maxsize=256)
def areas_of(picture: Picture, width: float, height: float, least_mm: float) -> Areas | None:
    """The areas of a picture that is made as large as a box; None if there is none.

    Args:
        width, height: of the box, mm.
        least_mm: a circle of this width fits into each area.
    """
    from shapes.pictures.regions import regions

    box = picture.bbox
    per_unit = min(width / box.width, height / box.height)
    longest = per_unit * max(box.width, box.height)
    shown = picture if _painted(picture) else _thinned(picture, LINE_MM / per_unit)
    for gap in (0.0, MOST_GAP):
        found = regions(shown, longest, least_mm / 2.0, gap)
        if found:
            return Areas(picture, longest, found, gap)
    return None


def _thinned(picture: Picture, widest: float) -> Picture:
    """The picture with lines as thin as the page has them: thick ones may hide a gap."""
    line = tuple(
        dataclasses.replace(shape, stroke_width=min(shape.stroke_width, widest))
        for shape in picture.line
    )
    return dataclasses.replace(picture, line=line)


def widest(areas: Areas) -> float:
    """Width in mm of the largest circle that fits into the narrowest area."""
    import shapely

    return min(
        2.0 * float(shapely.length(shapely.maximum_inscribed_circle(region.polygon)))
        for region in areas.regions
    )


def share(areas: Areas) -> float:
    """How much of the box round the picture its areas cover, 0 to 1."""
    ink = areas.picture.bbox
    per_unit = areas.longest_mm / max(ink.width, ink.height)
    covered = sum(region.area_mm2 for region in areas.regions)
    return float(covered / (ink.width * ink.height * per_unit**2))


def child_marks(areas: Areas, box: BBox, id: str, bold: float) -> list[Mark]:
    """The blank picture in the middle of a box."""
    scale, move = _fitted(areas, box)
    return [_lines(areas, scale, move, Role.TARGET, id, bold)]


def sample_marks(
    areas: Areas,
    colours: Sequence[str],
    box: BBox,
    *,
    hatches: Mapping[str, Hatch],
    role: Role,
    name: str,
    bold: float,
    saver: bool,
) -> list[Mark]:
    """The coloured picture in the middle of a box, each area with its hatch.

    Args:
        colours: key of the colour of each area.
        name: ``area-<name>-<n>`` and ``sample-<name>`` are the ids.
    """
    import shapely
    from shapely import affinity

    scale, move = _fitted(areas, box)
    marks: list[Mark] = []
    grow = 0.0 if _painted(areas.picture) else _UNDER_LINE
    for number, (region, key) in enumerate(zip(areas.regions, colours, strict=True), start=1):
        this = f"area-{name}-{number}"
        placed = affinity.affine_transform(
            region.polygon, [scale, 0.0, 0.0, scale, move[0], move[1]]
        )
        grown = shapely.simplify(shapely.buffer(placed, grow), 0.04)
        nominal = palette.colours()[key].hex
        fill = tint(nominal) if saver and nominal != BLACK else nominal
        marks.append(
            Fill(_rings(grown), role, this, colour=fill, even_odd=True, data=(("colour", key),))
        )
        inner = shapely.buffer(placed, -HATCH_LINE / 2.0)
        marks += [
            dataclasses.replace(mark, role=role, id=this)
            for mark in hatch_marks(_corners(inner), hatches.get(key, "none"), fill)
        ]
    lines = _lines(areas, scale, move, role, f"sample-{name}", bold)
    return [lines, *marks] if _painted(areas.picture) else [*marks, lines]


def swatch(box: BBox, key: str, hatch: Hatch, id: str, bold: float) -> list[Mark]:
    """A small field of a colour with its hatch and an edge."""
    edge = rectangle(box)
    fill = palette.colours()[key].hex
    return [
        Fill((edge,), Role.MODEL, id, colour=fill, data=(("colour", key),)),
        *(
            dataclasses.replace(mark, role=Role.MODEL, id=id)
            for mark in hatch_marks([edge.flatten()], hatch, fill)
        ),
        Stroke((edge,), max(0.9, bold), Role.MODEL, id=id, join="miter"),
    ]


# --- inside ---------------------------------------------------------------------------------------


def _fitted(areas: Areas, box: BBox) -> tuple[float, tuple[float, float]]:
    """Scale from the areas' mm to the page's, and where their lower left corner goes."""
    ink = areas.picture.bbox
    per_unit = areas.longest_mm / max(ink.width, ink.height)
    wide, high = ink.width * per_unit, ink.height * per_unit
    scale = min(box.width / wide, box.height / high)
    cx, cy = box.center
    return scale, (cx - wide * scale / 2.0, cy - high * scale / 2.0)


def _shown_line(bold: float) -> float:
    return max(LINE_MM, bold)


def _lines(
    areas: Areas, scale: float, move: tuple[float, float], role: Role, id: str, bold: float
) -> Place:
    """The line art on the same map as the areas; lines thinned to the usual width."""
    picture = areas.picture
    at = (
        to_mm(picture, areas.longest_mm).then(Affine.scaling(scale)).then(Affine.translation(*move))
    )
    bare = dataclasses.replace(picture, line=tuple(_unpainted(picture)), colour=())
    line = None if _painted(picture) else _shown_line(bold)
    art = artwork(bare, scale=at.scale, line_mm=line)
    return Place(dataclasses.replace(art, id=f"{art.id}-lines"), at, role, id)


def _is_paint(shape: Shape) -> bool:
    return shape.fill is not None and luminance(shape.fill) >= _INK


def _painted(picture: Picture) -> bool:
    """Whether light areas of the line art cover lines under them."""
    return any(
        _is_paint(shape) or (shape.stroke is not None and luminance(shape.stroke) > _LIGHT)
        for shape in picture.line
    )


def _unpainted(picture: Picture) -> list[Shape]:
    """The line art with white paper for its colours."""
    return [
        dataclasses.replace(shape, fill=WHITE) if _is_paint(shape) else shape
        for shape in picture.line
    ]


def _rings(area: Polygon) -> tuple[Path, ...]:
    return tuple(Path.from_points(corners, closed=True) for corners in _corners(area))


def _corners(area: Polygon) -> list[list[Point]]:
    """Corners of every edge of an area, holes too."""
    import shapely

    parts = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon"]
    return [list(ring.coords)[:-1] for part in parts for ring in (part.exterior, *part.interiors)]
