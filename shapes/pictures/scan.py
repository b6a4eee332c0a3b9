"""A photo or scan of a drawing becomes a picture: what is dark on lighter paper, with its outline.

The light may fall unevenly: the paper's brightness is told from the paper itself, as a smooth
surface, and a dot is ink if it is clearly darker than the paper there would be. Specks and what
reaches in from the edge (a table, a shadow) are left out. Outlines are followed along the dots and
drawn as smooth curves. Lengths in dots, y up.

Imported inside functions only (numpy is heavy); Pillow is loaded only for such a file.
"""

from __future__ import annotations

import io
import itertools
import math
import warnings
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from shapes.affine import Point
from shapes.errors import PictureError
from shapes.path import Cubic, Line, Path, Segment
from shapes.svg.drawing import Drawing, Shape

if TYPE_CHECKING:
    from PIL.Image import Image

Mask = NDArray[np.bool_]
Levels = NDArray[np.float64]

MAX_PIXELS = 50_000_000
"""Most dots of a picture: a phone's camera has up to 50 million; more would fill the memory."""
MIN_SIDE = 60
"""Fewer dots on the shorter side show no outline that could be followed."""
SIDE = 1200
"""Dots on the longer side that a picture is worked on with: six to a millimetre at 200 mm."""
MAX_OUTLINES = 500
"""More outlines than a drawing has: noise, or a photo of a scene."""

_FAINT = 0.9
"""The lightest ink as a share of the paper's brightness; our setting."""
_DARKEST = 0.5
_MOSTLY = 0.85
_DIMMEST = 0.4
"""How dark the paper may be in one place, as a share of the usual; our setting."""
_SPECK = 0.002
"""Parts below this share of the largest are specks; our setting."""
_CORNER = math.radians(50.0)
_OFF = 0.7
"""An outline may be this many dots off: less than what the threshold decides by chance."""
_ROUNDING = 12.0


def read_scan(data: bytes, where: str) -> Drawing:
    """The drawing on a PNG or JPG picture, as one dark shape.

    Args:
        where: file name for messages.

    Raises:
        PictureError: it cannot be read, is too large or small, or shows no drawing.
    """
    try:
        return _drawing(_levels(data))
    except PictureError as error:
        raise PictureError(error.what, where=where, fix=error.fix) from None


def _drawing(levels: Levels) -> Drawing:
    ink = _parts(_inked(levels))
    rings = list(itertools.islice(_rings(ink), MAX_OUTLINES + 1))
    if len(rings) > MAX_OUTLINES:
        raise PictureError(
            "shows too many small things to be a drawing",
            fix="photograph the drawing alone on plain paper",
        )
    high = ink.shape[0]
    paths = [_smooth([(x, high - y) for x, y in _simpler(ring)]) for ring in rings]
    shape = Shape(tuple(paths), "#000000", None, 0.0, even_odd=True)
    return Drawing((shape,), None, None, None, None, (), ())


# --- opening --------------------------------------------------------------------------------------


def _levels(data: bytes) -> Levels:
    """Brightness from 0 to 1, turned as the camera was held, at most :data:`SIDE` dots long."""
    from PIL import Image as Images
    from PIL import ImageFilter, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # its own bound on dots is above ours
            with Images.open(io.BytesIO(data), formats=("PNG", "JPEG")) as image:
                _check(image)
                image.draft("L", (2 * SIDE, 2 * SIDE))
                grey = _on_white(image)
    except UnidentifiedImageError:
        raise PictureError(
            "is not a PNG or JPG picture", fix="save or send it again as JPG or PNG"
        ) from None
    except PictureError:
        raise
    except Images.DecompressionBombError:
        raise _too_large() from None
    except Exception:  # whatever a broken file makes a decoder raise
        raise PictureError("is broken or cut off", fix="save or send it again") from None
    grey.thumbnail((SIDE, SIDE))
    upright = ImageOps.exif_transpose(grey)
    calm = upright.filter(ImageFilter.MedianFilter(3)).filter(ImageFilter.GaussianBlur(1.0))
    return np.asarray(calm, dtype=np.float64) / 255.0


def _check(image: Image) -> None:
    wide, high = image.size
    if wide * high > MAX_PIXELS:
        raise _too_large()
    if min(wide, high) < MIN_SIDE:
        raise PictureError(
            f"has only {wide} x {high} dots", fix=f"give at least {MIN_SIDE} on each side"
        )
    if getattr(image, "n_frames", 1) > 1:
        raise PictureError("is animated", fix="save one picture of it")


def _too_large() -> PictureError:
    return PictureError(
        f"has more than {MAX_PIXELS // 1_000_000} million dots", fix="make it smaller"
    )


def _on_white(image: Image) -> Image:
    """In grey, on white paper where it is clear; a large one is never held twice in colour."""
    from PIL import Image as Images

    if "A" in image.getbands() or "transparency" in image.info:
        clear = image if image.mode == "RGBA" else image.convert("RGBA")
        white = Images.new("L", clear.size, 255)
        white.paste(clear.convert("L"), mask=clear.getchannel("A"))
        return white
    if image.mode.startswith("I"):  # 16 bits a dot
        levels = np.asarray(image) // 257
        return Images.fromarray(np.clip(levels, 0, 255).astype(np.uint8))
    return image.convert("L")


# --- ink ------------------------------------------------------------------------------------------


def _inked(levels: Levels) -> Mask:
    """The dots that are clearly darker than the paper round them."""
    share = np.clip(levels / np.maximum(_paper(levels), 0.02), 0.0, 1.0)
    dark: Mask = share < min(_FAINT, max(_DARKEST, _between(share)))
    covered = float(dark.mean())
    if covered == 0.0:
        raise PictureError("shows nothing dark", fix="draw with a darker or thicker line")
    if covered > _MOSTLY:
        raise PictureError("is dark nearly all over", fix="use dark lines on light paper")
    return dark


def _paper(levels: Levels) -> Levels:
    """How bright the paper is, or would be under the ink: a surface of the second degree."""
    y, x = (np.linspace(-1.0, 1.0, n) for n in levels.shape)
    xx, yy = np.meshgrid(x, y)
    terms = np.stack([np.ones_like(xx), xx, yy, xx * xx, xx * yy, yy * yy], axis=-1)
    step = max(1, max(levels.shape) // 150)
    few, seen = terms[::step, ::step].reshape(-1, 6), levels[::step, ::step].reshape(-1)
    brightest = max(float(seen.max()), 0.02)
    light = seen >= _between(seen / brightest) * brightest
    for _ in range(8):
        factors, *_ = np.linalg.lstsq(few[light], seen[light], rcond=None)
        expected = few @ factors
        now = (seen > 0.93 * expected) & (seen < 1.15 * expected)
        if now.sum() < 30 or (now == light).all():
            break
        light = now
    usual = float(np.median(seen[light]))
    # Where the paper is seen in one corner only, the surface means little far from it.
    surface: Levels = np.clip(terms @ factors, _DIMMEST * usual, usual / _DIMMEST)
    return surface


def _between(share: Levels) -> float:
    """The level that best parts ink from paper: the greatest variance between them (N. Otsu,
    IEEE Transactions on Systems, Man, and Cybernetics 9, 1979)."""
    counts, edges = np.histogram(share, bins=128, range=(0.0, 1.0))
    middles = (edges[1:] + edges[:-1]) / 2.0
    below, total = np.cumsum(counts), counts.sum()
    sums = np.cumsum(counts * middles)
    above = total - below
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = sums / below - (sums[-1] - sums) / above
        spread = np.nan_to_num(below * above * apart**2)
    best = np.flatnonzero(spread >= spread.max() * (1.0 - 1e-9))
    return float(edges[1 + best].mean())


def _parts(dark: Mask) -> Mask:
    """The dark parts without specks, and without what reaches in from the edge."""
    labels, count = labelled(dark)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    sizes[0] = 0
    rim = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
    inner = sizes.copy()
    inner[np.unique(rim)] = 0
    if inner.max(initial=0) >= _SPECK * labels.size * 0.1:
        sizes = inner
    kept = sizes >= max(9.0, _SPECK * float(sizes.max()))
    found: Mask = kept[labels]
    if not found.any():
        raise PictureError("shows nothing dark", fix="draw with a darker or thicker line")
    return found


def labelled(mask: Mask) -> tuple[NDArray[np.int64], int]:
    """A number from 1 for each part of a mask that hangs together, and how many there are.

    Dots that touch at a corner hang together. Rows are cut into runs; runs that meet are joined.
    """
    edges = np.diff(np.pad(mask, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, begins = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)
    owner = list(range(len(rows)))

    def root(i: int) -> int:
        while owner[i] != i:
            owner[i] = owner[owner[i]]
            i = owner[i]
        return i

    first = np.searchsorted(rows, np.arange(mask.shape[0] + 1))
    for row in range(1, mask.shape[0]):
        i, j = int(first[row - 1]), int(first[row])
        while i < first[row] and j < first[row + 1]:
            if begins[i] <= ends[j] and begins[j] <= ends[i]:
                owner[root(i)] = root(j)
            if ends[i] < ends[j]:
                i += 1
            else:
                j += 1
    roots = np.array([root(i) for i in range(len(owner))], dtype=np.int64)
    names, numbers = np.unique(roots, return_inverse=True)
    labels = np.zeros(mask.shape, dtype=np.int64)
    for at, begin, end, number in zip(rows, begins, ends, numbers, strict=True):
        labels[at, begin:end] = number + 1
    return labels, len(names)


# --- outlines -------------------------------------------------------------------------------------


def _rings(mask: Mask) -> Iterator[list[Point]]:
    """The edges of the dots as closed chains of their corners, ink on the left, y down."""
    padded = np.pad(mask, 1)
    after: dict[tuple[int, int], list[tuple[int, int]]] = {}

    def edges(there: Mask, dx: int, dy: int, at: tuple[int, int]) -> None:
        for y, x in np.argwhere(there).tolist():
            start = (x + at[0], y + at[1])
            after.setdefault(start, []).append((start[0] + dx, start[1] + dy))

    inside = padded[1:-1, 1:-1]
    edges(inside & ~padded[:-2, 1:-1], -1, 0, (1, 0))  # along the top of a dot, to the left
    edges(inside & ~padded[2:, 1:-1], 1, 0, (0, 1))
    edges(inside & ~padded[1:-1, :-2], 0, 1, (0, 0))
    edges(inside & ~padded[1:-1, 2:], 0, -1, (1, 1))
    while after:
        start = next(iter(after))
        ring, here, way = [], start, (0, 0)
        while True:
            ring.append((float(here[0]), float(here[1])))
            nexts = after[here]
            # Where two dots touch at a corner, on to the other one: they hang together.
            turns = [way[0] * (n[1] - here[1]) - way[1] * (n[0] - here[0]) for n in nexts]
            following = nexts.pop(turns.index(max(turns)))
            if not nexts:
                del after[here]
            way, here = (following[0] - here[0], following[1] - here[1]), following
            if here == start:
                break
        if len(ring) >= 12:
            yield ring


def _simpler(ring: Sequence[Point]) -> list[Point]:
    """The steps of the dots evened out, and the points that say nothing left out."""
    from shapely import LinearRing

    corners = np.asarray(ring)
    middles = (corners + np.roll(corners, -1, axis=0)) / 2.0
    even = (np.roll(middles, 1, axis=0) + 2.0 * middles + np.roll(middles, -1, axis=0)) / 4.0
    points = np.asarray(LinearRing(even).simplify(_OFF).coords)[:-1]
    return [(float(x), float(y)) for x, y in points]


def _smooth(points: Sequence[Point]) -> Path:
    """A closed outline near the points: sharp corners stay, the others become curves."""
    segments: list[Segment] = []
    count = len(points)
    ends: list[tuple[Point, Point]] = []
    for i, here in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % count]
        turn = math.remainder(
            math.atan2(after[1] - here[1], after[0] - here[0])
            - math.atan2(here[1] - before[1], here[0] - before[0]),
            math.tau,
        )
        reach = 0.0 if abs(turn) > _CORNER else _ROUNDING
        ends.append((_towards(here, before, reach), _towards(here, after, reach)))
    for i, here in enumerate(points):
        enter, leave = ends[i]
        if enter != leave:
            first, second = _share(enter, here, 2.0 / 3.0), _share(leave, here, 2.0 / 3.0)
            segments.append(Cubic(enter, first, second, leave))
        goal = ends[(i + 1) % count][0]
        if math.dist(leave, goal) > 1e-6:
            segments.append(Line(leave, goal))
        elif segments and isinstance(segments[-1], Cubic):
            last = segments[-1]
            segments[-1] = Cubic(last.start, last.c1, last.c2, goal)
    return Path(tuple(segments), closed=True)


def _towards(here: Point, there: Point, reach: float) -> Point:
    """The point ``reach`` away, at most half-way."""
    if reach == 0.0:
        return here
    return _share(here, there, min(0.5, reach / max(math.dist(here, there), 1e-9)))


def _share(a: Point, b: Point, t: float) -> Point:
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t
