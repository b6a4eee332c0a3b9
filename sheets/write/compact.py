"""Packs the small objects of a PDF together, so that many page dictionaries take little room.

Takes a file as the PDF writer makes it (one classic cross-reference table, no encryption, no
updates) and returns the same objects in compressed object streams with a cross-reference stream
(ISO 32000-1, 7.5.7 and 7.5.8).
"""

from __future__ import annotations

import itertools
import re
import struct
import zlib
from collections.abc import Iterator, Sequence
from hashlib import md5

_OBJECTS_PER_STREAM = 200
"""Readers unpack a whole stream to reach one object, so streams are kept short."""

_TABLE = re.compile(rb"xref\s+0 (\d+)\s+")
_ENTRY_LENGTH = 20
_OBJECT = re.compile(rb"(\d+) 0 obj\s*(.*?)\s*endobj\s*", re.DOTALL)


def pack_objects(data: bytes) -> bytes:
    """The same document in fewer bytes.

    Raises:
        ValueError: the file is not of the simple form this module is for.
    """
    start, count, objects, trailer = _read(data)
    out = bytearray(data[:start])
    # Where each object is: (1, offset, 0) on its own, (2, stream number, index) packed.
    places: dict[int, tuple[int, int, int]] = {0: (0, 0, 65535)}
    small: list[tuple[int, bytes]] = []
    free = count

    def pack() -> None:
        nonlocal free
        places.update({number: (2, free, index) for index, (number, _) in enumerate(small)})
        places[free] = (1, len(out), 0)
        out.extend(_object_stream(free, small))
        small.clear()
        free += 1

    for number, body in objects:
        # Streams stay on their own: only other objects can be packed.
        if body.endswith(b"endstream"):
            places[number] = (1, len(out), 0)
            out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
        else:
            small.append((number, body))
            if len(small) == _OBJECTS_PER_STREAM:
                pack()
    if small:
        pack()
    places[free] = (1, len(out), 0)
    end = len(out)
    out += _reference_stream(free, places, trailer, md5(out, usedforsecurity=False).hexdigest())
    out += b"startxref\n%d\n%%%%EOF\n" % end
    return bytes(out)


def _read(data: bytes) -> tuple[int, int, Iterator[tuple[int, bytes]], bytes]:
    """Where the first object starts, the number after the last one's, every object in file order,
    and the trailer's bytes."""
    tail = re.search(rb"startxref\s+(\d+)\s+%%EOF\s*$", data)
    table = _TABLE.match(data, int(tail.group(1))) if tail else None
    if tail is None or table is None:
        raise ValueError("no cross-reference table where the file says it is")
    count = int(table.group(1))
    first, last = table.end(), table.end() + _ENTRY_LENGTH * count
    entries = (data[at : at + _ENTRY_LENGTH] for at in range(first, last, _ENTRY_LENGTH))
    offsets = sorted(int(entry[:10]) for entry in entries if entry[17:18] == b"n")

    def objects() -> Iterator[tuple[int, bytes]]:
        for at, after in itertools.pairwise([*offsets, table.start()]):
            found = _OBJECT.fullmatch(data, at, after)
            if found is None:
                raise ValueError(f"no object at byte {at}, where the table says one is")
            yield int(found.group(1)), found.group(2)

    return offsets[0], count, objects(), data[last : tail.start()]


def _object_stream(number: int, group: Sequence[tuple[int, bytes]]) -> bytes:
    bodies = [re.sub(rb"\s+", b" ", body) if b"(" not in body else body for _, body in group]
    index, at = [], 0
    for (member, _), body in zip(group, bodies, strict=True):
        index.append(b"%d %d" % (member, at))
        at += len(body) + 1
    head = b" ".join(index) + b"\n"
    packed = zlib.compress(head + b"\n".join(bodies))
    return (
        b"%d 0 obj\n<</Type/ObjStm/N %d/First %d/Filter/FlateDecode/Length %d>>\nstream\n%b\n"
        b"endstream\nendobj\n"
    ) % (number, len(group), len(head), len(packed), packed)


def _reference_stream(
    number: int, places: dict[int, tuple[int, int, int]], trailer: bytes, digest: str
) -> bytes:
    """The cross-reference stream; its own object is the last of the file."""
    rows = b"".join(struct.pack(">BLH", *places.get(i, (0, 0, 65535))) for i in range(number + 1))
    packed = zlib.compress(rows)
    keys = []
    for key in (b"Root", b"Info"):
        found = re.search(rb"/%b (\d+) 0 R" % key, trailer)
        if found is None:
            raise ValueError(f"the trailer has no /{key.decode()}")
        keys.append(b"/%b %b 0 R" % (key, found.group(1)))
    mark = f"<{digest}>".encode()
    return (
        b"%d 0 obj\n<</Type/XRef/Size %d/W[1 4 2]%b/ID[%b%b]/Filter/FlateDecode/Length %d>>\n"
        b"stream\n%b\nendstream\nendobj\n"
    ) % (number, number + 1, b"".join(keys), mark, mark, len(packed), packed)
