"""Which steps, words and orders a sequence page takes, and what it refuses."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path as FilePath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FitError, InputError, PictureError, TableworkError
from shapes.pictures.pictures import find
from sheets.files.theme_file import load, parse
from sheets.kinds import KINDS
from sheets.kinds.options import Options
from sheets.kinds.sequence.order import draw_order
from sheets.kinds.sequence.section import SEQUENCES
from sheets.kinds.sequence.task import SequenceTask, thinned
from sheets.page.frame import LETTER, Frame
from sheets.page.marks import mark_bbox
from sheets.page.model import Page, Place, Role, Text
from sheets.theme.theme import Step, Theme
from tests.all_themes import FIRST_THREE
from tests.making import make, sequence, with_rows
from tests.sequence_reader import GARDEN, STAGES, drawn, ids, printed, solve

draw = sequence.drawn
from_theme = sequence.from_theme
from_words = sequence.from_words

THEMES = FIRST_THREE


# --- choosing steps -------------------------------------------------------------------------------


def words_of(task: SequenceTask) -> list[str]:
    return [step.word for step in task.steps]


def test_short_versions_and_thinned_ones() -> None:
    pond = load("reedy-pond")
    assert [words_of(from_theme(pond, stage, Options())) for stage in range(1, 7)] == [
        ["soap", "clean hands"],
        ["soap", "clean hands"],
        ["soap", "rinse", "clean hands"],
        ["tap", "soap", "rinse", "clean hands"],
        ["tap", "soap", "bubbles", "rinse", "clean hands"],
        ["tap", "soap", "bubbles", "rinse", "paper towel", "clean hands"],
    ]
    row = GARDEN.rows(SEQUENCES)[0]
    bare = with_rows(GARDEN, SEQUENCES.name, dataclasses.replace(row, short=()))
    assert words_of(from_theme(bare, 5, Options())) == ["dig", "bean", "sprout", "plant", "flower"]
    assert words_of(from_theme(pond, 6, Options(), steps=3)) == ["soap", "rinse", "clean hands"]


@given(st.integers(2, 12), st.integers(2, 6))
def test_thinned_steps_keep_first_last_and_order(length: int, count: int) -> None:
    steps = tuple(Step(str(i), find("duck")) for i in range(length))
    count = min(count, length)
    kept = [int(step.word) for step in thinned(steps, count)]

    assert (kept[0], kept[-1], len(kept)) == (0, length - 1, count)
    assert kept == sorted(set(kept))
    gaps = [b - a for a, b in itertools.pairwise(kept)]
    assert max(gaps) - min(gaps) <= 1


ALSO = """
title = "Puddle"
languages = ["en"]
[[sequences]]
title = "First day"
steps = ["egg:1F95A", "fish:1F41F"]
[[sequences]]
title = "Rain to flower"
steps = ["rain:1F327-FE0F", "drop:1F4A7", "sprout:1F331", "flower:1F33C"]
short = [["drop", "sprout", "flower"]]
also = [["drop", "rain", "sprout", "flower"], ["rain", "sprout", "drop", "flower"]]
note = "Talk about the rain first."
[[sequences]]
title = "All ways"
steps = ["a:1F986", "b:1F438", "c:1F422"]
also = [["b", "c", "a"], ["c", "a", "b"]]
"""


@pytest.fixture(scope="module")
def puddle() -> Theme:
    return parse((ALSO + WORD).encode(), "puddle.toml", FilePath())


WORD = """
[[words]]
text = "frog"
picture = "1F438"
"""


def test_other_right_orders_are_on_the_key_and_never_printed(puddle: Theme) -> None:
    task = from_theme(puddle, 4, Options(), sequence="rain to FLOWER")
    assert task.also == ((1, 0, 2, 3), (0, 2, 1, 3))
    sheet = make(task, Options())
    lines = [m.text for m in sheet.key[0].marks if isinstance(m, Text)]
    assert "Order: 1 rain, 2 drop, 3 sprout, 4 flower." in lines
    assert "Also accept: drop, rain, sprout, flower." in lines
    assert "Also accept: rain, sprout, drop, flower." in lines
    assert "Talk about the rain first." in lines
    assert sheet.parameters["also"] == [
        ["box-2", "box-1", "box-3", "box-4"],
        ["box-1", "box-3", "box-2", "box-4"],
    ]
    short = from_theme(puddle, 3, Options(), sequence="2")
    assert words_of(short) == ["drop", "sprout", "flower"]
    assert short.also == ((1, 0, 2),)


def test_where_the_first_box_shows_its_picture_other_orders_begin_with_it(puddle: Theme) -> None:
    wheel = from_theme(puddle, 4, Options(), sequence="2", wheel=True)
    assert wheel.also == ((0, 2, 1, 3),)
    assert from_theme(puddle, 1, Options(), sequence="2").also == ()


def test_a_key_with_much_to_say_gets_a_page_more() -> None:
    orders = tuple(o for o in itertools.permutations(range(6)) if o[0] == 0 and o[5] == 5)[1:]
    for laminate, pages in ((False, 1), (True, 2)):
        task = from_theme(GARDEN, 6, Options(), laminate=laminate)
        sheet = make(dataclasses.replace(task, also=orders, note="Say it aloud."), Options())
        texts = [m.text for m in sheet.key[-1].marks if isinstance(m, Text)]

        assert len(orders) == 23
        assert len(sheet.key) == pages + 1
        assert sum(text.startswith("Also accept: dig, ") for text in texts) == 23
        assert "Say it aloud." in texts
        low = min(m.y for m in sheet.key[-1].marks if isinstance(m, Text) and m.size_pt == 10.0)
        assert low > Frame(LETTER).work.y0
        assert "Order: 1 dig, 2 bean, 3 water, 4 sprout, 5 plant, 6 flower." in {
            m.text for m in sheet.key[0].marks if isinstance(m, Text)
        }


def test_an_accepted_order_that_keeps_the_rules_is_left_out_of_the_shuffle() -> None:
    task = dataclasses.replace(from_theme(GARDEN, 4, Options()), also=((2, 3, 1, 0),))
    seen = {printed(drawn(task, Options(seed=s))[0], ids(task)) for s in range(300)}
    assert seen == {(1, 0, 3, 2), (1, 3, 0, 2), (2, 0, 3, 1), (3, 2, 0, 1)}


def test_where_every_shuffle_is_accepted_the_three_rules_still_hold(puddle: Theme) -> None:
    task = from_theme(puddle, 3, Options(), sequence="All ways")
    seen = {printed(drawn(task, Options(seed=s))[0], ids(task)) for s in range(50)}
    assert seen == {(1, 2, 0), (2, 0, 1)}


def test_the_key_of_a_wheel_says_that_it_starts_again() -> None:
    sheet = make(from_theme(GARDEN, 4, Options(), wheel=True), Options())
    lines = [m.text for m in sheet.key[0].marks if isinstance(m, Text)]
    assert (
        "Order: 1 bean, 2 water, 3 sprout, 4 flower. Clockwise from the top; after 4 it starts "
        "again with 1." in lines
    )


def test_words_on_the_cards_in_two_languages() -> None:
    options = Options(language="es")
    pond = load("reedy-pond")
    task = from_theme(pond, 3, options, labels=True)
    sheet = make(task, options)
    page = sheet.pages[0]
    shown = [m.text for m in page.marks if isinstance(m, Text) and m.role is Role.CARD]

    assert task.captions == (("soap", "jabón"), ("rinse", "gota"), ("clean hands", ""))
    assert sorted(shown) == ["clean hands", "gota", "jabón", "rinse", "soap"]
    assert task.remarks == (
        'Too long for a card, write on the line: "manos abiertas".',
        "Ask a speaker about: jabón, gota.",
    )
    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert {m.id for m in page.marks if isinstance(m, Text) and m.text == "soap"} == {
        m.id for m in page.marks if isinstance(m, Text) and m.text == "jabón"
    }


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("name", THEMES)
def test_words_fit_at_every_stage(stage: int, name: str) -> None:
    options = Options(language="es")
    sheet = make(from_theme(load(name), stage, options, labels=True), options)
    pictures = [
        mark_bbox(m)
        for page in sheet.pages
        for m in page.marks
        if isinstance(m, Place) and m.role is Role.CARD
    ]
    assert all(max(box.width, box.height) >= 24.9 for box in pictures)
    assert [f.sentence() for f in sheet.findings if f.outside] == []


def test_from_words() -> None:
    task = from_words(["nest:1FABA", "egg", "duck"], 3, Options(), labels=True)
    marks, answer, _ = drawn(task, Options(seed=8))

    assert words_of(task) == ["nest", "egg", "duck"]
    assert task.title == "What comes first?"
    assert task.captions == (("nest",), ("egg",), ("duck",))
    assert solve(marks, ids(task)) == answer
    assert words_of(from_words(["nest:1FABA", "egg", "duck"], 2, Options())) == ["nest", "duck"]
    long = from_words(["a very long name indeed:duck", "egg"], 2, Options(), labels=True)
    assert long.captions == (("",), ("egg",))
    assert long.remarks == ('Too long for a card, write on the line: "a very long name indeed".',)


def test_five_narrow_cards_below_three_wide_boxes() -> None:
    """Four of the cards lie below steps 2 and 5: one at least is below its own box, and no more."""
    above = ((1, 4), (1, 4), (2,), (1, 4), (1, 4))
    five = from_theme(load("paws-at-home"), 6, Options())
    assert len(five.steps) == 5
    orders = {draw_order(five, seed, above) for seed in range(50)}
    assert len(orders) > 5
    assert {sum(step in above[k] for k, step in enumerate(order)) for order in orders} == {1}
    assert not orders & {(0, 1, 2, 3, 4), (4, 3, 2, 1, 0)}


def test_same_seed_same_sheet_and_another_seed_another_order() -> None:
    options = Options(seed=4)
    task = from_theme(GARDEN, 6, options)
    assert make(task, options) == make(task, options)
    answers = {tuple(draw(task, Options(seed=s))[1].values()) for s in range(30)}
    assert len(answers) > 20


def test_the_table_of_kinds_finds_it() -> None:
    assert KINDS["sequence"].skill == "sequence"


# --- bad input ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "stage", "choices", "message"),
    [
        (["duck"], 3, {}, "words: 1 word cannot be put in order; give 2 to 6 in their right order"),
        ([], 3, {}, "words: 0 words cannot be put in order; give 2 to 6 in their right order"),
        (["duck", "egg"], 7, {}, "`stage`: stage 7 does not exist; use a whole number, 0 to 6"),
        (["duck", "egg"], 3, {"steps": 3}, "`steps`: 3 steps cannot be had from the 2 of the "
         "words; use 2 to 2"),
        (["duck", "egg"], 3, {"steps": 1}, "`steps`: 1 step cannot be had from the 2 of the "
         "words; use 2 to 2"),
        (["duck", "d:duck"], 3, {}, 'steps: "duck" and "d" show the same picture; give each step '
         "a picture of its own"),
        (["duck", "egg"], 3, {"wheel": True}, "`wheel`: 2 steps make no wheel; use stage 3 or "
         "later, or a strip"),
    ],
)  # fmt: skip
def test_bad_input_from_words(
    words: list[str], stage: int, choices: dict[str, int], message: str
) -> None:
    with pytest.raises(InputError) as caught:
        make(from_words(words, stage, Options(), **choices), Options())
    assert str(caught.value) == message


def test_bad_input_from_a_theme(puddle: Theme) -> None:
    bare = with_rows(puddle, "sequences")
    with pytest.raises(InputError) as caught:
        from_theme(bare, 3, Options())
    assert str(caught.value) == (
        "`theme`: the theme Puddle has no sequence; add [[sequences]] to its file, or give words "
        "in their order"
    )
    with pytest.raises(InputError) as caught:
        from_theme(puddle, 3, Options(), sequence="9")
    assert str(caught.value) == (
        "`sequence`: the theme Puddle has no sequence '9'; use one of: 1 \"First day\", "
        '2 "Rain to flower", 3 "All ways"'
    )
    with pytest.raises(InputError) as caught:
        from_theme(puddle, 3, Options(), steps=5, sequence="2")
    assert str(caught.value) == (
        '`steps`: 5 steps cannot be had from the 4 of "Rain to flower"; use 2 to 4'
    )


def test_too_many_for_low_vision_too_many_at_all_and_too_large() -> None:
    options = Options(needs=("low-vision",))
    with pytest.raises(InputError) as caught:
        make(from_theme(GARDEN, 6, options, steps=5), options)
    assert str(caught.value) == (
        "`steps`: 5 cards are more than the 4 of a page for low vision; use at most 4"
    )
    seven = SequenceTask(
        6, (*from_theme(GARDEN, 6, Options()).steps, Step("duck", find("duck"))), "x"
    )
    with pytest.raises(InputError) as caught:
        make(seven, Options())
    assert str(caught.value) == "`steps`: 7 steps cannot be put in order; use 2 to 6"
    with pytest.raises(FitError) as fit:
        make(from_theme(GARDEN, 0, Options(), steps=6), Options())
    assert str(fit.value) == (
        "`steps`: 6 boxes of 84 x 84 mm do not fit 176 x 200 mm; use fewer steps or a later "
        "stage, whose cards are smaller"
    )
    with pytest.raises(FitError) as fit:
        make(from_theme(GARDEN, 3, Options(), steps=6, wheel=True), Options())
    assert str(fit.value).startswith("`steps`: 6 boxes of 56 x 62 mm do not fit")


def test_more_steps_than_the_stage_has_are_outside_guidance_on_a_page_of_their_own() -> None:
    sheet = make(from_theme(GARDEN, 3, Options(), steps=6), Options())
    assert {f.limit for f in sheet.findings if f.outside} == {"pictures"}
    assert len(sheet.pages) == 2


@pytest.mark.parametrize("bad", ["no-such-thing-at-all", "x:no-such-thing-at-all", "none.svg"])
def test_pictures_that_do_not_exist(bad: str) -> None:
    with pytest.raises(TableworkError) as caught:
        from_words(["duck", bad], 3, Options())
    assert "\n" not in str(caught.value)
    if not bad.endswith(".svg"):
        assert isinstance(caught.value, PictureError)


def page_text(page: Page) -> str:
    return " ".join(m.text for m in page.marks if isinstance(m, Text))


def test_title_of_ones_own_and_name() -> None:
    options = Options(title="What the bean did", name="Pip")
    sheet = make(from_theme(GARDEN, 4, options), options)
    assert sheet.title == "What the bean did"
    assert "Pip" in page_text(sheet.pages[0])
    assert "Adult key: What the bean did" in page_text(sheet.key[0])
    assert "Pip" not in page_text(sheet.key[0]) + sheet.pages[0].label
