"""The command of each kind, derived from what the kind declares."""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin

import typer

from sheets.cli import options as shared
from sheets.kinds import Entry


def command(entry: Entry) -> Callable[..., None]:
    """The function of a kind's command, with the options that its declaration asks for."""
    from sheets import desk

    kind = entry.load()
    own = desk.fields(entry.name)

    def run(**given: Any) -> None:
        chosen = {}
        for declared, field in zip(dataclasses.fields(kind.choices), own, strict=True):
            value = given.pop(_name(field))
            if isinstance(value, str) and declared.metadata["word"]:
                value = "-".join(value.lower().split())
            chosen[declared.name] = _listed(value) if _is_list(field.type) else value
        raise typer.Exit(_make(entry, kind.choices(**chosen), given))

    words = Annotated[list[str] | None, typer.Argument(help=kind.words)]
    parameters = [
        _parameter("words", words, None),
        _parameter("stage", shared.Stage, kind.stage),
        _parameter("theme", shared.ThemeName, None),
        *(_parameter(_name(field), _annotation(field), _default(field)) for field in own),
        *(_parameter(name, hint, default) for name, hint, default in shared.OF_EVERY_SHEET),
    ]
    run.__doc__ = entry.about
    run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    run.__annotations__ = {one.name: one.annotation for one in parameters}
    return run


def _parameter(name: str, annotation: Any, default: Any) -> inspect.Parameter:
    return inspect.Parameter(
        name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=annotation
    )


def _name(field: Any) -> str:
    # A field called "as" for the user cannot be a parameter of that name.
    return f"own_{field.name}".replace("-", "_")


def _is_list(hint: Any) -> bool:
    return get_origin(hint) is tuple


def _annotation(field: Any) -> Any:
    hint = list[str] | None if _is_list(field.type) else field.type
    name = field.name.replace("_", "-")
    return Annotated[hint, shared.option(name, field.about, _metavar(field))]


def _metavar(field: Any) -> str | None:
    """What stands for the value in the help: the words to choose from, or what it is."""
    if _is_list(field.type):
        return "WORDS"
    kinds = [kind for kind in get_args(field.type) or (field.type,) if kind is not type(None)]
    words = [word for kind in kinds for word in get_args(kind)]
    words = words or [kind for kind in kinds if isinstance(kind, str)]
    if words:
        return "|".join(words)
    return {int: "NUMBER", str: "WORD"}.get(kinds[0])


def _default(field: Any) -> Any:
    return None if _is_list(field.type) else field.default


def _listed(given: Sequence[str] | None) -> tuple[str, ...]:
    """Words given by repeating an option or with commas between them."""
    return tuple(part for text in given or () for part in shared.parts(text))


def _words(given: Sequence[str]) -> tuple[str, ...]:
    """Words one by one, also with commas between them; a file's name may hold one."""
    found: list[str] = []
    for text in given:
        found += (text,) if text.lower().endswith(".svg") else shared.parts(text)
    return tuple(found)


def _make(entry: Entry, choices: object, given: dict[str, Any]) -> int:
    from sheets import desk
    from sheets.cli.report import options_of, patience, report_sheet

    words, theme = _words(given["words"] or ()), given["theme"]
    with patience():
        sheet = desk.make_sheet(
            entry.name,
            given["stage"],
            desk.checked(options_of(given)),
            theme=theme,
            words=words,
            choices=choices,
        )
    subject = Path(theme).stem if theme else words[0] if words else _subject(choices)
    return report_sheet(
        sheet,
        given["out"] or Path(f"{entry.name}-{desk.slug(subject)}.pdf"),
        force=given["force"],
        allow_outside=given["allow_outside"],
        bar_measures=given["bar_measures"],
    )


def _subject(choices: object) -> str:
    """What names the file of a sheet without theme and words: the first word chosen."""
    return str(getattr(choices, "shape", None) or "sheet")
