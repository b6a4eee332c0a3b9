"""The commands that look things up, check, or write a file to start from; each named as its key."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from sheets import desk
from sheets.cli import report
from sheets.cli.lists import (
    Catalogued,
    report_catalogue,
    report_colours,
    report_shapes,
    report_things,
)
from sheets.cli.options import (
    Colour,
    Force,
    Json,
    PaperName,
    Skill,
    SkillOrAuto,
    Stage,
    option,
    parts,
)
from sheets.kinds import skill_of
from sheets.page.frame import paper as paper_called


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
    items: Annotated[list[str], typer.Argument(help="Picture words or SVG files.")],
    json: Json = False,
) -> None:
    report.report_difficulty(items, as_json=json)


def pictures(
    word: Annotated[
        list[str] | None,
        typer.Argument(help="What to look for: a word in any language, or part of a category."),
    ] = None,
    category: Annotated[
        str, option("category", "Only pictures of this category, such as pond.", "TEXT")
    ] = "",
    language: Annotated[
        str, option("language", "Show the names in this language too, such as es.", "CODE")
    ] = "",
    out: Annotated[
        Path | None, option("out", "Pages that show the pictures: .pdf, .svg or .png.", "FILE")
    ] = None,
    paper: PaperName = None,
    colour: Colour = False,
    force: Force = False,
    json: Json = False,
) -> None:
    rows = desk.pictures(" ".join(word or ()), language, category)
    if out is None:
        report.report_pictures(rows, as_json=json)
        return
    how = Catalogued(language or "en", paper_called(paper), colour, force)
    report_catalogue(rows, out, how)


def things(json: Json = False) -> None:
    report_things(as_json=json)


def colours(json: Json = False) -> None:
    report_colours(as_json=json)


def shapes(json: Json = False) -> None:
    report_shapes(as_json=json)


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


def themes(
    theme: Annotated[
        str, typer.Argument(help="A theme or a theme file: what to look at again in it.")
    ] = "",
) -> None:
    report.report_themes(theme)


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
    what: Annotated[
        Literal["theme", "class"], typer.Argument(help="theme or class.", case_sensitive=False)
    ],
    name: Annotated[str, typer.Argument(help="Title of the theme or class.")],
    out: Annotated[
        Path | None,
        option(
            "out",
            "File to write: .toml for a theme; for a class .xlsx with drop-downs, or .csv "
            "divided by ; where numbers here have a decimal comma, else by commas.",
            "FILE",
        ),
    ] = None,
    words: Annotated[
        str, option("words", "Of a theme, by commas: a whole theme is proposed from them.", "WORDS")
    ] = "",
    force: Force = False,
) -> None:
    report.report_starter(what, name, out, parts(words), force=force)
