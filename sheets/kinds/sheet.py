"""Builds a sheet: pages with head, bars and the kind's marks, measured; key, materials, lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from shapes.affine import Affine
from shapes.path import BBox
from shapes.pictures.picture import Picture
from sheets.check.check import check_page
from sheets.kinds import words
from sheets.kinds.materials import LOOSE_LINE, LOOSE_SHORT, TRIMMER, printed
from sheets.kinds.options import Options, least_line
from sheets.page.art import credit_line, picture_in
from sheets.page.frame import PRINT_LINE, Frame, foot, foot_lines, head, measure_bars
from sheets.page.marks import mark_bbox, marks_bbox, transform_mark
from sheets.page.model import (
    Answer,
    CardSet,
    Cut,
    Finding,
    Mark,
    Material,
    Page,
    Paper,
    Place,
    Role,
    Sheet,
    Stock,
    Text,
)

if TYPE_CHECKING:
    from sheets.page.cards import CardGrid

OTHER_RULES = (
    "Usual caution only: your programme's licensing, health and allergy rules and a licensed "
    "therapist's advice come first."
)
RULES_FIRST = "Local rules and a licensed therapist's advice come first."
"""The same in short, below the work area."""

KEY_PT = 9.5
"""Type of the lines on a key, large enough to be read when two keys share a page."""


UNDER_TITLE = 8.0
"""Between the head and what stands below it, mm."""


class SheetBuilder:
    """Collects what a kind draws and says, and makes a :class:`sheets.page.model.Sheet` of it.

    Every page is measured against guidance when it is finished.

    Args:
        kind, skill: whose sheet it is, and the guidance it is measured by.
        title: what the sheet is about; printed on every page, unless the options have a title or
            the kind takes its own words by :meth:`entitle`.
        badge: small picture in the head of every page.
        apart: give loose cards apart, to be printed with those of others, and put a page that
            half a sheet holds on half a sheet.
    """

    def __init__(
        self,
        kind: str,
        skill: str,
        stage: int,
        options: Options,
        title: str,
        badge: Picture | None,
        *,
        apart: bool = False,
    ) -> None:
        self.kind, self.skill, self.stage, self.options = kind, skill, stage, options
        self.apart = apart
        self.about = self.title = options.title or title
        self.badge = badge
        self._pages: list[Page] = []
        self._key: list[Page] = []
        self._answers: list[Answer] = []
        self._cards: list[CardSet] = []
        self._findings: list[Finding] = []
        self._lines: dict[str, None] = {}
        self._materials: list[Material] = []
        self._preparation: list[str] = []
        self._cautions: list[str] = []
        self._parameters: dict[str, object] = {}

    @property
    def frame(self) -> Frame:
        """Where things go on the paper of the options."""
        return Frame(self.options.paper)

    def entitle(self, key: str, **named: str) -> None:
        """Print what the child does as the title, in the page's language; the options' wins.

        Args:
            key: of the kind's titles.
            named: what is filled in, such as a picture's name.
        """
        if not self.options.title:
            self.title = words.title(self.kind, key, self.options.words_language, **named)

    # --- the child's pages ---

    def page(
        self,
        marks: Sequence[Mark],
        what: str,
        *,
        ask: Sequence[str],
        say: Sequence[str] = (),
        caution: str = "",
        stock: Stock = "plain",
        paper: Paper | None = None,
        cuts: Sequence[Cut] = (),
    ) -> None:
        """Add a page for the child.

        Args:
            marks: what the kind draws in the work area.
            what: names the page beside the title in the PDF outline.
            ask: keys of the sentences that tell the child what to do, printed below the title.
            say: at most two lines for the adult, after the printing line.
            caution: last line but the credit; :data:`RULES_FIRST` is added to it.
            paper: if another than that of the options, such as the same on its side.
            cuts: straight cuts that an adult makes.
        """
        lines = [PRINT_LINE, *(line for line in say if line)]
        if caution:
            lines.append(f"{caution} {RULES_FIRST}")
        label = f"{self.about}: {what}"
        drawn = Page(paper or self.options.paper, tuple(marks), label, stock)
        half = None if paper or cuts or stock != "plain" else self._half(drawn, ask, lines[1:])
        page = half or self._framed(dataclasses.replace(drawn, cuts=tuple(cuts)), ask, lines)
        self._measure(page)
        self._pages.append(page)
        self._lines |= dict.fromkeys([*lines, *_credit(page.marks)])

    def _framed(self, drawn: Page, ask: Sequence[str], lines: Sequence[str]) -> Page:
        """What a kind drew, with head, bars and foot."""
        frame = Frame(drawn.paper)
        marks = (
            *head(
                frame,
                self.title,
                self.options.name,
                words.say(self.kind, ask, self.options.words_language),
            ),
            *self._badge(frame),
            *measure_bars(frame, self.options.far_side),
            *drawn.marks,
        )
        below = foot(frame, [*lines, *_credit(marks)])
        return dataclasses.replace(drawn, marks=(*marks, *below))

    def _half(self, drawn: Page, ask: Sequence[str], lines: Sequence[str]) -> Page | None:
        """The page on half a sheet, in true size; None if it is too high or not asked for."""
        if not self.apart:
            return None
        frame = Frame(drawn.paper.half)
        credit = _credit([*self._badge(frame), *drawn.marks])
        room = frame.between(foot_lines([*lines, *credit], frame))
        box = marks_bbox(drawn.marks)
        if box.height > room.height or box.x0 < room.x0 - 1e-6 or box.x1 > room.x1 + 1e-6:
            return None
        up = Affine.translation(0.0, room.center[1] - box.center[1])
        marks = tuple(transform_mark(mark, up) for mark in drawn.marks)
        return self._framed(dataclasses.replace(drawn, paper=frame.paper, marks=marks), ask, lines)

    def _badge(self, frame: Frame) -> list[Mark]:
        if self.badge is None:
            return []
        colour = self.options.colour
        return [picture_in(self.badge, frame.badge, colour=colour, id="badge", line_mm=0.7)]

    def cards(
        self,
        marks: Sequence[Mark],
        grid: CardGrid,
        *,
        ask: Sequence[str],
        what: str = "cards",
        say: Sequence[str] = (),
        caution: str = "",
        stock: Stock = "card",
    ) -> None:
        """Add the page of cards that an adult cuts apart along the cuts of their grid.

        If cards are given apart, the page is only measured.
        """
        if self.apart:
            page = Page(self.options.paper, tuple(marks), f"{self.about}: {what}", stock)
            self._measure(page)
            self._cards.append(card_set(what, grid, marks))
            return
        cuts = [Cut(cut.direction == "across", cut.at) for cut in grid.cuts]
        self.page(marks, what, ask=ask, say=say, caution=caution, stock=stock, cuts=cuts)

    def keep(self) -> None:
        """The last page can be used again: the child only lays things on it, or it is cards."""
        self._pages[-1] = dataclasses.replace(self._pages[-1], again=True)

    def cut_line(self, what: str, plan: str) -> str:
        """What an adult does about loose cards beforehand.

        Args:
            what: what the cards are called, such as ``tiles``.
            plan: how their own page is cut, if they have one.
        """
        if self.apart:
            return f"The {what} are on the sheets of cards, under this child's tag."
        return f"An adult cuts the {what} beforehand: {plan}"

    def grid(self, count: int, width: float, height: float) -> CardGrid:
        """Cards of one size below the head of a page.

        Raises:
            FitError: the cards do not fit.
        """
        from sheets.page.cards import grid_in

        work = self.frame.work
        area = BBox(work.x0, work.y0, work.x1, work.y1 - UNDER_TITLE)
        return grid_in(area, self.options.paper, count, width, height)

    def faces(
        self, grid: CardGrid, pictures: Sequence[Picture], *, insets: Sequence[float]
    ) -> list[Mark]:
        """Loose cards with pictures, and the ticks of their cuts.

        Args:
            insets: white rim of each card, mm.
        """
        from sheets.page.cards import cut_ticks, face

        marks: list[Mark] = [*cut_ticks(grid)]
        rows = zip(grid.cards, pictures, insets, strict=True)
        for k, (box, picture, inset) in enumerate(rows, start=1):
            marks += face(
                box,
                picture,
                id=f"card-{k}",
                role=Role.CARD,
                inset=inset,
                least_line_mm=least_line(self.options),
                colour=self.options.colour,
            )
        return marks

    def cards_to_cut(
        self,
        marks: Sequence[Mark],
        grid: CardGrid,
        what: str,
        *,
        ask: Sequence[str],
        say: Sequence[str] = (),
    ) -> None:
        """Add a page of loose cards, what an adult does about it, and the usual caution.

        Args:
            what: the cards are called so, such as ``tiles``.
        """
        called = what.capitalize()
        caution = LOOSE_SHORT.format(called)
        said = [self.cut_line(what, grid.short_plan()), *say]
        self.cards(marks, grid, ask=ask, what=what, say=said, caution=caution)
        self.keep()
        self.needs(printed(f"sheet of {what}, on card", "small-parts"), TRIMMER)
        self.prepare(self.cut_line(what, grid.plan()))
        self.caution(LOOSE_LINE.format(called))

    def back(
        self,
        marks: Sequence[Mark],
        what: str = "backs",
        *,
        stock: Stock = "card",
        paper: Paper | None = None,
    ) -> None:
        """Add a side without head and foot: the other one of a page of cards, or a sheet to fold.

        Args:
            what, stock, paper: as for :meth:`page`.
        """
        page = Page(paper or self.options.paper, tuple(marks), f"{self.about}: {what}", stock)
        self._measure(page)
        self._pages.append(page)

    def _measure(self, page: Page) -> None:
        self._findings += check_page(page, self.skill, self.stage)

    # --- the adult's side ---

    def key(
        self,
        marks: Sequence[Mark],
        notes: Sequence[str] = (),
        *,
        what: str = "key",
        title: str = "",
        paper: Paper | None = None,
        text: str = "",
    ) -> None:
        """Add a page of the answer key: the child's page again with the answers.

        Args:
            text: the whole answer in one line, where words can say it.
            what: names the page in the PDF outline, such as ``pattern, key``.
            title: in its head, if not the title of the sheet.
            paper: as for :meth:`page`.

        Raises:
            FitError: more notes than the foot of a page holds.
        """
        frame = Frame(paper or self.options.paper)
        about = title or self.title
        draft = words.draft_line([self.options.words_language])
        said = tuple(note for note in notes if note)
        credit = _credit(marks)
        self._answers.append(
            Answer(text, tuple(marks), said, about, frame.paper, draft, "".join(credit))
        )
        if self.apart:
            return
        shown = f"Adult key: {about}"
        header = [Text(frame.work.x0, frame.live.y1 - 7.0, shown, 16.0, Role.ADULT, id="key")]
        if draft:
            y = frame.live.y1 - 18.0
            header.append(Text(frame.work.x0, y, draft, KEY_PT, Role.ADULT, id="draft"))
        below = foot(frame, [*said, *credit], size_pt=KEY_PT, bar=False)
        label = f"{self.about}: {what}"
        self._key.append(Page(frame.paper, (*header, *marks, *below), label=label))

    def needs(self, *materials: Material) -> None:
        """Add things to have on the table."""
        self._materials += materials

    def prepare(self, *steps: str) -> None:
        """Add what an adult does beforehand; empty ones are left out."""
        self._preparation += [step for step in steps if step]

    def caution(self, *lines: str) -> None:
        """Add cautions; :data:`OTHER_RULES` follows them all."""
        self._cautions += lines

    def record(self, **values: object) -> None:
        """Keep values that made this sheet, such as sizes, words and the answer."""
        self._parameters |= values

    def done(self) -> Sheet:
        """The finished sheet."""
        return Sheet(
            kind=self.kind,
            skill=self.skill,
            stage=self.stage,
            title=self.title,
            pages=tuple(self._pages),
            key=tuple(self._key),
            answers=tuple(self._answers),
            cards=tuple(self._cards),
            materials=tuple(self._materials),
            preparation=tuple(self._preparation),
            cautions=(*self._cautions, OTHER_RULES),
            findings=tuple(self._findings),
            parameters=self._parameters,
            adult_lines=tuple(self._lines),
            language=self.options.language,
            remarks=_remarks(mark for page in self._pages for mark in page.marks),
        )


def card_set(what: str, grid: CardGrid, marks: Sequence[Mark]) -> CardSet:
    """The cards of a page, each moved to (0, 0); ticks of their cuts are left out.

    Raises:
        ValueError: a mark that belongs to no card.
    """
    boxes = grid.cards
    faces: list[list[Mark]] = [[] for _ in boxes]
    for mark in marks:
        if mark.role is Role.ADULT:
            continue
        x, y = mark_bbox(mark).center
        at = (i for i, b in enumerate(boxes) if b.x0 < x < b.x1 and b.y0 < y < b.y1)
        number = next(at, None)
        if number is None:
            raise ValueError(f"{mark.id or mark.role.value} is on no card")
        box = boxes[number]
        faces[number].append(transform_mark(mark, Affine.translation(-box.x0, -box.y0)))
    return CardSet(what, grid.width, grid.height, grid.gutter, tuple(map(tuple, faces)))


def _remarks(marks: Iterable[Mark]) -> tuple[str, ...]:
    """What is to be told of the pictures, each once."""
    told = (mark.artwork.remark for mark in marks if isinstance(mark, Place))
    return tuple(dict.fromkeys(remark for remark in told if remark))


def _credit(marks: Sequence[Mark]) -> list[str]:
    credit = credit_line([mark.artwork for mark in marks if isinstance(mark, Place)])
    return [credit] if credit else []
