"""Builds a sheet: pages with head, bars and the kind's marks, measured; key, materials, lines."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import TYPE_CHECKING

from shapes.path import BBox
from shapes.pictures.picture import Picture
from sheets.check.check import check_page
from sheets.kinds import words
from sheets.kinds.materials import LOOSE_LINE, LOOSE_SHORT, TRIMMER, printed
from sheets.kinds.options import Options, least_line
from sheets.page.art import credit_line, picture_in
from sheets.page.frame import PRINT_LINE, Frame, foot, head, measure_bars
from sheets.page.model import (
    Answer,
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
    """

    def __init__(
        self, kind: str, skill: str, stage: int, options: Options, title: str, badge: Picture | None
    ) -> None:
        self.kind, self.skill, self.stage, self.options = kind, skill, stage, options
        self.about = self.title = options.title or title
        self.badge = badge
        self._pages: list[Page] = []
        self._key: list[Page] = []
        self._answers: list[Answer] = []
        self._again = False
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
            self.title = words.title(self.kind, key, self.options.language, **named)

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
        frame = Frame(paper or self.options.paper)
        badge = self._badge(frame)
        bare = Page(
            frame.paper,
            (
                *head(
                    frame,
                    self.title,
                    self.options.name,
                    words.say(self.kind, ask, self.options.language),
                ),
                *badge,
                *measure_bars(frame, self.options.far_side),
                *marks,
            ),
            label=f"{self.about}: {what}",
            stock=stock,
            cuts=tuple(cuts),
        )
        lines = [PRINT_LINE, *(line for line in say if line)]
        if caution:
            lines.append(f"{caution} {RULES_FIRST}")
        lines += _credit(bare.marks)
        page = dataclasses.replace(bare, marks=(*bare.marks, *foot(frame, lines)))
        self._measure(page)
        self._pages.append(page)
        self._lines |= dict.fromkeys(lines)

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
        """Add the page of cards that an adult cuts apart along the cuts of their grid."""
        cuts = [Cut(cut.direction == "across", cut.at) for cut in grid.cuts]
        self.page(marks, what, ask=ask, say=say, caution=caution, stock=stock, cuts=cuts)

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
        cut = f"An adult cuts the {what} beforehand: {{}}"
        called = what.capitalize()
        caution = LOOSE_SHORT.format(called)
        said = [cut.format(grid.short_plan()), *say]
        self.cards(marks, grid, ask=ask, what=what, say=said, caution=caution)
        self.needs(printed(f"sheet of {what}, on card", "small-parts"), TRIMMER)
        self.prepare(cut.format(grid.plan()))
        self.caution(LOOSE_LINE.format(called))

    def back(self, marks: Sequence[Mark]) -> None:
        """Add the other side of the page of cards, which has no head and foot of its own."""
        page = Page(self.options.paper, tuple(marks), label=f"{self.about}: backs", stock="card")
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
        shown = f"Adult key: {title or self.title}"
        header = [Text(frame.work.x0, frame.live.y1 - 7.0, shown, 16.0, Role.ADULT, id="key")]
        draft = words.draft_line([self.options.language])
        if draft:
            y = frame.live.y1 - 18.0
            header.append(Text(frame.work.x0, y, draft, KEY_PT, Role.ADULT, id="draft"))
        said = tuple(note for note in notes if note)
        credit = _credit(marks)
        below = foot(frame, [*said, *credit], size_pt=KEY_PT, bar=False)
        label = f"{self.about}: {what}"
        self._key.append(Page(frame.paper, (*header, *marks, *below), label=label))
        about = title or self.title
        self._answers.append(
            Answer(text, tuple(marks), said, about, frame.paper, draft, "".join(credit))
        )

    def used_again(self) -> None:
        """Say that the child lays things on the pages, and neither cuts, tears, draws nor glues."""
        self._again = True

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
            pages=tuple(dataclasses.replace(page, again=self._again) for page in self._pages),
            key=tuple(self._key),
            materials=tuple(self._materials),
            preparation=tuple(self._preparation),
            cautions=(*self._cautions, OTHER_RULES),
            findings=tuple(self._findings),
            parameters=self._parameters,
            adult_lines=tuple(self._lines),
            language=self.options.language,
            answers=tuple(self._answers),
        )


def _credit(marks: Sequence[Mark]) -> list[str]:
    credit = credit_line([mark.artwork for mark in marks if isinstance(mark, Place)])
    return [credit] if credit else []
