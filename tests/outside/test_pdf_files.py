"""The PDF files as two independent readers see them: pdfium their text, qpdf their syntax.

pdfium is the reader of a widely used browser; qpdf checks cross references, streams and objects
against ISO 32000. Page sizes and printing wishes are checked in ``test_paper``, what is drawn in
``tests/test_pdf.py`` and ``tests/test_agreement.py``.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path as FilePath

import pytest

from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.options import Options
from sheets.page.frame import A4, LETTER
from sheets.page.model import Paper, Text
from sheets.write.pdf import write_pdf
from tests.making import Making
from tests.outside.written import NAMES, PACKET_NAMES, packet, sheet
from tests.readers import opened, texts

EVERY = [*NAMES, *PACKET_NAMES]
QPDF = shutil.which("qpdf")


def data_of(name: str) -> bytes:
    return packet(name) if name in PACKET_NAMES else sheet(name)


@pytest.mark.parametrize("name", EVERY)
def test_the_library_qpdf_finds_nothing_wrong(name: str) -> None:
    with opened(data_of(name)) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert pdf.get_warnings() == []


@pytest.mark.skipif(QPDF is None, reason="the program qpdf is not installed")
@pytest.mark.parametrize("name", EVERY)
def test_the_program_qpdf_finds_nothing_wrong(name: str, tmp_path: FilePath) -> None:
    """qpdf manual, "Exit status": 0 no errors or warnings, 2 errors, 3 warnings."""
    assert QPDF is not None
    file = tmp_path / "page.pdf"
    file.write_bytes(data_of(name))

    done = subprocess.run(
        [QPDF, "--check", str(file)], capture_output=True, text=True, check=False, timeout=60
    )

    assert done.returncode == 0, done.stdout + done.stderr
    assert "No syntax or stream encoding errors found" in done.stdout


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_word_on_a_page_is_read_back_by_pdfium(
    kind: str, paper: Paper, language: str
) -> None:
    options = Options(paper=paper, name="Zoë Łucja", language=language, hand="left")
    made = Making(kind)
    result = made.make(made.from_theme(load("reedy-pond"), 4, options), options)
    pages = [*result.pages, *result.key]
    data = write_pdf(pages, title=result.title, language=language)

    words = 0
    for number, page in enumerate(pages):
        seen = squeezed(" ".join(texts(data, number)))
        for mark in page.marks:
            if isinstance(mark, Text):
                assert squeezed(mark.text) in seen, mark.text
                words += len(mark.text.split())
    assert "ZoëŁucja" in squeezed(" ".join(texts(data)))
    assert words > 20
