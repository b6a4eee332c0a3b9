"""What every theme that comes along has, and every kind of a few of them.

``python -m tests.all_themes`` makes every page of every theme.
"""

from __future__ import annotations

import itertools
from collections import Counter

import pytest

from shapes.letters.likeness import confusions
from shapes.pictures.names import curated, plain_code
from sheets.files.advice import ROUTINE, advice
from sheets.files.theme_file import builtin, builtin_names, builtin_titles, load
from sheets.kinds import KINDS
from sheets.kinds.letter_match.letters import form_kind
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from sheets.page.frame import LETTER
from sheets.page.palette import colours, needs_mark
from sheets.theme.theme import DAYS
from tests.all_themes import FIRST_THREE, OTHERS, faults, gaps, sample

SIX_KINDS = "plan: 6 kinds of sheet in the week; 8 or more give every child something to like"
TO_LOOK_AT = {
    "bean-row-garden": (
        "words: 5 drawings may be called by a name with another letter: cucumber (pickle), bean "
        "(potato), broccoli (tree), worm (snake), water (drop); say their names first, or choose "
        "others",
        SIX_KINDS,
        "words: shadows too alike for one page, by a measure of at most 0.80: "
        '"tomato" and "onion" (0.86)',
    ),
    "reedy-pond": (SIX_KINDS,),
    "tide-side-harbour": (
        'words: "fishing rod" is easily called "fish", another word of the theme',
        SIX_KINDS,
        "words: shadows too alike for one page, by a measure of at most 0.80: "
        '"box" and "compass" (0.91)',
    ),
}
"""What advice finds in the first three themes, which are older than it."""


def test_there_is_a_theme_for_most_weeks_of_a_school_year() -> None:
    assert len(builtin_names()) == 27
    assert dict(builtin_titles()) == {theme.slug: theme.title for theme in builtin()}
    assert list(builtin_titles().values()) == sorted(builtin_titles().values(), key=str.casefold)


def test_there_is_nothing_to_look_at_again_in_the_others() -> None:
    found = {theme.slug: lines for theme in builtin() if (lines := advice(theme))}

    assert found == TO_LOOK_AT


def test_words_are_curated_and_have_names_in_six_languages() -> None:
    codes = {plain_code(word.code) for word in curated()}
    for theme in map(load, OTHERS):
        assert 10 <= len(theme.words) <= 12
        assert {plain_code(word.picture.id) for word in theme.words} <= codes
        assert theme.unchecked == ("es", "fr", "de", "it", "pt")
        assert all(set(word.names) == set(theme.unchecked) for word in theme.words)


def test_every_length_of_a_sequence_is_made_by_hand_and_the_routine_comes_first() -> None:
    for theme in map(load, OTHERS):
        rows = theme.rows(SEQUENCES)
        assert len(rows) == 2
        for row in rows:
            lengths = [len(version) for version in (*row.short, row.steps)]
            assert lengths == list(range(2, len(row.steps) + 1))
            assert 5 <= len(row.steps) <= 6
        assert sum(plain_code(step.picture.id) in ROUTINE for step in rows[0].steps) >= 2


def test_colours_of_a_pattern_are_told_apart_by_every_eye() -> None:
    """By the differences of the palette (CIE 1976, Vienot et al. 1999; see its own tests)."""
    table = colours()
    for theme in map(load, OTHERS):
        units = theme.rows(PATTERNS)
        for unit in units:
            shown = {cell.colour for cell in unit.cells if cell.colour}
            shapes = {cell.shape for cell in unit.cells if cell.colour}
            assert not shown or not needs_mark([table[key] for key in shown])
            assert len(shapes) == len(shown)
        assert {len(set(unit.form)) for unit in units} == {2, 3}
        assert sum(unit.cells[0].step is not None for unit in units) >= 2


def test_sorts_have_two_areas_and_a_neither_and_then_three() -> None:
    for theme in map(load, OTHERS):
        two, three = theme.rows(SORTS)
        assert (len(two.bins), len(three.bins)) == (2, 3)
        assert len(two.neither) >= 2


def test_letters_are_enough_for_a_sort_and_the_easy_ones_are_far_apart() -> None:
    for theme in map(load, OTHERS):
        counts = Counter(word.letter for word in theme.words if len(word.letter) == 1)
        assert sum(count >= 2 for count in counts.values()) >= 3
        easy = letters_of(theme).easy
        assert {form_kind(letter) for letter in easy} == {"round", "straight"}
        assert not any(confusions().published(*pair) for pair in itertools.combinations(easy, 2))


def test_things_and_plan() -> None:
    for theme in map(load, OTHERS):
        assert not any(thing.adult_only or thing.small_part for thing in things_of(theme))
        assert [day.day for day in theme.plan] == list(DAYS[:5])
        assert all(day.kinds and day.note for day in theme.plan)


def test_the_sample_comes_to_every_theme() -> None:
    assert {name for turn in range(24) for name in sample(1, turn)} == set(OTHERS)
    assert not set(FIRST_THREE) & set(OTHERS)


@pytest.mark.parametrize("name", sample(1))
def test_every_kind_at_every_stage(name: str) -> None:
    assert [line for kind in KINDS for line in faults(name, kind, papers=[LETTER])] == []


@pytest.mark.parametrize("name", sample(2))
def test_a_packet_for_four_drops_no_page(name: str) -> None:
    assert gaps(name) == []


def test_help_reads_no_theme(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_name: str) -> None:
        raise AssertionError("a theme was read")

    monkeypatch.setattr("sheets.files.theme_file._builtin", refuse)
    monkeypatch.setattr("sheets.files.theme_file._title", refuse)
    from sheets.cli.main import main

    assert main(["--help"]) == 0
    assert main(["packet", "--help"]) == 0
