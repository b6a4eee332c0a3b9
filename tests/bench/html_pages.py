"""The finished pages of a packet as one HTML file with a drawing in SVG for each page.

Text is text in the page font, which is what somebody who makes such pages for a browser would do.
(The SVG files of this project draw each letter as an outline, so that every reader draws the same;
for a browser that is minutes of work.)
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Sequence
from html import escape as escaped
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.bench.finished_marks import as_data, pages_of

if TYPE_CHECKING:
    from tests.bench.job import Job

_CAPS = ("butt", "round")
_JOINS = ("miter", "round")
_LETTERS = {"m": "M", "l": "L", "c": "C", "h": "Z"}

_HEAD = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Reedy Pond</title><style>
@font-face {{ font-family: Page; src: url("{font}") }}
@page {{ size: 8.5in 11in; margin: 0 }}
@page turned {{ size: 11in 8.5in; margin: 0 }}
body {{ margin: 0 }}
div {{ width: 8.5in; height: 11in; overflow: hidden; break-after: page }}
div.turned {{ page: turned; width: 11in; height: 8.5in }}
div:last-child {{ break-after: auto }}
svg {{ display: block; width: 100%; height: 100% }}
</style></head><body>
"""


def write_inputs(job: Job, folder: Path) -> None:
    """Write what the other programs start from: ``marks.json`` and ``pages.html``.

    Raises:
        RuntimeError: see :func:`tests.bench.finished_marks.pages_of`.
    """
    data = as_data(pages_of(job, folder / "prepared"))
    marks = json.dumps(data, ensure_ascii=False)
    (folder / "marks.json").write_text(marks, encoding="utf-8")
    # From the file's own spelling on, lists are lists.
    (folder / "pages.html").write_text(html(json.loads(marks)), encoding="utf-8")


def html(data: dict[str, Any]) -> str:
    """The pages of the JSON file, with an artwork defined once on each page that shows it."""
    from shapes.letters.font import FONT_FILE

    written = [_HEAD.format(font=FONT_FILE.as_uri())]
    for number, page in enumerate(itertools.chain.from_iterable(data["files"].values())):
        wide, high = page["paper"]
        marks = _Marks(data, number)
        drawn = marks.all(page["marks"])
        defs = "".join(marks.defined.values())
        written.append(
            f'<div class="{"turned" if wide > high else "upright"}">'
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}">'
            f'<defs>{defs}</defs><g transform="matrix(1 0 0 -1 0 {high})">{drawn}</g></svg></div>\n'
        )
    return "".join([*written, "</body></html>\n"])


class _Marks:
    """The marks of one page as SVG elements, in mm, y up.

    Args:
        number: of the page, for ids of its own.
    """

    def __init__(self, data: dict[str, Any], number: int) -> None:
        self.defined: dict[str, str] = {}
        self._data = data
        self._number = number

    def all(self, marks: Sequence[Any]) -> str:
        return "".join(getattr(self, kind)(*rest) for kind, *rest in marks)

    def stroke(self, paths: Any, layers: Any, dash: Any, cap: int, join: int) -> str:
        look = f'fill="none" stroke-linecap="{_CAPS[cap]}" stroke-linejoin="{_JOINS[join]}"'
        look += ' stroke-miterlimit="10"'
        if dash:
            look += f' stroke-dasharray="{_words(dash)}"'
        return "".join(
            f'<path d="{_path(paths)}" {look} stroke-width="{width:g}" stroke="{_colour(rgb)}"/>'
            for width, rgb in layers
        )

    def fill(self, paths: Any, rgb: Any, even_odd: bool) -> str:
        rule = ' fill-rule="evenodd"' if even_odd else ""
        return f'<path d="{_path(paths)}" fill="{_colour(rgb)}"{rule}/>'

    def text(self, words: str, size: float, rgb: Any, matrix: Any) -> str:
        return (
            f'<text transform="matrix({_words(matrix)}) scale(1 -1)" font-family="Page" '
            f'font-size="{size:g}" fill="{_colour(rgb)}">{escaped(words)}</text>'
        )

    def place(self, artwork: str, matrix: Any) -> str:
        name = f"p{self._number}-{artwork}"
        if artwork not in self.defined:
            marks = self.all(self._data["artworks"][artwork]["marks"])
            self.defined[artwork] = f'<g id="{name}">{marks}</g>'
        return f'<use href="#{name}" transform="matrix({_words(matrix)})"/>'

    def run(self, number: int) -> str:
        return self.all(self._data["runs"][number])


def _words(numbers: Sequence[float]) -> str:
    return " ".join(f"{number:g}" for number in numbers)


def _path(paths: Sequence[Any]) -> str:
    return " ".join(
        f"{_LETTERS[letter]}{_words(numbers)}" for path in paths for letter, *numbers in path
    )


def _colour(rgb: Sequence[float]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*(round(255 * part) for part in rgb))
