"""The text of a CSV file in whatever way a spreadsheet has saved it."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from sheets.files.rows import ClassListError
from sheets.theme.problems import quoted

LINE_END = re.compile(r"\r\n|\r|\n")
_SAVE_AS = "in the spreadsheet choose Save as, .xlsx or CSV UTF-8"
_OF_UTF16 = 0.3
"""Share of zero bytes: nearly half in UTF-16 of Latin letters, none in other text."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text and how it was stored.

    Args:
        encoding: for Python; with it and ``mark`` the text is stored again as it was.
        mark: the byte order mark at its beginning; may be empty.
        remark: what the teacher is told, to stand after the file's name; empty if it was UTF-8.
    """

    text: str
    encoding: str
    mark: bytes = b""
    remark: str = ""


def decode(content: bytes, where: str) -> Decoded:
    """The text of a file in UTF-8, UTF-16 or Windows-1252 (of which ISO-8859-1 is a part).

    Raises:
        ClassListError: it is in none of them.
    """
    if content.startswith(codecs.BOM_UTF8):
        return _utf(content, "utf-8", codecs.BOM_UTF8, where)
    for mark, encoding in ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be")):
        if content.startswith(mark):
            return _utf(content, encoding, mark, where)
    if b"\0" in content:
        start = content[:1000]
        for high, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
            zeros, others = start[high::2].count(0), start[1 - high :: 2].count(0)
            if zeros > _OF_UTF16 * len(start) and not others:
                return _utf(content, encoding, b"", where)
        line = content[: content.index(b"\0")].count(b"\n") + 1
        raise ClassListError(
            f"{where} line {line}: holds a zero byte, so it is no text; {_SAVE_AS}"
        )
    try:
        return Decoded(content.decode("utf-8"), "utf-8")
    except UnicodeDecodeError as error:
        return _windows(content, error.start, where)


def _utf(content: bytes, encoding: str, mark: bytes, where: str) -> Decoded:
    try:
        text = content[len(mark) :].decode(encoding)
    except UnicodeDecodeError as error:
        before = content[len(mark) : len(mark) + error.start].decode(encoding, "replace")
        line = len(LINE_END.split(before))
        raise ClassListError(
            f"{where} line {line}: bytes that are not in the encoding of the rest; {_SAVE_AS}"
        ) from None
    remark = "" if encoding == "utf-8" else ": read as UTF-16"
    return Decoded(text, encoding, mark, remark)


def _windows(content: bytes, first: int, where: str) -> Decoded:
    """Windows-1252, with a cell that shows how it was read.

    Args:
        first: place of the first byte that is not UTF-8.
    """
    line = len(LINE_END.split(content[:first].decode("latin-1")))
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        raise ClassListError(
            f"{where} line {line}: neither UTF-8 nor Windows-1252; {_SAVE_AS}"
        ) from None
    before = re.split(r"[\r\n\t,;]", text[:first])[-1]
    after = re.split(r"[\r\n\t,;]", text[first:])[0]
    cell = (before + after).strip().strip('"')
    return Decoded(
        text,
        "cp1252",
        remark=f" line {line}: read as Windows-1252, so this cell reads {quoted(cell)}; if that is "
        f"wrong, {_SAVE_AS}",
    )
