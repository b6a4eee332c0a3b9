"""The sequences of a theme file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sheets.theme.fields import At
from sheets.theme.problems import quoted
from sheets.theme.reader import ThemeReader
from sheets.theme.section import Section
from sheets.theme.words import Step


@dataclass(frozen=True, slots=True)
class Sequence:
    """Pictures to put in order.

    Args:
        steps: the longest form, in order.
        short: shorter forms, each with some of the steps in the same order.
        also: other orders of all steps that are right too.
        note: for the adult; may be empty.
    """

    title: str
    steps: tuple[Step, ...]
    short: tuple[tuple[Step, ...], ...] = ()
    also: tuple[tuple[Step, ...], ...] = ()
    note: str = ""


def read_sequence(reader: ThemeReader, row: Mapping[str, Any], at: At) -> Sequence:
    """A row of the table."""
    noted = len(reader.problems)
    steps = reader.steps(row, "steps", at)
    reader.refuse_twice([step.word for step in steps], at, "steps")
    if noted == len(reader.problems) and len(steps) == 1:
        reader.problem(at, "steps", "only one step; give two or more")
    if noted < len(reader.problems):
        steps = ()  # the other orders cannot be judged
    return Sequence(
        reader.text(row, "title", at),
        steps,
        _orders(reader, row, "short", at, steps),
        _orders(reader, row, "also", at, steps),
        reader.text(row, "note", at, False),
    )


def _orders(
    reader: ThemeReader, row: Mapping[str, Any], key: str, at: At, steps: tuple[Step, ...]
) -> tuple[tuple[Step, ...], ...]:
    """Other orders of a sequence: shorter ones under ``short``, other whole ones otherwise."""
    by_word = {step.word.casefold(): place for place, step in enumerate(steps)}
    found: list[tuple[Step, ...]] = []
    for number, words in reader.items(row, key, at, "list of steps", list):
        places = [by_word.get(str(word).casefold()) for word in words]
        known = [place for place in places if place is not None]
        if len(known) < len(places):
            word = words[places.index(None)]
            fault = f"{quoted(str(word))} is not one of the steps; write it as there"
        elif key == "short" and not (len(known) >= 2 and known == sorted(set(known))):
            fault = "not some of the steps in their order; give two or more, in order"
        elif key == "also" and (sorted(known) != list(range(len(steps))) or known == sorted(known)):
            fault = "not another order of all the steps; name each once"
        else:
            found.append(tuple(steps[place] for place in known))
            continue
        if steps:
            reader.problem(at, key, f"list {number}: {fault}")
    return tuple(found)


SEQUENCES: Section[Sequence] = Section(
    "sequences",
    ("title", "steps", "short", "also", "note"),
    read_sequence,
    steps=lambda row: row.steps,
    starter="""\
# --- sequences: what comes first, what next ------------------------------------------------------
# A step is a word from above, or a word with its own picture: "sprout:1F331".

[[sequences]]
title = "From bean to flower"
steps = ["bean", "sprout:1F331", "plant:1F33F", "flower:1F33C"]
short = [["bean", "sprout", "plant"]]   # shorter forms, in the same order
# also = [["bean", "plant", "sprout", "flower"]]   # other orders that are right too
""",
)
