"""Writes finished pages to files: whole or not at all, and never over an existing file unasked."""

from __future__ import annotations

import contextlib
import errno
import itertools
import os
import pathlib
import shutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, BinaryIO

from shapes.errors import FileError, InputError
from sheets.page.model import Page
from sheets.write.leftovers import left_over, unfinished

SUFFIXES = (".pdf", ".svg", ".png")
_SHOWN = 200  # letters of a name in a message


def write_document(
    pages: Iterable[Page],
    path: pathlib.Path,
    *,
    title: str,
    language: str,
    force: bool = False,
    dpi: int | None = None,
    **of_pdf: Any,
) -> tuple[pathlib.Path, ...]:
    """Write pages in the format that the file name asks for; return the files, in page order.

    A PDF holds all pages. SVG and PNG hold one page each: several pages become ``name-1.svg``,
    ``name-2.svg`` and so on, the numbers as long as the last one, so that they sort.

    Args:
        pages: at least one. For a PDF a generator is drawn page by page.
        path: file to write, ending in ``.pdf``, ``.svg`` or ``.png``; a missing
            folder is made if the one above is there.
        title, language: of the document; see the writers.
        force: replace existing files.
        dpi: PNG only; 150 if None.
        of_pdf: PDF only; see :func:`sheets.write.pdf.write_pdf`.

    Raises:
        InputError: unknown file ending, no pages, or PNG without the cairo library.
        FileError: the folder above is missing, the folder not writable, the file exists and
            ``force`` is off, or writing failed. No new or half-written file is left behind.
        GlyphError: a text has a character that the page font lacks; nothing is written.
    """
    files = document_files(
        pages, path, title=title, language=language, force=force, dpi=dpi, **of_pdf
    )
    return write_files(files, force=force)


Files = list[tuple[pathlib.Path, Callable[[], bytes]]]
"""Each file's path and what makes its content, called when its turn comes."""


def document_files(
    pages: Iterable[Page],
    path: pathlib.Path,
    *,
    title: str,
    language: str,
    force: bool = False,
    dpi: int | None = None,
    **of_pdf: Any,
) -> Files:
    """The files of one document for :func:`write_files`, which may take those of another along.

    Args, Raises: see :func:`write_document`; nothing is made or written yet.
    """
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise InputError(
            f"cannot write a file ending in '{path.suffix}'" if path.suffix else "no file ending",
            where=str(path),
            fix="end the name in .pdf, .svg or .png",
        )
    with told_plainly(path):
        _check_folder(path)
    if suffix == ".pdf":
        check_target(path, force=force)

        def document() -> bytes:
            from sheets.write.pdf import write_pdf

            listed = _at_least_one(pages, path)
            return write_pdf(listed, title=title, language=language, **of_pdf)

        return [(path, document)]
    listed = list(_at_least_one(pages, path))
    targets = numbered(path, len(listed))
    for target in targets:
        check_target(target, force=force)
    makers = [_page_maker(page, suffix, title, language, dpi) for page in listed]
    return list(zip(targets, makers, strict=True))


def numbered(path: pathlib.Path, count: int) -> list[pathlib.Path]:
    """The names of ``count`` files of one page each: the path itself for one page."""
    if count == 1:
        return [path]
    digits = len(str(count))
    return [path.with_name(f"{path.stem}-{i:0{digits}}{path.suffix}") for i in range(1, count + 1)]


def write_files(
    files: Sequence[tuple[pathlib.Path, Callable[[], bytes]]], *, force: bool = False
) -> tuple[pathlib.Path, ...]:
    """Write several files so that either all appear or none does; see :func:`write_document`.

    Every content is made and put on disk under a temporary name in the same folder first; only
    then are the files renamed to their own names, one after the other.

    Args:
        files: each file's path and what makes its content, called when its turn comes.
        force: replace existing files; otherwise they are refused before anything is made.

    Raises:
        FileError: a file exists, or cannot be written.
        ValueError: two of the files have one name.
    """
    if len({target for target, _make in files}) < len(files):
        raise ValueError("two files of one name")
    for target, _make in files:
        check_target(target, force=force)
    temporary: dict[pathlib.Path, pathlib.Path] = {}
    new: list[pathlib.Path] = []
    folders: list[pathlib.Path] = []
    try:
        for target, make in files:
            if not target.parent.exists():
                with told_plainly(target):
                    target.parent.mkdir()
                folders.append(target.parent)
            temporary[target] = _write_temporary(target, make())
        for target in list(temporary):
            existed = target.exists()
            with told_plainly(target):
                os.replace(temporary[target], target)
            del temporary[target]
            if not existed:
                new.append(target)
    except BaseException:
        # Also when the user presses Ctrl-C: nothing half done stays behind.
        for leftover in (*temporary.values(), *new):
            leftover.unlink(missing_ok=True)
        for folder in folders:
            with contextlib.suppress(OSError):  # somebody else has put a file there
                folder.rmdir()
        raise
    return tuple(target for target, _make in files)


def _page_maker(
    page: Page, suffix: str, title: str, language: str, dpi: int | None
) -> Callable[[], bytes]:
    def make() -> bytes:
        if suffix == ".svg":
            from sheets.write.svg import write_svg

            return write_svg(page, title=title, language=language)
        from sheets.write.png import DEFAULT_DPI, write_png

        return write_png(page, dpi=dpi or DEFAULT_DPI, title=title, language=language)

    return make


def _at_least_one(pages: Iterable[Page], path: pathlib.Path) -> Iterator[Page]:
    found = False
    for page in pages:
        found = True
        yield page
    if not found:
        raise InputError("there are no pages to write", where=str(path))


def _check_folder(path: pathlib.Path) -> None:
    """Whether a file can be put there; the folder itself may be missing, but not the one above."""
    folder = path.parent if path.parent.exists() else path.parent.parent
    if not folder.exists():
        raise FileError(
            f"there is no folder '{folder}'",
            where=str(path),
            fix="make the folder first or name another",
        )
    if not folder.is_dir():
        raise FileError(f"'{folder}' is a file, not a folder", where=str(path), fix="name another")
    if not os.access(folder, os.W_OK):
        raise FileError(
            f"the folder '{folder}' cannot be written to", where=str(path), fix="name another"
        )


def check_target(path: pathlib.Path, *, force: bool) -> None:
    """Whether a file may be written there; asked before long work.

    Raises:
        FileError: the folder or the name will not do, or the file exists and ``force`` is off.
    """
    with told_plainly(path):
        _check_folder(path)
        _check_name(path, force)


def _check_name(path: pathlib.Path, force: bool) -> None:
    if path.is_dir():
        raise FileError("this is a folder", where=str(path), fix="add a file name")
    if path.is_symlink() and not path.exists():
        raise FileError(
            "this is a link that leads nowhere", where=str(path), fix="remove it or name another"
        )
    if path.exists() and not path.is_file():
        raise FileError("this is a device, not a file", where=str(path), fix="name another")
    if path.exists() and not force:
        raise FileError(
            "the file exists already", where=str(path), fix="name another or give `force`"
        )


def _write_temporary(target: pathlib.Path, content: bytes) -> pathlib.Path:
    """Put the content on disk beside its target and return where."""
    with told_plainly(target):
        temporary, file = _open_new(target)
        try:
            with file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            if target.exists():
                shutil.copymode(target, temporary)  # a private file stays private
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
    return temporary


def _open_new(target: pathlib.Path) -> tuple[pathlib.Path, BinaryIO]:
    for left in left_over(target):
        with contextlib.suppress(OSError):
            left.unlink()
    for number in itertools.count():
        temporary = unfinished(target, number)
        try:
            # Plain open, not tempfile: the finished file gets the user's usual permissions.
            return temporary, open(temporary, "xb")
        except FileExistsError:
            continue  # left behind by a crash; not ours to delete
    raise AssertionError("counting does not end")


@contextlib.contextmanager
def told_plainly(path: pathlib.Path, what: str = "it") -> Iterator[None]:
    """Turn the system's refusal to write into one line about ``path``.

    Args:
        what: may be open in another program.
    """
    try:
        yield
    except FileError:
        raise
    except OSError as error:
        fix = f"close {what} in other programs, make room, or name another"
        if error.errno == errno.ENAMETOOLONG:
            fix = "give a shorter name"
        elif error.errno in (errno.EACCES, errno.EPERM):
            fix = "name another folder"
        name = str(path)
        raise FileError(
            f"cannot be written: {error.strerror or error}",
            where=name if len(name) <= _SHOWN else f"{name[:_SHOWN]}...",
            fix=fix,
        ) from error
