"""What the page keeps in a file of its own: open files, choices, pages left out, other pages."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sheets import desk_page

FIRST_THEME = "reedy-pond"
CHOICES: Mapping[str, Any] = {
    "paper": None,
    "ink": "normal",
    "colour": False,
    "days": (),
    "without": (),
    "fresh": False,
    "children_only": False,
    "laminate": False,
    "bar_measures": None,
}
"""Choices of a packet that the page asks for, and what they are at first."""


@dataclass
class Settings:
    """What is in the page's own file.

    Args:
        theme: name of a built-in theme, or of a file; ``class_list`` of a file, empty for none.
        left_out: slots of pages that are not printed.
        another: slot -> how often another page was asked for.
        choices: as :data:`CHOICES`.
    """

    theme: str = FIRST_THEME
    class_list: str = ""
    left_out: set[desk_page.Slot] = field(default_factory=set)
    another: dict[desk_page.Slot, int] = field(default_factory=dict)
    choices: dict[str, Any] = field(default_factory=lambda: dict(CHOICES))

    def text(self) -> bytes:
        """The file's content."""
        content = {
            "made_by": "tablework page",
            "theme": self.theme,
            "class": self.class_list,
            "left_out": sorted(list(slot) for slot in self.left_out),
            "another": sorted([*slot, count] for slot, count in self.another.items()),
            "choices": self.choices,
        }
        return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode()


def read_settings(content: bytes) -> Settings:
    """Settings out of a file; what is not understood counts as not set."""
    found = Settings()
    try:
        data = json.loads(content or b"{}")
        found.theme = str(data.get("theme", FIRST_THEME))
        found.class_list = str(data.get("class", ""))
        found.left_out = {(str(tag), str(kind)) for tag, kind in data.get("left_out", ())}
        found.another = {
            (str(tag), str(kind)): int(count) for tag, kind, count in data.get("another", ())
        }
        for name, value in data.get("choices", {}).items():
            if name in CHOICES:
                found.choices[name] = tuple(value) if isinstance(value, list) else value
    except (ValueError, TypeError, AttributeError, RecursionError):
        return Settings()
    return found
