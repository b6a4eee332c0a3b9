"""What a pattern page asks: which rows, how they repeat, and what is left for the child to do."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast, get_args

from shapes.errors import InputError
from shapes.pictures.picture import Picture
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low
from sheets.kinds.pattern import COLOUR_COPY, PatternChoices
from sheets.kinds.pattern.rows import (
    FORMS,
    SINGLE_ROW,
    Form,
    Row,
    can_make,
    draw_units,
    for_every_eye,
    make_row,
    needs_hatch,
    single_row,
)
from sheets.kinds.pattern.section import PATTERNS, SHAPES, Cell, PatternUnit
from sheets.kinds.settings import setting
from sheets.kinds.source import Source, step_of
from sheets.page import palette
from sheets.theme.theme import Step, Theme

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


_LONG_UNITS_FROM = 4  # stage from which units have three things or four


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


# --- from a theme or words ------------------------------------------------------------------------


def task(source: Source, stage: int, options: Options, choices: PatternChoices) -> PatternTask:
    """A task out of the patterns of a theme, or from the things of one unit in order.

    Words are each a colour and a shape (``blue circle``), or a picture (word, code point or SVG
    file), or ``label:picture``.

    Raises:
        InputError: no such stage, form, answer or pattern, or one that does not suit the stage.
        PictureError, FileError: there is no such picture.
    """
    asked = _form(stage, choices.form)
    if source.words and choices.unit is not None:
        raise InputError("words are the pattern themselves", where="`unit`", fix="drop it")
    theme = source.theme_or(lambda words: _theme_of(words, options))
    rows = theme.rows(PATTERNS)
    units = list(rows)
    if choices.unit is not None:
        if not 1 <= choices.unit <= len(units):
            raise InputError(
                f"the theme {theme.title} has no pattern {choices.unit}",
                where="`unit`",
                fix=f"use 1 to {len(units)}" if units else "add [[patterns]] to its file",
            )
        units = [units[choices.unit - 1]]
    pictures = tuple(Cell(step=Step(word.text, word.picture)) for word in theme.words)
    if len(pictures) >= SINGLE_ROW and choices.unit is None and units:
        units.append(PatternUnit(pictures))
    elif not units and len(pictures) >= SINGLE_ROW:
        units = [PatternUnit(pictures[:SINGLE_ROW])]
    if not units:
        raise InputError(
            f"the theme {theme.title} has no pattern and fewer than {SINGLE_ROW} words",
            where="`theme`",
            fix="add [[patterns]] to its file",
        )
    fixed = choices.unit is not None or bool(source.words)
    badge = theme.badge or next((step.picture for step in theme.steps), None)
    return _complete(
        _Asked(stage, asked, choices.answer, choices.model, theme.title, badge),
        options,
        units,
        fixed=fixed,
    )


def _theme_of(words: tuple[str, ...], options: Options) -> Theme:
    """A theme of one use with one pattern."""
    cells = tuple(read_cell(word) for word in words)
    unit = PatternUnit(cells)
    if len(cells) < 2 or unit.repeats_itself:
        raise InputError(
            f"{len(cells)} thing{'' if len(cells) == 1 else 's'}"
            + (f" ({unit.form})" if len(cells) > 1 else "")
            + " make no part that repeats",
            where="words",
            fix='give each once, such as "blue circle" "yellow triangle"',
        )
    title = TITLES.get(options.language.partition("-")[0].lower(), TITLES["en"])
    steps = tuple(cell.step for cell in cells if cell.step is not None)
    return Theme(title, sections={PATTERNS.name: (unit,)}, steps=steps)


def read_cell(text: str) -> Cell:
    """One thing of a pattern as it is written on the command line.

    Raises:
        InputError: a colour with something that is no shape, or no colour before a shape.
        PictureError, FileError: there is no such picture.
    """
    parts = text.split()
    if len(parts) == 2 and ":" not in text:
        shape = parts[1].casefold()
        if shape in SHAPES:
            return Cell(palette.find(parts[0]).key, shape)
        if parts[0].casefold() in palette.colours():
            raise InputError(
                f"no shape '{parts[1]}'",
                where=f"'{text}'",
                fix=f"use one of: {', '.join(SHAPES)}",
            )
    return Cell(step=step_of(text))


def _form(stage: int, form: str | None) -> Form:
    known = str(setting("pattern", stage, "forms")).split()
    if form is None:
        return cast(Form, known[0])
    if form not in FORMS:
        raise InputError(
            f"there is no task '{form}'",
            where="`form`",
            fix=f"use one of: {', '.join((*FORMS, COLOUR_COPY))}",
        )
    if form not in known:
        raise InputError(
            f"stage {stage} has no '{form}' page",
            where="`form`",
            fix=f"use one of: {', '.join((*known, COLOUR_COPY))}, or another stage",
        )
    return form


# --- putting it together --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked for, before rows are drawn."""

    stage: int
    form: Form
    answer: str | None
    model: str
    title: str
    badge: Picture | None


def _complete(
    asked: _Asked, options: Options, units: Sequence[PatternUnit], *, fixed: bool
) -> PatternTask:
    stage, form, answer, model = asked.stage, asked.form, asked.answer, asked.model
    _refuse(form, answer, model, low=is_low(options))
    usual = cast(Answer, setting("pattern", stage, "answer"))
    if not fixed:
        units = _of_one_look(units, stage, form, answer, options)
    rng = random.Random(f"{options.seed}:{stage}:pattern:{form}")
    single = form in ("lay", "match")
    low = is_low(options)
    drawn = all(_is_drawn(unit) for unit in units)
    count = 1 if single or low else _row_count(stage, form, answer, drawn=drawn)
    if fixed:  # of one part there is itself and itself in another order
        count = min(count, 2)
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
    taken: Answer = cast(Answer, answer) if answer else "tiles" if pictures else usual
    if form in ("odd", "unit"):
        taken = "boxes"
    return PatternTask(
        stage=stage,
        form=form,
        rows=rows,
        answer=taken,
        title=asked.title,
        model=cast(ModelAt, model),
        badge=asked.badge,
        hatched=needs_hatch(rows) or options.ink == "saver" or "colour-vision" in options.needs,
        remarks=tuple(remarks),
    )


def _refuse(form: Form, answer: str | None, model: str, *, low: bool) -> None:
    """Raise InputError for an answer or a model that does not exist or does not suit the form."""
    if answer is not None and answer not in ANSWERS:
        raise InputError(
            f"answer '{answer}' is not known", where="`as`", fix=f"use one of: {', '.join(ANSWERS)}"
        )
    if model not in MODELS:
        raise InputError(
            f"the row to copy cannot lie '{model}'",
            where="`model`",
            fix=f"use one of: {', '.join(MODELS)}",
        )
    if form == "lay" and answer == "boxes":
        raise InputError(
            "stage 0 has tiles an adult has cut, no boxes", where="`as`", fix="use `as` tiles"
        )
    if form in ("odd", "unit") and answer is not None:
        raise InputError(
            f"a ring is drawn on the page of this task, '{form}'", where="`as`", fix="leave it out"
        )
    if form == "odd" and low:
        raise InputError(
            f"finding the odd one shows more than {MOST_FOR_LOW_VISION} things at once",
            where="`form` odd",
            fix="use `form` mend on a page for low vision",
        )


def _of_one_look(
    units: Sequence[PatternUnit], stage: int, form: Form, answer: str | None, options: Options
) -> Sequence[PatternUnit]:
    """The pictures of the theme or its coloured shapes, taken in turn: pictures at even seeds.

    Where boxes are asked for there are shapes, as few children can draw the pictures. A look
    without enough different things gives way to the other one. So do pictures where a long unit
    is copied: one line of tiles holds no more than the unit, so that all lines would be the same.
    """
    pictures = [unit for unit in units if not _is_drawn(unit)]
    shapes = [unit for unit in units if _is_drawn(unit)]
    long_copy = form == "copy" and stage >= _LONG_UNITS_FROM
    first_pictures = answer != "boxes" and options.seed % 2 == 0 and not long_copy
    looks = [pictures, shapes] if first_pictures else [shapes, pictures]
    able = [look for look in looks if form in ("lay", "match") or can_make(stage, form, look)]
    return next((look for look in able if look), units)


def _row_count(stage: int, form: Form, answer: str | None, *, drawn: bool) -> int:
    """Rows of a page: more where they are of shapes with boxes, and in the stage's first form."""
    usual = str(setting("pattern", stage, "answer"))
    taken = answer or (usual if drawn else "tiles")
    first = str(setting("pattern", stage, "forms")).split()[0]
    if form == first and taken == usual:
        return int(setting("pattern", stage, "rows") or 1)
    return 1 if form == "copy" else int(setting("pattern", stage, "rows_of_other_pages") or 1)


def _is_drawn(unit: PatternUnit) -> bool:
    return all(cell.step is None for cell in unit.cells)
