"""What a picture is: line art over coloured areas, in its own units, and the box round its ink."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace

from shapes.affine import Affine, Point
from shapes.errors import PictureError
from shapes.ink import miter_tips
from shapes.path import BBox, Path
from shapes.svg.read import Drawing, Shape

PAPER = "#ffffff"
_LINE_GROUPS = ("line", "line-supplement")
_LEAST_UNITS = 0.001
_FLAT = 1e-6


@dataclass(frozen=True)
class Picture:
    """A whole drawing in its own units, y up: see :mod:`shapes.pictures.whole`.

    Args:
        id: code points for an OpenMoji drawing, the file's name without suffix for a file.
        name: the curated word, else the English CLDR name, else the id.
        line: the line art, the group called ``line``, and last the lines that close it. A file
            without such a group has all its shapes here.
        colour: everything else, the coloured areas under the lines; may be empty.
        bbox: box round all ink that is seen on white paper, line widths included.
        credit: what must be printed where the picture is shown; empty for a teacher's own file.
        source: where the drawing comes from.
        mm_per_unit: true size of a unit, None if the file gives none.
        left_out: what of the file is not shown, such as ``text``.
        also: what else in English a child may well call it, such as ``squirrel`` for a beaver.
    """

    id: str
    name: str
    line: tuple[Shape, ...]
    colour: tuple[Shape, ...]
    bbox: BBox
    credit: str
    source: str
    mm_per_unit: float | None = None
    left_out: tuple[str, ...] = ()
    also: tuple[str, ...] = ()

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """Everything that is drawn, in painting order."""
        return (*self.colour, *self.line)

    @property
    def remark(self) -> str:
        """What of the file is not shown, for the adult; empty if all of it is."""
        if not self.left_out:
            return ""
        return (
            f"{self.source}: not shown as drawn: {', '.join(self.left_out)}; "
            "turn it into plain shapes in the drawing program if it matters"
        )


def from_drawing(drawing: Drawing, *, id: str, name: str, credit: str, source: str) -> Picture:
    """A drawing as a picture; its groups called ``line`` are the line art, if there are any.

    Raises:
        PictureError: if it is too small to be drawn.
    """
    line = tuple(shape for shape in drawing.shapes if shape.group in _LINE_GROUPS)
    colour = tuple(shape for shape in drawing.shapes if shape.group not in _LINE_GROUPS)
    if not line:
        line, colour = drawing.shapes, ()
    box = ink_box((*colour, *line))
    if max(box.width, box.height) < _LEAST_UNITS:
        raise PictureError(
            f"is smaller than {_LEAST_UNITS} units", where=source, fix="scale the drawing up"
        )
    if min(box.width, box.height) < _FLAT * max(box.width, box.height):
        raise PictureError(
            "shows nothing: its shapes have neither area nor line",
            where=source,
            fix="choose another picture",
        )
    return Picture(
        id, name, line, colour, box, credit, source, drawing.mm_per_unit, drawing.ignored
    )


def to_mm(picture: Picture, longest_mm: float) -> Affine:
    """The map from picture units to mm that puts the ink's lower left corner at the origin.

    Args:
        longest_mm: longer side of the ink, above 0.
    """
    box = picture.bbox
    scale = longest_mm / max(box.width, box.height)
    return Affine(a=scale, d=scale, e=-box.x0 * scale, f=-box.y0 * scale)


def without(picture: Picture, left_out: Container[tuple[int, int]]) -> tuple[Shape, ...]:
    """The shapes of a picture without some paths of them; a shape may keep none.

    Args:
        left_out: number of the shape in painting order, number of the path in the shape.
    """
    return tuple(
        replace(shape, paths=tuple(p for j, p in enumerate(shape.paths) if (i, j) not in left_out))
        for i, shape in enumerate(picture.shapes)
    )


def is_seen(shape: Shape) -> bool:
    """False for paint that is as white as the paper; it may hide what is under it."""
    return any(paint not in (None, PAPER) for paint in (shape.fill, shape.stroke))


# --- box round the ink ----------------------------------------------------------------------


def ink_box(shapes: Iterable[Shape]) -> BBox:
    """Box round the ink that is seen; round white paint too if there is nothing else."""
    listed = list(shapes)
    inked = [shape for shape in listed if is_seen(shape)]
    return BBox.around(point for shape in inked or listed for point in _ink_corners(shape))


def _ink_corners(shape: Shape) -> Iterator[Point]:
    """Points whose box is the box of the shape's ink (for a bevelled corner it may be larger)."""
    half = shape.stroke_width / 2.0
    for path in shape.paths:
        box = path.bbox
        if shape.stroke is None or path.closed or shape.cap == "round":
            yield from ((box.x0 - half, box.y0 - half), (box.x1 + half, box.y1 + half))
        else:
            yield from _open_corners(path, half, square=shape.cap == "square")
        if shape.stroke is not None:
            yield from (tip for _, _, tip, _ in miter_tips(shape.nib, path))


def _open_corners(path: Path, half: float, *, square: bool) -> Iterator[Point]:
    """A flat end reaches sideways only, so the box is not simply grown by half the width."""
    ends = (
        (path.start, path.segments[0].tangent_at(0.0), -1.0),
        (path.end, path.segments[-1].tangent_at(1.0), 1.0),
    )
    for (x, y), (tx, ty), outward in ends:
        reach = outward * half if square else 0.0
        for side in (half, -half):
            yield (x + tx * reach - ty * side, y + ty * reach + tx * side)
    for segment in path.segments:
        for x, y in segment.extremes():
            if (x, y) not in (path.start, path.end):
                yield from ((x - half, y - half), (x + half, y + half))
