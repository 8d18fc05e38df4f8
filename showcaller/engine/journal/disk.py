"""The journal's file: appended to by a helper, watched, and written anew when it is gone, cut or damaged."""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from showcaller.engine.journal.lines import FIRST, MAGIC, following

_CHUNK = 1000


class DiskFile:
    """The file on disk. All methods belong to one thread at a time; each may wait for the disk.

    ``size`` is what it should be long; every method raises OSError where the disk does not take it.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.size = 0
        self._fd = -1

    @property
    def is_open(self) -> bool:
        """Whether there is a file to append to."""
        return self._fd >= 0

    def create(self) -> None:
        """Make it, with its first line only."""
        self._use(
            os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND | os.O_CLOEXEC, 0o644), 0
        )
        self.append(MAGIC)

    def go_on(self, size: int) -> None:
        """Open it to go on behind ``size`` bytes; what stands there is cut."""
        fd = os.open(self.path, os.O_RDWR | os.O_APPEND | os.O_CLOEXEC)
        if os.fstat(fd).st_size != size:
            os.ftruncate(fd, size)
        self._use(fd, size)

    def _use(self, fd: int, size: int) -> None:
        if self._fd >= 0:
            os.close(self._fd)
        self._fd, self.size = fd, size

    def append(self, text: bytes) -> None:
        """Add at the end, all of it or nothing."""
        done = 0
        try:
            while done < len(text):
                done += os.write(self._fd, text[done:])
        except OSError:
            with contextlib.suppress(OSError):
                os.ftruncate(self._fd, self.size)
            raise
        self.size += len(text)

    def sync(self) -> None:
        """Put it on the medium."""
        (os.fdatasync if hasattr(os, "fdatasync") else os.fsync)(self._fd)

    def wrong(self) -> str | None:
        """What another program has done to it; None while it is as it should be."""
        try:
            there = self.path.stat()
        except OSError:
            gone = "file" if self.path.parent.is_dir() else "folder"
            return f"the show's {gone} is gone"
        mine = os.fstat(self._fd)
        if (there.st_ino, there.st_dev) != (mine.st_ino, mine.st_dev):
            return "another file lies in the log's place"
        if there.st_size < self.size:
            return f"the log's file was cut from {self.size} to {there.st_size} bytes by another program"
        return "another program wrote into the log's file" if there.st_size > self.size else None

    def write_anew(self, bodies: Callable[[int, int], list[bytes]], count: int) -> None:
        """Write the first ``count`` records of the run into a new file and put it in place, keeping a copy
        of what lies there. ``bodies(start, n)`` gives records, from 0."""
        with contextlib.suppress(FileExistsError):
            self.path.parent.mkdir()
        fresh = self.path.with_name(f"{self.path.name}.new")
        fd = os.open(fresh, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND | os.O_CLOEXEC, 0o644)
        new = DiskFile(fresh)
        new._use(fd, 0)
        try:
            new.append(MAGIC)
            for text in _texts(bodies, count):
                new.append(text)
            new.sync()
            if self.path.exists():
                _keep_copy(self.path)
            fresh.replace(self.path)
        except OSError:
            new.close()
            with contextlib.suppress(OSError):
                fresh.unlink()
            raise
        self._use(fd, new.size)

    def close(self) -> None:
        """Let go."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1


def _texts(bodies: Callable[[int, int], list[bytes]], count: int) -> Iterator[bytes]:
    prev = FIRST
    for start in range(0, count, _CHUNK):
        lines: list[bytes] = []
        part: Iterable[bytes] = bodies(start, min(_CHUNK, count - start))
        for number, body in enumerate(part, start + 1):
            line = following(prev, number, body)
            prev = line.own
            lines.append(line.to_bytes())
        yield b"".join(lines)


def _keep_copy(path: Path) -> Path:
    """What lies at ``path`` under another name beside it; costs no room where the system has links."""
    n = 1
    while (copy := path.with_name(f"{path.name}.as-found-{n}")).exists():
        n += 1
    try:
        copy.hardlink_to(path)
    except (OSError, NotImplementedError):
        shutil.copy2(path, copy)
    return copy
