"""Calls a function in a process of its own, with limits of time and memory.

For files of strangers: whatever the libraries that read and measure them cost, even inside a single
step of theirs, the program that asked goes on. Arguments and answer travel as JSON: plain data and
data classes of this program (:func:`packed`), so nothing of the other process comes back
but data.
"""

from __future__ import annotations

import base64
import dataclasses
import importlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from enum import Enum
from functools import cache
from typing import Any

from shapes import errors
from shapes.errors import InputError, TableworkError

SECONDS = 8.0
"""Of the processor: thirty times what an ordinary drawing or class list takes, so that a slow
machine still reads what is only large."""
MEGABYTES = 600
"""Of address room, of which the libraries take 150 before they have read anything."""
_WAITING = 3.0
"""A process is also ended after so many times its seconds by the clock, when it waits or the
machine is busy."""


def call(
    function: Callable[..., Any],
    *arguments: object,
    seconds: float = SECONDS,
    megabytes: int = MEGABYTES,
    where: str = "",
    fix: str = "simplify the drawing",
) -> Any:
    """The answer of a function in a process of its own.

    Args:
        function: of a module, with its name there.
        arguments: as :func:`packed` takes them; lists arrive as tuples.
        seconds: of the processor, where the system counts them; several times as many by the clock.
        megabytes: of address room; not every system keeps it.
        where, fix: for the message that it took too much, as errors have them.

    Raises:
        InputError: the function refused its input (with its own error where that is one of
            :mod:`shapes.errors`), took too long or too much memory, or failed.
    """
    asked = json.dumps(
        {
            "function": f"{function.__module__}:{function.__qualname__}",
            "arguments": packed(arguments),
            "seconds": seconds,
            "megabytes": megabytes,
        }
    )
    try:
        # -P: the folder the teacher is in is no place to import from.
        done = subprocess.run(
            [sys.executable, "-P", "-m", "shapes.apart"],
            input=asked,
            capture_output=True,
            text=True,
            timeout=_WAITING * seconds,
            check=False,
            # Each thread of the numerical library takes address room, and one is enough.
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
    except subprocess.TimeoutExpired:
        raise InputError("reading it takes too much time", where=where, fix=fix) from None
    if done.returncode == 0:
        found = json.loads(done.stdout)
        if "refused" in found:
            name, *words = found["refused"]
            raise _error(name, *words)
        return unpacked(found["answer"])
    last = (done.stderr.strip().splitlines() or [""])[-1]
    if done.returncode == -getattr(signal, "SIGXCPU", 0):
        what = "reading it takes too much time"
    elif done.returncode < 0 or "MemoryError" in last or "bad_alloc" in last:
        what = "reading it takes too much memory"
    else:
        what = "cannot be worked out"
    raise InputError(what, where=where, fix=fix) from RuntimeError(done.stderr or last)


def _error(name: str, what: str, where: str, fix: str) -> TableworkError:
    known = getattr(errors, name, InputError)
    error: TableworkError = known(what, where=where, fix=fix)
    return error


# --- plain data -----------------------------------------------------------------------------------


def packed(value: object) -> Any:
    """Plain data, data classes and enumerations as JSON has them; lists become tuples.

    Raises:
        TypeError: for anything else.
    """
    kind = type(value)
    if isinstance(value, Enum):
        return {f"{kind.__module__}:{kind.__qualname__}": [value.value]}
    if value is None or isinstance(value, (str, int, float)):
        return value
    if isinstance(value, bytes):
        return {"bytes": base64.b64encode(value).decode("ascii")}
    if isinstance(value, dict):
        return {"dict": [[packed(key), packed(held)] for key, held in value.items()]}
    if dataclasses.is_dataclass(kind):
        held = [getattr(value, field.name) for field in dataclasses.fields(kind)]
    elif isinstance(value, tuple) and hasattr(kind, "_fields"):
        held = list(value)
    elif isinstance(value, (list, tuple)):
        return [packed(each) for each in value]
    else:
        raise TypeError(f"{kind.__name__} is no plain data")
    return {f"{kind.__module__}:{kind.__qualname__}": [packed(each) for each in held]}


def unpacked(data: Any) -> Any:
    """What :func:`packed` was given.

    Raises:
        ValueError: it names something that is no data class of this program.
    """
    if isinstance(data, list):
        return tuple(unpacked(each) for each in data)
    if not isinstance(data, dict):
        return data
    ((name, held),) = data.items()
    if name == "bytes":
        return base64.b64decode(held)
    if name == "dict":
        return dict(unpacked(held))
    return _class_of(name)(*(unpacked(each) for each in held))


@cache
def _class_of(name: str) -> Callable[..., object]:
    module, _, kind = name.partition(":")
    found = getattr(importlib.import_module(module), kind) if _is_ours(module) else None
    if isinstance(found, type) and (
        dataclasses.is_dataclass(found)
        or issubclass(found, Enum)
        or (issubclass(found, tuple) and hasattr(found, "_fields"))
    ):
        return found
    raise ValueError(f"{name} is no plain data")


def _is_ours(module: str) -> bool:
    return module.partition(".")[0] in ("shapes", "sheets")


# --- in the other process -------------------------------------------------------------------------


def _limit(seconds: float, megabytes: int) -> None:
    try:
        import resource
    except ImportError:  # not on every system; the time is limited from outside too
        return
    for what, most in (
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_AS, megabytes * 1024 * 1024),
        (resource.RLIMIT_CPU, max(1, round(seconds))),
    ):
        # Within a process that has limits itself, no more than those.
        hardest = resource.getrlimit(what)[1]
        least = most if hardest == resource.RLIM_INFINITY else min(most, hardest)
        resource.setrlimit(what, (least, hardest))


def main() -> None:
    """Read what is asked from standard input and write the answer to standard output."""
    asked = json.loads(sys.stdin.read())
    _limit(asked["seconds"], asked["megabytes"])
    module, _, name = asked["function"].partition(":")
    function = getattr(importlib.import_module(module), name)
    try:
        answer = {"answer": packed(function(*unpacked(asked["arguments"])))}
    except TableworkError as error:
        answer = {"refused": [type(error).__name__, error.what, error.where, error.fix]}
    sys.stdout.write(json.dumps(answer))


if __name__ == "__main__":
    main()
