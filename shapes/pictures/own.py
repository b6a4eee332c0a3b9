"""A teacher's own drawing, photo or scan becomes a picture.

Where the file is large it is read in a process of its own, with limits of time and memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path as FilePath

from shapes.affine import Point
from shapes.colour import luminance
from shapes.errors import FileError, PictureError
from shapes.path import Line
from shapes.pictures.finish import finished
from shapes.pictures.picture import Picture, from_drawing
from shapes.svg.guard import MAX_BYTES
from shapes.svg.read import Drawing, read_svg

DOTS = (".png", ".jpg", ".jpeg")
"""Endings of pictures made of dots."""
MAX_SCAN_BYTES = 30_000_000
"""Photos have up to 15 MB; more is no photo of a drawing."""

LARGE_BYTES = 100_000
"""A drawing of more is read apart; a child's or a teacher's has 2 to 50 KB."""
LARGE_SEGMENTS = 5_000
"""A drawing of more lines and curves is measured and outlined apart. What fewer can ask of a single
step of the geometry library takes a second or two at most."""
_CLIPS = 20
"""Clip paths call the geometry library while the file is read, once for every shape in each."""
_FEW = 150
_LIGHT = 0.8


def load_file(path: FilePath) -> Picture:
    """A teacher's own file; needs no credit.

    It is an SVG drawing, or a PNG or JPG picture of a drawing. Of an SVG drawing a light rectangle
    behind everything is taken for the paper and left out.

    Raises:
        FileError: if the file cannot be read.
        PictureError: if it is not a plain drawing.
        InputError: if reading it takes too much time or memory.
    """
    of_dots = path.suffix.lower() in DOTS
    most = MAX_SCAN_BYTES if of_dots else MAX_BYTES
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise FileError(
            "there is no such file", where=str(path), fix="check the name and the folder"
        ) from None
    except (OSError, ValueError):  # ValueError: a name no file can have
        raise FileError(
            "cannot be read", where=str(path), fix="check that it is a file you may open"
        ) from None
    if of_dots:
        return _measured(_picture(_scanned(data, path.name), path.name))
    if len(data) <= LARGE_BYTES and data.count(b"clip-path") <= _CLIPS:
        picture = _drawn(data, path.name)
        if not is_large(picture):
            return _measured(picture)
    return _read_apart(data, path.name)


def _drawn(data: bytes, name: str) -> Picture:
    return _picture(_without_paper(read_svg(data, name)), name)


def _picture(drawing: Drawing, name: str) -> Picture:
    stem = FilePath(name).stem
    words = re.sub(r"[-_\s]+", " ", stem).strip()
    return from_drawing(drawing, id=stem, name=words or stem, credit="", source=name)


def _measured(picture: Picture) -> Picture:
    # Few lines cannot cross often, and looking loads the geometry library.
    if segments(picture) > _FEW:
        from shapes.pictures.silhouette import check_lines

        check_lines(picture)
    return finished(picture, None)


# --- large drawings -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Read:
    """A drawing as it was read apart, and the rings of its silhouette."""

    picture: Picture
    whole: tuple[tuple[Point, ...], ...]


def _read_apart(data: bytes, name: str) -> Picture:
    if len(data) > MAX_BYTES:
        return _drawn(data, name)  # refused before anything is read
    from shapes.apart import call

    read: _Read = call(_read_here, data, name, where=name)
    if not is_large(read.picture):
        return read.picture
    from shapes.pictures.silhouette import keep_whole

    keep_whole(read.picture, read.whole)
    return read.picture


def _read_here(data: bytes, name: str) -> _Read:
    """For :func:`_read_apart`, in the process that it starts."""
    picture = _measured(_drawn(data, name))
    if not is_large(picture):
        return _Read(picture, ())
    from shapes.pictures.silhouette import whole_rings

    return _Read(picture, whole_rings(picture))


def is_large(picture: Picture) -> bool:
    """Whether an own drawing has so many lines that work on it is done apart."""
    return not picture.credit and segments(picture) > LARGE_SEGMENTS


def segments(picture: Picture) -> int:
    """Number of straight lines and curves of a picture."""
    return sum(len(path.segments) for shape in picture.shapes for path in shape.paths)


# --- opening --------------------------------------------------------------------------------------


def _scanned(data: bytes, where: str) -> Drawing:
    if len(data) > MAX_SCAN_BYTES:
        raise PictureError(
            f"is larger than {MAX_SCAN_BYTES // 1_000_000} MB",
            where=where,
            fix="make the picture smaller",
        )
    from shapes.pictures.scan import read_scan

    return read_scan(data, where)


def _without_paper(drawing: Drawing) -> Drawing:
    first, *others = drawing.shapes
    if not others or drawing.view is None or first.stroke or first.fill is None:
        return drawing
    (path, *more) = first.paths
    is_box = (
        not more
        and len(path.segments) == 4
        and all(
            isinstance(s, Line) and 0.0 in (s.start[0] - s.end[0], s.start[1] - s.end[1])
            for s in path.segments
        )
    )
    slack = 0.001 * max(drawing.view.width, drawing.view.height)
    if is_box and luminance(first.fill) > _LIGHT and path.bbox.contains(drawing.view, slack):
        return replace(drawing, shapes=tuple(others))
    return drawing
