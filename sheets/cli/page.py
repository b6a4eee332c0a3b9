"""The command that opens the page in the browser: ``tablework page``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from sheets.cli.options import option


def page(
    folder: Annotated[
        Path, option("folder", "Where your theme and class files are.", "FOLDER")
    ] = Path("."),
    port: Annotated[
        int,
        option(
            "port", "Number of the port to use; 0 takes a free one.", "NUMBER", min=0, max=65535
        ),
    ] = 0,
    no_browser: Annotated[
        bool, option("no-browser", "Only print the address, open no browser.")
    ] = False,
) -> None:
    """Open the page in your own browser; nothing leaves this computer."""
    from sheets.web.serve import serve

    serve(folder, port, browser=not no_browser)
