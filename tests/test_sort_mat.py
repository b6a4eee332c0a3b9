"""Sort mats: read back from their marks and solved with the theme's lists only."""

from __future__ import annotations

from collections import Counter

import pytest

from shapes.errors import InputError
from sheets.files.theme_file import load, parse
from sheets.kinds.options import Options
from sheets.kinds.sort_mat import BY_LOOK, NEITHER, SORTS, SortTask
from sheets.page.frame import A4, LETTER
from sheets.page.model import Fill, Page, Place, Role, Sheet, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make

sort_mat = Making("sort-mat")
STAGES = range(7)
AREAS = (2, 2, 2, 2, 3, 3, 2)
CARDS = (4, 6, 6, 6, 8, 9, 6)


def areas_of(page: Page) -> list[str]:
    """The names of the areas from left to right, each inside its own box."""
    boxes = [
        m.paths[0].bbox for m in page.marks if m.role is Role.ANSWER_SPACE and isinstance(m, Stroke)
    ]
    names = [m for m in page.marks if isinstance(m, Text) and m.role is Role.MODEL]
    found = []
    for box in sorted(boxes, key=lambda box: box.x0):
        (inside,) = [m.text for m in names if box.x0 < m.x < box.x1]
        found.append(inside)
    return found


def cards_of(page: Page) -> list[str]:
    """The pictures on the loose cards."""
    return [m.artwork.id for m in page.marks if isinstance(m, Place) and m.role is Role.CARD]


def pictures(theme_name: str, title: str) -> dict[str, str]:
    """Picture id -> area, by the theme's own lists."""
    (sort,) = [row for row in load(theme_name).rows(SORTS) if row.title == title]
    return {s.picture.id: name for name, steps in sort.bins.items() for s in steps}


def shown(artwork: str, known: dict[str, str]) -> str:
    """The area of the picture an artwork shows: its id begins with the picture's."""
    fitting = [key for key in known if artwork == key or artwork.startswith(f"{key}-")]
    return known[max(fitting, key=len)] if fitting else NEITHER


@pytest.mark.parametrize("stage", STAGES)
def test_areas_and_cards_of_every_stage_for_a_thousand_seeds(stage: int) -> None:
    theme = load("reedy-pond")
    for seed in range(1000):
        task: SortTask = sort_mat.from_theme(theme, stage, Options(seed=seed))
        assert len(task.cards) == CARDS[stage]
        if stage not in BY_LOOK:
            assert len({card.picture.id for card in task.cards}) == CARDS[stage]
        for rule in task.rules:
            there = Counter(rule.area(card) for card in task.cards)
            assert sum(there.values()) == CARDS[stage]
            assert there[NEITHER] == (2 if stage == 4 else 0)
    assert len(task.rules) == (2 if stage == 6 else 1)


@pytest.mark.parametrize("name", FIRST_THREE)
@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", [LETTER, A4])
def test_the_key_is_what_the_theme_says(name: str, stage: int, paper: object) -> None:
    options = Options(paper=paper, seed=3)  # type: ignore[arg-type]
    sheet = make(sort_mat.from_theme(load(name), stage, options), options)
    *mats, cards = sheet.pages

    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert not any(ink_outside(page, 12.7 - 1e-9) for page in sheet.pages)
    answers = sheet.parameters["answer"]
    assert isinstance(answers, list)
    assert len(answers) == len(mats) == (2 if stage == 6 else 1)
    for mat, answer in zip(mats, answers, strict=True):
        assert areas_of(mat) == list(answer)
        assert sum(map(len, answer.values())) == len(cards_of(cards))
    assert len(areas_of(mats[0])) == AREAS[stage]
    if stage in BY_LOOK:
        assert Counter(Counter(art for art in cards_of(cards)).values()) or stage == 1
        return
    rules = [row for row in load(name).rows(SORTS) if set(row.bins) <= set(answers[0])]
    known = pictures(name, rules[0].title)
    solved = Counter(shown(art, known) for art in cards_of(cards))
    assert solved == Counter({area: len(words) for area, words in answers[0].items() if words})


def test_every_area_has_a_card_and_an_example_that_is_on_none() -> None:
    theme = load("reedy-pond")
    for stage in (2, 3, 4, 5):
        sheet = make(sort_mat.from_theme(theme, stage, Options()), Options())
        mat, cards = sheet.pages
        examples = {m.artwork.id.partition("-line")[0] for m in mat.marks
                    if isinstance(m, Place) and m.role is Role.MODEL}  # fmt: skip
        assert len(examples) == AREAS[stage] - (stage == 4)
        assert not examples & {art.partition("-line")[0] for art in cards_of(cards)}


def test_low_vision_has_four_cards_at_the_most() -> None:
    for stage in STAGES:
        options = Options(needs=("low-vision",))
        task: SortTask = sort_mat.from_theme(load("reedy-pond"), stage, options)
        assert len(task.cards) <= 4


def test_words_are_two_areas_by_look() -> None:
    sheet: Sheet = make(sort_mat.from_words(["duck", "frog"], 0, Options()), Options())

    assert sorted(areas_of(sheet.pages[0])) == ["duck", "frog"]
    assert len(cards_of(sheet.pages[1])) == 4
    assert all(isinstance(m, Fill | Place) for m in sheet.pages[1].marks if m.role is Role.CARD)


def test_what_may_lie_in_several_areas_is_on_the_key() -> None:
    theme = load("bean-row-garden")
    sheet = make(sort_mat.from_theme(theme, 5, Options(), sort="What shape is it?"), Options())

    said = [m.text for m in sheet.key[0].marks if isinstance(m, Text)]
    assert "Talk about it: pepper may lie in several." in said
    assert any(line.startswith("Also accept") for line in said)


@pytest.mark.parametrize(
    ("choices", "message"),
    [
        ({"sort": "weight"}, "`sort`: the theme Reedy Pond has no sort 'weight'; use one of: 1 "),
        ({"sort": "3"}, "`sort`: the theme Reedy Pond has no sort '3'; use one of: 1 "),
    ],
)
def test_bad_choices(choices: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        sort_mat.from_theme(load("reedy-pond"), 3, Options(), **choices)
    assert str(caught.value).startswith(message)


def test_without_a_sort_or_pictures() -> None:
    words = b'title = "Bare"\n[[words]]\ntext = "duck"\npicture = "1F986"\n'
    theme = parse(words, "bare.toml", __import__("pathlib").Path())
    with pytest.raises(InputError, match=r"Bare has no sort; add \[\[sorts\]\] to its file"):
        sort_mat.from_theme(theme, 3, Options())
    with pytest.raises(InputError, match="1 picture where 2 are needed"):
        sort_mat.from_theme(theme, 0, Options())
