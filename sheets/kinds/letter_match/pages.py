"""Letter pages: the same letter, capital to small, picture to first letter, first-letter sort.

As a page to draw lines on, what is asked stands above its choices, so that neither hand covers it;
each group of letters has its own choices. As cards, the letters of a mat are what a card is set on.
Stage 0 has two large letters as cards that an adult has cut, one of them the child's initial.

Which form stands at which stage is ours (``guidance.toml``): teachers go from the same letter to
the small one, then to first letters and sorting; the guidance keeps to capitals up to stage 4.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from sheets.kinds.letter_match.drawing import (
    CHOICE_IDS,
    answer_lines,
    answer_words,
    bin_boxes,
    bins_page,
    card_page,
    card_side,
    fitted,
    lines_page,
    look,
    mat_cells,
    mat_page,
    sort_page,
)
from sheets.kinds.letter_match.letters import PictureWord, Target, published_pairs
from sheets.kinds.letter_match.task import LetterTask, task
from sheets.kinds.materials import LOOSE_LINE, LOOSE_SHORT, PENCIL, PRINTED, TRIMMER, printed
from sheets.kinds.options import Options
from sheets.kinds.sheet import SheetBuilder
from sheets.page.frame import Frame

__all__ = ["draw", "task"]

CARDS_LINE = LOOSE_LINE.format("Cards")
CHOSEN_LINE = (
    "Other letters are chosen by published mix-ups and by likeness of shape in this font; the two "
    "agree only weakly."
)

# --- pages ----------------------------------------------------------------------------------------


def draw(task: LetterTask, options: Options, sheet: SheetBuilder) -> None:
    """A page of lines, or a mat and a page of cards.

    Raises:
        FitError: the cards do not fit the page.
    """
    sheet.record(**_parameters(task))
    sheet.entitle(task.form)
    if task.layout == "cards":
        _cards(task, options, sheet)
    else:
        _lines(task, options, sheet)


def _lines(task: LetterTask, options: Options, sheet: SheetBuilder) -> None:
    """The page to draw lines on, and its key."""
    frame = Frame(options.paper)
    sizes = fitted(look(task.stage, options, on_cards=False), task.blocks, frame)
    block = task.blocks[0]
    if task.form == "sort" and len(block.targets) > len(block.choices):
        drawing = sort_page(block, frame, sizes)
    else:
        drawing = lines_page(task.blocks, frame, sizes)
    fold = "Fold along the grey line to show half at a time." if len(task.blocks) > 1 else ""
    ask = [f"{task.form}-lines"]
    sheet.page(drawing.marks, "letters", ask=ask, say=(fold, *_word_lines(task)))
    said = ", ".join(f"{_shown(t)} to {t.answer}" for block in task.blocks for t in block.targets)
    solved = [*drawing.marks, *answer_lines(drawing)]
    sheet.key(solved, _key_notes(task), what="letters, key", text=said)
    sheet.needs(PRINTED, PENCIL)
    answer = [{"target": target, "choice": choice} for target, choice, _, _ in drawing.joins]
    sheet.record(letter_mm=sizes.letter, answer=answer)


def _cards(task: LetterTask, options: Options, sheet: SheetBuilder) -> None:
    """The mat, its cards, and the key."""
    frame = Frame(options.paper)
    sizes = look(task.stage, options, on_cards=True)
    block = task.blocks[0]
    targets = _dealt(task, options)
    side = card_side(task.stage, options)
    if task.form == "sort":
        mat, cells = bins_page(block, frame, sizes), bin_boxes(len(block.choices), frame)
    else:
        mat = mat_page(block, frame, sizes, side)
        cells = mat_cells(len(block.choices), frame, sizes, side)
    cards, grid = card_page(targets, frame, sizes, side)
    ask = [f"{task.form}-cards"]
    sheet.page(mat.marks, "letters, mat", ask=ask, say=_word_lines(task))
    sheet.keep()
    sheet.cards(
        cards.marks,
        grid,
        ask=ask,
        what="letters, cards",
        say=(sheet.cut_line("cards", grid.short_plan()),),
        caution=LOOSE_SHORT.format("Cards"),
    )
    sheet.keep()
    solved = list(mat.marks)
    for choice, cell in zip(block.choices, cells, strict=True):
        belongs = [_card_name(target) for target in targets if target.answer == choice]
        solved += answer_words(cell, belongs)
    notes = (f"{len(targets)} cards; in each box stands what belongs there.", *_key_notes(task))
    said = {c: [_shown(t) for t in targets if t.answer == c] for c in block.choices}
    text = "; ".join(f"{choice}: {', '.join(names)}" for choice, names in said.items() if names)
    sheet.key(solved, notes, what="letters, key", text=text)
    sheet.needs(printed("printed mat"), printed("sheet of letter cards, on card", "small-parts"))
    sheet.needs(TRIMMER)
    sheet.prepare(sheet.cut_line("cards", grid.plan()))
    sheet.caution(CARDS_LINE)
    ids = {choice: CHOICE_IDS[i] for i, choice in enumerate(block.choices)}
    answer = [
        {"target": f"target-{i}", "choice": ids[target.answer]}
        for i, target in enumerate(targets, start=1)
    ]
    sheet.record(letter_mm=sizes.letter, card_mm=side, cuts=len(grid.cuts), answer=answer)


def _dealt(task: LetterTask, options: Options) -> list[Target]:
    """The targets as cards, in a drawn order."""
    targets = [target for target in task.blocks[0].targets for _ in range(task.copies)]
    random.Random(f"{options.seed}:{task.stage}:cards").shuffle(targets)
    return targets


def _card_name(target: Target) -> str:
    return _shown(target) if target.word is not None else f"card {target.shown}"


def _shown(target: Target) -> str:
    return target.word.text if target.word is not None else target.shown


def _parameters(task: LetterTask) -> dict[str, object]:
    found: dict[str, object] = {
        "form": task.form,
        "layout": task.layout,
        "other_letters": task.level,
        "choices": max(len(one.choices) for one in task.blocks),
        "items": task.copies * sum(len(one.targets) for one in task.blocks),
        "letters": sorted({choice for one in task.blocks for choice in one.choices}),
        "look_alike_pairs": [
            "-".join(pair) for one in task.blocks for pair in published_pairs(one)
        ],
    }
    if task.blocks[0].targets[0].word is not None:
        found["words"] = [t.word.text for one in task.blocks for t in one.targets if t.word]
    return found


# --- what the adult reads -------------------------------------------------------------------------


def _words(task: LetterTask) -> list[PictureWord]:
    words = [t.word for block in task.blocks for t in block.targets if t.word is not None]
    return list({word.text: word for word in words}.values())


def _listed(words: Sequence[PictureWord], *, letters: bool) -> str:
    """The words with a star at those no speaker has checked, and what the star means."""
    shown = ", ".join(
        word.text + ("" if word.checked else "*") + (f" {word.letter}" if letters else "")
        for word in words
    )
    star = "" if all(word.checked for word in words) else " * Check with a speaker."
    return f"{shown}.{star}"


def _word_lines(task: LetterTask) -> list[str]:
    words = _words(task)
    if not words:
        return [task.remark] if task.remark else []
    parts = [f"Words: {_listed(words, letters=False)}"]
    doubtful = [word.text for word in words if word.warning]
    if doubtful:
        parts.append(f"First sound and first letter may differ: {', '.join(doubtful)}.")
    if task.remark:
        parts.append(task.remark)
    return [" ".join(parts)]


def _key_notes(task: LetterTask) -> list[str]:
    notes = []
    words = _words(task)
    if words:
        notes.append(_listed(words, letters=True))
        warnings = [word.warning for word in words if word.warning]
        if warnings:
            notes.append(f"Take care: {_some(warnings, '; ')}.")
        others = [f"{' or '.join(word.others)} for {word.text}" for word in words if word.others]
        such = f" ({_some(others, ', ')})" if others else ""
        notes.append(
            f"Also accept: another word for a picture{such}, in any language, with its own first "
            "letter; say the word meant here and try again."
        )
        if task.left_out:
            left = _some([f"“{word.text}”" for word in task.left_out], ", ")
            notes.append(f"Not used, as the first sound or the name may mislead: {left}.")
    else:
        notes.append("Also accept: a ring round the right letter, or pointing to it.")
    pairs = [pair for block in task.blocks for pair in published_pairs(block)]
    if pairs:
        listed = _some(["-".join(pair) for pair in dict.fromkeys(pairs)], ", ", most=12)
        notes.append(f"Published look-alike pairs on this page: {listed}.")
    if not words:
        notes.append(CHOSEN_LINE)
    return notes


def _some(texts: Sequence[str], joint: str, most: int = 3) -> str:
    """The first few texts, and how many more there are: the foot of a page holds seven lines."""
    more = len(texts) - most
    return joint.join(texts[:most]) + (f"{joint}and {more} more" if more > 0 else "")
