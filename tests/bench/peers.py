"""Plain scripts with reportlab that draw finished marks (see ``finished_marks``) as four PDF files.

Run as ``python peers.py drawn|forms MARKS.json FOLDER``. ``drawn`` writes every mark on every page;
``forms`` stores artworks and furniture once as form XObjects. Nothing of this project is imported.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

FONT_FILE = Path(__file__).resolve().parents[2] / "sheets" / "fonts" / "Andika-Regular.ttf"
FONT = "Page"
PT_PER_MM = 72.0 / 25.4
EVEN_ODD, NONZERO = 0, 1
ALL = [0.0, 0.0, 300.0, 300.0]  # mm: a page in any position


class Script:
    """Draws the pages of one file.

    Args:
        data: the whole content of the JSON file.
        forms: whether artworks and runs become forms.
    """

    def __init__(self, data: dict[str, Any], path: Path, forms: bool) -> None:
        self.data = data
        self.canvas = Canvas(str(path), pageCompression=1, initialFontName=FONT, lang="en")
        self.forms = forms
        self.known: set[str] = set()

    def write(self, pages: list[dict[str, Any]]) -> None:
        """Draw all pages and save the file."""
        for page in pages:
            self.canvas.setPageSize([round(side * PT_PER_MM, 3) for side in page["paper"]])
            self.canvas.scale(PT_PER_MM, PT_PER_MM)
            self.marks(page["marks"])
            self.canvas.showPage()
        self.canvas.save()

    def mark(self, mark: list[Any]) -> None:
        kind, *rest = mark
        getattr(self, kind)(*rest)

    def stroke(self, paths: Any, layers: Any, dash: list[float], cap: int, join: int) -> None:
        canvas, path = self.canvas, self.path(paths)
        canvas.setDash(dash)
        canvas.setLineCap(cap)
        canvas.setLineJoin(join)
        for width, rgb in layers:
            canvas.setLineWidth(width)
            canvas.setStrokeColorRGB(*rgb)
            canvas.drawPath(path, stroke=1, fill=0)

    def fill(self, paths: Any, rgb: list[float], even_odd: bool) -> None:
        self.canvas.setFillColorRGB(*rgb)
        mode = EVEN_ODD if even_odd else NONZERO
        self.canvas.drawPath(self.path(paths), stroke=0, fill=1, fillMode=mode)

    def path(self, paths: list[list[Any]]) -> Any:
        drawn = self.canvas.beginPath()
        steps = {"m": drawn.moveTo, "l": drawn.lineTo, "c": drawn.curveTo, "h": drawn.close}
        for path in paths:
            for letter, *numbers in path:
                steps[letter](*numbers)
        return drawn

    def text(self, words: str, size: float, rgb: list[float], matrix: list[float]) -> None:
        canvas = self.canvas
        canvas.setFillColorRGB(*rgb)
        canvas.setFont(FONT, size)
        if matrix[:4] == [1.0, 0.0, 0.0, 1.0]:
            canvas.drawString(matrix[4], matrix[5], words)
            return
        canvas.saveState()
        canvas.transform(*matrix)
        canvas.drawString(0, 0, words)
        canvas.restoreState()

    def place(self, artwork: str, matrix: list[float]) -> None:
        found = self.data["artworks"][artwork]
        if self.forms:
            self.form(f"art-{artwork}", found["box"], found["marks"])
        self.canvas.saveState()
        self.canvas.transform(*matrix)
        if self.forms:
            self.canvas.doForm(f"art-{artwork}")
        else:
            self.marks(found["marks"])
        self.canvas.restoreState()

    def run(self, number: int) -> None:
        marks = self.data["runs"][number]
        if not self.forms:
            self.marks(marks)
            return
        self.form(f"run-{number}", ALL, marks)
        self.canvas.doForm(f"run-{number}")

    def marks(self, marks: list[Any]) -> None:
        for mark in marks:
            self.mark(mark)

    def form(self, name: str, box: list[float], marks: list[Any]) -> None:
        """Define a form unless it is known."""
        if name not in self.known:
            self.known.add(name)
            self.canvas.beginForm(name, *box)
            self.marks(marks)
            self.canvas.endForm()


def main(way: str, marks: str, folder: str) -> None:
    # By default reportlab spells every stream in ASCII85, which costs time and a quarter of size.
    rl_config.useA85 = 0
    pdfmetrics.registerFont(TTFont(FONT, str(FONT_FILE)))
    with open(marks, encoding="utf-8") as file:
        data = json.load(file)
    for name, pages in data["files"].items():
        Script(data, Path(folder) / name, way == "forms").write(pages)


if __name__ == "__main__":
    main(*sys.argv[1:])
