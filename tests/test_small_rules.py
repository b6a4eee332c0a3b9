"""Small rules that the larger tests pass by: each here fails if its line of code is changed."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path as FilePath

import numpy as np
import pikepdf
import pytest
from fontTools.ttLib import TTFont
from shapely.geometry import box

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.measure.measure import measure
from shapes.outline.ease import rectangle
from shapes.outline.fit import fit_arcs
from shapes.path import Arc, Path
from shapes.svg.path import SegmentBudget, read_path
from shapes.svg.read import read_svg
from sheets import desk
from sheets.check.check import measured_form
from sheets.check.distances import closest, line_gap
from sheets.files.class_list import MAX_CHILDREN, MAX_NAME, ClassListError, parse
from sheets.kinds.options import Ink, Options
from sheets.kinds.pattern import PatternChoices
from sheets.page.marks import EDGE_CANNOT_PRINT, BarError, compensated
from sheets.page.model import Page, Paper, Role, Stroke
from tests.wild_svg import wrapped

# --- outlines -------------------------------------------------------------------------------------


def test_a_sharp_hollow_corner_has_its_small_angle() -> None:
    """A notch of 20 mm mouth and 40 mm depth: 2 arctan(1/4) = 28.07 degrees, not 331.93."""
    ring = [(0, 0), (100, 0), (100, 80), (60, 80), (50, 40), (40, 80), (0, 80)]
    form = measured_form(Path.from_points([(float(x), float(y)) for x, y in ring], closed=True))
    assert min(form.angles) == pytest.approx(math.degrees(2 * math.atan(0.25)), abs=0.1)
    assert max(form.angles) < 180.0
    assert form.hollow_corners == 1


@pytest.mark.parametrize(("chamfer", "corners"), [(1.3, 4), (1.7, 8)])
def test_corners_close_together_are_one(chamfer: float, corners: int) -> None:
    """The stretches of 0.5 mm in which a corner is looked for are less than 1 mm apart, or more."""
    c, side = chamfer / math.sqrt(2.0), 60.0
    ring = [(c, 0.0), (side - c, 0.0), (side, c), (side, side - c),
            (side - c, side), (c, side), (0.0, side - c), (0.0, c)]  # fmt: skip
    assert len(measure(Path.from_points(ring, closed=True)).corners) == corners


@pytest.mark.parametrize(("length", "is_neck"), [(1.5, False), (3.0, True)])
def test_a_crossing_cuts_off_at_least_four_millimetres(length: float, is_neck: bool) -> None:
    """A tab 0.5 mm wide: of 1.5 mm length it has a line of 3.5 mm, of 3 mm one of 6.5."""
    ring = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (30.25, 60.0), (30.25, 60.0 + length),
            (29.75, 60.0 + length), (29.75, 60.0), (0.0, 60.0)]  # fmt: skip
    neck = measure(Path.from_points(ring, closed=True)).neck
    assert neck == pytest.approx(0.5 if is_neck else 60.0, abs=0.01)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_circle_is_one_arc_the_way_it_was_drawn(sign: float) -> None:
    turns = np.linspace(0.0, sign * math.tau, 900, endpoint=False)
    path = fit_arcs(np.column_stack([30.0 * np.cos(turns), 30.0 * np.sin(turns)]))
    (arc,) = path.segments
    assert isinstance(arc, Arc)
    assert (arc.radius, arc.sweep_deg) == (30.0, sign * 360.0)


def test_half_the_error_is_the_most_for_a_circle() -> None:
    """So that its rounded radius and middle stay within all of it."""
    for flat, arcs in ((0.04, 1), (0.08, None)):
        turns = np.linspace(0.0, math.tau, 180, endpoint=False)
        ring = np.column_stack([(30.0 + flat) * np.cos(turns), (30.0 - flat) * np.sin(turns)])
        path = fit_arcs(ring, 0.1)
        assert (len(path.segments) == 1) is (arcs == 1)


def test_a_box_is_rounded_away_from_what_it_encloses() -> None:
    found = rectangle(box(10.006, 10.009, 50.004, 50.001), 0.0).bbox
    assert (found.x0, found.y0, found.x1, found.y1) == (10.0, 10.0, 50.01, 50.01)


# --- drawings -------------------------------------------------------------------------------------


@pytest.mark.parametrize("flat", ["scale(0 1)", "scale(1 0)", "matrix(1 2 2 4 0 0)"])
def test_what_is_pressed_flat_is_not_drawn(flat: str) -> None:
    """SVG 2, 8.5: an element under a transform that cannot be undone is not rendered."""
    square = '<path d="M10 10h50v50h-50z"/>'
    both = read_svg(wrapped(f'<g transform="{flat}">{square}</g>{square}'), "my.svg")
    assert len(both.shapes) == 1


def test_dots_are_counted_among_the_lines() -> None:
    assert len(read_path("M1 1z" * 3, Affine(), SegmentBudget(3))) == 3
    with pytest.raises(PictureError, match="has more than 3 lines and curves"):
        read_path("M1 1z" * 4, Affine(), SegmentBudget(3))


# --- pages ----------------------------------------------------------------------------------------


def test_every_gap_below_the_least_is_told() -> None:
    def exactly(value: float) -> Callable[[], float]:
        return lambda: value

    pairs = [(0.0, exactly(3.0), "a"), (4.0, exactly(4.0), "b"), (5.0, exactly(6.0), "c"),
             (2.0, exactly(7.0), "d")]  # fmt: skip
    assert closest(pairs, 5.0) == [(3.0, "a"), (4.0, "b")]
    assert closest(pairs, 1.0) == [(3.0, "a")]


def test_lines_that_cross_have_no_gap() -> None:
    """All four ends are 5 mm and more from the other line."""
    one = Path.from_points([(0.0, 0.0), (20.0, 20.0)])
    other = Path.from_points([(0.0, 20.0), (20.0, 0.0)])
    assert line_gap(one, other) == 0.0


@pytest.mark.parametrize(("inside", "fits"), [(0.01, True), (-0.01, False)])
def test_ink_keeps_off_the_edge_of_a_page_made_larger(inside: float, fits: bool) -> None:
    """With a bar of 80 mm all becomes 1.25 times as large, from the middle of the paper on."""
    paper = Paper("test", 200.0, 200.0)
    end = 100.0 + (100.0 - EDGE_CANNOT_PRINT - inside) / 1.25
    line = Path.from_points([(100.0, 100.0), (end, 100.0)])
    page = Page(paper, (Stroke((line,), 0.0001, Role.CUT),))
    assert EDGE_CANNOT_PRINT == 2.0
    if fits:
        assert compensated(page, 80.0).marks[0].paths[0].bbox.x1 < 198.0  # type: ignore[union-attr]
    else:
        with pytest.raises(BarError, match="no longer fits the paper"):
            compensated(page, 80.0)


def test_the_ink_saver_hatches_patterns() -> None:
    """Where shapes tell the cells apart; else they are hatched anyway."""
    choices = PatternChoices(unit=1)
    found = {}
    ink: Ink
    for ink in ("normal", "saver"):
        options = Options(ink=ink)
        sheet = desk.make_sheet("pattern", 3, options, theme="reedy-pond", choices=choices)
        found[ink] = sheet.parameters["hatched"]
    assert found == {"normal": False, "saver": True}


def test_embedded_fonts_have_no_table_of_names(tmp_path: FilePath) -> None:
    """ISO 32000-1, 9.9: they need none, and ours is 18 KB of licence text."""
    sheet = desk.make_sheet("cutting", 4, Options(name="Bo"), words=("duck",))
    (file,) = desk.write_sheet(sheet, tmp_path / "o.pdf")
    fonts = 0
    with pikepdf.open(file) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and "/FontFile2" in item:
                fonts += 1
                assert "name" not in TTFont(io.BytesIO(item.FontFile2.read_bytes()))
    assert fonts


# --- class lists ----------------------------------------------------------------------------------


def _class(names: list[str]) -> bytes:
    return ("name,cutting\n" + "".join(f"{name},2\n" for name in names)).encode()


def test_as_many_children_as_a_list_may_have() -> None:
    names = [f"{chr(65 + i // 26 % 26)}{chr(97 + i % 26)}{'x' * (i // 676)}" for i in range(501)]
    assert MAX_CHILDREN == 500
    assert len(parse(_class(names[:500]), "c.csv").children) == 500
    with pytest.raises(ClassListError, match=r"c\.csv: 501 children; split it, 500 at most"):
        parse(_class(names), "c.csv")


def test_as_long_a_name_as_there_may_be() -> None:
    assert MAX_NAME == 60
    assert parse(_class(["N" * 60]), "c.csv").children[0].name == "N" * 60
    with pytest.raises(ClassListError, match="longer than 60 characters; shorten it"):
        parse(_class(["N" * 61]), "c.csv")
