"""Pictures of the page for README: ``python -m tests.web.shots`` writes ``out_examples/page``.

A class of invented children; a few colours are enough, so that the files stay small.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.web.browsing import launched, opened, settled, watched
from tests.web.served import FOUR, ROOT, served

OUT = ROOT / "out_examples" / "page"
WINDOW = {"width": 1180, "height": 820}
MOST_KB = 400
COLOURS = 48


def states(page: Page) -> Iterator[str]:
    """The states that are shown, by the names of their files."""
    page.wait_for_function(
        "() => Array.from(document.querySelectorAll('#theme .words img'))"
        ".every(i => i.naturalWidth > 9)"
    )
    yield "theme"
    show(page, "class")
    yield "class"
    show(page, "pages")
    page.wait_for_function(
        "() => document.querySelectorAll('#pages img').length > 9 &&"
        " Array.from(document.querySelectorAll('#pages img')).slice(0, 10).every(i => i.complete)"
    )
    yield "pages"
    page.locator("#tile-2-cutting").click()
    page.wait_for_selector("dialog[open] .page")
    page.locator("#large summary").first.click()
    page.wait_for_function("() => document.querySelector('dialog .page').complete")
    yield "one-child"
    page.click("#large-close")
    page.click("#make-packet")
    page.wait_for_selector("#packet-done", timeout=60_000)
    settled(page)
    page.evaluate("() => document.getElementById('make-packet').scrollIntoView()")
    yield "print"


def show(page: Page, part: str) -> None:
    page.evaluate("part => document.getElementById(part).scrollIntoView()", part)
    page.wait_for_timeout(500)


def small(content: bytes) -> bytes:
    """A picture with few colours."""
    out = io.BytesIO()
    picture = Image.open(io.BytesIO(content)).convert("RGB")
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def main() -> None:
    """Write the pictures."""
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as named, sync_playwright() as playwright:
        folder = Path(named) / "our class"
        folder.mkdir()
        (folder / "class.csv").write_text(FOUR, "utf-8")
        browser = launched(playwright)
        with (
            served(folder) as running,
            watched(browser, running.address, viewport=WINDOW) as (context, notes),
        ):
            page = opened(context, running.entrance)
            for state in states(page):
                (OUT / f"{state}.png").write_bytes(small(page.screenshot()))
            notes.breaches.clear()  # taking a picture hides the text cursor by a style of its own
        browser.close()
    size = sum(file.stat().st_size for file in OUT.glob("*.png")) // 1024
    if size > MOST_KB:
        raise SystemExit(f"{size} KB are more than {MOST_KB}")


if __name__ == "__main__":
    main()
