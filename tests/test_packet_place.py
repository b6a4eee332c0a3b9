"""Folders that a packet may take the place of, and those that it may not."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest

from shapes.errors import FileError
from sheets.packet.folder import MADE_BY, check_folder, old_index
from tests.test_packet_folder import SELECTION, held, names, put


def test_a_folder_that_may_not_be_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(tmp_path / "pond", "old")
    (tmp_path / "pond").chmod(0o555)
    if os.access(tmp_path / "pond", os.W_OK):  # the system's keeper may write anywhere
        monkeypatch.setattr(os, "access", lambda path, how: Path(path).name != "pond")
    told = r"pond: the files in this folder may not be changed; allow it, or name another$"
    with pytest.raises(FileError, match=told):
        check_folder(tmp_path / "pond", SELECTION, force=True)
    with pytest.raises(FileError, match=told):
        put(tmp_path / "pond", "new")
    (tmp_path / "pond").chmod(0o755)
    assert held(tmp_path / "pond") == {"plain.pdf": "old"}
    assert names(tmp_path) == ["pond"]


@pytest.mark.parametrize("missing", [os.R_OK, os.W_OK, os.X_OK])
def test_a_folder_is_read_written_and_entered(
    missing: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the three permissions (access(2)) each is asked for, and no other thing."""
    put(tmp_path / "pond", "old")
    check_folder(tmp_path / "pond", SELECTION, force=False)
    monkeypatch.setattr(os, "access", lambda path, how: how in range(1, 8) and not how & missing)
    with pytest.raises(FileError, match="the files in this folder may not be changed"):
        check_folder(tmp_path / "pond", SELECTION, force=False)
    check_folder(tmp_path / "other", SELECTION, force=False)


@pytest.mark.parametrize(
    ("there", "shown"),
    [
        (["card.pdf", "packet.json", "plain.pdf"], "(card.pdf, packet.json, plain.pdf)"),
        (["adult.pdf", "card.pdf", "packet.json", "plain.pdf"],
         "(adult.pdf, card.pdf, packet.json, ...)"),
    ],
)  # fmt: skip
def test_what_is_asked_before_long_work_is_what_is_asked_then(
    there: list[str], shown: str, tmp_path: Path
) -> None:
    """Files under our names are none of ours without an index of ours."""
    (tmp_path / "pond").mkdir()
    check_folder(tmp_path / "pond", SELECTION, force=False)
    for name in there:
        (tmp_path / "pond" / name).write_text("{}")
    told = re.escape(f"the folder holds other files {shown}; name another")
    with pytest.raises(FileError, match=told):
        check_folder(tmp_path / "pond", SELECTION, force=False)
    with pytest.raises(FileError, match=told):
        put(tmp_path / "pond", "new", force=False)
    check_folder(tmp_path / "pond", SELECTION, force=True)
    put(tmp_path / "pond", "new")
    check_folder(tmp_path / "pond", SELECTION, force=False)


@pytest.mark.parametrize(
    "content",
    ["[" * 100_000, '{"made_by": "a"}', '{"made_by": "zoo"}', '{"made_by": null}', "\xff", "1"],
    ids=["deep", "before ours", "behind ours", "nobody", "no text", "a number"],
)
def test_an_index_of_others_is_none_of_ours(content: str, tmp_path: Path) -> None:
    (tmp_path / "packet.json").write_bytes(content.encode("latin-1"))
    assert old_index(tmp_path) is None


def test_a_packet_that_does_not_say_what_it_holds_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "pond").mkdir()
    (tmp_path / "pond" / "packet.json").write_text(json.dumps({"made_by": MADE_BY}))
    put(tmp_path / "pond", "new", force=False)
    assert held(tmp_path / "pond") == {"plain.pdf": "new"}


@pytest.mark.parametrize("what", ["theme", "children", "kinds", "days"])
def test_a_packet_of_one_thing_does_not_replace_that_of_another(what: str, tmp_path: Path) -> None:
    """Whichever comes first in the alphabet; one of the same thing does."""
    put(tmp_path / "pond", "old")
    for theirs, ours in ((["a"], ["b"]), (["b"], ["a"])):
        index = {"made_by": MADE_BY, "selection": SELECTION | {what: theirs}}
        (tmp_path / "pond" / "packet.json").write_text(json.dumps(index))
        with pytest.raises(FileError, match="which would be lost; name another folder, or give"):
            check_folder(tmp_path / "pond", SELECTION | {what: ours}, force=False)
        check_folder(tmp_path / "pond", SELECTION | {what: theirs}, force=False)
        check_folder(tmp_path / "pond", SELECTION | {what: ours}, force=True)


@pytest.mark.parametrize("drive", ["/", "/proc"])
@pytest.mark.skipif(not os.path.ismount("/proc"), reason="no such drive here")
def test_a_whole_drive(drive: str) -> None:
    with pytest.raises(FileError) as caught:
        check_folder(Path(drive), SELECTION, force=True)
    assert str(caught.value) == (
        f"{drive}: this is a whole drive, and a packet needs a folder of its own; "
        f"name a folder on it, such as {Path(drive) / 'packet'}"
    )
