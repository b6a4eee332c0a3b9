"""Of pages of very many marks the first are measured, and the note says so."""

from __future__ import annotations

import pytest

from shapes.errors import InputError, PictureError
from shapes.measure.course import MOST_POINTS
from shapes.measure.measure import MOST_CORNERS, measure
from shapes.path import Path
from sheets.check import overlap
from sheets.check.checked import checked
from sheets.check.part import MOST_LISTED, MOST_OF_A_ROLE, listed, measurable
from sheets.page.model import Finding, Page, Paper, Role, Stroke
from tests.hostile import comb, one_line, squares

PAPER = Paper("test", 210.0, 297.0)


def lines(count: int, role: Role = Role.CUT) -> tuple[Path, ...]:
    return tuple(Path.from_points([(10.0, 5.0 + i), (20.0, 5.0 + i)]) for i in range(count))


def test_as_many_as_are_measured_and_one_more() -> None:
    strokes = [Stroke((line,), 1.0, Role.CUT) for line in lines(MOST_OF_A_ROLE + 1)]
    other = Stroke(lines(1), 1.0, Role.GUIDE)
    full = Page(PAPER, (*strokes[:-1], other))
    assert measurable(full) == (full, ())
    part, notes = measurable(Page(PAPER, (*strokes, other)))
    assert part == full
    assert notes == ('101 marks of the role "cut": the first 100 are measured',)


def test_paths_of_one_mark_are_counted() -> None:
    page = Page(PAPER, (Stroke(lines(60), 1.0, Role.CUT), Stroke(lines(60), 1.0, Role.CUT)))
    part, notes = measurable(page)
    assert [len(mark.paths) for mark in part.marks if isinstance(mark, Stroke)] == [60, 40]
    assert notes == ('120 marks of the role "cut": the first 100 are measured',)


def test_values_outside_are_listed_first() -> None:
    def value(i: int, outside: bool) -> Finding:
        return Finding("gap", float(i), "", "mm", "our setting", "", outside, str(i))

    within = [value(i, False) for i in range(MOST_LISTED)]
    assert listed(within) == (tuple(within), ())
    kept, notes = listed([*within, value(-1, True)])
    assert kept == (*within[:-1], value(-1, True))
    assert notes == (f"gap: {MOST_LISTED} of {MOST_LISTED + 1} values are listed",)


def test_a_page_of_very_many_lines_is_answered() -> None:
    found = checked(one_line(300), "my.svg", "cutting", 4)
    assert '300 marks of the role "cut": the first 100 are measured' in found.notes
    (count,) = [f for f in found.findings if f.limit == "cuts per page"]
    assert (count.measured, count.outside) == (100.0, True)
    assert found.where(found.outside[0]) is not None
    assert len(found.page.marks[0].paths) == 300  # type: ignore[union-attr]


def test_pairs_that_touch_are_told_up_to_a_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(overlap, "MOST_TOUCHING", 3)
    crossing = [
        Stroke((Path.from_points([(0.0, i), (50.0, 50.0 - i)]),), 1.0, Role.GUIDE) for i in range(9)
    ]
    assert len(overlap.touching(crossing)) == 3


def test_marks_that_lie_over_one_another_too_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rings around each other: their boxes meet, their lines do not."""
    rings = [
        Stroke((Path.from_points([(i, i), (90.0 - i, i), (45.0, 80.0 - i)], closed=True),), 0.1,
               Role.TRACE)
        for i in range(1, 12, 2)
    ]  # fmt: skip
    pairs = len(rings) * (len(rings) - 1) // 2
    monkeypatch.setattr(overlap, "MOST_NEIGHBOURS", pairs)
    assert overlap.touching(rings) == []
    monkeypatch.setattr(overlap, "MOST_NEIGHBOURS", pairs - 1)
    with pytest.raises(InputError) as caught:
        overlap.touching(rings)
    assert str(caught.value) == (
        "more than 14 pairs of marks lie over one another; leave away what is not to be measured"
    )


def test_long_lines_touch_as_short_ones_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """The index of the geometry library and the comparison of all parts find the same."""
    for apart, touches in ((1.06, False), (1.04, True)):
        one = Stroke((many_parts(0.0),), 1.0, Role.GUIDE, join="miter")
        other = Stroke((many_parts(apart),), 1.0, Role.GUIDE, join="miter")
        for few in (0, 10**9):
            monkeypatch.setattr(overlap, "_FEW", few)
            assert bool(overlap.touching([one, other])) is touches


def many_parts(up: float) -> Path:
    return Path.from_points([(2.0 * i, 10.0 + up) for i in range(40)])


def test_outlines_of_too_many_corners() -> None:
    """On both sides of the bounds, and wobble too fine to see is taken out before."""

    def path(teeth: int, closed: bool = True) -> Path:
        points = [
            (float(x), float(y))
            for x, y in (pair.split() for pair in comb(teeth).strip("MZ").split("L"))
        ]
        return Path.from_points(points, closed=closed)

    assert measure(path(MOST_CORNERS - 3)).neck is not None
    with pytest.raises(PictureError) as caught:
        measure(path(MOST_CORNERS + 3))
    assert str(caught.value) == (
        "has an outline with more than 1,500 corners; simplify the drawing"
    )
    assert measure(path(MOST_POINTS - 2, closed=False)).closed is False
    with pytest.raises(PictureError) as caught:
        measure(path(MOST_POINTS, closed=False))
    assert str(caught.value) == (
        "has a line of more than 10,000 straight parts; simplify the drawing"
    )


def test_fine_wobble_is_no_corner() -> None:
    """Four sides of 600 mm with teeth of 0.08 mm: the neck is the side of the square."""
    step, side = 1.0, 600.0
    teeth = [(i * step, 0.08 * (i % 2)) for i in range(int(side))]
    ring = [
        *teeth,
        *((side - y, x) for x, y in teeth),
        *((side - x, side - y) for x, y in teeth),
        *((y, side - x) for x, y in teeth),
    ]
    found = measure(Path.from_points(ring, closed=True))
    assert found.neck == pytest.approx(side, abs=0.3)


def test_a_drawing_is_named_where_its_page_cannot_be_measured() -> None:
    with pytest.raises(InputError, match=r"^my.svg: has an outline with more than"):
        checked(
            squares(1, 50, 60).replace(b"<rect", _comb_path() + b"<rect"), "my.svg", "cutting", 4
        )


def _comb_path() -> bytes:
    return f'<path fill="none" stroke="#000" d="{comb(1600)}"/>'.encode()
