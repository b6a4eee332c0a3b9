"""Reads TOML that teachers write: bounded before it is parsed, its faults in plain words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sheets.theme.problems import quoted

MAX_DOTS = 8
"""Names joined by dots in a key: a theme needs two; the time to read grows with their square."""

MAX_DEPTH = 10
"""Lists in lists: themes need three, and the parser calls itself for each."""

_HIDDEN = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|(#)[^\n]*', re.S
)
_DOTTED = re.compile(rf"(?<![\w-])[\w-]+(?:[ \t]*\.[ \t]*[\w-]+){{{MAX_DOTS},}}")
_HEADER = re.compile(r"\s*(\[+)\s*([\w.-]*)\s*(\]*)\s*")
_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_CURLY = re.compile("[“”„‟«»‘’‚‛‹›]")
_CLOSING = {"[": "]", "{": "}"}
_LIKE_OURS = "compare it with a new theme file, which shows every line there is"


class TomlFaultError(Exception):
    """A fault in one line, with what to do about it, to stand after the name of the file."""

    def __init__(self, line: int, text: str) -> None:
        super().__init__(f" line {line}: {text}")


def read_toml(text: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Raises:
        TomlFaultError: it cannot be read, or is nested more deeply than any theme.
    """
    text = re.sub("\r\n?", "\n", text)
    # Same places, but no texts and notes, in which anything may stand.
    bare = _HIDDEN.sub(lambda found: re.sub(r"[^\n]", " " if found[1] else "_", found[0]), text)
    if found := _DOTTED.search(bare):
        line = bare.count("\n", 0, found.start()) + 1
        raise TomlFaultError(
            line, f"more than {MAX_DOTS} names joined by dots; no theme needs them"
        )
    opened = list(_opened(bare))
    if deep := next((one for one in opened if one.depth > MAX_DEPTH), None):
        raise TomlFaultError(deep.line, f"lists more than {MAX_DEPTH} deep; no theme needs them")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _PLACE.search(message)
        at_line = int(place[1]) if place and place[1] else 0
        lines = _Lines(text.split("\n"), bare.split("\n"), opened)
        raise TomlFaultError(*_fault(lines, at_line, message)) from None
    except (ValueError, RecursionError):  # a number with thousands of figures
        raise TomlFaultError(1, "a number is too large, here or further down; shorten it") from None


@dataclass(frozen=True, slots=True)
class _Open:
    """An opening bracket of a value, and whether it is closed somewhere."""

    line: int
    sign: str
    depth: int
    closed: bool


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of a file as written and without texts and notes, and its brackets."""

    written: list[str]
    bare: list[str]
    opened: list[_Open]


def _opened(bare: str) -> Iterator[_Open]:
    """The brackets of values; those of a line that begins a table are no matter here."""
    stack: list[tuple[int, str]] = []
    for number, line in enumerate(bare.split("\n"), 1):
        if _begins_table(line) and not (stack and line.strip() in ("[", "]", "[]")):
            yield from (_Open(at, sign, 1, False) for at, sign in stack)
            stack.clear()
            continue
        for sign in re.findall(r"[\[\]{}]", line):
            if sign in _CLOSING:
                stack.append((number, sign))
                if len(stack) > MAX_DEPTH:
                    yield _Open(number, sign, len(stack), False)
                    return
            elif stack:
                yield _Open(*stack.pop(), 1, True)
    yield from (_Open(at, sign, 1, False) for at, sign in stack)


def _begins_table(bare: str) -> bool:
    found = _HEADER.fullmatch(bare)
    return bool(found and found[2].strip("_"))


def _fault(lines: _Lines, at_line: int, message: str) -> tuple[int, str]:
    """The line to mend, and what is wrong with it in plain words.

    Args:
        at_line: where the parser stopped; 0 at the end of the file.
    """
    filled = [number for number, line in enumerate(lines.bare, 1) if line.strip()]
    number = at_line or (filled[-1] if filled else 1)
    if not lines.bare[number - 1].strip() and "overwrite" not in message:
        number = max((n for n in filled if n <= number), default=number)
    unclosed = [one for one in lines.opened if not one.closed and one.line <= number]
    bare = lines.bare[number - 1]
    what = _of_signs(bare, message) or _of_twice(lines, number, message) or _of_table(bare)
    if not what and unclosed:
        first = unclosed[-1]
        what = _of_list(first.sign)
        number = first.line
    what = what or _of_value(bare, lines.written[number - 1], message)
    fault, fix = what
    # The line itself without quotes round it, which would be taken for its own.
    return number, f"{fault}: {quoted(lines.written[number - 1].strip())[1:-1]}; {fix}"


_What = tuple[str, str]
"""What is wrong, and what to do."""


def _of_signs(bare: str, message: str) -> _What | None:
    if _CURLY.search(bare):
        return "curly quotes", 'write straight ones, as in title = "Pond"'
    if "\\" in message and "nescaped" in message:
        return "a backslash in a text", "write / instead, also between folder and file"
    if '"' in bare or "'" in bare:
        return "a quote mark is missing", 'put one " at each end of a text'
    return None


def _of_twice(lines: _Lines, number: int, message: str) -> _What | None:
    """A key or table that is there already."""
    if not re.search(r"overwrite|declare|mutate|immutable|twice|Duplicate", message):
        return None
    # The parser may stop at the end of the line or at the beginning of the next one.
    bare = lines.bare[number - 1]
    if header := _HEADER.fullmatch(bare):
        name = header[2]
        if name in ("words", "sequences", "patterns", "sorts"):
            return f"{name} as one table and as several", f"begin each one with [[{name}]]"
        return f"the table {name} is there twice", "put the lines of both below one of them"
    if "{" in bare:
        return "a name in { } is there twice", "drop one of them"
    key = bare.partition("=")[0].strip()
    earlier = 0
    for n in range(number - 1, 0, -1):
        if lines.bare[n - 1].partition("=")[0].strip() == key:
            earlier = n
            break
    also = f", also in line {earlier}" if earlier else ""
    return f"{key} is there twice{also}", "drop one of them"


def _of_table(bare: str) -> _What | None:
    header = _HEADER.fullmatch(bare)
    if not header or not header[2]:
        return None
    several = max(len(header[1]), len(header[3])) > 1
    right = f"[[{header[2]}]]" if several else f"[{header[2]}]"
    return None if bare.strip() == right else ("a bracket is missing or too many", f"write {right}")


def _of_list(sign: str) -> _What:
    if sign == "{":
        return "{ is not closed in this line", "write the whole { ... } in one line, } at its end"
    return "a list is not closed", "write ] at its end"


def _of_value(bare: str, written: str, message: str) -> _What:
    """A fault in a line such as ``key = value``."""
    key, equals, value = (part.strip() for part in bare.partition("="))
    if re.search(r"_[ \t]+_", value) or ("Unclosed" in message and re.search(r"[_\]}]\s*$", value)):
        return "a comma is missing", "put one between the entries of a list"
    if not equals:
        if ":" in bare:
            return "no =", 'write = instead of the colon, as in title = "Pond"'
        return "no =", 'write a key, = and a value, as in title = "Pond"; a note begins with #'
    if not key or re.search(r"\s", key):
        return "no single word before =", 'write it as in title = "Pond"'
    if not value:
        return "nothing after =", 'write a text in quotes, as in title = "Pond"'
    if "llegal character" in message:
        return "a character that may not stand here", "type the line anew"
    if value[0].isalnum():
        key, _equals, text = (part.strip() for part in written.partition("="))
        return "a text without quotes", f"write {key} = {quoted(text)}"
    if value.count("{") > value.count("}"):
        return _of_list("{")
    if value.count("}") > value.count("{") or value.count("]") > value.count("["):
        return "a closing bracket too many", "drop it"
    if value.endswith(","):
        return "a comma at the end", "drop it"
    if "after a statement" in message:
        return "more than one value", "write one key with one value in a line"
    return "not readable", _LIKE_OURS
