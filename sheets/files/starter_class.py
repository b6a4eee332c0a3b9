"""A class list to start from, as a workbook with drop-downs or as CSV; both explain themselves."""

from __future__ import annotations

import csv
import io
import locale
import re
import tomllib
import zipfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sheets.check.guidance import STAGES, limits
from sheets.files.class_list import COLUMNS, MAX_CHILDREN, NEEDS
from sheets.files.titles import title_line
from sheets.kinds import SKILLS

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_HELP = Path(__file__).with_name("class_help.toml")
_HANDS = ("L", "R", "?")
_WIDTHS = {"name": 20, "tag": 8, "hand": 8, "needs": 34, "language": 11, "letters language": 11}
_SKILL_WIDTH = 11
_OTHERS = tuple(column for column in COLUMNS if column not in SKILLS)
_KEEP = "Keep this file to yourself: it says what children need."


def class_csv(title: str, separator: str | None = None) -> bytes:
    """A commented class list with three invented children, as CSV in UTF-8 with a mark.

    Args:
        separator: of the cells; None takes the one that spreadsheets here divide columns by.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    line, texts = title_line(title), _texts()
    out = io.StringIO()
    rows = csv.writer(out, delimiter=separator or usual_separator(), lineterminator="\n")
    rows.writerows([COLUMNS, *_children()])
    # Below the children, so that a spreadsheet shows the columns first.
    notes = [
        f"Class list: {line}",
        "One line a child below the names of the columns. Lines that begin with # are not read.",
        *(f"{column}: {texts['columns'].get(column, '')}" for column in _OTHERS),
        *(f"need {need}: {texts['needs'][need]}" for need in NEEDS),
        f"{SKILLS[0]} to {SKILLS[-1]}: {texts['columns']['skill']}",
        *(f"{skill} {stages}: {words}" for skill in SKILLS for stages, words in _steps(skill)),
        _KEEP,
    ]
    out.writelines(f"# {note}\n" for note in notes)
    return out.getvalue().encode("utf-8-sig")


def usual_separator() -> str:
    """What spreadsheets here divide CSV by: semicolons where numbers have a decimal comma."""
    before = locale.setlocale(locale.LC_NUMERIC)
    try:
        locale.setlocale(locale.LC_NUMERIC, "")
        return ";" if locale.localeconv()["decimal_point"] == "," else ","
    except locale.Error:
        return ","
    finally:
        locale.setlocale(locale.LC_NUMERIC, before)


def class_workbook(title: str) -> bytes:
    """The same as a workbook: drop-downs for stages, hands and needs, and a sheet that explains.

    The same title gives the same bytes.

    Raises:
        InputError: a title that is empty, too long, or holds control characters.
    """
    import openpyxl
    from openpyxl.worksheet.properties import PageSetupProperties

    line = title_line(title)
    book = openpyxl.Workbook()
    book.properties.creator, book.properties.title = "tablework", line
    sheet, help_ = book.worksheets[0], book.create_sheet("Help")
    sheet.title = "Class"
    _fill_class(sheet)
    _fill_help(help_, line)
    for each in book.worksheets:
        each.page_setup.orientation = "landscape"
        each.page_setup.fitToHeight = 0  # as many pages as it takes, one page wide
        each.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    saved = io.BytesIO()
    book.save(saved)
    return _without_times(saved.getvalue())


# --- what stands in it ----------------------------------------------------------------------------


@cache
def _texts() -> dict[str, dict[str, str]]:
    return tomllib.loads(_HELP.read_text("utf-8"))


def _children() -> list[list[Any]]:
    """Three invented children, each cell as a spreadsheet has it."""
    others = len(SKILLS) - 1
    return [
        ["Pip", None, "R", *[2] * len(SKILLS), None, None, None],
        ["Bo", None, "L", *[1] * len(SKILLS), "left-scissors", None, None],
        ["Juniper", None, "?", 0, *[1] * others, "not-cutting;low-vision", "es", None],
    ]


def _steps(skill: str) -> Iterator[tuple[str, str]]:
    """The stages of a skill in plain words; those that read alike together, such as ``2-3``."""
    words = [limits(skill, stage)["act"].words for stage in STAGES]
    first = 0
    for stage in STAGES:
        if stage == STAGES[-1] or words[stage + 1] != words[stage]:
            yield (f"{first}-{stage}" if first < stage else str(stage)), words[stage]
            first = stage + 1


# --- the workbook ---------------------------------------------------------------------------------


def _fill_class(sheet: Worksheet) -> None:
    from openpyxl.styles import Alignment, PatternFill
    from openpyxl.utils import get_column_letter

    sheet.append(list(COLUMNS))
    for row in _children():
        sheet.append(row)
    sheet.freeze_panes = "B2"
    for number, column in enumerate(COLUMNS, 1):
        letter = get_column_letter(number)
        _embolden(sheet[f"{letter}1"])
        sheet[f"{letter}1"].fill = PatternFill("solid", fgColor="DDE6EE")
        sheet.column_dimensions[letter].width = _WIDTHS.get(column, _SKILL_WIDTH)
        centred = Alignment(horizontal="center" if column in (*SKILLS, "tag", "hand") else None)
        for shape in (sheet.column_dimensions[letter], *sheet[letter][1:]):
            shape.alignment = centred
            # A text: otherwise a spreadsheet makes dates of some names.
            shape.number_format = "General" if column in SKILLS else "@"
        _choose(sheet, f"{letter}2:{letter}{MAX_CHILDREN + 1}", column)


def _choose(sheet: Worksheet, cells: str, column: str) -> None:
    """The drop-down of a column, and what is said when one of its cells is chosen."""
    from openpyxl.worksheet.datavalidation import DataValidation

    listed = {"hand": _HANDS, "needs": NEEDS} | dict.fromkeys(SKILLS, tuple(map(str, STAGES)))
    words = listed.get(column)
    texts = _texts()["columns"]
    rule = DataValidation(
        type="list" if words else None,
        formula1=f'"{",".join(words)}"' if words else None,
        allow_blank=True,
        # Several needs may stand in one cell, so other words than those of the list are let in.
        showErrorMessage=bool(words) and column != "needs",
        errorTitle=column,
        error=f"Write one of: {', '.join(words)}; or leave the cell empty." if words else None,
        showInputMessage=True,
        promptTitle=column,
        prompt=texts.get(column, texts["skill"]),
    )
    rule.add(cells)
    sheet.add_data_validation(rule)


def _fill_help(sheet: Worksheet, title: str) -> None:
    texts = _texts()
    rows: list[tuple[str, ...]] = [
        (f"Class list: {title}",),
        (_KEEP,),
        ("Fill in the first sheet, one row a child; the three children in it are invented. "
         "Columns of your own may stand beside: they are not read.",),
        (),
        ("Column", "What to write"),
        *((column, texts["columns"].get(column, texts["columns"]["skill"])) for column in COLUMNS),
        (),
        ("Stage", "What the child does (a stage is about one skill, not about age)"),
        *(
            (f"{skill} {stages}", words)
            for skill in SKILLS
            for stages, words in _steps(skill)
        ),
        (),
        ("Need", "What it changes"),
        *((need, texts["needs"][need]) for need in NEEDS),
    ]  # fmt: skip
    for number, row in enumerate(rows, 1):
        sheet.append(row)
        if number == 1 or row[:1] in (("Column",), ("Stage",), ("Need",)):
            for cell in sheet[number]:
                _embolden(cell)
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 18, 84


def _embolden(cell: Any) -> None:
    from openpyxl.styles import Font

    cell.font = Font(name=cell.font.name, size=cell.font.size, bold=True)


def _without_times(content: bytes) -> bytes:
    """A workbook without the time at which it was written."""
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for item in old.infolist():
            part = old.read(item)
            if item.filename == "docProps/core.xml":
                part = re.sub(rb"<dcterms:(created|modified).*?</dcterms:\1>", b"", part)
            new.writestr(zipfile.ZipInfo(item.filename), part, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
