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
from shapely.geometry import Point, box

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.measure.measure import measure
from shapes.outline.ease import rectangle
from shapes.outline.fit import fit_arcs
from shapes.path import Arc, BBox, Cubic, Path
from shapes.pictures.silhouette import _flat
from shapes.svg.path import SegmentBudget, read_path
from shapes.svg.read import read_svg
from sheets import desk
from sheets.check.check import _form, measured_form
from sheets.check.distances import Ink as InkOf
from sheets.check.distances import closest, line_gap
from sheets.files.class_list import MAX_CHILDREN, MAX_NAME, ClassListError, parse
from sheets.files.theme_file import parse as parse_theme
from sheets.kinds.letter_match import LetterMatchChoices
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.letter_match.task import task
from sheets.kinds.options import Ink, Options
from sheets.kinds.pattern import PatternChoices
from sheets.kinds.source import Source
from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN, Totals
from sheets.page.marks import EDGE_CANNOT_PRINT, BarError, compensated
from sheets.page.model import Page, Paper, Role, Stroke
from sheets.write.pdf import _matrix
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


def test_bends_are_bends_whichever_way_round() -> None:
    """A square with round corners and a round bite, drawn one way and the other: what is asked of
    its bends holds for the same arcs."""
    area = box(0.0, 0.0, 60.0, 60.0).buffer(6.0).difference(Point(30.0, 66.0).buffer(4.0))
    ring = np.array(area.buffer(-3.0).buffer(3.0).buffer(1.5).buffer(-1.5).exterior.coords)[:-1]
    found = []
    for points, outward in ((ring, -1.0), (ring[::-1], 1.0)):
        path = fit_arcs(points, min_bend_mm=5.0)
        arcs = [segment for segment in path.segments if isinstance(segment, Arc)]
        found.append(
            [min(a.radius for a in arcs if a.sweep_deg * side * outward > 0) for side in (1, -1)]
        )
    assert found[0] == pytest.approx(found[1], abs=0.05)
    free = [s.radius for s in fit_arcs(ring).segments if isinstance(s, Arc)]
    assert min(free) < min(found[0]) - 0.05, "the bound has to make a difference"


@pytest.mark.parametrize(("turn_deg", "corners"), [(10.0, 0), (20.0, 1)])
def test_a_slight_turn_is_no_corner(turn_deg: float, corners: int) -> None:
    """Two straight parts of 20 mm: 15 degrees are a corner."""
    turn = math.radians(turn_deg)
    end = (20.0 + 20.0 * math.cos(turn), 20.0 * math.sin(turn))
    form = _form(Path.from_points([(0.0, 0.0), (20.0, 0.0), end]))
    assert [round(angle) for angle in form.angles] == [160] * corners


def test_a_point_drawn_twice_is_one() -> None:
    """The end of a closed line that all but repeats its start: a side of 0.001 mm has no
    direction to speak of."""
    ring = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.001, 0.001)]
    assert len(_flat(Path.from_points(ring, closed=True), Affine())) == 3
    assert len(_flat(Path.from_points(ring, closed=False), Affine())) == 4


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


@pytest.mark.parametrize(("radius", "kind"), [(1000, Cubic), (200, Arc)])
def test_an_arc_that_is_almost_straight(radius: int, kind: type) -> None:
    """Of a chord of 5 it turns 0.29 degrees at radius 1000, 1.43 at 200; half a degree is the
    least of which a middle is told."""
    (path,) = read_path(f"M0 0A{radius} {radius} 0 0 1 5 0", Affine(), SegmentBudget())
    assert [type(segment) for segment in path.segments] == [kind]


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


def test_a_level_line_beside_a_drawing_is_as_far_as_it_is() -> None:
    """From (20, -1) to the diagonal of a 10 mm square: its foot (9.5, 9.5) is 10.5 times root 2
    away, the corner of the square's box only 10.05."""
    diagonal = Stroke((Path.from_points([(0.0, 0.0), (10.0, 10.0)]),), 0.0002, Role.ART)
    ink = InkOf(diagonal, BBox(0.0, 0.0, 10.0, 10.0))
    beside = Path.from_points([(20.0, -1.0), (30.0, -1.0)])
    assert ink.distance(beside) == pytest.approx(10.5 * math.sqrt(2.0), abs=0.001)
    past = Path.from_points([(-1.0, -1.0), (30.0, -1.0)])
    assert ink.distance(past) == pytest.approx(1.0, abs=0.001)
    upright = Path.from_points([(-1.0, 20.0), (-1.0, 30.0)])
    assert ink.distance(upright) == pytest.approx(10.5 * math.sqrt(2.0), abs=0.001)


def test_maps_of_drawings_have_five_places() -> None:
    """0.00005 of a scale is 0.01 mm over 200 mm."""
    assert _matrix(Affine(0.123456, 0.0, 0.0, 0.123456, 1.5, 2.5)) == "0.12346 0 0 0.12346 1.5 2.5"


def test_an_odd_page_takes_a_sheet_of_its_own() -> None:
    """By hand: 5 plain, 3 card, 3 keys on 2 sheets, 5 for adults on 3, 4 notes."""
    totals = Totals(1, {PLAIN: 5, CARD: 3, KEYS: 3, ADULT: 5}, notes=4)
    assert (totals.sheets, totals.sheets_two_sided) == (20, 17)


# --- letters --------------------------------------------------------------------------------------


def _asked(stage: int, seed: int, name: str = "") -> list[set[str]]:
    """The letters asked in each group of a page."""
    theme = next(one for one in desk.themes() if one.slug == "reedy-pond")
    options = Options(name=name, seed=seed)
    found = task(Source(theme), stage, options, LetterMatchChoices())
    return [{target.answer.upper() for target in block.targets} for block in found.blocks]


@pytest.mark.parametrize("stage", [0, 1, 2])
def test_the_first_stages_ask_an_easy_letter_in_every_group(stage: int) -> None:
    theme = next(one for one in desk.themes() if one.slug == "reedy-pond")
    easy = set(letters_of(theme).easy)
    assert len(easy) < len(letters_of(theme).set)
    for seed in range(20):
        assert all(group & easy for group in _asked(stage, seed))


def test_stage_0_asks_the_childs_own_initial() -> None:
    for seed in range(5):
        assert any("Z" in group for group in _asked(0, seed, "Zoe"))
        assert not any("Z" in group for group in _asked(0, seed))
        assert not any("Z" in group for group in _asked(1, seed, "Zoe"))


def test_a_theme_of_few_letters_is_filled_up_from_the_alphabet() -> None:
    """Three letters, as many as a row has to choose from: else every row were the same three."""
    word = '[[words]]\ntext = "turtle"\npicture = "turtle"\n'
    text = f'title = "Few"\n{word}[letters]\nset = ["T", "S", "O"]\n'
    theme = parse_theme(text.encode(), "few.toml", FilePath())
    found = task(Source(theme), 4, Options(), LetterMatchChoices(form="same"))
    assert {len(block.choices) for block in found.blocks} == {3}
    assert {letter for block in found.blocks for letter in block.choices} - {"T", "S", "O"}


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
