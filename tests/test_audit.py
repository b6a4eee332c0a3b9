"""SVG files read back into pages: ours as they were, others with notes on what is assumed."""

from __future__ import annotations

import dataclasses
import pathlib

import pytest

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.path import BBox, Path
from sheets.check.audit import page_from_svg
from sheets.check.check import check_page, outside
from sheets.page.model import (
    Anchor,
    Artwork,
    Fill,
    Lane,
    Mark,
    Page,
    Paper,
    Place,
    Role,
    Stroke,
    Text,
)
from sheets.write.svg import write_svg

DATA = pathlib.Path(__file__).with_name("data") / "audit"
LETTER = Paper("letter", 215.9, 279.4)
POND = Artwork(
    "pond",
    (
        Fill((Path.circle((0, 0), 20),), Role.ART, colour="#56b4e9"),
        Stroke((Path.circle((0, 0), 20),), 1.0, Role.ART),
    ),
    BBox(-20.5, -20.5, 20.5, 20.5),
    alt="pond",
)


def read(name: str) -> tuple[Page, tuple[str, ...]]:
    audited = page_from_svg((DATA / name).read_bytes(), name)
    return audited.page, audited.notes


def round_trip(*marks: Mark) -> tuple[Mark, ...]:
    """The marks of a page after they were written to SVG and read back; there must be no notes."""
    audited = page_from_svg(write_svg(Page(LETTER, marks), title="pond", language="en"), "pond.svg")

    assert audited.notes == ()
    assert audited.page.paper.width == pytest.approx(215.9)
    assert audited.page.paper.height == pytest.approx(279.4)
    return audited.page.marks


def assert_same_paths(first: tuple[Path, ...], second: tuple[Path, ...]) -> None:
    assert len(first) == len(second)
    for a, b in zip(first, second, strict=True):
        assert a.closed == b.closed
        assert a.start == pytest.approx(b.start, abs=0.011)
        assert a.end == pytest.approx(b.end, abs=0.011)
        assert a.length == pytest.approx(b.length, rel=1e-3)


# --- files written here ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "stroke",
    [
        Stroke((Path.line((0, 100), (150, 100)),), 12.7, Role.CUT, id="lanes", lane=Lane(0.5)),
        Stroke(
            (Path.line((20, 100), (150, 100)), Path.circle((100, 200), 30)),
            6.35,
            Role.CUT,
            id="both",
            lane=Lane(0.75, "#ffffff"),
            cap="butt",
        ),
        Stroke((Path.circle((100, 200), 57.2),), 3.2, Role.CUT, id="outline-1", join="miter"),
        Stroke((Path.line((20, 50), (90, 50)),), 0.9, Role.FOLD, id="fold", dash=(6.0, 3.5)),
        Stroke(
            (Path.line((20, 50), (90, 50)),),
            0.35,
            Role.FURNITURE,
            colour="#767676",
            data=(("note", "a line"),),
        ),
    ],
    ids=["lane", "two-paths", "outline", "fold", "data"],
)
def test_strokes_come_back(stroke: Stroke) -> None:
    (back,) = round_trip(stroke)

    assert isinstance(back, Stroke)
    assert_same_paths(stroke.paths, back.paths)
    assert back.width == pytest.approx(stroke.width)
    assert back.dash == pytest.approx(stroke.dash)
    assert dataclasses.replace(back, paths=(), width=0.0, dash=()) == dataclasses.replace(
        stroke, paths=(), width=0.0, dash=()
    )


def test_neighbouring_lanes_stay_two_marks() -> None:
    lanes = [
        Stroke((Path.line((20, y), (90, y)),), 12.7, Role.CUT, lane=Lane(0.5)) for y in (100, 160)
    ]

    back = round_trip(*lanes)

    strokes = [mark for mark in back if isinstance(mark, Stroke)]
    assert [mark.lane for mark in strokes] == [Lane(0.5), Lane(0.5)]
    assert [mark.width for mark in strokes] == pytest.approx([12.7, 12.7])


def test_fills_come_back() -> None:
    ring = Fill(
        (Path.circle((50, 50), 20), Path.circle((50, 50), 10)),
        Role.CHOICE,
        id="choice-1-2",
        colour="#0072b2",
        even_odd=True,
    )

    (back,) = round_trip(ring)

    assert isinstance(back, Fill)
    assert_same_paths(ring.paths, back.paths)
    assert dataclasses.replace(back, paths=()) == dataclasses.replace(ring, paths=())


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("turn", [0.0, 90.0, -37.5])
@pytest.mark.parametrize("words", ["pond", "  Żółw, gap", "I"])
def test_text_comes_back(anchor: Anchor, turn: float, words: str) -> None:
    text = Text(100.0, 120.0, words, 20.0, Role.GUIDE, "word", "#767676", anchor, turn)

    (back,) = round_trip(text)

    assert isinstance(back, Text)
    assert (back.x, back.y) == pytest.approx((100.0, 120.0), abs=0.02)
    assert back.turn_deg == pytest.approx(turn, abs=0.1)
    assert dataclasses.replace(back, x=0.0, y=0.0, turn_deg=0.0) == dataclasses.replace(
        text, x=0.0, y=0.0, turn_deg=0.0
    )


def test_artwork_comes_back_in_its_place() -> None:
    at = Affine.rotation(30).then(Affine.scaling(1.5)).then(Affine.translation(90, 150))
    marks = round_trip(Place(POND, at, id="picture-1"), Place(POND, Affine(e=50, f=50), id="badge"))

    first, second = marks
    assert isinstance(first, Place)
    assert isinstance(second, Place)
    assert (first.role, first.id, second.id) == (Role.ART, "picture-1", "badge")
    box = first.artwork.bbox
    radius = 1.5 * 20.5
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx(
        (90 - radius, 150 - radius, 90 + radius, 150 + radius), abs=0.02
    )
    fill, stroke = first.artwork.marks
    assert isinstance(fill, Fill)
    assert isinstance(stroke, Stroke)
    assert fill.colour == "#56b4e9"
    assert stroke.width == pytest.approx(1.5, abs=1e-4)
    assert first.artwork.id != second.artwork.id


def test_findings_are_the_same_after_writing_and_reading() -> None:
    page = Page(
        LETTER,
        (
            Text(20, 250, "Zoë", 20.0, Role.FURNITURE, id="name"),
            Stroke((Path.line((20, 15), (120, 15)),), 0.25, Role.FURNITURE, id="bar-x"),
            Stroke((Path.line((0, 150), (48, 150)),), 3.0, Role.ENTRY, id="entry"),
            Stroke((Path.circle((108, 150), 60),), 3.0, Role.CUT, id="outline-1"),
            Place(POND, Affine.scaling(2.0).then(Affine.translation(108, 150)), id="picture-1"),
        ),
    )
    back = page_from_svg(write_svg(page, title="pond", language="en"), "pond.svg").page

    for stage in range(7):
        before, after = check_page(page, "cutting", stage), check_page(back, "cutting", stage)

        assert [(f.limit, f.mark, f.outside) for f in before] == [
            (f.limit, f.mark, f.outside) for f in after
        ]
        for a, b in zip(before, after, strict=True):
            if isinstance(a.measured, float):
                assert a.measured == pytest.approx(b.measured, rel=0.01, abs=0.02)


# --- drawings from elsewhere ----------------------------------------------------------------------


def test_a_drawing_from_elsewhere() -> None:
    page, notes = read("elsewhere.svg")

    assert (page.paper.width, page.paper.height) == pytest.approx((215.9, 279.4))
    assert [(type(m).__name__, m.role) for m in page.marks] == [
        ("Stroke", Role.CUT),
        ("Stroke", Role.CUT),
        ("Stroke", Role.CUT),
        ("Fill", Role.ART),
    ]
    widths = [m.width for m in page.marks if isinstance(m, Stroke)]
    assert widths == pytest.approx([12.7, 3.175, 6.35])
    assert notes == (
        "left out, not measured: text",
        "lines without a known role, taken as lines to cut: 3",
        "filled areas without a known role, taken as the picture: 1",
        "filled areas with a line round them, of which only the line is used: 1",
        "white shapes left out: 2",
    )


def test_what_is_found_on_it() -> None:
    page, _ = read("elsewhere.svg")

    found = {(f.limit, f.measured) for f in outside(check_page(page, "cutting", 2))}

    # 12.5 of 100 units to the inch is 1/8 in; #999999 has 2.85 to 1 with white (WCAG 2 formula).
    assert ("line width", 3.17) in found or ("line width", 3.18) in found
    assert ("line contrast", 2.85) in found
    assert ("bend radius", "50.8 mm") in found
    clearance = [f for f in check_page(page, "cutting", 2) if f.limit == "clearance"]
    assert [f.measured for f in clearance] == [pytest.approx(25.4 - 6.35 / 2, abs=0.05)]


def test_a_drawing_without_a_size_is_taken_at_96_units_to_the_inch() -> None:
    page, notes = read("no-size.svg")

    assert (page.paper.width, page.paper.height) == pytest.approx((254.0, 254.0))
    (lane,) = page.marks
    assert isinstance(lane, Stroke)
    assert lane.width == pytest.approx(12.7)
    assert lane.paths[0].length == pytest.approx(203.2)
    assert notes == (
        "no size in mm or inches in the file: 96 units taken as one inch",
        "lines without a known role, taken as lines to cut: 1",
    )


def test_a_drawing_without_a_page() -> None:
    page, notes = read("no-page.svg")

    assert page.paper.width == pytest.approx(864 * 25.4 / 96)
    assert "no page size in the file: the paper ends where the drawing ends" in notes


def test_what_cannot_be_used_is_taken_for_what_it_looks_like() -> None:
    """A lane without tint, an unknown role, a letter the font lacks, a size that is no number."""
    page, notes = read("unknown-role.svg")

    lane, foreign_text, adult_text, glue = page.marks
    assert isinstance(lane, Stroke)
    assert lane.lane is not None
    assert lane.id == "lanes"
    assert isinstance(foreign_text, Fill)
    assert isinstance(adult_text, Fill)
    assert (foreign_text.role, adult_text.role) == (Role.FURNITURE, Role.ADULT)
    assert isinstance(glue, Stroke)
    assert glue.role is Role.CUT
    assert notes == ("lines without a known role, taken as lines to cut: 1",)


def test_a_file_that_is_no_drawing() -> None:
    with pytest.raises(PictureError, match=r"^notes\.txt: "):
        page_from_svg(b"shopping list", "notes.txt")
