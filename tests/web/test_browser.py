"""A teacher at the page, in Chromium, through the real command."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from sheets.cli.main import main
from tests.web.browsing import Notes, flaws, opened, overflow, settled, watched
from tests.web.served import FOUR, Served, served, twenty

pytestmark = pytest.mark.browser

DRAWINGS = Path(__file__).resolve().parents[1] / "data" / "svg"
HOSTILE = b"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 viewBox="0 0 60 60" onload="document.title='hacked'"><script>document.title='hacked'</script>
<image href="http://203.0.113.9/seen.png" width="9" height="9"/>
<style>@import url(http://203.0.113.9/seen.css);</style>
<foreignObject><iframe xmlns="http://www.w3.org/1999/xhtml" src="http://203.0.113.9/"/></foreignObject>
<path d="M10 10H50V50H10Z" fill="none" stroke="#000" stroke-width="3"/></svg>"""


class Desk:
    """A running command on a folder, a browser's context, and its first page."""

    def __init__(self, running: Served, context: BrowserContext, notes: Notes) -> None:
        self.running, self.context, self.notes = running, context, notes
        self.page = opened(context, running.entrance)

    @property
    def folder(self) -> Path:
        return self.running.folder


@pytest.fixture
def desk(tmp_path: Path, browser: Browser, request: pytest.FixtureRequest) -> Iterator[Desk]:
    """With an empty folder, or that of four children where the test asks for it."""
    folder = tmp_path / "teacher"
    folder.mkdir()
    if request.node.get_closest_marker("usefixtures"):
        (folder / "class.csv").write_text(FOUR, "utf-8")
    with ExitStack() as stack:
        running = stack.enter_context(served(folder))
        context, notes = stack.enter_context(watched(browser, running.address))
        yield Desk(running, context, notes)


@pytest.fixture
def four() -> None:
    """Asks :func:`desk` for a class of four."""


with_four = pytest.mark.usefixtures("four")


def add_child(page: Page, name: str, stages: dict[str, str]) -> None:
    count = page.locator("[data-column=name]").count()
    page.click("#add-child")
    expect(page.locator("[data-column=name]")).to_have_count(count + 1)
    cell = page.locator("[data-column=name]").last
    with page.expect_response("**/class/cell"):
        cell.fill(name)
        cell.press("Tab")
    for skill, stage in stages.items():
        with page.expect_response("**/class/cell"):
            page.locator(f"[data-column={skill}]").last.select_option(stage)
    settled(page)


def make_packet(page: Page) -> None:
    page.click("#make-packet")
    page.wait_for_selector("#packet-done", timeout=60_000)


def downloaded(page: Page, name: str) -> bytes:
    with page.expect_download() as waiting:
        page.click(f"#packet a[download='{name}']")
    assert waiting.value.suggested_filename == name
    return Path(waiting.value.path()).read_bytes()


def printed(folder: Path, theme: str, listed: str) -> dict[str, bytes]:
    """The files of the command line for the same theme and class."""
    out = folder.parent / "by-command"
    assert main(["packet", theme, "--class", str(folder / listed), "--out", str(out)]) == 0
    return {file.name: file.read_bytes() for file in out.glob("*.pdf")}


# --- from an empty folder to paper ----------------------------------------------------------------


def test_from_an_empty_folder_to_a_packet_by_mouse(desk: Desk) -> None:
    page = desk.page
    expect(page.locator("#pages")).to_contain_text("as soon as there is a child")
    for name, stages in (
        ("Bo", {"cutting": "2", "sequence": "2"}),
        ("Zuzë", {"cutting": "4", "matching": "3"}),
        ("Pip", {"letters": "4", "pattern": "4", "sorting": "3"}),
        ("Ada", {"cutting": "6"}),
    ):
        add_child(page, name, stages)
    expect(page.locator("article.child")).to_have_count(4)
    page.locator("#pages img").first.scroll_into_view_if_needed()
    page.wait_for_function("() => document.querySelector('#pages img').naturalWidth > 50")
    make_packet(page)
    expected = printed(desk.folder, "reedy-pond", "my-class.csv")
    assert sorted(expected) == ["adult.pdf", "card.pdf", "keys.pdf", "plain.pdf"]
    for name, content in expected.items():
        assert downloaded(page, name) == content
        assert (desk.folder / "reedy-pond-packet" / name).read_bytes() == content
    expect(page.locator("#print")).to_contain_text("actual size")
    with desk.context.expect_page() as waiting:
        page.click("#packet a[target=_blank]")
    assert waiting.value.url == f"{desk.running.address}/packet/plain.pdf"


def tab_to(page: Page, wanted: str, most: int = 150) -> None:
    """Press Tab until something with this id has the focus."""
    for _ in range(most):
        if page.evaluate("() => document.activeElement.id") == wanted:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{wanted} is not reached by keyboard")


def test_the_same_by_keyboard_alone(desk: Desk) -> None:
    page = desk.page
    tab_to(page, "add-child")
    page.keyboard.press("Enter")
    for number, name in enumerate(("Bo", "Ada", "Pip", "Jo"), 1):
        expect(page.locator("[data-column=name]")).to_have_count(number)
        expect(page.locator("[data-column=name]").last).to_be_focused()
        page.keyboard.type(name)
        with page.expect_response("**/class/cell"):
            page.keyboard.press("Tab")
        row = page.locator("[data-column=name]").last.get_attribute("data-row")
        for skill in ("cutting", "letters"):
            tab_to(page, f"c-{row}-{skill}")
            with page.expect_response("**/class/cell"):
                page.keyboard.press(str(number))
        settled(page)
        if number < 4:
            tab_to(page, "add-child")
            page.keyboard.press("Enter")
    listed = (desk.folder / "my-class.csv").read_text("utf-8").splitlines()
    assert [line.split(",")[0] for line in listed[1:]] == ["Bo", "Ada", "Pip", "Jo"]
    tiles = page.locator(".tile")
    tab_to(page, "add-child")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id").startswith("tile-"):
            break
    opener = page.evaluate("() => document.activeElement.id")
    assert tiles.count() >= 2
    page.keyboard.press("Enter")
    expect(page.locator("#large-head")).to_be_focused()
    tab_to(page, "large-leave", 20)
    page.keyboard.press("Enter")
    expect(page.locator("#large-leave")).to_have_text("Put this page back")
    expect(page.locator("#large-leave")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator(f"#{opener}")).to_be_focused()
    tab_to(page, "make-packet")
    page.keyboard.press("Enter")
    page.wait_for_selector("#packet-done", timeout=60_000)
    assert (desk.folder / "reedy-pond-packet" / "plain.pdf").is_file()


def test_a_class_of_twenty_is_pasted_from_a_spreadsheet(desk: Desk) -> None:
    """Copied out of a text field, so that the browser's own clipboard carries it."""
    sheet = desk.context.new_page()
    sheet.set_content("<textarea></textarea>")
    sheet.locator("textarea").fill(twenty())
    sheet.locator("textarea").press("Control+a")
    sheet.locator("textarea").press("Control+c")
    page = desk.page
    page.bring_to_front()
    page.click("#add-child")
    page.locator("[data-column=name]").click()
    page.keyboard.press("Control+v")
    expect(page.locator("[data-column=name]")).to_have_count(20)
    expect(page.locator("article.child")).to_have_count(20)
    assert page.locator("[data-column=name]").first.input_value() == "Ala"
    listed = (desk.folder / "my-class.csv").read_text("utf-8").splitlines()
    assert len(listed) == 21
    assert "# a note" not in "".join(listed)
    page.locator("[data-column=name]").first.click()
    page.locator("#paste summary").click()
    page.locator("#paste-text").fill("Extra\t\tL\t3")
    page.click("#paste button")
    expect(page.locator("[data-column=name]")).to_have_count(21)


# --- one child ------------------------------------------------------------------------------------


def sources(page: Page) -> dict[str, str]:
    found: dict[str, str] = page.evaluate(
        "() => Object.fromEntries(Array.from(document.querySelectorAll('.tile'),"
        " tile => [tile.id, tile.querySelector('img')?.getAttribute('src')]))"
    )
    return found


@with_four
def test_a_changed_stage_changes_that_childs_picture_and_no_other(desk: Desk) -> None:
    page = desk.page
    for child in page.locator("article.child").all():
        child.scroll_into_view_if_needed()
    expect(page.locator("article.child .tall")).to_have_count(0)
    before = sources(page)
    assert len(before) == 20
    row = page.locator("[data-column=cutting]").first.get_attribute("data-row")
    with page.expect_response(re.compile(r"/preview/")):
        page.locator("[data-column=cutting]").first.select_option("5")
    expect(page.locator(f"#tile-{row}-cutting")).to_contain_text("stage 5")
    after = sources(page)
    # The cards of a sequence are cut by the stage of cutting, so that page may change as well.
    changed = {name for name in before if before[name] != after[name]}
    assert f"tile-{row}-cutting" in changed
    assert all(name.startswith(f"tile-{row}-") for name in changed)
    page.click(f"#tile-{row}-cutting")
    expect(page.locator("#large-head")).to_have_text("Bo: Cutting, stage 5")
    picture = page.locator("#large .sheets img").first
    shown = picture.get_attribute("src")
    page.select_option("#large-step", "1")
    expect(page.locator("#large-head")).to_have_text("Bo: Cutting, stage 1")
    assert page.locator("#large .sheets img").first.get_attribute("src") != shown
    page.click("#large-another")
    page.locator("#large summary", has_text="Why this page").click()
    expect(page.locator("#large .why")).to_contain_text("line width")
    expect(page.locator("#large .why")).to_contain_text("published")
    page.click("#large-later")
    expect(page.locator("#large-head")).to_have_text("Zuzë: Cutting, stage 4")
    page.click("#large-close")
    assert "Bo,,L,1," in (desk.folder / "class.csv").read_text("utf-8")
    page.click("#undo-button")  # another page
    settled(page)
    page.click("#undo-button")  # stage 1
    expect(page.locator("[data-column=cutting]").first).to_have_value("5")


# --- the theme, and drawings ----------------------------------------------------------------------


@with_four
def test_a_theme_of_ones_own_with_a_drawing(desk: Desk) -> None:
    page = desk.page
    page.locator("#copy-title").fill("Our pond")
    page.locator("#theme button", has_text="Make a copy").click()
    expect(page.locator("#theme-choice")).to_have_value("our-pond.toml")
    page.locator("#find-word").fill("egg")
    page.locator("#find-word").press("Enter")
    page.locator("#found button").first.click()
    expect(page.locator("input.word").last).to_have_value("egg")
    page.click("#word-12-up")
    expect(page.locator("input.word").nth(11)).to_have_value("egg")
    settled(page)
    page.locator("#theme-head").scroll_into_view_if_needed()
    page.locator("ol.words li").nth(3).drag_to(page.locator("ol.words li").first)
    expect(page.locator("input.word").first).to_have_value("turtle")
    page.locator("#drawing-word").fill("pond leaf")
    page.locator("#drawing-file").set_input_files(str(DRAWINGS / "pond-leaf.svg"))
    page.locator("form", has=page.locator("#drawing-file")).locator("button").click()
    expect(page.locator("input.word").last).to_have_value("pond leaf")
    text = (desk.folder / "our-pond.toml").read_text("utf-8")
    assert 'picture = "drawings/pond-leaf.svg"' in text
    assert (desk.folder / "drawings" / "pond-leaf.svg").is_file()
    page.wait_for_function(
        "() => Array.from(document.querySelectorAll('ol.words img')).pop().naturalWidth > 20"
    )
    photo = desk.folder.parent / "photo.png"
    photo.write_bytes(a_photo())
    page.locator("#drawing-word").fill("pond ring")
    page.locator("#drawing-file").set_input_files(str(photo))
    page.locator("form", has=page.locator("#drawing-file")).locator("button").click()
    expect(page.locator("input.word").last).to_have_value("pond ring")
    assert (desk.folder / "drawings" / "pond-ring.png").is_file()
    page.locator("#theme-sequences summary").click()
    page.locator("#sequence-title").fill("An egg")
    page.locator("#sequence-steps").fill("egg, hatching chick, chicken")
    page.locator("#theme-sequences form button").last.click()
    settled(page)
    expect(page.locator("#theme-sequences")).to_have_attribute("open", "")
    theme, listed = str(desk.folder / "our-pond.toml"), str(desk.folder / "class.csv")
    assert main(["packet", theme, "--class", listed, "--out", "x", "--dry-run"]) == 0


def a_photo() -> bytes:
    """A thick dark ring on light paper, as dots."""
    from PIL import Image, ImageDraw

    image = Image.new("L", (400, 400), 235)
    ImageDraw.Draw(image).ellipse((80, 80, 320, 320), outline=30, width=14)
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


@with_four
def test_a_hostile_drawing_does_nothing(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "hostile.svg"
    file.write_bytes(HOSTILE)
    bomb = tmp_path / "bomb.svg"
    lines = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 9))
    bomb.write_text(f'<!DOCTYPE svg [<!ENTITY e0 "x">{lines}]><svg xmlns="x">&e8;</svg>')
    page = desk.page
    page.locator("#check-file").set_input_files(str(file))
    page.locator("#check button").click()
    expect(
        page.locator("#checked, #message").filter(has_text=re.compile("measured|look at")).first
    ).to_be_visible()
    page.locator("#check-file").set_input_files(str(bomb))
    page.locator("#check button").click()
    expect(page.locator("#message")).to_contain_text("Please look at this")
    page.locator("#copy-title").fill("Mine")
    page.locator("#theme button", has_text="Make a copy").click()
    page.locator("#drawing-word").fill("trap")
    page.locator("#drawing-file").set_input_files(str(bomb))
    page.locator("form", has=page.locator("#drawing-file")).locator("button").click()
    expect(page.locator("#message")).to_contain_text("Please look at this")
    assert not (desk.folder / "drawings" / "trap.svg").exists()
    assert page.title() == "tablework"
    assert desk.notes.elsewhere() == []


@with_four
def test_a_drawing_is_measured_and_one_sheet_is_made(desk: Desk) -> None:
    page = desk.page
    page.locator("#check-file").set_input_files(str(DRAWINGS / "pond-leaf.svg"))
    page.locator("#check button").click()
    expect(page.locator("#checked")).to_contain_text("values measured")
    page.select_option("#single-kind", "pattern")
    expect(page.locator("#own-form")).to_be_visible()
    page.select_option("#single-stage", "3")
    page.locator("#own-form").fill("copy")
    page.locator("#single-name").fill("Bo")
    page.click("#single .main")
    page.wait_for_selector("#single-made img")
    with page.expect_download() as waiting:
        page.locator("#single-made a[download]").first.click()
    out = desk.folder / "by-command.pdf"
    assert main(["pattern", "--theme", "reedy-pond", "--stage", "3", "--form", "copy", "--name",
                 "Bo", "--out", str(out)]) == 0  # fmt: skip
    assert Path(waiting.value.path()).read_bytes() == out.read_bytes()


# --- several at once, and later -------------------------------------------------------------------


@with_four
def test_two_windows_at_once(desk: Desk) -> None:
    one, two = desk.page, opened(desk.context, desk.running.entrance)
    one.locator("[data-column=cutting]").nth(0).select_option("6")
    settled(one)
    two.locator("[data-column=letters]").nth(1).select_option("5")
    settled(two)
    expect(two.locator("[data-column=cutting]").nth(0)).to_have_value("6")
    expect(one.locator("[data-column=letters]").nth(1)).to_have_value("5")
    one.click("#add-child")
    expect(two.locator("[data-column=name]")).to_have_count(5)
    listed = (desk.folder / "class.csv").read_text("utf-8")
    assert "Bo,,L,6," in listed
    assert "Zuzë,,R,4,3,5," in listed


@with_four
def test_previews_come_while_the_packet_is_made(desk: Desk) -> None:
    page = desk.page
    page.locator("#paste summary").click()
    page.locator("#paste-text").fill(twenty())
    page.click("#paste button")
    expect(page.locator("[data-column=name]")).to_have_count(24)
    page.click("#make-packet")
    page.locator("article.child").nth(10).scroll_into_view_if_needed()
    page.wait_for_selector("article.child:nth-of-type(11) img")
    page.locator("[data-column=cutting]").nth(3).select_option("3")
    page.wait_for_selector("#packet-done", timeout=60_000)
    expect(page.locator("#print-state")).to_contain_text("Something has changed")


@with_four
def test_closed_and_opened_again_everything_is_there(desk: Desk, browser: Browser) -> None:
    page = desk.page
    page.select_option("#theme-choice", "bean-row-garden")
    page.locator("[data-column=cutting]").first.select_option("3")
    page.locator("article.child").first.hover()  # brings it into view
    page.locator(".tile").first.click()
    page.click("#large-leave")
    expect(page.locator("#large-leave")).to_have_text("Put this page back")
    kept = desk.running.stop()
    assert kept[0] == 0
    with (
        served(desk.folder) as again,
        watched(browser, again.address) as (context, _notes),
    ):
        page = opened(context, again.entrance)
        expect(page.locator("#theme-choice")).to_have_value("bean-row-garden")
        expect(page.locator("[data-column=cutting]").first).to_have_value("3")
        page.locator("article.child").first.hover()  # brings it into view
        expect(page.locator(".out")).to_have_count(1)


@with_four
def test_a_file_changed_outside_is_noticed(desk: Desk) -> None:
    page = desk.page
    (desk.folder / "class.csv").write_text("name,cutting\nOther,1\n", "utf-8")
    page.locator("[data-column=cutting]").first.select_option("6")
    expect(page.locator("#now")).to_contain_text("class.csv")
    assert (desk.folder / "class.csv").read_text("utf-8") == "name,cutting\nOther,1\n"
    page.locator("#now button", has_text="as it is now").click()
    expect(page.locator("[data-column=name]")).to_have_count(1)
    expect(page.locator("[data-column=name]").first).to_have_value("Other")
    expect(page.locator("#now button")).to_have_count(0)


# --- everyone can use it --------------------------------------------------------------------------


def states(page: Page) -> Iterator[str]:
    """The main states of the page, one after the other."""
    yield "first view"
    for child in page.locator("article.child").all():
        child.scroll_into_view_if_needed()
    page.locator("#paste summary").click()
    page.locator(".needs summary").first.click()
    yield "pages and class"
    page.locator(".tile").first.click()
    expect(page.locator("#large-head")).to_be_visible()
    page.locator("#large summary").first.click()
    yield "one child large"
    page.click("#large-close")
    page.locator("[data-column=language]").first.fill("not a language!")
    page.locator("[data-column=language]").first.press("Tab")
    expect(page.locator("#class-problems")).to_contain_text("need mending")
    page.locator("#theme button", has_text="Make a copy").click()
    expect(page.locator("#find-word")).to_be_visible()
    page.locator("#find-word").fill("cat")
    page.locator("#find-word").press("Enter")
    page.wait_for_selector("#found img")
    for fold in page.locator("#theme > details > summary").all():
        fold.click()
    yield "own theme, and a wrong cell"
    make_packet(page)
    page.click("#single .main")
    page.wait_for_selector("#single-made img")
    page.locator("#check-file").set_input_files(str(DRAWINGS / "pond-leaf.svg"))
    page.locator("#check button").click()
    expect(page.locator("#checked")).to_contain_text("values measured")
    yield "packet, one sheet, check"


NARROW = {"tablet": 768, "200 %": 640, "400 %": 320}
"""Widths in CSS pixels: a window of 1280 at 200 % has 640, at 400 % 320 (WCAG 2.2, 1.4.10)."""


@with_four
def test_everyone_can_use_every_state_and_the_browser_keeps_nothing(desk: Desk) -> None:
    """By axe-core, whose rules have WCAG 2 contrast, labels and roles among them; light and dark.

    The browser's storage holds nothing but the page's own address, ``/``, and no address a name.
    """
    page = desk.page
    found: dict[str, list[str]] = {}
    for state in states(page):
        found[state] = flaws(page)
        page.emulate_media(color_scheme="dark")
        found[f"{state}, dark"] = flaws(page, "color-contrast")
        page.emulate_media(color_scheme="light")
        for name, width in NARROW.items():
            page.set_viewport_size({"width": width, "height": 700})
            found[f"{state}, {name}"] = [f"{over} too wide"] if (over := overflow(page)) > 0 else []
        page.set_viewport_size({"width": 1280, "height": 900})
        kept = page.evaluate("() => [{...localStorage}, Object.values(sessionStorage)]")
        assert kept in ([{}, []], [{}, ["/"]]), state
    assert len(found) == 5 * (2 + len(NARROW))
    assert {state: lines for state, lines in found.items() if lines} == {}
    cookies = desk.context.cookies()
    assert [cookie["name"] for cookie in cookies] == [f"tablework-{desk.running.port}"]
    names = ("Bo", "Zuz", "Pip", "Ada")
    asked = [url for url in desk.notes.requests if "/enter/" not in url]  # random letters
    assert [url for url in asked if any(name in url for name in names)] == []


@with_four
def test_the_page_itself_is_not_printed(desk: Desk) -> None:
    desk.page.emulate_media(media="print")
    expect(desk.page.locator(".print-note")).to_be_visible()
    expect(desk.page.locator("main")).to_be_hidden()
