"""One picture sheet by the command, cold, against a bare script that draws one page.

Run ``python -m tests.bench.bench_command``. Both are whole processes, run turn by turn; the figure
is the ratio, as times move with the machine. Our goal is at most 2.5. The modules are compiled
first, as they are in an installed wheel.
"""

from __future__ import annotations

import compileall
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 15
GOAL = 2.5
FONT = Path(__file__).parents[2] / "sheets" / "fonts" / "Andika-Regular.ttf"
BARE = f"""
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

pdfmetrics.registerFont(TTFont("F", {str(FONT)!r}))
canvas = Canvas("bare.pdf", pagesize=(612, 792), initialFontName="F")
canvas.setFont("F", 20)
canvas.drawString(72, 700, "Duck")
canvas.circle(300, 400, 200)
canvas.showPage()
canvas.save()
"""


def seconds(command: list[str], folder: str) -> float:
    """Wall time of one process."""
    began = time.perf_counter()
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return time.perf_counter() - began


def main() -> None:
    """Print both medians and the ratio."""
    ours = [sys.executable, "-m", "sheets", "cutting", "duck", "--stage", "6", "--force"]
    bare = [sys.executable, "-c", BARE]
    with tempfile.TemporaryDirectory() as folder:
        root = Path(__file__).parents[2]
        for package in ("shapes", "sheets"):
            compileall.compile_dir(root / package, quiet=1)
        seconds(ours, folder)
        pairs = [(seconds(bare, folder), seconds(ours, folder)) for _ in range(ROUNDS)]
    first, second = (statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(b / a for a, b in pairs)
    sys.stdout.write(
        f"bare script {first * 1000:.0f} ms, tablework {second * 1000:.0f} ms, "
        f"ratio {ratio:.2f} (goal {GOAL})\n"
    )


if __name__ == "__main__":
    main()
