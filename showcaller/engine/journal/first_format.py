"""Reading journals of 0.1, which were binary. They are read, and taken up as lines; none is written any more.

A record is a 4-byte length, a 4-byte CRC-32 of the body, and the body; little-endian. Records lie in
segments; a zero length ends a segment's records, the length 0xFFFFFFFF says that the next segment goes on.
"""

import struct
from collections.abc import Iterator
from zlib import crc32

from showcaller.engine.journal.lines import JournalError
from showcaller.run.runlog import RECORD_BEGINNING

MAGIC = b"SHWCALJ1"
_HEAD = struct.Struct("<II")
_NEXT = 0xFFFFFFFF


def read_first_format(data: bytes, name: str) -> tuple[list[bytes], bool]:
    """(the bodies of all whole records, whether something between them is not whole).

    Raises:
        JournalError: damaged at its very beginning.
    """
    segment = int.from_bytes(data[len(MAGIC) : len(MAGIC) + 4], "little")
    if segment < 4096:
        raise JournalError(f"{name} is damaged at its very beginning; restore it from a copy")
    bodies: list[bytes] = []
    start: int | None = len(MAGIC) + 4
    damaged = False
    while start is not None:
        end = start
        for end, body in _whole(data, start, segment):  # noqa: B007 - the last offset is wanted
            bodies.append(body)
        start = _next_record(data, end)
        damaged = damaged or start is not None
    return bodies, damaged


def _whole(data: bytes, at: int, segment: int) -> Iterator[tuple[int, bytes]]:
    """(offset of the end, body) of every whole record from ``at`` on, stopping at the first that is not."""
    while at + _HEAD.size <= len(data):
        length, _ = _HEAD.unpack_from(data, at)
        if length == _NEXT:
            at = (at // segment + 1) * segment
            continue
        body = _body(data, at)
        if body is None:
            return
        at += _HEAD.size + length
        yield at, body


def _body(data: bytes, at: int) -> bytes | None:
    length, checksum = _HEAD.unpack_from(data, at)
    body = data[at + _HEAD.size : at + _HEAD.size + length]
    return body if 0 < length == len(body) and crc32(body) == checksum else None


def _next_record(data: bytes, at: int) -> int | None:
    """Where the next whole record begins behind a damaged one; None if there is none."""
    while (found := data.find(RECORD_BEGINNING, at + _HEAD.size)) >= 0:
        start = found - _HEAD.size
        if _body(data, start) is not None:
            return start
        at = found
    return None
