"""What only the page in the browser asks for, beside :mod:`sheets.desk`: data in, data out.

Nothing here knows of requests or forms. As on the desk, pages are made one at a time.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import InputError
from sheets import desk, desk_facts
from sheets.kinds import KINDS

if TYPE_CHECKING:
    from sheets.files.class_list import Child, ClassList
    from sheets.kinds.options import Options
    from sheets.packet.make import Packet
    from sheets.packet.plan import Choices, Counted, Plan, PlannedSheet
    from sheets.page.model import Finding, Sheet
    from sheets.theme.theme import Theme

Slot = tuple[str, str]
"""A child's tag and a kind of sheet."""

_SECONDS, _MEGABYTES = 20.0, 1500
"""What trying out a drawing may take: it is read and outlined for three stages in one go."""


# --- files ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ClassCells:
    """The cells of a class list as they stand in the file.

    Args:
        heads: of the columns, as written; ``line`` is theirs.
        columns: the columns of the class list that they are; empty where one is none.
        rows: the line each begins on, and its cells.
        notes: line and text of what begins with #.
        delimiter: between cells; empty for a spreadsheet.
    """

    heads: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...] = ()
    notes: tuple[tuple[int, str], ...] = ()
    line: int = 1
    delimiter: str = ","


def class_cells(content: bytes, where: str) -> ClassCells:
    """The cells of a CSV or XLSX file; what is wrong with them is not looked at.

    Raises:
        ClassListError: the file cannot be read as a table.
    """
    from sheets.files.class_rows import delimiter_of, read_table
    from sheets.files.columns import find_header
    from sheets.files.decoding import decode

    found = read_table(content, where).rows
    rows = [row for row in found if not row.cells[0].startswith("#")]
    if content.startswith(b"PK"):
        delimiter = ""
        texts = {row.line: row.cells[0] for row in found}
    else:
        text = decode(content, where).text
        texts = dict(enumerate((line.strip() for line in text.splitlines()), 1))
        delimiter = delimiter_of(text)
    notes = [(n, line) for n, line in texts.items() if line.startswith("#")]
    if not rows:
        columns = desk_facts.class_columns()
        return ClassCells(columns, columns, (), tuple(notes), len(notes) + 1, delimiter)
    header = find_header([row.cells for row in rows])
    # What stands above the names of the columns, such as a title, is kept as it is.
    notes += [(row.line, texts[row.line]) for row in rows[: header.row]]
    rows = rows[header.row :]
    wide = max(len(_stripped(row.cells)) for row in rows)
    heads = rows[0].cells[:wide]
    named = {index: column for column, index in header.places.items()}
    cells = tuple((row.line, row.cells[:wide]) for row in rows[1:])
    return ClassCells(
        heads,
        tuple(named.get(index, "") for index in range(len(heads))),
        cells,
        tuple(sorted(notes)),
        rows[0].line,
        delimiter,
    )


def _stripped(cells: Sequence[str]) -> list[str]:
    """Without the empty cells at the end that spreadsheets have many of."""
    filled = [at for at, cell in enumerate(cells, 1) if cell]
    return list(cells[: max(filled, default=0)])


def read_class(content: bytes, where: str) -> ClassList:
    """The class list in the bytes of a file; ClassListError with every problem."""
    from sheets.files.class_list import parse

    return parse(content, where)


def read_theme(content: bytes, where: str, base: Path) -> Theme:
    """The theme in the bytes of a file; ThemeError with every problem.

    Args:
        base: folder that drawings of one's own are relative to.
    """
    from sheets.files.theme_file import parse

    with desk.one_at_a_time():
        return parse(content, where, base)


def builtin_text(slug: str) -> str:
    """A built-in theme's file.

    Raises:
        InputError: there is none of that name.
    """
    from sheets.files import theme_file

    if slug not in theme_file.builtin_names():
        raise InputError(f"there is no theme '{slug}'", fix="choose one of the list")
    return Path(theme_file.__file__).with_name("themes").joinpath(f"{slug}.toml").read_text("utf-8")


def write_bytes(content: bytes, out: Path) -> None:
    """Write a file whole or not at all, in place of an older one; FileError if it cannot be."""
    from sheets.write.files import write_files

    write_files([(out, lambda: content)], force=True)


def is_packet(folder: Path) -> bool:
    """Whether a folder holds a packet that may be replaced."""
    from sheets.packet.folder import old_index

    return old_index(folder) is not None


# --- the pages of a class -------------------------------------------------------------------------


def choices(given: Mapping[str, Any]) -> Choices:
    """Choices of a packet from plain data; ``paper`` is a name.

    Raises:
        InputError: no such paper.
    """
    from sheets.packet.plan import Choices
    from sheets.page.frame import paper

    return Choices(**{**given, "paper": paper(given.get("paper"))})


def picked(plan: Plan, left_out: Collection[Slot], another: Mapping[Slot, int]) -> Plan:
    """A plan without some pages, and with other pages of the same kind and stage.

    Args:
        another: slot -> a number that is added to the packet's seed for it.

    Raises:
        InputError: no page is left.
    """
    from sheets.packet.plan import seed_of

    sheets = []
    for planned in plan.sheets:
        slot = (planned.child.tag, planned.kind)
        if slot in left_out:
            continue
        if more := another.get(slot, 0):
            seed = seed_of(plan.choices.seed + more, *slot, planned.again)
            options = dataclasses.replace(planned.options, seed=seed)
            planned = dataclasses.replace(planned, options=options)
        sheets.append(planned)
    if not sheets:
        raise InputError("every page is left out", fix="put one back")
    return dataclasses.replace(plan, sheets=tuple(sheets))


def planned_sheet(plan: Plan, planned: PlannedSheet) -> Sheet:
    """One child's sheet of a plan as a whole: loose cards on pages of its own.

    Raises:
        InputError: the theme has nothing for the kind at this stage, or it does not fit.
    """
    from sheets.packet.make import whole_sheet

    with desk.one_at_a_time():
        return whole_sheet(plan, planned)


@dataclass(frozen=True, slots=True)
class WeekShown:
    """What a packet takes: pages of each file, sheets of paper, counts and ways to use less."""

    pages: Mapping[str, int]
    sheets: int
    two_sided: int
    again: int
    cuts: int
    cuts_stacked: int
    film: int
    envelopes: int
    scissors: tuple[str, ...]
    savings: tuple[tuple[int, str, str], ...]
    remarks: tuple[str, ...]


def week_shown(packet: Packet) -> WeekShown:
    """The counts of a packet for the page."""
    from sheets.packet.adult.materials import scissors_listed
    from sheets.packet.week import savings, week

    plan: Counted = packet.plan
    with desk.one_at_a_time():
        counts, totals = week(plan), plan.totals()
        return WeekShown(
            pages=totals.pages,
            sheets=totals.sheets,
            two_sided=totals.sheets_two_sided,
            again=counts.again,
            cuts=counts.cuts,
            cuts_stacked=counts.cuts_stacked,
            film=counts.film,
            envelopes=counts.envelopes,
            scissors=scissors_listed(plan),
            savings=tuple((s.sheets, s.how, s.cost) for s in savings(plan, counts)),
            remarks=(*plan.remarks, *_not_made(plan)),
        )


def _not_made(plan: Counted) -> list[str]:
    """Pages that could not be made; a stage that a child does not have is nothing to tell."""
    have: dict[str, Child] = {child.tag: child for child in plan.children}
    return [
        gap.sentence()
        for gap in plan.gaps
        if not (gap.tag and have[gap.tag].stages.get(KINDS[gap.kind].skill) is None)
    ]


@dataclass(frozen=True, slots=True)
class SingleAsked:
    """One sheet: its kind and stage, a theme (name or file) or words, and the kind's own choices.

    Args:
        own: name of a field -> value; a list of texts may be one text with commas.
    """

    kind: str
    stage: int
    theme: str | None
    words: tuple[str, ...]
    own: Mapping[str, Any]


def make_single(asked: SingleAsked, shared: Mapping[str, Any]) -> Sheet:
    """A sheet as :func:`sheets.desk.make_sheet` makes it, from plain data.

    Args:
        shared: fields of :class:`sheets.kinds.options.Options`, ``paper`` by its name.
    """
    kind = KINDS[asked.kind].load()
    names = [field.name for field in dataclasses.fields(kind.choices)]
    chosen: dict[str, Any] = {}
    for name, field in zip(names, desk.fields(asked.kind), strict=True):
        value = asked.own.get(field.name)
        if isinstance(field.default, tuple):
            value = tuple(part.strip() for part in str(value or "").split(",") if part.strip())
        chosen[name] = field.default if value is None else value
    options = options_of(shared)
    return desk.make_sheet(asked.kind, asked.stage, options, theme=asked.theme, words=asked.words,
                           choices=kind.choices(**chosen))  # fmt: skip


def options_of(shared: Mapping[str, Any]) -> Options:
    """Checked options from plain data."""
    from sheets.kinds.options import HANDS, Options
    from sheets.page.frame import paper

    hand = shared["hand"] if shared["hand"] in HANDS else "either"
    given = {**shared, "hand": hand, "paper": paper(shared["paper"] or None)}
    return desk.checked(Options(**given))


def sheet_pdf(sheet: Sheet, *, key: bool = False, bar_measures: float | None = None) -> bytes:
    """The pages of a sheet, or its key, as the PDF file that the command line writes.

    Raises:
        BarError: the pages cannot be made to come out true.
    """
    from sheets.page.marks import compensated
    from sheets.write.pdf import write_pdf

    title = f"{sheet.title}: key" if key else sheet.title
    with desk.one_at_a_time():
        pages: Sequence[Any] = sheet.key if key else sheet.pages
        if bar_measures is not None and not key:
            pages = [compensated(page, bar_measures) for page in pages]
        return write_pdf(pages, title=title, language=sheet.language)


# --- pictures and drawings ------------------------------------------------------------------------


def picture_svg(spec: str, base: Path) -> bytes:
    """A picture alone, in its own colours, as an SVG file of 40 mm.

    Args:
        spec: a word, a code point or the name of a drawing in ``base``.

    Raises:
        PictureError, FileError: there is no such picture.
    """
    from shapes.path import BBox
    from shapes.pictures.pictures import resolve
    from sheets.page.art import picture_in
    from sheets.page.model import Page, Paper
    from sheets.write.svg import write_svg

    with desk.one_at_a_time():
        picture = resolve(spec, base)
        shown = picture_in(picture, BBox(2.0, 2.0, 38.0, 38.0), colour=True)
        page = Page(Paper("picture", 40.0, 40.0), (shown,))
        return write_svg(page, title=picture.name, language="en")


def opened(content: bytes, name: str, function: Callable[..., bytes], *arguments: object) -> bytes:
    """What a function makes of a spreadsheet; see :func:`sheets.files.spreadsheet.opened`."""
    from sheets.files.spreadsheet import opened as found

    return found(content, name, function, *arguments)


def try_drawing(content: bytes, name: str) -> tuple[str, ...]:
    """Read a drawing and make its outlines apart; what was left out of it, a line each.

    Raises:
        InputError: it is no drawing, or takes too long.
    """
    from shapes.apart import call

    found: tuple[str, ...] = call(
        drawing_here, content, name, seconds=_SECONDS, megabytes=_MEGABYTES
    )
    return found


def drawing_here(content: bytes, name: str) -> tuple[str, ...]:
    """For :func:`try_drawing`, in the process that it starts."""
    import tempfile

    from shapes.pictures.own import load_file

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / name
        file.write_bytes(content)
        picture = load_file(file)
        desk.difficulty(str(file), file.read_bytes() if file.suffix == ".svg" else None)
    return picture.left_out


@dataclass(frozen=True, slots=True)
class CheckedShown:
    """What was found on a drawing, for the page.

    Args:
        findings: whether outside guidance, and the sentence with its place; those outside first,
            in the order of their numbers on the page.
        unmeasured: limits that could not be measured, and why.
        pages: the drawing as it was read with the findings drawn on it, as SVG files.
    """

    findings: tuple[tuple[bool, str], ...]
    notes: tuple[str, ...]
    unmeasured: tuple[str, ...]
    pages: tuple[bytes, ...]


def check_apart(content: bytes, name: str, skill: str, stage: int) -> CheckedShown:
    """Measure a drawing of a stranger, see :func:`sheets.desk.check_drawing`.

    Raises:
        InputError: it is no page, or takes too long.
    """
    from shapes.apart import call

    found: CheckedShown = call(
        check_here, content, name, skill, stage, seconds=_SECONDS, megabytes=_MEGABYTES
    )
    return found


def check_here(content: bytes, name: str, skill: str, stage: int) -> CheckedShown:
    """For :func:`check_apart`, in the process that it starts."""
    from sheets.check.marked import findings_pages, place_words
    from sheets.write.svg import write_svg

    found = desk.check_drawing(content, name, skill, stage)

    def told(finding: Finding) -> str:
        return finding.sentence() + place_words(found.page, found.where(finding))

    within = dict.fromkeys(told(f) for f in found.findings if not f.outside)
    drawn = findings_pages(found, name)[0]
    return CheckedShown(
        (*((True, told(f)) for f in found.outside), *((False, f) for f in within)),
        tuple(found.notes),
        tuple(f"{row.limit}: {row.reason}" for row in found.unmeasured),
        (write_svg(drawn, title=name, language="en"),),
    )
