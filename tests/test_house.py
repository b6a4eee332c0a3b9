"""What holds for all code of the program: short functions, few parameters, no flags in messages."""

from __future__ import annotations

import ast
import re
from pathlib import Path as FilePath

import pytest

ROOT = FilePath(__file__).resolve().parents[1]
FILES = sorted(file for folder in ("shapes", "sheets") for file in (ROOT / folder).rglob("*.py"))
LONGEST, MOST_PARAMETERS = 60, 8
DERIVED = {"packet"}
"""Commands, whose parameters are the options of the command line."""


def functions(file: FilePath) -> list[ast.FunctionDef]:
    tree = ast.parse(file.read_text("utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(ROOT)))
def test_functions_are_short_and_take_little(file: FilePath) -> None:
    for one in functions(file):
        given = [*one.args.posonlyargs, *one.args.args, *one.args.kwonlyargs]
        given = [argument for argument in given if argument.arg not in ("self", "cls")]
        assert (one.end_lineno or 0) - one.lineno < LONGEST, one.name
        assert len(given) <= MOST_PARAMETERS or one.name in DERIVED, one.name


def test_no_text_outside_the_command_line_names_a_flag() -> None:
    """Messages name a field between backquotes; the command line makes a flag of it."""
    found = [
        (str(file.relative_to(ROOT)), node.value)
        for file in FILES
        if file.parent.name != "cli"
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and re.search(r"(?<![\\w-])--[a-z]", node.value)
        and "python -m" not in node.value
    ]
    assert [row for row in found if not row[1].startswith("--measures-only")] == []
