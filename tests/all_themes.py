"""Every theme that comes along, with every kind, at every stage, on both papers.

``python -m tests.all_themes [NAME ...]`` makes every sheet and tells what is refused or outside
guidance, with figures; minutes of CPU. The tests take a few of the themes (:func:`sample`).
"""

from __future__ import annotations

import itertools
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence

from shapes.errors import TableworkError
from sheets import desk
from sheets.files.class_list import parse
from sheets.files.theme_file import builtin_names
from sheets.kinds import KINDS, SKILLS
from sheets.kinds.options import Options
from sheets.packet.plan import Choices
from sheets.page.frame import A4, LETTER
from sheets.page.model import Paper

FIRST_THREE = ("bean-row-garden", "reedy-pond", "tide-side-harbour")
"""The themes whose every page the tests of the kinds look at."""

OTHERS = tuple(name for name in builtin_names() if name not in FIRST_THREE)
STAGES = range(7)


def sample(count: int, turn: int = 0) -> list[str]:
    """Some of the other themes: the next ones each turn, so that all of them come.

    Not by the date: what passes today has to pass tomorrow.
    """
    start = turn * count
    return [OTHERS[(start + i) % len(OTHERS)] for i in range(count)]


def faults(
    name: str, kind: str, papers: Sequence[Paper] = (LETTER, A4), seeds: Sequence[int] = (0,)
) -> Iterator[str]:
    """What is refused or outside guidance, a line each; nothing if all is well."""
    for stage, paper, seed in itertools.product(STAGES, papers, seeds):
        try:
            options = Options(paper=paper, seed=seed, name="Sorrel")
            sheet = desk.make_sheet(kind, stage, options, theme=name)
        except TableworkError as error:
            yield f"{name} {kind} stage {stage} {paper.name}: {error}"
            continue
        if not sheet.pages:
            yield f"{name} {kind} stage {stage} {paper.name}: no page"
        for finding in sheet.findings:
            if finding.outside:
                yield f"{name} {kind} stage {stage} {paper.name}: {finding.sentence()}"


def class_of_four() -> bytes:
    """A class list of four children at mixed stages of every skill, one of low vision."""
    rows = [
        ("Pip", "R", (1, 0), "", ""),
        ("Bo", "L", (2, 3), "left-scissors", ""),
        ("Juniper", "R", (4, 5), "low-vision", "es"),
        ("Sorrel", "R", (6, 6), "", "de"),
    ]
    lines = [",".join(["name", "hand", *SKILLS, "needs", "language"])]
    for name, hand, stages, needs, language in rows:
        own = [str(stages[i % 2]) for i in range(len(SKILLS))]
        lines.append(",".join([name, hand, *own, needs, language]))
    return "\n".join(lines).encode()


def gaps(name: str, paper: Paper = LETTER) -> list[str]:
    """What a packet of the class of four leaves out, a line each."""
    plan = desk.plan_packet(
        desk.theme(name), parse(class_of_four(), "class.csv"), Choices(paper=paper)
    )
    made = desk.make_packet(plan, draw=False)
    return [str(gap) for gap in made.plan.gaps]


def main(names: Sequence[str]) -> int:
    """Print every fault and the time each kind took."""
    took: Counter[str] = Counter()
    found = 0
    for name, kind in itertools.product(names or builtin_names(), KINDS):
        begun = time.process_time()
        for line in faults(name, kind):
            found += 1
            sys.stdout.write(f"{line}\n")
        took[kind] += time.process_time() - begun  # type: ignore[assignment]
    for name in names or builtin_names():
        begun = time.process_time()
        for line in gaps(name):
            found += 1
            sys.stdout.write(f"{name} packet: {line}\n")
        took["packets"] += time.process_time() - begun  # type: ignore[assignment]
    sheets = len(names or builtin_names()) * len(KINDS) * len(STAGES) * 2
    seconds = ", ".join(f"{kind} {took[kind]:.0f}" for kind in took)
    sys.stdout.write(f"{sheets} sheets, {found} faults; seconds of CPU: {seconds}\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
