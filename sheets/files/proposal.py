"""A whole theme proposed from words alone, as a file that a teacher reads through and changes.

What can be known from words is filled in: pictures, letters, names in other languages, patterns,
things, a plan, a routine that suits every theme. What cannot is a place with a hint: the theme's
own sequence, and the sort where the words do not fall into groups that are beyond doubt.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Sequence
from functools import cache

from shapes.errors import InputError
from shapes.letters.likeness import confusions, likeness
from shapes.pictures.names import Word as Curated
from shapes.pictures.names import curated, name, plain_code
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.files.titles import title_line
from sheets.kinds import KINDS
from sheets.kinds.letter_match.letters import form_kind
from sheets.kinds.words import NAMES
from sheets.theme.phonics import first_letter
from sheets.theme.problems import count_of
from sheets.theme.theme import DAYS

FEWEST, MOST = 4, 16
KINDS_IN_WEEK = 10
_LEAST_IN_BIN = 3
_WEEK = DAYS[:5]

_GROUPS = {
    "farm and pets": "animals", "wild animals": "animals", "birds": "animals",
    "insects and small creatures": "animals", "fruit": "food", "food": "food",
    "clothes": "clothes", "music": "instruments", "plants and trees": "plants",
    "vehicles and roads": "vehicles", "weather and sky": "", "home things": "", "shapes": "",
    "books and making": "", "tools and kitchen": "", "toys and play": "",
}  # fmt: skip
"""Groups by category of the curated words; empty for what belongs in none of them."""

_BY_WORD = {
    "animals": "duck frog fish turtle snail swan beaver otter goose flamingo crocodile hippo "
    "duckling crab seal lobster octopus squid whale orca dolphin shark jellyfish worm",
    "plants": "lotus sprout plant flower",
    "food": "carrot cucumber tomato pepper bean peas broccoli onion garlic eggplant beet",
    "vehicles": "boat ship speedboat motorboat canoe",
    "": "rock water splash bubbles anchor compass box crane hook wave lifebuoy island bucket "
    "basket shovel",
    "?": "bone feather wing microphone headphones log wheel parachute pinata",
}
"""Words of other categories, and at the end those that another child may lay elsewhere."""

_OF_WORD = {word: group for group, words in _BY_WORD.items() for word in words.split()}
_IN_DOUBT = "?"

_HEAD = """\
# A theme proposed from its words. Lines that begin with # are notes for you; the rest is read.
# Read it through and fill in the places marked ...; what to look at again: tablework themes FILE

title = {title}
languages = ["en"]                  # the first one is the language of the words
unchecked = {unchecked}   # names from Unicode; ask a speaker, then drop the tag
"""

_SEQUENCES = """\
# --- sequences: a routine of the day; the theme's own is for you to find --------------------------

[[sequences]]
title = "Washing hands"
steps = [
  "tap:1F6B0",
  "soap:1F9FC",
  "bubbles:1FAE7",
  "rinse:1F4A7",
  "paper towel:1F9FB",
  "clean hands:1F450",
]
short = [
  ["soap", "clean hands"],
  ["soap", "rinse", "clean hands"],
  ["tap", "soap", "rinse", "clean hands"],
  ["tap", "soap", "bubbles", "rinse", "clean hands"],
]
note = "Water on, soap, rub until there are bubbles, rinse, dry, show your clean hands."

# [[sequences]]
# title = "..."                     # what happens in this theme, in an order beyond doubt
# steps = ["...", "...", "..."]     # words from above, or a word with its picture: "egg:1F95A"
"""

_NO_SORT = """\
# The words fall into no two groups that are beyond doubt. Two rules that often do: animal or plant;
# how many legs or wheels.

# [[sorts]]
# title = "..."
# bins.one = ["...", "...", "..."]
# bins.two = ["...", "...", "..."]
# neither = ["..."]
"""


def proposed_theme(title: str, words: Sequence[str]) -> str:
    """A theme file with all that words alone can say, as TOML text.

    Args:
        words: as a theme file has them, such as ``duck``, or with its picture, ``mitten:gloves`` or
            ``leaf:my-leaf.svg``.

    Raises:
        InputError: no title, a word twice, or not 4 to 16 of them.
        PictureError: a word without a picture.
    """
    line = title_line(title)
    pictures = _pictures(words)
    regular = {w: first_letter(w, "en").letter for w in pictures if _is_regular(w)}
    unchecked = ", ".join(_quoted(tag) for tag in NAMES if tag != "en")
    sort = _sort(pictures, regular)
    parts = [
        _HEAD.format(title=_quoted(line), unchecked=f"[{unchecked}]"),
        "# --- words " + "-" * 87 + "\n",
        *(_word(word, picture) for word, picture in pictures.items()),
        _SEQUENCES,
        _patterns(pictures),
        "# --- sorts: which belongs where " + "-" * 66 + "\n",
        sort or _NO_SORT,
        _things_and_letters(list(dict.fromkeys(regular.values()))),
        _plan(has_sort=bool(sort)),
    ]
    return "\n".join(parts)


def _pictures(words: Sequence[str]) -> dict[str, Picture]:
    found: dict[str, Picture] = {}
    for given in words:
        word, _, spec = (part.strip() for part in given.partition(":"))
        if not word:
            continue
        if word in found:
            raise InputError(f'"{word}" is there twice', where="`words`", fix="drop one")
        picture = resolve(spec or word)
        # A drawing of one's own is named by its file, as the theme has to name it.
        found[word] = dataclasses.replace(picture, id=spec) if "." in spec else picture
    if not FEWEST <= len(found) <= MOST:
        raise InputError(
            f"a theme of {count_of(len(found), 'word')}",
            where="`words`",
            fix=f"give {FEWEST} to {MOST}",
        )
    return found


def _is_regular(word: str) -> bool:
    first = first_letter(word, "en")
    return bool(first.letter) and not first.warning


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _list(texts: Sequence[str]) -> str:
    return f"[{', '.join(map(_quoted, texts))}]"


def _word(word: str, picture: Picture) -> str:
    first = first_letter(word, "en")
    known = {tag: name(picture.id, tag) for tag in NAMES if tag != "en"}
    names = ", ".join(f"{tag} = {_quoted(n.text)}" for tag, n in known.items() if n is not None)
    hint = f"    # {first.warning}: two letters such as sh may be taught" if first.warning else ""
    rows = ["[[words]]", f"text = {_quoted(word)}", f"picture = {_quoted(picture.id)}"]
    rows += [f"letter = {_quoted(first.letter)}{hint}"] if first.letter else []
    rows += [f"names = {{ {names} }}"] if names else []
    return "\n".join([*rows, ""])


def _patterns(pictures: dict[str, Picture]) -> str:
    """Shapes in colours that every eye tells apart, and the pictures that are least alike."""
    from sheets.kinds.shadow_match.task import likeness as shadows

    def alike(group: Sequence[str]) -> float:
        pairs = itertools.combinations(group, 2)
        return max(shadows(pictures[one], pictures[other]) for one, other in pairs)

    two = min(itertools.combinations(pictures, 2), key=alike)
    three = min(itertools.combinations([w for w in pictures if w not in two], 3), key=alike,
                default=(two[0], two[1], two[1]))  # fmt: skip
    units = [
        ["blue circle", "yellow triangle"],
        ["blue circle", "yellow triangle", "yellow triangle"],
        ["blue circle", "yellow triangle", "black square"],
        ["orange star", "blue diamond"],
        two,
        three,
    ]
    rows = [f"[[patterns]]\nunit = {_list(unit)}\n" for unit in units]
    return "\n".join(["# --- patterns: the part that repeats " + "-" * 61 + "\n", *rows])


def _sort(pictures: dict[str, Picture], letters: dict[str, str]) -> str:
    """Groups by what the things are, else by first letter; empty if there are no two of three."""
    groups = {word: _group(picture) for word, picture in pictures.items()}
    for title, rows in (("", groups), ("How does it begin?", letters)):
        found: dict[str, list[str]] = {}
        for word, key in rows.items():
            if key != _IN_DOUBT:
                found.setdefault(key, []).append(word)
        full = sorted((key for key in found if key), key=lambda key: -len(found[key]))[:2]
        if len(full) == 2 and len(found[full[1]]) >= _LEAST_IN_BIN:
            # Fruit may be food and of a plant: only what is in no group at all is beyond doubt.
            rest = [key for key in found if key not in full] if title else [""]
            others = [word for key in rest for word in found.get(key, ())]
            asked = title or f"{full[0].capitalize()} or {full[1]}?"
            lines = ["[[sorts]]", f"title = {_quoted(asked)}"]
            lines += [f"bins.{_quoted(key)} = {_list(found[key])}" for key in full]
            lines += [f"neither = {_list(others)}" if others else '# neither = ["..."]']
            return "\n".join([*lines, ""])
    return ""


def _group(picture: Picture) -> str:
    """What a picture is by its category; in doubt for one that is not curated."""
    listed = _curated().get(plain_code(picture.id))
    if listed is None:
        return _IN_DOUBT
    return _OF_WORD.get(listed.text, _GROUPS.get(listed.category, _IN_DOUBT))


@cache
def _curated() -> dict[str, Curated]:
    return {plain_code(word.code): word for word in curated()}


def _things_and_letters(letters: Sequence[str]) -> str:
    easy = min(
        (trio for trio in itertools.combinations(letters, 3) if _told_apart(trio)),
        key=lambda trio: max(likeness(*pair) for pair in itertools.combinations(trio, 2)),
        default=(),
    )
    ordered = [*easy, *(letter for letter in letters if letter not in easy)]
    rows = [
        "# --- objects to set on their outlines; see tablework things " + "-" * 38,
        "",
        "[objects]",
        'trace = ["can211", "can307", "ID1", "A7"]',
        "",
        "# --- letters, the ones to begin with first " + "-" * 55,
        "",
        "[letters]",
        f"set = {_list(ordered)}" if ordered else "# set = []",
    ]
    rows += [f"easy = {_list(easy)}"] if easy else []
    return "\n".join([*rows, ""])


def _told_apart(trio: Sequence[str]) -> bool:
    """Round and straight letters, none of which children were seen to mix up."""
    pairs = itertools.combinations(trio, 2)
    return {form_kind(letter) for letter in trio} == {"round", "straight"} and not any(
        confusions().published(*pair) for pair in pairs
    )


def _plan(*, has_sort: bool) -> str:
    """Two kinds a day, one of each skill first."""
    kinds = [entry for entry in KINDS.values() if has_sort or entry.section != "sorts"]
    first = list({entry.skill: entry.name for entry in reversed(kinds)}.values())[::-1]
    rest = [entry.name for entry in kinds if entry.name not in first]
    chosen = [*first, *rest, *first][:KINDS_IN_WEEK]
    days = [chosen[i :: len(_WEEK)] for i in range(len(_WEEK))]
    rows = [f"{day} = {_list(names)}" for day, names in zip(_WEEK, days, strict=True)]
    note = '# monday = { kinds = ["cutting"], note = "..." }    # a day with its note'
    return "\n".join(["# --- plan " + "-" * 88, "", "[plan]", *rows, note, ""])
