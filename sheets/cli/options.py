"""The options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from sheets.kinds import SKILLS

if TYPE_CHECKING:
    Skill = str
else:
    Skill = Literal[SKILLS]
    """A column of the class list."""

Stage = Annotated[int, typer.Option("--stage", help="Stage 0 to 6 of the child's skill.")]
PaperName = Annotated[
    Literal["letter", "a4"] | None,
    typer.Option("--paper", help="Paper size; default by locale, else letter."),
]
Name = Annotated[str, typer.Option("--name", help="Child's name to print; empty: a line.")]
Title = Annotated[str | None, typer.Option("--title", help="Printed title.")]
HandName = Annotated[
    Literal["left", "right", "either"], typer.Option("--hand", help="Cutting or writing hand.")
]
Language = Annotated[str, typer.Option("--language", help="Language of the words, such as en.")]
Out = Annotated[
    Path | None,
    typer.Option("--out", help="File to write: .pdf, .svg or .png; the ending decides."),
]
Force = Annotated[bool, typer.Option("--force", help="Overwrite an existing file.")]
InkName = Annotated[
    Literal["normal", "saver"], typer.Option("--ink", help="saver: thin edges and a paler tint.")
]
Colour = Annotated[
    bool, typer.Option("--colour", help="Pictures in colour, their lines still black.")
]
BarMeasures = Annotated[
    float | None,
    typer.Option(
        "--bar-measures",
        help="What the printed 100 mm bar measured, in mm; the page is made up for it.",
    ),
]
AllowOutside = Annotated[
    bool,
    typer.Option("--allow-outside", help="Write the page even if findings are outside guidance."),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]
ThemeName = Annotated[
    str | None, typer.Option("--theme", help="Built-in theme or theme file; see tablework themes.")
]
Seed = Annotated[int, typer.Option("--seed", help="Another number, another page of the same kind.")]
Needs = Annotated[
    str, typer.Option("--needs", help="Words such as low-vision, separated by semicolons.")
]
OF_EVERY_SHEET: tuple[tuple[str, Any, Any], ...] = (
    ("paper", PaperName, None),
    ("name", Name, ""),
    ("title", Title, None),
    ("hand", HandName, "either"),
    ("language", Language, "en"),
    ("ink", InkName, "normal"),
    ("colour", Colour, False),
    ("needs", Needs, ""),
    ("seed", Seed, 0),
    ("bar_measures", BarMeasures, None),
    ("out", Out, None),
    ("force", Force, False),
    ("allow_outside", AllowOutside, False),
)
"""What every kind is told: name, annotation and default."""

# --- of packets -----------------------------------------------------------------------------------

ChildrenOnly = Annotated[
    bool, typer.Option("--children-only", help="No keys and no pages for adults.")
]
Laminate = Annotated[
    bool, typer.Option("--laminate", help="Gaps between loose cards, for film round each.")
]
Stop = Annotated[
    bool, typer.Option("--stop", help="Stop at a page that cannot be made; else go on without.")
]
Jobs = Annotated[
    int, typer.Option("--jobs", min=1, help="Cores for outlines of your own drawings.")
]
