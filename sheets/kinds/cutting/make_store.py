"""Makes the stored outlines and their measures anew: ``python -m sheets.kinds.cutting.make_store``.

About three minutes on two cores; with ``--measures-only`` the outlines stay as they are.
"""

from __future__ import annotations

import dataclasses
import itertools
import sys
from concurrent.futures import ProcessPoolExecutor
from typing import Any

from shapes.errors import FitError
from shapes.pictures.pictures import curated, find
from sheets.check.check import measured_form
from sheets.check.distances import Ink, box_gap, ink_box
from sheets.check.known import STORE as MEASURES
from sheets.check.known import ink_key, path_key, store_text
from sheets.kinds.cutting import CuttingChoices
from sheets.kinds.cutting.fitted import standard_outline
from sheets.kinds.cutting.store import KEPT, STORE, encode, store_key, stored_outline
from sheets.kinds.cutting.task import HILL
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.model import Place, Role, Stroke

_FAR = 10.0
"""A line this far from a picture's box, mm, is never the nearest."""


def build_one(code: str) -> dict[str, Any]:
    """The stored entries of one picture."""
    picture = find(code)
    entries: dict[str, Any] = {}
    for stage, shape in KEPT:
        if shape and entries.get(store_key(stage, ""), {}).get("shape") == shape:
            continue  # the picture's own choice
        try:
            fitted = standard_outline(picture, stage, shape)
        except FitError:
            continue
        entries[store_key(stage, shape)] = {
            "path": encode(fitted.path),
            "at": [round(value, 6) for value in fitted.art_at],
            "longest": round(fitted.longest, 3),
            "score": round(fitted.score, 3),
            "softened": round(fitted.softened_by, 3),
            "shape": fitted.shape,
            "fill": round(fitted.fill, 3),
            "count": fitted.count,
        }
    return entries


def measures_of(code: str) -> dict[str, Any]:
    """What ``check`` measures on the pages that show a picture's stored outlines, and its hills."""
    found: dict[str, Any] = {}
    picture = find(code)
    pages = [
        (stage, CuttingChoices(outline=shape))
        for stage, shape in KEPT
        if stored_outline(picture, stage, shape) is not None
    ]
    source = Source(words=(code,))
    for stage, choices in [*pages, (4, CuttingChoices(shape=HILL))]:
        marks = make_sheet("cutting", source, stage, Options(), choices).pages[0].marks
        outlines = [
            path
            for mark in marks
            if isinstance(mark, Stroke) and mark.role is Role.CUT
            for path in mark.paths
        ]
        places = [m for m in marks if isinstance(m, Place) and m.id.startswith("picture")]
        for outline in outlines:
            if outline.closed and (key := path_key(outline)):
                found[key] = dataclasses.asdict(measured_form(outline))
        # A picture lies within its outline, or between its hill and the next one.
        for place, outline in itertools.product(places, outlines):
            box = ink_box(place)
            if box is None or box_gap(box, outline.bbox) > _FAR:
                continue
            if key := ink_key(place, outline):
                found[key] = round(Ink(place, box).measured(outline), 4)
    return found


def _main() -> None:
    codes = [word.code for word in curated()]
    STORE.parent.mkdir(exist_ok=True)
    with ProcessPoolExecutor() as pool:
        if "--measures-only" not in sys.argv[1:]:
            made = dict(zip(codes, pool.map(build_one, codes, chunksize=8), strict=True))
            STORE.write_bytes(store_text(made))
    with ProcessPoolExecutor() as pool:
        known: dict[str, Any] = {}
        for found in pool.map(measures_of, codes, chunksize=8):
            known |= found
    MEASURES.write_bytes(store_text(known))


if __name__ == "__main__":
    _main()
