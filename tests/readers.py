"""Readers of finished PDF files that share no code with the writer: what is on the page, in mm.

Content streams are taken apart by pikepdf and followed here operator by operator (matrices, saved
states, form XObjects), as ISO 32000-1 says; text comes from pdfium.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import pikepdf
import pypdfium2

MM_PER_POINT = 25.4 / 72.0
_CURVE_STEPS = 64

Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]


@dataclass(frozen=True)
class Drawn:
    """One painting of a path, in page mm, y up.

    Args:
        painted: ``stroke``, ``fill`` or ``fill-even-odd``.
        width: line width in mm (strokes).
        dash: on/off lengths in mm.
        colour: parts of 1, as red, green, blue.
        operators: such as ``("m", (10.0, 20.0))``, ``("c", (x1, y1, ... y3))``, ``("h", ())``.
        form: name of the form XObject it was drawn by, empty if by the page itself.
    """

    painted: str
    width: float
    dash: tuple[float, ...]
    cap: int
    join: int
    colour: tuple[float, float, float]
    operators: tuple[tuple[str, tuple[float, ...]], ...]
    form: str = ""

    def polylines(self) -> list[list[Point]]:
        """Each subpath as points; curves in 64 chords, closed ones back at their start."""
        lines: list[list[Point]] = []
        for name, numbers in self.operators:
            if name == "m":
                lines.append([(numbers[0], numbers[1])])
            elif name == "l":
                lines[-1].append((numbers[0], numbers[1]))
            elif name == "c":
                lines[-1].extend(_curve(lines[-1][-1], numbers))
            else:
                lines[-1].append(lines[-1][0])
        return lines

    @property
    def length(self) -> float:
        """Length of all subpaths in mm."""
        return sum(math.dist(a, b) for line in self.polylines() for a, b in _pairs(line))

    @property
    def box(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of the line's centre in mm."""
        points = [point for line in self.polylines() for point in line]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return (min(xs), min(ys), max(xs), max(ys))


def _pairs(line: list[Point]) -> Iterator[tuple[Point, Point]]:
    return itertools.pairwise(line)


def _curve(start: Point, numbers: tuple[float, ...]) -> Iterator[Point]:
    for step in range(1, _CURVE_STEPS + 1):
        t = step / _CURVE_STEPS
        s = 1.0 - t
        weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
        xs = (start[0], numbers[0], numbers[2], numbers[4])
        ys = (start[1], numbers[1], numbers[3], numbers[5])
        yield (
            sum(w * x for w, x in zip(weights, xs, strict=True)),
            sum(w * y for w, y in zip(weights, ys, strict=True)),
        )


@dataclass(frozen=True)
class _State:
    matrix: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    width: float = 1.0
    dash: tuple[float, ...] = ()
    cap: int = 0
    join: int = 0
    stroke: tuple[float, float, float] = (0.0, 0.0, 0.0)
    fill: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def scale(self) -> float:
        a, b, c, d, _e, _f = self.matrix
        return math.sqrt(abs(a * d - b * c))


def _first_then(first: Sequence[float], outer: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    oa, ob, oc, od, oe, of = outer
    return (
        a * oa + b * oc,
        a * ob + b * od,
        c * oa + d * oc,
        c * ob + d * od,
        e * oa + f * oc + oe,
        e * ob + f * od + of,
    )


def opened(data: bytes) -> pikepdf.Pdf:
    """The file for a closer look; close it."""
    return pikepdf.open(io.BytesIO(data))


def content(data: bytes, page: int = 0) -> list[str]:
    """The lines of a page's content stream, as they are."""
    with opened(data) as pdf:
        return pdf.pages[page].Contents.read_bytes().decode("ascii").split("\n")


def drawn(data: bytes, page: int = 0) -> list[Drawn]:
    """Everything painted on a page except text, in the order it is painted."""
    with opened(data) as pdf:
        return list(_paint(pdf.pages[page].obj, _State(), ""))


def strokes(data: bytes, page: int = 0) -> list[Drawn]:
    """The stroked paths of a page."""
    return [mark for mark in drawn(data, page) if mark.painted == "stroke"]


def bars(data: bytes, page: int = 0) -> list[float]:
    """Lengths in mm of all straight upright or level lines of two points, longest first."""
    found = []
    for mark in strokes(data, page):
        for line in mark.polylines():
            if len(line) == 2:
                (x0, y0), (x1, y1) = line
                if abs(x0 - x1) < 0.005 or abs(y0 - y1) < 0.005:
                    found.append(math.dist(*line))
    return sorted(found, reverse=True)


def page_sizes(data: bytes) -> list[tuple[float, float]]:
    """Width and height of every page in mm."""
    with opened(data) as pdf:
        boxes = [[float(side) for side in page.mediabox] for page in pdf.pages]
    return [((x1 - x0) * MM_PER_POINT, (y1 - y0) * MM_PER_POINT) for x0, y0, x1, y1 in boxes]


def texts(data: bytes, page: int = 0) -> list[str]:
    """The lines of text a page yields when it is copied or searched."""
    with pypdfium2.PdfDocument(data) as pdf:
        found: str = pdf[page].get_textpage().get_text_range()
    return found.splitlines()


def text_boxes(data: bytes, page: int = 0) -> list[tuple[float, float, float, float]]:
    """x0, y0, x1, y1 in mm round the ink of every character but spaces, in reading order."""
    with pypdfium2.PdfDocument(data) as pdf:
        found = pdf[page].get_textpage()
        boxes = [
            found.get_charbox(i)
            for i in range(found.count_chars())
            if found.get_text_range(i, 1).strip()
        ]
    return [
        (x0 * MM_PER_POINT, y0 * MM_PER_POINT, x1 * MM_PER_POINT, y1 * MM_PER_POINT)
        for x0, y0, x1, y1 in boxes
    ]


_PAINTINGS = {
    "S": ["stroke"],
    "s": ["stroke"],
    "f": ["fill"],
    "F": ["fill"],
    "f*": ["fill-even-odd"],
    "B": ["fill", "stroke"],
    "B*": ["fill-even-odd", "stroke"],
    "b": ["fill", "stroke"],
    "b*": ["fill-even-odd", "stroke"],
    "n": [],
}
_IGNORED = {"BT", "ET", "Tf", "Td", "Tm", "Tj", "TJ", "TL", "Tr", "Tc", "Tw"}


def _paint(source: pikepdf.Object, state: _State, form: str) -> Iterator[Drawn]:
    saved: list[_State] = []
    path: list[tuple[str, tuple[float, ...]]] = []
    for instruction in pikepdf.parse_content_stream(source):
        name = str(instruction.operator)
        operands = list(instruction.operands)
        if name == "Do":
            yield from _form(source, str(operands[0]), state)
        elif name == "q":
            saved.append(state)
        elif name == "Q":
            state = saved.pop()
        elif name in ("m", "l", "c"):
            path.append((name, _to_page([float(o) for o in operands], state.matrix)))
        elif name == "h":
            path.append(("h", ()))
        elif name in _PAINTINGS:
            if name in ("s", "b", "b*"):
                path.append(("h", ()))
            for painted in _PAINTINGS[name]:
                yield _mark(painted, path, state, form)
            path = []
        elif name not in _IGNORED:
            state = _changed(state, name, operands)
    assert not saved, "q without Q"


def _mark(
    painted: str, path: list[tuple[str, tuple[float, ...]]], state: _State, form: str
) -> Drawn:
    to_mm = state.scale * MM_PER_POINT
    return Drawn(
        painted,
        state.width * to_mm,
        tuple(part * to_mm for part in state.dash),
        state.cap,
        state.join,
        state.stroke if painted == "stroke" else state.fill,
        tuple(path),
        form,
    )


def _to_page(numbers: list[float], matrix: Matrix) -> tuple[float, ...]:
    a, b, c, d, e, f = matrix
    out: list[float] = []
    for x, y in zip(numbers[0::2], numbers[1::2], strict=True):
        out += [(a * x + c * y + e) * MM_PER_POINT, (b * x + d * y + f) * MM_PER_POINT]
    return tuple(out)


def _changed(state: _State, name: str, operands: list[pikepdf.Object]) -> _State:
    if name == "d":
        return replace(state, dash=tuple(float(part) for part in operands[0].as_list()))
    numbers = [float(operand) for operand in operands]
    if name == "cm":
        return replace(state, matrix=_first_then(numbers, state.matrix))
    if name == "w":
        return replace(state, width=numbers[0])
    if name == "J":
        return replace(state, cap=int(numbers[0]))
    if name == "j":
        return replace(state, join=int(numbers[0]))
    if name in ("G", "RG"):
        return replace(state, stroke=_three(numbers))
    if name in ("g", "rg"):
        return replace(state, fill=_three(numbers))
    raise AssertionError(f"operator this reader does not know: {name}")


def _three(numbers: list[float]) -> tuple[float, float, float]:
    red, green, blue = numbers * 3 if len(numbers) == 1 else numbers
    return (red, green, blue)


def _form(source: pikepdf.Object, name: str, state: _State) -> Iterator[Drawn]:
    form = source.Resources.XObject[name]
    assert form.Subtype == "/Form"
    matrix = [float(part) for part in form.get("/Matrix", [1, 0, 0, 1, 0, 0])]
    inner = replace(state, matrix=_first_then(matrix, state.matrix))
    yield from _paint(form, inner, name)
