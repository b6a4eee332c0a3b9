"""What a letter page asks, out of a theme or out of words and letters given one by one."""

from __future__ import annotations

import dataclasses
import random
import string
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from shapes.errors import InputError
from shapes.letters.font import is_plain
from shapes.letters.likeness import Level
from shapes.pictures.names import name
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.check.guidance import check_stage
from sheets.kinds.letter_match import LetterMatchChoices
from sheets.kinds.letter_match.letters import (
    FORMS,
    LAYOUTS,
    Block,
    Counts,
    Form,
    Layout,
    PictureWord,
    check_letters,
    initial,
    letter_blocks,
)
from sheets.kinds.letter_match.order import arranged, sort_arranged
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.letter_match.words import (
    other_letters,
    picture_blocks,
    picture_word,
    sort_block,
    speaks_main,
    theme_words,
    usable,
)
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.kinds.source import Source

TITLES = {
    "en": "Letters",
    "es": "Letras",
    "fr": "Lettres",
    "de": "Buchstaben",
    "it": "Lettere",
    "pt": "Letras",
}
"""Title of a page without a theme, by language; from memory, not checked by speakers."""


@dataclass(frozen=True, slots=True)
class LetterTask:
    """What a letter page asks, complete.

    Args:
        blocks: groups with choices of their own; one for cards and for a sort.
        level: how the other letters were chosen.
        copies: cards for each target.
        left_out: words that were not used because their first letter may mislead.
        remark: a further line for the adult.
    """

    stage: int
    form: Form
    layout: Layout
    blocks: tuple[Block, ...]
    level: Level
    title: str
    badge: Picture | None = None
    copies: int = 1
    left_out: tuple[PictureWord, ...] = ()
    remark: str = ""


# --- choosing what is asked -----------------------------------------------------------------------


def task(source: Source, stage: int, options: Options, choices: LetterMatchChoices) -> LetterTask:
    """A letter task out of a theme, or out of letters and picture words given one by one.

    Words are single letters, and words, code points or drawings of one's own (``.svg``); a word's
    name is the one in the page's language.

    Raises:
        InputError: no such stage, form or layout, or too few letters or words for it.
        PictureError, FileError: a word that is no picture.
    """
    if source.theme is None:
        return _of_words(source.words, stage, options, choices)
    theme, turned = source.theme, choices.turned
    of_theme = letters_of(theme)
    asked = check_letters(choices.letters)
    words = theme_words(theme, options.language)
    main = speaks_main(theme, options.language)
    taught = [letter for letter in of_theme.set if len(letter) == 1] if main else []
    easy = [letter for letter in of_theme.easy if len(letter) == 1] if main else []
    begins = [word.letter for word in words if len(word.letter) == 1 and not word.warning]
    # A language without checked words still has letters: the theme's own.
    letters_left = [letter for letter in of_theme.set if len(letter) == 1]
    own = list(dict.fromkeys(taught or begins or letters_left))
    if stage <= 2 and easy:
        own = easy
    if turned and not asked:
        hard = [letter.upper() for pair in of_theme.hard for letter in pair]
        asked = tuple(dict.fromkeys(hard))
    asked_of = _Asked(words, asked, own, taught or begins or letters_left)
    return _complete(stage, options, choices, asked_of, theme.title, theme.badge)


def _of_words(
    words: Sequence[str], stage: int, options: Options, choices: LetterMatchChoices
) -> LetterTask:
    single = [word for word in words if _is_letter(word)]
    asked = check_letters([*choices.letters, *single])
    pictures = [resolve(word) for word in words if not _is_letter(word)]
    named = tuple(
        found
        for picture in pictures
        if (found := _named(picture, options.language)) is not None and found.letter
    )
    if named and not any(is_plain(word.text) for word in named):
        raise other_letters(options.language)
    begins = [word.letter for word in named if len(word.letter) == 1]
    if not asked and not begins and not choices.turned:
        raise InputError(
            "no letters and no words with a name in this language",
            fix="give letters (T S O), words (duck frog), or a `theme`",
        )
    language = options.language.partition("-")[0].lower()
    title = TITLES.get(language, TITLES["en"])
    asked_of = _Asked(named, asked, list(dict.fromkeys(begins)), ())
    return _complete(stage, options, choices, asked_of, title, pictures[0] if pictures else None)


def _is_letter(word: str) -> bool:
    return len(unicodedata.normalize("NFC", word.strip())) == 1 and word.strip().isalpha()


def _named(picture: Picture, language: str) -> PictureWord | None:
    found = name(picture.id, language)
    if found is None:
        # A drawing of one's own is called what its file is called, in whatever language that is.
        return None if picture.credit else picture_word(picture.name, picture, language)
    return picture_word(found.text, picture, language, checked=found.checked)


@dataclass(frozen=True, slots=True)
class _Asked:
    """Words and letters a page is made of: ``letters`` are those asked for by name."""

    words: tuple[PictureWord, ...]
    letters: tuple[str, ...]
    own: Sequence[str]
    others: Sequence[str]


def _complete(
    stage: int,
    options: Options,
    choices: LetterMatchChoices,
    asked: _Asked,
    title: str,
    badge: Picture | None,
) -> LetterTask:
    form, turned, words, letters = choices.form, choices.turned, asked.words, asked.letters
    wanted = _chosen_form(stage, form, turned)
    chosen = _chosen_layout(stage, choices.layout)
    listed = usable(words, stage)
    source = _Source(
        stage=stage,
        layout=chosen,
        options=options,
        words=[word for word in listed if not letters or word.letter in letters],
        own=letters or tuple(asked.own),
        others=asked.others,
        asked=letters,
        turned=turned,
    )
    # With no form asked for, a theme with too few words gets the form before it on the ladder.
    tries = [wanted] if form else [wanted, *_BEFORE[wanted]]
    for i, one in enumerate(tries):
        try:
            blocks, level = source.blocks(one)
        except InputError:
            if i + 1 == len(tries):
                raise
            continue
        break
    remark = "" if one == wanted else f"Too few words for {_NAMES[wanted]}; this is {_NAMES[one]}."
    used = {id(word) for word in words if word in listed}
    pictures = one in ("first", "sort")
    return LetterTask(
        stage=stage,
        form=one,
        layout=chosen,
        blocks=blocks,
        level=level,
        title=title,
        badge=badge,
        copies=2 if stage == 0 else 1,
        left_out=tuple(w for w in words if pictures and id(w) not in used),
        remark=remark,
    )


_BEFORE: dict[Form, tuple[Form, ...]] = {
    "same": (),
    "small": (),
    "first": ("same",),
    "sort": ("first", "small"),
}
_NAMES: dict[Form, str] = {
    "same": "same letter",
    "small": "capital to small letter",
    "first": "picture to first letter",
    "sort": "first-letter sort",
}


def _chosen_form(stage: int, form: str | None, turned: bool) -> Form:
    check_stage(stage)
    if form is not None and form not in FORMS:
        raise InputError(
            f"there is no task '{form}'", where="`form`", fix=f"use one of: {', '.join(FORMS)}"
        )
    if turned and (stage < 5 or form not in (None, "same", "small")):
        raise InputError(
            "letters that look alike when turned, such as b and d, are for small letters from "
            "stage 5",
            where="`turned`",
            fix="use `stage` 5 or 6 and `form` same or small, or leave it out",
        )
    if form == "sort" and stage < 3:
        raise InputError(
            "a first-letter sort has more pictures than this stage shows",
            where="`form` sort",
            fix="use `stage` 3 or higher, or `form` first",
        )
    if form is None and turned:
        return "small"
    return cast(Form, form or setting("letter-match", stage, "form"))


def _chosen_layout(stage: int, layout: str | None) -> Layout:
    if layout is not None and layout not in LAYOUTS:
        raise InputError(
            f"'{layout}' is no way to lay out letters",
            where="`as`",
            fix=f"use one of: {', '.join(LAYOUTS)}",
        )
    if stage == 0 and layout == "lines":
        raise InputError(
            "stage 0 has cards an adult has cut, no lines", where="`as`", fix="use `as` cards"
        )
    return layout or ("cards" if stage == 0 else "lines")


@dataclass(frozen=True, slots=True)
class _Source:
    """Letters and words a page can be made of."""

    stage: int
    layout: Layout
    options: Options
    words: Sequence[PictureWord]
    own: tuple[str, ...]
    others: Sequence[str]
    asked: tuple[str, ...]
    turned: bool

    def blocks(self, form: Form) -> tuple[tuple[Block, ...], Level]:
        """The blocks of a form, and the level at which the other letters were chosen."""
        blocks, level = self._drawn(form)
        if self.layout == "cards":
            return blocks, level
        rng = random.Random(f"{self.options.seed}:{self.stage}:letters:{form}:places")
        place = sort_arranged if len(blocks[0].targets) > len(blocks[0].choices) else arranged
        return tuple(place(block, rng) for block in blocks), level

    def _drawn(self, form: Form) -> tuple[tuple[Block, ...], Level]:
        """The same before what stands where is drawn."""
        stage, language = self.stage, self.options.language
        counts = _counts(stage, form, self.layout, self.options.needs)
        level = cast(Level, setting("letter-match", stage, "likeness"))
        rng = random.Random(f"{self.options.seed}:{stage}:letters:{form}:{self.layout}")
        if form == "sort":
            block = sort_block(self.words, counts, level, language, rng, self.asked)
            return (block,), level
        if form == "first":
            # Few words fill one group rather than stand in two.
            groups = max(1, min(counts.blocks, len(self.words) // counts.targets))
            counts = dataclasses.replace(counts, blocks=groups)
            found = picture_blocks(self.words, self.others, counts, level, language, rng)
            return found, level
        own, others = list(self.own), [] if self.asked else list(self.others)
        if not self.asked and len({*own, *others}) <= counts.choices:
            others += string.ascii_uppercase
        if self.turned:
            own = [letter for letter in own if letter in "BDPQNU"] or list("BDPQ")
            others, level = list("BDPQNU"), "alike"
        first = initial(self.options.name, language)
        if stage == 0 and first and not self.asked:
            # The other letter must differ from the initial, so all letters may be it.
            own, others = [first], [*own, *others]
        return (
            letter_blocks(
                own,
                counts,
                level,
                rng,
                small_targets=self.turned and form == "same",
                small_choices=self.turned or form == "small",
                turned=self.turned,
                others=others,
            ),
            level,
        )


def _counts(stage: int, form: Form, layout: Layout, needs: Sequence[str]) -> Counts:
    """How much a page asks; with low vision at most four targets and choices in all."""
    low = "low-vision" in needs
    if form == "sort":
        bins = 2 if low else int(setting("letter-match", stage, "bins") or 2)
        each = 1 if low else int(setting("letter-match", stage, "each") or 2)
        return Counts(1, bins * each, bins)
    answers = 2 if low else int(setting("letter-match", stage, "answers") or 2)
    if layout == "cards":
        return Counts(1, answers, answers)
    blocks = 1 if low else int(setting("letter-match", stage, "blocks") or 1)
    return Counts(
        blocks, min(answers, int(setting("letter-match", stage, "targets") or 2)), answers
    )
