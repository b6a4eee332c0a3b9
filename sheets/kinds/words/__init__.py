"""What the pages say to the child, by language: titles, and one line that says what to do.

One TOML file a language beside this module: ``[kind.title]`` and ``[kind.say]``, short sentences
by key. A language without a file falls back to the theme's, or to English. A file that is not
``checked`` is a draft: no speaker has read it yet, which the adult's papers tell.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from sheets.theme.languages import primary

HERE = Path(__file__).parent
FALLBACK = "en"
NAMES = {
    "en": "English",
    "es": "Spanish",
    "fr": "French",
    "de": "German",
    "it": "Italian",
    "pt": "Portuguese",
}
"""The languages that have a file, and what the adult's papers call them."""


def tongue(language: str, main: str = FALLBACK) -> str:
    """The language whose file is used for a tag such as ``es-MX``.

    Args:
        main: whose file is used where there is none; English if that has none either.
    """
    return next((code for code in map(primary, (language, main)) if code in NAMES), FALLBACK)


@cache
def content(code: str) -> dict[str, Any]:
    """The file of a language of :data:`NAMES`."""
    return tomllib.loads((HERE / f"{code}.toml").read_text("utf-8"))


def title(kind: str, key: str, language: str, **named: str) -> str:
    """The title of a kind's pages, with what is named filled in, such as a picture."""
    return str(content(tongue(language))[kind]["title"][key]).format(**named)


def say(kind: str, keys: Iterable[str], language: str) -> str:
    """The line that says what to do: the sentences of these keys, one after the other."""
    sentences = content(tongue(language))[kind]["say"]
    return " ".join(str(sentences[key]) for key in keys)


def draft_line(languages: Iterable[str]) -> str:
    """What the adult is told of sentences that no speaker has checked; empty if there are none."""
    used = dict.fromkeys(tongue(language) for language in languages)
    drafts = [NAMES[code] for code in used if not content(code)["checked"]]
    if not drafts:
        return ""
    return (
        f"The sentences on the children's pages in {' and '.join(drafts)} are drafts until a "
        "speaker has checked them."
    )
