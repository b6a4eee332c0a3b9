"""Serves the page on this computer only, until it is stopped."""

from __future__ import annotations

import os
import socket
import sys
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import InputError
from sheets.web.guard import Guard
from sheets.web.session import new_session

if TYPE_CHECKING:
    from werkzeug.serving import BaseWSGIServer

HOST = "127.0.0.1"
PATIENCE_S = 10.0
"""How long a connection may say nothing."""
WAITING = 256
"""Connections that may wait to be taken."""


def serve(folder: Path, port: int, *, browser: bool) -> None:
    """Open the page on a folder; returns when the user stops it.

    Args:
        port: 0 takes a free one.
        browser: also open the user's browser.

    Raises:
        FileError: there is no such folder.
        InputError: the port cannot be had.
    """
    server, guard = start(folder, port)
    sys.stdout.write(
        f"The page is at {guard.address(guard.token)}\n"
        "Only this computer can open it. Stop it with Ctrl-C.\n"
    )
    sys.stdout.flush()
    if browser:
        webbrowser.open(guard.address(guard.once))
    # It returns when Ctrl-C is pressed, and closes the port.
    server.serve_forever()
    sys.stdout.write("\nstopped; your files are in the folder\n")


def start(folder: Path, port: int) -> tuple[BaseWSGIServer, Guard]:
    """A server that listens but does not answer yet, and its guard."""
    from werkzeug.serving import make_server

    from sheets.web.app import new_app

    session = new_session(folder)
    with _listening(port) as place:
        guard = Guard(place.getsockname()[1])
        server = make_server(HOST, guard.port, new_app(session, guard), threaded=True,
                             request_handler=_handler(), fd=place.fileno())  # fmt: skip
    server.daemon_threads = True  # type: ignore[attr-defined]
    return server, guard


def _listening(port: int) -> socket.socket:
    """The open port: had before anything else, so that 0 becomes a number that the guard knows."""
    place = socket.socket()
    if os.name == "posix":  # elsewhere it would let two programs share the port
        place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        place.bind((HOST, port))
        place.listen(WAITING)
    except OSError:
        place.close()
        raise InputError(
            f"port {port} cannot be had", where="`port`", fix="give another, or 0 for any"
        ) from None
    return place


def _handler() -> Any:
    from werkzeug.serving import WSGIRequestHandler

    class Handler(WSGIRequestHandler):
        """Patient for a while, and silent: a log would keep what children's pages were asked."""

        timeout = PATIENCE_S

        def log(self, type: str, message: str, *args: Any) -> None:
            pass

        def version_string(self) -> str:
            return "tablework"

    return Handler
