"""Pairs of letters by likeness, for tests that hold them against published confusions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from shapes.letters.likeness import likeness


def ranked_pairs(letters: Sequence[str]) -> list[tuple[str, str, float]]:
    """Every pair of the letters with its likeness, most alike first, ties in alphabetical order."""
    pairs = [(a, b, likeness(a, b)) for a, b in combinations(sorted(set(letters)), 2)]
    return sorted(pairs, key=lambda row: (-row[2], row[0], row[1]))
