"""Pages of a teacher's own drawings: within guidance at every stage, whatever the lines are.

``python -m tests.test_own_drawings`` makes all 200 drawings at all stages and prints the figures;
the suite makes a sample.
"""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path as FilePath
from tempfile import TemporaryDirectory

import pytest

from shapes.path import Path
from sheets.kinds.cutting import easier, fitted, outlines
from sheets.kinds.cutting.easier import EARLIER, EASED, MOST_STEPS
from sheets.kinds.cutting.fitted import FittedOutline
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.model import Sheet
from tests.random_drawings import drawing

DRAWINGS = 200
STAGES = (2, 3, 4, 5, 6)
LONG = '<path stroke="#000" d="M0 0H200"/>'


def made(folder: FilePath, content: str, stage: int) -> Sheet:
    file = folder / "my.svg"
    file.write_text(content)
    return make_sheet("cutting", Source(words=(str(file),)), stage, Options())


def wrapped(content: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">{content}</svg>'


def outside(sheet: Sheet) -> list[str]:
    return [finding.sentence() for finding in sheet.findings if finding.outside]


@pytest.mark.parametrize("number", range(3, DRAWINGS, 20))
def test_a_drawing_keeps_the_limits(number: int, tmp_path: FilePath) -> None:
    for stage in (2 + number % 2, 4 + number % 3):
        assert outside(made(tmp_path, drawing(number), stage)) == []


def test_an_outline_that_misses_a_limit_is_eased_and_the_adult_told(tmp_path: FilePath) -> None:
    sheet = made(tmp_path, wrapped(LONG), 5)
    assert outside(sheet) == []
    assert EASED in sheet.adult_lines
    assert EASED in sheet.preparation
    assert EASED not in made(tmp_path, wrapped('<circle r="9" cx="99" cy="99"/>'), 5).adult_lines


def test_else_it_has_the_outline_of_a_stage_before(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = fitted.standard_outline

    def too_small(*args: object) -> FittedOutline:
        corners = Path.from_points([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0)], closed=True)
        return dataclasses.replace(usual(*args), path=corners)  # type: ignore[arg-type]

    tried: list[int] = []

    def page(*args: object) -> object:
        tried.append(1)
        return usual_page(*args)  # type: ignore[arg-type]

    usual_page = outlines.picture_page
    monkeypatch.setattr(outlines, "standard_outline", too_small)
    monkeypatch.setattr(easier, "picture_page", page)
    sheet = made(tmp_path, wrapped('<ellipse rx="60" ry="40" cx="99" cy="99"/>'), 6)
    assert outside(sheet) == []
    assert EARLIER.format(5, 6) in sheet.adult_lines
    assert len(tried) == 1 + MOST_STEPS + 1


def _main() -> None:
    found = eased = earlier = 0
    with TemporaryDirectory() as folder:
        for number in range(DRAWINGS):
            for stage in STAGES:
                sheet = made(FilePath(folder), drawing(number), stage)
                eased += EASED in sheet.adult_lines
                earlier += any("This is the outline of" in line for line in sheet.adult_lines)
                for sentence in outside(sheet):
                    found += 1
                    sys.stdout.write(f"{number} stage {stage}: {sentence}\n")
    sys.stdout.write(
        f"{DRAWINGS * len(STAGES)} pages, {found} findings outside, {eased} eased further, "
        f"{earlier} with the outline of a stage before\n"
    )


if __name__ == "__main__":
    _main()
