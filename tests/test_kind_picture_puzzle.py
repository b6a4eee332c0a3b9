"""Picture puzzles: read back from their marks, put together by looks alone, cut and laid."""

from __future__ import annotations

import io
import itertools
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image
from shapely.affinity import rotate, translate

from shapes.affine import Affine
from shapes.errors import InputError
from shapes.path import BBox, Path
from shapes.pictures.names import curated
from shapes.pictures.pictures import resolve
from shapes.svg.clip import clipped
from shapes.svg.drawing import Shape
from sheets.files.theme_file import load
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.picture_puzzle.alike import (
    ALIKE,
    EMPTY,
    LEAST_DIFFERENT,
    SHIFT_MM,
    difference,
    judged,
)
from sheets.kinds.picture_puzzle.ink import clip, inked
from sheets.kinds.picture_puzzle.layout import SLACK, layouts
from sheets.kinds.picture_puzzle.task import PuzzleTask
from sheets.kinds.source import Source
from sheets.page.frame import A4, LETTER
from sheets.page.marks import mark_bbox
from sheets.page.model import Artwork, Fill, Page, Paper, Place, Role, Sheet, Stroke, Text
from sheets.theme.theme import Step
from sheets.write.png import write_png
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make

puzzle = Making("picture-puzzle")
STAGES = range(7)
PIECES = (2, 2, 3, 4, 4, 6, 9)
DPI = 50


def boxes(page: Page) -> list[BBox]:
    """The white paper of the pieces, in reading order."""
    found = [
        m.paths[0].bbox
        for m in page.marks
        if isinstance(m, Fill) and m.role is Role.CARD and m.id.startswith("piece-")
    ]
    return sorted(found, key=lambda box: (-box.y0, box.x0))


def frame(page: Page) -> BBox:
    """The one thing on the page that is no picture and has mitred corners."""
    found = [m for m in page.marks if isinstance(m, Stroke) and m.role is Role.TARGET]
    (edge,) = [mark for mark in found if mark.join == "miter"]
    return edge.paths[0].bbox


Dots = NDArray[np.float64]


def dots(page: Page) -> Dots:
    """The page as cairo prints it, dark 1 and white 0; rows from the top."""
    png = write_png(page, dpi=DPI)
    return 1.0 - np.asarray(Image.open(io.BytesIO(png)).convert("L"), dtype=float) / 255.0


def crop(shot: Dots, page: Page, box: BBox, size: tuple[int, int]) -> Dots:
    """A box of the page on so many dots, nearest ones."""
    high, wide = size
    per = shot.shape[0] / page.paper.height
    rows = (page.paper.height - box.y1 + (np.arange(high) + 0.5) * box.height / high) * per
    columns = (box.x0 + (np.arange(wide) + 0.5) * box.width / wide) * per
    return shot[np.ix_(rows.astype(int), columns.astype(int))]


def grid_of(box: BBox, columns: int, rows: int) -> list[BBox]:
    """A box in equal parts, in reading order."""
    wide, high = box.width / columns, box.height / rows
    return [
        BBox(box.x0 + c * wide, box.y1 - (r + 1) * high, box.x0 + (c + 1) * wide, box.y1 - r * high)
        for r in range(rows)
        for c in range(columns)
    ]


def solve(sheet: Sheet, columns: int, rows: int) -> list[list[tuple[int, int]]]:
    """For each place of the key's whole picture the (piece, turn) that look like it, by dots.

    The printed pieces are laid on each place of the whole picture in every turn in which they fit
    it; one fits if nearly all of the dots are the same.
    """
    pieces, key = sheet.pages[1], sheet.key[0]
    cards = boxes(pieces)
    size = (round(cards[0].height), round(cards[0].width))
    shot, whole = dots(pieces), dots(key)
    (around,) = [m for m in key.marks if isinstance(m, Stroke) and m.id == "frame"]
    places = grid_of(around.paths[0].bbox, columns, rows)
    looks = [crop(shot, pieces, card, size) for card in cards]
    turns = range(4) if size[0] == size[1] else (0, 2)
    found = []
    for place in places:
        there = crop(whole, key, place, size)
        errors = {
            (k, turn): float(np.abs(np.rot90(look, turn) - there).mean())
            for k, look in enumerate(looks)
            for turn in turns
        }
        best = min(errors.values())
        found.append([fit for fit, error in errors.items() if error <= best * 1.5])
    return found


@cache
def sheet_of(stage: int, seed: int, theme: str = "reedy-pond") -> Sheet:
    return make_sheet("picture-puzzle", Source(load(theme)), stage, Options(seed=seed))


@pytest.mark.parametrize(
    ("theme", "stage"),
    [*(("reedy-pond", s) for s in STAGES), *((t, s) for t in FIRST_THREE[::2] for s in (3, 6))],
)
def test_printed_pieces_make_the_key_in_one_way_only(theme: str, stage: int) -> None:
    """Solved with the dots of cairo, which knows nothing of pieces."""
    sheet = sheet_of(stage, stage) if theme == "reedy-pond" else sheet_of(stage, stage, theme)
    columns, rows = sheet.parameters["columns"], sheet.parameters["rows"]
    assert isinstance(columns, int)
    assert isinstance(rows, int)
    assert columns * rows == PIECES[stage] == len(boxes(sheet.pages[1]))
    assert solve(sheet, columns, rows) == [[(k, 0)] for k in range(columns * rows)]


@pytest.mark.parametrize("cutting", [None, 2, 3, 4, 6])
@pytest.mark.parametrize("stage", STAGES)
def test_sizes_and_who_cuts(stage: int, cutting: int | None) -> None:
    """Widths of the line as on cutting pages: 10, 6.35 and 3.2 mm at 3, 4 and 6."""
    paper: Paper = (LETTER, A4)[(stage + (cutting or 0)) % 2]
    hand: Any = "left" if stage % 2 else "right"
    options = Options(paper=paper, cutting_stage=cutting, hand=hand, seed=stage)
    sheet = make_sheet("picture-puzzle", Source(load("reedy-pond")), stage, options)
    base, pieces = sheet.pages
    cards = boxes(pieces)
    child = stage > 0 and cutting is not None and cutting >= 3

    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert not ink_outside(base, 12.7 - 1e-9)
    assert len({(round(c.width, 6), round(c.height, 6)) for c in cards}) == 1
    assert all(min(card.width, card.height) >= 40.0 for card in cards)
    lines = [m for m in pieces.marks if isinstance(m, Stroke) and m.role is Role.CUT]
    if child:
        assert cutting is not None
        (line,) = lines
        assert line.width == {3: 10.0, 4: 6.35, 6: 3.2}[cutting]
        assert pieces.cuts == ()
        # All parts of a line lie beside the white paper of the pieces, not on it.
        for path, card in itertools.product(line.paths, cards):
            assert (
                not shapely.box(card.x0, card.y0, card.x1, card.y1)
                .buffer(line.width / 2.0 - 1e-6)
                .intersects(shapely.LineString(path.flatten()))
            )
    else:
        assert lines == []
        ys = {round(y, 6) for card in cards for y in (card.y0, card.y1)}
        xs = {round(x, 6) for card in cards for x in (card.x0, card.x1)}
        assert {round(cut.at, 6) for cut in pieces.cuts if cut.across} == ys
        assert {round(cut.at, 6) for cut in pieces.cuts if not cut.across} == xs
    assert [page.again for page in sheet.pages] == [not child] * 2
    room = frame(base)
    columns, rows = sheet.parameters["columns"], sheet.parameters["rows"]
    assert isinstance(columns, int)
    assert isinstance(rows, int)
    assert room.width == pytest.approx(columns * cards[0].width + 2.0 * SLACK)
    assert room.height == pytest.approx(rows * cards[0].height + 2.0 * SLACK)


def test_ink_of_a_piece_keeps_half_a_millimetre_from_its_edges() -> None:
    for stage in (0, 3, 6):
        page = sheet_of(stage, stage).pages[1]
        around = {m.id: m.paths[0].bbox for m in page.marks
                  if isinstance(m, Fill) and m.id.startswith("piece-")}  # fmt: skip
        parts = [m for m in page.marks if isinstance(m, Place) and m.role is Role.CARD]
        assert {part.id for part in parts} == set(around)
        for part in parts:
            assert around[part.id].grown(-0.5).contains(mark_bbox(part), 0.01)


MODELS = {
    0: (True, False, True, False),
    1: (True, False, True, False),
    2: (True, False, True, False),
    3: (False, True, True, False),
    4: (False, True, False, False),
    5: (False, False, True, True),
    6: (False, False, False, True),
}
"""By stage: the picture where the pieces go, its outline, the lines between, the small picture."""


@pytest.mark.parametrize("stage", STAGES)
def test_what_is_shown_where_the_pieces_go(stage: int) -> None:
    base = sheet_of(stage, stage).pages[0]
    room = frame(base)
    models = [m for m in base.marks if m.role is Role.TARGET]
    pictures = [m for m in models if isinstance(m, Place)]
    inside = [m for m in pictures if room.contains(mark_bbox(m))]
    strokes = [m for m in models if isinstance(m, Stroke) and m.join != "miter"]
    lines = [m for m in strokes if m.dash]
    outline = [m for m in strokes if not m.dash]
    above = [m for m in pictures if mark_bbox(m).y0 > room.y1]

    assert MODELS[stage] == (bool(inside), bool(outline), bool(lines), bool(above))
    assert len(pictures) == len(inside) + len(above)
    if lines:
        # As many lines as there are cuts within the picture.
        (line,) = lines
        columns, rows = (sheet_of(stage, stage).parameters[name] for name in ("columns", "rows"))
        assert len(line.paths) == int(str(columns)) + int(str(rows)) - 2
    for mark in outline:
        assert room.contains(mark_bbox(mark))


def test_a_thousand_seeds_a_stage_are_good_puzzles_and_not_always_the_same() -> None:
    theme = load("reedy-pond")
    for stage in STAGES[:6]:
        words = set()
        for seed in range(1000):
            options = Options(seed=seed)
            task: PuzzleTask = puzzle.from_theme(theme, stage, options)
            assert task.count == PIECES[stage]
            assert judged(task.steps, task.layout(options), options).fault == ""
            words.add(task.steps[0].word)
        assert len(words) >= 5  # the better half of the ten to twelve that are good
    for seed in range(6):
        task = puzzle.from_theme(theme, 6, Options(seed=seed))
        assert (task.count, len(task.steps)) == (9, 4)


# --- which pictures are refused -------------------------------------------------------------------


def places_of(word: str, count: int) -> list[str]:
    step = Step(word, resolve(word))
    found = layouts([step], count, stage=4, line=0.0, small=False, strips=False)
    return [judged([step], one, Options()).fault for one in found]


def test_a_ball_is_two_halves_alike_and_a_frog_is_not() -> None:
    assert set(places_of("basketball", 2)) == {ALIKE}
    assert set(places_of("sun", 4)) == {ALIKE}
    assert places_of("frog", 2)[0] == ""
    assert places_of("frog", 4)[0] == ""


def test_the_corners_of_a_slanting_thing_are_empty() -> None:
    assert places_of("carrot", 6)[0] == EMPTY
    assert places_of("duck", 9) == [EMPTY]


def square(x: float, y: float, side: float = 10.0) -> shapely.Geometry:
    return shapely.box(x, y, x + side, y + side)


def test_difference_of_known_pieces() -> None:
    """Closed forms: equal, apart, turned, and moved by less and by more than the shift."""
    half = (0, 180)
    assert difference(square(5, 5), square(5, 5), half) == 0.0
    assert difference(square(5, 5), square(-15, -15), half) == 0.0
    assert difference(square(5, 5), square(5, 5 + 30), half) == 1.0
    assert difference(square(-20, 5), square(-15, 5), (0,)) == pytest.approx(
        2 * (5 - SHIFT_MM) * 10 / 200, abs=0.002
    )
    assert difference(square(-20, 5), square(-20 + SHIFT_MM, 5), (0,)) < 1e-6
    # A mirror image is no turned one: two halves of a symmetric picture are told apart.
    left = shapely.union(square(-30, 20), square(-10, -30))
    right = shapely.union(square(20, 20), square(0, -30))
    assert difference(left, right, half) > LEAST_DIFFERENT


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(4, 15), st.sampled_from((0, 90, 180, 270)))
@settings(max_examples=60)
def test_difference_is_the_same_both_ways_and_knows_its_own_turn(
    x: float, y: float, side: float, turn: int
) -> None:
    a = shapely.union(square(x, y, side), square(-25, -25, 6))
    b = rotate(a, turn, origin=(0.0, 0.0))
    turns = (0, 90, 180, 270)
    assert difference(a, b, turns) == pytest.approx(0.0, abs=1e-9)
    c = translate(a, 12, 7)
    assert difference(a, c, turns) == pytest.approx(difference(c, a, turns), abs=1e-3)
    assert 0.0 <= difference(a, c, turns) <= 1.0


# --- clipping -------------------------------------------------------------------------------------


def drawn(*marks: Stroke | Fill) -> Place:
    art = Artwork("art", marks, BBox(-50, -50, 50, 50), alt="thing")
    return Place(art, Affine.scaling(1.5).then(Affine.translation(80, 90)), id="thing")


@given(st.floats(5, 30), st.floats(0.5, 6), st.floats(-60, 60), st.floats(-60, 60))
@settings(max_examples=40)
def test_parts_of_a_ring_are_all_of_its_ink(
    radius: float, width: float, x: float, y: float
) -> None:
    """The area of a ring of mean radius r and width w is 2 pi r w, whatever it is parted by."""
    place = drawn(Stroke((Path.circle((0, 0), radius),), width, Role.ART))
    x, y = 80 + x, 90 + y
    corners = ((-200, x), (x, 400)), ((-200, y), (y, 400))
    parts = [clip(place, BBox(a, c, b, d)) for (a, b), (c, d) in itertools.product(*corners)]
    areas = [inked([part]).area for part in parts if part is not None]
    expected = 2.0 * np.pi * radius * width * 1.5**2
    assert sum(areas) == pytest.approx(expected, rel=0.01)
    for part, ((a, b), (c, d)) in zip(parts, itertools.product(*corners), strict=True):
        if part is not None:
            assert BBox(a, c, b, d).contains(mark_bbox(part), 0.01)


def test_white_paint_hides_what_is_below_and_is_no_part() -> None:
    black = Fill((Path.circle((0, 0), 20),), Role.ART)
    white = Fill((Path.circle((0, 0), 10),), Role.ART, colour="#ffffff")
    place = drawn(black, white)
    assert inked([place]).area == pytest.approx(np.pi * (400 - 100) * 2.25, rel=0.01)
    assert clip(drawn(white), BBox(60, 60, 90, 100)) is None
    assert clip(place, BBox(500, 500, 600, 600)) is None


def test_a_speck_that_a_clip_leaves_is_no_path() -> None:
    """A square that reaches 1e-8 into the window."""
    ring = Path.from_points([(0, 0), (1, 0), (1, 1), (0, 1)], closed=True)
    window = shapely.box(1 - 1e-8, 1 - 1e-8, 5, 5)
    assert list(clipped(Shape((ring,), "#000000", None, 0.0), window)) == []


# --- choices, needs and messages ------------------------------------------------------------------


def test_strips_stand_side_by_side_with_their_numerals() -> None:
    for stage, count in ((0, 2), (2, 3), (6, 4)):
        options = Options(seed=stage)
        task = puzzle.from_theme(load("bean-row-garden"), stage, options, strips=True)
        sheet = make(task, options)
        cards = boxes(sheet.pages[1])
        marks = [m for m in sheet.pages[1].marks if isinstance(m, Text) and m.role is Role.CARD]
        assert len(cards) == count
        assert len({card.y0 for card in cards}) == 1
        for i, (card, text) in enumerate(zip(cards, marks, strict=True), start=1):
            assert (text.text, text.size_pt) == (str(i), 28.0)
            assert card.contains(mark_bbox(text))
        pictures = [m for m in sheet.pages[1].marks if isinstance(m, Place) and m.role is Role.CARD]
        for picture, text in itertools.product(pictures, marks):
            assert mark_bbox(picture).y0 > mark_bbox(text).y1
        assert [f.sentence() for f in sheet.findings if f.outside] == []


@pytest.mark.parametrize("need", ["low-vision", "mouths-objects", "not-cutting", "colour-vision"])
@pytest.mark.parametrize("stage", [2, 3, 6])
def test_needs(need: str, stage: int) -> None:
    options = Options(needs=(need,), cutting_stage=5, ink="saver" if stage % 2 else "normal")
    sheet = make_sheet("picture-puzzle", Source(load("tide-side-harbour")), stage, options)

    assert [f.sentence() for f in sheet.findings if f.outside] == []
    few = need in ("low-vision", "mouths-objects")
    assert len(boxes(sheet.pages[1])) <= (4 if few else 9)
    if need == "not-cutting":
        assert sheet.parameters["cut_by"] == "adult"
    if need == "low-vision":
        own = [m for m in sheet.pages[0].marks
               if isinstance(m, Stroke) and m.role is Role.TARGET]  # fmt: skip
        assert all(m.width >= 2.0 and m.colour == "#000000" for m in own)


def test_a_picture_that_makes_no_nine_pieces_gets_fewer() -> None:
    """The duck's corners are empty in nine and in six; in four each piece has some of it."""
    task: PuzzleTask = puzzle.from_words(["duck"], 6, Options())
    assert (task.count, [step.word for step in task.steps]) == (4, ["duck"])


def test_the_picture_asked_for() -> None:
    theme = load("reedy-pond")
    for wanted in ("Frog", "frog", "cat", "Paul: cat"):
        task: PuzzleTask = puzzle.from_theme(theme, 4, Options(), picture=wanted)
        assert [s.word for s in task.steps] == [
            {"Frog": "frog", "Paul: cat": "Paul"}.get(wanted, wanted)
        ]


@pytest.mark.parametrize(
    ("words", "choices", "message"),
    [
        ("duck", {"pieces": 5}, "`pieces`: 5 pieces cannot be cut; use 2, 3, 4, 6, 8 or 9"),
        (
            "duck",
            {"pieces": 6, "strips": True},
            "`pieces`: 6 strips cannot be cut; use 2, 3 or 4",
        ),
        (
            "duck",
            {"pieces": 9},
            "`pieces`: duck in 9 pieces has a piece with next to nothing on it; use fewer, or "
            "another picture",
        ),
        (
            "sun basketball",
            {},
            "words: basketball in 2 pieces has two pieces that look the same; use other pictures",
        ),
        (
            "duck",
            {"picture": "sun"},
            "`picture`: sun in 2 pieces has two pieces that look the same; use another picture",
        ),
        (
            "race-car".replace("-", "_"),
            {"pieces": 9},
            "`pieces`: race car in 9 pieces has pieces less than 40 mm wide; use fewer, or "
            "another picture",
        ),
        (
            "duck",
            {"cutting": 0, "cut_by": "child"},
            "`cut-by`: a child at cutting stage 0 tears and does not cut; let an adult cut, or "
            "give another stage in `cutting`",
        ),
    ],
)
def test_bad_choices(words: str, choices: dict[str, object], message: str) -> None:
    given_words = [word.replace("_", " ") for word in words.split()]
    with pytest.raises(InputError) as caught:
        puzzle.from_words(given_words, 3, Options(), **choices)
    assert str(caught.value) == message


def test_more_pictures_are_refused_in_six_pieces_than_in_two() -> None:
    """Every thirtieth of the curated words."""
    some = [word.text for word in curated()][::30]
    two, six = ([w for w in some if "" not in places_of(w, count)] for count in (2, 6))
    assert len(two) < len(six) < len(some)
