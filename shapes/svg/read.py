"""Reads an SVG drawing into shapes: paths with fill and stroke, y up, ready to measure or print.

A teacher's own file is foreign input, so whatever could run, load or multiply is refused with one
clear line. Text, clips and masks are no outlines to follow: they are left out and named in
:attr:`Drawing.ignored`, so that a caller can say so.

Source: Scalable Vector Graphics (SVG) 2, W3C Candidate Recommendation, 2018.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.ink import Cap, Join, Nib
from shapes.path import Arc, BBox, Line, Path
from shapes.svg.basic import BASIC_SHAPES, draw_basic, read_lengths
from shapes.svg.guard import (
    MAX_ELEMENTS,
    URL_RE,
    XLINK_HREF,
    local_name,
    parse,
    refuse_hostile,
    too_many,
)
from shapes.svg.path import MAX_COORDINATE, PathBuilder, SegmentBudget, read_path
from shapes.svg.values import (
    MM_PER_PX,
    StyleSheet,
    fit_viewbox,
    is_zero,
    read_colour,
    read_declarations,
    read_length,
    read_transform,
    read_viewbox,
)

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MAX_DEPTH = 64
MAX_TEXT = 20_000_000
"""Most characters of geometry to read, counted again each time an element is used."""

GRADIENT_GREY = "#808080"
"""Stands for any gradient or pattern: a page has to work in black and white anyway."""

# Elements that draw nothing where they stand.
_GROUNDWORK = ("defs", "symbol", "title", "desc", "metadata", "style", "view")
_PAINTS = ("lineargradient", "radialgradient", "pattern", "solidcolor")
_SILENT = frozenset((*_GROUNDWORK, *_PAINTS, "clippath", "mask", "filter", "marker"))
_INHERITED = {
    "fill": "#000000",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-dasharray": "none",
    "fill-rule": "nonzero",
    "fill-opacity": "1",
    "stroke-opacity": "1",
    "color": "#000000",
    "visibility": "visible",
}
# Changes of the picture that are not drawn here but must not pass unnoticed.
_EFFECTS = ("clip-path", "mask", "filter", "marker-start", "marker-mid", "marker-end")
_MAX_MATRIX = 1e9
_SHORTEST_DASH = 1e-3
_OWN = ("display", "opacity", *_EFFECTS)


@dataclass(frozen=True, slots=True)
class Shape:
    """One drawn element.

    Args:
        paths: its subpaths, y up, in user units of the drawing.
        fill, stroke: ``#rrggbb`` or None for none.
        stroke_width: in user units of the drawing, transforms included; 0 without a stroke.
        dash: on/off lengths in user units; empty for a solid line.
        miter_limit: where a mitred corner becomes a bevel (SVG ``stroke-miterlimit``).
        even_odd: inner paths are holes under the even-odd rule, else under the nonzero rule.
        group: id of the outermost ``<g>`` it is in, such as ``line``; else empty.
        data: ``data-`` attributes without that prefix, those of its groups included; the innermost
            wins.
        classes: its classes after those of its groups.
    """

    paths: tuple[Path, ...]
    fill: str | None
    stroke: str | None
    stroke_width: float
    cap: Cap = "butt"
    join: Join = "miter"
    dash: tuple[float, ...] = ()
    miter_limit: float = 4.0
    even_odd: bool = False
    group: str = ""
    id: str = ""
    data: tuple[tuple[str, str], ...] = ()
    classes: tuple[str, ...] = ()

    @property
    def nib(self) -> Nib:
        """What draws its lines."""
        return Nib(self.stroke_width, self.cap, self.join, self.miter_limit)


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG file as shapes, in the order they are painted.

    Args:
        shapes: at least one; the lower left corner of the viewBox is the origin, y up.
        mm_per_unit: true size of one user unit, None if the file gives none.
        width_mm, height_mm: size of the whole sheet, None if the file gives none.
        view: the viewBox, from (0, 0); None if the file has neither viewBox nor size.
        groups: ids of the outermost groups, in order.
        ignored: what was left out, such as ``text`` or ``mask``, sorted.
    """

    shapes: tuple[Shape, ...]
    mm_per_unit: float | None
    width_mm: float | None
    height_mm: float | None
    view: BBox | None
    groups: tuple[str, ...]
    ignored: tuple[str, ...]


def read_svg(data: bytes, where: str) -> Drawing:
    """Read an SVG file.

    Args:
        data: the bytes of the file.
        where: file name for messages.

    Raises:
        PictureError: for everything that is not a plain drawing: not XML, not SVG, nothing to draw,
            too large, or content that is refused (scripts, images, outside references, DTDs).
    """
    try:
        root = parse(data)
        refuse_hostile(root)
        return _Reader(root).drawing()
    except PictureError as error:
        raise PictureError(error.what, where=where, fix=error.fix) from None


@dataclass(frozen=True, slots=True)
class _State:
    """What an element inherits from the elements it is in."""

    style: dict[str, str]
    matrix: Affine
    viewport: tuple[float, float]
    group: str = ""
    data: tuple[tuple[str, str], ...] = ()
    classes: tuple[str, ...] = ()
    depth: int = 0
    using: tuple[str, ...] = ()


class _Reader:
    """Walks the tree of one file and collects its shapes."""

    def __init__(self, root: Element) -> None:
        self._root = root
        self._segments = SegmentBudget()
        self._elements = 0
        self._text = 0
        self._shapes: list[Shape] = []
        self._ignored: set[str] = set()
        self._groups: list[str] = []
        self._sheet = StyleSheet()
        self._by_id: dict[str, Element] = {}
        self._declared: dict[Element, dict[str, str]] = {}
        for element in root.iter():
            if local_name(element) == "style":
                self._sheet.add("".join(element.itertext()))
            if "id" in element.attrib:
                self._by_id.setdefault(element.attrib["id"], element)
        if self._sheet.skipped:
            self._ignored.add("style rule")

    def drawing(self) -> Drawing:
        view, mm_per_unit, matrix = self._frame()
        size = (view.width, view.height) if view else (0.0, 0.0)
        self._container(self._root, _State(dict(_INHERITED), matrix, size))
        if not self._shapes:
            raise PictureError("has nothing to draw", fix="convert text and images to shapes")
        return Drawing(
            tuple(self._shapes),
            mm_per_unit,
            view.width * mm_per_unit if view and mm_per_unit else None,
            view.height * mm_per_unit if view and mm_per_unit else None,
            view,
            tuple(self._groups),
            tuple(sorted(self._ignored)),
        )

    def _frame(self) -> tuple[BBox | None, float | None, Affine]:
        """View of the file, mm per user unit, and the map that turns y up."""
        sizes: list[float | None] = []
        for name in ("width", "height"):
            text = self._root.get(name, "auto").strip()
            relative = text == "auto" or text.endswith("%")
            sizes.append(None if relative else read_length(text, 0.0))
        if any(size is not None and size <= 0 for size in sizes):
            raise PictureError("has no size: its width or height is 0", fix="save it again")
        width, height = sizes
        if "viewBox" not in self._root.attrib:
            mm = MM_PER_PX if width or height else None
            view = BBox(0.0, 0.0, width, height) if width and height else None
            return view, mm, Affine(d=-1.0, f=height or 0.0)
        x, y, w, h = read_viewbox(self._root.attrib["viewBox"])
        factors = [size / side for size, side in ((width, w), (height, h)) if size]
        mm = min(factors) * MM_PER_PX if factors else None
        return BBox(0.0, 0.0, w, h), mm, Affine(d=-1.0, e=-x, f=y + h)

    # --- walking ----------------------------------------------------------------------------

    def _container(self, element: Element, state: _State) -> None:
        """An element that is known to be drawn, and what is in it."""
        inner = self._enter(element, state)
        if inner is None:
            return
        # Of a switch, the first child stands for all.
        count = 1 if local_name(element) == "switch" else None
        for child in itertools.islice(element, count):
            self._element(child, inner)

    def _element(self, element: Element, state: _State) -> None:
        tag = local_name(element)
        if tag in ("g", "a", "switch"):
            if tag == "g" and state.depth == 1:
                group = element.get("id", "")
                if group:
                    self._groups.append(group)
                state = replace(state, group=group)
            self._container(element, state)
        elif tag == "svg":
            self._viewport(element, state, element)
        elif tag == "use":
            self._use(element, state)
        elif tag == "path" or tag in BASIC_SHAPES:
            inner = self._enter(element, state)
            if inner is not None:
                self._shape(element, tag, inner)
        elif tag and tag.lower() not in _SILENT:
            self._ignored.add(tag)

    def _enter(self, element: Element, state: _State) -> _State | None:
        """State inside the element; None if neither it nor anything in it is drawn."""
        self._elements += 1
        if self._elements > MAX_ELEMENTS:
            raise too_many()
        if state.depth > MAX_DEPTH:
            raise PictureError(
                f"is nested more than {MAX_DEPTH} levels deep", fix="ungroup the drawing"
            )
        own = self._own_style(element)
        if own.get("display") == "none" or is_zero(own.get("opacity", "1")):
            return None
        self._ignored.update(name for name in _EFFECTS if own.get(name, "none") != "none")
        matrix = state.matrix
        if "transform" in element.attrib:
            self._spend_text(element.attrib["transform"])
            matrix = read_transform(element.attrib["transform"]).then(matrix)
        if not all(abs(value) <= _MAX_MATRIX for value in matrix):  # NaN fails too
            raise PictureError("has a transform that is too large", fix="scale the drawing down")
        data = dict(state.data)
        data.update((k[5:], v) for k, v in element.attrib.items() if k.startswith("data-"))
        style = {**state.style, **{k: own[k] for k in own.keys() & _INHERITED.keys()}}
        classes = tuple(dict.fromkeys((*state.classes, *element.get("class", "").split())))
        return replace(
            state,
            style=style,
            matrix=matrix,
            data=tuple(data.items()),
            classes=classes,
            depth=state.depth + 1,
        )

    def _own_style(self, element: Element) -> dict[str, str]:
        """What attributes, rules and ``style`` say of the element, without ``inherit``."""
        if element not in self._declared:
            attributes = element.attrib
            own = {k: attributes[k].strip() for k in (*_INHERITED, *_OWN) if k in attributes}
            classes = attributes.get("class", "").split()
            own |= self._sheet.declarations(local_name(element), attributes.get("id", ""), classes)
            own |= read_declarations(attributes.get("style", ""))
            own = {k: v for k, v in own.items() if v and v != "inherit"}
            self._declared[element] = own
        return self._declared[element]

    def _use(self, element: Element, state: _State) -> None:
        target_id = (element.get("href") or element.get(XLINK_HREF) or "").strip()[1:]
        target = self._by_id.get(target_id)
        if target is None:
            self._ignored.add("use")
            return
        if target_id in state.using:
            raise PictureError(
                f"has a <use> that refers to itself ('#{target_id[:24]}')",
                fix="save it as plain SVG without clones",
            )
        inner = self._enter(element, replace(state, using=(*state.using, target_id)))
        if inner is None:
            return
        x, y = read_lengths(element, inner.viewport, "x", "y")
        inner = replace(inner, matrix=Affine.translation(x, y).then(inner.matrix))
        if local_name(target) in ("symbol", "svg"):
            self._viewport(target, inner, element)
        else:
            # One level down: a <g> shown by <use> is no outermost group of the file.
            self._element(target, inner)

    def _viewport(self, element: Element, state: _State, sized: Element) -> None:
        """A nested ``svg`` or a ``symbol``; the ``use`` that shows it may give its size."""
        inner = state
        if element is sized:
            x, y = read_lengths(element, state.viewport, "x", "y")
            inner = replace(state, matrix=Affine.translation(x, y).then(state.matrix))
        width, height = (
            read_length(sized.get(name) or element.get(name) or "100%", full)
            for name, full in zip(("width", "height"), state.viewport, strict=True)
        )
        if "viewBox" in element.attrib:
            box = read_viewbox(element.attrib["viewBox"])
            if width > 0 and height > 0:
                ratio = element.get("preserveAspectRatio", "")
                fitted = fit_viewbox(box, width, height, ratio)
                inner = replace(inner, matrix=fitted.then(inner.matrix))
            width, height = box[2:]
        self._container(element, replace(inner, viewport=(width, height)))

    # --- shapes -----------------------------------------------------------------------------

    def _shape(self, element: Element, tag: str, state: _State) -> None:
        style, matrix = state.style, state.matrix
        if style["visibility"] != "visible" or abs(matrix.determinant) < 1e-12:
            return
        fill = None if tag == "line" else self._paint(style, "fill")
        stroke = self._paint(style, "stroke")
        diagonal = sum(side * side for side in state.viewport) ** 0.5 / 2**0.5
        width = read_length(style["stroke-width"], diagonal) * matrix.scale if stroke else 0.0
        if width > MAX_COORDINATE:
            raise PictureError("has a line that is too wide", fix="make it narrower")
        if width <= 0:
            stroke, width = None, 0.0
        if fill is None and stroke is None:
            return
        paths = self._paths(element, tag, state)
        if stroke is None or style["stroke-linecap"] == "butt":
            # Only the caps of a line without length can be seen (SVG 2, 13.5.4).
            paths = tuple(path for path in paths if not _is_a_point(path))
        if not paths:
            return
        self._shapes.append(
            Shape(
                paths,
                fill,
                stroke,
                width,
                _cap(style["stroke-linecap"]),
                _join(style["stroke-linejoin"]),
                self._dash(style["stroke-dasharray"], diagonal, matrix) if stroke else (),
                max(1.0, read_length(style["stroke-miterlimit"], 1.0)),
                style["fill-rule"] == "evenodd",
                state.group,
                element.get("id", ""),
                state.data,
                state.classes,
            )
        )

    def _paint(self, style: dict[str, str], name: str) -> str | None:
        if is_zero(style[f"{name}-opacity"]):
            return None
        value = style[name]
        if value.lower().startswith("url("):
            match = URL_RE.match(value)
            if match and match[1][1:] in self._by_id:
                return GRADIENT_GREY
            value = value.partition(")")[2].strip() or "none"
        if value.lower() == "currentcolor":
            value = style["color"]
        colour = read_colour(value)
        if colour is None:
            self._ignored.add("colour")
            colour = read_colour(_INHERITED[name])
        return None if colour == "none" else colour

    def _dash(self, text: str, diagonal: float, matrix: Affine) -> tuple[float, ...]:
        if text == "none":
            return ()
        lengths = [read_length(part, diagonal) for part in re.split(r"[\s,]+", text) if part]
        scaled = tuple(length * matrix.scale for length in lengths)
        if min(scaled, default=0.0) < 0 or sum(scaled) < _SHORTEST_DASH:
            return ()  # SVG 2, 13.5.6: a solid line; so are dashes nobody could see
        return scaled * 2 if len(scaled) % 2 else scaled

    def _spend_text(self, text: str) -> None:
        self._text += len(text)
        if self._text > MAX_TEXT:
            raise PictureError("draws the same parts too often", fix="simplify the drawing")

    def _paths(self, element: Element, tag: str, state: _State) -> tuple[Path, ...]:
        if tag == "path":
            data = element.get("d", "")
            self._spend_text(data)
            return read_path(data, state.matrix, self._segments)
        self._spend_text(element.get("points", ""))
        pen = PathBuilder(state.matrix, self._segments)
        draw_basic(pen, element, tag, state.viewport)
        return pen.paths()


def _cap(text: str) -> Cap:
    return "round" if text == "round" else "square" if text == "square" else "butt"


def _join(text: str) -> Join:
    return "round" if text == "round" else "bevel" if text == "bevel" else "miter"


def _is_a_point(path: Path) -> bool:
    """Whether a path has no length; told by its corners, as measuring takes long."""
    return all(
        segment.length() == 0.0
        if isinstance(segment, Arc)
        else segment.start == segment.end
        and (isinstance(segment, Line) or segment.start == segment.c1 == segment.c2)
        for segment in path.segments
    )
