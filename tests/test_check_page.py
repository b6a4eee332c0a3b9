"""What a check of a page says besides its findings: what was not measured, where, and for whom."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from shapes.affine import Affine
from shapes.path import BBox
from shapes.path import Path as Line
from sheets import desk
from sheets.check.check import check_page
from sheets.check.guidance import STAGES, limits
from sheets.check.unmeasured import _NEEDS, likely_skill, unmeasured
from sheets.check.where import from_top_left, named, where
from sheets.cli.main import main
from sheets.kinds import KINDS, SKILLS
from sheets.kinds.options import Options
from sheets.page.model import Artwork, Fill, Finding, Page, Paper, Place, Role, Stroke, Text
from sheets.write.svg import write_svg
from tests.readers import opened, texts

LETTER = Paper("letter", 215.9, 279.4)
SVG = 'xmlns="http://www.w3.org/2000/svg" width="200mm" height="250mm" viewBox="0 0 200 250"'
LINES = (
    f'<svg {SVG}><path id="low" d="M20 200H180" stroke="#aaa" stroke-width="3"/>'
    '<path d="M20 120H180" stroke="#000" stroke-width="2"/></svg>'
)
LETTERS = f'<svg {SVG}><path d="M50 50h40v40h-40z" fill="#000"/></svg>'


@pytest.fixture(autouse=True)
def in_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("lines.svg").write_text(LINES, "utf-8")
    Path("letters.svg").write_text(LETTERS, "utf-8")


def pages_of(file: str) -> list[str]:
    """The text of every page of a PDF file."""
    data = Path(file).read_bytes()
    return [" ".join(texts(data, page)) for page in range(len(opened(data).pages))]


def of(page: Page, limit: str, mark: str) -> Finding:
    return Finding(limit, 0.0, "", "mm", "our setting", "", True, mark)


# --- what could not be measured -------------------------------------------------------------------


def test_every_measured_limit_has_a_reason_why_it_may_be_missing() -> None:
    names = {
        name.removeprefix("open_")
        for skill in SKILLS
        for stage in STAGES
        for name, limit in limits(skill, stage).items()
        if limit.measured
    }
    assert names == set(_NEEDS)


@pytest.mark.parametrize("skill", SKILLS)
def test_a_blank_page_leaves_every_limit_unmeasured(skill: str) -> None:
    page = Page(LETTER, ())
    findings = check_page(page, skill, 4)
    told = unmeasured(page, skill, 4, findings)
    found = {finding.limit for finding in findings if finding.limit != "cuts per page"}

    assert found | {row.limit for row in told} == {x.label for x in limits(skill, 4).values()}
    assert found == {"overlap"}
    assert all(row.reason for row in told)


def test_letters_drawn_as_outlines_are_not_praised(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "letters.svg", "--stage", "3", "--skill", "letters"]) == 1
    shown = capsys.readouterr().out
    assert 'not measured  choices: no mark with the role "choice" on the page\n' in shown
    assert "NOTHING of letters could be measured: no mark on the page has a role of it\n" in shown
    assert "2 values measured, 0 outside guidance, " in shown


def test_a_page_without_any_line_to_cut_counts_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "letters.svg", "--stage", "3", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["of_skill"] is False
    assert {"limit": "cuts per page", "reason": 'no mark with the role "cut" or "entry" on the page'
            } in told["unmeasured"]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("stage", [0, 2, 5])
def test_something_of_the_skill_is_measured_on_every_page_of_ours(kind: str, stage: int) -> None:
    if kind in ("pieces", "picture-puzzle") and stage % 3:
        return  # their pages take long to read back
    sheet = desk.make_sheet(kind, stage, Options(name="Zuzë"), theme="reedy-pond")
    for page in sheet.pages:
        if page.label.endswith(": how to make it"):
            continue  # for the adult, who makes a book of the other sheets
        found = desk.check_drawing(
            write_svg(page, title="", language="en"), "page.svg", sheet.skill, stage
        )
        assert found.of_skill
        assert found.outside == ()


# --- which skill ----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("stage", STAGES)
def test_the_skill_of_our_own_pages_is_found_by_roles(kind: str, stage: int) -> None:
    sheet = desk.make_sheet(kind, stage, Options(name="Zuzë"), theme="reedy-pond")
    found = [likely_skill(page) for page in sheet.pages]

    assert sheet.skill in found
    # Pages of cards alone have no skill of their own.
    assert {skill for skill in found if skill is not None} == {sheet.skill}


def test_auto_says_which_skill_it_took(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pattern", "--theme", "reedy-pond", "--stage", "4", "--out", "p.svg"]) == 0
    capsys.readouterr()
    assert main(["check", "p.svg", "--stage", "4", "--skill", "auto"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("note: by the roles of its marks taken for a page of pattern\n")
    assert shown.endswith("; pattern, stage 4\n")


def test_auto_does_not_guess(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "letters.svg", "--stage", "4", "--skill", "auto"]) == 2
    assert capsys.readouterr().err == (
        "tablework: letters.svg: the roles of its marks speak for no one skill; give its --skill\n"
    )


# --- where ----------------------------------------------------------------------------------------


def test_a_finding_names_its_line_its_element_and_its_place(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["check", "lines.svg", "--stage", "5"]) == 1
    shown = capsys.readouterr().out
    assert (
        "OUTSIDE  line contrast of line 1: 2.32 to 1; guidance at least 3 to 1 (published: WCAG 2, "
        "1.4.11); at 100 mm from the left, 200 mm from the top (id low)\n"
    ) in shown
    assert "line width of line 2: 2 mm;" in shown
    assert "outline gap between line 1 and line 2: 77.5 mm;" in shown
    assert "steering index: length of a line over the width it may be followed in" in shown
    main(["check", "lines.svg", "--stage", "5", "--json"])
    rows = json.loads(capsys.readouterr().out)["findings"]
    (gap,) = [row for row in rows if row["limit"] == "outline gap"]
    assert gap["from_left_and_top_mm"][1] == 160
    assert gap["element"] == "low"


def test_marks_without_a_name_get_one_that_is_free() -> None:
    line = Stroke((Line.line((0, 0), (50, 0)),), 1.0, Role.CUT)
    named_two = Stroke((Line.line((0, 9), (50, 9)),), 1.0, Role.CUT, id="line-2")
    page = named(Page(LETTER, (line, named_two, line, Text(9, 9, "T", 20, Role.LETTER))))
    assert [mark.id for mark in page.marks] == ["line-1", "line-2", "line-3", "letter-1"]


def test_places_by_closed_forms() -> None:
    square = Line.from_points([(50, 50), (110, 50), (110, 110), (50, 110)], closed=True)
    kite = Line.from_points([(150, 60), (170, 100), (150, 110), (130, 100)], closed=True)
    disc = Artwork("dot", (Fill((Line.circle((0, 0), 5),), Role.ART),), BBox(-5, -5, 5, 5))
    page = Page(
        LETTER,
        (
            Stroke((square,), 1.0, Role.CUT, id="square"),
            Stroke((kite,), 1.0, Role.CUT, id="kite"),
            Stroke(
                (Line.line((20, 20), (20, 40)), Line.line((40, 20), (40, 40))), 1, Role.CUT, "two"
            ),
            Place(disc, Affine.translation(80, 80), id="dot"),
            Text(100, 200, "b", 20, Role.CHOICE, id="one", item=2),
            Text(140, 200, "d", 20, Role.CHOICE, id="other", item=2),
        ),
    )

    def at(limit: str, mark: str) -> tuple[float, float]:
        found = where(page, of(page, limit, mark))
        assert found is not None
        return found.at

    assert at("neck", "square") == pytest.approx((80, 80), abs=0.1)
    assert at("piece size", "square") == (80, 80)
    assert at("line width", "square")[1] == 110
    assert at("interior angle", "kite") == pytest.approx((150, 60))
    assert at("edge distance", "square") == (49.5, 80)
    assert at("cut length", "two 2") == (40, 30)
    assert math.dist(at("clearance", "dot, square"), (80, 80)) == pytest.approx(17.5, abs=0.1)
    assert at("outline gap", "square, kite") == pytest.approx((120, 100))
    assert 100 < at("choices", "item 2")[0] < 160
    assert where(page, of(page, "cuts per page", "")) is None
    assert where(page, of(page, "neck", "no such mark")) is None
    assert from_top_left(page, (30.0, 79.4)) == (30, 200)


@pytest.mark.parametrize(
    "data",
    ["M20 20L100 20Z", "M20 20h80v0h-80z", "M20 20l60 40 0 -40 -60 40z", "M20 20h1v1h-1z"],
)
def test_outlines_that_enclose_nothing_have_a_place_too(data: str) -> None:
    content = f'<svg {SVG}><path d="{data}" fill="none" stroke="#000" stroke-width="2"/></svg>'
    for stage in STAGES:
        found = desk.check_drawing(content.encode(), "flat.svg", "cutting", stage)
        for finding in found.findings:
            place = found.where(finding)
            assert place is None or (0 <= place.at[0] <= 200 and 0 <= place.at[1] <= 250)


# --- drawn on the page ----------------------------------------------------------------------------


@pytest.mark.parametrize(("out", "made"), [
    ("found.pdf", ["found.pdf"]),
    ("found.svg", ["found-1.svg", "found-2.svg"]),
    ("found.png", ["found-1.png", "found-2.png"]),
])  # fmt: skip
def test_the_findings_are_drawn_on_a_copy(
    out: str, made: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "lines.svg", "--stage", "5", "--out", out]) == 1
    assert capsys.readouterr().out.endswith("".join(f"wrote {name}\n" for name in made))
    assert all(Path(name).stat().st_size > 500 for name in made)
    assert main(["check", "lines.svg", "--stage", "5", "--out", out]) == 2
    assert "the file exists already; name another or give --force" in capsys.readouterr().err
    assert main(["check", "lines.svg", "--stage", "5", "--out", out, "--force", "--json"]) == 1
    json.loads(capsys.readouterr().out)


def test_numbers_on_the_copy_are_those_of_the_list() -> None:
    found = desk.check_drawing(LINES.encode(), "lines.svg", "cutting", 5)
    desk.write_findings(found, "lines.svg", Path("found.pdf"))
    page, *listed = pages_of("found.pdf")
    count = len(found.outside)

    assert count >= 2
    assert sorted(page.split(), key=int) == [str(n) for n in range(1, count + 1)]
    text = " ".join(" ".join(listed).split())
    assert "Findings on lines.svg Guidance of cutting at stage 5." in text
    for part in ("Outside guidance 1 ", "Not measured – ", "Within guidance – "):
        assert part in text


def test_a_clean_page_says_so_and_names_in_any_script_are_shown() -> None:
    sheet = desk.make_sheet("cutting", 5, Options(), words=("duck",))
    content = write_svg(sheet.pages[0], title="", language="en")
    found = desk.check_drawing(content, "x", "cutting", 5)
    desk.write_findings(found, "李.svg", Path("found.pdf"))
    text = " ".join(pages_of("found.pdf"))

    assert "Findings on 李.svg" in text
    assert "Nothing outside guidance" in text


def test_numbers_stay_on_the_paper_and_apart() -> None:
    from sheets.check.marked import _pointer
    from sheets.check.where import Where

    taken: list[tuple[float, float]] = []
    for number in range(1, 13):
        _pointer(number, Where((1.0, 278.0), BBox(0, 0, 1, 1)), LETTER, taken)
    assert all(4 < x < 212 and 4 < y < 276 for x, y in taken)
    for i, one in enumerate(taken[:6]):
        assert all(math.dist(one, other) > 7.2 for other in taken[:i])
