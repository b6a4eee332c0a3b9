"""Colour words, offered palettes, and hatches cut at the edge of a shape."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon, box

from shapes.errors import InputError
from shapes.path import Arc, Path
from sheets.palette import (
    HATCHES,
    Colour,
    Hatch,
    colours,
    contrast,
    find,
    hatch_lines,
    hatches,
    needs_mark,
    palettes,
)

LANGUAGES = {"en", "es", "fr", "de", "it", "pt"}
SQUARE = box(0, 0, 20, 20)
LINES: tuple[Hatch, ...] = ("rising", "falling", "grid", "waves")


def keys(count: int, *, colour_printer: bool) -> list[str]:
    found = palettes(count, colour_printer=colour_printer)
    return ["-".join(c.key for c in p.colours) for p in found]


# --- colours -------------------------------------------------------------------------------------


def test_every_colour_has_a_word_in_every_language() -> None:
    for colour in colours().values():
        assert set(colour.names) == LANGUAGES
        assert colour.names["en"] == colour.key
        assert all(word == word.strip() and word for word in colour.names.values())
        assert colour.hex == colour.hex.lower()
        assert contrast(colour.hex, "#ffffff") >= 1.0
        assert colour.hatch in HATCHES


def test_one_language_never_uses_a_word_twice() -> None:
    for language in LANGUAGES:
        words = [c.names[language] for c in colours().values()]
        assert len(set(words)) == len(words)


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("blue", "blue"),
        ("AZUL", "blue"),
        ("  Gelb ", "yellow"),
        ("grün", "green"),
        ("weiß", "white"),
        ("WEISS", "white"),
        ("gray", "grey"),
        ("marro\u0301n", "brown"),
        ("Cor-de-Rosa", "pink"),
        ("laranja", "orange"),
    ],
)
def test_find_by_any_word(word: str, key: str) -> None:
    assert find(word).key == key


def test_an_unknown_word_names_the_nearest() -> None:
    with pytest.raises(InputError) as near:
        find("yelow")
    with pytest.raises(InputError) as far:
        find("wxyz")

    assert str(near.value) == "no colour 'yelow'; did you mean yellow?"
    assert str(far.value) == (
        "no colour 'wxyz'; choose from yellow, orange, red, blue, black, white, green, purple, "
        "brown, pink, grey"
    )


# --- palettes ------------------------------------------------------------------------------------


def test_what_is_offered() -> None:
    assert keys(2, colour_printer=False) == [
        "orange-blue",
        "yellow-black",
        "yellow-blue",
        "red-yellow",
    ]
    assert keys(2, colour_printer=True)[-1] == "red-blue"
    assert keys(3, colour_printer=False) == ["yellow-blue-black"]
    assert keys(3, colour_printer=True) == ["yellow-blue-black", "yellow-blue-red"]
    assert keys(4, colour_printer=False) == ["white-orange-blue-black"]
    assert keys(4, colour_printer=True)[1] == "yellow-blue-red-black"


def test_within_a_palette_every_hatch_and_shape_differs() -> None:
    for count in (2, 3, 4):
        for palette in palettes(count, colour_printer=True):
            assert len({c.hatch for c in palette.colours}) == count
            assert len({c.shape for c in palette.colours}) == count
            assert hatches(palette.colours) == {c.key: c.hatch for c in palette.colours}


@pytest.mark.parametrize("count", [0, 1, 5])
def test_no_palette_of_that_size(count: int) -> None:
    with pytest.raises(InputError) as caught:
        palettes(count, colour_printer=True)

    assert str(caught.value) == f"no palette of {count} colours; ask for 2, 3 or 4"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("blue",), False),
        (("blue", "yellow"), False),
        (("blue", "blue"), False),
        (("black", "yellow", "blue"), False),
        (("blue", "white"), False),  # a part of a palette of four
        (("blue", "red"), True),
        (("red", "green"), True),
        (("yellow", "blue", "red"), True),
    ],
)
def test_needs_mark(words: tuple[str, ...], expected: bool) -> None:
    assert needs_mark([find(word) for word in words]) is expected


def test_colours_with_one_hatch_get_different_ones() -> None:
    chosen = [find(w) for w in ("yellow", "pink", "blue", "grey")]

    assert hatches(chosen) == {
        "yellow": "dots",
        "pink": "falling",
        "blue": "rising",
        "grey": "grid",
    }


def test_more_colours_than_hatches() -> None:
    assert len(set(hatches(list(colours().values())[:7]).values())) == 7
    with pytest.raises(InputError) as caught:
        hatches(list(colours().values())[:8])

    assert str(caught.value) == "8 colours on one page; use 7 or fewer"


@given(st.lists(st.sampled_from(list(colours().values())), max_size=7))
def test_hatches_are_always_different(chosen: list[Colour]) -> None:
    found = hatches(chosen)

    assert list(found) == list(dict.fromkeys(c.key for c in chosen))
    assert len(set(found.values())) == len(found)


@pytest.mark.parametrize("text", ["red", "#fff", "#12345g", "112233#", "#1234567", "#+12345"])
def test_contrast_of_what_is_no_colour(text: str) -> None:
    with pytest.raises(InputError) as caught:
        contrast(text, "#ffffff")

    assert str(caught.value) == f"{text!r} is not a colour; write it as #rrggbb"


# --- hatches -------------------------------------------------------------------------------------


def ends(path: Path) -> tuple[tuple[float, float], tuple[float, float]]:
    (x0, y0), (x1, y1) = path.start, path.end
    return ((round(x0, 3), round(y0, 3)), (round(x1, 3), round(y1, 3)))


def test_rising_lines_of_a_square() -> None:
    """10 by 10 with lines 5 apart: one diagonal and one on either side, each 5 root 2 along x."""
    aside = round(5 * math.sqrt(2), 3)

    assert [ends(p) for p in hatch_lines(box(0, 0, 10, 10), "rising", 5.0)] == [
        ((aside, 0.0), (10.0, round(10 - 5 * math.sqrt(2), 3))),
        ((0.0, 0.0), (10.0, 10.0)),
        ((0.0, aside), (round(10 - 5 * math.sqrt(2), 3), 10.0)),
    ]


def test_falling_lines_fall() -> None:
    for path in hatch_lines(SQUARE, "falling", 3.0):
        (x0, y0), (x1, y1) = path.start, path.end
        assert y1 - y0 == pytest.approx(x0 - x1)


def test_a_grid_of_a_square() -> None:
    found = [ends(p) for p in hatch_lines(box(0, 0, 10, 10), "grid", 4.0)]

    assert sorted(found) == [
        ((0.0, 1.0), (10.0, 1.0)),
        ((0.0, 5.0), (10.0, 5.0)),
        ((0.0, 9.0), (10.0, 9.0)),
        ((1.0, 0.0), (1.0, 10.0)),
        ((5.0, 0.0), (5.0, 10.0)),
        ((9.0, 0.0), (9.0, 10.0)),
    ]


def test_waves_swing_a_quarter_of_the_spacing() -> None:
    middle = min(hatch_lines(SQUARE, "waves", 4.0), key=lambda p: abs(p.bbox.center[1] - 10.0))

    assert middle.bbox.y0 == pytest.approx(9.0)
    assert middle.bbox.y1 == pytest.approx(11.0)
    assert middle.bbox.width == pytest.approx(20.0)


def test_dots_are_whole_and_inside() -> None:
    disc = Point(30, 30).buffer(10, quad_segs=64)

    dots = hatch_lines(disc, "dots", 3.0)

    assert len(dots) > 20
    assert dots[0].closed
    for dot in dots:
        (arc,) = dot.segments
        assert isinstance(arc, Arc)
        assert arc.radius == pytest.approx(0.6)
        assert math.dist(arc.center, (30, 30)) <= 10 - 0.6 + 1e-9


def test_solid_and_none_have_no_lines() -> None:
    assert hatch_lines(SQUARE, "solid", 3.0) == []
    assert hatch_lines(SQUARE, "none", 3.0) == []
    assert hatch_lines(Polygon(), "rising", 3.0) == []


@pytest.mark.parametrize("kind", LINES)
def test_lines_stay_inside_and_out_of_holes(kind: Hatch) -> None:
    ring = Polygon([(0, 0), (30, 0), (30, 30), (0, 30)], [[(10, 10), (20, 10), (20, 20), (10, 20)]])
    two = MultiPolygon([ring, box(40, 0, 50, 10)])

    found = hatch_lines(two, kind, 2.5)

    assert any(p.bbox.x0 >= 40 for p in found)
    for path in found:
        assert two.buffer(1e-6).covers(LineString(path.flatten()))


@pytest.mark.parametrize("kind", [*LINES, "dots"])
def test_equal_shapes_get_equal_hatches_anywhere(kind: Hatch) -> None:
    shape = Polygon([(0, 0), (24, 3), (15, 20)])

    here = hatch_lines(shape, kind, 2.0)
    there = hatch_lines(translate(shape, 64.0, 128.0), kind, 2.0)

    assert len(here) == len(there) > 0
    for a, b in zip(here, there, strict=True):
        assert b.start == pytest.approx((a.start[0] + 64.0, a.start[1] + 128.0))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(LINES), st.floats(5, 60), st.floats(5, 60), st.floats(2, 8))
def test_hatches_reach_every_corner(
    kind: Hatch, width: float, height: float, spacing: float
) -> None:
    """No corner of a rectangle is farther from a line than the spacing and a wave's swing.

    The 0.5 mm are for pieces too short to print, left out in the corners.
    """
    area = box(0, 0, width, height)
    found = MultiLineString([p.flatten() for p in hatch_lines(area, kind, spacing)])

    for corner in [(0, 0), (width, 0), (width, height), (0, height)]:
        assert found.distance(Point(corner)) <= 1.25 * spacing + 0.5


def test_bad_hatch_and_spacing() -> None:
    with pytest.raises(InputError) as kind:
        hatch_lines(SQUARE, "stars", 3.0)  # type: ignore[arg-type]

    assert str(kind.value) == (
        "no hatch 'stars'; choose from dots, rising, falling, grid, waves, solid, none"
    )
    for spacing in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(InputError) as caught:
            hatch_lines(SQUARE, "grid", spacing)
        assert str(caught.value) == f"hatch spacing {spacing:g} mm; give a spacing above 0"


def test_importing_the_palette_loads_no_heavy_library() -> None:
    code = (
        "import sys, sheets.palette as p; p.find('blue'); "
        "print(sorted({'shapely', 'numpy', 'reportlab'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
