"""What a name is cut into: its letters with their marks, each in the form it has in the name.

A letter is what the Unicode text segmentation calls a grapheme cluster (Standard Annex 29) or, in
scripts whose signs lean on each other, what HarfBuzz keeps together: never an accent without its
letter. In a script whose letters join, a letter alone has another form; it is then set beside the
stroke that joins it (U+0640), which gives it the form of the name again. What cannot stand alone
even so, such as the two letters of a ligature, stays in one piece. Hyphens and apostrophes stay
with the letter before them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from shapes.letters.page_font import JOINERS, TURNS, clings

JOIN = "\u0640"
"""The stroke that joins letters of Arabic script; the letters beside it have their joined form."""
_STAYS_BEHIND = frozenset("'’ʼ.·-‐‑–״׳")
_SARA_AM = frozenset("\u0e33\u0eb3")  # Annex 29 keeps these two with the letter before them
_SIGN_BY_SIGN = (
    "LATIN",
    "GREEK",
    "CYRILLIC",
    "ARMENIAN",
    "GEORGIAN",
    "HEBREW",
    "THAI",
    "LAO",
    "CJK",
    "HIRAGANA",
    "KATAKANA",
    "HANGUL",
)
"""How Unicode's names of characters begin in scripts that have a sign for each cluster."""

Glyphs = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A letter of a name.

    Args:
        text: its characters in the name.
        shown: what is printed on its card: the same, and strokes that join it where it has them.
        word: number of the word it belongs to, from 0.
        joined: whether it joins the piece after it, so that no row may end between them.
    """

    text: str
    shown: str
    word: int
    joined: bool = False


def pieces(name: str) -> tuple[Piece, ...]:
    """The pieces of a name in the order of reading.

    Args:
        name: one or more words, as :func:`shapes.letters.font.check_text` returns them.
    """
    bare = "".join(char for char in name if char not in TURNS)
    return tuple(
        piece for number, word in enumerate(bare.split()) for piece in _of_word(word, number)
    )


def runs_left(name: str) -> bool:
    """Whether the name is read from right to left."""
    kinds = {unicodedata.bidirectional(char) for char in name}
    return "L" not in kinds and not kinds.isdisjoint({"R", "AL"})


def is_even(name: str) -> bool:
    """Whether it is of signs in squares of one size: Chinese, Japanese or Korean."""
    names = [unicodedata.name(char, "") for char in name if not char.isspace()]
    return all(one.startswith(("CJK", "HIRAGANA", "KATAKANA", "HANGUL")) for one in names)


def in_capitals(name: str, language: str) -> str:
    """The name in capitals, as the language writes them.

    Turkish and Azeri keep the dot of their i; Greek capitals lose the tonos (both rules are
    transforms of the Unicode CLDR, ``tr-Upper`` and ``el-Upper``).
    """
    if language.partition("-")[0].lower() in ("tr", "az"):
        name = name.replace("i", "İ")
    return "".join(map(_capital, name))


def _capital(char: str) -> str:
    large = char.upper()
    if "GREEK" not in unicodedata.name(char, ""):
        return large
    parts = unicodedata.normalize("NFD", large)
    return unicodedata.normalize("NFC", parts.replace("\u0301", ""))


def _of_word(word: str, number: int) -> Iterator[Piece]:
    letters = _letters(word)
    if not any(map(_joins, word)):
        yield from (Piece(text, text, number) for text in letters)
        return
    while letters:
        for end in range(1, len(letters) + 1):
            text = "".join(letters[:end])
            before = word[: len(word) - sum(map(len, letters))]
            shown = _in_its_form(before, text, "".join(letters[end:]))
            if shown is not None:
                break
        else:
            shown = text  # the rest of the word as it stands
        yield Piece(text, shown, number, joined=shown != text and shown.endswith(JOIN))
        letters = letters[end:]


def _joins(char: str) -> bool:
    """Whether it is of a script whose letters join."""
    begins = ("NKO", "ADLAM", "MONGOLIAN", "MANDAIC")
    return unicodedata.bidirectional(char) == "AL" or unicodedata.name(char, "").startswith(begins)


def _in_its_form(before: str, text: str, after: str) -> str | None:
    """The text with the strokes that give it the glyphs it has in the name; None if none do."""
    wanted = _glyphs(before, text, after)
    for front, end in (("", ""), ("", JOIN), (JOIN, ""), (JOIN, JOIN)):
        if _glyphs(front, text, end) == wanted:
            return f"{front}{text}{end}"
    return None


def _glyphs(before: str, text: str, after: str) -> Glyphs | None:
    """The glyphs of a part of a line; None if it shares one with what stands beside it."""
    found: Glyphs = ()
    at, start, end = 0, len(before), len(before) + len(text)
    for cluster, glyphs in _shaped(f"{before}{text}{after}"):
        if start <= at and at + len(cluster) <= end:
            found += glyphs
        elif at < end and at + len(cluster) > start:
            return None
        at += len(cluster)
    return found


def _letters(word: str) -> list[str]:
    """The clusters of a word, with the signs that stay with them."""
    found: list[str] = []
    for part in _clusters(word):
        opens = len(found) == 1 and all(char in _STAYS_BEHIND for char in found[0])
        if found and (part in _STAYS_BEHIND or opens):
            found[-1] += part
        else:
            found.append(part)
    return found


def _clusters(word: str) -> list[str]:
    names = [unicodedata.name(c, "") for c in word if unicodedata.category(c)[0] in "LM"]
    if not all(name.startswith((*_SIGN_BY_SIGN, "COMBINING", "MODIFIER")) for name in names):
        return [cluster for cluster, _ in _shaped(word)]
    found: list[str] = []
    for char in word:
        if found and (clings(char) or char in _SARA_AM):
            found[-1] += char
        else:
            found.append(char)
    return found


def _shaped(word: str) -> list[tuple[str, Glyphs]]:
    """Clusters of a word in the order of reading, with the numbers of their glyphs."""
    from shapes.letters.shaping import shaped

    found: list[tuple[str, Glyphs]] = []
    runs = shaped(word).runs
    for run in reversed(runs) if runs_left(word) else runs:
        clusters = run.clusters if run.rightwards else tuple(reversed(run.clusters))
        parts = [(c.text, tuple(number for number, _, _ in c.glyphs)) for c in clusters]
        for text, glyphs in parts or [(char, ()) for char in run.text]:
            if found and text[:1] in JOINERS:
                found[-1] = (found[-1][0] + text, found[-1][1] + glyphs)
            else:
                found.append((text, glyphs))
    return found
