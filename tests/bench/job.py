"""The job of the comparison: twenty children, twelve sheets each.

The class list is that of the tests with its one empty stage filled; the theme is the built-in pond
with a longer week, in which every kind comes two or three times. With ``--fresh`` each of the
twelve entries is a sheet of its own for every child.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CLASS_FILE = ROOT / "tests" / "data" / "packets" / "reedy-pond-20.csv"
THEME_FILE = ROOT / "sheets" / "files" / "themes" / "reedy-pond.toml"

CHILDREN = 20
SHEETS_EACH = 12
PLAN: Mapping[str, tuple[str, ...]] = {
    "monday": ("cutting", "letter-match"),
    "tuesday": ("trace-match", "cutting", "pattern"),
    "wednesday": ("sequence", "letter-match"),
    "thursday": ("letter-match", "pattern", "trace-match"),
    "friday": ("cutting", "sequence"),
}

_FILLED = "2"


@dataclass(frozen=True, slots=True)
class Job:
    """A theme file and a class list."""

    theme: Path
    classlist: Path

    def command(self, out: Path) -> list[str]:
        """The packet command that writes the folder ``out``; its working folder is ``ROOT``."""
        return [
            *(sys.executable, "-m", "sheets", "packet", str(self.theme)),
            *("--class", str(self.classlist), "--out", str(out), "--fresh"),
        ]


def write_job(folder: Path, classlist: str = "") -> Job:
    """Write both files of the job into a folder.

    Args:
        classlist: content of another class list than that of the twenty.

    Raises:
        ValueError: the theme or the class list of the tests is not what this module expects.
    """
    job = Job(folder / "theme.toml", folder / "class.csv")
    job.theme.write_text(_theme(), encoding="utf-8")
    job.classlist.write_text(classlist or _filled_class(), encoding="utf-8")
    return job


def sheet_count(job: Job) -> int:
    """How many sheets the children of a job get, by the program's own plan."""
    from sheets.files import class_list as classlist
    from sheets.files import theme_file as theme
    from sheets.packet.plan import Choices, make_plan

    found, listed = theme.load(str(job.theme)), classlist.load(job.classlist)
    return len(make_plan(found, listed, Choices(fresh=True)).sheets)


def _theme() -> str:
    head, plan, rest = THEME_FILE.read_text(encoding="utf-8").partition("\n[plan]\n")
    if not plan or "\n[" in rest:
        raise ValueError(f"{THEME_FILE} does not end in its table [plan]")
    days = [f"{day} = {{ kinds = [{_quoted(kinds)}] }}" for day, kinds in PLAN.items()]
    return "\n".join([head + plan.rstrip("\n"), *days, ""])


def _quoted(words: tuple[str, ...]) -> str:
    return ", ".join(f'"{word}"' for word in words)


def _filled_class() -> str:
    """The class list with a stage in its only empty cell of a skill."""
    from sheets.files.class_list import SKILLS

    lines = CLASS_FILE.read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    empty = [(row, skill) for row in rows for skill in SKILLS if not row[skill].strip()]
    if len(rows) != CHILDREN or len(empty) != 1:
        raise ValueError(f"{len(rows)} children and {len(empty)} empty stages in {CLASS_FILE}")
    row, skill = empty[0]
    row[skill] = _FILLED
    return "\n".join(",".join(cells.values()) for cells in ({k: k for k in row}, *rows)) + "\n"
