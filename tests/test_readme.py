"""What the README shows works as it stands there: every command, both files, every link."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from sheets.cli.main import main
from sheets.files.class_list import COLUMNS, parse
from sheets.files.theme_file import parse as parse_theme
from sheets.kinds import KINDS

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "README.md").read_text("utf-8")


def blocks(language: str) -> list[str]:
    """The blocks of code in that language, in order."""
    fenced = re.findall(r"^```(\w*)\n(.*?)^```$", TEXT, re.M | re.S)
    return [block for name, block in fenced if name == language]


def commands() -> list[list[str]]:
    lines = [line for block in blocks("sh")[1:] for line in block.splitlines()]
    return [shlex.split(line, comments=True) for line in lines]


def test_two_commands_set_everything_up() -> None:
    first, second = blocks("sh")[0].splitlines()

    for line in (first, second):
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install ")
    assert first.endswith("&& .venv/bin/tablework cutting duck --stage 6 --out duck.pdf")
    assert second.endswith("&& .venv/bin/pytest -n 2")


def test_every_command_does_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the order of the text, in one folder that holds only a drawing and a page to measure."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "tests" / "data" / "svg" / "pond-leaf.svg", "my-drawing.svg")
    shutil.copy("my-drawing.svg", "star.svg")
    shutil.copy(ROOT / "out_examples" / "cutting-stage-4.svg", "page.svg")

    listed = commands()
    assert len(listed) >= 20
    for command in listed:
        assert command[0] == "tablework"
        assert main(command[1:]) == 0, " ".join(command)
        assert "Traceback" not in capsys.readouterr().err
    made = {path.name for path in tmp_path.iterdir()}
    assert {"bo.pdf", "my-pond.toml", "my-class.xlsx", "pond", "bo"} <= made


def test_the_files_shown_can_be_read() -> None:
    (theme,) = blocks("toml")
    (rows,) = blocks("")

    assert parse_theme(theme.encode(), "theme.toml", ROOT).title == "My pond"
    listed = parse(rows.encode(), "class.csv")
    assert [child.name for child in listed.children] == ["Bo", "Zuzë"]
    assert rows.splitlines()[0] == ",".join(COLUMNS)


def test_every_kind_is_in_the_table() -> None:
    for info in KINDS.values():
        assert f"| `{info.name}` | {info.skill} | {info.load().does} |" in TEXT


def test_linked_files_are_there() -> None:
    headings = [line.strip("# ").lower() for line in TEXT.splitlines() if line.startswith("#")]
    for link in re.findall(r"\]\((?!https?:)([^)]+)\)", TEXT):
        if link.startswith("#"):
            assert link[1:].replace("-", " ") in headings, link
        else:
            assert (ROOT / link).is_file(), link


def test_every_system_is_told_the_same_steps() -> None:
    """A place for it, the installation, a first page, and the command by its bare name."""
    steps = re.findall(r"^   ```(powershell|console)\n(.*?)^   ```$", TEXT, re.M | re.S)
    assert [name for name, _ in steps] == ["powershell", "console"]
    for name, block in steps:
        lines = [line.strip() for line in block.splitlines()]
        folder = ".venv\\Scripts\\" if name == "powershell" else ".venv/bin/"
        python = "py" if name == "powershell" else "python3"
        assert lines[:3] == [
            f"{python} -m venv .venv",
            f"{folder}python -m pip install .",
            f"{folder}tablework cutting duck --out duck.pdf",
        ]
        assert lines[3].endswith(f"{folder}activate")
