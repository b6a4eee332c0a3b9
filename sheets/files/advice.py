"""What to look at again in a theme that can be read: one line for each thing, none of it forbidden.

Reading a theme file says what is wrong with it; this says what makes a week of it poorer than it
could be: letters that are all alike, drawings with two names, shadows that are too alike, no
routine, a plan of few kinds. How many is enough is common practice or our setting, no source.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

from shapes.pictures.names import also_called, plain_code
from sheets.kinds.pattern.section import PATTERNS
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from sheets.kinds.words import NAMES as LANGUAGES
from sheets.theme.problems import count_of, few
from sheets.theme.theme import DAYS, Theme
from sheets.theme.words import Word

WEEK = DAYS[:5]
LEAST_KINDS = 8
LEAST_LETTERS = 5
LEAST_SEQUENCES = 2
LEAST_THINGS = 3
LEAST_IN_BIN = 3
MOST_TWO_NAMES = 4

ROUTINE = {
    "1F6B0": "tap", "1F9FC": "soap", "1F9FD": "sponge", "1FAA5": "toothbrush", "1F6C1": "bathtub",
    "1F6BF": "shower", "1F6BD": "toilet", "1F9FB": "paper", "1F6CF": "bed", "1F455": "shirt",
    "1F456": "pants", "1F9E6": "socks", "1F45E": "shoe", "1F97E": "boot", "1F9E5": "coat",
    "1F9E4": "gloves", "1F9E3": "scarf", "1F9E2": "cap", "1F392": "backpack", "1F963": "bowl",
    "1F37D": "plate", "1F9F9": "broom", "1F5D1": "bin",
}  # fmt: skip
"""Pictures of washing, dressing, eating and tidying: a sequence with two of them is a routine."""


def advice(theme: Theme, *, shadows: bool = True) -> tuple[str, ...]:
    """What to look at again, warnings of its reader first; empty if there is nothing.

    Args:
        shadows: also measure how alike the shadows of the words are, about half a second.
    """
    looks = [*_LOOKS, _shadows] if shadows else _LOOKS
    return (*theme.warnings, *(line for look in looks for line in look(theme)))


def _letters(theme: Theme) -> Iterator[str]:
    letters = sorted({word.letter for word in theme.words if word.letter})
    least = min(LEAST_LETTERS, len(theme.words) // 2)
    if len(letters) < least:
        yield (
            f"words: they begin with {count_of(len(letters), 'letter')} ({', '.join(letters)}); "
            f"choose words for {least} or more"
        )


def _two_names(theme: Theme) -> Iterator[str]:
    words = {word.text.casefold() for word in theme.words}
    other_letter = []
    for word in theme.words:
        if word.picture.name != word.text:
            continue  # the teacher has another name for it already
        others = also_called(word.picture.id)
        for other in words.intersection(others):
            yield f'words: "{word.text}" is easily called "{other}", another word of the theme'
        if others and all(not _begins_alike(word, other) for other in others):
            other_letter.append(f"{word.text} ({others[0]})")
    if len(other_letter) > MOST_TWO_NAMES:
        yield (
            f"words: {len(other_letter)} drawings may be called by a name with another letter: "
            f"{few(other_letter)}; say their names first, or choose others"
        )


def _begins_alike(word: Word, other: str) -> bool:
    return other[:1].casefold() == word.text[:1].casefold()


def _names(theme: Theme) -> Iterator[str]:
    for language in dict.fromkeys((*theme.languages, *LANGUAGES)):
        missing = [w.text for w in theme.words if theme.known_name(w.text, language) is None]
        if missing:
            yield f"words: no name in {language} for {few(missing)}; add it to names"


def _sequences(theme: Theme) -> Iterator[str]:
    rows = theme.rows(SEQUENCES)
    if len(rows) < LEAST_SEQUENCES:
        yield (
            f"sequences: fewer than {LEAST_SEQUENCES}; give a routine of the day and one of the "
            "theme's own"
        )
    of_routine = [sum(plain_code(s.picture.id) in ROUTINE for s in row.steps) for row in rows]
    if rows and max(of_routine) < 2:
        yield "sequences: none is a routine, such as washing hands or putting on a coat; add one"


def _patterns(theme: Theme) -> Iterator[str]:
    cells = [cell for unit in theme.rows(PATTERNS) for cell in unit.cells]
    if not cells:
        yield "patterns: none; add one of shapes and one of pictures"
    elif all(cell.step is None for cell in cells):
        yield "patterns: only of shapes; add one of pictures of the theme"
    elif all(cell.step is not None for cell in cells):
        yield "patterns: only of pictures; add one of coloured shapes"


def _sorts(theme: Theme) -> Iterator[str]:
    rows = theme.rows(SORTS)
    if not rows:
        yield "sorts: none; add one with two areas and what belongs in neither"
    elif not any(row.neither for row in rows):
        yield "sorts: none has things that belong in neither; add neither = [...]"
    for row in rows:
        for name, steps in row.bins.items():
            if len(steps) < LEAST_IN_BIN:
                yield (
                    f'sorts: "{row.title}" has {count_of(len(steps), "thing")} for "{name}"; '
                    f"give {LEAST_IN_BIN} or more"
                )


def _things(theme: Theme) -> Iterator[str]:
    found = len(things_of(theme))
    if found < LEAST_THINGS:
        yield f"objects: {count_of(found, 'thing')} to trace; give {LEAST_THINGS} or more"


def _plan(theme: Theme) -> Iterator[str]:
    planned = {day.day for day in theme.plan if day.kinds}
    if missing := [day for day in WEEK if day not in planned]:
        yield f"plan: nothing on {few(missing)}"
    kinds = {kind for day in theme.plan for kind in day.kinds}
    if len(kinds) < LEAST_KINDS:
        yield (
            f"plan: {count_of(len(kinds), 'kind')} of sheet in the week; {LEAST_KINDS} or more "
            "give every child something to like"
        )


def _shadows(theme: Theme) -> Iterator[str]:
    """Pairs that no shadow page may have, by the measure and the limit of those pages."""
    from sheets.kinds.shadow_match.task import TOO_ALIKE, likeness

    measured = [
        (likeness(one.picture, other.picture), one.text, other.text)
        for one, other in itertools.combinations(theme.words, 2)
    ]
    alike = [
        f'"{one}" and "{other}" ({value:.2f})'
        for value, one, other in sorted(measured, reverse=True)
        if value > TOO_ALIKE
    ]
    if alike:
        yield (
            f"words: shadows too alike for one page, by a measure of at most {TOO_ALIKE:.2f}: "
            f"{few(alike, 3)}"
        )


_LOOKS: tuple[Callable[[Theme], Iterator[str]], ...] = (
    _letters, _two_names, _names, _sequences, _patterns, _sorts, _things, _plan,
)  # fmt: skip
