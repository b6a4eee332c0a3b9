"""``out_examples/`` is what the code makes now; ``python -m sheets.examples`` makes it anew."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sheets.examples import FOLDER, SUFFIXES, Example, examples
from sheets.output import write_document
from tests.readers import content

HERE = Path(__file__).parent.parent / FOLDER
MADE = list(examples())


def test_no_example_is_missing_or_left_over() -> None:
    there = {path.name for path in HERE.iterdir()}
    assert there == {f"{example.stem}{suffix}" for example in MADE for suffix in SUFFIXES}


@pytest.mark.parametrize("example", MADE, ids=lambda example: example.stem)
def test_examples_are_current(example: Example, tmp_path: Path) -> None:
    for suffix in SUFFIXES:
        name = f"{example.stem}{suffix}"
        write_document(
            example.sheet.pages,
            tmp_path / name,
            title=example.sheet.title,
            language=example.sheet.language,
        )
    svg = f"{example.stem}.svg"
    assert (tmp_path / svg).read_bytes() == (HERE / svg).read_bytes()
    pdf = f"{example.stem}.pdf"
    # Uncompressed, as zlib versions pack differently.
    assert content((tmp_path / pdf).read_bytes()) == content((HERE / pdf).read_bytes())
    png = f"{example.stem}.png"
    new, old = (
        np.asarray(Image.open(io.BytesIO((folder / png).read_bytes())).convert("L"), dtype=float)
        for folder in (tmp_path, HERE)
    )
    assert new.shape == old.shape
    assert np.mean(np.abs(new - old) > 64) < 0.001
