"""Chromium on the page, with everything noted that must not happen."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str:
    """Where Chromium is; a test without it fails, as one that is skipped proves nothing."""
    asked = os.environ.get("TABLEWORK_CHROMIUM", "")
    found = asked or next((path for name in NAMES if (path := shutil.which(name))), "")
    assert found, "no Chromium: apt-get install chromium, or leave these out: -m 'not browser'"
    return found


def launched(playwright: Playwright) -> Browser:
    return playwright.chromium.launch(executable_path=chromium(), args=QUIET)


@dataclass
class Notes:
    """What a browser did that it should not: requests elsewhere, breaches of the policy, errors."""

    address: str
    requests: list[str] = field(default_factory=list)
    breaches: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def elsewhere(self) -> list[str]:
        ours = (f"{self.address}/", "data:", "blob:", "about:", "chrome-extension:")
        return [url for url in self.requests if not url.startswith(ours)]

    def check(self) -> None:
        assert self.elsewhere() == []
        assert self.breaches == []
        assert self.errors == []


WATCH = """
document.addEventListener('securitypolicyviolation', event => {
  window.breach(event.violatedDirective + ' ' + event.blockedURI + ' ' + event.sourceFile);
});
"""


@contextlib.contextmanager
def watched(
    browser: Browser, address: str, **options: Any
) -> Iterator[tuple[BrowserContext, Notes]]:
    """A context of its own, whose notes are checked in the end."""
    context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **options})
    context.set_default_timeout(60_000)
    notes = Notes(address)
    context.on("request", lambda request: notes.requests.append(request.url))
    context.on("weberror", lambda error: notes.errors.append(str(error.error)))
    context.expose_binding("breach", lambda _source, text: notes.breaches.append(text))
    context.add_init_script(WATCH)
    try:
        yield context, notes
        notes.check()
    finally:
        context.close()


def opened(context: BrowserContext, entrance: str) -> Page:
    """The page as the printed address opens it."""
    page = context.new_page()
    page.goto(entrance)
    page.wait_for_selector("#check")
    # Its scripts come after its text: what is chosen before they are there is not noticed.
    page.wait_for_load_state("load")
    return page


def flaws(page: Page, *rules: str) -> list[str]:
    """What axe-core finds, one line each: rule and the places it holds for.

    Args:
        rules: only these; all if none is given.
    """
    options = {"runOnly": {"type": "rule", "values": list(rules)}} if rules else None
    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{rule['id']}: {'; '.join(str(node['target'][0]) for node in rule['nodes'][:4])}"
        for rule in found
    ]


def settled(page: Page) -> None:
    """Until no request of the page is under way and what it changed is shown."""
    page.wait_for_function("() => !document.querySelector('.htmx-request, .htmx-swapping')")


def overflow(page: Page) -> int:
    """How far the page is wider than its window, CSS pixels."""
    found: int = page.evaluate("() => document.documentElement.scrollWidth - window.innerWidth")
    return found
