"""Advice on a theme, and a theme proposed from words: what it has, what is left to the teacher."""

from __future__ import annotations

from pathlib import Path

import pytest

from shapes.errors import InputError, PictureError
from sheets.cli.main import main
from sheets.files.advice import LEAST_KINDS, advice
from sheets.files.proposal import proposed_theme
from sheets.files.starters import starter
from sheets.files.theme_file import parse
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from sheets.theme.theme import Theme
from tests.all_themes import STAGES, faults

POND = ("duck", "frog", "fish", "turtle", "lotus", "sprout", "grass:plant", "rain", "owl", "ship")
ONE_LETTER = ["bear", "bee", "bell", "boat", "book:books", "box", "bread", "broom", "bus", "butter"]


def proposed(*words: str) -> Theme:
    return parse(proposed_theme("Our Week", words).encode(), "our-week.toml", Path())


def small(words: str = "duck frog leaf sun", more: str = "") -> Theme:
    """A theme of these words and nothing else but what is added."""
    rows = [f'[[words]]\ntext = "{word}"\npicture = "{word}"' for word in words.split()]
    return parse("\n".join(['title = "T"', *rows, more]).encode(), "t.toml", Path())


# --- advice: each line on a theme that has one thing wrong ----------------------------------------


def lines_on(theme: Theme, table: str) -> list[str]:
    return [line for line in advice(theme, shadows=False) if line.startswith(f"{table}: ")]


def test_letters_that_are_all_alike() -> None:
    assert lines_on(small("bear bee bell boat box bus butter banana"), "words")[0] == (
        "words: they begin with 1 letter (B); choose words for 4 or more"
    )


def test_names_that_are_another_word_or_missing() -> None:
    assert 'words: "goose" is easily called "duck", another word of the theme' in lines_on(
        small("goose duck"), "words"
    )
    text = 'title = "T"\nlanguages = ["en", "pl"]\n[[words]]\ntext = "duck"\npicture = "duck"\n'
    found = parse(text.encode(), "t.toml", Path())
    assert lines_on(found, "words") == ["words: no name in pl for duck; add it to names"]


def test_sequences_patterns_sorts_things_and_days_that_are_missing() -> None:
    bare = small()
    assert lines_on(bare, "sequences")[0].startswith("sequences: fewer than 2; give a routine")
    assert lines_on(bare, "patterns") == ["patterns: none; add one of shapes and one of pictures"]
    assert lines_on(bare, "sorts")[0].startswith("sorts: none; add one")
    assert lines_on(bare, "objects") == ["objects: 0 things to trace; give 3 or more"]
    assert lines_on(bare, "plan")[0] == (
        "plan: nothing on monday, tuesday, wednesday, thursday, friday"
    )


def test_what_is_there_but_of_one_kind_only() -> None:
    text = (
        '[[sequences]]\ntitle = "A"\nsteps = ["duck", "frog"]\n'
        '[[sequences]]\ntitle = "B"\nsteps = ["sun", "leaf"]\n'
        '[[patterns]]\nunit = ["duck", "frog"]\n'
        '[[sorts]]\ntitle = "S"\nbins = { a = ["duck"], b = ["leaf", "sun", "frog"] }\n'
    )
    found = small(more=text)
    assert lines_on(found, "sequences") == [
        "sequences: none is a routine, such as washing hands or putting on a coat; add one"
    ]
    assert lines_on(found, "patterns") == ["patterns: only of pictures; add one of coloured shapes"]
    assert lines_on(found, "sorts") == [
        "sorts: none has things that belong in neither; add neither = [...]",
        'sorts: "S" has 1 thing for "a"; give 3 or more',
    ]
    shapes = small(more='[[patterns]]\nunit = ["blue circle", "yellow star"]\n')
    assert lines_on(shapes, "patterns") == [
        "patterns: only of shapes; add one of pictures of the theme"
    ]


def test_shadows_that_are_too_alike() -> None:
    found = [line for line in advice(small("clock orange frog key")) if "shadows" in line]
    assert len(found) == 1
    assert '"clock" and "orange"' in found[0]
    assert "key" not in found[0]


def test_warnings_of_the_reader_come_first() -> None:
    assert advice(small("ship duck"))[0].startswith('t.toml line 2, words 1 "letter": "ship"')


# --- proposals ------------------------------------------------------------------------------------


def test_a_proposal_has_all_that_words_can_say() -> None:
    found = proposed(*POND)

    assert [word.text for word in found.words] == [word.partition(":")[0] for word in POND]
    assert set(found.words[0].names) == {"es", "fr", "de", "it", "pt"} == set(found.unchecked)
    assert [row.title for row in found.rows(SEQUENCES)] == ["Washing hands"]
    units = found.rows(PATTERNS)
    assert {unit.cells[0].step is None for unit in units} == {True, False}
    (sort,) = found.rows(SORTS)
    areas = {name: [step.word for step in steps] for name, steps in sort.bins.items()}
    assert areas == {
        "animals": ["duck", "frog", "fish", "turtle", "owl"],
        "plants": ["lotus", "sprout", "grass"],
    }
    assert [step.word for step in sort.neither] == ["rain"]
    assert len(things_of(found)) == 4
    assert letters_of(found).easy
    assert [len(day.kinds) for day in found.plan] == [2] * 5
    assert len({kind for day in found.plan for kind in day.kinds}) >= LEAST_KINDS


def test_what_is_left_to_the_teacher_is_told() -> None:
    told = "\n".join(advice(proposed(*POND)))
    assert "sequences: fewer than 2" in told
    assert '"ship" begins with S, but sh is one sound' in told
    assert "sorts" not in told
    assert "plan" not in told


def test_without_groups_the_sort_goes_by_letters_or_is_left_open() -> None:
    by_letter = proposed(*["bell", "broom", "box", "sun", "soap", "star", "key"])
    (sort,) = by_letter.rows(SORTS)
    assert (sort.title, set(sort.bins)) == ("How does it begin?", {"B", "S"})
    assert [step.word for step in sort.neither] == ["key"]
    text = proposed_theme("Our Week", ["bell", "sun", "key", "rain"])
    assert "# [[sorts]]" in text
    assert parse(text.encode(), "x.toml", Path()).rows(SORTS) == ()


def test_a_proposal_makes_every_kind_it_plans(tmp_path: Path) -> None:
    file = tmp_path / "our-week.toml"
    file.write_text(proposed_theme("Our Week", POND), "utf-8")
    kinds = {kind for day in proposed(*POND).plan for kind in day.kinds}
    assert len(STAGES) == 7
    assert [line for kind in sorted(kinds) for line in faults(str(file), kind)] == []


def test_a_drawing_of_ones_own_is_named_by_its_file(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = Path(__file__).parent / "data" / "svg"
    monkeypatch.chdir(folder)
    text = proposed_theme("T", ["leaf:pond-leaf.svg", "duck", "frog", "sun"])
    found = parse(text.encode(), "t.toml", folder)
    assert 'picture = "pond-leaf.svg"' in text
    assert [word.text for word in found.words] == ["leaf", "duck", "frog", "sun"]


def test_one_letter_for_all_words_is_told() -> None:
    assert any(line.startswith("words: they begin with 1 letter") for line in advice(
        proposed(*ONE_LETTER)))  # fmt: skip


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["duck"], r"`words`: a theme of 1 word; give 4 to 16"),
        (["duck", "frog", "sun", "duck"], r'`words`: "duck" is there twice; drop one'),
    ],
)
def test_words_that_make_no_theme(words: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        proposed_theme("T", words)
    with pytest.raises(PictureError, match="there is no picture called 'frgo'"):
        proposed_theme("T", ["frgo", "duck", "sun", "key"])
    with pytest.raises(InputError, match="a class list has no words"):
        starter("class", "T", ".csv", ["duck"])


def test_the_commands_say_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "week.toml"
    given = ["new", "theme", "Our Week", "--words", ", ".join(POND), "--out", str(file)]
    assert main(given) == 0
    first, *told = capsys.readouterr().out.splitlines()
    assert first == f"wrote {file}"
    assert told
    assert all(line.startswith("look again: ") for line in told)
    assert main(["themes", str(file)]) == 0
    assert capsys.readouterr().out.splitlines() == told
    assert main(["themes", "paws-at-home"]) == 0
    assert capsys.readouterr().out == "Paws at Home: nothing to look at again\n"
