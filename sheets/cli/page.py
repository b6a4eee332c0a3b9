"""The command that opens the page in the browser: ``tablework page``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def page(
    folder: Annotated[
        Path, typer.Option("--folder", help="Where your theme and class files are.")
    ] = Path("."),
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port to use; 0 takes a free one.")
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address, open no browser.")
    ] = False,
) -> None:
    """Open the page in your own browser; nothing leaves this computer."""
    from sheets.web.serve import serve

    serve(folder, port, browser=not no_browser)
