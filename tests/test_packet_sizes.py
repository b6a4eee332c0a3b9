"""Packets of a usual and of a very large class: exact totals, and room that hardly grows."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from pathlib import Path

import pypdfium2
import pytest

from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.kinds import KINDS
from sheets.packet import make as packet
from sheets.packet.digest import CARD, PLAIN
from sheets.packet.plan import Choices, make_plan
from tests.bench.bench_packet import PROGRAM, class_of
from tests.bench.job import CHILDREN, PLAN, SHEETS_EACH, write_job
from tests.test_packet import expected, found_of

ROOT = Path(__file__).resolve().parents[1]


def test_twenty_children_with_twelve_sheets_each(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    listed = classlist.load(job.classlist)
    plan = make_plan(theme.load(str(job.theme)), listed, Choices(fresh=True))
    made = packet.prepare(plan)

    assert (len(listed.children), len(plan.sheets)) == (CHILDREN, CHILDREN * SHEETS_EACH)
    assert Counter(planned.child.tag for planned in plan.sheets) == {
        child.tag: SHEETS_EACH for child in listed.children
    }
    planned_kinds = Counter(kind for kinds in PLAN.values() for kind in kinds)
    assert Counter(p.kind for p in plan.sheets) == {
        k: n * CHILDREN for k, n in planned_kinds.items()
    }
    for planned in plan.sheets:
        assert planned.stage == planned.child.stages[KINDS[planned.kind].skill]
    plain = card = halves = 0
    for number, planned in enumerate(made.plan.sheets):
        found = found_of(made.plan, number)
        if planned.kind != "pattern":  # whose pages depend on the form its seed draws
            cutting = planned.child.stages.get("cutting")
            assert found == expected(planned.kind, planned.stage, cutting), planned.label
        plain, card = plain + found[0], card + found[1]
        halves += sum(spot.half != "" for spot in made.plan.imposed.spots[number])
    files = {path.name: path for path in packet.write(made, tmp_path / "pond")}
    totals = made.plan.totals()
    assert totals.pages[PLAIN] == plain - halves // 2
    assert totals.pages[CARD] == card + made.plan.imposed.card_sheets
    assert list(files) == ["plain.pdf", "card.pdf", "keys.pdf", "adult.pdf", "packet.json"]
    for name, count in totals.pages.items():
        document = pypdfium2.PdfDocument(files[name])
        assert len(document) == count, name
        document.close()
    assert made.outside == ()


def run(folder: Path, children: int) -> tuple[int, float]:
    """Pages of a packet for that many children, and the largest memory of its process in KB."""
    (folder / "class.csv").write_text(class_of(children), encoding="utf-8")
    command = [sys.executable, "-c", PROGRAM, str(folder / "class.csv"), str(folder / "pond")]
    done = subprocess.run(command, check=True, cwd=ROOT, capture_output=True, text=True)
    words = [line.split() for line in done.stdout.splitlines()]
    pages = sum(int(row[1]) for row in words if row[2:3] == ["pages"])
    return pages, next(float(row[1]) for row in words if row[0] == "peak")


@pytest.mark.skipif(sys.platform != "linux", reason="memory is told in other units elsewhere")
def test_memory_hardly_grows_with_the_class(tmp_path: Path) -> None:
    """Seven children have every stage; the library that writes the file keeps some KB a page."""
    for name in ("small", "large"):
        (tmp_path / name).mkdir()
    few, little = run(tmp_path / "small", 7)
    many, much = run(tmp_path / "large", 70)

    assert many > 8 * few
    assert (much - little) / (many - few) < 15.0


def test_the_largest_class_is_planned_in_full(tmp_path: Path) -> None:
    """500 children are the most a class list takes; every one gets a sheet of every kind."""
    listed = classlist.parse(class_of(500).encode(), "class.csv")
    plan = make_plan(theme.load("reedy-pond"), listed, Choices())

    planned = {kind for day in plan.days for kind in day.kinds}
    assert len(plan.sheets) == 500 * len(planned)
    assert len({child.tag for child in listed.children}) == 500
    assert Counter(p.skill for p in plan.sheets) == Counter(
        KINDS[kind].skill for kind in planned for _ in range(500)
    )
