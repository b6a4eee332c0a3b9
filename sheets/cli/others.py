"""The commands that look things up, check, or write a file to start from; each named as its key."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from sheets import desk
from sheets.cli import report
from sheets.cli.options import Force, Json, Skill, Stage


def check(
    file: Annotated[Path, typer.Argument(help="An SVG file, made by tablework or not.")],
    stage: Stage,
    skill: Annotated[Skill, typer.Option(help="Which guidance to check against.")] = "cutting",
    json: Json = False,
) -> None:
    raise typer.Exit(report.report_check(file, skill, stage, as_json=json))


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
    skill: Annotated[Skill | None, typer.Argument(help="Skill; none: all.")] = None,
) -> None:
    report.say(desk.guidance(skill))


def kinds() -> None:
    report.report_kinds()


def themes() -> None:
    report.report_themes()


def tags(
    class_list: Annotated[Path, typer.Argument(help="Class list, .xlsx or .csv.")],
    write: Annotated[
        bool, typer.Option("--write", help="Write the tags into the list; all else is kept.")
    ] = False,
) -> None:
    report.report_tags(class_list, write=write)


def languages(json: Json = False) -> None:
    report.report_languages(as_json=json)


def new(
    what: Annotated[Literal["theme", "class"], typer.Argument(help="theme or class.")],
    name: Annotated[str, typer.Argument(help="Title of the theme or class.")],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            help="File to write: .toml for a theme; for a class .xlsx with drop-downs, or .csv "
            "divided by ; where numbers here have a decimal comma, else by commas.",
        ),
    ] = None,
    force: Force = False,
) -> None:
    report.report_starter(what, name, out, force=force)
