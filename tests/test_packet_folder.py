"""A packet's folder is the old one or the new one, whatever ends the run and at whichever step."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from shapes.errors import FileError
from sheets.packet import folder as swapping
from sheets.packet.folder import MADE_BY, replacing
from sheets.write import leftovers
from sheets.write.files import write_files
from tests.system_calls import exchanged_by_the_system

ROOT = Path(__file__).resolve().parents[1]
SELECTION: dict[str, object] = {"theme": "pond", "children": "all", "kinds": "all", "days": "all"}
NOBODY = 2**22 + 1
"""More than any process number that Linux gives (proc(5): at most 2 to the 22)."""


def put(folder: Path, text: str, *, force: bool = True) -> None:
    """A packet of one small file."""
    with replacing(folder, SELECTION, force=force) as new:
        (new / "plain.pdf").write_text(text)
        (new / "packet.json").write_text(json.dumps({"made_by": MADE_BY, "selection": SELECTION}))


def held(folder: Path) -> dict[str, str]:
    return {item.name: item.read_text() for item in folder.iterdir() if item.name != "packet.json"}


def names(folder: Path) -> list[str]:
    return sorted(item.name for item in folder.iterdir())


@pytest.fixture(params=["exchange", "renames"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    """Both ways of the swap: in one step, and with two renames."""
    way: str = request.param
    if way == "renames":
        monkeypatch.setattr(swapping, "exchange", lambda one, other: False)
    else:
        for name in ("one", "other"):
            (tmp_path / name).mkdir()
        if not exchanged_by_the_system(tmp_path / "one", tmp_path / "other"):
            pytest.skip("no exchange of names here")
        for name in ("one", "other"):
            (tmp_path / name).rmdir()
    return way


def test_files_of_others_are_kept(tmp_path: Path, way: str) -> None:
    """Beside the packet's own, which are replaced; folders too."""
    put(tmp_path / "pond", "old")
    (tmp_path / "pond" / "notes.txt").write_text("mine")
    (tmp_path / "pond" / "photos").mkdir()
    (tmp_path / "pond" / "card.pdf").write_text("of the old packet")
    put(tmp_path / "pond", "new")
    assert names(tmp_path) == ["pond"]
    assert names(tmp_path / "pond") == ["notes.txt", "packet.json", "photos", "plain.pdf"]
    assert (tmp_path / "pond" / "notes.txt").read_text() == "mine"
    assert (tmp_path / "pond" / "plain.pdf").read_text() == "new"


ENDED = """
import sys
from pathlib import Path
from tests import test_packet_folder as ours
if sys.argv[2] == "renames":
    ours.swapping.exchange = lambda one, other: False
steps, last = 0, int(sys.argv[1])
watched = {"open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.listdir", "os.scandir"}
def ended(event, _):
    global steps
    if event in watched or event == "ctypes.dlsym":
        steps += 1
        if steps == last:
            import os
            os._exit(9)
sys.addaudithook(ended)
ours.put(Path("pond"), "new")
"""
"""Puts a packet and ends without any clearing up at its step of that number."""


def test_a_run_ended_at_any_step(tmp_path: Path, way: str) -> None:
    """The folder is whole; with an exchange it is never missing. The next run clears up all."""
    seen = set()
    for step in range(1, 60):
        case = tmp_path / str(step)
        case.mkdir()
        put(case / "pond", "old")
        (case / "pond" / "notes.txt").write_text("mine")
        command = [sys.executable, "-c", ENDED, str(step), way]
        ended = subprocess.run(
            command, cwd=case, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)}
        )
        if way == "exchange":
            assert (case / "pond" / "packet.json").exists()
        if (case / "pond").exists():
            text = (case / "pond" / "plain.pdf").read_text()
            seen.add(text)
            assert text in ("old", "new")
        put(case / "pond", "newer")
        assert names(case) == ["pond"]
        assert held(case / "pond") == {"plain.pdf": "newer", "notes.txt": "mine"}
        if ended.returncode == 0:
            break
        assert ended.returncode == 9
    assert ended.returncode == 0, "the run has more steps"
    assert seen == {"old", "new"}


# --- what is left behind --------------------------------------------------------------------------


def test_what_is_left_of_others_is_removed(tmp_path: Path) -> None:
    for name in (f".pond.{NOBODY}-0.part", f".lake.{NOBODY}-0.part"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "plain.pdf").write_text("half")
        (tmp_path / name / f".card.pdf.{NOBODY}-0.part").write_text("half")
    running = tmp_path / f".pond.{os.getpid()}-7.part"
    running.mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "plain.pdf").write_text("not ours")
    (tmp_path / f".pond.{NOBODY}-1.part").symlink_to("elsewhere")
    put(tmp_path / "pond", "new")
    assert set(names(tmp_path)) == {
        f".lake.{NOBODY}-0.part", f".pond.{NOBODY}-1.part", running.name, "elsewhere", "pond",
    }  # fmt: skip
    assert names(tmp_path / "elsewhere") == ["plain.pdf"]
    old = time.time() - leftovers.LEFT_AFTER_S - 60
    os.utime(running, (old, old))
    put(tmp_path / "pond", "new")
    assert running.name not in names(tmp_path)
    young = tmp_path / f".pond.{os.getpid()}-8.part"
    young.mkdir()
    os.utime(young, (old + 120, old + 120))
    put(tmp_path / "pond", "new")
    assert young.name in names(tmp_path)


def test_a_strangers_file_in_what_is_left_is_never_lost(tmp_path: Path) -> None:
    left = tmp_path / f".pond.{NOBODY}-0.part"
    left.mkdir()
    (left / "notes.txt").write_text("mine")
    (left / "plan.txt").write_text("mine")
    (left / "plain.pdf").write_text("half")
    put(tmp_path / "pond", "new")
    assert held(left) == {"notes.txt": "mine", "plan.txt": "mine"}
    (tmp_path / "pond" / "notes.txt").write_text("later")
    put(tmp_path / "pond", "newer")
    assert held(left) == {"notes.txt": "mine"}
    assert held(tmp_path / "pond") == {
        "notes.txt": "later", "plan.txt": "mine", "plain.pdf": "newer",
    }  # fmt: skip


def test_half_written_files_are_removed_too(tmp_path: Path) -> None:
    mine = tmp_path / f".duck.pdf.{os.getpid()}-0.part"
    for file in (mine, tmp_path / f".duck.pdf.{NOBODY}-0.part", tmp_path / ".duck.pdf.x-0.part"):
        file.write_text("half")
    write_files([(tmp_path / "duck.pdf", lambda: b"whole")])
    assert names(tmp_path) == [mine.name, ".duck.pdf.x-0.part", "duck.pdf"]


def test_a_process_of_somebody_else_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """kill(2): asked about a process of another user the system refuses."""

    def refused(process: int, number: int) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "kill", refused)
    assert not leftovers._is_gone(1)


def test_a_link_under_the_hidden_name_is_left_alone(tmp_path: Path, way: str) -> None:
    """Else the files of the folder that it leads to would be taken into the packet."""
    (tmp_path / "work").mkdir()
    put(tmp_path / "work" / "own", "other packet")
    (tmp_path / "work" / "own" / "letter.txt").write_text("mine")
    put(tmp_path / "pond", "old")
    (tmp_path / ".pond.before").symlink_to("work/own")
    if way == "exchange":
        put(tmp_path / "pond", "new")
    else:
        with pytest.raises(FileError, match=r"pond: '\.pond\.before' beside it is in the way; ren"):
            put(tmp_path / "pond", "new")
    text = "new" if way == "exchange" else "old"
    assert held(tmp_path / "pond") == {"plain.pdf": text}
    assert held(tmp_path / "work" / "own") == {
        "plain.pdf": "other packet", "letter.txt": "mine",
    }  # fmt: skip
    assert names(tmp_path) == [".pond.before", "pond", "work"]


def test_an_older_packet_set_aside_goes_and_a_strangers_file_in_it_stays(
    tmp_path: Path, way: str
) -> None:
    """Where a run was ended after the new packet had its name."""
    put(tmp_path / ".pond.before", "older")
    (tmp_path / ".pond.before" / "zoo.txt").write_text("mine")
    put(tmp_path / "pond", "old")
    put(tmp_path / "pond", "new")
    assert names(tmp_path) == ["pond"]
    assert held(tmp_path / "pond") == {"plain.pdf": "new", "zoo.txt": "mine"}


def test_what_is_left_of_a_packet_goes_once_there_is_another(tmp_path: Path) -> None:
    """Half of one is no packet to bring back, but as long as it is the only one it stays."""
    before = tmp_path / ".pond.before"
    before.mkdir()
    (before / "plain.pdf").write_text("half")
    put(tmp_path / "pond", "new")
    assert names(tmp_path) == [".pond.before", "pond"]
    assert held(before) == {"plain.pdf": "half"}
    put(tmp_path / "pond", "newer")
    assert names(tmp_path) == ["pond"]


@pytest.mark.parametrize("index", ["", "{}"])
def test_a_folder_of_somebody_else_under_the_hidden_name(index: str, tmp_path: Path) -> None:
    before = tmp_path / ".pond.before"
    before.mkdir()
    (before / "notes.txt").write_text("mine")
    (before / "plain.pdf").write_text("mine too")
    if index:
        (before / "packet.json").write_text(index)
    put(tmp_path / "pond", "old")
    put(tmp_path / "pond", "new")
    assert held(before) == {"notes.txt": "mine", "plain.pdf": "mine too"}
    assert names(tmp_path / "pond") == ["packet.json", "plain.pdf"]


def test_the_index_goes_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str) -> None:
    """By it the next run knows what is left of a packet, so all else is in its place before."""
    put(tmp_path / "pond", "old")
    for name in ("zoo.txt", "adult.pdf", "card.pdf"):
        (tmp_path / "pond" / name).write_text("old")
    removed = []
    unlink = Path.unlink

    def watched(self: Path, missing_ok: bool = False) -> None:
        removed.append(self.name)
        if self.name == "packet.json":
            assert names(self.parent) == ["packet.json"]
        unlink(self, missing_ok)

    monkeypatch.setattr(Path, "unlink", watched)
    put(tmp_path / "pond", "new")
    assert removed == ["adult.pdf", "card.pdf", "plain.pdf", "packet.json"]
    assert held(tmp_path / "pond") == {"plain.pdf": "new", "zoo.txt": "old"}


def test_an_old_file_that_is_open_elsewhere_goes_the_next_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """As Windows refuses it; the new packet is in its place all the same."""
    put(tmp_path / "pond", "old")
    with monkeypatch.context() as patched:
        unlink = Path.unlink

        def refused(self: Path, missing_ok: bool = False) -> None:
            if self.name == "plain.pdf":
                raise PermissionError
            unlink(self, missing_ok)

        patched.setattr(Path, "unlink", refused)
        put(tmp_path / "pond", "new")
    assert held(tmp_path / "pond") == {"plain.pdf": "new"}
    (hidden,) = (tmp_path / name for name in names(tmp_path) if name != "pond")
    assert held(hidden) == {"plain.pdf": "old"}
    long_ago = time.time() - 7200
    os.utime(hidden, (long_ago, long_ago))
    put(tmp_path / "pond", "newer")
    assert names(tmp_path) == ["pond"]


def test_a_link_to_a_packet_stays_a_link(tmp_path: Path, way: str) -> None:
    put(tmp_path / "kept", "old")
    (tmp_path / "pond").symlink_to("kept")
    put(tmp_path / "pond", "new")
    assert names(tmp_path) == ["kept", "pond"]
    assert (tmp_path / "pond").is_symlink()
    assert held(tmp_path / "kept") == {"plain.pdf": "new"}


def test_a_thousand_unfinished_packets_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = set()

    def taken(_: Path, number: int) -> Path:
        tried.add(number)
        return tmp_path

    monkeypatch.setattr(swapping, "unfinished", taken)
    with pytest.raises(FileError) as caught:
        put(tmp_path / "pond", "one too many")
    assert str(caught.value) == (
        f"{tmp_path / 'pond'}: a thousand unfinished packets beside it; delete the folders "
        ".pond.*.part"
    )
    assert len(tried) == 1000
    assert names(tmp_path) == []


# --- signals --------------------------------------------------------------------------------------

STOPPED = """
import sys
from pathlib import Path
from sheets.cli import main as command
from tests import test_packet_folder as ours
def run(args):
    with ours.replacing(Path("pond"), ours.SELECTION, force=True) as new:
        (new / "plain.pdf").write_text("half")
        print("ready", flush=True)
        import time
        time.sleep(60)
command._run = run
command.entry_point()
"""


@pytest.mark.skipif(os.name != "posix", reason="signals of posix systems")
@pytest.mark.parametrize("number", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_run_that_is_told_to_stop_clears_up(number: str, tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    with subprocess.Popen(
        [sys.executable, "-c", STOPPED],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        process.send_signal(getattr(signal, number))
        _, told = process.communicate(timeout=30)
    assert (process.returncode, told) == (130, "tablework: stopped\n")
    assert names(tmp_path) == ["pond"]
    assert held(tmp_path / "pond") == {"plain.pdf": "old"}
