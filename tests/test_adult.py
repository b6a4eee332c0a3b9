"""Adult pages: figures that agree with the files, nothing off the page, no names on records."""

from __future__ import annotations

import dataclasses
import itertools
import unicodedata
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FitError
from shapes.letters.font import text_width_mm
from sheets.files import class_list, theme_file
from sheets.kinds.cautions import RIDER, caution
from sheets.kinds.tips import tips
from sheets.packet.adult.days import HELP, LEAST_ROW, STOPPED
from sheets.packet.adult.family_note import DRAFT, note_copies, note_marks, notes
from sheets.packet.adult.flow import BINDER_MARGIN, BODY_PT, Column, Flow, Late, broken
from sheets.packet.adult.materials import (
    EITHER,
    ENVELOPES,
    GLUE_FOR_TWO,
    LEFT,
    RIGHT,
    SCISSOR_NEEDS,
    Supply,
    scissors_not_needed,
    spared,
    supplies,
)
from sheets.packet.adult.pages import adult_pages
from sheets.packet.adult.words import tables_of
from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN
from sheets.packet.make import prepare
from sheets.packet.plan import Choices, Counted, make_plan
from sheets.packet.week import week
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import Material, Page, Place, Stroke, Text
from tests.ink import ink_outside
from tests.packets import files_of, packet_of, whole_class
from tests.readers import opened, texts

OF_TWELVE = Path(__file__).parents[1] / "out_examples" / "class-of-12.csv"
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
SMALLEST_PT = 7.0
"""Of headings of boxes and numbers of drawn cuts."""


def section(pages: Sequence[Page], label: str) -> list[Page]:
    """The pages of a section; short ones share a page."""
    return [page for page in pages if label in page.label.split(", ")]


def words(pages: Sequence[Page]) -> str:
    """All text of some pages in the order it is set, lines joined by blanks."""
    return " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Text))


def plan_and_pages(**options: Any) -> tuple[Counted, tuple[Page, ...]]:
    made = packet_of(**options) if options else whole_class()[0]
    return made.plan, made.adult


def by_name(plan: Counted) -> dict[str, Supply]:
    return {row.name: row for row in supplies(plan)}


# --- the pages ------------------------------------------------------------------------------------


def of_twelve(theme: str, **choices: Any) -> tuple[Counted, tuple[Page, ...]]:
    """The packet of a built-in theme for the class of twelve."""
    listed = class_list.parse(OF_TWELVE.read_bytes(), OF_TWELVE.name)
    made = prepare(make_plan(theme_file.load(theme), listed, Choices(**choices)), draw=False)
    return made.plan, made.adult


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
@pytest.mark.parametrize("theme", ["bean-row-garden", "reedy-pond", "tide-side-harbour"])
def test_twelve_children_and_five_days_take_nine_pages(theme: str, paper: Any) -> None:
    plan, pages = of_twelve(theme, paper=paper)

    assert len(plan.days) == 5
    assert len(pages) <= 9
    # A sheet a day, and none of it beyond its own page.
    assert [page.label for page in pages if page.label in DAYS] == list(DAYS)


def test_sections_come_in_order() -> None:
    _, pages = plan_and_pages()

    assert list(dict.fromkeys(page.label for page in pages)) == [
        "Run sheet", "Getting ready", *DAYS, "Family note",
    ]  # fmt: skip


def test_pages_are_numbered_and_found_by_bookmarks() -> None:
    made, files = whole_class()
    pages = made.adult

    for number, page in enumerate(pages, start=1):
        foot = f"{number} of {len(pages)}"
        assert (foot in words([page])) == (page.label != "Family note")
    with opened(files[ADULT]) as pdf, pdf.open_outline() as outline:
        assert [item.title for item in outline.root] == ["Run sheet", "Getting ready", *DAYS,
                                                         "Family note"]  # fmt: skip
        assert isinstance(pdf, pikepdf.Pdf)
    assert made.plan.adult_labels == tuple(page.label for page in pages)


def test_type_is_large_enough_to_read() -> None:
    _, pages = plan_and_pages()
    sizes = Counter(m.size_pt for page in pages for m in page.marks if isinstance(m, Text))

    assert min(sizes) >= SMALLEST_PT - 0.5  # the credit of pictures on family notes
    ours = [m for p in pages for m in p.marks if isinstance(m, Text) and p.label != "Family note"]
    assert min(m.size_pt for m in ours) == SMALLEST_PT
    assert sum(m.size_pt >= BODY_PT for m in ours) > 0.75 * len(ours)


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_everything_lies_within_the_margins(paper: Any) -> None:
    _, pages = plan_and_pages(paper=paper, only=("Pp", "Tu", "Ma", "Zu", "Ni"))

    for page in pages:
        # Feet and titles stand on the margin; thin rules reach half their width beyond it.
        assert ink_outside(page, MARGIN - 0.2) == []
        for mark in page.marks:
            assert mark_bbox(mark).x0 >= (
                MARGIN - 0.2 if page.label == "Family note" else BINDER_MARGIN - 0.2
            )


def test_no_two_lines_of_text_overlap() -> None:
    _, pages = plan_and_pages()
    for page in pages:
        boxes = [mark_bbox(mark).grown(-0.05) for mark in page.marks if isinstance(mark, Text)]
        boxes.sort(key=lambda box: box.y0)
        for i, one in enumerate(boxes):
            for other in boxes[i + 1 :]:
                if other.y0 > one.y1:
                    break
                assert not (one.x0 < other.x1 and other.x0 < one.x1), page.label


def test_text_stays_in_its_column() -> None:
    _, pages = plan_and_pages()
    for page in pages:
        upright = [
            (round(path.start[0], 2), *sorted((path.start[1], path.end[1])))
            for mark in page.marks
            if isinstance(mark, Stroke)
            for path in mark.paths
            if abs(path.start[0] - path.end[0]) < 0.001 and not path.closed
        ]
        for mark in page.marks:
            if isinstance(mark, Text) and mark.id != "cut-number":
                box = mark_bbox(mark)
                assert not [
                    x
                    for x, low, high in upright
                    if box.x0 + 0.1 < x < box.x1 - 0.1 and low < mark.y < high
                ], mark.text


def test_the_word_safe_is_not_printed() -> None:
    _, pages = plan_and_pages()
    said = words(pages).lower()

    assert "safe" not in said
    assert "validated" not in said


def test_no_jargon_is_printed() -> None:
    """No seed, no names of options, no scores, no sizes of lines to cut."""
    _, pages = plan_and_pages()
    said = words([page for page in pages if page.label != "Family note"]).lower()

    for word in ("seed", "--", "`", "complexity", "fresh", "options", "parameter"):
        assert word not in said
    assert " mm" not in words([page for page in pages if page.label in DAYS])


# --- run sheet ------------------------------------------------------------------------------------


def test_the_run_sheet_tells_pages_and_sheets_as_written() -> None:
    made, files = whole_class()
    said = words(section(made.adult, "Run sheet"))
    counts = week(made.plan)

    for name in (PLAIN, CARD, KEYS, ADULT):
        with opened(files[name]) as pdf:
            pages = len(pdf.pages)
        assert any(f"{name} {what} {pages} " in said for what in (
            "children's pages plain one",
            "children's pages and cards card one",
            "answers, each with its tag plain one or two",
            "run sheet, getting ready, a sheet a day, family notes plain one or two",
        ))  # fmt: skip
    count = len(made.adult)
    assert f"family notes again: page {count - 1}, 8 times more plain one 8 " in said
    assert f"once more (see the days) one {counts.again} " in said
    turned = sum(made.plan.totals().pages[name] // 2 for name in (KEYS, ADULT))
    both = counts.plain + counts.card - turned
    assert f"in all {both} with keys and adult pages on both sides {counts.sheets} " in said
    spare = spared(counts.plain, 0.1)
    assert f"have ready plain paper, Letter: {spare} with spare {counts.plain} " in said
    assert f"card, Letter: {spared(counts.card, 0.1)} with spare {counts.card} " in said
    assert "actual size, or 100 %, or no scaling" in said
    assert "US Letter, 215.9 x 279.4 mm, in the tray and in the print window" in said
    assert texts(files[ADULT])[0].startswith("Run sheet")


def test_sheets_of_the_week_are_the_pages_and_what_is_printed_once_more() -> None:
    """Cutting comes three times: its pages are printed twice more, and nothing else is."""
    plan, pages = plan_and_pages()
    cutting = {
        (spot.file, spot.page)
        for planned, spots in zip(plan.sheets, plan.imposed.spots, strict=True)
        if planned.kind == "cutting"
        for spot in spots
    }
    once = sum(plan.totals().pages.values()) + plan.note_copies

    assert f" {once + 2 * len(cutting)} have ready" in words(section(pages, "Run sheet"))


def test_the_order_on_the_run_sheet_is_that_of_the_files() -> None:
    made, files = whole_class()
    said = words(section(made.adult, "Run sheet"))

    keys = next(one for one in tables_of(made.plan) if one.kind == "trace-match").pages(KEYS)
    assert f"Monday Cutting all 20 1–8 1–12 – – Tuesday Trace match all 20 9–28 – – {keys}" in said
    assert said.count("Cutting all 20 1–8 1–12 – – once more") == 2
    sequence = next(one for one in tables_of(made.plan) if one.kind == "sequence")
    first, last = (int(text) for text in sequence.pages(PLAIN).split("–"))
    assert f"Wednesday Sequence all 20 {first}–{last} – {sequence.pages(CARD, cards=True)} " in said
    for page in range(first, last + 1):
        assert (
            "What comes first?" in " ".join(texts(files[PLAIN], page - 1))
            or "Primero" in (" ".join(texts(files[PLAIN], page - 1)))
            or "primero" in " ".join(texts(files[PLAIN], page - 1))
        )
    for number in sequence.pages(CARD, cards=True).split(", "):
        assert "sequence" in " ".join(texts(files[CARD], int(number) - 1))


def test_what_is_used_again_is_not_printed_once_more() -> None:
    """Boards to lay tiles on stay, pages to draw on are printed once more."""
    plan, _ = of_twelve("reedy-pond", kinds=("pattern",), only=("Br", "Os", "So"))
    assert [d.parameters["answer_in"] for d in plan.digests] == ["tiles", "boxes", "tiles"]
    kept = tuple(
        tuple(
            dataclasses.replace(spot, again=tiles or bool(spot.cards))
            for tiles in [digest.parameters["answer_in"] == "tiles"]
            for spot in spots
        )
        for digest, spots in zip(plan.digests, plan.imposed.spots, strict=True)
    )  # fmt: skip
    plan = dataclasses.replace(plan, imposed=dataclasses.replace(plan.imposed, spots=kept))
    friday = tables_of(plan)[-1]
    (boxes,) = (spots[0].page + 1 for spots in kept if not spots[0].again)
    said = words(section(adult_pages(plan), "Run sheet"))

    assert (friday.day, friday.first_day) == ("friday", "thursday")
    assert friday.pages(PLAIN, again=False) == str(boxes)
    assert f"Friday Pattern all 3 {boxes} – – {friday.pages(KEYS)} " in said
    assert "once more; use pages and cards of Thursday" in said


def test_every_page_that_is_cut_is_told_once_and_drawn_from_the_page() -> None:
    plan, pages = plan_and_pages()
    (page, *_) = section(pages, "Getting ready")
    said = words([page])
    trims = plan.imposed.trims
    cards = [trim.page + 1 for trim in trims if trim.kind == "cards"]

    assert f"cut down): card.pdf {cards[0]}–{cards[-1]}, one sheet at a time" in said
    halves = [str(trim.page + 1) for trim in trims if trim.kind == "half"]
    assert f"Halves (across the middle): plain.pdf {', '.join(halves)}." in said
    strips = [trim for trim in trims if trim.kind == "panel" and not trim.down]
    assert len({trim.across for trim in strips}) == 2
    assert "Strips (across only): card.pdf 3, 12; card.pdf 7." in said
    # Four drawings: of a piece, strips, halves and cards, each with the cuts of that page.
    shown = [text.split(": ")[1] for text in said_lines(page) if text.startswith(
        ("A piece: card", "Strips: card", "Halves: plain", "Cards: card"))]  # fmt: skip
    drawn = sum(
        len(trim.across) + len(trim.down)
        for trim in trims
        if f"{trim.file} {trim.page + 1}" in shown
    )
    assert len(shown) == 4
    assert sum(getattr(mark, "id", "") == "drawn-cut" for mark in page.marks) == drawn
    counts = week(plan)
    assert f"{counts.cuts} cuts in the week, {counts.cuts_stacked} in stacks." in said


def said_lines(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Text)]


def test_a_packet_without_cuts_has_no_drawing() -> None:
    _, pages = plan_and_pages(only=("So",), kinds=("trace-match",))
    said = words(pages)

    assert "trimmer" not in said.lower()
    assert not [m for page in pages for m in page.marks if getattr(m, "id", "") == "drawn-cut"]


def test_the_page_to_measure_is_of_a_file_that_is_there() -> None:
    for kinds, name in ((("cutting",), "card.pdf"), (("cutting", "trace-match"), "plain.pdf")):
        _, pages = plan_and_pages(only=("Pp",), kinds=kinds)
        assert f"First print page 1 of {name} alone" in words(section(pages, "Run sheet"))


def test_gaps_are_told() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Run sheet"))

    assert "Ke, letter-match: no stage for letters in the class list" in said


def test_names_stand_on_the_run_sheet_only() -> None:
    plan, pages = plan_and_pages()
    listed = words(section(pages, "Run sheet"))
    elsewhere = words([page for page in pages if page.label != "Run sheet"])

    for child in plan.children:
        assert f"{child.tag} {child.name}" in unicodedata.normalize("NFC", listed)
        assert child.name not in elsewhere.split()


def test_tags_are_told_with_hand_and_needs() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Run sheet"))

    assert "Bd Bodo: left hand, left scissors " in said
    assert "Sj Sky-Jo: either hand, loop scissors " in said
    assert "Pp Pip Br Bramble " in said


# --- materials ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("needed", "spare", "enough"),
    [(0, 0.1, 0), (1, 0.1, 2), (10, 0.1, 11), (12, 0.1, 14), (20, 0.0, 20), (3, 1.0, 6)],
)
def test_spares_are_rounded_up(needed: int, spare: float, enough: int) -> None:
    assert spared(needed, spare) == enough


def test_scissors_are_counted_from_the_class_list() -> None:
    plan, _ = plan_and_pages()
    rows = by_name(plan)

    # Marlow tears and lays cut cards; Nibblet does not cut.
    assert rows[LEFT].tags == ("Bd", "Fe", "Am", "Nc")
    assert rows[SCISSOR_NEEDS["loop-scissors"]].tags == ("Sj",)
    assert rows[SCISSOR_NEEDS["spring-scissors"]].tags == ("Dr",)
    assert EITHER not in rows
    assert rows[RIGHT].needed == 20 - 4 - 1 - 1 - 2
    assert (rows[LEFT].needed, rows[LEFT].with_spare) == (4, 5)
    assert scissors_not_needed(plan) == (
        "In the class list, but no page here is cut by Ma: loop scissors (whole-hand squeeze), "
        "blunt tips.",
    )


def test_a_hand_not_settled_gets_scissors_of_both() -> None:
    change = ("1,1,1,0,2,0,1,0,loop-scissors", "1,1,1,0,2,0,1,0,")
    plan, _ = plan_and_pages(change=change, only=("Sj",), kinds=("cutting",))

    assert by_name(plan)[EITHER].tags == ("Sj",)


def test_things_used_again_are_counted_once_a_child_and_pages_are_paper() -> None:
    plan, _ = plan_and_pages()
    rows = by_name(plan)

    # Glue comes with several kinds, and two children share a stick.
    assert (rows[GLUE_FOR_TWO].needed, rows[GLUE_FOR_TWO].with_spare) == (10, 11)
    assert "glue stick" not in rows
    assert rows["paper trimmer, for the adult"] == Supply(
        "For the adult", "paper trimmer, for the adult", 1, 1, (), "trimmer"
    )
    counts = week(plan)
    assert rows["plain paper, Letter"].needed == counts.plain
    assert rows["card, Letter"].needed == counts.card
    assert not [name for name in rows if name.startswith(("printed", "sheet of"))]


def test_an_envelope_for_each_child_and_set_of_cards() -> None:
    plan, pages = plan_and_pages()
    sets = {
        (planned.child.tag, planned.kind)
        for planned, spots in zip(plan.sheets, plan.imposed.spots, strict=True)
        if any(spot.cards for spot in spots)
    }

    assert by_name(plan)[ENVELOPES].needed == len(sets)
    assert f"{len(sets)} ({spared(len(sets), 0.1)}) {ENVELOPES}" in words(pages)
    assert "Put the cut cards into envelopes by the tag and kind on them." in words(pages)
    bare, others = plan_and_pages(only=("Pp",), kinds=("cutting",))
    assert ENVELOPES not in by_name(bare)
    assert "envelopes" not in words(others)


def test_crayons_of_one_child_are_one_line() -> None:
    _, pages = of_twelve("reedy-pond")
    said = words(section(pages, "Getting ready"))

    assert "1 (2) each: crayons green, red, blue, yellow: Os" in said


def test_things_to_match_are_one_set_whoever_uses_them() -> None:
    """Children at a table take turns with the things: nobody has eighteen cans."""
    plan, _ = plan_and_pages(only=("Pp", "Tu"), kinds=("trace-match",))
    used = [m.name for digest in plan.digests for m in digest.materials if m.caution == "objects"]
    shared = {row.name: row.needed for row in supplies(plan) if row.group.startswith("Things")}

    assert max(map(used.count, used)) == 2
    assert shared == dict.fromkeys(used, 1)


def test_what_is_used_up_is_summed_over_all_pages() -> None:
    made, _ = whole_class()
    pouch = Material("laminating pouch", 1, "consumed", caution="laminator")
    first, second, *others = made.plan.digests
    digests = tuple(
        dataclasses.replace(one, materials=(*one.materials, pouch)) for one in (first, second)
    )
    plan = dataclasses.replace(made.plan, digests=(*digests, *others), choices=made.plan.choices)
    row = by_name(plan)["laminating pouch"]

    assert (row.group, row.needed, row.with_spare, row.tags) == ("Used up", 2, 3, ("Pp", "Br"))


def test_the_spare_is_a_setting() -> None:
    plan, pages = plan_and_pages(only=("Pp",), kinds=("cutting",), spare=0.5)

    assert by_name(plan)[RIGHT].with_spare == 2
    assert "in brackets with 50 % spare" in words(section(pages, "Getting ready"))
    assert "1 (2) right-handed scissors, blunt tips: Pp" in words(section(pages, "Getting ready"))


# --- preparation and cautions ---------------------------------------------------------------------


def test_each_step_of_preparation_is_told_once() -> None:
    plan, pages = plan_and_pages()
    said = words(section(pages, "Getting ready"))

    for line in (
        "Check each thing with a ruler",
        "Set the things beside the page, mixed",
        "The child cuts along the lines, those across first",
        "Keep the keys apart",
    ):
        assert said.count(line) == 1  # fmt: skip
    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        for line in digest.preparation:
            if "straight cuts" in line or "sheets of cards" in line:
                continue  # the drawing and the envelopes say it
            start, _, rest = line.partition(": ")
            assert start[1:].rstrip(".") in said
            assert rest.rstrip(".") in said
            if planned.kind == "sequence" and rest:
                assert planned.child.tag in said.split(start)[1].split(rest)[0]


def test_how_to_cut_is_not_said_once_a_page() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Getting ready"))

    assert "straight cuts" not in said
    assert said.count("stack the strips") == 1


def test_every_material_has_its_caution_and_local_rules_come_first() -> None:
    plan, pages = plan_and_pages()
    said = words(section(pages, "Getting ready"))
    ids = {material.caution for digest in plan.digests for material in digest.materials} - {""}

    assert ids >= {"scissors", "trimmer", "glue", "objects"}
    for name in ids:
        assert said.count(f"{caution(name).title}: {caution(name).paragraph()}") == 1
    assert said.count("small-parts cylinder") == 1
    assert said.index("Usual cautions") < said.index(RIDER) < said.index("Paper and card:")
    assert "In the class list as mouthing things: Ni." in said


# --- a sheet a day --------------------------------------------------------------------------------


def test_a_day_has_a_row_for_each_child_and_kind_repeats_included() -> None:
    """Counted from the theme's plan and the class list, not from the pages."""
    plan, pages = plan_and_pages()
    for day in plan.days:
        rows = [
            (child.tag, str(child.stages[skill]))
            for kind in day.kinds
            for skill in [next(p.skill for p in plan.sheets if p.kind == kind)]
            for child in plan.children
            if skill in child.stages
        ]
        shown = [text for page in section(pages, day.day.capitalize()) for text in said_lines(page)]
        found = [
            (tag, stage)
            for tag, stage in itertools.pairwise(shown)
            if tag in {child.tag for child in plan.children} and stage.isdigit()
        ]
        assert found == rows


def test_columns_depend_on_the_kind() -> None:
    _, pages = plan_and_pages()

    (monday,) = section(pages, "Monday")
    said = words([monday])
    assert "thumb on top helper hand holds, turns L R " in said.replace("hand L", "L")
    assert "hand" in said_lines(monday)
    for head in ("tag", "stage", "L", "R", "finished", "note"):
        assert said_lines(monday).count(head) == 1
    for group in (*HELP, *STOPPED):
        assert set(group.split()) <= set(said.split())
    assert "__" in said  # the date
    assert "__ of" not in said
    (wednesday,) = section(pages, "Wednesday")
    assert "in order" in said_lines(wednesday)
    assert "L" not in said_lines(wednesday)


def ticks(page: Page) -> list[int]:
    """How many boxes each row has, from the top."""
    rows = [mark for mark in page.marks if isinstance(mark, Place)]
    return [len(row.artwork.marks[0].paths) for row in sorted(rows, key=lambda row: -row.at.f)]


def test_every_row_has_its_boxes_in_their_columns() -> None:
    plan, pages = plan_and_pages()
    (monday,) = section(pages, "Monday")

    # Two of cutting, two hands, four kinds of help, finished, four reasons to stop.
    assert ticks(monday) == [13 if child.stages["cutting"] else 12 for child in plan.children]
    xs = {round(mark.x, 1) for mark in monday.marks if isinstance(mark, Text)}
    for place in (mark for mark in monday.marks if isinstance(mark, Place)):
        for box in place.artwork.marks[0].paths:
            middle = box.bbox.center[0]
            assert any(abs(middle - x) < 0.1 for x in xs)


def test_how_many_there_are_to_get_right_is_filled_in() -> None:
    plan, pages = of_twelve("reedy-pond", kinds=("pattern",))
    (thursday,) = section(pages, "Thursday")
    said = said_lines(thursday)

    for planned, digest in zip(plan.sheets, plan.digests, strict=True):
        cells = digest.parameters["cells_to_fill"]
        assert isinstance(cells, list)
        at = said.index(planned.child.tag)
        assert said[at + 2] == (f"__ of {sum(cells)}" if sum(cells) else "__")


def test_tips_are_those_of_the_stages_in_the_class() -> None:
    _, pages = of_twelve("reedy-pond", only=("Br", "In", "Fe", "Pi"), kinds=("cutting",))
    said = words(section(pages, "Monday"))

    for label, count in (("say", 1), ("easier", 2), ("harder", 2), ("watch", 1)):
        found = tips("cutting").merged(label, (2, 3))
        assert len(found) == count
        for stages, text in found:
            alone = count == 1
            assert (text if alone else f"{stages[0]}: {text}") in said
    assert tips("cutting").by_label["easier"][4].text not in said
    assert tips("cutting").by_label["say"][5].text not in said


def test_tips_stand_once_more_where_there_is_room() -> None:
    text = "Scissors point ahead"
    _, few = of_twelve("reedy-pond", only=("Ke",), kinds=("cutting",))
    assert [text in words(section(few, day)) for day in ("Monday", "Friday")] == [True, True]

    _, many = of_twelve("reedy-pond")
    assert [text in words(section(many, day)) for day in ("Monday", "Friday")] == [True, False]
    assert "Say, easier, harder, watch: on the sheet of Monday." in words(section(many, "Friday"))


def test_a_day_tells_what_to_hand_out_and_the_note_of_the_plan() -> None:
    _, pages = plan_and_pages()

    assert "all 20: plain.pdf 1–8, card.pdf 1–12" in words(section(pages, "Monday"))
    assert "all 20, as on Monday: plain.pdf 1–8, card.pdf 1–12" in words(section(pages, "Friday"))
    assert "Wash hands together, then lay the pictures." in words(section(pages, "Wednesday"))
    # Too long to stand beside the title.
    assert "set each tin and card on its outline." in words(section(pages, "Tuesday"))


def test_short_days_of_a_small_class_share_a_page() -> None:
    _, pages = plan_and_pages(only=("Pp",), kinds=("cutting",))
    (page,) = section(pages, "Monday")

    assert page.label == "Monday, Tuesday, Friday"
    assert words([page]).count("Say Thumb on top. Open, push on, close.") == 1
    assert words([page]).count("Say, easier, harder, watch: on the sheet of Monday.") == 2
    assert ticks(page) == [13, 13, 13]


def test_a_large_class_has_a_page_for_each_kind_of_a_day() -> None:
    _, pages = plan_and_pages()
    tuesday = section(pages, "Tuesday")

    assert len(tuesday) == 2
    assert [len(ticks(page)) for page in tuesday] == [20, 20]
    assert all("Date ____" in words([page]) for page in tuesday)


def test_many_tags_of_a_kind_stay_on_the_page() -> None:
    """Half of a class of 40 does letters: tags and pages do not fit beside the heading."""
    rows = [f"Child{i},T{i},R,2,2,{'2' if i % 2 else ''},2" for i in range(40)]
    content = "\n".join(["name,tag,hand,cutting,matching,letters,sequence", *rows])
    listed = class_list.parse(content.encode(), "class.csv")
    choices = Choices(kinds=("letter-match", "trace-match"))
    pages = prepare(make_plan(theme_file.load("reedy-pond"), listed, choices), draw=False).adult

    assert "Letter match T1, T3, T5" in words(section(pages, "Thursday"))
    assert "T37, T39: plain.pdf" in words(section(pages, "Thursday"))
    for page in pages:
        assert ink_outside(page, MARGIN - 0.2) == []


def test_rows_are_high_enough_to_write_in() -> None:
    _, pages = of_twelve("bean-row-garden")
    for page in pages:
        ys = sorted(mark.at.f for mark in page.marks if isinstance(mark, Place))
        if page.label in DAYS:
            steps = [b - a for a, b in itertools.pairwise(ys)]
            assert min(steps) >= LEAST_ROW - 1e-6


def test_what_room_is_left_has_lines_for_notes() -> None:
    _, pages = plan_and_pages(only=("Pp", "Zu"), kinds=("cutting",))

    assert "Notes: what was done and said" in words(section(pages, "Monday"))


# --- family notes ---------------------------------------------------------------------------------


def test_a_note_for_each_language_of_theme_and_class() -> None:
    change = ("Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,", "Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,pl")
    made = packet_of(change=change, kinds=("cutting",))
    found = {note.language: note for note in notes(made.plan)}

    assert list(found) == ["en", "es", "pl"]
    assert {tag: note.families for tag, note in found.items()} == {"en": 17, "es": 2, "pl": 1}
    assert [note.copies for note in found.values()] == [9, 1, 1]
    assert note_copies(made.plan) == 8
    assert [note.draft for note in found.values()] == [False, True, True]
    assert found["es"].names[0][1:] == ("pato", "duck")
    assert found["en"].names[0][1:] == ("duck", "")
    assert found["pl"].names[0][1:] == ("________", "duck")
    assert len(section(made.adult, "Family note")) == 3


def test_a_language_without_sentences_keeps_the_words() -> None:
    change = ("Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,", "Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,tr")
    made = packet_of(change=change, kinds=("cutting",), only=("Pp",))
    note = notes(made.plan)[-1]

    assert note.language == "tr"
    assert note.paragraphs[0] == "The words of our theme:"
    assert note.draft
    assert note.names[0][1] not in ("", "________", "duck")


def test_each_note_stands_twice_on_its_page_one_in_each_half() -> None:
    _, pages = plan_and_pages()
    english, spanish = section(pages, "Family note")

    for page in (english, spanish):
        half = page.paper.height / 2.0
        titles = [m for m in page.marks if isinstance(m, Text) and m.text == "Reedy Pond"]
        assert [title.y > half for title in titles] == [True, False]
        pictures = [mark for mark in page.marks if isinstance(mark, Place)]
        assert len(pictures) == 2 * 12
        low = [mark_bbox(m) for m in page.marks if getattr(m, "id", "") != "note-cut"]
        assert not [box for box in low if box.y0 < half < box.y1]
        assert words([page]).count("OpenMoji") == 2
    assert words([spanish]).count(f"es, {DRAFT}") == 2
    assert DRAFT not in words([english])
    assert "¿cuáles de estas cosas has visto, y dónde?" in words([spanish])
    assert words([english]).count("A word from us:") == 2
    assert [stroke.paths[0].length for stroke in lines(english)] == [
        lines(english)[0].paths[0].length
    ] * 2


def lines(page: Page) -> list[Stroke]:
    strokes = [mark for mark in page.marks if isinstance(mark, Stroke)]
    return [stroke for stroke in strokes if stroke.id == "note-line"]


def test_a_blank_line_never_stands_without_its_label() -> None:
    change = ("Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,", "Pip,Pp,R,2,2,1,2,1,2,1,2,1,2,,pl")
    _, pages = plan_and_pages(change=change, only=("Pp", "Zu", "Br"))

    for page in section(pages, "Family note"):
        labels = [mark for mark in page.marks if getattr(mark, "id", "") == "note-label"]
        assert len(lines(page)) == len(labels)


def test_scissors_at_home_only_if_the_week_has_cutting() -> None:
    tip = "blunt scissors, sitting at a table, thumb on top"
    for kinds, told in ((("cutting", "sequence"), True), (("sequence",), False)):
        _, pages = plan_and_pages(only=("Pp",), kinds=kinds)
        assert (tip in words(section(pages, "Family note"))) == told


def test_a_note_tells_nothing_of_a_child() -> None:
    plan, pages = plan_and_pages()
    said = words(section(pages, "Family note")).split()

    for child in plan.children:
        assert child.tag not in said
        assert child.name not in said
    assert "stage" not in said


def test_a_note_says_what_the_pages_of_the_packet_are_about() -> None:
    made = packet_of(only=("Pp",), kinds=("sequence", "cutting"))
    said = words(section(made.adult, "Family note")[:1])

    assert "What our hands do at the tables: cut or tear paper, put pictures in order." in said


def test_a_long_note_is_set_smaller_and_in_the_end_without_pictures() -> None:
    made = packet_of(only=("Pp",), kinds=("cutting",))
    (note, _) = notes(made.plan)

    def shown(paragraphs: tuple[str, ...], words_more: int = 1) -> tuple[float, int]:
        longer = dataclasses.replace(
            note, paragraphs=(*note.paragraphs, *paragraphs), names=note.names * words_more
        )
        marks = note_marks(longer, LETTER)
        sizes = {m.size_pt for m in marks if isinstance(m, Text) and m.text.startswith("At home")}
        assert len(sizes) == 1
        return sizes.pop(), sum(isinstance(mark, Place) for mark in marks)

    line = "Bring a picture of water that you know. " * 4
    assert shown(()) == (10.0, 24)  # with room for the blank line
    assert shown((line,)) == (9.5, 24)
    assert shown((line,) * 4) == (9.5, 0)
    assert shown((), 2) == (9.5, 0)
    with pytest.raises(FitError, match="the family note in 'en' has more words than half a page"):
        shown((line,) * 12)


def test_notes_reach_the_file() -> None:
    made = packet_of(only=("Zu",), kinds=("cutting",))
    files = files_of(made)
    last = " ".join(texts(files["adult.pdf"], len(made.adult) - 1))

    assert "pato" in last
    assert DRAFT in last


# --- tables ---------------------------------------------------------------------------------------


@given(
    st.text(st.sampled_from("aWi ."), max_size=60),
    st.floats(min_value=4.0, max_value=60.0),
)
def test_broken_lines_fit_and_lose_nothing(text: str, width: float) -> None:
    lines = broken(text, 9.0, width)

    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width_mm(line, 9.0) <= width for line in lines)


def test_a_table_goes_on_over_pages_with_its_head_each_time() -> None:
    flow = Flow(LETTER, "Pond")
    flow.section("Counted", "Counted")
    flow.table([Column("Day", 1.0), Column("Note", 2.0)], [(str(i), "x") for i in range(160)])
    assert flow.labels == ("Counted",) * 4
    pages = flow.finish({})

    # A row is 5.3 mm high, so at most 46 of them and the head fit on a page.
    assert [words([page]).count("Day Note") for page in pages] == [1, 1, 1, 1]
    assert [f"{i} x" in words(pages) for i in (0, 80, 159)] == [True] * 3
    assert [page.label for page in pages] == ["Counted"] * 4
    assert "4 of 4" in words(pages[-1:])


def test_what_is_known_late_is_filled_in() -> None:
    flow = Flow(LETTER, "Pond")
    flow.section("Counted", "Counted")
    flow.table([Column("What", 1.0), Column("Pages", 1.0, figures=True)],
               [("all", Late("pages", "000")), ("pages", "{pages}")])  # fmt: skip
    (page,) = flow.finish({"pages": str(len(flow.labels))})

    assert "What Pages all 1 pages {pages}" in words([page])
    assert "000" not in words([page])


def test_lists_in_columns_lose_nothing_and_are_of_about_one_height() -> None:
    flow = Flow(LETTER, "Pond")
    flow.section("Listed", "Listed")
    flow.points([f"point{i} is here" for i in range(31)], columns=3, mark="box")
    (page,) = flow.finish({})
    points = [m for m in page.marks if isinstance(m, Text) and m.text.startswith("point")]

    assert [m.text.split()[0] for m in points] == [f"point{i}" for i in range(31)]
    assert sorted(Counter(m.x for m in points).values()) in ([10, 10, 11], [9, 11, 11])


def test_lists_in_columns_go_on_over_pages() -> None:
    flow = Flow(LETTER, "Pond")
    flow.section("Listed", "Listed")
    flow.points([f"point{i}" for i in range(300)], columns=2)
    pages = flow.finish({})

    assert len(pages) == 3
    shown = [text for page in pages for text in said_lines(page) if text.startswith("point")]
    assert shown == [f"point{i}" for i in range(300)]


def test_a_row_higher_than_a_page_goes_on_over_pages() -> None:
    flow = Flow(LETTER, "Pond")
    flow.section("Counted", "Counted")
    text = [f"word{i}" for i in range(3000)]
    flow.table([Column("Day", 1.0), Column("Note", 3.0)], [("1", " ".join(text)), ("2", "last")])
    pages = flow.finish({})

    assert len(pages) > 3
    shown = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    said = " ".join(mark.text for mark in shown).split()
    assert [word for word in said if word.startswith("word")] == text
    assert all(mark.y >= MARGIN for mark in shown)
    assert "last" in said
