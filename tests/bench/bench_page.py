"""The page in the browser against the command line, as ratios of one run.

Run ``python -m tests.bench.bench_page``. The first page against ``tablework --help``; a changed
stage of one child in a class of twenty, its pictures included, against making that child's packet
in a process that is warm (our goal: at most 3); memory after 500 changes against that after 50 (our
goal: at most 1.5).
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from sheets import desk
from sheets.files.class_list import load
from sheets.packet.plan import Choices
from tests.web.served import Served, served

CHILDREN, ROUNDS = 20, 15
FAST, MEMORY = 3.0, 1.5
HEAD = "name,hand,cutting,matching,letters,sequence,pattern,sorting\n"


def class_list() -> str:
    """Twenty children at mixed stages."""
    rows = []
    for i in range(CHILDREN):
        five, six = 1 + i % 5, 1 + i % 6
        rows.append(f"Child {chr(65 + i)},R,{i % 7},{five},{six},{six},{six},{five}\n")
    return HEAD + "".join(rows)


def seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def start_ratio(folder: Path) -> tuple[float, float]:
    """Medians, s: the first page from the start of the command, and ``tablework --help``."""

    def first_page() -> None:
        with served(folder) as running:
            took.append(time.perf_counter() - began)
            running.ask("/")
            took[-1] = time.perf_counter() - began

    def show_help() -> None:
        command = [sys.executable, "-m", "sheets", "--help"]
        subprocess.run(command, check=True, capture_output=True)

    took: list[float] = []
    helps: list[float] = []
    for _ in range(5):
        began = time.perf_counter()
        first_page()
        helps.append(seconds(show_help))
    return statistics.median(took), statistics.median(helps)


def change(page: Served, row: str, stage: int) -> int:
    """A changed stage and all pictures of that child that the page then asks for."""
    answer = page.post("/class/cell", {"row": row, "column": "cutting", "value": stage})
    assert answer.status == 200
    sources = re.findall(r'src="(/preview/[^"]+)"', answer.text)
    assert len(sources) >= 5
    for source in sources:
        assert page.ask(source).status == 200
    return len(sources)


def by_command(folder: Path, stage: int) -> None:
    """That child's packet in this process: read, planned, made and drawn."""
    text = class_list().replace("Child B,R,1,", f"Child B,R,{stage},")
    (folder / "one.csv").write_text(text, "utf-8")
    theme = desk.theme("reedy-pond")
    plan = desk.plan_packet(theme, load(folder / "one.csv"), Choices(only=("Child B",)))
    packet = desk.make_packet(plan)
    for name in packet.plan.totals().pages:
        packet.file(name)


def stage_of(i: int) -> int:
    """Stages 2 to 6 and 1, one after the other, so that each is a change."""
    return 1 + (i + 1) % 6


def changed_stage(page: Served, row: str, folder: Path, i: int) -> tuple[float, float]:
    """Seconds of a change on the page, and of the same on the command line."""
    stage = stage_of(i)
    ours = seconds(lambda: change(page, row, stage))
    return ours, seconds(lambda: by_command(folder, stage))


def resident_mb(page: Served) -> float:
    """Memory of the command now (Linux)."""
    status = Path(f"/proc/{page.process.pid}/status").read_text("utf-8")
    found = re.search(r"VmRSS:\s+(\d+)", status)
    return int(found[1]) / 1024.0 if found else 0.0


def main() -> None:
    """Print the three ratios."""
    with tempfile.TemporaryDirectory() as named:
        folder = Path(named) / "teacher"
        folder.mkdir()
        (folder / "class.csv").write_text(class_list(), "utf-8")
        first, help_ = start_ratio(folder)
        print(f"first page {first:.2f} s, --help {help_:.2f} s, ratio {first / help_:.1f}")
        with served(folder) as page:
            row = re.findall(r'id="row-(\d+)"', page.ask("/class").text)[1]
            pairs = [changed_stage(page, row, Path(named), i) for i in range(ROUNDS + 2)][2:]
            ratio = statistics.median(a / b for a, b in pairs)
            ours, theirs = (1000 * statistics.median(c) for c in zip(*pairs, strict=True))
            print(f"changed stage {ours:.0f} ms, that child's packet {theirs:.0f} ms, "
                  f"ratio {ratio:.2f} (goal {FAST})")  # fmt: skip
            for i in range(50):
                change(page, row, stage_of(i))
            early = resident_mb(page)
            for i in range(450):
                change(page, row, stage_of(i))
            late = resident_mb(page)
            print(f"memory after 50 changes {early:.0f} MB, after 500 {late:.0f} MB, "
                  f"ratio {late / early:.2f} (goal {MEMORY})")  # fmt: skip


if __name__ == "__main__":
    main()
