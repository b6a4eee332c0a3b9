"""Makes ``out_examples/``: one page of every kind and stage, as the command line would make it.

Run ``python -m sheets.examples`` in the project folder; a test says when the folder is stale.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sheets.kinds.cutting import CuttingTask
from sheets.kinds.cutting import make as make_cutting
from sheets.model import Sheet
from sheets.options import Options
from sheets.output import write_document

FOLDER = Path("out_examples")
CUTTING_PICTURE = "duck"
SUFFIXES = (".pdf", ".svg", ".png")


@dataclass(frozen=True, slots=True)
class Example:
    """One file name without its ending, and the sheet in it."""

    stem: str
    sheet: Sheet


def examples() -> Iterator[Example]:
    """Every example, made anew."""
    from shapes.pictures import find
    from sheets.suits import remark_for

    picture = find(CUTTING_PICTURE)
    for stage in range(7):
        task = CuttingTask(stage, picture, remark=remark_for(picture, stage))
        yield Example(f"cutting-stage-{stage}", make_cutting(task, Options()))


def write_examples(folder: Path) -> list[Path]:
    """Write all examples as PDF, SVG and PNG over what is there; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    for example in examples():
        for suffix in SUFFIXES:
            written += write_document(
                example.sheet.pages,
                folder / f"{example.stem}{suffix}",
                force=True,
                title=example.sheet.title,
                language=example.sheet.language,
            )
    return written


if __name__ == "__main__":
    for path in write_examples(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER):
        sys.stdout.write(f"wrote {path}\n")
