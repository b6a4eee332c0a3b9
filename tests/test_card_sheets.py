"""Shared sheets of cards, cut as their plan says: every child has the cards of the page, whole."""

from __future__ import annotations

import dataclasses
import functools
import itertools
import math
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FitError
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.check.overlap import touching
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.kinds.making import make_sheet
from sheets.kinds.source import Source
from sheets.packet.digest import CARD, Imposed, Trim
from sheets.packet.impose import Imposition
from sheets.packet.plan import Choices, Plan, PlannedSheet, make_plan
from sheets.page.card_sheets import Owned, card_pages, least_sheets
from sheets.page.frame import A4, LETTER, MARGIN, rectangle
from sheets.page.marks import mark_bbox
from sheets.page.model import WHITE, CardSet, Fill, Mark, Page, Paper, Place, Role, Text
from tests.packets import CLASS_FILE

THEMES = ("reedy-pond", "tide-side-harbour", "bean-row-garden")
LAMINATED = 8.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of card after all cuts: its place on the sheet, and the marks wholly on it."""

    box: BBox
    marks: tuple[Mark, ...]

    @property
    def label(self) -> str:
        """What its tag says; empty for waste."""
        found = [mark.text for mark in self.marks if isinstance(mark, Text) and mark.id == "tag"]
        return found[0] if len(found) == 1 else ""

    def shown(self) -> tuple[object, ...]:
        """What is printed on it, relative to its corner, without the tag."""
        return face_of([mark for mark in self.marks if mark.role is not Role.ADULT], self.box)


def face_of(marks: Sequence[Mark], box: BBox) -> tuple[object, ...]:
    """What marks show and where, in mm from the corner of their card."""
    rows = []
    for mark in marks:
        ink = mark_bbox(mark)
        what = mark.artwork.id if isinstance(mark, Place) else getattr(mark, "text", "")
        sides = (ink.x0 - box.x0, ink.y0 - box.y0, ink.x1 - box.x0, ink.y1 - box.y0)
        rows.append((type(mark).__name__, what, *(round(side, 3) + 0.0 for side in sides)))
    return tuple(sorted(rows, key=repr))


def cut_up(page: Page, trim: Trim) -> list[list[list[Piece]]]:
    """Blocks of strips of pieces, cut as the trim says and no otherwise.

    The cuts across part the paper from edge to edge; those down part the strips of their block,
    whose ticks stand in the strip below it.
    """
    rows = [page.paper.height, *trim.across, 0.0]
    strips = [BBox(0.0, low, page.paper.width, high) for high, low in itertools.pairwise(rows)]
    found = []
    downs = list(trim.down)
    ticks = {
        round(path.start[0], 2): path.start[1]
        for mark in page.marks
        if mark.id.startswith("card-cut") and ("direction", "down") in getattr(mark, "data", ())
        for path in getattr(mark, "paths", ())
    }
    for block, (count, cuts) in enumerate(trim.blocks):
        xs, downs = downs[:cuts], downs[cuts:]
        with_cards = [s for s in strips if holds_cards(page, s)]
        first = sum(rows for rows, _ in trim.blocks[:block])
        mine = with_cards[first : first + count]
        if len(trim.blocks) == 1:
            assert all(ticks[x] < mine[-1].y0 for x in xs), "a tick is cut away with a strip"
        edges = [0.0, *xs, page.paper.width]
        found.append([
            [piece(page, BBox(x0, s.y0, x1, s.y1)) for x0, x1 in itertools.pairwise(edges)]
            for s in mine
        ])  # fmt: skip
    assert not downs
    return found


def holds_cards(page: Page, strip: BBox) -> bool:
    cards = [mark_bbox(m) for m in page.marks if m.role is Role.CARD and isinstance(m, Fill)]
    return any(strip.y0 < card.center[1] < strip.y1 for card in cards)


def piece(page: Page, box: BBox) -> Piece:
    return Piece(box, tuple(m for m in page.marks if box.contains(mark_bbox(m), 0.006)))


def piles(blocks: Sequence[Sequence[Sequence[Piece]]]) -> Iterator[Piece]:
    """The pieces as they come off: each block's strips stacked, cut down, taken left to right."""
    for strips in blocks:
        for column in zip(*strips, strict=True):
            yield from column


def plan_for(theme_name: str, paper: Paper, content: bytes | None = None, **more: object) -> Plan:
    listed = classlist.parse(content or CLASS_FILE.read_bytes(), "class.csv")
    return make_plan(theme.load(theme_name), listed, Choices(paper=paper, **more))  # type: ignore[arg-type]


def imposed(plan: Plan) -> tuple[Imposed, list[Page], list[PlannedSheet]]:
    """All sheets of a plan put on paper, and the pages of the card file."""
    pages: list[Page] = []

    def take(file: str, page: Page, entries: int) -> None:
        if file == CARD:
            pages.append(page)

    imposition = Imposition(plan.choices, plan.theme.title, take)
    for planned in plan.sheets:
        imposition.add(planned, apart(plan, planned))
    return imposition.finish(), pages, list(plan.sheets)


@functools.lru_cache(maxsize=400)
def _apart(theme_name: str, planned: PlannedSheet) -> object:
    source = Source(theme.load(theme_name))
    return make_sheet(planned.kind, source, planned.stage, planned.options, apart=True)


def apart(plan: Plan, planned: PlannedSheet):  # type: ignore[no-untyped-def]
    return _apart(plan.theme.slug, planned)


@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
@pytest.mark.parametrize("laminate", [False, True], ids=["bare", "laminated"])
@pytest.mark.parametrize("theme_name", THEMES)
def test_cut_by_its_plan_every_child_has_the_cards_of_the_page(
    theme_name: str, laminate: bool, paper: Paper
) -> None:
    plan = plan_for(theme_name, paper, laminate=laminate)
    found, pages, sheets = imposed(plan)

    dealt: dict[str, list[tuple[object, ...]]] = {}
    sizes: dict[str, list[tuple[float, float]]] = {}
    for trim in found.trims:
        if trim.kind != "cards":
            continue
        page = pages[trim.page]
        order = []
        every = list(piles(cut_up(page, trim)))
        for one in every:
            if one.label:
                dealt.setdefault(one.label, []).append(one.shown())
                sizes.setdefault(one.label, []).append((one.box.width, one.box.height))
                order.append(one.label)
        assert len(order) == len(cards_on(page)), "a card is crossed by a cut, or has no tag"
        runs = [label for i, label in enumerate(order) if i == 0 or label != order[i - 1]]
        assert len(runs) == len(set(runs)), "a pile does not fall apart by child"
    for planned in sheets:
        wanted = [
            face_of(marks, BBox(0.0, 0.0, cards.width, cards.height))
            for cards in apart(plan, planned).cards
            for marks in cards.faces
        ]
        assert Counter(dealt.pop(planned.label, [])) == Counter(wanted), planned.label
        for width, height in sizes.get(planned.label, []):
            least = least_card(planned)
            assert max(width, height) >= least - 0.006, planned.label
    assert dealt == {}


def cards_on(page: Page) -> list[Mark]:
    """The white paper of each card: the largest fill of its id."""
    found: dict[str, Mark] = {}
    for i, mark in enumerate(page.marks):
        if mark.role is Role.CARD and isinstance(mark, Fill) and mark.colour == WHITE:
            found[f"{mark.id} {i}"] = mark
    return list(found.values())


def least_card(planned: PlannedSheet) -> float:
    """The least longer side that the guidance gives for a card of this skill and stage."""
    found = limits(planned.skill, planned.stage).get("card_size")
    return 31.75 if found is None or found.minimum is None else found.minimum


@pytest.mark.parametrize("theme_name", THEMES)
def test_cards_are_those_of_the_sheet_made_by_itself(theme_name: str) -> None:
    """The same pictures in the same size as on the page that ``tablework KIND`` prints."""
    plan = plan_for(theme_name, LETTER)
    source = Source(plan.theme)
    checked = 0
    for planned in plan.sheets:
        sheet = apart(plan, planned)
        if not sheet.cards:
            continue
        alone = make_sheet(planned.kind, source, planned.stage, planned.options)
        own: Counter[tuple[object, ...]] = Counter()
        for page in alone.pages:
            for card in cards_on(page):
                box = mark_bbox(card)
                inside = [
                    m for m in page.marks
                    if m.role is not Role.ADULT and box.contains(mark_bbox(m), 0.006)
                ]  # fmt: skip
                own[face_of(inside, box)] += 1
        shared = Counter(
            face_of(face, BBox(0.0, 0.0, cards.width, cards.height))
            for cards in sheet.cards
            for face in cards.faces
        )
        assert shared == own, planned.label
        checked += 1
    assert checked > 15


@pytest.mark.parametrize("paper", [LETTER, A4], ids=["letter", "a4"])
@pytest.mark.parametrize("laminate", [False, True], ids=["bare", "laminated"])
def test_nothing_on_a_shared_sheet_touches_and_all_is_inside(laminate: bool, paper: Paper) -> None:
    found, pages, _ = imposed(plan_for("reedy-pond", paper, laminate=laminate))

    for page in pages[len(pages) - found.card_sheets :]:
        assert touching(page.marks) == []
        for mark in page.marks:
            if mark.id.startswith("card-cut"):
                continue  # ticks run off the paper
            box = mark_bbox(mark)
            least = 7.0 if isinstance(mark, Text) and mark.text.isdigit() else MARGIN - 0.2
            high = paper.height - MARGIN
            room = BBox(least - 1e-6, MARGIN - 1.2, paper.width - MARGIN + 0.2, high + 0.5)
            assert room.contains(box), mark


def a_set(label: str, sheet: int, count: int, width: float, height: float, gutter: float) -> Owned:
    face = (Fill((rectangle(BBox(0, 0, width, height)),), Role.CARD, "card-1", colour=WHITE),)
    return Owned(label, sheet, CardSet("cards", width, height, gutter, (face,) * count))


SETS = st.lists(
    st.tuples(
        st.integers(1, 14),
        st.sampled_from([(32.0, 32.0), (34.5, 40.0), (60.0, 60.0), (76.0, 76.0), (45.0, 95.0)]),
        st.sampled_from([0.0, 8.0]),
    ),
    min_size=1,
    max_size=14,
)


@given(SETS, st.sampled_from([LETTER, A4]), st.floats(0.9, 1.0))
def test_all_cards_come_once_in_runs_and_the_bound_is_a_bound(
    rows: list[tuple[int, tuple[float, float], float]], paper: Paper, shrink: float
) -> None:
    sets = [a_set(f"K{i}", i, count, *size, gutter) for i, (count, size, gutter) in enumerate(rows)]
    pages = card_pages(sets, paper, title="cards", shrink=shrink)

    counts: Counter[int] = Counter()
    for page in pages:
        for run in page.runs:
            counts[run.sheet] += run.count
        boxes = [mark_bbox(m) for m in cards_on(page.page)]
        live = BBox(0, 0, paper.width, paper.height).grown(-MARGIN)
        assert all(live.contains(box, 1e-3) for box in boxes)
        for cut in page.cuts:
            for box in boxes:
                if cut.direction == "across":
                    assert not box.y0 + 1e-3 < cut.at < box.y1 - 1e-3
        numbers = [cut.number for cut in page.cuts]
        assert numbers == list(range(1, len(numbers) + 1))
    assert counts == {i: count for i, (count, _, _) in enumerate(rows)}
    assert len(pages) >= least_sheets(sets, paper)


def test_sets_that_fill_a_sheet_take_no_more_than_that() -> None:
    """Twelve cards of 60 mm on a sheet of either paper (3 x 4; arithmetic on both papers)."""
    for paper in (LETTER, A4):
        sets = [a_set(f"K{i}", i, 6, 60.0, 60.0, 0.0) for i in range(4)]
        pages = card_pages(sets, paper, title="cards")
        assert [len(cards_on(page.page)) for page in pages] == [12, 12]
        assert least_sheets(sets, paper) == 2


def test_a_card_larger_than_the_paper_is_refused() -> None:
    with pytest.raises(FitError, match=r"a card of 250 x 60 mm is larger than the paper"):
        card_pages([a_set("Pi", 0, 1, 250.0, 60.0, 0.0)], LETTER, title="cards")


def test_a_mark_on_no_card_is_a_fault_of_the_kind() -> None:
    from sheets.kinds.sheet import card_set
    from sheets.page.cards import CardGrid

    grid = CardGrid(LETTER, 20.0, 20.0, 1, 1, 60.0, 60.0, 1)
    outside = Fill((Path.circle((150.0, 150.0), 5.0),), Role.CARD, "stray")
    with pytest.raises(ValueError, match="stray is on no card"):
        card_set("cards", grid, [outside])


def test_the_order_is_by_child_whatever_the_class(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirty random classes: a label is never met again once another has come between."""
    rng = random.Random(5)
    for _ in range(30):
        sets = [
            a_set(f"K{i}", i, rng.randint(2, 9), side, side, 0.0)
            for i in range(rng.randint(1, 20))
            for side in [rng.choice([34.0, 48.0, 54.0, 60.0, 76.0])]
        ]
        for page in card_pages(sets, rng.choice([LETTER, A4]), title="cards"):
            trim = Trim(
                CARD, 0, "cards",
                tuple(round(c.at, 2) for c in page.page.cuts if c.across),
                tuple(round(c.at, 2) for c in page.page.cuts if not c.across),
                tuple((b.rows, b.columns + 1) for b in page.blocks),
            )  # fmt: skip
            labels = [one.label for one in piles(cut_up(page.page, trim)) if one.label]
            runs = [label for i, label in enumerate(labels) if i == 0 or label != labels[i - 1]]
            assert len(runs) == len(set(runs))
            assert math.isclose(sum(r.count for r in page.runs), len(labels))


def test_half_pages_show_what_the_whole_page_shows() -> None:
    """Two to a sheet, in true size: every mark of the work area is there, only moved up or down."""
    plan = plan_for("reedy-pond", LETTER)
    halves = 0
    for planned in plan.sheets:
        alone = make_sheet(planned.kind, Source(plan.theme), planned.stage, planned.options)
        sheet = apart(plan, planned)
        for page in sheet.pages:
            if not page.paper.is_half:
                continue
            halves += 1
            whole = next(p for p in alone.pages if p.label == page.label)
            assert drawn(page) - drawn(whole) == Counter(), planned.label
            missing = drawn(whole) - drawn(page)
            assert all(row[0] in ("card",) for row in missing), (planned.label, missing)
    assert halves > 10


def drawn(page: Page) -> Counter[tuple[object, ...]]:
    """Role, id and size of what is neither furniture nor words for the adult."""
    rows: Counter[tuple[object, ...]] = Counter()
    for mark in page.marks:
        if mark.role in (Role.FURNITURE, Role.ADULT) or mark.id == "badge":
            continue
        box = mark_bbox(mark)
        rows[mark.role.value, mark.id, round(box.x0, 3), round(box.width, 3),
             round(box.height, 3)] += 1  # fmt: skip
    return rows


def test_a_sheet_is_the_same_whoever_else_is_in_the_class() -> None:
    plan = plan_for("reedy-pond", LETTER)
    alone = plan_for("reedy-pond", LETTER, only=(plan.children[3].tag,))

    mine = [apart(plan, p) for p in plan.sheets if p.child.tag == plan.children[3].tag]
    assert [dataclasses.astuple(s) for s in mine] == [
        dataclasses.astuple(apart(alone, p)) for p in alone.sheets
    ]
