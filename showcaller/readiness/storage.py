"""The disk the record goes to: how fast, and whether it keeps what it is given."""

import os
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from showcaller.readiness.finding import Finding

RECORD_BYTES = 300
WRITES, SYNCS = 200, 20
LONGEST_S = 4.0
WRITE_MS, SYNC_MS = 1.0, 100.0
"""Slower than this is said: the record is synced within 100 ms, and no go should feel a write."""

_PASSING = {"tmpfs": "is in memory and is gone when the machine is off", "ramfs": "is in memory"}
_FAR = {"nfs", "nfs4", "cifs", "smb3", "fuse.sshfs", "9p"}


def storage(runs: Path, mounts: Path = Path("/proc/self/mounts")) -> Iterator[Finding]:
    """Write records where runs are kept and time it; nothing stays. ``mounts`` is the system's table."""
    where = existing(runs)
    try:
        writes_ms, syncs_ms = _timed(where)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        yield Finding("the record's disk", "wrong", f"cannot be written: {why}.", "Choose another folder.")
        return
    words = (
        f"a record is written in {middle(writes_ms):.3f} ms (slowest {max(writes_ms):.2f}) and safe on "
        f"the disk in {middle(syncs_ms):.1f} ms (slowest {max(syncs_ms):.1f})."
    )
    if middle(writes_ms) > WRITE_MS or max(syncs_ms) > SYNC_MS:
        yield Finding(
            "the record's disk", "look", words, "Slow: keep the record on a disk inside this machine."
        )
    else:
        yield Finding("the record's disk", "good", words)
    kind = _kind(where, mounts)
    if kind in _PASSING:
        words = f"the folder it is in {_PASSING[kind]}."
        yield Finding("the record's disk", "look", words, "Keep the record on a disk.")
    elif kind in _FAR:
        words = f"it is kept on another machine ({kind})."
        yield Finding("the record's disk", "look", words, "Keep the record on a disk inside this machine.")


def existing(folder: Path) -> Path:
    """The folder, or the nearest above it that is there."""
    where = folder.absolute()
    while not where.exists() and where != where.parent:
        where = where.parent
    return where


def middle(values: Sequence[float]) -> float:
    """The median, of an even count the upper one."""
    return sorted(values)[len(values) // 2]


def _timed(where: Path) -> tuple[list[float], list[float]]:
    """Milliseconds of each write, and of each sync after one."""
    body = b"x" * RECORD_BYTES
    writes_ms: list[float] = []
    syncs_ms: list[float] = []
    end_s = time.monotonic() + LONGEST_S
    sync = getattr(os, "fdatasync", os.fsync)
    with tempfile.TemporaryFile(dir=where, prefix=".selftest-", buffering=0) as file:
        while len(writes_ms) < WRITES and (time.monotonic() < end_s or not syncs_ms):
            start = time.perf_counter()
            file.write(body)
            writes_ms.append((time.perf_counter() - start) * 1e3)
            if len(writes_ms) % (WRITES // SYNCS) == 0:
                start = time.perf_counter()
                sync(file.fileno())
                syncs_ms.append((time.perf_counter() - start) * 1e3)
    return writes_ms, syncs_ms


def _kind(where: Path, mounts: Path) -> str:
    """The kind of file system a folder lies on; empty where the system does not say."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    best, kind = "", ""
    for line in lines:
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        point = parts[1].replace("\\040", " ")
        if where.is_relative_to(point) and len(point) >= len(best):
            best, kind = point, parts[2]
    return kind
