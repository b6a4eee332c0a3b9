"""What the page is made of: what it may import and load, its words, and what it does not slow."""

from __future__ import annotations

import ast
import base64
import hashlib
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from shapes.errors import InputError, PictureError
from sheets import desk, desk_facts, desk_page
from sheets.kinds import KINDS, SKILLS
from sheets.web.app import ROUTES, texts
from sheets.web.single import controls
from tests.all_themes import FIRST_THREE

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "sheets" / "web"
HTMX = "2OatzQy1H+Zd/IIrjr1TcuDGqLXeHhbooAyJY1KdQMKnr4LZ22k31GBLdYKHmVjg"
"""SHA-384 of dist/htmx.min.js in the npm package htmx.org 2.0.11."""


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False,
                          env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_vendored_script_is_the_published_one() -> None:
    script = (WEB / "static" / "htmx.min.js").read_bytes()
    assert base64.b64encode(hashlib.sha384(script).digest()).decode() == HTMX
    assert "Zero-Clause BSD" in (WEB / "static" / "HTMX-LICENSE").read_text("utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert "0BSD" in project["license"]
    assert "sheets/web/static/HTMX-LICENSE" in project["license-files"]


def test_the_page_asks_only_the_desk() -> None:
    for file in WEB.glob("*.py"):
        tree = ast.parse(file.read_text("utf-8"))
        for node in tree.body:  # what is imported for types alone stands in an if
            if isinstance(node, ast.ImportFrom) and str(node.module).startswith(
                ("sheets", "shapes")
            ):
                allowed = ("sheets.web", "shapes.errors")
                names = {alias.name for alias in node.names}
                of_desk = node.module == "sheets" and names <= {"desk", "desk_facts", "desk_page"}
                ok = of_desk or str(node.module).startswith(allowed)
                assert ok, f"{file.name}: {node.module} {names}"


@pytest.mark.parametrize("module", ["desk", "desk_facts", "desk_page"])
def test_the_desk_knows_nothing_of_requests(module: str) -> None:
    text = (ROOT / "sheets" / f"{module}.py").read_text("utf-8").lower()
    assert [word for word in ("flask", "werkzeug", "http", "html", "cookie") if word in text] == []


def test_nothing_of_the_page_is_loaded_for_other_commands() -> None:
    code = (
        "import sys; from sheets.cli.main import main; main(['--help']); "
        "main(['kinds']); "
        "print('HEAVY', [m for m in ('flask', 'werkzeug', 'jinja2', 'sheets.web')"
        " if m in sys.modules])"
    )
    assert run(code).splitlines()[-1] == "HEAVY []"


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_packets_of_the_themes_that_come_along_need_no_geometry_library(
    tmp_path: Path, paper: str
) -> None:
    """With numpy and shapely out of reach; a page that needed them would be told as missing.

    Six children at each stage, of both hands, so that most pictures of a theme come.
    """
    rows = [
        f"{name}{'abcdefg'[stage]},{hand}{f',{stage}' * 6}"
        for stage in range(7)
        for name, hand in zip(("Pip", "Bo", "Inky", "Oswin", "Fennel", "Ju"), "LRLRLR", strict=True)
    ]
    (tmp_path / "class.csv").write_text(
        "\n".join(["name,hand,cutting,matching,letters,sequence,pattern,sorting", *rows]), "utf-8"
    )
    code = f"""
import sys
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("numpy", "shapely"):
            raise ImportError(name + " is blocked")
sys.meta_path.insert(0, Blocked())
from sheets.cli.main import main
for theme in {FIRST_THREE!r}:
    done = main(["packet", theme, "--class", {str(tmp_path / "class.csv")!r},
                 "--out", {str(tmp_path)!r} + "/" + theme, "--paper", {paper!r}, "--stop"])
    assert done == 0, (theme, done)
print([m for m in ("numpy", "shapely") if m in sys.modules])
"""
    assert run(code).splitlines()[-1] == "[]"
    assert len(list(tmp_path.glob("*/plain.pdf"))) == len(FIRST_THREE)


# --- words ----------------------------------------------------------------------------------------


def test_every_word_that_a_part_asks_for_is_there() -> None:
    words = texts("en")
    given = {file.stem: file.read_text("utf-8") for file in (WEB / "templates").glob("*.html")}
    asked = set()
    for text in given.values():
        own = re.search(r"\{% set w = t\.(\w+) %\}|\{% set w = t\['(\w+)'\] %\}", text)
        asked |= {(a, b) for a, b in re.findall(r"\bt\.(\w+)\.(\w+)", text) if b != "get"}
        asked |= {(a, b) for a, b in re.findall(r"\bt\['(\w+)'\]\.(\w+)", text) if b != "get"}
        if own:
            asked |= {(own[1] or own[2], name) for name in re.findall(r"\bw\.(\w+)", text)}
    assert len(asked) > 150
    assert [(a, b) for a, b in sorted(asked) if b not in words[a]] == []
    said = "".join(given.values()) + "".join(f.read_text("utf-8") for f in WEB.glob("*.py"))
    for part in ("theme", "class", "pages", "print", "single", "check", "page", "outside"):
        for name in words[part]:
            if part == "print" and name in ("plain", "card", "keys", "adult"):  # of files
                continue
            assert re.search(rf"\b{name}\b", said), f"{part}.{name} is said nowhere"


def test_every_skill_kind_need_and_day_has_plain_words() -> None:
    words = texts("en")
    assert set(SKILLS) <= words["columns"].keys()
    assert set(KINDS) <= words["kinds"].keys()
    assert set(desk_facts.needs()) <= words["needs"].keys()
    assert set(desk_facts.days()) <= words["days"].keys()
    for skill in SKILLS:
        assert all(desk_facts.stage_meanings(skill)), skill


def test_an_unknown_language_is_english() -> None:
    assert texts("tlh") == texts("en") == texts("../en")


def test_no_template_has_a_style_or_script_of_its_own() -> None:
    for file in (WEB / "templates").glob("*.html"):
        text = file.read_text("utf-8")
        assert not re.search(
            r"\sstyle=|<style|\son[a-z]+=|javascript:|<script(?! src)|hx-on", text
        ), file
        assert "|safe" not in text or file.name in ("page.html", "single.html"), file


def test_every_change_is_a_post_and_every_address_is_there_once() -> None:
    assert {route.method for route in ROUTES} == {"GET", "POST"}
    assert len({(route.method, route.path) for route in ROUTES}) == len(ROUTES)


@pytest.mark.parametrize("kind", KINDS)
def test_the_form_of_a_kind_has_all_that_it_can_be_told(kind: str) -> None:
    made = controls(kind)
    assert [control.name for control in made] == [field.name for field in desk.fields(kind)]
    assert {control.form for control in made} <= {"box", "choice", "number", "text"}
    shared = {"paper": "a4", "hand": "left", "needs": (), "name": "Zuzë"}
    asked = desk_page.SingleAsked(kind, 3, "reedy-pond", (), {c.name: None for c in made})
    assert (
        desk_page.make_single(asked, shared).pages
        == desk.make_sheet(kind, 3, desk_page.options_of(shared), theme="reedy-pond").pages
    )


# --- drawings of strangers ------------------------------------------------------------------------

LEAF = (ROOT / "tests" / "data" / "svg" / "pond-leaf.svg").read_bytes()


def test_an_unknown_skill_is_refused_apart_too() -> None:
    with pytest.raises(InputError, match="not known"):
        desk_page.check_apart(LEAF, "a.svg", "juggling", 3)


def test_a_drawing_is_measured_apart_as_at_the_desk() -> None:
    shown = desk_page.check_apart(LEAF, "leaf.svg", "cutting", 3)
    found = desk.check_drawing(LEAF, "leaf.svg", "cutting", 3)
    outside = [sentence for is_outside, sentence in shown.findings if is_outside]
    assert len(outside) == len(found.outside) > 0
    for number, (sentence, finding) in enumerate(zip(outside, found.outside, strict=True), 1):
        assert sentence.startswith(finding.sentence())
        if found.where(finding) is not None:
            assert re.search(r"mm from the left, \S+ mm from the top", sentence)
            assert f">{number}</text>".encode() in shown.pages[0] or b"<use" in shown.pages[0]
    within = {sentence for is_outside, sentence in shown.findings if not is_outside}
    assert len(within) <= sum(not f.outside for f in found.findings)
    assert len(shown.unmeasured) == len(found.unmeasured)
    assert shown.pages[0].startswith(b"<?xml")


def test_a_drawing_of_ones_own_is_tried_apart() -> None:
    assert desk_page.try_drawing(LEAF, "leaf.svg") == ("style rule", "text")
    with pytest.raises(InputError):
        desk_page.try_drawing(b"<html/>", "leaf.svg")
    assert issubclass(PictureError, InputError)
