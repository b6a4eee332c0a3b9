"""A packet: every child's page of a theme, the keys, what the adult needs, and an index.

First every sheet is made and counted, so that the totals are known and every problem is told before
anything is drawn. Then the files are written into a folder beside the asked one, which takes its
place in the end: whoever looks finds the old packet or the new one, never half of each.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Iterator
from pathlib import Path

from shapes.errors import InputError
from sheets.font import check_text
from sheets.guidance import setting
from sheets.kinds import module
from sheets.model import Finding, Page, Role, Sheet, Stroke, Text
from sheets.options import Options
from sheets.packet_folder import replacing
from sheets.packet_index import PageRow, rows_of, selection, write_index
from sheets.packet_plan import (
    ADULT,
    CARD,
    INDEX,
    KEYS,
    PLAIN,
    Counts,
    Digest,
    Gap,
    Plan,
    PlannedSheet,
)
from sheets.page import Frame
from sheets.problems import ProblemsError

KEPT = 128
"""Sheets kept from counting to writing: those of a usual class. In larger packets the others are
made again, which costs time in proportion to their number and no memory."""

BAR_OPTION = "--bar-measures"

_NAMED = 3

Progress = Callable[[int, int], None]
"""Told how many of how many steps are done."""


class PacketError(ProblemsError):
    """What keeps a packet from being made, one line for each page or child."""


class Packet:
    """A counted plan and the sheets kept from counting it.

    Args:
        plan: with its digests.
    """

    def __init__(self, plan: Plan, kept: dict[int, Sheet], adult: tuple[Page, ...]) -> None:
        self.plan = plan
        self.adult = adult
        self._kept = kept

    def sheet(self, number: int) -> Sheet:
        """The finished sheet of ``plan.sheets[number]``."""
        return self._kept.get(number) or make_sheet(self.plan, self.plan.sheets[number])

    @property
    def outside(self) -> tuple[str, ...]:
        """One line for each finding outside guidance, with tag and kind."""
        return tuple(
            f"{planned.label}: {sentence}"
            for planned, digest in zip(self.plan.sheets, self.plan.digests, strict=True)
            for sentence in digest.outside
        )


def make_sheet(plan: Plan, planned: PlannedSheet) -> Sheet:
    """One child's sheet of one kind, in the theme's main language if there is none in the child's.

    Raises:
        InputError: the theme has nothing for the kind at this stage, or it does not fit.
    """
    main = plan.theme.languages[0]
    try:
        sheet = _make(plan, planned, planned.options)
    except InputError:
        if planned.options.language == main:
            raise
        sheet = _make(plan, planned, dataclasses.replace(planned.options, language=main))
    if plan.choices.bar_measures is not None:
        from sheets.marks import compensated

        pages = tuple(compensated(page, plan.choices.bar_measures) for page in sheet.pages)
        sheet = dataclasses.replace(sheet, pages=pages)
    return sheet


def _make(plan: Plan, planned: PlannedSheet, options: Options) -> Sheet:
    code = module(planned.kind)
    task = code.from_theme(plan.theme, planned.stage, options)
    sheet: Sheet = code.make(task, options)
    return sheet


# --- counting -------------------------------------------------------------------------------------


def prepare(plan: Plan, progress: Progress | None = None) -> Packet:
    """Make and measure every sheet once and count its pages; nothing is drawn or written.

    Args:
        progress: told after each sheet.

    Raises:
        PacketError: pages that cannot be made, all of them at once.
    """
    from sheets.adult import adult_pages, note_copies

    problems = [
        str(problem)
        for child in plan.children
        if (problem := _unprintable(child.shown, child.row)) is not None
    ]
    if problems:
        raise PacketError(*problems)
    made: list[tuple[PlannedSheet, Digest]] = []
    kept: dict[int, Sheet] = {}
    remarks = list(plan.remarks)
    failed: dict[str, list[tuple[PlannedSheet, InputError]]] = {}
    for number, planned in enumerate(plan.sheets, start=1):
        try:
            sheet = make_sheet(plan, planned)
        except InputError as error:
            if error.where.startswith(BAR_OPTION):
                raise  # of the printer, so it holds for every page
            failed.setdefault(planned.kind, []).append((planned, error))
        else:
            if len(kept) < KEPT:
                kept[len(made)] = sheet
            made.append((planned, _digest(sheet)))
            if sheet.language != planned.options.language:
                remarks.append(_other_language(planned, sheet))
        if progress is not None:
            progress(number, len(plan.sheets))
    gaps = list(plan.gaps)
    for kind, rows in failed.items():
        if plan.implied and not any(planned.kind == kind for planned, _ in made):
            gaps.append(Gap("", kind, f"nothing in the theme for it ({rows[0][1]})"))
            continue
        problems += _problems(rows)
    if problems or not made:
        raise PacketError(*(problems or [gap.sentence() for gap in gaps]))
    plan = dataclasses.replace(
        plan,
        sheets=tuple(planned for planned, _ in made),
        digests=tuple(digest for _, digest in made),
        gaps=tuple(gaps),
        remarks=tuple(remarks),
        note_copies=note_copies(plan),
    )
    adult = adult_pages(plan)
    return Packet(dataclasses.replace(plan, adult_pages=len(adult)), kept, adult)


def _unprintable(name: str, row: int) -> InputError | None:
    try:
        check_text(name, f"class list line {row}, name '{name}'")
    except InputError as error:
        return error
    return None


def _problems(rows: list[tuple[PlannedSheet, InputError]]) -> Iterator[str]:
    """One line for each reason, with the pages of one kind it holds for."""
    by_reason: dict[str, list[PlannedSheet]] = {}
    for planned, error in rows:
        by_reason.setdefault(str(error), []).append(planned)
    for reason, sheets in by_reason.items():
        where = "; ".join(
            f"{planned.label}, stage {planned.stage} (class list line {planned.child.row})"
            for planned in sheets[:_NAMED]
        )
        more = f"; and {len(sheets) - _NAMED} more" if len(sheets) > _NAMED else ""
        cells = "that cell" if len(sheets) == 1 else "those cells"
        yield f"{where}{more}: {reason}; or leave {cells} of the class list empty"


def _other_language(planned: PlannedSheet, sheet: Sheet) -> str:
    wanted = planned.options.language
    return f'{planned.label}: the theme has no words for it in "{wanted}"; made in {sheet.language}'


def _digest(sheet: Sheet) -> Digest:
    plain = sum(page.stock == "plain" for page in sheet.pages)
    stiffer = str(setting(sheet.skill, sheet.stage, "stock") or "")
    only_plain = plain == len(sheet.pages)
    record = {
        "parameters": dict(sheet.parameters),
        "findings": [dataclasses.asdict(finding) for finding in sheet.findings],
    }
    return Digest(
        counts=Counts(plain, len(sheet.pages) - plain, len(sheet.key)),
        materials=sheet.materials,
        preparation=sheet.preparation,
        cautions=sheet.cautions,
        cuts=tuple(cuts for page in sheet.pages if (cuts := _adult_cuts(page))),
        better_on=stiffer if only_plain and "card" in stiffer.split() else "",
        on_its_side=any(page.paper.width > page.paper.height for page in sheet.pages),
        outside=tuple(_sentences(sheet.findings)),
        parameters=sheet.parameters,
        record=json.dumps(record, ensure_ascii=False),
    )


def _sentences(findings: tuple[Finding, ...]) -> Iterator[str]:
    seen: dict[str, None] = {}
    for finding in findings:
        if finding.outside:
            seen.setdefault(finding.sentence())
    return iter(seen)


def _adult_cuts(page: Page) -> tuple[float, ...]:
    """Coordinates of the straight cuts an adult makes; none where the child cuts the cards."""
    strokes = [mark for mark in page.marks if isinstance(mark, Stroke)]
    if any(mark.role is Role.CUT and mark.id == "card-lines" for mark in strokes):
        return ()
    found = []
    for mark in strokes:
        if mark.role is Role.ADULT and mark.id.startswith(("adult-cut-", "card-cut-")):
            (x, y), end = mark.paths[0].start, mark.paths[0].end
            found.append(round(y if abs(end[1] - y) < abs(end[0] - x) else x, 2))
    return tuple(found)


# --- writing --------------------------------------------------------------------------------------


def write(
    packet: Packet, folder: Path, *, force: bool = False, progress: Progress | None = None
) -> tuple[Path, ...]:
    """Write the files of a packet; return them.

    Args:
        folder: made if it is missing; its parent must exist.
        force: also into a folder that holds other files (they stay), or a packet of more pages.
        progress: told after each page.

    Raises:
        FileError: see :func:`sheets.packet_folder.replacing`.
    """
    plan = packet.plan
    steps = sum(plan.totals().pages.values())
    done = 0

    def counted(pages: Iterator[Page]) -> Iterator[Page]:
        nonlocal done
        for page in pages:
            yield page
            done += 1
            if progress is not None:
                progress(done, steps)

    with replacing(folder, selection(plan), force=force) as new:
        for name, count in plan.totals().pages.items():
            _write_file(packet, new / name, count, counted)
        write_index(plan, new / INDEX)
    return tuple(folder / name for name in (*plan.totals().pages, INDEX))


_Counted = Callable[[Iterator[Page]], Iterator[Page]]
_WHAT = {PLAIN: "pages on plain paper", CARD: "pages on card", KEYS: "keys", ADULT: "for adults"}


def _write_file(packet: Packet, path: Path, count: int, counted: _Counted) -> None:
    from sheets.output import write_document

    plan = packet.plan
    name = path.name
    pages = iter(packet.adult) if name == ADULT else _pages(packet, name)
    rows = [] if name == ADULT else rows_of(plan, name)
    write_document(
        counted(pages),
        path,
        title=f"{plan.theme.title}: {_WHAT[name]}",
        language="en" if name == ADULT else plan.theme.languages[0],
        outline=_adult_outline(packet.adult) if name == ADULT else _outline(rows),
        page_labels=None if name == ADULT else [row.label for row in rows],
        compact=True,
    )


def _pages(packet: Packet, name: str) -> Iterator[Page]:
    """The pages of a file in print order, each sheet made when its turn comes."""
    for number, digest in enumerate(packet.plan.digests):
        if not digest.counts.of(name):
            continue
        sheet = packet.sheet(number)
        if name == KEYS:
            planned = packet.plan.sheets[number]
            yield from (_tagged(page, planned.label) for page in sheet.key)
        else:
            stock = "plain" if name == PLAIN else "card"
            yield from (page for page in sheet.pages if page.stock == stock)


def _tagged(page: Page, label: str) -> Page:
    """A key with the tag of the child whose page it answers: keys bear no names."""
    frame = Frame(page.paper)
    mark = Text(
        frame.work.x1, frame.live.y1 - 14.0, label, 11.0, Role.ADULT, id="tag", anchor="end"
    )
    return dataclasses.replace(page, marks=(*page.marks, mark))


def _outline(rows: list[PageRow]) -> list[tuple[int, str, int]]:
    """Bookmarks: a child's tag with the first page, and below it the child's other pages.

    Every page is named once only, because a bookmark is known by its page.
    """
    by_tag: dict[str, list[int]] = {}
    for index, row in enumerate(rows):
        by_tag.setdefault(row.tag, []).append(index)
    entries = []
    for tag, (first, *others) in by_tag.items():
        entries.append((0, rows[first].label, first))
        entries += [(1, rows[i].label.removeprefix(f"{tag} "), i) for i in others]
    return entries


def _adult_outline(pages: tuple[Page, ...]) -> list[tuple[int, str, int]]:
    labels = [page.label for page in pages]
    return [(0, label, i) for i, label in enumerate(labels) if label not in labels[:i]]
