"""What a pattern page asks: which rows, how they repeat, and what is left for the child to do."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast, get_args

from shapes.errors import InputError
from shapes.pictures.pictures import Picture, resolve
from sheets.check.guidance import setting
from sheets.kinds.options import Options
from sheets.kinds.pattern.rows import (
    FORMS,
    MOST_FOR_LOW_VISION,
    SINGLE_ROW,
    Form,
    Row,
    draw_units,
    for_every_eye,
    make_row,
    needs_hatch,
    single_row,
)
from sheets.page import palette
from sheets.theme.theme import PATTERN_SHAPES, Cell, PatternUnit, Step, Theme

Answer = Literal["tiles", "boxes"]
ANSWERS: tuple[Answer, ...] = get_args(Answer)
ModelAt = Literal["above", "below"]
MODELS: tuple[ModelAt, ...] = get_args(ModelAt)

TITLES = {
    "en": "Patterns",
    "es": "Patrones",
    "fr": "Suites",
    "de": "Muster",
    "it": "Sequenze",
    "pt": "Padrões",
}
"""Title of a page without a theme, by language; from memory, not checked by speakers."""


@dataclass(frozen=True, slots=True)
class PatternTask:
    """What a pattern page asks, complete.

    Args:
        hatched: colours have their hatch as well.
        remarks: further lines for the adult.
    """

    stage: int
    form: Form
    rows: tuple[Row, ...]
    answer: Answer
    title: str
    model: ModelAt = "above"
    badge: Picture | None = None
    hatched: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def kinds(self) -> tuple[Cell, ...]:
        """The different things of all rows, in the order they are met."""
        found = {cell.text: cell for row in self.rows for cell in row.cells}
        return tuple(found.values())


# --- from a theme, from words ---------------------------------------------------------------------


def pattern_from_theme(
    theme: Theme,
    stage: int,
    options: Options,
    *,
    form: str | None = None,
    unit: int | None = None,
    answer: str | None = None,
    model: str = "above",
) -> PatternTask:
    """A pattern task out of the patterns of a theme.

    Args:
        form: one of :data:`FORMS` that the stage has; None takes its first.
        unit: number of the theme's pattern, from 1; None draws among those that suit the stage.
        answer: ``tiles`` or ``boxes``; None lets stage and things decide.
        model: ``above`` or ``below`` what is copied.

    Raises:
        InputError: no such stage, form, answer or pattern, or one that does not suit the stage.
    """
    asked = _form(stage, form)
    units = list(theme.patterns)
    if unit is not None:
        if not 1 <= unit <= len(units):
            raise InputError(
                f"the theme {theme.title} has no pattern {unit}",
                where="--unit",
                fix=f"use 1 to {len(units)}" if units else "add [[patterns]] to its file",
            )
        units = [units[unit - 1]]
    pictures = tuple(Cell(step=Step(word.text, word.picture)) for word in theme.words)
    if len(pictures) >= SINGLE_ROW and asked in ("lay", "match"):
        units.append(PatternUnit(pictures))
    elif not units and len(pictures) >= SINGLE_ROW:
        units = [PatternUnit(pictures[:SINGLE_ROW])]
    if not units:
        raise InputError(
            f"the theme {theme.title} has no pattern and fewer than {SINGLE_ROW} words",
            where="--theme",
            fix="add [[patterns]] to its file",
        )
    return _task(
        stage,
        options,
        asked,
        units,
        fixed=unit is not None,
        answer=answer,
        model=model,
        title=theme.title,
        badge=theme.words[0].picture if theme.words else None,
    )


def pattern_from_words(
    words: Sequence[str],
    stage: int,
    options: Options,
    *,
    form: str | None = None,
    answer: str | None = None,
    model: str = "above",
) -> PatternTask:
    """A pattern task from the things of one unit, in order.

    Args:
        words: each a colour and a shape (``blue circle``), or a picture (word, code point or SVG
            file), or ``label:picture``.

    Raises:
        InputError: too few things, a unit that repeats itself, or one that does not suit the stage.
        PictureError, FileError: there is no such picture.
    """
    asked = _form(stage, form)
    cells = tuple(read_cell(word) for word in words)
    unit = PatternUnit(cells)
    half = unit.form[: len(cells) // 2]
    if len(cells) < 2 or unit.form in (half * 2, "A" * len(cells)):
        raise InputError(
            f"{len(cells)} thing{'' if len(cells) == 1 else 's'}"
            + (f" ({unit.form})" if len(cells) > 1 else "")
            + " make no part that repeats",
            where="words",
            fix='give each once, such as "blue circle" "yellow triangle"',
        )
    badge = next((cell.step.picture for cell in cells if cell.step is not None), None)
    return _task(
        stage,
        options,
        asked,
        [unit],
        fixed=True,
        answer=answer,
        model=model,
        title=TITLES.get(options.language.partition("-")[0].lower(), TITLES["en"]),
        badge=badge,
    )


def read_cell(text: str) -> Cell:
    """One thing of a pattern as it is written on the command line.

    Raises:
        InputError: a colour with something that is no shape, or no colour before a shape.
        PictureError, FileError: there is no such picture.
    """
    parts = text.split()
    if len(parts) == 2 and ":" not in text:
        shape = parts[1].casefold()
        if shape in PATTERN_SHAPES:
            return Cell(palette.find(parts[0]).key, shape)
        if parts[0].casefold() in palette.colours():
            raise InputError(
                f"no shape '{parts[1]}'",
                where=f"'{text}'",
                fix=f"use one of: {', '.join(PATTERN_SHAPES)}",
            )
    label, colon, spec = text.partition(":")
    picture = resolve((spec if colon else text).strip())
    word = label.strip() if colon and label.strip() else picture.name
    return Cell(step=Step(word, picture))


def _form(stage: int, form: str | None) -> Form:
    known = str(setting("pattern", stage, "forms")).split()
    if form is None:
        return cast(Form, known[0])
    if form not in FORMS:
        raise InputError(
            f"form '{form}' is not known",
            where="--form",
            fix=f"use one of: {', '.join((*FORMS, 'colour-copy'))}",
        )
    if form not in known:
        raise InputError(
            f"stage {stage} has no '{form}' page",
            where="--form",
            fix=f"use one of: {', '.join((*known, 'colour-copy'))}, or another stage",
        )
    return form


# --- putting it together --------------------------------------------------------------------------


def _task(
    stage: int,
    options: Options,
    form: Form,
    units: Sequence[PatternUnit],
    *,
    fixed: bool,
    answer: str | None,
    model: str,
    title: str,
    badge: Picture | None,
) -> PatternTask:
    if answer is not None and answer not in ANSWERS:
        raise InputError(
            f"answer '{answer}' is not known", where="--as", fix=f"use one of: {', '.join(ANSWERS)}"
        )
    if model not in MODELS:
        raise InputError(
            f"a model cannot stand '{model}'",
            where="--model",
            fix=f"use one of: {', '.join(MODELS)}",
        )
    if form == "lay" and answer == "boxes":
        raise InputError(
            "stage 0 has tiles an adult has cut, no boxes", where="--as", fix="use --as tiles"
        )
    if form in ("odd", "unit") and answer is not None:
        raise InputError(
            f"a ring is drawn on a page of form '{form}'", where="--as", fix="leave it out"
        )
    low = "low-vision" in options.needs
    if form == "odd" and low:
        raise InputError(
            f"finding the odd one shows more than {MOST_FOR_LOW_VISION} things at once",
            where="--form odd",
            fix="use --form mend on a page for low vision",
        )
    usual = cast(Answer, setting("pattern", stage, "answer"))
    if answer is None and usual == "boxes":
        # Few children can draw the pictures, so a page of boxes keeps to shapes if there are any.
        units = [unit for unit in units if _is_drawn(unit)] or units
    rng = random.Random(f"{options.seed}:{stage}:pattern:{form}")
    single = form in ("lay", "match")
    lone = single or form == "copy" or low
    count = 1 if lone else int(setting("pattern", stage, "rows") or 1)
    chosen = (
        [single_row(units, rng, fixed=fixed)]
        if single
        else draw_units(stage, form, units, rng, count=count, fixed=fixed)
    )
    remarks: list[str] = []
    if "colour-vision" in options.needs:
        chosen, changed = for_every_eye(chosen)
        remarks += changed
    rows = tuple(make_row(stage, form, cells, rng, low=low) for cells in chosen)
    pictures = any(cell.step is not None for row in rows for cell in row.cells)
    taken: Answer = answer or ("tiles" if pictures else usual)
    if form in ("odd", "unit"):
        taken = "boxes"
    return PatternTask(
        stage=stage,
        form=form,
        rows=rows,
        answer=taken,
        title=title,
        model=model,
        badge=badge,
        hatched=needs_hatch(rows) or options.ink == "saver" or "colour-vision" in options.needs,
        remarks=tuple(remarks),
    )


def _is_drawn(unit: PatternUnit) -> bool:
    return all(cell.step is None for cell in unit.cells)
