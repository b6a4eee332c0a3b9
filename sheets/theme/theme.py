"""A theme: words with pictures, what the kinds of sheet read from its file, and a week's plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar, cast

from shapes.errors import InputError
from shapes.letters.font import can_be_printed
from shapes.pictures.names import Name, name
from shapes.pictures.picture import Picture
from sheets.theme.problems import ProblemsError
from sheets.theme.section import Section
from sheets.theme.words import Step, Word

__all__ = ["DAYS", "Day", "Step", "Theme", "ThemeError", "Word"]

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

T = TypeVar("T")


class ThemeError(ProblemsError):
    """What is wrong with a theme file, one line for each problem."""


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the plan: kinds of sheet in order, and a note for the adult."""

    day: str
    kinds: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Theme:
    """A checked theme file, or what words given one by one make of it.

    Args:
        slug: short name, such as ``reedy-pond``.
        languages: language tags, the main one first.
        unchecked: languages whose names in the file no speaker has checked yet.
        sections: rows of the kinds' own tables by name, see :meth:`rows`.
        steps: pictures in those rows.
        warnings: one line for each thing to look at again.
    """

    title: str
    slug: str = ""
    languages: tuple[str, ...] = ("en",)
    unchecked: tuple[str, ...] = ()
    words: tuple[Word, ...] = ()
    sections: Mapping[str, tuple[object, ...]] = field(default_factory=dict, hash=False)
    steps: tuple[Step, ...] = ()
    plan: tuple[Day, ...] = ()
    warnings: tuple[str, ...] = ()

    def rows(self, section: Section[T]) -> tuple[T, ...]:
        """The rows of a kind's section; none if the file has none."""
        return cast(tuple[T, ...], self.sections.get(section.name, ()))

    @property
    def badge(self) -> Picture | None:
        """The small picture in the head of every page: that of the first word."""
        return self.words[0].picture if self.words else None

    def shown_name(self, text: str, language: str) -> Name | None:
        """The name of one of the theme's words or steps in a language.

        The teacher's own name comes first, then that of the Unicode CLDR, which nobody here has
        checked. None if there is neither, or no font for it: the page then leaves a blank line to
        write on.

        Raises:
            InputError: the text is no word and no step of the theme.
        """
        found = self.known_name(text, language)
        in_main = language in ("", self.languages[0])
        return found if found is None or in_main or can_be_printed(found.text) else None

    def known_name(self, text: str, language: str) -> Name | None:
        """The same, whether there is a font for it or not."""
        if language in ("", self.languages[0]):
            return Name(text, True, "theme")
        word = next((word for word in self.words if word.text == text), None)
        for tag in (language, language.partition("-")[0]):
            if word is not None and tag in word.names:
                return Name(word.names[tag], tag not in self.unchecked, "theme")
        # Of steps with one name the last has the picture.
        named = [word] if word else [step for step in self.steps if step.word == text]
        picture = named[-1].picture if named else None
        if picture is None:
            raise InputError(f'"{text}" is no word of the theme {self.title}')
        return name(picture.id, language)
