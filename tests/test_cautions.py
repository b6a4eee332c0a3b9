"""Cautions: every material has words and sources, and none promises too much."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

import sheets.kinds.cautions
from shapes.errors import InputError
from sheets.kinds.cautions import RIDER, all_cautions, caution, materials

FILE = Path(sheets.kinds.cautions.__file__).with_name("cautions.toml")


def test_materials_are_these() -> None:
    assert materials() == (
        "scissors", "trimmer", "stapler", "hole-punch", "sticks", "small-parts", "objects", "coins",
        "food", "tasting", "cartons", "sensory-tray", "water", "shaving-cream", "glue", "paint",
        "glitter", "string", "balloons", "laminated", "laminator", "pegs", "magnets", "plants",
        "minibeasts", "ice", "dough", "costumes", "paper",
    )  # fmt: skip


def test_file_has_only_known_keys_and_uses_every_source() -> None:
    data = tomllib.loads(FILE.read_text("utf-8"))
    used = {key for row in data["materials"] for key in row["sources"]}

    assert all(set(row) == {"id", "title", "also", "text", "sources"} for row in data["materials"])
    assert used == set(data["sources"])


def test_every_material_has_words_and_a_source() -> None:
    for item in all_cautions():
        assert item.text, item.id
        assert item.sources, item.id
        assert all(sentence.endswith(".") for sentence in item.text), item.id


def test_nothing_is_called_safe() -> None:
    assert "safe" not in (FILE.read_text("utf-8") + RIDER).casefold()


def test_rider_puts_local_rules_and_licensed_practice_first() -> None:
    assert RIDER == (
        "These are usual cautions only. Your local licensing, health and allergy rules come first, "
        "and so does the advice of licensed practitioners who work with the children."
    )


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("scissors", "scissors"),
        ("Loop  Scissors", "scissors"),
        ("coins", "coins"),
        ("beads", "small-parts"),
        ("Paint, ink and markers", "paint"),
    ],
)
def test_material_is_found_by_other_words(word: str, found: str) -> None:
    assert caution(word).id == found


def test_figures_of_the_small_parts_rule_are_in_the_text() -> None:
    """16 CFR 1501.4(a) in its metric figures: 31.7 mm wide, 25.4 to 57.1 mm deep."""
    figures = re.findall(r"\d+\.\d", caution("small-parts").paragraph())

    assert figures == ["31.7", "25.4", "57.1", "44.4"]


@pytest.mark.parametrize(
    ("word", "message"),
    [
        ("scisors", "no caution for a material called 'scisors'; did you mean scissors"),
        ("moon", "no caution for a material called 'moon'; known: scissors, trimmer, "),
    ],
)
def test_unknown_material_names_the_nearest(word: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        caution(word)

    assert str(caught.value).startswith(message)
