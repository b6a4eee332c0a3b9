"""Pieces for an adult to cut: so many outlines on as few sheets as a nesting gives.

Nothing here is cut by the child, so the lines are the adult's and no limit of the child's scissors
holds for them.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from shapes.affine import Affine
from shapes.basic import SHAPES, practice
from shapes.errors import InputError
from shapes.path import Path
from shapes.pictures.pictures import resolve
from sheets.check.guidance import check_stage
from sheets.kinds.cutting.fitted import standard_outline
from sheets.kinds.materials import LOOSE_LINE, LOOSE_SHORT, printed
from sheets.kinds.options import Options
from sheets.kinds.settings import amount
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.source import Source
from sheets.page.art import picture_at
from sheets.page.frame import Frame
from sheets.page.model import ADULT_GREY, Mark, Material, Role, Stroke

if TYPE_CHECKING:
    from shapes.outline.nesting import Nest, Spot
    from shapes.pictures.picture import Picture

NAME, PLAIN = "pieces", "circle"
LINE = 0.5
"""Width of the line an adult cuts along, mm."""
CYLINDER = 31.75
"""Width of the small-parts cylinder of 16 CFR 1501.4, mm."""
_SAG = 0.02
"""Chords that stand for an outline lie so far inside it at the most, mm."""
SCISSORS = Material("scissors, for the adult", 1, "adult", caution="scissors")
ADULT_CUTS = "An adult cuts the pieces out beforehand and puts the scissors away."


class Asked(Protocol):
    """What the sheet is told; see :class:`sheets.kinds.pieces.Choices`."""

    @property
    def shape(self) -> str | None: ...
    @property
    def count(self) -> int: ...
    @property
    def size(self) -> int: ...


@dataclass(frozen=True, slots=True)
class PiecesTask:
    """What is cut.

    Args:
        pictures: one piece of each in turn; none: the shape.
        count: of all pieces together.
        size: longer side of a piece, mm.
    """

    stage: int
    shape: str
    pictures: tuple[Picture, ...]
    count: int
    size: float
    badge: Picture | None = None

    @property
    def kind(self) -> str:
        """The kind it is a task of, whose pages lie with those of cutting."""
        return NAME

    @property
    def title(self) -> str:
        return "Pieces"


@dataclass(frozen=True, slots=True)
class _Piece:
    """An outline of the size asked for, round the origin, and where its picture lies in it."""

    path: Path
    picture: Picture | None = None
    art_at: Affine | None = None


def task(source: Source, stage: int, options: Options, choices: Asked) -> PiecesTask:
    """The shape asked for, or the pictures of the words or the theme in turn.

    Raises:
        InputError: no such stage or shape, or a shape that is not closed.
        PictureError, FileError: there is no such picture.
    """
    check_stage(stage)
    pictures: tuple[Picture, ...] = ()
    if choices.shape is not None:
        closed = [name for name in SHAPES if practice(name).closed]
        if choices.shape not in closed:
            raise InputError(
                f"'{choices.shape}' is no shape to cut out",
                where="`shape`",
                fix=f"use one of: {', '.join(closed)}",
            )
    elif source.words:
        pictures = tuple(dict.fromkeys(resolve(word) for word in source.words))
    elif source.theme is not None:
        found = list({word.picture.id: word.picture for word in source.theme.words}.values())
        random.Random(f"{options.seed}:pieces").shuffle(found)
        pictures = tuple(found[: choices.count])
    badge = source.theme.badge if source.theme else None
    return PiecesTask(
        stage, choices.shape or PLAIN, pictures, choices.count, float(choices.size), badge
    )


def draw(task: PiecesTask, options: Options, sheet: SheetBuilder) -> None:
    """As many pages as the pieces need.

    Raises:
        FitError: a piece is larger than a page.
        InputError: pieces that a child who mouths things must not have.
    """
    from shapes.outline.densest import nest
    from shapes.outline.nesting import Room

    pieces = _pieces(task)
    least = min(min(p.path.bbox.width, p.path.bbox.height) for p in pieces)
    if "mouths-objects" in options.needs and least < CYLINDER:
        raise InputError(
            f"pieces {least:.0f} mm wide are small parts for a child who mouths things",
            where="`size`",
            fix=f"use {int(task.size * CYLINDER / least) + 1} or more",
        )
    work = Frame(options.paper).work
    rim = LINE + 2.0 * _SAG
    gap = amount(NAME, task.stage, "gap") + rim
    room = Room(work.width - rim, work.height - rim, gap)
    counts = [len(range(i, task.count, len(pieces))) for i in range(len(pieces))]
    nested = nest([piece.path.flatten(_SAG) for piece in pieces], counts, room)
    caution = LOOSE_SHORT.format("Pieces") if least >= CYLINDER else _small(least)
    sheet.entitle("pieces")
    for number, spots in enumerate(nested.sheets, start=1):
        sheet.page(
            _marks(spots, pieces, options),
            f"sheet {number}",
            ask=["pieces"],
            say=(ADULT_CUTS, _line(nested, number, task.count)),
            caution=caution,
            stock="card",
        )
    _adult(task, sheet, len(nested.sheets), least)
    sheet.record(
        pieces=task.count,
        on_each_sheet=[len(spots) for spots in nested.sheets],
        nesting=nested.method,
        density=round(nested.density, 3),
        grid_density=round(nested.grid_density, 3),
    )


def _adult(task: PiecesTask, sheet: SheetBuilder, sheets: int, least: float) -> None:
    """Materials, preparation, cautions."""
    sheet.needs(*[printed("sheet of pieces, on card", "small-parts")] * sheets, SCISSORS)
    sheet.prepare(f"Cut out the {task.count} pieces along the thin lines; put the scissors away.")
    sheet.caution(LOOSE_LINE.format("Pieces") if least >= CYLINDER else _small(least))


def _small(least: float) -> str:
    return (f"Pieces are {least:.0f} mm wide and so small parts: not for a child under three or "
            "one who mouths things.")  # fmt: skip


def _line(nested: Nest, number: int, count: int) -> str:
    """How many pieces there are, and how well they fill the paper."""
    here, sheets = len(nested.sheets[number - 1]), len(nested.sheets)
    fills = f"{100 * nested.density:.0f} % of the room they take"
    grid = f"{100 * nested.grid_density:.0f} %"
    where = f" (sheet {number} of {sheets})" if sheets > 1 else ""
    return f"{here} of {count} pieces{where}; they fill {fills}, in a grid {grid}."


def _pieces(task: PiecesTask) -> list[_Piece]:
    if not task.pictures:
        path = practice(task.shape)
        return [_Piece(path.transformed(_to_size(path, task.size)))]
    found = []
    for picture in task.pictures:
        fitted = standard_outline_of(picture, task.stage)
        to_size = _to_size(fitted[0], task.size)
        found.append(_Piece(fitted[0].transformed(to_size), picture, fitted[1].then(to_size)))
    return found


def standard_outline_of(picture: Picture, stage: int) -> tuple[Path, Affine]:
    """The outline that the stage gives a picture on its own page, and where the picture lies."""
    from sheets.kinds.cutting.store import stored_outline

    drawn = int(amount(NAME, stage, "outline_stage"))
    fitted = stored_outline(picture, drawn) or standard_outline(picture, drawn)
    return fitted.path, fitted.art_at


def _to_size(path: Path, size: float) -> Affine:
    """The map that makes an outline so large, its middle at the origin."""
    (x, y), box = path.bbox.center, path.bbox
    return Affine.translation(-x, -y).then(Affine.scaling(size / max(box.width, box.height)))


def _marks(spots: Sequence[Spot], pieces: Sequence[_Piece], options: Options) -> list[Mark]:
    """The outlines of a sheet as one mark of the adult's, with the pictures in them."""
    from shapes.outline.nesting import turned

    work = Frame(options.paper).work
    left, top = work.x0 + LINE / 2.0 + _SAG, work.y1 - LINE / 2.0 - _SAG
    rings = [piece.path.flatten(_SAG) for piece in pieces]
    paths: list[Path] = []
    marks: list[Mark] = []
    for number, spot in enumerate(spots, start=1):
        piece = pieces[spot.piece]
        there = Affine.translation(left + spot.x, top - spot.y)
        at = turned(rings[spot.piece], spot.turn).at.then(there)
        paths.append(piece.path.transformed(at))
        if piece.picture is not None and piece.art_at is not None:
            marks.append(picture_at(piece.picture, piece.art_at.then(at), colour=options.colour,
                                    id=f"picture-{number}"))  # fmt: skip
    outlines = Stroke(tuple(paths), LINE, Role.ADULT, id="pieces", colour=ADULT_GREY)
    return [*marks, outlines]
