"""What ``tablework packet`` does: plan, count, show the totals, write."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sheets.cli.run import say, warn
from sheets.kinds.options import Ink
from sheets.packet.plan import ADULT, CARD, KEYS, PLAIN, SPARE, Choices, Totals, make_plan

if TYPE_CHECKING:
    from sheets.packet.make import Progress

_BAR = 30
_HOLDS: Mapping[str, str] = {
    PLAIN: "on plain paper",
    CARD: "on card",
    KEYS: "keys, for adults",
    ADULT: "run sheet, plan, materials, records, family notes",
}


def make_packet(
    theme: str,
    classlist: Path,
    out: Path,
    *,
    paper: str | None = None,
    ink: Ink = "normal",
    seed: int = 0,
    only: tuple[str, ...] = (),
    kinds: str = "",
    days: str = "",
    fresh: bool = False,
    spare: float = SPARE,
    bar_measures: float | None = None,
    dry_run: bool = False,
    force: bool = False,
    allow_outside: bool = False,
    jobs: int = 1,
) -> int:
    """Make a packet; 0 if done, 1 if pages are outside guidance and that was not allowed.

    Args:
        theme: name of a built-in theme or a theme file.
        kinds, days: separated by commas; empty for all.
        spare: share of materials beyond what is needed.
        dry_run: stop after the totals.
        jobs: processes at a time, see :func:`sheets.packet.make.prepare`.

    Raises:
        TableworkError: bad input, told in one line or one line for each problem.
    """
    from sheets.files import class_list as classes
    from sheets.packet import make as packet
    from sheets.packet.folder import check_folder
    from sheets.packet.index import selection
    from sheets.page.frame import paper as paper_called
    from sheets.theme import theme as themes

    found = themes.load(theme)
    listed = classes.load(classlist)
    choices = Choices(
        paper=paper_called(paper),
        ink=ink,
        seed=seed,
        only=only,
        kinds=_parts(kinds),
        days=_parts(days),
        fresh=fresh,
        spare=spare,
        bar_measures=bar_measures,
    )
    plan = make_plan(found, listed, choices)
    for line in (*found.warnings, *listed.warnings):
        warn(f"note: {line}")
    if not dry_run:
        check_folder(out, selection(plan), force=force)
    with _bar("making") as progress:
        counted = packet.prepare(plan, progress, draw=not dry_run, jobs=jobs)
    # A child's missing stage is already among the warnings of the class list.
    whole_class = [f"no page: {gap.sentence()}" for gap in counted.plan.gaps if not gap.tag]
    for line in (*counted.plan.remarks, *whole_class):
        warn(f"note: {line}")
    for line in totals_lines(counted.plan.totals()):
        say(line)
    for line in counted.outside:
        warn(f"outside guidance: {line}")
    if counted.outside and not allow_outside:
        warn("tablework: nothing written; add --allow-outside to print the pages all the same")
        return 1
    if dry_run:
        say("dry run: nothing written")
        return 0
    for path in packet.write(counted, out, force=force):
        say(f"wrote {path}")
    return 0


def totals_lines(totals: Totals) -> list[str]:
    """Pages of every file and sheets of paper, for the terminal."""
    lines = [f"{name:10} {count:5} pages  {_HOLDS[name]}" for name, count in totals.pages.items()]
    if totals.notes:
        lines.append(f"{'':10} {totals.notes:5} more copies of family notes, see the run sheet")
    both = totals.sheets_two_sided
    lines.append(
        f"{totals.children} child{'' if totals.children == 1 else 'ren'}, {totals.sheets} sheets "
        f"of paper; {both} with keys and adult pages on both sides"
    )
    return lines


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


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
