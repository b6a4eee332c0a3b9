"""Theme files: found by name, read from TOML, checked, with every problem and its place.

Everything wrong with a file is reported at once, each problem in one line. What a teacher may want
to look at again, such as *ship* for the letter S, is a warning of the theme. A kind's own table is
read by the section that the kind declares.
"""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path, PurePath
from typing import Any

from shapes.errors import InputError
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.files.reading import read_file
from sheets.files.toml_text import TomlFaultError, read_toml
from sheets.kinds import KINDS, kinds_called
from sheets.theme.fields import At
from sheets.theme.phonics import has_table
from sheets.theme.problems import nearest, quoted
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.theme import DAYS, Day, Theme, ThemeError
from sheets.theme.words import Step

MAX_BYTES = 200_000
"""Ten times the theme of a year; what the parser takes the square of stays below a second."""

MAX_WORDS = 60
"""A theme of a week has six to twelve; the note for families names each in every language."""

_THEMES = Path(__file__).with_name("themes")
_TOP = ("title", "languages", "unchecked", "words", "plan")
_WORD = ("text", "picture", "letter", "names", "note")


# --- finding --------------------------------------------------------------------------------------


def builtin_names() -> tuple[str, ...]:
    """Short names of the themes that come with the tool, in alphabetical order."""
    return tuple(sorted(path.stem for path in _THEMES.glob("*.toml")))


@cache
def builtin_titles() -> Mapping[str, str]:
    """Title of each theme that comes along by its short name, in the order of the titles.

    Only that line of each file is looked at: reading all themes takes a second.
    """
    titles = {path.stem: _title(path) for path in _THEMES.glob("*.toml")}
    return dict(sorted(titles.items(), key=lambda row: row[1].casefold()))


def _title(path: Path) -> str:
    lines = path.read_text("utf-8").splitlines()
    return next(line for line in lines if line.startswith("title = ")).split('"')[1]


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
        near = difflib.get_close_matches(slug, builtin_names(), n=2, cutoff=0.5)
        own = [
            name for name in dict.fromkeys((f"{text}.toml", f"{slug}.toml")) if os.path.isfile(name)
        ]
        known = " or ".join((own or near)[:4])
        fix = f"did you mean {known}?" if known else f"choose one of the {len(builtin_names())}"
        raise InputError(f"no theme called {text!r}", fix=f"{fix} or name a .toml file")
    path = Path(text)
    return parse(read_file(text, MAX_BYTES, "theme"), path.name, path.parent)


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
        raise ThemeError(f"{where}: larger than {MAX_BYTES // 1_000} KB; give a theme file")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise ThemeError(f"{where} line {line}: not UTF-8; save it as plain text, UTF-8") from None
    try:
        data = read_toml(text)
    except TomlFaultError as fault:
        raise ThemeError(f"{where}{fault}") from None
    return _read(data, text, where, lambda spec: find_picture(spec, base))


# --- reading --------------------------------------------------------------------------------------


def section_names() -> tuple[str, ...]:
    """The tables of a theme file that kinds read, in the order of the kinds."""
    return tuple(entry.section for entry in KINDS.values() if entry.section)


def _sections(data: Mapping[str, Any]) -> list[Section[Any]]:
    """The sections whose tables are in a file, in its order; only their kinds are loaded."""
    by_name = {entry.section: entry for entry in KINDS.values() if entry.section}
    return [by_name[name].load().section for name in data if name in by_name]


def _read(
    data: Mapping[str, Any], text: str, where: str, find_picture: Callable[[str], Picture]
) -> Theme:
    sections = _sections(data)
    keys = {"": (*_TOP, *section_names()), "words": _WORD, "plan": DAYS}
    keys |= {section.name: section.keys for section in sections}
    reader = ThemeReader(where, text, keys, find_picture)
    top = At()
    reader.check_keys(data, top)
    title = reader.text(data, "title", top)
    languages = reader.language_tags(data, "languages", top) or ("en",)
    unchecked = reader.language_tags(data, "unchecked", top)
    if not has_table(languages[0]):
        reader.remark(top, "languages", f"no table of first sounds for {quoted(languages[0])}")
    for at, row in reader.rows(data, "words", needed=True, most=MAX_WORDS):
        reader.word(row, at, languages[0])
    found: dict[str, tuple[object, ...]] = {}
    steps: list[Step] = []
    for section in sections:
        if section.once:
            rows = [section.read(reader, reader.table(data, section.name), At(section.name))]
        else:
            rows = [section.read(reader, row, at) for at, row in reader.rows(data, section.name)]
        found[section.name] = tuple(rows)
        steps += [step for row in rows for step in section.steps(row)]
    plan = _plan(reader, reader.table(data, "plan"))
    reader.problems.refuse(ThemeError)
    return Theme(
        title=title,
        slug=PurePath(where).stem,
        languages=languages,
        unchecked=unchecked,
        words=tuple(reader.words.values()),
        sections=found,
        steps=tuple(steps),
        plan=plan,
        warnings=tuple(reader.remarks),
    )


def _plan(reader: ThemeReader, row: Mapping[str, Any]) -> tuple[Day, ...]:
    at = At("plan")
    days: list[Day] = []
    for day in (day for day in DAYS if day in row):
        entry = row[day] if isinstance(row[day], dict) else {"kinds": row[day]}
        for key in (key for key in entry if key not in ("kinds", "note")):
            reader.problem(at, day, f"unknown key {quoted(key)}; {nearest(key, ('kinds', 'note'))}")
        kinds: list[str] = []
        for kind in reader.texts(entry, "kinds", at, shown=day):
            called = kinds_called(kind)
            if not called:
                reader.problem(at, day, f"no kind {quoted(kind)}; {nearest(kind, tuple(KINDS))}")
            kinds += called[:1]  # of a skill its first kind, which a packet without a plan has
        days.append(Day(day, tuple(kinds), reader.text(entry, "note", at, False)))
    return tuple(days)
