"""What there is to choose from, as plain words for the forms of a page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sheets import desk
from sheets.kinds import KINDS, SKILLS, entry

if TYPE_CHECKING:
    from sheets.check.guidance import Limit


def class_columns() -> tuple[str, ...]:
    """All columns a class list may have, in their usual order."""
    from sheets.files.class_list import COLUMNS

    return COLUMNS


def drawing_endings() -> tuple[str, ...]:
    """How the name of a drawing of one's own may end: an SVG file, or a photo or scan."""
    from shapes.pictures.own import DOTS

    return (".svg", *DOTS)


def skills() -> tuple[str, ...]:
    """The columns of the class list that hold stages."""
    return SKILLS


def needs() -> tuple[str, ...]:
    """What a page can be suited to."""
    from sheets.kinds.options import NEEDS

    return NEEDS


def days() -> tuple[str, ...]:
    """The days a plan may name."""
    from sheets.theme.theme import DAYS

    return DAYS


def kind_names() -> tuple[str, ...]:
    """The kinds of sheet."""
    return tuple(KINDS)


def usual_kinds() -> tuple[str, ...]:
    """The kinds of a packet whose theme has no plan."""
    return tuple(name for name, entry in KINDS.items() if entry.planned)


def section_of(kind: str) -> str:
    """The table of a theme that a kind reads; empty if only its words."""
    return entry(kind).section


def skill_of(kind: str) -> str:
    """The skill of a kind; InputError if there is no such kind."""
    return entry(kind).skill


@dataclass(frozen=True, slots=True)
class KindAbout:
    """What a kind of sheet is for; ``words`` is empty if it takes only a theme."""

    name: str
    skill: str
    about: str
    does: str
    words: str
    needs_source: bool
    stage: int


def kind_about(name: str) -> KindAbout:
    """What a kind says of itself; InputError if there is no such kind."""
    found = entry(name)
    kind = found.load()
    return KindAbout(
        name, found.skill, found.about, kind.does, kind.words, kind.needs_source, kind.stage
    )


def stage_meanings(skill: str) -> tuple[str, ...]:
    """What the child does at each stage of a skill, 0 to 6, in a few words."""
    found: list[Mapping[str, Limit]] = []
    for stage in range(7):
        found.append({limit.name: limit for limit in desk.limits(skill, stage)})
    return tuple(row["act"].words if "act" in row else "" for row in found)


def all_stage_meanings() -> dict[str, tuple[str, ...]]:
    """The same for every skill."""
    return {skill: stage_meanings(skill) for skill in SKILLS}


def usual_paper() -> str:
    """Name of the paper that is usual where this computer is."""
    from sheets.page.frame import default_paper

    return default_paper().name


def pattern_shapes() -> tuple[str, ...]:
    """The shapes of a pattern's cells."""
    from sheets.kinds.pattern.section import SHAPES

    return SHAPES


def picture_categories() -> tuple[str, ...]:
    """Headings of the picture words."""
    from shapes.pictures.pictures import categories

    return categories()
