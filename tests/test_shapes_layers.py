"""The parts of ``shapes`` build on one another in one order, and on nothing of the pages."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path as FilePath

import pytest

import shapes

ROOT = FilePath(shapes.__file__).parent
FOLDERS = ("svg", "measure", "letters", "outline", "pictures")
"""From the bottom up; below them lie the modules that stand in no folder."""


def module_of(file: FilePath) -> str:
    return ".".join((ROOT.name, *file.relative_to(ROOT).with_suffix("").parts))


MODULES = {module_of(file): file for file in sorted(ROOT.rglob("*.py")) if file.stem != "__init__"}


def level(module: str) -> int:
    folder = module.split(".")[1]
    return FOLDERS.index(folder) + 1 if folder in FOLDERS else 0


def imported(file: FilePath) -> Iterator[str]:
    """Modules of the project that a file imports anywhere, inside functions and for types too."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name the whole module"
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [name if name in MODULES else str(node.module) for name in inside]
        else:
            continue
        yield from (name for name in names if name.split(".")[0] in ("shapes", "sheets", "tests"))


IMPORTS = {module: set(imported(file)) for module, file in MODULES.items()}


@pytest.mark.parametrize("module", MODULES)
def test_a_module_imports_from_its_own_level_or_below(module: str) -> None:
    above = [name for name in IMPORTS[module] if name not in MODULES or level(name) > level(module)]

    assert above == []


def test_no_imports_run_in_a_circle() -> None:
    """Take away what imports nothing that is left, until nothing is left."""
    left = {module: set(names) for module, names in IMPORTS.items()}
    while free := [module for module, names in left.items() if not names & left.keys()]:
        for module in free:
            del left[module]

    assert left == {}


def test_every_folder_has_its_level() -> None:
    found = {file.parent.name for file in MODULES.values()} - {ROOT.name}

    assert found == set(FOLDERS)
    assert len(MODULES) > 25
