"""Hypothesis profiles and the marker of the parser tests; see :mod:`tests.parser_runs`."""

from __future__ import annotations

import pytest

from tests.parser_runs import register_profiles

register_profiles()


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "parser: tries the words or files a user may give on what reads them"
    )
    config.addinivalue_line(
        "markers", "browser: drives the page in Chromium (Debian, Ubuntu: apt-get install chromium)"
    )
