"""Time and memory of a class packet, by size of the class.

Run it as ``python tests/bench/bench_packet.py [CHILDREN ...]`` (default 2 20 92 500, which are some
30, 220, 960 and 5,200 pages). Every size runs in a new process: a class of that many invented
children, all kinds of the pond theme, from reading both files to the finished folder. Shown are
pages of all files, the wall time of the whole process, its largest memory, and bytes on disk. Time
a page and memory a page should not grow with the class.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SIZES = (2, 20, 92, 500)
STAGES = ("2,2,1,2,1", "3,3,2,3,2", "1,1,0,1,0", "4,4,3,4,3", "0,0,0,0,0", "5,5,4,4,3", "6,6,6,5,5")
HANDS = "RRLR?"

PROGRAM = """
import sys
from sheets.cli.main import main
main(["packet", "reedy-pond", "--class", sys.argv[1], "--out", sys.argv[2], "--paper", "letter"])
import resource
print("peak", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def class_of(count: int) -> str:
    """A class list of that many children, with names of two syllables and a number."""
    lines = ["name,hand,cutting,matching,letters,sequence,pattern,sorting"]
    syllables = ("Pip", "Bram", "Zu", "Mar", "Fen", "Os", "Ju", "Kes", "Sor", "Ink")
    for i in range(count):
        name = syllables[i % 10] + syllables[i // 10 % 10].lower() + ("o" * (i // 100))
        lines.append(f"{name},{HANDS[i % 5]},{STAGES[i % 7]},{i % 7}")
    return "\n".join(lines) + "\n"


def run(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        classlist, out = Path(folder) / "class.csv", Path(folder) / "packet"
        classlist.write_text(class_of(count), encoding="utf-8")
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM, str(classlist), str(out)],
            check=True,
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
        seconds = time.perf_counter() - start
        lines = [line.split() for line in done.stdout.splitlines()]
        pages = sum(int(words[1]) for words in lines if words[1:3] and words[2:3] == ["pages"])
        peak = next(int(words[1]) for words in lines if words[0] == "peak") / 1024.0
        sizes = {path.name: path.stat().st_size // 1024 for path in sorted(out.iterdir())}
    each = seconds / pages * 1000.0
    print(
        f"{count:4} children {pages:5} pages {seconds:6.2f} s ({each:.1f} ms a page) {peak:5.0f} MB"
        f"  {', '.join(f'{name} {size} KB' for name, size in sizes.items())}"
    )


if __name__ == "__main__":
    for size in [int(word) for word in sys.argv[1:]] or SIZES:
        run(size)
