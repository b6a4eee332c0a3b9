"""Starter files for themes and class lists: they load as they are and say what may be changed."""

from __future__ import annotations

from collections.abc import Sequence

from shapes.errors import InputError
from sheets.files.titles import title_line
from sheets.kinds import KINDS
from sheets.theme.theme import DAYS

ENDINGS = {"theme": (".toml",), "class": (".xlsx", ".csv")}
"""What a new file may end in; the first is taken if no name is given."""

_THEME = """\
# A theme for tablework. Lines that begin with # are notes for you; the rest is read.
# Try it: make a packet of this file and a class list.

title = {title}
languages = ["en", "es"]            # the first one is the language of the words below
# unchecked = ["es"]                # languages whose names no speaker has checked yet

# --- words: six to twelve things that are easy to draw -------------------------------------------
# text     the word to show
# picture  a word of a drawing (see tablework pictures), the code of an emoji, or a file such as
#          "drawings/my-carrot.svg" or a photo of a drawing, "my-carrot.jpg", beside this one
# letter   the letter, or two such as sh, you teach with it; left out, it is the first letter
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


def starter(what: str, title: str, ending: str, words: Sequence[str] = ()) -> bytes:
    """A file to start from.

    Args:
        what: ``theme`` or ``class``.
        ending: of the file name, such as ``.xlsx``; it decides what kind of file it is.
        words: of a theme, which is then proposed from them.

    Raises:
        InputError: an ending that it cannot have, a title that is no line of text, or words that
            make no theme.
        PictureError: a word without a picture.
    """
    endings = ENDINGS[what]
    if ending.lower() not in endings:
        shown = f"'{ending}'" if ending else "no ending"
        name = "a theme" if what == "theme" else "a class list"
        raise InputError(
            f"{name} is not written to a file with {shown}",
            where="`out`",
            fix=f"end the name in {' or '.join(endings)}",
        )
    if what == "theme" and words:
        from sheets.files.proposal import proposed_theme

        return proposed_theme(title, words).encode("utf-8")
    if what == "theme":
        return starter_theme(title).encode("utf-8")
    if words:
        raise InputError("a class list has no words", where="`words`", fix="leave them out")
    from sheets.files.starter_class import class_csv, class_workbook

    return class_workbook(title) if ending.lower() == ".xlsx" else class_csv(title)


def starter_theme(title: str) -> str:
    """A commented theme file of that title, as TOML text.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    line = title_line(title)
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
