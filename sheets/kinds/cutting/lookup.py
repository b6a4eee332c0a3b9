"""What is known of pictures and outlines to cut: stages that suit, and measures."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.errors import FitError, InputError
from shapes.measure.difficulty import score, steering, turning_deg
from shapes.path import Path
from shapes.pictures.names import Word, categories, languages, matching, name
from shapes.pictures.pictures import find, resolve
from sheets.check.audit import page_from_svg
from sheets.check.guidance import limit_for
from sheets.kinds.cutting.fitted import standard_outline
from sheets.kinds.cutting.store import stored_scores
from sheets.kinds.cutting.suits import OUTLINE_STAGES, not_harder, remark_for
from sheets.page.model import Role, Stroke


@dataclass(frozen=True, slots=True)
class PictureRow:
    """A picture and how hard its outlines are.

    Args:
        category: empty for a picture that is not on the checked list.
        name: in the language asked for; empty for none.
        scores: stage -> path complexity of its outline.
        not_harder: stages whose outline is not harder than the one before.
    """

    word: str
    code: str
    category: str
    scores: dict[int, float]
    not_harder: tuple[int, ...]
    name: str = ""


def picture_rows(word: str = "", language: str = "", category: str = "") -> list[PictureRow]:
    """The curated pictures, all or those that match; see :func:`shapes.pictures.names.matching`.

    Where none matches, any other picture of that name or code point.

    Args:
        language: of the names beside the words; empty for none.
        category: only pictures of categories with that text in their name.

    Raises:
        PictureError: there is no such picture; the nearest are named.
    """
    stored = stored_scores()
    rows = []
    for entry in found_words(word, language, category):
        scores = dict(stored.get(entry.code, {}))
        known = name(entry.code, language) if language else None
        called = known.text if known else ""
        rows.append(
            PictureRow(entry.text, entry.code, entry.category, scores, not_harder(scores), called)
        )
    if rows:
        return rows
    picture = find(word)
    return [PictureRow(picture.name, picture.id, "", {}, ())]


def found_words(word: str, language: str, category: str) -> list[Word]:
    """The curated words that match.

    Raises:
        InputError: there is no such category, or there are no names in the language.
    """
    headings = [heading for heading in categories() if category.casefold() in heading]
    if not headings:
        raise InputError(
            f"no category '{category}'",
            where="`category`",
            fix=f"use one of: {', '.join(categories())}",
        )
    if language and language.replace("_", "-").partition("-")[0].lower() not in languages():
        raise InputError(
            f"no names in the language '{language}'",
            where="`language`",
            fix=f"use one of: {', '.join(languages())}",
        )
    return [entry for entry in matching(word, language) if entry.category in headings]


@dataclass(frozen=True, slots=True)
class OutlineRow:
    """The measures of one outline.

    Args:
        complexity: our ordinal aid, at a line of 3 mm; None where no outline can be made.
        turning_deg: total change of direction.
        steering_index: length over twice the stage's tolerance, as ``check`` finds it; None on a
            page, which does not say for which stage it is.
        remark: for the adult; may be empty.
    """

    outline: str
    complexity: float | None = None
    turning_deg: int | None = None
    length_mm: float | None = None
    steering_index: float | None = None
    remark: str = ""


def outline_rows(item: str, content: bytes | None = None) -> list[OutlineRow]:
    """The outlines of a picture at stages 4 to 6, or those on a page of ours.

    Args:
        item: word, code point or SVG file.
        content: of an SVG file.

    Raises:
        InputError, FileError: it is no picture and no page.
    """
    if content is not None and b"data-role" in content:
        page = page_from_svg(content, item).page
        found = [
            _measured(f"{item} {mark.id or i + 1}", path)
            for mark in page.marks
            if isinstance(mark, Stroke) and mark.role is Role.CUT
            for i, path in enumerate(mark.paths)
        ]
        if found:
            return found
    picture = resolve(item)
    rows = []
    for stage in OUTLINE_STAGES:
        name = f"{picture.name}, stage {stage}"
        try:
            path = standard_outline(picture, stage).path
        except FitError as error:
            rows.append(OutlineRow(name, remark=str(error)))
        else:
            rows.append(_measured(name, path, stage, remark_for(picture, stage)))
    return rows


def _measured(name: str, path: Path, stage: int | None = None, remark: str = "") -> OutlineRow:
    tolerance = limit_for("cutting", stage, "tolerance") if stage is not None else None
    allowed = tolerance.maximum if tolerance else None
    return OutlineRow(
        name,
        round(score(path), 1),
        round(turning_deg(path)),
        round(path.length, 1),
        round(steering(path, 2.0 * allowed), 2) if allowed else None,
        remark,
    )
