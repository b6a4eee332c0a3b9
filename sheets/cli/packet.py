"""The command for a whole class: ``tablework packet``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sheets.cli.options import (
    AllowOutside,
    BarMeasures,
    ChildrenOnly,
    Colour,
    Force,
    InkName,
    Jobs,
    Laminate,
    PaperName,
    Seed,
    Spare,
    Stop,
    option,
    parts,
)


def packet(
    theme: Annotated[str, typer.Argument(help="Built-in theme or theme file.")],
    class_list: Annotated[
        Path, option("class", "Class list, .xlsx, .ods or .csv, a row for each child.", "FILE")
    ],
    out: Annotated[Path, option("out", "Folder to make.", "FOLDER")],
    only: Annotated[
        list[str] | None, option("only", "Children by name or tag, with commas between.", "NAMES")
    ] = None,
    kinds: Annotated[str, option("kinds", "Kinds, with commas between.", "KINDS")] = "",
    without: Annotated[str, option("without", "Kinds to leave out.", "KINDS")] = "",
    days: Annotated[str, option("days", "Days of the plan, with commas between.", "DAYS")] = "",
    fresh: Annotated[
        bool, option("fresh", "Another page each time the plan has a kind again.")
    ] = False,
    spare: Spare = 10.0,
    seed: Seed = 0,
    paper: PaperName = None,
    ink: InkName = "normal",
    colour: Colour = False,
    bar_measures: BarMeasures = None,
    children_only: ChildrenOnly = False,
    laminate: Laminate = False,
    stop: Stop = False,
    dry_run: Annotated[
        bool, option("dry-run", "Show what the week takes, and what could be saved; write nothing.")
    ] = False,
    jobs: Jobs = 1,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Every child's pages with keys and adult pages, in one run."""
    from sheets.cli.report_packet import PacketRun, report_packet
    from sheets.packet.plan import Choices
    from sheets.page.frame import paper as paper_called

    choices = Choices(
        paper=paper_called(paper),
        ink=ink,
        colour=colour,
        seed=seed,
        only=tuple(name for text in only or () for name in parts(text)),
        kinds=parts(kinds),
        days=parts(days),
        fresh=fresh,
        spare=spare / 100.0,
        bar_measures=bar_measures,
        without=parts(without),
        children_only=children_only,
        laminate=laminate,
        stop=stop,
    )
    run = PacketRun(dry_run=dry_run, force=force, allow_outside=allow_outside, jobs=jobs)
    raise typer.Exit(report_packet(theme, class_list, out, choices, run))
