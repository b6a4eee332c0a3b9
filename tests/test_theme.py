"""Themes: the three that come with the tool, and all problems of a file with their places."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FileError, InputError, PictureError, TableworkError
from shapes.path import BBox
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import find
from sheets.files import theme_file as theme
from sheets.files.theme_file import parse
from sheets.kinds.letter_match.section import letters_of
from sheets.kinds.pattern.section import PATTERNS, Cell, PatternUnit
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sort_mat import SORTS
from sheets.kinds.trace_match.section import things_of
from sheets.theme.theme import Theme, ThemeError
from tests.parser_runs import parser_test

HERE = Path(__file__).parent

SMALL = """\
title = "Pond"
[[words]]
text = "duck"
picture = "1F986"
[[words]]
text = "frog"
picture = "1F438"
[[words]]
text = "leaf"
picture = "1F343"
"""


def fake_picture(spec: str, _base: Path) -> Picture:
    """Any word is a picture, but for those that begin with ``no``."""
    if spec.startswith("no"):
        raise PictureError(f"no picture called '{spec}'", fix="nearest: duck")
    return Picture(spec, spec, (), (), BBox(0, 0, 1, 1), "", "made up")


def read(text: str | bytes) -> Theme:
    content = text.encode() if isinstance(text, str) else text
    return parse(content, "pond.toml", HERE, fake_picture)


def problems(text: str | bytes) -> tuple[str, ...]:
    with pytest.raises(ThemeError) as caught:
        read(text)
    return caught.value.problems


# --- the themes that come with the tool -----------------------------------------------------------

WORDS = {
    "reedy-pond": {
        "duck": "1F986 D", "frog": "1F438 F", "fish": "1F41F F", "turtle": "1F422 T",
        "snail": "1F40C S", "swan": "1F9A2 S", "beaver": "1F9AB B", "otter": "1F9A6 O",
        "lotus": "1FAB7 L", "leaf": "1F343 L", "rock": "1FAA8 R", "rain": "1F327-FE0F R",
    },
    "tide-side-harbour": {
        "boat": "26F5 B", "box": "1F4E6 B", "crab": "1F980 C", "compass": "1F9ED C",
        "fishing rod": "1F3A3 F", "fish": "1F41F F", "seal": "1F9AD S", "sun": "2600-FE0F S",
        "wave": "1F30A W", "wind": "1F32C-FE0F W", "anchor": "2693 A", "truck": "1F69B T",
    },
    "bean-row-garden": {
        "carrot": "1F955 C", "peas": "1FADB P", "cucumber": "1F952 C", "tomato": "1F345 T",
        "watermelon": "1F349 W", "pepper": "1FAD1 P", "bean": "1FAD8 B", "broccoli": "1F966 B",
        "leaf": "1F343 L", "onion": "1F9C5 O", "worm": "1FAB1 W", "water": "1F4A7 W",
    },
}  # fmt: skip

ORDERS = {
    "reedy-pond": [
        "tap 1F6B0, soap 1F9FC, bubbles 1FAE7, rinse 1F4A7, paper towel 1F9FB, clean hands 1F450",
        "sun 2600, first cloud 26C5, cloud 2601, rain 1F327, sun and rain 1F326, rainbow 1F308",
    ],
    "tide-side-harbour": [
        "shirt 1F455, coat 1F9E5, mittens 1F9E4, door 1F6AA, bus 1F68D, boat 26F5",
        "box 1F4E6, truck 1F69B, ship 1F6F3, anchor 2693, house 1F3E0",
    ],
    "bean-row-garden": [
        "dig 1FA8F, bean 1FAD8, water 1F4A7, sprout 1F331, plant 1F33F, flower 1F33C",
        "carrot 1F955, tap 1F6B0, salad 1F957, empty bowl 1F963, sponge 1F9FD",
    ],
}

UNITS = {
    "reedy-pond": ["AB", "ABB", "AABB", "ABC", "AB", "AB"],
    "tide-side-harbour": ["AB", "AAB", "ABC", "AB", "AB", "ABB"],
    "bean-row-garden": ["AB", "ABB", "ABC", "AB", "ABC"],
}

OBJECTS = {
    "reedy-pond": ["can211", "can307", "ID1", "A7"],
    "tide-side-harbour": ["can300", "lidW", "ID1", "idx"],
    "bean-row-garden": ["can303", "can401", "ID1", "A7"],
}

LETTERS = {
    "reedy-pond": ("TSOFLDBR", "TSO"),
    "tide-side-harbour": ("STABCFW", "STA"),
    "bean-row-garden": ("TLOCPBW", "TLO"),
}

BUILTIN = ["bean-row-garden", "reedy-pond", "tide-side-harbour"]


def code(picture: Picture) -> str:
    return picture.id.replace("-FE0F", "")


def test_builtin_themes_are_these_three_and_more() -> None:
    assert [found.slug for found in theme.builtin()] == list(theme.builtin_names())
    assert set(theme.builtin_names()) > set(BUILTIN)


@pytest.mark.parametrize("name", BUILTIN)
def test_builtin_words_pictures_and_letters(name: str) -> None:
    found = theme.load(name)

    given = {word.text: f"{code(word.picture)} {word.letter}" for word in found.words}
    assert given == {word: text.replace("-FE0F", "") for word, text in WORDS[name].items()}


@pytest.mark.parametrize("name", BUILTIN)
def test_builtin_sequence_patterns_objects_letters_and_plan(name: str) -> None:
    found = theme.load(name)

    rows = found.rows(SEQUENCES)
    assert [
        ", ".join(f"{step.word} {code(step.picture)}" for step in row.steps) for row in rows
    ] == ORDERS[name]
    # Every length has a version of its own, so that none is thinned by rule into nonsense.
    for row in rows:
        lengths = sorted(len(version) for version in (*row.short, row.steps))
        assert lengths == list(range(2, len(row.steps) + 1))
    assert [unit.form for unit in found.rows(PATTERNS)] == UNITS[name]
    assert [thing.id for thing in things_of(found)] == OBJECTS[name]
    assert ("".join(letters_of(found).set), "".join(letters_of(found).easy)) == LETTERS[name]
    assert [day.day for day in found.plan] == [
        "monday", "tuesday", "wednesday", "thursday", "friday",
    ]  # fmt: skip
    assert {kind for day in found.plan for kind in day.kinds} == {
        "cutting", "trace-match", "letter-match", "sequence", "pattern", "sort-mat",
    }  # fmt: skip


@pytest.mark.parametrize("name", BUILTIN)
def test_builtin_themes_have_no_warnings_and_a_spanish_name_each(name: str) -> None:
    found = theme.load(name)

    assert found.warnings == ()
    assert all(found.shown_name(word.text, "es") for word in found.words)
    names = [found.shown_name(word.text, "es") for word in found.words]
    assert all(shown is not None and not shown.checked for shown in names)


def test_sort_of_the_pond() -> None:
    sort = theme.load("reedy-pond").rows(SORTS)[0]

    assert [(name, [step.word for step in steps]) for name, steps in sort.bins.items()] == [
        ("animal", ["duck", "frog", "fish", "turtle", "snail", "swan", "beaver", "otter"]),
        ("plant", ["lotus", "leaf", "sprout", "herb"]),
    ]
    assert [step.word for step in sort.neither] == ["rock", "rain"]


def test_the_routine_comes_first_and_its_shorter_forms_make_sense() -> None:
    titles = {name: [row.title for row in theme.load(name).rows(SEQUENCES)] for name in BUILTIN}
    assert titles == {
        "bean-row-garden": ["Planting a bean", "From garden to bowl"],
        "reedy-pond": ["Washing hands", "Rain over the pond"],
        "tide-side-harbour": ["Putting on a coat", "A box crosses the sea"],
    }
    first = theme.load("reedy-pond").rows(SEQUENCES)[0]
    assert [[step.word for step in short] for short in first.short] == [
        ["soap", "clean hands"],
        ["soap", "rinse", "clean hands"],
        ["tap", "soap", "rinse", "clean hands"],
        ["tap", "soap", "bubbles", "rinse", "clean hands"],
    ]


def test_spanish_names_of_the_pond() -> None:
    found = theme.load("reedy-pond")
    names = [found.shown_name(word.text, "es") for word in found.words]

    assert [shown.text for shown in names if shown is not None] == [
        "pato", "rana", "pez", "tortuga", "caracol", "cisne", "castor", "nutria", "loto", "hoja",
        "roca", "lluvia",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "name", ["reedy-pond", "Reedy Pond", "REEDY pond", " reedy_pond ", "Reedy-Pond"]
)
def test_theme_is_found_by_short_name_or_title(name: str) -> None:
    assert theme.load(name).title == "Reedy Pond"


def test_a_file_of_ones_own_is_named_where_its_ending_was_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "night-sky.toml").write_text(SMALL)
    for name in ("night-sky", "Night Sky"):
        with pytest.raises(InputError) as caught:
            theme.load(name)
        assert str(caught.value) == (
            f"no theme called {name!r}; did you mean night-sky.toml? or name a .toml file"
        )


def test_unknown_theme_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        theme.load("reedy pnd")

    assert str(caught.value) == (
        "no theme called 'reedy pnd'; did you mean reedy-pond? or name a .toml file"
    )


def test_theme_like_none_says_how_many_there_are() -> None:
    with pytest.raises(InputError, match=r"'0'; choose one of the 27 or name a \.toml file"):
        theme.load("0")


def test_file_is_loaded_with_or_without_its_ending(tmp_path: Path) -> None:
    for name in ("mine.toml", "mine"):
        path = tmp_path / name
        path.write_text(SMALL, encoding="utf-8")

        assert theme.load(path).title == "Pond"
        assert theme.load(str(path)).slug == "mine"


def test_drawing_of_ones_own_is_found_beside_the_file(tmp_path: Path) -> None:
    (tmp_path / "drawings").mkdir()
    (tmp_path / "drawings" / "my-reed.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">'
        '<path d="M1 1h7v7h-7z" stroke="#000" fill="none"/></svg>'
    )
    path = tmp_path / "mine.toml"
    path.write_text(SMALL.replace("1F343", "drawings/my-reed.svg"), encoding="utf-8")

    assert theme.load(path).words[2].picture.id == "my-reed"


def test_unreadable_files_are_said(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"none\.toml: theme cannot be read \(No such file"):
        theme.load(tmp_path / "none.toml")
    with pytest.raises(FileError, match="theme cannot be read"):
        theme.load(tmp_path)
    with pytest.raises(FileError, match=r"not a usable file name\); check the file name"):
        theme.load("a\0b.toml")
    with pytest.raises(InputError, match="no theme called"):
        theme.load("a\0b")


# --- defaults, names, warnings --------------------------------------------------------------------


def test_small_theme_has_defaults() -> None:
    found = read(SMALL)

    assert found.languages == ("en",)
    assert [word.letter for word in found.words] == ["D", "F", "L"]
    assert letters_of(found).set == ("D", "F", "L")
    assert (
        found.rows(SEQUENCES),
        found.rows(PATTERNS),
        found.rows(SORTS),
        things_of(found),
        found.plan,
    ) == ((),) * 5
    assert found.warnings == ()


def test_line_ends_and_byte_order_mark_make_no_difference() -> None:
    plain = read(SMALL)

    assert read(SMALL.replace("\n", "\r\n")) == plain
    assert read(SMALL.encode("utf-8-sig")) == plain


def test_cells_of_patterns() -> None:
    unit = ["blue circle", "Amarillo Star", "duck", "egg:1F95A"]
    (pattern,) = read(SMALL + f"[[patterns]]\nunit = {unit}\n").rows(PATTERNS)

    assert [cell.text for cell in pattern.cells] == ["blue circle", "yellow star", "duck", "egg"]
    assert pattern.cells[1] == Cell("yellow", "star")
    assert pattern.form == "ABCD"


def test_form_of_a_pattern_names_what_is_alike() -> None:
    a, b = Cell("blue", "circle"), Cell("red", "star")

    assert PatternUnit((a, b, b, a)).form == "ABBA"


def test_own_name_comes_before_the_one_of_unicode() -> None:
    text = SMALL.replace('"1F986"', '"1F986"\nnames = { es = "pato real" }')
    own = parse(text.encode(), "pond.toml", HERE)
    unchecked = parse(b'unchecked = ["es"]\n' + text.encode(), "pond.toml", HERE)

    def name(found: Theme, word: str, language: str) -> tuple[str, bool]:
        shown = found.shown_name(word, language)
        assert shown is not None
        return shown.text, shown.checked

    assert name(own, "duck", "es") == ("pato real", True)
    assert name(own, "duck", "es-MX") == ("pato real", True)
    assert name(unchecked, "duck", "es") == ("pato real", False)
    assert name(own, "frog", "es") == ("rana", False)
    assert name(own, "frog", "") == name(own, "frog", "en") == ("frog", True)


def test_name_that_nobody_has_is_none() -> None:
    found = read(SMALL)

    assert found.shown_name("duck", "pl") is None


def test_name_of_a_stranger_is_refused() -> None:
    with pytest.raises(InputError, match='"goose" is no word of the theme Pond'):
        read(SMALL).shown_name("goose", "es")


TRAPS = """\
title = "Harbour"
[[words]]
text = "ship"
picture = "1F6A2"
[[words]]
text = "shell"
picture = "1F41A"
letter = "Sh"
[[words]]
text = "knot"
picture = "1FAA2"
letter = "K"
[[words]]
text = "knight moth"
picture = "a"
letter = "N"
[[words]]
text = "crane"
picture = "b"
letter = "T"
[[words]]
text = "boat"
picture = "b"
"""


def test_warnings_of_letters_and_pictures() -> None:
    assert read(TRAPS).warnings == (
        'pond.toml line 2, words 1 "letter": "ship" begins with S, but sh is one sound; give the '
        "letter, or two such as sh, that you teach",
        'pond.toml line 12, words 3 "letter": "knot" begins with K, but the k is silent; give the '
        "letter, or two such as sh, that you teach",
        'pond.toml line 20, words 5 "letter": "crane" does not begin with T',
        'pond.toml line 23, words 6 "picture": same picture as "crane"; pages that match words to '
        "pictures need different ones",
    )


def test_warnings_of_other_tables() -> None:
    text = SMALL + (
        '[[patterns]]\nunit = ["red circle", "green circle"]\n'
        '[objects]\ntrace = ["us-cent", "can300", "can303"]\n'
        '[letters]\nset = ["D", "Z"]\n'
    )

    assert read(text).warnings == (
        'pond.toml line 12, patterns 1 "unit": the cells differ in colour only; a shape of its own '
        "for each colour helps children who see colours otherwise",
        'pond.toml line 14, objects "trace": US cent is a small part; an adult handles it',
        'pond.toml line 14, objects "trace": food can 300 and food can 303 differ by 4.8 mm only, '
        "so they are not put on one page",
        'pond.toml line 16, letters "set": no word of the theme begins with Z',
    )


def test_language_without_a_table_of_sounds_is_one_warning() -> None:
    found = read('languages = ["pl"]\n' + SMALL)

    assert found.warnings == ('pond.toml line 1, "languages": no table of first sounds for "pl"',)


# --- problems -------------------------------------------------------------------------------------

BROKEN = """\
titel = "Pond"
languages = ["english!"]
unchecked = []
[[words]]
text = "duck"
picture = "no-duck"
colour = "blue"
[[words]]
text = "Frog"
picture = "1F438"
letter = "Frog"
[[words]]
text = "frog"
picture = 7
names = { Es = "rana" }
[[words]]
picture = "1F343"
[[sequences]]
title = "Growing"
steps = ["egg", "frog", "duck", "leav:1F343"]
[[patterns]]
unit = ["blue circel", "reed square", "frogg"]
[[sorts]]
title = ""
bins = { one = ["frog"] }
[objects]
trace = ["can301", { name = "tub" }]
[letters]
set = ["D", "d", "1"]
[plan]
monday = ["cuting"]
mondya = ["cutting"]
"""


def test_all_problems_come_at_once_with_their_places(monkeypatch: pytest.MonkeyPatch) -> None:
    assert problems(BROKEN)[19:] == (
        'pond.toml line 29, letters "set": "1" is not a letter; give one to three',
        "and 3 more problems",
    )
    monkeypatch.setattr("sheets.theme.problems.MOST_TOLD", 30)
    assert problems(BROKEN) == (
        'pond.toml line 1, "titel": unknown key; did you mean title?',
        'pond.toml, "title": missing; write title = "..."',
        'pond.toml line 2, "languages": "english!" is not a language that is known; did you mean '
        "en (English)?",
        'pond.toml line 3, "unchecked": empty; give a list of one text or more, or leave it out',
        'pond.toml line 7, words 1 "colour": unknown key; known: text, picture, letter, names, '
        "note",
        "pond.toml line 6, words 1 \"picture\": no picture called 'no-duck'; nearest: duck",
        'pond.toml line 11, words 2 "letter": "Frog" is not a letter; give one to three',
        'pond.toml line 14, words 3 "picture": not text; put it in quotes',
        'pond.toml line 15, words 3 "names": "Es" is not a language tag; did you mean es?',
        'pond.toml line 13, words 3 "text": "frog" is there twice; drop one',
        'pond.toml line 16, words 4 "text": missing; write text = "..."',
        'pond.toml line 20, sequences 1 "steps": no word "egg" in the theme; write it with its '
        'picture, such as "egg:1F95A"',
        'pond.toml line 22, patterns 1 "unit": no shape "circel"; did you mean circle?',
        "pond.toml line 22, patterns 1 \"unit\": no colour 'reed'; did you mean red?",
        'pond.toml line 22, patterns 1 "unit": no word "frogg" in the theme; did you mean frog? or '
        'write it with its picture, such as "egg:1F95A"',
        'pond.toml line 24, sorts 1 "title": empty; write a word',
        'pond.toml line 25, sorts 1 "bins": give two bins or more, such as { animal = [...], plant '
        "= [...] }",
        "pond.toml line 27, objects \"trace\": no object called 'can301' in the library; did you "
        "mean can401 or can307 or can303?",
        "pond.toml line 27, objects \"trace\": measured object 'tub' needs either a diameter or a "
        "width and a depth; write { name = ..., diameter_mm = ... } or { name = ..., width_mm = "
        "..., depth_mm = ... }",
        'pond.toml line 29, letters "set": "1" is not a letter; give one to three',
        'pond.toml line 29, letters "set": "d" is there twice; drop one',
        'pond.toml line 32, plan "mondya": unknown key; did you mean monday?',
        'pond.toml line 31, plan "monday": no kind "cuting"; did you mean cutting?',
    )


def test_many_problems_in_one_line_name_their_number_and_the_first() -> None:
    with pytest.raises(InputError) as caught:
        read('titel = "Pond"\n')

    assert str(caught.value) == (
        '3 problems, the first: pond.toml line 1, "titel": unknown key; did you mean title?'
    )


SEQUENCE = '[[sequences]]\ntitle = "t"\nsteps = ["duck", "frog", "leaf"]\n'
SORT = '[[sorts]]\ntitle = "t"\n'


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (SEQUENCE + 'short = [["frog", "duck"]]', '"short": list 1: not some of the steps in thei'),
        (SEQUENCE + 'short = [["frog"]]', '"short": list 1: not some of the steps in their order'),
        (SEQUENCE + "short = [[1]]", '"short": list 1: "1" is not one of the steps; write it as'),
        (SEQUENCE + 'short = ["frog"]', '"short": entry 1 is no list of steps; correct it'),
        (SEQUENCE + 'also = [["duck", "leaf"]]', '"also": list 1: not another order of all the'),
        (
            SEQUENCE + 'also = [["leaf", "frog", "duck"], ["duck", "frog", "leaf"]]',
            '"also": list 2: not another order of all the steps; name each once',
        ),
        ('[[sequences]]\ntitle = "t"\nsteps = ["duck"]', '"steps": only one step; give two or'),
        (
            '[[sequences]]\ntitle = "t"\nsteps = ["duck", "Duck"]',
            '"steps": "duck" is there twice; drop one',
        ),
        ('[[sequences]]\ntitle = "t"', '"steps": missing; give a list of one text or more'),
        ('[[patterns]]\nunit = ["duck"]', '"unit": 1 cell; give 2 to 4'),
        (
            '[[patterns]]\nunit = ["duck", "frog", "duck", "frog"]',
            '"unit": ABAB repeats itself; give it once, of different cells',
        ),
        ('[[patterns]]\nunit = ["duck", "duck"]', '"unit": AA repeats itself; give it once'),
        (SORT + 'bins = { a = ["duck"], b = ["duck"] }', '"bins": "duck" is there twice; drop'),
        (SORT + 'bins = { a = [], b = ["duck"] }', '"bins": empty; give a list of one text'),
        (
            SORT + 'bins = { a = ["duck"], b = ["frog"] }\nneither = ["frog"]',
            '"bins": "frog" is there twice; drop one',
        ),
        ("[objects]\ntrace = [7]", '"trace": entry 1 is no id or measure; correct it'),
        (
            '[objects]\ntrace = ["A7", "a7"]',
            '"trace": "A7 card" is there twice; drop one',
        ),
        ('[letters]\nset = ["D"]\neasy = ["F"]', '"easy": F is not in set; add it there or drop'),
        ('[letters]\nhard = [["b", "dd"]]', '"hard": not a pair of letters; write ["b", "d"]'),
        ("[plan]\nmonday = []", 'plan "monday": empty; give a list of one text or more'),
        (
            '[plan]\nmonday = { kinds = ["cutting"], nota = "x" }',
            'plan "monday": unknown key "nota"; did you mean note?',
        ),
        ("[[objects]]\ntrace = []", '"objects": not a table; begin it with [objects]'),
        ('[[words]]\ntext = "x\\u0007"\npicture = "1F986"', '"text": holds a line break or cont'),
        (f'[[words]]\ntext = "{"x" * 61}"\npicture = "a"', '"text": longer than 60 characters'),
        ('[[words]]\ntext = "x"\npicture = "a"\nnames = 7', '"names": not a table; write { es'),
        (f"[[patterns]]\nunit = {['duck'] * 201}", '"unit": 201 entries; give 200 at most'),
        ('[[words]]\ntext = "x"\npicture = "1F986"\n' * 58, '"words": 61 entries; give 60 at most'),
    ],
)
def test_single_problems(more: str, message: str) -> None:
    found = problems(SMALL + more + "\n")

    assert len(found) == 1
    assert message in found[0]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (
            b'title = "Pond"\n[[words]]\ntext = "Zo\xeb"\n',
            "pond.toml line 3: not UTF-8; save it as",
        ),
        (
            b'title = "Pond"\n[[words]\n',
            "pond.toml line 2: a bracket is missing or too many: [[words]; write [[words]]",
        ),
        (b"#" * 200_001, "pond.toml: larger than 200 KB; give a theme file"),
        (b"words = []", 'pond.toml line 1, "words": empty; give a list of one table or more'),
        (b"words = [1]", 'pond.toml line 1, "words": entry 1 is no table; correct it'),
    ],
)
def test_files_that_are_no_theme(content: bytes, message: str) -> None:
    assert any(found.startswith(message) for found in problems(content))


def test_place_without_a_line_where_the_file_says_it_another_way() -> None:
    text = 'title = "P"\nwords = [{ text = "duck", picture = "no" }]\n'
    long_text = 'title = """P\n[[words]]"""\n[[words]]\ntext = "duck"\npicture = "no"\n'

    for found in (problems(text), problems(long_text)):
        assert found[-1].startswith('pond.toml, words 1 "picture": no picture called')


def test_unknown_picture_offers_the_nearest_of_the_real_ones() -> None:
    with pytest.raises(ThemeError) as caught:
        parse(SMALL.replace("1F986", "duk").encode(), "pond.toml", HERE)

    assert caught.value.problems == (
        "pond.toml line 4, words 1 \"picture\": there is no picture called 'duk'; nearest: "
        f"{_nearest_to_duk()}",
    )


def _nearest_to_duk() -> str:
    with pytest.raises(PictureError) as caught:
        find("duk")
    return caught.value.fix.removeprefix("nearest: ")


# --- anything at all ------------------------------------------------------------------------------


def check(content: bytes) -> None:
    """Either a theme in which everything holds, or an error in single lines."""
    try:
        found = read(content)
    except TableworkError as error:
        lines = getattr(error, "problems", (str(error),))
        assert all("\n" not in line for line in lines)
        return
    texts = [word.text.casefold() for word in found.words]
    assert texts
    assert len(set(texts)) == len(texts)
    for sequence in found.rows(SEQUENCES):
        assert len(sequence.steps) >= 2
        assert all(sorted(map(id, o)) == sorted(map(id, sequence.steps)) for o in sequence.also)
    for unit in found.rows(PATTERNS):
        assert 2 <= len(unit.cells) <= 4
        assert len(set(unit.form)) >= 2


@parser_test()
@given(st.one_of(st.binary(), st.text().map(str.encode)))
def test_any_bytes_give_a_theme_or_a_clear_error(content: bytes) -> None:
    check(content)


def toml(value: Any) -> str:
    """A value as TOML; text only of letters that need no escape."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}" = {toml(item)}' for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else repr(value)


TEXT = st.sampled_from(
    ["duck", "frog", "egg:1F95A", "no", "", "blue circle", "red star", "Ñ", "es"]
)
LEAF = st.one_of(TEXT, TEXT, st.integers(), st.booleans(), st.floats(allow_nan=False))
LIST = st.lists(st.one_of(TEXT, LEAF), max_size=4)
KEY = st.sampled_from(
    ["title", "text", "picture", "letter", "names", "note", "steps", "short", "also", "unit",
     "bins", "neither", "trace", "set", "easy", "hard", "monday", "kinds", "es"]
)  # fmt: skip
VALUE = st.one_of(LEAF, LIST, st.lists(LIST, max_size=2), st.dictionaries(KEY, LIST, max_size=3))
TABLE = st.one_of(
    st.dictionaries(KEY, VALUE, max_size=4),
    st.fixed_dictionaries({"text": TEXT, "picture": TEXT}, optional={"letter": TEXT}),
    st.fixed_dictionaries({"title": TEXT, "steps": LIST}, optional={"short": st.lists(LIST)}),
    st.fixed_dictionaries({"unit": LIST}),
    st.fixed_dictionaries({"title": TEXT, "bins": st.dictionaries(KEY, LIST)}),
)
FILE = st.dictionaries(
    st.sampled_from(
        ["title", "languages", "unchecked", "words", "sequences", "patterns", "sorts", "objects",
         "letters", "plan", "other"]
    ),
    st.one_of(VALUE, TABLE, st.lists(TABLE, max_size=3)),
)  # fmt: skip


@parser_test(300)
@given(FILE, st.booleans())
def test_any_tables_give_a_theme_or_a_clear_error(data: dict[str, Any], sound: bool) -> None:
    if sound:
        good = [{"text": "duck", "picture": "1F986"}, {"text": "frog", "picture": "1F438"}]
        data = {**data, "title": "Pond", "words": good}

    check("\n".join(f"{key} = {toml(value)}" for key, value in data.items()).encode())
