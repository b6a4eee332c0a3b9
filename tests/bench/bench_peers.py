"""The packet command against other ways to make the same pages, in one run on one machine.

Run it as ``python -m tests.bench.bench_peers [--rounds N]`` (default 5 rounds) from the root, on
Linux. The job is that of ``job``: 20 children with 12 sheets each, four PDF files. Ours
starts with the theme file and the class list; makes, measures and counts every page; and writes the
folder with its index. The others get finished marks (see ``finished_marks``) and only draw:

- reportlab, every mark on every page, and with artworks and furniture as form XObjects;
- WeasyPrint and headless Chromium, one HTML file with text in the page font (see ``html_pages``),
  to one PDF.

WeasyPrint and Chromium are left out if they are not there: ``pip install weasyprint`` and
``apt-get install chromium`` (not dependencies of the project).

Every run is a new process. Before the rounds each way is run once: its pages are counted and
compared with ours, and Chromium's memory is sampled, as this slows it. Rounds are interleaved, each
starting with another way; ratios are taken round by round, and medians are shown. Memory is
ru_maxrss of the one process; for Chromium the largest sum of PSS over all its processes. KB are
those of PDF files.
"""

from __future__ import annotations

import argparse
import compileall
import multiprocessing
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import ParamSpec, TypeVar

from tests.bench.bench_packet import class_of
from tests.bench.finished_marks import FILES
from tests.bench.html_pages import write_inputs
from tests.bench.job import CHILDREN, ROOT, SHEETS_EACH, Job, sheet_count, write_job
from tests.bench.processes import measure, measure_tree
from tests.bench.same_pages import likeness, page_count

PEERS_FILE = Path(__file__).with_name("peers.py")
CLASSES = (2, 80)
"""Children of the two packets whose memory is compared: 24 and 960 sheets."""

_BROWSERS = ("chromium", "chromium-browser", "google-chrome")
_QUIET = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    "--no-pdf-header-footer",
)

_P = ParamSpec("_P")
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make the pages.

    Args:
        command: what to run, told an empty folder for all it writes; PDF files stand in ``out``.
        files: their names in page order.
        tree: whether it starts processes of its own.
    """

    name: str
    command: Callable[[Path], list[str]]
    files: tuple[str, ...] = FILES
    tree: bool = False


@dataclass(frozen=True, slots=True)
class Run:
    """What one run took: seconds, MB, and bytes of PDF."""

    seconds: float
    memory: float
    size: int


def elsewhere(function: Callable[_P, _T], *args: _P.args, **kwargs: _P.kwargs) -> _T:
    """Call a function in a process of its own, so that this one stays small."""
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        return pool.submit(function, *args, **kwargs).result()


def ours(job: Job) -> Way:
    return Way("ours", lambda folder: job.command(folder / "out"))


def ways(job: Job, work: Path) -> list[Way]:
    """Ours first, then all others that this machine has.

    Args:
        work: folder with what :func:`write_inputs` writes.
    """

    def script(way: str) -> Callable[[Path], list[str]]:
        start = [sys.executable, str(PEERS_FILE), way, str(work / "marks.json")]
        return lambda folder: [*start, str(folder / "out")]

    found = [
        ours(job),
        Way("reportlab, every page drawn", script("drawn")),
        Way("reportlab, form XObjects", script("forms")),
    ]
    tried = subprocess.run([sys.executable, "-c", "import weasyprint"], capture_output=True)
    browser = next(filter(None, map(shutil.which, _BROWSERS)), None)
    for name, missing in (("WeasyPrint", tried.returncode), ("Chromium", browser is None)):
        if missing:
            say(f"{name}: not on this machine, left out")
    html = work / "pages.html"
    if tried.returncode == 0:
        found.append(Way("WeasyPrint", _weasyprint(html), ("all.pdf",)))
    if browser is not None:
        command = _printing(browser, html)
        found.append(Way("headless Chromium", command, ("all.pdf",), tree=True))
    return found


def _weasyprint(html: Path) -> Callable[[Path], list[str]]:
    start = [sys.executable, "-m", "weasyprint", str(html)]
    return lambda folder: [*start, str(folder / "out" / "all.pdf")]


def _printing(browser: str, html: Path) -> Callable[[Path], list[str]]:
    def command(folder: Path) -> list[str]:
        profile, out = f"--user-data-dir={folder / 'profile'}", folder / "out" / "all.pdf"
        return [browser, *_QUIET, profile, f"--print-to-pdf={out}", html.as_uri()]

    return command


def run(way: Way, folder: Path, *, sampled: bool = False) -> Run:
    """Run once in an emptied folder; what it wrote stays there."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "out").mkdir(parents=True)
    command = way.command(folder)
    seconds, memory = (measure_tree if sampled else measure)(command, ROOT)
    return Run(seconds, memory, sum(path.stat().st_size for path in pdfs(way, folder)))


def pdfs(way: Way, folder: Path) -> list[Path]:
    return [folder / "out" / name for name in way.files]


def compare(rounds: int, work: Path) -> None:
    """Print the table of all ways."""
    job = write_job(work)
    sheets = elsewhere(sheet_count, job)
    if sheets != CHILDREN * SHEETS_EACH:
        raise ValueError(f"the job has {sheets} sheets, not {CHILDREN * SHEETS_EACH}")
    elsewhere(write_inputs, job, work)
    listed = ways(job, work)
    trees: dict[str, float] = {}
    our_files = pdfs(listed[0], work / "ours")
    for way in listed:
        folder = work / "ours" if way is listed[0] else work / "peer"
        first = run(way, folder, sampled=way.tree)
        if way.tree:
            trees[way.name] = first.memory
        if way is listed[0]:
            pages = elsewhere(page_count, *our_files)
            say(f"{CHILDREN} children, {sheets} sheets, {pages} pages in {len(FILES)} files")
            continue
        like = elsewhere(likeness, our_files, pdfs(way, folder))
        say(
            f"{way.name}: {pages} pages, {like.compared} compared: ink at most "
            f"{like.ink_apart:.1%} apart, dots {like.difference:.0%} of the ink"
        )
        if not like.same:
            raise ValueError(f"{way.name} draws other pages")
    runs: dict[str, list[Run]] = {way.name: [] for way in listed}
    for number in range(rounds):
        for way in listed[number % len(listed) :] + listed[: number % len(listed)]:
            runs[way.name].append(run(way, work / "timed"))
    say(f"\n{'':28} {'wall s':>7} {'to ours':>8} {'(range)':>14} {'peak MB':>8} {'KB':>7}")
    for name, done in runs.items():
        say(_row(name, done, runs[listed[0].name], trees.get(name)))


def _row(name: str, done: Sequence[Run], ours: Sequence[Run], tree: float | None) -> str:
    ratios = [one.seconds / our.seconds for one, our in zip(done, ours, strict=True)]
    seconds = statistics.median(one.seconds for one in done)
    memory = statistics.median(one.memory for one in done) if tree is None else tree
    around = f"{min(ratios):.2f} to {max(ratios):.2f}"
    return (
        f"{name:28} {seconds:7.2f} {statistics.median(ratios):8.2f} {around:>14} {memory:8.0f} "
        f"{statistics.median(one.size for one in done) / 1024:7.0f}"
    )


def memory_by_pages(rounds: int, work: Path) -> None:
    """Print our peak memory at two sizes of a class, and how it grows."""
    points = []
    for children in CLASSES:
        job = write_job(work, class_of(children))
        way = ours(job)
        sheets = elsewhere(sheet_count, job)
        memory = statistics.median(run(way, work / "ours").memory for _ in range(rounds))
        pages = elsewhere(page_count, *pdfs(way, work / "ours"))
        points.append((sheets, pages, memory))
        say(f"ours, {children} children: {sheets} sheets, {pages} pages, {memory:.1f} MB")
    (sheets0, pages0, low), (sheets1, pages1, high) = points
    grown = (high - low) * 1024.0
    say(
        f"growth: {grown / (sheets1 - sheets0):.1f} KB a sheet, "
        f"{grown / (pages1 - pages0):.1f} KB a page"
    )


def say(line: str) -> None:
    print(line, flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description="The packet against other ways to make its pages.")
    parser.add_argument("--rounds", type=int, default=5)
    rounds = max(1, parser.parse_args().rounds)
    for package in ("shapes", "sheets"):
        compileall.compile_dir(ROOT / package, quiet=1)
    with tempfile.TemporaryDirectory() as folder:
        compare(rounds, Path(folder))
        say("")
        memory_by_pages(rounds, Path(folder))


if __name__ == "__main__":
    main()
