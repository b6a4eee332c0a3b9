"""Tips for the adult: every kind has them for every stage, short, with a source that is known."""

from __future__ import annotations

import copy
import itertools
import re
from pathlib import Path
from typing import Any

import pytest

from shapes.errors import InputError
from shapes.letters.font import check_text
from sheets.check.guidance import STAGES, sources
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds import tips as module
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.kinds.tips import LABELS, LONGEST, parse, tips

FOLDER = Path(module.__file__).parent


def test_every_kind_has_a_file_and_no_file_is_without_a_kind() -> None:
    """A new kind comes with its own tips."""
    assert {file.stem for file in FOLDER.glob("*.toml")} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_every_stage_has_a_short_sentence_under_every_label(kind: str) -> None:
    found = tips(kind)
    for label, stage in itertools.product(LABELS, STAGES):
        tip = found.by_label[label][stage]
        assert 0 < len(tip.text) <= LONGEST
        assert tip.text[0].isupper()
        assert tip.text[-1] in ".?"
        check_text(tip.text, kind)
        assert tip.source is None or tip.source is sources()[tip.source.id]
    for stage in STAGES:
        assert re.match("(Hands|Eyes|Talk): ", found.by_label["watch"][stage].text)


@pytest.mark.parametrize("kind", KINDS)
def test_tips_speak_of_what_to_do(kind: str) -> None:
    said = " ".join(tip.text for rows in tips(kind).by_label.values() for tip in rows.values())

    assert not re.search(r"\b(safe|normal|delay\w*|fail\w*|bad|late|behind)\b", said, re.I)


def test_each_kind_has_something_of_its_own_to_tick() -> None:
    assert all(tips(kind).ticks for kind in KINDS)
    assert [tick.head for tick in tips("cutting").ticks] == [
        "thumb on top",
        "helper hand holds, turns",
    ]
    # Whoever tears holds no scissors.
    assert 0 not in tips("cutting").ticks[0].stages
    assert tips("cutting").ticks[1].stages == frozenset(STAGES)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if tips(kind).result])
def test_how_many_there_are_is_a_parameter_of_every_page(kind: str) -> None:
    for stage in STAGES:
        sheet = make_sheet(kind, Source(load("reedy-pond")), stage, Options(name="Zuzë"))
        assert isinstance(sheet.parameters[tips(kind).of], int | list)


def test_sentences_of_several_stages_are_merged() -> None:
    found = tips("letter-match").merged("say", (6, 2, 4, 4))

    assert found == [
        ((2,), "Follow its lines. Which one is just the same?"),
        ((4, 6), "Say the word slowly. What does it start with?"),
    ]
    assert tips("cutting").merged("watch", ()) == []


def test_a_kind_that_is_not_known() -> None:
    with pytest.raises(InputError, match="kind 'knitting' is not known"):
        tips("knitting")


def good() -> dict[str, Any]:
    row = {"text": "Look.", "source": "common practice"}
    return {label: {"0-6": dict(row)} for label in LABELS} | {"observe": {}}


def test_a_file_in_order() -> None:
    found = parse(good(), "knitting")

    assert (found.hand, found.result, found.ticks) == (False, "", ())
    assert found.by_label["say"][3].text == "Look."


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda data: data.pop("watch"), "watch: stages"),
        (lambda data: data.update(shout={}), "shout is not known"),
        (lambda data: data["say"].update({"3": data["say"]["0-6"]}), "each of 0 to 6 once"),
        (lambda data: data["say"]["0-6"].update(text="x" * 71), "1 to 70 characters"),
        (lambda data: data["say"]["0-6"].update(text=""), "1 to 70 characters"),
        (lambda data: data["say"]["0-6"].update(source="hearsay"), "'hearsay' is not a source"),
    ],
)
def test_a_file_that_is_not_in_order(change: Any, message: str) -> None:
    data = copy.deepcopy(good())
    change(data)

    with pytest.raises(ValueError, match=message):
        parse(data, "knitting")
