"""What the commands do once their options are read: make, check, write, and say what was done."""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from shapes.errors import FileError, InputError
from sheets.kinds.options import Hand, Ink, Options
from sheets.page.frame import paper as paper_called
from sheets.page.model import Page, Sheet

if TYPE_CHECKING:
    from shapes.path import Path as OutlinePath
    from shapes.pictures.pictures import Picture
    from sheets.kinds.cutting.slipway import Turn


def say(text: str) -> None:
    """One line on standard output."""
    sys.stdout.write(text + "\n")


def warn(text: str) -> None:
    """One line on standard error."""
    sys.stderr.write(text + "\n")


def slug(text: str) -> str:
    """A plain file name part: lower case letters, digits and hyphens."""
    stem = Path(text).stem if text.lower().endswith(".svg") else text
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-") or "sheet"


def options(
    *,
    paper: str | None,
    name: str,
    title: str | None,
    hand: Hand,
    language: str,
    ink: Ink,
    seed: int = 0,
    needs: str = "",
) -> Options:
    """Common options, with name and title checked against the page font."""
    from shapes.letters.font import check_text

    return Options(
        paper=paper_called(paper),
        name=check_text(name.strip(), "--name"),
        title=check_text(title.strip(), "--title") if title else None,
        hand=hand,
        language=language,
        ink=ink,
        seed=seed,
        needs=_needs(needs),
    )


def _needs(text: str) -> tuple[str, ...]:
    wanted = tuple(sorted({word.strip().lower() for word in text.split(";") if word.strip()}))
    if wanted:
        from sheets.files.class_list import NEEDS

        for word in wanted:
            if word not in NEEDS:
                raise InputError(
                    f"need '{word}' is not known", where="--needs", fix=f"use {', '.join(NEEDS)}"
                )
    return wanted


def cutting_sheet(
    picture: str | None,
    stage: int,
    options: Options,
    *,
    shape: str | None,
    pieces: int | None,
    outline: str,
    turn: Turn | None,
) -> Sheet:
    """The sheet of ``tablework cutting``."""
    from sheets.kinds.cutting.pages import CuttingTask, make

    found = _picture(picture) if picture else None
    remark = ""
    if found is not None and shape is None:
        from sheets.kinds.cutting.suits import remark_for

        remark = remark_for(found, stage)
    task = CuttingTask(stage, found, shape, pieces, outline, turn, remark)
    return make(task, options)


def _picture(text: str) -> Picture:
    from shapes.pictures.pictures import resolve

    return resolve(text)


def write_sheet(
    sheet: Sheet,
    out: Path,
    *,
    force: bool,
    allow_outside: bool,
    bar_measures: float | None,
) -> int:
    """Write a sheet's pages; 1 if findings are outside guidance and that was not allowed."""
    from sheets.write.files import write_document

    outside = [finding for finding in sheet.findings if finding.outside]
    for finding in outside:
        warn(f"outside guidance: {finding.sentence()}")
    if outside and not allow_outside:
        warn("tablework: nothing written; add --allow-outside to print the page all the same")
        return 1
    pages: Sequence[Page] = sheet.pages
    if bar_measures is not None:
        from sheets.page.marks import compensated

        pages = [compensated(page, bar_measures) for page in pages]
    key = out.with_name(f"{out.stem}-key{out.suffix}")
    if sheet.key and key.exists() and not force:
        raise FileError("the key is there already", where=str(key), fix="add --force to replace it")
    written = write_document(pages, out, force=force, title=sheet.title, language=sheet.language)
    if sheet.key:
        written += write_document(
            sheet.key, key, force=force, title=f"{sheet.title}: key", language=sheet.language
        )
    for path in written:
        say(f"wrote {path}")
    return 0


def write_starter(what: str, name: str, out: Path | None, *, force: bool) -> None:
    """A commented starter file: a theme or a class list."""
    from sheets.files.starters import starter_class, starter_theme
    from sheets.write.files import write_files

    text = starter_theme(name) if what == "theme" else starter_class(name)
    target = out or Path(f"{slug(name)}.{'toml' if what == 'theme' else 'csv'}")
    for path in write_files([(target, lambda: text.encode("utf-8"))], force=force):
        say(f"wrote {path}")


def check_file(file: Path, skill: str, stage: int, *, as_json: bool) -> int:
    """Audit an SVG; 0 within guidance, 1 outside."""
    from sheets.check.audit import page_from_svg
    from sheets.check.check import as_rows, check_page
    from sheets.check.check import outside as outside_of
    from sheets.check.guidance import check_stage

    check_stage(stage)
    audited = page_from_svg(read_bytes(file), str(file))
    findings = check_page(audited.page, skill, stage)
    outside = outside_of(findings)
    if as_json:
        say(
            json.dumps(
                {
                    "file": file.name,
                    "skill": skill,
                    "stage": stage,
                    "notes": list(audited.notes),
                    "findings": as_rows(findings),
                },
                ensure_ascii=False,
                indent=2,
            )
        )
    else:
        for note in audited.notes:
            say(f"note: {note}")
        for finding in findings:
            say(f"{'OUTSIDE' if finding.outside else 'within '}  {finding.sentence()}")
        say(f"{len(findings)} values measured, {len(outside)} outside guidance at stage {stage}")
    return 1 if outside else 0


def read_bytes(file: Path) -> bytes:
    """The content of a file; one line of explanation if it cannot be read."""
    try:
        return file.read_bytes()
    except FileNotFoundError:
        raise FileError("no such file", where=str(file), fix="check the name and folder") from None
    except IsADirectoryError:
        raise FileError("this is a folder", where=str(file), fix="name a file") from None
    except OSError as error:
        raise FileError(
            f"cannot be read ({error.strerror or 'system error'})", where=str(file)
        ) from None


# --- pictures and their difficulty ---------------------------------------------------------------


def print_pictures(word: str | None, *, as_json: bool) -> None:
    """``tablework pictures``: the curated words, all or those that match."""
    from shapes.pictures.pictures import curated, find
    from sheets.kinds.cutting.store import stored_scores
    from sheets.kinds.cutting.suits import OUTLINE_STAGES, not_harder

    wanted = word.casefold() if word else ""
    rows = [
        entry
        for entry in curated()
        if not wanted
        or wanted in entry.text.casefold()
        or wanted in entry.category.casefold()
        or wanted == entry.code.casefold()
    ]
    if not rows:
        # Not curated: any other picture by code point or name, or an error that names the nearest.
        picture = find(word or "")
        say(
            json.dumps([{"word": picture.name, "code": picture.id}], ensure_ascii=False)
            if as_json
            else f"{picture.name} ({picture.id}): not on the checked list; look before you print"
        )
        return
    stored = stored_scores()
    if as_json:
        listing = []
        for entry in rows:
            scores = stored.get(entry.code, {})
            listing.append(
                {
                    "word": entry.text,
                    "code": entry.code,
                    "category": entry.category,
                    "difficulty": {str(stage): score for stage, score in scores.items()},
                    "not_harder_than_stage_before": list(not_harder(scores)),
                }
            )
        say(json.dumps(listing, ensure_ascii=False, indent=2))
        return
    category = ""
    for entry in rows:
        if entry.category != category:
            category = entry.category
            say(f"\n{category}")
        scores = stored.get(entry.code, {})
        marks = " ".join(
            f"{stage}:{scores[stage]:.0f}{'=' if stage in not_harder(scores) else ''}"
            for stage in OUTLINE_STAGES
            if stage in scores
        )
        say(f"  {entry.text:18} {entry.code:12} {marks}")
    say("")
    say(
        f"{len(rows)} words. Numbers: stage and path complexity of its outline; '=' marks a stage "
        "whose outline is not harder than the one before. Any other OpenMoji picture works by "
        "code point or name."
    )


def print_difficulty(items: Sequence[str], *, as_json: bool) -> None:
    """``tablework difficulty``: outlines of pictures by stage, or the outlines in an SVG page."""
    rows: list[dict[str, object]] = []
    for item in items:
        rows += _difficulty_rows(item)
    if as_json:
        say(json.dumps(rows, ensure_ascii=False, indent=2))
        return
    say(f"{'outline':34} {'complexity':>10} {'turning':>9} {'length':>8} {'steering':>9}")
    for row in rows:
        say(
            f"{row['outline']!s:34} {row['complexity']:10} {row['turning_deg']:7}° "
            f"{row['length_mm']:6}mm {row['steering_index']:9}"
        )
        if row.get("remark"):
            say(f"  {row['remark']}")
    say(
        "complexity: our ordinal aid at a 3 mm line, not a measure of time or age; turning: total "
        "change of direction; steering: length over lane width."
    )


def _difficulty_rows(item: str) -> list[dict[str, object]]:
    from shapes.errors import FitError
    from sheets.kinds.cutting.fitted import line_width, standard_outline
    from sheets.kinds.cutting.suits import OUTLINE_STAGES, remark_for

    if item.lower().endswith(".svg"):
        outlines = _page_outlines(Path(item))
        if outlines:
            return [_difficulty_row(name, path, width) for name, path, width in outlines]
    picture = _picture(item)
    rows: list[dict[str, object]] = []
    for stage in OUTLINE_STAGES:
        label = f"{picture.name}, stage {stage}"
        try:
            fitted = standard_outline(picture, stage)
        except FitError as error:
            missing: dict[str, object] = dict.fromkeys(_COLUMNS, "-")
            rows.append(missing | {"outline": label, "remark": str(error)})
            continue
        row = _difficulty_row(label, fitted.path, line_width(stage))
        row["remark"] = remark_for(picture, stage)
        rows.append(row)
    return rows


_COLUMNS = ("complexity", "turning_deg", "length_mm", "steering_index")


def _difficulty_row(label: str, path: OutlinePath, width: float) -> dict[str, object]:
    from shapes.measure.difficulty import score, steering, turning_deg

    return {
        "outline": label,
        "complexity": round(score(path), 1),
        "turning_deg": round(turning_deg(path)),
        "length_mm": round(path.length, 1),
        "steering_index": round(steering(path, width), 1),
    }


def _page_outlines(file: Path) -> list[tuple[str, OutlinePath, float]]:
    """The marks to cut of a tablework page; none if the SVG is a drawing made elsewhere."""
    from sheets.check.audit import page_from_svg
    from sheets.page.model import Role, Stroke

    data = read_bytes(file)
    if b"data-role" not in data:
        return []
    audited = page_from_svg(data, str(file))
    return [
        (f"{file.name} {mark.id or i + 1}", path, mark.width)
        for mark in audited.page.marks
        if isinstance(mark, Stroke) and mark.role is Role.CUT
        for i, path in enumerate(mark.paths)
    ]
