"""Which things go on a page: the theme's, given ones, and every refusal in one clear line."""

from __future__ import annotations

import dataclasses

import pytest

from shapes.errors import FitError, InputError
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.options import Options
from sheets.kinds.shadow_match.task import ShadowTask
from sheets.kinds.trace_match.section import things_of
from sheets.kinds.trace_match.task import TraceMatchTask, parse_thing
from sheets.kinds.trace_match.task import of_things as from_things
from sheets.page.frame import A4
from tests.making import make, trace_match, with_rows

from_theme = trace_match.from_theme
from_words = trace_match.from_words

STAGES = range(7)


def test_objects_where_the_theme_has_them_shadows_on_request_and_for_words() -> None:
    theme, options = load("reedy-pond"), Options()
    assert isinstance(from_theme(theme, 3, options), TraceMatchTask)
    assert isinstance(from_theme(theme, 3, options, form="objects"), TraceMatchTask)
    assert isinstance(from_theme(theme, 3, options, form="shadow"), ShadowTask)
    bare = with_rows(theme, "objects")
    assert isinstance(from_theme(bare, 3, options), ShadowTask)
    assert isinstance(from_words(["duck", "fish"], 3, options), ShadowTask)


def test_given_things_replace_the_themes_and_keep_its_title_and_picture() -> None:
    task = from_theme(load("reedy-pond"), 2, Options(), thing=("can211", "A6"))
    assert isinstance(task, TraceMatchTask)
    assert [thing.name for thing in task.things] == ["small food can", "A6 card"]
    assert (task.title, task.badge) == ("Reedy Pond", load("reedy-pond").words[0].picture)


@pytest.mark.parametrize("stage", STAGES)
def test_coins_of_a_theme_are_never_chosen(stage: int) -> None:
    coins = tuple(parse_thing(name) for name in ("us-quarter", "us-half", "euro-2"))
    theme = load("reedy-pond")
    with_coins = dataclasses.replace(
        theme, sections={**theme.sections, "objects": ((*coins, *things_of(theme)),)}
    )
    for seed in range(5):
        options = Options(seed=seed, needs=("mouths-objects",))
        task = from_theme(with_coins, stage, options)
        assert isinstance(task, TraceMatchTask)
        assert not {thing.name for thing in task.things} & {coin.name for coin in coins}
        assert task.remarks[0] == "US quarter is not used: a small part is for adults."
        make(task, options)


def test_a_page_with_a_coin_is_outside_guidance_and_says_who_handles_it() -> None:
    options = Options()
    sheet = make(from_things(["us-half", "can211"], 4, options), options)
    assert any(f.outside and f.limit == "target size" for f in sheet.findings)
    assert "Small parts, handled by an adult only: US half dollar." in sheet.cautions


NEAR_TWINS = [  # our computation from the library: difference of the diameters
    ("can300", "puck", "food can 300 (76.2 mm across) and ice-hockey puck (76.2 mm across)", "0.0"),
    (
        "can307",
        "lidW",
        "food can 307 (87.3 mm across) and preserving-jar lid, wide (86 mm across)",
        "1.3",
    ),
    (
        "can211",
        "lidR",
        "small food can (68.3 mm across) and preserving-jar lid, regular (70 mm across)",
        "1.7",
    ),
    ("can303", "can307", "food can 303 (81 mm across) and food can 307 (87.3 mm across)", "6.3"),
]


@pytest.mark.parametrize(("one", "other", "names", "mm"), NEAR_TWINS)
def test_near_twins_are_refused_by_name(one: str, other: str, names: str, mm: str) -> None:
    with pytest.raises(InputError) as caught:
        from_things([one, "A7", other], 6, Options())
    assert str(caught.value) == (
        f"things: {names} differ by only {mm} mm, so either would fit both outlines; leave one of "
        "them out"
    )


def test_near_twins_are_refused_in_a_task_made_by_hand_too() -> None:
    task = TraceMatchTask(4, (parse_thing("can300"), parse_thing("can303")))
    with pytest.raises(InputError, match=r"differ by only 4\.8 mm"):
        make(task, Options())


@pytest.mark.parametrize(
    ("things", "stage", "options", "message"),
    [
        (
            ["can401", "pot=83", "A6"],
            2,
            Options(),
            "things: 3 outlines do not fit letter paper, upright or on its side, with 25 mm "
            "between them; leave out A6 card",
        ),
        (
            ["can307", "can603", "A6"],
            6,
            Options(paper=A4),
            "things: 3 outlines do not fit a4 paper, upright or on its side, with 10 mm between "
            "them; leave out catering can",
        ),
        (
            ["can603", "DL", "A6"],
            6,
            Options(),
            "things: 3 outlines do not fit letter paper, upright or on its side, with 10 mm "
            "between them; leave out catering can and DL envelope or catering can and A6 card or "
            "DL envelope and A6 card",
        ),
        (
            ["can211", "tray=250x180"],
            6,
            Options(),
            "things: tray (250 x 180 mm) is larger than the page has room for on letter paper; "
            "leave out tray",
        ),
    ],
)
def test_what_does_not_fit_is_named_with_what_to_leave_out(
    things: list[str], stage: int, options: Options, message: str
) -> None:
    task = from_things(things, stage, options)
    with pytest.raises(FitError) as caught:
        make(task, options)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("things", "stage", "options", "message"),
    [
        (["can211"], 2, Options(), "things: 1 outline for a page; give 2 to 8 things"),
        ([], 2, Options(), "things: 0 outlines for a page; give 2 to 8 things"),
        (
            ["can211", "can307", "can401", "ID1", "A7"],
            4,
            Options(needs=("low-vision",)),
            "things: 5 outlines for a page for low vision; give 2 to 4 things",
        ),
        (
            ["can211", "us-quarter"],
            4,
            Options(needs=("mouths-objects",)),
            "things: US quarter (24.26 mm across) is a small part and not for a child who mouths "
            "things; leave it out, or take something larger",
        ),
        (
            ["can211", "cap=28"],
            4,
            Options(needs=("mouths-objects",)),
            "things: cap (28 mm across) is a small part and not for a child who mouths things; "
            "leave it out, or take something larger",
        ),
        (
            ["can211", "A7"],
            7,
            Options(),
            "`stage`: stage 7 does not exist; use a whole number, 0 to 6",
        ),
        (
            ["can212", "A7"],
            2,
            Options(),
            "no object called 'can212' in the library; did you mean can211 or can401?",
        ),
        (
            ["teapot", "A7"],
            2,
            Options(),
            "no object called 'teapot' in the library; measure it and write "
            "{ name = ..., diameter_mm = ... } or { name = ..., width_mm = ..., depth_mm = ... }",
        ),
        (
            ["tub=wide", "A7"],
            2,
            Options(),
            "`thing`: the measures in 'tub=wide' cannot be read; write an id such as can211, or in "
            "mm: tub=62 (across), box=120x65, or box=120x65x4 with its corner radius",
        ),
        (
            ["tub=-62", "A7"],
            2,
            Options(),
            "`thing`: the measures in 'tub=-62' cannot be read; write an id such as can211, or in "
            "mm: tub=62 (across), box=120x65, or box=120x65x4 with its corner radius",
        ),
        (
            ["tub=620", "A7"],
            2,
            Options(),
            "diameter_mm 620 of 'tub' is outside what a page can show; choose 10 to 270 mm",
        ),
        (
            ["box=60x40x30", "A7"],
            2,
            Options(),
            "corner_mm 30 of 'box' is not possible; choose 0 to 20, half the shorter side",
        ),
    ],
)
def test_bad_input_is_one_clear_line(
    things: list[str], stage: int, options: Options, message: str
) -> None:
    with pytest.raises(InputError) as caught:
        from_things(things, stage, options)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("names", "stage", "message"),
    [
        (
            [],
            3,
            "objects.trace: Reedy Pond has no things to match; add things there, or make a "
            "shadow-match sheet",
        ),
        (
            ["us-quarter", "can211"],
            3,
            "objects.trace: Reedy Pond has 1 thing to match; add things there, or make a "
            "shadow-match sheet",
        ),
        (
            ["can300", "can307"],
            2,
            "objects.trace: no two things of Reedy Pond differ by the 20 mm of stage 2; the most "
            "is 11.1 mm, food can 300 and food can 307; add a thing of another size, or make a "
            "shadow-match sheet",
        ),
        (
            ["can603", "DL"],
            2,
            "objects.trace: no two things of Reedy Pond that differ by 20 mm fit letter paper with "
            "25 mm between them; add a smaller thing, or make a shadow-match sheet",
        ),
    ],
)
def test_a_theme_without_a_set_for_the_stage_says_why(
    names: list[str], stage: int, message: str
) -> None:
    objects = tuple(parse_thing(name) for name in names)
    theme = dataclasses.replace(
        load("reedy-pond"), sections={**load("reedy-pond").sections, "objects": (objects,)}
    )
    with pytest.raises(InputError) as caught:
        from_theme(theme, stage, Options(), form="objects")
    assert str(caught.value) == message


def test_things_on_a_shadow_page_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        from_theme(load("reedy-pond"), 3, Options(), form="shadow", thing=("can211",))
    assert str(caught.value) == (
        "`thing`: things have no place on a shadow page; give only one of both"
    )


def test_the_table_of_kinds_finds_it() -> None:
    assert KINDS["trace-match"].skill == "matching"
