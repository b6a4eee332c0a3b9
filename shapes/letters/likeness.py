"""How alike two letters look, which ones children were seen to mix up, and choices by both.

The measure of likeness was fixed from first principles before it was compared with any published
confusion and is not fitted to them; the comparison is in ``tests/outside``.
"""

from __future__ import annotations

import json
import random
import tomllib
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from pathlib import Path as FilePath
from string import ascii_letters
from typing import TYPE_CHECKING, Any, Literal, get_args

from shapes.errors import InputError
from shapes.letters.font import advance
from shapes.letters.glyphs import area

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Level = Literal["different", "plain", "one-pair", "alike"]

STORE = FilePath(__file__).with_name("letter_likeness.json")
"""Likeness of every two plain letters of the page font.

``python -m shapes.letters.likeness`` makes it: measuring needs a geometry library that
takes longer to load than a page takes to draw.
"""

PLACES = 6
"""Decimal places of a likeness."""

TURNED_WEIGHT = 0.9
"""What a form that must first be turned or mirrored keeps of its likeness, so that only a letter
itself has likeness 1. Our setting."""


# --- likeness ------------------------------------------------------------------------------------


def likeness(a: str, b: str) -> float:
    """How alike two letters of one type size look, from 0 to 1; 1 only for one same form.

    Both forms stand on one baseline and are aligned at their left edges, centres or right edges,
    whichever agrees best. Their agreement is::

        (overlap + 1 / (1 + gap / stroke)) / 2

    with ``overlap`` the shared over the joint area, ``gap`` the mean distance from one outline to
    the other, and ``stroke`` the mean stroke width of the two. A stroke that lies a full stroke
    width beside its fellow shares no area with it and looks half alike by the second term.

    The second form is also tried mirrored left to right, mirrored top to bottom and turned by half,
    with the boxes centred on each other in height; that counts with the weight 0.9. The published
    confusions of small letters are mostly reversals and rotations (see ``confusions.toml``).
    Symmetric in its arguments. Rounded to 0.000001.

    Raises:
        GlyphError: the page font has no such character.
        InputError: a blank.
    """
    first, second = sorted((unicodedata.normalize("NFC", a), unicodedata.normalize("NFC", b)))
    if first == second:
        advance(first)  # for its error
        return 1.0
    known = _stored().get(first + second)
    return measured_likeness(first, second) if known is None else known


@lru_cache(maxsize=1)
def _stored() -> Mapping[str, float]:
    if not STORE.exists():
        return {}
    content: Mapping[str, float] = json.loads(STORE.read_text("ascii"))
    return content


def write_store() -> None:
    """Measure every two plain letters of the page font and keep that in :data:`STORE`."""
    pairs = combinations(sorted(ascii_letters), 2)
    rows = [f'"{a}{b}": {measured_likeness(a, b)}' for a, b in pairs]
    STORE.write_text("{\n" + ",\n".join(rows) + "\n}\n", "ascii")


@lru_cache(maxsize=4096)
def measured_likeness(a: str, b: str) -> float:
    """What :func:`likeness` finds for two different letters without looking it up."""
    one, other = area(a), area(b)
    upright = _agreement(one, other, centred=False)
    turned = max(
        _agreement(one, form, centred=True)
        for form in (_flipped(other, -1, 1), _flipped(other, 1, -1), _flipped(other, -1, -1))
    )
    return round(max(upright, TURNED_WEIGHT * turned), PLACES)


def _flipped(form: BaseGeometry, sx: float, sy: float) -> BaseGeometry:
    from shapely.affinity import scale

    return scale(form, sx, sy, origin=(0, 0))


def _agreement(a: BaseGeometry, b: BaseGeometry, *, centred: bool) -> float:
    from shapely.affinity import translate

    from shapes.measure.likeness import edge_distance, shared_area, stroke_width

    ax0, ay0, ax1, ay1 = a.bounds
    bx0, by0, bx1, by1 = b.bounds
    dy = (ay0 + ay1 - by0 - by1) / 2.0 if centred else 0.0
    stroke = (stroke_width(a) + stroke_width(b)) / 2.0
    best = 0.0
    for dx in (ax0 - bx0, (ax0 + ax1 - bx0 - bx1) / 2.0, ax1 - bx1):
        moved = translate(b, dx, dy)
        near = 1.0 / (1.0 + edge_distance(a, moved) / stroke)
        best = max(best, (shared_area(a, moved) + near) / 2.0)
    return best


# --- published confusions ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Source:
    """Where a confusion was published. ``basis`` is ``published`` or ``common practice``."""

    title: str
    author: str
    body: str
    year: int
    address: str
    basis: str
    note: str


@dataclass(frozen=True, slots=True)
class Confusion:
    """Two letters a source says children mix up.

    Args:
        pair: the two letters in alphabetical order.
        errors: wrong choices counted, None where the source gives no count.
        source: key into :attr:`Confusions.sources`.
        uncertain: the scan of the source is hard to read here.
        lesser: named by the source as less easily mixed up than its others.
    """

    pair: tuple[str, str]
    errors: int | None
    source: str
    uncertain: bool = False
    lesser: bool = False


@dataclass(frozen=True, slots=True)
class Confusions:
    """All of ``confusions.toml``; ``turned`` are groups of one form in several positions."""

    sources: Mapping[str, Source]
    rows: tuple[Confusion, ...]
    turned: tuple[frozenset[str], ...]

    def published(self, a: str, b: str) -> tuple[Confusion, ...]:
        """The rows that name this pair, in either order."""
        pair = tuple(sorted((a, b)))
        return tuple(row for row in self.rows if row.pair == pair)

    def are_turned(self, a: str, b: str) -> bool:
        """True if the two are one form turned or mirrored (b d p q; n u)."""
        return a != b and any(a in group and b in group for group in self.turned)


@lru_cache(maxsize=1)
def confusions() -> Confusions:
    """The published confusions, read from ``confusions.toml`` beside this file."""
    with FilePath(__file__).with_name("confusions.toml").open("rb") as file:
        table = tomllib.load(file)
    sources = {key: Source(**row) for key, row in table["sources"].items()}
    return Confusions(
        sources,
        tuple(_confusion_rows(table)),
        tuple(frozenset(row["letters"]) for row in table["turned"]),
    )


def _confusion_rows(table: Mapping[str, Any]) -> Iterator[Confusion]:
    for row in table["pairs"]:
        first, second = sorted(row["pair"])
        yield Confusion(
            (first, second),
            row.get("errors"),
            row["source"],
            row.get("uncertain", False),
            row.get("lesser", False),
        )
    for family in table["families"]:
        for first, second in combinations(sorted(family["letters"]), 2):
            yield Confusion((first, second), None, family["source"])


# --- choices for a matching row ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Rules:
    """Which letters may stand together in a row of ``k`` beside a target."""

    k: int
    level: Level
    allow_turned: bool

    def may_join(self, char: str, row: Sequence[str]) -> bool:
        known = confusions()
        pair_allowed = self.level == "alike" or (self.level == "one-pair" and len(row) == 1)
        for other in row:
            if known.are_turned(char, other):
                if not self.allow_turned:
                    return False
            elif not pair_allowed and known.published(char, other):
                return False
        return True

    def complete(self, row: list[str], tried: Sequence[str]) -> list[str] | None:
        """The row with the first letters in order that go together, or None."""
        missing = self.k + 1 - len(row)
        if missing == 0:
            return row
        for place, char in enumerate(tried[: len(tried) - missing + 1]):
            if self.may_join(char, row):
                full = self.complete([*row, char], tried[place + 1 :])
                if full:
                    return full
        return None


def confusable(
    letters: Sequence[str],
    k: int,
    *,
    target: str,
    level: Level = "different",
    allow_turned: bool = False,
    seed: int | None = None,
) -> tuple[str, ...]:
    """``k`` wrong choices to stand beside ``target``, out of ``letters``.

    Letters that are the target's own form turned (b d p q; n u) are left out, and no two such
    letters are chosen together, unless ``allow_turned``.

    Args:
        level: ``different``: the least alike, and no two letters of the row, target included,
            are a published confusion. ``plain``: any, again without published pairs. ``one-pair``:
            the published partner with the most errors, if there is one, then as ``plain``.
            ``alike``: published partners by their errors, then the most alike by our measure
            (which ranks the published pairs only weakly, so they go first).
        seed: None takes the letters in the order of the level (``plain``: of ``letters``). A
            number draws from the less alike half (``different``) or from all (``plain``, and the
            rest of ``one-pair``); the same number gives the same letters.

    Raises:
        InputError: fewer than ``k`` letters are left under these rules, or ``k`` is below 1.
        GlyphError: the page font has no such character.
    """
    if k < 1:
        raise InputError(f"cannot choose {k} letters", fix="ask for 1 or more")
    if level not in get_args(Level):
        raise InputError(f"no level {level!r}", fix=f"choose from {', '.join(get_args(Level))}")
    known = confusions()
    pool = [
        char
        for char in dict.fromkeys(letters)
        if char != target and (allow_turned or not known.are_turned(char, target))
    ]

    rules = _Rules(k, level, allow_turned)
    row = rules.complete([target], _order(pool, k, target, level, seed))
    if row is None:
        raise InputError(
            f"cannot find {k} of the letters {' '.join(dict.fromkeys(letters)) or '(none)'} "
            f"to stand beside {target} at level {level!r}",
            fix="add letters that look different, or ask for fewer choices",
        )
    return tuple(row[1:])


def _order(pool: Sequence[str], k: int, target: str, level: Level, seed: int | None) -> list[str]:
    """The pool in the order in which its letters are tried."""

    def closest(char: str) -> tuple[float, float, str]:
        return (-_weight(target, char), -likeness(target, char), char)

    if level == "alike":
        return sorted(pool, key=closest)
    order = list(pool)
    drawn = len(order)
    if level == "different":
        order.sort(key=lambda c: (likeness(target, c), c))
        drawn = max(k, (len(order) + 1) // 2)
    if seed is not None:
        # Text seeds the generator the same way on every machine.
        front = order[:drawn]
        random.Random(f"{seed} {target} {level}").shuffle(front)
        order[:drawn] = front
    partners = [c for c in pool if confusions().published(target, c)]
    if level == "one-pair" and partners:
        first = min(partners, key=closest)
        order.remove(first)
        order.insert(0, first)
    return order


def _weight(a: str, b: str) -> int:
    """Errors counted for a published pair, 1 without a count, 0 if none or unsure."""
    rows = confusions().published(a, b)
    return max((row.errors or 1 for row in rows if not row.uncertain), default=0)


if __name__ == "__main__":
    write_store()
