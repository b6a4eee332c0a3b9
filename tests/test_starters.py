"""Starter files load as they are, whatever the title."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import InputError
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.files.starters import starter_class, starter_theme
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from tests.parser_runs import parser_test

TITLES = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=60)


def test_starter_theme_loads_without_warning() -> None:
    found = theme.parse(starter_theme("Our Garden").encode(), "our-garden.toml", Path())

    assert found.title == "Our Garden"
    assert [word.text for word in found.words] == [
        "carrot", "tomato", "bean", "onion", "lemon", "worm",
    ]  # fmt: skip
    assert [thing.name for thing in things_of(found)[2:]] == ["yoghurt tub", "tea box"]
    assert (len(found.rows(SEQUENCES)), len(found.rows(PATTERNS))) == (1, 2)
    assert (len(found.rows(SORTS)), len(found.plan)) == (1, 5)
    assert found.warnings == ()


def test_starter_theme_still_loads_with_its_optional_lines_turned_on() -> None:
    text = starter_theme("Our Garden")
    optional = ("unchecked =", "also =", "easy =", "hard =")
    for key in optional:
        assert f"# {key}" in text
        text = text.replace(f"# {key}", key)

    found = theme.parse(text.encode(), "our-garden.toml", Path())

    assert found.unchecked == ("es",)
    assert len(found.rows(SEQUENCES)[0].also) == 1
    assert (letters_of(found).easy, letters_of(found).hard) == (("T", "L", "O"), (("b", "p"),))


def test_starter_class_loads_without_warning() -> None:
    found = classlist.parse(starter_class("Our group").encode(), "our-group.csv")

    assert [(child.name, child.tag, child.hand) for child in found.children] == [
        ("Pip", "Pi", "right"),
        ("Bo", "Bo", "left"),
        ("Juniper", "Ju", "either"),
    ]
    assert found.warnings == ()


def test_starters_explain_every_column_and_need() -> None:
    text = starter_class("Our group")

    assert all(need in text for need in classlist.NEEDS)
    assert ",".join(classlist.COLUMNS) in text.splitlines()


@parser_test(50)
@given(TITLES.filter(str.strip))
def test_any_title_gives_files_that_load(title: str) -> None:
    found = theme.parse(starter_theme(title).encode(), "t.toml", Path())
    children = classlist.parse(starter_class(title).encode(), "c.csv").children

    assert "".join(found.title.split())
    assert len(children) == 3


@pytest.mark.parametrize("title", ["", "  ", "x" * 61, "a\x07b", "a\u202eb", "\ud800"])
@pytest.mark.parametrize("starter", [starter_theme, starter_class])
def test_title_that_is_no_title_is_refused(title: str, starter: object) -> None:
    assert callable(starter)
    with pytest.raises(InputError) as caught:
        starter(title)

    assert str(caught.value) == "a title is one line of ordinary letters; give 1 to 60 of them"
