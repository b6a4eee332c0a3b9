"""Letters to cut: a big letter or a short word, cut out and glued on its own outline.

Stage 0 glues what an adult has cut, stage 1 fills the big letter with snips. Stages 2 and 3 cut
straight: strips for a letter of upright and level strokes, another letter in its rectangle, a word
apart into tiles. From stage 4 on the outline goes round the letter or the whole word as it goes
round a picture: a rounded hull, a soft outline, the letter's own. Counters are drawn and never cut,
at stage 6 neither: scissors would have to pierce the piece.
"""

from __future__ import annotations

import dataclasses
import random
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from shapes.errors import FitError, InputError
from shapes.letters.font import check_plain
from shapes.path import BBox, Path
from sheets.check.check import check_page, outside
from sheets.check.guidance import check_stage
from sheets.kinds.cutting.easier import suited_page
from sheets.kinds.cutting.letterforms import has_hole, letterform
from sheets.kinds.cutting.letterstrips import of_strips, strip_base, strip_page
from sheets.kinds.cutting.lettertiles import base_tiles, glue_line, word_page
from sheets.kinds.cutting.pages import asked, preparation
from sheets.kinds.cutting.strips import panel_page, snip_page
from sheets.kinds.cutting.task import CuttingTask, Layout
from sheets.kinds.materials import GLUE, SCISSOR_LINE, printed, scissors
from sheets.kinds.options import Options
from sheets.kinds.settings import amount, setting
from sheets.kinds.sheet import SheetBuilder
from sheets.kinds.source import Source
from sheets.page.art import picture_in
from sheets.page.frame import Frame, rectangle
from sheets.page.model import Mark, Material, Page, Place, Role, Stroke

if TYPE_CHECKING:
    from shapes.pictures.picture import Picture

NAME, OF_THEME = "letters-to-cut", "theme"
_MARKS = "'’-"
SCRAPS = Material("coloured paper to tear", 1, "consumed")


class Asked(Protocol):
    """What the sheet is told; see :class:`sheets.kinds.letters_to_cut.Choices`."""

    @property
    def letter(self) -> str | None: ...
    @property
    def word(self) -> str | None: ...
    @property
    def fill(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class LettersTask:
    """What is cut: one letter, or a word of two letters and more.

    Args:
        fill: no cutting, only the big letter to fill.
    """

    stage: int
    text: str
    badge: Picture | None = None
    fill: bool = False

    @property
    def kind(self) -> str:
        """The kind it is a task of, whose pages lie with those of cutting."""
        return NAME

    @property
    def title(self) -> str:
        return self.text

    @property
    def is_word(self) -> bool:
        return len(self.text) > 1


def task(source: Source, stage: int, options: Options, choices: Asked) -> LettersTask:
    """The letter or word asked for, else the first letter of a word of the theme, as a capital.

    Raises:
        InputError: it is no letter or word, too long for the stage, or both are asked for.
        GlyphError: the page font lacks a letter.
    """
    check_stage(stage)
    if choices.letter and choices.word:
        raise InputError("a letter and a word", where="`letter`", fix="give only one of them")
    if len(source.words) > 1:
        raise InputError(
            f"{len(source.words)} words for one sheet", where="words", fix="give one word or letter"
        )
    text, badge = _asked_for(source, stage, options, choices)
    text = unicodedata.normalize("NFC", text)
    check_plain(text, f"letters '{text}'")
    most = int(amount(NAME, stage, "longest_word"))
    if len(text) > most and not choices.fill:
        raise InputError(
            f"'{text}' has {len(text)} letters, more than the {most} of stage {stage}",
            where="`word`",
            fix="use a shorter word or `letter`",
        )
    return LettersTask(stage, text, badge, choices.fill)


def _asked_for(
    source: Source, stage: int, options: Options, choices: Asked
) -> tuple[str, Picture | None]:
    badge = source.theme.badge if source.theme else None
    if choices.letter is not None:
        if len(unicodedata.normalize("NFC", choices.letter)) != 1 or not choices.letter.isalnum():
            raise InputError(f"'{choices.letter}' is not one letter", where="`letter`",
                             fix="give one, such as B")  # fmt: skip
        return choices.letter, badge
    if choices.word is not None and choices.word.lower() != OF_THEME:
        return _word(choices.word, "`word`"), badge
    if source.words:
        return _word(source.words[0], "words"), None
    if source.theme is None:
        raise InputError("no letter and no word", where="words", fix="name a theme or a word")
    # Not by stage: children at one table have the same letter.
    rng = random.Random(f"{options.seed}:letters")
    most = 1 if choices.word is None else int(amount(NAME, stage, "longest_word"))
    words = [w for w in source.theme.words if _is_word(w.text) and (
        choices.word is None or 1 < len(w.text) <= most)]  # fmt: skip
    if not words:
        raise InputError(
            f"the theme {source.theme.title} has no word of 2 to {most} letters",
            where="`word`",
            fix="name a word or a `letter`",
        )
    word = rng.choice(words)
    text = unicodedata.normalize("NFC", word.text)
    return (text if choices.word else text[0].upper()), word.picture


def _is_word(text: str) -> bool:
    return text[:1].isalnum() and all(c.isalnum() or c in _MARKS for c in text)


def _word(text: str, where: str) -> str:
    if not _is_word(text):
        raise InputError(f"'{text}' is no word of letters", where=where,
                         fix="write letters only, such as frog")  # fmt: skip
    return text


# --- the pages ------------------------------------------------------------------------------------


def draw(task: LettersTask, options: Options, sheet: SheetBuilder) -> None:
    """The page to cut and the page to glue on, or only the big letter to fill.

    Raises:
        FitError: a word does not fit the page of its stage.
    """
    what = "word" if task.is_word else "letter"
    sheet.entitle(what, text=task.text)
    frame = Frame(options.paper)
    if task.fill:
        base: list[Mark] = [_big(task, frame.work)]
        sheet.page(base, "to fill", ask=["tear", what])
        sheet.needs(printed("printed sheet"), SCRAPS, GLUE)
        sheet.record(text=task.text)
    elif task.stage == 1:
        base = _snips(task, options, sheet, frame)
    else:
        base = _cut_and_glued(task, options, sheet, frame, what)
    spelt = f": {', '.join(task.text)}" if task.is_word else ""
    note = "The holes in it are drawn, not cut." if has_hole(task.text) else ""
    sheet.key(base, [note], text=f"the {what} {task.text}{spelt}")


def _big(task: LettersTask, room: BBox) -> Place:
    return picture_in(letterform(task.text), room, id="base")


def _snips(task: LettersTask, options: Options, sheet: SheetBuilder, frame: Frame) -> list[Mark]:
    """Snips from strips, to fill the big letter on the rest of the page."""
    layout = snip_page(CuttingTask(1), options, frame)
    box = next(m for m in layout.marks if isinstance(m, Stroke) and m.id == "glue-box")
    base: list[Mark] = [_big(task, box.paths[0].bbox)]
    marks = [m for m in layout.marks if m is not box]
    layout = dataclasses.replace(layout, marks=[*marks, *base], notes=())
    _cutting_page(layout, options, sheet, 1, ["snip", "snips"])
    sheet.record(**layout.parameters, text=task.text)
    return base


def _cut_and_glued(
    task: LettersTask, options: Options, sheet: SheetBuilder, frame: Frame, what: str
) -> list[Mark]:
    layout, base = _layout(task, options, frame)
    if task.is_word and task.stage in (2, 3):
        _cutting_page(layout, options, sheet, task.stage, ["between", "tiles"])
        sheet.record(**layout.parameters, text=task.text)
        return base
    if task.stage == 0:
        sheet.page(layout.marks, "for an adult to cut", ask=[f"this-{what}"],
                   say=("An adult cuts it out beforehand, along the grey line.",))  # fmt: skip
        sheet.prepare(f"Cut out the {what} along the grey line.")
        sheet.needs(printed("printed sheet, on coloured paper"), GLUE, SCRAPS)
        sheet.page(base, "base", ask=["glue"],
                   say=(f"Or tear paper and fill the {what} with it.",))  # fmt: skip
    else:
        keys = asked(task.stage, layout.marks)
        _cutting_page(layout, options, sheet, task.stage, keys)
        # At the last stage the outline alone tells where the letter goes.
        shown = [m for m in base if isinstance(m, Stroke) or task.stage < 6]
        sheet.page(shown, "base", ask=["strips" if "strips" in layout.parameters else "glue"])
    sheet.needs(printed("printed base"))
    sheet.record(**layout.parameters, text=task.text)
    return base


def _cutting_page(
    layout: Layout, options: Options, sheet: SheetBuilder, stage: int, keys: list[str]
) -> None:
    paper = str(setting("cutting", stage, "stock") or "plain paper")
    before = preparation(layout)
    sheet.page(
        layout.marks,
        "to cut",
        ask=keys,
        say=(before, *layout.notes, layout.remark),
        caution=SCISSOR_LINE,
        stock="card" if "card" in paper.split() else "plain",
        cuts=layout.adult_cuts,
    )
    sheet.needs(printed(f"printed sheet on {paper}"), scissors(options), GLUE)
    sheet.prepare(before, layout.remark)
    sheet.caution(SCISSOR_LINE)


# --- what is cut, and where it is glued -----------------------------------------------------------


def _layout(task: LettersTask, options: Options, frame: Frame) -> tuple[Layout, list[Mark]]:
    """The page to cut and the marks of the base, in the same place and size."""
    if task.stage in (2, 3):
        return _straight(task, options, frame)
    if task.stage == 0:
        found = _outlined(dataclasses.replace(task, stage=int(amount(NAME, 0, "adult_outline"))),
                          dataclasses.replace(options, needs=()), frame)  # fmt: skip
        base = _base(found)
        line = [dataclasses.replace(m, role=Role.ADULT, id="adult-outline") for m in base
                if isinstance(m, Stroke)]  # fmt: skip
        drawn = [m for m in found.marks if isinstance(m, Place)]
        return Layout([*drawn, *line]), base
    found = _outlined(task, options, frame)
    return found, _base(found)


def _straight(task: LettersTask, options: Options, frame: Frame) -> tuple[Layout, list[Mark]]:
    """A letter of strips or in its rectangle; a word as tiles, whose base is on the same page."""
    if task.is_word:
        high = amount(NAME, task.stage, "tile_height")
        layout = word_page(task.text, task.stage, high, options, frame)
        base = base_tiles(layout, high, frame)
        return dataclasses.replace(layout, marks=[*layout.marks, *base]), base
    if of_strips(task.text):
        shared = (task.text, task.stage, options, frame)
        return strip_page(*shared), strip_base(*shared)
    plain = CuttingTask(task.stage, letterform(task.text), pieces=1)
    layout = panel_page(plain, options, frame)
    first, second = (path.bbox for path in _cuts(layout))
    letter = next(m for m in layout.marks if isinstance(m, Place))
    tile = rectangle(first.union(second))
    return layout, [glue_line(tile, 1), dataclasses.replace(letter, id="base-1")]


def _outlined(task: LettersTask, options: Options, frame: Frame) -> Layout:
    """One outline round the letter or the word: at stage 5 a soft one, if it keeps the limits."""
    from shapes.outline.ease import SOFT

    form = letterform(task.text)
    plain = CuttingTask(task.stage, form, pieces=1)
    if task.stage == 5:
        try:
            found = suited_page(dataclasses.replace(plain, outline=SOFT), form, options, frame)
        except FitError:
            found = None
        if found is not None and not outside(
            check_page(Page(frame.paper, tuple(found.marks)), "cutting", task.stage)
        ):
            return dataclasses.replace(found, notes=found.notes)
    return suited_page(plain, form, options, frame)


def _base(layout: Layout) -> list[Mark]:
    """The outline to glue on, with the letter in it."""
    letters = [m for m in layout.marks if isinstance(m, Place)]
    lines = [glue_line(path, i) for i, path in enumerate(_cuts(layout), start=1)]
    return [*lines, *(dataclasses.replace(m, id=f"base-{i}") for i, m in enumerate(letters, 1))]


def _cuts(layout: Layout) -> list[Path]:
    return [path for m in layout.marks if isinstance(m, Stroke) and m.role is Role.CUT
            for path in m.paths]  # fmt: skip
