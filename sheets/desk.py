"""What both faces ask for, the command line and the page in the browser: data in, data out.

Nothing here prints, and nothing here knows flags or forms. Every function may be called from
several threads at once: pages are made and drawn one at a time, because reading a font expands its
glyphs as they are asked for. Heavy libraries are imported when they are needed.
"""

from __future__ import annotations

import dataclasses
import threading
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import FileError, InputError
from sheets.kinds import KINDS
from sheets.kinds.options import NEEDS, Options

if TYPE_CHECKING:
    from shapes.objects import Footprint
    from sheets.check.checked import Checked
    from sheets.check.guidance import Limit
    from sheets.files.class_list import ClassList
    from sheets.kinds.cutting.lookup import OutlineRow, PictureRow
    from sheets.lists.shapes import ShapeRow
    from sheets.packet.languages import Language
    from sheets.packet.make import Packet, Progress
    from sheets.packet.plan import Choices, Plan
    from sheets.page.model import Page, Paper, Sheet
    from sheets.page.palette import Colour
    from sheets.theme.theme import Theme

_MAKING = threading.RLock()


def one_at_a_time() -> AbstractContextManager[object]:
    """For whoever makes pages beside the functions of this module: only one thread does."""
    return _MAKING


# --- one sheet ------------------------------------------------------------------------------------


def checked(options: Options) -> Options:
    """Options as a person gave them: name and title against the fonts, needs and language by name.

    Raises:
        GlyphError: a character that no font has.
        InputError: a need or a language that is not known.
    """
    from shapes.letters.font import check_text
    from sheets.theme.languages import language_tag

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
        language=_field("language", language_tag, options.language),
        needs=needs,
    )


def _field(name: str, read: Callable[[str], str], text: str) -> str:
    """A value as its reader gives it; what is wrong with it is told with the field's name."""
    try:
        return read(text)
    except InputError as error:
        raise InputError(error.what, where=f"`{name}`", fix=error.fix) from None


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
        if source.theme is not None:
            options = dataclasses.replace(options, main=source.theme.languages[0])
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
    from sheets.write.files import check_target, document_files, write_files

    check_target(out, force=True)  # before the key beside it is looked for
    pages: Sequence[Page] = sheet.pages
    if bar_measures is not None:
        pages = [compensated(page, bar_measures) for page in pages]
    key = out.with_name(f"{out.stem}-key{out.suffix}")
    if sheet.key and key.exists() and not force:
        raise FileError(
            "the key is there already", where=str(key), fix="give `force` to replace it"
        )
    language = sheet.language
    with _MAKING:
        files = document_files(pages, out, force=force, title=sheet.title, language=language)
        if sheet.key:
            title = f"{sheet.title}: key"
            files += document_files(sheet.key, key, force=force, title=title, language=language)
        return write_files(files, force=force)


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


def check_drawing(content: bytes, name: str, skill: str, stage: int) -> Checked:
    """Measure the marks of an SVG page; see :func:`sheets.check.checked.checked`."""
    from sheets.check.checked import checked as measured

    with _MAKING:
        return measured(content, name, skill, stage)


def write_findings(
    found: Checked, name: str, out: Path, *, force: bool = False
) -> tuple[Path, ...]:
    """Write a copy of a checked page with its findings drawn on it, and a list of them.

    Args:
        name: of the file that was checked, for the list.
        out: its ending decides between PDF, SVG and PNG; the last two have a file a page.

    Raises:
        FileError: a file is there and may not be replaced, or cannot be written.
    """
    from sheets.check.marked import findings_pages
    from sheets.write.files import write_document

    with _MAKING:
        pages = findings_pages(found, name)
        title = f"Findings: {name}"
        return write_document(pages, out, force=force, title=title, language="en")


def difficulty(item: str, content: bytes | None = None) -> list[OutlineRow]:
    """The measures of a picture's outlines, or of those on a page of ours.

    Args:
        content: of the file, if the item names one.
    """
    from sheets.kinds.cutting.lookup import outline_rows

    with _MAKING:
        return outline_rows(item, content)


# --- what there is --------------------------------------------------------------------------------


def pictures(word: str = "", language: str = "", category: str = "") -> list[PictureRow]:
    """The pictures that match, all without a word; see :func:`shapes.pictures.names.matching`.

    Args:
        language: of the names beside the words; empty for none.
        category: part of the name of a category; empty for all.

    Raises:
        InputError: no such picture, category, or language with names.
    """
    from sheets.kinds.cutting.lookup import picture_rows

    return picture_rows(word, language, category)


def write_pictures(
    rows: Sequence[PictureRow],
    out: Path,
    *,
    paper: Paper,
    language: str = "en",
    colour: bool = False,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write pages that show pictures with their words.

    Raises:
        InputError: a picture that is not on the checked list, or names that cannot be printed.
        FileError: a file is there and may not be replaced, or cannot be written.
    """
    from shapes.pictures.names import curated
    from sheets.lists.pictures import Catalogue, catalogue_pages
    from sheets.write.files import check_target, write_document

    check_target(out, force=force or out.suffix.lower() != ".pdf")
    codes = {row.code for row in rows}
    words = [word for word in curated() if word.code in codes]
    with _MAKING:
        pages = catalogue_pages(Catalogue(words, paper, language, colour))
        return write_document(pages, out, force=force, title="Pictures", language=language)


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


def shape_rows() -> tuple[ShapeRow, ...]:
    """The practice lines and shapes to cut, with what each is."""
    from sheets.lists.shapes import shape_rows as rows

    return rows()


def theme_titles() -> Mapping[str, str]:
    """Title of each built-in theme by its short name, in the order of the titles."""
    from sheets.files.theme_file import builtin_titles

    return builtin_titles()


def theme(name: str) -> Theme:
    """A theme by name, or from a file of one's own.

    Raises:
        InputError, FileError, ThemeError: there is none, or it cannot be read.
    """
    with _MAKING:
        return _theme(name)


def advice(theme: Theme) -> tuple[str, ...]:
    """What to look at again in a theme, a line each."""
    from sheets.files.advice import advice as lines

    with _MAKING:
        return lines(theme)


def themes() -> tuple[Theme, ...]:
    """The built-in themes."""
    from sheets.files.theme_file import builtin

    return builtin()


def languages() -> tuple[Language, ...]:
    """The languages that there is something in: names of pictures, texts of pages, family note."""
    from sheets.packet.languages import languages as found

    return found()


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


def starter(what: str, title: str, ending: str, words: Sequence[str] = ()) -> bytes:
    """A file to start from: a ``theme`` or a ``class`` list.

    Args:
        ending: of its name, such as ``.csv``.
        words: of a theme, which is then proposed from them.

    Raises:
        InputError: an ending that it cannot have, a title that is no line of text, or words that
            make no theme.
        PictureError: a word without a picture.
    """
    from sheets.files.starters import starter as make

    with _MAKING:
        return make(what, title, ending, words)


def usual_ending(what: str) -> str:
    """What the name of a new ``theme`` or ``class`` list ends in."""
    from sheets.files.starters import ENDINGS

    return ENDINGS[what][0]


def with_tags(content: bytes, name: str) -> tuple[ClassList, bytes]:
    """The children of a class list, and the list with each one's tag written into it.

    Args:
        content: of the file.
        name: of the file, for messages.

    Raises:
        ClassListError: the file has problems, or its kind cannot be written.
    """
    from sheets.files.class_list import parse
    from sheets.files.tag_writing import with_tags as written

    return parse(content, name), written(content, name)


def write_bytes(content: bytes, out: Path, *, force: bool = False) -> tuple[Path, ...]:
    """Write a file whole or not at all.

    Raises:
        FileError: it is there and may not be replaced, or cannot be written.
    """
    from sheets.write.files import write_files

    return write_files([(out, lambda: content)], force=force)


def read_bytes(file: Path) -> bytes:
    """The content of a drawing, cut off where it is larger than any may be.

    Raises:
        FileError: it cannot be read.
    """
    from shapes.svg.guard import MAX_BYTES

    try:
        with file.open("rb") as content:
            return content.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise FileError("no such file", where=str(file), fix="check the name and folder") from None
    except IsADirectoryError:
        raise FileError("this is a folder", where=str(file), fix="name a file") from None
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        reason = getattr(error, "strerror", None) or "not a usable file name"
        raise FileError(
            f"cannot be read ({reason})", where=str(file), fix="check the name and folder"
        ) from None


def slug(text: str) -> str:
    """A plain file name part: lower case letters, digits and hyphens."""
    import re

    stem = Path(text).stem if text.lower().endswith((".svg", ".png", ".jpg", ".jpeg")) else text
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-") or "sheet"
