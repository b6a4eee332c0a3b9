"""Reads an SVG drawing into shapes: paths with fill and stroke, y up, ready to measure or print.

A teacher's own file is foreign input, so whatever could run, load or multiply is refused with one
clear line. Text, masks and filters are no outlines to follow: they are left out and named in
:attr:`Drawing.ignored`, so that a caller can say so.

Source: Scalable Vector Graphics (SVG) 2, W3C Candidate Recommendation, 2018.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.path import BBox, Path
from shapes.svg.basic import BASIC_SHAPES, draw_basic, read_lengths
from shapes.svg.drawing import Drawing, Shape
from shapes.svg.guard import (
    MAX_ELEMENTS,
    URL_RE,
    XLINK_HREF,
    local_name,
    parse,
    refuse_hostile,
    too_many,
)
from shapes.svg.paint import Paints, is_a_point, read_cap, read_dash, read_join
from shapes.svg.path import MAX_COORDINATE, PathBuilder, SegmentBudget, read_path
from shapes.svg.style import StyleSheet
from shapes.svg.values import (
    MM_PER_PX,
    fit_viewbox,
    is_zero,
    read_declarations,
    read_length,
    read_transform,
    read_viewbox,
)

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from shapely import Geometry

__all__ = ["Drawing", "Shape", "read_svg"]

MAX_DEPTH = 64
MAX_TEXT = 20_000_000
"""Most characters of geometry to read, counted again each time an element is used."""

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
    "clip-rule": "nonzero",
    "fill-opacity": "1",
    "stroke-opacity": "1",
    "color": "#000000",
    "visibility": "visible",
}
# Changes of the picture that are not drawn here but must not pass unnoticed.
_EFFECTS = ("mask", "filter", "marker-start", "marker-mid", "marker-end")
_MAX_MATRIX = 1e9
_EVEN = 1e-3
"""A map that stretches one way by less than this share more than another leaves lines as wide."""
_OWN = ("display", "opacity", "clip-path", "stop-color", "stop-opacity", *_EFFECTS)
_OF_A_CLIP = {"fill": "#000000", "stroke": "none", "fill-opacity": "1"}


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
    clip: Geometry | None = None
    in_clip: bool = False


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
        self._sheet = StyleSheet(root)
        self._by_id: dict[str, Element] = {}
        self._declared: dict[Element, dict[str, str]] = {}
        for element in root.iter():
            if "id" in element.attrib:
                self._by_id.setdefault(element.attrib["id"], element)
        if self._sheet.skipped:
            self._ignored.add("style rule")
        self._paints = Paints(self._by_id, self._own_style, self._ignored)

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
        inner = replace(
            state,
            style=style,
            matrix=matrix,
            data=tuple(data.items()),
            classes=classes,
            depth=state.depth + 1,
        )
        return self._clip(own["clip-path"], inner) if "clip-path" in own else inner

    def _clip(self, value: str, state: _State) -> _State:
        """The state within a clip path."""
        match = URL_RE.match(value)
        name = match[1][1:] if match else ""
        target = self._by_id.get(name)
        if target is None or local_name(target) != "clipPath" or name in state.using:
            if value != "none":
                self._ignored.add("clip-path")
            return state
        if target.get("clipPathUnits") == "objectBoundingBox":
            self._ignored.add("clip-path")
            return state
        from shapes.svg.clip import clip_area

        outside, self._shapes = self._shapes, []
        using = (*state.using, name)
        self._container(target, replace(state, clip=None, in_clip=True, using=using))
        area, self._shapes = clip_area(self._shapes), outside
        if state.clip is not None:
            area = area.intersection(state.clip)
        return replace(state, clip=area)

    def _own_style(self, element: Element) -> dict[str, str]:
        """What attributes, rules and ``style`` say of the element, without ``inherit``."""
        if element not in self._declared:
            attributes = element.attrib
            own = {k: attributes[k].strip() for k in (*_INHERITED, *_OWN) if k in attributes}
            normal, important = self._sheet.declarations(element)
            own |= normal
            own |= read_declarations(attributes.get("style", ""))
            own |= important
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
        least = min(width, height)
        if least <= 0 and all(state.viewport):
            return  # SVG 1.1, 5.1.2: a size of 0 hides it; but a share of an unknown one does not
        if "viewBox" in element.attrib:
            box = read_viewbox(element.attrib["viewBox"])
            if least > 0:
                ratio = element.get("preserveAspectRatio", "")
                fitted = fit_viewbox(box, width, height, ratio)
                inner = replace(inner, matrix=fitted.then(inner.matrix))
            width, height = box[2:]
        self._container(element, replace(inner, viewport=(width, height)))

    # --- shapes -----------------------------------------------------------------------------

    def _shape(self, element: Element, tag: str, state: _State) -> None:
        style, matrix = state.style, state.matrix
        if state.in_clip:
            style = {**style, **_OF_A_CLIP, "fill-rule": style["clip-rule"]}
        if style["visibility"] != "visible" or abs(matrix.determinant) < 1e-12:
            return
        fill, stroke = (
            self._paints.colour(style, name, _INHERITED[name]) for name in ("fill", "stroke")
        )
        fill = None if tag == "line" else fill
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
            paths = tuple(path for path in paths if not is_a_point(path))
        if not paths:
            return
        shape = Shape(
            paths,
            fill,
            stroke,
            width,
            read_cap(style["stroke-linecap"]),
            read_join(style["stroke-linejoin"]),
            read_dash(style["stroke-dasharray"], diagonal, matrix.scale) if stroke else (),
            max(1.0, read_length(style["stroke-miterlimit"], 1.0)),
            style["fill-rule"] == "evenodd",
            state.group,
            element.get("id", ""),
            state.data,
            state.classes,
        )
        self._shapes += self._evenly(shape, element, tag, state)

    def _evenly(self, shape: Shape, element: Element, tag: str, state: _State) -> Iterable[Shape]:
        """The shape within its clip, its lines as wide one way as another."""
        shapes: Iterable[Shape] = (shape,)
        if shape.stroke is not None and not state.matrix.is_similarity(_EVEN):
            from shapes.svg.clip import unevenly_wide

            nib = replace(shape.nib, width=shape.stroke_width / state.matrix.scale)
            before = self._paths(element, tag, replace(state, matrix=Affine()))
            shapes = list(unevenly_wide(shape, before, nib, state.matrix))
            self._ignored.update(["dashes"] if shape.dash else [])
        if state.clip is not None:
            from shapes.svg.clip import clipped

            shapes = [part for each in shapes for part in clipped(each, state.clip)]
        return shapes

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
