"""Who may ask: only the teacher's own browser, from the page itself.

A page of another site, of another program on this computer, or a name that points here must not
read or change anything. A cookie of 127.0.0.1 goes to every port, so the cookie alone proves
nothing: where a request comes from is looked at too (Fetch Metadata Request Headers, W3C).
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Request, Response

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
PICTURE_POLICY = "default-src 'none'; sandbox"
_FRAMES = {"iframe", "frame", "embed", "object", "fencedframe"}


@dataclass
class Guard:
    """Rules for one server.

    Args:
        token: opens the page from the address that is printed, as often as asked.
        once: opens it a single time; for the browser that is started, whose command line others on
            this computer may see.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    once: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    _key: str = field(default_factory=lambda: secrets.token_urlsafe(32))

    @property
    def hosts(self) -> set[str]:
        return {f"127.0.0.1:{self.port}", f"localhost:{self.port}"}

    @property
    def cookie(self) -> str:
        """The cookie's name: browsers do not keep those of two ports apart."""
        return f"tablework-{self.port}"

    def address(self, token: str) -> str:
        return f"http://127.0.0.1:{self.port}/enter/{token}"

    def enters(self, given: str) -> bool:
        """Whether a token opens the page."""
        if _same(given, self.token):
            return True
        if self.once and _same(given, self.once):
            self.once = ""
            return True
        return False

    def admit(self, answer: Response) -> Response:
        answer.set_cookie(self.cookie, self._key, httponly=True, samesite="Strict", path="/")
        return answer

    def refuses(self, request: Request) -> str:
        """Why a request is not answered; empty if it is."""
        if request.headers.get("Host", "") not in self.hosts:
            return "wrong host"
        if request.headers.get("Sec-Fetch-Dest", "") in _FRAMES:
            return "no frames"
        if request.path.startswith("/enter/"):
            return "" if request.method == "GET" else "only to open"
        site = request.headers.get("Sec-Fetch-Site")
        if site not in (None, "same-origin", "none"):
            return "from another page"
        if not _same(request.cookies.get(self.cookie, ""), self._key):
            return "open the address that the terminal shows"
        if request.method not in ("GET", "HEAD"):
            return self._refuses_change(request, site)
        return ""

    def _refuses_change(self, request: Request, site: str | None) -> str:
        origin = request.headers.get("Origin")
        if origin is not None and origin not in {f"http://{host}" for host in self.hosts}:
            return "from another page"
        if origin is None and site != "same-origin":
            return "from nowhere"
        return ""


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def harden(answer: Response) -> Response:
    """Headers of every answer: nothing from elsewhere, nothing kept, nothing guessed."""
    kind = answer.mimetype
    if kind == "image/svg+xml":
        answer.headers["Content-Security-Policy"] = PICTURE_POLICY
    elif kind != "application/pdf":  # the viewer of a PDF is the browser's own
        answer.headers["Content-Security-Policy"] = POLICY
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Referrer-Policy"] = "same-origin"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    answer.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    answer.headers["X-Frame-Options"] = "DENY"
    answer.headers["Cache-Control"] = "no-store"
    return answer
