"""The command ``tablework``: parse, call, print; nothing heavy is imported before that."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from shapes.errors import TableworkError
from sheets.cli import kinds as cli_kinds
from sheets.cli import packet as cli_packet
from sheets.cli.options import (
    AllowOutside,
    BarMeasures,
    Force,
    HandName,
    InkName,
    Json,
    Language,
    Name,
    Out,
    PaperName,
    Stage,
    Title,
)

app = typer.Typer(
    name="tablework",
    help="Printable table-work pages for young children, each at the child's own stage, at true "
    "size, checked against sourced guidance.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    pretty_exceptions_show_locals=False,
    add_completion=False,
    no_args_is_help=True,
)


@app.command()
def cutting(
    picture: Annotated[
        str | None,
        typer.Argument(help="Word, code point or my-drawing.svg; none: plain practice lines."),
    ] = None,
    stage: Stage = 6,
    shape: Annotated[
        str | None, typer.Option("--shape", help="A practice line or shape of the stage.")
    ] = None,
    pieces: Annotated[int | None, typer.Option("--pieces", help="How many outlines.")] = None,
    outline: Annotated[
        str,
        typer.Option(
            "--outline",
            help="Round a picture at stage 5: triangle, oval ... or soft.",
        ),
    ] = "",
    turn: Annotated[
        Literal["clockwise", "anticlockwise"] | None,
        typer.Option("--turn", help="Print an arrow that shows which way round."),
    ] = None,
    paper: PaperName = None,
    name: Name = "",
    title: Title = None,
    hand: HandName = "either",
    language: Language = "en",
    ink: InkName = "normal",
    bar_measures: BarMeasures = None,
    out: Out = None,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Strips, lanes, shapes, or a picture in an outline, to cut."""
    from sheets.cli import run

    options = run.options(
        paper=paper, name=name, title=title, hand=hand, language=language, ink=ink
    )
    sheet = run.cutting_sheet(
        picture, stage, options, shape=shape, pieces=pieces, outline=outline, turn=turn
    )
    default = f"cutting-{run.slug(picture or shape or 'lines')}.pdf"
    raise typer.Exit(
        run.write_sheet(
            sheet,
            out or Path(default),
            force=force,
            allow_outside=allow_outside,
            bar_measures=bar_measures,
        )
    )


cli_kinds.register(app)
cli_packet.register(app)


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="An SVG file, made by tablework or not.")],
    stage: Stage,
    skill: Annotated[
        Literal["cutting", "matching", "letters", "sequence", "pattern"],
        typer.Option("--skill", help="Which guidance to check against."),
    ] = "cutting",
    json: Json = False,
) -> None:
    """Measure the marks of an SVG page by the guidance of a stage."""
    from sheets.cli import run

    raise typer.Exit(run.check_file(file, skill, stage, as_json=json))


@app.command()
def difficulty(
    items: Annotated[list[str], typer.Argument(help="Pictures (word, code point) or SVG files.")],
    json: Json = False,
) -> None:
    """Path complexity of outlines, and the stages that suit."""
    from sheets.cli import run

    run.print_difficulty(items, as_json=json)


@app.command()
def pictures(
    word: Annotated[str | None, typer.Argument(help="Word or category to look for.")] = None,
    json: Json = False,
) -> None:
    """The picture words, with the stages that suit each."""
    from sheets.cli import run

    run.print_pictures(word, as_json=json)


@app.command()
def guidance(
    skill: Annotated[
        Literal["cutting", "matching", "letters", "sequence", "pattern"] | None,
        typer.Argument(help="Skill; none: all."),
    ] = None,
) -> None:
    """The limits of every stage, with unit, kind and source."""
    from sheets.check.guidance import render_text

    typer.echo(render_text(skill))


@app.command()
def kinds() -> None:
    """The kinds of sheet there are."""
    from sheets.kinds import KINDS

    for info in KINDS.values():
        typer.echo(f"{info.name:14} {info.what} (skill: {info.skill})")


@app.command()
def themes() -> None:
    """The built-in themes, with their words."""
    from sheets.theme.theme import builtin

    for theme in builtin():
        typer.echo(f"{theme.slug:20} {theme.title}: {', '.join(w.text for w in theme.words)}")


@app.command()
def new(
    what: Annotated[Literal["theme", "class"], typer.Argument(help="theme or class.")],
    name: Annotated[str, typer.Argument(help="Title of the theme or class.")],
    out: Annotated[Path | None, typer.Option("--out", help="File to write.")] = None,
    force: Force = False,
) -> None:
    """A commented file to start from: a theme or a class list."""
    from sheets.cli import run

    run.write_starter(what, name, out, force=force)


def _version(value: bool) -> None:
    if value:
        from importlib.metadata import version

        typer.echo(f"tablework {version('tablework')}")
        raise typer.Exit()


@app.callback()
def _root(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    pass


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line; returns the exit code (0 done, 1 outside guidance, 2 bad input)."""
    args = list(sys.argv[1:] if arguments is None else arguments)
    try:
        result = app(args, prog_name="tablework", standalone_mode=False)
    except TableworkError as error:
        for line in getattr(error, "problems", None) or (str(error),):
            typer.echo(f"tablework: {line}", err=True)
        return 2
    except typer.Abort:
        typer.echo("tablework: stopped", err=True)
        return 130
    except typer.TyperException as error:
        text = error.format_message() if hasattr(error, "format_message") else str(error)
        if text:
            line = " ".join(text.split())
            typer.echo(f"tablework: {line} (see tablework --help)", err=True)
        return 2
    except BrokenPipeError:
        # The reader of our output went away (tablework pictures | head).
        sys.stderr.close()
        return 0
    return result if isinstance(result, int) else 0


def entry_point() -> None:
    """The installed command."""
    raise SystemExit(main())
