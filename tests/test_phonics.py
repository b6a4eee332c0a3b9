"""First letters, and the words whose first letter misleads the ear."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheets.theme.phonics import STARTS, first_letter, has_table

# Which words a teacher would stumble over: common practice, no source.
TRAPS = [
    ("en", "ship", '"ship" begins with S, but sh is one sound'),
    ("en", "shell", '"shell" begins with S, but sh is one sound'),
    ("en", "knot", '"knot" begins with K, but the k is silent'),
    ("en", "thistle", '"thistle" begins with T, but th is one sound'),
    ("en", "cherry", '"cherry" begins with C, but ch is one sound'),
    ("en", "wren", '"wren" begins with W, but the w is silent'),
    ("en", "pheasant", '"pheasant" begins with P, but ph is one sound, as in f'),
    ("en", "gnat", '"gnat" begins with G, but the g is silent'),
    ("en", "whale", '"whale" begins with W, but wh is taught as a pair'),
    ("en", "celery", '"celery" begins with C, but c is soft here'),
    ("en", "giraffe", '"giraffe" begins with G, but g may be soft here'),
    ("en", "hour", '"hour" begins with H, but the h may be silent'),
    ("es", "cebolla", '"cebolla" begins with C, but c is soft here'),
    ("es", "hoja", '"hoja" begins with H, but the h is silent'),
    ("es", "lluvia", '"lluvia" begins with L, but ll is one sound'),
    ("fr", "chou", '"chou" begins with C, but ch is one sound'),
    ("fr", "oignon", '"oignon" begins with O, but two letters make one sound'),
    ("de", "Schnecke", '"Schnecke" begins with S, but sch is one sound'),
    ("de", "Stein", '"Stein" begins with S, but s sounds as sch here'),
    ("de", "Vogel", '"Vogel" begins with V, but v may sound as f'),
    ("it", "chiocciola", '"chiocciola" begins with C, but ch sounds as k'),
    ("it", "cipolla", '"cipolla" begins with C, but c is soft here'),
    ("pt", "chuva", '"chuva" begins with C, but ch is one sound'),
    ("pt-BR", "hortelã", '"hortelã" begins with H, but the h is silent'),
]

PLAIN = [
    ("en", "duck", "D"),
    ("en", "snail", "S"),
    ("en", "crab", "C"),
    ("en", "geese", "G"),
    ("en", "goose", "G"),
    ("en", "rain cloud", "R"),
    ("es", "pato", "P"),
    ("es", "ñandú", "Ñ"),
    ("fr", "étang", "É"),
    ("de", "Ente", "E"),
    ("it", "rana", "R"),
    ("pt", "sapo", "S"),
    ("en", "'otter", "O"),
    ("en", "n\u0303andu", "Ñ"),
]


@pytest.mark.parametrize(("language", "word", "warning"), TRAPS)
def test_misleading_first_letter_is_warned_of(language: str, word: str, warning: str) -> None:
    assert first_letter(word, language).warning == warning


@pytest.mark.parametrize(("language", "word", "letter"), PLAIN)
def test_plain_word_has_its_letter_and_no_warning(language: str, word: str, letter: str) -> None:
    found = first_letter(word, language)

    assert (found.letter, found.warning) == (letter, "")


def test_language_without_a_table_gives_the_letter_only() -> None:
    found = first_letter("żaba", "pl")

    assert (found.letter, found.warning) == ("Ż", "")
    assert not has_table("pl")
    assert has_table("es-MX")


def test_word_without_letters_is_said() -> None:
    found = first_letter("77", "en")

    assert (found.letter, found.warning) == ("", '"77" has no letter to begin with')


def test_no_rule_of_a_table_is_hidden_by_an_earlier_one() -> None:
    for language, starts in STARTS.items():
        seen: list[str] = []
        for start in starts:
            for spelling in start.spellings:
                assert not spelling.startswith(tuple(seen)), (language, spelling)
            seen.extend(start.spellings)


@given(st.text(), st.sampled_from([*STARTS, "pl", ""]))
@settings(deadline=None)
def test_any_text_has_at_most_one_letter(word: str, language: str) -> None:
    found = first_letter(word, language)

    assert len(found.letter) <= 1
    assert found.letter or found.warning
