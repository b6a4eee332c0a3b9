"""Footprints: what the library holds, how a measure of one's own is read, outlines, near twins."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path as FilePath

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes.objects
from shapes.errors import InputError, TableworkError
from shapes.objects import (
    Footprint,
    difference_mm,
    fits_small_parts_cylinder,
    footprint,
    library,
    near_twins,
    outline,
)
from shapes.path import Arc, Line
from tests.parser_runs import parser_test

BASES = {"standard", "nominal", "common practice"}
SIDES = st.floats(10, 270).map(lambda v: round(v, 2))


@st.composite
def footprints(draw: st.DrawFn) -> Footprint:
    width, depth = draw(SIDES), draw(SIDES)
    corner = draw(st.floats(0, 1)) * min(width, depth) / 2
    if draw(st.booleans()):
        depth, corner = width, width / 2
    return Footprint("", "thing", width, depth, corner)


def test_library_ids_are_these() -> None:
    assert [thing.id for thing in library()] == [
        "can211", "can300", "can303", "can307", "can401", "can603", "lidR", "lidW", "disc", "puck",
        "ID1", "A6", "A7", "idx", "C6", "DL",
        "us-dime", "us-cent", "us-nickel", "us-quarter", "us-dollar", "us-half",
        "euro-10c", "euro-20c", "euro-50c", "euro-1", "euro-2",
    ]  # fmt: skip


def test_library_file_has_only_known_keys_and_every_source() -> None:
    text = FilePath(shapes.objects.__file__).with_name("objects.toml").read_text("utf-8")
    known = {"id", "name", "diameter", "width", "depth", "corner", "basis", "source", "note"}
    for row in tomllib.loads(text)["objects"]:
        assert set(row) <= known | {"adult_only", "example"}, row["id"]
        # A child may have what is not for adults only, so an adult must know what to look for.
        assert bool(row.get("example")) != row.get("adult_only", False), row["id"]
        assert ("diameter" in row) != ("width" in row and "depth" in row), row["id"]
        assert row["basis"] in BASES, row["id"]
        assert row["source"], row["id"]


def test_a_thing_is_said_with_its_example() -> None:
    assert footprint("can307").said() == "food can 307: a tin of tomatoes"
    assert footprint("A7").said() == "A7 card: a pocket notepad"
    assert footprint({"name": "yoghurt tub", "diameter_mm": 95}).said() == "yoghurt tub"


def test_names_tell_all_objects_apart() -> None:
    names = [thing.name for thing in library()]

    assert len(set(names)) == len(names)


def test_coins_are_small_parts_for_adults_and_nothing_else_is() -> None:
    coins = [thing for thing in library() if thing.id.startswith(("us-", "euro-"))]

    assert len(coins) == 11
    assert [thing for thing in library() if thing.adult_only] == coins
    assert [thing for thing in library() if thing.small_part] == coins


@pytest.mark.parametrize("word", ["cell", "batter", "aerosol", "glass", "opened"])
def test_things_that_do_not_belong_with_children_are_absent(word: str) -> None:
    assert not any(word in thing.name for thing in library())


@pytest.mark.parametrize("text", ["can211", "CAN211", " Can211 "])
def test_id_is_found_in_any_case(text: str) -> None:
    assert footprint(text).diameter == 68.3


def test_size_is_said_for_round_and_square_things() -> None:
    assert footprint("can211").size_text() == "68.3 mm across"
    assert footprint("A7").size_text() == "105 x 74 mm"


def test_own_measures_are_read() -> None:
    tub = footprint({"name": "yoghurt tub", "diameter_mm": 62})
    box = footprint({"name": "tea box", "width_mm": 120, "depth_mm": 65, "corner_mm": 4})

    assert (tub.name, tub.diameter, tub.basis) == ("yoghurt tub", 62.0, "measured")
    assert (box.width, box.depth, box.corner, box.diameter) == (120.0, 65.0, 4.0, None)


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        ("can301", "no object called 'can301' in the library; did you mean"),
        (
            "zzzz",
            "no object called 'zzzz' in the library; measure it and write { name = ..., diameter_mm"
            " = ... } or { name = ..., width_mm = ..., depth_mm = ... }",
        ),
        ({"name": "tub", "diametre_mm": 62}, "unknown key 'diametre_mm' in a measured object; did"
         " you mean diameter_mm?"),
        ({"diameter_mm": 62}, "a measured object needs a name"),
        ({"name": " ", "diameter_mm": 62}, "a measured object needs a name"),
        ({"name": "tub"}, "measured object 'tub' needs either a diameter or a width and a depth"),
        (
            {"name": "tub", "diameter_mm": 62, "width_mm": 3},
            "measured object 'tub' needs either a diameter or a width and a depth",
        ),
        (
            {"name": "tub", "diameter_mm": 62, "corner_mm": 3},
            "measured object 'tub' needs either a diameter or a width and a depth",
        ),
        ({"name": "tub", "diameter_mm": "62"}, "diameter_mm of 'tub' is not a number"),
        ({"name": "tub", "diameter_mm": True}, "diameter_mm of 'tub' is not a number"),
        ({"name": "tub", "width_mm": 62}, "depth_mm of 'tub' is missing; give it in mm"),
        ({"name": "tub", "diameter_mm": 6.2}, "diameter_mm 6.2 of 'tub' is outside what a page can"
         " show; choose 10 to 270 mm"),
        ({"name": "tub", "diameter_mm": float("nan")}, "diameter_mm of 'tub' is far too large"),
        ({"name": "tub", "diameter_mm": 10**400}, "diameter_mm of 'tub' is far too large"),
        (
            {"name": "box", "width_mm": 60, "depth_mm": 40, "corner_mm": 21},
            "corner_mm 21 of 'box' is not possible; choose 0 to 20, half the shorter side",
        ),
        (7, "an object is an id or a measure, not 7"),
    ],
)  # fmt: skip
def test_bad_objects_are_refused_in_one_line(spec: object, message: str) -> None:
    with pytest.raises(InputError) as caught:
        footprint(spec)  # type: ignore[arg-type]

    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


@parser_test()
@given(
    st.one_of(
        st.text(),
        st.dictionaries(
            st.sampled_from(["name", "diameter_mm", "width_mm", "depth_mm", "corner_mm", "x"]),
            st.one_of(st.none(), st.text(), st.integers(), st.floats(), st.lists(st.integers())),
        ),
    )
)
def test_any_spec_gives_a_footprint_or_a_clear_error(spec: str | dict[str, object]) -> None:
    try:
        thing = footprint(spec)
    except TableworkError as error:
        assert str(error)  # noqa: PT017
    else:
        assert 10 <= thing.depth <= 270
        assert outline(thing).closed


def test_circle_outline_is_one_exact_arc() -> None:
    path = outline(footprint("can300"))

    assert path.segments == (Arc((0.0, 0.0), 39.1, 90.0, 360.0),)
    assert path.closed


def test_card_outline_grows_on_every_side_with_exact_corners() -> None:
    path = outline(footprint("ID1"), clearance_mm=1.0)

    arcs = [segment for segment in path.segments if isinstance(segment, Arc)]
    assert [arc.radius for arc in arcs] == pytest.approx([4.18] * 4)
    assert (path.bbox.width, path.bbox.height) == pytest.approx((87.6, 55.98))
    assert path.bbox.center == pytest.approx((0, 0))
    assert path.length == pytest.approx(2 * (85.6 - 6.36 + 53.98 - 6.36) + 2 * math.pi * 4.18)


def test_square_corners_stay_square() -> None:
    path = outline(footprint("A7"))

    assert all(isinstance(segment, Line) for segment in path.segments)
    assert (path.bbox.width, path.bbox.height) == pytest.approx((107.0, 76.0))


@pytest.mark.parametrize("clearance", [-0.1, 10.1, float("nan")])
def test_impossible_clearance_is_refused(clearance: float) -> None:
    with pytest.raises(InputError, match=r"clearance \S+ mm is not possible; choose 0 to 10 mm"):
        outline(footprint("A7"), clearance)


@given(footprints(), st.floats(0, 10))
@settings(deadline=None)
def test_outline_keeps_its_size_and_centre(thing: Footprint, clearance: float) -> None:
    box = outline(thing, clearance).bbox

    assert box.width == pytest.approx(thing.width + 2 * clearance)
    assert box.height == pytest.approx(thing.depth + 2 * clearance)
    assert box.center == pytest.approx((0, 0), abs=1e-9)


@pytest.mark.parametrize(
    ("one", "other", "mm"),
    [
        ("can300", "puck", 0.0),
        ("can307", "lidW", 1.3),
        ("can211", "lidR", 1.7),
        ("can300", "can303", 4.8),
        ("can303", "lidW", 5.0),
        ("can300", "lidR", 6.2),
        ("can303", "can307", 6.3),
        ("can211", "can307", 19.0),
        ("can300", "lidW", 9.8),
    ],
)
def test_difference_of_round_things_is_that_of_their_diameters(
    one: str, other: str, mm: float
) -> None:
    assert difference_mm(footprint(one), footprint(other)) == pytest.approx(mm)


def test_difference_of_rectangles_is_found_across_when_it_is_largest_there() -> None:
    small = Footprint("", "small", 60, 40)
    large = Footprint("", "large", 64, 43)

    assert difference_mm(small, large) == pytest.approx(5.0)  # hypot(4, 3)


def test_turned_thing_is_the_same_thing() -> None:
    assert difference_mm(Footprint("", "a", 60, 40), Footprint("", "b", 40, 60)) == 0


def test_square_and_its_round_twin_differ_at_the_corner() -> None:
    square, circle = Footprint("", "square", 60, 60), Footprint("", "circle", 60, 60, 30)

    assert difference_mm(square, circle) == pytest.approx(60 * (math.sqrt(2) - 1))


def _width(thing: Footprint, deg: float) -> float:
    c, s = abs(math.cos(math.radians(deg))), abs(math.sin(math.radians(deg)))
    long, short = max(thing.width, thing.depth), min(thing.width, thing.depth)
    r = thing.corner
    return (long - 2 * r) * c + (short - 2 * r) * s + 2 * r


@given(footprints(), footprints())
@settings(deadline=None)
def test_difference_is_the_largest_of_many_directions(a: Footprint, b: Footprint) -> None:
    seen = max(abs(_width(a, deg / 4) - _width(b, deg / 4)) for deg in range(361))

    assert difference_mm(a, b) == difference_mm(b, a)
    assert seen <= difference_mm(a, b) + 1e-9
    assert difference_mm(a, b) - seen < 0.01


def test_near_twins_of_the_library_are_found() -> None:
    rounds = [t for t in library() if t.diameter is not None and not t.adult_only]
    found = [(a.id, b.id, round(mm, 1)) for a, b, mm in near_twins(rounds)]

    assert found == [
        ("can211", "can300", 7.9),
        ("can211", "lidR", 1.7),
        ("can211", "puck", 7.9),
        ("can300", "can303", 4.8),
        ("can300", "lidR", 6.2),
        ("can300", "puck", 0.0),
        ("can303", "can307", 6.3),
        ("can303", "lidW", 5.0),
        ("can303", "puck", 4.8),
        ("can307", "lidW", 1.3),
        ("lidR", "puck", 6.2),
    ]


@pytest.mark.parametrize("dims", [(30.61, 2.15), (31.75, 0.0), (10.0, 10.0, 60.0), (25, 25, 25)])
def test_pieces_that_may_fit_the_cylinder(dims: tuple[float, float, float]) -> None:
    assert fits_small_parts_cylinder(dims)


@pytest.mark.parametrize(
    "dims", [(31.8, 0.0), (85.6, 53.98, 0.76), (5.0, 66.0), (10, 10, 65), (31, 31, 35)]
)
def test_pieces_that_cannot_fit_the_cylinder(dims: tuple[float, float, float]) -> None:
    assert not fits_small_parts_cylinder(dims)


@pytest.mark.parametrize("dims", [(1.0,), (1.0, -1.0), (1.0, math.inf), (1.0, 2.0, 3.0, 4.0)])
def test_impossible_pieces_are_refused(dims: tuple[float, float]) -> None:
    with pytest.raises(InputError, match="give two or three measures in mm"):
        fits_small_parts_cylinder(dims)


@given(st.floats(0, 31.75), st.floats(0, 1))
@settings(deadline=None)
def test_round_piece_that_stands_in_the_cylinder_always_fits(diameter: float, part: float) -> None:
    """Standing at the deep wall its far rim has a depth of 57.15 mm less its diameter."""
    assert fits_small_parts_cylinder((diameter, part * (57.15 - diameter)))
