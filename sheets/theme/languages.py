"""Languages: their tags, their names, and which one is meant by ``Deutsch`` or by ``de``.

Names are those of the Unicode CLDR (``language_names.json``): in English, and in the language
itself where CLDR has it. ``python -m sheets.theme.languages FOLDER`` makes that file anew from the
unpacked npm package ``cldr-localenames-full``.
"""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from shapes.errors import InputError
from sheets.theme.problems import quoted

NAMES = Path(__file__).with_name("language_names.json")
"""English and own name by tag; Unicode License v3, see ``shapes/UNICODE-LICENSE``."""
LISTED = "tablework languages"
"""The command that lists what there is."""
_ALSO = {
    "bengali": "bn",
    "castilian": "es",
    "farsi": "fa",
    "kurmanji": "ku",
    "mandarin": "zh",
    "sorani": "ckb",
}
"""Further English names of languages often asked for (common practice, no source)."""
_TAG = re.compile(r"[A-Za-z]{2,3}([-_][A-Za-z0-9]{2,8})*")


def primary(tag: str) -> str:
    """The language of a tag without region or script: ``es`` of ``es-MX``."""
    return tag.replace("_", "-").partition("-")[0].lower()


def language_tag(text: str) -> str:
    """The tag of a language that is given by its tag, its English or its own name.

    Args:
        text: such as ``es``, ``es-MX``, ``Spanish`` or ``español``.

    Raises:
        InputError: no language is called that.
    """
    wanted = _plain(text)
    known = _names()
    if _TAG.fullmatch(text.strip()) and primary(wanted) in known:
        first, *rest = re.split("[-_]", text.strip())
        return "-".join((first.lower(), *map(_part, rest)))
    if wanted in _by_name():
        return _by_name()[wanted]
    import difflib

    near = difflib.get_close_matches(wanted, _by_name(), n=1, cutoff=0.75)
    meant = f"did you mean {_by_name()[near[0]]} ({english(_by_name()[near[0]])})?" if near else ""
    raise InputError(
        f"{quoted(text)} is not a language that is known",
        fix=meant or f"write a tag or a name, such as es or Spanish; {LISTED} has the list",
    )


def tag_problem(text: str) -> str:
    """What is wrong with a tag in a theme file, where only tags may stand; empty if nothing is."""
    try:
        found = language_tag(text)
    except InputError as error:
        return str(error)
    alike = found.casefold() == text.casefold() and text.startswith(primary(text))
    return "" if alike else f"{quoted(text)} is not a language tag; did you mean {found}?"


def _part(text: str) -> str:
    """A region in capitals, a script with one (BCP 47, section 2.1.1)."""
    return text.upper() if len(text) == 2 else text.title() if len(text) == 4 else text


def english(tag: str) -> str:
    """The English name of a tag's language; the tag itself if there is none."""
    known = _names()
    found = known.get(tag) or known.get(primary(tag))
    return found[0] if found else tag


def own(tag: str) -> str:
    """What a language is called in itself; empty if that is not known."""
    _, *itself = _names().get(primary(tag), ["", ""])
    return itself[0] if itself else ""


@cache
def _names() -> Mapping[str, list[str]]:
    names: Mapping[str, list[str]] = json.loads(NAMES.read_text("utf-8"))["names"]
    return names


@cache
def _by_name() -> Mapping[str, str]:
    """Tag by English and own name; of two languages of one name the shorter tag."""
    found = dict(_ALSO)
    for tag, called in sorted(_names().items(), key=lambda row: (len(row[0]), row[0])):
        for name in called:
            found.setdefault(_plain(name), tag)
    return found


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", " ".join(text.split())).casefold()


# --- making the file ------------------------------------------------------------------------------


def write_names(folder: Path) -> None:
    """Keep the names out of an unpacked CLDR package.

    Args:
        folder: with ``package.json`` and ``main/en/languages.json``.
    """
    content = {
        "source": "Unicode CLDR, display names of languages, npm package cldr-localenames-full",
        "version": json.loads((folder / "package.json").read_text("utf-8"))["version"],
        "licence": "Unicode-3.0; copyright (c) Unicode, Inc.; see shapes/UNICODE-LICENSE",
        "names": dict(_rows(folder)),
    }
    NAMES.write_text(json.dumps(content, ensure_ascii=False, indent=0) + "\n", "utf-8")


def _rows(folder: Path) -> Iterator[tuple[str, list[str]]]:
    for tag, name in _display_names(folder, "en").items():
        if "-alt" in tag or "-menu" in tag or tag in ("mul", "root", "und", "zxx"):
            continue
        itself = _display_names(folder, tag).get(tag)
        yield tag, [name, itself] if itself else [name]


def _display_names(folder: Path, tag: str) -> Mapping[str, str]:
    file = folder / "main" / tag / "languages.json"
    if not file.is_file():
        return {}
    content: Any = json.loads(file.read_text("utf-8"))["main"][tag]
    names: Mapping[str, str] = content["localeDisplayNames"]["languages"]
    return names


if __name__ == "__main__":
    write_names(Path(sys.argv[1]))
