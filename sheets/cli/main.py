"""The command ``tablework``: parse, call, print; nothing heavy is imported before that."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from shapes.errors import TableworkError
from sheets.kinds import KINDS

OTHERS = {
    "packet": "Every child's pages with keys and adult pages, in one run.",
    "page": "All of it on a page in your own browser, on this computer only.",
    "check": "Measure the marks of an SVG page by the guidance of a stage.",
    "difficulty": "Path complexity of outlines, and the stages that suit.",
    "pictures": "The picture words, with the stages that suit each.",
    "guidance": "The limits of every stage, with unit, basis and source.",
    "kinds": "The kinds of sheet there are.",
    "themes": "The built-in themes, with their words.",
    "new": "A commented file to start from: a theme or a class list.",
}
"""The commands besides those of the kinds, with their help lines."""


class Commands(TyperGroup):
    """The commands; only the one that is called is built, as building all takes longer than a page.

    Their help lines are in tables, so that the list of them builds none either.
    """

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        self.lines = {name: entry.about for name, entry in KINDS.items()} | OTHERS
        self.commands = dict.fromkeys(self.lines, None)  # type: ignore[assignment] # for suggestions

    def list_commands(self, ctx: Any) -> list[str]:
        return list(self.lines)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in self.lines:
            return None
        single = typer.Typer(rich_markup_mode=None, add_completion=False)
        single.command(cmd_name, help=self.lines[cmd_name])(_function(cmd_name))
        return typer.main.get_command(single)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(self.lines.items()))


def _function(name: str) -> Callable[..., None]:
    """The function of a command."""
    if name in KINDS:
        from sheets.cli.kinds import command

        return command(KINDS[name])
    if name == "packet":
        from sheets.cli.packet import packet

        return packet
    if name == "page":
        from sheets.cli.page import page

        return page
    from sheets.cli import others

    found: Callable[..., None] = getattr(others, name)
    return found


app = typer.Typer(
    cls=Commands,
    name="tablework",
    help="Printable table-work pages for young children, each at the child's own stage, at true "
    "size, checked against sourced guidance.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    pretty_exceptions_show_locals=False,
    add_completion=False,
    no_args_is_help=True,
)


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
        from sheets.cli.report import in_flags

        for line in getattr(error, "problems", None) or (str(error),):
            typer.echo(f"tablework: {in_flags(line)}", err=True)
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
