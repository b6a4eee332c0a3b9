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
from sheets.kinds.options import Options
from sheets.page.frame import paper as paper_called
from sheets.theme.problems import count_of

if TYPE_CHECKING:
    from sheets.files.class_list import Child, ClassList
    from sheets.packet.make import Progress
    from sheets.packet.plan import Choices, Counted
    from sheets.page.model import Sheet

_BAR = 30


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
            f"{count_of(len(found.findings), 'value')} measured, {len(found.outside)} outside "
            f"guidance at "
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
        f"{count_of(len(rows), 'word')}. Numbers: stage and path complexity of its outline; "
        "'=' marks a stage whose outline is not harder than the one before. Any other OpenMoji "
        "picture works by code point or name."
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


def report_starter(what: str, title: str, out: Path | None, *, force: bool) -> None:
    """``tablework new``."""
    target = out or Path(f"{desk.slug(title)}{desk.usual_ending(what)}")
    content = desk.starter(what, title, target.suffix)
    for path in desk.write_bytes(content, target, force=force):
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
    for line in (*packet.plan.remarks, *_not_made(packet.plan, listed)):
        warn(f"note: {line}")
    for line in totals_lines(packet.plan):
        say(line)
    if run.dry_run:
        for line in week_lines(packet.plan):
            say(in_flags(line))
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
    for file, pages in packet.changed.items():
        count = "page" if len(pages) == 1 else "pages"
        say(f"changed since the packet that was here: {file}, {count} {_spans(pages)}")
    return 0


def _not_made(plan: Counted, listed: ClassList) -> Iterator[str]:
    """Pages left out; a child's missing stage is already among the notes of the class list."""
    missing = {(child.tag, kind) for child in listed.children for kind in _missing(child)}
    for gap in plan.gaps:
        if (gap.tag, gap.kind) not in missing:
            yield f"no page: {gap.sentence()}"


def _missing(child: Child) -> Iterator[str]:
    from sheets.kinds import KINDS

    return (name for name, entry in KINDS.items() if child.stages.get(entry.skill) is None)


def _spans(pages: Sequence[int]) -> str:
    """Such as ``3, 5-7``."""
    found: list[list[int]] = []
    for page in pages:
        if found and page == found[-1][1] + 1:
            found[-1][1] = page
        else:
            found.append([page, page])
    return ", ".join(f"{a}" if a == b else f"{a}-{b}" for a, b in found)


def totals_lines(plan: Counted) -> list[str]:
    """Pages of every file and sheets of paper, for the terminal."""
    from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN

    totals = plan.totals()
    holds = {
        PLAIN: "on plain paper",
        CARD: "on card",
        KEYS: "keys, for adults",
        ADULT: "run sheet, getting ready, day sheets, family notes",
    }
    lines = []
    for name, count in totals.pages.items():
        lines.append(f"{name:10} {count:5} page{'s' if count != 1 else ' '}  {holds[name]}")
        if name == CARD and (shared := plan.imposed.card_sheets):
            least = plan.imposed.least_card_sheets
            lines.append(
                f"{'':10} {shared:5} of them cards of all children (their area would fill {least})"
            )
    if totals.notes:
        copies = "copy" if totals.notes == 1 else "copies"
        lines.append(f"{'':10} {totals.notes:5} more {copies} of family notes, see the run sheet")
    both = totals.sheets_two_sided
    lines.append(
        f"{count_of(totals.children, 'child', 'children')}, {count_of(totals.sheets, 'sheet')} "
        f"of paper; {both} with keys and adult pages on both sides"
    )
    return lines


def week_lines(plan: Counted) -> list[str]:
    """What the week takes, and what could be saved, for the terminal."""
    from sheets.packet.adult.materials import SCISSORS_GROUP, supplies
    from sheets.packet.week import savings, week

    counts = week(plan)
    scissors = [f"{row.needed} {row.name}" for row in supplies(plan) if row.group == SCISSORS_GROUP]
    rows = [
        ("paper", f"{counts.plain} sheets plain, {counts.card} card; {counts.again} of them are "
                  "used-up pages printed once more"),
        ("ink", f"about {counts.ink_plain / 100.0:.0f} cm² on plain paper, "
                f"{counts.ink_card / 100.0:.0f} cm² on card, pages for adults apart"),
        ("to cut", f"{counts.cuts} straight cuts by an adult, {counts.cuts_stacked} in stacks"),
        ("film", f"{counts.film} pouches" if counts.film else "none"),
        ("envelopes", f"{counts.envelopes}, one for each child's set of cards"),
        ("scissors", "; ".join(scissors) or "none"),
    ]  # fmt: skip
    lines = ["the week as planned:"]
    lines += [f"  {name:10} {text}" for name, text in rows]
    for day in counts.days:
        if day.again or day.kept:
            again = sum(len(pages) for pages in day.again.values())
            kept = f"; used again: {', '.join(day.kept)}" if day.kept else ""
            lines.append(f"  {day.day or 'any day':10} {again} pages once more{kept}")
    found = savings(plan, counts)
    if found:
        lines.append("to use less paper:")
        lines += [f"  {saving.sentence()}" for saving in found]
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
