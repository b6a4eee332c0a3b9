"""Trace-match pages: outlines of real things at true size; the child sets each thing on its own.

The middle of a printed outline runs 1 mm outside the thing, so a thing that is a little larger than
its nominal size still leaves the line to be seen. Only one thing fits each outline: near-twins are
refused, and the guidance asks for a size difference that shrinks from stage to stage. The thing of
each outline stands beside it in small type for the adult; measures are on the key.
"""

from __future__ import annotations

import dataclasses
import itertools
import random
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.letters.font import cap_height_mm
from shapes.objects import CLEARANCE_MM, Footprint, outline
from shapes.path import BBox
from sheets.kinds.cautions import caution
from sheets.kinds.materials import PRINTED
from sheets.kinds.options import Options
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.trace_match.room import areas, box_size, difference, free_layouts, gap_mm, line_mm
from sheets.kinds.trace_match.task import TraceMatchTask, check_task, task
from sheets.page.frame import ADULT_LEADING, ADULT_SIZE_PT, wrap
from sheets.page.model import FURNITURE_GREY, Mark, Material, Paper, Role, Stroke, Text
from sheets.page.packing import Placed, placed
from sheets.page.rows import in_rows

__all__ = ["draw", "task"]

RULER = "check with a ruler: nominal sizes vary by 1 to 3 mm"
OBJECTS_LINE = "No glass, no sharp rims, no spray cans, no batteries."
RULER_LINE = "Check each thing with a ruler: nominal sizes vary by 1 to 3 mm."
_LABEL_PT = 9.0
_LEADING_MM = 4.2
_NAME_LINES = 2
_NAME_CLEAR = 1.6


def draw(task: TraceMatchTask, options: Options, sheet: SheetBuilder) -> None:
    """One page of outlines.

    Raises:
        InputError: what is asked for is refused, see
            :func:`sheets.kinds.trace_match.task.check_task`.
        FitError: the outlines do not fit the paper; the message says what to leave out.
    """
    check_task(task, options)
    board = lay_out(task, options)
    marks = outline_marks(task, options, board)
    sheet.entitle("things")
    sheet.page(
        [*marks, *name_marks(task, options, board)],
        "outlines",
        ask=["things"],
        say=_child_notes(task),
        caution=OBJECTS_LINE,
        paper=board.paper,
    )
    sheet.keep()
    _key(task, marks, board, sheet)
    sheet.needs(PRINTED, *_things(task))
    sheet.prepare(*_preparation(task))
    sheet.caution(*_cautions(task))
    sheet.record(**_parameters(task, options, board))


# --- places ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Board:
    """Where the outlines are: on which way of the paper, and their boxes in reading order.

    ``places[k].number`` counts through the things and then the outlines left over; ``room`` holds
    nothing else.
    """

    paper: Paper
    places: tuple[Placed, ...]
    room: BBox


def lay_out(task: TraceMatchTask, options: Options) -> Board:
    """Places of the outlines, drawn by ``options.seed``.

    The work area is taken if it is large enough, then everything that the furniture leaves free,
    then the same with the paper on its side.

    Raises:
        FitError: nothing is large enough; the message says what to leave out.
    """
    rng = random.Random(f"{options.seed}:{task.stage}:outlines")
    line, gap = line_mm(task.stage, options), gap_mm(task.stage, options)
    sizes = tuple(box_size(thing, line) for thing in task.outlines)
    for area in areas(options):
        found = free_layouts(sizes, area, gap)
        if found:
            stack = rng.choice(found)
            return Board(area.paper, placed(stack, sizes, area.box, gap, rng), area.box)
    raise _does_not_fit(task, options)


def _does_not_fit(task: TraceMatchTask, options: Options) -> FitError:
    line, gap = line_mm(task.stage, options), gap_mm(task.stage, options)

    def fits(things: Sequence[Footprint]) -> bool:
        sizes = tuple(box_size(thing, line) for thing in things)
        return any(free_layouts(sizes, area, gap) for area in areas(options))

    paper = options.paper.name
    for thing in task.outlines:
        if not fits([thing]):
            return FitError(
                f"{_named(thing)} is larger than the page has room for on {paper} paper",
                where="things",
                fix=f"leave out {_shown(thing)}",
            )
    count = len(task.outlines)
    for dropped in range(1, count):
        # The fewest things to drop; every way to do it is named.
        ways = [
            " and ".join(_shown(thing) for thing in gone)
            for gone in itertools.combinations(task.outlines, dropped)
            if fits([thing for thing in task.outlines if thing not in gone])
        ]
        if ways:
            break
    return FitError(
        f"{count} outlines do not fit {paper} paper, upright or on its side, with {gap:g} mm "
        "between them",
        where="things",
        fix=f"leave out {' or '.join(ways[:4])}",
    )


def _shown(thing: Footprint) -> str:
    return thing.name or "an outline left over"


def _named(thing: Footprint) -> str:
    return f"{_shown(thing)} ({thing.size_text()})"


# --- marks ----------------------------------------------------------------------------------------


def outline_marks(task: TraceMatchTask, options: Options, board: Board) -> list[Mark]:
    """The outlines, numbered in reading order."""
    line = line_mm(task.stage, options)
    marks: list[Mark] = []
    for k, place in enumerate(board.places, start=1):
        path = outline(task.outlines[place.number], CLEARANCE_MM)
        spin = Affine.rotation(90.0) if place.upright else Affine()
        path = path.transformed(spin.then(Affine.translation(*place.box.center)))
        marks.append(Stroke((path,), line, Role.TRACE, id=f"outline-{k}", join="miter"))
    return marks


def name_marks(task: TraceMatchTask, options: Options, board: Board) -> list[Mark]:
    """The thing of each outline, for the adult: below it, above it, or within if both are taken.

    Outlines are at least 10 mm apart, which holds the words of two of them.
    """
    marks: list[Mark] = []
    for k, place in enumerate(board.places, start=1):
        thing, box = task.outlines[place.number], place.box
        if not thing.name:
            continue
        lines = wrap(thing.said(), ADULT_SIZE_PT, box.width)[:_NAME_LINES]
        high = ADULT_LEADING * len(lines) + _NAME_CLEAR
        if box.y0 - high >= board.room.y0:
            first = box.y0 - _NAME_CLEAR - cap_height_mm(ADULT_SIZE_PT)
        elif box.y1 + high <= board.room.y1:
            first = box.y1 + high - ADULT_LEADING
        else:
            first = box.y0 + line_mm(task.stage, options) + high
        marks += [
            Text(
                box.center[0],
                first - ADULT_LEADING * i,
                text,
                ADULT_SIZE_PT,
                Role.ADULT,
                id=f"thing-{k}",
                colour=FURNITURE_GREY,
                anchor="middle",
            )
            for i, text in enumerate(lines)
        ]
    return marks


def _key(task: TraceMatchTask, outlines: Sequence[Mark], board: Board, sheet: SheetBuilder) -> None:
    marks: list[Mark] = [
        dataclasses.replace(m, width=0.7) if isinstance(m, Stroke) else m for m in outlines
    ]
    for place in board.places:
        thing = task.outlines[place.number]
        head = thing.said() or "left over: no thing fits"
        basis = [thing.basis] if thing.name else []
        marks += _label(place.box, [head, thing.size_text(), *basis])
    notes = [
        f"The middle of each line runs {CLEARANCE_MM:g} mm outside the thing. {RULER_LINE}",
        "Also accept: a thing set down the other way round, and any other thing that fills an "
        "outline.",
    ]
    if task.left_over:
        count = len(task.left_over)
        notes.append(f"{count} outline{'s stay' if count > 1 else ' stays'} empty.")
    things = [task.outlines[place.number] for place in board.places]
    names = [thing.example or thing.name or "no thing" for thing in things]
    text = in_rows([place.box for place in board.places], names)
    sheet.key(marks, [*notes, *task.remarks], paper=board.paper, text=text)


def _label(box: BBox, lines: Sequence[str]) -> list[Mark]:
    """Lines of words in the middle of an outline, broken to its width."""
    shown = [part for line in lines for part in wrap(line, _LABEL_PT, box.width - 8.0)]
    (x, y) = box.center
    high = _LEADING_MM * (len(shown) - 1)
    first = y + high / 2.0 - cap_height_mm(_LABEL_PT) / 2.0
    return [
        Text(x, first - _LEADING_MM * i, text, _LABEL_PT, Role.ADULT, anchor="middle")
        for i, text in enumerate(shown)
    ]


def answer(task: TraceMatchTask, board: Board) -> dict[str, str | None]:
    """The name of the thing of each outline by the outline's id; None for one left over."""
    names = [task.outlines[place.number].name or None for place in board.places]
    return {f"outline-{k}": name for k, name in enumerate(names, start=1)}


# --- the adult's side -----------------------------------------------------------------------------


def _child_notes(task: TraceMatchTask) -> list[str]:
    lines = [f"The names of the {len(task.things)} things are on the key. {RULER_LINE}"]
    if task.stage == 0:
        lines.append("The adult and the child set the first thing down together.")
    return lines


def _things(task: TraceMatchTask) -> list[Material]:
    return [
        Material(
            f"{thing.said()}, {thing.size_text()} ({RULER})",
            1,
            "shared",
            caution="small-parts" if _small(thing) else "objects",
        )
        for thing in task.things
    ]


def _small(thing: Footprint) -> bool:
    return thing.adult_only or thing.small_part


def _preparation(task: TraceMatchTask) -> tuple[str, ...]:
    lines = [f"{RULER_LINE} Lay each thing on its outline before the children do."]
    lines += [f"{thing.name}: {thing.note}." for thing in task.things if thing.note]
    lines.append("Set the things beside the page, mixed.")
    return tuple(lines)


def _cautions(task: TraceMatchTask) -> tuple[str, ...]:
    lines = list(caution("objects").text[:2])
    small = [thing.name for thing in task.things if _small(thing)]
    if small:
        lines.append(f"Small parts, handled by an adult only: {', '.join(small)}.")
    return tuple(lines)


def _parameters(task: TraceMatchTask, options: Options, board: Board) -> dict[str, object]:
    pairs = itertools.combinations(task.outlines, 2)
    return {
        "form": "objects",
        "things": len(task.things),
        "left_over": len(task.left_over),
        "line_width": line_mm(task.stage, options),
        "gap_mm": gap_mm(task.stage, options),
        "clearance_mm": CLEARANCE_MM,
        "least_difference_mm": round(min(difference(a, b) for a, b in pairs), 2),
        "on_its_side": board.paper.width > board.paper.height,
        "sizes": [
            {
                "name": thing.name,
                "width_mm": thing.width,
                "depth_mm": thing.depth,
                "corner_mm": thing.corner,
                "basis": thing.basis,
                "source": thing.source,
            }
            for thing in task.outlines
        ],
        "answer": answer(task, board),
    }
