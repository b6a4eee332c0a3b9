"""Reads words, steps and pictures of a theme file, collecting problems with their places."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from typing import Any

from shapes.errors import TableworkError
from shapes.pictures.picture import Picture
from sheets.theme.fields import At, Fields
from sheets.theme.languages import tag_problem
from sheets.theme.phonics import first_letter
from sheets.theme.problems import quoted
from sheets.theme.words import Step, Word


class ThemeReader(Fields):
    """Access to the tables of one theme file; the words come first, everything else names them.

    Args:
        where, text, keys: as for :class:`sheets.theme.fields.Fields`.
        find_picture: finds a picture by word, code points or file name.
    """

    def __init__(
        self,
        where: str,
        text: str,
        keys: Mapping[str, tuple[str, ...]],
        find_picture: Callable[[str], Picture],
    ) -> None:
        super().__init__(where, text, keys)
        self.find_picture = find_picture
        self.words: dict[str, Word] = {}
        self.broken: set[str] = set()  # words whose own problem is noted already

    def word(self, row: Mapping[str, Any], at: At, language: str) -> None:
        """Read one of the words; a word that cannot be used is noted and left out."""
        text = self.text(row, "text", at)
        picture = self.picture(self.text(row, "picture", at), at, "picture")
        letter = self.text(row, "letter", at, needed=False)
        if letter and not (len(letter) <= 3 and letter.isalpha()):
            self.problem(at, "letter", f"{quoted(letter)} is not a letter; give one to three")
        first = first_letter(text, language)
        starts = text.casefold().startswith(letter.casefold())
        # A digraph, or a letter for the sound that is heard, shows that the teacher knows.
        if text and first.warning and starts and len(letter) < 2:
            self.remark(
                at, "letter", f"{first.warning}; give the letter, or two such as sh, that you teach"
            )
        elif text and not first.warning and not starts:
            self.remark(at, "letter", f"{quoted(text)} does not begin with {letter}")
        names = self.names(row, at)
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
                text, picture, letter or first.letter, names, self.text(row, "note", at, False)
            )

    def names(self, row: Mapping[str, Any], at: At) -> dict[str, str]:
        """A word's names by language tag."""
        names = row.get("names", {})
        if not isinstance(names, dict):
            self.problem(at, "names", "not a table; write { es = ... }")
            names = {}
        for key in names:
            if found := tag_problem(key):
                self.problem(at, "names", found)
        return {key: self.text(names, key, at) for key in names}

    def picture(self, text: str, at: At, key: str) -> Picture | None:
        """The picture of that name, or None and a problem."""
        if not text:
            return None
        try:
            picture = self.find_picture(text)
        except TableworkError as error:
            self.problem(at, key, str(error))
            return None
        if picture.remark:
            self.remark(at, key, picture.remark)
        return picture

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

    def groups(self, row: Mapping[str, Any], key: str, at: At) -> dict[str, tuple[Step, ...]]:
        """A table of two or more named lists of steps."""
        table = row.get(key)
        if not isinstance(table, dict) or len(table) < 2:
            fix = f"give two {key} or more, such as {{ animal = [...], plant = [...] }}"
            self.problem(at, key, fix)
            return {}
        return {self.line(name, at, key): self.steps(table, name, at, shown=key) for name in table}

    def steps(
        self, row: Mapping[str, Any], key: str, at: At, needed: bool = True, shown: str = ""
    ) -> tuple[Step, ...]:
        """A list of steps without those that are wrong; ``shown`` names it in messages."""
        texts = self.texts(row, key, at, needed, shown)
        steps = (self.step(text, at, shown or key) for text in texts)
        return tuple(step for step in steps if step is not None)
