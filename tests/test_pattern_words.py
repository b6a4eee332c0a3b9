"""Pattern pages from words and choices: what is read, and what is refused in one line."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from shapes.errors import FitError, InputError
from sheets.files.starters import starter_theme
from sheets.files.theme_file import load
from sheets.files.theme_file import parse as parse_theme
from sheets.kinds.options import Options
from sheets.kinds.pattern import PatternChoices
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.pattern.task import PatternTask, read_cell
from sheets.kinds.pattern.task import task as make_task
from sheets.kinds.settings import setting
from sheets.kinds.source import Source
from sheets.theme.theme import Theme
from tests.making import pattern
from tests.pattern_reader import names_of, rows_of, solve_gaps

POND = load("reedy-pond")
HARBOUR = load("tide-side-harbour")


def test_cells_as_they_are_written() -> None:
    assert read_cell("azul circle").text == "blue circle"
    assert read_cell("Blue Star").text == "blue star"
    assert read_cell("duck").step is not None
    assert read_cell("bird:duck").text == "bird"


def test_a_page_of_words() -> None:
    options = Options(language="es")
    task = pattern.from_words(["duck", "fish"], 5, options)
    assert isinstance(task, PatternTask)
    assert (task.title, task.answer, len(task.rows)) == ("Patrones", "tiles", 2)
    (marks, _), answer = pattern.drawn(task, options)
    solved = [solve_gaps(row) for row in rows_of(marks, names_of(POND))]
    assert solved[0] | solved[1] == answer


def test_the_theme_pattern_that_is_asked_for() -> None:
    task = pattern.from_theme(HARBOUR, 2, Options(), unit=5)
    assert isinstance(task, PatternTask)
    assert [c.text for c in task.kinds] == ["boat", "wave"]


@pytest.mark.parametrize(
    ("stage", "choices", "message"),
    [
        (7, {}, "`stage`: stage 7 does not exist; use a whole number, 0 to 6"),
        (
            3,
            {"form": "dance"},
            "`form`: there is no task 'dance'; use one of: lay, match, mend, odd, copy, carry-on, "
            "unit, colour-copy",
        ),
        (
            3,
            {"form": "carry-on"},
            "`form`: stage 3 has no 'carry-on' page; use one of: copy, mend, odd, colour-copy, or "
            "another stage",
        ),
        (3, {"answer": "sand"}, "`as`: answer 'sand' is not known; use one of: tiles, boxes"),
        (0, {"answer": "boxes"}, "`as`: stage 0 has tiles an adult has cut, no boxes; use `as` "
         "tiles"),
        (4, {"form": "unit", "answer": "tiles"}, "`as`: a ring is drawn on the page of this "
         "task, 'unit'; leave it out"),
        (3, {"model": "left"}, "`model`: the row to copy cannot lie 'left'; use one of: "
         "above, below"),
        (3, {"unit": 9}, "`unit`: the theme Reedy Pond has no pattern 9; use 1 to 6"),
        (
            3,
            {"unit": 4},
            "unit: ABC is no 'copy' pattern of stage 3, whose repeating part has at most 2 "
            "things; give AB, or take another stage or `form`",
        ),
        (
            5,
            {"form": "carry-on", "unit": 4},
            "unit: ABC is no 'carry-on' pattern of stage 5; give AB, or take another stage or "
            "`form`",
        ),
        (
            3,
            {"form": "colour-copy", "unit": 1},
            "`unit`: pictures to colour have no rows; leave it out",
        ),
    ],
)  # fmt: skip
def test_bad_choices(stage: int, choices: dict[str, object], message: str) -> None:
    with pytest.raises(InputError) as caught:
        pattern.from_theme(POND, stage, Options(), **choices)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["duck"], 'words: 1 thing make no part that repeats; give each once, such as "blue '
         'circle" "yellow triangle"'),
        (["duck", "fish", "duck", "fish"], "words: 4 things (ABAB) make no part that repeats; "
         'give each once, such as "blue circle" "yellow triangle"'),
        (["blue cirkle", "duck"], "'blue cirkle': no shape 'cirkle'; use one of: circle, square, "
         "triangle, rectangle, diamond, hexagon, star, heart"),
        (["bleu circle", "duck"], None),
        (["blu circle", "duck"], None),
        (["bloe circle", "duck"], "no colour 'bloe'; did you mean blue?"),
    ],
)  # fmt: skip
def test_bad_words(words: list[str], message: str | None) -> None:
    if message is None:  # French and Italian for blue
        task = pattern.from_words(words, 3, Options())
        assert isinstance(task, PatternTask)
        assert task.kinds[0].text == "blue circle"
        return
    with pytest.raises(InputError) as caught:
        pattern.from_words(words, 3, Options())
    assert str(caught.value) == message


def test_no_odd_one_for_low_vision() -> None:
    with pytest.raises(InputError, match=r"`form` odd: .* more than 4 things at once; use `form`"):
        pattern.from_theme(POND, 2, Options(needs=("low-vision",)), form="odd")


def test_too_many_colours_for_every_eye() -> None:
    words = ["red circle", "green square", "brown star", "pink heart"]
    task = pattern.from_words(words, 0, Options(needs=("colour-vision",)))
    assert isinstance(task, PatternTask)
    assert len({cell.colour for cell in task.kinds}) == 3


def test_places_that_do_not_fit() -> None:
    options = Options(needs=("low-vision",))
    task = pattern.from_theme(POND, 4, options)
    assert isinstance(task, PatternTask)
    (row,) = task.rows
    long = dataclasses.replace(row, cells=row.cells * 4, empty=tuple(range(len(row.cells) * 4)))
    with pytest.raises(FitError, match="do not fit the page; use boxes"):
        pattern.make(dataclasses.replace(task, rows=(long,), answer="tiles"), options)


@pytest.mark.parametrize("seed", [0, 1])
def test_pictures_do_where_no_coloured_pattern_has_enough_things(seed: int) -> None:
    """The starter theme: a pattern of two coloured shapes, another of two pictures, six words."""
    theme = parse_theme(starter_theme("Pond").encode(), "pond.toml", Path())
    for stage in range(7):
        for form in str(setting("pattern", stage, "forms")).split():
            made = make_task(Source(theme), stage, Options(seed=seed), PatternChoices(form=form))
            assert made.form == form


def test_too_few_things_for_any_row_are_told() -> None:
    theme = parse_theme(starter_theme("Pond").encode(), "pond.toml", Path())
    alone = Theme("Two", sections={PATTERNS.name: theme.rows(PATTERNS)[:1]})
    with pytest.raises(InputError) as caught:
        make_task(Source(alone), 4, Options(), PatternChoices(form="mend"))
    assert str(caught.value) == (
        "[[patterns]]: no pattern has 3 different things; give one three of them, or three "
        "[[words]] with pictures"
    )
