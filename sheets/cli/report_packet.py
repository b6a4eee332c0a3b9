"""What the packet command prints: totals, the week, what could be saved, progress."""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sheets import desk
from sheets.cli.report import in_flags, say, warn
from sheets.theme.problems import count_of

if TYPE_CHECKING:
    from sheets.files.class_list import Child, ClassList
    from sheets.packet.make import Progress
    from sheets.packet.plan import Choices, Counted

_BAR = 30


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
    from sheets.packet.adult.words import spans
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
        say("counted only: nothing written")
        return 0
    for path in desk.write_packet(packet, out, force=run.force):
        say(f"wrote {path}")
    for file, pages in packet.changed.items():
        which = f"{'page' if len(pages) == 1 else 'pages'} {spans(pages, '-')}"
        say(f"changed since the packet that was here: {file}, {which}")
    return 0


def _not_made(plan: Counted, listed: ClassList) -> Iterator[str]:
    """Pages left out; a child's missing stage is already among the notes of the class list."""
    from sheets.packet.digest import gap_lines

    missing = {(child.tag, kind) for child in listed.children for kind in _missing(child)}
    told = [gap for gap in plan.gaps if (gap.tag, gap.kind) not in missing]
    for line in gap_lines(told):
        yield f"no page: {line}"


def _missing(child: Child) -> Iterator[str]:
    from sheets.kinds import KINDS

    return (name for name, entry in KINDS.items() if child.stages.get(entry.skill) is None)


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
    from sheets.packet.adult.materials import scissors_listed
    from sheets.packet.week import savings, week

    counts = week(plan)
    rows = [
        ("paper", f"{counts.plain} sheets plain, {counts.card} card; {counts.again} of them are "
                  "used-up pages printed once more"),
        ("ink", f"about {counts.ink_plain / 100.0:.0f} cm² on plain paper, "
                f"{counts.ink_card / 100.0:.0f} cm² on card, pages for adults apart"),
        ("to cut", f"{counts.cuts} straight cuts by an adult, {counts.cuts_stacked} in stacks"),
        ("film", f"{counts.film} pouches" if counts.film else "none"),
        ("envelopes", f"{counts.envelopes}, one for each child's set of cards"),
        ("scissors", "; ".join(scissors_listed(plan)) or "none"),
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
