"""Photos and scans of drawings: the outline found again, and what is refused in one line.

``python -m tests.test_scan`` prints the overlap of all twenty.
"""

from __future__ import annotations

import io
import struct
import sys
import zlib
from contextlib import suppress
from pathlib import Path as FilePath

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from PIL import Image, ImageDraw

from shapes.errors import PictureError, TableworkError
from shapes.path import Path
from shapes.pictures import own, scan
from shapes.pictures.own import load_file
from shapes.pictures.picture import Picture, from_drawing
from shapes.pictures.pictures import resolve
from shapes.pictures.scan import labelled, read_scan
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from tests import scans
from tests.masks import Mask, outline_mask, overlap

SCANS = 20
ALIKE = 0.95


def overlap_of(number: int) -> float:
    data, truth = scans.scan(number)
    return overlap(outline_mask(picture(data), scans.SIDE, float(scans.SIDE)), truth)


def picture(data: bytes) -> Picture:
    return from_drawing(read_scan(data, "my.png"), id="my", name="my", credit="", source="my.png")


def png(image: Image.Image, **more: object) -> bytes:
    file = io.BytesIO()
    image.save(file, "PNG", **more)
    return file.getvalue()


def page(*, ink: int = 0, paper: int = 255, size: tuple[int, int] = (300, 200)) -> Image.Image:
    """A disc of 100 dots in the upper left of a sheet."""
    image = Image.new("L", size, paper)
    ImageDraw.Draw(image).ellipse((40, 30, 139, 129), fill=ink)
    return image


def box(data: bytes) -> tuple[float, float, float, float]:
    b = picture(data).bbox
    return (b.x0, b.y0, b.x1, b.y1)


@pytest.mark.parametrize("number", range(0, SCANS, 6))
def test_outlines_come_back(number: int) -> None:
    assert overlap_of(number) >= ALIKE


def test_a_disc_is_a_disc() -> None:
    (shape,) = picture(png(page())).shapes
    (ring,) = shape.paths
    assert box(png(page())) == pytest.approx((40, 70, 140, 170), abs=1.0)
    # Within a dot of the circle all round, as few and smooth curves.
    for x, y in ring.flatten(0.01):
        assert np.hypot(x - 90, y - 120) == pytest.approx(50, abs=1.0)
    assert len(ring.segments) < 60


def test_faint_and_dark_paper_and_clear_ground() -> None:
    for ink, paper in ((180, 255), (60, 120), (0, 90)):
        assert box(png(page(ink=ink, paper=paper))) == pytest.approx((40, 70, 140, 170), abs=1.5)
    clear = Image.new("RGBA", (300, 200), (0, 0, 0, 0))
    ImageDraw.Draw(clear).ellipse((40, 30, 139, 129), fill=(20, 20, 90, 255))
    assert box(png(clear)) == pytest.approx((40, 70, 140, 170), abs=1.0)
    deep = Image.fromarray(np.asarray(page()).astype(np.uint16) * 257)
    assert box(png(deep)) == pytest.approx((40, 70, 140, 170), abs=1.0)


def test_a_hole_is_a_ring_of_its_own() -> None:
    image = page()
    ImageDraw.Draw(image).ellipse((70, 60, 109, 99), fill=255)
    (shape,) = picture(png(image)).shapes
    assert len(shape.paths) == 2
    assert shape.even_odd


def test_specks_and_the_table_are_left_out() -> None:
    image = page()
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 190, 300, 200), fill=30)  # the edge of the table
    draw.point([(200 + i % 7 * 10, 40 + i // 7 * 10) for i in range(60)], fill=0)
    assert box(png(image)) == pytest.approx((40, 70, 140, 170), abs=1.0)


def test_turned_as_the_camera_was_held() -> None:
    """Exif 2.3, tag 0x0112: 6 is turned a quarter to the right, 3 stands on its head."""
    for tag, expected in ((6, (70, 160, 170, 260)), (3, (160, 30, 260, 130))):
        exif = Image.Exif()
        exif[0x0112] = tag
        assert box(png(page(), exif=exif)) == pytest.approx(expected, abs=1.0)


def test_labels_are_those_of_a_flood() -> None:
    """By hand: two dots that touch at a corner are one part, and a U is one."""
    rows = ("#.#.#", "#.#..", "###..", "...#.")
    mask = np.array([[dot == "#" for dot in row] for row in rows])
    labels, count = labelled(mask)
    assert count == 2
    assert labels[0, 4] not in (0, labels[0, 0])
    assert {labels[0, 2], labels[3, 3]} == {labels[0, 0]}


@settings(max_examples=60, deadline=None)
@given(arrays.arrays(np.bool_, st.tuples(st.integers(1, 9), st.integers(1, 9))))
def test_labels_agree_with_walking(mask: Mask) -> None:
    labels, count = labelled(mask)
    left = {(int(y), int(x)) for y, x in np.argwhere(mask)}
    found = 0
    while left:
        found += 1
        part, stack = set(), [left.pop()]
        while stack:
            y, x = stack.pop()
            part.add((y, x))
            near = {(y + dy, x + dx) for dy in (-1, 0, 1) for dx in (-1, 0, 1)} & left
            left -= near
            stack += near
        assert len({int(labels[at]) for at in part}) == 1
    assert found == count
    assert ((labels > 0) == mask).all()


# --- every kind takes them --------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".png", ".jpg", ".JPEG"])
def test_files_are_named_as_drawings_are(ending: str, tmp_path: FilePath) -> None:
    page().save(tmp_path / f"my-disc{ending}")
    found = resolve(f"my-disc{ending}", tmp_path)
    assert (found.id, found.name, found.credit) == ("my-disc", "my disc", "")


@pytest.mark.parametrize("stage", [2, 4, 6])
def test_pages_of_a_photo_keep_the_limits(stage: int, tmp_path: FilePath) -> None:
    file = tmp_path / "my.jpg"
    file.write_bytes(scans.scan(1)[0])
    sheet = make_sheet("cutting", Source(words=(str(file),)), stage, Options())
    assert [finding.sentence() for finding in sheet.findings if finding.outside] == []


def test_a_theme_takes_them(tmp_path: FilePath) -> None:
    from sheets.files.theme_file import load

    page().save(tmp_path / "ball.png")
    file = tmp_path / "mine.toml"
    file.write_text('title = "Mine"\n[[words]]\ntext = "ball"\npicture = "ball.png"\n')
    (word,) = load(file).words
    assert isinstance(word.picture.line[0].paths[0], Path)


# --- what is refused --------------------------------------------------------------------------


def animated() -> bytes:
    return png(page(), save_all=True, append_images=[page(ink=90)])


def huge(side: int) -> bytes:
    """A PNG whose head says so many dots (ISO/IEC 15948, 11.2.2), without them."""
    head = b"IHDR" + struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    check = struct.pack(">I", zlib.crc32(head))
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + head + check + b"\0\0\x40\0IDAT"


def speckled() -> bytes:
    image = Image.new("L", (600, 600), 255)
    for x in range(10, 590, 16):
        for y in range(10, 590, 16):
            ImageDraw.Draw(image).rectangle((x, y, x + 7, y + 7), fill=0)
    return png(image)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "is not a PNG or JPG picture; save or send it again as JPG or PNG"),
        (b"\0\0\0\x18ftypheic", "is not a PNG or JPG picture; save or send it again as JPG or PNG"),
        (png(page())[:400], "is broken or cut off; save or send it again"),
        (huge(8_000), "has more than 50 million dots; make it smaller"),
        (huge(20_000), "has more than 50 million dots; make it smaller"),
        (png(page(size=(300, 50))), "has only 300 x 50 dots; give at least 60 on each side"),
        (animated(), "is animated; save one picture of it"),
        (png(Image.new("L", (200, 200), 255)),
         "shows nothing dark; draw with a darker or thicker line"),
        (png(Image.new("L", (200, 200), 3)),
         "shows nothing dark; draw with a darker or thicker line"),
        (speckled(), "shows too many small things to be a drawing; "
         "photograph the drawing alone on plain paper"),
    ],
    ids=["empty", "heic", "cut", "large", "huge", "small", "animated", "white", "black", "specks"],
)  # fmt: skip
def test_messages(data: bytes, message: str) -> None:
    with pytest.raises(PictureError) as caught:
        read_scan(data, "my.png")
    assert str(caught.value) == f"my.png: {message}"


def test_dark_nearly_all_over() -> None:
    image = Image.new("L", (200, 200), 20)
    ImageDraw.Draw(image).rectangle((0, 0, 60, 60), fill=255)
    with pytest.raises(PictureError) as caught:
        read_scan(png(image), "my.png")
    assert str(caught.value) == ("my.png: is dark nearly all over; use dark lines on light paper")


def test_too_many_bytes(tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(own, "MAX_SCAN_BYTES", 1_000_000)
    file = tmp_path / "my.jpg"
    file.write_bytes(b"\xff\xd8" + bytes(1_000_000))
    with pytest.raises(PictureError) as caught:
        load_file(file)
    assert str(caught.value) == "my.jpg: is larger than 1 MB; make the picture smaller"


@pytest.mark.parametrize("name", ["duck.heic", "My Duck.WEBP", "duck.pdf"])
def test_other_files(name: str) -> None:
    with pytest.raises(PictureError) as caught:
        resolve(name)
    ending = name[name.index(".") :].lower()
    assert str(caught.value) == (
        f"{name}: a file that ends in {ending} is not read; "
        "save the picture as .png or .jpg, a drawing as .svg"
    )


WHOLE = png(page())


@settings(max_examples=30, deadline=None)
@given(st.integers(0, len(WHOLE)), st.integers(0, 9), st.binary(max_size=9))
def test_a_broken_file_is_one_line(start: int, length: int, put: bytes) -> None:
    with suppress(TableworkError):  # whose message is one line by its nature
        read_scan(WHOLE[:start] + put + WHOLE[start + length :], "my.png")


def test_no_more_dots_are_worked_on(monkeypatch: pytest.MonkeyPatch) -> None:
    large = png(page().resize((3000, 2000)))
    assert max(scan._levels(large).shape) == scan.SIDE


def _main() -> None:
    found = [overlap_of(number) for number in range(SCANS)]
    sys.stdout.write(f"{SCANS} scans, overlap {min(found):.4f} to {max(found):.4f}\n")


if __name__ == "__main__":
    _main()
