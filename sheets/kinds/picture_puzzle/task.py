"""Which picture a puzzle shows, and in how many pieces: one that makes a good puzzle."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapes.errors import InputError
from sheets.kinds import toolkit as kit
from sheets.kinds.child_cuts import CutBy, cutting_stage, line_mm
from sheets.kinds.options import Options
from sheets.kinds.picture_puzzle import PuzzleChoices
from sheets.kinds.picture_puzzle.alike import Judged, judged
from sheets.kinds.picture_puzzle.layout import Layout, layouts, least_piece
from sheets.kinds.settings import amount, setting
from sheets.kinds.source import Source, step_of
from sheets.theme.theme import Step, Theme

NAME = "picture-puzzle"
COUNTS = (2, 3, 4, 6, 8, 9)
"""Pieces of one size that straight cuts make; five and seven would be narrow strips."""
MOST_STRIPS = 4
"""Strips side by side that are as wide as a piece has to be."""
SEVERAL, SEVERAL_FROM = 4, 8
"""Pictures side by side, and from how many pieces on: a single one leaves corners empty."""
MOST_LARGE = 4
"""Pieces for low vision, and for a child who mouths things."""
TRIES = 12
"""Groups of four pictures that are tried."""


@dataclass(frozen=True, slots=True)
class PuzzleTask(kit.Task):
    """The picture, or four side by side, and how it is parted.

    Args:
        cutting: cutting stage of the child; None takes that of the options.
        cut_by: who cuts, whatever the stage; None leaves it to the cutting stage.
    """

    steps: tuple[Step, ...]
    columns: int
    rows: int
    strips: bool
    cutting: int | None
    cut_by: CutBy | None

    @property
    def count(self) -> int:
        """Of pieces."""
        return self.columns * self.rows

    @property
    def shown(self) -> str:
        """What is printed where the pieces go."""
        return str(setting(NAME, self.stage, "shown"))

    def layout(self, options: Options) -> Layout:
        """Sizes of the puzzle."""
        line = child_line(self.stage, self.cutting, self.cut_by, options)
        found = _layouts(self.steps, self.count, self.stage, line, self.strips)
        return next(one for one in found if one.columns == self.columns)


def child_line(stage: int, cutting: int | None, cut_by: CutBy | None, options: Options) -> float:
    """Width of the lines a child cuts along, mm; 0 if an adult cuts, as always at stage 0.

    Raises:
        InputError: see :func:`sheets.kinds.child_cuts.cutting_stage`.
    """
    at = cutting_stage(cutting, cut_by, options)
    return 0.0 if at is None or stage == 0 else line_mm(at, options)


def task(source: Source, stage: int, options: Options, choices: PuzzleChoices) -> PuzzleTask:
    """A picture that was asked for, or one drawn by ``options.seed`` among those that make a good
    puzzle; if none does, and no number was asked for, fewer pieces.

    Raises:
        InputError: no such number of pieces, no picture, or none that makes a good puzzle.
        PictureError, FileError: there is no such picture.
    """
    wanted = _pieces(stage, options, choices)
    theme = source.as_theme("")
    things = [_asked(theme, choices.picture)] if choices.picture else kit.distinct(theme, 1)
    line = child_line(stage, choices.cutting, choices.cut_by, options)
    search = _Search(stage, line, choices.strips, options)
    rng = random.Random(f"{options.seed}:{stage}:puzzle")
    counts = [n for n in reversed(COUNTS) if n <= wanted]
    for count in counts[:1] if choices.pieces else counts:
        found = search.several(things, count, rng) or search.single(things, count, rng)
        if found is not None:
            steps, layout = found
            title = theme.title or steps[0].word
            return PuzzleTask(stage, title, theme.badge, steps, layout.columns, layout.rows,
                              choices.strips, choices.cutting, choices.cut_by)  # fmt: skip
    raise _none(search, things, count, choices)


_Found = tuple[tuple[Step, ...], Layout]


@dataclass(frozen=True, slots=True)
class _Search:
    """Tries pictures in a number of pieces.

    Args:
        line: width of the lines a child cuts along; 0 if an adult cuts.
    """

    stage: int
    line: float
    strips: bool
    options: Options

    def tried(self, steps: Sequence[Step], count: int) -> Iterator[tuple[Layout, Judged]]:
        """The ways to part a picture, and what is said of them."""
        for layout in _layouts(steps, count, self.stage, self.line, self.strips):
            yield layout, judged(steps, layout, self.options)

    def several(self, things: Sequence[Step], count: int, rng: random.Random) -> _Found | None:
        """Four things side by side in many pieces; None for few pieces, or if none is good."""
        if count < SEVERAL_FROM or len(things) < SEVERAL:
            return None
        for _ in range(TRIES):
            steps = tuple(rng.sample(things, SEVERAL))
            for layout, said in self.tried(steps, count):
                if not said.fault:
                    return steps, layout
        return None

    def single(self, things: Sequence[Step], count: int, rng: random.Random) -> _Found | None:
        """One of the better half of the good pictures: those with most on their emptiest piece."""
        good: list[tuple[float, _Found]] = []
        for step in things:
            tried = self.tried((step,), count)
            first = next(((layout, said) for layout, said in tried if not said.fault), None)
            if first is not None:
                good.append((first[1].least_ink, ((step,), first[0])))
        good.sort(key=lambda one: -one[0])
        return rng.choice(good[: math.ceil(len(good) / 2)])[1] if good else None

    def fault(self, step: Step, count: int) -> str:
        """Why a picture is refused."""
        first = next((said.fault for _, said in self.tried((step,), count)), "")
        return first or f"pieces less than {least_piece(self.stage):g} mm wide"


def _pieces(stage: int, options: Options, choices: PuzzleChoices) -> int:
    """How many pieces are wanted; InputError if straight cuts do not make so many."""
    wanted = choices.pieces or int(amount(NAME, stage, "pieces"))
    most = MOST_STRIPS if choices.strips else max(COUNTS)
    counts = [n for n in COUNTS if n <= most]
    if choices.pieces and wanted not in counts:
        raise InputError(
            f"{wanted} {'strips' if choices.strips else 'pieces'} cannot be cut",
            where="`pieces`",
            fix=f"use {', '.join(map(str, counts[:-1]))} or {counts[-1]}",
        )
    if kit.is_low(options) or "mouths-objects" in options.needs:
        most = min(most, MOST_LARGE)
    return min(wanted, most)


def _asked(theme: Theme, wanted: str) -> Step:
    """The picture asked for: a word of the theme, or any picture."""
    known = kit.distinct(theme, 0)
    return next(
        (step for step in known if step.word.casefold() == wanted.strip().casefold()), None
    ) or step_of(wanted)


def _layouts(
    steps: Sequence[Step], count: int, stage: int, line: float, strips: bool
) -> list[Layout]:
    small = str(setting(NAME, stage, "shown")).startswith("small")
    return layouts(steps, count, stage=stage, line=line, small=small, strips=strips)


def _none(
    search: _Search, things: Sequence[Step], count: int, choices: PuzzleChoices
) -> InputError:
    """No picture makes a good puzzle: why the last one does not, and what to do."""
    other = "another picture" if len(things) == 1 else "other pictures"
    what = f"{things[-1].word} in {count} pieces has {search.fault(things[-1], count)}"
    if choices.pieces is not None and choices.pieces > COUNTS[0]:
        return InputError(what, where="`pieces`", fix=f"use fewer, or {other}")
    return InputError(what, where="`picture`" if choices.picture else "words", fix=f"use {other}")
