"""The patterns of a theme file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from shapes.errors import InputError
from sheets.page import palette
from sheets.theme.fields import At
from sheets.theme.problems import count_of, nearest, quoted
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.words import Step

SHAPES = (
    "circle",
    "square",
    "triangle",
    "rectangle",
    "diamond",
    "hexagon",
    "star",
    "heart",
)
LONGEST_UNIT = 4
"""Most cells in a pattern unit (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a pattern: a coloured shape, or a picture of the theme (``step`` is not None).

    Args:
        colour: key of ``sheets.page.palette``; empty for a picture.
        shape: one of :data:`SHAPES`; empty for a picture.
    """

    colour: str = ""
    shape: str = ""
    step: Step | None = None

    @property
    def text(self) -> str:
        """Such as ``blue circle``, or the word."""
        return self.step.word if self.step is not None else f"{self.colour} {self.shape}"


@dataclass(frozen=True, slots=True)
class PatternUnit:
    """The part of a pattern that repeats."""

    cells: tuple[Cell, ...]

    @property
    def form(self) -> str:
        """Such as ``AB`` or ``ABB``."""
        kinds = list(dict.fromkeys(cell.text for cell in self.cells))
        return "".join(chr(ord("A") + kinds.index(cell.text)) for cell in self.cells)

    @property
    def repeats_itself(self) -> bool:
        """Whether a shorter unit makes the same rows."""
        count = len(self.cells)
        half = self.form[: count // 2]
        return self.form in (half * 2, "A" * count)


def read_pattern(reader: ThemeReader, row: Mapping[str, Any], at: At) -> PatternUnit:
    """A row of the table."""
    texts = reader.texts(row, "unit", at)
    cells = [cell for text in texts if (cell := _cell(reader, text, at)) is not None]
    unit = PatternUnit(tuple(cells))
    if texts and not 2 <= len(texts) <= LONGEST_UNIT:
        reader.problem(at, "unit", f"{count_of(len(texts), 'cell')}; give 2 to {LONGEST_UNIT}")
    elif cells and len(cells) == len(texts) and unit.repeats_itself:
        reader.problem(at, "unit", f"{unit.form} repeats itself; give it once, of different cells")
    shapes = {cell.shape for cell in cells if cell.shape}
    colours = {cell.colour for cell in cells if cell.colour}
    if len(shapes) == 1 < len(colours):
        reader.remark(
            at, "unit", "the cells differ in colour only; a shape of its own for each colour "
            "helps children who see colours otherwise"
        )  # fmt: skip
    return unit


def _cell(reader: ThemeReader, text: str, at: At) -> Cell | None:
    parts = text.split()
    if text.casefold() in reader.words or ":" in text or len(parts) != 2:
        step = reader.step(text, at, "unit")
        return Cell(step=step) if step is not None else None
    colour, shape = parts[0], parts[1].casefold()
    try:
        key = palette.find(colour).key
    except InputError as error:
        reader.problem(at, "unit", str(error))
        return None
    if shape not in SHAPES:
        reader.problem(at, "unit", f"no shape {quoted(parts[1])}; {nearest(shape, SHAPES)}")
        return None
    return Cell(key, shape)


def _steps(unit: PatternUnit) -> Iterable[Step]:
    return (cell.step for cell in unit.cells if cell.step is not None)


PATTERNS: Section[PatternUnit] = Section(
    "patterns",
    ("unit",),
    read_pattern,
    steps=_steps,
    starter="""\
# --- patterns: the part that repeats, two to four cells ------------------------------------------
# A cell is a colour and a shape, or a word from above. A shape of its own for each colour helps
# children who see colours otherwise, and black-and-white printers.

[[patterns]]
unit = ["orange triangle", "blue circle"]

[[patterns]]
unit = ["carrot", "tomato", "tomato"]
""",
)
