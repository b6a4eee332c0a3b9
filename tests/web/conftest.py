"""One Chromium for all browser tests of a process."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests.web.browsing import launched

expect.set_options(timeout=60_000)  # a drawing is read in a new process, on a busy machine too


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        found = launched(playwright)
        yield found
        found.close()
