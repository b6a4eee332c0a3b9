"""The offered colours, judged by an independent colour library (coloraide).

Differences are CIE 1976 (dE76) in CIELAB of D65, the smallest over normal vision and simulated
protan, deutan and tritan vision at full strength (protan and deutan: Vienot, Brettel and Mollon
1999; tritan: Brettel, Vienot and Mollon 1997). ``python -m tests.outside.test_colour`` prints the
tables.

The library is held against CIELAB and the protan and deutan projection worked by hand below; its
tritan vision is not.
"""

from __future__ import annotations

from itertools import combinations
from typing import TypeAlias

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

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


# --- the same by hand ----------------------------------------------------------------------------

Triple: TypeAlias = NDArray[np.float64]

TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
"""Linear sRGB to CIE XYZ (IEC 61966-2-1); white, the sum of a row, is D65."""
TO_CONES = np.array(
    [
        [17.8824, 43.5161, 4.11935],
        [3.45565, 27.1554, 3.86714],
        [0.0299566, 0.184309, 1.46709],
    ]
)
"""Linear RGB to the three cones, Vienot, Brettel and Mollon 1999 (figures from memory)."""
WHITE, BLUE = np.ones(3), np.array([0.0, 0.0, 1.0])


def linear(colour: str) -> Triple:
    """Linear parts of a colour, IEC 61966-2-1."""
    parts = np.array([int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab_by_hand(parts: Triple) -> Triple:
    """CIE 1976 L*, a*, b* (CIE 15) of linear parts."""
    x, y, z = TO_XYZ @ parts / (TO_XYZ @ WHITE)
    f = [v ** (1 / 3) if v > (6 / 29) ** 3 else v / (3 * (6 / 29) ** 2) + 4 / 29 for v in (x, y, z)]
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def seen_by_hand(parts: Triple, missing: int) -> Triple:
    """Linear parts as seen without the long (0) or the middle (1) cones.

    Vienot, Brettel and Mollon 1999: the missing cone's answer is the sum of the others' that keeps
    white and blue as they are, which two equations give.
    """
    kept = [cone for cone in range(3) if cone != missing]
    white, blue, cones = TO_CONES @ WHITE, TO_CONES @ BLUE, TO_CONES @ parts
    shares = np.linalg.solve(
        np.array([white[kept], blue[kept]]), np.array([white[missing], blue[missing]])
    )
    cones[missing] = shares @ cones[kept]
    return np.clip(np.linalg.solve(TO_CONES, cones), 0.0, 1.0)


def differences_by_hand(a: str, b: str) -> tuple[float, float, float]:
    """dE76 for normal, protan and deutan vision."""
    one, other = linear(a), linear(b)
    pairs = [(one, other), *((seen_by_hand(one, n), seen_by_hand(other, n)) for n in (0, 1))]
    normal, protan, deutan = (
        float(np.linalg.norm(lab_by_hand(x) - lab_by_hand(y))) for x, y in pairs
    )
    return normal, protan, deutan


def grey_gap_by_hand(a: str, b: str) -> float:
    return float(abs(lab_by_hand(linear(a))[0] - lab_by_hand(linear(b))[0]))


# --- the instrument ------------------------------------------------------------------------------

EVERY_PAIR = [
    *combinations([c.hex for c in colours().values()], 2),
    *combinations(CSS.values(), 2),
    *combinations(OKABE_ITO.values(), 2),
]


def test_the_librarys_differences_are_those_worked_by_hand() -> None:
    for a, b in EVERY_PAIR:
        normal, protan, deutan = differences_by_hand(a, b)
        by_library = [
            Color(a).delta_e(b, method="76", space="lab-d65"),
            *(
                seen(a, v).delta_e(seen(b, v), method="76", space="lab-d65")
                for v in ("protan", "deutan")
            ),
        ]

        assert by_library == pytest.approx([normal, protan, deutan], abs=0.05), (a, b)
        assert difference(a, b) <= min(normal, protan, deutan) + 0.05
        assert grey_gap(a, b) == pytest.approx(grey_gap_by_hand(a, b), abs=0.05)


def test_by_hand_white_black_and_the_neutral_axis_are_as_defined() -> None:
    """CIE 15: white has L* 100, black 0, greys no a* and b*; Vienot et al.: white and blue stay."""
    assert lab_by_hand(WHITE) == pytest.approx([100.0, 0.0, 0.0])
    assert lab_by_hand(0.0 * WHITE) == pytest.approx([0.0, 0.0, 0.0])
    assert lab_by_hand(0.5 * WHITE)[1:] == pytest.approx([0.0, 0.0], abs=1e-9)
    for cone in (0, 1):
        assert seen_by_hand(WHITE, cone) == pytest.approx(WHITE)
        assert seen_by_hand(BLUE, cone) == pytest.approx(BLUE, abs=1e-9)


def test_the_most_alike_colours_of_okabe_ito_are_sky_blue_and_blue() -> None:
    """For normal vision, by hand and by the library."""
    by_hand, by_library = {}, {}
    for pair in combinations(OKABE_ITO, 2):
        one, other = (OKABE_ITO[colour] for colour in pair)
        by_hand[differences_by_hand(one, other)[0]] = pair
        by_library[Color(one).delta_e(other, method="76", space="lab-d65")] = pair

    assert by_hand[min(by_hand)] == by_library[min(by_library)] == ("sky blue", "blue")


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


@pytest.mark.parametrize("palette", offered(), ids=name)
def test_what_a_palette_says_of_itself_holds_by_hand_too(palette: Palette) -> None:
    """The grey gap wholly; of the difference, that none for three kinds of vision is smaller than
    the smallest found, which may be for tritan vision."""
    pairs = list(combinations([c.hex for c in palette.colours], 2))
    gap = min(grey_gap_by_hand(a, b) for a, b in pairs)
    apart = min(min(differences_by_hand(a, b)) for a, b in pairs)

    assert (palette.printer == "any") == (gap >= MIN_GREY_GAP)
    assert palette.needs_mark or (gap >= MIN_GREY_GAP and apart >= MIN_DIFFERENCE)
    assert worst(palette)[0] <= apart + 0.05
    assert worst(palette)[1] == pytest.approx(gap, abs=0.05)


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


def test_css_colours_are_on_the_same_side_but_for_blue_and_purple() -> None:
    """So the threshold does not hang on our nominal values. CSS blue is the pure primary of a
    screen, farther from grey than any crayon and so from CSS purple too."""
    for a, b in AVOID:
        css = CSS[a], CSS[b]
        alike = (a, b) != ("blue", "purple")
        assert (difference(*css) < MIN_DIFFERENCE) == alike, (a, b)
        assert (min(differences_by_hand(*css)) < MIN_DIFFERENCE) == alike, (a, b)
    for a, b in PREFER:
        assert difference(CSS[a], CSS[b]) >= MIN_DIFFERENCE
        assert min(differences_by_hand(CSS[a], CSS[b])) >= MIN_DIFFERENCE


@pytest.mark.parametrize(
    ("a", "b"), [("red", "blue"), ("blue", "brown"), ("purple", "brown"), ("red", "green")]
)
def test_pairs_that_are_alike_in_a_grey_copy(a: str, b: str) -> None:
    """Common practice names them as alike. Lightness by hand: L* = 116 Y^(1/3) - 16 (CIE 15), with
    Y the relative luminance of WCAG 2.2."""
    known = colours()
    one, other = (116.0 * luminance(known[n].hex) ** (1 / 3) - 16.0 for n in (a, b))

    assert abs(one - other) < MIN_GREY_GAP
    assert grey_gap(known[a].hex, known[b].hex) == pytest.approx(abs(one - other), abs=0.05)


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
