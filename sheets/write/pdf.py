"""Pages as one PDF 1.7 document, in true size.

Each page starts with one matrix from millimetres to points, so every number in the file is in mm.
What comes back on many pages (artwork, furniture, the same outline for several children) is stored
once as a form XObject.
"""

from __future__ import annotations

import math
import zlib
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

from shapes.affine import Affine
from shapes.letters.font import FONT_FILE, FONT_NAME, MM_PER_PT, check_text, is_plain
from shapes.path import BBox
from sheets.page.model import Artwork, Fill, Page, Place, Stroke, Text
from sheets.write.baseline import text_start
from sheets.write.numbers import MM_PLACES, PT_PER_MM, decimal, mm, places_for
from sheets.write.pdf_date import check_date
from sheets.write.pdf_operators import (
    BASE_STATE,
    PathMemory,
    colour_operator,
    fill_operators,
    stroke_operators,
)

if TYPE_CHECKING:
    from sheets.write.pdf_glyphs import GlyphFonts

CREATOR = "tablework"

_PAGE_MATRIX = f"{PT_PER_MM:.8f} 0 0 {PT_PER_MM:.8f} 0 0 cm"

# In characters. A form costs about 250 once for its dictionary and 25 on each page, so what is
# known to repeat (a run of marks) is worth sharing sooner than what merely might (a single mark).
_RUN_WORTH_SHARING = 160
_MARK_WORTH_SHARING = 400

_TEXTS_REMEMBERED = 256

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
    document = PdfDocument(title=title, language=language, subject=subject)
    entries = Counter(index for _level, _title, index in outline)
    for index, page in enumerate(pages):
        document.add(page, entries=entries[index])
    data = document.finish(outline, page_labels)
    del document  # or it would take its room while the file is packed
    if not compact:
        return data
    from sheets.write.compact import pack_objects

    return pack_objects(data)


class PdfDocument:
    """One document in the making, page by page; everything that touches reportlab.

    Several may be in the making at once. Of a page nothing is kept but its packed content.

    Args:
        title, language, subject: see :func:`write_pdf`.
    """

    def __init__(self, *, title: str, language: str, subject: str = "") -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        check_date()
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
        self._paths = PathMemory()
        self._shows: dict[tuple[str, float], str] = {}
        self._more_fonts: GlyphFonts | None = None
        self._artworks: dict[str, tuple[Artwork, str]] = {}
        self._shared: dict[bytes, str] = {}
        self._form_count = 0
        self._last_page: dict[str, None] = {}
        self._labels: list[str] = []
        self._entries: dict[int, int] = {}

    # --- pages ------------------------------------------------------------------------------

    def add(self, page: Page, *, entries: int = 0) -> str:
        """Draw one page.

        Args:
            entries: how many entries of the outline will lead to it.

        Returns:
            A short text that differs if what is drawn does, whatever else is in the document.

        Raises:
            GlyphError, ValueError: see :func:`write_pdf`.
        """
        canvas, index = self._canvas, len(self._labels)
        canvas.setPageSize((_points(page.paper.width), _points(page.paper.height)))
        # A bookmark of its own for each entry: the library keys titles by their destination.
        for number in range(entries):
            canvas.bookmarkPage(_bookmark(index, number))
        canvas.addLiteral(_PAGE_MATRIX)
        canvas.addLiteral(BASE_STATE)
        content = self._put(page)
        canvas.showPage()
        self._write_last_page()
        self._labels.append(page.label)
        if entries:
            self._entries[index] = entries
        return content

    def _write_last_page(self) -> None:
        """Write the page as the bytes of the file now (ISO 32000-1, 7.7.3.3).

        The library keeps a page as objects until the end, which take some twenty times the room
        and, spelled one by one, most of its time.
        """
        from reportlab.pdfbase.pdfdoc import PDFObject, PDFObjectReference

        document = self._document
        page = document.Pages.pages[-1]
        content = PDFObject()  # stands for the content until it has its number
        packed = zlib.compress(page.stream.encode("latin-1"))
        numbers = document.idToObjectNumberAndVersion

        def number(thing: Any) -> int:
            found: int = numbers[document.Reference(thing).name][0]
            return found

        forms = page.XObjects.dict if page.XObjects else {}
        shown = " ".join(f"/{name} {numbers[name][0]} 0 R" for name in forms)
        size = " ".join(f"{side:g}" for side in (page.pagewidth, page.pageheight))
        document.idToObject[page.__InternalName__] = (
            f"<</Type/Page/Parent {number(document.Pages)} 0 R/MediaBox[0 0 {size}]"
            f"/Resources<</Font {numbers['BasicFonts'][0]} 0 R"
            f"{f'/XObject<<{shown}>>' if shown else ''}>>/Contents {number(content)} 0 R>>"
        ).encode("ascii")
        head = f"<</Filter/FlateDecode/Length {len(packed)}>>\nstream\n".encode("ascii")
        document.idToObject[content.__InternalName__] = head + packed + b"\nendstream\n"
        document.Pages.pages[-1] = PDFObjectReference(page.__InternalName__)

    def _put(self, page: Page) -> str:
        """Add the marks in order; what repeats goes into a form. Returns a hash of them.

        Two things are taken for repeating: a run of marks that the page before had too (frame,
        measure bars, credit), and a single long mark seen anywhere before (an outline).
        """
        box = BBox(0.0, 0.0, page.paper.width, page.paper.height)
        before = self._last_page
        now: dict[str, None] = {}
        run: list[str] = []
        content = blake2b(f"{page.paper.width:g} {page.paper.height:g}".encode(), digest_size=6)
        for mark in page.marks:
            if isinstance(mark, Place):
                self._add(run, box, _RUN_WORTH_SHARING)
                self._place(mark)
                content.update(f"{mark.artwork.id} {_matrix(mark.at)}".encode())
                continue
            operators = self._mark(mark)
            # A text's operators have the codes that its letters got in this document.
            known = str(mark) if isinstance(mark, Text) else operators
            content.update(known.encode())
            now[operators] = None
            if operators in before:
                run.append(operators)
                continue
            self._add(run, box, _RUN_WORTH_SHARING)
            self._add([operators], box, _MARK_WORTH_SHARING)
        self._add(run, box, _RUN_WORTH_SHARING)
        self._last_page = now
        return content.hexdigest()

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
        body = f"BT {start} {self._show(drawn, text.size_pt)} ET"
        ink = colour_operator(text.colour, stroking=False)
        return body if ink == "0 g" else f"q {ink} {body} Q"

    def _show(self, drawn: str, size_pt: float) -> str:
        known = self._shows.get((drawn, size_pt))
        if known is not None:
            return known
        if is_plain(drawn):
            shows = self._show_plain(drawn, size_pt)
        else:
            shows = self._show_shaped(drawn, size_pt)
        if len(self._shows) >= _TEXTS_REMEMBERED:
            self._shows.clear()
        self._shows[drawn, size_pt] = shows
        return shows

    def _show_plain(self, drawn: str, size_pt: float) -> str:
        size = decimal(size_pt * MM_PER_PT, 4)
        # reportlab spreads a font over subsets of 256 characters and tells which to use.
        return " ".join(
            f"{self._font.getSubsetInternalName(subset, self._document)} {size} Tf"
            f" <{codes.hex()}> Tj"
            for subset, codes in self._font.splitString(drawn, self._document)
        )

    def _show_shaped(self, drawn: str, size_pt: float) -> str:
        if self._more_fonts is None:
            from sheets.write.pdf_glyphs import GlyphFonts

            self._more_fonts = GlyphFonts(self._document)
        return self._more_fonts.show(drawn, size_pt, self._show_plain)

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

    def finish(
        self,
        outline: Sequence[OutlineEntry] = (),
        page_labels: Sequence[str] | None = None,
    ) -> bytes:
        """Add bookmarks and page labels and return the file; arguments as :func:`write_pdf`.

        Raises:
            ValueError: see :func:`write_pdf`; or an entry leads to a page that was added for fewer.
        """
        count = len(self._labels)
        if not count:
            raise ValueError("a document needs at least one page")
        if page_labels is None:
            page_labels = self._labels
        if len(page_labels) != count:
            raise ValueError(f"{len(page_labels)} page labels for {count} pages")
        used: Counter[int] = Counter()
        for level, title, index in outline:
            if not 0 <= index < count:
                raise ValueError(f"outline names page {index} of {count}")
            if used[index] == self._entries.get(index, 0):
                raise ValueError(f"page {index} was not added for that many entries")
            self._canvas.addOutlineEntry(title, _bookmark(index, used[index]), level)
            used[index] += 1
        if outline:
            self._canvas.showOutline()
        if any(page_labels):
            for index, label in enumerate(page_labels):
                if label:
                    self._canvas.addPageLabel(index, prefix=label)
                else:
                    self._canvas.addPageLabel(index, style="ARABIC", start=index + 1)
        data: bytes = self._canvas.getpdfdata()
        return data


def _bookmark(page: int, number: int) -> str:
    return f"page{page}.{number}"


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
