"""Paper sizes, PDF units and true lengths, in files as the command writes them.

Sources: ISO 216 (A series), ANSI/ASME Y14.1 size A (Letter, from memory), ISO 32000-1:2008 (PDF
1.7): 8.3.2.3 user space, 12.2 viewer preferences with table 150, 14.11.2 page boundaries (clause
numbers from memory). The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
The A6 and A7 cards of the footprints are checked in ``test_footprints``.
"""

from __future__ import annotations

import itertools
import math

import pypdfium2
import pytest

from sheets.page.frame import A4, LETTER, PAPERS
from tests.outside.written import NAMES, PACKET_NAMES, command, packet, sheet
from tests.readers import MM_PER_POINT, Drawn, opened, strokes

IN_MM = 25.4
POINTS = {"letter": (612.0, 792.0), "a4": (595.2756, 841.8898)}
"""8.5 x 11 in at 72 points to the inch; 210 x 297 mm at 72 / 25.4 points to the millimetre."""


# --- paper ----------------------------------------------------------------------------------------


def test_a4_follows_from_the_definition_of_the_a_series() -> None:
    """ISO 216: A0 has one square metre and sides as 1 to the square root of 2, in whole mm; each
    further size halves the longer side, rounded down."""
    long, short = round(1000 * 2**0.25), round(1000 / 2**0.25)
    assert (long, short) == (1189, 841)
    assert long * short / 1e6 == pytest.approx(1.0, abs=0.001)
    for _ in range(4):
        long, short = short, long // 2

    assert (A4.width, A4.height) == (short, long) == (210, 297)
    # Whole millimetres move the ratio by less than half a millimetre on the longer side.
    assert A4.height == pytest.approx(A4.width * math.sqrt(2.0), abs=0.5)


def test_half_an_a4_sheet_has_its_shape_again() -> None:
    assert (A4.height / 2) * math.sqrt(2.0) == pytest.approx(A4.width, abs=0.5)


def test_letter_is_eight_and_a_half_by_eleven_inches() -> None:
    assert LETTER.width == pytest.approx(8.5 * IN_MM)
    assert LETTER.height == pytest.approx(11 * IN_MM)


# --- files ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*NAMES, *PACKET_NAMES])
def test_pages_are_paper_at_72_units_to_the_inch_and_ask_for_actual_size(name: str) -> None:
    data = packet(name) if name in PACKET_NAMES else sheet(name)
    width, height = POINTS["a4" if name.endswith("a4") else "letter"]
    with opened(data) as pdf:
        pages = [page.obj for page in pdf.pages]
        wishes = pdf.Root.ViewerPreferences
        version = tuple(map(int, pdf.pdf_version.split(".")))
        boxes = [[float(side) for side in page.MediaBox] for page in pages]
        for page in pages:
            # 8.3.2.3: the unit is 1/72 inch unless the page says otherwise.
            assert "/UserUnit" not in page
            assert int(page.get("/Rotate", 0)) == 0
            # 14.11.2: the boxes that are missing are the media box.
            for box in ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox"):
                assert box not in page or list(page[box]) == list(page.MediaBox)
        # Table 150: PrintScaling, PDF 1.6 or later; None is "no page scaling".
        assert str(wishes.PrintScaling) == "/None"
        assert version >= (1, 6)
        assert "/PrintArea" not in wishes
        assert "/PrintClip" not in wishes

    assert boxes
    # The sheet that is folded into a book lies on its side.
    paper = [[height, width]] if name.startswith("own-book") else []
    upright = [width, height]
    assert [box[2:] for box in boxes] == [
        pytest.approx(size, abs=0.001) for size in [*paper, *[upright] * (len(boxes) - len(paper))]
    ]
    assert all(box[:2] == [0.0, 0.0] for box in boxes)
    with pypdfium2.PdfDocument(data) as seen:
        sizes = [seen[number].get_size() for number in range(len(seen))]
    assert sizes == [pytest.approx(box[2:], abs=0.001) for box in boxes]


# --- lengths --------------------------------------------------------------------------------------


def wide(data: bytes, width_mm: float) -> list[Drawn]:
    """The strokes of a width, which are the lines to cut."""
    return [mark for mark in strokes(data) if abs(mark.width - width_mm) < 0.02]


def sides_pt(mark: Drawn) -> list[float]:
    """Length of every straight part in PDF units."""
    return [
        math.dist(a, b) / MM_PER_POINT
        for line in mark.polylines()
        for a, b in itertools.pairwise(line)
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("words", "width", "inches"),
    [
        # Lane width: 1/2 in; cut: 4 in.
        (("cutting", "--stage", "2"), 12.7, 4.0),
        # Stage 3: three lanes of 6 in, 152.4 mm, 432 points.
        (("cutting", "--stage", "3"), 10.0, 6.0),
        # Square of 3 in.
        (("cutting", "--stage", "5", "--shape", "square"), 4.8, 3.0),
    ],
)
def test_lines_to_cut_are_whole_inches_in_the_file(
    words: tuple[str, ...], width: float, inches: float, paper: str
) -> None:
    found = wide(command(*words, "--paper", paper)["page"], width)
    lengths = [length for mark in found for length in sides_pt(mark)]

    exact = [length for length in lengths if abs(length - inches * 72.0) < 0.05]
    assert len(exact) >= 3
    assert all(mark.width / MM_PER_POINT == pytest.approx(width * 72 / 25.4) for mark in found)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_circle_to_cut_is_six_inches_across_on_both_papers(paper: str) -> None:
    """152.4 mm, 432 points; drawn 6.35 mm, a quarter of an inch, 18 points wide."""
    data = command("cutting", "--stage", "4", "--shape", "circle", "--paper", paper)["page"]
    (ring,) = (mark for mark in wide(data, 6.35) if max(map(len, mark.polylines())) > 9)
    x0, y0, x1, y1 = ring.box

    assert (x1 - x0, y1 - y0) == pytest.approx((152.4, 152.4), abs=0.1)
    assert (x1 - x0) / MM_PER_POINT == pytest.approx(432.0, abs=0.3)
    assert ring.width / MM_PER_POINT == pytest.approx(18.0, abs=0.05)


@pytest.mark.parametrize("name", NAMES)
def test_the_measure_bars_are_100_mm(name: str) -> None:
    """283.4646 points, along the foot and along the left side; a book has them on its last page."""
    data = sheet(name)
    with opened(data) as pdf:
        last = len(pdf.pages) - 1
    lines = [
        line
        for mark in strokes(data, last if name.startswith("own-book") else 0)
        if abs(mark.width - 0.25) < 0.01
        for line in mark.polylines()
        if len(line) == 2 and abs(math.dist(*line) / MM_PER_POINT - 283.4646) < 0.01
    ]

    level = [line for line in lines if abs(line[0][1] - line[1][1]) < 0.005]
    upright = [line for line in lines if abs(line[0][0] - line[1][0]) < 0.005]
    assert level
    assert upright
