"""Picture words of a page in its language, and which of them stand together for first letters.

A word whose first sound is not that of its first letter (:mod:`sheets.theme.phonics`) carries a
warning; easy stages do not use it, later ones only where there is no other.
"""

from __future__ import annotations

import itertools
import random
import string
from collections.abc import Collection, Iterable, Sequence

from shapes.errors import InputError
from shapes.letters.font import is_plain
from shapes.letters.likeness import Level, confusions, likeness
from shapes.pictures.names import code_of, name
from shapes.pictures.picture import Picture
from sheets.kinds.letter_match.letters import (
    TRIES,
    Block,
    Counts,
    PictureWord,
    Target,
    form_kind,
    partners,
    shuffled,
    taught_letter,
)
from sheets.theme.phonics import first_letter
from sheets.theme.theme import Theme

EASY_STAGES = range(5)
"""Stages without words whose first sound is not that of their first letter. Our setting."""

ONE_NAME_STAGES = range(2, 6)
"""Stages without words whose picture has another likely name with another first letter: a child who
says that name would be right and marked wrong. Our setting."""

SAME_SOUND = {
    "en": ("CKQ", "GJ"),
    "es": ("BV", "CKQ", "CSZ", "GJ"),
    "fr": ("CKQ", "GJ"),
    "de": ("CKQ", "FV", "VW", "CZ"),
    "it": ("CKQ",),
    "pt": ("CKQ", "GJ"),
}
"""Letters that may begin words with one sound: a picture word would have two answers beside them.
Common practice among teachers, no source."""


def speaks_main(theme: Theme, language: str) -> bool:
    """Whether a page is in the theme's main language, in any region (``en-GB`` for ``en``)."""
    main = theme.languages[0]
    return not language or language.partition("-")[0] == main.partition("-")[0]


def theme_words(theme: Theme, language: str) -> tuple[PictureWord, ...]:
    """The theme's words as they are called in a language; words without a name are left out.

    Raises:
        InputError: the language is written in letters that such pages do not have.
    """
    main = speaks_main(theme, language)
    tongue = theme.languages[0] if main else language
    found = []
    for word in theme.words:
        name = theme.shown_name(word.text, tongue)
        if name is not None:
            letter = word.letter if main else ""
            found.append(
                picture_word(name.text, word.picture, tongue, checked=name.checked, letter=letter)
            )
    if found and not any(is_plain(word.text) for word in found):
        raise other_letters(tongue)
    return tuple(word for word in found if word.letter and is_plain(word.letter))


def other_letters(language: str) -> InputError:
    """What is told of a language such as Arabic or Japanese."""
    return InputError(
        f"letter pages are made in Latin and Cyrillic letters, not in those of '{language}'",
        fix="choose another language for them",
    )


def picture_word(
    text: str, picture: Picture, language: str, *, checked: bool = True, letter: str = ""
) -> PictureWord:
    """A word with its first letter, and a warning where that may mislead.

    Args:
        letter: the letter or digraph a teacher gives it; empty for the first letter.
    """
    found = first_letter(text, language)
    warning = found.warning
    taught = taught_letter(found.letter, language)
    initials = [first_letter(part, language).letter for part in text.split("/")]
    if letter:
        if letter.upper() != found.letter:
            warning = ""  # a teacher who teaches Sh with "ship" has thought of it
        taught = letter
    elif len(set(initials)) > 1:
        warning = f'"{text}" are names with different first letters'
    elif not checked and " " in text.split("/")[0].strip():
        warning = warning or f'"{text}" describes the drawing; a child may say another word'
    others = tuple(
        other
        for other in other_names(text, picture, language)
        if first_letter(other, language).letter != first_letter(taught, language).letter
    )
    return PictureWord(text, taught, picture, checked, warning, others)


def other_names(text: str, picture: Picture, language: str) -> tuple[str, ...]:
    """What else a child may well call a picture, as far as the word list knows.

    Args:
        text: what it is called here.

    Returns:
        In the page's language where the other thing has a name in it, else in English.
    """
    if language.partition("-")[0].lower() == "en":
        called = name(picture.id, "en") if picture.credit else None
        named = [called.text] if called and called.checked else []
        return tuple(other for other in (*named, *picture.also) if other != text.casefold())
    found = []
    for other in picture.also:
        code = code_of(other)
        there = name(code, language) if code else None
        found.append(there.text if there else other)
    return tuple(other for other in found if other.casefold() != text.casefold())


def usable(words: Iterable[PictureWord], stage: int) -> tuple[PictureWord, ...]:
    """The words for a stage, those without a warning first; easy stages have no others.

    At :data:`ONE_NAME_STAGES` none has a picture with another name and another first letter.
    """
    listed = [word for word in words if not (word.others and stage in ONE_NAME_STAGES)]
    plain = [word for word in listed if not word.warning]
    return tuple(plain if stage in EASY_STAGES else [*plain, *(w for w in listed if w.warning)])


def picture_blocks(
    words: Sequence[PictureWord],
    others: Sequence[str],
    counts: Counts,
    level: Level,
    language: str,
    rng: random.Random,
) -> tuple[Block, ...]:
    """Blocks in which a picture is matched to its first letter.

    Args:
        words: as :func:`usable` gives them; a word with a warning is taken only if it must be.
        others: further letters for wrong choices.

    Raises:
        InputError: too few words begin with different letters.
    """
    blocks: list[Block] = []
    used: set[str] = set()
    for _ in range(counts.blocks):
        rows = [
            row
            for _ in range(8)
            if (row := _picture_row(words, others, counts, level, language, rng, used))
        ]
        if not rows:
            raise InputError(
                f"fewer than {counts.targets} words begin with letters that go together",
                where="words",
                fix="add words with other first letters, or choose `form` same",
            )
        rows.sort(key=lambda row: _rank(row[0], row[1], level))
        asked, choices = rows[0]
        used.update(word.text for word in asked)
        targets = [Target("", word.letter, word) for word in asked]
        rng.shuffle(targets)
        blocks.append(Block(tuple(targets), tuple(shuffled(choices, rng))))
    return tuple(blocks)


def _rank(
    asked: Sequence[PictureWord], choices: Sequence[str], level: Level
) -> tuple[int, int, float]:
    """Fewest words with a warning first; then round beside straight letters and the least alike
    ones, or the most alike ones."""
    doubtful = sum(bool(word.warning) for word in asked)
    if level in ("plain", "one-pair"):
        return doubtful, 0, 0.0
    pairs = list(itertools.combinations(choices, 2))
    nearest = max(likeness(a[0], b[0]) for a, b in pairs)
    if level == "alike":
        return doubtful, 0, -nearest
    return doubtful, sum(form_kind(a[0]) == form_kind(b[0]) for a, b in pairs), nearest


def _picture_row(
    words: Sequence[PictureWord],
    others: Sequence[str],
    counts: Counts,
    level: Level,
    language: str,
    rng: random.Random,
    used: Collection[str],
) -> tuple[list[PictureWord], list[str]] | None:
    order = list(words)
    rng.shuffle(order)
    # Words without a warning first, those not yet on the page before the others (stable sort).
    order.sort(key=lambda word: (bool(word.warning), word.text in used))
    asked: list[PictureWord] = []
    row: list[str] = []
    for word in order:
        if len(asked) < counts.targets and _may_join(word.letter, row, level, language):
            asked.append(word)
            row.append(word.letter)
    if len(asked) < counts.targets:
        return None
    pool = shuffled(dict.fromkeys([*others, *(word.letter for word in words)]), rng)
    if level in ("one-pair", "alike"):
        pool = [*partners(row[0], pool, level, small=False), *pool]
        pool.sort(key=lambda letter: not _pairs_with(letter, row))
    for letter in [*pool, *shuffled(string.ascii_uppercase, rng)]:
        if len(row) < counts.choices and _may_join(letter, row, level, language):
            row.append(letter)
    return (asked, row) if len(row) == counts.choices else None


def _pairs_with(letter: str, row: Sequence[str]) -> bool:
    return any(confusions().published(letter, other) for other in row)


def _may_join(letter: str, row: Sequence[str], level: Level, language: str) -> bool:
    """True if no letter of the row has the same sound or, at easier levels, is mixed up with it."""
    groups = SAME_SOUND.get(language.partition("-")[0].lower(), ())
    pairs = sum(len(confusions().published(a, b)) > 0 for a, b in itertools.combinations(row, 2))
    for other in row:
        if other[0] == letter[0] or any(other in group and letter in group for group in groups):
            return False
        if confusions().published(letter, other):
            if level in ("different", "plain") or (level == "one-pair" and pairs):
                return False
            pairs += 1
    return True


def sort_block(
    words: Sequence[PictureWord],
    counts: Counts,
    level: Level,
    language: str,
    rng: random.Random,
    letters: Sequence[str] = (),
) -> Block:
    """Pictures to sort by their first letter: every letter has two or more of them.

    Args:
        counts: one block; ``choices`` letters, ``targets`` pictures.
        letters: the letters to sort by; empty to choose.

    Raises:
        InputError: too few letters have enough words.
    """
    each = counts.targets // counts.choices
    by_letter: dict[str, list[PictureWord]] = {}
    for word in words:
        by_letter.setdefault(word.letter, []).append(word)
    full = [x for x, found in by_letter.items() if len(found) >= each]
    if letters:
        full = [letter for letter in letters if letter in full]
    for _ in range(TRIES):
        row: list[str] = []
        for letter in shuffled(full, rng):
            if len(row) < counts.choices and _may_join(letter, row, level, language):
                row.append(letter)
        if len(row) == counts.choices:
            break
    else:
        raise InputError(
            f"fewer than {counts.choices} letters that go together have {each} words each",
            where="words",
            fix="add words with the same first letter, or choose `form` first",
        )
    asked: list[PictureWord] = []
    for letter in row:
        # Stable sort: words without a warning first, each kind in a drawn order.
        found = list(by_letter[letter])
        rng.shuffle(found)
        found.sort(key=lambda word: bool(word.warning))
        asked += found[:each]
    targets = [Target("", word.letter, word) for word in asked]
    rng.shuffle(targets)
    return Block(tuple(targets), tuple(shuffled(row, rng)))
