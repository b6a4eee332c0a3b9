"""Rows of a pattern page: which unit repeats in them, and which place is empty or wrong."""

from __future__ import annotations

import dataclasses
import itertools
import random
from collections.abc import Sequence, Set
from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from shapes.errors import InputError
from sheets.check.guidance import limits
from sheets.kinds.options import MOST_FOR_LOW_VISION
from sheets.kinds.pattern.section import Cell, PatternUnit
from sheets.kinds.settings import setting
from sheets.page import palette

Form = Literal["lay", "match", "mend", "odd", "copy", "carry-on", "unit"]
FORMS: tuple[Form, ...] = get_args(Form)

SINGLE_ROW = 3
"""Things in a row that does not repeat."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row, as it is when it is right.

    Args:
        cells: all of its things.
        unit: length of the part that repeats; of all cells in a row that does not repeat.
        empty: places, counted from 0, that the child fills.
        odd: place and thing of the one that is printed wrong; None if none is.
    """

    cells: tuple[Cell, ...]
    unit: int
    empty: tuple[int, ...] = ()
    odd: tuple[int, Cell] | None = None

    @property
    def form(self) -> str:
        """Such as ``ABB``."""
        return PatternUnit(self.cells[: self.unit]).form

    def printed(self, place: int) -> Cell | None:
        """What the child sees at a place; None if it is empty."""
        if place in self.empty:
            return None
        if self.odd is not None and self.odd[0] == place:
            return self.odd[1]
        return self.cells[place]


# --- units ----------------------------------------------------------------------------------------


def single_row(
    units: Sequence[PatternUnit], rng: random.Random, *, fixed: bool
) -> tuple[Cell, ...]:
    """Different things for a row that does not repeat; more than one unit's if one has too few."""
    first = units[0] if fixed else rng.choice(list(units))
    cells = list(_kinds(first))
    if not fixed:
        rng.shuffle(cells)
    others = list(units)
    rng.shuffle(others)
    for unit in others:
        # Colours with colours and pictures with pictures: one row has one look.
        cells += [
            cell
            for cell in _kinds(unit)
            if (cell.step is None) == (cells[0].step is None)
            and all(cell.text != other.text for other in cells)
            and all(not cell.shape or cell.shape != other.shape for other in cells)
        ]
    row = cells[:SINGLE_ROW]
    if not fixed:
        rng.shuffle(row)
    return tuple(row)


def _kinds(unit: PatternUnit) -> tuple[Cell, ...]:
    return tuple({cell.text: cell for cell in unit.cells}.values())


def draw_units(
    stage: int,
    form: Form,
    units: Sequence[PatternUnit],
    rng: random.Random,
    *,
    count: int,
    fixed: bool,
) -> list[tuple[Cell, ...]]:
    """As many units as there are rows, of forms that suit the stage, different ones if possible."""
    suited = _suited(stage, form)
    if fixed and (given := units[0]).form not in suited:
        longest = limits("pattern", stage)["unit_length"].maximum
        too_long = longest is not None and len(given.cells) > longest
        raise InputError(
            f"{given.form} is no '{form}' pattern of stage {stage}"
            + (f", whose repeating part has at most {longest:g} things" if too_long else ""),
            where="unit",
            fix=f"give {' or '.join(suited)}, or take another stage or `form`",
        )
    if fixed:
        cells = units[0].cells
        return [cells, *(_swapped(cells) for _ in range(count - 1))]
    most = max(len(_kinds(unit)) for unit in units)
    able = [shape for shape in suited if len(set(shape)) <= most]
    if not able:
        need = min(len(set(shape)) for shape in suited)
        raise InputError(
            f"no pattern has {need} different things",
            where="[[patterns]]",
            fix="give one three of them, or three [[words]] with pictures",
        )
    drawn: list[tuple[Cell, ...]] = []
    for _ in range(count):
        drawn.append(_another(able, units, drawn, rng))
    return drawn


def can_make(stage: int, form: Form, units: Sequence[PatternUnit]) -> bool:
    """Whether one of the units has as many different things as a form of the stage needs."""
    needs = [len(set(shape)) for shape in _suited(stage, form)]
    return any(len(_kinds(unit)) >= min(needs) for unit in units)


def _suited(stage: int, form: Form) -> list[str]:
    """The forms of units that suit a page, such as ``ABB``."""
    first = str(setting("pattern", stage, "forms")).split()[0]
    name = "units" if form == first else "units_of_other_forms"
    return str(setting("pattern", stage, name)).split()


def _another(
    able: Sequence[str],
    units: Sequence[PatternUnit],
    drawn: Sequence[tuple[Cell, ...]],
    rng: random.Random,
) -> tuple[Cell, ...]:
    """A unit of things that no row of the page has yet, of the theme's own ones if it can be.

    Where every set of things has been taken, one of them in another order.

    Args:
        able: forms that suit, such as ``ABB``, for which the units have enough different things.
    """
    taken = [_things(cells) for cells in drawn]
    free = {
        shape: [s for s in _sets(units, len(set(shape))) if _things(s) not in taken]
        for shape in able
    }
    shape = rng.choice([shape for shape in able if free[shape]] or list(able))
    natural = [u.cells for u in units if u.form == shape and _things(u.cells) not in taken]
    if natural:
        return rng.choice(natural)
    need = len(set(shape))
    things = rng.sample(rng.choice(free[shape] or _sets(units, need)), need)
    cells = tuple(things[ord(letter) - ord("A")] for letter in shape)
    return _swapped(cells) if cells in drawn else cells


def _sets(units: Sequence[PatternUnit], need: int) -> list[tuple[Cell, ...]]:
    """So many different things of one unit, every choice of them once."""
    found = {
        _things(things): things
        for unit in units
        for things in itertools.combinations(_kinds(unit), need)
    }
    return list(found.values())


def _things(cells: Sequence[Cell]) -> frozenset[str]:
    return frozenset(cell.text for cell in cells)


def _swapped(cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """The same form with each kind in the place of the one before it."""
    kinds = list({cell.text: cell for cell in cells}.values())
    after = {kind.text: kinds[(i + 1) % len(kinds)] for i, kind in enumerate(kinds)}
    return tuple(after[cell.text] for cell in cells)


def make_row(
    stage: int, form: Form, cells: tuple[Cell, ...], rng: random.Random, *, low: bool
) -> Row:
    length = len(cells)
    if form == "lay":
        return Row(cells, length, empty=tuple(range(length)))
    if form == "match":
        shown = rng.randrange(length)
        most = int(limits("pattern", stage)["cells_to_fill"].maximum or length)
        kept = {(shown + i) % length for i in range(max(1, length - most))}
        return Row(cells, length, empty=tuple(i for i in range(length) if i not in kept))
    name = "units_to_mend" if form == "mend" else "units_in_row"
    units = int(setting("pattern", stage, name) or 3)
    whole = cells * units
    if form == "mend":
        return Row(whole, length, empty=(rng.randrange(1, len(whole) - 1),))
    if form == "odd":
        shape = PatternUnit(cells).form
        wrong = wrong_things(shape, units)
        at = rng.choice(sorted({place for place, _ in wrong}))
        letter = rng.choice([letter for place, letter in wrong if place == at])
        return Row(whole, length, odd=(at, cells[shape.index(letter)]))
    if form == "carry-on":
        row = whole + cells
        return Row(row, length, empty=tuple(range(len(whole), len(row))))
    if form == "copy":
        most = MOST_FOR_LOW_VISION if low else _most_to_fill(stage)
        given = -(-max(0, len(whole) - most) // length) * length
        return Row(whole, length, empty=tuple(range(given, len(whole))))
    return Row(whole, length)


def _most_to_fill(stage: int) -> int:
    return int(limits("pattern", stage)["cells_to_fill"].maximum or 8)


# --- one answer only ------------------------------------------------------------------------------


@cache
def wrong_things(form: str, units: int) -> tuple[tuple[int, str], ...]:
    """Places of a row and what can stand there wrongly so that only mending that place helps.

    Args:
        form: of the unit, such as ``ABB``; the letters stand for its things.
        units: how often it comes.

    Returns:
        Pairs of place, counted from 0, and letter.
    """
    right = form * units
    return tuple(
        (place, letter)
        for place in range(len(right))
        for letter in sorted(set(form))
        if _mendings(_with(right, place, letter), set(form)) == {place}
    )


def _mendings(row: str, letters: Set[str]) -> set[int]:
    """The places of which one other letter would make the row repeat; none if it repeats as it is.

    A row repeats if a part of it comes at least twice.
    """
    if _repeats(row):
        return set()
    return {
        i
        for i in range(len(row))
        for letter in letters
        if letter != row[i] and _repeats(_with(row, i, letter))
    }


def _with(row: str, place: int, letter: str) -> str:
    return row[:place] + letter + row[place + 1 :]


def _repeats(row: str) -> bool:
    return any(row[unit:] == row[:-unit] for unit in range(1, len(row) // 2 + 1))


# --- colours --------------------------------------------------------------------------------------


def needs_hatch(rows: Sequence[Row]) -> bool:
    """Whether two things of a page differ by colour alone."""
    shown = {cell.text: cell for row in rows for cell in row.cells if cell.step is None}
    return len({cell.shape for cell in shown.values()}) < len(shown)


def for_every_eye(
    chosen: Sequence[tuple[Cell, ...]],
) -> tuple[list[tuple[Cell, ...]], list[str]]:
    """The rows in colours that are told apart by every eye and in grey, and what was changed."""
    keys = list(dict.fromkeys(cell.colour for cells in chosen for cell in cells if cell.colour))
    table = palette.colours()
    if len(keys) < 2 or not palette.needs_mark([table[key] for key in keys]):
        return list(chosen), []
    offered = palette.palettes(min(len(keys), 4), colour_printer=False)
    if len(keys) > 4 or not offered:
        raise InputError(
            f"{len(keys)} colours are more than can be told apart by every eye",
            where="`needs` colour-vision",
            fix="use a pattern of 2 to 4 colours",
        )
    new = dict(zip(keys, (colour.key for colour in offered[0].colours), strict=True))
    changed = [
        tuple(dataclasses.replace(c, colour=new.get(c.colour, c.colour)) for c in cells)
        for cells in chosen
    ]
    told = ", ".join(f"{new[key]} for {key}" for key in keys if new[key] != key)
    return changed, [f"Colours changed for colour vision: {told}."] if told else []
