"""Which letters and words stand together on a letter page, by stage and language; bad input."""

from __future__ import annotations

import random
from itertools import combinations
from pathlib import Path as FilePath

import pytest

from shapes.errors import GlyphError, InputError, PictureError
from shapes.letters.likeness import confusions
from shapes.pictures.names import name
from shapes.pictures.pictures import curated, find
from sheets.files.theme_file import load, parse
from sheets.kinds.letter_match.letters import check_letters, form_kind, initial
from sheets.kinds.letter_match.task import LetterTask
from sheets.kinds.letter_match.words import picture_word, theme_words
from sheets.kinds.options import Options
from sheets.page.model import Sheet, Text
from sheets.theme.theme import Theme
from tests.all_themes import FIRST_THREE
from tests.making import letter_match, make

from_theme = letter_match.from_theme
from_words = letter_match.from_words

LANGUAGES = ("en", "es", "fr", "de", "it", "pt")
POND = load("reedy-pond")


def outside(sheet: Sheet) -> list[str]:
    return [finding.sentence() for finding in sheet.findings if finding.outside]


# --- which letters stand together -----------------------------------------------------------------


def letters_by_group(task: LetterTask) -> list[tuple[str, ...]]:
    return [block.choices for block in task.blocks]


@pytest.mark.parametrize("stage", range(1, 5))
@pytest.mark.parametrize("form", ["same", "small", "first"])
def test_no_published_pair_stands_together_up_to_stage_4(stage: int, form: str) -> None:
    for theme in map(load, FIRST_THREE):
        for seed in range(60):
            task = from_theme(theme, stage, Options(seed=seed), form=form)
            for group in letters_by_group(task):
                for a, b in combinations(group, 2):
                    assert not confusions().published(a, b)
                    assert not confusions().are_turned(a, b)


def test_one_pair_at_most_at_stage_5_and_pairs_are_sought_at_stage_6() -> None:
    for theme in map(load, FIRST_THREE):
        most, least = 0, 9
        for seed in range(100):
            for group in letters_by_group(from_theme(theme, 5, Options(seed=seed))):
                pairs = [p for p in combinations(group, 2) if confusions().published(*p)]
                most = max(most, len(pairs))
            groups = letters_by_group(from_theme(theme, 6, Options(seed=seed), form="small"))
            found = [p for g in groups for p in combinations(g, 2) if confusions().published(*p)]
            least = min(least, len(found))
        assert most == 1
        assert least >= 1


@pytest.mark.parametrize("form", ["same", "small"])
def test_turned_letters_are_never_on_one_page_unless_asked_for(form: str) -> None:
    for stage in (5, 6):
        for theme in map(load, FIRST_THREE):
            for seed in range(100):
                task = from_theme(theme, stage, Options(seed=seed), form=form)
                page = {letter for group in letters_by_group(task) for letter in group}
                assert not any(confusions().are_turned(a, b) for a, b in combinations(page, 2))
    asked = from_theme(POND, 6, Options(seed=1), form=form, turned=True)
    for group in letters_by_group(asked):
        assert any(confusions().are_turned(a, b) for a, b in combinations(group, 2))


@pytest.mark.parametrize("stage", [5, 6])
def test_look_alikes_from_outside_the_theme_are_not_turned_beside_the_page(stage: int) -> None:
    """Of these letters the q comes from the published pairs of g, and p or b stand there."""
    for seed in range(40):
        task = from_theme(load("five-field-farm"), stage, Options(seed=seed), form="small")
        page = {letter for group in letters_by_group(task) for letter in group}
        assert not any(confusions().are_turned(a, b) for a, b in combinations(page, 2))


def test_the_first_stages_set_a_round_letter_beside_a_straight_one() -> None:
    for theme in map(load, FIRST_THREE):
        for seed in range(50):
            (group,) = letters_by_group(from_theme(theme, 1, Options(seed=seed)))
            assert {form_kind(letter) for letter in group} == {"round", "straight"}


@pytest.mark.parametrize(
    ("name", "letter"), [("Zuzë", "Z"), ("Émile", "É"), ("  ölan", "Ö"), ("3", ""), ("", "")]
)
def test_stage_0_has_the_childs_own_initial(name: str, letter: str) -> None:
    assert initial(name, "en") == letter
    task = from_theme(POND, 0, Options(name=name, seed=2))
    assert len(task.blocks[0].choices) == 2
    if letter:
        assert letter in task.blocks[0].choices


def test_letters_of_ones_own_replace_those_of_the_theme() -> None:
    task = from_theme(POND, 3, Options(seed=1), letters=("k", "a", "o"))
    assert sorted(task.blocks[0].choices) == ["A", "K", "O"]


# --- words and languages --------------------------------------------------------------------------


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("theme", list(map(load, FIRST_THREE)), ids=lambda theme: theme.slug)
def test_pictures_have_the_first_letter_of_their_name(theme: Theme, language: str) -> None:
    """At stage 4 in six languages; no word is used whose first sound is another."""
    words = {word.text: word for word in theme_words(theme, language)}
    for seed in range(10):
        options = Options(seed=seed, language=language)
        task = from_theme(theme, 4, options, form="first")
        sheet = make(task, options)
        used = [target.word for block in task.blocks for target in block.targets]
        assert all(word is not None and not words[word.text].warning for word in used)
        for block in task.blocks:
            for target in block.targets:
                assert target.word is not None
                assert [c for c in block.choices if c == target.word.letter] == [target.answer]
        line = next(line for line in sheet.adult_lines if line.startswith("Words: "))
        assert ("* Check with a speaker." in line) == (language != "en")
        key = " ".join(m.text for m in sheet.key[0].marks if isinstance(m, Text))
        assert ("Check with a speaker" in key) == (language != "en")


def test_words_that_mislead_are_flagged_and_wait_for_the_later_stages() -> None:
    words = ["ship", "knot", "duck", "fish", "sun", "boat", "leaf"]
    easy = from_words(words, 4, Options(seed=1), form="first")
    assert [word.text for word in easy.left_out] == ["ship", "knot"]
    options = Options(seed=1)
    key = make(easy, options).key[0]
    text = " ".join(m.text for m in key.marks if isinstance(m, Text))
    assert "Not used, as the first sound or the name may mislead: “ship”, “knot”." in text

    late = from_words(["ship", "knot", "duck", "fish"], 6, options, form="first")
    key = make(late, options).key[0]
    text = " ".join(m.text for m in key.marks if isinstance(m, Text))
    assert '"knot" begins with K, but the k is silent' in text
    assert '"ship" begins with S, but sh is one sound' in text


# What a preschool teacher heard children say to the drawings; it is no published list.
HEARD = [
    ("beaver", "squirrel"), ("worm", "snake"), ("wind", "cloud"), ("lotus", "flower"),
    ("water", "drop"), ("otter", "bear"), ("rock", "box"),
]  # fmt: skip


@pytest.mark.parametrize(("word", "other"), HEARD)
def test_a_picture_with_another_name_and_letter_waits(word: str, other: str) -> None:
    assert other in find(word).also
    asked = [word, "duck", "frog", "turtle", "sun", "anchor", "lemon"]
    for stage in (2, 3, 4, 5):
        task = from_words(asked, stage, Options(), form="first")
        assert word in [left.text for left in task.left_out]
    named = picture_word(word, find(word), "en")
    assert other in named.others
    # Where it may be asked for, the key says what else is right.
    task = from_words([word, "duck", "turtle", "anchor"], 6, Options(), form="first")
    key = make(task, Options()).key[0]
    text = " ".join(m.text for m in key.marks if isinstance(m, Text))
    assert f"another word for a picture ({' or '.join(named.others)} for {word})" in text


def test_another_name_with_the_same_letter_may_stay() -> None:
    compass = picture_word("compass", find("compass"), "en")
    assert (find("compass").also, compass.others) == (("clock",), ())


def test_a_theme_with_a_name_of_its_own_for_a_picture() -> None:
    """The word list's name counts as another one; in another language the other thing's name."""
    assert picture_word("squirrel", find("beaver"), "en").others == ("beaver",)
    assert picture_word("castor", find("beaver"), "es").others == ("squirrel",)
    assert picture_word("gusano", find("worm"), "es").others == ("serpiente",)
    assert picture_word("bear", find("duck"), "en").others == ("duck",)


def test_no_page_of_stages_2_to_5_asks_for_a_picture_with_two_letters() -> None:
    """60 curated pictures at a time are offered, for 1,000 pages."""
    also = {word.text: word.also for word in curated()}
    words = [word.text for word in curated()]
    for seed in range(250):
        some = random.Random(seed).sample(words, 60)
        for stage in (2, 3, 4, 5):
            task = from_words(some, stage, Options(seed=seed), form="first")
            for block in task.blocks:
                for target in block.targets:
                    assert target.word is not None
                    text = target.word.text
                    assert {name[0].lower() for name in (text, *also[text])} == {text[0]}


@pytest.mark.parametrize(
    ("text", "language", "letter", "warning"),
    [
        ("papa / patata", "es", "P", ""),
        ("frijol / judía", "es", "F", '"frijol / judía" are names with different first letters'),
        ("écharpe", "fr", "E", ""),
        ("ñandú", "es", "Ñ", ""),
        ("äpfel", "de", "Ä", ""),
        ("hoja", "es", "H", '"hoja" begins with H, but the h is silent'),
        (
            "épi de maïs",
            "fr",
            "E",
            '"épi de maïs" describes the drawing; a child may say another word',
        ),
    ],
)
def test_first_letters_as_they_are_taught(
    text: str, language: str, letter: str, warning: str
) -> None:
    word = picture_word(text, find("duck"), language, checked=False)
    assert (word.letter, word.warning) == (letter, warning)


def test_german_nouns_have_their_capital() -> None:
    found = name("1F986", "de")

    assert found is not None
    assert picture_word(found.text, find("duck"), "de", checked=found.checked).text == "Ente"


def test_a_digraph_the_theme_teaches_is_a_choice_of_its_own() -> None:
    body = 'title = "Harbour"\n' + "".join(
        f'[[words]]\ntext = "{word}"\npicture = "{word}"\n{extra}'
        for word, extra in [
            ("shark", 'letter = "Sh"\n'),
            ("duck", ""),
            ("fish", ""),
            ("leaf", ""),
            ("turtle", ""),
        ]
    )
    theme = parse(body.encode(), "own.toml", FilePath())
    found = set()
    for seed in range(20):
        options = Options(seed=seed)
        task = from_theme(theme, 4, options, form="first")
        assert outside(make(task, options)) == []
        found |= {t.answer for b in task.blocks for t in b.targets}
        for group in letters_by_group(task):
            assert not {"S", "Sh"} <= set(group)
    assert "Sh" in found


def test_letters_with_one_sound_never_stand_beside_a_picture() -> None:
    garden = load("bean-row-garden")
    for stage in (4, 6):
        for seed in range(100):
            task = from_theme(garden, stage, Options(seed=seed), form="first")
            for group in letters_by_group(task):
                assert len(set(group) & set("CKQ")) <= 1
                assert len(set(group) & set("GJ")) <= 1


def test_too_few_words_for_the_stage_give_the_form_before_it() -> None:
    options = Options(seed=1, language="fr")
    task = from_theme(POND, 6, options)
    assert task.form == "first"
    assert task.remark == "Too few words for first-letter sort; this is picture to first letter."
    lines = make(task, options).adult_lines
    assert any(task.remark in line for line in lines)


def test_letters_and_words_from_the_command_line() -> None:
    letters = from_words(["T", "s", "O"], 3, Options(seed=1))
    assert (letters.form, sorted(letters.blocks[0].choices)) == ("same", ["O", "S", "T"])
    assert letters.title == "Letters"
    words = from_words(["duck", "frog", "sun", "leaf"], 4, Options(seed=1))
    assert words.form == "first"
    spanish = from_words(["frog", "sun"], 4, Options(seed=1, language="es"), form="first")
    assert spanish.title == "Letras"
    assert {t.answer for b in spanish.blocks for t in b.targets} == {"R", "S"}
    for task in (letters, words, spanish):
        assert outside(make(task, Options(seed=1))) == []


# --- bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "choices", "message"),
    [
        (7, {}, "`stage`: stage 7 does not exist; use a whole number, 0 to 6"),
        (
            3,
            {"form": "rhyme"},
            "`form`: there is no task 'rhyme'; use one of: same, small, first, sort",
        ),
        (
            2,
            {"form": "sort"},
            "`form` sort: a first-letter sort has more pictures than this stage shows; use `stage` "
            "3 or higher, or `form` first",
        ),
        (
            3,
            {"layout": "poster"},
            "`as`: 'poster' is no way to lay out letters; use one of: lines, cards",
        ),
        (
            0,
            {"layout": "lines"},
            "`as`: stage 0 has cards an adult has cut, no lines; use `as` cards",
        ),
        (
            4,
            {"turned": True},
            "`turned`: letters that look alike when turned, such as b and d, are for small letters "
            "from stage 5; use `stage` 5 or 6 and `form` same or small, or leave it out",
        ),
        (
            3,
            {"letters": ("T", "7")},
            "`letters`: '7' is not a letter with a capital and a small form; give letters such as "
            "T,S,O",
        ),
        (
            3,
            {"letters": ("M", "N", "W")},
            "`letters`: no 3 of the letters M N W look different enough; add letters, or take a "
            "higher stage",
        ),
        (
            6,
            {"form": "sort", "letters": ("D", "O", "T")},
            "words: fewer than 3 letters that go together have 2 words each; add words with the "
            "same first letter, or choose `form` first",
        ),
        (
            4,
            {"form": "first", "letters": ("D",)},
            "words: fewer than 2 words begin with letters that go together; add words with other "
            "first letters, or choose `form` same",
        ),
    ],
)
def test_bad_choices(stage: int, choices: dict[str, object], message: str) -> None:
    with pytest.raises(InputError) as problem:
        from_theme(POND, stage, Options(seed=1), **choices)
    assert str(problem.value) == message


def test_small_letters_that_look_alike_in_both_cases_are_refused() -> None:
    with pytest.raises(InputError) as problem:
        from_theme(POND, 3, Options(), form="small", letters=("K", "X", "A"))
    assert str(problem.value) == (
        "`letters`: no 3 of the letters k x a look different enough; add letters, or take a "
        "higher stage"
    )


def test_nothing_to_match() -> None:
    with pytest.raises(InputError) as problem:
        from_words([], 3, Options())
    assert str(problem.value) == (
        "no letters and no words with a name in this language; give letters (T S O), "
        "words (duck frog), or a `theme`"
    )
    with pytest.raises(PictureError):
        from_words(["nosuchthing"], 3, Options())


def test_letters_are_read_once_each_in_any_case() -> None:
    assert check_letters(["t", "T", "é"]) == ("T", "É")


def test_a_letter_the_page_font_lacks() -> None:
    with pytest.raises(GlyphError, match="the page font has no character 'Ա'"):
        check_letters(["ա"])


def test_a_language_without_words_falls_back_to_the_letters_of_the_theme() -> None:
    theme = load("tide-side-harbour")
    options = Options(language="pl")
    for stage in (1, 2, 3):
        sheet = make(from_theme(theme, stage, options), options)
        assert sheet.pages
