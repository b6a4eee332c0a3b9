"""How much slower one cold page is through the renderer than by reportlab alone.

Run it as ``python tests/bench/bench_onepage.py [ROUNDS]``. Each round starts both programs in a
new process, one after the other, and takes the ratio of their whole times; the median ratio says
more than either time, because both meet the same noise. Both draw the same page: a frame, a bar of
100 mm with eleven ticks, a wave of 200 curves, three lines of text in the same embedded font.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

BARE = f"""
import math, sys
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

pdfmetrics.registerFont(TTFont("Page", {str(ROOT / "sheets/fonts/Andika-Regular.ttf")!r}))
canvas = Canvas(sys.argv[1], pagesize=(612, 792), invariant=1, initialFontName="Page")
canvas.setLineWidth(0.25 * mm)
canvas.rect(15 * mm, 15 * mm, 185.9 * mm, 249.4 * mm)
canvas.line(20 * mm, 20 * mm, 120 * mm, 20 * mm)
for i in range(11):
    canvas.line((20 + 10 * i) * mm, 18 * mm, (20 + 10 * i) * mm, 22 * mm)
canvas.setLineWidth(3 * mm)
path = canvas.beginPath()
path.moveTo(20 * mm, 140 * mm)
for i in range(200):
    x, lift = 20 + 0.8 * i, 20 * math.sin(i / 10)
    path.curveTo(
        (x + 0.2) * mm, (140 + lift) * mm, (x + 0.6) * mm, (140 - lift) * mm,
        (x + 0.8) * mm, 140 * mm,
    )
canvas.drawPath(path)
for y, size, words in ((260, 20, "Reedy Pond"), (250, 16, "Zoë"), (24, 8, "100 mm")):
    canvas.setFont("Page", size)
    canvas.drawString(20 * mm, y * mm, words)
canvas.save()
"""

OURS = """
import math, sys
from pathlib import Path as FilePath
from shapes.path import Cubic, Path
from sheets.page.model import Page, Paper, Role, Stroke, Text
from sheets.write.files import write_document

corners = [(15, 15), (200.9, 15), (200.9, 264.4), (15, 264.4)]
ticks = [Path.line((20 + 10 * i, 18), (20 + 10 * i, 22)) for i in range(11)]
wave = []
for i in range(200):
    x, lift = 20 + 0.8 * i, 20 * math.sin(i / 10)
    start = wave[-1].end if wave else (20, 140)
    wave.append(Cubic(start, (x + 0.2, 140 + lift), (x + 0.6, 140 - lift), (x + 0.8, 140)))
page = Page(
    Paper("letter", 215.9, 279.4),
    (
        Stroke((Path.from_points(corners, closed=True),), 0.25, Role.FURNITURE),
        Stroke((Path.line((20, 20), (120, 20)), *ticks), 0.25, Role.FURNITURE),
        Stroke((Path(tuple(wave)),), 3.0, Role.CUT),
        Text(20, 260, "Reedy Pond", 20, Role.FURNITURE),
        Text(20, 250, "Zoë", 16, Role.FURNITURE),
        Text(20, 24, "100 mm", 8, Role.FURNITURE),
    ),
)
write_document([page], FilePath(sys.argv[1]), title="Reedy Pond", language="en", force=True)
"""


def seconds(program: str, out: Path) -> float:
    """Time of one new process from start to end, file on disk."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", program, str(out)], check=True, cwd=ROOT)
    return time.perf_counter() - start


def main(rounds: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bare_file, our_file = Path(folder) / "bare.pdf", Path(folder) / "ours.pdf"
        for program, file in ((BARE, bare_file), (OURS, our_file)):
            seconds(program, file)  # compiled modules and files in the cache, for both
        pairs = [(seconds(BARE, bare_file), seconds(OURS, our_file)) for _ in range(rounds)]
        sizes = bare_file.stat().st_size, our_file.stat().st_size
    ratios = [ours / bare for bare, ours in pairs]
    print(f"reportlab alone: {statistics.median(bare for bare, _ in pairs) * 1000:.0f} ms")
    print(f"this renderer:   {statistics.median(ours for _, ours in pairs) * 1000:.0f} ms")
    print(
        f"ratio: {statistics.median(ratios):.2f}"
        f" (median of {rounds} rounds; {min(ratios):.2f} to {max(ratios):.2f})"
    )
    print(f"file: {sizes[0]} and {sizes[1]} bytes")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
