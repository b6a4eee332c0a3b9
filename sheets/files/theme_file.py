"""Checks the tables of a theme file and builds the theme, collecting problems with their places."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from pathlib import PurePath
from typing import Any

from shapes.errors import InputError, TableworkError
from shapes.objects import Footprint, footprint, near_twins
from shapes.pictures.pictures import Picture
from sheets.kinds import KINDS
from sheets.page import palette
from sheets.theme.fields import LANGUAGE, At, Fields
from sheets.theme.phonics import first_letter, has_table
from sheets.theme.problems import nearest, quoted
from sheets.theme.theme import (
    DAYS,
    PATTERN_SHAPES,
    Bin,
    Cell,
    Day,
    Letters,
    PatternUnit,
    Sequence,
    Sort,
    Step,
    Theme,
    ThemeError,
    Word,
)

LONGEST_UNIT = 4
"""Most cells in a pattern unit (common practice, no source)."""

PLAN_KINDS = tuple(
    dict.fromkeys(("cutting", "trace-match", "letter-match", "sequence", "pattern", *KINDS))
)
"""Kinds of sheet a plan may name."""

_KEYS: Mapping[str, tuple[str, ...]] = {
    "": ("title", "languages", "unchecked", "words", "sequences", "patterns", "sorts", "objects",
         "letters", "plan"),
    "words": ("text", "picture", "letter", "names", "note"),
    "sequences": ("title", "steps", "short", "also", "note"),
    "patterns": ("unit",),
    "sorts": ("title", "bins", "neither", "note"),
    "objects": ("trace",),
    "letters": ("set", "easy", "hard"),
    "plan": DAYS,
}  # fmt: skip


def read_theme(
    data: Mapping[str, Any], text: str, where: str, find_picture: Callable[[str], Picture]
) -> Theme:
    """The theme in the parsed tables of a file.

    Args:
        text: the file as written, to name lines.
        where: file name for messages.

    Raises:
        ThemeError: one or more problems.
    """
    return _Reader(where, text, find_picture).theme(data)


class _Reader(Fields):
    """Turns the tables of a theme file into a theme."""

    def __init__(self, where: str, text: str, find_picture: Callable[[str], Picture]) -> None:
        super().__init__(where, text, _KEYS)
        self.find_picture = find_picture
        self.words: dict[str, Word] = {}
        self.broken: set[str] = set()  # words whose own problem is noted already

    def theme(self, data: Mapping[str, Any]) -> Theme:
        top = At()
        self.check_keys(data, top)
        title = self.text(data, "title", top)
        languages = self.language_tags(data, "languages", top) or ("en",)
        unchecked = self.language_tags(data, "unchecked", top)
        if not has_table(languages[0]):
            self.remark(top, "languages", f"no table of first sounds for {quoted(languages[0])}")
        for at, row in self.rows(data, "words", needed=True):
            self.word(row, at, languages[0])
        sequences = [self.sequence(row, at) for at, row in self.rows(data, "sequences")]
        patterns = [self.pattern(row, at) for at, row in self.rows(data, "patterns")]
        sorts = [self.sort(row, at) for at, row in self.rows(data, "sorts")]
        objects = self.objects(self.table(data, "objects"))
        letters = self.letters(self.table(data, "letters"))
        plan = self.plan(self.table(data, "plan"))
        if self.problems:
            raise ThemeError(*self.problems)
        return Theme(
            title=title,
            slug=PurePath(self.where).stem,
            languages=languages,
            unchecked=unchecked,
            words=tuple(self.words.values()),
            sequences=tuple(sequences),
            patterns=tuple(patterns),
            sorts=tuple(sorts),
            objects=objects,
            letters=letters,
            plan=plan,
            warnings=tuple(self.remarks),
        )

    # --- the tables ---

    def word(self, row: Mapping[str, Any], at: At, language: str) -> None:
        text = self.text(row, "text", at)
        picture = self.picture(self.text(row, "picture", at), at, "picture")
        letter = self.text(row, "letter", at, needed=False)
        if letter and not (len(letter) <= 3 and letter.isalpha()):
            self.problem(at, "letter", f"{quoted(letter)} is not a letter; give one to three")
        first = first_letter(text, language)
        starts = text.casefold().startswith(letter.casefold())
        # A digraph, or a letter for the sound that is heard, shows that the teacher knows.
        if text and first.warning and starts and len(letter) < 2:
            self.remark(at, "letter", f"{first.warning}; give the letter or digraph you teach")
        elif text and not first.warning and not starts:
            self.remark(at, "letter", f"{quoted(text)} does not begin with {letter}")
        names = row.get("names", {})
        if not isinstance(names, dict):
            self.problem(at, "names", "not a table; write { es = ... }")
            names = {}
        for key in names:
            if not LANGUAGE.fullmatch(key):
                self.problem(at, "names", f"{quoted(key)} is not a language tag such as es")
        texts = {key: self.text(names, key, at) for key in names}
        if text.casefold() in self.words:
            self.problem(at, "text", f"{quoted(text)} is there twice; drop one")
        elif picture is None:
            self.broken.add(text.casefold())
        elif text:
            twin = next((w for w in self.words.values() if w.picture.id == picture.id), None)
            if twin is not None:
                self.remark(
                    at, "picture", f"same picture as {quoted(twin.text)}; pages that match words "
                    "to pictures need different ones"
                )  # fmt: skip
            self.words[text.casefold()] = Word(
                text, picture, letter or first.letter, texts, self.text(row, "note", at, False)
            )

    def sequence(self, row: Mapping[str, Any], at: At) -> Sequence:
        noted = len(self.problems)
        steps = self.steps(row, "steps", at)
        self.refuse_twice([step.word for step in steps], at, "steps")
        if noted == len(self.problems) and len(steps) == 1:
            self.problem(at, "steps", "only one step; give two or more")
        if noted < len(self.problems):
            steps = ()  # the other orders cannot be judged
        return Sequence(
            self.text(row, "title", at),
            steps,
            self.orders(row, "short", at, steps),
            self.orders(row, "also", at, steps),
            self.text(row, "note", at, False),
        )

    def orders(
        self, row: Mapping[str, Any], key: str, at: At, steps: tuple[Step, ...]
    ) -> tuple[tuple[Step, ...], ...]:
        """Other orders of a sequence: shorter ones under ``short``, other whole ones otherwise."""
        by_word = {step.word.casefold(): place for place, step in enumerate(steps)}
        found: list[tuple[Step, ...]] = []
        for number, words in self.items(row, key, at, "list of steps", list):
            places = [by_word.get(str(word).casefold()) for word in words]
            known = [place for place in places if place is not None]
            if len(known) < len(places):
                word = words[places.index(None)]
                fault = f"{quoted(str(word))} is not one of the steps; write it as there"
            elif key == "short" and not (len(known) >= 2 and known == sorted(set(known))):
                fault = "not some of the steps in their order; give two or more, in order"
            elif key == "also" and (
                sorted(known) != list(range(len(steps))) or known == sorted(known)
            ):
                fault = "not another order of all the steps; name each once"
            else:
                found.append(tuple(steps[place] for place in known))
                continue
            if steps:
                self.problem(at, key, f"list {number}: {fault}")
        return tuple(found)

    def pattern(self, row: Mapping[str, Any], at: At) -> PatternUnit:
        texts = self.texts(row, "unit", at)
        cells = [cell for text in texts if (cell := self.cell(text, at)) is not None]
        unit = PatternUnit(tuple(cells))
        half = unit.form[: len(cells) // 2]
        if texts and not 2 <= len(texts) <= LONGEST_UNIT:
            self.problem(at, "unit", f"{len(texts)} cells; give 2 to {LONGEST_UNIT}")
        elif cells and len(cells) == len(texts) and unit.form in (half * 2, "A" * len(cells)):
            self.problem(
                at, "unit", f"{unit.form} repeats itself; give it once, of different cells"
            )
        shapes = {cell.shape for cell in cells if cell.shape}
        colours = {cell.colour for cell in cells if cell.colour}
        if len(shapes) == 1 < len(colours):
            self.remark(
                at, "unit", "the cells differ in colour only; a shape of its own for each colour "
                "helps children who see colours otherwise"
            )  # fmt: skip
        return unit

    def cell(self, text: str, at: At) -> Cell | None:
        parts = text.split()
        if text.casefold() in self.words or ":" in text or len(parts) != 2:
            step = self.step(text, at, "unit")
            return Cell(step=step) if step is not None else None
        colour, shape = parts[0], parts[1].casefold()
        try:
            key = palette.find(colour).key
        except InputError as error:
            self.problem(at, "unit", str(error))
            return None
        if shape not in PATTERN_SHAPES:
            self.problem(
                at, "unit", f"no shape {quoted(parts[1])}; {nearest(shape, PATTERN_SHAPES)}"
            )
            return None
        return Cell(key, shape)

    def sort(self, row: Mapping[str, Any], at: At) -> Sort:
        bins = row.get("bins")
        if not isinstance(bins, dict) or len(bins) < 2:
            self.problem(
                at, "bins", "give two bins or more, such as { animal = [...], plant = [...] }"
            )
            bins = {}
        found = tuple(
            Bin(self.line(name, at, "bins"), self.steps(bins, name, at, shown="bins"))
            for name in bins
        )
        neither = self.steps(row, "neither", at, needed=False)
        everything = [step.word for one in found for step in one.steps]
        self.refuse_twice([*everything, *(step.word for step in neither)], at, "bins")
        title = self.text(row, "title", at)
        return Sort(title, found, neither, self.text(row, "note", at, False))

    def objects(self, row: Mapping[str, Any]) -> tuple[Footprint, ...]:
        at = At("objects")
        found: list[Footprint] = []
        for _number, spec in self.items(row, "trace", at, "id or measure", (str, dict)):
            try:
                found.append(footprint(spec))
            except InputError as error:
                self.problem(at, "trace", str(error))
        self.refuse_twice([thing.name for thing in found], at, "trace")
        for thing in found:
            if thing.adult_only or thing.small_part:
                self.remark(at, "trace", f"{thing.name} is a small part; an adult handles it")
        for one, other, mm in near_twins(found):
            self.remark(
                at, "trace", f"{one.name} and {other.name} differ by {mm:.1f} mm only, so they are "
                "not put on one page"
            )  # fmt: skip
        return tuple(found)

    def letters(self, row: Mapping[str, Any]) -> Letters:
        at = At("letters")
        taught = list(dict.fromkeys(w.letter for w in self.words.values() if w.letter))
        chosen = self.texts(row, "set", at, needed=False) or tuple(taught)
        easy = self.texts(row, "easy", at, needed=False)
        hard = tuple(
            tuple(pair) for _number, pair in self.items(row, "hard", at, "pair of letters", list)
        )
        for letter in (*chosen, *easy):
            if not (len(letter) <= 3 and letter.isalpha()):
                self.problem(at, "set", f"{quoted(letter)} is not a letter; give one to three")
            elif letter not in chosen:
                self.problem(at, "easy", f"{letter} is not in set; add it there or drop it")
            elif letter.casefold() not in {one.casefold() for one in taught}:
                self.remark(at, "set", f"no word of the theme begins with {letter}")
        for pair in hard:
            if len(pair) != 2 or not all(
                isinstance(one, str) and len(one) == 1 and one.isalpha() for one in pair
            ):
                self.problem(at, "hard", 'not a pair of letters; write ["b", "d"]')
        self.refuse_twice(chosen, at, "set")
        return Letters(chosen, easy, hard)

    def plan(self, row: Mapping[str, Any]) -> tuple[Day, ...]:
        at = At("plan")
        days: list[Day] = []
        for day in (day for day in DAYS if day in row):
            entry = row[day] if isinstance(row[day], dict) else {"kinds": row[day]}
            for key in (key for key in entry if key not in ("kinds", "note")):
                self.problem(
                    at, day, f"unknown key {quoted(key)}; {nearest(key, ('kinds', 'note'))}"
                )
            kinds = self.texts(entry, "kinds", at, shown=day)
            for kind in kinds:
                if kind not in PLAN_KINDS:
                    self.problem(at, day, f"no kind {quoted(kind)}; {nearest(kind, PLAN_KINDS)}")
            days.append(Day(day, kinds, self.text(entry, "note", at, False)))
        return tuple(days)

    def picture(self, text: str, at: At, key: str) -> Picture | None:
        if not text:
            return None
        try:
            return self.find_picture(text)
        except TableworkError as error:
            self.problem(at, key, str(error))
            return None

    def step(self, text: str, at: At, key: str) -> Step | None:
        """A word of the theme, or a word with its picture such as ``egg:1F95A``."""
        word, colon, spec = (part.strip() for part in text.partition(":"))
        known = self.words.get(text.casefold())
        if known is not None:
            return Step(known.text, known.picture)
        if text.casefold() in self.broken:
            return None
        if not colon or not word:
            near = difflib.get_close_matches(text.casefold(), self.words, n=1)
            hint = f"did you mean {near[0]}? or " if near else ""
            self.problem(
                at, key, f'no word {quoted(text)} in the theme; {hint}write it with its picture, '
                f'such as "egg:1F95A"'
            )  # fmt: skip
            return None
        picture = self.picture(spec or word, at, key)
        return None if picture is None else Step(word, picture)

    def steps(
        self, row: Mapping[str, Any], key: str, at: At, needed: bool = True, shown: str = ""
    ) -> tuple[Step, ...]:
        texts = self.texts(row, key, at, needed, shown)
        steps = (self.step(text, at, shown or key) for text in texts)
        return tuple(step for step in steps if step is not None)
