"""Sizes of real things against the standards and regulations that fix them.

Where a value is "from memory" the standard itself was not at hand.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from shapes.objects import fits_small_parts_cylinder, footprint

# United States Mint, "Coin Specifications", usmint.gov/learn/coins-and-medals/circulating-coins/
# coin-specifications (table read in its 2019 form): inches, mm, thickness in mm.
US_COINS = [
    ("us-dime", 0.705, 17.91, 1.35),
    ("us-cent", 0.750, 19.05, 1.52),
    ("us-nickel", 0.835, 21.21, 1.95),
    ("us-quarter", 0.955, 24.26, 1.75),
    ("us-dollar", 1.043, 26.49, 2.00),
    ("us-half", 1.205, 30.61, 2.15),
]

# Council Regulation (EU) No 729/2014 of 24 June 2014, Annex I (recast of (EC) No 975/98):
# diameters in mm, from memory.
EURO_COINS = [
    ("euro-10c", 19.75),
    ("euro-20c", 22.25),
    ("euro-50c", 24.25),
    ("euro-1", 23.25),
    ("euro-2", 25.75),
]


@pytest.mark.parametrize(("coin", "inches", "mm", "thick"), US_COINS)
def test_us_coins(coin: str, inches: float, mm: float, thick: float) -> None:
    assert footprint(coin).diameter == mm
    assert inches * 25.4 == pytest.approx(mm, abs=0.01)
    assert fits_small_parts_cylinder((mm, thick))


@pytest.mark.parametrize(("coin", "mm"), EURO_COINS)
def test_euro_coins(coin: str, mm: float) -> None:
    assert footprint(coin).diameter == mm


def test_bank_card_is_iso_7810_id_1() -> None:
    """ISO/IEC 7810, ID-1, as restated in encyclopaedia articles: 85.60 x 53.98 mm, corner 2.88 to
    3.48 mm. The design was 3.370 x 2.125 in with a corner of 1/8 in."""
    card = footprint("ID1")

    assert (card.width, card.depth) == (85.60, 53.98)
    assert 2.88 <= card.corner <= 3.48
    assert card.width == pytest.approx(3.370 * 25.4, abs=0.01)
    assert card.depth == pytest.approx(2.125 * 25.4, abs=0.01)


@pytest.mark.parametrize(("name", "halvings"), [("A6", 6), ("A7", 7)])
def test_a_series_follows_from_its_definition(name: str, halvings: int) -> None:
    """ISO 216: A0 has 1 square metre and sides as 1 to the square root of 2; each further size
    halves the longer side, whole millimetres, rounded down (from memory)."""
    long, short = math.floor(1000 * 2**0.25 + 0.5), math.floor(1000 / 2**0.25 + 0.5)
    assert (long, short) == (1189, 841)
    for _ in range(halvings):
        long, short = short, long // 2

    card = footprint(name)
    assert (card.width, card.depth) == (long, short)


@pytest.mark.parametrize(("name", "inside"), [("C6", "A6"), ("DL", "third of A4")])
def test_envelopes_hold_the_sheet_they_are_made_for(name: str, inside: str) -> None:
    """ISO 269 (from memory): C6 takes A6, DL takes A4 folded in three."""
    sheet = {"A6": (148, 105), "third of A4": (210, 99)}[inside]
    envelope = footprint(name)

    assert (envelope.width, envelope.depth) == {"C6": (162, 114), "DL": (220, 110)}[name]
    assert envelope.width > sheet[0]
    assert envelope.depth > sheet[1]


def test_c6_is_the_mean_of_a6_and_b6() -> None:
    """ISO 269: a C size is the geometric mean of the A and B sizes of its number (from memory:
    B6 is 125 x 176 mm)."""
    assert footprint("C6").width == pytest.approx(math.sqrt(148 * 176), abs=1)
    assert footprint("C6").depth == pytest.approx(math.sqrt(105 * 125), abs=1)


def test_optical_disc() -> None:
    """ISO/IEC 10149:1995, which is ECMA-130: outer diameter 120 mm +-0.3 (from memory)."""
    assert footprint("disc").diameter == 120


@pytest.mark.parametrize("code", ["211", "300", "303", "307", "401", "603"])
def test_can_codes_are_inches_and_sixteenths(code: str) -> None:
    """Can Manufacturers Institute: the first figure of a can code is inches, the other two are
    sixteenths of an inch (as restated in trade tables)."""
    inches = int(code[0]) + int(code[1:]) / 16

    assert footprint(f"can{code}").diameter == pytest.approx(inches * 25.4, abs=0.05)


def test_index_card_and_puck_are_inch_sizes() -> None:
    """Customary 3 x 5 in card; the puck is 3 in across by the rules of the game (from memory)."""
    assert (footprint("idx").width, footprint("idx").depth) == pytest.approx((127.0, 76.2))
    assert footprint("puck").diameter == pytest.approx(3 * 25.4)


def test_small_parts_cylinder_of_16_cfr_1501_4() -> None:
    """16 CFR 1501.4(a): 1.25 in wide, depth 1 to 2.25 in; the inch figures govern. The longest
    straight line and the volume follow by arithmetic: 65.377 mm and 32 678.7 mm3."""
    wide, shallow, deep = 1.25 * 25.4, 1.00 * 25.4, 2.25 * 25.4
    longest = math.hypot(wide, deep)
    volume = math.pi / 4 * wide**2 * (shallow + deep) / 2
    assert longest == pytest.approx(65.377, abs=5e-4)
    assert volume == pytest.approx(32678.7, abs=0.05)

    assert fits_small_parts_cylinder((0.0, longest))
    assert not fits_small_parts_cylinder((0.0, longest + 0.01))
    assert fits_small_parts_cylinder((wide, 0.0))
    assert not fits_small_parts_cylinder((wide + 0.01, 0.0))
    side = volume ** (1 / 3)
    assert side > wide  # so a cube is stopped by its width, a stout cylinder by its volume
    assert not fits_small_parts_cylinder((wide, (shallow + deep) / 2 + 0.01))


def in_cylinder(points: NDArray[np.float64]) -> bool:
    """Whether all points lie in the cylinder of 16 CFR 1501.4(a): 1.25 in across about the z axis,
    open at z = 0, its floor sloping from 1 in deep at x = -5/8 in to 2.25 in at x = +5/8 in."""
    x, y, z = points.T
    radius, shallow, deep = 0.625 * 25.4, 25.4, 2.25 * 25.4
    floor = -(shallow + (deep - shallow) * (x + radius) / (2 * radius))
    return bool(np.all((np.hypot(x, y) <= radius) & (z <= 0.0) & (z >= floor)))


def test_longest_line_and_volume_of_the_cylinder_by_sampling() -> None:
    """From the rim above the shallow side to the floor below the deep one. The volume is that of
    half-millimetre cells."""
    turn = np.radians(np.arange(0.0, 360.0, 2.0))
    rim = np.stack([np.cos(turn), np.sin(turn)], 1) * 15.875
    depth = 25.4 + 31.75 * (rim[:, 0] + 15.875) / 31.75
    top, floor = np.c_[rim, np.zeros(len(rim))], np.c_[rim, -depth]
    reach = np.linalg.norm(top[:, None, :] - floor[None, :, :], axis=2)
    assert reach.max() == pytest.approx(65.377, abs=5e-4)

    x, y = np.meshgrid(*(np.arange(-15.75, 16.0, 0.5),) * 2)
    inside = np.hypot(x, y) <= 15.875
    volume = (25.4 + 31.75 * (x[inside] + 15.875) / 31.75).sum() * 0.25
    assert volume == pytest.approx(32678.7, rel=0.01)


def test_no_piece_that_was_laid_into_the_cylinder_is_said_not_to_fit() -> None:
    """Boxes and round slices, turned and shifted at random; the cylinder is convex, so a box lies
    in it if its corners do and a slice if its rims do."""
    draw = np.random.default_rng(1501)
    seen = 0
    for _ in range(6000):
        sides = draw.uniform(0.0, [60.0, 32.0, 20.0])
        turned = np.linalg.qr(draw.normal(size=(3, 3)))[0]
        shift = draw.uniform([-12.0, -8.0, -50.0], [12.0, 8.0, -2.0])
        corners = np.array(list(itertools.product((-0.5, 0.5), repeat=3))) * sides
        if in_cylinder(corners @ turned + shift):
            seen += 1
            assert fits_small_parts_cylinder((sides[0], sides[1], sides[2]))
        around = np.radians(np.arange(0.0, 360.0, 10.0))
        disc = np.stack([np.cos(around), np.sin(around), np.zeros(36)], 1) * sides[1] / 2
        half = np.array([0.0, 0.0, sides[2] / 2])
        rims = np.vstack([disc + half, disc - half])
        if in_cylinder(rims @ turned + shift):
            seen += 1
            # The rims are seen at every tenth degree, so a slice may be 0.4 % smaller than drawn.
            assert fits_small_parts_cylinder((sides[1] * 0.996, sides[2]))
    assert seen > 500
