"""The finished pages of a packet as data, for programs that only draw.

One JSON file has the marks of all pages as numbers and texts, nothing left to work out: where each
line of text starts, line widths, colours. What comes back is stored once: artworks by their id, and
runs of furniture, which one of the programs draws as forms.

Coordinates in the JSON file are mm, y up. Marks are lists that begin with their kind:

- ``["stroke", paths, [[width, rgb], ...], dash, cap, join]``, a layer for each width;
- ``["fill", paths, rgb, even_odd]``;
- ``["text", words, size_mm, rgb, matrix]``;
- ``["place", artwork_id, matrix]``;
- ``["run", number]``, marks of the list ``runs``.

A page is ``{"paper": [width, height], "marks": [...]}``.
"""

from __future__ import annotations

import contextlib
import io
import itertools
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unittest import mock

from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN

if TYPE_CHECKING:
    from shapes.affine import Affine
    from shapes.path import Path as Outline
    from sheets.page.model import Artwork, Mark, Page, Stroke
    from tests.bench.job import Job

FILES = (PLAIN, CARD, KEYS, ADULT)
ON_MANY = 0.1
"""Share of a file's pages that have a mark, from which on it counts as furniture."""

_CAPS = {"butt": 0, "round": 1}
_JOINS = {"miter": 0, "round": 1}
_PLACES = 3

Data = list[Any]


def pages_of(job: Job, out: Path) -> dict[str, list[Page]]:
    """The pages of each file of a job, taken where they are drawn.

    Args:
        out: folder to make, for the packet.

    Raises:
        RuntimeError: the packet was not made, or not every page of it was seen.
    """
    from sheets.write.pdf import PdfDocument
    from tests.bench.same_pages import page_count
    from tests.packets import make_packet

    seen: dict[int, tuple[PdfDocument, list[Page]]] = {}
    original = PdfDocument.add

    def add(self: PdfDocument, page: Page, **options: Any) -> None:
        # The document is kept as well: no other one may get its identity.
        seen.setdefault(id(self), (self, []))[1].append(page)
        original(self, page, **options)

    with mock.patch.object(PdfDocument, "add", add), contextlib.redirect_stdout(io.StringIO()):
        failed = make_packet(str(job.theme), job.classlist, out, fresh=True)
    if failed:
        raise RuntimeError("the packet has pages outside guidance")
    # Files are known by their number of pages.
    by_count = {len(pages): pages for _document, pages in seen.values()}
    counts = {name: page_count(out / name) for name in FILES}
    if sorted(by_count) != sorted(counts.values()):
        raise RuntimeError(f"{sorted(by_count)} pages drawn do not tell files apart: {counts}")
    return {name: by_count[count] for name, count in counts.items()}


def as_data(files: Mapping[str, Sequence[Page]]) -> dict[str, Any]:
    """The content of the JSON file."""
    from sheets.page.model import Place

    artworks: dict[str, Artwork] = {}
    runs: dict[str, int] = {}
    drawn: dict[str, list[dict[str, Any]]] = {}
    for name, pages in files.items():
        for mark in itertools.chain.from_iterable(page.marks for page in pages):
            if isinstance(mark, Place):
                artworks.setdefault(mark.artwork.id, mark.artwork)
        listed = [[_mark(mark, _PLACES) for mark in page.marks] for page in pages]
        drawn[name] = [
            {"paper": [page.paper.width, page.paper.height], "marks": marks}
            for page, marks in zip(pages, _with_runs(listed, runs), strict=True)
        ]
    return {
        "artworks": {key: _artwork(artwork) for key, artwork in artworks.items()},
        "runs": [json.loads(run) for run in runs],
        "files": drawn,
    }


def _mark(mark: Mark, places: int) -> Data:
    from shapes.letters.font import MM_PER_PT, check_text
    from sheets.page.model import Place, Stroke, Text
    from sheets.write.baseline import text_start
    from sheets.write.numbers import rgb

    if isinstance(mark, Place):
        return ["place", mark.artwork.id, _numbers(mark.at)]
    if isinstance(mark, Text):
        words = check_text(mark.text)
        size = round(mark.size_pt * MM_PER_PT, 4)
        return ["text", words, size, rgb(mark.colour), _numbers(text_start(mark, words))]
    paths = [_operations(path, places) for path in mark.paths]
    if isinstance(mark, Stroke):
        look = [list(mark.dash), _CAPS[mark.cap], _JOINS[mark.join]]
        return ["stroke", paths, _layers(mark), *look]
    return ["fill", paths, rgb(mark.colour), mark.even_odd]


def _layers(stroke: Stroke) -> Data:
    """Width and colour of each time the paths are drawn: twice for a lane."""
    from sheets.write.numbers import rgb

    layers = [[stroke.width, rgb(stroke.colour)]]
    if stroke.lane is not None and stroke.width > 2.0 * stroke.lane.edge:
        layers.append([stroke.width - 2.0 * stroke.lane.edge, rgb(stroke.lane.tint)])
    return layers


def _numbers(matrix: Affine) -> list[float]:
    return [round(number, 5) for number in matrix]


class _Pen:
    """Lists operations as letter and numbers."""

    def __init__(self, places: int) -> None:
        self.operations: Data = []
        self._places = places

    def _add(self, letter: str, *numbers: float) -> None:
        self.operations.append([letter, *(round(number, self._places) for number in numbers)])

    def move_to(self, x: float, y: float) -> None:
        self._add("m", x, y)

    def line_to(self, x: float, y: float) -> None:
        self._add("l", x, y)

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        self._add("c", x1, y1, x2, y2, x3, y3)

    def close(self) -> None:
        self._add("h")


def _operations(path: Outline, places: int) -> Data:
    pen = _Pen(places)
    path.draw(pen)
    return pen.operations


def _artwork(artwork: Artwork) -> dict[str, Any]:
    from sheets.page.model import Stroke
    from sheets.write.numbers import places_for

    places = places_for(max(artwork.bbox.width, artwork.bbox.height))
    # A form is clipped at its box, so line widths belong in it.
    widest = max((mark.width for mark in artwork.marks if isinstance(mark, Stroke)), default=0.0)
    box = artwork.bbox.grown(widest / 2.0)
    return {
        "box": [round(side, places) for side in (box.x0, box.y0, box.x1, box.y1)],
        "marks": [_mark(mark, places) for mark in artwork.marks],
    }


def _with_runs(pages: Sequence[Sequence[Data]], runs: dict[str, int]) -> list[list[Data]]:
    """The pages with neighbouring furniture replaced by runs, which are added to ``runs``."""
    spelled = [[json.dumps(mark) for mark in page] for page in pages]
    on_pages = Counter(itertools.chain.from_iterable(set(page) for page in spelled))
    least = max(2.0, ON_MANY * len(pages))

    def furniture(mark: str) -> bool:
        return on_pages[mark] >= least and not mark.startswith('["place"')

    grouped = [[(key, list(g)) for key, g in itertools.groupby(p, furniture)] for p in spelled]
    times = Counter(_joined(group) for page in grouped for key, group in page if key)

    def written(key: bool, group: list[str]) -> Iterable[Data]:
        run = _joined(group)
        if key and times[run] > 1:
            return [["run", runs.setdefault(run, len(runs))]]
        return [json.loads(mark) for mark in group]

    return [[mark for entry in page for mark in written(*entry)] for page in grouped]


def _joined(marks: list[str]) -> str:
    return f"[{', '.join(marks)}]"
