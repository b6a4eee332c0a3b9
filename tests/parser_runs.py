"""How many examples the tests of parsers try.

``pytest -m parser`` runs them as every test run does; with ``TABLEWORK_HYPOTHESIS=thorough`` (or
``--hypothesis-profile thorough``) each tries at least 2,000 examples. The profiles are registered
by ``tests/conftest.py``.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any, TypeVar

import pytest
from hypothesis import settings

THOROUGH_EXAMPLES = 2000
VARIABLE = "TABLEWORK_HYPOTHESIS"

Test = TypeVar("Test", bound=Callable[..., Any])


def register_profiles() -> None:
    """Register the profiles and load the one that the environment names, ``usual`` without one.

    Raises:
        hypothesis.errors.InvalidArgument: the environment names another one.
    """
    # What is in force now, so that Hypothesis' own settings for a build server stay. No deadline:
    # how long one example takes says more about the machine than about us.
    before = settings()
    settings.register_profile("usual", before, deadline=None)
    settings.register_profile("thorough", before, deadline=None, max_examples=THOROUGH_EXAMPLES)
    settings.load_profile(os.environ.get(VARIABLE) or "usual")


def parser_test(usual: int = 100) -> Callable[[Test], Test]:
    """Mark a test of what reads words or files of the user, and set its number of examples.

    Args:
        usual: examples in a usual run; a thorough one takes 2,000 if that is more. A decorator's
            own number would otherwise stand against any profile.
    """

    def decorate(test: Test) -> Test:
        most = settings().max_examples
        count = max(usual, most) if most >= THOROUGH_EXAMPLES else usual
        decorated: Test = settings(max_examples=count)(test)
        marked: Test = pytest.mark.parser(decorated)
        return marked

    return decorate
