"""The journal of a run: an append-only file that survives a killed process and a pulled plug.

A record is a 4-byte length, a 4-byte CRC-32 of the body, and the body; little-endian. Records lie in segments
of a preallocated, memory-mapped file, so appending is a copy in memory: it never waits for the disk, and what
was appended outlives the process. A helper thread asks the system to put it on disk within 100 ms and maps
the next segment before it is needed. A zero length ends a segment's records; the length 0xFFFFFFFF says that
the next segment goes on. A torn tail is cut when the journal is opened.
"""

import mmap
import os
import struct
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO
from zlib import crc32

MAGIC = b"SHWCALJ1"
SEGMENT_BYTES = 1 << 20
_HEAD = struct.Struct("<II")
_NEXT = 0xFFFFFFFF
_SYNC_S = 0.1


class JournalError(Exception):
    """A journal that cannot be used, in one sentence."""


def scan(data: bytes | memoryview | mmap.mmap, segment: int) -> Iterator[tuple[int, bytes]]:
    """(offset of the end, body) of every whole record, stopping at the first that is not."""
    at = len(MAGIC) + 4
    size = len(data)
    while at + _HEAD.size <= size:
        length, checksum = _HEAD.unpack_from(data, at)
        if length == _NEXT:
            at = (at // segment + 1) * segment
            continue
        end = at + _HEAD.size + length
        if length == 0 or end > size:
            return
        body = bytes(data[at + _HEAD.size : end])
        if crc32(body) != checksum:
            return
        at = end
        yield end, body


def read_journal(path: Path) -> list[bytes]:
    """The bodies of all whole records, without touching the file.

    Raises:
        JournalError: unreadable, or not a journal.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise JournalError(f"cannot read {path}: {(error.strerror or str(error)).lower()}") from None
    return [body for _, body in scan(data, _segment_of(data, path))]


def _segment_of(data: bytes | mmap.mmap, path: Path) -> int:
    if len(data) < len(MAGIC) + 4 or data[: len(MAGIC)] != MAGIC:
        raise JournalError(f"{path.name} is not a run's journal")
    segment = int.from_bytes(data[len(MAGIC) : len(MAGIC) + 4], "little")
    if segment < 4096:
        raise JournalError(f"{path.name} is damaged at its very beginning")
    return segment


class Journal:
    """An open journal. One writer; ``append`` is called from one thread only.

    ``records`` are the bodies found on opening.
    """

    def __init__(self, path: Path, segment: int = SEGMENT_BYTES) -> None:
        """Open ``path`` for appending, making it if it is not there.

        Raises:
            JournalError: the folder cannot be written, or the file is not a journal.
        """
        self.path = path
        self.records: list[bytes] = []
        self._maps: dict[int, mmap.mmap] = {}
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._closing = False
        self._dirty = False
        self.sync_error: str | None = None
        try:
            fresh = not path.exists() or path.stat().st_size == 0
            self._file: BinaryIO = open(path, "w+b" if fresh else "r+b", buffering=0)  # noqa: SIM115, PTH123
            if fresh:
                self._segment = segment
                self._extend(0)
                self._maps[0][: len(MAGIC) + 4] = MAGIC + segment.to_bytes(4, "little")
                self._at = len(MAGIC) + 4
            else:
                self._segment = segment  # replaced by the file's own below
                self._open_existing()
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise JournalError(f"cannot keep a journal at {path}: {reason}; choose another folder") from None
        except JournalError:
            self._file.close()
            raise
        self._syncer = threading.Thread(target=self._sync_loop, name="journal sync", daemon=True)
        self._syncer.start()

    def _open_existing(self) -> None:
        data = self.path.read_bytes()
        self._segment = _segment_of(data, self.path)
        at = len(MAGIC) + 4
        for at, body in scan(data, self._segment):  # noqa: B007 - the last offset is wanted
            self.records.append(body)
        number = at // self._segment
        for n in range(number + 1):
            self._extend(n)
        self._at = at
        # Cut the torn tail, so that what is appended next is followed by nothing half-written.
        last = (len(data) - 1) // self._segment
        for n in range(number, last + 1):
            self._extend(n)
            start = at - n * self._segment if n == number else 0
            self._maps[n][start:] = bytes(self._segment - start)

    def _extend(self, n: int) -> None:
        """Map segment ``n``, giving the file its room first."""
        if n in self._maps:
            return
        offset, size = n * self._segment, self._segment
        if os.fstat(self._file.fileno()).st_size < offset + size:
            if hasattr(os, "posix_fallocate"):
                os.posix_fallocate(self._file.fileno(), offset, size)
            else:
                self._file.truncate(offset + size)
        self._maps[n] = mmap.mmap(self._file.fileno(), size, offset=offset)

    def append(self, body: bytes) -> None:
        """Add a record. When this returns, a killed process cannot lose it.

        Raises:
            JournalError: the body is empty or larger than a segment can hold.
        """
        need = _HEAD.size + len(body)
        room = self._segment - _HEAD.size - (len(MAGIC) + 4)
        if not body or need > room:
            raise JournalError(f"a record of {len(body)} bytes does not fit the journal ({room} at most)")
        n, at = divmod(self._at, self._segment)
        if at + need + _HEAD.size > self._segment:
            with self._lock:
                self._extend(n + 1)  # mapped already, unless records come faster than the helper
            if n in self._maps and at + _HEAD.size <= self._segment:
                self._maps[n][at : at + _HEAD.size] = _HEAD.pack(_NEXT, 0)
            self._at = (n + 1) * self._segment
            n, at = n + 1, 0
        # One copy: length, checksum, body.
        self._maps[n][at : at + need] = _HEAD.pack(len(body), crc32(body)) + body
        self._at += need
        self._dirty = True

    def _sync_loop(self) -> None:
        while not self._wake.wait(_SYNC_S):
            self._sync()
        self._sync()

    def _sync(self) -> None:
        n, at = divmod(self._at, self._segment)
        try:
            if at > self._segment // 2:
                with self._lock:
                    self._extend(n + 1)
            if self._dirty:
                self._dirty = False
                self.sync()
        except OSError as error:
            self.sync_error = (error.strerror or str(error)).lower()

    def sync(self) -> None:
        """Put what was appended on disk; waits for the disk."""
        if sys.platform.startswith("linux"):
            os.fdatasync(self._file.fileno())  # also writes back the pages of shared mappings
        else:
            for mapped in list(self._maps.values()):
                mapped.flush()

    def close(self) -> None:
        """Sync, cut the unused room, and let go of the file."""
        if self._closing:
            return
        self._closing = True
        self._wake.set()
        self._syncer.join()
        for mapped in self._maps.values():
            mapped.close()
        self._maps.clear()
        self._file.truncate(self._at)
        self._file.close()

    def __enter__(self) -> "Journal":
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()
