"""Colour words and offered palettes."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from shapes.errors import InputError
from sheets.page.palette import (
    HATCHES,
    Colour,
    Hatch,
    colours,
    contrast,
    find,
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


def test_importing_the_palette_loads_no_heavy_library() -> None:
    code = (
        "import sys, sheets.page.palette as p; p.find('blue'); "
        "print(sorted({'shapely', 'numpy', 'reportlab'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
