"""Pictures to colour like the sample."""

from __future__ import annotations

from sheets.kinds.kind import Kind

KIND = Kind(
    does="colours a picture like the sample",
    code="sheets.kinds.colour_copy.pages",
)
