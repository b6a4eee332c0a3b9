"""Real things to set on their outlines at true size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapes.errors import InputError
from sheets.kinds.kind import Kind, choice
from sheets.kinds.source import Source
from sheets.kinds.trace_match.section import OBJECTS, things_of

SHADOWS = "shadow-match"


@dataclass(frozen=True, slots=True)
class TraceMatchChoices:
    """What only a trace-match sheet is told."""

    form: Literal["objects", "shadow"] | None = choice(
        "Outlines of real things, or pictures on their shadows."
    )
    thing: tuple[str, ...] = choice("can211, tub=62 or box=120x65x4 (mm); may be repeated.", ())
    laminate: bool = choice("8 mm between cards, for the film to seal.", False)


def _instead(source: Source, choices: TraceMatchChoices) -> str | None:
    """Shadows are a kind of their own: asked for as a form, with words, or where a theme has no
    things."""
    if choices.thing:
        if source.words:
            raise InputError("both words and things given", where="`thing`", fix="give only one")
        if choices.form == "shadow":
            raise InputError(
                "things have no place on a shadow page",
                where="`thing`",
                fix="give only one of both",
            )
        return None
    bare = source.theme is not None and not things_of(source.theme)
    if source.words or choices.form == "shadow" or (choices.form is None and bare):
        return SHADOWS
    return None


KIND = Kind(
    does="sets real things on their outlines at true size",
    code="sheets.kinds.trace_match.pages",
    choices=TraceMatchChoices,
    needs_source=False,
    section=OBJECTS,
    instead=_instead,
)
