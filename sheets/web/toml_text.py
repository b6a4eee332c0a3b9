"""A theme file's text with another content: what did not change stays as the teacher wrote it.

The text is cut into the tables' own pieces; only a piece whose values changed is written anew. If
the pieces do not make up the asked content, the whole text is written anew.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Data = dict[str, Any]

_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_-]+)\s*\]\]?\s*(#.*)?$")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_WIDE = 96


@dataclass(frozen=True, slots=True)
class _Piece:
    """One table: its name (empty at the top), the notes above it, and its own lines."""

    name: str
    lead: str
    body: str


def read(text: str) -> Data:
    """The content of a theme file that is known to be one."""
    return tomllib.loads(text)


def text_with(old: str, data: Data) -> str:
    """The text of a file whose content was changed to ``data``."""
    try:
        text = _kept(old, data)
        if tomllib.loads(text) == data:
            return text
    except (ValueError, KeyError):
        pass
    return _anew(data)


def _kept(old: str, data: Data) -> str:
    before = tomllib.loads(old)
    pieces = _pieces(old)
    own: dict[str, list[_Piece]] = {}
    for piece in pieces:
        own.setdefault(piece.name, []).append(piece)
    out = [_top(own[""][0].lead + own[""][0].body, before, data)]
    names = [name for name in own if name and name in data]
    names += [name for name, value in data.items() if _is_table(value) and name not in own]
    for name in names:
        out += _table(name, own.get(name, []), before.get(name), data[name])
    return "".join(out).rstrip("\n") + "\n"


def _pieces(text: str) -> list[_Piece]:
    pieces: list[_Piece] = []
    name, lead, body = "", "", ""
    waiting = ""  # notes and blank lines that may belong to the next table
    for line in text.splitlines(keepends=True):
        found = _HEADER.match(line.rstrip("\n"))
        if found:
            pieces.append(_Piece(name, lead, body))
            name, lead, body, waiting = found[2], waiting, line, ""
        elif not line.strip() or line.lstrip().startswith("#"):
            waiting += line
        else:
            body += waiting + line
            waiting = ""
    pieces.append(_Piece(name, lead, body + waiting))
    return pieces


def _top(text: str, before: Data, data: Data) -> str:
    plain = [key for key, value in data.items() if not _is_table(value)]
    for key in (key for key in before if not _is_table(before[key]) and key not in data):
        text = re.sub(rf"(?m)^{re.escape(key)}\s*=.*\n", "", text)
    for key in plain:
        if before.get(key) == data[key]:
            continue
        line = f"{key} = {_value(data[key])}"
        as_written = line.replace("\\", r"\\")
        text, count = re.subn(rf"(?m)^{re.escape(key)}\s*=.*$", as_written, text)
        if not count:
            text += f"{line}\n"
    return text


def _table(name: str, pieces: list[_Piece], before: Any, value: Any) -> Iterator[str]:
    old, new = _rows(before), _rows(value)
    known = list(zip(old, pieces, strict=False))
    used: set[int] = set()
    for at, row in enumerate(new):
        same = next((i for i, (kept, _) in enumerate(known) if kept == row and i not in used), None)
        lead = pieces[0].lead if at == 0 and pieces else "\n"
        if same is not None:
            used.add(same)
            yield (lead if at == 0 or same == 0 else pieces[same].lead) + known[same][1].body
        else:
            if 0 < at < len(pieces):
                lead = pieces[at].lead
            yield lead + _row(name, row, many=isinstance(value, list))


def _rows(value: Any) -> list[Data]:
    if value is None:
        return []
    return list(value) if isinstance(value, list) else [value]


def _is_table(value: Any) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(item, dict) for item in value)
    return isinstance(value, dict)


def _anew(data: Data) -> str:
    out = [f"{key} = {_value(value)}\n" for key, value in data.items() if not _is_table(value)]
    for name, value in data.items():
        if _is_table(value):
            out += ["\n" + _row(name, row, many=isinstance(value, list)) for row in _rows(value)]
    return "".join(out)


def _row(name: str, row: Mapping[str, Any], *, many: bool) -> str:
    lines = [f"[[{name}]]" if many else f"[{name}]"]
    for key, value in row.items():
        if key == "bins" and value:  # one line an area, as people write them
            lines += [f"bins.{_key(area)} = {_value(steps)}" for area, steps in value.items()]
        else:
            lines.append(f"{_key(key)} = {_value(value)}")
    return "\n".join(lines) + "\n"


def _key(text: str) -> str:
    return text if _BARE.fullmatch(text) else _quoted(text)


def _quoted(text: str) -> str:
    """A basic string; TOML forbids one character more than JSON does."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {_value(v)}" for key, v in value.items()) + " }"
    if isinstance(value, list):
        line = f"[{', '.join(map(_value, value))}]"
        if len(line) <= _WIDE or any(isinstance(item, Mapping) for item in value):
            return line
        return "[\n" + "".join(f"  {_value(item)},\n" for item in value) + "]"
    return repr(value)
