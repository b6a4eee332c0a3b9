"""The pages: places to lay the cards in, the cards; or labels for things to put in order."""

from __future__ import annotations

from shapes.path import Path
from sheets.kinds import toolkit as kit
from sheets.kinds.materials import TRIMMER, printed
from sheets.kinds.order_cards.board import GROUND_UNTIL, Board, board, card_size
from sheets.kinds.order_cards.cards import sign_card, sign_marks, sign_pt, size_card, stood
from sheets.kinds.order_cards.task import DOTS, OrderTask, task
from sheets.kinds.toolkit import Options, SheetBuilder
from sheets.page.cards import CardGrid, cut_ticks
from sheets.page.model import FURNITURE_GREY, Mark, Material, Role, Stroke, Text

__all__ = ["draw", "task"]

_NOTE_PT = 9.0
SIZE_NOTE = "All cards have one size: the picture tells the order, measured in its longer side."
ROW_NOTE = "For one long row, cut between the rows and lay them end to end."


def draw(task: OrderTask, options: Options, sheet: SheetBuilder) -> None:
    """Places and cards, or labels.

    Raises:
        FitError: labels that do not fit the paper.
    """
    if task.labels:
        _labels(task, sheet)
        return
    places = board(task, options)
    ask = "sizes" if task.sizes else "row" if len(task.loose) == task.count else "missing"
    broken = len({box.y0 for box in places.boxes}) > 1
    sheet.page(places.marks, "places", ask=[ask], say=[ROW_NOTE] if broken else [],
               paper=places.paper)  # fmt: skip
    sheet.keep()
    sheet.needs(kit.PRINTED)
    grid = sheet.grid(len(task.loose), *card_size(task, options))
    sheet.cards_to_cut(_faces(grid, task, options), grid, "cards", ask=["cards", ask])
    _key(task, places, options, sheet)
    sheet.record(items=len(task.loose), what=task.what, answer=answer(task))
    if task.sizes:
        sheet.record(sizes_mm=[round(size, 1) for size in task.sizes])


def answer(task: OrderTask) -> list[str]:
    """What lies in the places, from the first to the last, without what is printed there."""
    if task.sizes:
        return [f"{size:.1f} mm" for size in task.sizes]
    return [task.row[k] for k in sorted(task.loose)]


def _faces(grid: CardGrid, task: OrderTask, options: Options) -> list[Mark]:
    marks: list[Mark] = [*cut_ticks(grid)]
    dots, line = _dots(task), _underlined(task)
    for number, (box, k) in enumerate(zip(grid.cards, task.loose, strict=True), start=1):
        if task.sizes:
            ground = task.stage <= GROUND_UNTIL
            marks += size_card(
                box, task.picture, task.sizes[k], f"size-{number}", options, ground=ground
            )
        else:
            size = sign_pt(task.row, box, dots=dots)
            marks += sign_card(box, task.row[k], size, f"order-{number}", dots=dots, line=line)
    return marks


def _dots(task: OrderTask) -> bool:
    return task.what == "numbers" and task.stage in DOTS


def _underlined(task: OrderTask) -> bool:
    return {"6", "9"} <= set(task.row)


def _key(task: OrderTask, places: Board, options: Options, sheet: SheetBuilder) -> None:
    solved: list[Mark] = list(places.marks)
    notes = [SIZE_NOTE] if task.sizes else []
    for k, box in enumerate(places.boxes):
        if task.sizes:
            if task.stage > 0:
                ground = task.stage <= GROUND_UNTIL
                solved.append(stood(task.picture, task.sizes[k], box, options, ground=ground))
            said = f"{task.sizes[k]:.1f} mm"
            at = (box.x0 + 2.0, box.y1 - 4.5)
            solved.append(Text(*at, said, _NOTE_PT, Role.ADULT, f"answer-{k + 1}"))
        elif k in task.loose:
            size = sign_pt(task.row, box, dots=False)
            solved += sign_marks(
                box, task.row[k], size, Role.ADULT, f"answer-{k + 1}", dots=False,
                line=_underlined(task),
            )  # fmt: skip
    sheet.key(solved, notes, paper=places.paper, text=_said(task))


def _said(task: OrderTask) -> str:
    """The order in one line."""
    said = ", ".join(answer(task))
    if task.sizes:
        return f"{task.picture.name}, longer side: {said}"
    if len(task.loose) < task.count:
        return f"missing in the row from {task.row[0]} to {task.row[-1]}: {said}"
    return said


# --- labels ---------------------------------------------------------------------------------------

STICK = {
    "spines": "Labels for the backs of books",
    "jars": "Labels for the lids of jars",
}
THINGS = {
    "spines": "books or boxes to put in order",
    "jars": "closed jars or tubs of plastic to put in order",
}


def _labels(task: OrderTask, sheet: SheetBuilder) -> None:
    """Labels an adult cuts and sticks on things that the child puts in a row."""
    width, height = task.label
    grid = sheet.grid(task.count, width, height)
    dots, line = _dots(task), _underlined(task)
    marks: list[Mark] = [*cut_ticks(grid)]
    in_round = task.labels == "jars" and width == height
    # What is printed in a circle keeps clear of it.
    boxes = [box.grown(-width / 10.0) if in_round else box for box in grid.cards]
    size = sign_pt(task.row, boxes[0], dots=dots)
    for k, (box, sign) in enumerate(zip(boxes, task.row, strict=True), start=1):
        name = f"label-{k}"
        marks += sign_marks(box, sign, size, Role.LETTER, name, dots=dots, line=line)
        if in_round:
            rim = Path.circle(box.center, width / 2.0 - 0.5)
            marks.append(Stroke((rim,), 0.5, Role.ADULT, name, FURNITURE_GREY))
    what = f"{STICK[task.labels or 'spines']}, {width:g} x {height:g} mm"
    sheet.page(marks, "labels", ask=["row"], say=[f"{what}. {grid.short_plan()}"])
    sheet.needs(
        printed("sheet of labels"),
        TRIMMER,
        Material("roll of clear tape, for the adult", 1, "adult"),
        Material(THINGS[task.labels or "spines"], task.count, "shared"),
    )
    sheet.prepare(
        f"An adult cuts the labels beforehand: {grid.plan()}",
        "Stick one on each thing, with clear tape over it, and mix the things.",
    )
    sheet.key(marks, text=", ".join(task.row))
    sheet.record(items=task.count, what=task.what, answer=list(task.row), label_mm=[width, height])
