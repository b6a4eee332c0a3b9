"""Changes of a theme's content, each small; what is wrong with the result the theme's reader tells.

A place in the content is a path such as ``sequences.0.steps.2``; areas of a sort are counted too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from shapes.errors import InputError
from sheets import desk
from sheets.web.toml_text import Data

TABLES = ("title", "words", "sequences", "patterns", "sorts", "objects", "letters", "plan")
_CODE = re.compile(r"[0-9A-F]{4,6}(-[0-9A-F]{2,6})*")
_PLACE = re.compile(r"[a-z]+(\.[a-z0-9_]+){0,4}")


# --- what stands there ----------------------------------------------------------------------------


def word_of(text: str) -> str:
    """The word of a step such as ``egg:1F95A``."""
    return text.partition(":")[0].strip()


def spec_of(data: Data, text: str) -> str:
    """The picture of a step: its own, or that of the theme's word; empty if it is none."""
    word, colon, spec = (part.strip() for part in text.partition(":"))
    if colon:
        return spec
    rows = data.get("words", [])
    return next((str(row.get("picture", "")) for row in rows
                 if str(row.get("text", "")).casefold() == word.casefold()), "")  # fmt: skip


def kinds_of(entry: Any) -> list[str]:
    """The kinds of a day of the plan."""
    return list(entry.get("kinds", []) if isinstance(entry, dict) else entry or [])


def note_of(entry: Any) -> str:
    """The note of a day of the plan."""
    return str(entry.get("note", "")) if isinstance(entry, dict) else ""


def checked_code(text: str) -> str:
    """A code point of a picture.

    Raises:
        InputError: it is none.
    """
    if not _CODE.fullmatch(text):
        raise InputError("this is no code of a picture", fix="choose one of the pictures")
    return text


# --- finding the place ----------------------------------------------------------------------------


def _steps_to(path: str) -> list[str]:
    if not _PLACE.fullmatch(path) or path.split(".")[0] not in TABLES:
        raise InputError("there is no such place in the theme", fix="load the page again")
    return path.split(".")


def _at(data: Any, steps: Sequence[str]) -> Any:
    """What stands at a place; areas of a sort and days of the plan are found by number and name."""
    for step in steps:
        data = data[_key(data, step)]
    return data


def _key(data: Any, step: str) -> Any:
    try:
        if isinstance(data, list):
            return range(len(data))[int(step)]
        if step.isdigit():
            return list(data)[int(step)]
        if step in data:
            return step
    except (ValueError, IndexError, TypeError):
        pass
    raise InputError("this is no longer in the theme", fix="load the page again")


def set_text(data: Data, path: str, text: str) -> None:
    """Set a text; an empty one is taken out where it may be missing."""
    *steps, last = _steps_to(path)
    if steps[:1] == ["letters"] or last == "letters":
        letters = [part for part in re.split(r"[\s,;]+", text) if part]
        table = data.setdefault("letters", {})
        table["set"] = letters
        if "easy" in table:
            table["easy"] = [letter for letter in table["easy"] if letter in letters]
        _drop_empty(data, "letters")
        return
    if steps[:1] == ["plan"]:
        _set_note(data, steps[1], text)
        return
    target = _at(data, steps)
    if isinstance(target, list):
        target[_key(target, last)] = text
    elif text or last in ("title", "text"):
        if steps[:1] == ["words"] and last == "text" and text:
            _rename(data, str(target["text"]), text)
        target[last] = text
    else:
        target.pop(last, None)


def _set_note(data: Data, day: str, note: str) -> None:
    entry = data.get("plan", {}).get(day)
    if entry is None:
        raise InputError("this day has no pages", fix="tick a kind first")
    kinds = kinds_of(entry)
    data["plan"][day] = {"kinds": kinds, "note": note} if note else kinds


def _rename(data: Data, old: str, new: str) -> None:
    """Put another text where rows name a word of the theme: a new word, or word and picture."""

    def renamed(text: Any) -> Any:
        return new if isinstance(text, str) and text.casefold() == old.casefold() else text

    plain = word_of(new)
    for row in data.get("sequences", []):
        row["steps"] = [renamed(text) for text in row.get("steps", [])]
        for key in ("short", "also"):
            if key in row:
                row[key] = [[plain if renamed(word) == new else word for word in order]
                            for order in row[key]]  # fmt: skip
    for row in data.get("patterns", []):
        row["unit"] = [renamed(text) for text in row.get("unit", [])]
    for row in data.get("sorts", []):
        for key in ("neither", "talk"):
            if key in row:
                row[key] = [renamed(text) for text in row[key]]
        row["bins"] = {name: list(map(renamed, words)) for name, words in row["bins"].items()}


def _drop_empty(data: Data, name: str) -> None:
    """A table with nothing in it is taken out, as the file may not have it empty."""
    value = data.get(name)
    if not value or (isinstance(value, dict) and not any(value.values())):
        data.pop(name, None)


# --- adding ---------------------------------------------------------------------------------------


def add(
    data: Data, path: str, texts: Sequence[str], given: dict[str, str], drawings: Sequence[str]
) -> None:
    """Add a word, a step of a list, or a new sequence, pattern or sort.

    Args:
        texts: the word, and for a new word of the theme its picture.
        given: title, and for a sort the names and things of its two areas.
        drawings: names of the teacher's own drawings.

    Raises:
        InputError: there is no such picture, or nothing was given.
    """
    steps = _steps_to(path)
    if path == "words":
        _add_word(data, texts)
    elif path in ("sequences", "patterns"):
        row: Data = {"title": _needed(given["title"])} if path == "sequences" else {}
        row["steps" if path == "sequences" else "unit"] = [
            _step(data, word, drawings) for word in _listed(_needed("".join(texts[:1])))
        ]
        data.setdefault(path, []).append(row)
    elif path == "sorts":
        bins = {
            _needed(given[f"{area}_name"]): [
                _step(data, word, drawings) for word in _listed(_needed(given[area]))
            ]
            for area in ("one", "two")
        }
        data.setdefault(path, []).append({"title": _needed(given["title"]), "bins": bins})
    else:
        found = _step(data, _needed("".join(texts[:1])), drawings)
        if steps[-1] == "neither" and steps[0] == "sorts":
            _at(data, steps[:-1]).setdefault("neither", []).append(found)
        else:
            _at(data, steps).append(found)
    if steps[0] == "sequences" and len(steps) > 1:
        _at(data, steps[:2]).pop("also", None)  # other orders named all of the old steps


def new_theme(title: str, words: str) -> Data:
    """The content of a new theme: a title and a few words, each with the picture of that name.

    Raises:
        InputError: no word, or no picture for one.
    """
    data: Data = {"title": title, "languages": ["en"], "words": []}
    for word in _listed(_needed(words)):
        text, _, code = _step({}, word, ()).partition(":")
        if not code:
            raise InputError(f"there is no picture called “{word}”", fix="give another word")
        _add_word(data, (text, code))
    return data


def _add_word(data: Data, texts: Sequence[str]) -> None:
    if len(texts) != 2:
        raise InputError("a word needs a picture", fix="look for one and choose it")
    word, code = texts[0], checked_code(texts[1])
    if any(row.get("text", "").casefold() == word.casefold() for row in data.get("words", [])):
        raise InputError(f"“{word}” is in the theme already", fix="choose another")
    data.setdefault("words", []).append({"text": word, "picture": code})


def _step(data: Data, text: str, drawings: Sequence[str]) -> str:
    """A step as the file has it: a word of the theme, colour and shape, or word and picture."""
    word, colon, spec = (part.strip() for part in text.partition(":"))
    words = {str(row.get("text", "")).casefold(): row["text"] for row in data.get("words", [])}
    if not colon:
        if word.casefold() in words:
            return str(words[word.casefold()])
        parts = word.casefold().split()
        if len(parts) == 2 and parts[0] in {colour.key for colour in desk.colours()}:
            return " ".join(parts)
        row = next((row for row in desk.pictures(word) if row.word.casefold() == word.casefold()),
                   None)  # fmt: skip
        if row is None:
            near = ", ".join(row.word for row in desk.pictures(word)[:3])
            raise InputError(f"there is no picture called “{word}”", fix=f"perhaps {near}")
        return f"{word}:{row.code}"
    if spec in drawings:
        return f"{word}:{spec}"
    return f"{word}:{checked_code(spec)}"


def _needed(text: str) -> str:
    if not text:
        raise InputError("something is empty that is needed", fix="fill in all the fields")
    return text


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


# --- moving and removing --------------------------------------------------------------------------


def remove(data: Data, path: str) -> None:
    """Take out an item, and what cannot be without it."""
    *steps, last = _steps_to(path)
    target = _at(data, steps)
    gone = target[_key(target, last)]
    del target[_key(target, last)]
    if steps == ["words"]:  # what else names it brings its picture from now on
        _rename(data, str(gone["text"]), f"{gone['text']}:{gone['picture']}")
    if steps[0] == "sequences" and len(steps) == 3:
        _mend_orders(data["sequences"][int(steps[1])], word_of(str(gone)))
    if not target and len(steps) > 1:
        holder = _at(data, steps[:-1])
        if steps[-1] == "neither":
            del holder["neither"]
    _drop_empty(data, steps[0])


def _mend_orders(row: Data, gone: str) -> None:
    """Shorter and other orders of a sequence name only the steps that it has."""
    for key in ("short", "also"):
        rows = [[word for word in order if word != gone] for order in row.get(key, [])]
        kept: list[Any] = []
        for order in rows:
            if len(order) >= 2 and order not in kept and len(order) < len(row["steps"]):
                kept.append(order)
        if key == "also":
            kept = []
        if kept:
            row[key] = kept
        else:
            row.pop(key, None)


def move(data: Data, path: str, to: int) -> None:
    """Move an item to another place of its list."""
    *steps, last = _steps_to(path)
    target = _at(data, steps)
    if not isinstance(target, list):
        raise InputError("this cannot be moved", fix="load the page again")
    item = target.pop(_key(target, last))
    target.insert(min(max(to, 0), len(target)), item)
    if steps[0] == "sequences" and steps[-1] == "steps":
        _sort_orders(data["sequences"][int(steps[1])])


def _sort_orders(row: Data) -> None:
    """Shorter forms follow the order of all steps; other orders of it are no longer known."""
    order = [word_of(str(step)) for step in row["steps"]]
    if "short" in row:
        row["short"] = [sorted(short, key=lambda word: order.index(word) if word in order else 99)
                        for short in row["short"]]  # fmt: skip
    row.pop("also", None)


def set_day(data: Data, day: str, kinds: Sequence[str]) -> None:
    """The kinds of one day of the plan, in the order they were before where they were."""
    plan = data.setdefault("plan", {})
    before = plan.get(day)
    old = [kind for kind in kinds_of(before) if kind in kinds]
    new = [*old, *(kind for kind in kinds if kind not in old)]
    if not new:
        plan.pop(day, None)
    elif note := note_of(before):
        plan[day] = {"kinds": new, "note": note}
    else:
        plan[day] = new
    _drop_empty(data, "plan")


def set_thing(data: Data, name: str, *, taken: bool) -> None:
    """Take a thing of the library, or leave it."""
    trace = data.setdefault("objects", {}).setdefault("trace", [])
    if taken and name not in trace:
        trace.append(name)
    elif not taken and name in trace:
        trace.remove(name)
    _drop_empty(data, "objects")


def add_thing(data: Data, name: str, measures: Sequence[str]) -> None:
    """A thing of the teacher's own: one measure for a round one, two for others, in mm."""
    try:
        sizes = [float(text.replace(",", ".")) for text in measures if text]
    except ValueError:
        sizes = []
    if not name or not sizes:
        raise InputError("a thing needs a name and its measures", fix="measure it in mm")
    row: Data = {"name": name}
    if len(sizes) == 1:
        row["diameter_mm"] = sizes[0]
    else:
        row |= {"width_mm": sizes[0], "depth_mm": sizes[1]}
    data.setdefault("objects", {}).setdefault("trace", []).append(row)
