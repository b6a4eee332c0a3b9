"""Packets: exact pages and totals, each child's own page, all or nothing, names only on paper."""

from __future__ import annotations

import dataclasses
import io
import json
import math
import re
import shutil
import socket
import unicodedata
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest

from shapes.errors import FileError, InputError, TableworkError
from sheets.check.guidance import limits
from sheets.cli.report_packet import totals_lines
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.kinds import KINDS as ALL_KINDS
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.kinds.source import Source
from sheets.packet import make as packet
from sheets.packet.digest import CARD, KEYS, PLAIN, Gap, gap_lines
from sheets.packet.folder import MADE_BY, replacing
from sheets.packet.make import Packet
from sheets.packet.plan import Choices, Plan, make_plan, seed_of
from tests.packets import CLASS_FILE, KINDS, files_of, make_packet, packet_of, plan_of, whole_class
from tests.readers import _paint, _State, opened

SPECIAL = ("Zuzë", "Łapka", "Åsmo", "Ñico", "Miška", "D'Arley", "Sky-Jo")


def rows(index: bytes) -> list[dict[str, Any]]:
    """What is printed where: each place with the facts of its sheet."""
    sheets: list[dict[str, Any]] = json.loads(index)["sheets"]
    return [{**sheet, **place} for sheet in sheets for place in sheet["on"]]


def page_texts(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as pdf:
        return [unicodedata.normalize("NFC", page.get_textpage().get_text_range()) for page in pdf]


def page_counts(files: dict[str, bytes]) -> dict[str, int]:
    found = {}
    for name, data in files.items():
        if name.endswith(".pdf"):
            with pikepdf.open(io.BytesIO(data)) as pdf:
                found[name] = len(pdf.pages)
    return found


# --- the plan -------------------------------------------------------------------------------------


def test_each_child_gets_a_page_of_each_kind_at_the_stage_of_its_skill() -> None:
    plan = plan_of()

    assert len(plan.sheets) == 20 * 4 - 1
    for planned in plan.sheets:
        assert planned.skill == ALL_KINDS[planned.kind].skill
        assert planned.stage == planned.child.stages[planned.skill]
    assert [(p.child.tag, p.kind) for p in plan.sheets][:3] == [
        ("Pp", "cutting"), ("Br", "cutting"), ("Bd", "cutting"),
    ]  # fmt: skip
    assert list(dict.fromkeys(p.day for p in plan.sheets)) == [
        "monday", "tuesday", "wednesday", "thursday",
    ]  # fmt: skip


def test_a_skill_that_nobody_has_is_told_once() -> None:
    listed = classlist.parse(b"name,cutting,letters\nPip,2,\nBo,3,\n", "class.csv")
    plan = make_plan(theme.load("reedy-pond"), listed, Choices(kinds=("cutting", "letter-match")))

    assert [gap.sentence() for gap in plan.gaps] == [
        "letter-match: no stage for letters in the class list"
    ]
    assert {planned.kind for planned in plan.sheets} == {"cutting"}


def test_a_blank_stage_gives_no_page_and_is_reported() -> None:
    plan = plan_of()

    assert [gap.sentence() for gap in plan.gaps] == [
        "Ke, letter-match: no stage for letters in the class list"
    ]
    assert not [p for p in plan.sheets if (p.child.tag, p.kind) == ("Ke", "letter-match")]


def test_what_a_child_s_row_says_reaches_the_page() -> None:
    by_tag = {p.child.tag: p.options for p in plan_of(kinds=("cutting",)).sheets}

    assert (by_tag["Bd"].name, by_tag["Bd"].hand) == ("Bodo", "left")
    assert by_tag["Bd"].needs == ("left-scissors",)
    assert (by_tag["Zu"].language, by_tag["Pp"].language) == ("es", "en")
    assert by_tag["Ma"].hand == "either"


def test_every_page_knows_the_childs_stage_of_cutting() -> None:
    plan = plan_of()

    assert {p.options.cutting_stage for p in plan.sheets} >= set(range(7))
    for planned in plan.sheets:
        assert planned.options.cutting_stage == planned.child.stages.get("cutting")


def test_the_seed_is_of_packet_child_and_kind() -> None:
    plan = plan_of(seed=7)

    assert {p.options.seed for p in plan.sheets} == {
        seed_of(7, p.child.tag, p.kind) for p in plan.sheets
    }
    assert len({p.options.seed for p in plan.sheets}) == len(plan.sheets)
    assert seed_of(7, "Pp", "cutting") != seed_of(8, "Pp", "cutting")
    assert seed_of(7, "Pp", "cutting", 1) != seed_of(7, "Pp", "cutting")


def test_fresh_pages_each_day_keep_the_first_ones() -> None:
    once, fresh = plan_of(kinds=("cutting",)), plan_of(kinds=("cutting",), fresh=True)

    assert [day.day for day in fresh.days] == ["monday", "tuesday", "friday"]
    assert len(fresh.sheets) == 3 * len(once.sheets)
    assert fresh.sheets[:20] == once.sheets
    assert [fresh.sheets[i].label for i in (0, 20, 40)] == [
        "Pp cutting", "Pp cutting 2", "Pp cutting 3",
    ]  # fmt: skip
    assert once.repeats
    assert not fresh.repeats
    tuesday = plan_of(kinds=("cutting",), fresh=True, days=("tuesday",))
    assert tuesday.sheets == fresh.sheets[20:40]


def test_only_kinds_and_days_choose_a_part_with_the_same_pages() -> None:
    whole = {(p.child.tag, p.kind): p for p in plan_of().sheets}
    some = plan_of(only=("zuzë", "TU"), kinds=("sequence", "cutting"), days=("Wednesday", "monday"))

    assert [(p.child.tag, p.kind) for p in some.sheets] == [
        ("Tu", "cutting"), ("Zu", "cutting"), ("Tu", "sequence"), ("Zu", "sequence"),
    ]  # fmt: skip
    assert all(whole[p.child.tag, p.kind] == p for p in some.sheets)


def test_without_a_plan_all_kinds_belong_to_no_day() -> None:
    bare = dataclasses.replace(theme.load("reedy-pond"), plan=())
    plan = make_plan(bare, classlist.load(CLASS_FILE), Choices())

    assert [(day.day, day.kinds) for day in plan.days] == [
        ("", tuple(name for name, kind in ALL_KINDS.items() if kind.planned))
    ]
    assert plan.implied


# --- counts ---------------------------------------------------------------------------------------


def height_to_cut(stage: int, cutting: int | None) -> float:
    """What a strip and its cards take of the 200 mm of a page, in mm, where the child cuts.

    Sizes of cards and boxes as ``settings.toml`` of sequence has them, lines as that of cutting;
    above a row of boxes 9 mm for cues, 2 mm between two rows, 6 mm between boxes and cards, and
    6 mm, or the line and 1.5 mm, beside the cards.
    """
    if stage == 0 or cutting is None or cutting < 3:
        return 0.0
    line = {3: 10.0, 4: 6.35, 5: 4.8, 6: 3.2}[cutting]
    wide, high, more, count = {
        1: (60, 52, 8, 2), 2: (60, 52, 8, 2), 3: (50, 56, 6, 3), 4: (38, 50, 6, 4),
        5: (45, 38, 5, 5), 6: (40, 36, 4, 6),
    }[stage]  # fmt: skip
    beside = max(6.0, line + 1.5)
    most = int((176.0 - 2.0 * beside + line) // (wide + line))
    columns = 1 if count == 2 else math.ceil(count / math.ceil(count / most))
    rows, boxes = math.ceil(count / columns), math.ceil(count / int(176 // (wide + more)))
    strip = boxes * (9.0 + high + more) + (boxes - 1) * 2.0
    return strip + 6.0 + line + rows * high + (rows - 1) * line + beside


def expected(kind: str, stage: int, cutting: int | None = None) -> tuple[int, int, int, bool]:
    """Pages of a sheet on plain paper and on card, keys, and whether it has loose cards.

    Strips and lanes of cutting stages 1 to 3 are on card, as guidance has it. Letters at stage 0,
    and sequences that the child does not cut, have loose cards beside a mat or strip; a strip that
    the child cuts shares its page with its cards unless they lie too far apart for the lines.
    """
    if kind == "cutting":
        return (0, 1, 0, False) if stage in (1, 2, 3) else (1, 0, 0, False)
    if kind == "letter-match":
        return (1, 0, 1, stage == 0)
    if kind == "sequence":
        loose = stage == 0 or cutting is None or cutting < 3
        pages = 1 + (height_to_cut(stage, cutting) > 200.0)
        return (pages, 0, 2 if stage == 0 else 1, loose)
    return (1, 0, 1, False)


def found_of(plan: Any, number: int) -> tuple[int, int, int, bool]:
    """The same of a counted plan; loose cards are all on the sheets of cards."""
    spots = plan.imposed.spots[number]
    return (
        sum(spot.file == PLAIN for spot in spots),
        sum(spot.file == CARD and not spot.cards for spot in spots),
        sum(spot.file == KEYS for spot in spots),
        any(spot.cards for spot in spots),
    )


def test_pages_files_and_totals_are_exact() -> None:
    made, files = whole_class()
    plan = made.plan

    for number, planned in enumerate(plan.sheets):
        cutting = planned.child.stages.get("cutting")
        assert found_of(plan, number) == expected(planned.kind, planned.stage, cutting), (
            planned.label
        )
    totals = plan.totals()
    halves = sum(spot.half != "" for spots in plan.imposed.spots for spot in spots)
    plain = sum(found_of(plan, number)[0] for number in range(len(plan.sheets)))
    # 12 children cut on card; half pages are two to a sheet.
    assert totals.pages[PLAIN] == plain - halves // 2
    assert totals.pages[CARD] == 12 + plan.imposed.card_sheets
    assert page_counts(files) == dict(totals.pages)
    assert list(files) == ["plain.pdf", "card.pdf", "keys.pdf", "adult.pdf", "packet.json"]
    # 18 families with the main language need 9 pages of two notes, 2 Spanish ones a single one.
    assert totals.notes == 8
    assert totals.sheets == sum(totals.pages.values()) + 8


@pytest.mark.parametrize("name", list(ALL_KINDS))
def test_the_prediction_of_every_kind_is_what_is_written(name: str) -> None:
    few = ("Pp", "Tu", "Ju", "Am") if name == "pieces" else ()  # each child has sheets of them
    made = packet_of(kinds=(name,), only=few)

    assert page_counts(files_of(made)) == dict(made.plan.totals().pages)
    assert made.outside == ()


def test_the_index_tells_of_every_page() -> None:
    _, files = whole_class()
    found = rows(files["packet.json"])

    made, _ = whole_class()
    for name in ("plain.pdf", "card.pdf", "keys.pdf"):
        numbers = {row["page"] for row in found if row["file"] == name}
        assert numbers == set(range(1, made.plan.totals().pages[name] + 1))
    first = next(row for row in found if row["tag"] == "Tu")
    keys = ("file", "page", "tag", "kind", "skill", "stage", "day")
    assert {key: first[key] for key in keys} == {
        "file": "plain.pdf", "page": 1, "tag": "Tu", "kind": "cutting", "skill": "cutting",
        "stage": 4, "day": "monday",
    }  # fmt: skip
    assert first["seed"] == seed_of(0, "Tu", "cutting")
    assert [finding["limit"] for finding in first["findings"]].count("line width") == 1
    limits = json.loads(files["packet.json"])["guidance"]
    for row in found:
        for finding in row.get("findings", ()):
            assert limits[finding["guidance"]]["limit"] == finding["limit"]
            assert all(finding["marks"])
            assert not finding["outside"]
    assert len({tuple(limit.values()) for limit in limits}) == len(limits)


def test_the_index_and_the_pages_agree() -> None:
    made, files = whole_class()
    shown = {child.tag: child.shown for child in made.plan.children}
    for name in ("plain.pdf", "card.pdf", "keys.pdf"):
        texts = page_texts(files[name])
        for row in rows(files["packet.json"]):
            if row["file"] == name:
                text = texts[row["page"] - 1]
                by_tag = name == "keys.pdf" or row.get("cards")
                expected_text = f"{row['tag']} {row['kind']}" if by_tag else shown[row["tag"]]
                assert expected_text in text, row


def test_pages_come_in_the_order_of_day_kind_and_class_list() -> None:
    made, files = whole_class()
    days = [day.day for day in made.plan.days]
    tags = [child.tag for child in made.plan.children]
    for name in ("plain.pdf", "card.pdf", "keys.pdf"):
        order = [
            (row["page"], days.index(row["day"]), KINDS.index(row["kind"]), tags.index(row["tag"]))
            for row in rows(files["packet.json"])
            if row["file"] == name and not row.get("cards") and not row.get("half")
        ]
        assert order == sorted(order, key=lambda row: row[1:]) == sorted(order)


def test_parameters_lie_in_the_ladder_of_their_stage() -> None:
    _, files = whole_class()
    seen = set()
    for row in rows(files["packet.json"]):
        if row["file"] == "keys.pdf":
            continue
        stage, found = row["stage"], row["parameters"]
        seen.add((row["kind"], stage))
        assert not [finding for finding in row["findings"] if finding["outside"]]
        ladder = limits(row["skill"], stage)
        if row["kind"] == "cutting" and stage > 0:
            assert ladder["line_width"].allows(found["line_width"])
            assert ladder["cut_length"].allows(found["cut_length"], 0.05)
        if row["kind"] == "letter-match":
            assert ladder["letter_height"].allows(found["letter_mm"])
            if "choices" in ladder:
                assert ladder["choices"].allows(found["choices"])
        if row["kind"] == "sequence":
            # The theme's first sequence has six steps.
            assert found["steps"] == int(setting("sequence", stage, "steps") or 0)
        if row["kind"] == "trace-match":
            fewest = (
                2 if row["tag"] == "Ju" else int(setting("trace-match", stage, "least_things") or 2)
            )
            assert fewest <= found["things"] <= int(setting("trace-match", stage, "things") or 2)
    assert {stage for kind, stage in seen if kind == "cutting"} == set(range(7))


def test_cutting_stage_0_is_the_page_to_tear() -> None:
    _, files = whole_class()
    (number,) = [
        row["page"]
        for row in rows(files["packet.json"])
        if (row["tag"], row["kind"]) == ("Ni", "cutting")
    ]

    assert "tear along the fold; no scissors" in page_texts(files["plain.pdf"])[number - 1]


# --- one cell, one child --------------------------------------------------------------------------


def pictures_of(files: dict[str, bytes]) -> dict[tuple[str, str], list[Any]]:
    """For each page label of the children's files all that is painted on it, forms taken apart."""
    found: dict[tuple[str, str], list[Any]] = {}
    for name in ("plain.pdf", "card.pdf"):
        texts = page_texts(files[name])
        with opened(files[name]) as pdf:
            for row in rows(files["packet.json"]):
                if row["file"] != name or row.get("cards") or row.get("half"):
                    continue
                page = row["page"] - 1
                marks = [
                    dataclasses.replace(mark, form="")
                    for mark in _paint(pdf.pages[page].obj, _State(), "")
                ]
                key = (f"{name} {row['kind']}", row["tag"])
                found.setdefault(key, []).append((marks, texts[page]))
    return found


def test_one_cell_changes_the_pages_of_one_child_only() -> None:
    chosen = {"only": ("Pp", "Br", "Bd", "Fe", "Zu"), "kinds": ("letter-match", "sequence")}
    before = pictures_of(files_of(packet_of(**chosen)))
    cell = ("Bramble,Br,R,3,3,2,3", "Bramble,Br,R,3,3,0,3")
    after = pictures_of(files_of(packet_of(change=cell, **chosen)))

    changed = {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}
    assert changed == {("plain.pdf letter-match", "Br")}
    one, two = (
        shared_by(rows(files_of(packet_of(**asked, **chosen))["packet.json"]))
        for asked in ({}, {"change": cell})
    )
    assert {key[0] for key in one.keys() | two.keys() if one[key] != two[key]} == {"Br"}


def shared_by(found: list[dict[str, Any]]) -> Counter[tuple[str, str]]:
    """Loose cards and half pages by tag and kind."""
    counts: Counter[tuple[str, str]] = Counter()
    for row in found:
        counts[row["tag"], row["kind"]] += row.get("cards", 0) + 1000 * bool(row.get("half"))
    return counts


def test_the_index_says_which_pages_another_cell_has_changed(tmp_path: Path) -> None:
    """Only the child's own pages, what shares a sheet with them, and the adult's."""
    chosen = {"kinds": ("cutting", "letter-match", "sequence")}
    folder = tmp_path / "pond"
    files_of(packet_of(**chosen), folder)
    made = packet_of(change=("Bramble,Br,R,3,3,2,3", "Bramble,Br,R,4,3,2,3"), **chosen)
    index = json.loads(files_of(made, folder)["packet.json"])

    changed = {
        (file, page)
        for file in ("plain.pdf", "card.pdf")
        for page in index["changed"].get(file, ())
    }
    found = rows(folder.joinpath("packet.json").read_bytes())
    own = {(row["file"], row["page"]) for row in found if row["tag"] == "Br"}
    shared = {(row["file"], row["page"]) for row in found if row.get("cards") or row.get("half")}
    assert changed
    assert changed <= own | shared
    # The same packet once more: nothing has changed.
    again = packet_of(change=("Bramble,Br,R,3,3,2,3", "Bramble,Br,R,4,3,2,3"), **chosen)
    assert json.loads(files_of(again, folder)["packet.json"])["changed"] == {}


def test_the_same_choices_make_the_same_bytes_and_another_seed_other_pages() -> None:
    chosen: dict[str, Any] = {"only": ("Tu", "So"), "kinds": ("cutting", "letter-match")}
    one = files_of(packet_of(**chosen))

    assert files_of(packet_of(**chosen)) == one
    assert files_of(packet_of(seed=1, **chosen))["plain.pdf"] != one["plain.pdf"]


# --- names ----------------------------------------------------------------------------------------


def test_names_are_exact_on_paper() -> None:
    made, files = whole_class()
    lines = [
        text.splitlines() for name in ("plain.pdf", "card.pdf") for text in page_texts(files[name])
    ]

    for child in made.plan.children:
        pages = sum(
            spot.file in (PLAIN, CARD) and not spot.cards
            for planned, spots in zip(made.plan.sheets, made.plan.imposed.spots, strict=True)
            if planned.child == child
            for spot in spots
        )
        assert sum(page.count(child.name) for page in lines) == pages, child.name
    assert {child.name for child in made.plan.children} >= set(SPECIAL)


def _strings(thing: Any, depth: int = 0) -> Iterator[str]:
    """Every text of a PDF object outside page contents."""
    if isinstance(thing, pikepdf.String):
        yield str(thing)
    elif isinstance(thing, pikepdf.Dictionary):
        for value in thing.as_dict().values():
            if isinstance(value, pikepdf.String):
                yield str(value)
            elif isinstance(value, pikepdf.Dictionary | pikepdf.Array) and depth < 4:
                yield from _strings(value, depth + 1)
    elif isinstance(thing, pikepdf.Array):
        for value in thing:
            yield from _strings(value, depth + 1)


def test_names_are_nowhere_but_on_paper(tmp_path: Path) -> None:
    made, files = whole_class()
    names = [child.name for child in made.plan.children]
    words: list[str] = list(files)
    for name, data in files.items():
        if name.endswith(".json"):
            words.append(data.decode())
            continue
        with pikepdf.open(io.BytesIO(data)) as pdf:
            assert "/Metadata" not in pdf.Root
            for thing in pdf.objects:
                words += _strings(thing)

    joined = "\n".join(words)
    assert "Br cutting" in joined  # the labels are among them
    assert [name for name in names if re.search(rf"\b{re.escape(name)}\b", joined)] == []


def test_bookmarks_are_tags_with_their_kinds() -> None:
    _, files = whole_class()
    with pikepdf.open(io.BytesIO(files["plain.pdf"])) as pdf, pdf.open_outline() as outline:
        assert [item.title for item in outline.root][:2] == ["Tu cutting", "Ma cutting"]
        assert [item.title for item in outline.root[0].children] == list(KINDS[1:])
        assert str(pdf.docinfo["/Title"]) == "Reedy Pond: pages on plain paper"
        labels = pdf.Root.PageLabels.Nums
        assert str(labels[1].P) == "Tu cutting"


def test_no_network_connection_is_opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a packet needs no network")

    for name in ("socket", "create_connection", "getaddrinfo"):
        monkeypatch.setattr(socket, name, refuse)
    made = packet_of(only=("Zu", "Ma"))

    assert len(packet.write(made, tmp_path / "pond")) == 5


# --- all or nothing -------------------------------------------------------------------------------


class Stop(BaseException):
    """Like Ctrl-C."""


def stopped_at(made: Packet, number: int) -> Packet:
    """The packet, interrupted when that file's turn comes."""
    real, asked = made.file, iter(range(1, 10))

    def file(name: str) -> bytes:
        if next(asked) == number:
            raise Stop
        return real(name)

    made.file = file  # type: ignore[method-assign]
    return made


@pytest.mark.parametrize("at", [1, 2, 3])
def test_an_interrupted_run_leaves_the_old_packet(at: int, tmp_path: Path) -> None:
    folder = tmp_path / "pond"
    chosen: dict[str, Any] = {"only": ("Pp",), "kinds": ("cutting", "sequence")}
    packet.write(packet_of(**chosen), folder)
    old = {path.name: path.read_bytes() for path in folder.iterdir()}

    with pytest.raises(Stop):
        packet.write(stopped_at(packet_of(seed=5, **chosen), at), folder)

    assert {path.name: path.read_bytes() for path in folder.iterdir()} == old
    assert [path.name for path in tmp_path.iterdir()] == ["pond"]
    packet.write(packet_of(seed=5, **chosen), folder)
    new = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert new["packet.json"] != old["packet.json"]
    assert [path.name for path in tmp_path.iterdir()] == ["pond"]


def test_an_interrupted_first_run_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(Stop):
        packet.write(stopped_at(packet_of(only=("Pp",)), 1), tmp_path / "pond")

    assert list(tmp_path.iterdir()) == []


WHOLE: dict[str, Any] = {"theme": "pond", "children": "all", "kinds": "all", "days": "all"}


def put(
    folder: Path, text: str, selection: dict[str, object] | None = None, *, force: bool = False
) -> None:
    """A packet of one small file."""
    chosen = {"theme": "pond"} | (selection or WHOLE)
    with replacing(folder, chosen, force=force) as new:
        (new / "plain.pdf").write_text(text)
        index = {"made_by": MADE_BY, "selection": chosen}
        (new / "packet.json").write_text(json.dumps(index))


def test_a_swap_that_fails_brings_the_old_packet_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path / "pond", "old")
    rename = Path.rename

    def fail(self: Path, target: Path) -> Path:
        if self.name.endswith(".part"):
            raise OSError("no room")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fail)
    monkeypatch.setattr("sheets.packet.folder.exchange", lambda one, other: False)
    with pytest.raises(FileError, match="pond: cannot be written: no room; close its files"):
        put(tmp_path / "pond", "new")

    assert (tmp_path / "pond" / "plain.pdf").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["pond"]


def test_a_packet_set_aside_by_a_power_cut_comes_back(tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    (tmp_path / "pond").rename(tmp_path / ".pond.before")
    with pytest.raises(Stop), replacing(tmp_path / "pond", WHOLE, force=False):
        raise Stop

    assert (tmp_path / "pond" / "plain.pdf").read_text() == "old"
    put(tmp_path / "pond", "new")
    assert (tmp_path / "pond" / "plain.pdf").read_text() == "new"


def test_files_of_others_are_refused_and_kept_with_force(tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    (tmp_path / "pond" / "notes.txt").write_text("mine")
    with pytest.raises(
        FileError, match=r"the folder holds other files \(notes.txt\); name another"
    ):
        put(tmp_path / "pond", "new")
    put(tmp_path / "pond", "new", force=True)

    assert (tmp_path / "pond" / "notes.txt").read_text() == "mine"
    assert (tmp_path / "pond" / "plain.pdf").read_text() == "new"
    assert [path.name for path in tmp_path.iterdir()] == ["pond"]


@pytest.mark.parametrize(("names", "shown"), [("abc", "a, b, c"), ("abcd", r"a, b, c, \.\.\.")])
def test_three_files_of_others_are_named(names: str, shown: str, tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    for name in names:
        (tmp_path / "pond" / name).write_text("mine")
    with pytest.raises(FileError, match=rf"holds other files \({shown}\); name another"):
        put(tmp_path / "pond", "new")


@pytest.mark.parametrize("what", ["children", "kinds", "days"])
def test_part_of_a_packet_does_not_replace_it(what: str, tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    with pytest.raises(FileError, match=f"holds a packet of other {what}, which would be lost"):
        put(tmp_path / "pond", "new", WHOLE | {what: ["one"]})


def test_a_packet_of_another_theme_is_replaced_with_force_only(tmp_path: Path) -> None:
    put(tmp_path / "pond", "old")
    with pytest.raises(
        FileError, match=r"the packet of another theme \(pond\), which would be lost"
    ):
        put(tmp_path / "pond", "new", WHOLE | {"theme": "night-sky"})
    assert (tmp_path / "pond" / "plain.pdf").read_text() == "old"
    put(tmp_path / "pond", "new", WHOLE | {"theme": "night-sky"}, force=True)

    assert (tmp_path / "pond" / "plain.pdf").read_text() == "new"


def test_a_packet_of_one_child_does_not_replace_that_of_the_class(tmp_path: Path) -> None:
    put(tmp_path / "pond", "all")
    one = WHOLE | {"children": ["Zu"]}
    with pytest.raises(FileError, match="holds a packet of other children, which would be lost"):
        put(tmp_path / "pond", "one", one)
    put(tmp_path / "zu", "one", one)
    put(tmp_path / "zu", "again", one)
    put(tmp_path / "zu", "all")

    assert (tmp_path / "zu" / "plain.pdf").read_text() == "all"


@pytest.mark.parametrize(
    ("content", "shown"),
    [("{}", "packet.json"), ("not json", "packet.json"), ('["tablework packet"]', "packet.json")],
)
def test_an_index_that_is_not_ours_is_no_packet(content: str, shown: str, tmp_path: Path) -> None:
    (tmp_path / "pond").mkdir()
    (tmp_path / "pond" / "packet.json").write_text(content)
    with pytest.raises(FileError, match=f"holds other files \\({shown}\\)"):
        put(tmp_path / "pond", "new")


def test_folders_that_cannot_be_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    for folder, what in (
        (tmp_path / "file", "this is a file, not a folder; name another"),
        (tmp_path / "no" / "pond", "there is no folder '.*no'; make that folder first"),
        (Path(), "a packet needs a folder of its own, below or beside the one you are in"),
        (tmp_path, "a packet needs a folder of its own"),
    ):
        with pytest.raises(FileError, match=what):
            put(folder, "x")
    (tmp_path / "empty").mkdir()
    put(tmp_path / "empty", "x")
    assert (tmp_path / "empty" / "plain.pdf").exists()


# --- the command ----------------------------------------------------------------------------------


def test_the_totals_come_first_and_a_dry_run_stops_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = make_packet(
        "reedy-pond", CLASS_FILE, tmp_path / "pond", paper="letter", kinds="cutting, sequence",
        only=("Ma", "Pp"), dry_run=True,
    )  # fmt: skip
    shown = capsys.readouterr().out.splitlines()

    assert code == 0
    # Ma tears at cutting stage 0; the strips of Ma and Pp are a page each.
    assert [line.split()[:2] for line in shown[:2]] == [["plain.pdf", "3"], ["card.pdf", "2"]]
    assert "the week as planned:" in shown
    assert any(line.startswith("to use less paper") for line in shown)
    assert shown[-1] == "counted only: nothing written"
    assert list(tmp_path.iterdir()) == []


def test_the_command_writes_the_packet_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = make_packet(
        "reedy-pond", CLASS_FILE, tmp_path / "pond", paper="a4", kinds="cutting", only=("Pp",)
    )
    out = capsys.readouterr()

    assert code == 0
    assert out.out.splitlines()[-4:] == [
        "1 child, 6 sheets of paper; 4 with keys and adult pages on both sides",
        *(f"wrote {tmp_path / 'pond' / name}" for name in ("card.pdf", "adult.pdf", "packet.json")),
    ]
    assert "\r" not in out.err
    with pikepdf.open(tmp_path / "pond" / "card.pdf") as pdf:
        assert [float(side) for side in pdf.pages[0].mediabox][2:] == pytest.approx(
            [595.28, 841.89], abs=0.01
        )


def test_pages_outside_guidance_are_not_written_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    make = packet.make_sheet

    def make_outside(plan: Plan, planned: Any) -> Any:
        sheet = make(plan, planned)
        first = dataclasses.replace(sheet.findings[0], outside=True)
        return dataclasses.replace(sheet, findings=(first, *sheet.findings[1:]))

    monkeypatch.setattr(packet, "make_sheet", make_outside)
    asked: dict[str, Any] = {"paper": "letter", "kinds": "cutting", "only": ("Pp",)}

    assert make_packet("reedy-pond", CLASS_FILE, tmp_path / "pond", **asked) == 1
    error = capsys.readouterr().err
    assert (
        "outside guidance: Pp cutting: edge distance of the small picture in the head: 12.7"
        in error
    )
    assert "nothing written; add --print-anyway" in error
    assert list(tmp_path.iterdir()) == []
    assert (
        make_packet("reedy-pond", CLASS_FILE, tmp_path / "pond", allow_outside=True, **asked) == 0
    )
    text = "".join(page_texts((tmp_path / "pond" / "adult.pdf").read_bytes()))
    assert "Outside the guidance used, printed all the same" in text


def test_bars_are_made_up_for_a_printer_that_shrinks() -> None:
    from tests.readers import bars

    files = files_of(packet_of(only=("Pp",), kinds=("cutting",), bar_measures=98.0))

    lengths = bars(files["card.pdf"])
    # The two bars and the name line, which is as long.
    assert sum(abs(length - 100.0 / 0.98) < 0.02 for length in lengths) == 3
    assert "bar measured 98 mm" in " ".join(page_texts(files["adult.pdf"])[0].split())


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (
            {"only": ("Brambel",)},
            "`only`: no child 'Brambel' in the class list; did you mean Bramble?",
        ),
        (
            {"only": ("xq9",)},
            "`only`: no child 'xq9' in the class list; give a name or a tag of it",
        ),
        ({"kinds": ("weaving",)}, "`kinds`: kind 'weaving' is not known; use one of: cutting"),
        ({"without": ("weaving",)}, "`without`: kind 'weaving' is not known; use one of: cutting"),
        ({"without": KINDS}, "`without`: the plan has none of these kinds on these days; the pl"),
        ({"days": ("mondey",)}, "`days`: 'mondey' is not a day; did you mean monday?"),
        ({"days": ("x",)}, "`days`: 'x' is not a day; use monday, tuesday"),
        ({"days": ("sunday",)}, "`days`: Reedy Pond has no plan for sunday; its days: monday, tue"),
        (
            {"days": ("monday",), "kinds": ("sequence",)},
            "`kinds`: the plan has none of these kinds on these days; the plan of Reedy Pond: mon",
        ),
        ({"spare": -0.1}, "`spare`: less than nothing to spare; give 0 or more"),
        (
            {"only": ("Ke",), "kinds": ("letter-match",)},
            "class list: there is no page to make; give a child a stage in a column of these "
            "kinds: letter-match",
        ),
    ],
)
def test_bad_choices_are_told_in_one_line(options: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as caught:
        plan_of(**options)

    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


def test_every_page_that_cannot_be_made_is_named_at_once() -> None:
    change = ("Pip,Pp,R", "Pip of the long reeds at the far end of the still water,Pp,R")
    with pytest.raises(TableworkError) as caught:
        packet_of(change=change, kinds=("cutting", "sequence"), stop=True)
    problems: tuple[str, ...] = caught.value.problems  # type: ignore[attr-defined]

    assert len(problems) == 2
    assert problems[0].startswith(
        "Pp cutting, stage 2 (class list line 3): name: 'Pip of the long reeds at the far end of "
        "the still water' is too long for the name at 18 pt; shorten it"
    )
    assert problems[0].endswith("or leave that cell of the class list empty")


def test_an_impossible_page_is_left_out_with_a_note(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The others get theirs; the run sheet and the terminal say which is missing, and why."""
    content = CLASS_FILE.read_text("utf-8")
    name = "Pip of the long reeds at the far end of the still water"
    (tmp_path / "class.csv").write_text(content.replace("Pip,Pp,R", f"{name},Pp,R"), "utf-8")
    asked: dict[str, Any] = {"kinds": "cutting", "only": ("Pp", "Br")}
    code = make_packet("reedy-pond", tmp_path / "class.csv", tmp_path / "pond", **asked)
    shown = capsys.readouterr()

    assert code == 0
    assert "note: no page: Pp, cutting: could not be made: name: 'Pip of the" in shown.err
    index = json.loads((tmp_path / "pond" / "packet.json").read_text("utf-8"))
    assert [sheet["tag"] for sheet in index["sheets"]] == ["Br"]
    assert [gap["tag"] for gap in index["no_page"]] == ["Pp"]
    texts = " ".join(page_texts((tmp_path / "pond" / "adult.pdf").read_bytes())[0].split())
    assert "Pp, cutting: could not be made" in texts
    with pytest.raises(TableworkError):
        make_packet("reedy-pond", tmp_path / "class.csv", tmp_path / "pond", stop=True, **asked)


def test_a_class_of_which_no_page_can_be_made_is_refused() -> None:
    change = ("Pip,Pp,R", "Pip of the long reeds at the far end of the still water,Pp,R")
    with pytest.raises(TableworkError, match="Pp cutting, stage 2"):
        packet_of(change=change, kinds=("cutting",), only=("Pp",))


def test_one_reason_for_many_children_is_one_line() -> None:
    bare = dataclasses.replace(
        theme.load("reedy-pond"), sections={**theme.load("reedy-pond").sections, "sequences": ()}
    )
    rows = "".join(f"Pip{i},P{i},{i % 3}\n" for i in range(1, 6))
    listed = classlist.parse(f"name,tag,sequence\n{rows}".encode(), "class.csv")
    with pytest.raises(TableworkError) as caught:
        packet.prepare(make_plan(bare, listed, Choices(kinds=("sequence",))))
    (problem,) = caught.value.problems  # type: ignore[attr-defined]

    assert problem.startswith(
        "P1 sequence, stage 1 (class list line 2); P2 sequence, stage 2 (class list line 3); P3 "
        "sequence, stage 0 (class list line 4); and 2 more: "
    )
    assert problem.endswith("; or leave those cells of the class list empty")


def test_a_page_too_large_for_the_printer_is_told_once() -> None:
    with pytest.raises(InputError) as caught:
        packet_of(bar_measures=80.0)

    assert str(caught.value).startswith("`bar-measures` 80: made 1.250 times larger, ")
    assert not hasattr(caught.value, "problems")


def test_letter_pages_have_the_letters_of_the_theme_or_of_their_own_column() -> None:
    """The language at home is another thing."""
    listed = classlist.parse(
        b"name,letters,sequence,language,letters language\nPip,2,2,es,\nBo,2,2,es,French\n",
        "class.csv",
    )
    plan = make_plan(theme.load("reedy-pond"), listed, Choices(kinds=("sequence", "letter-match")))

    assert {(p.child.name, p.kind): p.options.language for p in plan.sheets} == {
        ("Pip", "sequence"): "es",
        ("Bo", "sequence"): "es",
        ("Pip", "letter-match"): "en",
        ("Bo", "letter-match"): "fr",
    }


def test_a_name_no_font_has_is_left_blank_and_told() -> None:
    made = packet_of(change=("Inky,In", "🐸,In"))

    assert made.plan.remarks == (
        "In: the name in class list line 9 cannot be printed here, so its name lines are left "
        "blank; set TABLEWORK_FONTS to a font file that has it",
    )
    (child,) = [child for child in made.plan.children if child.tag == "In"]
    assert (child.name, child.shown) == ("________", "")
    assert {p.options.name for p in made.plan.sheets if p.child.tag == "In"} == {""}
    assert len(made.plan.sheets) == len(whole_class()[0].plan.sheets)


def test_a_theme_without_a_sequence_gets_the_other_kinds() -> None:
    bare = dataclasses.replace(
        theme.load("reedy-pond"),
        plan=(),
        sections={**theme.load("reedy-pond").sections, "sequences": ()},
    )
    listed = classlist.parse(b"name,cutting,sequence\nPip,2,2\n", "class.csv")
    made = packet.prepare(make_plan(bare, listed, Choices()))

    assert [p.kind for p in made.plan.sheets] == ["cutting"]
    (gap,) = [gap for gap in made.plan.gaps if gap.kind == "sequence"]
    assert gap.tag == ""
    assert gap.sentence().startswith("sequence: nothing in the theme for it (")
    with pytest.raises(TableworkError, match="P67 sequence, stage 2"):
        packet.prepare(make_plan(bare, listed, Choices(kinds=("sequence",))))


def test_a_language_without_words_still_gets_the_letters() -> None:
    listed = classlist.parse(b"name,letters,letters language\nPip,1,pl\n", "class.csv")
    made = packet.prepare(
        make_plan(theme.load("reedy-pond"), listed, Choices(kinds=("letter-match",)))
    )

    assert made.plan.remarks == ()


def test_a_page_that_cannot_be_made_in_a_language_is_made_in_the_main_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    code = ALL_KINDS["letter-match"].load().module()
    real = code.task

    def needs_words(source: Source, stage: int, options: Options, choices: object) -> object:
        if options.language == "pl":
            raise InputError("no words")
        return real(source, stage, options, choices)

    monkeypatch.setattr(code, "task", needs_words)
    listed = classlist.parse(b"name,tag,letters,letters language\nPip,Pp,1,pl\n", "class.csv")
    made = packet.prepare(
        make_plan(theme.load("reedy-pond"), listed, Choices(kinds=("letter-match",)))
    )

    assert made.plan.remarks == (
        'Pp letter-match: the theme has no words for it in "pl"; made in en',
    )


def test_kinds_can_be_left_out_and_pages_for_adults_too() -> None:
    made = packet_of(only=("Pp", "Br"), without=("cutting", "Letter-Match"), children_only=True)

    assert {planned.kind for planned in made.plan.sheets} == {"trace-match", "sequence"}
    assert set(made.plan.totals().pages) <= {PLAIN, CARD}
    assert made.plan.totals().notes == 0
    assert set(files_of(made)) == {*made.plan.totals().pages, "packet.json"}


def test_progress_is_told_for_every_sheet() -> None:
    seen: list[tuple[int, int]] = []
    packet.prepare(plan_of(only=("Pp",)), lambda done, steps: seen.append((done, steps)))

    assert seen == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_a_packet_that_was_only_counted_cannot_be_written(tmp_path: Path) -> None:
    plan = plan_of(only=("Pp",))
    counted = packet.prepare(plan, draw=False)

    assert counted.plan.totals() == packet.prepare(plan).plan.totals()
    with pytest.raises(ValueError, match="counted"):
        packet.write(counted, tmp_path / "pond")
    assert list(tmp_path.iterdir()) == []


def test_totals_in_words() -> None:
    made, _ = whole_class()
    lines = totals_lines(made.plan)

    count = made.plan.totals().pages[PLAIN]
    assert lines[0] == f"plain.pdf  {count:5} pages  on plain paper"
    assert lines[2].strip() == (
        f"{made.plan.imposed.card_sheets} of them cards of all children (their area would fill "
        f"{made.plan.imposed.least_card_sheets})"
    )
    assert lines[5].strip() == "8 more copies of family notes, see the run sheet"
    assert lines[-1].startswith("20 children, ")


def test_totals_of_one_in_words() -> None:
    made = packet_of(only=("Pp",), kinds=("cutting",), children_only=True)
    lines = totals_lines(dataclasses.replace(made.plan, note_copies=1))

    assert lines == [
        "card.pdf       1 page   on card",
        "               1 more copy of family notes, see the run sheet",
        "1 child, 2 sheets of paper; 2 with keys and adult pages on both sides",
    ]


def test_the_data_of_a_class_leaves_no_stray_file(tmp_path: Path) -> None:
    shutil.copy(CLASS_FILE, tmp_path / "class.csv")
    make_packet(
        "reedy-pond", tmp_path / "class.csv", tmp_path / "pond", kinds="cutting", only=("Pp",)
    )

    assert sorted(path.name for path in tmp_path.iterdir()) == ["class.csv", "pond"]


def test_pages_of_one_kind_and_reason_are_told_on_one_line() -> None:
    gaps = [
        Gap("Pp", "sequence", "no sequence"),
        Gap("Br", "cutting", "too long"),
        Gap("Bo", "sequence", "no sequence"),
        Gap("", "sort-mat", "no sort"),
    ]
    assert gap_lines(gaps) == [
        "Pp, Bo, sequence: no sequence",
        "Br, cutting: too long",
        "sort-mat: no sort",
    ]
