"""Starter files for a theme and a class list: they load as they are and say what may be changed."""

from __future__ import annotations

from shapes.errors import InputError
from sheets.files.class_list import COLUMNS, NEEDS
from sheets.kinds import KINDS, SKILLS
from sheets.theme.fields import MAX_TEXT
from sheets.theme.problems import unprintable
from sheets.theme.theme import DAYS

_THEME = """\
# A theme for tablework. Lines that begin with # are notes for you; the rest is read.
# Try it: make a packet of this file and a class list.

title = {title}
languages = ["en", "es"]            # the first one is the language of the words below
# unchecked = ["es"]                # languages whose names no speaker has checked yet

# --- words: six to twelve things that are easy to draw -------------------------------------------
# text     the word to show
# picture  a word or code point of a drawing (tablework pictures), or a file such as
#          "drawings/my-carrot.svg" or a photo of a drawing, "my-carrot.jpg", beside this one
# letter   the letter or digraph you teach with it; left out, it is the first letter
# names    the word in other languages; left out, the Unicode name, marked to be checked

[[words]]
text = "carrot"
picture = "1F955"
letter = "C"
names = {{ es = "zanahoria" }}

[[words]]
text = "tomato"
picture = "1F345"

[[words]]
text = "bean"
picture = "1FAD8"

[[words]]
text = "onion"
picture = "1F9C5"

[[words]]
text = "lemon"
picture = "1F34B"

[[words]]
text = "worm"
picture = "1FAB1"

{sections}
# --- plan: what is on the table on which day -----------------------------------------------------

[plan]
{plan}
"""

_CLASS = """\
# Class list: {title}
# One line a child below the line of column names. Lines that begin with # are not read.
# name: first name or nickname only. tag: two or three letters; left empty one is given.
# hand: L R or ?. {first} to {last}: a stage from 0 to 6; left empty the child gets no such page.
# needs: words with ; between them. The words: {needs}
# language: such as en or es; left empty it is the main language of the theme.
# Keep this file to yourself: it says what children need.
{columns}
Pip,,R,{pip},,
Bo,,L,{bo},left-scissors,
Juniper,,?,{juniper},not-cutting;low-vision,es
"""


def starter_theme(title: str) -> str:
    """A commented theme file of that title, as TOML text.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    line = _line(title)
    quoted = line.replace("\\", "\\\\").replace('"', '\\"')
    sections = [entry.load().section for entry in KINDS.values() if entry.section]
    return _THEME.format(
        title=f'"{quoted}"',
        sections="\n".join(section.starter for section in sections),
        plan="\n".join(_plan()),
    )


def _plan() -> list[str]:
    """The kinds in their order over a week of five days."""
    week = DAYS[:5]
    kinds = [f'"{entry.name}"' for entry in KINDS.values() if entry.planned]
    days = [f"[{', '.join(kinds[i :: len(week)])}]" for i in range(len(week))]
    note = "Free choice besides; repeat what was liked."
    days[-1] = f'{{ kinds = {days[-1]}, note = "{note}" }}'
    return [f"{day} = {kinds}" for day, kinds in zip(week, days, strict=True)]


def starter_class(title: str) -> str:
    """A commented class list with three invented children, as CSV text.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    others = len(SKILLS) - 1
    return _CLASS.format(
        title=_line(title),
        needs=" ".join(NEEDS),
        first=SKILLS[0],
        last=SKILLS[-1],
        columns=",".join(COLUMNS),
        pip=",".join(["2"] * len(SKILLS)),
        bo=",".join(["1"] * len(SKILLS)),
        juniper=",".join(["0", *["1"] * others]),
    )


def _line(title: str) -> str:
    line = " ".join(title.split())
    if not line or len(line) > MAX_TEXT or unprintable(line):
        raise InputError(
            "a title is one line of ordinary letters", fix=f"give 1 to {MAX_TEXT} of them"
        )
    return line
