"""Prints what the desk answers, and says it in the words of the command line."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import worded
from sheets import desk
from sheets.check.guidance import check_stage
from sheets.kinds.options import Options
from sheets.page.frame import paper as paper_called

if TYPE_CHECKING:
    from sheets.packet.digest import Totals
    from sheets.packet.make import Progress
    from sheets.packet.plan import Choices
    from sheets.page.model import Sheet

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
    return worded(text, lambda field: f"--{field}")


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
        needs=tuple(given["needs"].split(";")),
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


def report_check(file: Path, skill: str, stage: int, *, as_json: bool) -> int:
    """Audit an SVG; 0 within guidance, 1 outside."""
    check_stage(stage)
    found = desk.check_drawing(desk.read_bytes(file), str(file), skill, stage)
    if as_json:
        from sheets.check.check import as_rows

        head = {"file": file.name, "skill": skill, "stage": stage, "notes": list(found.notes)}
        say(_json(head | {"findings": as_rows(found.findings)}))
    else:
        for note in found.notes:
            say(f"note: {note}")
        for finding in found.findings:
            say(f"{'OUTSIDE' if finding.outside else 'within '}  {finding.sentence()}")
        say(
            f"{len(found.findings)} values measured, {len(found.outside)} outside guidance at "
            f"stage {stage}"
        )
    return 1 if found.outside else 0


# --- what there is --------------------------------------------------------------------------------


def report_pictures(word: str | None, *, as_json: bool) -> None:
    """``tablework pictures``: the curated words, all or those that match."""
    rows = desk.pictures(word or "")
    other = not rows[0].category
    if as_json:
        say(_json([_picture_facts(row) for row in rows]))
        return
    if other:
        say(f"{rows[0].word} ({rows[0].code}): not on the checked list; look before you print")
        return
    category = ""
    for row in rows:
        if row.category != category:
            category = row.category
            say(f"\n{category}")
        marks = " ".join(
            f"{stage}:{score:.0f}{'=' if stage in row.not_harder else ''}"
            for stage, score in sorted(row.scores.items())
        )
        say(f"  {row.word:18} {row.code:12} {marks}")
    say("")
    say(
        f"{len(rows)} words. Numbers: stage and path complexity of its outline; '=' marks a stage "
        "whose outline is not harder than the one before. Any other OpenMoji picture works by "
        "code point or name."
    )


def _picture_facts(row: Any) -> dict[str, object]:
    facts: dict[str, object] = {"word": row.word, "code": row.code}
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
        say(_json([dataclasses.asdict(row) for row in rows]))
        return
    say(f"{'outline':34} {'complexity':>10} {'turning':>9} {'length':>8} {'steering':>9}")
    for row in rows:
        shown = [
            "-" if value is None else value
            for value in (row.complexity, row.turning_deg, row.length_mm, row.steering_index)
        ]
        say(f"{row.outline:34} {shown[0]:>10} {shown[1]:>7}° {shown[2]:>6}mm {shown[3]:>9}")
        if row.remark:
            say(f"  {row.remark}")
    say(
        "complexity: our ordinal aid at a 3 mm line, not a measure of time or age; turning: total "
        "change of direction; steering: length over twice the stage's tolerance, as check finds it."
    )


def report_kinds() -> None:
    """``tablework kinds``."""
    from sheets.kinds import KINDS

    for name, entry in KINDS.items():
        say(f"{name:14} {entry.load().does} (skill: {entry.skill})")


def report_themes() -> None:
    """``tablework themes``."""
    for theme in desk.themes():
        say(f"{theme.slug:20} {theme.title}: {', '.join(w.text for w in theme.words)}")


def report_starter(what: str, title: str, out: Path | None, *, force: bool) -> None:
    """``tablework new``."""
    target = out or Path(f"{desk.slug(title)}.{'toml' if what == 'theme' else 'csv'}")
    for path in desk.write_text(desk.starter(what, title), target, force=force):
        say(f"wrote {path}")


def _json(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, indent=2)


# --- a packet -------------------------------------------------------------------------------------


@dataclasses.dataclass(frozen=True, slots=True)
class PacketRun:
    """What else the command is told about a packet: write or only count, and how."""

    dry_run: bool = False
    force: bool = False
    allow_outside: bool = False
    jobs: int = 1


def report_packet(theme: str, class_list: Path, out: Path, choices: Choices, run: PacketRun) -> int:
    """Make a packet; 0 if done, 1 if pages are outside guidance and that was not allowed.

    Raises:
        TableworkError: bad input, told in one line or one line for each problem.
    """
    from sheets.files.class_list import load as load_class
    from sheets.files.theme_file import load as load_theme
    from sheets.packet.folder import check_folder
    from sheets.packet.index import selection

    found, listed = load_theme(theme), load_class(class_list)
    plan = desk.plan_packet(found, listed, choices)
    for line in (*found.warnings, *listed.warnings):
        warn(f"note: {line}")
    if not run.dry_run:
        check_folder(out, selection(plan), force=run.force)
    with _bar("making") as progress:
        packet = desk.make_packet(plan, progress, draw=not run.dry_run, jobs=run.jobs)
    # A child's missing stage is already among the warnings of the class list.
    whole_class = [f"no page: {gap.sentence()}" for gap in packet.plan.gaps if not gap.tag]
    for line in (*packet.plan.remarks, *whole_class):
        warn(f"note: {line}")
    for line in totals_lines(packet.plan.totals()):
        say(line)
    for line in packet.outside:
        warn(f"outside guidance: {line}")
    if packet.outside and not run.allow_outside:
        warn("tablework: nothing written; add `allow-outside` to print the pages all the same")
        return 1
    if run.dry_run:
        say("dry run: nothing written")
        return 0
    for path in desk.write_packet(packet, out, force=run.force):
        say(f"wrote {path}")
    return 0


def totals_lines(totals: Totals) -> list[str]:
    """Pages of every file and sheets of paper, for the terminal."""
    from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN

    holds = {
        PLAIN: "on plain paper",
        CARD: "on card",
        KEYS: "keys, for adults",
        ADULT: "run sheet, plan, materials, records, family notes",
    }
    lines = [f"{name:10} {count:5} pages  {holds[name]}" for name, count in totals.pages.items()]
    if totals.notes:
        lines.append(f"{'':10} {totals.notes:5} more copies of family notes, see the run sheet")
    both = totals.sheets_two_sided
    lines.append(
        f"{totals.children} child{'' if totals.children == 1 else 'ren'}, {totals.sheets} sheets "
        f"of paper; {both} with keys and adult pages on both sides"
    )
    return lines


@contextmanager
def _bar(what: str) -> Iterator[Progress | None]:
    """A progress bar on a terminal; nothing otherwise."""
    if not sys.stderr.isatty():
        yield None
        return

    def show(done: int, steps: int) -> None:
        filled = _BAR * done // max(steps, 1)
        sys.stderr.write(f"\r{what} [{'#' * filled}{'.' * (_BAR - filled)}] {done} of {steps}")
        sys.stderr.flush()

    try:
        yield show
    finally:
        sys.stderr.write("\r" + " " * (_BAR + 40) + "\r")
        sys.stderr.flush()
