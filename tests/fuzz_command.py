"""Mutated files through the whole command: every answer is a page, or lines that say what is wrong.

``python -m tests.fuzz_command N`` tries N drawings, N / 2 spreadsheets and N / 2 themes and prints
what it found; ``--seed S`` tries others. The tests try a few.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import re
import resource
import sys
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from sheets import desk
from sheets.cli.main import main as command
from sheets.kinds.options import Options
from tests.wild_svg import wrapped

CPU_S, MOST_MB, ROOM = 10.0, 400, 2_000_000_000
"""Most processor seconds and memory of one command (in a process of its own it begins with 50 MB),
and bytes of address room of the whole process."""

_NUMBERS = ("0", "-1", "1e9", "-1e308", "1e-320", "NaN", "", "50%", "3mm", "99999999999", ".5.5")
_NUMBER = re.compile(rb"(?<=[\s,(\"MLCSAZHVz=:])-?[0-9]+\.?[0-9]*(?![\w/])")
_DRAWN = (
    '<path d="M10 10h80v80z"/><circle cx="50" cy="50" r="30" fill="#f00" stroke="#000"/>',
    '<g transform="translate(5 5) rotate(30 50 50)" style="fill:none;stroke:#000;stroke-width:3">'
    '<path d="M20 80C20 20 80 20 80 80S50 90 20 80zM40 60a10 10 0 1 1 20 0z"/></g>',
    '<defs><g id="a"><rect x="5" y="5" width="20" height="30" rx="4"/></g></defs>'
    '<use href="#a"/><use href="#a" x="40" y="20"/><polygon points="60 60 90 60 75 90"/>',
    '<style>.a{fill:#fff;stroke:#000}</style><ellipse class="a" cx="50" cy="50" rx="40" ry="20"/>'
    '<polyline points="0,0 50,50 90,10" fill="none" stroke="#333" stroke-dasharray="4 2"/>',
)


@dataclass
class Found:
    """What came out of how many commands."""

    codes: Counter[int] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    longest: float = 0.0
    most: int = 0
    """MB that one command took more than there were before; what many leave behind adds up."""


def mutated(content: bytes, rng: random.Random) -> bytes:
    """One to six small changes: bytes, numbers, and pieces left out, doubled or moved.

    Most often of numbers only, else hardly any file would still be one.
    """
    data = bytearray(content)
    numbers_only = rng.random() < 0.7
    for _ in range(rng.randint(1, 6)):
        at, size = rng.randrange(len(data) + 1), rng.randint(1, 40)
        change = 5 if numbers_only else rng.randrange(6)
        if change == 0 and data:
            data[min(at, len(data) - 1)] = rng.randrange(256)
        elif change == 1:
            del data[at : at + size]
        elif change == 2:
            data[at:at] = data[at : at + size] * rng.choice((1, 2, 50))
        elif change == 3:
            other = rng.randrange(len(data) + 1)
            data[other:other] = data[at : at + size]
        else:
            numbers = list(_NUMBER.finditer(bytes(data)))
            if numbers:
                found = rng.choice(numbers)
                odd = rng.choice(_NUMBERS) if rng.random() < 0.3 else f"{rng.uniform(-20, 120):.1f}"
                data[found.start() : found.end()] = odd.encode()
        if not data:
            data += b" "
    return bytes(data)


def mutated_workbook(content: bytes, rng: random.Random) -> bytes:
    """A part of the workbook changed, or the packed bytes themselves."""
    if rng.random() < 0.3:
        return mutated(content, rng)
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(held, "w") as new:
        names = old.namelist()
        chosen = rng.choice([name for name in names if name.endswith(".xml")])
        for name in names:
            part = old.read(name)
            new.writestr(name, mutated(part, rng) if name == chosen else part)
    return held.getvalue()


def drawings(count: int, rng: random.Random) -> Iterator[tuple[dict[str, bytes], list[str]]]:
    own = wrapped
    page = desk.preview(desk.make_sheet("cutting", 4, Options(), words=("duck",)))
    starts = [*(own(drawn) for drawn in _DRAWN), page]
    commands = (
        ["check", "my.svg", "--stage", "4"],
        ["difficulty", "my.svg"],
        ["cutting", "my.svg", "--stage", "4", "--out", "o.pdf", "--allow-outside"],
        ["trace-match", "my.svg", "duck", "--out", "o.svg", "--allow-outside"],
        ["sequence", "my.svg", "duck", "frog", "--out", "o.pdf", "--allow-outside"],
    )
    for number in range(count):
        yield {"my.svg": mutated(rng.choice(starts), rng)}, commands[number % len(commands)]


def spreadsheets(count: int, rng: random.Random) -> Iterator[tuple[dict[str, bytes], list[str]]]:
    packet = ["packet", "reedy-pond", "--kinds", "cutting", "--out", "week", "--force", "--class"]
    book, text = (desk.starter("class", "Our class", ending) for ending in (".xlsx", ".csv"))
    for number in range(count):
        name = "c.csv" if number % 3 == 0 else "c.xlsx"
        changed = mutated(text, rng) if name == "c.csv" else mutated_workbook(book, rng)
        yield {name: changed}, [*packet, name] if number % 2 else ["tags", name]


def themes(count: int, rng: random.Random) -> Iterator[tuple[dict[str, bytes], list[str]]]:
    start = desk.starter("theme", "Our theme", ".toml")
    kinds = ("letter-match", "sequence", "pattern", "cutting", "sort-mat", "shadow-match")
    for number in range(count):
        words = [kinds[number % len(kinds)], "--theme", "t.toml", "--out", "o.pdf"]
        yield {"t.toml": mutated(start, rng)}, words


def tried(files: dict[str, bytes], words: list[str], found: Found) -> None:
    """Run one command in this process, in the folder we are in."""
    for left in Path().glob("o*.*"):
        left.unlink()
    for name, content in files.items():
        Path(name).write_bytes(content)
    began = sum(os.times()[:4])  # of processes that it starts too
    held = _held()
    said, told = io.StringIO(), io.StringIO()
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(told):
            code = command(words)
    except Exception as error:  # what must never happen; the file is kept to look into
        name = f"fault-{len(found.faults)}-{next(iter(files))}"
        Path(name).write_bytes(next(iter(files.values())))
        found.faults.append(f"{' '.join(words)}: {type(error).__name__}: {error} ({name})")
        return
    took = sum(os.times()[:4]) - began
    rose = max(0, _held(peak=True) - held)
    found.most = max(found.most, rose)
    found.codes[code] += 1
    found.longest = max(found.longest, took)
    lines = told.getvalue().splitlines()
    if code not in (0, 1, 2) or (
        code == 2 and (not lines or not all(_is_told(line) for line in lines))
    ):
        found.faults.append(f"{' '.join(words)}: exit {code}, told {lines[:3]}")
    if took > CPU_S:
        found.faults.append(f"{' '.join(words)}: {took:.0f} s")
    if rose > MOST_MB:
        found.faults.append(f"{' '.join(words)}: {rose} MB")


def _held(*, peak: bool = False) -> int:
    """MB of this process, or the most since it was asked last; 0 where the system does not say."""
    if sys.platform != "linux":
        return 0
    name = "VmHWM:" if peak else "VmRSS:"
    with open("/proc/self/status") as status:
        held = next(int(line.split()[1]) // 1000 for line in status if line.startswith(name))
    with contextlib.suppress(OSError), open("/proc/self/clear_refs", "w") as refs:
        refs.write("5")  # the peak begins anew
    return held


def _is_told(line: str) -> bool:
    return line.startswith(("tablework: ", "note: ")) and len(line) < 1000


def fuzz(count: int, seed: int) -> dict[str, Found]:
    """Try so many drawings and half as many spreadsheets and themes."""
    if sys.platform == "linux":
        resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))
    results = {}
    for name, make, share in (("drawings", drawings, 1), ("spreadsheets", spreadsheets, 2),
                              ("themes", themes, 2)):  # fmt: skip
        rng = random.Random(f"{seed}:{name}")
        results[name] = found = Found()
        for files, words in make(count // share, rng):
            tried(files, words, found)
    return results


def main() -> int:
    """Try as many as asked and print what came out; 1 if anything was wrong."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    folder = tempfile.mkdtemp()
    with contextlib.chdir(folder):
        results = fuzz(given.count, given.seed)
    wrong = 0
    for name, found in results.items():
        codes = ", ".join(f"exit {code}: {count}" for code, count in sorted(found.codes.items()))
        sys.stdout.write(f"{name}: {codes}; longest {found.longest:.1f} s, most {found.most} MB\n")
        for fault in found.faults:
            sys.stdout.write(f"  {fault}\n")
        wrong += len(found.faults)
    if wrong:
        sys.stdout.write(f"{wrong} faults; their files are in {folder}\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
