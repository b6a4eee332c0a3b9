"""The offered colours, judged by an independent colour library (coloraide).

Differences are CIE 1976 (dE76) in CIELAB of D65, the smallest over normal vision and simulated
protan, deutan and tritan vision at full strength (protan and deutan: Vienot, Brettel and Mollon
1999; tritan: Brettel, Vienot and Mollon 1997). ``python -m tests.outside.test_colour`` prints the
tables.
"""

from __future__ import annotations

from itertools import combinations

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from shapes.colour import luminance
from sheets.page.model import FURNITURE_GREY
from sheets.page.palette import Palette, colours, contrast, palettes

MIN_DIFFERENCE = 40.0
MIN_GREY_GAP = 25.0
"""Both our setting: well above the adult just noticeable difference of about 2.3 (from memory:
Mahy, Van Eycken and Oosterlinck 1994), since the colours are printed and coloured in by hand."""

VISION = ("protan", "deutan", "tritan")

OKABE_ITO = {
    "black": "#000000",
    "orange": "#e69f00",
    "sky blue": "#56b4e9",
    "green": "#009e73",
    "yellow": "#f0e442",
    "blue": "#0072b2",
    "vermillion": "#d55e00",
    "purple": "#cc79a7",
}
"""Okabe and Ito, "Color Universal Design", 2002; values as in R's ``palette.colors``."""

CSS = {
    "red": "#ff0000",
    "orange": "#ffa500",
    "yellow": "#ffff00",
    "green": "#008000",
    "blue": "#0000ff",
    "purple": "#800080",
    "brown": "#a52a2a",
    "pink": "#ffc0cb",
    "grey": "#808080",
    "black": "#000000",
}
"""Named colours of W3C CSS Color Module Level 4, as a second set of nominal crayon colours."""

AVOID = (
    ("red", "brown"),
    ("green", "brown"),
    ("pink", "grey"),
    ("blue", "purple"),
    ("red", "green"),
    ("orange", "green"),
    ("orange", "yellow"),
)
PREFER = (("orange", "blue"), ("yellow", "black"), ("yellow", "blue"), ("red", "yellow"))
"""Pairs that teachers are told to avoid and to prefer: common practice, no single source."""


def seen(colour: str, vision: str) -> Color:
    """The colour as simulated, brought into what paper or screen can show."""
    return Color(colour).filter(vision).convert("srgb").clip()


def difference(a: str, b: str) -> float:
    """Smallest dE76 over the four kinds of vision."""
    found = [Color(a).delta_e(b, method="76", space="lab-d65")]
    found += [seen(a, v).delta_e(seen(b, v), method="76", space="lab-d65") for v in VISION]
    return float(min(found))


def grey_gap(a: str, b: str) -> float:
    """Difference of lightness L*, which is what a grey copy keeps."""
    return abs(lightness(a) - lightness(b))


def lightness(colour: str) -> float:
    return float(Color(colour).convert("lab-d65")["lightness"])


def offered() -> list[Palette]:
    return [p for count in (2, 3, 4) for p in palettes(count, colour_printer=True)]


def name(palette: Palette) -> str:
    return "-".join(c.key for c in palette.colours)


def worst(palette: Palette) -> tuple[float, float]:
    """Smallest dE76 and smallest grey gap of any two of its colours."""
    pairs = list(combinations([c.hex for c in palette.colours], 2))
    return min(difference(a, b) for a, b in pairs), min(grey_gap(a, b) for a, b in pairs)


# --- the instrument ------------------------------------------------------------------------------


def test_smallest_difference_of_okabe_ito() -> None:
    """26.43 between sky blue and blue, normal vision; computed for this project."""
    pairs = combinations(OKABE_ITO, 2)

    smallest = min(
        (Color(OKABE_ITO[a]).delta_e(OKABE_ITO[b], method="76", space="lab-d65"), a, b)
        for a, b in pairs
    )

    assert smallest[1:] == ("sky blue", "blue")
    assert smallest[0] == pytest.approx(26.43, abs=0.01)


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("orange", 2.25),
        ("sky blue", 2.31),
        ("yellow", 1.32),
        ("purple", 3.06),
        ("green", 3.42),
        ("vermillion", 3.87),
        ("blue", 5.19),
        ("black", 21.0),
    ],
)
def test_contrast_of_okabe_ito_on_white(colour: str, expected: float) -> None:
    """By the WCAG 2 formula; computed for this project."""
    assert contrast(OKABE_ITO[colour], "#ffffff") == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#000000", 21.0),
        ("#767676", 4.5422),
        ("#777777", 4.4781),
        ("#949494", 3.0335),
        ("#959595", 2.9953),
        ("#ff0000", 3.9985),
        ("#0000ff", 8.5925),
        ("#ffff00", 1.0738),
    ],
)
def test_contrast_on_white(colour: str, expected: float) -> None:
    """W3C, WCAG 2.2, definitions of contrast ratio and relative luminance; worked by the formula.
    21:1 for black on white is the example in the definition's range (1 to 21)."""
    assert contrast(colour, "#ffffff") == pytest.approx(expected, abs=5e-5)


def test_contrast_agrees_with_the_library() -> None:
    for a, b in combinations([c.hex for c in colours().values()], 2):
        assert contrast(a, b) == pytest.approx(Color(a).contrast(b, method="wcag21"), rel=2e-3)
        assert contrast(a, b) == contrast(b, a)


@given(st.tuples(*(st.integers(0, 255),) * 3))
def test_luminance_of_any_colour_agrees_with_the_library(parts: tuple[int, int, int]) -> None:
    """WCAG 2.2, "relative luminance": 0.2126 R + 0.7152 G + 0.0722 B of linear parts. The library
    takes the matrix of the sRGB standard, which differs in the fourth place."""
    colour = "#{:02x}{:02x}{:02x}".format(*parts)

    assert luminance(colour) == pytest.approx(Color(colour).luminance(), abs=2e-4)
    expected = (1.0 + 0.05) / (luminance(colour) + 0.05)
    assert contrast(colour, "#ffffff") == pytest.approx(expected)


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#000000", 0.0),
        ("#ffffff", 1.0),
        ("#0a0a0a", 10 / 255 / 12.92),  # below 0.04045: c / 12.92
        ("#0b0b0b", ((11 / 255 + 0.055) / 1.055) ** 2.4),
        ("#ff0000", 0.2126),
        ("#00ff00", 0.7152),
        ("#0000ff", 0.0722),
    ],
)
def test_luminance_follows_the_definition(colour: str, expected: float) -> None:
    """WCAG 2.2, W3C, 2023, definition of relative luminance."""
    assert luminance(colour) == pytest.approx(expected, rel=1e-9)


def test_the_grey_of_words_and_furniture_can_be_read() -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text. Written for screens; by analogy."""
    assert contrast(FURNITURE_GREY, "#ffffff") >= 4.5


# --- the offered palettes ------------------------------------------------------------------------


@pytest.mark.parametrize("palette", offered(), ids=name)
def test_an_offered_palette_tells_apart_or_says_that_it_needs_a_mark(palette: Palette) -> None:
    apart, gap = worst(palette)

    assert palette.needs_mark == (apart < MIN_DIFFERENCE or gap < MIN_GREY_GAP)
    assert (palette.printer == "any") == (gap >= MIN_GREY_GAP)


def test_figures_of_the_offered_palettes() -> None:
    """As found: smallest dE76, smallest grey gap."""
    found = {name(p): tuple(round(v, 1) for v in worst(p)) for p in offered()}

    assert found == {
        "orange-blue": (78.8, 26.2),
        "yellow-black": (89.8, 89.6),
        "yellow-blue": (64.5, 54.2),
        "red-yellow": (48.5, 40.7),
        "red-blue": (80.7, 13.5),
        "yellow-blue-black": (44.2, 35.4),
        "yellow-blue-red": (48.5, 13.5),
        "white-orange-blue-black": (44.2, 26.2),
        "yellow-blue-red-black": (44.2, 13.5),
    }


# --- pairs to avoid and to prefer ----------------------------------------------------------------


@pytest.mark.parametrize(("a", "b"), AVOID)
def test_pairs_to_avoid_fall_below_the_threshold(a: str, b: str) -> None:
    known = colours()

    assert difference(known[a].hex, known[b].hex) < MIN_DIFFERENCE


@pytest.mark.parametrize(("a", "b"), PREFER)
def test_pairs_to_prefer_stay_above_the_thresholds(a: str, b: str) -> None:
    known = colours()

    assert difference(known[a].hex, known[b].hex) >= MIN_DIFFERENCE
    assert grey_gap(known[a].hex, known[b].hex) >= MIN_GREY_GAP


def test_the_same_pairs_with_css_colours() -> None:
    """Other nominal values fall on the same side of 40 but for blue and purple, which differ by
    57.3 as CSS colours and by 6.9 as ours. As found."""
    low = {f"{a}-{b}": round(difference(CSS[a], CSS[b]), 1) for a, b in AVOID}
    high = {f"{a}-{b}": round(difference(CSS[a], CSS[b]), 1) for a, b in PREFER}

    assert [pair for pair, found in low.items() if found >= MIN_DIFFERENCE] == ["blue-purple"]
    assert [pair for pair, found in high.items() if found < MIN_DIFFERENCE] == []


def test_pairs_that_are_alike_in_a_grey_copy() -> None:
    """Red-blue, blue-brown, purple-brown and red-green: common practice names them as alike."""
    known = colours()
    pairs = (("red", "blue"), ("blue", "brown"), ("purple", "brown"), ("red", "green"))

    gaps = {f"{a}-{b}": round(grey_gap(known[a].hex, known[b].hex), 1) for a, b in pairs}

    assert all(gap < MIN_GREY_GAP for gap in gaps.values())
    assert gaps == {"red-blue": 13.5, "blue-brown": 1.0, "purple-brown": 1.8, "red-green": 2.3}


def report() -> str:
    """All tables as text."""
    lines = ["palette, printer, needs mark, smallest dE76, smallest grey gap"]
    for palette in offered():
        apart, gap = worst(palette)
        lines.append(
            f"{name(palette)}, {palette.printer}, {palette.needs_mark}, {apart:.1f}, {gap:.1f}"
        )
    lines.append("pair, ours dE76, ours grey gap, CSS dE76, CSS grey gap")
    known = colours()
    for a, b in (*AVOID, *PREFER, ("red", "blue")):
        ours, css = (known[a].hex, known[b].hex), (CSS[a], CSS[b])
        lines.append(
            f"{a}-{b}, {difference(*ours):.1f}, {grey_gap(*ours):.1f}, "
            f"{difference(*css):.1f}, {grey_gap(*css):.1f}"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    print(report())
