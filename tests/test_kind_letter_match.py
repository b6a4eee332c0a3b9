"""Letter pages: one answer for each thing asked, the key's; limits kept; words by language."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

import pytest

from shapes.pictures.pictures import curated
from sheets.files.theme_file import load
from sheets.kinds.letter_match.drawing import (
    Drawing,
    card_page,
    fitted,
    lines_page,
    look,
    mat_page,
    sort_page,
)
from sheets.kinds.letter_match.order import arrangements, straight
from sheets.kinds.letter_match.task import LetterTask
from sheets.kinds.options import HANDS, Options
from sheets.page.frame import A4, LETTER, Frame
from sheets.page.marks import mark_bbox
from sheets.page.model import Fill, Mark, Page, Place, Role, Sheet, Stroke, Text
from sheets.theme.theme import Theme
from tests.all_themes import FIRST_THREE
from tests.making import letter_match, make

from_theme, from_words = letter_match.from_theme, letter_match.from_words

STAGES = range(7)
SEEDS = range(1000)
LANGUAGES = ("en", "es", "fr", "de", "it", "pt")
POND = load("reedy-pond")
MANY = [word.text for word in curated()][::4]
"""Enough words for three letters with two words each."""
HARBOUR = load("tide-side-harbour")
DEFAULT_FORMS = ("same", "same", "same", "same", "first", "small", "sort")

# Chi-squared, upper 1 % point by degrees of freedom: NIST/SEMATECH e-Handbook of Statistical
# Methods, section 1.3.6.7.4, https://www.itl.nist.gov/div898/handbook/
CRITICAL = {1: 6.635, 2: 9.210, 3: 11.345}
# Upper 0.1 % points of the same table, where some fifty statistics are looked at together.
CRITICAL_OF_MANY = {1: 10.828, 2: 13.816, 3: 16.266}


# --- an independent solver: it sees marks, not tasks ----------------------------------------------


def things(marks: Iterable[Mark], role: Role) -> list[Text | Place]:
    return [m for m in marks if isinstance(m, (Text, Place)) and m.role is role]


def shown(mark: Text | Place) -> str:
    """What a person sees: the letter, or the picture by its English name."""
    return mark.text if isinstance(mark, Text) else mark.artwork.alt


def fits(form: str, target: Text | Place, choice: Text | Place) -> bool:
    if form == "same":
        return shown(target) == shown(choice)
    if form == "small":
        return shown(target).isupper() and shown(target).lower() == shown(choice)
    return isinstance(target, Place) and shown(target)[0].upper() == shown(choice)


def solve(form: str, targets: Sequence[Mark], choices: Sequence[Mark]) -> dict[str, list[str]]:
    """For each target every choice that answers it."""
    offered = [m for m in things(choices, Role.CHOICE) if isinstance(m, Text)]
    return {
        target.id: [c.id for c in reachable(target, offered) if fits(form, target, c)]
        for target in things(targets, Role.TARGET)
    }


def reachable(target: Text | Place, offered: Sequence[Text]) -> list[Text]:
    """On a page with two groups the choices of the first row below the target; else all."""
    if len({c.id.split("-")[1] for c in offered}) == 1:
        return list(offered)
    if offered[0].id.count("-") == 1:
        return list(offered)  # a mat, on a page of its own
    y = mark_bbox(target).y0
    nearest = max(c.y for c in offered if c.y < y)
    return [c for c in offered if c.y == nearest]


def answers(sheet: Sheet) -> dict[str, list[str]]:
    rows = sheet.parameters["answer"]
    assert isinstance(rows, list)
    return {row["target"]: [row["choice"]] for row in rows}


def outside(sheet: Sheet) -> list[str]:
    return [finding.sentence() for finding in sheet.findings if finding.outside]


# --- one answer, the key's ------------------------------------------------------------------------


@pytest.mark.parametrize("stage", range(1, 7))
def test_a_page_of_lines_has_one_answer_and_it_is_the_keys(stage: int) -> None:
    """1,000 seeds a stage: the drawing's joins are what the key draws."""
    places: Counter[int] = Counter()
    for seed in SEEDS:
        options = Options(seed=seed)
        task = from_theme(POND, stage, options)
        drawing = drawn(task, options)

        solved = solve(task.form, drawing.marks, drawing.marks)
        key = {target: [choice] for target, choice, _, _ in drawing.joins}

        assert task.form == DEFAULT_FORMS[stage]
        assert solved == key
        places[int(solved["target-1"][0].rpartition("-")[2])] += 1
    assert_uniform(places, len(task.blocks[0].choices))


def drawn(task: LetterTask, options: Options) -> Drawing:
    """The page of lines, as it is put on paper."""
    frame = Frame(LETTER)
    sizes = fitted(look(task.stage, options, on_cards=False), task.blocks, frame)
    if len(task.blocks[0].targets) > len(task.blocks[0].choices):
        return sort_page(task.blocks[0], frame, sizes)
    return lines_page(task.blocks, frame, sizes)


# --- where the answers stand ----------------------------------------------------------------------


def straight_below(targets: Sequence[Mark], solved: dict[str, list[str]]) -> list[list[str]]:
    """The targets whose answer has its middle under (or above) them, for each row of targets."""
    middles = {m.id: mark_bbox(m).center[0] for m in things(targets, Role.CHOICE)}
    rows: dict[float, list[str]] = {}
    for target in things(targets, Role.TARGET):
        box = mark_bbox(target)
        level = target.y if isinstance(target, Text) else round(box.center[1], 1)
        row = rows.setdefault(level, [])
        if box.x0 < middles[solved[target.id][0]] < box.x1:
            row.append(target.id)
    return list(rows.values())


@pytest.mark.parametrize(
    ("form", "stage"),
    [(form, stage) for form in ("same", "small", "first") for stage in range(1, 7)]
    + [("sort", stage) for stage in range(3, 7)],
)
def test_a_line_straight_down_is_never_the_rule(form: str, stage: int) -> None:
    """1,000 seeds: with two answers none stands straight below, with more at most one in a row;
    and the answer of every target of the first row is equally often at every place."""
    places: dict[str, Counter[int]] = {}
    for seed in SEEDS:
        options = Options(seed=seed)
        chosen = {"form": form, "layout": "lines"}
        if form == "sort":
            task = from_words(MANY, stage, options, **chosen)
        else:
            task = from_theme(POND, stage, options, **chosen)
        drawing = drawn(task, options)
        solved = {target: [choice] for target, choice, _, _ in drawing.joins}
        count = len(task.blocks[0].choices)

        for row in straight_below(drawing.marks, solved):
            assert len(row) <= (0 if count == 2 else 1), (seed, row)
        for target in list(solved)[: min(count, len(task.blocks[0].targets))]:
            found = places.setdefault(target, Counter())
            found[int(solved[target][0].rpartition("-")[2])] += 1
    for found in places.values():
        assert_uniform(found, count, CRITICAL_OF_MANY)


def test_two_answers_stand_shifted_as_often_as_crossed() -> None:
    """An answer that always stands on the other side would be told without its letter."""
    sides = Counter(
        (block.shift, block.targets[0].answer == block.choices[0])
        for seed in SEEDS
        for block in from_theme(POND, 2, Options(seed=seed)).blocks
    )

    assert set(sides) == {(0, False), (1, True), (-1, True)}
    assert_uniform(Counter(ordered for _, ordered in sides.elements()), 2)


@pytest.mark.parametrize(
    ("letters", "form"), [(("W", "O"), "same"), (("M", "D"), "same"), (("W", "O"), "small")]
)
@pytest.mark.parametrize("needs", [(), ("low-vision",)])
def test_two_of_the_widest_letters_keep_their_gap(
    letters: tuple[str, ...], form: str, needs: tuple[str, ...]
) -> None:
    for stage in (1, 2):
        for seed in range(6):
            options = Options(seed=seed, needs=needs)
            task = from_theme(POND, stage, options, form=form, letters=letters)
            sheet = make(task, options)

            assert outside(sheet) == []
            assert float(str(sheet.parameters["letter_mm"])) >= 40.0


def test_arrangements_are_counted() -> None:
    """Counts from outside: of n! orders n times the derangements of n - 1 have exactly one fixed
    point (D(2) = 1, D(3) = 2; https://oeis.org/A000240: 3, 8)."""
    assert len(arrangements(3, 3)) == 3
    assert len(arrangements(4, 4)) == 8
    assert arrangements(2, 2) == ((0, 1), (1, 0))
    assert {straight(p, 4) for p in arrangements(3, 4)} == {0, 1}
    assert arrangements(2, 3) == ((0, 1), (1, 2), (2, 0))


def test_large_cards_of_stage_0_have_one_place_and_it_is_the_keys() -> None:
    places: Counter[int] = Counter()
    for seed in SEEDS:
        options = Options(seed=seed)
        task = from_theme(POND, 0, options)
        sizes = look(0, options, on_cards=True)
        targets = [target for target in task.blocks[0].targets for _ in range(task.copies)]
        mat = mat_page(task.blocks[0], Frame(LETTER), sizes, 75.0)
        cards, _ = card_page(targets, Frame(LETTER), sizes, 75.0)

        solved = solve("same", cards.marks, mat.marks)

        assert len(solved) == 4
        assert all(len(found) == 1 for found in solved.values())
        places["ab".index(solved["target-1"][0][-1])] += 1
    assert_uniform(places, 2)


def assert_uniform(
    places: Counter[int], count: int, critical: Mapping[int, float] = CRITICAL
) -> None:
    expected = sum(places.values()) / count
    statistic = sum((n - expected) ** 2 / expected for n in places.values())
    assert len(places) == count
    assert statistic < critical[count - 1], dict(places)


@pytest.mark.parametrize(
    ("form", "layout", "first_stage"),
    [(form, "lines", 1) for form in ("same", "small", "first")]
    + [(form, "cards", 0) for form in ("same", "small", "first")]
    + [("sort", "lines", 3), ("sort", "cards", 3)],
)
def test_the_finished_sheet_says_what_the_solver_finds(
    form: str, layout: str, first_stage: int
) -> None:
    for stage in range(first_stage, 7):
        finished_sheets_agree(form, layout, stage)


def finished_sheets_agree(form: str, layout: str, stage: int) -> None:
    for seed in range(4):
        options = Options(seed=seed)
        theme = HARBOUR if form == "sort" else POND  # two words a letter that have one name
        sheet = make(from_theme(theme, stage, options, form=form, layout=layout), options)
        first, last = sheet.pages[0].marks, sheet.pages[-1].marks

        assert solve(form, last, first) == answers(sheet)
        assert sheet.parameters["items"] == len(answers(sheet))


def test_the_key_joins_the_dots_of_every_answer() -> None:
    options = Options(seed=7)
    sheet = make(from_theme(POND, 5, options), options)
    (key,) = sheet.key
    dots = [m for m in sheet.pages[0].marks if isinstance(m, Fill) and m.role is Role.GUIDE]
    ends = {(round(p.bbox.center[0], 2), round(p.bbox.center[1], 2)) for d in dots for p in d.paths}
    lines = [m for m in key.marks if isinstance(m, Stroke) and m.id.startswith("answer-")]

    assert [line.id for line in lines] == [f"answer-{target}" for target in answers(sheet)]
    for line in lines:
        (path,) = line.paths
        for x, y in (path.start, path.end):
            assert (round(x, 2), round(y, 2)) in ends


def test_the_key_of_cards_names_what_belongs_in_each_box() -> None:
    options = Options(seed=1)
    sheet = make(from_theme(POND, 6, options, layout="cards"), options)
    (key,) = sheet.key
    words = [m for m in key.marks if isinstance(m, Text) and m.role is Role.ADULT]
    listed = [m.text for m in words if m.size_pt == 10.0]

    assert sorted(listed) == sorted(map(str, sheet.parameters["words"]))  # type: ignore[call-overload]
    for choice in things(key.marks, Role.CHOICE):
        inside = [m.text for m in words if m.size_pt == 10.0 and abs(m.x - choice.x) < 0.01]  # type: ignore[union-attr]
        assert len(inside) == 2
        assert {text[0].upper() for text in inside} == {shown(choice)}


# --- limits and looks -----------------------------------------------------------------------------


@pytest.mark.parametrize("theme", list(map(load, FIRST_THREE)), ids=lambda theme: theme.slug)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_every_built_in_page_is_within_guidance(theme: Theme, paper) -> None:  # type: ignore[no-untyped-def]
    found = {
        (stage, layout, needs): problems
        for stage in STAGES
        for layout in ("lines", "cards")
        if not (stage == 0 and layout == "lines")
        for needs in ((), ("low-vision",), ("mouths-objects",))
        for seed in range(2)
        if (
            problems := outside(
                make(
                    from_theme(
                        theme,
                        stage,
                        o := Options(paper=paper, seed=seed, needs=needs),
                        layout=layout,
                    ),
                    o,
                )
            )
        )
    }
    assert found == {}


def test_letters_pictures_gaps_and_choices_are_measured() -> None:
    options = Options(seed=2)
    names = {
        stage: {f.limit for f in make(from_theme(POND, stage, options), options).findings}
        for stage in STAGES
    }
    for stage in STAGES:
        assert {"letter height", "text size", "edge distance"} <= names[stage]
    for stage in range(1, 7):
        assert {"choices", "items per page", "item gap"} <= names[stage]
    assert "x height" in names[5]
    assert "loose piece width" in names[0]


@pytest.mark.parametrize(
    ("stage", "items", "choices", "letter_mm"),
    [(0, 4, 2, 40), (1, 2, 2, 50), (2, 2, 2, 40), (3, 3, 3, 30), (4, 4, 3, 25), (5, 6, 4, 22)],
)
def test_what_a_stage_asks(stage: int, items: int, choices: int, letter_mm: float) -> None:
    options = Options(seed=3)
    sheet = make(from_theme(POND, stage, options), options)

    assert sheet.parameters["items"] == items
    assert sheet.parameters["choices"] == choices
    assert sheet.parameters["letter_mm"] == letter_mm


def test_frame_title_and_picture_are_the_same_at_every_stage() -> None:
    seen = set()
    for stage in STAGES:
        options = Options(seed=stage, name="Zoë", paper=A4)
        for page in make(from_theme(POND, stage, options), options).pages:
            kept = [
                (m.id, *(round(v, 1) for v in where))
                for m in page.marks
                if m.id in ("name-line", "name", "title", "say", "badge", "bar-x", "bar-y")
                for b in [mark_bbox(m)]
                # The words of title and task differ; their start and size do not.
                for where in [
                    (m.x, m.y, m.size_pt) if isinstance(m, Text) else (b.x0, b.y0, b.x1, b.y1)
                ]
            ]
            seen.add(tuple(kept))
    assert len(seen) == 1
    assert len(next(iter(seen))) == 7


@pytest.mark.parametrize("layout", ["lines", "cards"])
def test_no_word_on_a_childs_page_gives_the_stage_away(layout: str) -> None:
    for stage in range(1, 7):
        for language in ("en", "fr"):
            options = Options(seed=stage, language=language)
            sheet = make(from_theme(POND, stage, options, layout=layout), options)
            for page in sheet.pages:
                text = " ".join(m.text for m in page.marks if isinstance(m, Text))
                assert not re.search(r"\b(stage|level|easy|hard|score|group)\b", text, re.I), text


def test_what_is_asked_stands_above_its_choices_for_either_hand() -> None:
    for hand in HANDS:
        options = Options(seed=4, hand=hand)
        page = make(from_theme(POND, 2, options), options).pages[0]
        low = min(mark_bbox(m).y0 for m in things(page.marks, Role.TARGET))
        assert low > max(mark_bbox(m).y1 for m in things(page.marks, Role.CHOICE))


def test_low_vision_shows_at_most_four_things_with_bold_lines() -> None:
    for stage in STAGES:
        options = Options(seed=stage, needs=("low-vision",))
        for page in make(from_theme(POND, stage, options), options).pages:
            things_shown = [*things(page.marks, Role.TARGET), *things(page.marks, Role.CHOICE)]
            assert 2 <= len(things_shown) <= 4
            for mark in things_shown:
                if isinstance(mark, Text):
                    assert mark.size_pt >= 150
                else:
                    widths = [s.width for s in mark.artwork.marks if isinstance(s, Stroke)]
                    assert min(widths) * mark.at.scale >= 2.0 - 1e-6


def test_cards_are_cut_straight_through_and_do_not_fit_the_small_parts_cylinder() -> None:
    for stage in STAGES:
        options = Options(seed=stage, needs=("mouths-objects",))
        sheet = make(from_theme(POND, stage, options, layout="cards"), options)
        mat, cards = sheet.pages
        papers = [m for m in cards.marks if isinstance(m, Fill) and m.id.startswith("card-")]
        ticks = [m.id for m in cards.marks if isinstance(m, Stroke) and m.id.startswith("card-cut")]

        assert (mat.stock, cards.stock) == ("plain", "card")
        assert len(papers) == sheet.parameters["items"]
        for paper in papers:
            box = paper.paths[0].bbox
            # 16 CFR 1501.4: a cylinder 1.25 in (31.75 mm) across.
            assert min(box.width, box.height) >= 50.0 > 31.75
        assert ticks == [f"card-cut-{i}" for i in range(1, len(ticks) + 1)]
        assert sheet.parameters["cuts"] == len(ticks)
        assert f"{len(ticks)} straight cuts" in sheet.preparation[0]
        assert any("small-parts cylinder" in line for line in sheet.cautions)


def test_the_same_seed_gives_the_same_page_and_another_seed_another() -> None:
    def page(seed: int) -> Page:
        options = Options(seed=seed)
        return make(from_theme(POND, 5, options), options).pages[0]

    assert page(1) == page(1)
    assert len({page(seed).marks for seed in range(5)}) == 5
