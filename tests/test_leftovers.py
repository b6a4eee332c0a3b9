"""What a run that was ended has left behind, and two folders that change their names."""

from __future__ import annotations

import ctypes
import errno
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from sheets.packet.exchange import exchange
from sheets.write import leftovers
from sheets.write.leftovers import left_over, unfinished
from tests.system_calls import exchanged_by_the_system

NOBODY = 2**22 + 1
"""More than any process number that Linux gives (proc(5): at most 2 to the 22)."""

posix = pytest.mark.skipif(os.name != "posix", reason="process numbers of posix systems")


# --- what is left ---------------------------------------------------------------------------------


def test_an_unfinished_file_is_hidden_beside_the_real_one() -> None:
    """So that a rename puts it in its place, and a listing of the folder does not show it."""
    path = Path("pages") / "pond.pdf"

    assert unfinished(path, 3) == Path("pages") / f".pond.pdf.{os.getpid()}-3.part"


@posix
def test_of_a_running_process_it_is_left_alone_for_an_hour(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = unfinished(tmp_path / "pond.pdf", 0)
    file.write_bytes(b"half")
    os.utime(file, (1_000_000, 1_000_000))
    for seconds, left in ((-60, []), (0, []), (3600, []), (3600.25, [file]), (90_000, [file])):
        monkeypatch.setattr(time, "time", lambda after=seconds: 1_000_000 + after)

        assert list(left_over(tmp_path / "pond.pdf")) == left


@posix
def test_asking_about_a_process_does_not_end_it(tmp_path: Path) -> None:
    """It is there while it runs, and gone when it has ended."""
    with subprocess.Popen(
        [sys.executable, "-ISc", "print('ready', flush=True); input()"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip() == b"ready"
        file = tmp_path / f".pond.pdf.{process.pid}-0.part"
        file.write_bytes(b"half")

        assert list(left_over(tmp_path / "pond.pdf")) == []

        process.communicate(b"\n")
        assert process.returncode == 0
    assert list(left_over(tmp_path / "pond.pdf")) == [file]


@posix
@pytest.mark.parametrize("number", [NOBODY, 2**31 - 1, 2**31, 9_999_999_999])
def test_a_number_that_no_process_has(number: int) -> None:
    """Also one that the system does not take at all."""
    assert leftovers._is_gone(number)


def test_where_asking_would_end_the_process_nobody_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows: os.kill ends the process, whatever the signal (documentation of Python)."""
    asked: list[int] = []
    monkeypatch.setattr(os, "kill", lambda process, number: asked.append(process))
    for name in ("nt", "java", "riscos"):
        monkeypatch.setattr(os, "name", name)

        assert not leftovers._is_gone(NOBODY)

    monkeypatch.undo()
    assert asked == []


@posix
def test_only_names_of_unfinished_files_count(tmp_path: Path) -> None:
    for name in (
        f".pond.pdf.{NOBODY}-0.part", f".pond.pdf.{NOBODY}-12.part", f".pond-pdf.{NOBODY}-0.part",
        f"pond.pdf.{NOBODY}-0.part", f".pond.pdf.{NOBODY}-0.part2", f".pond.pdf.{NOBODY}.part",
        ".pond.pdf.12345678901-0.part",
    ):  # fmt: skip
        (tmp_path / name).write_bytes(b"half")
    (tmp_path / f".pond.pdf.{NOBODY}-2.part").symlink_to(f".pond.pdf.{NOBODY}-0.part")

    assert [item.name for item in left_over(tmp_path / "pond.pdf")] == [
        f".pond.pdf.{NOBODY}-0.part", f".pond.pdf.{NOBODY}-12.part",
    ]  # fmt: skip


@posix
def test_what_another_run_removes_meanwhile_is_passed_over(tmp_path: Path) -> None:
    for number in range(3):
        (tmp_path / f".pond.pdf.{NOBODY}-{number}.part").write_bytes(b"half")
    found = left_over(tmp_path / "pond.pdf")

    assert next(found).name.endswith("-0.part")
    (tmp_path / f".pond.pdf.{NOBODY}-1.part").unlink()
    assert [item.name for item in found] == [f".pond.pdf.{NOBODY}-2.part"]


def test_beside_a_folder_that_is_not_there_nothing_is_left(tmp_path: Path) -> None:
    assert list(left_over(tmp_path / "none" / "pond.pdf")) == []


# --- names that are exchanged ---------------------------------------------------------------------


def two_folders(parent: Path) -> tuple[Path, Path]:
    for name in ("one", "other"):
        (parent / name).mkdir()
        (parent / name / "text").write_text(name)
    return parent / "one", parent / "other"


def test_names_are_exchanged_where_the_system_can(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked past our own code whether it can; whole paths and names seen from here are the same."""
    one, other = two_folders(tmp_path)
    if not exchanged_by_the_system(one, other):
        pytest.skip("no exchange of names here")
    assert (one / "text").read_text() == "other"

    assert exchange(one, other)
    assert [(folder / "text").read_text() for folder in (one, other)] == ["one", "other"]

    monkeypatch.chdir(tmp_path)
    assert exchange(Path("one"), Path("other"))
    assert [(folder / "text").read_text() for folder in (one, other)] == ["other", "one"]

    with pytest.raises(FileNotFoundError) as caught:
        exchange(one, tmp_path / "nothing")
    assert (caught.value.errno, caught.value.filename) == (errno.ENOENT, str(one))


@pytest.mark.parametrize("name", ["win32", "darwin", "aix"])
def test_elsewhere_names_are_not_exchanged(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = two_folders(tmp_path)
    monkeypatch.setattr(sys, "platform", name)

    assert not exchange(one, other)
    assert (one / "text").read_text() == "one"


def library(number: int) -> Callable[..., SimpleNamespace]:
    """A C library in which the call answers with that error."""

    def call(*_: object) -> int:
        ctypes.set_errno(number)
        return -1

    return lambda *_, **__: SimpleNamespace(renameat2=call)


@pytest.mark.skipif(sys.platform != "linux", reason="a call of Linux")
@pytest.mark.parametrize("name", ["ENOSYS", "EINVAL", "EOPNOTSUPP", "ENOTTY", "EPERM"])
def test_a_system_that_cannot_says_so(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """renameat2(2): ENOSYS of an old kernel, EINVAL of a file system without the step."""
    monkeypatch.setattr(ctypes, "CDLL", library(getattr(errno, name)))

    assert not exchange(*two_folders(tmp_path))


@pytest.mark.skipif(sys.platform != "linux", reason="a call of Linux")
@pytest.mark.parametrize("name", ["EACCES", "ENOSPC", "EBUSY"])
def test_what_a_rename_would_be_refused_for_too_is_told(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = two_folders(tmp_path)
    monkeypatch.setattr(ctypes, "CDLL", library(getattr(errno, name)))

    with pytest.raises(OSError, match=os.strerror(getattr(errno, name))) as caught:
        exchange(one, other)
    assert caught.value.errno == getattr(errno, name)


@pytest.mark.skipif(sys.platform != "linux", reason="a call of Linux")
def test_a_c_library_without_the_call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none_there(*_: object, **__: object) -> None:
        raise OSError("no such library")

    one, other = two_folders(tmp_path)
    for made in (lambda *_, **__: SimpleNamespace(), none_there):
        monkeypatch.setattr(ctypes, "CDLL", made)

        assert not exchange(one, other)
