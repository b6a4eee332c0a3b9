"""Shadow pages: picture cards to lay on the shadows of the same pictures at the same size.

The shadows are on one page, each in a box as large as a card; the cards are on a second page that
an adult cuts apart. Every shadow's place and every card's place is drawn evenly at random.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cache

from shapes.affine import Affine
from shapes.path import BBox, Path
from shapes.pictures.picture import Picture
from sheets.kinds.materials import POUCH, TRIMMER, laminated, printed
from sheets.kinds.options import BOLD_LINE, Options, is_low, least_line
from sheets.kinds.shadow_match.places import INSET, Layout, lay_out
from sheets.kinds.shadow_match.task import TOO_ALIKE, ShadowTask, check_task, most_alike, task
from sheets.kinds.sheet import SheetBuilder
from sheets.page.cards import cut_ticks, face, picture_with_lines
from sheets.page.frame import rectangle
from sheets.page.model import (
    BLACK,
    FURNITURE_GREY,
    LANE_TINT,
    Fill,
    Mark,
    Place,
    Role,
    Stroke,
    Text,
)
from sheets.page.rows import in_rows
from sheets.theme.theme import Step

__all__ = ["draw", "task"]

CARDS_LINE = "Trimmer: for the adult only; the cards are cut before the children come."
MOUTHING_LINE = (
    "The cards are wider than the small-parts cylinder (31.75 mm), but paper comes apart: an adult "
    "stays beside a child who mouths things."
)
SHADOW_GREY = "#4a4a4a"
_OUTLINE = 0.7
_BOX_LINE = 0.5
_THINNING_MM = 0.05


# --- marks ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture about the middle of its box: its lines, and the area they and its colours cover."""

    lines: Place
    area: tuple[Path, ...]


@cache
def drawing(
    picture: Picture, longest_mm: float, least_line_mm: float, colour: bool = False
) -> Drawing:
    """A picture as a card and its shadow show it, so that one covers the other exactly.

    Args:
        longest_mm: longer side of the ink.
        least_line_mm: lines are widened to this.
        colour: with the set's own colours under the lines.
    """
    import shapely

    from shapes.outline.morphology import parts
    from shapes.pictures.silhouette import silhouette

    half = longest_mm / 2.0
    box = BBox(-half, -half, half, half)
    lines = picture_with_lines(picture, box, least_line_mm=least_line_mm, colour=colour)
    plain = picture_with_lines(picture, box, least_line_mm=least_line_mm)
    # The shadow has its lines as wide as the card has them, and so has what the colours add.
    thick = max((shape.stroke_width for shape in picture.line if shape.stroke), default=0.0)
    shown = iter([mark.width for mark in plain.artwork.marks if isinstance(mark, Stroke)])
    widest = max((m.width for m in plain.artwork.marks if isinstance(m, Stroke)), default=thick)
    as_shown = dataclasses.replace(
        picture,
        line=tuple(
            dataclasses.replace(shape, stroke_width=next(shown))
            if shape.stroke is not None and shape.stroke_width > 0
            else shape
            for shape in picture.line
        ),
        colour=tuple(
            dataclasses.replace(shape, stroke_width=min(shape.stroke_width, widest))
            if shape.stroke_width <= thick
            else shape
            for shape in picture.colour
        ),
    )
    longest = max(picture.bbox.width, picture.bbox.height)
    shape = shapely.simplify(silhouette(as_shown, longest * lines.at.scale), _THINNING_MM)
    x, y = lines.at.apply((picture.bbox.x0, picture.bbox.y0))
    area = tuple(
        Path.from_points(
            [(px + x, py + y) for px, py in shapely.get_coordinates(part.exterior).tolist()],
            closed=True,
        )
        for part in parts(shape)
    )
    # Thinned lines reach less far than the drawing's own: both are made as large as was asked.
    shown_box = BBox.around(point for path in area for point in path.flatten())
    (cx, cy), fill = shown_box.center, longest_mm / max(shown_box.width, shown_box.height)
    m = Affine.translation(-cx, -cy).then(Affine.scaling(fill))
    lines = dataclasses.replace(lines, at=lines.at.then(m))
    return Drawing(lines, tuple(path.transformed(m) for path in area))


def _drawn(
    step: Step, box: BBox, turn_deg: int, options: Options
) -> tuple[Place, tuple[Path, ...]]:
    """Lines and area of a picture in a box on the page."""
    shown = drawing(step.picture, box.width - 2.0 * INSET, least_line(options), options.colour)
    m = Affine.rotation(turn_deg).then(Affine.translation(*box.center))
    lines = dataclasses.replace(shown.lines, at=shown.lines.at.then(m))
    return lines, tuple(path.transformed(m) for path in shown.area)


def board_marks(layout: Layout, options: Options) -> list[Mark]:
    """The shadows, each in a box that shows where the card goes."""
    bold = is_low(options)
    marks: list[Mark] = []
    for k, shadow in enumerate(layout.shadows, start=1):
        marks.append(
            Stroke(
                (rectangle(shadow.box),),
                BOLD_LINE if bold else _BOX_LINE,
                Role.GUIDE,
                id=f"place-{k}",
                colour=FURNITURE_GREY,
                join="miter",
            )
        )
        _, area = _drawn(shadow.step, shadow.box, shadow.turn_deg, options)
        name = f"target-{k}"
        if options.ink == "saver":
            line = BOLD_LINE if bold else _OUTLINE
            marks.append(Fill(area, Role.TARGET, name, colour=LANE_TINT))
            marks.append(Stroke(area, line, Role.TARGET, name))
        else:
            marks.append(Fill(area, Role.TARGET, name, colour=BLACK if bold else SHADOW_GREY))
    return marks


def card_marks(layout: Layout, options: Options) -> list[Mark]:
    """The cards with the ticks of their cuts: black lines on the picture's area in a light tint.

    The tint shows the outline where the lines alone leave it open.
    """
    marks: list[Mark] = [*cut_ticks(layout.grid)]
    for k, (box, step) in enumerate(zip(layout.grid.cards, layout.cards, strict=True), start=1):
        name = f"card-{k}"
        lines, area = _drawn(step, box, 0, options)
        marks += face(box, None, id=name)
        marks.append(Fill(area, Role.CARD, name, colour=LANE_TINT))
        marks.append(dataclasses.replace(lines, id=name, role=Role.CARD))
    return marks


# --- the sheet ------------------------------------------------------------------------------------


def draw(task: ShadowTask, options: Options, sheet: SheetBuilder) -> None:
    """The shadows, and the cards to cut out.

    Raises:
        InputError: see :func:`sheets.kinds.shadow_match.task.check_task`.
        FitError: the cards do not fit.
    """
    check_task(task, options)
    layout = lay_out(task, options)
    plan = sheet.cut_line("cards", layout.grid.plan())
    sheet.entitle("shadows")
    board = board_marks(layout, options)
    sheet.page(board, "shadows", ask=["shadows"], say=_board_notes(task))
    sheet.keep()
    cards = card_marks(layout, options)
    ask = ["cards", "shadows"]
    short = sheet.cut_line("cards", layout.grid.short_plan())
    sheet.cards(cards, layout.grid, ask=ask, say=[short], caution=CARDS_LINE)
    sheet.keep()
    _key_pages(task, options, layout, sheet)
    sheet.needs(
        printed("printed sheet with shadows"), printed("printed sheet with cards, on card"), TRIMMER
    )
    if task.laminate:
        sheet.needs(POUCH, laminated(len(task.cards)))
    sheet.prepare(
        plan,
        layout.grid.film_plan() if task.laminate else "",
        "Hand out the page with the shadows and the cut cards, mixed.",
    )
    sheet.caution(CARDS_LINE)
    if "mouths-objects" in options.needs:
        sheet.caution(MOUTHING_LINE)
    sheet.record(**_parameters(task, layout))


def _board_notes(task: ShadowTask) -> list[str]:
    lines = ["The cards are on a page of their own."]
    if task.stage == 0:
        lines.append("The adult and the child lay the first card together.")
    return [*lines, *task.remarks]


def _key_pages(task: ShadowTask, options: Options, layout: Layout, sheet: SheetBuilder) -> None:
    answer = layout.answer()
    solved: list[Mark] = []
    for k, shadow in enumerate(layout.shadows, start=1):
        box = shadow.box
        solved.append(Stroke((rectangle(box),), _BOX_LINE, Role.GUIDE, colour=FURNITURE_GREY))
        lines, _ = _drawn(shadow.step, box, shadow.turn_deg, options)
        solved.append(dataclasses.replace(lines, id=f"answer-{k}"))
        card = answer[f"target-{k}"]
        label = f"{shadow.step.word}: {card.replace('-', ' ') if card else 'no card'}"
        solved.append(Text(box.center[0], box.y0 - 4.2, label, 9.0, Role.ADULT, anchor="middle"))
    cards: list[Mark] = card_marks(layout, options)
    for k, (box, step) in enumerate(zip(layout.grid.cards, layout.cards, strict=True), start=1):
        left = "" if step in task.pairs else ": no shadow"
        cards.append(Text(box.x0 + 1.5, box.y1 - 3.6, f"{k}{left}", 9.0, Role.ADULT, id=f"key-{k}"))
    notes = [
        "A card lies the way round that its shadow does.",
        *_left_over_note(task),
        _likeness_note(task),
    ]
    spots = [shadow.box for shadow in layout.shadows]
    shadows = [f"{s.step.word}{'' if answer[f'target-{k}'] else ' (no card)'}"
               for k, s in enumerate(layout.shadows, start=1)]  # fmt: skip
    sheet.key(solved, notes, text=in_rows(spots, shadows))
    on_cards = [f"{s.word}{'' if s in task.pairs else ' (no shadow)'}" for s in layout.cards]
    sheet.key(
        cards,
        ["The number on a card is the one that the first key page names."],
        what="key, cards",
        title=f"{sheet.title}, cards",
        # Cards that are given apart are in no rows.
        text=f"cards: {', '.join(on_cards)}"
        if sheet.apart
        else in_rows(layout.grid.cards, on_cards),
    )


def _left_over_note(task: ShadowTask) -> list[str]:
    parts = []
    if task.cards_only:
        parts.append(f"without a shadow: {', '.join(s.word for s in task.cards_only)}")
    if task.shadows_only:
        parts.append(f"without a card: {', '.join(s.word for s in task.shadows_only)}")
    return [f"Left over, {'; '.join(parts)}."] if parts else []


def _likeness_note(task: ShadowTask) -> str:
    a, b, value = most_alike(task)
    return (
        f"Most alike: {a.word} and {b.word}, {value:.2f} on a scale from 0 to 1 (our measure; "
        f"above {TOO_ALIKE:.2f} they are not put on one page)."
    )


def _parameters(task: ShadowTask, layout: Layout) -> dict[str, object]:
    return {
        "form": "shadow",
        "shadows": len(layout.shadows),
        "cards": len(layout.cards),
        "card_mm": layout.grid.width,
        "most_alike": round(most_alike(task)[2], 3),
        "turned": sum(shadow.turn_deg != 0 for shadow in layout.shadows),
        "shadow_words": [shadow.step.word for shadow in layout.shadows],
        "card_words": [step.word for step in layout.cards],
        "answer": layout.answer(),
    }
