"""Some mutated files through the whole command; ``python -m tests.fuzz_command N`` tries more."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.skipif(sys.platform == "win32", reason="no limits there")
def test_mutated_files_are_pages_or_lines_that_say_what_is_wrong() -> None:
    """30 drawings, 15 spreadsheets and 15 themes in one process with limits."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz_command", "30"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    counts = [int(count) for count in re.findall(r"exit \d: (\d+)", done.stdout)]
    assert sum(counts) == 60
    good = [int(count) for count in re.findall(r"exit [01]: (\d+)", done.stdout)]
    assert sum(good) >= 10, "most files were refused before anything was made of them"
