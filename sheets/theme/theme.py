"""Themes: words with pictures, sequences, patterns, sorts, things to trace and a plan, from TOML.

Everything wrong with a file is reported at once, each problem in one line with its place. What a
teacher may want to look at again, such as *ship* for the letter S, is a warning of the theme.
"""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from shapes.errors import FileError, InputError
from shapes.objects import Footprint
from shapes.pictures.names import Name, name
from shapes.pictures.pictures import Picture, resolve
from sheets.theme.problems import ProblemsError

PATTERN_SHAPES = (
    "circle",
    "square",
    "triangle",
    "rectangle",
    "diamond",
    "hexagon",
    "star",
    "heart",
)
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MAX_BYTES = 1_000_000

_THEMES = Path(__file__).parent.parent / "files" / "themes"


class ThemeError(ProblemsError):
    """What is wrong with a theme file, one line for each problem."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the theme.

    Args:
        text: as shown in the theme's main language.
        letter: letter or digraph it stands for, such as ``D`` or ``Sh``; empty if it has none.
        names: the teacher's own names by language.
        note: for the adult; may be empty.
    """

    text: str
    picture: Picture
    letter: str
    names: Mapping[str, str] = field(default_factory=dict, hash=False)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A word with its picture: a step of a sequence, a card to sort, a cell of a pattern."""

    word: str
    picture: Picture


@dataclass(frozen=True, slots=True)
class Sequence:
    """Pictures to put in order.

    Args:
        steps: the longest form, in order.
        short: shorter forms, each with some of the steps in the same order.
        also: other orders of all steps that are right too.
        note: for the adult; may be empty.
    """

    title: str
    steps: tuple[Step, ...]
    short: tuple[tuple[Step, ...], ...] = ()
    also: tuple[tuple[Step, ...], ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a pattern: a coloured shape, or a picture of the theme (``step`` is not None).

    Args:
        colour: key of ``sheets.page.palette``; empty for a picture.
        shape: one of :data:`PATTERN_SHAPES`; empty for a picture.
    """

    colour: str = ""
    shape: str = ""
    step: Step | None = None

    @property
    def text(self) -> str:
        """Such as ``blue circle``, or the word."""
        return self.step.word if self.step is not None else f"{self.colour} {self.shape}"


@dataclass(frozen=True, slots=True)
class PatternUnit:
    """The part of a pattern that repeats."""

    cells: tuple[Cell, ...]

    @property
    def form(self) -> str:
        """Such as ``AB`` or ``ABB``."""
        kinds = list(dict.fromkeys(cell.text for cell in self.cells))
        return "".join(chr(ord("A") + kinds.index(cell.text)) for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Bin:
    """One group of a sort and what belongs in it."""

    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Sort:
    """Cards to sort; ``neither`` belongs in no bin."""

    title: str
    bins: tuple[Bin, ...]
    neither: tuple[Step, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters to match.

    Args:
        set: all of them, the ones to begin with first.
        easy: the first few.
        hard: pairs of small letters that are easily taken for each other, for the last stage.
    """

    set: tuple[str, ...]
    easy: tuple[str, ...] = ()
    hard: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the plan: kinds of sheet in order, and a note for the adult."""

    day: str
    kinds: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Theme:
    """A checked theme file.

    Args:
        slug: short name, such as ``reedy-pond``.
        languages: language tags, the main one first.
        unchecked: languages whose names in the file no speaker has checked yet.
        warnings: one line for each thing to look at again.
    """

    title: str
    slug: str
    languages: tuple[str, ...]
    unchecked: tuple[str, ...]
    words: tuple[Word, ...]
    sequences: tuple[Sequence, ...]
    patterns: tuple[PatternUnit, ...]
    sorts: tuple[Sort, ...]
    objects: tuple[Footprint, ...]
    letters: Letters
    plan: tuple[Day, ...]
    warnings: tuple[str, ...]

    def shown_name(self, text: str, language: str) -> Name | None:
        """The name of one of the theme's words or steps in a language.

        The teacher's own name comes first, then that of the Unicode CLDR, which nobody here has
        checked. None if there is neither: the page then leaves a blank line to write on.

        Raises:
            InputError: the text is no word and no step of the theme.
        """
        if language in ("", self.languages[0]):
            return Name(text, True, "theme")
        word = next((word for word in self.words if word.text == text), None)
        for tag in (language, language.partition("-")[0]):
            if word is not None and tag in word.names:
                return Name(word.names[tag], tag not in self.unchecked, "theme")
        picture = word.picture if word is not None else self._pictures().get(text)
        if picture is None:
            raise InputError(f'"{text}" is no word of the theme {self.title}')
        return name(picture.id, language)

    def missing_names(self, language: str) -> tuple[str, ...]:
        """One warning for each word and step that has no name in the language."""
        texts = dict.fromkeys([*(word.text for word in self.words), *self._pictures()])
        return tuple(
            f'{self.title}: no name for "{text}" in "{language}"; a blank line is left for it, or '
            f"add it to names"
            for text in texts
            if self.shown_name(text, language) is None
        )

    def _pictures(self) -> dict[str, Picture]:
        steps = [step for row in self.sequences for step in row.steps]
        steps += [step for row in self.sorts for one in row.bins for step in one.steps]
        steps += [step for row in self.sorts for step in row.neither]
        steps += [c.step for unit in self.patterns for c in unit.cells if c.step is not None]
        return {step.word: step.picture for step in steps}


# --- finding and reading --------------------------------------------------------------------------


def builtin_names() -> tuple[str, ...]:
    """Short names of the themes that come with the tool, in alphabetical order."""
    return tuple(sorted(path.stem for path in _THEMES.glob("*.toml")))


def builtin() -> tuple[Theme, ...]:
    """The themes that come with the tool."""
    return tuple(_builtin(name) for name in builtin_names())


def load(name_or_path: str | Path) -> Theme:
    """A theme by name (short name or title, any case), or from a file of one's own.

    Raises:
        InputError: no such theme; the nearest ones are named.
        FileError: the file is missing or unreadable.
        ThemeError: one or more problems in the file.
    """
    text = str(name_or_path)
    slug = re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")
    is_name = not isinstance(name_or_path, Path) and not re.search(r"[/\\]|\.toml$", text, re.I)
    if is_name and slug in builtin_names():
        return _builtin(slug)
    if is_name and not os.path.isfile(text):
        near = difflib.get_close_matches(slug, builtin_names(), n=2, cutoff=0.4)
        raise InputError(
            f"no theme called {text!r}",
            fix=f"did you mean {' or '.join(near or builtin_names())}? or name a .toml file",
        )
    path = Path(text)
    try:
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a usable file name"
        raise FileError(
            f"theme cannot be read ({reason})", where=text, fix="check the file name"
        ) from None
    return parse(content, path.name, path.parent)


@cache
def _builtin(name: str) -> Theme:
    path = _THEMES / f"{name}.toml"
    return parse(path.read_bytes(), path.name, path.parent)


def parse(
    content: bytes,
    where: str,
    base: Path,
    find_picture: Callable[[str, Path], Picture] = resolve,
) -> Theme:
    """The theme in the bytes of a TOML file.

    Args:
        where: file name for messages; without its ending it is the short name.
        base: folder that drawing files of one's own are relative to.
        find_picture: finds a picture by word, code points or file name, relative to ``base``.

    Raises:
        ThemeError: one or more problems; each line names file, line, table and key.
    """
    if len(content) > MAX_BYTES:
        raise ThemeError(f"{where}: larger than {MAX_BYTES // 1_000_000} MB; give a theme file")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise ThemeError(f"{where} line {line}: not UTF-8; save it as plain text, UTF-8") from None
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        reason = (
            str(error) if isinstance(error, tomllib.TOMLDecodeError) else "a value is too large"
        )
        raise ThemeError(f"{where}: not readable as TOML: {reason}; mend that line") from None
    from sheets.files.theme_file import read_theme

    return read_theme(data, text, where, lambda spec: find_picture(spec, base))
