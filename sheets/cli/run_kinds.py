"""What the commands of the kinds with themes do: choose between theme and words, and make."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from shapes.errors import InputError
from sheets.kinds.options import Options
from sheets.page.model import Sheet

if TYPE_CHECKING:
    from sheets.theme.theme import Theme


def target(out: Path | None, kind: str, theme: str | None, words: Sequence[str] | None) -> Path:
    """The file to write: as asked, else named after the kind and its theme or first word."""
    from sheets.cli.run import slug

    if out is not None:
        return out
    subject = theme or (words[0] if words else "")
    return Path(f"{kind}-{slug(Path(subject).stem if theme else subject)}.pdf")


def _theme(name: str | None, given: Sequence[str], what: str) -> Theme | None:
    """The theme, None if words are given instead; both or neither is one line of error."""
    from sheets.theme.theme import load

    if name is None and not given:
        raise InputError(
            f"neither a theme nor {what} given", fix="add --theme, such as --theme reedy-pond"
        )
    if name is not None and given:
        raise InputError(f"both a theme and {what} given", where="--theme", fix="give only one")
    return None if name is None else load(name)


def trace_match(
    words: Sequence[str],
    theme: str | None,
    stage: int,
    options: Options,
    form: Literal["objects", "shadow"] | None,
    things: Sequence[str],
    laminate: bool,
) -> Sheet:
    """The sheet of ``tablework trace-match``."""
    from sheets.kinds.trace_match import pages as kind

    if words and things:
        raise InputError("both words and things given", where="--thing", fix="give only one")
    if words:
        _theme(theme, words, "words")
        return kind.make(kind.from_words(words, stage, options, laminate=laminate), options)
    if theme is None and things:
        return kind.make(kind.from_things(things, stage, options), options)
    loaded = _theme(theme, (), "words or things")
    assert loaded is not None
    task = kind.from_theme(loaded, stage, options, form=form, things=things, laminate=laminate)
    return kind.make(task, options)


def letter_match(
    words: Sequence[str],
    theme: str | None,
    stage: int,
    options: Options,
    form: str | None,
    layout: str | None,
    letters: Sequence[str],
    turned: bool,
) -> Sheet:
    """The sheet of ``tablework letter-match``."""
    from sheets.kinds.letter_match import pages as kind

    loaded = _theme(theme, words or letters if theme is None else words, "words")
    if loaded is not None:
        task = kind.from_theme(
            loaded, stage, options, form=form, layout=layout, letters=letters, turned=turned
        )
    else:
        task = kind.from_words(
            words, stage, options, form=form, layout=layout, letters=letters, turned=turned
        )
    return kind.make(task, options)


def sequence(
    words: Sequence[str],
    theme: str | None,
    stage: int,
    options: Options,
    which: str | None,
    steps: int | None,
    labels: bool,
    wheel: bool,
    laminate: bool,
    cut_by: Literal["adult", "child"] | None,
    backs: Literal["fold", "long", "short"] | None,
) -> Sheet:
    """The sheet of ``tablework sequence``."""
    from sheets.kinds.sequence import pages as kind

    loaded = _theme(theme, words, "words")
    if loaded is not None:
        task = kind.from_theme(
            loaded,
            stage,
            options,
            sequence=which,
            steps=steps,
            labels=labels,
            wheel=wheel,
            laminate=laminate,
            cut_by=cut_by,
            backs=backs,
        )
    else:
        if which is not None:
            raise InputError("words have no sequence to choose", where="--sequence", fix="drop it")
        task = kind.from_words(
            list(words),
            stage,
            options,
            steps=steps,
            labels=labels,
            wheel=wheel,
            laminate=laminate,
            cut_by=cut_by,
            backs=backs,
        )
    return kind.make(task, options)


def pattern(
    words: Sequence[str],
    theme: str | None,
    stage: int,
    options: Options,
    form: str | None,
    unit: int | None,
    answer: str | None,
    model: str,
) -> Sheet:
    """The sheet of ``tablework pattern``."""
    from sheets.kinds.pattern import pages as kind

    loaded = _theme(theme, words, "words")
    if loaded is not None:
        task = kind.from_theme(
            loaded, stage, options, form=form, unit=unit, answer=answer, model=model
        )
    else:
        if unit is not None:
            raise InputError("words are the unit themselves", where="--unit", fix="drop it")
        task = kind.from_words(words, stage, options, form=form, answer=answer, model=model)
    return kind.make(task, options)
