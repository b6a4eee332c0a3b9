"""``out_examples/`` is what the code makes now; ``python -m sheets.examples`` makes it anew."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sheets.examples import (
    CLASS_FILE,
    CLASS_OF_12,
    CONTACT_SHEET,
    FOLDER,
    PACKET,
    THEME,
    Example,
    contact_sheet,
    examples,
)
from sheets.write.files import write_document
from tests.packets import make_packet
from tests.readers import content, opened

HERE = Path(__file__).parent.parent / FOLDER
MADE = list(examples())


def pages_of(file: Path) -> list[list[str]]:
    """Content of every page, uncompressed, as zlib versions pack differently."""
    data = file.read_bytes()
    with opened(data) as pdf:
        count = len(pdf.pages)
    return [content(data, page) for page in range(count)]


def same_picture(one: bytes, other: bytes) -> bool:
    new, old = (
        np.asarray(Image.open(io.BytesIO(data)).convert("L"), dtype=float) for data in (one, other)
    )
    return new.shape == old.shape and bool(np.mean(np.abs(new - old) > 64) < 0.001)


PAGE = "page"


def test_no_example_is_missing_or_left_over() -> None:
    there = {path.name for path in HERE.iterdir()}
    sheets = {f"{example.stem}{suffix}" for example in MADE for suffix in example.suffixes}
    assert there == sheets | {CLASS_FILE, CONTACT_SHEET, PACKET, PAGE}


def test_pictures_of_the_page_are_small() -> None:
    """Those that ``python -m tests.web.shots`` writes; browsers differ, so not their bytes."""
    sizes = [file.stat().st_size for file in (HERE / PAGE).glob("*.png")]
    assert len(sizes) >= 4
    assert sum(sizes) <= 400 * 1024


@pytest.mark.parametrize("example", MADE, ids=lambda example: example.stem)
def test_sheets_are_current(example: Example, tmp_path: Path) -> None:
    for suffix in example.suffixes:
        name = f"{example.stem}{suffix}"
        write_document(
            example.pages if suffix == ".pdf" else example.sheet.pages,
            tmp_path / name,
            title=example.sheet.title,
            language=example.sheet.language,
            compact=True,
        )
        if suffix == ".svg":
            assert (tmp_path / name).read_bytes() == (HERE / name).read_bytes()
        elif suffix == ".pdf":
            assert pages_of(tmp_path / name) == pages_of(HERE / name)
        else:
            assert same_picture((tmp_path / name).read_bytes(), (HERE / name).read_bytes())


def test_every_example_is_within_guidance() -> None:
    found = {
        example.stem: [f.sentence() for f in example.sheet.findings if f.outside]
        for example in MADE
    }
    assert not any(found.values()), found


def test_the_contact_sheet_is_current() -> None:
    assert same_picture(contact_sheet(MADE), (HERE / CONTACT_SHEET).read_bytes())


def test_the_packet_is_current(tmp_path: Path) -> None:
    assert (HERE / CLASS_FILE).read_text("utf-8") == CLASS_OF_12
    made = tmp_path / PACKET
    assert make_packet(THEME, HERE / CLASS_FILE, made, paper="letter") == 0
    files = {path.name for path in made.iterdir()}
    assert files == {path.name for path in (HERE / PACKET).iterdir()}
    for name in files:
        if name.endswith(".pdf"):
            assert pages_of(made / name) == pages_of(HERE / PACKET / name)
        else:
            new, old = (
                json.loads((folder / name).read_text("utf-8")) for folder in (made, HERE / PACKET)
            )
            assert new == old
