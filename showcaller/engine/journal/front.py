"""The newest stretch of a journal in the machine's memory, where writing never waits for a disk.

Files of the same lines in a folder that lies in memory (see ``private``). They outlive a killed process,
not a restarted machine. What they hold is written to the disk by a helper within a tenth of a second; a
file whose lines are all there is taken away, but for the last one, which is a witness of where the log had
come to.
"""

import glob
import os
from collections.abc import Iterable
from pathlib import Path

from showcaller.engine.journal.lines import Line, scan

TIDY_BYTES = 1 << 20
"""A file longer than this is followed by another."""
MOST_BYTES = 64 << 20
"""All together never grow beyond this: when the disk takes nothing for so long, the newest lines are in the
process only."""


def front_files(path: Path) -> list[Path]:
    """The files of the front at ``path``, oldest first."""
    found = [p for p in path.parent.glob(f"{glob.escape(path.name)}.*") if p.suffix[1:].isdigit()]
    return sorted(found, key=lambda p: int(p.suffix[1:]))


def read_front(path: Path) -> tuple[Line, ...] | None:
    """The lines of a front; None when it is not there."""
    found: list[Line] = []
    files = front_files(path)
    for file in files:
        try:
            found += scan(file.read_bytes(), skip=0).lines
        except OSError:
            continue
    return tuple(found) if files else None


def forget_front(path: Path) -> None:
    """Take it away."""
    for file in front_files(path):
        file.unlink(missing_ok=True)


class Front:
    """An open front. All methods belong to one thread."""

    def __init__(self, path: Path, lines: Iterable[Line] = ()) -> None:
        """Begin it anew with these ``lines``.

        Raises:
            OSError: it cannot be kept there.
        """
        self.path = path
        before = front_files(path)
        self._number = int(before[-1].suffix[1:]) + 1 if before else 1
        content = b"".join(line.to_bytes() for line in lines)
        fresh = path.with_name(f"{path.name}.new")
        self._fd = _opened(fresh)
        try:
            if os.write(self._fd, content) != len(content):
                raise OSError(28, "no space left for the log's newest part")
            fresh.replace(self._file())
        except OSError:
            os.close(self._fd)
            raise
        self._size = len(content)
        self._last = 0
        self._older: list[tuple[Path, int, int]] = []
        for file in before:
            file.unlink(missing_ok=True)

    def _file(self) -> Path:
        return self.path.with_name(f"{self.path.name}.{self._number}")

    def append(self, number: int, text: bytes) -> bool:
        """Add a line; False if it could not be taken whole."""
        if self._size + sum(size for _, _, size in self._older) + len(text) > MOST_BYTES:
            return False
        try:
            written = os.write(self._fd, text)
        except OSError:
            return False
        self._size += written
        if written != len(text):  # full: the piece is no line, and the next must not grow onto it
            os.ftruncate(self._fd, self._size - written)
            self._size -= written
            return False
        self._last = number
        return True

    def tidy(self, on_disk: int) -> list[Path]:
        """Begin another file if this one is long; the files that can be taken away, since the disk has
        what is in them (all up to number ``on_disk``). Not on the go path."""
        if self._size > TIDY_BYTES:
            self._begin_another()
        done: list[Path] = []
        while len(self._older) > 1 and self._older[0][1] <= on_disk:
            done.append(self._older.pop(0)[0])
        return done

    def _begin_another(self) -> None:
        before = self._file(), self._last, self._size
        self._number += 1
        try:
            fd = _opened(self._file())
        except OSError:
            self._number -= 1
            return
        os.close(self._fd)
        self._fd, self._size = fd, 0
        self._older.append(before)

    def close(self, forget: bool) -> None:
        """Let go; with ``forget`` the files go too, because the disk has everything."""
        os.close(self._fd)
        if forget:
            forget_front(self.path)


def _opened(path: Path) -> int:
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND | os.O_CLOEXEC, 0o600)
