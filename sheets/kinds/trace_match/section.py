"""The things of a theme file that have outlines."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shapes.errors import InputError
from shapes.objects import Footprint, footprint, near_twins
from sheets.theme.fields import At
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.theme import Theme


def read_things(reader: ThemeReader, row: Mapping[str, Any], at: At) -> tuple[Footprint, ...]:
    """The table's things: ids of known ones, or measures."""
    found: list[Footprint] = []
    for _number, spec in reader.items(row, "trace", at, "id or measure", (str, dict)):
        try:
            found.append(footprint(spec))
        except InputError as error:
            reader.problem(at, "trace", str(error))
    reader.refuse_twice([thing.name for thing in found], at, "trace")
    for thing in found:
        if thing.adult_only or thing.small_part:
            reader.remark(at, "trace", f"{thing.name} is a small part; an adult handles it")
    for one, other, mm in near_twins(found):
        reader.remark(
            at, "trace", f"{one.name} and {other.name} differ by {mm:.1f} mm only, so they are "
            "not put on one page"
        )  # fmt: skip
    return tuple(found)


def things_of(theme: Theme) -> tuple[Footprint, ...]:
    """The things of a theme; none if its file has none."""
    return tuple(thing for row in theme.rows(OBJECTS) for thing in row)


OBJECTS: Section[tuple[Footprint, ...]] = Section(
    "objects",
    ("trace",),
    read_things,
    once=True,
    starter="""\
# --- objects to match to their outlines at true size ---------------------------------------------
# Things of the library by their short names, or your own, measured in mm where they stand.

[objects]
trace = [
  "can211",
  "ID1",
  { name = "yoghurt tub", diameter_mm = 95 },
  { name = "tea box", width_mm = 120, depth_mm = 65, corner_mm = 4 },
]
""",
)
