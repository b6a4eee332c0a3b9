"""Draws letter pages: groups to join with lines, a sort, a mat, and the cards to set on it.

Every letter is a ``Text``, so that its height is measured from its type size. What is asked is a
``target``, what it can be joined to a ``choice``; the white paper of a card is a ``card``, measured
as a loose piece, while distances are measured from letter to letter: neighbours on the cutting grid
share a cut.
"""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from shapes.affine import Point
from shapes.letters.font import cap_height_mm
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.letter_match.columns import Side, cells, largest_letter, pitch, widths
from sheets.kinds.letter_match.letters import Block, Target
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount
from sheets.page.cards import CardGrid, cut_ticks, grid_in, picture_with_lines
from sheets.page.frame import Frame, rectangle
from sheets.page.model import BLACK, FURNITURE_GREY, WHITE, Fill, Mark, Role, Stroke, Text

LOW_VISION_LETTER = 40.0
"""Letters in mm for children who see little; single letters are commonly given at 48 to 72 pt and
more, which 40 mm (160 pt) holds with room to spare."""
LOW_VISION_LINE = 2.0

# Middle of a dot from the row it belongs to. Dots are grey and keep away from the letters, or they
# would look like accents: ṡ, ȯ.
_DOT_AWAY = 6.5
_DOT = 1.6
_WIDEST_LANE = 80.0
_SORTED_PICTURE = 40.0  # a sort has room for larger pictures than two groups of lines
_RIM, _SIDE = 4.5, 2.0
_LEAST_BETWEEN = 18.0
_EDGE_LINE = 0.9
_BIN_LINE = 0.5
_HEADROOM = 5.0

# How far letters of the page font reach beyond capital height and baseline, in capital heights.
_ACCENT, _ASCENDER, _DESCENDER = 0.40, 0.10, 0.34
_WITH_ASCENDER = frozenset("bdfhkl")
_WITH_DESCENDER = frozenset("gjpqyQÇç")


@dataclass(slots=True)
class Drawing:
    """Marks of a page and what belongs together on it.

    Args:
        joins: for each target its id, the id of its choice, and where the line between them runs.
    """

    marks: list[Mark] = field(default_factory=list)
    joins: list[tuple[str, str, Point, Point]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Look:
    """Sizes of one page in mm."""

    letter: float
    picture: float
    gap: float
    dot: float
    dot_colour: str
    least_line: float
    colour: bool = False


def look(stage: int, options: Options, *, on_cards: bool) -> Look:
    """The sizes of a stage, larger for children who see little."""
    bounds = limits("letters", stage)
    low = is_low(options)
    letter = amount("letter-match", stage, "letter_size")
    if on_cards and stage <= 1:
        letter = bounds["letter_height"].minimum or letter
    return Look(
        letter=max(letter, LOW_VISION_LETTER) if low else letter,
        picture=amount("letter-match", 1 if low else max(stage, 1), "picture_size"),
        gap=bounds["item_gap"].minimum or 0.0 if "item_gap" in bounds else 0.0,
        dot=2.5 if low else _DOT,
        dot_colour=BLACK if low else FURNITURE_GREY,
        least_line=LOW_VISION_LINE if low else 0.0,
        colour=options.colour,
    )


def card_side(stage: int, options: Options) -> float:
    """Side of the square cards in mm; those of stage 0 for children who see little."""
    shown = 0 if is_low(options) else stage
    return amount("letter-match", shown, "card_side")


# --- pages of lines -------------------------------------------------------------------------------


def lines_page(blocks: Sequence[Block], frame: Frame, sizes: Look) -> Drawing:
    """Groups one above the other: targets on top, choices below, dots where a line starts and ends.

    Two groups have a thin grey line between them, along which the page can be folded.
    """
    drawing = Drawing()
    area = _area(frame)
    choices = _row_height([x for block in blocks for x in block.choices], sizes)
    targets = _row_height([t.shown for block in blocks for t in block.targets], sizes)
    rows = targets.total + choices.total
    between = max(sizes.gap, _LEAST_BETWEEN)
    lane = (area.height - (len(blocks) - 1) * between) / len(blocks) - rows
    lane = min(lane, _WIDEST_LANE)
    # What is left over goes between the groups, or above and below a single one.
    over = area.height - len(blocks) * (rows + lane)
    top = area.y1 - (over / 2.0 if len(blocks) == 1 else 0.0)
    between = over / max(len(blocks) - 1, 1)
    for number, block in enumerate(blocks, start=1):
        upper = BBox(area.x0, top - targets.total, area.x1, top)
        low = upper.y0 - lane
        lower = BBox(area.x0, low - choices.total, area.x1, low)
        ends = _choice_row(drawing, block, lower, choices, sizes, number)
        starts = _target_row(drawing, block, block.targets, upper, targets, sizes, ends)
        points = [*starts, *((x, lower.y1 + _DOT_AWAY) for _, x, _, _ in ends.values())]
        drawing.marks.append(_dots(points, sizes, number))
        top = lower.y0 - between
        if number < len(blocks):
            drawing.marks.append(_rule(area, top + between / 2.0))
    return drawing


def sort_page(block: Block, frame: Frame, sizes: Look) -> Drawing:
    """Letters in the middle, pictures above and below them."""
    drawing = Drawing()
    area = _area(frame)
    sizes = dataclasses.replace(sizes, picture=max(sizes.picture, _SORTED_PICTURE))
    height = _row_height(block.choices, sizes)
    y = area.center[1]
    middle = BBox(area.x0, y - height.total / 2.0, area.x1, y + height.total / 2.0)
    ends = _choice_row(drawing, block, middle, height, sizes, 1)
    half = (len(block.targets) + 1) // 2
    lane = min(_WIDEST_LANE, area.y1 - sizes.picture - middle.y1)
    points: list[Point] = []
    for targets, up in ((block.targets[:half], False), (block.targets[half:], True)):
        low = middle.y0 - lane - sizes.picture if up else middle.y1 + lane
        row = BBox(area.x0, low, area.x1, low + sizes.picture)
        plain = _RowHeight(sizes.picture, 0.0)
        points += _target_row(drawing, block, targets, row, plain, sizes, ends, up=up)
        points += [
            (x, below - _DOT_AWAY if up else above + _DOT_AWAY)
            for _, x, above, below in ends.values()
            if targets
        ]
    drawing.marks.append(_dots(points, sizes, 1))
    return drawing


@dataclass(frozen=True, slots=True)
class _RowHeight:
    """Height of a row, and how far its baseline lies above its foot."""

    total: float
    below: float


def _row_height(texts: Sequence[str], sizes: Look) -> _RowHeight:
    """The height of a row of letters; of pictures if the texts are empty."""
    if not any(texts):
        return _RowHeight(sizes.picture, 0.0)
    above, below = _reach(texts, sizes.letter)
    return _RowHeight(above + sizes.letter + below, below)


_Ends = dict[str, tuple[str, float, float, float]]


def fitted(sizes: Look, blocks: Sequence[Block], frame: Frame) -> Look:
    """The sizes with letters small enough for rows of two that are shifted against each other."""
    letter = min(
        (
            largest_letter(rows, sizes.letter, sizes.picture, _area(frame).width, sizes.gap)
            for block in blocks
            if block.shift
            for rows in [[[t.shown for t in block.targets[:2]], block.choices]]
        ),
        default=sizes.letter,
    )
    return dataclasses.replace(sizes, letter=letter)


def _columns(
    block: Block, targets: Sequence[Target], row: BBox, sizes: Look, side: Side, *, asked: bool
) -> list[BBox]:
    """The cells of a row of a block: of what is asked, or of its choices."""
    above = widths([target.shown for target in targets], sizes.letter, sizes.picture)
    below = widths(block.choices, sizes.letter, sizes.picture)
    apart = pitch([above, below], row.width, sizes.gap)
    return cells(row, above if asked else below, side, apart)


def _choice_row(
    drawing: Drawing, block: Block, row: BBox, height: _RowHeight, sizes: Look, number: int
) -> _Ends:
    """The choices of a group; for each its id, its middle, and the top and foot of the row."""
    ends: _Ends = {}
    targets = block.targets[: len(block.choices)]
    boxes = _columns(block, targets, row, sizes, block.shift, asked=False)
    for i, (choice, cell) in enumerate(zip(block.choices, boxes, strict=True), 1):
        x, name = cell.center[0], f"choice-{number}-{i}"
        letter = _letter(choice, x, row.y0 + height.below, sizes, Role.CHOICE, name)
        drawing.marks.append(dataclasses.replace(letter, item=number))
        ends[choice] = (name, x, row.y1, row.y0)
    return ends


def _target_row(
    drawing: Drawing,
    block: Block,
    targets: Sequence[Target],
    row: BBox,
    height: _RowHeight,
    sizes: Look,
    ends: _Ends,
    *,
    up: bool = False,
) -> list[Point]:
    """The targets of a group with their joins; returns where the lines start.

    Args:
        up: the choices lie above the row.
    """
    starts: list[Point] = []
    # In the order of the choices a row of two stands on the other side, else with them.
    ordered = tuple(target.answer for target in targets) == block.choices
    side: Side = -block.shift if ordered else block.shift
    boxes = _columns(block, targets, row, sizes, side, asked=True)
    for target, cell in zip(targets, boxes, strict=True):
        name = f"target-{len(drawing.joins) + 1}"
        drawing.marks.append(_target(target, cell, row.y0 + height.below, sizes, name))
        choice, x, above, below = ends[target.answer]
        start = (cell.center[0], row.y1 + _DOT_AWAY if up else row.y0 - _DOT_AWAY)
        end = (x, below - _DOT_AWAY if up else above + _DOT_AWAY)
        drawing.joins.append((name, choice, start, end))
        starts.append(start)
    return starts


def _area(frame: Frame) -> BBox:
    """The work area without a rim, where letters would touch other words or those of the bar."""
    work = frame.work
    return BBox(work.x0 + _SIDE, work.y0 + _RIM, work.x1 - _SIDE, work.y1 - _RIM)


def _reach(texts: Iterable[str], size: float) -> tuple[float, float]:
    """Room in mm above capital height and below the baseline that the letters need."""
    chars = set("".join(texts))
    above = 0.0
    if any(len(unicodedata.normalize("NFD", char)) > 1 for char in chars - {"ç", "Ç"}):
        above = _ACCENT
    elif chars & _WITH_ASCENDER:
        above = _ASCENDER
    return above * size, (_DESCENDER if chars & _WITH_DESCENDER else 0.0) * size


def _letter(text: str, x: float, y: float, sizes: Look, role: Role, name: str) -> Text:
    size_pt = sizes.letter / cap_height_mm(1.0)
    return Text(x, y, text, size_pt, role, name, anchor="middle")


def _target(target: Target, box: BBox, baseline: float, sizes: Look, name: str) -> Mark:
    if target.word is None:
        return _letter(target.shown, box.center[0], baseline, sizes, Role.TARGET, name)
    # The lines of a drawing reach to its edge, so the white gap is kept inside the cell.
    room = BBox(box.x0 + sizes.gap / 2.0, box.y0, box.x1 - sizes.gap / 2.0, box.y1)
    side = min(room.width, room.height) / 2.0
    (x, y) = room.center
    return picture_with_lines(
        target.word.picture,
        BBox(x - side, y - side, x + side, y + side),
        least_line_mm=sizes.least_line,
        colour=sizes.colour,
        role=Role.TARGET,
        id=name,
    )


def _dots(points: Sequence[Point], sizes: Look, number: int) -> Fill:
    circles = tuple(Path.circle(point, sizes.dot) for point in points)
    return Fill(circles, Role.GUIDE, id=f"dots-{number}", colour=sizes.dot_colour)


def _rule(work: BBox, y: float) -> Stroke:
    line = Path.line((work.x0, y), (work.x1, y))
    return Stroke((line,), 0.35, Role.FURNITURE, id="rule", colour=FURNITURE_GREY, cap="butt")


# --- cards ----------------------------------------------------------------------------------------


def mat_page(block: Block, frame: Frame, sizes: Look, side: float) -> Drawing:
    """The letters to set cards on, each in a box as large as a card, two in a row."""
    drawing = Drawing()
    for i, (choice, cell) in enumerate(
        zip(block.choices, mat_cells(len(block.choices), frame, sizes, side), strict=True)
    ):
        name = CHOICE_IDS[i]
        drawing.marks.append(_edge(cell, Role.CHOICE, name))
        baseline = cell.center[1] - sizes.letter / 2.0
        drawing.marks.append(_letter(choice, cell.center[0], baseline, sizes, Role.CHOICE, name))
    return drawing


CHOICE_IDS = tuple(f"choice-{letter}" for letter in "abcdefgh")
"""Ids of the letters of a mat: with a number they would be taken for the choices of one item, and
here all cards share them."""


def mat_cells(count: int, frame: Frame, sizes: Look, side: float) -> list[BBox]:
    """Boxes of a mat, from the upper left, row by row."""
    gap = max(sizes.gap, 12.0)
    rows = (count + 1) // 2
    cx, cy = frame.work.center
    # Two rows of the largest cards leave no room for more than the least gap.
    gap_y = gap if rows == 1 else min(2.0 * gap, (frame.work.height - rows * side) / (rows - 1))
    top = cy + (rows * side + (rows - 1) * gap_y) / 2.0
    cells = []
    for i in range(count):
        row = i // 2
        in_row = min(2, count - 2 * row)
        x = cx - (in_row * side + (in_row - 1) * gap) / 2.0 + (i % 2) * (side + gap)
        y = top - row * (side + gap_y) - side
        cells.append(BBox(x, y, x + side, y + side))
    return cells


def bins_page(block: Block, frame: Frame, sizes: Look) -> Drawing:
    """A sort for cards: large boxes side by side, each with its letter."""
    drawing = Drawing()
    above, _ = _reach(block.choices, sizes.letter)
    for i, (choice, box) in enumerate(
        zip(block.choices, bin_boxes(len(block.choices), frame), strict=True)
    ):
        baseline = box.y1 - _HEADROOM - above - sizes.letter
        drawing.marks.append(
            _letter(choice, box.center[0], baseline, sizes, Role.CHOICE, CHOICE_IDS[i])
        )
        drawing.marks.append(_edge(box, Role.ANSWER_SPACE, f"bin-{CHOICE_IDS[i][-1]}", _BIN_LINE))
    return drawing


def bin_boxes(count: int, frame: Frame) -> list[BBox]:
    """The boxes of a sort, from left to right."""
    work, apart = _area(frame), 6.0
    width = (work.width - apart * (count - 1)) / count
    lefts = [work.x0 + i * (width + apart) for i in range(count)]
    return [BBox(x, work.y0, x + width, work.y1) for x in lefts]


def card_page(
    targets: Sequence[Target], frame: Frame, sizes: Look, side: float
) -> tuple[Drawing, CardGrid]:
    """The cards on a grid that is cut straight through."""
    grid = grid_in(_area(frame), frame.paper, len(targets), side, side)
    drawing = Drawing()
    for i, (target, box) in enumerate(zip(targets, grid.cards, strict=True), start=1):
        drawing.marks.append(Fill((rectangle(box),), Role.CARD, id=f"card-{i}", colour=WHITE))
        inner = box.grown(-max(sizes.gap / 2.0, 6.0))
        baseline = box.center[1] - sizes.letter / 2.0
        drawing.marks.append(_target(target, _within(inner, sizes), baseline, sizes, f"target-{i}"))
    drawing.marks += cut_ticks(grid)
    return drawing, grid


def _within(box: BBox, sizes: Look) -> BBox:
    """A box that keeps its size when the gap of a row is taken off it."""
    return BBox(box.x0 - sizes.gap / 2.0, box.y0, box.x1 + sizes.gap / 2.0, box.y1)


def _edge(box: BBox, role: Role, name: str, width: float = _EDGE_LINE) -> Stroke:
    line = rectangle(box.grown(-width / 2.0))
    return Stroke((line,), width, role, id=name, join="miter")


# --- keys -----------------------------------------------------------------------------------------


def answer_lines(drawing: Drawing) -> list[Mark]:
    """The right lines, for the key."""
    return [
        Stroke((Path.line(start, end),), 0.8, Role.ADULT, id=f"answer-{target}")
        for target, _, start, end in drawing.joins
    ]


def answer_words(box: BBox, words: Sequence[str]) -> list[Mark]:
    """What belongs in a box of a mat, small, at its foot, for the key."""
    x = box.center[0]
    return [
        Text(x, box.y0 + 3.0 + 4.5 * i, word, 10.0, Role.ADULT, anchor="middle")
        for i, word in enumerate(reversed(words))
    ]
