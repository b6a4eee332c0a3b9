"""First letters of words, and where the first letter would mislead a child who listens.

*Ship* is not a word for S, nor *knot* for K. The tables hold spellings at the start of a word, per
language; all of it is common practice among teachers, no source. Accents differ: a warning asks the
teacher to decide, it forbids nothing.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Start:
    """A way to begin a word whose first letter alone does not give the first sound.

    Args:
        spellings: beginnings in lower case, any of which is meant.
        says: what is to be known, for the warning.
        but_not: beginnings that look alike and are regular.
    """

    spellings: tuple[str, ...]
    says: str
    but_not: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FirstLetter:
    """What a word begins with.

    Args:
        letter: capital first letter; empty if the word has none.
        warning: why it may mislead; empty if it does not.
    """

    letter: str
    warning: str = ""


_SOFT_C = Start(("ce", "ci", "cy", "cé", "cè", "cê", "cí"), "c is soft here")
_SOFT_G = Start(("ge", "gi", "gy", "gé", "gè", "gê"), "g is soft here")
_SILENT_H = Start(("h",), "the h is silent")
_QU = Start(("qu",), "qu is taught as one sound")
_PH = Start(("ph",), "ph is one sound, as in f")

STARTS: Mapping[str, tuple[Start, ...]] = {
    "en": (
        Start(("sh",), "sh is one sound"),
        Start(("th",), "th is one sound"),
        Start(("ch",), "ch is one sound"),
        Start(("wh",), "wh is taught as a pair"),
        _PH,
        _QU,
        Start(("kn",), "the k is silent"),
        Start(("wr",), "the w is silent"),
        Start(("gn",), "the g is silent"),
        Start(("ps", "pt", "pn"), "the p is silent"),
        Start(("hour", "honest", "honour", "honor", "heir", "herb"), "the h may be silent"),
        Start(("x",), "x does not sound as in box here"),
        Start(("sce", "sci", "scy"), "the c is silent"),
        _SOFT_C,
        Start(
            ("ge", "gi", "gy"),
            "g may be soft here",
            but_not=("gear", "gecko", "geese", "get", "gift", "giggl", "gill", "girl", "give"),
        ),
    ),
    "es": (
        Start(("ch",), "ch is one sound"),
        Start(("ll",), "ll is one sound"),
        Start(("qu",), "qu sounds as k"),
        _SILENT_H,
        Start(("ce", "ci", "cé", "cí"), "c is soft here"),
        Start(("ge", "gi", "gé", "gí"), "g sounds as j here"),
    ),
    "fr": (
        Start(("ch",), "ch is one sound"),
        _PH,
        Start(("qu",), "qu sounds as k"),
        Start(("gn",), "gn is one sound"),
        Start(("oi", "ou", "au", "eu"), "two letters make one sound"),
        _SILENT_H,
        _SOFT_C,
        _SOFT_G,
    ),
    "de": (
        Start(("sch",), "sch is one sound"),
        Start(("sp", "st"), "s sounds as sch here"),
        Start(("ch",), "ch sounds differently from word to word"),
        _PH,
        _QU,
        Start(("pf",), "pf is taught as one sound"),
        Start(("ei", "eu", "äu", "au"), "two letters make one sound"),
        Start(("v",), "v may sound as f"),
        Start(("c",), "c sounds as k or z"),
    ),
    "it": (
        Start(("ch",), "ch sounds as k"),
        Start(("gh",), "gh is a hard g"),
        Start(("gn",), "gn is one sound"),
        Start(("gli",), "gl is one sound"),
        Start(("sce", "sci"), "sc is one sound"),
        _QU,
        _SILENT_H,
        Start(("ce", "ci"), "c is soft here"),
        Start(("ge", "gi"), "g is soft here"),
    ),
    "pt": (
        Start(("ch",), "ch is one sound"),
        Start(("lh", "nh"), "two letters make one sound"),
        Start(("qu",), "qu may sound as k"),
        Start(("x",), "x sounds as ch here"),
        _SILENT_H,
        Start(("ce", "ci", "cé", "cí", "cê"), "c is soft here"),
        Start(("ge", "gi", "gé", "gê"), "g is soft here"),
    ),
}
"""Language -> misleading starts, the first that matches counts. Common practice, no source."""


def has_table(language: str) -> bool:
    """Whether there is a table of misleading starts for a language tag such as ``es-MX``."""
    return _primary(language) in STARTS


def first_letter(word: str, language: str) -> FirstLetter:
    """The capital first letter of a word, with a warning where it may mislead.

    Args:
        word: one or more words; the first letter found counts, so an apostrophe is passed over.
        language: language tag; only its first part counts (``es-MX`` is read as ``es``). Without a
            table for it nothing is warned of; see :func:`has_table`.
    """
    plain = unicodedata.normalize("NFC", word)
    at = next((i for i, char in enumerate(plain) if char.isalpha()), None)
    if at is None:
        return FirstLetter("", f'"{word}" has no letter to begin with')
    beginning = plain[at:].lower()
    # The capital of a few letters is two letters long.
    letter = plain[at].upper() if len(plain[at].upper()) == 1 else plain[at]
    for start in STARTS.get(_primary(language), ()):
        if beginning.startswith(start.spellings) and not beginning.startswith(start.but_not):
            return FirstLetter(letter, f'"{word}" begins with {letter}, but {start.says}')
    return FirstLetter(letter)


def _primary(language: str) -> str:
    return language.partition("-")[0].lower()
