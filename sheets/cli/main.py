"""The command ``tablework``: parse, call, print; nothing heavy is imported before that."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from shapes.errors import TableworkError
from sheets.cli.flags import current
from sheets.kinds import KINDS, kinds_called

OTHERS = {
    "packet": "Every child's pages with keys and adult pages, in one run.",
    "page": "All of it on a page in your own browser, on this computer only.",
    "check": "Measure an SVG page by the guidance of a skill and stage.",
    "difficulty": "How hard outlines are to follow, and the stages that suit.",
    "pictures": "The picture words, with the stages that suit each; or a page of them.",
    "things": "The real things whose outlines are known, with sizes and sources.",
    "colours": "The colours of patterns.",
    "shapes": "The practice lines and shapes to cut, with what each is.",
    "guidance": "The limits of every stage, with where each comes from.",
    "kinds": "The kinds of sheet there are.",
    "themes": "The built-in themes, with their words; or what to look at again in one.",
    "tags": "The tags of a class; --write puts them into its list, so that they stay.",
    "languages": "The languages, and what there is in each.",
    "new": "A commented file to start from: a theme or a class list.",
}
"""The commands besides those of the kinds, with their help lines."""


class OneCommand(TyperCommand):
    """A command whose options also go by their earlier names, which no help shows."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        known = {name for parameter in self.params for name in parameter.opts}
        return super().parse_args(ctx, current(args, known))


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
        name = cmd_name.lower()
        if name not in self.lines:
            if pages := kinds_called(name):
                raise typer.BadParameter(f"'{name}' is a skill; its pages: {', '.join(pages)}")
            return None
        single = typer.Typer(rich_markup_mode=None, add_completion=False)
        single.command(name, cls=OneCommand, help=self.lines[name])(_function(name))
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
    _print_any_letter()
    try:
        code = _run(args or ["--help"])
        sys.stdout.flush()
    except (BrokenPipeError, SystemExit):
        # The reader of our output went away (tablework pictures | head); typer exits by then.
        _close_output()
        return 0
    except KeyboardInterrupt:
        _complain("stopped")
        return 130
    except OSError as error:
        _close_output()
        _complain(_reason(error))
        return 2
    except MemoryError:
        _complain("not enough memory for this; close other programs, or give less at a time")
        return 2
    return code


def _reason(error: OSError) -> str:
    try:
        os.getcwd()
    except OSError:
        return "the folder you are in is gone; go to another one"
    what = f"{error.filename}: " if error.filename else "the answer cannot be written: "
    return what + (error.strerror or str(error))


def _run(args: Sequence[str]) -> int:
    try:
        result = app(list(args), prog_name="tablework", standalone_mode=False)
    except TableworkError as error:
        from sheets.cli.report import in_flags

        for line in getattr(error, "problems", None) or (str(error),):
            _complain(in_flags(line))
        return 2
    except typer.Abort:
        _complain("stopped")
        return 130
    except typer.TyperException as error:
        text = error.format_message() if hasattr(error, "format_message") else str(error)
        if text:
            line = " ".join(text.split())
            for word, plain in _PLAIN.items():
                line = line.replace(word, plain)
            _complain(f"{line} (see tablework --help)")
        return 2
    return result if isinstance(result, int) else 0


_PLAIN = {"not a valid int.": "no whole number.", "not a valid float.": "no number."}
"""What typer says of a value, in plain words."""


def _complain(line: str) -> None:
    typer.echo(f"tablework: {line}", err=True)


def _print_any_letter() -> None:
    """A terminal without some letter shows a question mark, and the command goes on."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _close_output() -> None:
    """What is still waiting to be printed goes nowhere, or Python would complain when it ends."""
    try:
        number = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, number)
    os.close(nowhere)


def _stop_cleanly() -> None:
    """Told to end, or left by its terminal, the command stops as on Ctrl-C: nothing half done
    stays. Where somebody has asked to ignore that (nohup), it is ignored."""
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, signal.default_int_handler)


def entry_point() -> None:
    """The installed command."""
    _stop_cleanly()
    raise SystemExit(main())
