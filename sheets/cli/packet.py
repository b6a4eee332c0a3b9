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
)


def packet(
    theme: Annotated[str, typer.Argument(help="Built-in theme or theme file.")],
    class_list: Annotated[
        Path, typer.Option("--class", help="Class list, .xlsx, .ods or .csv, a row for each child.")
    ],
    out: Annotated[Path, typer.Option("--out", help="Folder to make.")],
    only: Annotated[
        list[str] | None, typer.Option("--only", help="Name or tag of a child; may be repeated.")
    ] = None,
    kinds: Annotated[str, typer.Option("--kinds", help="Kinds, separated by commas.")] = "",
    without: Annotated[
        str, typer.Option("--without", help="Kinds to leave out, separated by commas.")
    ] = "",
    days: Annotated[
        str, typer.Option("--days", help="Days of the plan, separated by commas.")
    ] = "",
    fresh: Annotated[
        bool, typer.Option("--fresh", help="Another page each time the plan has a kind again.")
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
        bool, typer.Option("--dry-run", help="Show what the week takes, write nothing.")
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
        only=tuple(only or ()),
        kinds=_parts(kinds),
        days=_parts(days),
        fresh=fresh,
        spare=spare / 100.0,
        bar_measures=bar_measures,
        without=_parts(without),
        children_only=children_only,
        laminate=laminate,
        stop=stop,
    )
    run = PacketRun(dry_run=dry_run, force=force, allow_outside=allow_outside, jobs=jobs)
    raise typer.Exit(report_packet(theme, class_list, out, choices, run))


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
