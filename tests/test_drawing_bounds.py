"""Drawings that would take very long or much memory are refused in one line, before the work."""

from __future__ import annotations

import cmath
import io
import random
import sys
import time
from pathlib import Path as FilePath

import pytest
import shapely

from shapes.errors import PictureError
from shapes.outline.morphology import calmed
from shapes.pictures.own import load_file
from shapes.pictures.picture import from_drawing
from shapes.pictures.silhouette import MAX_CHORDS, silhouette
from shapes.svg.read import read_svg
from shapes.svg.values import read_transform
from shapes.tangles import MAX_CROSSINGS
from sheets.cli import report
from sheets.kinds.cutting import fitted
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from tests.wild_svg import wrapped

TRIANGLE = '<path d="M0 0h9v9z"/>'
SOON = 10.0
"""Seconds; each took from half a minute to for ever before."""


def scribble(count: int) -> str:
    rng = random.Random(1)
    points = (f"{rng.uniform(0, 100):.2f} {rng.uniform(0, 100):.2f}" for _ in range(count))
    return "M" + "L".join(points)


LINE = 'fill="none" stroke="#000"'
SIMPLER = "simplify the drawing"
MANY = "has an element with more than 200 attributes or classes; save it as plain SVG"
TANGLE = f"has lines that cross more than {MAX_CROSSINGS:,} times; {SIMPLER}"
FLAT = "shows nothing: its shapes have neither area nor line; choose another picture"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (f'<g transform="{"a" * 200_000}">{TRIANGLE}</g>',
         f"has a transform that cannot be read: '{'a' * 23}…'; save the drawing again"),
        (f'<g transform="{"scale( " * 40_000}">{TRIANGLE}</g>',
         "has a transform that cannot be read: 'scale( scale( scale( sc…'; save the drawing again"),
        ("<g " + " ".join(f'data-a{i}="1"' for i in range(20_000)) + f">{TRIANGLE}</g>", MANY),
        (f'<g class="{" ".join(f"a{i}" for i in range(300_000))}">{TRIANGLE}</g>', MANY),
        (f'<path d="{scribble(3000)}"/>', TANGLE),
        (f'<path {LINE} d="{scribble(1000)}"/>', TANGLE),
        (f'<clipPath id="c"><path d="{scribble(2000)}"/></clipPath>'
         '<path clip-path="url(#c)" d="M0 0h99v99z"/>', TANGLE),
        (f'<path {LINE} transform="scale(1 2)" d="{scribble(2000)}"/>', TANGLE),
        ('<path d="M0 0L50 0L20 0L90 0Z"/>', FLAT),
        ('<path d="M3 0v50Z"/>', FLAT),
    ],
    ids=["transform", "open", "attributes", "classes", "area", "line", "clip", "stretched",
         "level", "upright"],
)  # fmt: skip
def test_refused_in_time(content: str, message: str, tmp_path: FilePath) -> None:
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped(content))
    began = time.monotonic()
    with pytest.raises(PictureError) as caught:
        load_file(file)
    assert str(caught.value) == f"my.svg: {message}"
    assert time.monotonic() - began < SOON


def comb_of(corners: int) -> shapely.Polygon:
    """A polygon with that many corners, teeth of 100 mm all along one side of 300 mm."""
    step = 300.0 / (corners - 2)
    teeth = [(i * step, 100.0 + 100.0 * (i % 2)) for i in range(corners - 2)]
    return shapely.Polygon([*teeth, (300.0, 0.0), (0.0, 0.0)])


def test_an_outline_of_very_many_corners_is_calmed() -> None:
    """One of 998 corners stays as it is; of more, narrow hollows are filled and nothing is lost."""
    few = comb_of(998)
    assert calmed(few) is few
    many = comb_of(4000)
    found = calmed(many)
    assert shapely.get_num_coordinates(found) <= 1000
    assert many.difference(found.buffer(0.2)).is_empty
    assert found.difference(many.buffer(0.5)).area < 0.01 * many.area


@pytest.mark.parametrize(("parts", "refused"), [(MAX_CHORDS, False), (MAX_CHORDS + 1, True)])
def test_straight_parts_are_counted(parts: int, refused: bool, tmp_path: FilePath) -> None:
    """Along a spiral, so that none crosses another."""
    points = (cmath.rect(5 + 40 * i / parts, i / 400) for i in range(parts + 1))
    drawn = "M" + "L".join(f"{50 + z.real:.4f} {50 + z.imag:.4f}" for z in points)
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped(f'<path {LINE} stroke-width="0.1" d="{drawn}"/>'))
    if not refused:
        assert load_file(file).shapes
        return
    with pytest.raises(PictureError) as caught:
        load_file(file)
    assert str(caught.value) == (
        "my.svg: has lines of more than 20,000 straight parts; simplify the drawing"
    )


@pytest.mark.parametrize("stroke", ["", LINE])
def test_a_scribble_is_drawn(stroke: str, tmp_path: FilePath) -> None:
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped(f'<path {stroke} d="{scribble(160)}"/>'))
    assert silhouette(load_file(file), 180.0).is_valid


def test_transforms_are_read_one_after_another() -> None:
    moved = read_transform(" translate(1 2),scale(2) \n")
    assert moved.apply((1.0, 1.0)) == pytest.approx((3.0, 4.0))
    for bad in ("translate(1 2) x", "turn(3)", "scale(2", "scale 2", "scale(1 2 3)"):
        with pytest.raises(PictureError):
            read_transform(bad)


def test_own_drawings_are_put_together_once_for_all_sizes() -> None:
    drawing = read_svg(wrapped(f'<circle cx="50" cy="50" r="40" {LINE} stroke-width="4"/>'), "my")
    own = from_drawing(drawing, id="my", name="my", credit="", source="my")
    theirs = from_drawing(drawing, id="my", name="my", credit="by someone", source="my")
    for size in (25.0, 120.0, 260.0):
        difference = shapely.symmetric_difference(silhouette(own, size), silhouette(theirs, size))
        assert difference.area < 0.1 * silhouette(own, size).length


def test_a_sign_of_life_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    for after, told in (
        (0.01, "still at work; a drawing with many lines takes longer\n"),
        (60, ""),
    ):
        screen = Terminal()
        monkeypatch.setattr(sys, "stderr", screen)
        monkeypatch.setattr(report, "_LONG_S", after)
        with report.patience():
            time.sleep(0.3)
        assert screen.getvalue() == told


def test_an_outline_that_takes_too_long(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fitted, "MOST_SECONDS", -1)
    file = tmp_path / "my.svg"
    file.write_bytes(wrapped('<circle cx="50" cy="50" r="41"/>'))
    with pytest.raises(PictureError) as caught:
        make_sheet("cutting", Source(words=(str(file),)), 4, Options())
    assert str(caught.value) == (
        "my: takes more than -1 seconds to be outlined; simplify the drawing"
    )
