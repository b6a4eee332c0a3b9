"""Pages as one PDF 1.7 document, in true size.

Each page starts with one matrix from millimetres to points, so every number in the file is in mm.
What comes back on many pages (artwork, furniture, the same outline for several children) is stored
once as a form XObject.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from hashlib import blake2b
from typing import Any

from shapes.affine import Affine
from shapes.path import BBox, Path
from sheets.font import FONT_FILE, FONT_NAME, MM_PER_PT, check_text
from sheets.model import Artwork, Fill, Page, Place, Stroke, Text
from sheets.render.baseline import text_start
from sheets.render.numbers import MM_PLACES, PT_PER_MM, decimal, mm, places_for, rgb

CREATOR = "tablework"

_PAGE_MATRIX = f"{PT_PER_MM:.8f} 0 0 {PT_PER_MM:.8f} 0 0 cm"
# Round caps and joins are the model's defaults, so most strokes need not name them.
_BASE_STATE = "1 J 1 j"
_CAPS = {"butt": 0, "round": 1}
_JOINS = {"miter": 0, "round": 1}

# In characters. A form costs about 250 once for its dictionary and 25 on each page, so what is
# known to repeat (a run of marks) is worth sharing sooner than what merely might (a single mark).
_RUN_WORTH_SHARING = 160
_MARK_WORTH_SHARING = 400

_PATHS_REMEMBERED = 512

OutlineEntry = tuple[int, str, int]
"""Level from 0, title, page index from 0."""


def write_pdf(
    pages: Iterable[Page],
    *,
    title: str,
    language: str,
    subject: str = "",
    outline: Sequence[OutlineEntry] = (),
    page_labels: Sequence[str] | None = None,
    compact: bool = False,
) -> bytes:
    """The pages as a PDF file: the same bytes for the same pages.

    The document asks viewers not to scale it when printing; viewers may ignore that, which is why
    pages carry a bar to measure. Author and dates are left out of the properties.

    Args:
        pages: at least one; each is drawn as it comes and not kept, so a generator of thousands
            needs little memory.
        title, subject: document properties and window title; no child's name belongs here.
        language: BCP 47 tag, such as ``en-US``.
        outline: bookmarks in reading order; a level is at most one deeper than the one before.
        page_labels: what a viewer calls each page; taken from ``Page.label`` if None.
        compact: pack the small objects together: a smaller file for a little time.

    Raises:
        GlyphError: a text has a character that the page font lacks.
        ValueError: no pages, an outline entry for a page that is not there, too few page labels,
            or two different artworks of one id.
    """
    writer = _Writer(title, language, subject)
    # A bookmark of its own for each entry: the library keys titles by their destination.
    marked: dict[int, list[str]] = {}
    for number, (_level, _title, index) in enumerate(outline):
        marked.setdefault(index, []).append(f"entry{number}")
    labels: list[str] = []
    for index, page in enumerate(pages):
        writer.page(page, marked.get(index, ()))
        labels.append(page.label)
    if not labels:
        raise ValueError("a document needs at least one page")
    missing = sorted(index for index in marked if not 0 <= index < len(labels))
    if missing:
        raise ValueError(f"outline names page {missing[0]} of {len(labels)}")
    if page_labels is not None:
        if len(page_labels) != len(labels):
            raise ValueError(f"{len(page_labels)} page labels for {len(labels)} pages")
        labels = list(page_labels)
    data = writer.finish(outline, labels)
    if compact:
        from sheets.render.compact import pack_objects

        data = pack_objects(data)
    return data


class PathOperators:
    """A pen that writes PDF path operators (ISO 32000-1, table 59)."""

    def __init__(self, places: int = MM_PLACES) -> None:
        self.words: list[str] = []
        self._places = places

    def _number(self, value: float) -> str:
        return mm(value) if self._places == MM_PLACES else decimal(value, self._places)

    def move_to(self, x: float, y: float) -> None:
        n = self._number
        self.words.append(f"{n(x)} {n(y)} m")

    def line_to(self, x: float, y: float) -> None:
        n = self._number
        self.words.append(f"{n(x)} {n(y)} l")

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        n = self._number
        self.words.append(f"{n(x1)} {n(y1)} {n(x2)} {n(y2)} {n(x3)} {n(y3)} c")

    def close(self) -> None:
        self.words.append("h")


class _PathMemory:
    """Path operators of the latest paths drawn.

    A packet shows the same path object on many pages, and writing its numbers is most of the work
    of drawing it. Paths are known by identity (comparing them costs as much as writing them) and
    held while they are known; a bound keeps long documents flat in memory.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[int, int], tuple[Path, str]] = {}

    def operators(self, paths: Iterable[Path], places: int) -> str:
        return "\n".join([self._one(path, places) for path in paths])

    def _one(self, path: Path, places: int) -> str:
        key = (id(path), places)
        known = self._known.get(key)
        if known is None:
            if len(self._known) >= _PATHS_REMEMBERED:
                self._known.clear()
            pen = PathOperators(places)
            path.draw(pen)
            known = self._known[key] = (path, "\n".join(pen.words))
        return known[1]


def _colour(colour: str, stroking: bool) -> str:
    red, green, blue = (decimal(part, 3) for part in rgb(colour))
    if red == green == blue:
        return f"{red} {'G' if stroking else 'g'}"
    return f"{red} {green} {blue} {'RG' if stroking else 'rg'}"


def stroke_operators(stroke: Stroke, path: str, places: int = MM_PLACES) -> str:
    """Operators that paint already written path operators as the stroke's lines.

    What differs from the page's base state (black, solid, round) is set between ``q`` and ``Q``,
    so that marks do not depend on each other and can be stored apart.
    """
    setup = []
    if stroke.cap != "round":
        setup.append(f"{_CAPS[stroke.cap]} J")
    if stroke.join != "round":
        setup.append(f"{_JOINS[stroke.join]} j")
    if stroke.dash:
        setup.append(f"[{' '.join(decimal(length, places) for length in stroke.dash)}] 0 d")
    layers = [(stroke.width, stroke.colour)]
    if stroke.lane is not None and stroke.width > 2.0 * stroke.lane.edge:
        layers.append((stroke.width - 2.0 * stroke.lane.edge, stroke.lane.tint))
    parts = []
    for width, colour in layers:
        ink = _colour(colour, stroking=True)
        if ink != "0 G" or len(layers) > 1:
            parts.append(ink)
        parts.append(f"{decimal(width, places)} w\n{path}\nS")
    if setup or len(parts) > 1:
        return "\n".join(["q", *setup, *parts, "Q"])
    return parts[0]


def fill_operators(fill: Fill, path: str) -> str:
    """Operators that paint already written path operators as the fill's area."""
    paint = "f*" if fill.even_odd else "f"
    ink = _colour(fill.colour, stroking=False)
    if ink == "0 g":
        return f"{path}\n{paint}"
    return f"q\n{ink}\n{path}\n{paint}\nQ"


class _Writer:
    """One document in the making; everything that touches reportlab."""

    def __init__(self, title: str, language: str, subject: str) -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        # ASCII85 makes every stream a quarter larger and no reader has needed it for decades.
        rl_config.useA85 = 0
        self._font = _font()
        self._canvas = Canvas(
            None,
            pageCompression=1,
            invariant=1,
            pdfVersion=(1, 7),
            lang=language,
            # Any other first font puts Helvetica, which is not embedded, into the file.
            initialFontName=FONT_NAME,
        )
        # Fonts are asked by document, and reportlab has no public way from canvas to document.
        self._document = self._canvas._doc
        self._canvas.setTitle(title)
        self._canvas.setSubject(subject)
        self._canvas.setAuthor("")
        self._canvas.setCreator(CREATOR)
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._canvas.setViewerPreference("DisplayDocTitle", "true")
        self._paths = _PathMemory()
        self._artworks: dict[str, tuple[Artwork, str]] = {}
        self._shared: dict[bytes, str] = {}
        self._form_count = 0
        self._last_page: dict[str, None] = {}

    # --- pages ------------------------------------------------------------------------------

    def page(self, page: Page, bookmarks: Sequence[str]) -> None:
        """Draw one page; ``bookmarks`` are the names that outline entries know it by."""
        canvas = self._canvas
        canvas.setPageSize((_points(page.paper.width), _points(page.paper.height)))
        for bookmark in bookmarks:
            canvas.bookmarkPage(bookmark)
        canvas.addLiteral(_PAGE_MATRIX)
        canvas.addLiteral(_BASE_STATE)
        self._put(page)
        canvas.showPage()

    def _put(self, page: Page) -> None:
        """Add the marks in order; what repeats goes into a form.

        Two things are taken for repeating: a run of marks that the page before had too (frame,
        measure bars, credit), and a single long mark seen anywhere before (an outline).
        """
        box = BBox(0.0, 0.0, page.paper.width, page.paper.height)
        before = self._last_page
        now: dict[str, None] = {}
        run: list[str] = []
        for mark in page.marks:
            if isinstance(mark, Place):
                self._add(run, box, _RUN_WORTH_SHARING)
                self._place(mark)
                continue
            operators = self._mark(mark)
            now[operators] = None
            if operators in before:
                run.append(operators)
                continue
            self._add(run, box, _RUN_WORTH_SHARING)
            self._add([operators], box, _MARK_WORTH_SHARING)
        self._add(run, box, _RUN_WORTH_SHARING)
        self._last_page = now

    def _add(self, run: list[str], box: BBox, worth_sharing: int) -> None:
        """Add operators to the page, by way of a form from the second time on; empties ``run``."""
        if not run:
            return
        operators = "\n".join(run)
        run.clear()
        # The file's identifier is of the title alone otherwise; viewers keep settings by it.
        self._document.updateSignature(operators)
        if len(operators) < worth_sharing:
            self._canvas.addLiteral(operators)
            return
        key = blake2b(f"{box.width} {box.height} {operators}".encode(), digest_size=16).digest()
        name = self._shared.get(key)
        if name is None:
            self._shared[key] = ""
            self._canvas.addLiteral(operators)
            return
        if not name:
            name = self._shared[key] = self._form(operators, box, MM_PLACES)
        self._canvas.doForm(name)

    def _mark(self, mark: Stroke | Fill | Text, places: int = MM_PLACES) -> str:
        if isinstance(mark, Text):
            return self._text(mark)
        path = self._paths.operators(mark.paths, places)
        if isinstance(mark, Stroke):
            return stroke_operators(mark, path, places)
        return fill_operators(mark, path)

    def _text(self, text: Text) -> str:
        drawn = check_text(text.text)
        at = text_start(text, drawn)
        if text.turn_deg == 0.0:
            start = f"{mm(at.e)} {mm(at.f)} Td"
        else:
            start = f"{_matrix(at)} Tm"
        size = decimal(text.size_pt * MM_PER_PT, 4)
        # reportlab spreads a font over subsets of 256 characters and tells which to use.
        shows = [
            f"{self._font.getSubsetInternalName(subset, self._document)} {size} Tf"
            f" <{codes.hex()}> Tj"
            for subset, codes in self._font.splitString(drawn, self._document)
        ]
        body = f"BT {start} {' '.join(shows)} ET"
        ink = _colour(text.colour, stroking=False)
        return body if ink == "0 g" else f"q {ink} {body} Q"

    # --- artwork and other forms ------------------------------------------------------------

    def _place(self, place: Place) -> None:
        name = self._artwork(place.artwork)
        self._canvas.addLiteral(f"q {_matrix(place.at)} cm")
        self._canvas.doForm(name)
        self._canvas.addLiteral("Q")

    def _artwork(self, artwork: Artwork) -> str:
        known = self._artworks.get(artwork.id)
        if known is not None:
            if known[0] is not artwork and known[0] != artwork:
                raise ValueError(f"two different artworks have the id {artwork.id!r}")
            return known[1]
        places = places_for(max(artwork.bbox.width, artwork.bbox.height))
        operators = "\n".join(self._mark(mark, places) for mark in artwork.marks)
        # A form is clipped at its box; a caller who left out the line widths must not lose ink.
        widest = max((m.width for m in artwork.marks if isinstance(m, Stroke)), default=0.0)
        name = self._form(operators, artwork.bbox.grown(widest / 2.0), places)
        self._artworks[artwork.id] = (artwork, name)
        return name

    def _form(self, operators: str, box: BBox, places: int) -> str:
        self._form_count += 1
        name = str(self._form_count)
        x0, y0, x1, y1 = (round(side, places) for side in (box.x0, box.y0, box.x1, box.y1))
        self._canvas.beginForm(name, x0, y0, x1, y1)
        self._canvas.addLiteral(operators)
        self._canvas.endForm()
        return name

    # --- the end ----------------------------------------------------------------------------

    def finish(self, outline: Sequence[OutlineEntry], labels: Sequence[str]) -> bytes:
        """Add bookmarks and page labels and return the file."""
        for number, (level, title, _index) in enumerate(outline):
            self._canvas.addOutlineEntry(title, f"entry{number}", level)
        if outline:
            self._canvas.showOutline()
        if any(labels):
            for index, label in enumerate(labels):
                if label:
                    self._canvas.addPageLabel(index, prefix=label)
                else:
                    self._canvas.addPageLabel(index, style="ARABIC", start=index + 1)
        data: bytes = self._canvas.getpdfdata()
        return data


@cache
def _font() -> Any:
    """The page font, known to reportlab; its subset is made anew for each document."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # Only the characters in use; by default reportlab adds all of ASCII.
    font = TTFont(FONT_NAME, str(FONT_FILE), asciiReadable=False)
    # The name table is 18 KB of licence text, and embedded fonts need none (ISO 32000-1, 9.9).
    font.face.table.pop("name")
    pdfmetrics.registerFont(font)
    return font


def _matrix(m: Affine) -> str:
    # Five places: 0.002 mm over the longest side of a page.
    linear = " ".join(decimal(part, 5) for part in m[:4])
    return f"{linear} {mm(m.e)} {mm(m.f)}"


def _points(size_mm: float) -> float:
    # Letter paper is a whole number of points; 1e-10 of rounding must not turn it into 612.0000001.
    points = round(size_mm * PT_PER_MM, 3)
    return int(points) if points == math.floor(points) else points
