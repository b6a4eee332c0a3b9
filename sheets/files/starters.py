"""Starter files for a theme and a class list: they load as they are and say what may be changed."""

from __future__ import annotations

from shapes.errors import InputError
from sheets.files.class_list import NEEDS
from sheets.theme.fields import MAX_TEXT
from sheets.theme.problems import unprintable

_THEME = """\
# A theme for tablework. Lines that begin with # are notes for you; the rest is read.
# Try it:  tablework packet THIS-FILE.toml --class CLASS.csv --out FOLDER

title = {title}
languages = ["en", "es"]            # the first one is the language of the words below
# unchecked = ["es"]                # languages whose names no speaker has checked yet

# --- words: six to twelve things that are easy to draw -------------------------------------------
# text     the word to show
# picture  a word or code point of a drawing (tablework pictures), or a file such as
#          "drawings/my-carrot.svg" beside this one
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

# --- sequences: what comes first, what next ------------------------------------------------------
# A step is a word from above, or a word with its own picture: "sprout:1F331".

[[sequences]]
title = "From bean to flower"
steps = ["bean", "sprout:1F331", "plant:1F33F", "flower:1F33C"]
short = [["bean", "sprout", "plant"]]   # shorter forms, in the same order
# also = [["bean", "plant", "sprout", "flower"]]   # other orders that are right too

# --- patterns: the part that repeats, two to four cells ------------------------------------------
# A cell is a colour and a shape, or a word from above. A shape of its own for each colour helps
# children who see colours otherwise, and black-and-white printers.

[[patterns]]
unit = ["orange triangle", "blue circle"]

[[patterns]]
unit = ["carrot", "tomato", "tomato"]

# --- sorts: which belongs where; neither is optional ---------------------------------------------

[[sorts]]
title = "Where does the part we eat grow?"
bins.under = ["carrot", "onion"]
bins.above = ["tomato", "bean", "lemon"]
neither = ["worm"]

# --- objects to match to their outlines at true size ---------------------------------------------
# Things of the library by their short names, or your own, measured in mm where they stand.

[objects]
trace = [
  "can211",
  "ID1",
  {{ name = "yoghurt tub", diameter_mm = 95 }},
  {{ name = "tea box", width_mm = 120, depth_mm = 65, corner_mm = 4 }},
]

# --- letters to match, the ones to begin with first ----------------------------------------------

[letters]
set = ["T", "L", "O", "C", "B", "W"]
# easy = ["T", "L", "O"]
# hard = [["b", "p"]]               # small letters easily taken for each other

# --- plan: what is on the table on which day -----------------------------------------------------

[plan]
monday = ["cutting"]
tuesday = ["trace-match"]
wednesday = ["sequence"]
thursday = ["letter-match", "pattern"]
friday = {{ kinds = ["cutting"], note = "Free choice; repeat what was liked." }}
"""

_CLASS = """\
# Class list: {title}
# One line a child below the line of column names. Lines that begin with # are not read.
# name: first name or nickname only. tag: two or three letters; left empty one is given.
# hand: L R or ?. cutting to pattern: a stage from 0 to 6; left empty the child gets no such page.
# needs: words with ; between them. The words: {needs}
# language: such as en or es; left empty it is the main language of the theme.
# Keep this file to yourself: it says what children need.
name,tag,hand,cutting,matching,letters,sequence,pattern,needs,language
Pip,,R,2,2,1,2,1,,
Bo,,L,1,1,0,1,0,left-scissors,
Juniper,,?,0,1,1,1,1,not-cutting;low-vision,es
"""


def starter_theme(title: str) -> str:
    """A commented theme file of that title, as TOML text.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    line = _line(title)
    quoted = line.replace("\\", "\\\\").replace('"', '\\"')
    return _THEME.format(title=f'"{quoted}"')


def starter_class(title: str) -> str:
    """A commented class list with three invented children, as CSV text.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    return _CLASS.format(title=_line(title), needs=" ".join(NEEDS))


def _line(title: str) -> str:
    line = " ".join(title.split())
    if not line or len(line) > MAX_TEXT or unprintable(line):
        raise InputError(
            "a title is one line of ordinary letters", fix=f"give 1 to {MAX_TEXT} of them"
        )
    return line
