"""The commands that look things up, check, or write a file to start from; each named as its key."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from sheets import desk
from sheets.cli import report
from sheets.cli.options import Force, Json, Skill, SkillOrAuto, Stage, option
from sheets.kinds import skill_of


def check(
    file: Annotated[Path, typer.Argument(help="An SVG file, made by tablework or not.")],
    stage: Stage,
    skill: SkillOrAuto = "cutting",
    out: Annotated[
        Path | None,
        option("out", "A copy with the findings drawn on it: .pdf, .svg or .png.", "FILE"),
    ] = None,
    json: Json = False,
    force: Force = False,
) -> None:
    how = report.CheckRun(as_json=json, force=force)
    raise typer.Exit(report.report_check(file, skill_of(skill), stage, out, how))


def difficulty(
    items: Annotated[list[str], typer.Argument(help="Pictures (word, code point) or SVG files.")],
    json: Json = False,
) -> None:
    report.report_difficulty(items, as_json=json)


def pictures(
    word: Annotated[str | None, typer.Argument(help="Word or category to look for.")] = None,
    json: Json = False,
) -> None:
    report.report_pictures(word, as_json=json)


def guidance(
    skill: Annotated[
        Skill | None,
        typer.Argument(
            help="A skill or a kind of sheet; none: all.", metavar="[SKILL]", case_sensitive=False
        ),
    ] = None,
) -> None:
    report.say(desk.guidance(skill_of(skill) if skill else None))


def kinds() -> None:
    report.report_kinds()


def themes() -> None:
    report.report_themes()


def new(
    what: Annotated[Literal["theme", "class"], typer.Argument(help="theme or class.")],
    name: Annotated[str, typer.Argument(help="Title of the theme or class.")],
    out: Annotated[Path | None, typer.Option("--out", help="File to write.")] = None,
    force: Force = False,
) -> None:
    report.report_starter(what, name, out, force=force)
