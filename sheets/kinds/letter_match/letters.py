"""What a letter page asks: which letters and words stand together, and where each answer stands.

No page is drawn here. Wrong letters are chosen by the published confusions and by how alike the
forms of the page font are (:func:`shapes.letters.likeness.confusable`); the second follows
the first only weakly, so the published pairs are kept apart, or sought, by name.
"""

from __future__ import annotations

import itertools
import random
import string
import unicodedata
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from shapes.errors import InputError
from shapes.letters.font import check_plain, is_plain
from shapes.letters.likeness import Level, confusable, confusions
from shapes.pictures.picture import Picture
from sheets.theme.phonics import first_letter

Form = Literal["same", "small", "first", "sort"]
Layout = Literal["lines", "cards"]
FORMS: tuple[Form, ...] = ("same", "small", "first", "sort")
LAYOUTS: tuple[Layout, ...] = ("lines", "cards")

_ACCENTS_DROPPED = ("es", "fr", "it", "pt")  # é is taught as an e there; the German ä is its own
TRIES = 60

_ROUND, _STRAIGHT = frozenset("CGOQSU"), frozenset("AEFHIKLMNTVWXYZ")


@dataclass(frozen=True, slots=True)
class PictureWord:
    """A picture, what it is called in the page's language, and the letter that begins it.

    Args:
        letter: a capital, or a digraph such as ``Sh`` that the theme teaches.
        checked: False if no speaker has checked the name.
        warning: why the first letter may mislead a child who listens; empty if it does not.
        others: what else a child may well call the picture, with another first letter.
    """

    text: str
    letter: str
    picture: Picture
    checked: bool = True
    warning: str = ""
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Target:
    """One thing to find the letter for.

    Args:
        shown: letter as printed; empty for a picture.
        answer: the letter as printed among the choices.
    """

    shown: str
    answer: str
    word: PictureWord | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """Targets that share their choices; the choices are all different.

    Args:
        shift: 1 if the choices stand to the right of the targets, -1 to the left; 0 if both rows
            fill the page.
    """

    targets: tuple[Target, ...]
    choices: tuple[str, ...]
    shift: Literal[-1, 0, 1] = 0


@dataclass(frozen=True, slots=True)
class Counts:
    """How much one page asks: blocks, targets and choices in a block (bins of a sort)."""

    blocks: int
    targets: int
    choices: int


# --- letters --------------------------------------------------------------------------------------


def check_letters(letters: Iterable[str]) -> tuple[str, ...]:
    """Letters as capitals, each once.

    Raises:
        InputError: something that is not one letter with a capital and a small form.
        GlyphError: the page font lacks it.
    """
    found: dict[str, None] = {}
    for text in letters:
        char = unicodedata.normalize("NFC", text.strip())
        if len(char) != 1 or len(char.upper()) != 1 or char.upper() == char.lower():
            raise InputError(
                f"'{text}' is not a letter with a capital and a small form",
                where="`letters`",
                fix="give letters such as T,S,O",
            )
        found[check_plain(char.upper() + char.lower(), "`letters`")[0]] = None
    return tuple(found)


def initial(name: str, language: str) -> str:
    """Capital initial of a child's name; empty if it has none that can be matched."""
    letter = taught_letter(first_letter(name, language).letter, language)
    matched = len(letter) == 1 and letter.lower() != letter and is_plain(letter + letter.lower())
    return letter if matched else ""


def taught_letter(letter: str, language: str) -> str:
    """A first letter as it is taught: ``É`` of *écharpe* is an E, ``Ñ`` stays."""
    if language.partition("-")[0].lower() in _ACCENTS_DROPPED and letter != "Ñ":
        return unicodedata.normalize("NFD", letter)[:1]
    return letter


def letter_blocks(
    own: Sequence[str],
    counts: Counts,
    level: Level,
    rng: random.Random,
    *,
    small_targets: bool,
    small_choices: bool,
    turned: bool = False,
    others: Sequence[str] = (),
) -> tuple[Block, ...]:
    """Blocks in which a letter is found again, in the same case or the other.

    Args:
        own: capitals to ask for.
        others: further capitals for choices; where all are too few, the alphabet is added.
        turned: letters that are one form turned (b d p q; n u) may stand together.

    Raises:
        InputError: the letters do not go together at this level.
    """
    pool = list(dict.fromkeys([*own, *others]))
    if len(pool) < counts.choices:
        pool = list(dict.fromkeys([*pool, *string.ascii_uppercase]))
    kept_apart = not turned and small_choices
    blocks: list[Block] = []
    asked_before: set[str] = set()
    on_page: set[str] = set()
    for _ in range(counts.blocks):
        if kept_apart:
            # Not in one group and not on one page either.
            own = [letter for letter in own if not _turned_beside(letter, on_page)]
            pool = [letter for letter in pool if not _turned_beside(letter, on_page)]
        anchors = sorted(
            shuffled(own, rng),
            key=lambda x: (x in asked_before, not partners(x, [], level, small_choices, turned)),
        )
        apart = on_page if kept_apart else set()
        row = _letter_row(anchors, pool, counts.choices, level, rng, small_choices, turned, apart)
        on_page.update(row)
        # Asked are the anchor, then the page's own letters, those not yet asked for first.
        rest = sorted(shuffled(row[1:], rng), key=lambda x: (x not in own, x in asked_before))
        asked = shuffled([row[0], *rest][: counts.targets], rng)
        asked_before.update(asked)
        blocks.append(
            Block(
                tuple(
                    Target(x.lower() if small_targets else x, x.lower() if small_choices else x)
                    for x in asked
                ),
                tuple(shuffled([x.lower() if small_choices else x for x in row], rng)),
            )
        )
    return tuple(blocks)


def _turned_beside(capital: str, others: Iterable[str]) -> bool:
    """True if the small letter is one of the others' small letters turned or mirrored."""
    return any(confusions().are_turned(capital.lower(), other.lower()) for other in others)


def _letter_row(
    anchors: Sequence[str],
    pool: Sequence[str],
    count: int,
    level: Level,
    rng: random.Random,
    small: bool,
    turned: bool,
    apart: Set[str],
) -> list[str]:
    """Capitals of one group, its anchor first: the first that finds letters to stand beside it."""
    for anchor in anchors:
        found_outside = partners(anchor, pool, level, small, turned)
        known = [*pool, *(x for x in found_outside if not _turned_beside(x, apart))]
        if level == "different":
            known = _of_other_kind(anchor, known, count - 1)
        letters = [letter.lower() for letter in known] if small else known
        target = anchor.lower() if small else anchor
        for _ in range(TRIES if small else 1):
            try:
                row = confusable(
                    letters,
                    count - 1,
                    target=target,
                    level=level,
                    allow_turned=turned,
                    seed=rng.randrange(2**32),
                )
            except InputError:
                break
            found = [letter.upper() for letter in (target, *row)]
            # The choices are small letters, but the child looks at the capitals as well.
            if level in ("one-pair", "alike") or not pairs_among(found):
                return found
    listed = " ".join(letter.lower() if small else letter for letter in pool)
    raise InputError(
        f"no {count} of the letters {listed} look different enough",
        where="`letters`",
        fix="add letters, or take a higher stage",
    )


def form_kind(letter: str) -> str:
    """``round``, ``straight`` or ``mixed``, by the strokes of a capital.

    Round and straight letters stand together first, letters of one kind later (common practice, no
    source): our own likeness does not always rank an O and an S as near.
    """
    first = unicodedata.normalize("NFD", letter)[:1]
    return "round" if first in _ROUND else "straight" if first in _STRAIGHT else "mixed"


def _of_other_kind(anchor: str, letters: Sequence[str], count: int) -> list[str]:
    """Round letters beside a straight one and the other way round, if there are enough of them."""
    kind = form_kind(anchor)
    others = [x for x in letters if form_kind(x) not in (kind, "mixed")]
    return others if len(others) >= count else list(letters)


def partners(
    anchor: str, pool: Sequence[str], level: Level, small: bool, turned: bool = False
) -> list[str]:
    """Capitals outside the pool that children mix up with the anchor, for the harder stages."""
    if level not in ("one-pair", "alike"):
        return []
    char = anchor.lower() if small else anchor
    known = confusions()
    rows = [row for row in known.rows if char in row.pair and not row.uncertain]
    others = [other for row in rows for other in row.pair if other != char]
    return [
        other.upper()
        for other in dict.fromkeys(others)
        if other.upper() not in pool and (turned or not known.are_turned(char, other))
    ]


def published_pairs(block: Block) -> tuple[tuple[str, str], ...]:
    """Pairs of a block's choices that a study saw children mix up."""
    return tuple(pairs_among(block.choices))


def pairs_among(letters: Sequence[str]) -> list[tuple[str, str]]:
    known = confusions()
    return [
        pair
        for pair in itertools.combinations(sorted(letters), 2)
        if any(known.sources[row.source].basis == "published" for row in known.published(*pair))
    ]


def shuffled(items: Iterable[str], rng: random.Random) -> list[str]:
    found = list(items)
    rng.shuffle(found)
    return found
