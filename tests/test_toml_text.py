"""Mistakes in a theme file told in plain words, and files that would take long refused at once."""

from __future__ import annotations

import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sheets.files.starters import starter_theme
from sheets.files.theme_file import MAX_BYTES, parse
from sheets.files.toml_text import TomlFaultError, read_toml
from sheets.theme.theme import ThemeError
from tests.parser_runs import parser_test


def told(text: str) -> str:
    with pytest.raises(TomlFaultError) as caught:
        read_toml(text)
    return str(caught.value).strip()


STRAIGHT = 'write straight ones, as in title = "Pond"'
QUOTE = ("a quote mark is missing", 'put one " at each end of a text')
LIST = ("a list is not closed", "write ] at its end")
BRACES = ("{ is not closed in this line", "write the whole { ... } in one line, } at its end")
COMMA = ("a comma is missing", "put one between the entries of a list")
EQUALS = 'write a key, = and a value, as in title = "Pond"; a note begins with #'
BRACKET = "a bracket is missing or too many"
BARE = "a text without quotes"
ONE = "no single word before ="


@pytest.mark.parametrize(
    ("text", "line", "fault", "fix"),
    [
        ("title = “Pond”", 1, "curly quotes", STRAIGHT),
        ("title = „Teich“", 1, "curly quotes", STRAIGHT),
        ('a = ["en", «es»]', 1, "curly quotes", STRAIGHT),
        ('title = "Pond', 1, *QUOTE),
        ('title = Pond"', 1, *QUOTE),
        ("title = 'Pond", 1, *QUOTE),
        ('a = 1\n\nb = ["en", "es]\n', 3, *QUOTE),
        ("title = My pond", 1, BARE, 'write title = "My pond"'),
        ("title = 7 ducks", 1, BARE, 'write title = "7 ducks"'),
        ("a = True", 1, BARE, 'write a = "True"'),
        ('title: "Pond"', 1, "no =", 'write = instead of the colon, as in title = "Pond"'),
        ("Our pond", 1, "no =", EQUALS),
        ("title =", 1, "nothing after =", 'write a text in quotes, as in title = "Pond"'),
        ('my title = "x"', 1, ONE, 'write it as in title = "Pond"'),
        ('= "x"', 1, ONE, 'write it as in title = "Pond"'),
        ("a = 1\n[[words]\nb = 2", 2, BRACKET, "write [[words]]"),
        ("[plan\nb = 2", 1, BRACKET, "write [plan]"),
        ("[words]]\n", 1, BRACKET, "write [[words]]"),
        ('a = ["b", "c"\nd = 2', 1, *LIST),
        ('a = [\n"b",\n\n[[words]]\n', 1, *LIST),
        ("a = [\n1,\n", 1, *LIST),
        ('a = ["b" "c"]', 1, *COMMA),
        ('a = { b = "c" d = "e" }', 1, *COMMA),
        ('a = { b = "c"\nd = 2', 1, *BRACES),
        ('a = { b = "c",\n d = "e" }', 1, *BRACES),
        ("a = 1\nb = ]", 2, "a closing bracket too many", "drop it"),
        ('a = "b",', 1, "a comma at the end", "drop it"),
        ('a = 1\nb = 2\na = "x"', 3, "a is there twice, also in line 1", "drop one of them"),
        ('a = { b = "c", b = "d" }', 1, "a name in { } is there twice", "drop one of them"),
        (
            "[plan]\na = 1\n[plan]\n", 3, "the table plan is there twice",
            "put the lines of both below one of them",
        ),
        (
            "[[words]]\na = 1\n[words]", 3, "words as one table and as several",
            "begin each one with [[words]]",
        ),
        (
            'a = "drawings\\my.svg"', 1, "a backslash in a text",
            "write / instead, also between folder and file",
        ),
        (
            'a = "b" c = "d"', 1, "more than one value",
            "write one key with one value in a line",
        ),
        (
            "a = ,1", 1, "not readable",
            "compare it with a new theme file, which shows every line there is",
        ),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line_and_what_to_do(
    text: str, line: int, fault: str, fix: str
) -> None:
    shown = text.split("\n")[line - 1]

    for ends in (text, text.replace("\n", "\r\n"), text.replace("\n", "\r")):
        assert told(ends) == f"line {line}: {fault}: {shown}; {fix}"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('a = "\x07"', 'line 1: a character that may not stand here: a = "?"; type the line anew'),
        ("a = " + "1" * 5_000, "line 1: a number is too large, here or further down; shorten it"),
        ("x = " + "[" * 11, "line 1: lists more than 10 deep; no theme needs them"),
        (
            "x = 1\n" + "a." * 9 + "b = 1",
            "line 2: more than 8 names joined by dots; no theme needs them",
        ),
        ("title = Pond " + "x" * 50, f"line 1: a text without quotes: title = Pond {'x' * 27}...; "
         f'write title = "Pond {"x" * 35}..."'),
    ],
)  # fmt: skip
def test_other_mistakes(text: str, expected: str) -> None:
    assert told(text) == expected


def test_the_name_of_the_file_stands_before_it() -> None:
    with pytest.raises(ThemeError) as caught:
        parse("title = “Pond”".encode(), "pond.toml", Path())

    assert caught.value.problems == (f"pond.toml line 1: curly quotes: title = “Pond”; {STRAIGHT}",)


def test_notes_and_texts_may_hold_anything() -> None:
    text = '# “a” [[[[[ a.b.c.d.e.f.g.h.i.j "\nnote = "a.b.c.d.e.f.g.h.i.j [[[[[[[[[[[[ “x”"  # “\n'

    assert read_toml(text) == tomllib.loads(text)


N = MAX_BYTES
LONG = {
    "dots": "a." * (N // 2 - 3) + "a = 1",
    "quoted dots": '"a".' * (N // 4 - 2) + '"a" = 1',
    "dots in tables": "".join(f"[a{i}.b.c.d]\n" for i in range(N // 15)),
    "dots in keys": "".join(f"a{i}.b.c.d.e.f.g.h=1\n" for i in range(N // 24)),
    "dots in braces": "a={" + ",".join(f"b.c.d.e.f.g.h{i}=1" for i in range(N // 20)) + "}",
    "lists": "a = " + "[" * (N - 4),
    "lists in a row": "a=[" + "[]," * (N // 3 - 3) + "]",
    "open lists": "a=[\n" * (N // 4),
    "tables not closed": "[a\n" * (N // 3),
    "keys": "".join(f"k{i}=1\n" for i in range(N // 9)),
    "keys twice": "".join(f"k{i}=1\n" for i in range(N // 9)) + "k3=2\n",
    "quotes": '"' * N,
    "backslashes": 'a="' + "\\" * (N - 3),
    "blanks": "a" + " " * (N - 1),
    "words": "a " * (N // 2),
    "figures": "a=" + "1_" * (N // 2 - 2) + "1",
}


@pytest.mark.parametrize("name", LONG)
def test_the_longest_files_are_answered_soon(name: str) -> None:
    begin = time.process_time()
    assert len(LONG[name]) <= N
    with pytest.raises(ThemeError):
        parse(LONG[name].encode(), "pond.toml", Path())

    assert time.process_time() - begin < 5


# --- anything at all ------------------------------------------------------------------------------

THEME = starter_theme("Our garden")
SIGNS = st.sampled_from([*"[]{}=\"'“,.#\n\\ a1:\t", "[[", "]]", '"""', "a.b", "\r\n"])


@parser_test(100)
@given(st.integers(0, len(THEME)), st.integers(0, 3), SIGNS)
def test_a_theme_with_one_slip_is_read_or_told_in_one_line(at: int, drop: int, put: str) -> None:
    text = THEME[:at] + put + THEME[at + drop :]
    try:
        read_toml(text)
    except TomlFaultError as error:
        found = str(error)
    else:
        return
    assert "\n" not in found
    line = int(found.split()[1].rstrip(":"))
    assert 1 <= line <= text.count("\n") + 1


@parser_test(200)
@given(st.lists(SIGNS, max_size=40).map("".join))
def test_any_signs_are_read_as_the_library_reads_them_or_told(text: str) -> None:
    assume("\r" not in text)
    try:
        expected = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert told(text).startswith("line ")
    else:
        assert read_toml(text) == expected
