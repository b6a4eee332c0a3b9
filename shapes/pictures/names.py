"""What pictures are called: the curated words of this project, and the names of Unicode CLDR.

The curated words (``words.toml``) are plain English for young children. The names in other
languages are the short names of the Unicode Common Locale Data Repository (unicode.org/cldr), as
the package ``emoji`` ships them; where that loses capitals or the joiner inside Persian words, they
come from ``cldr_names.json``. Nobody here has checked those, and they name an emoji, not always the
thing a child sees (``duckling`` is a "front-facing baby chick"): callers print "check with a
speaker".

``python -m shapes.pictures.names FOLDER`` makes that file anew from the unpacked npm package
``cldr-annotations-full``.
"""

from __future__ import annotations

import json
import sys
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path as FilePath

AS_WRITTEN = FilePath(__file__).with_name("cldr_names.json")
"""Names as CLDR writes them, in the languages of :data:`NEED_CARE`; Unicode License v3, see
``UNICODE-LICENSE`` beside it."""
NEED_CARE = ("de", "fa")
"""German nouns have a capital, Persian words a joiner; the package ``emoji`` has neither."""

_EMOJI_VARIATION = "FE0F"


@dataclass(frozen=True, slots=True)
class Word:
    """A curated picture word.

    Args:
        text: one everyday English word (or two), lower case.
        code: code points of the drawing, such as ``1F986`` or ``1F408-200D-2B1B``.
        category: heading of ``words.toml`` it stands under.
        also: what else a child may well call the drawing, such as ``squirrel`` for a beaver.
    """

    text: str
    code: str
    category: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Name:
    """What a picture is called in one language.

    Args:
        checked: False for names nobody in this project has checked; say so beside them.
        source: where the name comes from.
    """

    text: str
    checked: bool
    source: str


@cache
def curated() -> tuple[Word, ...]:
    """All curated words in the order of ``words.toml``."""
    content = tomllib.loads((FilePath(__file__).parent / "words.toml").read_text(encoding="utf-8"))
    return tuple(
        Word(text, entry, category)
        if isinstance(entry, str)
        else Word(text, entry["code"], category, tuple(entry["also"]))
        for category, words in content.items()
        for text, entry in words.items()
    )


def categories() -> tuple[str, ...]:
    """Headings of the curated words, in order."""
    return tuple(dict.fromkeys(word.category for word in curated()))


def name(code: str, language: str) -> Name | None:
    """What the picture with this code is called.

    Args:
        code: code points joined by ``-``; the variation selector FE0F may be left out.
        language: tag such as ``es`` or ``es-MX``; only the part before the hyphen counts.

    Returns:
        The curated word for English where there is one, else the CLDR name, else None (also for a
        language that :func:`languages` does not list).
    """
    key = plain_code(code)
    tongue = _tongue(language)
    if tongue == "en" and key in _curated_by_code():
        return Name(_curated_by_code()[key].text, True, "curated words of tablework")
    text = cldr_names(tongue).get(key)
    return Name(text, False, "Unicode CLDR short name") if text else None


def matching(text: str, language: str = "") -> tuple[Word, ...]:
    """The curated words that a text may mean, in the order of ``words.toml``.

    English words and categories match by any part of theirs; names in other languages as a whole
    or by one of their words. Letter case and accents do not matter.

    Args:
        language: only English and this one are looked at; empty for every language there is.
    """
    wanted = _plain(text)
    others = [cldr_names(_tongue(language))] if language else [cldr_names(t) for t in languages()]
    return tuple(word for word in curated() if not wanted or _matches(word, wanted, others))


def _matches(word: Word, wanted: str, others: Sequence[Mapping[str, str]]) -> bool:
    own = (word.text, word.category, *word.also)
    if any(wanted in _plain(text) for text in own) or plain_code(wanted) == plain_code(word.code):
        return True
    names = (_plain(table.get(plain_code(word.code), "")) for table in others)
    return any(wanted == called or wanted in called.split() for called in names)


def _plain(text: str) -> str:
    """The text without letter case and accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not unicodedata.combining(c)).strip()


def _tongue(language: str) -> str:
    return language.replace("_", "-").partition("-")[0].lower()


def plain_code(code: str) -> str:
    """The code without variation selectors, in capitals: the form in which codes are compared."""
    parts = code.upper().split("-")
    return "-".join(part for part in parts if part != _EMOJI_VARIATION)


def also_called(code: str) -> tuple[str, ...]:
    """What else in English a child may well call the drawing; empty for one not curated."""
    word = _curated_by_code().get(plain_code(code))
    return word.also if word else ()


def code_of(text: str) -> str | None:
    """Code of the curated word, None if it is none."""
    return next((word.code for word in curated() if word.text == text), None)


@cache
def _curated_by_code() -> dict[str, Word]:
    return {plain_code(word.code): word for word in curated()}


@cache
def languages() -> tuple[str, ...]:
    """Languages there are CLDR names in, English first."""
    folder = _data_folder()
    stems = (file.stem for file in folder.glob("emoji_*.json")) if folder else ()
    return ("en", *sorted(stem.removeprefix("emoji_") for stem in stems))


@cache
def cldr_names(language: str) -> dict[str, str]:
    """CLDR short names by :func:`plain_code`; empty for a language that is not there."""
    folder = _data_folder()
    if folder is None or language not in languages():
        return {}
    # Read directly: importing the package would load every language it was asked for before.
    file = folder / ("emoji.json" if language == "en" else f"emoji_{language}.json")
    if not file.is_file():
        return {}
    table = json.loads(file.read_text(encoding="utf-8"))
    names = {
        _code_of(characters): _spaced(entry["en"] if language == "en" else entry)
        for characters, entry in table.items()
    }
    return names | _as_written(language)


def _as_written(language: str) -> dict[str, str]:
    if language not in NEED_CARE:
        return {}
    names: dict[str, str] = json.loads(AS_WRITTEN.read_text(encoding="utf-8"))["names"][language]
    return names


def _code_of(characters: str) -> str:
    return plain_code("-".join(f"{ord(c):04X}" for c in characters))


def _spaced(short_name: str) -> str:
    return short_name.strip(":").replace("_", " ")


def _data_folder() -> FilePath | None:
    # find_spec finds a top-level package without running it.
    spec = find_spec("emoji")
    if spec is None or not spec.submodule_search_locations:
        return None
    return FilePath(spec.submodule_search_locations[0]) / "unicode_codes"


# --- making the file ------------------------------------------------------------------------------


def write_names(folder: FilePath) -> None:
    """Keep the names in the languages of :data:`NEED_CARE` out of an unpacked CLDR package.

    Args:
        folder: with ``package.json`` and ``annotations/de/annotations.json``.
    """
    names = {}
    for language in NEED_CARE:
        file = folder / "annotations" / language / "annotations.json"
        table = json.loads(file.read_text(encoding="utf-8"))["annotations"]["annotations"]
        names[language] = {
            _code_of(characters): entry["tts"][0]
            for characters, entry in table.items()
            if "tts" in entry
        }
    content = {
        "source": "Unicode CLDR, annotations, short names (tts), npm package cldr-annotations-full",
        "version": json.loads((folder / "package.json").read_text(encoding="utf-8"))["version"],
        "licence": "Unicode-3.0; copyright (c) Unicode, Inc.; see UNICODE-LICENSE beside this file",
        "names": names,
    }
    AS_WRITTEN.write_text(
        json.dumps(content, ensure_ascii=False, indent=0) + "\n", encoding="utf-8"
    )


if __name__ == "__main__":
    write_names(FilePath(sys.argv[1]))
