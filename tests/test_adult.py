"""Adult pages: figures that agree with the files, nothing off the page, no names on records."""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.errors import FitError
from shapes.letters.font import text_width_mm
from sheets.kinds import KINDS
from sheets.kinds.cautions import RIDER, caution
from sheets.packet.adult.family_note import DRAFT, note_copies, note_marks, notes
from sheets.packet.adult.flow import BINDER_MARGIN, Column, Flow, broken
from sheets.packet.adult.materials import (
    EITHER,
    LEFT,
    RIGHT,
    SCISSOR_NEEDS,
    Supply,
    scissors_not_needed,
    spared,
    supplies,
)
from sheets.packet.adult.records import CODES, page_words
from sheets.packet.plan import Counted
from sheets.page.frame import A4, LETTER, MARGIN
from sheets.page.marks import mark_bbox
from sheets.page.model import Material, Page, Place, Stroke, Text
from tests.ink import ink_outside
from tests.packets import files_of, packet_of, whole_class
from tests.readers import texts


def section(pages: Sequence[Page], label: str) -> list[Page]:
    return [page for page in pages if page.label == label]


def words(pages: Sequence[Page]) -> str:
    """All text of some pages in the order it is set, lines joined by blanks."""
    return " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Text))


def plan_and_pages(**options: Any) -> tuple[Counted, tuple[Page, ...]]:
    made = packet_of(**options) if options else whole_class()[0]
    return made.plan, made.adult


def by_name(plan: Counted) -> dict[str, Supply]:
    return {row.name: row for row in supplies(plan)}


# --- the pages ------------------------------------------------------------------------------------


def test_sections_come_in_order() -> None:
    _, pages = plan_and_pages()

    assert list(dict.fromkeys(page.label for page in pages)) == [
        "Run sheet", "Week plan", "Materials", "Preparation", "Cautions", "Observation",
        "Family note",
    ]  # fmt: skip


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
    for page in section(pages, "Observation") + section(pages, "Materials"):
        upright = {
            round(path.start[0], 2)
            for mark in page.marks
            if isinstance(mark, Stroke)
            for path in mark.paths
            if abs(path.start[0] - path.end[0]) < 0.001 and not path.closed
        }
        for mark in page.marks:
            if isinstance(mark, Text) and mark.size_pt == 9.0:
                box = mark_bbox(mark)
                assert not [x for x in upright if box.x0 + 0.1 < x < box.x1 - 0.1], mark.text


def test_the_word_safe_is_not_printed() -> None:
    _, pages = plan_and_pages()
    said = words(pages).lower()

    assert "safe" not in said
    assert "validated" not in said


# --- run sheet ------------------------------------------------------------------------------------


def test_the_run_sheet_tells_pages_and_sheets_as_written() -> None:
    made, files = whole_class()
    said = words(section(made.adult, "Run sheet"))
    totals = made.plan.totals()

    for name, count in totals.pages.items():
        assert f"{name} " in said
        assert f" {count} {count} " in said
    assert f"{totals.sheets} sheets of paper in all" in said
    assert f"with keys and adult pages on both sides: {totals.sheets_two_sided} sheets" in said
    count = len(made.adult)
    assert f"family notes: page {count - 1}, printed 8 more times" in said
    assert "actual size, or 100 %, or no scaling" in said
    assert "US Letter, 215.9 x 279.4 mm, in the tray and in the print window" in said
    assert "1 of " + str(count) in words(made.adult[:1])
    assert texts(files["adult.pdf"])[0].startswith("Run sheet")


def test_the_order_on_the_run_sheet_is_that_of_the_files() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Run sheet"))

    assert "Monday cutting all 20 1–8 1–12 –" in said
    # Two keys on a page: 20, then 22, then 19.
    assert "Tuesday trace-match all 20 9–28 – 1–10" in said
    assert "Wednesday sequence all 20 29–55 13–14 11–21" in said
    assert "56–74 15–17 22–31" in said


def test_cuts_are_counted_from_the_finished_pages() -> None:
    _, pages = plan_and_pages(only=("Pp", "Zu", "Bd"), kinds=("cutting",))
    said = words(section(pages, "Run sheet"))

    # Stage 2: a panel with four straight cuts; stage 1: two strips with three.
    assert "Monday cutting Pp, Zu 2 4 8 4" in said
    assert "Monday cutting Bd 1 3 3 3" in said
    assert "in all 3 11 7" in said


def test_cards_the_child_cuts_are_not_the_adult_s_work() -> None:
    made = packet_of(only=("Br", "Pp"), kinds=("sequence",))
    by_tag = {
        planned.child.tag: digest.cuts
        for planned, digest in zip(made.plan.sheets, made.plan.digests, strict=True)
    }

    assert by_tag["Br"] == ()  # stage 3
    assert [len(page) for page in by_tag["Pp"]] == [5]  # two cards, one above the other


def test_the_page_to_measure_is_of_a_file_that_is_there() -> None:
    for kinds, name in ((("cutting",), "card.pdf"), (("cutting", "trace-match"), "plain.pdf")):
        _, pages = plan_and_pages(only=("Pp",), kinds=kinds)
        assert f"First print page 1 of {name} alone" in words(section(pages, "Run sheet"))
        assert f"Print page 1 of {name}, measure both bars" in words(section(pages, "Preparation"))


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


def test_a_kind_that_comes_again_is_told() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Week plan"))

    assert "trace-match; cutting (again; page of Monday)" in said
    _, fresh = plan_and_pages(only=("Pp",), kinds=("cutting",), fresh=True)
    assert "again" not in words(section(fresh, "Week plan"))


def test_the_week_plan_has_stages_and_notes() -> None:
    _, pages = plan_and_pages()
    said = words(section(pages, "Week plan"))

    assert "Wash hands together, then lay the pictures." in said
    assert "Tu right 4 4 4 3 " in said
    assert "Ke right 3 2 2 –" in said


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
    change = ("Sky-Jo,Sj,?,1,0,1,1,1,0,loop-scissors", "Sky-Jo,Sj,?,1,0,1,1,1,0,")
    plan, _ = plan_and_pages(change=change, only=("Sj",), kinds=("cutting",))

    assert by_name(plan)[EITHER].tags == ("Sj",)


def test_things_used_again_are_counted_once_a_child_and_pages_are_paper() -> None:
    plan, _ = plan_and_pages()
    rows = by_name(plan)

    # Scissors and glue come with several kinds, and each child has two hands.
    assert rows["glue stick"].needed == 20
    assert rows["paper trimmer, for the adult"] == Supply(
        "For the adult", "paper trimmer, for the adult", 1, 1, (), "trimmer"
    )
    totals = plan.totals()
    plain = totals.plain + totals.keys + totals.adult + totals.notes
    assert rows["plain paper, Letter, sheets"].needed == plain
    assert rows["card, Letter, sheets"].needed == totals.card
    assert not [name for name in rows if name.startswith(("printed", "sheet of"))]


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
    assert "adds 50 %" in words(section(pages, "Materials"))


# --- preparation and cautions ---------------------------------------------------------------------


def test_steps_of_preparation_are_told_once_with_their_tags() -> None:
    _, pages = plan_and_pages(only=("Pp", "Zu", "Bd"), kinds=("cutting",))
    said = words(section(pages, "Preparation"))

    assert said.count("Beforehand an adult makes the 4 numbered straight cuts") == 1
    assert "Pp, Zu: Beforehand an adult makes the 4 numbered straight cuts" in said
    assert "Bd: Beforehand an adult makes the 3 numbered straight cuts" in said


def test_every_material_has_its_caution_and_local_rules_come_first() -> None:
    plan, pages = plan_and_pages()
    said = words(section(pages, "Cautions"))
    ids = {material.caution for digest in plan.digests for material in digest.materials} - {""}

    assert ids >= {"scissors", "trimmer", "glue", "objects"}
    for name in ids:
        assert caution(name).title in said
        assert caution(name).paragraph() in said
    assert said.index(RIDER) < said.index("Usual caution")
    assert "In the class list as mouthing things: Ni." in said


# --- records --------------------------------------------------------------------------------------


def test_the_grid_has_a_row_for_each_page_and_blank_ones() -> None:
    plan, pages = plan_and_pages()
    grid = section(pages, "Observation")
    said = words(grid)

    assert "Date Tag Kind (skill) Page Support Result Note" in said
    assert said.count("Date Tag") == len(grid)
    assert said.count(CODES) > len(plan.sheets)
    assert "Tu cutting line 6.35 mm, to" in said
    assert f"Ni cutting fold and tear {CODES}" in said
    assert "letter-match (letters)" in said


def test_parameters_in_a_few_words() -> None:
    def words(kind: str, parameters: dict[str, object]) -> str:
        return page_words(parameters, KINDS[kind].load().shown)

    assert words("cutting", {"line_width": 6.35, "cut_length": 95.6, "cuts": 2}) == (
        "line 6.35 mm, to 96 mm long"
    )
    letters = {"form": "same", "letter_mm": 40.0, "choices": 2, "layout": "cards"}
    assert words("letter-match", letters) == "same, letters 40 mm, 2 choices"
    some = {"things": "some", "answer": {"a": "b"}, "turned": True}
    assert words("trace-match", some) == "some things"
    assert words("cutting", {"line_width": "thin"}) == "thin"
    assert words("pattern", {"form": "copy", "units": ["AB", "AB", "ABB"]}) == "copy, AB and ABB"
    assert words("cutting", {"folds": 3}) == "fold and tear"


def test_a_pattern_page_counts_the_cells_to_fill() -> None:
    made = packet_of(only=("Pp", "So"), kinds=("pattern",))
    said = words(section(made.adult, "Observation"))

    for digest in made.plan.digests:
        cells = digest.parameters["cells_to_fill"]
        assert isinstance(cells, list)
        assert f"{CODES} of {sum(cells)}" in said or not sum(cells)


# --- family notes ---------------------------------------------------------------------------------


def test_a_note_for_each_language_of_theme_and_class() -> None:
    change = ("Pip,Pp,R,2,2,1,2,1,2,,", "Pip,Pp,R,2,2,1,2,1,2,,pl")
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
    change = ("Pip,Pp,R,2,2,1,2,1,2,,", "Pip,Pp,R,2,2,1,2,1,2,,tr")
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
    assert shown(()) == (11.0, 24)
    assert shown((line, line)) == (9.5, 24)
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
    pages: list[Page] = []
    flow = Flow(LETTER, "Pond", pages.append, 4)
    flow.section("Counted", "Counted")
    flow.table([Column("Day", 1.0), Column("Note", 2.0)], [(str(i), "x") for i in range(120)])
    assert flow.finish() == ("Counted",) * 4

    # A row is 5.9 mm high, so 37 or 40 of them and the head fit on a page.
    assert len(pages) == 4
    assert [words([page]).count("Day Note") for page in pages] == [1, 1, 1, 1]
    assert [f"{i} x" in words(pages) for i in (0, 60, 119)] == [True] * 3
    assert [page.label for page in pages] == ["Counted"] * 4
    assert "4 of 4" in words(pages[-1:])


def test_a_row_higher_than_a_page_goes_on_over_pages() -> None:
    pages: list[Page] = []
    flow = Flow(LETTER, "Pond", pages.append, 0)
    flow.section("Counted", "Counted")
    text = [f"word{i}" for i in range(3000)]
    flow.table([Column("Day", 1.0), Column("Note", 3.0)], [("1", " ".join(text)), ("2", "last")])
    flow.finish()

    assert len(pages) > 3
    shown = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    said = " ".join(mark.text for mark in shown).split()
    assert [word for word in said if word.startswith("word")] == text
    assert all(mark.y >= MARGIN for mark in shown)
    assert "last" in said
