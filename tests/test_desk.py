"""The desk: data in, data out, from several threads at once, and the kinds it knows."""

from __future__ import annotations

import dataclasses
import errno
import os
import subprocess
import sys
from pathlib import Path
from typing import get_type_hints

import pytest

from shapes.errors import FileError, InputError, worded
from sheets import desk
from sheets.files.class_list import parse as parse_class
from sheets.files.theme_file import section_names
from sheets.kinds import KINDS, SKILLS, entry
from sheets.kinds.options import Options
from sheets.kinds.settings import settings
from sheets.packet.plan import Choices

ROOT = Path(__file__).resolve().parents[1]
THREADS = """
import hashlib, sys, threading
from concurrent.futures import ThreadPoolExecutor
from sheets import desk
from sheets.kinds.options import Options
sys.setswitchinterval(1e-5)
jobs = [(kind, stage) for kind in ("letter-match", "pattern", "sequence", "sort-mat", "cutting")
        for stage in range(7)] * 3
def made(job):
    kind, stage = job
    sheet = desk.make_sheet(kind, stage, Options(), theme="reedy-pond")
    pages = (desk.preview(sheet, i) for i in range(len(sheet.pages)))
    return hashlib.sha256(b"".join(pages)).hexdigest()
with ThreadPoolExecutor(8) as pool:
    found = list(pool.map(made, jobs))
third = len(jobs) // 3
assert found[:third] == found[third:2 * third] == found[2 * third:]
print(hashlib.sha256("".join(found[:third]).encode()).hexdigest())
"""


def run(code: str) -> str:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True,
                          env=environment, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_eight_threads_of_a_fresh_process_make_the_pages_that_one_makes() -> None:
    one = THREADS.replace("ThreadPoolExecutor(8)", "ThreadPoolExecutor(1)")
    assert run(THREADS) == run(one)


def test_a_packet_lets_others_work_whenever_it_tells_of_its_progress() -> None:
    theme = desk.themes()[0]
    plan = desk.plan_packet(
        theme, parse_class(b"name,cutting,pattern\nPip,2,2\n", "c.csv"), Choices()
    )
    free: list[bool] = []

    def told(_done: int, _steps: int) -> None:
        # Another thread could take the lock now; this one lets it go at once.
        import threading

        def take() -> None:
            free.append(desk._MAKING.acquire(timeout=5))
            desk._MAKING.release()

        other = threading.Thread(target=take)
        other.start()
        other.join()

    desk.make_packet(plan, told, draw=False)
    assert free == [True] * len(plan.sheets)


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_declares_what_its_line_says(name: str) -> None:
    kind = KINDS[name].load()
    code = kind.module()

    assert kind.does
    assert callable(code.task)
    assert callable(code.draw)
    assert (kind.section.name if kind.section else "") == KINDS[name].section
    assert KINDS[name].skill in SKILLS
    assert all(row.basis for row in settings(name))
    hints = get_type_hints(kind.choices)
    for field, own in zip(desk.fields(name), dataclasses.fields(kind.choices), strict=True):
        assert field.about.endswith(".")
        assert field.type == hints[own.name]
    assert set(section_names()) >= {KINDS[name].section} - {""}


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("stage", range(7))
def test_every_kind_has_a_page_of_every_stage_that_can_be_shown(name: str, stage: int) -> None:
    sheet = desk.make_sheet(name, stage, Options(name="Zuzë"), theme="bean-row-garden")

    assert (sheet.kind, sheet.skill, sheet.stage) == (name, KINDS[name].skill, stage)
    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert all(desk.preview(sheet, i).startswith(b"<?xml") for i in range(len(sheet.pages)))
    assert all(desk.preview(sheet, i, key=True) for i in range(len(sheet.key)))


def test_what_there_is() -> None:
    assert {theme.slug for theme in desk.themes()} >= {"reedy-pond"}
    assert {row.word for row in desk.pictures("duck")} >= {"duck"}
    assert all(thing.source for thing in desk.things())
    assert len(desk.colours()) > 5
    assert "circle" in desk.shapes()
    assert set(desk.shapes(2)) <= set(desk.shapes())
    assert {limit.name for limit in desk.limits("sorting", 3)} >= {"areas", "card_size"}
    assert desk.guidance("sorting").startswith("Most figures")


def test_previews_that_are_not_there() -> None:
    sheet = desk.make_sheet("cutting", 2, Options())
    with pytest.raises(InputError, match="the sheet has no page 2; it has 1"):
        desk.preview(sheet, 1)


def test_a_kind_that_is_not_there() -> None:
    with pytest.raises(InputError, match="'weaving' is not known; use one of: cutting, letters"):
        entry("weaving")


def test_fields_are_worded_by_each_face() -> None:
    message = "`bar-measures`: too small; use `stage` 3, or 'a `quoted` name'"
    assert worded(message, lambda name: f"--{name}") == (
        "--bar-measures: too small; use --stage 3, or 'a --quoted name'"
    )
    assert worded("plain", str) == "plain"


def test_no_room_for_the_key_leaves_no_sheet_either(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full when the second file is put on it: both or none."""
    sheet = desk.make_sheet("letter-match", 4, Options(), theme="reedy-pond")
    assert sheet.key
    count = 0

    def full(_number: int) -> None:
        nonlocal count
        count += 1
        if count == 2:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match=r"page-key\.pdf: cannot be written: No space left"):
        desk.write_sheet(sheet, tmp_path / "page.pdf")
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr(os, "fsync", lambda _number: None)
    written = desk.write_sheet(sheet, tmp_path / "page.pdf")
    assert [path.name for path in written] == ["page.pdf", "page-key.pdf"]
