"""The stored outlines and measures are those that the code makes now."""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path as FilePath

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.measure.difficulty import score
from shapes.path import Arc, Line, Path, arc_between
from shapes.pictures.pictures import curated, find
from sheets.check.known import STORE as MEASURES
from sheets.check.known import known_form, path_key, store_text, stored_value
from sheets.kinds.cutting.fitted import standard_outline
from sheets.kinds.cutting.make_store import build_one, measures_of
from sheets.kinds.cutting.store import KEPT, STORE, decode, encode, stored_outline

SAMPLE = [word.code for word in curated()][::61]


UNSEEN_MM = 0.05
"""Geometry libraries differ in the last digits from version to version; no hand cuts so finely."""


def farthest(one: Path, other: Path) -> float:
    """The largest distance from a point of either outline to the other (Hausdorff)."""
    rings = [shapely.LinearRing(path.flatten(0.005)) for path in (one, other)]
    return float(shapely.hausdorff_distance(*rings, densify=0.1))


@pytest.mark.parametrize("code", SAMPLE)
def test_stored_outlines_are_current(code: str) -> None:
    """Run ``python -m sheets.kinds.cutting.make_store`` if this fails."""
    stored, made = stored_value(STORE, code), build_one(code)
    assert stored.keys() == made.keys()
    picture = find(code)
    for key, entry in made.items():
        kept = stored[key]
        path = decode(kept["path"])
        assert (entry["shape"], entry["count"]) == (kept["shape"], kept["count"])
        assert farthest(decode(entry["path"]), path) <= UNSEEN_MM
        assert entry["longest"] == pytest.approx(kept["longest"], abs=UNSEEN_MM)
        assert entry["softened"] == pytest.approx(kept["softened"], abs=UNSEEN_MM)
        corners = [(picture.bbox.x0, picture.bbox.y0), (picture.bbox.x1, picture.bbox.y1)]
        for corner in corners:  # where the picture lies on the page
            here, there = (Affine(*one["at"]).apply(corner) for one in (entry, kept))
            assert math.dist(here, there) <= UNSEEN_MM
        # The number is that of the outline it stands beside, but for its rounding.
        assert kept["score"] == pytest.approx(score(path), abs=0.001)


def test_an_outline_a_tenth_of_a_millimetre_off_is_not_current() -> None:
    path = decode(stored_value(STORE, SAMPLE[0])["4"]["path"])

    assert farthest(path, path) == pytest.approx(0.0, abs=1e-9)
    assert farthest(path, path.moved(0.1, 0.0)) == pytest.approx(0.1, abs=0.01)


@pytest.mark.parametrize("code", SAMPLE)
def test_stored_measures_are_what_check_measures(code: str) -> None:
    for key, value in measures_of(code).items():
        stored = stored_value(MEASURES, key)
        assert stored is not None
        if isinstance(value, float):
            assert stored == pytest.approx(value, abs=0.001)
        else:
            stored["angles"] = tuple(stored["angles"])
            for name, number in value.items():
                if number is None:
                    assert stored[name] is None
                else:
                    assert stored[name] == pytest.approx(number, rel=1e-6)


def test_every_curated_picture_is_stored_at_every_stage() -> None:
    missing = [
        (word.text, stage, shape)
        for word in curated()
        for stage, shape in KEPT
        if stored_outline(find(word.code), stage, shape) is None
    ]
    assert missing == []


def test_a_mark_changed_by_a_thousandth_is_measured_anew() -> None:
    outline = stored_outline(find("duck"), 6)
    assert outline is not None
    assert known_form(outline.path.moved(3.0, -7.0)) is not None
    first = outline.path.segments[0]
    assert isinstance(first, Arc | Line)
    nudged = Path(
        tuple(
            Line(s.start, s.end)
            if isinstance(s, Line)
            else arc_between(s.start, s.end, s.sweep_deg * 1.001)
            for s in outline.path.segments
            if isinstance(s, Arc | Line)
        ),
        closed=True,
    )
    assert path_key(nudged) != path_key(outline.path)
    assert known_form(nudged) is None


def test_an_own_drawing_never_gets_a_stored_outline() -> None:
    import dataclasses

    own = dataclasses.replace(find("duck"), credit="")
    assert stored_outline(own, 6) is None
    assert standard_outline(own, 6).path.length > 0


@given(
    st.lists(
        st.tuples(st.floats(-200, 200), st.floats(-200, 200), st.floats(-350, 350)),
        min_size=3,
        max_size=12,
        unique_by=lambda row: (round(row[0]), round(row[1])),
    )
)
def test_encoding_keeps_the_path(rows: list[tuple[float, float, float]]) -> None:
    points = [(round(x, 4), round(y, 4)) for x, y, _ in rows]
    segments = [
        Line(a, b) if abs(sweep) < 1.0 else arc_between(a, b, sweep)
        for a, b, (_, _, sweep) in zip(points, [*points[1:], points[0]], rows, strict=True)
    ]
    path = Path(tuple(segments), closed=True)
    again = decode(encode(path))
    assert again.closed
    assert again.length == pytest.approx(path.length, rel=1e-3, abs=0.01)
    assert encode(again) == encode(decode(encode(again)))


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(st.text(st.characters(codec="utf-8"), max_size=12), st.integers(), max_size=40),
    st.lists(st.text(max_size=6), max_size=5),
)
def test_every_key_of_a_store_is_found_and_no_other(
    content: dict[str, int], others: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = FilePath(folder) / "store.json"
        store.write_bytes(store_text(content))

        assert json.loads(store.read_bytes()) == content
        for key in [*content, *others]:
            assert stored_value(store, key) == content.get(key)


def test_the_stores_are_sorted_as_they_are_searched() -> None:
    for store in (STORE, MEASURES):
        assert store.read_bytes() == store_text(json.loads(store.read_bytes()))


def test_pages_of_a_theme_that_comes_along_load_no_geometry_library() -> None:
    """Hills, outlines, pictures made whole and what touches: all of it stored or plain Python."""
    code = """
import sys
from sheets import desk
from sheets.kinds.options import Options
for hand in ("left", "right"):
    for kind in ("cutting", "trace-match", "letter-match", "sequence", "pattern", "sort-mat"):
        for stage in range(7):
            desk.make_sheet(kind, stage, Options(hand=hand), theme="tide-side-harbour")
print([name for name in ("shapely", "numpy", "fontTools") if name in sys.modules])
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )

    assert done.stdout == "[]\n"
