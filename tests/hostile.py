"""Files made to bring the command down, each with the command that reads it and what it is told.

A few kilobytes may ask for minutes and gigabytes. :data:`CASES` builds such files; the tests run
every command in a process of its own, :func:`run`, which is stopped where it takes too much.
"""

from __future__ import annotations

import io
import json
import os
import random
import subprocess
import sys
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

STOP_CPU_S = 40
STOP_BYTES = 3_000_000_000
"""A process that takes more is ended by the system; address room is more than memory."""

_PROGRAM = """
import json, resource, sys
resource.setrlimit(resource.RLIMIT_CPU, ({cpu}, {cpu}))
resource.setrlimit(resource.RLIMIT_AS, ({room}, {room}))
from sheets.cli.main import main
code = main(sys.argv[1:])
used = resource.getrusage(resource.RUSAGE_SELF)
made = resource.getrusage(resource.RUSAGE_CHILDREN)
# Not ru_maxrss, which also counts the process that this one was started from.
peak = next(int(line.split()[1]) for line in open("/proc/self/status") if line[:5] == "VmHWM")
peak = max(peak, made.ru_maxrss)  # of processes that it started
seconds = used.ru_utime + used.ru_stime + made.ru_utime + made.ru_stime
with open("used.json", "w") as file:
    json.dump({{"code": code, "seconds": seconds, "peak_mb": peak / 1000}}, file)
"""


@dataclass(frozen=True, slots=True)
class Used:
    """How a command ended: exit code (negative: the signal that ended it), seconds of processor,
    greatest memory in MB, and what it said."""

    code: int
    seconds: float
    peak_mb: float
    out: str
    told: str


def run(folder: Path, *words: str) -> Used:
    """Run the command in a folder, in a process of its own with limits."""
    # One thread: each further one of the numerical library takes room for nothing.
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}
    program = _PROGRAM.format(cpu=STOP_CPU_S, room=STOP_BYTES)
    done = subprocess.run(
        [sys.executable, "-c", program, *words],
        cwd=folder,
        capture_output=True,
        text=True,
        env=surroundings,
        timeout=5 * STOP_CPU_S,
        check=False,
    )
    figures = folder / "used.json"
    if not figures.exists():
        return Used(done.returncode, float(STOP_CPU_S), 0.0, done.stdout, done.stderr)
    used = json.loads(figures.read_text())
    return Used(used["code"], used["seconds"], used["peak_mb"], done.stdout, done.stderr)


@dataclass(frozen=True, slots=True)
class Case:
    """A hostile file and the command that reads it.

    Args:
        told: in the one line of refusal; empty: the command does its work.
        seconds: of processor that it may take.
        lines: of the refusal; a list of problems has one for each of the first twenty.
    """

    name: str
    files: Callable[[], dict[str, bytes]]
    words: tuple[str, ...]
    told: str = ""
    seconds: float = 5.0
    lines: int = 1


# --- drawings -------------------------------------------------------------------------------------

_LINE = 'fill="none" stroke="#000" stroke-width="2"'
_ATTRIBUTES = " ".join(f'a{i}=""' for i in range(200_000))
_TRIANGLE = '<path d="M10 10h80v80z"/>'


def svg(content: str, size: str = 'viewBox="0 0 100 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{content}</svg>'.encode()


def scribble(count: int) -> str:
    rng = random.Random(1)
    points = (f"{rng.uniform(0, 100):.2f} {rng.uniform(0, 100):.2f}" for _ in range(count))
    return "M" + "L".join(points)


def comb(teeth: int) -> str:
    """A simple polygon of many corners."""
    step = 90.0 / teeth
    points = [f"{5 + i * step:.4f} {20 if i % 2 else 80}" for i in range(teeth)]
    return "M" + "L".join([*points, "95 95", "5 95"]) + "Z"


def zigzag(parts: int) -> str:
    """An open line whose every corner is so sharp that it is bevelled."""
    step = 90.0 / parts
    return "M" + "L".join(f"{5 + i * step:.4f} {20 if i % 2 else 80}" for i in range(parts + 1))


def star(corners: int) -> str:
    """A simple polygon of many corners all round."""
    import cmath

    turns = [cmath.rect(40 if i % 2 else 30, i * 2 * cmath.pi / corners) for i in range(corners)]
    return "M" + "L".join(f"{50 + z.real:.3f} {50 + z.imag:.3f}" for z in turns) + "Z"


def squares(count: int, side: float, step: float, filled: bool = False) -> bytes:
    """A page of Letter full of small squares."""
    across = int(200 / step)
    look = 'fill="#333"' if filled else _LINE
    rows = "".join(
        f'<rect x="{5 + i % across * step:.2f}" y="{5 + i // across * step:.2f}" '
        f'width="{side}" height="{side}" {look}/>'
        for i in range(count)
    )
    return svg(rows, 'width="215.9mm" height="279.4mm" viewBox="0 0 215.9 279.4"')


def one_line(count: int) -> bytes:
    """Small squares that are all parts of one line."""
    parts = "".join(f"M{i % 95} {i // 95}h.6v.6h-.6z" for i in range(count))
    return svg(f'<path fill="none" stroke="#000" stroke-width=".1" d="{parts}"/>')


def rings(count: int) -> bytes:
    """Rings around each other, whose boxes all meet and whose lines do not."""
    return svg("".join(f'<circle cx="50" cy="50" r="{5 + i * 40 / count}" fill="none" '
                       f'stroke="#000" stroke-width=".001"/>' for i in range(count)))  # fmt: skip


def crowd(count: int) -> bytes:
    """Things of every role on one place."""
    roles = ("target", "choice", "answer-space", "card", "trace", "art", "adult", "guide", "cut")
    return svg("".join(
        f'<rect x="{40 + i * .001}" y="{40 - i * .001}" width="{20 - i * .001}" height="20" '
        f'{_LINE} data-role="{roles[i % len(roles)]}" data-id="r{i}"/>' for i in range(count)
    ))  # fmt: skip


def _drawing(content: str) -> Callable[[], dict[str, bytes]]:
    return lambda: {"my.svg": svg(content)}


_CUT = ("cutting", "my.svg", "--stage", "4", "--out", "o.pdf")
_SOFT = ("cutting", "my.svg", "--stage", "6", "--allow-outside", "--out", "o.pdf")
_HARD = ("difficulty", "my.svg")
_CHECK = ("check", "my.svg", "--stage", "4")

DRAWINGS = [
    Case("transform of 50 KB", _drawing(f'<g transform="{"a" * 50_000}">{_TRIANGLE}</g>'), _CUT,
         "has a transform that cannot be read"),
    Case("crossing lines, 50", _drawing(f'<path d="{scribble(50)}"/>'), _SOFT),
    Case("crossing lines, 1000", _drawing(f'<path d="{scribble(1000)}"/>'), _HARD,
         "has lines that cross more than"),
    Case("crossing lines, 3000", _drawing(f'<path d="{scribble(3000)}"/>'), _CUT,
         "has lines that cross more than"),
    Case("crossing strokes, 3000", _drawing(f'<path {_LINE} d="{scribble(3000)}"/>'), _CUT,
         "has lines that cross more than"),
    Case("polygon of 4,000 corners", _drawing(f'<path d="{star(4000)}"/>'), _HARD),
    Case("comb of 4,000 corners", _drawing(f'<path d="{comb(4000)}"/>'), _HARD),
    Case("comb of 19,000 corners", _drawing(f'<path d="{comb(19000)}"/>'), _HARD),
    Case("comb stroked", _drawing(f'<path {_LINE} d="{comb(9000)}"/>'), _HARD),
    Case("zigzag of 19,000 parts", _drawing(f'<path {_LINE} d="{zigzag(19000)}"/>'), _CUT),
    Case("comb of 60,000 corners", _drawing(f'<path d="{comb(60000)}"/>'), _HARD,
         "my.svg: has lines of more than 20,000 straight parts; simplify the drawing"),
    Case("200,000 attributes", _drawing(f"<g {_ATTRIBUTES}/>"), _CUT,
         "more than 200 attributes or classes"),
    Case("300,000 classes",
         lambda: {"my.svg": svg(f'<g class="{" ".join(f"a{i}" for i in range(300_000))}"/>')},
         _CUT, "more than 200 attributes or classes"),
    Case("flat area", _drawing('<path d="M0 0L50 0L20 0L90 0Z"/>'), _CUT, "shows nothing"),
    Case("flat area, hardness", _drawing('<path d="M0 0L50 0L20 0L90 0Z"/>'), _HARD,
         "shows nothing"),
    Case("crossing lines checked", _drawing(f'<path {_LINE} d="{scribble(1000)}"/>'), _CHECK),
    Case("crossing areas checked", _drawing(f'<path d="{scribble(1000)}"/>'), _CHECK),
    Case("polygon of 4,000 checked", _drawing(f'<path {_LINE} d="{star(4000)}"/>'), _CHECK,
         "my.svg: has an outline with more than 1,500 corners; simplify the drawing"),
    Case("comb of 9,000 checked", _drawing(f'<path {_LINE} d="{comb(9000)}"/>'), _CHECK,
         "my.svg: has an outline with more than 1,500 corners"),
    Case("comb of 60,000 checked", _drawing(f'<path {_LINE} d="{comb(60000)}"/>'), _CHECK,
         "my.svg: has a line of more than 10,000 straight parts; simplify the drawing"),
    Case("open comb checked", _drawing(f'<path {_LINE} d="{comb(9000)[:-1]}"/>'), _CHECK),
    Case("two combs checked", _drawing(f'<path {_LINE} d="{comb(9000)[:-1]}"/>'
         f'<path {_LINE} d="{comb(9001)[:-1]}"/>'), _CHECK),
    Case("9,000 squares in one line", lambda: {"my.svg": one_line(9000)}, _CHECK),
    Case("3,000 squares checked", lambda: {"my.svg": squares(3000, 2.5, 3.4)}, _CHECK),
    Case("3,000 touching squares", lambda: {"my.svg": squares(3000, 3.6, 3.4)}, _CHECK),
    Case("3,000 on one place", lambda: {"my.svg": squares(3000, 60, 0.05)}, _CHECK),
    Case("9,000 squares", lambda: {"my.svg": squares(9000, 1.5, 2.0)}, _CHECK),
    Case("3,000 filled squares", lambda: {"my.svg": squares(3000, 2.5, 3.4, True)}, _CHECK),
    Case("3,000 squares drawn", lambda: {"my.svg": squares(3000, 2.5, 3.4)},
         (*_CHECK, "--out", "o.pdf")),
    Case("3,000 rings", lambda: {"my.svg": rings(3000)}, _CHECK),
    Case("9,000 things on one place", lambda: {"my.svg": crowd(9000)},
         (*_CHECK, "--skill", "matching")),
    Case("9,000 things", lambda: {"my.svg": crowd(9000)}, (*_CHECK, "--skill", "auto")),
]  # fmt: skip


# --- class lists ----------------------------------------------------------------------------------

_SHEET = "xl/worksheets/sheet1.xml"
_MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def workbook(sheet: bytes, styles: bytes = b"") -> bytes:
    """A workbook of one sheet, as small as readers take."""
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="xml" '
        'ContentType="application/xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" '
        f'Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook {_MAIN} xmlns:r="{office}"><sheets><sheet name="a" '
        'sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="r1" Type="{office}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="r2" Type="{office}/styles" Target="styles.xml"/></Relationships>',
    }
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as file:
        for name, text in parts.items():
            file.writestr(name, text)
        file.writestr(_SHEET, sheet)
        if styles:
            file.writestr("xl/styles.xml", styles)
    return held.getvalue()


def cells(rows: str) -> bytes:
    return f"<worksheet {_MAIN}><sheetData>{rows}</sheetData></worksheet>".encode()


def _many_styles() -> dict[str, bytes]:
    styles = f"<styleSheet {_MAIN}><cellXfs>{'<xf/>' * 7_000_000}</cellXfs></styleSheet>"
    return {"c.xlsx": workbook(cells("<row/>"), styles.encode())}


def _csv(text: str) -> Callable[[], dict[str, bytes]]:
    return lambda: {"c.csv": text.encode()}


_TAGS = ("tags", "c.csv")
_BOOK = ("tags", "c.xlsx")
_HEAD = "name,cutting\n"

CLASSES = [
    Case("7 million styles", _many_styles, _BOOK, "c.xlsx: "),
    Case("11 million cells",
         lambda: {"c.xlsx": workbook(cells(f"<row>{'<c/>' * 11_000_000}</row>"))}, _BOOK,
         "c.xlsx: "),
    Case("nested deeply",
         lambda: {"c.xlsx": workbook(cells("<row>" + "<c>" * 1_000_000))}, _BOOK, "c.xlsx: "),
    Case("header of 1.8 MB", _csv("name," + ",".join("a" for _ in range(900_000)) + "\nBo,1\n"),
         _TAGS, "c.csv line 1: 900001 columns; leave 200 at most"),
    Case("900,000 lines", _csv(_HEAD + "Bo,9\n" * 380_000), _TAGS, "c.csv: "),
    Case("field of 140,000", _csv(_HEAD + f"{'n' * 140_000},2\n"), _TAGS, "c.csv"),
    Case("encrypted", lambda: {"c.xlsx": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(3000)},
         _BOOK, "c.xlsx: "),
]  # fmt: skip


# --- themes ---------------------------------------------------------------------------------------


def _theme(text: str) -> Callable[[], dict[str, bytes]]:
    return lambda: {"t.toml": text.encode()}


_SEQUENCE = ("sequence", "--theme", "t.toml", "--out", "o.pdf")

THEMES = [
    Case("dots, 190 KB", _theme(f"title='a'\n{'.'.join(['a'] * 95_000)}=1\n"), _SEQUENCE,
         "more than 8 names joined by dots"),
    Case("dots, 980 KB", _theme(f"title='a'\n{'.'.join(['a'] * 490_000)}=1\n"), _SEQUENCE,
         "t.toml: "),
    Case("brackets", _theme(f"title={'[' * 100_000}"), _SEQUENCE, "lists more than 10 deep"),
    Case("tables", _theme("title='a'\n" + "".join(f"[a{i}]\n" for i in range(20_000))), _SEQUENCE,
         "t.toml", lines=21),
    Case("quotes", _theme("title=" + '"""a' * 45_000), _SEQUENCE, "t.toml"),
]  # fmt: skip

CASES = (*DRAWINGS, *CLASSES, *THEMES)

BY_HAND = {
    "crossing lines, 50", "comb of 4,000 corners", "comb of 9,000 checked", "two combs checked",
    "crossing areas checked", "3,000 touching squares", "9,000 squares", "3,000 rings",
    "9,000 things on one place", "flat area, hardness",
}  # fmt: skip
"""Cases much like others, which only ``python -m tests.hostile`` runs."""


def main() -> None:
    """Print what every case takes."""
    import tempfile

    for case in CASES:
        if sys.argv[1:] and not any(word in case.name for word in sys.argv[1:]):
            continue
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            for file, content in case.files().items():
                (folder / file).write_bytes(content)
            used = run(folder, *case.words)
        lines = used.told.strip().splitlines() or used.out.strip().splitlines()[-1:] or [""]
        print(
            f"{case.name:26} {used.code:3} {used.seconds:6.2f} s {used.peak_mb:5.0f} MB "
            f"{len(used.out):8} {len(lines)} {lines[-1][:110]}",
            flush=True,
        )


if __name__ == "__main__":
    main()
