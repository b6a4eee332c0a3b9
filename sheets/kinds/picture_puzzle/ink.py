"""What of a placed picture lies within a box: as marks to print, and as an area to measure.

Pictures are placed upright. Lengths in mm on the page.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from shapes.affine import Affine, Point
from shapes.ink import stroke_rings
from shapes.path import BBox, Path
from shapes.svg.drawing import Shape
from sheets.page.art import marks_of
from sheets.page.marks import mark_bbox, marks_bbox
from sheets.page.model import LANE_TINT, WHITE, Fill, Place, Role, Stroke

if TYPE_CHECKING:
    from shapely import Geometry

FINE_MM = 0.02
"""Largest gap between a curve and its chords where lines are printed as areas."""
SAG_MM = 0.1
"""Largest gap between a curve and its chords where ink is only measured."""
_ROUND_MM, _NICK_MM = 0.05, 1.0


def clip(place: Place, box: BBox) -> Place | None:
    """The part of a placed picture within a box, where it was; None if nothing of it is there.

    Lines that are cut off become areas, so that they end in the straight edge of the box.
    """
    from shapely import box as rectangle

    from shapes.svg.clip import clipped

    corners = box.transformed(_back(place.at))
    window = rectangle(corners.x0, corners.y0, corners.x1, corners.y1)
    near = [mark for mark in place.artwork.marks if _meet(_reach(mark), corners)]
    marks = [
        drawn for mark in near for part in clipped(_shape(mark), window) for drawn in marks_of(part)
    ]
    if not any(mark.colour != WHITE for mark in marks):
        return None
    if len(marks) > 1 and len({mark.colour for mark in marks}) == 1:
        marks = [_joined(marks, FINE_MM / place.at.scale)]
    # The part is known by what it is a part of and by where it was cut.
    name = "-".join(f"{round(value * 100)}" for value in dataclasses.astuple(corners))
    art = dataclasses.replace(
        place.artwork,
        id=f"{place.artwork.id}-part-{name}",
        marks=tuple(marks),
        bbox=marks_bbox(marks),
    )
    return dataclasses.replace(place, artwork=art)


def _joined(marks: Sequence[Stroke | Fill], sag: float) -> Fill:
    """Marks of one colour as one area: what lies on another counts once."""
    import shapely

    from shapes.outline.morphology import parts
    from shapes.svg.clip import filled_area

    areas: list[Geometry] = []
    for mark in marks:
        if isinstance(mark, Fill):
            areas.append(filled_area(mark.paths, mark.even_odd))
            continue
        rings = (r for path in mark.paths for r in stroke_rings(mark.nib, path, Affine(), sag))
        areas += [shapely.Polygon(ring) for ring in rings]
    paths = tuple(
        Path.from_points([(x, y) for x, y in ring.coords], closed=True)
        for part in parts(shapely.union_all(areas))
        if part.area > sag * sag
        for ring in (part.exterior, *part.interiors)
        if shapely.Polygon(ring).area > sag * sag
    )
    return Fill(paths, Role.ART, colour=marks[0].colour, even_odd=True)


def inked(places: Sequence[Place]) -> Geometry:
    """The area that placed pictures cover with ink; white paint takes away what is below it."""
    import shapely

    ink: Geometry = shapely.Polygon()
    for place in places:
        for mark in place.artwork.marks:
            area = shapely.union_all(list(_areas(mark, place)))
            join = shapely.difference if mark.colour == WHITE else shapely.union
            ink = join(ink, area)
    return ink


def outline(lines: Place, coloured: Place, thinned: float) -> tuple[Path, ...]:
    """The outer edge of a placed picture, without what is inside it.

    Args:
        coloured: the same with its colours, whose areas close what the lines leave open.
        thinned: by how much the lines are less wide than drawn; areas may reach as far as those.
    """
    import shapely

    from shapes.outline.morphology import parts

    fills = tuple(mark for mark in coloured.artwork.marks if isinstance(mark, Fill))
    areas = dataclasses.replace(
        coloured, artwork=dataclasses.replace(coloured.artwork, marks=fills)
    )
    within = shapely.buffer(inked([areas]), -thinned / 2.0)
    whole = shapely.union(within, inked([lines]))
    rings = shapely.union_all([shapely.Polygon(part.exterior) for part in parts(whole)])
    # Nicks where the ends of two lines meet are closed.
    smooth = shapely.buffer(shapely.buffer(rings, _NICK_MM), -_NICK_MM)
    return tuple(
        Path.from_points(
            [(x, y) for x, y in shapely.get_coordinates(part.exterior).tolist()], closed=True
        )
        for part in parts(shapely.simplify(smooth, _ROUND_MM))
    )


def tinted(lines: Place, coloured: Place, thinned: float) -> Place:
    """A picture with a light tint on all of it, so that a piece shows which side of a line is in.

    Args:
        coloured, thinned: as for :func:`outline`.
    """
    back = _back(lines.at)
    paths = tuple(path.transformed(back) for path in outline(lines, coloured, thinned))
    tint = Fill(paths, Role.ART, colour=LANE_TINT)
    art = dataclasses.replace(
        lines.artwork, id=f"{lines.artwork.id}-tint", marks=(tint, *lines.artwork.marks)
    )
    return dataclasses.replace(lines, artwork=art)


def _back(at: Affine) -> Affine:
    return Affine.translation(-at.e, -at.f).then(Affine.scaling(1.0 / at.a, 1.0 / at.d))


def _areas(mark: Stroke | Fill, place: Place) -> Iterator[Geometry]:
    from shapely import MultiLineString, Polygon, buffer

    from shapes.svg.clip import filled_area

    if isinstance(mark, Fill):
        yield filled_area([path.transformed(place.at) for path in mark.paths], mark.even_odd)
        return
    if mark.cap == mark.join == "round":
        lines = [_points(path.transformed(place.at)) for path in mark.paths]
        yield buffer(MultiLineString(lines), mark.width * place.at.scale / 2.0)
        return
    for path in mark.paths:
        yield from (Polygon(ring) for ring in stroke_rings(mark.nib, path, place.at, SAG_MM))


def _points(path: Path) -> list[Point]:
    points = path.flatten(SAG_MM)
    return [*points, points[0]] if path.closed else points


def _reach(mark: Stroke | Fill) -> BBox:
    """Box round a mark with the tips of its mitred corners."""
    box = mark_bbox(mark)
    return box.grown(mark.width * mark.miter_limit / 2.0) if isinstance(mark, Stroke) else box


def _meet(a: BBox, b: BBox) -> bool:
    return a.x0 <= b.x1 and b.x0 <= a.x1 and a.y0 <= b.y1 and b.y0 <= a.y1


def _shape(mark: Stroke | Fill) -> Shape:
    if isinstance(mark, Fill):
        return Shape(mark.paths, mark.colour, None, 0.0, even_odd=mark.even_odd)
    return Shape(
        mark.paths,
        None,
        mark.colour,
        mark.width,
        cap=mark.cap,
        join=mark.join,
        dash=mark.dash,
        miter_limit=mark.miter_limit,
    )
