"""Pages for the tests of the renderers: every kind of mark with every property."""

from __future__ import annotations

from shapes.affine import Affine
from shapes.path import Arc, BBox, Cubic, Line, Path
from sheets.page.model import (
    FURNITURE_GREY,
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
from sheets.write.pdf import write_pdf

LETTER = Paper("letter", 215.9, 279.4)
A4 = Paper("a4", 210.0, 297.0)

ACCENTED = "Zoë Łucja Đặng"
TURNED = "Größe ячмень"


def page_of(*marks: Mark, paper: Paper = LETTER, label: str = "") -> Page:
    return Page(paper, marks, label)


def pdf_of(*pages: Page, compact: bool = False) -> bytes:
    return write_pdf(pages, title="Reedy Pond", language="en-US", compact=compact)


def measure_bar() -> Stroke:
    """A bar of 100 mm with its two end ticks."""
    return Stroke(
        (
            Path.line((20, 20), (120, 20)),
            Path.line((20, 18), (20, 22)),
            Path.line((120, 18), (120, 22)),
        ),
        0.25,
        Role.FURNITURE,
        id="bar-across",
    )


def frog() -> Artwork:
    """A ring with a hole and two strokes, one of which lies on the edge of its box."""
    return Artwork(
        "frog",
        (
            Fill(
                (Path.circle((20, 20), 15), Path.circle((20, 20), 8)),
                Role.ART,
                colour="#3f7f3f",
                even_odd=True,
            ),
            Stroke((Path.from_points([(5, 5), (35, 5), (30, 38)]),), 1.2, Role.ART),
            Stroke(
                (Path((Cubic((8, 30), (16, 40), (24, 40), (32, 30)),)),),
                0.8,
                Role.ART,
                colour="#aa2222",
            ),
        ),
        BBox(5, 5, 35, 38),
        alt="a frog",
    )


def everything() -> Page:
    """One page with every kind of mark: lanes that meet, dashes, arcs, text, placed artwork."""
    art = frog()
    mirrored = Affine(-1.5, 0, 0, 1.5, 0, 0).then(Affine.rotation(30))
    return page_of(
        measure_bar(),
        Text(70, 22, "100 mm", 14, Role.FURNITURE, colour=FURNITURE_GREY, anchor="middle"),
        Text(20, 260, ACCENTED, 20, Role.FURNITURE, id="name"),
        Text(195, 250, "to the end", 12, Role.ADULT, anchor="end"),
        Text(200, 140, TURNED, 14, Role.ADULT, id="side", turn_deg=90, colour="#336699"),
        Text(150, 30, "thirty", 12, Role.ADULT, anchor="middle", turn_deg=30),
        Stroke(
            (Path.from_points([(30, 200), (100, 200)]), Path.line((65, 165), (65, 235))),
            12.7,
            Role.CUT,
            id="lanes",
            lane=Lane(),
            data=(("stage", "2"),),
        ),
        Stroke(
            (Path.circle((150, 200), 38.1),),
            1.0,
            Role.TRACE,
            id="circle",
            dash=(4, 2),
            cap="butt",
        ),
        Stroke(
            (
                Path(
                    (
                        Arc((150, 200), 25, 200, 140),
                        Line(Arc((150, 200), 25, 200, 140).end, (150, 215)),
                    )
                ),
            ),
            2.0,
            Role.GUIDE,
        ),
        Stroke(
            (Path.from_points([(30, 60), (60, 90), (64, 60)]),),
            3.0,
            Role.CUT,
            join="miter",
            cap="butt",
            colour="#cc3300",
        ),
        Fill(
            (Path.from_points([(150, 60), (190, 60), (170, 95)], closed=True),), Role.ANSWER_SPACE
        ),
        Place(art, Affine.translation(95, 95), id="plain"),
        Place(art, mirrored.then(Affine.translation(85, 95)), id="mirrored"),
        label="everything",
    )
