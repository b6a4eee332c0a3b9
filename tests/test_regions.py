"""Areas between the lines: closed forms, neighbours, colours, and some drawings counted by eye."""

from __future__ import annotations

import itertools
import math
from pathlib import Path as FilePath

import pytest

from shapes.errors import InputError
from shapes.pictures.own import load_file
from shapes.pictures.pictures import curated, find
from shapes.pictures.regions import Region, regions

GRID = "M0 0h20v20h-20zM10 0v20M0 10h20"
LINE = 'fill="none" stroke="#000" stroke-width="2"'


def of(
    content: str, folder: FilePath, longest: float, half: float, gap: float = 0.0
) -> tuple[Region, ...]:
    file = folder / "my.svg"
    file.write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{content}</svg>')
    return regions(load_file(file), longest, half, gap)


def areas(found: tuple[Region, ...]) -> list[float]:
    return [region.area_mm2 for region in found]


def test_four_fields_of_a_window(tmp_path: FilePath) -> None:
    # 22 units of ink on 22 mm: fields of 8 mm between lines of 2 mm.
    found = of(f'<path {LINE} d="{GRID}"/>', tmp_path, 22, 2)
    assert areas(found) == pytest.approx([64] * 4)
    # The neighbours share a line; the one across the corner is none.
    assert [region.neighbours for region in found] == [(1, 2), (0, 3), (0, 3), (1, 2)]
    assert [region.polygon.bounds for region in found] == [
        pytest.approx(box)
        for box in ((2, 2, 10, 10), (2, 12, 10, 20), (12, 2, 20, 10), (12, 12, 20, 20))
    ]
    assert {region.colour for region in found} == {None}


def test_a_field_counts_if_the_circle_fits(tmp_path: FilePath) -> None:
    window = f'<path {LINE} d="{GRID}"/>'
    assert len(of(window, tmp_path, 22, 3.99)) == 4
    assert len(of(window, tmp_path, 22, 4.01)) == 0
    assert areas(of(window, tmp_path, 220, 39.9)) == pytest.approx([6400] * 4)


def test_the_largest_comes_first(tmp_path: FilePath) -> None:
    found = of(f'<path {LINE} d="M0 0h30v20h-30zM10 0v20"/>', tmp_path, 32, 2)
    assert areas(found) == pytest.approx([18 * 18, 8 * 18])


def test_gaps_in_the_line(tmp_path: FilePath) -> None:
    open_box = f'<path {LINE} d="M0 9V0h20v20h-20V11"/>'
    assert of(open_box, tmp_path, 22, 2) == ()
    assert of(open_box, tmp_path, 22, 2, 1.9) == ()
    (field,) = of(open_box, tmp_path, 22, 2, 2.1)
    # 18 mm a side; closing also rounds the inner corners.
    assert field.area_mm2 == pytest.approx(18 * 18, rel=0.01)


def test_ink_inside_is_a_hole(tmp_path: FilePath) -> None:
    (field,) = of(f'<circle r="10" {LINE}/><circle r="2"/>', tmp_path, 22, 2)
    assert len(field.polygon.interiors) == 1
    assert field.area_mm2 == pytest.approx(math.pi * (81 - 4), rel=0.01)


def test_light_paint_covers_ink_under_it(tmp_path: FilePath) -> None:
    (field,) = of('<circle r="10"/><circle r="8" fill="#fff"/>', tmp_path, 20, 2)
    assert field.area_mm2 == pytest.approx(math.pi * 64, rel=0.01)
    assert field.colour == "#ffffff"
    (field,) = of(f'<circle r="10"/><circle r="5" {LINE.replace("#000", "#fff")}/>',
                  tmp_path, 20, 0.9)  # fmt: skip
    assert field.area_mm2 == pytest.approx(math.pi * (36 - 16), rel=0.01)
    assert of('<circle r="10"/>', tmp_path, 20, 1) == ()


def test_colours_of_a_file_with_layers(tmp_path: FilePath) -> None:
    found = of(
        '<g id="color"><rect width="20" height="20" fill="gold"/>'
        '<rect x="10" width="10" height="20" fill="#5c9e31"/>'
        '<rect x="0" width="10" height="6" fill="#222"/></g>'
        f'<g id="line"><path {LINE} d="{GRID}"/></g>',
        tmp_path, 22, 2,
    )  # fmt: skip
    # Equal areas stand left column first, each from below.
    assert [region.colour for region in found] == ["#ffd700", "#222222", "#5c9e31", "#5c9e31"]


def test_colour_that_covers_too_little_is_none(tmp_path: FilePath) -> None:
    layers = (
        '<g id="color"><rect width="{}" height="20" fill="gold"/></g>'
        '<g id="line"><path fill="none" stroke="#000" stroke-width="2" d="M0 0h20v20h-20z"/></g>'
    )
    (field,) = of(layers.format(9), tmp_path, 22, 2)
    assert field.colour is None
    (field,) = of(layers.format(11), tmp_path, 22, 2)
    assert field.colour == "#ffd700"


@pytest.mark.parametrize(
    ("word", "colours"),
    [
        # Counted on the drawings: six bands; wall, roof, door, window, chimney; hull and two sails;
        # a head, its arms left open by the lines of the set.
        ("rainbow", ["#ea5a47", "#f4aa41", "#fcea2b", "#b1cc33", "#92d3f5", "#b399c8"]),
        ("house", ["#ffffff", "#ea5a47", "#a57939", "#92d3f5", "#ea5a47"]),
        ("boat", ["#d0cfce", "#a57939", "#d0cfce"]),
        ("fish", ["#92d3f5"]),
        ("octopus", ["#d22f27"]),
    ],
)
def test_drawings_counted_by_eye(word: str, colours: list[str]) -> None:
    assert [region.colour for region in regions(find(word), 150, 3)] == colours


def test_bands_of_the_rainbow_lie_side_by_side() -> None:
    found = regions(find("rainbow"), 150, 3)
    assert [region.neighbours for region in found] == [(1,), (0, 2), (1, 3), (2, 4), (3, 5), (4,)]


def test_every_curated_picture_can_be_asked() -> None:
    for word in curated()[::5]:
        found = regions(find(word.text), 150, 3)
        # Largest first; mirrored halves count as equal.
        assert all(a >= b - 0.01 for a, b in itertools.pairwise(areas(found)))
        for i, region in enumerate(found):
            assert region.polygon.is_valid
            assert region.area_mm2 > math.pi * 3**2 * 0.95
            assert all(i in found[j].neighbours for j in region.neighbours)
            assert i not in region.neighbours
            for other in found[:i]:
                assert region.polygon.disjoint(other.polygon)


@pytest.mark.parametrize(
    ("longest", "half", "gap", "told"),
    [
        (0, 3, 0, "at 0 mm with half width 3 mm and gaps of 0 mm"),
        (150, 0, 0, "at 150 mm with half width 0 mm and gaps of 0 mm"),
        (150, 3, -1, "at 150 mm with half width 3 mm and gaps of -1 mm"),
    ],
)
def test_measures_out_of_range(longest: float, half: float, gap: float, told: str) -> None:
    with pytest.raises(InputError) as caught:
        regions(find("house"), longest, half, gap)
    assert str(caught.value) == (
        f"cannot look for areas {told}; give a size and a half width above 0 and gaps of 0 or more"
    )
