"""Letterforms in millimetres, likeness of letters, and the choice of wrong letters."""

from __future__ import annotations

import json
import string
import subprocess
import sys
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import unary_union
from shapely.geometry import LinearRing, Polygon

from shapes.errors import GlyphError, InputError
from shapes.letters.font import glyph_path
from shapes.letters.glyphs import area
from shapes.letters.likeness import (
    STORE,
    Level,
    confusable,
    confusions,
    likeness,
    measured_likeness,
)
from tests.letter_dots import TURNED, likeness_by_dots
from tests.letter_pairs import ranked_pairs

LETTERS = string.ascii_letters + string.digits + "éñüçßÁÊÖõœ"


# --- inked areas ---------------------------------------------------------------------------------


def test_a_letter_of_straight_strokes_has_the_area_of_its_strokes() -> None:
    """The capital I of the font: two bars of 675 by 145 and a stem of 190 by 1170 units."""
    inked = area("I")

    assert inked.area == pytest.approx(2 * 675 * 145 + 190 * 1170)
    assert inked.bounds == (140.0, 0.0, 815.0, 1460.0)


def test_descenders_go_below_the_baseline() -> None:
    x_height = area("x").bounds[3]

    assert area("x").bounds[1] == 0.0
    assert area("p").bounds[1] < -0.3 * x_height


@pytest.mark.parametrize("char", LETTERS)
def test_the_area_is_that_of_the_nonzero_rule(char: str) -> None:
    """OpenType fills outlines by the nonzero rule: in this font every outer edge runs clockwise
    and every hole anticlockwise, so the edges laid over one another by shapely, outer ones added
    and holes taken off, ink the same."""
    rings = [LinearRing(path.flatten(1.5)) for path in glyph_path(char)]
    outer = unary_union([Polygon(ring).buffer(0) for ring in rings if not ring.is_ccw])
    holes = unary_union([Polygon(ring).buffer(0) for ring in rings if ring.is_ccw])

    assert area(char).is_valid
    assert area(char).symmetric_difference(outer.difference(holes)).area < 1.0


def test_overlapping_strokes_are_joined_and_parts_kept() -> None:
    assert len(area("X").geoms) == 1
    assert len(area("K").geoms) == 1
    assert len(area("i").geoms) == 2
    assert len(area("e").geoms[0].interiors) == 1


def test_an_accent_typed_apart_is_the_same_letter() -> None:
    assert area("e\u0301").equals(area("\u00e9"))


def test_a_character_the_font_lacks() -> None:
    with pytest.raises(GlyphError) as caught:
        area("漢")

    assert str(caught.value) == (
        "text '漢': the page font has no character '漢' (U+6F22); "
        "write it in Latin or Cyrillic letters"
    )


def test_a_blank_has_no_outline() -> None:
    with pytest.raises(InputError) as caught:
        area(" ")

    assert str(caught.value) == "' ' has no outline; choose a letter, figure or sign"


# --- likeness ------------------------------------------------------------------------------------


def test_only_a_letter_itself_is_wholly_alike() -> None:
    assert likeness("b", "b") == 1.0
    assert all(alike < 1.0 for _, _, alike in ranked_pairs("bdpqnuOQ"))


@pytest.mark.parametrize(("a", "b"), ["nu", "bd", "OQ", "IO", "hy", "JL"])
def test_likeness_is_what_the_definition_gives_on_a_rendering(a: str, b: str) -> None:
    """Dots of another renderer (see ``tests/letter_dots.py``); strokes are about 30 dots wide, so
    half a dot at each edge may shift a likeness by about 0.015."""
    assert likeness(a, b) == pytest.approx(likeness_by_dots(a, b).alike, abs=0.015)


def test_a_turned_form_is_more_alike_than_its_upright_overlap_would_say() -> None:
    """On the rendering n and u agree in hardly more than half upright, nearly wholly when turned;
    O and Q are alike as they stand."""
    turned, upright = likeness_by_dots("n", "u"), likeness_by_dots("O", "Q")

    assert TURNED * turned.turned > turned.upright + 0.1
    assert upright.upright > TURNED * upright.turned + 0.1
    assert likeness("n", "u") > turned.upright + 0.1
    assert likeness("O", "Q") > likeness("O", "I")


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(LETTERS), st.sampled_from(LETTERS))
def test_likeness_is_symmetric_and_within_its_range(a: str, b: str) -> None:
    assert likeness(a, b) == likeness(b, a)
    assert 0.0 < likeness(a, b) <= 1.0
    assert (likeness(a, b) == 1.0) == (a == b)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(string.ascii_letters), st.sampled_from(string.ascii_letters))
def test_the_stored_likeness_is_the_measured_one(a: str, b: str) -> None:
    """``python -m shapes.letters.likeness`` makes the store anew."""
    first, second = sorted((a, b))
    if a != b:
        assert likeness(a, b) == pytest.approx(measured_likeness(first, second), abs=2e-6)


def test_every_pair_of_plain_letters_is_stored() -> None:
    stored = json.loads(STORE.read_text("ascii"))

    assert set(stored) == {a + b for a, b in combinations(sorted(string.ascii_letters), 2)}


# --- published confusions ------------------------------------------------------------------------


def test_the_counts_of_the_study_of_capitals() -> None:
    """Blair and Ryckman 1968, ERIC ED028033, as its abstract lists them."""
    rows = [r for r in confusions().rows if r.source == "blair-ryckman-1968"]
    counts = {"".join(r.pair): r.errors for r in rows}

    assert counts == {
        "MN": 8,
        "MW": 5,
        "PS": 5,
        "AH": 3,
        "IJ": 3,
        "JL": 3,
        "KX": 3,
        "HX": 2,
        "NX": 2,
        "PR": 2,
        "AX": 2,
        "HW": 2,
        "IL": 2,
        "BX": 2,
    }
    assert ["".join(r.pair) for r in rows if r.uncertain] == ["PS", "IL", "BX"]


def test_every_row_and_source_is_complete() -> None:
    known = confusions()

    assert {row.source for row in known.rows} <= set(known.sources)
    assert all(len(set(row.pair)) == 2 and row.pair[0] < row.pair[1] for row in known.rows)
    assert {s.basis for s in known.sources.values()} == {"published", "common practice"}
    for source in known.sources.values():
        assert source.title
        assert source.note
        assert source.basis == "common practice" or (source.address and source.year)


def test_turned_forms() -> None:
    known = confusions()

    assert [sorted(group) for group in known.turned] == [["b", "d", "p", "q"], ["n", "u"]]
    assert known.are_turned("b", "q")
    assert not known.are_turned("b", "n")
    assert not known.are_turned("b", "b")
    assert [row.lesser for row in known.published("w", "m")] == [True, False]


# --- choosing ------------------------------------------------------------------------------------


def no_published_pair(row: tuple[str, ...]) -> bool:
    return not any(confusions().published(a, b) for a, b in combinations(row, 2))


@pytest.mark.parametrize("target", list("MPXHIbcn"))
def test_easy_rows_hold_no_published_pair(target: str) -> None:
    pool = string.ascii_uppercase if target.isupper() else string.ascii_lowercase
    levels: tuple[Level, ...] = ("different", "plain")

    for level in levels:
        row = (target, *confusable(pool, 3, target=target, level=level, seed=5))
        assert len(set(row)) == 4
        assert no_published_pair(row)


def test_the_least_alike_come_first_when_they_go_together() -> None:
    ranked = [c for c, _ in sorted(((c, likeness("O", c)) for c in "CQITX"), key=lambda r: r[1])]

    assert confusable("CQITX", 2, target="O") == tuple(ranked[:2])


def test_one_pair_takes_the_partner_with_most_errors_and_no_other() -> None:
    row = confusable("ABCDNWO", 3, target="M", level="one-pair")

    assert row == ("N", "A", "B")
    assert confusable("ABCN", 3, target="O", level="one-pair") == ("A", "B", "C")


def test_an_uncertain_pair_is_kept_apart_but_never_put_together_first() -> None:
    """S-P is hard to read in the scan; P-R is not."""
    assert confusable("SRB", 2, target="P", level="alike") == ("R", "B")
    assert confusable("SRB", 1, target="P", level="plain") == ("B",)


def test_hard_rows_take_published_partners_then_the_most_alike() -> None:
    assert confusable(string.ascii_uppercase, 3, target="M", level="alike") == ("N", "W", "V")
    assert confusable("CGQXI", 2, target="O", level="alike") == ("Q", "G")


@pytest.mark.parametrize("level", ["different", "plain", "one-pair", "alike"])
def test_turned_forms_are_never_together_unless_asked(level: Level) -> None:
    for target in "abdpqnuh":
        for seed in range(5):
            row = (
                target,
                *confusable(string.ascii_lowercase, 3, target=target, level=level, seed=seed),
            )
            assert len(set("bdpq") & set(row)) <= 1
            assert not set("nu") <= set(row)


def test_turned_forms_when_asked() -> None:
    row = confusable("abcdpq", 3, target="b", level="alike", allow_turned=True)

    assert sorted(row) == ["d", "p", "q"]


def test_a_way_is_found_if_there_is_one() -> None:
    """M goes with neither N nor W, but N and W go together."""
    assert confusable("MNW", 2, target="C", level="plain") == ("N", "W")


def test_the_seed_changes_the_letters_and_repeats_them() -> None:
    rows = [
        confusable(string.ascii_uppercase, 3, target="T", level="plain", seed=s) for s in range(8)
    ]

    assert len(set(rows)) > 4
    assert rows[3] == confusable(string.ascii_uppercase, 3, target="T", level="plain", seed=3)


def test_too_few_letters() -> None:
    with pytest.raises(InputError) as caught:
        confusable("MNW", 2, target="M", level="plain")

    assert str(caught.value) == (
        "cannot find 2 of the letters M N W to stand beside M at level 'plain'; "
        "add letters that look different, or ask for fewer choices"
    )


def test_bad_count_and_level() -> None:
    with pytest.raises(InputError) as none:
        confusable("ABC", 0, target="A")
    with pytest.raises(InputError) as level:
        confusable("ABC", 1, target="A", level="hard")  # type: ignore[arg-type]

    assert str(none.value) == "cannot choose 0 letters; ask for 1 or more"
    assert str(level.value) == "no level 'hard'; choose from different, plain, one-pair, alike"


def test_importing_letters_loads_no_heavy_library() -> None:
    code = (
        "import sys, shapes.letters.likeness as l; l.confusions(); "
        "print(sorted({'shapely', 'numpy', 'fontTools', 'sheets'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
