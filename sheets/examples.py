"""Makes ``out_examples/``: pages of every kind and stage, a packet, and a contact sheet.

Run ``python -m sheets.examples`` in the project folder; a test says when the folder is stale.
"""

from __future__ import annotations

import dataclasses
import io
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from sheets.desk import make_packet, make_sheet, plan_packet, write_packet
from sheets.files.class_list import load as load_class
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.options import Options
from sheets.kinds.sequence import SequenceChoices
from sheets.packet.plan import Choices
from sheets.page.frame import LETTER
from sheets.page.model import Page, Sheet
from sheets.write.files import write_document, write_files

FOLDER = Path("out_examples")
PICTURE = "duck"
THEME = "reedy-pond"
NAME = "Zuzë"
CLASS_FILE = "class-of-12.csv"
PACKET = "packet"
CONTACT_SHEET = "contact-sheet.png"
CONTACT_STAGES = (1, 3, 5)
STAGES = range(7)
_TILE = 300  # pixels across one page on the contact sheet
_GAP = 12

CLASS_OF_12 = """\
name,tag,hand,cutting,matching,letters,sequence,pattern,sorting,needs,language
Pip,Pi,R,2,2,1,2,1,2,,
Bramble,Br,R,3,3,2,3,2,3,,
Bo,Bx,L,1,1,0,1,0,1,left-scissors,
Tuppence,Tu,R,5,4,4,5,5,5,,
Zuzë,Zu,R,2,2,1,2,1,2,,es
Marlow,Ma,?,0,1,0,0,0,0,loop-scissors,
Inky,In,R,3,3,2,2,3,3,colour-vision,
Fennel,Fe,L,2,3,3,3,2,4,left-scissors,
Oswin,Os,R,6,5,3,4,5,5,,
Juniper,Ju,R,1,2,1,1,1,1,low-vision,
Kestrel,Ke,R,4,3,1,3,2,4,,
Sorrel,So,R,6,6,6,6,6,6,,
"""
"""An invented class with nicknames; every stage and most needs occur."""


@dataclass(frozen=True)
class Example:
    """One file name without its ending, its endings, and the sheet in it."""

    stem: str
    sheet: Sheet
    suffixes: tuple[str, ...] = (".pdf",)

    @property
    def pages(self) -> tuple[Page, ...]:
        """The child's pages, then the key."""
        return (*self.sheet.pages, *self.sheet.key)


def examples() -> Iterator[Example]:
    """Every example sheet, made anew: cutting with one picture, the other kinds from a theme."""
    options = Options(paper=LETTER)

    def sheet(name: str, stage: int, choices: object = None) -> Sheet:
        if name == "cutting":
            return make_sheet(name, stage, options, words=[PICTURE], choices=choices)
        named = dataclasses.replace(options, name=NAME if name == "name-page" else "")
        return make_sheet(name, stage, named, theme=THEME, choices=choices)

    for name in KINDS:
        suffixes = (".pdf", ".svg", ".png") if name == "cutting" else (".pdf",)
        for stage in STAGES:
            yield Example(f"{name}-stage-{stage}", sheet(name, stage), suffixes)
    yield Example("sequence-backs", sheet("sequence", 4, SequenceChoices(backs="fold")))


def contact_sheet(made: Sequence[Example]) -> bytes:
    """A PNG with the first page of every kind at three stages."""
    from PIL import Image, ImageOps

    from sheets.write.png import write_png

    by_stem = {example.stem: example for example in made}
    rows = [[by_stem[f"{name}-stage-{stage}"] for stage in CONTACT_STAGES] for name in KINDS]
    high = round(_TILE * LETTER.height / LETTER.width)
    # Two kinds side by side, so that the picture is about square.
    across = 2 * len(CONTACT_STAGES)
    down = -(-len(rows) // 2)
    size = (_GAP + across * (_TILE + _GAP), _GAP + down * (high + _GAP))
    sheet = Image.new("L", size, 225).convert("RGB")
    for index, row in enumerate(rows):
        for column, example in enumerate(row):
            png = write_png(example.sheet.pages[0], dpi=round(_TILE / LETTER.width * 25.4 * 2))
            tile = Image.open(io.BytesIO(png)).convert("RGB")
            tile = ImageOps.pad(tile, (_TILE, high), color="white")
            x = _GAP + ((index % 2) * len(CONTACT_STAGES) + column) * (_TILE + _GAP)
            sheet.paste(tile, (x, _GAP + (index // 2) * (high + _GAP)))
    out = io.BytesIO()
    sheet.quantize(64).save(out, "PNG", optimize=True)
    return out.getvalue()


def write_examples(folder: Path) -> list[Path]:
    """Write all examples over what is there; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    made = list(examples())
    for example in made:
        for suffix in example.suffixes:
            pages = example.pages if suffix == ".pdf" else example.sheet.pages
            written += write_document(
                pages,
                folder / f"{example.stem}{suffix}",
                force=True,
                title=example.sheet.title,
                language=example.sheet.language,
                compact=True,
            )
    text = CLASS_OF_12.encode("utf-8")
    files = [
        (folder / CLASS_FILE, lambda: text),
        (folder / CONTACT_SHEET, lambda: contact_sheet(made)),
    ]
    written += write_files(files, force=True)
    plan = plan_packet(load(THEME), load_class(folder / CLASS_FILE), Choices(paper=LETTER))
    write_packet(make_packet(plan), folder / PACKET, force=True)
    return [*written, *sorted((folder / PACKET).iterdir())]


if __name__ == "__main__":
    for path in write_examples(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER):
        sys.stdout.write(f"wrote {path}\n")
