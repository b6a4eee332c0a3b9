"""The guidance as plain text for a terminal: limits, settings, sources, what is disputed."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence

from sheets.check.guidance import (
    PUBLISHED,
    STAGES,
    Limit,
    LimitTable,
    Setting,
    Source,
    check_skill,
    load,
)

_WIDTH = 96
_ABOUT = (
    "Most figures about scissors come from practice pages that cite no study. "
    "A finding speaks of the page, never of a child."
)


def render_text(
    skill: str | None = None, settings: Mapping[str, Sequence[Setting]] | None = None
) -> str:
    """The guidance of one skill, or of all, as plain text for a terminal: limits with what they
    rest on, the settings used within them, the sources, and what is disputed.

    Args:
        settings: of the kinds, by skill.

    Raises:
        InputError: no such skill.
    """
    if skill is not None:
        check_skill(skill)
    guidance = load()
    lines = _wrapped(_ABOUT, "", "")
    used: dict[str, Source] = {}
    for chosen in [skill] if skill else guidance.skills:
        lines += ["", f"{chosen.upper()}: limits for a printed page"]
        for table in guidance.tables:
            if chosen in table.skills:
                lines += ["", *_table_lines(table, used)]
        used_within = (settings or {}).get(chosen, ())
        if used_within:
            lines += ["", f"{chosen.upper()}: what our pages use within these limits", ""]
            lines += [line for entry in used_within for line in _setting_lines(entry, used)]
    disputed = [e for e in guidance.disputed if skill is None or skill in e.skills]
    used |= {source.id: source for entry in disputed for source in entry.sources}
    lines += ["", "SOURCES", ""]
    for key in guidance.sources:  # the order of the file, each once
        if key in used:
            lines += _source_lines(used[key])
    if disputed:
        lines += ["", "DISPUTED OR NOT FOUND", ""]
        for entry in disputed:
            names = ", ".join(source.short for source in entry.sources)
            lines += _wrapped(f"{entry.text} ({names})" if names else entry.text, "- ", "  ")
    return "\n".join(lines) + "\n"


def _table_lines(table: LimitTable, used: dict[str, Source]) -> Iterator[str]:
    measured = all(limit.measured for limit in table.stages.values())
    yield _heading(table.name) + ("" if measured else "  (not measured)")
    for first, last in _runs(table.stages):
        limit = table.stages.get(first)
        span = f"{first}" if first == last else f"{first}-{last}"
        if limit is None:
            yield f"  stage {span:4} no limit"
            continue
        used |= {source.id: source for source in limit.sources}
        value, basis = limit.phrase(), _basis(limit.basis, limit.sources)
        yield from _wrapped(f"{value:28}  {basis}", f"  stage {span:4} ", " " * 13)
    if table.note:
        yield from _wrapped(table.note, "  ", "  ")


def _heading(name: str) -> str:
    words = name.replace("_", " ")
    return f"{words.removeprefix('open ')}, open lines" if words.startswith("open ") else words


def _runs(stages: Mapping[int, Limit]) -> Iterator[tuple[int, int]]:
    """First and last stage of each run of neighbours with the same limit."""
    first = 0
    for stage in STAGES:
        if stage + 1 not in STAGES or stages.get(stage + 1) != stages.get(first):
            yield first, stage
            first = stage + 1


def _setting_lines(entry: Setting, used: dict[str, Source]) -> Iterator[str]:
    used |= {source.id: source for source in entry.sources}
    unit = f" {entry.unit}" if entry.unit else ""
    values = list(dict.fromkeys(entry.by_stage.values()))
    if len(values) == 1 and len(entry.by_stage) == len(STAGES):
        shown = f"{_value(values[0])}{unit}"
    else:
        shown = "; ".join(f"stage {s}: {_value(v)}{unit}" for s, v in entry.by_stage.items())
    text = f"{entry.name.replace('_', ' ')}: {shown} ({_basis(entry.basis, entry.sources)})"
    yield from _wrapped(f"{text}. {entry.note}" if entry.note else text, "  ", "    ")


def _source_lines(source: Source) -> Iterator[str]:
    text = f"{source.short}: {source.title}; {source.author}; {source.year} [{source.how_read}]"
    yield from _wrapped(text, "  ", "    ")
    if source.address:
        yield f"    {source.address}"


def _basis(basis: str, named: tuple[Source, ...]) -> str:
    names = ", ".join(source.short for source in named)
    if not names:
        return basis
    return f"{basis}: {names}" if basis == PUBLISHED else f"{basis}, after {names}"


def _wrapped(text: str, first: str, rest: str) -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _value(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"
