"""What a sheet is made of: a theme, or words given one by one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.pictures.picture import Picture
    from sheets.theme.theme import Theme
    from sheets.theme.words import Step


@dataclass(frozen=True, slots=True)
class Source:
    """A theme, or words given instead of one; neither for pages that need no pictures."""

    theme: Theme | None = None
    words: tuple[str, ...] = ()

    def as_theme(self, title: str) -> Theme:
        """The theme, or one of that title with the words' pictures as steps.

        Raises:
            PictureError, FileError: there is no such picture.
        """
        from sheets.theme.theme import Theme

        return self.theme_or(lambda words: Theme(title, steps=tuple(map(step_of, words))))

    def theme_or(self, of_words: Callable[[tuple[str, ...]], Theme]) -> Theme:
        """The theme, or what a kind makes of the words: a theme of one use."""
        return self.theme if self.theme is not None else of_words(self.words)


def step_of(text: str) -> Step:
    """A picture with its word: ``duck``, a code point, an SVG file, or ``label:picture``.

    Raises:
        PictureError, FileError: there is no such picture.
    """
    from shapes.pictures.pictures import resolve
    from sheets.theme.words import Step

    label, colon, spec = text.partition(":")
    picture: Picture = resolve((spec if colon else text).strip())
    return Step(label.strip() if colon and label.strip() else picture.name, picture)
