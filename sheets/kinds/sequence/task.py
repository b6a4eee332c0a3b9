"""What a sequence page shows: which steps of a theme's sequence, how many, under which words."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence as List
from dataclasses import dataclass

from shapes.errors import InputError
from shapes.letters.font import MM_PER_PT
from shapes.pictures.picture import Picture
from sheets.kinds.child_cuts import CutBy, cutting_stage
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low
from sheets.kinds.sequence import SequenceChoices
from sheets.kinds.sequence.backs import Backs
from sheets.kinds.sequence.section import SEQUENCES, Sequence
from sheets.kinds.settings import amount, setting
from sheets.kinds.source import Source, step_of
from sheets.kinds.toolkit import one_of
from sheets.kinds.words import title
from sheets.page.cards import CAPTION_LEADING, CAPTION_PT, fit_caption
from sheets.theme.theme import Step, Theme

FEWEST, MOST = 2, 6
FEWEST_ON_A_WHEEL = 3
CARD_INSET = 3.0
_LEAST_PICTURE = 25.0


@dataclass(frozen=True, slots=True)
class SequenceTask:
    """What to put in order.

    Args:
        stage: 0 to 6.
        steps: 2 to 6, in their right order, each with a picture of its own.
        badge: small picture in the head.
        also: other right orders, as places in ``steps`` counted from 0.
        wheel: a ring for what starts again, instead of a strip.
        laminate: cards for film, with gaps, on a page of their own.
        cutting: cutting stage of the child; None takes that of the options.
        cut_by: who cuts the cards, whatever the stage; None leaves it to the cutting stage.
        captions: for each step the lines printed on its card; empty for no words at all.
        backs: the place in the order on the back of each card, and how backs are made; None for
            cards without backs.
        note: the theme's note for the adult.
        remarks: further lines for the adult.
    """

    stage: int
    steps: tuple[Step, ...]
    title: str
    badge: Picture | None = None
    also: tuple[tuple[int, ...], ...] = ()
    wheel: bool = False
    laminate: bool = False
    cutting: int | None = None
    cut_by: CutBy | None = None
    captions: tuple[tuple[str, ...], ...] = ()
    backs: Backs | None = None
    note: str = ""
    remarks: tuple[str, ...] = ()

    @property
    def first_shown(self) -> bool:
        """Whether the first box shows its picture: at stages 0 and 1, and where a ring begins."""
        return self.wheel or self.stage <= 1

    def child_cuts_at(self, options: Options) -> int | None:
        """The cutting stage of the lines a child cuts along; None if an adult cuts the cards.

        Raises:
            InputError: see :func:`sheets.kinds.child_cuts.cutting_stage`.
        """
        found = cutting_stage(self.cutting, self.cut_by, options)
        return None if self.stage == 0 or self.laminate or self.backs else found


def card_size(stage: int, options: Options, captions: int = 0) -> tuple[float, float, float]:
    """Width and height of a card, and by how much its box is wider and higher, in mm.

    Args:
        captions: lines of words on the card; it grows where they would squeeze the picture.
    """
    # A page for low vision has at most four cards, which need not be as small as those of six.
    stage = min(stage, 4) if is_low(options) else stage
    width, height, more = (
        amount("sequence", stage, name) for name in ("card_width", "card_height", "glue_allowance")
    )
    if captions:
        words = captions * CAPTION_PT * MM_PER_PT * CAPTION_LEADING
        height = max(height, _LEAST_PICTURE + words + 2.0 * CARD_INSET)
    return width, height, more


def check_task(task: SequenceTask, options: Options) -> None:
    """Refuse what cannot be put on a page.

    Raises:
        InputError: unknown stage, too few or too many steps, or one picture twice.
    """
    setting("sequence", task.stage, "steps")  # refuses a stage that does not exist
    count = len(task.steps)
    if not FEWEST <= count <= MOST:
        raise InputError(
            f"{count} step{'' if count == 1 else 's'} cannot be put in order",
            where="`steps`",
            fix=f"use {FEWEST} to {MOST}",
        )
    if task.wheel and count < FEWEST_ON_A_WHEEL:
        raise InputError(
            f"{count} steps make no wheel", where="`wheel`", fix="use stage 3 or later, or a strip"
        )
    if task.backs is not None and task.cut_by == "child":
        raise InputError(
            "cards with backs are cut by an adult, so that both sides meet",
            where="`cut-by`",
            fix="leave it out, or print no backs",
        )
    if is_low(options) and count > MOST_FOR_LOW_VISION:
        raise InputError(
            f"{count} cards are more than the {MOST_FOR_LOW_VISION} of a page for low vision",
            where="`steps`",
            fix=f"use at most {MOST_FOR_LOW_VISION}",
        )
    seen: dict[str, str] = {}
    for step in task.steps:
        if step.picture.id in seen:
            raise InputError(
                f'"{seen[step.picture.id]}" and "{step.word}" show the same picture',
                where="steps",
                fix="give each step a picture of its own",
            )
        seen[step.picture.id] = step.word


# --- from a theme or words ------------------------------------------------------------------------


def task(source: Source, stage: int, options: Options, choices: SequenceChoices) -> SequenceTask:
    """A sequence as a task of a stage: one of the theme's, or words in their right order.

    Title and badge are the same at every stage: those of the sequence and the theme. More steps
    than a stage has are thinned evenly.

    Raises:
        InputError: no such sequence, or not that many steps.
        PictureError, FileError: there is no such picture.
    """
    if source.words and choices.sequence is not None:
        raise InputError("words have no sequence to choose", where="`sequence`", fix="drop it")
    theme = source.theme_or(lambda words: _theme_of(words, options))
    chosen = one_of(theme.rows(SEQUENCES), choices.sequence, theme, "sequence")
    what = "the words" if source.words else f'"{chosen.title}"'
    count = _count(stage, options, choices.steps, len(chosen.steps), what)
    shown = _shortened(chosen, count)
    captions, remarks = _captions(theme, shown, stage, options) if choices.labels else ((), ())
    made = SequenceTask(
        stage=stage,
        steps=shown,
        title=chosen.title,
        badge=theme.badge,
        wheel=choices.wheel,
        laminate=choices.laminate,
        cutting=choices.cutting,
        cut_by=choices.cut_by,
        backs=choices.backs,
        captions=captions,
        note=chosen.note,
        remarks=remarks,
    )
    others = _also(chosen, shown)
    # Where the first box shows its picture nothing else is right there.
    also = tuple(o for o in others if o[0] == 0 or not made.first_shown)
    return dataclasses.replace(made, also=also)


def _theme_of(words: tuple[str, ...], options: Options) -> Theme:
    """A theme of one use: the words in their right order, labelled in the page's language."""
    steps = tuple(step_of(word) for word in words)
    if len(steps) < FEWEST:
        raise InputError(
            f"{len(steps)} word{'' if len(steps) == 1 else 's'} cannot be put in order",
            where="words",
            fix=f"give {FEWEST} to {MOST} in their right order",
        )
    asked = title("sequence", "words", options.language)
    sequence = Sequence(asked, steps)
    return Theme(
        asked,
        languages=(options.language,),
        sections={SEQUENCES.name: (sequence,)},
        steps=steps,
    )


def _count(stage: int, options: Options, asked: int | None, there: int, what: str) -> int:
    if asked is not None:
        if not FEWEST <= asked <= min(MOST, there):
            raise InputError(
                f"{asked} step{'' if asked == 1 else 's'} cannot be had from the {there} of {what}",
                where="`steps`",
                fix=f"use {FEWEST} to {min(MOST, there)}",
            )
        return asked
    most = int(setting("sequence", stage, "steps") or FEWEST)
    if is_low(options):
        most = min(most, MOST_FOR_LOW_VISION)
    return min(most, there)


def _shortened(sequence: Sequence, count: int) -> tuple[Step, ...]:
    """The shortest version that is long enough, thinned evenly between its first and last step."""
    versions = sorted((*sequence.short, sequence.steps), key=len)
    version = next(v for v in versions if len(v) >= count)
    return thinned(version, count)


def thinned(steps: tuple[Step, ...], count: int) -> tuple[Step, ...]:
    """``count`` steps at even distances, the first and the last among them (``count`` >= 2)."""
    last = len(steps) - 1
    return tuple(steps[int(i * last / (count - 1) + 0.5)] for i in range(count))


def _also(sequence: Sequence, shown: tuple[Step, ...]) -> tuple[tuple[int, ...], ...]:
    """The other right orders, as far as they concern the steps that are shown."""
    place = {step.word: i for i, step in enumerate(shown)}
    orders = [tuple(place[s.word] for s in row if s.word in place) for row in sequence.also]
    right = tuple(range(len(shown)))
    return tuple(order for order in dict.fromkeys(orders) if order != right)


def _captions(
    theme: Theme, steps: tuple[Step, ...], stage: int, options: Options
) -> tuple[tuple[tuple[str, ...], ...], tuple[str, ...]]:
    """One line a language for every step; an empty one where there is no name or no room."""
    languages = list(dict.fromkeys((theme.languages[0], options.language or theme.languages[0])))
    room = card_size(stage, options)[0] - 2.0 * CARD_INSET
    captions: list[tuple[str, ...]] = []
    nameless: list[str] = []
    too_long: list[str] = []
    unchecked: list[str] = []
    for step in steps:
        lines: list[str] = []
        for language in languages:
            name = theme.shown_name(step.word, language)
            fitted = fit_caption(name.text, room, most_lines=1) if name is not None else None
            lines.append(fitted[0] if fitted is not None else "")
            if name is None:
                nameless.append(f"{step.word} ({language})")
            elif fitted is None:
                too_long.append(name.text)
            elif not name.checked:
                unchecked.append(name.text)
        captions.append(tuple(lines))
    remarks = [
        *_write_on_the_line(too_long),
        *([f"No name for {', '.join(nameless)}: write it on the line."] if nameless else ()),
        *([f"Ask a speaker about: {', '.join(unchecked)}."] if unchecked else ()),
    ]
    return tuple(captions), tuple(remarks)


def _write_on_the_line(texts: List[str]) -> tuple[str, ...]:
    """The remark about words that are too long for a card; none if there are none."""
    named = ", ".join(f'"{text}"' for text in texts)
    return (f"Too long for a card, write on the line: {named}.",) if texts else ()
