"""Files: the suffix decides, nothing is overwritten unasked, and all is written or nothing."""

from __future__ import annotations

import errno
import io
import os
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

import pikepdf
import PIL.Image
import pytest

from shapes.errors import FileError, GlyphError, InputError
from sheets.page.model import Page, Role, Text
from sheets.write.files import numbered, write_document, write_files
from tests.rendered_pages import measure_bar, page_of

BAD_PAGE = page_of(Text(20, 20, "🐸", 12, Role.FURNITURE))


def write(pages: Any, path: FilePath, **options: Any) -> tuple[FilePath, ...]:
    return write_document(pages, path, title="Reedy Pond", language="en-US", **options)


def names_in(folder: FilePath) -> list[str]:
    return sorted(item.name for item in folder.iterdir())


def pages(count: int) -> list[Page]:
    return [page_of(measure_bar(), label=str(i)) for i in range(count)]


# --- formats --------------------------------------------------------------------------------


def test_a_pdf_holds_all_pages(tmp_path: FilePath) -> None:
    written = write(pages(3), tmp_path / "pond.pdf", outline=[(0, "Key", 2)], subject="cutting")

    assert written == (tmp_path / "pond.pdf",)
    assert names_in(tmp_path) == ["pond.pdf"]
    with pikepdf.open(written[0]) as pdf:
        assert len(pdf.pages) == 3
        assert str(pdf.docinfo["/Title"]) == "Reedy Pond"
        assert str(pdf.docinfo["/Subject"]) == "cutting"
        assert str(pdf.Root.Lang) == "en-US"


def test_a_compact_pdf_is_smaller(tmp_path: FilePath) -> None:
    (plain,) = write(pages(30), tmp_path / "plain.pdf")
    (compact,) = write(pages(30), tmp_path / "compact.pdf", compact=True)

    assert compact.stat().st_size < plain.stat().st_size


@pytest.mark.parametrize(("suffix", "start"), [(".svg", b"<?xml"), (".png", b"\x89PNG")])
def test_one_page_of_svg_or_png_keeps_its_name(
    suffix: str, start: bytes, tmp_path: FilePath
) -> None:
    written = write(pages(1), tmp_path / f"pond{suffix}", dpi=30)

    assert written == (tmp_path / f"pond{suffix}",)
    assert written[0].read_bytes().startswith(start)


@pytest.mark.parametrize("suffix", [".svg", ".png"])
def test_several_pages_of_svg_or_png_are_numbered(suffix: str, tmp_path: FilePath) -> None:
    written = write(pages(3), tmp_path / f"pond{suffix}", dpi=20)

    assert [path.name for path in written] == [f"pond-{i}{suffix}" for i in (1, 2, 3)]
    assert names_in(tmp_path) == [path.name for path in written]


def test_numbers_are_as_long_as_the_last_so_that_they_sort(tmp_path: FilePath) -> None:
    found = [path.name for path in numbered(tmp_path / "a.b.svg", 12)]

    assert (found[0], found[9], found[11]) == ("a.b-01.svg", "a.b-10.svg", "a.b-12.svg")
    assert found == sorted(found)
    assert numbered(tmp_path / "a.svg", 1) == [tmp_path / "a.svg"]


def test_the_suffix_may_be_in_capitals(tmp_path: FilePath) -> None:
    (written,) = write(pages(1), tmp_path / "POND.PDF")

    assert written.read_bytes().startswith(b"%PDF-1.7")


def test_png_has_150_dots_to_the_inch_unless_told(tmp_path: FilePath) -> None:
    (usual,) = write(pages(1), tmp_path / "usual.png")
    (small,) = write(pages(1), tmp_path / "small.png", dpi=30)

    sizes = [PIL.Image.open(io.BytesIO(file.read_bytes())).size for file in (usual, small)]
    assert sizes == [(1275, 1650), (255, 330)]


def test_a_file_has_the_permissions_of_any_new_file(tmp_path: FilePath) -> None:
    (tmp_path / "other").write_bytes(b"")

    (written,) = write(pages(1), tmp_path / "pond.pdf")

    assert written.stat().st_mode == (tmp_path / "other").stat().st_mode


# --- refusals -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "what"),
    [("pond.docx", "cannot write a file ending in '.docx'"), ("pond", "no file ending")],
)
def test_an_unknown_ending_is_refused(name: str, what: str, tmp_path: FilePath) -> None:
    with pytest.raises(InputError) as caught:
        write(pages(1), tmp_path / name)

    assert str(caught.value) == f"{tmp_path / name}: {what}; end the name in .pdf, .svg or .png"
    assert names_in(tmp_path) == []


def test_a_missing_folder_is_refused(tmp_path: FilePath) -> None:
    path = tmp_path / "no" / "such" / "pond.pdf"

    with pytest.raises(FileError) as caught:
        write(pages(1), path)

    assert str(caught.value) == (
        f"{path}: there is no folder '{tmp_path / 'no'}'; make the folder first or name another"
    )
    assert names_in(tmp_path) == []


def test_a_folder_is_made_where_the_one_above_is_there(tmp_path: FilePath) -> None:
    path = tmp_path / "new" / "pond.svg"

    assert write(pages(2), path) == (path.with_name("pond-1.svg"), path.with_name("pond-2.svg"))
    assert names_in(path.parent) == ["pond-1.svg", "pond-2.svg"]


def test_a_folder_made_for_nothing_goes_again(tmp_path: FilePath) -> None:
    def fails() -> bytes:
        raise RuntimeError

    with pytest.raises(RuntimeError):
        write_files([(tmp_path / "new" / "a", lambda: b"1"), (tmp_path / "new" / "b", fails)])

    assert names_in(tmp_path) == []


def test_a_private_file_stays_private(tmp_path: FilePath) -> None:
    path = tmp_path / "class.csv"
    path.write_bytes(b"old")
    path.chmod(0o600)

    write_files([(path, lambda: b"new")], force=True)

    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"new", 0o600)


def test_a_folder_that_is_a_file_is_refused(tmp_path: FilePath) -> None:
    (tmp_path / "file").write_bytes(b"")
    path = tmp_path / "file" / "pond.pdf"

    with pytest.raises(FileError) as caught:
        write(pages(1), path)

    assert str(caught.value) == (f"{path}: '{path.parent}' is a file, not a folder; name another")


def test_a_folder_that_cannot_be_written_to_is_refused(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The superuser may write anywhere, so the system's answer is put in its mouth.
    monkeypatch.setattr(os, "access", lambda *_: False)
    path = tmp_path / "pond.pdf"

    with pytest.raises(FileError) as caught:
        write(pages(1), path)

    assert str(caught.value) == (
        f"{path}: the folder '{tmp_path}' cannot be written to; name another"
    )


def test_a_target_that_is_a_folder_is_refused(tmp_path: FilePath) -> None:
    path = tmp_path / "pond.pdf"
    path.mkdir()

    with pytest.raises(FileError) as caught:
        write(pages(1), path, force=True)

    assert str(caught.value) == f"{path}: this is a folder; add a file name"


def test_an_existing_file_is_kept_unless_forced(tmp_path: FilePath) -> None:
    path = tmp_path / "pond.pdf"
    path.write_bytes(b"mine")

    with pytest.raises(FileError) as caught:
        write(pages(1), path)

    assert str(caught.value) == f"{path}: the file exists already; name another or give `force`"
    assert path.read_bytes() == b"mine"

    write(pages(1), path, force=True)

    assert path.read_bytes().startswith(b"%PDF")
    assert names_in(tmp_path) == ["pond.pdf"]


def test_one_existing_file_of_several_stops_them_all(tmp_path: FilePath) -> None:
    (tmp_path / "pond-2.svg").write_bytes(b"mine")

    with pytest.raises(FileError, match=r"pond-2\.svg: the file exists already"):
        write(pages(3), tmp_path / "pond.svg")

    assert names_in(tmp_path) == ["pond-2.svg"]
    assert len(write(pages(3), tmp_path / "pond.svg", force=True)) == 3


def test_an_unnumbered_file_is_not_in_the_way_of_numbered_ones(tmp_path: FilePath) -> None:
    (tmp_path / "pond.svg").write_bytes(b"mine")

    assert len(write(pages(2), tmp_path / "pond.svg")) == 2
    assert (tmp_path / "pond.svg").read_bytes() == b"mine"


@pytest.mark.parametrize("name", ["pond.pdf", "pond.svg", "pond.png"])
def test_no_pages_are_refused(name: str, tmp_path: FilePath) -> None:
    with pytest.raises(InputError) as caught:
        write(iter(()), tmp_path / name)

    assert str(caught.value) == f"{tmp_path / name}: there are no pages to write"
    assert names_in(tmp_path) == []


# --- whole or not at all --------------------------------------------------------------------


@pytest.mark.parametrize("name", ["pond.pdf", "pond.svg", "pond.png"])
def test_a_page_that_cannot_be_drawn_leaves_nothing(name: str, tmp_path: FilePath) -> None:
    with pytest.raises(GlyphError):
        write([page_of(measure_bar()), BAD_PAGE], tmp_path / name, dpi=20)

    assert names_in(tmp_path) == []


def test_a_page_that_cannot_be_drawn_keeps_the_old_file(tmp_path: FilePath) -> None:
    (tmp_path / "pond.pdf").write_bytes(b"mine")

    with pytest.raises(GlyphError):
        write([BAD_PAGE], tmp_path / "pond.pdf", force=True)

    assert names_in(tmp_path) == ["pond.pdf"]
    assert (tmp_path / "pond.pdf").read_bytes() == b"mine"


def test_a_full_disk_leaves_nothing(tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(FileError) as caught:
        write(pages(1), tmp_path / "pond.pdf")

    assert str(caught.value) == (
        f"{tmp_path / 'pond.pdf'}: cannot be written: No space left on device;"
        " close it in other programs, make room, or name another"
    )
    assert names_in(tmp_path) == []


def test_a_refused_rename_takes_the_new_files_back(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.replace

    def refuse(source: FilePath, target: FilePath) -> None:
        if target.name == "b.txt":
            raise PermissionError(errno.EACCES, "Permission denied")
        real(source, target)

    monkeypatch.setattr(os, "replace", refuse)
    contents = [(tmp_path / f"{name}.txt", name.encode) for name in "abc"]

    with pytest.raises(FileError, match=r"b\.txt: cannot be written: Permission denied"):
        write_files(contents)

    assert names_in(tmp_path) == []


def test_a_key_press_leaves_nothing(tmp_path: FilePath) -> None:
    def interrupted() -> Iterator[Page]:
        yield page_of(measure_bar())
        raise KeyboardInterrupt

    def stop() -> bytes:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write(interrupted(), tmp_path / "pond.pdf")
    with pytest.raises(KeyboardInterrupt):
        write_files([(tmp_path / "a.txt", b"a".strip), (tmp_path / "b.txt", stop)])

    assert names_in(tmp_path) == []


def test_two_files_of_one_name_are_refused(tmp_path: FilePath) -> None:
    with pytest.raises(ValueError, match="two files of one name"):
        write_files([(tmp_path / "a.txt", b"a".strip), (tmp_path / "a.txt", b"b".strip)])

    assert names_in(tmp_path) == []


def test_nothing_has_its_name_before_all_are_on_disk(tmp_path: FilePath) -> None:
    seen = []

    def second() -> bytes:
        seen.extend(names_in(tmp_path))
        return b"b"

    write_files([(tmp_path / "a.txt", b"a".strip), (tmp_path / "b.txt", second)])

    assert len(seen) == 1
    assert seen[0].startswith(".a.txt.")
    assert names_in(tmp_path) == ["a.txt", "b.txt"]


def test_what_a_crash_left_behind_is_not_touched(tmp_path: FilePath) -> None:
    left = tmp_path / f".pond.pdf.{os.getpid()}-0.part"
    left.write_bytes(b"left")

    write(pages(1), tmp_path / "pond.pdf")

    assert names_in(tmp_path) == [left.name, "pond.pdf"]
    assert left.read_bytes() == b"left"
