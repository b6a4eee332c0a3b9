"""What both faces ask for, the command line and the page in the browser: data in, data out.

Nothing here prints, and nothing here knows flags or forms. Every function may be called from
several threads at once: pages are made and drawn one at a time, because reading a font expands its
glyphs as they are asked for. Heavy libraries are imported when they are needed.
"""

from __future__ import annotations

import dataclasses
import threading
import unicodedata
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import FileError, InputError
from sheets.kinds import KINDS
from sheets.kinds.options import NEEDS, Options

if TYPE_CHECKING:
    from shapes.objects import Footprint
    from sheets.check.guidance import Limit
    from sheets.files.class_list import ClassList
    from sheets.kinds.cutting.lookup import OutlineRow, PictureRow
    from sheets.packet.make import Packet, Progress
    from sheets.packet.plan import Choices, Plan
    from sheets.page.model import Finding, Page, Sheet
    from sheets.page.palette import Colour
    from sheets.theme.theme import Theme

_MAKING = threading.RLock()


def one_at_a_time() -> AbstractContextManager[object]:
    """For whoever makes pages beside the functions of this module: only one thread does."""
    return _MAKING


# --- one sheet ------------------------------------------------------------------------------------


def checked(options: Options) -> Options:
    """Options as a person gave them: name and title against the page font, needs by name.

    Raises:
        GlyphError: a character the page font lacks.
        InputError: a need that is not known.
    """
    from shapes.letters.font import check_text

    needs = tuple(sorted({need.strip().lower() for need in options.needs if need.strip()}))
    for need in needs:
        if need not in NEEDS:
            raise InputError(
                f"need '{need}' is not known", where="`needs`", fix=f"use {', '.join(NEEDS)}"
            )
    return dataclasses.replace(
        options,
        name=check_text(options.name.strip(), "`name`"),
        title=check_text(options.title.strip(), "`title`") if options.title else None,
        needs=needs,
    )


def make_sheet(
    kind: str,
    stage: int,
    options: Options,
    *,
    theme: str | None = None,
    words: Sequence[str] = (),
    choices: object = None,
) -> Sheet:
    """A sheet of a kind from a theme or from words.

    Args:
        theme: name of a built-in theme, or a theme file.
        choices: of the type that the kind declares; None for none.

    Raises:
        TableworkError: one line, or one line for each problem of the theme.
    """
    from sheets.kinds.making import make_sheet as make
    from sheets.kinds.source import Source

    if theme is not None and words:
        raise InputError("both a theme and words given", where="`theme`", fix="give only one")
    if theme is None and not words and KINDS[kind].load().needs_source:
        raise InputError(
            "neither a theme nor words given", fix="give a `theme`, such as reedy-pond"
        )
    with _MAKING:
        source = Source(_theme(theme) if theme is not None else None, tuple(words))
        return make(kind, source, stage, options, choices)


def _theme(name: str) -> Theme:
    from sheets.files.theme_file import load

    return load(name)


def preview(sheet: Sheet, number: int = 0, *, key: bool = False) -> bytes:
    """One page of a sheet, or of its key, as an SVG file in UTF-8.

    Raises:
        InputError: the sheet has no such page.
    """
    from sheets.write.svg import write_svg

    pages = sheet.key if key else sheet.pages
    if not 0 <= number < len(pages):
        raise InputError(f"the sheet has no page {number + 1}", fix=f"it has {len(pages)}")
    with _MAKING:
        return write_svg(pages[number], title=sheet.title, language=sheet.language)


def write_sheet(
    sheet: Sheet, out: Path, *, force: bool = False, bar_measures: float | None = None
) -> tuple[Path, ...]:
    """Write the pages of a sheet and beside them its key; all of it or nothing.

    Args:
        out: its ending decides between PDF, SVG and PNG.
        bar_measures: what a printed 100 mm bar measured, mm; None prints as drawn.

    Raises:
        FileError: a file is there and may not be replaced, or cannot be written.
        BarError: the pages cannot be made to come out true.
    """
    from sheets.page.marks import compensated
    from sheets.write.files import write_document

    pages: Sequence[Page] = sheet.pages
    if bar_measures is not None:
        pages = [compensated(page, bar_measures) for page in pages]
    key = out.with_name(f"{out.stem}-key{out.suffix}")
    if sheet.key and key.exists() and not force:
        raise FileError(
            "the key is there already", where=str(key), fix="give `force` to replace it"
        )
    with _MAKING:
        language = sheet.language
        written = write_document(pages, out, force=force, title=sheet.title, language=language)
        if sheet.key:
            title = f"{sheet.title}: key"
            written += write_document(sheet.key, key, force=force, title=title, language=language)
    return written


# --- a packet -------------------------------------------------------------------------------------


def plan_packet(theme: Theme, class_list: ClassList, choices: Choices) -> Plan:
    """Which child gets which page; nothing is made yet.

    Raises:
        InputError: an unknown child, kind or day in the choices, or no page at all.
    """
    from sheets.packet.plan import make_plan

    return make_plan(theme, class_list, choices)


def make_packet(
    plan: Plan, progress: Progress | None = None, *, draw: bool = True, jobs: int = 1
) -> Packet:
    """Make, measure and count every sheet of a plan; see :func:`sheets.packet.make.prepare`.

    Other threads may make pages whenever progress is told.
    """
    from sheets.packet.make import prepare

    def told(done: int, steps: int) -> None:
        _MAKING.release()
        try:
            if progress is not None:
                progress(done, steps)
        finally:
            _MAKING.acquire()

    with _MAKING:
        return prepare(plan, told, draw=draw, jobs=jobs)


def write_packet(packet: Packet, folder: Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write the files of a packet; see :func:`sheets.packet.make.write`."""
    from sheets.packet.make import write

    with _MAKING:
        return write(packet, folder, force=force)


# --- checking -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CheckedDrawing:
    """What was measured on an SVG page, and what was found strange in it."""

    findings: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def outside(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.outside)


def check_drawing(content: bytes, name: str, skill: str, stage: int) -> CheckedDrawing:
    """Measure the marks of an SVG page by the guidance of a skill and stage.

    Args:
        name: of the file, for messages.

    Raises:
        InputError: no such skill or stage, or the file is no page.
    """
    from sheets.check.audit import page_from_svg
    from sheets.check.check import check_page
    from sheets.check.guidance import check_skill, check_stage

    check_skill(skill)
    check_stage(stage)
    audited = page_from_svg(content, name)
    with _MAKING:
        return CheckedDrawing(tuple(check_page(audited.page, skill, stage)), tuple(audited.notes))


def difficulty(item: str, content: bytes | None = None) -> list[OutlineRow]:
    """The measures of a picture's outlines, or of those on a page of ours.

    Args:
        content: of the file, if the item names one.
    """
    from sheets.kinds.cutting.lookup import outline_rows

    with _MAKING:
        return outline_rows(item, content)


# --- what there is --------------------------------------------------------------------------------


def pictures(word: str = "") -> list[PictureRow]:
    """The pictures whose word, category or code matches; all without a word."""
    from sheets.kinds.cutting.lookup import picture_rows

    return picture_rows(word)


def things() -> tuple[Footprint, ...]:
    """The real things whose outlines are known, with sources."""
    from shapes.objects import library

    return library()


def colours() -> tuple[Colour, ...]:
    """The colours of patterns."""
    from sheets.page.palette import colours as table

    return tuple(table().values())


def shapes(stage: int | None = None) -> dict[str, tuple[int, ...]]:
    """The practice lines and shapes to cut, each with its stages; those of a stage if given."""
    from shapes.basic import SHAPES

    rows = {name: tuple(shape.stages) for name, shape in SHAPES.items()}
    return {name: stages for name, stages in rows.items() if stage is None or stage in stages}


def themes() -> tuple[Theme, ...]:
    """The built-in themes."""
    from sheets.files.theme_file import builtin

    return builtin()


@dataclass(frozen=True, slots=True)
class Field:
    """One choice of a kind, for a form: ``type`` is its annotation."""

    name: str
    type: Any
    default: Any
    about: str
    least: int | None = None
    most: int | None = None


def fields(kind: str) -> tuple[Field, ...]:
    """What only this kind is told."""
    from typing import get_type_hints

    choices = KINDS[kind].load().choices
    hints = get_type_hints(choices)
    return tuple(
        Field(
            field.metadata["option"] or field.name,
            hints[field.name],
            field.default,
            field.metadata["about"],
            field.metadata["least"],
            field.metadata["most"],
        )
        for field in dataclasses.fields(choices)
    )


def limits(skill: str, stage: int) -> tuple[Limit, ...]:
    """The guidance of a skill at a stage."""
    from sheets.check.guidance import limits as table

    return tuple(table(skill, stage).values())


def guidance(skill: str | None = None) -> str:
    """The limits, the settings of the kinds within them, and the sources, as plain text."""
    from sheets.check.guidance_text import render_text
    from sheets.kinds.settings import by_skill

    return render_text(skill, by_skill())


# --- files ----------------------------------------------------------------------------------------


def starter(what: str, title: str) -> str:
    """The text of a file to start from: a ``theme`` or a ``class`` list."""
    from sheets.files.starters import starter_class, starter_theme

    return starter_theme(title) if what == "theme" else starter_class(title)


def write_text(text: str, out: Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write a text file whole or not at all.

    Raises:
        FileError: it is there and may not be replaced, or cannot be written.
    """
    from sheets.write.files import write_files

    return write_files([(out, lambda: text.encode("utf-8"))], force=force)


def read_bytes(file: Path) -> bytes:
    """The content of a file; one line of explanation if it cannot be read."""
    try:
        return file.read_bytes()
    except FileNotFoundError:
        raise FileError("no such file", where=str(file), fix="check the name and folder") from None
    except IsADirectoryError:
        raise FileError("this is a folder", where=str(file), fix="name a file") from None
    except OSError as error:
        reason = error.strerror or "system error"
        raise FileError(f"cannot be read ({reason})", where=str(file)) from None


def slug(text: str) -> str:
    """A plain file name part: lower case letters, digits and hyphens."""
    import re

    stem = Path(text).stem if text.lower().endswith(".svg") else text
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-") or "sheet"
