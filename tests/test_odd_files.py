"""Odd files, folders and terminals: one line of explanation and exit code 2, never a traceback."""

from __future__ import annotations

import errno
import io
import os
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

from shapes.errors import FileError
from sheets import desk
from sheets.cli.main import main

DUCK = ["cutting", "duck", "--stage", "4", "--force", "--out"]
LONG = "n" * 300


@pytest.fixture(autouse=True)
def in_odd_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a link to nothing, links in a circle, links to devices, and a pipe's kin."""
    monkeypatch.chdir(tmp_path)
    for link, target in (
        ("nothing.pdf", "nowhere.pdf"),
        ("nothing.svg", "nowhere.svg"),
        ("circle.svg", "elcric.svg"),
        ("elcric.svg", "circle.svg"),
        ("circle", "elcric"),
        ("elcric", "circle"),
        ("null.pdf", "/dev/null"),
        ("zero.svg", "/dev/zero"),
    ):
        os.symlink(target, link)
    Path("class.csv").write_text("name,cutting\nBo,2\n", "utf-8")
    return tmp_path


PACKET = ["packet", "reedy-pond", "--class", "class.csv", "--out"]
ODD = [
    ([*DUCK, f"{LONG}.pdf"], "cannot be written: File name too long; give a shorter name"),
    (["new", "theme", "Pond", "--out", f"{LONG}.toml"], "File name too long; give a shorter name"),
    ([*PACKET, LONG], "File name too long; give a shorter name"),
    ([*DUCK, "nothing.pdf"], "nothing.pdf: this is a link that leads nowhere; remove it or name"),
    ([*DUCK, "null.pdf"], "null.pdf: this is a device, not a file; name another"),
    (["check", "nothing.svg", "--stage", "4"], "nothing.svg: no such file; check the name"),
    (["check", "circle.svg", "--stage", "4"], "circle.svg: cannot be read (Too many levels of"),
    (["check", "zero.svg", "--stage", "4"], "zero.svg: is larger than 5 MB; simplify the drawing"),
    (["difficulty", "zero.svg"], "zero.svg: is larger than 5 MB; simplify the drawing"),
    (["cutting", "circle.svg"], "circle.svg: cannot be read; check that it is a file you may open"),
    (["sequence", "--theme", "/dev/zero"], "zero: larger than 200 KB; give a theme file"),
    ([*PACKET, "circle"], "circle: links that lead in a circle; name another"),
    ([*PACKET, "circle/packet"], "circle/packet: links that lead in a circle; name another"),
]


@pytest.mark.parametrize(("command", "message"), ODD, ids=[" ".join(c)[:40] for c, _ in ODD])
def test_odd_files_are_told_in_one_line(
    command: list[str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if "lead in a circle" in message and sys.version_info >= (3, 13):
        pytest.skip("this Python takes a loop of links for a name like any other")
    before = sorted(os.listdir(tmp_path))
    assert main(command) == 2
    told = capsys.readouterr().err
    assert told.startswith("tablework: ")
    assert message in told
    assert told.count("\n") == 1
    assert len(told) < 400
    assert sorted(os.listdir(tmp_path)) == before
    assert Path("null.pdf").is_symlink()


def test_a_folder_that_may_not_be_looked_into(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Below a forbidden folder even the question whether a file exists is refused (errno 13)."""

    def refused(path: Path, **_: object) -> bool:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(Path, "exists", refused)
    assert main([*DUCK, "locked/deep/duck.pdf"]) == 2
    told = capsys.readouterr().err
    assert told.startswith("tablework: locked/deep/duck.pdf: cannot be written: Permission denied")
    assert told.endswith("; name another folder\n")


def test_a_name_that_no_file_can_have() -> None:
    with pytest.raises(FileError, match=r"cannot be read \(not a usable file name\)"):
        desk.read_bytes(Path("a\0b.svg"))


def test_a_folder_that_is_gone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    os.chdir(gone)
    gone.rmdir()
    for command in ([*DUCK, "duck.pdf"], ["new", "theme", "Pond"]):
        assert main(command) == 2
        told = capsys.readouterr().err
        assert told.startswith("tablework: ")
        assert told.count("\n") == 1


@pytest.mark.parametrize("value", ["x", "-5", "9" * 20, "1e9"])
def test_a_date_that_is_none(
    value: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """reproducible-builds.org: the variable holds whole seconds since 1970."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    assert main([*DUCK, "duck.pdf"]) == 2
    assert capsys.readouterr().err == (
        f"tablework: the environment variable SOURCE_DATE_EPOCH is '{value}'; set it to a number "
        "of seconds since 1970, or clear it\n"
    )
    assert not Path("duck.pdf").exists()


@pytest.mark.parametrize("value", ["0", "1700000000", ""])
def test_a_date_that_is_one(value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", value)
    assert main([*DUCK, "duck.pdf"]) == 0


# --- terminals ------------------------------------------------------------------------------------


def run(
    *words: str, to: int = subprocess.PIPE, env: Mapping[str, str] | None = None
) -> tuple[int, bytes, bytes]:
    """The installed command in a process of its own: exit code, output, complaints."""
    root = str(Path(__file__).resolve().parents[1])
    done = subprocess.run(
        [sys.executable, "-c", "from sheets.cli.main import entry_point; entry_point()", *words],
        stdout=to,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": root, **(env or {})},
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def test_a_reader_that_goes_away() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = run("pictures", to=writing)
    os.close(writing)
    assert (done[0], done[2]) == (0, b"")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")
@pytest.mark.parametrize("command", [["pictures"], ["guidance"], ["--help"], []])
def test_a_disk_that_is_full(command: list[str]) -> None:
    with open("/dev/full", "wb") as full:
        code, _, complaint = run(*command, to=full.fileno())
    assert code == 2
    assert complaint == b"tablework: the answer cannot be written: No space left on device\n"


@pytest.mark.parametrize(
    "surroundings", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONUTF8": "0"}]
)
def test_a_terminal_without_some_letters(surroundings: dict[str, str]) -> None:
    for command in (["difficulty", "duck"], ["themes"], ["guidance", "cutting"]):
        code, _, complaint = run(*command, env=surroundings)
        assert (code, complaint) == (0, b"")
    assert b"?" in run("difficulty", "duck", env={"PYTHONIOENCODING": "ascii"})[1]


def test_output_that_is_no_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where standard output is held in memory, there is nothing to close."""

    class Full(io.StringIO):
        def write(self, text: str) -> int:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(sys, "stdout", Full())
    assert main(["kinds"]) == 2


def test_a_machine_without_room(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def no_room(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(desk, "make_sheet", no_room)
    assert main(["cutting", "duck"]) == 2
    assert capsys.readouterr().err == (
        "tablework: not enough memory for this; close other programs, or give less at a time\n"
    )


# --- as a module ----------------------------------------------------------------------------------


def test_the_command_is_a_module_too() -> None:
    """The file is installed under the name of the command; it runs, and importing it does not."""
    root = Path(__file__).resolve().parents[1]
    project = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))
    included = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert included == {"sheets/run_as_module.py": "tablework.py"}
    for words, answer in ((["--version"], "tablework "), ([], "Usage: tablework ")):
        done = subprocess.run(
            [sys.executable, "-m", "sheets.run_as_module", *words],
            cwd=root,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.startswith(answer)
    code = "import sheets.run_as_module"
    quiet = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, check=True)
    assert quiet.stdout == b""
