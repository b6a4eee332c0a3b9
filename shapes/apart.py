"""Calls a function in a process of its own, with limits of time and memory.

For drawings of strangers: whatever reading one costs, the program that asked goes on. Arguments and
answer travel as JSON, so nothing of the other process but plain data comes back.
"""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from typing import Any

from shapes.errors import InputError, TableworkError

SECONDS = 20.0
MEGABYTES = 1500
"""Far more than any page of ours needs; address space, of which the geometry library takes most."""


def call(
    function: str, *arguments: object, seconds: float = SECONDS, megabytes: int = MEGABYTES
) -> Any:
    """The answer of a function in a process of its own.

    Args:
        function: such as ``package.module:name``, chosen by the program and never by a user.
        arguments: plain data, as JSON can hold.
        seconds, megabytes: more than that ends the process.

    Raises:
        InputError: the function refused its input, or took too long or too much memory.
    """
    asked = json.dumps({"function": function, "arguments": arguments, "seconds": seconds,
                        "megabytes": megabytes})  # fmt: skip
    try:
        # -P: the folder the teacher is in is no place to import from.
        done = subprocess.run(
            [sys.executable, "-P", "-m", "shapes.apart"],
            input=asked,
            capture_output=True,
            text=True,
            timeout=seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _too_much("time") from None
    try:
        found = json.loads(done.stdout)
    except ValueError:
        raise _too_much("time or memory") from None
    if "refused" in found:
        what, where, fix = found["refused"]
        raise InputError(what, where=where, fix=fix)
    return found["answer"]


def _too_much(what: str) -> InputError:
    return InputError(f"reading it takes too much {what}", fix="simplify the drawing")


def _limit(seconds: float, megabytes: int) -> None:
    try:
        import resource
    except ImportError:  # not on every system; the time is limited from outside too
        return
    room = megabytes * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (room, room))
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 1))


def main() -> None:
    """Read what is asked from standard input and write the answer to standard output."""
    asked = json.loads(sys.stdin.read())
    _limit(asked["seconds"], asked["megabytes"])
    module, _, name = asked["function"].partition(":")
    try:
        answer = {"answer": getattr(importlib.import_module(module), name)(*asked["arguments"])}
    except TableworkError as error:
        answer = {"refused": (error.what, error.where, error.fix)}
    sys.stdout.write(json.dumps(answer))


if __name__ == "__main__":
    main()
