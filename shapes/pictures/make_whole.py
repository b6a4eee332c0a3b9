"""Makes the file of stored closings anew: ``python -m shapes.pictures.make_whole``."""

from __future__ import annotations

import json

from shapes.pictures.closing import STORE, encode
from shapes.pictures.pictures import as_drawn, curated
from shapes.pictures.whole import closing_of


def store_text() -> bytes:
    """The stored closings of all curated pictures, one a line."""
    rows = []
    for code in sorted(word.code for word in curated()):
        row = json.dumps(encode(closing_of(as_drawn(code))), separators=(",", ":"))
        rows.append(f'"{code}": {row}')
    return ("{\n" + ",\n".join(rows) + "\n}\n").encode()


if __name__ == "__main__":
    STORE.write_bytes(store_text())
