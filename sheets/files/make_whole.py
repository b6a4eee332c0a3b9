"""Makes the file of stored closings anew: ``python -m sheets.files.make_whole``.

Stored are the pictures of the word list and of the themes that come along; any other drawing is
made whole when it is read, which takes longer than drawing its page.
"""

from __future__ import annotations

import json

from shapes.pictures.closing import STORE, encode
from shapes.pictures.pictures import as_drawn, curated
from shapes.pictures.whole import closing_of
from sheets.files.theme_file import builtin


def codes() -> list[str]:
    """Codes of the pictures that are stored, sorted."""
    found = {word.code for word in curated()}
    for theme in builtin():
        found |= {word.picture.id for word in theme.words}
        found |= {step.picture.id for step in theme.steps}
    return sorted(found)


def store_text() -> bytes:
    """The stored closings, one a line."""
    rows = []
    for code in codes():
        row = json.dumps(encode(closing_of(as_drawn(code))), separators=(",", ":"))
        rows.append(f'"{code}": {row}')
    return ("{\n" + ",\n".join(rows) + "\n}\n").encode()


if __name__ == "__main__":
    STORE.write_bytes(store_text())
