"""Which way of keeping the log: what an append costs, and what each way loses when the disk turns on it.

``python benchmarks/bench_log.py``; about two minutes. The candidates:

- *plain*: one ``write`` a record into a file, a helper that syncs every 100 ms.
- *sqlite*: SQLite with WAL, ``synchronous=NORMAL``, a second connection that checkpoints.
- *mapped*: memory-mapped segments, a multiple of the allocation granularity.
- *ours*: lines into a file in memory, a helper that brings them to the disk (``engine/journal``).

Appends are 2 ms apart, as in a busy moment of a show. Beside them stands the bare cost of one ``write`` to a
file in memory in the same run. Then every way meets a full disk (a tmpfs of 2 MB; needs root), a disk that
takes 50 ms for a sync and a write, a file cut by another program, and a kill.
"""

import contextlib
import json
import mmap
import os
import signal
import sqlite3
import struct
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol
from zlib import crc32

import numpy as np
from results import keep

from showcaller.engine.journal import Journal, read
from showcaller.engine.journal.front import forget_front

BODY = json.dumps({"seq": 1, "t": 1, "wall": 2, "in": {"kind": "go", "go": "x"}, "ev": ["y" * 220]}).encode()
COUNT = 2500
GAP_S = 0.002


class Log(Protocol):
    """A candidate."""

    def append(self, body: bytes) -> None:
        """Keep one record."""

    def close(self) -> None:
        """Let go."""


class Plain:
    """One write a record, framed by length and checksum."""

    def __init__(self, path: Path) -> None:
        self.fd = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND)
        self.stop = threading.Event()
        self.helper = threading.Thread(target=self._sync, daemon=True)
        self.helper.start()

    def _sync(self) -> None:
        while not self.stop.wait(0.1):
            with contextlib.suppress(OSError):
                os.fdatasync(self.fd)

    def append(self, body: bytes) -> None:
        """Keep one record."""
        os.write(self.fd, struct.pack("<II", len(body), crc32(body)) + body)

    def close(self) -> None:
        """Let go."""
        self.stop.set()
        self.helper.join()
        os.close(self.fd)


class Sqlite:
    """A table in WAL mode; a second connection checkpoints."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.base = sqlite3.connect(path, isolation_level=None)
        self.base.execute("PRAGMA journal_mode=WAL")
        self.base.execute("PRAGMA synchronous=NORMAL")
        self.base.execute("PRAGMA wal_autocheckpoint=0")
        self.base.execute("CREATE TABLE IF NOT EXISTS log(n INTEGER PRIMARY KEY, body BLOB)")
        self.stop = threading.Event()
        self.helper = threading.Thread(target=self._checkpoint, daemon=True)
        self.helper.start()

    def _checkpoint(self) -> None:
        other = sqlite3.connect(self.path, isolation_level=None)
        while not self.stop.wait(0.1):
            with contextlib.suppress(sqlite3.Error):
                other.execute("PRAGMA wal_checkpoint(PASSIVE)")
        other.close()

    def append(self, body: bytes) -> None:
        """Keep one record."""
        self.base.execute("INSERT INTO log(body) VALUES (?)", (body,))

    def close(self) -> None:
        """Let go."""
        self.stop.set()
        self.helper.join()
        self.base.close()


class Mapped:
    """Preallocated segments of 1 MiB, mapped; a helper maps the next one and syncs."""

    size = 1 << 20

    def __init__(self, path: Path) -> None:
        self.fd = os.open(path, os.O_RDWR | os.O_CREAT)
        self.at, self.maps = 0, [self._segment(0)]
        self.stop = threading.Event()
        self.helper = threading.Thread(target=self._sync, daemon=True)
        self.helper.start()

    def _segment(self, n: int) -> mmap.mmap:
        os.posix_fallocate(self.fd, n * self.size, self.size)
        return mmap.mmap(self.fd, self.size, offset=n * self.size)

    def _sync(self) -> None:
        while not self.stop.wait(0.1):
            with contextlib.suppress(OSError):
                if self.at % self.size > self.size // 2 and len(self.maps) * self.size - self.at < self.size:
                    self.maps.append(self._segment(len(self.maps)))
                os.fdatasync(self.fd)

    def append(self, body: bytes) -> None:
        """Keep one record."""
        need = 8 + len(body)
        if self.at % self.size + need > self.size:
            self.at = (self.at // self.size + 1) * self.size
            if self.at // self.size == len(self.maps):
                self.maps.append(self._segment(len(self.maps)))
        n, at = divmod(self.at, self.size)
        self.maps[n][at : at + need] = struct.pack("<II", len(body), crc32(body)) + body
        self.at += need

    def close(self) -> None:
        """Let go."""
        self.stop.set()
        self.helper.join()
        os.close(self.fd)


def ours(path: Path) -> Log:
    """The journal as the engine has it: its front in memory."""
    return Journal(path, memory() / f"bench-{os.getpid()}-{path.parent.name}.log")


def memory() -> Path:
    """A folder in memory."""
    shm = Path("/dev/shm")
    return shm if shm.is_dir() else Path(tempfile.gettempdir())


CANDIDATES: dict[str, Callable[[Path], Log]] = {
    "plain": Plain, "sqlite": Sqlite, "mapped": Mapped, "ours": ours,
}  # fmt: skip


def percentiles(took_ns: list[int]) -> dict[str, float]:
    """p50, p99, p99.9 and the worst, in microseconds."""
    values = np.percentile(np.array(took_ns) / 1000, [50, 99, 99.9, 100])
    return dict(
        zip(("p50 us", "p99 us", "p99.9 us", "worst us"), (round(float(v), 1) for v in values), strict=True)
    )


def timed(append: Callable[[bytes], Any], count: int = COUNT) -> dict[str, float]:
    """How long appends take that come 2 ms apart."""
    took: list[int] = []
    for _ in range(count):
        time.sleep(GAP_S)
        began = time.perf_counter_ns()
        append(BODY)
        took.append(time.perf_counter_ns() - began)
    return percentiles(took)


def costs(folder: Path) -> dict[str, Any]:
    """What an append costs in each way, beside one bare write to memory."""
    bare = os.open(memory() / f"bare-{os.getpid()}", os.O_RDWR | os.O_CREAT | os.O_APPEND)
    found: dict[str, Any] = {"bare write to memory": timed(lambda body: os.write(bare, body))}
    os.close(bare)
    (memory() / f"bare-{os.getpid()}").unlink()
    for name, make in CANDIDATES.items():
        (folder / name).mkdir()
        log = make(folder / name / "log")
        found[name] = timed(log.append)
        log.close()
    return found


def kept(name: str, path: Path, front: Path | None) -> int:
    """How many whole records can be read back without a gap."""
    if name == "ours":
        return len(read(path, front).lines)
    if name == "sqlite":
        try:
            with contextlib.closing(sqlite3.connect(path)) as base:
                return int(base.execute("SELECT count(*) FROM log").fetchone()[0])
        except sqlite3.Error:
            return 0
    data, at, n = path.read_bytes(), 0, 0
    while at + 8 <= len(data):
        length, checksum = struct.unpack_from("<II", data, at)
        if length == 0 or crc32(data[at + 8 : at + 8 + length]) != checksum:
            at_next = (at // Mapped.size + 1) * Mapped.size
            if name == "plain" or length or at_next >= len(data):
                break
            at = at_next
            continue
        at, n = at + 8 + length, n + 1
    return n


def front_of(path: Path, pid: int) -> Path:
    """Where a child's front is."""
    return memory() / f"bench-{pid}-{path.parent.name}.log"


CHILD = """
import sys, os, time
sys.path.insert(0, {here!r})
import bench_log as b
from pathlib import Path
path = Path(sys.argv[2]); log = b.CANDIDATES[sys.argv[1]](path); trouble = sys.argv[3]
done = failed = 0
print(os.getpid(), flush=True)
for n in range(int(sys.argv[4])):
    if trouble == "slow" and n == 10:
        real, realw = os.fdatasync, os.write
        os.fdatasync = lambda fd: (time.sleep(0.05), real(fd))[1]
        os.write = lambda fd, x: (b"shm" in os.readlink(f"/proc/self/fd/{{fd}}").encode() or time.sleep(0.05), realw(fd, x))[1]
    began = time.perf_counter()
    try:
        log.append(b.BODY); done += 1
    except Exception:
        failed += 1
    worst = max(globals().get("worst", 0) if n > 11 else 0, time.perf_counter() - began)
    time.sleep(0.0005)
print(done, failed, worst * 1000, flush=True)
sys.stdin.read()
"""


def troubled(name: str, folder: Path, trouble: str, count: int) -> str:
    """One way in one trouble, in a process of its own; what came of it."""
    folder.mkdir(exist_ok=True)
    path = folder / "log"
    code = CHILD.format(here=str(Path(__file__).parent))
    args = [sys.executable, "-c", code, name, str(path), trouble, str(count)]
    with subprocess.Popen(args, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        pid = int(child.stdout.readline())
        if trouble == "cut":
            time.sleep(0.3)
            os.truncate(path, 4096)
        line = child.stdout.readline()
        time.sleep(0.6)
        child.send_signal(signal.SIGKILL)
        code_ = child.wait()
    if not line:
        return f"the process died of signal {-code_}"
    done, failed, worst_ms = line.split()
    back = kept(name, path, front_of(path, pid))
    forget_front(front_of(path, pid))
    return f"{done} taken, {failed} refused, {back} read back after the kill, worst append {float(worst_ms):.1f} ms"


def small_disk(folder: Path) -> contextlib.AbstractContextManager[Path]:
    """A disk of 2 MB."""

    @contextlib.contextmanager
    def mounted() -> Any:
        folder.mkdir()
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "none", str(folder)], check=True)
        try:
            yield folder
        finally:
            subprocess.run(["umount", "-l", str(folder)], check=True)

    return mounted()


def main() -> None:
    """Measure, and keep what was found."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        found: dict[str, Any] = {"appends 2 ms apart": costs(folder)}
        for trouble, count in (("kill", 2000), ("cut", 2000), ("slow", 300)):
            found[trouble] = {
                way: troubled(way, folder / f"{way}-{trouble}", trouble, count) for way in CANDIDATES
            }
        if os.geteuid() == 0:
            found["full disk of 2 MB, 10,000 records"] = {}
            for way in CANDIDATES:
                with small_disk(folder / f"disk-{way}") as disk:
                    found["full disk of 2 MB, 10,000 records"][way] = troubled(
                        way, disk / "log", "full", 10_000
                    )
    keep("log", found)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main()
