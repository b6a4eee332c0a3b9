"""What the command line calls the settings, and what it called them before.

Messages and kinds name a setting by its field; most fields are their own option, some have a word
here that says more. Earlier names of options go on working, and no help shows them.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

OF_FIELD = {
    "allow-outside": "print-anyway",
    "as": "answer-with",
    "bar-measures": "bar-length",
    "dry-run": "count-only",
    "form": "task",
    "fresh": "new-each-time",
    "jobs": "cores",
    "model": "sample",
    "seed": "another",
    "turned": "look-alikes",
    "unit": "pattern",
}
"""Field -> option, where they differ; the field's own name is the option's earlier one."""


def flag(field: str) -> str:
    """The option for a field, such as ``--another`` for ``seed``."""
    return f"--{OF_FIELD.get(field, field)}"


def current(arguments: Sequence[str], known: Collection[str]) -> list[str]:
    """Arguments with earlier names of options replaced by those of today.

    Args:
        known: the options of the command, such as ``--another``; others are not put in.
    """
    return [_current(text, known) for text in arguments]


def _current(text: str, known: Collection[str]) -> str:
    name, equals, value = text.partition("=")
    today = flag(name.removeprefix("--"))
    if name.startswith("--") and name not in known and today in known:
        return f"{today}{equals}{value}"
    return text
