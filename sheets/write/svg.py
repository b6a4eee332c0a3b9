"""One page as an SVG 1.1 file in true size that says what each mark is.

Only ``path``, ``g`` and ``use`` are written, so that every reader draws the same: no clip, no
pattern, no style sheet, and no font (text is drawn as its outlines).

Every mark is one element of the page with ``class`` and ``data-role`` (its role) and ``data-id``;
strokes have ``data-width`` in mm, lanes ``data-lane`` (width of an edge in mm) as well; text has
``data-text`` and ``data-size-pt``. The page is ``viewBox`` wide and high in mm, y down.
"""

from __future__ import annotations

from typing import Any

from shapes.affine import Affine
from shapes.letters.font import MM_PER_PT, Outline, check_text, outlines, units_per_em
from shapes.path import Path
from sheets.page.model import Artwork, Fill, Page, Place, Stroke, Text
from sheets.write.baseline import text_start
from sheets.write.numbers import MM_PLACES, decimal, mm, places_for


def write_svg(page: Page, *, title: str, language: str) -> bytes:
    """The page as an SVG file in UTF-8: the same bytes for the same page.

    Args:
        title: what a viewer shows as the file's title.
        language: BCP 47 tag, such as ``en-US``.

    Raises:
        GlyphError: a text has a character that the page font lacks.
        ValueError: two different artworks of one id.
    """
    return _Writer(page, title, language).finish()


class PathData:
    """A pen that writes SVG path data, turning y over: ``y_down = height - y``.

    Args:
        height: of the page in mm; 0 for drawings with an origin of their own.
    """

    def __init__(self, height: float = 0.0, places: int = MM_PLACES) -> None:
        self.words: list[str] = []
        self._height = height
        self._places = places

    def _point(self, x: float, y: float) -> str:
        down = self._height - y
        if self._places == MM_PLACES:
            return f"{mm(x)} {mm(down)}"
        return f"{decimal(x, self._places)} {decimal(down, self._places)}"

    def move_to(self, x: float, y: float) -> None:
        self.words.append(f"M{self._point(x, y)}")

    def line_to(self, x: float, y: float) -> None:
        self.words.append(f"L{self._point(x, y)}")

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        p = self._point
        self.words.append(f"C{p(x1, y1)} {p(x2, y2)} {p(x3, y3)}")

    def close(self) -> None:
        self.words.append("Z")


def path_data(paths: tuple[Path, ...], height: float = 0.0, places: int = MM_PLACES) -> str:
    """The ``d`` attribute of one ``path`` element that holds all the paths."""
    pen = PathData(height, places)
    for path in paths:
        path.draw(pen)
    return " ".join(pen.words)


def _facts(mark: Stroke | Fill | Text | Place) -> dict[str, str]:
    """What the element says about its mark."""
    facts = {"class_": mark.role.value, "data-role": mark.role.value}
    if mark.id:
        facts["data-id"] = mark.id
    if mark.item:
        facts["data-item"] = str(mark.item)
    if not isinstance(mark, Text):
        facts.update((f"data-{name}", value) for name, value in mark.data)
    return facts


class _Writer:
    """One page in the making; everything that touches svgwrite."""

    def __init__(self, page: Page, title: str, language: str) -> None:
        import svgwrite

        width, height = mm(page.paper.width), mm(page.paper.height)
        # debug=True checks every attribute against a table: several times the work of writing.
        self._new = svgwrite.Drawing(
            size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
        )
        self._new["xml:lang"] = language
        self._new.set_desc(title=title)
        self._height = page.paper.height
        self._defined: dict[str, Artwork | None] = {}
        for mark in page.marks:
            self._new.add(self._mark(mark))

    def finish(self) -> bytes:
        text: str = self._new.tostring()
        return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()

    def _mark(self, mark: Stroke | Fill | Text | Place) -> Any:
        if isinstance(mark, Text):
            return self._text(mark)
        if isinstance(mark, Place):
            return self._place(mark)
        return self._drawing(mark, self._height, MM_PLACES, _facts(mark))

    # --- strokes and fills ------------------------------------------------------------------

    def _drawing(
        self, mark: Stroke | Fill, height: float, places: int, facts: dict[str, str]
    ) -> Any:
        data = path_data(mark.paths, height, places)
        if isinstance(mark, Fill):
            rule = {"fill-rule": "evenodd"} if mark.even_odd else {}
            return self._new.path(data, fill=mark.colour, **rule, **facts)
        look = self._line_look(mark, places)
        width = decimal(mark.width, places)
        if mark.lane is None or mark.width <= 2.0 * mark.lane.edge:
            facts = {**facts, "data-width": width}
            return self._new.path(
                data, stroke=mark.colour, **{"stroke-width": width}, **look, **facts
            )
        facts = {**facts, "data-width": width, "data-lane": decimal(mark.lane.edge, places)}
        lane = self._new.g(**look, **facts)
        inner = decimal(mark.width - 2.0 * mark.lane.edge, places)
        for colour, size in ((mark.colour, width), (mark.lane.tint, inner)):
            lane.add(self._new.path(data, stroke=colour, **{"stroke-width": size}))
        return lane

    def _line_look(self, stroke: Stroke, places: int) -> dict[str, str]:
        look = {"fill": "none", "stroke-linecap": stroke.cap, "stroke-linejoin": stroke.join}
        if stroke.join == "miter":
            look["stroke-miterlimit"] = f"{stroke.miter_limit:g}"
        if stroke.dash:
            look["stroke-dasharray"] = " ".join(decimal(part, places) for part in stroke.dash)
        return look

    # --- artwork ----------------------------------------------------------------------------

    def _place(self, place: Place) -> Any:
        artwork = place.artwork
        name = f"art-{artwork.id}"
        if name not in self._defined:
            self._defined[name] = artwork
            self._new.defs.add(self._artwork(artwork, name))
        elif self._defined[name] is not artwork and self._defined[name] != artwork:
            raise ValueError(f"two different artworks have the id {artwork.id!r}")
        # The definition has y turned over already, hence the signs.
        a, b, c, d, e, f = place.at
        matrix = _matrix(Affine(a, -b, -c, d, e, self._height - f))
        facts = {**_facts(place), "data-artwork": artwork.id}
        if artwork.alt:
            facts.update({"role": "img", "aria-label": artwork.alt})
        return self._new.use(f"#{name}", transform=matrix, **facts)

    def _artwork(self, artwork: Artwork, name: str) -> Any:
        places = places_for(max(artwork.bbox.width, artwork.bbox.height))
        group = self._new.g(id=name)
        for mark in artwork.marks:
            group.add(self._drawing(mark, 0.0, places, {}))
        return group

    # --- text -------------------------------------------------------------------------------

    def _text(self, text: Text) -> Any:
        drawn = check_text(text.text)
        at = text_start(text, drawn)
        scale = text.size_pt * MM_PER_PT / units_per_em()
        linear = [decimal(part * scale, 8) for part in (at.a, -at.b, -at.c, at.d)]
        matrix = f"matrix({' '.join(linear)} {mm(at.e)} {mm(self._height - at.f)})"
        group = self._new.g(
            transform=matrix,
            fill=text.colour,
            role="img",
            **_facts(text),
            **{
                "aria-label": drawn,
                "data-text": drawn,
                "data-size-pt": decimal(text.size_pt, 2),
                "data-anchor": text.anchor,
            },
        )
        for glyph in outlines(drawn):
            self._define(glyph)
            place = {"x": decimal(glyph.x, 2)} | ({"y": decimal(-glyph.y, 2)} if glyph.y else {})
            group.add(self._new.use(f"#glyph-{glyph.name}", **place))
        return group

    def _define(self, glyph: Outline) -> None:
        """Keep a glyph's outline once."""
        name = f"glyph-{glyph.name}"
        if name not in self._defined:
            self._defined[name] = None
            self._new.defs.add(self._new.path(path_data(glyph.paths), id=name))


def _matrix(m: Affine) -> str:
    linear = " ".join(decimal(part, 5) for part in m[:4])
    return f"matrix({linear} {mm(m.e)} {mm(m.f)})"
