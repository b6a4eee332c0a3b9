"""A packet: every child's page of a theme, the keys, what the adult needs, and an index.

Every sheet is made once, measured, counted and drawn into documents in memory, so that the totals
are known and every problem is told before anything is on disk. Then the files are written into a
folder beside the asked one, which takes its place in the end: whoever looks finds the old packet or
the new one, never half of each.
"""

from __future__ import annotations

import dataclasses
import json
import zlib
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from shapes.errors import InputError
from sheets.kinds import entry
from sheets.kinds.making import make_sheet as make_any
from sheets.kinds.source import Source
from sheets.packet.digest import ADULT, INDEX, Digest, Gap, Limits
from sheets.packet.files import PacketFiles
from sheets.packet.folder import old_index, replacing
from sheets.packet.impose import Imposition
from sheets.packet.index import Content, changed_pages, selection, write_index
from sheets.packet.plan import Counted, Plan, PlannedSheet
from sheets.packet.printable import printable
from sheets.page.marks import BarError, compensated
from sheets.page.model import Finding, Page, Sheet
from sheets.theme.problems import ProblemsError

_NAMED = 3

Progress = Callable[[int, int], None]
"""Told how many of how many steps are done."""


_Failed = dict[str, list[tuple[PlannedSheet, InputError]]]
"""The sheets of each kind that could not be made, and why."""


class PacketError(ProblemsError):
    """What keeps a packet from being made, one line for each page or child."""


class Packet:
    """A counted plan and its files.

    Args:
        plan: with its digests.
        adult: the pages of ``adult.pdf``.
        files: None if the packet is only counted.
    """

    def __init__(self, plan: Counted, adult: tuple[Page, ...], files: PacketFiles | None) -> None:
        self.plan = plan
        self.adult = adult
        self.changed: dict[str, list[int]] = {}
        self._files = files

    @property
    def outside(self) -> tuple[str, ...]:
        """One line for each finding outside guidance, with tag and kind."""
        return tuple(
            f"{planned.label}: {sentence}"
            for planned, digest in zip(self.plan.sheets, self.plan.digests, strict=True)
            for sentence in digest.outside
        )

    def file(self, name: str) -> bytes:
        """The content of one of the PDF files of ``plan.totals().pages``.

        Raises:
            ValueError: the packet was only counted.
        """
        if self._files is None:
            raise ValueError("the packet was counted, not drawn")
        return self._files.content(name)

    def content(self) -> Content:
        """For each page of each file a short text that differs if its content does."""
        if self._files is None:
            raise ValueError("the packet was counted, not drawn")
        return {name: self._files.marks_of(name) for name in self.plan.totals().pages}


def make_sheet(plan: Plan, planned: PlannedSheet) -> Sheet:
    """One child's sheet of one kind, in the theme's main language if there is none in the child's.

    Raises:
        InputError: the theme has nothing for the kind at this stage, or it does not fit.
    """
    sheet = whole_sheet(plan, planned, apart=True)
    if plan.choices.bar_measures is not None:
        pages = tuple(compensated(page, plan.choices.bar_measures) for page in sheet.pages)
        sheet = dataclasses.replace(sheet, pages=pages)
    return sheet


def whole_sheet(plan: Plan, planned: PlannedSheet, *, apart: bool = False) -> Sheet:
    """The same as drawn, whatever the bars of a print measured.

    Args:
        apart: as :class:`sheets.kinds.sheet.SheetBuilder` has it; else loose cards are on a page.
    """
    main, options = plan.theme.languages[0], planned.options
    source = Source(plan.theme)
    try:
        return make_any(planned.kind, source, planned.stage, options, apart=apart)
    except InputError:
        if options.language == main:
            raise
        options = dataclasses.replace(options, language=main)
        return make_any(planned.kind, source, planned.stage, options, apart=apart)


# --- making ---------------------------------------------------------------------------------------


def prepare(
    plan: Plan, progress: Progress | None = None, *, draw: bool = True, jobs: int = 1
) -> Packet:
    """Make, measure and count every sheet; nothing is written.

    Args:
        progress: told after each sheet.
        draw: also draw the pages, each when it is made; of the sheet itself only a digest is kept.
        jobs: processes at a time for what a kind can make beforehand, such as outlines of a
            teacher's own drawings; the pages are the same.

    Raises:
        PacketError: pages that cannot be made, all of them at once.
    """
    plan = printable(plan)
    if jobs > 1:
        _beforehand(plan, jobs)
    files = PacketFiles(plan) if draw else None
    imposition = Imposition(plan.choices, plan.theme.title, files.add if files else None)
    made: list[tuple[PlannedSheet, Digest]] = []
    digests: dict[Digest, Digest] = {}  # those of one stage are mostly alike, so each is kept once
    limits = Limits()
    remarks = list(plan.remarks)
    failed: _Failed = {}
    for number, planned in enumerate(plan.sheets, start=1):
        try:
            sheet = make_sheet(plan, planned)
        except BarError:
            raise  # of the printer, so it holds for every page
        except InputError as error:
            failed.setdefault(planned.kind, []).append((planned, error))
        else:
            digest = _digest(sheet, limits)
            made.append((planned, digests.setdefault(digest, digest)))
            if sheet.language != planned.options.language:
                remarks.append(_other_language(planned, sheet))
            remarks += sheet.remarks
            imposition.add(planned, sheet)
        if progress is not None:
            progress(number, len(plan.sheets))
    gaps = [*plan.gaps, *_gaps(plan, made, failed)]
    if not made:
        raise PacketError(*(gap.sentence() for gap in gaps))
    planned_sheets, digests_kept = zip(*made, strict=True)
    rest = dataclasses.replace(
        plan, sheets=planned_sheets, gaps=tuple(gaps), remarks=tuple(dict.fromkeys(remarks))
    )
    counted, adult = _with_adult_pages(
        Counted(**_fields(rest), digests=digests_kept, limits=tuple(limits.rows()),
                imposed=imposition.finish())
    )  # fmt: skip
    if files is not None:
        files.complete(counted, adult)
    return Packet(counted, adult, files)


def _with_adult_pages(plan: Counted) -> tuple[Counted, tuple[Page, ...]]:
    """The pages for adults, and the plan with the section of each."""
    from sheets.packet.adult.pages import adult_pages, note_copies

    if plan.choices.children_only:
        return plan, ()
    plan = dataclasses.replace(plan, note_copies=note_copies(plan))
    pages = adult_pages(plan)
    return dataclasses.replace(plan, adult_labels=tuple(page.label for page in pages)), pages


def _fields(plan: Plan) -> dict[str, Any]:
    return {field.name: getattr(plan, field.name) for field in dataclasses.fields(plan)}


def _gaps(plan: Plan, made: list[tuple[PlannedSheet, Digest]], failed: _Failed) -> Iterator[Gap]:
    """The pages that could not be made, and kinds that the theme has nothing for.

    Raises:
        PacketError: pages could not be made and the packet was to stop then, or none could.
    """
    problems: list[str] = []
    for kind, rows in failed.items():
        if plan.implied and not any(planned.kind == kind for planned, _ in made):
            yield Gap("", kind, f"nothing in the theme for it ({rows[0][1]})")
            continue
        problems += _problems(rows)
        for planned, error in rows:
            yield Gap(planned.child.tag, kind, f"could not be made: {error}")
    if problems and (plan.choices.stop or not made):
        raise PacketError(*problems)


def _beforehand(plan: Plan, jobs: int) -> None:
    pages: dict[str, list[tuple[int, int]]] = {}
    for planned in plan.sheets:
        pages.setdefault(planned.kind, []).append((planned.stage, planned.options.seed))
    for kind, found in pages.items():
        make = getattr(entry(kind).load().module(), "beforehand", None)
        if make is not None:
            make(plan.theme, found, jobs)


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


def _digest(sheet: Sheet, limits: Limits) -> Digest:
    record = {"parameters": dict(sheet.parameters), "findings": _rows(sheet.findings, limits)}
    return Digest(
        pages=len(sheet.pages),
        cards=sum(len(cards.faces) for cards in sheet.cards),
        materials=sheet.materials,
        preparation=sheet.preparation,
        cautions=sheet.cautions,
        on_its_side=any(page.paper.width > page.paper.height * 1.01 and not page.paper.is_half
                        for page in sheet.pages),
        outside=tuple(_sentences(sheet.findings)),
        parameters=sheet.parameters,
        record=zlib.compress(json.dumps(record, ensure_ascii=False).encode()),
    )  # fmt: skip


def _rows(findings: Sequence[Finding], limits: Limits) -> list[dict[str, object]]:
    """Findings for the index: one row for marks of which the same was measured."""
    marks: dict[tuple[int, float | str, bool], list[str]] = {}
    names: dict[int, str] = {}
    for finding in findings:
        number = limits.number(finding)
        names[number] = finding.limit
        marks.setdefault((number, finding.measured, finding.outside), []).append(finding.mark)
    return [
        {
            "limit": names[number],
            "guidance": number,
            "measured": measured,
            "outside": outside,
            "marks": [mark for mark in marked if mark],
        }
        for (number, measured, outside), marked in marks.items()
    ]


def _sentences(findings: tuple[Finding, ...]) -> Iterator[str]:
    seen: dict[str, None] = {}
    for finding in findings:
        if finding.outside:
            seen.setdefault(finding.sentence())
    return iter(seen)


# --- writing --------------------------------------------------------------------------------------


def write(packet: Packet, folder: Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write the files of a packet; return them.

    Args:
        packet: drawn.
        folder: made if it is missing; its parent must exist.
        force: also into a folder that holds other files (they stay), or a packet of more pages.

    Raises:
        FileError: see :func:`sheets.packet.folder.replacing`.
        ValueError: the packet was only counted.
    """
    from sheets.write.files import write_files

    plan = packet.plan
    names = tuple(plan.totals().pages)
    before = old_index(folder)
    with replacing(folder, selection(plan), force=force) as new:
        # The largest file last, when the others no longer take room as documents.
        for name in reversed(names):
            write_files([(new / name, partial(packet.file, name))])
        labels = {**plan.imposed.labels, ADULT: plan.adult_labels}
        packet.changed = changed_pages(packet.content(), labels, before)
        write_index(plan, packet.content(), packet.changed, new / INDEX)
    return tuple(folder / name for name in (*names, INDEX))
