"""What no font here can print is left blank, and the run sheet says so; no child stops a class."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from shapes.errors import GlyphError
from shapes.letters.font import check_text
from sheets.files.class_list import Child
from sheets.packet.adult.family_note import BLANK, sentences_in
from sheets.packet.plan import Plan
from sheets.theme.languages import english, primary


def printable(plan: Plan) -> Plan:
    """The plan with names that can be printed, and a remark for each that cannot.

    Remarks tell too of languages at home that have no family note or no font here.
    """
    problems = {child.tag: error for child in plan.children if (error := _name_problem(child))}
    children = {
        child.tag: dataclasses.replace(child, name=BLANK, shown="")
        if child.tag in problems
        else child
        for child in plan.children
    }
    sheets = tuple(
        dataclasses.replace(
            planned,
            child=children[planned.child.tag],
            options=dataclasses.replace(planned.options, name=""),
        )
        if planned.child.tag in problems
        else planned
        for planned in plan.sheets
    )
    blank = [
        f"{child.tag}: the name in class list line {child.row} cannot be printed here, so its name "
        f"lines are left blank; {problems[child.tag].fix}"
        for child in plan.children
        if child.tag in problems
    ]
    return dataclasses.replace(
        plan,
        children=tuple(children.values()),
        sheets=sheets,
        remarks=(*plan.remarks, *blank, *_of_languages(plan)),
    )


def _name_problem(child: Child) -> GlyphError | None:
    try:
        check_text(child.shown)
    except GlyphError as error:
        return error
    return None


def _of_languages(plan: Plan) -> Iterator[str]:
    main = plan.theme.languages[0]
    spoken = dict.fromkeys(child.language for child in plan.children if child.language)
    others = [language for language in spoken if primary(language) != primary(main)]
    fallback = sentences_in(main, main)
    without = [english(tag) for tag in others if sentences_in(tag, main) != primary(tag)]
    if without:
        yield (
            f"No family note in {', '.join(without)}: the sentences are in {english(fallback)}, "
            "and names of pictures in the language at home where they are known"
        )
    for language in others:
        problem = _names_problem(plan, language)
        if problem is not None:
            yield (
                f"{english(language)}: some names of pictures cannot be printed here and are left "
                f"blank; {problem.fix}"
            )


def _names_problem(plan: Plan, language: str) -> GlyphError | None:
    for word in plan.theme.words:
        name = plan.theme.known_name(word.text, language)
        try:
            check_text(name.text if name is not None else "")
        except GlyphError as error:
            return error
    return None
