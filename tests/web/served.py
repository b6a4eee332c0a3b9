"""The real command in a process of its own, and plain requests to it."""

from __future__ import annotations

import contextlib
import http.client
import os
import re
import signal
import subprocess
import sys
import urllib.parse
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOUR = """\
name,tag,hand,cutting,matching,letters,sequence,pattern,sorting,needs,language
Bo,,L,2,2,1,2,1,1,left-scissors,
Zuzë,,R,4,3,2,3,3,2,low-vision;colour-vision,es
Pip,,R,5,4,4,4,4,4,,
Ada,,R,6,,5,,,,,
"""


def twenty(header: str = "name\thand\tcutting\tmatching\tletters\tsequence\tpattern") -> str:
    """A class of twenty as a spreadsheet puts it on the clipboard."""
    names = [
        f"{first}{last}"
        for first in ("A", "E", "I", "O")
        for last in ("la", "mi", "no", "ri", "tu")
    ]
    rows = [f"{name}\t{'LR?'[i % 3]}\t{i % 7}\t{i % 5}\t{i % 6}\t{i % 4}\t{i % 7}"
            for i, name in enumerate(names)]  # fmt: skip
    return "\n".join([header, "# a note\t\t", *rows]) + "\n"


@dataclass
class Answered:
    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode()


@dataclass
class Served:
    """A running command."""

    port: int
    token: str
    folder: Path
    process: subprocess.Popen[str]
    cookie: str = ""
    lines: list[str] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def entrance(self) -> str:
        return f"{self.address}/enter/{self.token}"

    def ask(
        self,
        path: str,
        method: str = "GET",
        body: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        timeout: float = 30.0,
    ) -> Answered:
        """A request with exactly these headers besides the cookie and the host."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        given = {"Cookie": self.cookie, **(headers or {})}
        with contextlib.closing(connection):
            connection.request(method, path, body, given)
            answer = connection.getresponse()
            return Answered(answer.status, dict(answer.getheaders()), answer.read())

    def post(self, path: str, fields: Mapping[str, object] | None = None) -> Answered:
        """A form as the page itself sends it."""
        body = urllib.parse.urlencode(fields or {}, doseq=True).encode()
        return self.ask(path, "POST", body, {"Origin": self.address,
                        "Content-Type": "application/x-www-form-urlencoded"})  # fmt: skip

    def upload(self, path: str, content: bytes, name: str = "a.svg", **fields: str) -> Answered:
        """A file as a form sends it (RFC 7578)."""
        edge = "edge-of-a-part"
        parts = [
            f'--{edge}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'.encode()
            for key, value in fields.items()
        ]
        head = f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
        parts += [head.encode(), content, f"\r\n--{edge}--\r\n".encode()]
        return self.ask(path, "POST", b"".join(parts), {"Origin": self.address,
                        "Content-Type": f"multipart/form-data; boundary={edge}"})  # fmt: skip

    def enter(self) -> Answered:
        """Open the page as the browser does."""
        answer = self.ask(f"/enter/{self.token}")
        self.cookie = answer.headers["Set-Cookie"].partition(";")[0]
        return answer

    def stop(self) -> tuple[int, str, str]:
        """Press Ctrl-C; exit code, and what was said on both outputs."""
        self.process.send_signal(signal.SIGINT)
        out, err = self.process.communicate(timeout=20)
        return self.process.returncode, out, err


@contextlib.contextmanager
def served(folder: Path, *options: str) -> Iterator[Served]:
    """``tablework page --no-browser --port 0`` on a folder, entered."""
    command = [sys.executable, "-m", "sheets", "page", "--no-browser", "--folder", str(folder)]
    command += options or ("--port", "0")
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = re.search(r"http://127\.0\.0\.1:(\d+)/enter/(\S+)", line)
    if found is None:
        process.kill()
        raise AssertionError(line + process.communicate()[1])
    running = Served(int(found[1]), found[2], folder, process)
    try:
        running.enter()
        yield running
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            process.communicate(timeout=20)
