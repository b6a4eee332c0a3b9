"""Languages by tag and by name, and what there is in each."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from shapes.errors import InputError
from sheets import desk
from sheets.cli.main import main
from sheets.files import class_list as classlist
from sheets.kinds.options import Options
from sheets.theme.languages import NAMES, english, language_tag, own, primary, tag_problem

ISO = {
    "ar": "Arabic", "bn": "Bengali", "cs": "Czech", "de": "German", "el": "Greek", "es": "Spanish",
    "fa": "Persian", "fi": "Finnish", "fr": "French", "he": "Hebrew", "hi": "Hindi",
    "hu": "Hungarian", "it": "Italian", "ja": "Japanese", "ko": "Korean", "nl": "Dutch",
    "pl": "Polish", "pt": "Portuguese", "ro": "Romanian", "ru": "Russian", "so": "Somali",
    "sv": "Swedish", "sw": "Swahili", "ta": "Tamil", "th": "Thai", "tr": "Turkish",
    "uk": "Ukrainian", "ur": "Urdu", "vi": "Vietnamese", "zh": "Chinese",
}  # fmt: skip
"""Codes and English names of ISO 639-1 (from memory)."""
RENAMED = {"bn": "Bangla"}
"""What the CLDR calls otherwise; both names are taken."""


@pytest.mark.parametrize("code", ISO)
def test_codes_are_those_of_the_standard(code: str) -> None:
    assert english(code) == RENAMED.get(code, ISO[code])
    assert language_tag(ISO[code]) == code
    assert language_tag(code.upper()) == code


def test_every_language_is_found_by_its_own_name_too() -> None:
    names = json.loads(NAMES.read_text("utf-8"))["names"]
    for tag in ISO:
        assert language_tag(names[tag][-1]) == tag


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("Deutsch", "de"),
        ("  ESPAÑOL ", "es"),
        ("العربية", "ar"),
        ("中文", "zh"),
        ("Farsi", "fa"),
        ("pt_br", "pt-BR"),
        ("ZH-hans", "zh-Hans"),
        ("Simplified Chinese", "zh-Hans"),
        ("es-419", "es-419"),
        ("haw", "haw"),
    ],
)
def test_ways_to_write_a_language(text: str, tag: str) -> None:
    assert language_tag(text) == tag


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Deutch", '"Deutch" is not a language that is known; did you mean de (German)?'),
        (
            "xx",
            '"xx" is not a language that is known; write a tag or a name, such as es or Spanish; '
            "tablework languages has the list",
        ),
        (
            "\udcff\udcfe",  # bytes of the command line that are no text
            '"??" is not a language that is known; write a tag or a name, such as es or Spanish; '
            "tablework languages has the list",
        ),
    ],
)
def test_what_is_no_language_is_told(text: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        language_tag(text)

    assert str(caught.value) == message


def test_a_theme_file_has_tags_only() -> None:
    assert tag_problem("es-MX") == tag_problem("haw") == ""
    assert tag_problem("Deutsch") == '"Deutsch" is not a language tag; did you mean de?'
    assert tag_problem("pt_BR") == '"pt_BR" is not a language tag; did you mean pt-BR?'


def test_parts_of_tags() -> None:
    assert [primary(tag) for tag in ("es-MX", "ZH_Hant", "en")] == ["es", "zh", "en"]
    assert (english("es-MX"), english("de-DE"), english("qq")) == (
        "Mexican Spanish",
        "German",
        "qq",
    )
    assert (own("tr"), own("es-MX"), own("qq"), own("aa")) == ("Türkçe", "español", "", "")


# --- class lists and options ----------------------------------------------------------------------


def test_a_class_list_takes_names_of_languages() -> None:
    text = "name,Home Language,Letters language\nPip,Deutsch,\nBo,pt-br,Spanish\n"
    first, second = classlist.parse(text.encode(), "class.csv").children

    assert (first.language, first.letters_language) == ("de", "")
    assert (second.language, second.letters_language) == ("pt-BR", "es")


def test_a_class_list_refuses_what_is_none_with_its_place() -> None:
    with pytest.raises(classlist.ClassListError) as caught:
        classlist.parse(b"name,language,letters language\nPip,xx,Spannish\n", "class.csv")

    assert caught.value.problems == (
        'class.csv line 2, column 2 "language": "xx" is not a language that is known; write a tag '
        "or a name, such as es or Spanish; tablework languages has the list",
        'class.csv line 2, column 3 "letters language": "Spannish" is not a language that is '
        "known; did you mean es (Spanish)?",
    )


def test_a_double_name_with_a_dotted_capital_has_a_plain_tag() -> None:
    """Its small form is an i and a dot of its own (Unicode, SpecialCasing)."""
    assert "İ".lower() == "i\u0307"
    listed = classlist.parse("name\nMarta-İnci\nAİşe\nİnci\n".encode(), "class.csv")

    assert [child.tag[0] for child in listed.children] == ["M", "A", "İ"]
    assert all(child.tag[1:].isdecimal() for child in listed.children)


def test_options_take_a_name_and_refuse_the_rest() -> None:
    assert desk.checked(Options(language="Deutsch")).language == "de"
    with pytest.raises(InputError) as caught:
        desk.checked(Options(language="Deutch"))

    assert str(caught.value) == (
        '`language`: "Deutch" is not a language that is known; did you mean de (German)?'
    )


# --- the list -------------------------------------------------------------------------------------


def test_what_there_is_in_a_language() -> None:
    found = {row.tag: row for row in desk.languages()}

    assert {"ar", "de", "en", "es", "fr", "it", "ja", "ko", "pl", "pt", "ru", "tr", "zh"} <= set(
        found
    )
    english_row, polish, arabic = found["en"], found["pl"], found["ar"]
    assert (english_row.pictures, english_row.pages, english_row.note) == ("checked",) * 3
    assert (polish.pictures, polish.pages, polish.note) == ("", "", "draft")
    assert (arabic.pictures, arabic.pages, arabic.note) == ("draft", "", "")
    assert (arabic.name, arabic.own) == ("Arabic", "العربية")
    assert [row.tag for row in found.values() if not row.letters] == ["ar", "zh", "ja", "ko", "fa"]


def test_the_command_lists_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["languages"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == [
        "tag", "language", "pictures", "pages", "family", "note", "letters", "own", "name",
    ]  # fmt: skip
    assert lines[3].split() == ["en", "English", "checked", "checked", "checked", "yes", "English"]
    assert lines[1].split() == ["ar", "Arabic", "draft", "-", "-", "-", "العربية"]
    assert len(lines) == len(desk.languages()) + 2

    assert main(["languages", "--json"]) == 0
    assert [row["tag"] for row in json.loads(capsys.readouterr().out)] == [
        row.tag for row in desk.languages()
    ]


def test_a_terminal_without_the_letters_still_gets_the_list() -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from sheets.cli.main import entry_point; entry_point()",
            "languages",
        ],
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.splitlines()[1].startswith("ar   Arabic ")
