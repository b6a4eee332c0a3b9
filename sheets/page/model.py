"""What a finished page is: marks with roles on paper, in mm, y up from the lower left corner.

Kinds build these objects, ``check`` measures them, renderers write them. Nothing here draws.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal

from shapes.affine import Affine
from shapes.ink import Cap, Join, Nib
from shapes.path import BBox, Path

Colour = str
"""``#rrggbb``, lower case."""

BLACK: Colour = "#000000"
WHITE: Colour = "#ffffff"
FURNITURE_GREY: Colour = "#767676"
"""Lightest grey that still has 4.5:1 contrast on white (WCAG 2 formula: 4.54)."""
ADULT_GREY: Colour = "#404040"
"""Of small type for the adult: 10.4:1 on white, and still not the black of what the child reads."""
LANE_TINT: Colour = "#dcdcdc"
MITER_LIMIT = 10.0
"""What PDF has where nothing is said (ISO 32000-1, table 52); the limit of SVG is 4."""

Anchor = Literal["start", "middle", "end"]
Stock = Literal["plain", "card"]
Use = Literal["paper", "consumed", "tool", "adult", "shared"]


class Role(str, Enum):
    """What a mark is for. Kept in SVG as ``data-role``; checks and tests find marks by it."""

    CUT = "cut"  # an outline or lane the child cuts
    ENTRY = "entry"  # the run-in from the paper edge to a closed outline, cut by the child too
    FOLD = "fold"  # a line the child folds and tears along
    TRACE = "trace"  # an outline to put a thing on or follow with a pencil
    TARGET = "target"
    CHOICE = "choice"
    LETTER = "letter"
    MODEL = "model"
    ANSWER_SPACE = "answer-space"
    ART = "art"
    CARD = "card"  # something that comes loose: its paper, and what is printed on it
    GUIDE = "guide"  # helps the hand: stop mark, start dot, direction arrow
    FURNITURE = "furniture"  # name line, title, measure bars
    ADULT = "adult"  # words and lines for the adult only (also lines an adult cuts beforehand)


@dataclass(frozen=True, slots=True)
class Lane:
    """A wide line drawn as two thin edges with a light tint between them.

    Args:
        edge: width of each edge line in mm, counted inside the stroke's full width.
        tint: colour between the edges.
    """

    edge: float = 0.5
    tint: Colour = LANE_TINT


@dataclass(frozen=True, slots=True)
class Stroke:
    """Lines of one width.

    With ``lane``, all paths are first stroked at ``width`` in ``colour`` and then at
    ``width - 2 * lane.edge`` in the tint, so that lanes that meet run into each other.

    Args:
        width: full width of the printed line in mm (for a lane: from outer edge to outer edge).
        dash: on/off lengths in mm; empty for a solid line.
        miter_limit: where a mitred corner becomes a bevel.
        data: further facts for readers of the SVG, kept as ``data-`` attributes.
        item: number of the task on the page that the mark belongs to, from 1; 0 for all of them.
    """

    paths: tuple[Path, ...]
    width: float
    role: Role
    id: str = ""
    colour: Colour = BLACK
    dash: tuple[float, ...] = ()
    lane: Lane | None = None
    cap: Cap = "round"
    join: Join = "round"
    data: tuple[tuple[str, str], ...] = ()
    item: int = 0
    miter_limit: float = MITER_LIMIT

    @property
    def nib(self) -> Nib:
        """What draws its lines."""
        return Nib(self.width, self.cap, self.join, self.miter_limit)


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled area; inner paths are holes under the even-odd rule."""

    paths: tuple[Path, ...]
    role: Role
    id: str = ""
    colour: Colour = BLACK
    even_odd: bool = False
    data: tuple[tuple[str, str], ...] = ()
    item: int = 0


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text in the page font.

    Args:
        x, y: anchor point on the baseline, mm.
        size_pt: type size in points (1 pt = 0.3528 mm).
        turn_deg: anticlockwise turn about the anchor point.
    """

    x: float
    y: float
    text: str
    size_pt: float
    role: Role
    id: str = ""
    colour: Colour = BLACK
    anchor: Anchor = "start"
    turn_deg: float = 0.0
    item: int = 0


@dataclass(frozen=True, slots=True)
class Artwork:
    """A drawing that is stored once per document and placed many times.

    Args:
        id: unique within the document; letters, digits, ``-`` and ``_``.
        marks: strokes and fills in the artwork's own mm, y up.
        bbox: box round all its ink, line widths included.
        credit: what must be printed where it is shown; empty if nothing.
        alt: words for readers who do not see it.
        remark: what the adult is told about it, not on the page; may be empty.
    """

    id: str
    marks: tuple[Stroke | Fill, ...]
    bbox: BBox
    credit: str = ""
    alt: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """One showing of an artwork; ``at`` maps its mm to page mm."""

    artwork: Artwork
    at: Affine
    role: Role = Role.ART
    id: str = ""
    data: tuple[tuple[str, str], ...] = ()
    item: int = 0


Mark = Stroke | Fill | Text | Place


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size in mm, upright unless turned."""

    name: str
    width: float
    height: float

    def turned(self) -> Paper:
        return Paper(self.name, self.height, self.width)

    @property
    def half(self) -> Paper:
        """What a cut across the middle leaves."""
        return Paper(f"half {self.name}", self.width, self.height / 2.0)

    @property
    def is_half(self) -> bool:
        return self.name.startswith("half ")


_NAMES = {
    "badge": "the small picture in the head",
    "bar-x": "the bar across",
    "bar-y": "the bar down",
    "say": "the line that says what to do",
}
"""Marks of every page, in words; other ids are words already."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One measured value against one limit. Speaks of the page, never of a child."""

    limit: str
    measured: float | str
    allowed: str
    unit: str
    basis: str  # "published" | "common practice" | "our setting"
    source: str
    outside: bool
    mark: str = ""

    def sentence(self) -> str:
        """Such as ``line width of outline 1: 3 mm; guidance 12.7 mm (published: a page)``."""
        value = f"{self.measured:.4g}" if isinstance(self.measured, float) else str(self.measured)
        unit = f" {self.unit}" if self.unit else ""
        source = f": {self.source}" if self.source else ""
        return (
            f"{self.limit}{self._of()} {value}{unit}; "
            f"guidance {self.allowed}{unit} ({self.basis}{source})"
        )

    def _of(self) -> str:
        """The mark in words: ``of outline 1``, ``between picture 1 and outline 1``."""
        names = [_NAMES.get(name, re.sub(r"-(?=\d)", " ", name)) for name in self.mark.split(", ")]
        if len(names) == 2:
            return f" between {names[0]} and {names[1]}:"
        return f" of {', '.join(names)}:" if self.mark else ""


@dataclass(frozen=True, slots=True)
class Page:
    """One side of paper.

    Args:
        label: what the PDF outline and page labels call it (no child's full name in file metadata).
        stock: kind of paper to print on.
        cuts: straight cuts through the paper that an adult makes, in their order.
        again: whether it can be used again: the child neither cuts, tears, draws nor glues on it.
    """

    paper: Paper
    marks: tuple[Mark, ...]
    label: str = ""
    stock: Stock = "plain"
    cuts: tuple[Cut, ...] = ()
    again: bool = False


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight cut of a trimmer, from edge to edge: ``at`` is y in mm if across, else x."""

    across: bool
    at: float


@dataclass(frozen=True, slots=True)
class Answer:
    """What one page of the key says, before it is put on paper.

    Args:
        text: the whole answer in one line of plain words; empty if it takes the picture.
        marks: the picture, on a page of ``paper``.
        notes: lines for the adult.
        title: of the sheet, or of the page if it has one of its own.
        draft: says that words of the page are not checked; empty if they are.
        credit: of the pictures; may be empty.
    """

    text: str
    marks: tuple[Mark, ...]
    notes: tuple[str, ...]
    title: str
    paper: Paper
    draft: str = ""
    credit: str = ""


@dataclass(frozen=True, slots=True)
class CardSet:
    """Cards of one size that come loose, apart from the page they could be printed on.

    Args:
        what: what they are called, such as ``tiles``.
        width, height: of a card, mm.
        gutter: gap between neighbours; 0 lets them share a cut.
        faces: what is printed on each card, whose lower left corner is at (0, 0).
    """

    what: str
    width: float
    height: float
    gutter: float
    faces: tuple[tuple[Mark, ...], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a kind returns: the child's pages, the adult's key, and what an adult needs to know.

    Args:
        cards: loose cards that are not on a page, if they were asked for apart.
        parameters: the ladder values that made this page (lane, length, pieces ...), for records.
        adult_lines: short remarks already printed at the foot of the pages.
        answers: what the pages of the key say, one each.
        remarks: what the adult is told about the pictures, on no page.
    """

    kind: str
    skill: str
    stage: int
    title: str
    pages: tuple[Page, ...]
    key: tuple[Page, ...] = ()
    answers: tuple[Answer, ...] = ()
    cards: tuple[CardSet, ...] = ()
    materials: tuple[Material, ...] = ()
    preparation: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    parameters: Mapping[str, object] = field(default_factory=dict)
    adult_lines: tuple[str, ...] = ()
    language: str = "en"
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Material:
    """A thing to have on the table: how many, and of what.

    Args:
        use: ``paper`` is printed, ``consumed`` is used up, a ``tool`` is had by each child, things
            that are ``shared`` stand on the table for all, and only the ``adult`` has the last.
        caution: id of its usual caution; may be empty.
    """

    name: str
    quantity: float
    use: Use
    caution: str = ""
