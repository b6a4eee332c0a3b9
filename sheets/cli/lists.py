"""Prints the tables to look things up in: real things, colours, practice shapes, picture pages."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sheets import desk
from sheets.cli.report import json_text, say
from sheets.theme.problems import count_of

if TYPE_CHECKING:
    from shapes.objects import Footprint
    from sheets.kinds.cutting.lookup import PictureRow
    from sheets.page.model import Paper


@dataclasses.dataclass(frozen=True, slots=True)
class Catalogued:
    """How a page of pictures is printed."""

    language: str
    paper: Paper
    colour: bool
    force: bool


def report_catalogue(rows: Sequence[PictureRow], out: Path, how: Catalogued) -> None:
    """``tablework pictures --out``: pages that show pictures with their words."""
    made = desk.write_pictures(
        rows,
        out,
        paper=how.paper,
        language=how.language,
        colour=how.colour,
        force=how.force,
    )
    for path in made:
        say(f"wrote {path}")


def report_things(*, as_json: bool) -> None:
    """``tablework things``: the real things whose outlines are known."""
    rows = desk.things()
    if as_json:
        say(json_text([dataclasses.asdict(row) for row in rows]))
        return
    for adult in (False, True):
        say("for adults only, small parts:" if adult else "things:")
        for row in rows:
            if row.adult_only is adult:
                say(f"  {row.id:11} {row.name}, {_size(row)}" + _aside(row))
                say(f"  {'':11} {row.basis}: {row.source}")
    say("")
    say(
        f"{count_of(len(rows), 'thing')}. Use them by the first word: "
        "tablework trace-match --thing "
        f"{rows[0].id} --thing {rows[1].id}. Measure your own: tub=62 (round) or box=120x65, in mm."
    )


def _size(row: Footprint) -> str:
    if row.diameter is not None:
        return f"{row.diameter:g} mm across"
    return f"{row.width:g} x {row.depth:g} mm"


def _aside(row: Footprint) -> str:
    example = f", such as {row.example}" if row.example else ""
    return example + (f" ({row.note})" if row.note else "")


def report_colours(*, as_json: bool) -> None:
    """``tablework colours``: what patterns may be coloured with."""
    rows = desk.colours()
    if as_json:
        say(json_text([{**dataclasses.asdict(row), "names": dict(row.names)} for row in rows]))
        return
    for row in rows:
        also = f", also {', '.join(row.also)}" if row.also else ""
        others = ", ".join(f"{code} {word}" for code, word in row.names.items() if code != "en")
        say(f"  {row.key:9} {row.hex}  hatched: {row.hatch:8} {others}{also}")
    say("")
    shapes = ", ".join(dict.fromkeys(row.shape for row in rows))
    say('Use one with a shape: tablework pattern "blue circle" "yellow triangle".')
    say(f"Shapes: {shapes}.")


def report_shapes(*, as_json: bool) -> None:
    """``tablework shapes``: the practice lines and shapes to cut."""
    rows = desk.shape_rows()
    if as_json:
        say(json_text([dataclasses.asdict(row) for row in rows]))
        return
    for row in rows:
        stages = " and ".join(map(str, row.stages))
        say(f"  {row.name:18} stage {stages:8} {row.sentence()}")
    say("")
    say(
        "Cut one with: tablework cutting --stage 5 --shape square. Sizes are the usual ones; a "
        "page may have it smaller to fit."
    )
