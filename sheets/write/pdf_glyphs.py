"""Shaped lines in a PDF: fonts of only the glyphs in use, and the text that readers find.

Each font is a CIDFont (ISO 32000-1, 9.7.4) made for the document. One code is one cluster, drawn
as one glyph: a letter with its marks, a conjunct. So its ToUnicode map says exactly what is read
there, and a reader need not guess the order of parts. Codes stand in the order of sight; readers
turn those of right-to-left scripts round, as they do in other files.
"""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Iterator
from hashlib import blake2b
from typing import Any

from shapes.letters.font import MM_PER_PT, units_per_em
from shapes.letters.more_fonts import Face
from shapes.letters.shaping import Cluster, Line, shaped
from sheets.write.numbers import decimal, mm

_EM = 1000
"""Units of the embedded fonts in the type size."""
_CURVE_ERROR = 0.5
"""How far the embedded quadratic curves may be from a font's cubic ones, in those units: at 20 pt
four thousandths of a millimetre."""


class GlyphFonts:
    """The fonts of one document besides the page font.

    Args:
        document: reportlab's, which asks each of them for its objects in the end.
    """

    def __init__(self, document: Any) -> None:
        self._document = document
        self._fonts: dict[str, _GlyphFont] = {}

    def show(self, drawn: str, size_pt: float, plain: Any) -> str:
        """Operators that show a line between ``BT`` and ``ET``, from where the line starts.

        Args:
            plain: operators that show letters of the page font.
        """
        return " ".join(self._operators(shaped(drawn), size_pt, plain))

    def _operators(self, line: Line, size_pt: float, plain: Any) -> Iterator[str]:
        size = size_pt * MM_PER_PT
        unit = size / units_per_em()
        x = 0.0

        def moved(to: float) -> str:
            # Each move starts from the one before; what is written, not what was meant, adds up.
            nonlocal x
            by = mm(to * unit - x)
            x += float(by)
            return f"{by} 0 Td"

        for run in line.runs:
            if run.face is None:
                yield f"{moved(run.x)} {plain(run.text, size_pt)}"
                continue
            font = self._font(run.face)
            yield f"/{font.name} {decimal(size, 4)} Tf"
            for cluster in run.clusters:
                yield f"{moved(cluster.x)} <{font.code(cluster, run.rightwards):04x}> Tj"

    def _font(self, face: Face) -> _GlyphFont:
        if face.name not in self._fonts:
            font = _GlyphFont(f"G{len(self._fonts) + 1}", face)
            self._fonts[face.name] = font
            self._document.delayedFonts.append(font)
        return self._fonts[face.name]


class _GlyphFont:
    """The glyphs of one face that a document shows."""

    def __init__(self, name: str, face: Face) -> None:
        self.name = name
        self._face = face
        self._codes: dict[Cluster, int] = {}

    def code(self, cluster: Cluster, rightwards: bool) -> int:
        """The code of a cluster, wherever it stands; 0 is kept for no glyph."""
        anywhere = dataclasses.replace(cluster, x=0.0)
        if not rightwards:
            # Readers turn every character round, those of one code too.
            anywhere = dataclasses.replace(anywhere, text=cluster.text[::-1])
        return self._codes.setdefault(anywhere, len(self._codes) + 1)

    def addObjects(self, document: Any) -> None:  # noqa: N802  # reportlab calls it
        """Put the font's objects into the document and into the list of its fonts."""
        from reportlab.pdfbase import pdfdoc

        scale = _EM / self._face.hb.face.upem
        widths = [_EM, *(round(cluster.advance * scale) for cluster in self._codes)]
        program, box, ascent, descent = _font_program(self._face, list(self._codes), widths)
        tag = blake2b(program, digest_size=6).digest()
        base = "".join(chr(65 + byte % 26) for byte in tag) + f"+{self._face.name}"

        def kept(thing: Any, what: str) -> Any:
            return document.Reference(thing, f"{what}:{self.name}")

        def stream(content: bytes, **entries: object) -> Any:
            made = pdfdoc.PDFStream(content=content, filters=[pdfdoc.PDFZCompress])
            made.dictionary.dict |= entries
            return made

        descriptor = pdfdoc.PDFDictionary({
            "Type": "/FontDescriptor", "FontName": f"/{base}", "Flags": 4, "ItalicAngle": 0,
            "FontBBox": pdfdoc.PDFArray(box), "Ascent": ascent, "Descent": descent,
            "CapHeight": ascent, "StemV": 80,
            "FontFile2": kept(stream(program, Length1=len(program)), "program"),
        })  # fmt: skip
        inner = pdfdoc.PDFDictionary({
            "Type": "/Font", "Subtype": "/CIDFontType2", "BaseFont": f"/{base}",
            "CIDSystemInfo": pdfdoc.PDFDictionary({
                "Registry": pdfdoc.PDFString("Adobe"),
                "Ordering": pdfdoc.PDFString("Identity"),
                "Supplement": 0,
            }),
            "FontDescriptor": kept(descriptor, "descriptor"), "CIDToGIDMap": "/Identity",
            "W": pdfdoc.PDFArray([0, pdfdoc.PDFArray(widths)]),
        })  # fmt: skip
        font = pdfdoc.PDFDictionary({
            "Type": "/Font", "Subtype": "/Type0", "BaseFont": f"/{base}",
            "Encoding": "/Identity-H",
            "DescendantFonts": pdfdoc.PDFArray([kept(inner, "inner")]),
            "ToUnicode": kept(stream(self._to_unicode()), "unicode"),
        })  # fmt: skip
        document.idToObject["BasicFonts"].dict[self.name] = kept(font, "font")

    def _to_unicode(self) -> bytes:
        """The characters of each code (ISO 32000-1, 9.10.3)."""
        rows = [
            f"<{code:04x}> <{cluster.text.encode('utf-16-be').hex()}>"
            for cluster, code in self._codes.items()
        ]
        blocks = [rows[i : i + 100] for i in range(0, len(rows), 100)]  # no more are allowed
        lines = [
            "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
            "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def",
            "/CMapName /Adobe-Identity-UCS def /CMapType 2 def",
            "1 begincodespacerange <0000> <ffff> endcodespacerange",
            *(f"{len(b)} beginbfchar\n" + "\n".join(b) + "\nendbfchar" for b in blocks),
            "endcmap CMapName currentdict /CMap defineresource pop end end",
        ]
        return "\n".join(lines).encode("ascii")


def _font_program(
    face: Face, clusters: list[Cluster], widths: list[int]
) -> tuple[bytes, list[int], int, int]:
    """A TrueType font of these clusters by code, its box, and how high and low they reach.

    It is built from the outlines, so that it does not matter of what kind the font's file is.
    """
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.transformPen import TransformPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    names = [".notdef", *(f"c{code}" for code in range(1, len(clusters) + 1))]
    scale = _EM / face.hb.face.upem
    drawn = [TTGlyphPen(None).glyph()]
    for cluster in clusters:
        pen = TTGlyphPen(None)
        for glyph, dx, dy in cluster.glyphs:
            at = (scale, 0, 0, scale, dx * scale, dy * scale)
            face.hb.draw_glyph_with_pen(
                glyph, TransformPen(Cu2QuPen(pen, max_err=_CURVE_ERROR), at)
            )
        drawn.append(pen.glyph())
    builder = FontBuilder(_EM, isTTF=True)
    builder.font.recalcTimestamp = False
    builder.updateHead(created=0, modified=0)  # the same names make the same bytes at any time
    builder.setupGlyphOrder(names)
    builder.setupGlyf(dict(zip(names, drawn, strict=True)))
    table = builder.font["glyf"]
    left = [getattr(table[name], "xMin", 0) for name in names]
    metrics = zip(names, zip(widths, left, strict=True), strict=True)
    builder.setupHorizontalMetrics(dict(metrics))
    high = max(getattr(table[name], "yMax", 0) for name in names)
    low = min(getattr(table[name], "yMin", 0) for name in names)
    builder.setupHorizontalHeader(ascent=high, descent=low)
    builder.setupMaxp()
    out = io.BytesIO()
    builder.font.save(out)
    head = builder.font["head"]
    return out.getvalue(), [head.xMin, head.yMin, head.xMax, head.yMax], high, low
