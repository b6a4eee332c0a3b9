"""Wall time and peak memory of whole processes (Linux: memory is read from /proc).

The process that measures must stay small: the peak which the system tells of a child (ru_maxrss)
begins with the memory of the process that started it. A peak that is not above it is refused.
"""

from __future__ import annotations

import os
import resource
import subprocess
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

SAMPLE_SECONDS = 0.02


class FailedError(Exception):
    """A process that ended with an error, and what it said."""


def measure(command: Sequence[str], folder: Path) -> tuple[float, float]:
    """Seconds and MB (ru_maxrss) of a process without processes of its own.

    Raises:
        FailedError: its return code was not 0.
        ValueError: its memory is hidden by that of this process.
    """
    with tempfile.TemporaryFile() as said:
        begun = time.perf_counter()
        process = subprocess.Popen(command, cwd=folder, stdout=said, stderr=said)
        _pid, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - begun
        process.returncode = os.waitstatus_to_exitcode(status)
        _check(process, said.fileno())
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if usage.ru_maxrss <= own:
        raise ValueError(f"a peak of {usage.ru_maxrss} KB seen from a process of {own} KB")
    return seconds, usage.ru_maxrss / 1024.0


def measure_tree(command: Sequence[str], folder: Path) -> tuple[float, float]:
    """Seconds and MB of a process and all it starts: the largest sum of PSS seen at one time.

    PSS counts a page of memory that n processes share as 1/n in each. A process that leaves the
    tree is not seen (Chromium's two crash handlers do, 2 MB each). Looking takes time from what is
    looked at, so the seconds are not those of an undisturbed run.

    Raises:
        FailedError: its return code was not 0.
    """
    largest = 0.0
    with tempfile.TemporaryFile() as said:
        begun = time.perf_counter()
        process = subprocess.Popen(command, cwd=folder, stdout=said, stderr=said)
        while process.poll() is None:
            largest = max(largest, sum(_pss(pid) for pid in _tree(process.pid)))
            time.sleep(SAMPLE_SECONDS)
        seconds = time.perf_counter() - begun
        _check(process, said.fileno())
    return seconds, largest


def _check(process: subprocess.Popen[bytes], said: int) -> None:
    if process.returncode:
        size = os.fstat(said).st_size
        words = os.pread(said, 2000, max(0, size - 2000)).decode(errors="replace")
        raise FailedError(f"{process.args!r} ended with {process.returncode}:\n{words}")


def _tree(root: int) -> Iterator[int]:
    """A process and its descendants, as far as they can be seen now."""
    children: dict[int, list[int]] = defaultdict(list)
    for name in os.listdir("/proc"):
        if name.isdigit():
            try:
                stat = Path("/proc", name, "stat").read_text()
            except OSError:
                continue  # ended meanwhile
            # The name in brackets may hold anything; after it come the state and the parent.
            children[int(stat.rpartition(")")[2].split()[1])].append(int(name))
    waiting = [root]
    while waiting:
        pid = waiting.pop()
        yield pid
        waiting += children[pid]


def _pss(pid: int) -> float:
    """MB of one process; 0 if it has ended."""
    try:
        with open(f"/proc/{pid}/smaps_rollup") as file:
            for line in file:
                if line.startswith("Pss:"):
                    return int(line.split()[1]) / 1024.0
    except OSError:
        pass
    return 0.0
