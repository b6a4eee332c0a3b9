"""Cards to put in order: rows read from the finished marks and solved by size or sign alone."""

from __future__ import annotations

import itertools
import string
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.affine import Affine
from shapes.errors import FitError, InputError
from shapes.path import BBox, Path
from shapes.pictures.pictures import resolve
from sheets.files.theme_file import load
from sheets.kinds.options import Options
from sheets.kinds.order_cards.cards import sized
from sheets.kinds.order_cards.task import OrderTask
from sheets.kinds.settings import setting
from sheets.page.frame import A4, LETTER
from sheets.page.ink_box import ink_of_place
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, Artwork, Fill, Page, Place, Role, Sheet, Stroke, Text
from tests.all_themes import FIRST_THREE
from tests.ink import ink_outside
from tests.making import Making, make

order_cards = Making("order-cards")
POND = load("reedy-pond")
STAGES = range(7)
SIZES = (3, 3, 3, 4, 5, 5, 6)
RATIOS = (1.7, 1.5, 1.5, 1.3, 1.2, 1.15, 1.1)
NUMBERS = {2: 3, 3: 5, 4: 5, 5: 10, 6: 10}
LETTERS = {2: 3, 3: 5, 4: 5, 5: 6, 6: 8}


def made(stage: int, options: Options | None = None, **choices: Any) -> Sheet:
    asked = options or Options()
    return make(order_cards.from_theme(POND, stage, asked, **choices), asked)


def stroked_box(place: Place) -> BBox:
    """Box round the ink by the outlines' own points, which knows nothing of the page's measures."""
    xs, ys = [], []
    for mark in place.artwork.marks:
        half = mark.width * place.at.scale / 2.0 if isinstance(mark, Stroke) else 0.0
        for path in mark.paths if mark.colour != WHITE else ():
            for x, y in map(place.at.apply, path.flatten(0.001)):
                xs += [x - half, x + half]
                ys += [y - half, y + half]
    return BBox(min(xs), min(ys), max(xs), max(ys))


def loose_sizes(page: Page) -> list[float]:
    """Longer sides of the pictures on the loose cards, in their order on the page."""
    boxes = [stroked_box(m) for m in page.marks if isinstance(m, Place) and m.role is Role.CARD]
    return [max(box.width, box.height) for box in boxes]


def loose_signs(page: Page) -> list[str]:
    return [m.text for m in page.marks if isinstance(m, Text) and m.role is Role.CARD]


def row_of(page: Page) -> list[str | None]:
    """The places of a board read like text, each with what is printed in it."""
    boxes = [m for m in page.marks if isinstance(m, Stroke) and len(m.paths) == 1
             and m.paths[0].closed and m.role in (Role.ANSWER_SPACE, Role.MODEL)]  # fmt: skip
    boxes.sort(key=lambda m: (-round(m.paths[0].bbox.y0, 3), m.paths[0].bbox.x0))
    texts = [m for m in page.marks if isinstance(m, Text) and m.id.startswith("given")]
    read: list[str | None] = []
    for mark in boxes:
        box = mark.paths[0].bbox
        inside = [t.text for t in texts if box.x0 < t.x < box.x1 and box.y0 < t.y < box.y1]
        read.append(inside[0] if inside else None)
    return read


def filled(row: list[str | None], loose: list[str], alphabet: list[str]) -> list[list[str]]:
    """Every way to fill the gaps of a row so that it runs along an alphabet without a leap."""
    ways = []
    for start in range(len(alphabet) - len(row) + 1):
        run = alphabet[start : start + len(row)]
        fits = all(there in (None, sign) for there, sign in zip(row, run, strict=True))
        needed = [sign for there, sign in zip(row, run, strict=True) if there is None]
        if fits and sorted(needed) == sorted(loose):
            ways.append(needed)
    return ways


# --- the answer is the only one -------------------------------------------------------------------


@pytest.mark.parametrize("stage", STAGES)
def test_tasks_of_a_thousand_seeds_have_one_order_and_are_not_given_in_it(stage: int) -> None:
    for seed in range(1000):
        task: OrderTask = order_cards.from_theme(POND, stage, Options(seed=seed))
        assert list(task.loose) != sorted(task.loose)
        assert len(set(task.loose)) == len(task.loose)
        if task.sizes:
            steps = [b - a for a, b in itertools.pairwise(task.sizes)]
            assert min(steps) >= 3.0
            continue
        row: list[str | None] = [
            None if k in task.loose else sign for k, sign in enumerate(task.row)
        ]
        loose = [task.row[k] for k in task.loose]
        alphabet = [str(number) for number in range(21)]
        assert filled(row, loose, alphabet) == [[task.row[k] for k in sorted(task.loose)]]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_sizes_read_from_the_cards_are_those_of_the_key(stage: int, paper: Any) -> None:
    for seed in range(3):
        sheet = made(stage, Options(seed=seed, paper=paper), what="sizes")
        board, cards = sheet.pages
        read = loose_sizes(cards)
        ordered = sorted(read)

        assert len(read) == SIZES[stage]
        assert read != ordered
        assert sheet.parameters["answer"] == [f"{size:.1f} mm" for size in ordered]
        assert sheet.answers[0].text.endswith(", ".join(f"{size:.1f} mm" for size in ordered))
        for small, large in itertools.pairwise(ordered):
            assert large / small == pytest.approx(RATIOS[stage], abs=0.002)
            assert large - small >= 3.0
        assert ordered[0] >= 25.0
        assert ordered[-1] <= 120.0
        assert not any(f.outside for f in sheet.findings)
        assert not any(ink_outside(page, 12.7 - 1e-9) for page in (board, cards))


@pytest.mark.parametrize(("what", "counts"), [("numbers", NUMBERS), ("letters", LETTERS)])
@pytest.mark.parametrize("stage", range(2, 7))
def test_signs_read_from_board_and_cards_have_one_order(
    what: str, counts: dict[int, int], stage: int
) -> None:
    alphabet = [str(n) for n in range(21)] if what == "numbers" else list(string.ascii_uppercase)
    for options in (Options(seed=1), Options(paper=A4, hand="left", ink="saver")):
        sheet = made(stage, options, what=what)
        board, cards = sheet.pages
        row = row_of(board)

        assert len(row) == counts[stage]
        assert row.count(None) == len(loose_signs(cards)) == (4 if stage == 6 else counts[stage])
        assert sheet.parameters["answer"] in filled(row, loose_signs(cards), alphabet)
        if row[0] is not None:  # a row with its first sign printed has one order only
            assert len(filled(row, loose_signs(cards), alphabet)) == 1
        assert not any(f.outside for f in sheet.findings)


@pytest.mark.parametrize("name", FIRST_THREE)
@pytest.mark.parametrize(
    "needs", [("low-vision",), ("mouths-objects",), ("colour-vision", "not-cutting")]
)
def test_needs_keep_the_limits(name: str, needs: tuple[str, ...]) -> None:
    for stage in STAGES:
        options = Options(needs=needs, paper=A4, colour=True)
        sheet = make(order_cards.from_theme(load(name), stage, options), options)
        assert not any(f.outside for f in sheet.findings), (stage, needs)
        papers = [m for m in sheet.pages[1].marks if isinstance(m, Fill) and m.colour == WHITE]
        if "low-vision" in needs:
            assert len(papers) <= 4
        if "mouths-objects" in needs:
            assert all(min(mark_bbox(m).width, mark_bbox(m).height) >= 40.0 for m in papers)
            assert all(max(mark_bbox(m).width, mark_bbox(m).height) >= 54.0 for m in papers)


# --- what is on a page ----------------------------------------------------------------------------


def test_each_place_has_as_many_pictures_above_it_as_its_number() -> None:
    for stage in (2, 3):
        board, cards = made(stage).pages
        places = [m.paths[0].bbox for m in board.marks
                  if isinstance(m, Stroke) and m.role is Role.ANSWER_SPACE]  # fmt: skip
        pictures = [mark_bbox(m).center[0] for m in board.marks
                    if isinstance(m, Place) and m.role is Role.MODEL]  # fmt: skip
        stairs = [sum(box.x0 < x < box.x1 for x in pictures) for box in places]
        assert stairs == list(range(1, NUMBERS[stage] + 1))
        dots = {m.id: len(m.paths) for m in cards.marks
                if isinstance(m, Fill) and m.colour != WHITE}  # fmt: skip
        assert [str(dots[m.id]) for m in cards.marks if isinstance(m, Text) and m.id in dots] == (
            loose_signs(cards)
        )


def test_a_line_below_every_numeral_tells_six_from_nine() -> None:
    for stage, lines in ((4, 0), (5, 10), (6, 4)):
        marks = made(stage).pages[1].marks
        under = [m for m in marks if isinstance(m, Stroke) and m.role is Role.CARD]
        assert len(under) == lines
        text = {m.id: m for m in marks if isinstance(m, Text) and m.role is Role.CARD}
        for mark in under:
            gap = text[mark.id].y - mark.paths[0].bbox.y1 - mark.width / 2.0
            assert 1.0 < gap < 4.0


def test_pictures_stand_on_a_line_until_stage_three() -> None:
    for stage in STAGES:
        marks = made(stage, what="sizes").pages[1].marks
        lines = {m.id: m for m in marks if isinstance(m, Stroke) and m.role is Role.CARD}
        assert bool(lines) is (stage <= 3)
        for place in (m for m in marks if isinstance(m, Place) and m.id in lines):
            line = lines[place.id]
            assert stroked_box(place).y0 == pytest.approx(
                line.paths[0].bbox.y0 + line.width / 2.0, abs=0.01
            )


def test_places_go_from_shown_to_bare() -> None:
    def board(stage: int) -> tuple[int, int, int]:
        marks = made(stage, what="sizes").pages[0].marks
        boxes = [m for m in marks if isinstance(m, Stroke) and m.role is Role.ANSWER_SPACE]
        return (
            sum(m.paths[0].closed for m in boxes),
            sum(isinstance(m, Place) and m.role is Role.ANSWER_SPACE for m in marks),
            sum(m.role is Role.GUIDE for m in marks),
        )

    assert [board(stage) for stage in STAGES] == [
        (3, 3, 3), (3, 0, 3), (3, 0, 2), (4, 0, 2), (5, 0, 2), (2, 0, 2), (2, 0, 2),
    ]  # fmt: skip


@given(st.floats(25.0, 120.0), st.floats(0.5, 6.0), st.floats(0.2, 5.0))
def test_a_picture_is_as_large_as_asked_whatever_its_lines(
    longest: float, line: float, form: float
) -> None:
    from shapes.pictures.picture import Picture
    from shapes.svg.read import Shape

    outline = Path.from_points([(0, 0), (20, 0), (20, 20 * form), (0, 20 * form)], closed=True)
    shape = Shape((outline,), fill=None, stroke="#000000", stroke_width=line)
    picture = Picture(
        id="bar",
        name="bar",
        line=(shape,),
        colour=(),
        bbox=outline.bbox.grown(line / 2.0),
        credit="",
        source="own",
    )
    box = stroked_box(sized(picture, longest, (50.0, 60.0), Options()))

    assert max(box.width, box.height) == pytest.approx(longest, abs=1e-6)
    assert box.center == pytest.approx((50.0, 60.0))


def test_white_is_no_ink_of_a_picture() -> None:
    white = Fill((Path.circle((0.0, 0.0), 9.0),), Role.ART, colour=WHITE)
    dot = Fill((Path.circle((0.0, 0.0), 2.0),), Role.ART)
    art = Artwork("dot", (white, dot), BBox(-9.0, -9.0, 9.0, 9.0))

    assert ink_of_place(Place(art, Affine.scaling(2.0))) == BBox(-4.0, -4.0, 4.0, 4.0)
    bare = Artwork("bare", (white,), BBox(-9.0, -9.0, 9.0, 9.0))
    assert ink_of_place(Place(bare, Affine())) == bare.bbox


# --- labels ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("choices", "size", "count"),
    [
        ({"labels": "spines"}, (25.0, 60.0), 10),
        ({"labels": "spines", "width": 20, "height": 50}, (20.0, 50.0), 10),
        ({"labels": "jars"}, (55.0, 55.0), 10),
        ({"labels": "jars", "height": 40}, (40.0, 40.0), 10),
        ({"labels": "jars", "what": "letters", "width": 70, "height": 40}, (70.0, 40.0), 6),
    ],
)
def test_labels_have_the_size_that_is_asked_for(
    choices: dict[str, Any], size: tuple[float, float], count: int
) -> None:
    if choices == {"labels": "jars"}:  # ten circles of 55 mm are more than a page holds
        with pytest.raises(FitError):
            made(5, **choices)
        return
    sheet = made(5, **choices)
    (page,) = sheet.pages
    ticks = {m.id: m for m in page.marks if isinstance(m, Stroke) and m.id.startswith("card-cut")}
    downs = sorted({p.bbox.x0 for m in ticks.values() for p in m.paths if p.bbox.width == 0.0})
    across = sorted({p.bbox.y0 for m in ticks.values() for p in m.paths if p.bbox.height == 0.0})
    signs = [m for m in page.marks if isinstance(m, Text) and m.role is Role.LETTER]

    assert {round(b - a, 6) for a, b in itertools.pairwise(downs)} == {size[0]}
    assert {round(b - a, 6) for a, b in itertools.pairwise(across)} == {size[1]}
    assert len(signs) == count
    assert sheet.parameters["answer"] == [m.text for m in signs]
    assert sheet.answers[0].text == ", ".join(m.text for m in signs)
    assert not page.again
    assert not any(f.outside for f in sheet.findings)
    for sign in signs:  # each inside its own label
        box = mark_bbox(sign)
        assert any(a < box.x0 and box.x1 < b for a, b in itertools.pairwise(downs))
        assert any(a < box.y0 and box.y1 < b for a, b in itertools.pairwise(across))


@pytest.mark.parametrize(
    ("stage", "choices", "message"),
    [
        (0, {"what": "numbers"}, "`what`: stage 0 has no row of numbers; take sizes, or use st"),
        (1, {"what": "letters"}, "`what`: stage 1 has no row of letters; take sizes, or use st"),
        (1, {"labels": "jars"}, "`labels`: labels have numerals or letters on them, not sizes; "),
        (4, {"width": 30}, "`width`: only labels have a size of their own; leave it out, or ask "),
        (4, {"height": 30}, "`height`: only labels have a size of their own; leave it out, or as"),
        (3, {"labels": "spines", "width": 15, "height": 25},
         "`height`: 15 x 25 mm has no room for '5' at 18 pt; make it larger"),
        (5, {"labels": "jars", "width": 80}, "cards: 10 cards of 80 x 80 mm do not fit 176 x 192"),
    ],
)  # fmt: skip
def test_bad_choices(stage: int, choices: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as caught:
        made(stage, **choices)
    assert str(caught.value).startswith(message)


def test_the_settings_are_those_that_the_pages_are_made_by() -> None:
    assert tuple(setting("order-cards", stage, "sizes") for stage in STAGES) == SIZES
    assert tuple(setting("order-cards", stage, "ratio") for stage in STAGES) == RATIOS


def test_a_row_of_numbers_has_a_picture_of_one_thing() -> None:
    """Two cherries above the 1 would be counted as two; where there is nothing else they stay."""
    words = ["cherries", "duck", "socks"]
    for seed in range(8):
        task = order_cards.from_words(words, 2, Options(seed=seed))
        assert task.picture == resolve("duck")
    assert order_cards.from_words(["cherries"], 2, Options()).picture == resolve("cherries")
