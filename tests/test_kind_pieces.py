"""Sheets of pieces: counted and measured from their marks, whatever the nesting says of itself."""

from __future__ import annotations

import itertools
import re
from typing import Any

import pytest
import shapely

from shapes.basic import SHAPES
from shapes.errors import FitError, InputError
from shapes.path import Path
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.model import Page, Place, Role, Sheet, Stroke, Text

NAME = "pieces"
POND = load("reedy-pond")
LINE, GAP = 0.5, 4.0


def made(stage: int = 4, options: Options | None = None, source: Source | None = None,
         **asked: Any) -> Sheet:  # fmt: skip
    chosen = KINDS[NAME].load().choices(**asked)
    return make_sheet(NAME, source or Source(), stage, options or Options(), chosen)


def outlines(page: Page) -> list[Path]:
    return [p for m in page.marks if isinstance(m, Stroke) and m.id == "pieces" for p in m.paths]


def words(page: Page) -> str:
    return " ".join(m.text for m in page.marks if isinstance(m, Text))


def measured(sheet: Sheet) -> float:
    """Area of the pieces over what they take of the sheets, from the marks alone."""
    low = Frame(sheet.pages[-1].paper).work
    taken = low.height - LINE
    area = 0.0
    for page in sheet.pages:
        bodies = [shapely.Polygon(path.flatten(0.002)) for path in outlines(page)]
        area += sum(body.area for body in bodies)
        for body in bodies:
            x0, y0, x1, y1 = body.bounds
            half = LINE / 2.0
            assert x0 - half >= low.x0
            assert x1 + half <= low.x1
            assert y0 - half >= low.y0
            assert y1 + half <= low.y1
        for a, b in itertools.combinations(bodies, 2):
            assert a.distance(b) >= GAP + LINE
    lowest = min(path.bbox.y0 for path in outlines(sheet.pages[-1]))
    used = (len(sheet.pages) - 1) * taken + low.y1 - LINE / 2.0 - lowest
    return area / ((low.width - LINE) * used)


@pytest.mark.parametrize(
    ("source", "asked"),
    [
        (Source(), {}),
        (Source(), {"shape": "star", "count": 31, "size": 48}),
        (Source(), {"shape": "triangle", "count": 60, "size": 33}),
        (Source(words=("duck",)), {"count": 13}),
        (Source(words=("frog", "fish", "snail")), {"count": 11, "size": 70}),
        (Source(POND), {"count": 24}),
    ],
)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_count_gap_and_density_are_those_of_the_marks(
    source: Source, asked: dict[str, Any], paper: Any
) -> None:
    for stage in (4, 6) if paper is LETTER else (5,):
        sheet = made(stage, Options(paper=paper), source, **asked)
        assert [f.sentence() for f in sheet.findings if f.outside] == []
        count = asked.get("count", 20)
        assert sum(len(outlines(page)) for page in sheet.pages) == count
        # As the curves of an outline are cut into other chords here.
        assert sheet.parameters["density"] == pytest.approx(measured(sheet), rel=0.005)
        density, grid = sheet.parameters["density"], sheet.parameters["grid_density"]
        assert isinstance(density, float)
        assert isinstance(grid, float)
        assert density >= grid
        longest = {round(max(p.bbox.width, p.bbox.height)) for page in sheet.pages
                   for p in outlines(page)}  # fmt: skip
        assert longest == {asked.get("size", 55)}


def test_every_sheet_says_how_many_pieces_it_has_and_how_full_it_is() -> None:
    sheet = made(shape="hexagon", count=40, size=50)
    assert len(sheet.pages) > 1
    for number, page in enumerate(sheet.pages, start=1):
        found = re.search(r"(\d+) of 40 pieces \(sheet (\d+) of (\d+)\); they fill (\d+) % of the "
                          r"room they take, in a grid (\d+) %", words(page))  # fmt: skip
        assert found is not None
        here, at, sheets, fills, grid = map(int, found.groups())
        assert (here, at, sheets) == (len(outlines(page)), number, len(sheet.pages))
        assert fills == round(100.0 * measured(sheet))
        assert fills >= grid


def test_pictures_come_in_turn_and_lie_inside_their_outlines() -> None:
    sheet = made(6, source=Source(words=("duck", "frog", "fish")), count=10)
    shown = [m for page in sheet.pages for m in page.marks if isinstance(m, Place)]
    names = [m.artwork.alt for m in shown]
    assert {name: names.count(name) for name in names} == {"duck": 4, "frog": 3, "fish": 3}
    for page in sheet.pages:
        rings = [shapely.Polygon(path.flatten(0.02)) for path in outlines(page)]
        for mark in page.marks:
            if isinstance(mark, Place):
                box = mark.artwork.bbox
                corners = [mark.at.apply(p) for p in ((box.x0, box.y0), (box.x1, box.y1))]
                middle = shapely.LineString(corners).interpolate(0.5, normalized=True)
                assert sum(ring.contains(middle) for ring in rings) == 1


def test_the_stage_changes_the_outline_and_nothing_else() -> None:
    """The adult cuts: an outline of stage 4 for all before it, hollows only in a picture's own."""

    def solidity(stage: int) -> float:
        (path,) = outlines(made(stage, source=Source(words=("duck",)), count=1).pages[0])
        body = shapely.Polygon(path.flatten(0.02))
        return float(body.area / body.convex_hull.area)

    assert {round(solidity(stage), 3) for stage in range(5)} == {1.0}
    assert solidity(6) < 0.9
    first = made(0, count=8).pages
    assert [len(outlines(p)) for p in made(6, count=8).pages] == [len(outlines(p)) for p in first]


def test_the_child_has_nothing_to_cut_and_the_adult_is_cautioned() -> None:
    for stage in (0, 6):
        sheet = made(stage)
        assert not any(m.role in (Role.CUT, Role.ENTRY) for page in sheet.pages for m in page.marks)
        tools = [m for m in sheet.materials if "scissors" in m.name]
        assert [(m.use, m.caution) for m in tools] == [("adult", "scissors")]
        assert "An adult cuts the pieces out beforehand" in words(sheet.pages[0])
        assert any("stay beside a child who mouths things" in line for line in sheet.cautions)
    small = made(shape="square", size=25)
    assert any("25 mm wide and so small parts" in line for line in small.cautions)


@pytest.mark.parametrize("shape", [name for name, row in SHAPES.items()])
def test_every_closed_shape_and_no_open_line(shape: str) -> None:
    from shapes.basic import practice

    if practice(shape).closed:
        assert sum(len(outlines(p)) for p in made(shape=shape, count=3).pages) == 3
        return
    with pytest.raises(InputError, match=f"`shape`: '{shape}' is no shape to cut out; use one of"):
        made(shape=shape)


def test_bad_choices() -> None:
    with pytest.raises(InputError, match="`shape`: 'cirkle' is no shape to cut out"):
        made(shape="cirkle")
    with pytest.raises(FitError, match="`size`: a piece is larger than"):
        made(shape="square", size=180)
    mouths = Options(needs=("mouths-objects",))
    with pytest.raises(InputError, match=r"`size`: pieces 30 mm wide are small parts .* use 32"):
        made(4, mouths, shape="square", size=30)
    assert made(4, mouths, shape="square", size=32).pages
