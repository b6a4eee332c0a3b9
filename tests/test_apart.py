"""Work on large files of strangers in a process of its own: the same answers, and an end to it."""

from __future__ import annotations

import cmath
import io
import math
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from shapes import apart
from shapes.affine import Affine
from shapes.errors import FitError, InputError, PictureError
from shapes.path import Arc, BBox, Cubic, Line
from shapes.path import Path as Outline
from shapes.pictures import own
from shapes.pictures.silhouette import silhouette
from sheets import desk
from sheets.check import checked
from sheets.files import spreadsheet
from sheets.files.rows import ClassListError, Row
from sheets.kinds.cutting import fitted
from sheets.kinds.cutting.fitted import Wish
from sheets.page.model import Finding, Role
from tests.hostile import one_line
from tests.wild_svg import wrapped

# --- functions that are called in the other process -----------------------------------------------


def forty_two(number: int) -> int:
    return number + 2


def endless() -> None:
    while True:
        pass


def asleep() -> None:
    import time

    time.sleep(60.0)


def greedy() -> int:
    return len(bytearray(400_000_000))


def greedy_geometry() -> object:
    """Memory that the geometry library takes, which tells of its end in its own way."""
    return shapely.segmentize(shapely.LineString([(0.0, 0.0), (1e9, 0.0)]), 1.0).length


def misfit() -> None:
    raise FitError("is too wide", where="kite", fix="use A3")


def broken() -> None:
    raise RuntimeError("a fault of ours")


def alike(value: object) -> object:
    return value


# --- calls ----------------------------------------------------------------------------------------


def test_it_answers() -> None:
    assert apart.call(forty_two, 40) == 42


def test_what_it_refuses_is_refused_here_with_the_same_error() -> None:
    with pytest.raises(FitError) as caught:
        apart.call(misfit)
    assert str(caught.value) == "kite: is too wide; use A3"


@pytest.mark.parametrize(
    ("function", "seconds", "told"),
    [
        (endless, 1.0, "my.svg: reading it takes too much time; draw less"),
        (asleep, 0.2, "my.svg: reading it takes too much time; draw less"),
        (greedy, 8.0, "my.svg: reading it takes too much memory; draw less"),
        (greedy_geometry, 8.0, "my.svg: reading it takes too much memory; draw less"),
    ],
    ids=["works on", "waits", "memory", "memory of the library"],
)
def test_it_is_ended_in_time(function: Callable[[], object], seconds: float, told: str) -> None:
    with pytest.raises(InputError) as caught:
        apart.call(function, seconds=seconds, megabytes=400, where="my.svg", fix="draw less")
    assert str(caught.value) == told


def test_a_fault_is_one_line_too_and_keeps_its_cause() -> None:
    with pytest.raises(InputError) as caught:
        apart.call(broken, where="my.svg")
    assert str(caught.value) == "my.svg: cannot be worked out; simplify the drawing"
    assert "a fault of ours" in str(caught.value.__cause__)


# --- plain data -----------------------------------------------------------------------------------

numbers = st.floats(allow_nan=False, allow_infinity=False)
plain = st.recursive(
    st.none() | st.booleans() | st.integers() | numbers | st.text() | st.binary()
    | st.sampled_from([Role.CUT, BBox(0.0, -0.1, 1e-300, 2.5), Affine(), Row(3, ("Bo", "2"))]),
    lambda inner: st.lists(inner, max_size=3).map(tuple)
    | st.dictionaries(st.integers() | st.text(), inner, max_size=3),
    max_leaves=12,
)  # fmt: skip


@given(plain)
def test_data_comes_back_as_it_was(value: object) -> None:
    found = apart.unpacked(apart.packed(value))
    assert found == value
    assert type(found) is type(value)


def test_a_path_comes_back_as_it_was() -> None:
    path = Outline((
        Line((0.0, 0.0), (3.0, 0.1)),
        Cubic((3.0, 0.1), (4.0, 1.0), (4.0, 2.0), (3.0, 3.0)),
        Arc((0.0, 3.0), 3.0, 0.0, 180.0),
    ))  # fmt: skip
    assert apart.unpacked(apart.packed(path)) == path


def test_only_data_is_sent_and_taken() -> None:
    with pytest.raises(TypeError, match="set is no plain data"):
        apart.packed({1})
    for name in ("os:system", "shapes.apart:call", "shapes.pictures.own:FilePath", "pathlib:Path"):
        with pytest.raises(ValueError, match="no plain data"):
            apart.unpacked({name: ["x"]})


# --- drawings -------------------------------------------------------------------------------------


def rosette(corners: int) -> bytes:
    """A round thing of many short lines with five petals."""
    turns = (i * math.tau / corners for i in range(corners))
    points = (cmath.rect(38 + 6 * math.cos(5 * turn), turn) for turn in turns)
    return wrapped(
        f'<path d="M{"L".join(f"{50 + z.real:.3f} {50 + z.imag:.3f}" for z in points)}Z"/>'
    )


@pytest.fixture
def rosette_file(tmp_path: Path) -> Path:
    file = tmp_path / "petals.svg"
    file.write_bytes(rosette(own.LARGE_SEGMENTS + 1))
    return file


def test_a_large_drawing_is_read_and_outlined_apart_as_here(
    rosette_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[str] = []
    real = apart.call

    def noted(function: Callable[..., object], *arguments: object, where: str) -> object:
        calls.append(function.__name__)
        return real(function, *arguments, where=where)

    monkeypatch.setattr(apart, "call", noted)
    here = own._measured(own._drawn(rosette_file.read_bytes(), rosette_file.name))

    there = own.load_file(rosette_file)

    assert there == here
    assert own.is_large(there)
    assert shapely.equals_exact(silhouette(there, 120.0), silhouette(here, 120.0))
    assert fitted.made_anew(there, Wish(4), BBox(0.0, 0.0, 180.0, 220.0)) == fitted.fit_anew(
        here, Wish(4), BBox(0.0, 0.0, 180.0, 220.0)
    )
    refused = fitted.made_anew(there, Wish(6), BBox(0.0, 0.0, 20.0, 20.0))
    assert isinstance(refused, FitError)
    assert str(refused).startswith("petals: its outline for this stage does not fit 20 x 20 mm")
    assert calls == ["_read_here", "_made_here", "_made_here"]


def test_an_ordinary_drawing_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "call", None)
    file = tmp_path / "petals.svg"
    file.write_bytes(rosette(own.LARGE_SEGMENTS))
    assert not own.is_large(own.load_file(file))


@pytest.mark.parametrize("more", [0, 1], ids=["here", "apart"])
def test_a_file_of_many_bytes_is_read_apart(
    more: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(apart, "call", lambda function, *_a, **_k: pytest.fail(function.__name__))
    start, end = wrapped('<path d="M0 0h9v9z"/>').split(b"<path")
    blanks = own.LARGE_BYTES + more - len(start) - len(end) - len(b"<path")
    file = tmp_path / "my.svg"
    file.write_bytes(start + b" " * blanks + b"<path" + end)
    if more:
        with pytest.raises(pytest.fail.Exception, match="_read_here"):
            own.load_file(file)
    else:
        assert own.segments(own.load_file(file)) == 3


def test_what_is_wrong_with_a_large_drawing_is_told_as_of_others(tmp_path: Path) -> None:
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped("<script/>" + " " * own.LARGE_BYTES))
    with pytest.raises(PictureError) as caught:
        own.load_file(file)
    assert str(caught.value).startswith("my.svg: holds a script")


# --- spreadsheets and pages -----------------------------------------------------------------------


def book_with(note: int) -> bytes:
    """A workbook of a class with a note of so many bytes in its file."""
    saved = io.BytesIO(desk.starter("class", "Pond class", ".xlsx"))
    with zipfile.ZipFile(saved, "a", zipfile.ZIP_DEFLATED) as file:
        file.writestr("note.txt", b"n" * note)
    return saved.getvalue()


def test_a_large_spreadsheet_is_read_apart_as_here(monkeypatch: pytest.MonkeyPatch) -> None:
    content = book_with(note=spreadsheet.LARGE_UNPACKED)
    assert spreadsheet._is_large(content)
    assert not spreadsheet._is_large(book_with(note=0))
    assert spreadsheet.spreadsheet_rows(content, "c") == spreadsheet._rows(content, "c")

    def too_much(*_arguments: object, where: str, fix: str) -> None:
        raise InputError("reading it takes too much memory", where=where, fix=fix)

    monkeypatch.setattr(apart, "call", too_much)
    with pytest.raises(ClassListError) as caught:
        spreadsheet.opened(content, "c.xlsx", alike, 1)
    assert caught.value.problems == (
        "c.xlsx: reading it takes too much memory; copy the rows of the class into a new workbook",
    )


def test_a_large_page_is_checked_apart_as_here() -> None:
    content = one_line(3000) + b" " * checked.LARGE_BYTES
    found = checked.checked(content, "page.svg", "cutting", 4)
    assert found == checked._checked(content, "page.svg", "cutting", 4)
    assert found.findings
    assert isinstance(found.findings[0], Finding)
