"""The note that goes home: half a page, two on a sheet, in the languages of theme and families.

It says what the theme is about, what one could do at home, and how to cut there if the week has
cutting. It names no child, no stage and no result. What no speaker has checked is marked as a
draft.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from shapes.errors import FitError
from shapes.letters.font import MM_PER_PT, text_width_mm
from shapes.path import BBox
from shapes.path import Path as Line
from shapes.pictures.picture import Picture
from sheets.files.class_list import Child
from sheets.packet.adult.flow import BINDER_MARGIN, BODY_PT, broken
from sheets.packet.plan import Plan
from sheets.page.art import credit_line, picture_in
from sheets.page.frame import ADULT_SIZE_PT, MARGIN
from sheets.page.model import BLACK, FURNITURE_GREY, Mark, Paper, Place, Role, Stroke, Text
from sheets.theme.languages import english, primary

DRAFT = "draft: check with a speaker"
BLANK = "________"
CUTTING = "cutting"
"""The skill whose weeks bring a line about scissors at home."""
CHECKED = ("en",)
"""Languages whose sentences in ``family_note.toml`` were checked here."""
MOST_PICTURES = 12
"""A theme with more words gets a list of them instead of pictures."""
_IN_A_ROW = 6
_PICTURE_MM = 14.0
_FOOT_MM = 5.0
_LINE_UP, _TO_WRITE = 7.0, 6.5
_TITLE_PT = 15.0
_NOTE_PT, _MIDDLE_PT, _SMALL_PT = 11.0, 10.0, 9.5
_LAYOUTS = (
    (True, _NOTE_PT, True),
    (True, _MIDDLE_PT, True),
    (True, _SMALL_PT, True),
    (True, _SMALL_PT, False),
    (False, _SMALL_PT, True),
    (False, _SMALL_PT, False),
)
"""Pictures, size of type, and a line to write on, the best first."""
_LEADING = 1.4


@dataclass(frozen=True, slots=True)
class Note:
    """The words of one note.

    Args:
        language: tag.
        families: children of the class with this language.
        names: each picture of the theme with its word, and below it the main language's if that
            differs.
        paragraphs: the first introduces the pictures.
        draft: whether a speaker is to read it first.
        line: label of the blank line at its foot; empty for no line.
        sentences: tag of the language of the sentences, where it is another one.
    """

    language: str
    families: int
    title: str
    names: tuple[tuple[Picture, str, str], ...]
    paragraphs: tuple[str, ...]
    draft: bool
    line: str = ""
    sentences: str = ""

    @property
    def mark(self) -> str:
        """What stands beside the title; empty on a note that somebody has checked."""
        if self.sentences:
            words = f"{english(self.sentences)}, with words in {english(self.language)}"
            return f"{words}; {DRAFT}"
        return f"{self.language}, {DRAFT}" if self.draft else ""

    @property
    def copies(self) -> int:
        """How often its page is printed: there are two notes on it."""
        return max(1, (self.families + 1) // 2)


def notes(plan: Plan) -> tuple[Note, ...]:
    """A note for each language of the theme, then for each further one of the class."""
    main = plan.theme.languages[0]
    spoken = [_language(child, main) for child in plan.children]
    return tuple(
        _note(plan, language, spoken.count(language))
        for language in dict.fromkeys((*plan.theme.languages, *spoken))
    )


def note_copies(plan: Plan) -> int:
    """Pages to print beyond the one of each note that is in the file."""
    return sum(note.copies - 1 for note in notes(plan))


def _language(child: Child, main: str) -> str:
    return child.language or main


@cache
def _sentences() -> Mapping[str, Mapping[str, str]]:
    content: Mapping[str, Mapping[str, str]] = tomllib.loads(
        Path(__file__).with_name("family_note.toml").read_text("utf-8")
    )
    return content


def languages() -> tuple[str, ...]:
    """Tags of the languages that have sentences."""
    return tuple(_sentences())


def sentences_in(language: str, main: str) -> str:
    """The language of the sentences of a note: its own, or the theme's, or English."""
    return next((t for t in map(primary, (language, main)) if t in _sentences()), "en")


def _note(plan: Plan, language: str, families: int) -> Note:
    theme = plan.theme
    spoken = sentences_in(language, theme.languages[0])
    lines = _sentences()[spoken]
    names, checked = [], True
    for word in theme.words:
        name = theme.shown_name(word.text, language)
        text = name.text if name is not None else BLANK
        names.append((word.picture, text, "" if text == word.text else word.text))
        checked = checked and name is not None and name.checked
    skills = dict.fromkeys(planned.skill for planned in plan.sheets)
    doing = ", ".join(lines[skill] for skill in skills if skill in lines)
    said = {"title": theme.title, "doing": doing}
    paragraphs = [lines["words"], *([lines["doing"]] if doing else []), lines["home"], lines["ask"]]
    if CUTTING in skills and "scissors" in lines:
        paragraphs.append(lines["scissors"])
    return Note(
        language=language,
        families=families,
        title=lines["head"].format(**said),
        names=tuple(names),
        paragraphs=tuple(text.format(**said) for text in paragraphs),
        line=lines.get("line", ""),
        draft=not checked or spoken not in CHECKED,
        sentences="" if spoken == primary(language) else spoken,
    )


def note_marks(note: Note, paper: Paper) -> list[Mark]:
    """A page with the note twice and a line to cut between.

    Raises:
        FitError: more words than half a page holds.
    """
    half = paper.height / 2.0
    marks: list[Mark] = [
        Stroke(
            (Line.line((MARGIN, half), (paper.width - MARGIN, half)),),
            0.25,
            Role.ADULT,
            id="note-cut",
            colour=FURNITURE_GREY,
            dash=(3.0, 3.0),
            cap="butt",
        )
    ]
    # Smaller type where it needs room, then no line, then words without pictures; halves alike.
    few = len(note.names) <= MOST_PICTURES
    for pictures, size_pt, line in _LAYOUTS:
        if (pictures and not few) or (line and not note.line):
            continue
        upper, y = _one(note, paper, paper.height - MARGIN, half + 8.0, pictures, size_pt)
        lower, z = _one(note, paper, half - MARGIN, MARGIN, pictures, size_pt)
        need = _LINE_UP + _TO_WRITE if line else _FOOT_MM
        if y >= half + 8.0 + need and z >= MARGIN + need:
            written = [*_line(note, paper, half + 8.0), *_line(note, paper, MARGIN)]
            return [*marks, *upper, *lower, *(written if line else ())]
    raise FitError(
        f"the family note in '{note.language}' has more words than half a page holds",
        where="words",
        fix="use fewer words in the theme, or shorter names",
    )


def _one(
    note: Note, paper: Paper, top: float, low: float, pictures: bool, size_pt: float
) -> tuple[list[Mark], float]:
    """The marks of one note, and the baseline of its last line."""
    left, right = BINDER_MARGIN, paper.width - BINDER_MARGIN
    y = top - _TITLE_PT * MM_PER_PT
    marks: list[Mark] = []
    room = right - left
    if text := note.mark:
        marks.append(Text(right, y, text, BODY_PT, Role.ADULT, id="draft", anchor="end"))
        room -= text_width_mm(text, BODY_PT) + 4.0
    for i, line in enumerate(broken(note.title, _TITLE_PT, room)):
        y -= _TITLE_PT * MM_PER_PT * _LEADING if i else 0.0
        marks.append(Text(left, y, line, _TITLE_PT, Role.ADULT))
    y -= 3.0
    leading = size_pt * MM_PER_PT * _LEADING
    first, *others = note.paragraphs
    if not pictures:
        listed = [f"{text} ({also})" if also else text for _, text, also in note.names]
        first += f" {', '.join(listed)}."
    for i, paragraph in enumerate((first, *others)):
        for line in broken(paragraph, size_pt, right - left):
            y -= leading
            marks.append(Text(left, y, line, size_pt, Role.ADULT))
        if i == 0 and pictures:
            shown, y = _pictures(note, left, right, y - 4.5)
            marks += shown
        y -= 1.5
    last = y + 1.5
    credit = credit_line([mark.artwork for mark in marks if isinstance(mark, Place)])
    if credit:
        marks.append(Text(left, low, credit, ADULT_SIZE_PT, Role.ADULT, colour=FURNITURE_GREY))
    return marks, last


def _line(note: Note, paper: Paper, low: float) -> list[Mark]:
    """A blank line with its label, at the foot of a note."""
    y = low + _LINE_UP
    start = BINDER_MARGIN + text_width_mm(note.line, BODY_PT) + 2.0
    rule = Line.line((start, y), (paper.width - BINDER_MARGIN, y))
    return [
        Text(BINDER_MARGIN, y + 0.6, note.line, BODY_PT, Role.ADULT, id="note-label"),
        Stroke((rule,), 0.25, Role.ADULT, id="note-line", colour=FURNITURE_GREY, cap="butt"),
    ]


def _pictures(note: Note, left: float, right: float, top: float) -> tuple[list[Mark], float]:
    """The pictures in rows with their words below, and how far down they reach."""
    marks: list[Mark] = []
    width = (right - left) / _IN_A_ROW
    leading = BODY_PT * MM_PER_PT * 1.25
    y = top
    for start in range(0, len(note.names), _IN_A_ROW):
        lowest = y
        for column, (picture, text, also) in enumerate(note.names[start : start + _IN_A_ROW]):
            x = left + width * (column + 0.5)
            box = BBox(x - _PICTURE_MM / 2, y - _PICTURE_MM, x + _PICTURE_MM / 2, y)
            marks.append(picture_in(picture, box, id="note-picture", line_mm=0.6))
            at = y - _PICTURE_MM - leading
            for part, colour in ((text, BLACK), (also, FURNITURE_GREY)):
                for line in broken(part, BODY_PT, width - 1.0):
                    marks.append(
                        Text(x, at, line, BODY_PT, Role.ADULT, colour=colour, anchor="middle")
                    )
                    at -= leading
            lowest = min(lowest, at)
        y = lowest - 0.5
    return marks, y
