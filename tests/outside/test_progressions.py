"""Published cutting progressions against the path complexity, total turning and plain length.

``progressions.toml`` lists which practice shape comes before which in published sources. Here every
pair is built and measured, always at one line width. Nothing in ``shapes/measure/difficulty.py``
may be changed because of what is found: orders that come out the wrong way round are listed below.

The list is weak evidence: most sources are practice pages that descend from the same few tests,
most pairs are far apart, and the harder shape is mostly the longer one as well, so that plain
length does nearly as well as anything.

``python -m tests.outside.test_progressions`` prints the table for the contributor's guide.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path as FilePath
from typing import Any, NamedTuple

import pytest

from shapes import basic
from shapes.measure.difficulty import score, turning_deg
from shapes.path import Path
from tests.path_measures import length_over_width

LISTED: Mapping[str, Any] = tomllib.loads(
    (FilePath(__file__).parent / "progressions.toml").read_text(encoding="utf-8")
)

MEASURES: Mapping[str, Callable[[Path], float]] = {
    "path complexity": score,
    "total turning": turning_deg,
    "length / width": length_over_width,
}

# Turnings that differ by rounding only are equal.
TIE = 1e-6

# Pairs that the path complexity puts the wrong way round, with its value for either side, as first
# found. All three involve a size that no source names: the flat zigzag turns less than a square or
# triangle does, and the flower has more notches than the star has tips.
KNOWN_INVERSIONS: Mapping[tuple[str, str], tuple[float, float]] = {
    ("square_3in", "zigzag_right"): (12.23, 9.04),
    ("triangle_3in", "zigzag_right"): (10.75, 9.04),
    ("flower_6in", "star_6in"): (40.41, 31.68),
}


class Row(NamedTuple):
    """One pair, with every measure of its easier and its harder side."""

    kind: str
    easier: str
    harder: str
    sources: int
    values: Mapping[str, tuple[float, float]]

    def agrees(self, measure: str) -> int:
        """1 if the measure has the published order, -1 if the opposite one, 0 if neither."""
        easier, harder = self.values[measure]
        return 0 if math.isclose(easier, harder, rel_tol=TIE) else 1 if harder > easier else -1


class Agreement(NamedTuple):
    """How often a measure has the published order.

    ``tau`` is (agreeing - opposite) / pairs, Kendall's tau restricted to the listed pairs.
    """

    agreeing: int
    opposite: int
    tied: int

    @property
    def tau(self) -> float:
        return (self.agreeing - self.opposite) / sum(self)


def build(name: str) -> Path:
    """The practice shape that ``progressions.toml`` calls by that name."""
    shape = LISTED["shapes"][name]
    made = getattr(basic, shape["function"])(**shape["arguments"])
    assert isinstance(made, Path)
    return made


def report() -> list[Row]:
    """Every listed pair, measured; agreed pairs first."""
    rows = []
    for kind in ("pairs", "single"):
        for pair in LISTED[kind]:
            sides = build(pair["easier"]), build(pair["harder"])
            values = {name: (of(sides[0]), of(sides[1])) for name, of in MEASURES.items()}
            rows.append(Row(kind, pair["easier"], pair["harder"], len(pair["sources"]), values))
    return rows


def agreement(rows: list[Row], measure: str) -> Agreement:
    """Counts of agreeing, opposite and tied pairs."""
    signs = [row.agrees(measure) for row in rows]
    return Agreement(signs.count(1), signs.count(-1), signs.count(0))


def paired(rows: list[Row], first: str, second: str) -> tuple[int, int, float]:
    """Pairs on which one measure does better than the other, and the exact two-sided sign test.

    Returns:
        Number of pairs on which ``first`` is better, number on which ``second`` is, and the
        probability of a split at least as uneven if neither were. The pairs share shapes and
        sources and are not independent, so the probability flatters the difference.
    """
    differences = [row.agrees(first) - row.agrees(second) for row in rows]
    better, worse = sum(d > 0 for d in differences), sum(d < 0 for d in differences)
    trials = better + worse
    tail = sum(math.comb(trials, k) for k in range(max(better, worse), trials + 1))
    return better, worse, min(1.0, 2.0 * tail / 2.0**trials)


def without_straight_lines(rows: list[Row]) -> list[Row]:
    """The pairs whose easier side bends at all; a straight line is easy by every measure."""
    return [row for row in rows if row.values["total turning"][0] > 0.0]


def markdown(rows: list[Row]) -> str:
    """The report as Markdown: the pairs, then the agreement of every measure."""
    lines = [
        "| easier | harder | sources | path complexity | total turning, deg | length / 3 mm |",
        "|---|---|---|---|---|---|",
    ]
    marks = {1: "", 0: " (tie)", -1: " (opposite)"}
    for row in rows:
        cells = [
            f"{row.values[name][0]:.{digits}f} < {row.values[name][1]:.{digits}f}".replace(
                "<", {1: "<", 0: "=", -1: ">"}[row.agrees(name)]
            )
            + marks[row.agrees(name)]
            for name, digits in zip(MEASURES, (2, 0, 1), strict=True)
        ]
        lines.append(f"| {row.easier} | {row.harder} | {row.sources} | {' | '.join(cells)} |")
    lines += ["", "| pairs | measure | agree | opposite | tie | tau |", "|---|---|---|---|---|---|"]
    for title, chosen in groups(rows).items():
        for name in MEASURES:
            found = agreement(chosen, name)
            lines.append(
                f"| {title} ({len(chosen)}) | {name} | {found.agreeing} | {found.opposite} "
                f"| {found.tied} | {found.tau:.2f} |"
            )
    lines += ["", "| pairs | path complexity against | better | worse | sign test p |"]
    lines.append("|---|---|---|---|---|")
    for title, chosen in groups(rows).items():
        for name in list(MEASURES)[1:]:
            better, worse, p = paired(chosen, "path complexity", name)
            lines.append(f"| {title} | {name} | {better} | {worse} | {p:.3f} |")
    return "\n".join(lines)


def groups(rows: list[Row]) -> dict[str, list[Row]]:
    """The pairs to count together."""
    agreed = [row for row in rows if row.kind == "pairs"]
    return {
        "agreed": agreed,
        "agreed, no straight line": without_straight_lines(agreed),
        "one source": [row for row in rows if row.kind == "single"],
        "all": rows,
        "all, no straight line": without_straight_lines(rows),
    }


# --- the list ------------------------------------------------------------------------------------


def test_every_source_says_who_when_where_and_how_it_was_read() -> None:
    for name, source in LISTED["sources"].items():
        assert set(source) == {"title", "body", "year", "address", "read", "order"}, name
        assert all(source.values()), name
        assert source["read"] in {"primary", "secondary", "practice"}, name


def test_agreed_pairs_have_two_sources_or_more_and_single_ones_have_one() -> None:
    assert all(len(pair["sources"]) >= 2 for pair in LISTED["pairs"])
    assert all(len(pair["sources"]) == 1 for pair in LISTED["single"])
    for pair in LISTED["pairs"] + LISTED["single"]:
        assert len(set(pair["sources"])) == len(pair["sources"]), pair
        assert set(pair["sources"]) <= set(LISTED["sources"]), pair


def test_no_pair_is_listed_twice_either_way_round_or_disputed_too() -> None:
    used = [frozenset((p["easier"], p["harder"])) for k in ("pairs", "single") for p in LISTED[k]]
    disputed = [frozenset((p["first"], p["second"])) for p in LISTED["disputed"]]
    every = used + disputed
    assert len(every) == len(set(every))


def test_disputed_pairs_name_sources_on_both_sides_and_none_on_both() -> None:
    for pair in LISTED["disputed"]:
        one, other = set(pair["first_is_easier"]), set(pair["second_is_easier"])
        assert one, pair
        assert other, pair
        assert not one & other, pair
        assert one | other <= set(LISTED["sources"]), pair


def test_circle_against_square_and_curve_against_corner_are_not_used() -> None:
    disputed = {frozenset((p["first"], p["second"])) for p in LISTED["disputed"]}
    assert frozenset(("circle_6in", "square_3in")) in disputed
    assert frozenset(("curve_6in", "one_turn")) in disputed


def test_pencil_orders_are_kept_apart_and_name_their_sources() -> None:
    for order in LISTED["prewriting"]:
        assert len(order["order"]) >= 2
        assert set(order["sources"]) <= set(LISTED["sources"])
        assert not set(order["order"]) & set(LISTED["shapes"])


@pytest.mark.parametrize("name", LISTED["shapes"])
def test_every_shape_can_be_built_and_says_where_its_size_comes_from(name: str) -> None:
    assert build(name).length > 0.0
    assert LISTED["shapes"][name]["size"]


@pytest.mark.parametrize("name", ["house_6in", "flower_6in", "heart_6in", "star_6in"])
def test_picture_outlines_are_6_in_each_way_and_no_larger_than_needed(name: str) -> None:
    box = build(name).bbox
    assert min(box.width, box.height) == pytest.approx(152.4, abs=0.1)


# --- the measures --------------------------------------------------------------------------------

ROWS = report()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.easier}-{row.harder}")
def test_path_complexity_has_the_published_order_or_is_listed_as_inverted(row: Row) -> None:
    easier, harder = row.values["path complexity"]
    known = KNOWN_INVERSIONS.get((row.easier, row.harder))
    if known is None:
        assert easier < harder
    else:
        # Still inverted, and by as much: an order that came right must leave the list.
        assert (easier, harder) == pytest.approx(known, abs=0.01)
        assert easier > harder


def test_every_known_inversion_is_a_listed_pair() -> None:
    assert set(KNOWN_INVERSIONS) <= {(row.easier, row.harder) for row in ROWS}


@pytest.mark.parametrize(
    ("group", "measure", "expected"),
    [
        ("agreed", "path complexity", Agreement(21, 1, 0)),
        ("agreed", "total turning", Agreement(20, 1, 1)),
        ("agreed", "length / width", Agreement(18, 1, 3)),
        ("one source", "path complexity", Agreement(11, 2, 0)),
        ("one source", "total turning", Agreement(7, 2, 4)),
        ("one source", "length / width", Agreement(11, 2, 0)),
        ("all, no straight line", "path complexity", Agreement(22, 3, 0)),
        ("all, no straight line", "total turning", Agreement(19, 3, 3)),
        ("all, no straight line", "length / width", Agreement(21, 3, 1)),
    ],
)
def test_agreement_is_as_reported(group: str, measure: str, expected: Agreement) -> None:
    assert agreement(groups(ROWS)[group], measure) == expected


@pytest.mark.parametrize(
    ("group", "other", "expected"),
    [
        ("agreed", "total turning", (1, 0, 1.0)),
        ("agreed", "length / width", (3, 0, 0.25)),
        ("all", "total turning", (5, 0, 0.0625)),
        ("all", "length / width", (4, 1, 0.375)),
    ],
)
def test_path_complexity_is_not_clearly_better_than_the_plain_measures(
    group: str, other: str, expected: tuple[int, int, float]
) -> None:
    assert paired(groups(ROWS)[group], "path complexity", other) == pytest.approx(expected)


def test_path_complexity_beats_total_turning_by_its_ties_only() -> None:
    better = [r for r in ROWS if r.agrees("path complexity") > r.agrees("total turning")]
    assert [(r.easier, r.harder) for r in better] == [
        ("strip_1in", "line_6in"),
        ("line_4in", "line_6in"),
        ("circle_6in", "circle_4_5in"),
        ("square_3in", "house_6in"),
        ("triangle_3in", "house_6in"),
    ]
    assert all(r.agrees("total turning") == 0 for r in better)


def test_sign_test_is_exact_and_two_sided() -> None:
    # Six splits one way: 2 / 2^6. Row values are made up.
    rows = [Row("pairs", "a", "b", 2, {"m": (1.0, 2.0), "n": (2.0, 1.0)}) for _ in range(6)]
    assert paired(rows, "m", "n") == (6, 0, 2.0 / 64.0)
    assert paired(rows, "n", "m") == (0, 6, 2.0 / 64.0)
    assert paired(rows, "m", "m") == (0, 0, 1.0)


def test_the_printed_report_marks_every_inversion_and_tie() -> None:
    table = markdown(ROWS).splitlines()
    row = next(line for line in table if line.startswith("| square_3in | zigzag_right |"))
    assert row.split(" | ")[3] == "12.23 > 9.04 (opposite)"
    row = next(line for line in table if line.startswith("| circle_6in | circle_4_5in |"))
    assert row.split(" | ")[4] == "360 = 360 (tie)"
    assert sum(line.count("(opposite)") + line.count("(tie)") for line in table) == sum(
        r.agrees(m) < 1 for r in ROWS for m in MEASURES
    )


if __name__ == "__main__":
    print(markdown(ROWS))
