"""Every module imports from its own place or below, and no imports run in a circle."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path as FilePath

import pytest

from sheets.kinds import KINDS

ROOT = FilePath(__file__).resolve().parents[1]
ORDER = (
    "shapes",
    "shapes.svg",
    "shapes.measure",
    "shapes.letters",
    "shapes.outline",
    "shapes.pictures",
    "sheets.page",
    "sheets.theme",
    "sheets.check",
    "sheets.write",
    "sheets.kinds",
    "sheets.files",
    "sheets.lists",
    "sheets.packet",
    "sheets.desk",
    "sheets.desk_facts",
    "sheets.desk_page",
    "sheets.web",
    "sheets.cli",
    "sheets.examples",
    "sheets.__main__",
    "sheets.run_as_module",
)
"""From the ground floor up: an import only ever points to the same line or one above it here."""

FILES = {
    ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): file
    for package in ("shapes", "sheets")
    for file in sorted((ROOT / package).rglob("*.py"))
}


def place(module: str) -> int:
    """The line of :data:`ORDER` a module belongs to: the longest name that it begins with."""
    fitting = [name for name in ORDER if module == name or module.startswith(f"{name}.")]
    return ORDER.index(max(fitting, key=len))


def imported(file: FilePath) -> Iterator[str]:
    """Modules of the project that a file imports anywhere, inside functions and for types too."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name the whole module"
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [name if name in FILES else str(node.module) for name in inside]
        else:
            continue
        yield from (name for name in names if name.split(".")[0] in ("shapes", "sheets", "tests"))


IMPORTS = {module: set(imported(file)) for module, file in FILES.items()}


@pytest.mark.parametrize("module", [name for name in FILES if name != "sheets"])
def test_a_module_imports_from_its_own_place_or_below(module: str) -> None:
    above = [n for n in IMPORTS[module] if n not in FILES or place(n) > place(module)]

    assert above == []


def test_no_imports_run_in_a_circle() -> None:
    """Take away what imports nothing that is left, until nothing is left."""
    left = {module: set(names) for module, names in IMPORTS.items()}
    while free := [module for module, names in left.items() if not names & left.keys()]:
        for module in free:
            del left[module]

    assert left == {}


def test_every_folder_stands_in_the_order() -> None:
    folders = {name.rpartition(".")[0] for name in FILES if name.count(".") == 2}

    assert folders - {f"sheets.packet.{'adult'}"} <= set(ORDER)
    assert len(FILES) > 120


@pytest.mark.parametrize("name", KINDS)
def test_no_kind_imports_another(name: str) -> None:
    own = f"sheets.kinds.{name.replace('-', '_')}"
    others = {f"sheets.kinds.{other.replace('-', '_')}" for other in KINDS} - {own}
    mine = [module for module in FILES if module == own or module.startswith(f"{own}.")]

    assert mine
    for module in mine:
        named = {other for other in others for i in IMPORTS[module]
                 if i == other or i.startswith(f"{other}.")}  # fmt: skip
        assert named == set()
