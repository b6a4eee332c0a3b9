"""The options that several commands share."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from sheets.cli.flags import flag
from sheets.kinds import KINDS, SKILLS
from sheets.kinds.options import NEEDS

_SKILLS = (*SKILLS, *(name for name in KINDS if name not in SKILLS))
if TYPE_CHECKING:
    Skill = str
    _SkillOrAuto = str
else:
    Skill = Literal[_SKILLS]
    """A column of the class list, or a kind of that skill."""
    _SkillOrAuto = Literal[(*_SKILLS, "auto")]


def option(field: str, about: str, metavar: str | None = None, **more: Any) -> Any:
    """An option for a field; words to choose from are taken in any letter case."""
    return typer.Option(flag(field), help=about, metavar=metavar, case_sensitive=False, **more)


def parts(text: str) -> tuple[str, ...]:
    """What was written with commas, or semicolons, between it."""
    return tuple(part for one in re.split("[,;]", text) if (part := one.strip()))


def _percent(text: Any) -> float:
    """A whole share in percent, such as ``20`` or ``20%``."""
    number = str(text).strip().removesuffix("%").strip()
    try:
        value = float(number)
    except ValueError:
        value = math.nan
    if not (value == 0.0 or 1.0 <= value <= 100.0):
        share = f", {value * 100:g} for a share of {value:g}" if 0.0 < value < 1.0 else ""
        raise typer.BadParameter(f"'{text}' is no percentage; use 0 to 100{share}")
    return value


Stage = Annotated[
    int, option("stage", "Stage of the child in this skill, 0 to 6; see tablework guidance.", "0-6")
]
SkillOrAuto = Annotated[
    _SkillOrAuto,
    option(
        "skill",
        f"Whose guidance: {', '.join(SKILLS)}; auto goes by the roles of the marks.",
        "SKILL",
    ),
]
PaperName = Annotated[
    Literal["letter", "a4"] | None,
    option("paper", "Paper; left out, the one usual in your country.", "letter|a4"),
]
Name = Annotated[str, option("name", "Child's name to print; none: a line to write on.", "TEXT")]
Title = Annotated[str | None, option("title", "Title to print instead of the usual one.", "TEXT")]
HandName = Annotated[
    Literal["left", "right", "either"],
    option("hand", "Hand that cuts or writes.", "left|right|either"),
]
Language = Annotated[str, option("language", "Language of the words, such as en or es.", "CODE")]
Out = Annotated[
    Path | None,
    option("out", "File to write; its ending decides: .pdf, .svg or .png.", "FILE"),
]
Force = Annotated[bool, option("force", "Replace a file that is there already.")]
InkName = Annotated[
    Literal["normal", "saver"],
    option("ink", "saver: thin edges and a paler tint, to use less ink.", "normal|saver"),
]
Colour = Annotated[bool, option("colour", "Pictures in colour, their lines still black.")]
BarMeasures = Annotated[
    float | None,
    option(
        "bar-measures",
        "What the 100 mm bar measures on your paper, in mm, if the printer shrinks the page; the "
        "next print is made larger to come out true.",
        "MM",
    ),
]
AllowOutside = Annotated[
    bool,
    option("allow-outside", "Make the page even if something on it is outside the guidance."),
]
Json = Annotated[bool, typer.Option("--json", help="Answer in JSON, for other programs.")]
ThemeName = Annotated[
    str | None,
    option("theme", "Built-in theme (see tablework themes) or your own theme file.", "NAME"),
]
Seed = Annotated[
    int, option("seed", "1, 2, 3 ...: other pages of the same kind and stage.", "NUMBER")
]
Needs = Annotated[
    str,
    option("needs", f"What suits the child, with commas between: {', '.join(NEEDS)}.", "WORDS"),
]
Spare = Annotated[
    float,
    typer.Option(
        "--spare",
        help="Materials beyond what is needed, in percent: 20 is a fifth more.",
        metavar="PERCENT",
        parser=_percent,
    ),
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

ChildrenOnly = Annotated[bool, option("children-only", "No keys and no pages for adults.")]
Laminate = Annotated[bool, option("laminate", "Gaps between loose cards, for film round each.")]
Stop = Annotated[bool, option("stop", "Stop at a page that cannot be made; else go on without.")]
Jobs = Annotated[
    int,
    option(
        "jobs",
        "Processor cores to use for outlines of your own drawings; the pages are the same.",
        "NUMBER",
        min=1,
    ),
]
