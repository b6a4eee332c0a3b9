"""Outlines of a teacher's own drawings: made once, on several cores if asked, and always alike."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from shapes.errors import FitError
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.files.class_list import parse
from sheets.files.theme_file import load
from sheets.kinds.cutting import fitted as outlines
from sheets.kinds.cutting import suits
from sheets.kinds.cutting.fitted import Wish, fit_outline, standard_outline, standard_room
from sheets.kinds.cutting.task import CuttingTask
from sheets.kinds.options import Options
from sheets.packet import make as packet
from sheets.packet.plan import Choices, make_plan
from sheets.page.frame import A4, LETTER
from tests.making import cutting
from tests.packets import files_of

DRAWING = Path(__file__).parent / "data" / "svg" / "pond-leaf.svg"
THEME = """title = "Puddle"
words = [
  { text = "leaf", picture = "leaf.svg" },
  { text = "reed", picture = "reed.svg" },
]
"""
CLASS = "name,cutting\nPip,4\nBo,5\nTu,6\nOs,0\n"


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a theme of two drawings; no outline is remembered."""
    shutil.copy(DRAWING, tmp_path / "leaf.svg")
    wider = DRAWING.read_text("utf-8").replace("<path", '<path transform="scale(1.2 1)"', 1)
    (tmp_path / "reed.svg").write_text(wider, "utf-8")
    (tmp_path / "puddle.toml").write_text(THEME, "utf-8")
    monkeypatch.setattr(outlines, "_made", {})
    return tmp_path


def files(folder: Path, jobs: int) -> dict[str, bytes]:
    plan = make_plan(load(str(folder / "puddle.toml")), parse(CLASS.encode(), "c"), Choices())
    return files_of(packet.prepare(plan, jobs=jobs), folder / f"packet-{jobs}")


def test_the_packet_is_the_same_on_one_core_and_on_two(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = files(own, 1)
    monkeypatch.setattr(outlines, "_made", {})

    assert files(own, 2) == alone


def test_what_was_made_beforehand_is_found(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    picture = resolve("leaf.svg", own)
    suits.make_outlines([(picture, 5)], 2)
    made = {stage: standard_outline_or_error(picture, stage) for stage in (4, 5)}
    monkeypatch.setattr(outlines, "fit_anew", must_not_be_called)

    assert {stage: standard_outline_or_error(picture, stage) for stage in (4, 5)} == made


def standard_outline_or_error(picture: Picture, stage: int) -> object:
    try:
        return standard_outline(picture, stage)
    except FitError as error:
        return str(error)


def must_not_be_called(*args: object) -> None:
    raise AssertionError("made again")


def test_an_outline_is_made_once(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    picture = resolve("leaf.svg", own)
    first = fit_outline(picture, Wish(4), standard_room())
    monkeypatch.setattr(outlines, "fit_anew", must_not_be_called)

    assert fit_outline(picture, Wish(4), standard_room()) is first


def test_one_outline_serves_both_papers(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    task = CuttingTask(4, resolve("leaf.svg", own))
    letter = cutting.make(task, Options(paper=LETTER))
    monkeypatch.setattr(outlines, "fit_anew", must_not_be_called)
    a4 = cutting.make(task, Options(paper=A4))

    assert a4.parameters == letter.parameters
    assert not any(finding.outside for finding in a4.findings)


def test_a_refusal_is_remembered_too(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    picture = resolve("leaf.svg", own)
    small = standard_room()
    small = type(small)(small.x0, small.y0, small.x0 + 30.0, small.y0 + 30.0)
    with pytest.raises(FitError) as first:
        fit_outline(picture, Wish(4), small)
    monkeypatch.setattr(outlines, "fit_anew", must_not_be_called)
    with pytest.raises(FitError) as again:
        fit_outline(picture, Wish(4), small)

    assert str(first.value) == str(again.value)
    assert "does not fit 30 x 30 mm" in str(again.value)


def test_only_the_outlines_that_tell_are_made() -> None:
    assert [suits.stages_for(stage) for stage in range(7)] == [
        (), (), (), (), (4,), (4, 5), (5, 6),
    ]  # fmt: skip
