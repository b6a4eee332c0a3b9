"""Whatever a user types or opens, there is an answer or one line that says what is wrong.

The readers of SVG drawings, themes, class lists, measures of objects and picture words have such
tests beside their other ones (``test_svgread``, ``test_theme``, ``test_classlist``,
``test_objects``, ``test_pictures``); here are the rest, and the command line as a whole.
"""

from __future__ import annotations

import contextlib
import io
import math
import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path as FilePath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import PictureError, TableworkError
from shapes.objects import LARGEST_MM, SMALLEST_MM
from shapes.svg.path import read_path
from shapes.svg.values import read_colour, read_length, read_transform
from sheets.check.check import as_rows
from sheets.check.checked import checked as measured
from sheets.check.guidance import STAGES
from sheets.check.marked import findings_pages
from sheets.cli.main import main
from sheets.desk import checked
from sheets.kinds import KINDS, SKILLS
from sheets.kinds.options import Options
from sheets.kinds.pattern.task import read_cell
from sheets.kinds.trace_match.task import of_things, parse_thing
from tests.making import letter_match, pattern, sequence, trace_match
from tests.parser_runs import parser_test
from tests.wild_svg import ELEMENTS, wrapped

ODD = (
    "", " ", ":", "a:", ":duck", "egg:1F95A", "egg:egg:egg", "blue", "blue duck", "duck blue",
    "red  star", "azul circle", "1F986", "U+1F986", "🦆", "🦆🐸", "-", "--", "--stage", "no.svg",
    ".svg", "a\0.svg", ".", "/", "~", "*", "b", "d", "Ñ", "ſ", "İ", "Sh", "8", "ﷺ", "\ud800",
    "a\nb", "\u202educk", "x" * 300,
)  # fmt: skip
PLAIN = ("duck", "frog", "egg", "duckling", "boat", "blue circle", "yellow triangle", "T", "S", "O")
WORD = st.one_of(
    st.sampled_from(PLAIN), st.sampled_from(PLAIN), st.sampled_from(ODD), st.text(max_size=12)
)
WORDS = st.lists(WORD, max_size=6)
STAGE = st.sampled_from(STAGES)


@contextlib.contextmanager
def one_line() -> Iterator[None]:
    """Lets an error that is the user's pass if it is one line; any other one fails the test."""
    try:
        yield
    except TableworkError as error:
        lines = getattr(error, "problems", (str(error),))
        assert lines
        assert all(line and "\n" not in line for line in lines)


# --- measures, colours, path data -----------------------------------------------------------------

AMOUNT = st.one_of(
    st.floats(5, 300).map(lambda value: f"{value:.2f}"),
    st.sampled_from(["62", "1e3", "-5", "0", "9" * 400, "nan", "inf", "", "٣", "1.", ".5", "1,5"]),
)
MEASURE = st.builds(
    lambda name, parts, between, unit: f"{name}={between.join(parts)}{unit}",
    st.text(max_size=8),
    st.lists(AMOUNT, max_size=4),
    st.sampled_from("xX ,"),
    st.sampled_from(["", "mm", " MM", "cm"]),
)


@parser_test()
@given(st.one_of(MEASURE, st.text(max_size=20)))
def test_any_thing_is_a_footprint_or_refused(text: str) -> None:
    with one_line():
        thing = parse_thing(text)

        assert SMALLEST_MM <= thing.depth <= LARGEST_MM
        assert SMALLEST_MM <= thing.width <= LARGEST_MM


PATH_TEXT = st.one_of(st.text("MmLlHhVvCcSsQqTtAaZz0123456789.,-+eE \n", max_size=40), st.text())


@parser_test()
@given(PATH_TEXT)
def test_any_path_data_is_a_path_or_refused(data: str) -> None:
    try:
        paths = read_path(data, Affine())
    except PictureError as error:
        paths = ()
        assert "\n" not in str(error)  # noqa: PT017

    assert all(math.isfinite(path.length) for path in paths)


VALUE_TEXT = st.one_of(
    st.text("0123456789.,-+eE%() #abcdefghilmnoprstux", max_size=24),
    st.builds("{}({})".format, st.sampled_from(["rgb", "hsl", "matrix", "scale"]), st.text()),
    st.text(),
)


@parser_test()
@given(VALUE_TEXT)
def test_any_colour_length_or_transform_is_read_or_refused(text: str) -> None:
    colour = read_colour(text)
    assert colour is None or colour == "none" or (colour[0] == "#" and len(colour) == 7)
    with contextlib.suppress(PictureError):
        assert math.isfinite(read_length(text, 100.0))
    with contextlib.suppress(PictureError):
        assert all(map(math.isfinite, read_transform(text)))


# --- a page from anywhere -------------------------------------------------------------------------


@parser_test(60)
@given(ELEMENTS, st.sampled_from(SKILLS), STAGE)
def test_any_drawing_can_be_checked_as_a_page(content: str, skill: str, stage: int) -> None:
    with one_line():
        found = measured(wrapped(content), "fuzz.svg", skill, stage)

        assert as_rows(found.findings)
        first, *listed = findings_pages(found, "fuzz.svg")
        assert len(first.marks) >= len(found.page.marks)
        assert listed


# --- words of the commands ------------------------------------------------------------------------


@parser_test()
@given(WORD)
def test_any_thing_of_a_pattern_is_read_or_refused(text: str) -> None:
    with one_line():
        assert read_cell(text).text.strip()


FROM_WORDS: dict[str, Callable[[list[str], int], object]] = {
    "pattern": lambda words, stage: pattern.from_words(words, stage, Options()),
    "sequence": lambda words, stage: sequence.from_words(words, stage, Options(), labels=True),
    "letter-match": lambda words, stage: letter_match.from_words(words, stage, Options()),
    "trace-match": lambda words, stage: trace_match.from_words(words, stage, Options()),
    "things": lambda words, stage: of_things(words, stage, Options()),
}


@pytest.mark.parametrize("kind", FROM_WORDS)
@parser_test(40)
@given(words=WORDS, stage=STAGE)
def test_any_words_are_a_task_or_refused(kind: str, words: list[str], stage: int) -> None:
    with one_line():
        assert FROM_WORDS[kind](words, stage)


@parser_test()
@given(st.text(max_size=30), st.text(max_size=30), st.text("low-visnhtfc; ", max_size=30))
def test_any_name_title_and_needs_are_options_or_refused(name: str, title: str, needs: str) -> None:
    with one_line():
        found = checked(Options(name=name, title=title, needs=tuple(needs.split(";"))))

        assert found.name == found.name.strip()


# --- the command line as a whole ------------------------------------------------------------------

COMMAND = st.sampled_from(list(KINDS))
OPTION = st.one_of(
    st.sampled_from(
        ["--stage", "--form", "--as", "--paper", "--hand", "--needs", "--seed", "--bar-measures"]
    ).flatmap(
        lambda name: st.sampled_from(
            [
                "0",
                "3",
                "6",
                "7",
                "mend",
                "first",
                "tiles",
                "a4",
                "left",
                "low-vision",
                "96",
                "",
                "é",
            ]
        ).map(lambda value: [name, value])
    ),
    st.sampled_from([["--turned"], ["--labels"], ["--laminate"], ["--nonsense"]]),
)


@parser_test(15)
@given(COMMAND, st.lists(WORD, max_size=4), st.lists(OPTION, max_size=2))
def test_any_command_line_writes_a_page_or_one_line(
    command: str, words: list[str], options: list[list[str]]
) -> None:
    told = io.StringIO()
    before = FilePath.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            with contextlib.redirect_stderr(told), contextlib.redirect_stdout(io.StringIO()):
                code = main([command, *words, *(part for option in options for part in option)])
            written = {file.name: file.stat().st_size for file in FilePath(folder).iterdir()}
        finally:
            os.chdir(before)

    assert code in (0, 1, 2)
    lines = told.getvalue().splitlines()
    if code == 0:
        assert written
        assert all(name.endswith(".pdf") and size > 1000 for name, size in written.items())
    else:
        assert written == {}
        assert lines
        assert code == 1 or [line[:11] for line in lines] == ["tablework: "]
