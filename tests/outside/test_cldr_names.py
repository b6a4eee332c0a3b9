"""Picture names in other languages against the annotations of the Unicode CLDR themselves.

The names come from the package ``emoji``, German and Persian ones from
``shapes/pictures/cldr_names.json``, as the package loses capitals and joiners. Here
those of every picture of the built-in themes, in every language there is, are held against the
"tts" annotations (short names) of CLDR 48.2, as the
npm package ``cldr-annotations-full`` 48.2.0 carries them: (c) Unicode, Inc., Unicode License v3,
in ``tests/data/cldr``. Whether a name is what a child would say is another matter; pages ask for a
speaker.

``python -m tests.outside.test_cldr_names FOLDER`` makes the extract anew from the package's folder.
"""

from __future__ import annotations

import json
import sys
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import pytest

from shapes.pictures.names import cldr_names, languages, name, plain_code
from shapes.pictures.picture import Picture
from sheets.files.theme_file import builtin
from sheets.theme.theme import Theme

EXTRACT = FilePath(__file__).parent.parent / "data" / "cldr" / "names.json"

LISTED: Mapping[tuple[str, str], tuple[str, str]] = {
    # Arabic, picture: ours, CLDR. The same letters, with or without a vowel or doubling mark; so in
    # every release looked at (43.1, 46.1, 47.0, 48.2; gloves in 48.2).
    ("ar", "1F9A2"): ("إوَزة", "إوزة"),  # swan
    ("ar", "1F9AB"): ("سمور", "سمّور"),  # beaver
    ("ar", "1F9E4"): ("قفازان", "قفّازان"),  # gloves
    ("ar", "1FA9C"): ("سلم", "سلّم"),  # ladder; this and the next two in 48.2
    ("ar", "1FABF"): ("إوزة", "إوزّة"),  # goose
    ("ar", "26A1"): ("جهد كهربي عال", "جهد كهربي عالٍ"),  # high voltage
    # The package has names in small letters throughout.
    ("fr", "1F455"): ("t-shirt", "T-shirt"),
    ("ja", "1F455"): ("tシャツ", "Tシャツ"),
    ("ja", "1F9F2"): ("u字型磁石", "U字型磁石"),
    # It has no commas, and no hyphens in Russian.
    ("ru", "1F50D"): ("лупа наклоненная влево", "лупа, наклоненная влево"),
    ("ru", "1FA80"): ("йо йо", "йо-йо"),
}


@cache
def extract() -> Mapping[str, Any]:
    content: Mapping[str, Any] = json.loads(EXTRACT.read_text(encoding="utf-8"))
    return content


def pictures_of(theme: Theme) -> Iterator[Picture]:
    """Every picture a theme may print, once or more."""
    yield from (word.picture for word in theme.words)
    yield from (step.picture for step in theme.steps)


def codes() -> list[str]:
    """Codes of all pictures of the built-in themes, sorted."""
    return sorted({plain_code(p.id) for theme in builtin() for p in pictures_of(theme)})


def differences(language: str) -> dict[tuple[str, str], tuple[str, str]]:
    """Names that differ: language and code, then ours and theirs."""
    ours, theirs = cldr_names(language), extract()["names"][language]
    return {
        (language, code): (ours[code], theirs[code])
        for code in codes()
        if ours[code] != theirs[code]
    }


def test_the_extract_has_every_picture_of_the_themes_in_every_language() -> None:
    assert len(codes()) >= 40
    assert set(extract()["names"]) == set(languages())
    assert {tuple(names) for names in extract()["names"].values()} == {tuple(codes())}
    assert extract()["version"] == "48.2.0"
    assert (EXTRACT.parent / "LICENSE").read_text(encoding="utf-8").startswith("UNICODE LICENSE V3")


@pytest.mark.parametrize("language", languages())
def test_names_are_those_of_cldr_but_for_the_listed_ones(language: str) -> None:
    expected = {key: pair for key, pair in LISTED.items() if key[0] == language}

    assert differences(language) == expected


@pytest.mark.parametrize("language", [tongue for tongue in languages() if tongue != "en"])
def test_the_name_that_is_printed_is_that_name_and_marked_unchecked(language: str) -> None:
    for code in codes():
        found = name(code, language)

        assert found is not None
        assert (found.text, found.checked) == (cldr_names(language)[code], False)


def test_the_listed_arabic_names_have_the_same_letters() -> None:
    for (language, _), pair in LISTED.items():
        if language == "ar":
            bare = {
                "".join(c for c in text if unicodedata.category(c) != "Mn")  # marks on letters
                for text in pair
            }
            assert len(bare) == 1


def make(folder: FilePath) -> str:
    """The extract as JSON, out of an unpacked ``cldr-annotations-full``."""
    version = json.loads((folder / "package.json").read_text(encoding="utf-8"))["version"]
    names: dict[str, dict[str, str]] = {}
    for language in languages():
        file = folder / "annotations" / language / "annotations.json"
        table = json.loads(file.read_text(encoding="utf-8"))["annotations"]["annotations"]
        short = {
            plain_code("-".join(f"{ord(c):04X}" for c in key)): entry["tts"][0]
            for key, entry in table.items()
            if "tts" in entry
        }
        names[language] = {code: short[code] for code in codes()}
    content = {
        "source": "Unicode CLDR, annotations, short names (tts), npm package cldr-annotations-full",
        "version": version,
        "licence": "Unicode-3.0; copyright (c) Unicode, Inc.; see LICENSE beside this file",
        "names": names,
    }
    return json.dumps(content, ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    EXTRACT.write_text(make(FilePath(sys.argv[1])), encoding="utf-8")
