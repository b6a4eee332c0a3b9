"""Counts of a packet and of its week against counting the finished files, for random classes."""

from __future__ import annotations

import dataclasses
import json
import math
import random
import re
from collections import Counter
from typing import Any

import pypdfium2
import pytest

from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.kinds import KINDS
from sheets.packet import make as packet
from sheets.packet.digest import ADULT, CARD, KEYS, PLAIN
from sheets.packet.make import Packet
from sheets.packet.plan import Choices, make_plan
from sheets.packet.week import Week, savings, week
from sheets.page.frame import A4, LETTER
from sheets.theme.theme import DAYS, Day
from tests.packets import files_of

THEMES = ("reedy-pond", "tide-side-harbour", "bean-row-garden")
NAMES = ("Pip", "Bramble", "Tuppence", "Zuzë", "Marlow", "Inky", "Fennel", "Oswin", "Juniper")
ROUNDS, EACH = 10, 5


def random_packet(rng: random.Random) -> Packet:
    """A packet of a random class of one to six with a plan of one to four days."""
    skills = list(dict.fromkeys(entry.skill for entry in KINDS.values()))
    lines = [",".join(["name", "hand", *skills])]
    for name in rng.sample(NAMES, rng.randint(1, 6)):
        stages = [str(rng.randint(0, 6)) if rng.random() < 0.9 else "" for _ in skills]
        stages[0] = stages[0] or "3"
        lines.append(",".join([name, rng.choice("LR"), *stages]))
    found = theme.load(rng.choice(THEMES))
    days = sorted(rng.sample(DAYS[:5], rng.randint(1, 4)), key=DAYS.index)
    # Sheets of pieces take long and are pages as others are.
    kinds = rng.sample([name for name in KINDS if name != "pieces"], rng.randint(1, 4))
    plan = tuple(
        Day(day, tuple(rng.sample(kinds, rng.randint(1, min(3, len(kinds))))), "") for day in days
    )
    plan = (dataclasses.replace(plan[0], kinds=(*plan[0].kinds, "cutting")), *plan[1:])
    if len(set(plan[0].kinds)) < len(plan[0].kinds):
        plan = (dataclasses.replace(plan[0], kinds=tuple(dict.fromkeys(plan[0].kinds))), *plan[1:])
    choices = Choices(
        paper=rng.choice([LETTER, A4]),
        fresh=rng.random() < 0.2,
        laminate=rng.random() < 0.2,
        children_only=rng.random() < 0.2,
        seed=rng.randint(0, 99),
    )
    listed = classlist.parse("\n".join(lines).encode(), "class.csv")
    return packet.prepare(make_plan(dataclasses.replace(found, plan=plan), listed, choices))


def texts_of(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as pdf:
        return [page.get_textpage().get_text_range() for page in pdf]


def printed_day_by_day(index: dict[str, Any], made: Packet) -> tuple[Counter[str], int]:
    """Sheets of the children's files printed by going through the week, and how many of them again.

    The index alone says where each child's pages lie and which can be used again. In the evening
    what is used up is thrown away.
    """
    printed: Counter[str] = Counter()
    drawer: set[tuple[str, int]] = set()
    ever: set[tuple[str, int]] = set()
    again = 0
    for day in made.plan.days:
        used_up: set[tuple[str, int]] = set()
        for kind in day.kinds:
            rows = [row for row in index["sheets"] if row["kind"] == kind]
            own = [row for row in rows if row["day"] == day.day]
            for row in own or rows:
                for spot in row["on"]:
                    if spot["file"] not in (PLAIN, CARD):
                        continue
                    at = (spot["file"], spot["page"])
                    if at not in drawer:
                        printed[at[0]] += 1
                        again += at in ever
                        drawer.add(at)
                        ever.add(at)
                    if not spot.get("used_again"):
                        used_up.add(at)
        # A half that waits for a later day stays in the drawer, though the other half is used up.
        waiting = {
            (spot["file"], spot["page"])
            for row in index["sheets"]
            if DAYS.index(row["day"]) > DAYS.index(day.day)
            for spot in row["on"]
        }
        drawer -= used_up - waiting
    return printed, again


@pytest.mark.parametrize("number", range(ROUNDS))
def test_totals_and_week_are_what_counting_the_files_gives(number: int) -> None:
    rng = random.Random(f"week {number}")
    for _ in range(EACH):
        made = random_packet(rng)
        files = files_of(made)
        index = json.loads(files["packet.json"])
        texts = {name: texts_of(data) for name, data in files.items() if name.endswith(".pdf")}
        totals, counts = made.plan.totals(), week(made.plan)

        assert {name: len(pages) for name, pages in texts.items()} == dict(totals.pages)
        plain = sum(len(texts.get(name, ())) for name in (PLAIN, KEYS, ADULT)) + totals.notes
        assert (totals.plain, totals.card) == (plain, len(texts.get(CARD, ())))
        check_cards(texts.get(CARD, []), made, counts)
        check_cuts(texts, made, counts)
        printed, again = printed_day_by_day(index, made)
        assert counts.again == again
        assert counts.card == printed[CARD]
        adult = sum(len(texts.get(name, ())) for name in (KEYS, ADULT)) + totals.notes
        assert counts.plain == printed[PLAIN] + adult
        for saving in savings(made.plan, counts):
            assert 0 < saving.sheets < counts.sheets


def check_cards(pages: list[str], made: Packet, counts: Week) -> None:
    """Every loose card bears its tag once; the index counts them."""
    shared = pages[len(pages) - made.plan.imposed.card_sheets :]
    wanted: Counter[str] = Counter()
    for planned, digest in zip(made.plan.sheets, made.plan.digests, strict=True):
        if digest.cards:
            wanted[planned.label] += digest.cards
    found: Counter[str] = Counter()
    for text in shared:
        for label in wanted:
            found[label] += len(re.findall(rf"{re.escape(label)}(?! \d)\s", text + "\n"))
    assert found == wanted
    assert counts.envelopes == len(wanted)
    assert counts.film == (len(shared) if made.plan.choices.laminate else 0)


def check_cuts(texts: dict[str, list[str]], made: Packet, counts: Week) -> None:
    """Cuts with nothing stacked, from the numbers printed beside them."""
    again = {name: [p for day in counts.days for p in day.again.get(name, ())] for name in texts}
    found = 0
    shared = {trim.page: trim for trim in made.plan.imposed.trims if trim.kind == "cards"}
    for name in (PLAIN, CARD):
        for number, text in enumerate(texts.get(name, [])):
            copies = 1 + again[name].count(number)
            if name == CARD and number in shared:
                blocks = shared[number].blocks
                said = " ".join(text.split())
                pattern = r"cut 1 to (\d+) across, then (\d+) to (\d+) down"
                across, first, most = map(int, re.findall(pattern, said)[0])
                assert first == across + 1
                assert {str(i) for i in range(1, most + 1)} <= set(said.split())
                assert most - across == sum(downs for _, downs in blocks)
                found += copies * (across + sum(rows * downs for rows, downs in blocks))
            elif grid := re.search(
                r"1 to (\d+) across the paper, (\d+) to (\d+) down", " ".join(text.split())
            ):
                across, first, most = map(int, grid.groups())
                assert first == across + 1
                found += copies * (across + (across - 1) * (most - across))
            else:
                found += copies * len(re.findall(r"cut \d+\b(?! to)", text))
    assert counts.cuts == found
    assert 0 <= counts.cuts_stacked <= counts.cuts


def test_a_usual_week_in_figures() -> None:
    """The twenty of the test class: what comes again is printed again only where it is used up."""
    listed = classlist.parse(
        b"name,cutting,pattern,sorting\nPip,4,1,2\nBramble,5,1,2\nBo,6,1,2\n", "class.csv"
    )
    days = (Day("monday", ("cutting", "sort-mat"), ""), Day("friday", ("cutting", "sort-mat"), ""))
    found = dataclasses.replace(theme.load("reedy-pond"), plan=days)
    made = packet.prepare(make_plan(found, listed, Choices(paper=LETTER)))
    counts = week(made.plan)

    monday, friday = counts.days
    # Three cutting pages, three mats; 18 cards of 60 mm on two sheets of card.
    assert {name: len(pages) for name, pages in monday.new.items()} == {PLAIN: 6, CARD: 2}
    assert friday.new == {}
    assert {name: len(pages) for name, pages in friday.again.items()} == {PLAIN: 3}
    assert friday.kept == ("sort-mat",)
    assert counts.again == 3
    assert counts.envelopes == 3
    ink = made.plan.imposed.ink
    once_more = sum(ink[PLAIN][page] for page in friday.again[PLAIN])
    assert math.isclose(counts.ink_plain, sum(ink[PLAIN]) + once_more + sum(ink[KEYS]))
    assert math.isclose(counts.ink_card, sum(ink[CARD]))


def test_savings_are_the_largest_and_say_what_they_cost() -> None:
    listed = classlist.parse(b"name,cutting,sorting\nPip,4,2\nBramble,5,2\n", "class.csv")
    days = (Day("monday", ("cutting", "sort-mat"), ""), Day("friday", ("cutting",), ""))
    found = dataclasses.replace(theme.load("reedy-pond"), plan=days)
    made = packet.prepare(make_plan(found, listed, Choices(paper=LETTER)))
    got = savings(made.plan, week(made.plan))

    assert len(got) == 3
    assert [s.sheets for s in got] == sorted((s.sheets for s in got), reverse=True)
    assert all(s.how and s.cost for s in got)
    without = make_plan(found, listed, Choices(paper=LETTER, without=("cutting",)))
    left = week(packet.prepare(without).plan)
    stated = next(s.sheets for s in got if "cutting" in s.how)
    whole = week(made.plan)
    # Adult pages may get shorter too, so at least what was said.
    assert whole.sheets - left.sheets >= stated
    assert next(s.sentence() for s in got if "cutting" in s.how) == (
        f"{stated} sheets less: `without` cutting; the week has no cutting page"
    )
