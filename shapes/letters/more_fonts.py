"""Fonts for characters that the page font lacks, found by character.

They come with ``pip install "tablework[scripts]"``, or are font files of the teacher's own, which
the environment variable :data:`OWN_FONTS` names. No library is imported before a text asks for it.
"""

from __future__ import annotations

import os
import pathlib
from functools import cache
from importlib.util import find_spec
from typing import Any

from shapes.affine import Affine
from shapes.errors import FileError
from shapes.letters.page_font import FONT_FILE, FONT_NAME, contours, units_per_em
from shapes.path import Path

OWN_FONTS = "TABLEWORK_FONTS"
"""Environment variable: font files or folders of them, divided as in ``PATH``; looked in first."""
LIBRARIES = ("uharfbuzz", "bidi")
"""What shapes letters and finds their order."""
PACKAGES = ("manimgx_fonts", "noto_cjk_sans_otc")
"""Packages whose folders hold Noto Sans fonts (SIL Open Font License 1.1)."""
GET_THEM = 'pip install "tablework[scripts]"'
_ENDINGS = (".ttf", ".otf", ".ttc")
_LEFT_OUT = ("Italic", "Emoji", "Symbols")
_UPRIGHT = 400.0
"""Weight of a font that has several."""


class Face:
    """One font file.

    Args:
        file: TrueType or OpenType; of a collection its first font.
        name: letters and digits, different for every face.
    """

    def __init__(self, file: pathlib.Path, name: str) -> None:
        import uharfbuzz

        self.name = name
        face = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(file)))
        self.hb = uharfbuzz.Font(face)
        """What the shaping library takes."""
        if face.has_var_data:
            self.hb.set_variations({"wght": _UPRIGHT})
        self.scale = units_per_em() / face.upem
        """From its own units to those of the page font."""
        self._outlines: dict[int, tuple[Path, ...]] = {}

    def has(self, char: str) -> bool:
        """Whether the font has a character."""
        return bool(self.hb.get_nominal_glyph(ord(char)))

    def outline(self, glyph: int) -> tuple[Path, ...]:
        """Closed paths in units of the page font, for the nonzero rule."""
        if glyph not in self._outlines:
            drawn = contours(lambda pen: self.hb.draw_glyph_with_pen(glyph, pen))
            larger = Affine.scaling(self.scale)
            self._outlines[glyph] = tuple(path.transformed(larger) for path in drawn)
        return self._outlines[glyph]


@cache
def installed() -> bool:
    """Whether the libraries that shape letters are there."""
    return all(find_spec(name) is not None for name in LIBRARIES)


@cache
def packaged() -> tuple[pathlib.Path, ...]:
    """The folders of the font packages that are there."""
    specs: list[Any] = [find_spec(name) for name in PACKAGES]
    return tuple(pathlib.Path(spec.origin).parent for spec in specs if spec is not None)


@cache
def faces() -> tuple[Face, ...]:
    """All fonts in the order in which they are asked: the page font, own ones, the packages'.

    Raises:
        FileError: :data:`OWN_FONTS` names a file that is not there or is no font.
    """
    files = [(FONT_FILE, FONT_NAME)]
    found = [*_own_files(), *_packaged_files()]
    files += [(file, f"{_plain(file.stem)}{n}") for n, file in enumerate(found)]
    return tuple(_face(file, name) for file, name in files)


@cache
def face_for(chars: str) -> Face | None:
    """The first font that has all of these characters."""
    return next((face for face in faces() if all(map(face.has, chars))), None)


def _face(file: pathlib.Path, name: str) -> Face:
    face = Face(file, name)
    if not face.hb.face.glyph_count:
        raise FileError("this is not a font", where=f"{OWN_FONTS} {file}", fix="name a .ttf file")
    return face


def _own_files() -> list[pathlib.Path]:
    files: list[pathlib.Path] = []
    for part in os.environ.get(OWN_FONTS, "").split(os.pathsep):
        path = pathlib.Path(part)
        if not part:
            continue
        if not path.exists():
            raise FileError("no such file", where=f"{OWN_FONTS} {part}", fix="name a font file")
        files += _fonts_in(path) if path.is_dir() else [path]
    return files


def _packaged_files() -> list[pathlib.Path]:
    files = [file for folder in packaged() for file in _fonts_in(folder)]
    return [file for file in files if not any(word in file.name for word in _LEFT_OUT)]


def _fonts_in(folder: pathlib.Path) -> list[pathlib.Path]:
    return sorted(file for file in folder.iterdir() if file.suffix.lower() in _ENDINGS)


def _plain(text: str) -> str:
    return "".join(char for char in text if char.isascii() and char.isalnum())
