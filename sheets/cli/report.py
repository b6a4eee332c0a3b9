"""Prints what the desk answers, and says it in the words of the command line."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import worded
from sheets import desk
from sheets.check.guidance import check_stage
from sheets.cli.flags import flag
from sheets.cli.options import parts
from sheets.kinds.options import Options
from sheets.page.frame import paper as paper_called
from sheets.theme.problems import count_of

if TYPE_CHECKING:
    from sheets.check.checked import Checked
    from sheets.kinds.cutting.lookup import PictureRow
    from sheets.page.model import Sheet
    from sheets.theme.theme import Theme

_BAR = 30
_LONG_S = 4.0


def say(text: str) -> None:
    """One line on standard output."""
    sys.stdout.write(text + "\n")


def warn(text: str) -> None:
    """One line on standard error."""
    sys.stderr.write(in_flags(text) + "\n")


def in_flags(text: str) -> str:
    """A message with its fields as options of the command line."""
    return worded(text, flag)


@dataclasses.dataclass(frozen=True, slots=True)
class CheckRun:
    """How the answer of a check is given."""

    as_json: bool = False
    force: bool = False


# --- one sheet ------------------------------------------------------------------------------------


@contextmanager
def patience() -> Iterator[None]:
    """A sign of life on a terminal while a sheet takes long, as with a drawing of many lines."""
    import threading

    timer = threading.Timer(
        _LONG_S, warn, ["still at work; a drawing with many lines takes longer"]
    )
    timer.daemon = True
    if sys.stderr.isatty():
        timer.start()
    try:
        yield
    finally:
        timer.cancel()


def options_of(given: Mapping[str, Any]) -> Options:
    """The options that all kinds share, as they were typed."""
    return Options(
        paper=paper_called(given["paper"]),
        name=given["name"],
        title=given["title"],
        hand=given["hand"],
        language=given["language"],
        ink=given["ink"],
        colour=given["colour"],
        seed=given["seed"],
        needs=parts(given["needs"]),
    )


def report_sheet(
    sheet: Sheet, out: Path, *, force: bool, allow_outside: bool, bar_measures: float | None
) -> int:
    """Write a sheet; 1 if findings are outside guidance and that was not allowed."""
    for remark in sheet.remarks:
        warn(f"note: {remark}")
    outside = [finding for finding in sheet.findings if finding.outside]
    for finding in outside:
        warn(f"outside guidance: {finding.sentence()}")
    if outside and not allow_outside:
        warn("tablework: nothing written; add `allow-outside` to print the page all the same")
        return 1
    for path in desk.write_sheet(sheet, out, force=force, bar_measures=bar_measures):
        say(f"wrote {path}")
    return 0


def report_check(file: Path, skill: str, stage: int, out: Path | None, how: CheckRun) -> int:
    """Audit an SVG; 0 within guidance, 1 outside or nothing of the skill measured."""
    check_stage(stage)
    found = desk.check_drawing(desk.read_bytes(file), str(file), skill, stage)
    if how.as_json:
        say(json_text(_check_facts(file, found)))
    else:
        _say_check(found, chosen=skill == "auto")
    if out is not None:
        for path in desk.write_findings(found, file.name, out, force=how.force):
            (warn if how.as_json else say)(f"wrote {path}")
    return 1 if found.outside or not found.of_skill else 0


def _say_check(found: Checked, *, chosen: bool) -> None:
    from sheets.check.marked import place_words

    if chosen:
        say(f"note: by the roles of its marks taken for a page of {found.skill}")
    for note in found.notes:
        say(f"note: {note}")
    for finding in found.findings:
        place = place_words(found.page, found.where(finding))
        say(f"{'OUTSIDE' if finding.outside else 'within '}  {finding.sentence()}{place}")
    for row in found.unmeasured:
        say(f"not measured  {row.limit}: {row.reason}")
    for word in _EXPLAINED:
        if any(finding.limit == word for finding in found.findings):
            say(f"{word}: {_EXPLAINED[word]}")
    if not found.of_skill:
        say(f"NOTHING of {found.skill} could be measured: no mark on the page has a role of it")
    say(
        f"{count_of(len(found.findings), 'value')} measured, "
        f"{len(found.outside)} outside guidance, "
        f"{count_of(len(found.unmeasured), 'limit')} not measured; {found.skill}, stage "
        f"{found.stage}"
    )


_EXPLAINED = {
    "steering index": "length of a line over the width it may be followed in; more is harder",
}
"""Limits whose name does not say what they are."""


def _check_facts(file: Path, found: Checked) -> dict[str, object]:
    from sheets.check.check import as_rows
    from sheets.check.where import from_top_left

    rows = as_rows(found.findings)
    for row, finding in zip(rows, found.findings, strict=True):
        place = found.where(finding)
        row["from_left_and_top_mm"] = place and from_top_left(found.page, place.at)
        row["element"] = place.element if place else ""
    return {
        "file": file.name,
        "skill": found.skill,
        "stage": found.stage,
        "notes": list(found.notes),
        "of_skill": found.of_skill,
        "findings": rows,
        "unmeasured": [dataclasses.asdict(row) for row in found.unmeasured],
    }


# --- what there is --------------------------------------------------------------------------------


def report_pictures(rows: Sequence[PictureRow], *, as_json: bool) -> None:
    """``tablework pictures``: the curated words, all or those that match."""
    if as_json:
        say(json_text([_picture_facts(row) for row in rows]))
        return
    if not rows[0].category:
        say(f"{rows[0].word} ({rows[0].code}): not on the checked list; look before you print")
        return
    say(f"{'':20} {'stage 4':>8} {'stage 5':>8} {'stage 6':>8}")
    category = ""
    for row in rows:
        if row.category != category:
            category = row.category
            say(f"\n{category}")
        marks = [
            f"{row.scores[stage]:.0f}{'=' if stage in row.not_harder else ' '}"
            if stage in row.scores
            else ""
            for stage in (4, 5, 6)
        ]
        say(f"  {row.word:18} {marks[0]:>8} {marks[1]:>8} {marks[2]:>8}  {row.name}".rstrip())
    say("")
    say(
        f"{count_of(len(rows), 'word')}. The numbers say how hard the outline to cut is at a "
        "stage, on a scale of our own: more is harder; = is not harder than the stage before. To "
        "see the pictures: tablework pictures --out pictures.pdf. Any other OpenMoji picture works "
        "by its English name."
    )


def _picture_facts(row: Any) -> dict[str, object]:
    facts: dict[str, object] = {"word": row.word, "code": row.code}
    if row.name:
        facts["name"] = row.name
    if row.category:
        facts["category"] = row.category
        facts["difficulty"] = {str(stage): score for stage, score in row.scores.items()}
        facts["not_harder_than_stage_before"] = list(row.not_harder)
    return facts


def report_difficulty(items: list[str], *, as_json: bool) -> None:
    """``tablework difficulty``: outlines of pictures by stage, or the outlines in an SVG page."""
    rows = []
    for item in items:
        file = Path(item)
        content = desk.read_bytes(file) if item.lower().endswith(".svg") else None
        rows += desk.difficulty(item, content)
    if as_json:
        say(json_text([dataclasses.asdict(row) for row in rows]))
        return
    say(f"{'outline':34} {'how hard':>10} {'turning':>9} {'length':>8} {'by width':>9}")
    for row in rows:
        shown = [
            "-" if value is None else value
            for value in (row.complexity, row.turning_deg, row.length_mm, row.steering_index)
        ]
        say(f"{row.outline:34} {shown[0]:>10} {shown[1]:>7}° {shown[2]:>6}mm {shown[3]:>9}")
        if row.remark:
            say(f"  {row.remark}")
    say(
        "how hard: a scale of our own for a line of 3 mm, not a measure of time or age; turning: "
        "all change of direction; by width: length over the width in which a cut counts as on the "
        "line, the steering index of check."
    )


def report_kinds() -> None:
    """``tablework kinds``."""
    from sheets.kinds import KINDS

    for name, entry in KINDS.items():
        say(f"{name:14} {entry.load().does} (skill: {entry.skill})")


def report_themes(name: str) -> None:
    """``tablework themes``: all that come along, or what to look at again in one."""
    if name:
        _say_advice(desk.theme(name))
        return
    for theme in desk.themes():
        say(f"{theme.slug:20} {', '.join(word.text for word in theme.words)}")


def _say_advice(theme: Theme) -> None:
    lines = desk.advice(theme)
    for line in lines:
        say(f"look again: {line}")
    if not lines:
        say(f"{theme.title}: nothing to look at again")


def report_tags(file: Path, *, write: bool) -> None:
    """``tablework tags``: each child's tag and name; with ``write`` put into the list."""
    from sheets.files.class_list import MAX_BYTES, load
    from sheets.files.reading import read_file

    if not write:
        for child in load(file).children:
            say(f"{child.tag:6} {child.name}")
        return
    content = read_file(str(file), MAX_BYTES, "class list")
    listed, written = desk.with_tags(content, file.name)
    if written == content:
        say(f"{file}: every child has a tag there already")
        return
    # A link stays a link: what it leads to is written.
    desk.write_bytes(written, file.resolve(), force=True)
    say(f"wrote {file} with the tags of {count_of(len(listed.children), 'child', 'children')}")


def report_languages(*, as_json: bool) -> None:
    """``tablework languages``."""
    rows = desk.languages()
    if as_json:
        say(json.dumps([dataclasses.asdict(row) for row in rows], ensure_ascii=False, indent=2))
        return
    line = "{:4} {:12} {:9} {:9} {:12} {:8} {}"
    say(line.format("tag", "language", "pictures", "pages", "family note", "letters", "own name"))
    for row in rows:
        states = [state or "-" for state in (row.pictures, row.pages, row.note)]
        letters = "yes" if row.letters else "-"
        say(line.format(row.tag, row.name, *states, letters, row.own))
    say(
        "draft: to be checked with a speaker. Tag, language or own name may be written. Other "
        "languages are taken too: pages and notes are then in the theme's language or English, "
        "and names of pictures are those that the theme file gives."
    )


def report_starter(
    what: str, title: str, out: Path | None, words: tuple[str, ...], *, force: bool
) -> None:
    """``tablework new``."""
    target = out or Path(f"{desk.slug(title)}{desk.usual_ending(what)}")
    content = desk.starter(what, title, target.suffix, words)
    for path in desk.write_bytes(content, target, force=force):
        say(f"wrote {path}")
        if words:
            _say_advice(desk.theme(str(path)))


def json_text(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, indent=2)
